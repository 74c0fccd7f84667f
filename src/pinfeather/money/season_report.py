"""A year in money: what a pound cost, what it brought, what came in and went out, what is left."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction
from typing import Final

from pinfeather.errors import InputError
from pinfeather.finding import Finding
from pinfeather.money.cents import Exact, half_up
from pinfeather.money.costing import Charged, GroupCost, View, charge, cost, months
from pinfeather.money.entries import NOT_CASH, Batch, CostEntry, Kind, Scope
from pinfeather.money.equipment import (
    Equipment,
    FirstYear,
    Method,
    book_value,
    first_year,
    wear_entries,
)
from pinfeather.money.income import Deposits, Held, Income, stock_at_cost
from pinfeather.money.price import BreakEven, break_even, pay_per_hour
from pinfeather.money.season_findings import season_findings
from pinfeather.money.tax import FarmSchedule, farm_schedule
from pinfeather.money.year_income import YearIncome, income_by_year
from pinfeather.words import gettext as _

PAYS_CENTS: Final = (0, 1500, 2000, 2500)
"""Pays for own hours that a break-even price is shown for; a choice [cents/h]."""


_NEVER: Final = 10_000
"""The year in which birds still alive are dressed."""


@dataclass(frozen=True, slots=True)
class Books:
    """Everything the farm has written down about money.

    Parameters
    ----------
    costs : tuple of CostEntry
        Costs, equipment wear left out.
    batches : tuple of Batch
        Birds dressed, by lot and day.
    things : tuple of Equipment
        Equipment.
    income : tuple of Income
        Sales and deposits.
    held_lb : mapping of (str, date) to Decimal
        Pounds in store, by lot and processing day [lb].
    opening_cents : int
        Cash at the beginning of the first year [cents].
    method : str
        How equipment wears: ``"straight line"`` or ``"annuity"``.
    rate_frac : Decimal
        Interest a year, of the annuity [1].
    usual_loss_frac : Decimal
        Losses once one has learnt [1].
    asking_cents_per_lb : int or None
        What is asked for a pound; values what is in store where nothing is sold yet [cents/lb].
    """

    costs: tuple[CostEntry, ...]
    batches: tuple[Batch, ...]
    things: tuple[Equipment, ...] = ()
    income: tuple[Income, ...] = ()
    held_lb: Mapping[tuple[str, dt.date], Exact] = field(default_factory=dict)
    opening_cents: int = 0
    method: Method = "straight line"
    rate_frac: Exact = 0
    usual_loss_frac: Exact = Fraction(1, 20)
    asking_cents_per_lb: int | None = None


@dataclass(frozen=True, slots=True)
class CashMonth:
    """Cash of one month.

    Parameters
    ----------
    month : int
        1 to 12.
    in_cents, out_cents : int
        What came in, and what was paid, equipment at its full price included [cents].
    balance_cents : int
        In the till at the end of the month [cents].
    """

    month: int
    in_cents: int
    out_cents: int
    balance_cents: int


@dataclass(frozen=True, slots=True)
class YearReport:
    """A year in money.

    Parameters
    ----------
    year : int
        Which.
    totals : mapping of View to GroupCost
        The whole year, in each view; empty where no bird was dressed.
    lots, species, days : tuple of GroupCost
        In full cost.
    charged : Charged
        Every charge of the year, so that each line leads to its entries.
    own_hours : Fraction
        Own hours written down [h].
    sales_cents : int
        Sales of the year [cents].
    sold_lb : Fraction
        Pounds sold, where weights were written [lb].
    to_come_cents : int
        What is in store, at the price of a pound sold, or else asked [cents].
    sales_by_lot : mapping of str to int
        [cents].
    pay_cents_per_h : int or None
        What an own hour earned, what is in store counted at its price [cents/h].
    prices : tuple of BreakEven
        Break-even price of a pound at several pays for own hours.
    cash : tuple of CashMonth
        Twelve months.
    deposits : Deposits
        What is owed to customers.
    stock : tuple of Held
        Packs in store at cost.
    outside_cents : int
        Money in birds not dressed yet [cents].
    gear_cents : int
        Equipment at the end of the year by straight line [cents].
    first_year : FirstYear
        With equipment charged at once, and over its life.
    schedule : FarmSchedule
        The farm schedule's lines, for information.
    findings : tuple of Finding
        What to know before leaning on it.
    """

    year: int
    totals: Mapping[View, GroupCost]
    lots: tuple[GroupCost, ...]
    species: tuple[GroupCost, ...]
    days: tuple[GroupCost, ...]
    charged: Charged
    own_hours: Fraction
    sales_cents: int
    sold_lb: Fraction
    to_come_cents: int
    sales_by_lot: Mapping[str, int]
    pay_cents_per_h: int | None
    prices: tuple[BreakEven, ...]
    cash: tuple[CashMonth, ...]
    deposits: Deposits
    stock: tuple[Held, ...]
    outside_cents: int
    gear_cents: int
    first_year: FirstYear
    schedule: FarmSchedule
    findings: tuple[Finding, ...]

    @property
    def stock_cents(self) -> int:
        """Everything in store at cost [cents]."""
        return sum(one.cents for one in self.stock)


def year_report(books: Books, year: int, *, pays_cents: Sequence[int] = PAYS_CENTS) -> YearReport:
    """Draw up a year.

    Parameters
    ----------
    books : Books
        Everything written down, of any year.
    year : int
        Which calendar year.
    pays_cents : sequence of int
        Pays for own hours to show a break-even price for [cents/h].

    Returns
    -------
    YearReport
        A cost of a lot counts in the year its birds were dressed, whenever it was paid; the cash
        counts in the month it was paid.

    Raises
    ------
    InputError
        If the year is beyond belief.

    References
    ----------
    Derivation: sums of whole cents; each rule is named where it is applied.
    """
    if not 1900 <= year <= 2200:  # noqa: PLR2004 - a slip of the pen
        raise InputError("year", year, _("Which year?"))
    income = income_by_year(books.income, [year])[year]
    return _report(books, year, pays_cents, income=income, lots=_Lots.of(books))


def _report(
    books: Books, year: int, pays_cents: Sequence[int], *, income: YearIncome, lots: _Lots
) -> YearReport:
    wear = wear_entries(books.things, year, method=books.method, rate_frac=books.rate_frac)
    batches = tuple(one for one in books.batches if one.day.year == year and not one.outside)
    charged = charge((*_of_year(books, batches, year, lots=lots), *wear), batches)
    totals = _totals(charged, books)
    own_hours = _own_hours(charged)
    full = totals.get(View.FULL)
    other_cents = full.total_cents - _of_kind(full, Kind.OWN_LABOUR) if full else 0
    prices: tuple[BreakEven, ...] = ()
    if full and full.dressed_lb > 0:
        prices = break_even(
            other_cents, dressed_lb=full.dressed_lb, hours=own_hours, pays_cents=pays_cents
        )
    worn = sum(one.cents for one in wear)
    stock = _stock(books, charged, year)
    to_come = _to_come(books, income, stock)
    return YearReport(
        year,
        totals,
        cost(charged, by="lot"),
        cost(charged, by="species"),
        cost(charged, by="day"),
        charged,
        own_hours,
        income.sales_cents,
        income.sold_lb,
        to_come,
        income.by_lot,
        pay_per_hour(income.sales_cents + to_come, other_cents, own_hours),
        prices,
        cash_by_month(books, year, income),
        income.deposits,
        stock,
        _outside(books, charged, year, lots=lots),
        sum(book_value(one, year) for one in books.things),
        first_year(books.things, year, other_cents=full.total_cents - worn if full else 0),
        _schedule(books, year, income),
        season_findings(full, {one.kind for one in charged.entries}, income),
    )


def _own_hours(charged: Charged) -> Fraction:
    waiting = set(charged.waiting)
    hours = (
        Fraction(one.hours or 0)
        for at, one in enumerate(charged.entries)
        if one.kind is Kind.OWN_LABOUR and at not in waiting
    )
    return sum(hours, Fraction(0))


def _of_year(
    books: Books, batches: tuple[Batch, ...], year: int, *, lots: _Lots
) -> tuple[CostEntry, ...]:
    """Return what belongs to the year's birds, and what waits for birds not dressed yet."""
    mine = {one.lot for one in batches}
    days = {one.day.isoformat() for one in batches}
    found = []
    for one in books.costs:
        if one.scope is Scope.LOT:
            if one.of in mine:
                found.append(_part_of_lot(one, lots.batches[one.of], year))
            elif one.of not in lots.batches and one.on.year == year:
                found.append(one)
        elif (one.scope is Scope.DAY and one.of in days) or one.on.year == year:
            found.append(one)
    return tuple(found)


