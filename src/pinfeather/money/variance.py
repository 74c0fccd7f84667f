"""Why a pound cost more than last time: the difference in parts that add up exactly."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import combinations
from math import factorial
from typing import Final

from pinfeather.errors import InputError, InputFaultsError
from pinfeather.money.cents import Exact, half_up, to_the_cent
from pinfeather.words import gettext as _
from pinfeather.words import gettext_noop

FACTORS: Final[Mapping[str, str]] = {
    "feed_cents_per_lb": gettext_noop("Feed price"),
    "feed_per_gain": gettext_noop("Feed for a pound of gain"),
    "loss_frac": gettext_noop("Losses"),
    "yield_frac": gettext_noop("Dressing yield"),
    "labour_h_per_bird": gettext_noop("Hours a bird"),
    "wage_cents_per_h": gettext_noop("Pay of an hour"),
    "chick_cents": gettext_noop("Chick price"),
    "live_lb": gettext_noop("Weight of a bird"),
    "other_cents": gettext_noop("Everything else a bird"),
}
"""What can differ between two lots, in the order shown."""


@dataclass(frozen=True, slots=True)
class LotFigures:
    """A lot in nine numbers.

    Parameters
    ----------
    feed_cents_per_lb : Fraction
        Price of its feed [cents/lb].
    feed_per_gain : Fraction
        Pounds of feed for a pound of live bird dressed, what the dead ate included [1].
    loss_frac : Fraction
        Share of chicks never dressed [1].
    yield_frac : Fraction
        Dressed over live weight [1].
    labour_h_per_bird : Fraction
        Own and paid hours on a bird dressed [h].
    wage_cents_per_h : Fraction
        Pay of an hour [cents/h].
    chick_cents : Fraction
        A chick [cents].
    live_lb : Fraction
        A bird alive [lb].
    other_cents : Fraction
        Everything else, on a bird dressed [cents].

    Raises
    ------
    InputFaultsError
        If a number is below zero, all were lost, or there is no weight.
    """

    feed_cents_per_lb: Exact
    feed_per_gain: Exact
    loss_frac: Exact
    yield_frac: Exact
    labour_h_per_bird: Exact
    wage_cents_per_h: Exact
    chick_cents: Exact
    live_lb: Exact
    other_cents: Exact

    def __post_init__(self) -> None:
        faults = [
            InputError(name, getattr(self, name), _("This is zero or more."))
            for name in FACTORS
            if getattr(self, name) < 0
        ]
        if self.loss_frac >= 1 or min(self.live_lb, self.yield_frac) == 0:
            faults.append(InputError("loss_frac", self.loss_frac, _("Nothing was dressed.")))
        if faults:
            raise InputFaultsError(faults)


def cost_of_pound(lot: LotFigures) -> Fraction:
    """Return what a dressed pound of a lot cost, exactly.

    Parameters
    ----------
    lot : LotFigures
        Its nine numbers.

    Returns
    -------
    Fraction
        Cents a pound.

    References
    ----------
    Derivation: cost of a bird dressed over its dressed weight; the dead birds' chicks are paid for
    by the living.
    """
    bird = (
        Fraction(lot.chick_cents) / (1 - Fraction(lot.loss_frac))
        + Fraction(lot.feed_cents_per_lb) * Fraction(lot.feed_per_gain) * Fraction(lot.live_lb)
        + Fraction(lot.labour_h_per_bird) * Fraction(lot.wage_cents_per_h)
        + Fraction(lot.other_cents)
    )
    return bird / (Fraction(lot.live_lb) * Fraction(lot.yield_frac))


@dataclass(frozen=True, slots=True)
class Difference:
    """Why one lot's pound cost more than another's.

    Parameters
    ----------
    before_cents, after_cents : int
        Cost of a pound [cents].
    parts : tuple of (str, Fraction, int)
        Factor, its part exactly, and in cents; both columns add up to the difference.
    """

    before_cents: int
    after_cents: int
    parts: tuple[tuple[str, Fraction, int], ...]

    @property
    def difference_cents(self) -> int:
        """After less before [cents]."""
        return self.after_cents - self.before_cents


def difference(before: LotFigures, after: LotFigures) -> Difference:
    """Split the difference between two lots by what made it.

    Parameters
    ----------
    before, after : LotFigures
        The two lots, or two years.

    Returns
    -------
    Difference
        A factor that did not change has exactly nothing.

    Notes
    -----
    Changing one number at a time depends on the order. Each factor's part is its mean over all
    orders (its Shapley value), which adds up exactly and does not depend on any order.

    References
    ----------
    Shapley 1953, "A Value for n-Person Games", Contributions to the Theory of Games II, 307-317
    (unverified); Horngren, Datar and Rajan, *Cost Accounting* (14th ed., 2012),
    chapter 7, for variances (unverified).
    """
    changed = [name for name in FACTORS if getattr(before, name) != getattr(after, name)]
    values: dict[frozenset[str], Fraction] = {}
    for size in range(len(changed) + 1):
        for names in combinations(changed, size):
            mixed = replace(before, **{name: getattr(after, name) for name in names})
            values[frozenset(names)] = cost_of_pound(mixed)
    exact = [_shapley(name, changed, values) for name in FACTORS]
    start, end = half_up(cost_of_pound(before)), half_up(cost_of_pound(after))
    shown = to_the_cent(exact, end - start)
    return Difference(start, end, tuple(zip(FACTORS, exact, shown, strict=True)))


def _shapley(name: str, changed: list[str], values: Mapping[frozenset[str], Fraction]) -> Fraction:
    if name not in changed:
        return Fraction(0)
    others = [one for one in changed if one != name]
    n, total = len(changed), Fraction(0)
    for size in range(n):
        weight = Fraction(factorial(size) * factorial(n - size - 1), factorial(n))
        for names in combinations(others, size):
            without = frozenset(names)
            total += weight * (values[without | {name}] - values[without])
    return total
