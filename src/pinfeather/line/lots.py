"""The order of lots: which species, size or owner's birds go first."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import reduce
from itertools import pairwise, permutations
from typing import Final

from pinfeather.errors import InputError
from pinfeather.words import gettext as _

MOST_LOTS: Final = 8
"""Lots whose orders are all tried (40,320 orders)."""


@dataclass(frozen=True, slots=True)
class Order:
    """An order of lots.

    Parameters
    ----------
    lots : tuple of int
        The lots, from 0, first to last.
    end_s : float
        When the last lot is through, from the start of the first [s].
    starts_s : tuple of float
        When each starts, in this order [s].
    """

    lots: tuple[int, ...]
    end_s: float
    starts_s: tuple[float, ...]


def _checked(times_s: Sequence[Sequence[float]]) -> None:
    if not times_s or len({len(row) for row in times_s}) != 1 or not times_s[0]:
        raise InputError("times_s", times_s, _("Give each lot one time a station."))
    if any(time < 0 for row in times_s for time in row):
        raise InputError("times_s", times_s, _("A time cannot be negative."))


def in_order(
    times_s: Sequence[Sequence[float]],
    lots: Sequence[int],
    *,
    servers: Sequence[int] | None = None,
) -> Order:
    """Pass lots through stations in an order, first come first served.

    Parameters
    ----------
    times_s : sequence of sequence of float
        Time of each lot at each station [s].
    lots : sequence of int
        The order.
    servers : sequence of int or None
        Places at each station; None is one each.

    Returns
    -------
    Order
        With its end.

    Raises
    ------
    InputError
        If the times have no shape or are negative.

    References
    ----------
    Derivation: every lot starts at a station when it has come and a place is free.
    """
    _checked(times_s)
    count = len(times_s[0])
    free = [[0.0] * n for n in (servers or [1] * count)]
    ready = dict.fromkeys(lots, 0.0)
    starts: dict[int, float] = {}
    queue = list(lots)
    for k in range(count):
        queue.sort(key=lambda lot: ready[lot])
        for lot in queue:
            place = min(range(len(free[k])), key=free[k].__getitem__)
            begin = max(ready[lot], free[k][place])
            if k == 0:
                starts[lot] = begin
            ready[lot] = free[k][place] = begin + times_s[lot][k]
    return Order(tuple(lots), max(ready.values()), tuple(starts[lot] for lot in lots))


def johnson(times_s: Sequence[Sequence[float]]) -> Order:
    """Order lots for two stations, so that the last is through as early as can be.

    Parameters
    ----------
    times_s : sequence of (float, float)
        Time of each lot at the two stations [s].

    Returns
    -------
    Order
        Best, and ties in the order given.

    Raises
    ------
    InputError
        If there are not two times a lot.

    References
    ----------
    Johnson 1954, Naval Research Logistics Quarterly 1, 61-68.
    """
    _checked(times_s)
    if len(times_s[0]) != 2:  # noqa: PLR2004 - the rule is for two stations
        raise InputError("times_s", times_s, _("This rule is for two stations."))
    lots = range(len(times_s))
    early = sorted((n for n in lots if times_s[n][0] <= times_s[n][1]), key=lambda n: times_s[n][0])
    late = sorted((n for n in lots if times_s[n][0] > times_s[n][1]), key=lambda n: -times_s[n][1])
    return in_order(times_s, [*early, *late])


def best_order(
    times_s: Sequence[Sequence[float]],
    *,
    servers: Sequence[int] | None = None,
    no_wait: bool = False,
) -> Order:
    """Order a few lots by trying all orders.

    Parameters
    ----------
    times_s : sequence of sequence of float
        Time of each lot at each station [s].
    servers : sequence of int or None
        Places at each station; None is one each.
    no_wait : bool
        True where a lot once begun must go through without a stop.

    Returns
    -------
    Order
        Best among first come first served; the first found where several are.

    Raises
    ------
    InputError
        If there are more than eight lots, or no times.

    References
    ----------
    Derivation: exhaustive search.
    """
    _checked(times_s)
    if len(times_s) > MOST_LOTS:
        raise InputError("times_s", len(times_s), _("Too many lots to try every order."))

    def play(lots: tuple[int, ...]) -> Order:
        return without_stop(times_s, lots) if no_wait else in_order(times_s, lots, servers=servers)

    orders = map(play, permutations(range(len(times_s))))
    return reduce(lambda a, b: b if b.end_s < a.end_s else a, orders)


def without_stop(times_s: Sequence[Sequence[float]], lots: Sequence[int]) -> Order:
    """Pass lots through in an order, each without a stop between stations.

    Parameters
    ----------
    times_s : sequence of sequence of float
        Time of each lot at each station [s].
    lots : sequence of int
        The order.

    Returns
    -------
    Order
        With its starts and end.

    Raises
    ------
    InputError
        If the times have no shape or are negative.

    References
    ----------
    Reddi and Ramamoorthy 1972, Operational Research Quarterly 23, 323-331: each lot starts as
    soon as none of its stations is still taken when it gets there.
    """
    _checked(times_s)
    start = 0.0
    starts = [start]
    for before, after in pairwise(lots):
        a, b = times_s[before], times_s[after]
        start += max(sum(a[: k + 1]) - sum(b[:k]) for k in range(len(a)))
        starts.append(start)
    end = max(begin + sum(times_s[lot]) for begin, lot in zip(starts, lots, strict=True))
    return Order(tuple(lots), end, tuple(starts))
