"""A season on the back of an envelope: what if price, volume, losses or feed were otherwise."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Final

from pinfeather.errors import InputError, InputFaultsError
from pinfeather.money.cents import Exact, half_up, per
from pinfeather.words import gettext as _
from pinfeather.words import gettext_noop

LEVERS: Final[Mapping[str, str]] = {
    "price_cents_per_lb": gettext_noop("Price of a pound"),
    "placed": gettext_noop("Chicks started"),
    "loss_frac": gettext_noop("Losses"),
    "dressed_lb": gettext_noop("Weight of a bird"),
    "chick_cents": gettext_noop("Price of a chick"),
    "feed_cents_per_lb": gettext_noop("Price of feed"),
    "feed_lb": gettext_noop("Feed a bird eats"),
    "other_bird_cents": gettext_noop("Other cost of a bird"),
    "fixed_cents": gettext_noop("Fixed cost"),
    "labour_h_per_bird": gettext_noop("Hours a bird"),
    "wage_cents_per_h": gettext_noop("Pay of an hour"),
}
"""What can be turned, in the order it is asked."""


@dataclass(frozen=True, slots=True)
class Season:
    """A season in eleven numbers.

    Parameters
    ----------
    price_cents_per_lb : Fraction
        What a pound brings [cents/lb].
    placed : Fraction
        Chicks started.
    loss_frac : Fraction
        Share of them that is never dressed [1].
    dressed_lb : Fraction
        A dressed bird [lb].
    chick_cents : Fraction
        A chick [cents].
    feed_cents_per_lb : Fraction
        Feed [cents/lb].
    feed_lb : Fraction
        Feed for each bird dressed, what the dead ate included [lb].
    other_bird_cents : Fraction
        Everything else that goes with a bird, own hours left out [cents].
    fixed_cents : Fraction
        What is there whatever the number of birds [cents].
    labour_h_per_bird : Fraction
        Hours of work on each bird dressed [h].
    wage_cents_per_h : Fraction
        Pay of an hour [cents/h].

    Raises
    ------
    InputFaultsError
        If a number is below zero, or everything is lost.
    """

    price_cents_per_lb: Exact
    placed: Exact
    loss_frac: Exact
    dressed_lb: Exact
    chick_cents: Exact
    feed_cents_per_lb: Exact
    feed_lb: Exact
    other_bird_cents: Exact
    fixed_cents: Exact
    labour_h_per_bird: Exact
    wage_cents_per_h: Exact

    def __post_init__(self) -> None:
        faults = [
            InputError(name, getattr(self, name), _("This is zero or more."))
            for name in LEVERS
            if getattr(self, name) < 0
        ]
        if self.loss_frac >= 1:
            faults.append(InputError("loss_frac", self.loss_frac, _("Some have to live.")))
        if self.dressed_lb == 0:
            faults.append(InputError("dressed_lb", 0, _("A bird weighs something.")))
        if self.placed == 0:
            faults.append(InputError("placed", 0, _("At least one chick.")))
        if faults:
            raise InputFaultsError(faults)


@dataclass(frozen=True, slots=True)
class Outcome:
    """What a season comes to.

    Parameters
    ----------
    birds : Fraction
        Birds dressed.
    sold_lb : Fraction
        Pounds to sell [lb].
    sales_cents : int
        What they bring [cents].
    cost_cents : int
        Everything, own hours at the pay stated [cents].
    labour_cents : int
        The hours in it [cents].
    cost_cents_per_lb : int
        Break-even price of a pound [cents/lb].
    """

    birds: Fraction
    sold_lb: Fraction
    sales_cents: int
    cost_cents: int
    labour_cents: int
    cost_cents_per_lb: int

    @property
    def profit_cents(self) -> int:
        """What is left after the pay of all hours [cents]."""
        return self.sales_cents - self.cost_cents

    @property
    def to_labour_cents(self) -> int:
        """What is left for own hours [cents]."""
        return self.profit_cents + self.labour_cents


def outcome(season: Season) -> Outcome:
    """Work a season out.

    Parameters
    ----------
    season : Season
        Its eleven numbers.

    Returns
    -------
    Outcome
        Rounded once, at the end.

    References
    ----------
    Derivation: dead birds' chicks are paid for by the living; feed is counted by the bird dressed.
    """
    birds = Fraction(season.placed) * (1 - Fraction(season.loss_frac))
    sold_lb = birds * Fraction(season.dressed_lb)
    labour = birds * Fraction(season.labour_h_per_bird) * Fraction(season.wage_cents_per_h)
    cost = (
        Fraction(season.fixed_cents)
        + Fraction(season.placed) * Fraction(season.chick_cents)
        + birds * Fraction(season.feed_lb) * Fraction(season.feed_cents_per_lb)
        + birds * Fraction(season.other_bird_cents)
        + labour
    )
    return Outcome(
        birds,
        sold_lb,
        half_up(sold_lb * Fraction(season.price_cents_per_lb)),
        half_up(cost),
        half_up(labour),
        half_up(cost / sold_lb),
    )


@dataclass(frozen=True, slots=True)
class Bar:
    """What one number alone does to the profit.

    Parameters
    ----------
    name : str
        Which number, one of :data:`LEVERS`.
    low, high : Fraction
        The values it was put at.
    at_low_cents, at_high_cents : int
        The profit there [cents].
    """

    name: str
    low: Fraction
    high: Fraction
    at_low_cents: int
    at_high_cents: int

    @property
    def width_cents(self) -> int:
        """How far apart the two profits are [cents]."""
        return abs(self.at_high_cents - self.at_low_cents)


def tornado(season: Season, ranges: Mapping[str, tuple[Exact, Exact]]) -> tuple[Bar, ...]:
    """Turn one number at a time, the others as they are.

    Parameters
    ----------
    season : Season
        As it is.
    ranges : mapping of str to (Decimal, Decimal)
        For each number to turn, its low and its high value.

    Returns
    -------
    tuple of Bar
        The widest first; of equal ones by name.

    Raises
    ------
    InputError
        If a name is unknown.

    References
    ----------
    One-at-a-time sensitivity, drawn widest first: common practice.
    """
    bars = []
    for name, (low, high) in ranges.items():
        if name not in LEVERS:
            raise InputError(
                "ranges", name, _("Known are: {names}.").format(names=", ".join(LEVERS))
            )
        at_low = outcome(replace(season, **{name: low})).profit_cents
        at_high = outcome(replace(season, **{name: high})).profit_cents
        bars.append(Bar(name, Fraction(low), Fraction(high), at_low, at_high))
    return tuple(sorted(bars, key=lambda bar: (-bar.width_cents, bar.name)))


def two_way(
    season: Season, rows: tuple[str, Sequence[Exact]], columns: tuple[str, Sequence[Exact]]
) -> tuple[tuple[int, ...], ...]:
    """Return the profit over two numbers turned together.

    Parameters
    ----------
    season : Season
        As it is.
    rows, columns : tuple of (str, sequence of Decimal)
        Which number, and the values it is put at.

    Returns
    -------
    tuple of tuple of int
        Profit, a row for each value of the first [cents].

    References
    ----------
    Derivation: :func:`outcome` at every pair.
    """
    return tuple(
        tuple(
            outcome(replace(season, **{rows[0]: row, columns[0]: column})).profit_cents
            for column in columns[1]
        )
        for row in rows[1]
    )


def spread_ranges(
    season: Season, share_frac: Exact = Fraction(1, 10)
) -> dict[str, tuple[Fraction, Fraction]]:
    """Return every number a share lower and higher, for a first look.

    Parameters
    ----------
    season : Season
        As it is.
    share_frac : Decimal or Fraction
        How far each way; a stated guess, not a finding [1].

    Returns
    -------
    dict of str to (Fraction, Fraction)
        For :func:`tornado`; numbers that are zero are left out.

    References
    ----------
    Derivation: the same share for all shows what matters by its size alone.
    """
    found = {}
    for name in LEVERS:
        value = Fraction(getattr(season, name))
        if value:
            high = value * (1 + Fraction(share_frac))
            found[name] = (value * (1 - Fraction(share_frac)), high)
    return found


def pay_of_hours(season: Season) -> int | None:
    """Return what an hour earns in a season.

    Parameters
    ----------
    season : Season
        Its numbers.

    Returns
    -------
    int or None
        What is left for own hours over the hours; None without hours [cents/h].

    References
    ----------
    Return to labour and management per hour: common practice of extension budgets (unverified).
    """
    found = outcome(season)
    return per(found.to_labour_cents, found.birds * Fraction(season.labour_h_per_bird))
