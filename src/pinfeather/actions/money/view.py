"""A year in money as pages and papers show it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from pinfeather import clock
from pinfeather.actions.farm import farm
from pinfeather.actions.flock import books as flocks
from pinfeather.actions.money.book import MoneyBook, MoneyLine, book
from pinfeather.actions.money.taken import batches, held_lb, taken_costs, taken_income
from pinfeather.errors import InputError, RecordNotFoundError
from pinfeather.money.cents import Exact, cents_from, half_up, per
from pinfeather.money.costing import Carried, GroupCost, Line, View, carried_by_living
from pinfeather.money.entries import STACKS, Batch, CostEntry, Kind
from pinfeather.money.equipment import wear_entries
from pinfeather.money.ledger import HEADER, Transaction, import_rows, plain_text, transactions
from pinfeather.money.season_report import Books, YearReport, year_report
from pinfeather.money.survey import Survey, survey
from pinfeather.reports.cost_stack import CostBar, CostStack
from pinfeather.reports.tables import csv_bytes
from pinfeather.words import gettext as _

USUAL_LOSS: Final = Fraction(1, 20)
"""Losses once one has learnt; assumed, shown as such."""
EATEN_FRAC: Final = Fraction(1, 4)
"""Feed a dead bird had eaten against a living one; assumed."""
_MOST_BARS: Final = 12


@dataclass(frozen=True, slots=True)
class YearView:
    """A year with the book it came from."""

    report: YearReport
    book: MoneyBook
    books: Books
    years: tuple[int, ...]
    price_cents: int | None
    """What is asked for a pound: what sales brought, or the farm's own price."""
    price_is_sold: bool
    survey: Survey | None

    @property
    def full(self) -> GroupCost | None:
        """The whole year in full cost."""
        return self.report.totals.get(View.FULL)


def all_books() -> tuple[MoneyBook, Books]:
    """Return everything written about money, and as the domain reads it."""
    written = book()
    lots = flocks.books()
    return written, Books(
        costs=(*written.costs, *taken_costs(written, lots)),
        batches=batches(lots),
        things=written.things,
        income=(*written.income, *taken_income()),
        held_lb=held_lb(written.income),
        usual_loss_frac=USUAL_LOSS,
        asking_cents_per_lb=farm_price(),
    )


def year_view(year: int | None = None) -> YearView:
    """Return a year; without one the newest in which birds were dressed.

    Raises
    ------
    RecordNotFoundError
        If nothing was written in that year.
    """
    written, books = all_books()
    today = clock.today(farm().zone)
    dressed = [one.day.year for one in books.batches if not one.outside]
    known = sorted(
        {today.year, *dressed, *(one.on.year for one in books.costs)}
        | {one.bought.year for one in books.things}
    )
    if year is None:
        year = max(dressed, default=today.year)
    if year not in known:
        raise RecordNotFoundError(_("Nothing is written for {year}.").format(year=year))
    report = year_report(books, year)
    price = per(report.sales_cents, report.sold_lb) if report.sold_lb > 0 else None
    return YearView(
        report,
        written,
        books,
        tuple(known),
        price if price is not None else farm_price(),
        price is not None,
        _survey(written, report, price if price is not None else farm_price(), today=today),
    )


def farm_price() -> int | None:
    """Return the farm's own price of a pound in cents."""
    try:
        return cents_from(farm().price_per_lb)
    except InputError:
        return None


def _survey(
    written: MoneyBook, report: YearReport, price: int | None, *, today: dt.date
) -> Survey | None:
    if not written.seen:
        return None
    full = report.totals.get(View.FULL)
    cost = full.per_lb_cents if full and full.per_lb_cents is not None else 0
    return survey(written.seen, own_cents=price or 0, cost_cents=cost, today=today)


def stack(
    groups: Sequence[GroupCost], price_cents: int | None, pound: Exact = 1
) -> CostStack | None:
    """Return the picture of what a pound cost, one bar a group; None where there is no weight.

    ``pound`` is a pound in the farm's own unit: 1, or its kilograms.
    """
    bars = []
    for group in groups[-_MOST_BARS:]:
        if group.dressed_lb <= 0:
            continue
        layers = tuple(
            float(cents / group.dressed_lb / Fraction(pound)) for cents in layer_cents(group)
        )
        total = half_up(group.total_cents / group.dressed_lb / Fraction(pound))
        bars.append(CostBar(group.name, layers, total))
    if not bars:
        return None
    price = None if price_cents is None else half_up(price_cents / Fraction(pound))
    return CostStack(tuple(_(name) for name, _kinds in STACKS), tuple(bars), price)


