"""What to ask: break-even, margin and mark-up, by size class."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from pinfeather.errors import InputError, InputFaultsError
from pinfeather.money.cents import Exact, half_up, per
from pinfeather.words import gettext as _


def price_from_margin(cost_cents: Exact, margin_frac: Exact) -> int:
    """Return the price at which a share of the price is left over.

    Parameters
    ----------
    cost_cents : int or Fraction
        What it cost [cents].
    margin_frac : Decimal or Fraction
        Share of the price that is to be left [1].

    Returns
    -------
    int
        Rounded half up [cents].

    Raises
    ------
    InputError
        If the margin is not below 100 %.

    References
    ----------
    Derivation: price = cost / (1 - margin).

    Examples
    --------
    >>> price_from_margin(4000, Fraction(1, 3))
    6000
    """
    if margin_frac >= 1:
        raise InputError("margin_frac", margin_frac, _("A margin lies below 100 % of the price."))
    return half_up(Fraction(cost_cents) / (1 - Fraction(margin_frac)))


def price_from_markup(cost_cents: Exact, markup_frac: Exact) -> int:
    """Return the price that is the cost and a share of the cost more.

    Parameters
    ----------
    cost_cents : int or Fraction
        What it cost [cents].
    markup_frac : Decimal or Fraction
        Share of the cost that is put on top [1].

    Returns
    -------
    int
        Rounded half up [cents].

    Raises
    ------
    InputError
        If the mark-up takes more than the whole cost away.

    References
    ----------
    Derivation: price = cost x (1 + mark-up).
    """
    if markup_frac < -1:
        raise InputError("markup_frac", markup_frac, _("A mark-up is no less than −100 %."))
    return half_up(Fraction(cost_cents) * (1 + Fraction(markup_frac)))


def margin_of_markup(markup_frac: Exact) -> Fraction:
    """Return the margin that a mark-up is.

    Parameters
    ----------
    markup_frac : Decimal or Fraction
        Share of the cost [1].

    Returns
    -------
    Fraction
        Share of the price.

    Raises
    ------
    InputError
        If the mark-up takes the whole cost away.

    References
    ----------
    Derivation: m / (1 + m).

    Examples
    --------
    >>> margin_of_markup(Fraction(1, 2))
    Fraction(1, 3)
    """
    if markup_frac <= -1:
        raise InputError("markup_frac", markup_frac, _("A mark-up is more than −100 %."))
    return Fraction(markup_frac) / (1 + Fraction(markup_frac))


def markup_of_margin(margin_frac: Exact) -> Fraction:
    """Return the mark-up that a margin is.

    Parameters
    ----------
    margin_frac : Decimal or Fraction
        Share of the price [1].

    Returns
    -------
    Fraction
        Share of the cost.

    Raises
    ------
    InputError
        If the margin is not below 100 %.

    References
    ----------
    Derivation: g / (1 - g).
    """
    if margin_frac >= 1:
        raise InputError("margin_frac", margin_frac, _("A margin lies below 100 % of the price."))
    return Fraction(margin_frac) / (1 - Fraction(margin_frac))


def rounded_up(price_cents: Exact, step_cents: int) -> int:
    """Return the next round price that is not below a price.

    Parameters
    ----------
    price_cents : int or Fraction
        The price worked out [cents].
    step_cents : int
        Prices end on a multiple of this, such as 5 or 25 [cents].

    Returns
    -------
    int
        Never lower, so that a break-even stays one [cents].

    Raises
    ------
    InputError
        If the step is not positive.

    References
    ----------
    Derivation: ceiling.
    """
    if step_cents < 1:
        raise InputError("step_cents", step_cents, _("A step is at least one cent."))
    return -(-Fraction(price_cents) // step_cents) * step_cents


def units_to_break_even(
    fixed_cents: Exact, *, price_cents: Exact, variable_cents: Exact, profit_cents: Exact = 0
) -> int:
    """Return how many must be sold until nothing is lost, or a profit is made.

    Parameters
    ----------
    fixed_cents : int
        Cost that is there whether any are sold or not [cents].
    price_cents, variable_cents : int or Fraction
        What one brings, and what one more costs [cents].
    profit_cents : int
        What is to be left over [cents].

    Returns
    -------
    int
        Rounded up to whole ones.

    Raises
    ------
    InputError
        If one brings no more than it costs: no number is enough.

    References
    ----------
    Textbook: (fixed cost + profit) / (price - variable cost).

    Examples
    --------
    >>> units_to_break_even(6_500_000, price_cents=10_000, variable_cents=7_500)
    2600
    """
    left = Fraction(price_cents) - Fraction(variable_cents)
    if left <= 0:
        raise InputError(
            "price_cents", price_cents, _("At this price each one loses; no number is enough.")
        )
    return max(0, -(-(Fraction(fixed_cents) + Fraction(profit_cents)) // left))


@dataclass(frozen=True, slots=True)
class Costs:
    """What birds cost, split by what it goes with.

    Parameters
    ----------
    fixed_cents : int
        There whatever the number of birds: licences, insurance, wear [cents].
    bird_cents : Fraction
        For each bird, large or small: chick, bags, hours at the table [cents].
    lb_cents : Fraction
        For each dressed pound: feed, ice [cents].
    hours : Fraction
        Own hours in all [h].
    """

    fixed_cents: int
    bird_cents: Exact
    lb_cents: Exact
    hours: Exact = 0

    def total(self, birds: Exact, dressed_lb: Exact) -> Fraction:
        """Return the cost of so many birds and pounds, exactly [cents]."""
        each = Fraction(birds) * Fraction(self.bird_cents)
        return self.fixed_cents + each + Fraction(dressed_lb) * Fraction(self.lb_cents)


@dataclass(frozen=True, slots=True)
class BreakEven:
    """The price of a pound at which nothing is left over but the pay stated.

    Parameters
    ----------
    pay_cents_per_h : int
        Pay for own hours [cents/h].
    price_cents : int
        Break-even price of a pound [cents].
    asking_cents : int
        The next round price, never below it [cents].
    """

    pay_cents_per_h: int
    price_cents: int
    asking_cents: int


def break_even(
    other_cents: int,
    *,
    dressed_lb: Exact,
    hours: Exact,
    pays_cents: Sequence[int],
    step_cents: int = 5,
) -> tuple[BreakEven, ...]:
    """Return the break-even price of a pound at several pays for own hours.

    Parameters
    ----------
    other_cents : int
        All cost but own hours [cents].
    dressed_lb : Decimal
        Pounds to sell [lb].
    hours : Decimal
        Own hours [h].
    pays_cents : sequence of int
        Pays to show, the first of them usually zero [cents/h].
    step_cents : int
        Asking prices end on a multiple of this [cents].

    Returns
    -------
    tuple of BreakEven
        One for each pay, in order.

    Raises
    ------
    InputFaultsError
        If there is nothing to sell, or hours or a pay are below zero.

    References
    ----------
    Painter and others, "Break-even Analysis of Small-Scale Production of Pastured Organic Poultry",
    PNW 665: total cost over carcass weight.
    """
    faults = []
    if dressed_lb <= 0:
        faults.append(InputError("dressed_lb", dressed_lb, _("There is nothing to sell.")))
    if hours < 0:
        faults.append(InputError("hours", hours, _("Hours are zero or more.")))
    if any(pay < 0 for pay in pays_cents):
        faults.append(InputError("pays_cents", tuple(pays_cents), _("Pay is zero or more.")))
    if faults:
        raise InputFaultsError(faults)
    found = []
    for pay in pays_cents:
        exact = (other_cents + Fraction(hours) * pay) / Fraction(dressed_lb)
        found.append(BreakEven(pay, half_up(exact), rounded_up(exact, step_cents)))
    return tuple(found)


def pay_per_hour(revenue_cents: int, other_cents: int, hours: Exact) -> int | None:
    """Return what own hours earned: revenue less all other cost, over the hours.

    Parameters
    ----------
    revenue_cents, other_cents : int
        Sales, and all cost but own hours [cents].
    hours : Decimal
        Own hours [h].

    Returns
    -------
    int or None
        Rounded half up; None without hours [cents/h].

    References
    ----------
    Return to labour and management: common practice of extension budgets (unverified).
    """
    return per(revenue_cents - other_cents, hours)


@dataclass(frozen=True, slots=True)
class ClassPrice:
    """A price of a pound for one size.

    Parameters
    ----------
    name : str
        What the size is called.
    weight_lb : Fraction
        A bird of that size [lb].
    cost_cents : int
        What a pound of it costs [cents].
    price_cents : int
        What to ask for the margin wanted, rounded up to the step [cents].
    """

    name: str
    weight_lb: Fraction
    cost_cents: int
    price_cents: int


def class_prices(
    costs: Costs,
    sizes: Sequence[tuple[str, Exact, int]],
    *,
    margin_frac: Exact,
    step_cents: int = 5,
) -> tuple[ClassPrice, ...]:
    """Return what each size has to bring a pound: a small bird carries the same bird's cost.

    Parameters
    ----------
    costs : Costs
        What birds cost.
    sizes : sequence of (str, Decimal, int)
        Name, dressed weight of a bird [lb], and how many of them.
    margin_frac : Decimal or Fraction
        Share of the price to be left [1].
    step_cents : int
        Prices end on a multiple of this [cents].

    Returns
    -------
    tuple of ClassPrice
        In order.

    Raises
    ------
    InputError
        If a size has no weight, there are no birds, or the margin is not below 100 %.

    References
    ----------
    Derivation: (cost of a bird + share of fixed cost) / weight + cost of a pound.
    """
    birds = sum(number for _name, _weight, number in sizes)
    if birds <= 0:
        raise InputError("sizes", tuple(sizes), _("There are no birds in these sizes."))
    each = Fraction(costs.bird_cents) + Fraction(costs.fixed_cents, birds)
    found = []
    for name, weight, _number in sizes:
        if weight <= 0:
            raise InputError("sizes", name, _("A bird weighs something."))
        cost = each / Fraction(weight) + Fraction(costs.lb_cents)
        if margin_frac >= 1:
            raise InputError("margin_frac", margin_frac, _("A margin lies below 100 %."))
        asked = rounded_up(cost / (1 - Fraction(margin_frac)), step_cents)
        found.append(ClassPrice(name, Fraction(weight), half_up(cost), asked))
    return tuple(found)
