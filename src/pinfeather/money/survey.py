"""What neighbours ask, how widely it spreads, and what a change of price does to what is sold."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from pinfeather.errors import InputError
from pinfeather.finding import Finding, Severity
from pinfeather.money.cents import dollars, half_up
from pinfeather.words import gettext as _

OLD_D: Final = 365
"""A price older than a year says little (common practice)."""
FEW: Final = 4
"""Below this a spread is an anecdote (a judgement of this program)."""


@dataclass(frozen=True, slots=True)
class Asked:
    """A price somebody else asks.

    Parameters
    ----------
    where : str
        Where it was seen.
    on : date
        When.
    price_cents_per_lb : int
        For a pound [cents/lb].
    what : str
        Of what.
    """

    where: str
    on: dt.date
    price_cents_per_lb: int
    what: str = ""


@dataclass(frozen=True, slots=True)
class Survey:
    """Neighbours' prices.

    Parameters
    ----------
    number : int
        How many.
    lowest_cents, quarter_cents, middle_cents, upper_cents, highest_cents : int
        Lowest, lower quartile, median, upper quartile, highest [cents].
    above : int
        How many of them ask more than the price compared.
    findings : tuple of Finding
        What to know: too few, too old, or all below what a pound costs.
    """

    number: int
    lowest_cents: int
    quarter_cents: int
    middle_cents: int
    upper_cents: int
    highest_cents: int
    above: int
    findings: tuple[Finding, ...]


def survey(prices: Sequence[Asked], *, own_cents: int, cost_cents: int, today: dt.date) -> Survey:
    """Sum up what neighbours ask beside one's own price and cost.

    Parameters
    ----------
    prices : sequence of Asked
        At least one.
    own_cents, cost_cents : int
        One's own price, and what a pound costs [cents].
    today : date
        The day it is.

    Returns
    -------
    Survey
        Quartiles by linear interpolation between the sorted prices, rounded half up.

    Raises
    ------
    InputError
        If there is no price, or one is not above zero.

    References
    ----------
    Hyndman and Fan 1996, The American Statistician 50, 361-365, definition 7 (unverified).
    """
    if not prices or any(one.price_cents_per_lb <= 0 for one in prices):
        raise InputError("prices", None, _("Write at least one price above zero."))
    ordered = sorted(one.price_cents_per_lb for one in prices)
    findings = []
    if len(ordered) < FEW:
        findings.append(
            Finding(
                "money.few_prices",
                Severity.NOTE,
                _("Only {n} prices: ask around for more before leaning on them.").format(
                    n=len(ordered)
                ),
            )
        )
    old = sum((today - one.on).days > OLD_D for one in prices)
    if old:
        findings.append(
            Finding(
                "money.old_prices",
                Severity.CHECK,
                _("{n} of the prices are more than a year old.").format(n=old),
            )
        )
    if ordered[-1] < cost_cents:
        findings.append(
            Finding(
                "money.market_below_cost",
                Severity.CHECK,
                _("Nobody asks {cost} a pound, which is what yours costs.").format(
                    cost=dollars(cost_cents)
                ),
                _("Cost, size of batch or product has to change, not only the price."),
            )
        )
    return Survey(
        len(ordered),
        ordered[0],
        _quantile(ordered, Fraction(1, 4)),
        _quantile(ordered, Fraction(1, 2)),
        _quantile(ordered, Fraction(3, 4)),
        ordered[-1],
        sum(price > own_cents for price in ordered),
        tuple(findings),
    )


def _quantile(ordered: Sequence[int], share: Fraction) -> int:
    place = share * (len(ordered) - 1)
    low = int(place)
    high = min(low + 1, len(ordered) - 1)
    return half_up(ordered[low] + (place - low) * (ordered[high] - ordered[low]))


def elasticity(prices_cents: tuple[int, int], sold: tuple[int, int]) -> Fraction:
    """Return by how many percent sales change when a price changes by one.

    Parameters
    ----------
    prices_cents : tuple of (int, int)
        Before and after [cents].
    sold : tuple of (int, int)
        Birds or pounds sold before and after.

    Returns
    -------
    Fraction
        By the midpoint formula; below minus one a higher price brings less money in all.

    Raises
    ------
    InputError
        If the price did not change, or a number is not above zero.

    References
    ----------
    Midpoint (arc) elasticity: textbook (second hand).

    Examples
    --------
    >>> round(float(elasticity((5000, 6000), (4000, 2500))), 3)
    -2.538
    """
    if min(*prices_cents, *sold) <= 0 or prices_cents[0] == prices_cents[1]:
        raise InputError(
            "prices_cents", prices_cents, _("Two different prices, and sales at both.")
        )
    return Fraction(sold[1] - sold[0], sold[1] + sold[0]) / Fraction(
        prices_cents[1] - prices_cents[0], prices_cents[1] + prices_cents[0]
    )
