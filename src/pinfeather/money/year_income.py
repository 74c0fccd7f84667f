"""Income summed up by calendar year in one pass: cash by month, sales, weights, deposits."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from fractions import Fraction
from typing import Final

from pinfeather.money.cents import Exact, per
from pinfeather.money.income import Deposits, Event, Income

_NO_DEPOSITS: Final = Deposits(0, 0, 0, 0, 0)


@dataclass(slots=True)
class _Sums:
    events: dict[Event, int] = field(default_factory=dict)
    came: list[int] = field(default_factory=lambda: [0] * 13)
    went: list[int] = field(default_factory=lambda: [0] * 13)
    by_lot: dict[str, int] = field(default_factory=dict)
    applied_cents: int = 0
    weighed_cents: int = 0
    pounds: Decimal = Decimal(0)
    other_pounds: Fraction = Fraction(0)


@dataclass(frozen=True, slots=True)
class YearIncome:
    """What came in in one year, and what stood before it.

    Parameters
    ----------
    sales_cents : int
        Sales less what was brought back [cents].
    kept_cents : int
        Deposits kept [cents].
    sold_lb : Fraction
        Pounds sold less brought back, where weights were written [lb].
    by_lot : mapping of str to int
        Sales by lot [cents].
    price_cents_per_lb : int or None
        What a pound brought, of sales with a weight [cents/lb].
    came_cents, went_cents : tuple of int
        Into the till and out of it again, by month; the first is empty [cents].
    deposits : Deposits
        Customers' deposits.
    till_before_cents : int
        What income had put into the till before the year [cents].
    """

    sales_cents: int = 0
    kept_cents: int = 0
    sold_lb: Fraction = Fraction(0)
    by_lot: Mapping[str, int] = field(default_factory=dict)
    price_cents_per_lb: int | None = None
    came_cents: tuple[int, ...] = (0,) * 13
    went_cents: tuple[int, ...] = (0,) * 13
    deposits: Deposits = _NO_DEPOSITS
    till_before_cents: int = 0


def income_by_year(events: Iterable[Income], years: Iterable[int]) -> dict[int, YearIncome]:
    """Sum income up by calendar year.

    Parameters
    ----------
    events : iterable of Income
        Everything, in any order.
    years : iterable of int
        Which years to tell.

    Returns
    -------
    dict of int to YearIncome
        One for each year asked, with what stood before it.

    References
    ----------
    Derivation: sums; the same as :func:`pinfeather.money.income.deposits` and the till, in one
    pass.
    """
    sums: dict[int, _Sums] = {}
    for one in events:
        year = sums.get(one.on.year)
        if year is None:
            year = sums[one.on.year] = _Sums()
        _add(year, one)
    found = {}
    till = owed = 0
    told = sorted(set(years))
    for year_number in sorted({*sums, *told}):
        year = sums.get(year_number, _Sums())
        deposits = _deposits(year, owed)
        if year_number in told:
            found[year_number] = _told(year, deposits, till)
        owed = deposits.owed_cents
        till += sum(year.came) - sum(year.went)
    return found


def _add(year: _Sums, one: Income) -> None:
    event, cents = one.event, one.cents
    year.events[event] = year.events.get(event, 0) + cents
    cash = one.cash_cents
    if cash >= 0:
        year.came[one.on.month] += cash
    else:
        year.went[one.on.month] -= cash
    year.applied_cents += one.from_deposit_cents
    if event is Event.SALE or event is Event.RETURN:
        sign = 1 if event is Event.SALE else -1
        year.by_lot[one.lot] = year.by_lot.get(one.lot, 0) + sign * cents
        if one.sold_lb:
            year.weighed_cents += sign * cents
            _weigh(year, one.sold_lb, sign)


def _weigh(year: _Sums, pounds: Exact, sign: int) -> None:
    if isinstance(pounds, Fraction):
        year.other_pounds += sign * pounds
    else:
        year.pounds += sign * pounds


def _deposits(year: _Sums, owed: int) -> Deposits:
    got = year.events.get
    return Deposits(
        owed, got(Event.DEPOSIT, 0), year.applied_cents, got(Event.REFUND, 0), got(Event.KEPT, 0)
    )


def _told(year: _Sums, deposits: Deposits, till: int) -> YearIncome:
    sold = Fraction(year.pounds) + year.other_pounds
    sales = year.events.get(Event.SALE, 0) - year.events.get(Event.RETURN, 0)
    return YearIncome(
        sales,
        year.events.get(Event.KEPT, 0),
        sold,
        dict(sorted(year.by_lot.items())),
        per(year.weighed_cents, sold),
        tuple(year.came),
        tuple(year.went),
        deposits,
        till,
    )
