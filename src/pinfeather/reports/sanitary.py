"""Cleaning on paper: tables, boxes to write in, cautions and lines to sign on."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from pinfeather.errors import InputError
from pinfeather.finding import Finding, by_severity
from pinfeather.reports.sheet_parts import head, said
from pinfeather.reports.typeset import Paper, typeset
from pinfeather.reports.when import Clock
from pinfeather.words import gettext as _


@dataclass(frozen=True, slots=True)
class TablePart:
    """One table, as text.

    Parameters
    ----------
    title : str
        Printed above it.
    header : tuple of str
        One word for each column.
    rows : tuple of tuple of str
        As many cells as columns; ``"☐"`` prints a box to tick.
    widths : tuple of str
        ``"auto"``, or a share as a whole number, for each column.
    bold : int
        Column set in bold; -1 for none.
    tall : bool
        Whether rows are high enough to write in.
    note : str
        Printed under it.
    """

    title: str
    header: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    widths: tuple[str, ...]
    bold: int = -1
    tall: bool = False
    note: str = ""


@dataclass(frozen=True, slots=True)
class BoxPart:
    """A question with a box for its answer.

    Parameters
    ----------
    ask, hint : str
        The question, and what an answer holds.
    text : str
        The answer; empty leaves the box to be written in.
    height_pt : int
        Height of an empty box, in points.
    """

    ask: str
    hint: str
    text: str = ""
    height_pt: int = 56


@dataclass(frozen=True, slots=True)
class CautionPart:
    """How somebody can get hurt, in a frame.

    Parameters
    ----------
    lines : tuple of str
        Sentences.
    """

    lines: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class TextPart:
    """A paragraph.

    Parameters
    ----------
    text : str
        Its words.
    """

    text: str


Part = TablePart | BoxPart | CautionPart | TextPart


@dataclass(frozen=True, slots=True)
class SanitaryPaper:
    """Everything a paper about cleaning says.

    Parameters
    ----------
    farm, title, subtitle, kind : str
        Whose paper, about what, in other words, and what sort of paper.
    parts : tuple
        In order.
    lead : str
        One paragraph above them.
    findings : tuple of Finding
        The worst first.
    signatures : tuple of str
        Words under lines to sign on.
    demo : bool
        Whether the birds are pretended; then every page says so.
    """

    farm: str
    title: str
    subtitle: str
    kind: str
    parts: tuple[Part, ...]
    lead: str = ""
    findings: tuple[Finding, ...] = ()
    signatures: tuple[str, ...] = ()
    demo: bool = False


def sanitary_pdf(
    paper_data: SanitaryPaper,
    *,
    printed_at: dt.datetime,
    paper: Paper = "us-letter",
    clock: Clock = "24h",
) -> bytes:
    """Set a paper about cleaning for printing.

    Parameters
    ----------
    paper_data : SanitaryPaper
        What it says.
    printed_at : datetime
        The moment of printing, in the farm's zone.
    paper : {"us-letter", "a4"}
        Paper size.
    clock : {"12h", "24h"}
        Which clock the farm reads.

    Returns
    -------
    bytes
        The PDF; the same input gives the same bytes.

    Raises
    ------
    InputError
        If a row does not fit its table, the paper is unknown or the moment has no zone.

    References
    ----------
    Derivation: choice; what people wrote goes in as data, never as markup.
    """
    return typeset(
        "sanitary",
        {
            **head(
                farm=paper_data.farm,
                title=paper_data.title,
                subtitle=paper_data.subtitle,
                kind=paper_data.kind,
                paper=paper,
                demo=paper_data.demo,
                printed_at=printed_at,
                clock=clock,
            ),
            "lead": paper_data.lead,
            "findings": [said(one) for one in by_severity(paper_data.findings)],
            "parts": [_plain(part) for part in paper_data.parts],
            "signatures": paper_data.signatures,
        },
        printed_at=printed_at,
    )


def _plain(part: Part) -> dict[str, object]:
    if isinstance(part, TablePart):
        columns = len(part.header)
        if any(len(row) != columns for row in part.rows) or len(part.widths) != columns:
            raise InputError("parts", part.title, _("A row does not fit its table."))
        return {
            "kind": "table",
            "title": part.title,
            "header": part.header,
            "rows": part.rows,
            "widths": part.widths,
            "bold": part.bold,
            "tall": part.tall,
            "note": part.note,
            "empty": _("Nothing."),
        }
    if isinstance(part, BoxPart):
        return {
            "kind": "box",
            "ask": part.ask,
            "hint": part.hint,
            "text": part.text,
            "height": part.height_pt,
        }
    if isinstance(part, CautionPart):
        return {"kind": "caution", "lines": part.lines}
    return {"kind": "text", "text": part.text}
