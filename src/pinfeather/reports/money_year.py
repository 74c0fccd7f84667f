"""A year in money on three sheets, for the kitchen table or a lender."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from pinfeather.finding import Finding, by_severity
from pinfeather.reports.cost_stack import CostStack, stack_sentence, stack_svg
from pinfeather.reports.sheet_parts import STRIP_PX, Answer, head, said
from pinfeather.reports.typeset import Paper, typeset
from pinfeather.reports.when import Clock
from pinfeather.words import gettext as _


@dataclass(frozen=True, slots=True)
class MoneyTable:
    """A table as text.

    Parameters
    ----------
    title : str
        What it shows.
    header : tuple of str
        Column titles; the first column is words, the others are numbers.
    rows : tuple of tuple of str
        Each as long as the header.
    last_is_total : bool
        Whether the last row is set bold.
    note : str
        A sentence under it; may be empty.
    """

    title: str
    header: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    last_is_total: bool = False
    note: str = ""


@dataclass(frozen=True, slots=True)
class MoneyYearSheet:
    """Everything the three sheets say.

    Parameters
    ----------
    farm, title, subtitle : str
        Whose, which year, and what was dressed.
    answers : tuple of Answer
        Cost of a pound, what it brought, what an hour earns.
    findings : tuple of Finding
        Printed with the worst first.
    stack : CostStack or None
        The picture.
    first, second, third : tuple of MoneyTable
        Tables of each sheet.
    notes : tuple of str
        How it was worked out, and what it is not.
    demo : bool
        Whether the birds are pretended.
    """

    farm: str
    title: str
    subtitle: str
    answers: tuple[Answer, ...]
    findings: tuple[Finding, ...]
    stack: CostStack | None
    first: tuple[MoneyTable, ...]
    second: tuple[MoneyTable, ...]
    third: tuple[MoneyTable, ...]
    notes: tuple[str, ...]
    demo: bool = False


def money_year_pdf(
    sheet: MoneyYearSheet,
    *,
    printed_at: dt.datetime,
    paper: Paper = "us-letter",
    clock: Clock = "12h",
) -> bytes:
    """Set a year for printing.

    Parameters
    ----------
    sheet : MoneyYearSheet
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
        The PDF, three pages; the same year gives the same bytes.

    Raises
    ------
    InputError
        If the paper is unknown or the moment has no zone.

    References
    ----------
    Derivation: choice; the answer first, then where it comes from, then the cash.
    """
    data = {
        **head(
            farm=sheet.farm,
            title=sheet.title,
            subtitle=sheet.subtitle,
            kind=_("The year in money"),
            paper=paper,
            demo=sheet.demo,
            printed_at=printed_at,
            clock=clock,
        ),
        "answers": sheet.answers,
        "findings": [said(finding) for finding in by_severity(sheet.findings)],
        "stack_words": "" if sheet.stack is None else stack_sentence(sheet.stack),
        "pages": [sheet.first, sheet.second, sheet.third],
        "notes": sheet.notes,
        "words": {"stack": _("The cost of a pound, and the price over it"), "notes": _("Notes")},
    }
    pictures = {}
    if sheet.stack is not None:
        pictures["stack.svg"] = stack_svg(sheet.stack, width=STRIP_PX, palette="print")
    return typeset("money_year", data, printed_at=printed_at, pictures=pictures)
