"""What an order was given, in words, and how even the sharing was."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from pinfeather.errors import InputError
from pinfeather.finding import Finding, Severity
from pinfeather.words import gettext as _

NEAR_LB: Final = Decimal("0.25")
"""A miss customers do not mind; our own judgement."""


@dataclass(frozen=True, slots=True)
class Given:
    """One package given to one wish.

    Parameters
    ----------
    order_id : str
        The order.
    wish_number : int
        Which of its birds, from 0.
    serial : int
        The package.
    lot : str
        Its lot code.
    net_lb : Decimal
        Its weight [lb].
    miss_lb : Decimal
        How far from the wish [lb].
    pinned : bool
        Whether it was pinned by hand.
    why : str
        In words.
    """

    order_id: str
    wish_number: int
    serial: int
    lot: str
    net_lb: Decimal
    miss_lb: Decimal
    pinned: bool
    why: str


@dataclass(frozen=True, slots=True)
class Fairness:
    """How even the sharing was.

    Parameters
    ----------
    worst_lb : Decimal
        Largest miss [lb].
    mean_lb : Decimal
        Average miss [lb].
    near_frac : float
        Share of wishes met within :data:`NEAR_LB`.
    """

    worst_lb: Decimal
    mean_lb: Decimal
    near_frac: float


def explain(
    net_lb: Decimal, *, from_lb: Decimal | None, to_lb: Decimal | None, pinned: bool
) -> str:
    """Say in one sentence why a wish got this package.

    Parameters
    ----------
    net_lb : Decimal
        Weight given [lb].
    from_lb, to_lb : Decimal or None
        Weight wished [lb].
    pinned : bool
        Whether it was pinned by hand.

    Returns
    -------
    str
        The sentence.

    References
    ----------
    Derivation: the rules of :mod:`pinfeather.packs.allocate` in words.
    """
    if pinned:
        return _("Pinned by hand.")
    if from_lb is None and to_lb is None:
        return _("Any weight was wished; the oldest package left went out.")
    if from_lb is not None and to_lb is not None and from_lb != to_lb:
        asked = _("{low} to {high} lb").format(low=from_lb, high=to_lb)
    else:
        asked = _("{at} lb").format(at=from_lb if from_lb is not None else to_lb)
    if from_lb is not None and net_lb < from_lb:
        sentence = _("Asked {asked}, gets {net} lb: {miss} lb lighter, the fairest that was left.")
        return sentence.format(asked=asked, net=net_lb, miss=from_lb - net_lb)
    if to_lb is not None and net_lb > to_lb:
        sentence = _("Asked {asked}, gets {net} lb: {miss} lb heavier, the fairest that was left.")
        return sentence.format(asked=asked, net=net_lb, miss=net_lb - to_lb)
    return _("Asked {asked}, gets {net} lb, as wished.").format(asked=asked, net=net_lb)


def fairness(given: Sequence[Given]) -> Fairness:
    """Return how even the sharing was.

    Parameters
    ----------
    given : sequence of Given
        At least one.

    Returns
    -------
    Fairness
        Worst, average and share of near hits.

    Raises
    ------
    InputError
        If nothing was given.

    References
    ----------
    Derivation: maximum, mean, share.
    """
    if not given:
        raise InputError("given", 0, _("Nothing was given out."))
    misses = [g.miss_lb for g in given]
    near = sum(1 for miss in misses if miss <= NEAR_LB)
    return Fairness(max(misses), sum(misses, Decimal(0)) / len(misses), near / len(misses))


def fairness_findings(given: Sequence[Given]) -> tuple[Finding, ...]:
    """Point at wishes that were missed by more than customers do not mind.

    Parameters
    ----------
    given : sequence of Given
        May be empty.

    Returns
    -------
    tuple of Finding
        One note for each, the largest miss first.

    References
    ----------
    :data:`NEAR_LB`, our own judgement.
    """
    missed = sorted((g for g in given if g.miss_lb > NEAR_LB), key=lambda g: -g.miss_lb)
    return tuple(
        Finding(
            code="allocate.miss",
            severity=Severity.NOTE,
            sentence=_("Order {order}: {why}").format(order=g.order_id, why=g.why),
            reason=_("Tell the customer before pickup."),
            where=g.order_id,
            measured=float(g.miss_lb),
            limit=float(NEAR_LB),
            unit="lb",
        )
        for g in missed
    )


def gini(values: Sequence[float]) -> float:
    """Return Gini's measure of unevenness: 0 for all equal.

    Parameters
    ----------
    values : sequence of float
        None negative, not all zero [any unit].

    Returns
    -------
    float
        Between 0 and 1 [1].

    Raises
    ------
    InputError
        If a value is negative or all are zero.

    References
    ----------
    Gini (1912), as sum of absolute differences over 2 n² mean.
    """
    total = _total(values)
    n = len(values)
    ordered = sorted(values)
    spread = math.fsum((2 * i - n + 1) * value for i, value in enumerate(ordered))
    return spread / (n * total)


def jain(values: Sequence[float]) -> float:
    """Return Jain's measure of evenness: 1 for all equal.

    Parameters
    ----------
    values : sequence of float
        None negative, not all zero [any unit].

    Returns
    -------
    float
        Between 1/n and 1 [1].

    Raises
    ------
    InputError
        If a value is negative or all are zero.

    References
    ----------
    Jain, Chiu and Hawe (1984), DEC Research Report TR-301, equation 1.
    """
    total = _total(values)
    return total**2 / (len(values) * math.fsum(value**2 for value in values))


def _total(values: Sequence[float]) -> float:
    if any(not value >= 0 for value in values) or not any(values):
        raise InputError("values", tuple(values), _("Give values of zero or more, not all zero."))
    return math.fsum(values)
