"""One cost, several products: four ways to share it, and the question each answers."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from typing import Final

from pinfeather.errors import InputError, InputFaultsError
from pinfeather.money.cents import Exact, half_up, share_out, to_the_cent
from pinfeather.words import gettext as _
from pinfeather.words import gettext_noop


class Way(StrEnum):
    """A way to share a joint cost."""

    WEIGHT = "weight"
    SALES = "sales value"
    REALISABLE = "net realisable value"
    MARGIN = "constant gross margin"


ANSWERS: Final[Mapping[Way, str]] = {
    Way.WEIGHT: gettext_noop(
        "What did each pound of bird cost, whatever part it is? For insurance of all alike;"
        " it makes backs as dear as breasts."
    ),
    Way.SALES: gettext_noop(
        "What may each part have cost if every part is to earn the same share of its price as it"
        " comes off the table? For stock at cost."
    ),
    Way.REALISABLE: gettext_noop(
        "The same, where parts have no price before they are cut, ground or smoked: the price in"
        " the end less the further work."
    ),
    Way.MARGIN: gettext_noop(
        "What would each part have cost if all earned the same margin in the end, further work"
        " included? It can come out below zero for a part with much further work."
    ),
}
"""The question each way answers. None of them says whether cutting up pays."""


@dataclass(frozen=True, slots=True)
class Product:
    """One of the things that come from the same bird.

    Parameters
    ----------
    name : str
        What it is called.
    weight_lb : Decimal
        How much of it there is [lb].
    sales_cents : int or None
        What all of it brings as it comes off the table; None where it has no price there [cents].
    final_cents : int
        What all of it brings in the end [cents].
    further_cents : int
        What the further work on it costs [cents].
    by_product : bool
        Whether it is only a by-product: what it brings is taken off the joint cost.
    """

    name: str
    weight_lb: Exact
    sales_cents: int | None
    final_cents: int
    further_cents: int = 0
    by_product: bool = False

    @property
    def realisable_cents(self) -> int:
        """What it brings in the end less the further work [cents]."""
        return self.final_cents - self.further_cents


@dataclass(frozen=True, slots=True)
class Shares:
    """A joint cost shared out in one way.

    Parameters
    ----------
    way : Way
        Which.
    cents : tuple of int
        By product, in order; zero for a by-product. They add up to :attr:`joint_cents` [cents].
    joint_cents : int
        What was shared: the joint cost less what by-products bring [cents].
    margin_frac : Fraction or None
        Of the constant margin, the margin [1].
    """

    way: Way
    cents: tuple[int, ...]
    joint_cents: int
    margin_frac: Fraction | None = None


def share_joint(joint_cents: int, products: Sequence[Product]) -> Mapping[Way, Shares]:
    """Share a joint cost in every way that can be worked out.

    Parameters
    ----------
    joint_cents : int
        Everything spent up to where the parts come apart [cents].
    products : sequence of Product
        At least one that is no by-product.

    Returns
    -------
    mapping of Way to Shares
        A way is missing where its weights are: no weight, no price at the table, or a product
        whose further work costs more than it brings.

    Raises
    ------
    InputFaultsError
        If there is no main product, or a number is below zero.

    Notes
    -----
    Shares are whole cents by largest remainder. With a constant margin each share is what the
    product brings x (1 - margin) less its further work, to the cent; a cent left over goes to the
    largest remainder as well. It may be negative; that is no error, but a reason not to use it.

    References
    ----------
    Horngren, Datar and Rajan, *Cost Accounting* (14th ed., 2012), chapter 16 (unverified).
    """
    _check(joint_cents, products)
    main = [at for at, one in enumerate(products) if not one.by_product]
    credit = sum(one.realisable_cents for one in products if one.by_product)
    shared = joint_cents - credit
    weights: dict[Way, list[Exact]] = {Way.WEIGHT: [products[at].weight_lb for at in main]}
    prices = [products[at].sales_cents for at in main]
    if None not in prices:
        weights[Way.SALES] = [price or 0 for price in prices]
    weights[Way.REALISABLE] = [products[at].realisable_cents for at in main]
    found: dict[Way, Shares] = {}
    for way, each in weights.items():
        if min(each) >= 0 and sum(Fraction(w) for w in each) > 0:
            cents = share_out(shared, each)
            found[way] = Shares(way, _spread(cents, main, len(products)), shared)
    final = sum(products[at].final_cents for at in main)
    if final > 0:
        further = sum(products[at].further_cents for at in main)
        margin = Fraction(final - shared - further, final)
        exact = [
            products[at].final_cents * (1 - margin) - products[at].further_cents for at in main
        ]
        cents = to_the_cent(exact, shared)
        found[Way.MARGIN] = Shares(Way.MARGIN, _spread(cents, main, len(products)), shared, margin)
    return found


def _check(joint_cents: int, products: Sequence[Product]) -> None:
    faults = []
    if joint_cents < 0:
        faults.append(InputError("joint", joint_cents, _("The joint cost is zero or more.")))
    if all(one.by_product for one in products):
        faults.append(InputError("products", None, _("Name at least one main product.")))
    for at, one in enumerate(products):
        if min(one.weight_lb, one.final_cents, one.further_cents, one.sales_cents or 0) < 0:
            faults.append(
                InputError(f"products[{at}]", one.name, _("No weight, price or cost below zero."))
            )
    if faults:
        raise InputFaultsError(faults)


def _spread(cents: Sequence[int], main: Sequence[int], number: int) -> tuple[int, ...]:
    told = [0] * number
    for at, part in zip(main, cents, strict=True):
        told[at] = part
    return tuple(told)


@dataclass(frozen=True, slots=True)
class Further:
    """Whether further work on a product pays.

    Parameters
    ----------
    name : str
        Which product.
    added_cents : int
        How much more it brings [cents].
    work_cents : int
        What the work costs [cents].
    """

    name: str
    added_cents: int
    work_cents: int

    @property
    def gain_cents(self) -> int:
        """What is gained by it; below zero it does not pay [cents]."""
        return self.added_cents - self.work_cents


def further_work(products: Sequence[Product]) -> tuple[Further, ...]:
    """Say for each product whether working on it further pays.

    Parameters
    ----------
    products : sequence of Product
        Those without a price at the table cannot be judged and are left out.

    Returns
    -------
    tuple of Further
        No joint cost enters: it is spent either way.

    References
    ----------
    Horngren, Datar and Rajan, *Cost Accounting* (14th ed., 2012), chapter 16: sell-or-process-
    further decisions (unverified).
    """
    return tuple(
        Further(one.name, one.final_cents - one.sales_cents, one.further_cents)
        for one in products
        if one.sales_cents is not None
    )


def lost_value(shares: Shares, products: Sequence[Product], lost_lb: Sequence[Exact]) -> int:
    """Return what lost goods had cost under one way of sharing.

    Parameters
    ----------
    shares : Shares
        From :func:`share_joint`.
    products : sequence of Product
        The same.
    lost_lb : sequence of Decimal
        How much of each was lost [lb].

    Returns
    -------
    int
        Rounded half up [cents].

    Raises
    ------
    InputError
        If more was lost than there was.

    References
    ----------
    Horngren, Datar and Rajan, *Cost Accounting*, chapter 16, insurance settlement (second hand).
    """
    total = Fraction(0)
    for cents, one, lost in zip(shares.cents, products, lost_lb, strict=True):
        if not 0 <= lost <= one.weight_lb:
            raise InputError("lost_lb", lost, _("No more can be lost than there was."))
        if lost:
            total += cents * Fraction(lost) / Fraction(one.weight_lb)
    return half_up(total)
