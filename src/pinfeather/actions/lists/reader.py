"""One row of a list, read column by column; what is wrong is gathered with its row."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any, Final

from pinfeather.actions.lists.cells import date_in, plain_number, weights_in, whole_in
from pinfeather.actions.lists.kinds import ListKind
from pinfeather.actions.lists.table import Table
from pinfeather.errors import InputError, InputFaultsError
from pinfeather.flock.weight_list import weights_kg
from pinfeather.words import date_text
from pinfeather.words import gettext as _

OLDEST: Final = dt.timedelta(days=40 * 365)
_SPECIES_WORDS: Final = {
    "chicken": "chicken", "chickens": "chicken", "chick": "chicken", "chicks": "chicken",
    "broiler": "chicken", "broilers": "chicken", "hen": "chicken", "hens": "chicken",
    "rooster": "chicken", "roosters": "chicken", "turkey": "turkey", "turkeys": "turkey",
    "poult": "turkey", "poults": "turkey", "duck": "duck", "ducks": "duck", "duckling": "duck",
    "ducklings": "duck", "goose": "goose", "geese": "goose", "gosling": "goose",
    "goslings": "goose",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class How:
    """How the list is to be read, as somebody said or let stand."""

    columns: Mapping[str, str]
    """Heading by column; empty for columns the list has not."""
    order: str = "mdy"
    point: str = "."
    unit: str = "lb"
    species: str = "chicken"


@dataclass(frozen=True, slots=True)
class Around:
    """What the rows have to fit: the farm as it is now."""

    today: dt.date
    lots: Mapping[str, dt.date | None]
    """Hatch date by code."""
    closed: frozenset[tuple[dt.date, str]]
    """Days and kinds that the program has records of."""
    metric: bool = False


@dataclass(frozen=True, slots=True)
class Planned:
    """One entry a list would make."""

    row: int
    kind: str
    payload: Mapping[str, Any]
    cells: tuple[str, ...]
    """What it says, in words, for the preview."""
    lot: Mapping[str, Any] | None = None
    """Values of a new lot."""


@dataclass(frozen=True, slots=True)
class RowFault:
    """What is wrong with a row."""

    row: int
    heading: str
    sentence: str


@dataclass(slots=True)
class Read:
    """A list as it would be read."""

    headings: tuple[str, ...]
    planned: list[Planned] = field(default_factory=list)
    faults: list[RowFault] = field(default_factory=list)


class Row:
    """Reads one row and gathers what is wrong with it."""

    def __init__(self, number: int, cells: tuple[str, ...], *, of: Reader) -> None:
        self.row, self.cells, self.of = number, cells, of
        self.faults: list[RowFault] = []

    def text(self, name: str) -> str:
        """Return what stands in a column, empty where the list has none."""
        heading = self.of.how.columns.get(name, "")
        return self.of.table.cell(self.cells, heading).strip() if heading else ""

    def fault(self, name: str, sentence: str) -> None:
        """Note what is wrong with a column of this row."""
        heading = self.of.how.columns.get(name, "") or _(self.of.kind.column(name).label)
        self.faults.append(RowFault(self.row, heading, sentence))

    def date(self, name: str) -> dt.date:
        """Read a day that has come."""
        today = self.of.around.today
        try:
            value = date_in(self.text(name), order=self.of.how.order)
        except InputError as fault:
            self.fault(name, fault.problem)
            return today
        if value > today:
            self.fault(name, _("{day} has not come yet.").format(day=date_text(value)))
        elif today - value > OLDEST:
            self.fault(name, _("{day}: is the year right?").format(day=date_text(value)))
        return value

    def whole(self, name: str, *, most: int, empty: int | None = None) -> int:
        """Read a number of birds."""
        if empty is not None and not self.text(name):
            return empty
        try:
            return whole_in(self.text(name), point=self.of.how.point, least=1, most=most)
        except InputError as fault:
            self.fault(name, fault.problem)
            return 1

    def number(self, name: str) -> Decimal | None:
        """Read a number; None where there is none."""
        if not self.text(name):
            return None
        try:
            return Decimal(plain_number(self.text(name), point=self.of.how.point))
        except InputError as fault:
            self.fault(name, fault.problem)
            return None

    def species(self) -> str:
        """Read the kind of bird, or take the one chosen."""
        word = self.text("species")
        if not word:
            return self.of.how.species
        for part in reversed(word.casefold().replace("-", " ").split()):
            if part in _SPECIES_WORDS:
                return _SPECIES_WORDS[part]
        self.fault("species", _("“{word}” is no kind of bird we know.").format(word=word[:40]))
        return self.of.how.species

    def weights(self, name: str, *, each: int = 1) -> tuple[float, ...]:
        """Read weights [kg]."""
        text = weights_in(self.text(name), point=self.of.how.point)
        try:
            return weights_kg(text, unit=self.of.how.unit, birds_each=each)
        except InputFaultsError as error:
            for fault in error.faults:
                self.fault(name, fault.problem)
            return ()

    def known_lot(self, *, needed: bool) -> str:
        """Read the code of a lot that is on record."""
        code = self.text("lot")
        if not code and not needed:
            return ""
        same = {known.casefold(): known for known in self.of.around.lots}
        if code.casefold() in same:
            return same[code.casefold()]
        if not code:
            self.fault("lot", _("There is no lot."))
        else:
            sentence = _("There is no lot “{code}” yet. Start it, or bring in the lots first.")
            self.fault("lot", sentence.format(code=code[:40]))
        return code


class Reader:
    """Reads a whole list of one kind."""

    def __init__(self, kind: ListKind, table: Table, *, how: How, around: Around) -> None:
        self.kind, self.table, self.how, self.around = kind, table, how, around
        self.codes = {code.casefold() for code in around.lots}

    def rows(self) -> list[Row]:
        """Return the rows."""
        return [Row(number, cells, of=self) for number, cells in self.table.rows]

    def new_code(self, species: str) -> str:
        """Return a code for a lot that has none."""
        number = 1
        while f"{species[0]}{number}" in self.codes:
            number += 1
        return f"{species[0]}{number}".upper()
