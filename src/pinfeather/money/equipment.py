"""What equipment costs a year and a bird: by straight line, as an annuity, over its birds."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Final, Literal

from pinfeather.errors import InputError, InputFaultsError
from pinfeather.money.cents import Exact, half_up
from pinfeather.money.entries import CostEntry, Driver, Kind, Scope
from pinfeather.words import gettext as _

Method = Literal["straight line", "annuity"]
LONGEST_LIFE_YEARS: Final = 60
_MONTHS: Final = 12


@dataclass(frozen=True, slots=True)
class Equipment:
    """A thing that lasts longer than a year.

    Parameters
    ----------
    id : str
        What it is found by again.
    name : str
        What it is called.
    bought : date
        When it was bought; its wear begins with that month.
    price_cents : int
        What it cost [cents].
    salvage_cents : int
        What it will still bring at the end [cents].
    life_years : int
        For how long it is expected to serve.
    use_frac : Decimal or Fraction
        Share of its use that is for these birds [1].
    repair_cents : int
        Repairs expected in a year; shown, never charged, since real ones are written down [cents].
    what : str
        A note.

    Raises
    ------
    InputFaultsError
        With every fault.
    """

    id: str
    name: str
    bought: dt.date
    price_cents: int
    salvage_cents: int
    life_years: int
    use_frac: Exact = 1
    repair_cents: int = 0
    what: str = ""

    def __post_init__(self) -> None:
        faults = []
        if self.price_cents < 0:
            faults.append(InputError("price", self.price_cents, _("A price is zero or more.")))
        if not 0 <= self.salvage_cents <= self.price_cents:
            faults.append(
                InputError(
                    "salvage", self.salvage_cents, _("At the end it is worth no more than it cost.")
                )
            )
        if not 1 <= self.life_years <= LONGEST_LIFE_YEARS:
            faults.append(InputError("life", self.life_years, _("Between 1 and 60 years.")))
        if not 0 <= self.use_frac <= 1:
            faults.append(
                InputError("use", self.use_frac, _("A share of use lies between 0 and 100 %."))
            )
        if self.repair_cents < 0:
            faults.append(InputError("repair", self.repair_cents, _("Repairs are zero or more.")))
        if faults:
            raise InputFaultsError(faults)

    @property
    def wear_cents(self) -> int:
        """What it loses over its whole life [cents]."""
        return self.price_cents - self.salvage_cents


def straight_line(one: Equipment, year: int) -> int:
    """Return the wear of a calendar year by straight line.

    Parameters
    ----------
    one : Equipment
        Which thing.
    year : int
        Which year.

    Returns
    -------
    int
        Of the whole thing, not of the share used for birds [cents].

    Notes
    -----
    By whole months from the month it was bought. What is written off up to the end of a year is
    rounded half up, and a year is the difference of two of those: all years add up exactly.

    References
    ----------
    Straight-line depreciation (price - salvage) / life: textbook (unverified).
    """
    return _written_off(one, year) - _written_off(one, year - 1)


def _written_off(one: Equipment, year: int) -> int:
    gone = (year - one.bought.year) * _MONTHS + _MONTHS - one.bought.month + 1
    life = one.life_years * _MONTHS
    return half_up(Fraction(one.wear_cents * min(max(gone, 0), life), life))


def book_value(one: Equipment, year: int) -> int:
    """Return what a thing is worth in the books at the end of a year.

    Parameters
    ----------
    one : Equipment
        Which thing.
    year : int
        Which year.

    Returns
    -------
    int
        Price less what is written off; nothing before it was bought [cents].

    References
    ----------
    Derivation: price less straight-line wear.
    """
    return 0 if year < one.bought.year else one.price_cents - _written_off(one, year)


def recovery_factor(rate_frac: Exact, years: int) -> Decimal:
    """Return the share of a sum that is paid each year to recover it with interest.

    Parameters
    ----------
    rate_frac : Decimal or Fraction
        Interest a year [1].
    years : int
        For how many years.

    Returns
    -------
    Decimal
        Rounded to twelve decimals [1].

    Raises
    ------
    InputError
        If the rate is below zero or above 100 %, or there is no year.

    References
    ----------
    Edwards, "Estimating Farm Machinery Costs", Iowa State University Extension, Ag Decision Maker
    A3-29: capital recovery factor i / (1 - (1 + i)^-n).

    Examples
    --------
    >>> recovery_factor(Decimal("0.08"), 20).quantize(Decimal("0.000001"))
    Decimal('0.101852')
    """
    if not 0 <= rate_frac <= 1:
        raise InputError("rate_frac", rate_frac, _("Interest lies between 0 and 100 % a year."))
    if not 1 <= years <= LONGEST_LIFE_YEARS:
        raise InputError("years", years, _("Between 1 and 60 years."))
    exact = _factor(Fraction(rate_frac), years)
    return Decimal(half_up(exact * 10**12)).scaleb(-12)


def _factor(rate: Fraction, periods: int) -> Fraction:
    return Fraction(1, periods) if rate == 0 else rate / (1 - (1 + rate) ** -periods)


def annuity(price_cents: int, *, salvage_cents: int, rate_frac: Exact, years: int) -> int:
    """Return what a thing costs each year with interest on what is tied up in it.

    Parameters
    ----------
    price_cents, salvage_cents : int
        What it cost, and what it brings at the end [cents].
    rate_frac : Decimal or Fraction
        Interest a year; a real rate, where all prices are today's [1].
    years : int
        For how many years.

    Returns
    -------
    int
        The same in each year, rounded half up [cents].

    Raises
    ------
    InputError
        As :func:`recovery_factor`, or if the salvage is below zero or above the price.

    Notes
    -----
    (price - salvage) x factor + salvage x interest, with the exact factor: a table of three
    decimals is off by $23 a year on $68,200.

    References
    ----------
    Edwards, "Estimating Farm Machinery Costs", Iowa State University Extension, Ag Decision Maker
    A3-29, capital recovery.

    Examples
    --------
    >>> annuity(1_500_000, salvage_cents=500_000, rate_frac=Decimal("0.10"), years=5)
    313797
    """
    if not 0 <= salvage_cents <= price_cents:
        raise InputError(
            "salvage_cents", salvage_cents, _("At the end it is worth no more than it cost.")
        )
    recovery_factor(rate_frac, years)
    rate = Fraction(rate_frac)
    return half_up((price_cents - salvage_cents) * _factor(rate, years) + salvage_cents * rate)


def payment(sum_cents: int, *, rate_frac: Exact, periods: int) -> Fraction:
    """Return what a loan takes each period, exactly.

    Parameters
    ----------
    sum_cents : int
        What is borrowed [cents].
    rate_frac : Decimal or Fraction
        Interest a period [1].
    periods : int
        How many equal payments, each at the end of its period.

    Returns
    -------
    Fraction
        Cents a period.

    Raises
    ------
    InputError
        If the rate is below zero or there is no period.

    References
    ----------
    Textbook annuity; the manual of NumPy Financial prints an example (second hand).
    """
    if rate_frac < 0 or periods < 1:
        raise InputError("rate_frac", rate_frac, _("Interest is zero or more, for one period on."))
    return sum_cents * _factor(Fraction(rate_frac), periods)


def per_bird(one: Equipment, *, birds_a_year: int) -> Fraction:
    """Return what a thing costs a bird over its whole life, repairs included, without interest.

    Parameters
    ----------
    one : Equipment
        Which thing.
    birds_a_year : int
        Birds expected in a year.

    Returns
    -------
    Fraction
        Cents a bird.

    Raises
    ------
    InputError
        If no birds are expected.

    References
    ----------
    Derivation: share of (price - salvage + repairs) over birds of the whole life.
    """
    if birds_a_year < 1:
        raise InputError("birds_a_year", birds_a_year, _("At least one bird a year."))
    whole = one.wear_cents + one.repair_cents * one.life_years
    return Fraction(one.use_frac) * whole / (birds_a_year * one.life_years)


def wear_entries(
    things: Sequence[Equipment],
    year: int,
    *,
    method: Method = "straight line",
    rate_frac: Exact = 0,
) -> tuple[CostEntry, ...]:
    """Turn the equipment into the entries a year's birds carry.

    Parameters
    ----------
    things : sequence of Equipment
        All of it; what does not serve in the year is left out.
    year : int
        Which year.
    method : {"straight line", "annuity"}
        How.
    rate_frac : Decimal or Fraction
        Interest a year, of the annuity [1].

    Returns
    -------
    tuple of CostEntry
        One a thing, for the whole farm and by birds, each with how it was worked out.

    References
    ----------
    Derivation: :func:`straight_line` or :func:`annuity` times the share of use.
    """
    found = []
    for one in things:
        last = one.bought.year + one.life_years - (1 if one.bought.month == 1 else 0)
        if not one.bought.year <= year <= last:
            continue
        if method == "annuity":
            whole = Fraction(
                annuity(
                    one.price_cents,
                    salvage_cents=one.salvage_cents,
                    rate_frac=rate_frac,
                    years=one.life_years,
                )
                * _months_in(one, year),
                _MONTHS,
            )
        else:
            whole = Fraction(straight_line(one, year))
        cents = half_up(whole * Fraction(one.use_frac))
        told = _("{method} over {n} years, {share} % of its use").format(
            method=_(method), n=one.life_years, share=half_up(Fraction(one.use_frac) * 100)
        )
        on = max(one.bought, dt.date(year, 1, 1))
        found.append(
            CostEntry(
                f"{one.id}:{year}", on, Kind.EQUIPMENT, cents, Scope.FARM, what=one.name,
                by=Driver.BIRDS, basis=told,
            )
        )  # fmt: skip
    return tuple(found)


def _months_in(one: Equipment, year: int) -> int:
    gone = (year - one.bought.year) * _MONTHS - one.bought.month + 1
    life = one.life_years * _MONTHS
    return min(gone + _MONTHS, life) - max(gone, 0)


@dataclass(frozen=True, slots=True)
class FirstYear:
    """Three honest figures for a year in which things were bought.

    Parameters
    ----------
    bought_cents : int
        Equipment bought in the year, the share for birds [cents].
    wear_cents : int
        What of all equipment wears out in the year, the share for birds [cents].
    all_at_once_cents : int
        Cost of the year with everything bought in it charged to its birds [cents].
    over_its_life_cents : int
        Cost of the year with wear instead [cents].
    """

    bought_cents: int
    wear_cents: int
    all_at_once_cents: int
    over_its_life_cents: int


def first_year(things: Sequence[Equipment], year: int, *, other_cents: int) -> FirstYear:
    """Show a year's cost with equipment charged at once, and over its life.

    Parameters
    ----------
    things : sequence of Equipment
        All of it.
    year : int
        Which year.
    other_cents : int
        What the year cost besides equipment [cents].

    Returns
    -------
    FirstYear
        Both sums and the difference's parts.

    References
    ----------
    Derivation: neither is wrong; the first is the cash, the second the cost.
    """
    bought = sum(
        half_up(one.price_cents * Fraction(one.use_frac))
        for one in things
        if one.bought.year == year
    )
    wear = sum(entry.cents for entry in wear_entries(things, year))
    return FirstYear(bought, wear, other_cents + bought, other_cents + wear)
