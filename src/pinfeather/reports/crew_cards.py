"""A card for each person: where, when, and what next; two to a page, to cut apart."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from pinfeather.reports.sheet_parts import head
from pinfeather.reports.typeset import Paper, typeset
from pinfeather.reports.when import Clock
from pinfeather.words import gettext as _

MOST_LINES = 7
"""Stretches a card has room for; a longer day goes on the person's next card."""


@dataclass(frozen=True, slots=True)
class CardLine:
    """One stretch of somebody's day.

    Parameters
    ----------
    at, until : str
        Clock times.
    where : str
        The stations, in words.
    side : str
        Which side of the shop; may be empty.
    before : str
        What to do before it begins, such as wash and change; may be empty.
    """

    at: str
    until: str
    where: str
    side: str = ""
    before: str = ""


@dataclass(frozen=True, slots=True)
class CrewCard:
    """One person's card.

    Parameters
    ----------
    name : str
        Whose.
    hours : str
        When they are there.
    lines : tuple of CardLine
        In order of time.
    after : str
        What comes after the last line.
    cautions : tuple of str
        What can hurt them at their stations.
    """

    name: str
    hours: str
    lines: tuple[CardLine, ...]
    after: str
    cautions: tuple[str, ...] = ()


def crew_cards_pdf(
    cards: tuple[CrewCard, ...],
    *,
    farm: str,
    title: str,
    demo: bool,
    printed_at: dt.datetime,
    paper: Paper = "us-letter",
    clock: Clock = "24h",
) -> bytes:
    """Set the cards for printing.

    Parameters
    ----------
    cards : tuple of CrewCard
        One for each person.
    farm, title : str
        Whose day, and which.
    demo : bool
        Whether the birds are pretended; then every card says so.
    printed_at : datetime
        The moment of printing, in the farm's zone.
    paper : {"us-letter", "a4"}
        Paper size.
    clock : {"12h", "24h"}
        Which clock the farm reads.

    Returns
    -------
    bytes
        The PDF, two cards a page.

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
            subtitle="",
            kind=_("Crew cards"),
            paper=paper,
            demo=demo,
            printed_at=printed_at,
            clock=clock,
        ),
        "cards": [part for card in cards for part in _parts(card)],
        "words": {"next": _("then"), "care": _("Take care")},
    }
    return typeset("crew_cards", data, printed_at=printed_at)


def _parts(card: CrewCard) -> list[dict[str, object]]:
    """Cut a long day into cards of its own."""
    pieces = [card.lines[n : n + MOST_LINES] for n in range(0, len(card.lines), MOST_LINES)]
    pieces = pieces or [()]
    return [
        {
            "name": card.name
            if len(pieces) == 1
            else _("{name}, card {n} of {all}").format(
                name=card.name, n=number + 1, all=len(pieces)
            ),
            "hours": card.hours,
            "lines": lines,
            "after": card.after if number + 1 == len(pieces) else _("See the next card."),
            "cautions": card.cautions,
        }
        for number, lines in enumerate(pieces)
    ]