def stack_csv(picture: CostStack, unit: str) -> bytes:
    """Return the picture's numbers: what a pound, or a kilogram, of each group cost."""
    header = ("birds", *(f"{name}, cents" for name in picture.layers), "all, cents", "for one")
    return csv_bytes(
        header,
        (
            (bar.name, *(round(cents, 2) for cents in bar.layers_cents), bar.total_cents, unit)
            for bar in picture.bars
        ),
    )


def layer_cents(group: GroupCost) -> tuple[int, ...]:
    """Return a group's cost in the layers of the picture; they add up to it."""
    return tuple(
        sum(line.cents for line in group.lines if line.kind in kinds) for _name, kinds in STACKS
    )


@dataclass(frozen=True, slots=True)
class Traced:
    """One entry behind a line, and what this group carries of it."""

    entry: CostEntry
    cents: int
    line: MoneyLine | None
    """Where it was written; None where it was taken from other records."""


def group_of(view: YearView, by: str, name: str) -> GroupCost:
    """Return a group of the year.

    Raises
    ------
    RecordNotFoundError
        If there is none.
    """
    groups = {"lot": view.report.lots, "day": view.report.days, "species": view.report.species}
    if by == "all" and view.full is not None:
        return view.full
    for one in groups.get(by, ()):
        if one.name == name:
            return one
    raise RecordNotFoundError(_("There are no such birds in this year."))


def _named(one: Batch, by: str) -> str:
    return {"lot": one.lot, "day": one.day.isoformat()}.get(by, one.species)


def trace(view: YearView, by: str, name: str) -> tuple[tuple[Line, tuple[Traced, ...]], ...]:
    """Return every line of a group with the entries it came from, and what it carries of each.

    Raises
    ------
    RecordNotFoundError
        If there is no such group.
    """
    group, charged = group_of(view, by, name), view.report.charged
    mine = {at for at, one in enumerate(charged.batches) if by == "all" or _named(one, by) == name}
    sums: dict[int, int] = {}
    for one in charged.charges:
        if one.batch in mine:
            sums[one.entry] = sums.get(one.entry, 0) + one.cents
    written = {one.id: one for one in view.book.lines}
    return tuple(
        (
            line,
            tuple(
                Traced(
                    charged.entries[at],
                    sums.get(at, 0),
                    written.get(charged.entries[at].id.split(":")[0]),
                )
                for at in line.entries
            ),
        )
        for line in group.lines
    )


def ledger_csv(year: int, *, us_dates: bool = False) -> bytes:
    """Return the year's transactions as rows.

    Raises
    ------
    RecordNotFoundError
        If nothing was written in that year.
    """
    return csv_bytes(HEADER, import_rows(_transactions(year), us_dates=us_dates))


def ledger_text(year: int) -> bytes:
    """Return the year's transactions as plain text.

    Raises
    ------
    RecordNotFoundError
        If nothing was written in that year.
    """
    return plain_text(_transactions(year)).encode()


def _transactions(year: int) -> tuple[Transaction, ...]:
    view = year_view(year)
    books = view.books
    wear = wear_entries(books.things, year)
    return transactions(
        [one for one in (*books.costs, *wear) if one.on.year == year],
        [one for one in books.income if one.on.year == year],
        [one for one in books.things if one.bought.year == year],
    )


def own_labour_cents(group: GroupCost | None) -> int:
    """Return the own hours in a group's cost."""
    if group is None:
        return 0
    return sum(line.cents for line in group.lines if line.kind is Kind.OWN_LABOUR)


def carried(group: GroupCost) -> Carried | None:
    """Return what a group's dead cost its living; None where none died.

    How much of a living bird's feed a dead one had eaten is assumed: a quarter.
    """
    if not 0 < group.birds < group.placed:
        return None
    sums = {line.kind: line.cents for line in group.lines}
    return carried_by_living(
        sums.get(Kind.CHICKS, 0),
        sums.get(Kind.FEED, 0),
        placed=group.placed,
        living=group.birds,
        eaten_frac=EATEN_FRAC,
    )