@dataclass(frozen=True, slots=True)
class _Lots:
    """The batches of each lot, and the year in which the last of it was dressed."""

    batches: Mapping[str, Sequence[Batch]]
    last_year: Mapping[str, int]

    @classmethod
    def of(cls, books: Books) -> _Lots:
        found: dict[str, list[Batch]] = {}
        for batch in books.batches:
            found.setdefault(batch.lot, []).append(batch)
        last = {
            lot: max(_NEVER if one.outside else one.day.year for one in mine)
            for lot, mine in found.items()
        }
        return cls(found, last)


def _outside(books: Books, charged: Charged, year: int, *, lots: _Lots) -> int:
    """Return what birds not dressed by the year's end have cost up to then, own hours too."""
    cents = 0
    for one in books.costs:
        if one.scope is not Scope.LOT or lots.last_year.get(one.of, _NEVER) <= year:
            continue
        if one.on.year > year:
            continue
        lot = lots.batches.get(one.of, ())
        if not lot:
            cents += one.cents
            continue
        cents += sum(
            each.cents
            for each in charge([one], lot).charges
            if lot[each.batch].outside or lot[each.batch].day.year > year
        )
    waiting = (charged.entries[at] for at in charged.waiting)
    return cents + sum(one.cents for one in waiting if one.scope is not Scope.LOT)


