"""A sheet of answers and tables: pick list, pickup sheet, receipt, trace."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Final

from pinfeather.errors import InputError
from pinfeather.finding import Finding, by_severity
from pinfeather.reports.sheet_parts import Answer, head, said
from pinfeather.reports.typeset import Paper, typeset
from pinfeather.reports.when import Clock
from pinfeather.words import gettext as _

TICK: Final = "☐"
"""A cell that is printed as a box to tick."""


@dataclass(frozen=True, slots=True)
class SheetTable:
    """One table of a sheet, as text.

    Parameters
    ----------
    title : str
        Printed above it.
    header : tuple of str
        One word for each column.
    rows : tuple of tuple of str
        As many cells as columns; :data:`TICK` prints a box.
    widths : tuple of str
        ``"auto"``, or a share as a whole number; empty for all ``"auto"`` but the last.
    right : tuple of int
        Columns set to the right: numbers.
    empty : str
        Said where there are no rows.
    note : str
        Printed under it.
    """

    title: str
    header: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    widths: tuple[str, ...] = ()
    right: tuple[int, ...] = ()
    empty: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True)
class TableSheet:
    """Everything a sheet says.

    Parameters
    ----------
    farm, title, subtitle, kind : str
        Whose sheet, about what, in other words, and what sort of sheet.
    answers : tuple of Answer
        Printed large.
    findings : tuple of Finding
        The worst first.
    tables : tuple of SheetTable
        In order.
    notes : tuple of str
        Paragraphs at the end.
    signatures : tuple of str
        Words under lines to sign on.
    demo : bool
        Whether the birds are pretended; then every page says so.
    """

    farm: str
    title: str
    subtitle: str = ""
    kind: str = ""
    answers: tuple[Answer, ...] = ()
    findings: tuple[Finding, ...] = ()
    tables: tuple[SheetTable, ...] = ()
    notes: tuple[str, ...] = ()
    signatures: tuple[str, ...] = ()
    demo: bool = False


def table_sheet_pdf(
    sheet: TableSheet,
    *,
    printed_at: dt.datetime,
    paper: Paper = "us-letter",
    clock: Clock = "24h",
) -> bytes:
    """Set a sheet for printing.

    Parameters
    ----------
    sheet : TableSheet
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
        The PDF; the same sheet gives the same bytes.

    Raises
    ------
    InputError
        If a row has more or fewer cells than its table has columns, the paper is unknown or the
        moment has no zone.

    References
    ----------
    Derivation: choice; the answer first, the reason under it.
    """
    for table in sheet.tables:
        columns = len(table.header)
        if any(len(row) != columns for row in table.rows) or len(table.widths) not in (0, columns):
            raise InputError("tables", table.title, _("A row does not fit its table."))
    data = {
        **head(
            farm=sheet.farm,
            title=sheet.title,
            subtitle=sheet.subtitle,
            kind=sheet.kind,
            paper=paper,
            demo=sheet.demo,
            printed_at=printed_at,
            clock=clock,
        ),
        "answers": sheet.answers,
        "findings": [said(one) for one in by_severity(sheet.findings)],
        "tables": [
            {
                "title": table.title,
                "header": table.header,
                "rows": table.rows,
                "widths": table.widths or ("auto",) * (len(table.header) - 1) + ("1",),
                "right": table.right,
                "empty": table.empty or _("Nothing."),
                "note": table.note,
            }
            for table in sheet.tables
        ],
        "notes": sheet.notes,
        "signatures": sheet.signatures,
    }
    return typeset("table_sheet", data, printed_at=printed_at)
