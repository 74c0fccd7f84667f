"""What the printed sheets have in common: big numbers, findings, headings."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Final

from pinfeather.errors import InputError
from pinfeather.finding import Finding, Severity
from pinfeather.reports.typeset import Paper
from pinfeather.reports.when import Clock, aware, clock_text
from pinfeather.words import date_text
from pinfeather.words import gettext as _

STRIP_PX: Final = 760
"""Width at which strips and curves are drawn for a sheet: letters come out near 9 points."""

_PAPERS: Final[tuple[Paper, ...]] = ("us-letter", "a4")
_SEVERITIES: Final = {
    Severity.STOP: "Stop",
    Severity.CHECK: "Check",
    Severity.NOTE: "Note",
}


@dataclass(frozen=True, slots=True)
class Answer:
    """One number of the answer, printed large.

    Parameters
    ----------
    label : str
        What it is, for instance ``"Done by"``.
    value : str
        The number itself.
    unit : str
        Printed smaller beside it; may be empty.
    note : str
        How sure it is, or what it depends on.
    """

    label: str
    value: str
    unit: str = ""
    note: str = ""


def said(finding: Finding, *, action: str = "") -> dict[str, object]:
    """Return a finding as a sheet prints it.

    Parameters
    ----------
    finding : Finding
        What was found.
    action : str
        What somebody did about it, as written; may be empty.

    Returns
    -------
    dict
        Severity, its word, sentence, reason, source and action.

    References
    ----------
    Derivation: the fields of Finding in words.
    """
    source = [finding.citation] if finding.citation else []
    if finding.status:
        source.append(_("how known: {status}").format(status=_(finding.status)))
    return {
        "severity": finding.severity.code,
        "word": _(_SEVERITIES[finding.severity]),
        "sentence": finding.sentence,
        "reason": finding.reason,
        "source": "; ".join(source),
        "action": action,
        "action_words": _("Done:"),
    }


def head(
    *, farm: str, title: str, subtitle: str, kind: str, paper: Paper, demo: bool,
    printed_at: dt.datetime, clock: Clock,
) -> dict[str, object]:  # fmt: skip
    """Return what the top and foot of every sheet need.

    Parameters
    ----------
    farm, title, subtitle, kind : str
        Whose sheet, about what, in other words, and what sort of sheet.
    paper : {"us-letter", "a4"}
        Paper size.
    demo : bool
        Whether the birds are pretended; then every page says so.
    printed_at : datetime
        The moment of printing, in the farm's zone.
    clock : {"12h", "24h"}
        Which clock the farm reads.

    Returns
    -------
    dict
        For the template.

    Raises
    ------
    InputError
        If the paper is unknown or the moment has no zone.

    References
    ----------
    Derivation: choice.
    """
    if paper not in _PAPERS:
        raise InputError("paper", paper, _("Paper is us-letter or a4."))
    aware("printed_at", printed_at)
    moment = f"{date_text(printed_at)}, {clock_text(printed_at, clock=clock)}"
    return {
        "farm": farm,
        "title": title,
        "subtitle": subtitle,
        "kind": kind,
        "paper": paper,
        "demo": demo,
        "demo_words": _("DEMO – pretend birds"),
        "printed": _("printed {moment}").format(moment=moment),
    }