def _part_of_lot(one: CostEntry, lot: Sequence[Batch], year: int) -> CostEntry:
    """Return the year's part of a cost of a lot that was not all dressed in one year."""
    if all(batch.day.year == year and not batch.outside for batch in lot):
        return one
    shares = charge([one], lot).charges
    mine = sum(
        each.cents
        for each in shares
        if lot[each.batch].day.year == year and not lot[each.batch].outside
    )
    hours = None if one.hours is None or not one.cents else Fraction(one.hours) * mine / one.cents
    return replace(one, cents=mine, hours=hours)


def _totals(charged: Charged, books: Books) -> dict[View, GroupCost]:
    if not charged.batches:
        return {}
    return {
        view: cost(charged, view=view, usual_loss_frac=books.usual_loss_frac)[0] for view in View
    }


def _of_kind(group: GroupCost | None, kind: Kind) -> int:
    if group is None:
        return 0
    return sum(line.cents for line in group.lines if line.kind is kind)


def cash_by_month(
    books: Books, year: int, income: YearIncome | None = None
) -> tuple[CashMonth, ...]:
    """Follow the till through a year.

    Parameters
    ----------
    books : Books
        Everything written down.
    year : int
        Which calendar year.
    income : YearIncome or None
        The year's income where it is summed up already.

    Returns
    -------
    tuple of CashMonth
        Twelve; the balance starts from the opening cash and everything before the year.

    References
    ----------
    Derivation: sums.
    """
    income = income or income_by_year(books.income, [year])[year]
    paid = dict(months(books.costs, year))
    balance = books.opening_cents + income.till_before_cents
    balance -= sum(one.cents for one in books.costs if one.on.year < year and one.is_cash)
    balance -= sum(one.price_cents for one in books.things if one.bought.year < year)
    for thing in books.things:
        if thing.bought.year == year:
            paid[thing.bought.month] += thing.price_cents
    found = []
    for month in range(1, 13):
        came, went = income.came_cents[month], paid[month] + income.went_cents[month]
        balance += came - went
        found.append(CashMonth(month, came, went, balance))
    return tuple(found)


def _stock(books: Books, charged: Charged, year: int) -> tuple[Held, ...]:
    mine = {key: lb for key, lb in books.held_lb.items() if key[1].year == year and lb > 0}
    return stock_at_cost(charged, mine)


def _to_come(books: Books, income: YearIncome, stock: Sequence[Held]) -> int:
    """Return what is in store at the price of a pound sold, or else asked."""
    price = income.price_cents_per_lb
    price = books.asking_cents_per_lb if price is None else price
    return half_up(sum((one.held_lb for one in stock), Fraction(0)) * (price or 0))


def _schedule(books: Books, year: int, income: YearIncome) -> FarmSchedule:
    sums: dict[str, int] = {}
    for one in books.costs:
        if one.on.year == year:
            sums[one.kind.value] = sums.get(one.kind.value, 0) + one.cents
    earned = {"sale": income.sales_cents, "other income": income.kept_cents}
    sums |= {name: cents for name, cents in earned.items() if cents}
    return farm_schedule(sums, not_deducted=frozenset(kind.value for kind in NOT_CASH))


def reports(books: Books, years: Sequence[int]) -> tuple[YearReport, ...]:
    """Draw up several years.

    Parameters
    ----------
    books : Books
        Everything written down.
    years : sequence of int
        Which.

    Returns
    -------
    tuple of YearReport
        In order.

    References
    ----------
    Derivation: :func:`year_report` of each.
    """
    income, lots = income_by_year(books.income, years), _Lots.of(books)
    return tuple(_report(books, year, PAYS_CENTS, income=income[year], lots=lots) for year in years)
