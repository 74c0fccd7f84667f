"""A lot's life on paper: the answer, the heads book, weights, feed, medicine; and a barn card."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

from pinfeather.finding import Finding
from pinfeather.reports.growth_curve import GrowthCurve, MassUnit, growth_sentence, growth_svg
from pinfeather.reports.sheet_parts import STRIP_PX, Answer, head, said
from pinfeather.reports.typeset import Paper, typeset
from pinfeather.reports.when import Clock
from pinfeather.words import gettext as _

CARD_LINES = 22
"""Empty lines on a barn card."""


@dataclass(frozen=True, slots=True)
class SheetLine:
    """One line of the heads book or of the rest of a lot's life.

    Parameters
    ----------
    on : str
        The day.
    what : str
        Kind of entry.
    words : str
        What it says.
    who : str
        Who wrote it.
    struck : str
        Why it was struck out; empty where it stands.
    heads : str
        Birds there at the end of that day; empty where it says nothing about heads.
    """

    on: str
    what: str
    words: str
    who: str
    struck: str = ""
    heads: str = ""


@dataclass(frozen=True, slots=True)
class SheetRow:
    """A label with its value.

    Parameters
    ----------
    label : str
        What it is.
    value : str
        The value, with its unit.
    note : str
        What else to know.
    """

    label: str
    value: str
    note: str = ""


@dataclass(frozen=True, slots=True)
class LotSheet:
    """Everything a lot's sheet says.

    Parameters
    ----------
    title, subtitle : str
        The lot, and what it is.
    answers : tuple of Answer
        The large numbers.
    findings : tuple of Finding
        What is wrong.
    balance : str
        The book of heads as one line.
    book : tuple of SheetLine
        Entries that change the number of birds.
    life : tuple of SheetLine
        The other entries.
    losses, weights, feed, medicine : tuple of SheetRow
        By cause; by weighing; put in, left, still needed; with withdrawal.
    growth : GrowthCurve or None
        The picture.
    """

    title: str
    subtitle: str
    answers: tuple[Answer, ...]
    findings: tuple[Finding, ...]
    balance: str
    book: tuple[SheetLine, ...]
    life: tuple[SheetLine, ...]
    losses: tuple[SheetRow, ...]
    weights: tuple[SheetRow, ...]
    feed: tuple[SheetRow, ...]
    medicine: tuple[SheetRow, ...]
    growth: GrowthCurve | None


def lot_sheet_pdf(
    sheet: LotSheet,
    *,
    farm: str,
    demo: bool,
    printed_at: dt.datetime,
    paper: Paper = "us-letter",
    clock: Clock = "24h",
    unit: MassUnit = "lb",
) -> bytes:
    """Set a lot's sheet for printing.

    Parameters
    ----------
    sheet : LotSheet
        What it says.
    farm : str
        Whose lot.
    demo : bool
        Whether the birds are pretended; then every page says so.
    printed_at : datetime
        The moment of printing, in the farm's zone.
    paper : {"us-letter", "a4"}
        Paper size.
    clock : {"12h", "24h"}
        Which clock the farm reads.
    unit : {"lb", "kg"}
        Unit of the picture.

    Returns
    -------
    bytes
        The PDF; the same input gives the same bytes.

    Raises
    ------
    InputError
        If the paper is unknown or the moment has no zone.

    References
    ----------
    Derivation: choice.
    """
    pictures, words = {}, ""
    if sheet.growth is not None:
        pictures = {
            "growth.svg": growth_svg(sheet.growth, palette="print", width=STRIP_PX, unit=unit)
        }
        words = growth_sentence(sheet.growth, unit=unit)
    data = {
        **head(
            farm=farm,
            title=sheet.title,
            subtitle=sheet.subtitle,
            kind=_("Lot sheet"),
            paper=paper,
            demo=demo,
            printed_at=printed_at,
            clock=clock,
        ),
        "answers": sheet.answers,
        "findings": [said(one) for one in sheet.findings],
        "balance": sheet.balance,
        "book": sheet.book,
        "life": sheet.life,
        "losses": sheet.losses,
        "weights": sheet.weights,
        "feed": sheet.feed,
        "medicine": sheet.medicine,
        "growth_words": words,
        "words": {
            "growth": _("Weights"),
            "book": _("Heads book"),
            "life": _("Everything else"),
            "losses": _("Losses by cause"),
            "feed": _("Feed"),
            "medicine": _("Medicine"),
            "on": _("Day"),
            "what": _("What"),
            "words": _("In words"),
            "who": _("Who"),
            "heads": _("Birds then"),
            "struck": _("struck out:"),
            "weighings": _("Weighings"),
        },
    }
    return typeset("lot_sheet", data, printed_at=printed_at, pictures=pictures)


def barn_card_pdf(
    title: str,
    subtitle: str,
    *,
    facts: Sequence[SheetRow],
    causes: Sequence[str],
    stop: str,
    farm: str,
    demo: bool,
    printed_at: dt.datetime,
    paper: Paper = "us-letter",
    clock: Clock = "24h",
) -> bytes:
    """Set an empty card that hangs in the barn and is written on by hand.

    Parameters
    ----------
    title, subtitle : str
        The lot, and what it is.
    facts : sequence of SheetRow
        What should stand on the card.
    causes : sequence of str
        Causes of a loss, to write in short.
    stop : str
        What to do where birds look sick.
    farm : str
        Whose lot.
    demo : bool
        Whether the birds are pretended.
    printed_at : datetime
        The moment of printing, in the farm's zone.
    paper : {"us-letter", "a4"}
        Paper size.
    clock : {"12h", "24h"}
        Which clock the farm reads.

    Returns
    -------
    bytes
        The PDF, one page.

    Raises
    ------
    InputError
        If the paper is unknown or the moment has no zone.

    References
    ----------
    Derivation: choice.
    """
    data = {
        **head(
            farm=farm,
            title=title,
            subtitle=subtitle,
            kind=_("Barn card"),
            paper=paper,
            demo=demo,
            printed_at=printed_at,
            clock=clock,
        ),
        "facts": list(facts),
        "lines": CARD_LINES,
        "stop": stop,
        "words": {
            "columns": [
                _("Day"),
                _("Lost"),
                _("Cause"),
                _("Moved or counted"),
                _("Feed put in"),
                _("Feed left"),
                _("Who"),
            ],
            "causes": _("Causes: {names}.").format(names=", ".join(causes).lower()),
            "copy": _("Carry it over to the farm computer once a week, then start a new card."),
        },
    }
    return typeset("barn_card", data, printed_at=printed_at)
