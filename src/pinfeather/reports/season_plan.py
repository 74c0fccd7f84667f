"""The season's plan on paper: the answer, the ribbon, dates, orders, purchases, cash, and why."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from pinfeather.finding import Finding, by_severity
from pinfeather.reports.season_ribbon import Ribbon, ribbon_sentence
from pinfeather.reports.season_ribbon_svg import season_ribbon_svg
from pinfeather.reports.sheet_parts import Answer, head, said
from pinfeather.reports.typeset import Paper, typeset
from pinfeather.words import gettext as _

RIBBON_PX: Final = (960, 1080, 1200, 1340, 1500, 1700)
"""Widths at which the ribbon may be drawn: the fewer, the larger its letters on paper."""
_TALLEST: Final = 0.7
"""Height of the ribbon over its width that a page on its side has room for."""
_ROOM_PX: Final = 30.0
_HEIGHT: Final = re.compile(r'viewBox="0 0 ([\d.]+) ([\d.]+)"')


@dataclass(frozen=True, slots=True)
class PaperTable:
    """A table of the plan, all of it text.

    Parameters
    ----------
    title : str
        Above it.
    header : tuple of str
        Names of its columns.
    rows : tuple of tuple of str
        As wide as the header.
    right : tuple of int
        Columns, by their place, set to the right.
    note : str
        Below it; may be empty.
    tick : bool
        Whether each row begins with a box to tick.
    """

    title: str
    header: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    right: tuple[int, ...] = ()
    note: str = ""
    tick: bool = False


@dataclass(frozen=True, slots=True)
class SeasonSheet:
    """Everything a printed season says.

    Parameters
    ----------
    farm, title, subtitle : str
        Whose plan; the answer; which season and when it was worked out.
    answers : tuple of Answer
        The large numbers.
    findings : tuple of Finding
        Printed with the worst first.
    changes : tuple of str
        What is different from the plan before.
    ribbon : Ribbon or None
        The picture.
    first, tables : tuple of PaperTable
        Before the ribbon, and after it.
    sentences : tuple of str
        How good the plan is, and beside what.
    demo : bool
        Whether the birds are pretended.
    """

    farm: str
    title: str
    subtitle: str = ""
    answers: tuple[Answer, ...] = ()
    findings: tuple[Finding, ...] = ()
    changes: tuple[str, ...] = ()
    ribbon: Ribbon | None = None
    first: tuple[PaperTable, ...] = ()
    tables: tuple[PaperTable, ...] = ()
    sentences: tuple[str, ...] = ()
    demo: bool = False


def season_plan_pdf(
    sheet: SeasonSheet, *, printed_at: dt.datetime, paper: Paper = "us-letter"
) -> bytes:
    """Set a season's plan for printing, on its side.

    Parameters
    ----------
    sheet : SeasonSheet
        What it says.
    printed_at : datetime
        The moment of printing, in the farm's zone.
    paper : {"us-letter", "a4"}
        Paper size.

    Returns
    -------
    bytes
        The PDF; the same sheet gives the same bytes.

    Raises
    ------
    InputError
        If the paper is unknown or the moment has no zone.

    References
    ----------
    Derivation: choice; the answer first, the reason under it.
    """
    data = {
        **head(
            farm=sheet.farm,
            title=sheet.title,
            subtitle=sheet.subtitle,
            kind=_("Season plan"),
            paper=paper,
            demo=sheet.demo,
            printed_at=printed_at,
            clock="24h",
        ),
        "answers": sheet.answers,
        "findings": [said(finding) for finding in by_severity(sheet.findings)],
        "changes": sheet.changes,
        "ribbon_words": "" if sheet.ribbon is None else ribbon_sentence(sheet.ribbon),
        "first": [_table(one) for one in sheet.first if one.rows],
        "tables": [_table(one) for one in sheet.tables if one.rows],
        "sentences": sheet.sentences,
        "words": {"ribbon": _("The season ribbon"), "changes": _("Different from the plan before")},
    }
    pictures = {}
    if sheet.ribbon is not None:
        pictures["ribbon.svg"] = _largest(sheet.ribbon)
    return typeset("season_plan", data, printed_at=printed_at, pictures=pictures)


def _largest(ribbon: Ribbon) -> str:
    """Draw the ribbon as narrow, and so as large on the sheet, as its height allows."""
    picture = ""
    for width in RIBBON_PX:
        picture = season_ribbon_svg(ribbon, palette="print", width=width, room_px=_ROOM_PX)
        size = _HEIGHT.search(picture)
        if size is not None and float(size[2]) <= _TALLEST * float(size[1]):
            break
    return picture


def _table(table: PaperTable) -> dict[str, object]:
    return {
        "title": table.title,
        "header": table.header,
        "rows": table.rows,
        "ends": [place in table.right for place in range(len(table.header))],
        "widest": _widest(table.rows),
        "note": table.note,
        "tick": table.tick,
    }


def _widest(rows: Sequence[Sequence[str]]) -> int:
    """Return the column with the most text; it takes the room that is left."""
    lengths = [max(len(cell) for cell in column) for column in zip(*rows, strict=True)]
    return lengths.index(max(lengths))
