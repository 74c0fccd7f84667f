"""What kinds of list can be brought in, and what each column may be called."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from pinfeather.words import gettext_noop


@dataclass(frozen=True, slots=True)
class Column:
    """Something a row of a list may say."""

    name: str
    label: str
    """In plain words."""
    headings: str
    """What its heading is often called, as a pattern."""
    needed: bool = False
    hint: str = ""


@dataclass(frozen=True, slots=True)
class ListKind:
    """A kind of list."""

    name: str
    title: str
    says: str
    """What a row of it is."""
    columns: tuple[Column, ...]
    weighs: bool = True
    """Whether it has weights, so that a unit is asked for."""
    species: bool = False
    """Whether the kind of bird is asked for where the list has none."""

    def column(self, name: str) -> Column:
        """Return one column."""
        return next(one for one in self.columns if one.name == name)


_DATE: Final = r"\bdate\b|\bday\b|\bwhen\b|datum|fecha"
_LOT: Final = r"\blot\b|\bbatch\b|\bflock\b|\bgroup\b"
_SPECIES: Final = r"species|\bkind\b|\btype\b|poultry|animal"
_COUNT: Final = r"count|head|number|\bqty\b|quantity|how many|# ?of|\bno\b|\bbirds?\b"
_WEIGHT: Final = r"weigh|\bwt\b|\blbs?\b|\bkg\b|pounds?\b|\boz\b"

KINDS: Final[Mapping[str, ListKind]] = {
    kind.name: kind
    for kind in (
        ListKind(
            "lots",
            gettext_noop("Lots"),
            gettext_noop("A row is a lot: when it hatched or came, what, how many, from where."),
            (
                Column("hatched", gettext_noop("Hatched on"), r"hatch(?!er)"),
                Column("arrived", gettext_noop("Came on"), rf"arriv|came|deliver|received|{_DATE}"),
                Column("code", gettext_noop("Lot"), rf"{_LOT}|\bcode\b|\bname\b"),
                Column("species", gettext_noop("Kind of bird"), rf"{_SPECIES}"),
                Column("breed", gettext_noop("Breed"), r"breed|strain|variety"),
                Column("count", gettext_noop("How many came"), rf"{_COUNT}|chicks|poults", True),
                Column("source", gettext_noop("From where"), r"source|hatchery|from|supplier"),
            ),
            weighs=False,
            species=True,
        ),
        ListKind(
            "weighings",
            gettext_noop("Weighings"),
            gettext_noop("A row is a weight, or several: which lot, which day, how heavy."),
            (
                Column("lot", gettext_noop("Lot"), _LOT, True),
                Column("on", gettext_noop("Weighed on"), _DATE, True),
                Column(
                    "weights",
                    gettext_noop("Weight"),
                    _WEIGHT,
                    True,
                    gettext_noop("One, or several with semicolons between."),
                ),
                Column(
                    "birds",
                    gettext_noop("Birds weighed together"),
                    _COUNT,
                    False,
                    gettext_noop("Where a basket of several was weighed."),
                ),
            ),
        ),
        ListKind(
            "days",
            gettext_noop("Past processing days"),
            gettext_noop("A row is a day: when, what, how many, how heavy dressed."),
            (
                Column("on", gettext_noop("Processed on"), _DATE, True),
                Column("species", gettext_noop("Kind of bird"), rf"{_SPECIES}"),
                Column("lot", gettext_noop("Lot"), _LOT),
                Column("total", gettext_noop("Dressed weight of all together"), r"total|all\b|sum"),
                Column(
                    "weights",
                    gettext_noop("Dressed weights one by one"),
                    _WEIGHT,
                    False,
                    gettext_noop("With semicolons between."),
                ),
                Column("count", gettext_noop("How many birds"), _COUNT, True),
            ),
            species=True,
        ),
        ListKind(
            "sales",
            gettext_noop("Sales"),
            gettext_noop("A row is a sale: when, to whom, what, how heavy, for how much."),
            (
                Column("on", gettext_noop("Sold on"), _DATE, True),
                Column(
                    "price_per_lb",
                    gettext_noop("Price for a pound"),
                    r"per ?(lb|pound)|/ ?lb|a pound|unit price|rate",
                ),
                Column(
                    "amount",
                    gettext_noop("Paid in all"),
                    r"amount|total|paid|price|sum|\$|dollars|cost",
                ),
                Column("buyer", gettext_noop("Buyer"), r"buyer|customer|client|sold to|name|who"),
                Column("product", gettext_noop("What was sold"), r"product|item|what|descr|cut"),
                Column("weight", gettext_noop("Weight"), _WEIGHT),
                Column("lot", gettext_noop("Lot"), _LOT),
            ),
        ),
    )
}
"""The kinds of list, in the order a farm would bring them in."""


def guessed(kind: ListKind, names: Sequence[str]) -> dict[str, str]:
    """Guess which heading is which column, from its words alone; each heading once."""
    free = [name for name in names if name]
    found: dict[str, str] = {}
    for column in kind.columns:
        pattern = re.compile(column.headings, re.IGNORECASE)
        hit = next((name for name in free if pattern.search(name.replace("_", " "))), "")
        found[column.name] = hit
        if hit:
            free.remove(hit)
    return found
