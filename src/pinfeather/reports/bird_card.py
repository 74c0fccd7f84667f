"""“Your bird”: the card a customer takes home, with thawing, cooking and safe handling."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from pinfeather.errors import InputError
from pinfeather.reports.labels import ICONS, SafeHandling
from pinfeather.reports.sheet_parts import head
from pinfeather.reports.typeset import Paper, packaged_picture, typeset
from pinfeather.words import gettext as _


@dataclass(frozen=True, slots=True)
class BirdCard:
    """One bird's card.

    Parameters
    ----------
    name : str
        Whose bird.
    product : str
        What it is.
    net_lb : Decimal
        Printed net weight [lb].
    facts : str
        Lot code and packing date, in one line.
    thaw : tuple of str
        How to thaw it, one sentence a line.
    cook : str
        How hot it has to get.
    safe_handling : SafeHandling
        The block, verbatim as the rules give it.
    source : str
        Where the words come from.
    """

    name: str
    product: str
    net_lb: Decimal
    facts: str
    thaw: tuple[str, ...]
    cook: str
    safe_handling: SafeHandling
    source: str


def bird_cards_pdf(
    cards: Sequence[BirdCard],
    *,
    farm: str,
    demo: bool,
    printed_at: dt.datetime,
    paper: Paper = "us-letter",
) -> bytes:
    """Set the cards for printing.

    Parameters
    ----------
    cards : sequence of BirdCard
        At least one.
    farm : str
        Whose birds.
    demo : bool
        Whether the birds are pretended; then every card says so.
    printed_at : datetime
        The moment of printing, in the farm's zone.
    paper : {"us-letter", "a4"}
        Paper size.

    Returns
    -------
    bytes
        The PDF, two cards a page.

    Raises
    ------
    InputError
        If there is no card, the paper is unknown or the moment has no zone.

    References
    ----------
    9 CFR 381.125(b) for the block's words and order.
    """
    if not cards:
        raise InputError("cards", (), _("There is no bird to print a card for."))
    data = {
        **head(
            farm=farm,
            title=_("Your bird"),
            subtitle="",
            kind=_("Your bird"),
            paper=paper,
            demo=demo,
            printed_at=printed_at,
            clock="24h",
        ),
        "cards": [
            {
                "name": card.name,
                "product": card.product,
                "net_weight": f"{card.net_lb} lb",
                "facts": card.facts,
                "thaw": card.thaw,
                "cook": card.cook,
                "safe_handling": card.safe_handling,
                "source": card.source,
            }
            for card in cards
        ],
        "words": {"thaw": _("Thaw it in the cold")},
    }
    pictures = {f"{name}.svg": packaged_picture(name) for name in ICONS}
    return typeset("bird_card", data, printed_at=printed_at, pictures=pictures)
