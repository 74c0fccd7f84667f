"""Giving the day's real weights to the orders.

What is weighed against what, in this order:

1. pins made by hand stand;
2. as many wishes as possible are served, and when birds run short the earlier order comes first
   (or, by turns, everybody's first bird comes before anybody's second);
3. the largest miss (how far a bird lies from what was asked) is made as small as it can be;
4. then the sum of all misses;
5. then older lots go first, then lower package numbers.

Steps 2 to 5 are exact (assignment problems). Afterwards birds of equal merit are exchanged so that
an order's birds come from one lot where that costs nobody anything; that last step is greedy.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Final

import numpy as np
from numpy.typing import NDArray

from pinfeather.errors import InputError
from pinfeather.finding import Finding, Severity
from pinfeather.packs.given import Given, explain, fairness_findings
from pinfeather.words import gettext as _

_LB_STEP: Final = Decimal("0.001")
"""Misses are counted in whole thousandths of a pound, so that sums are exact."""

_FORBIDDEN: Final = -1


@dataclass(frozen=True, slots=True)
class Package:
    """A package that can be given out.

    Parameters
    ----------
    serial : int
        Its number; each once.
    product : str
        What it is (``"whole chicken"``).
    net_lb : Decimal
        Printed net weight [lb].
    lot : str
        Lot code.
    age_rank : int
        0 for the oldest lot in store, 1 for the next, …
    """

    serial: int
    product: str
    net_lb: Decimal
    lot: str
    age_rank: int = 0


@dataclass(frozen=True, slots=True)
class Wish:
    """One bird somebody ordered.

    Parameters
    ----------
    product : str
        What it is.
    from_lb, to_lb : Decimal or None
        Wished weight; the same twice for one weight; None for any [lb].
    most_lb : Decimal or None
        Never heavier than this [lb].
    pin : int or None
        Package number given by hand.
    """

    product: str
    from_lb: Decimal | None = None
    to_lb: Decimal | None = None
    most_lb: Decimal | None = None
    pin: int | None = None


@dataclass(frozen=True, slots=True)
class Order:
    """What one customer ordered.

    Parameters
    ----------
    order_id : str
        Its number; each once.
    rank : int
        Place in the queue: 0 ordered first.
    wishes : tuple of Wish
        One for each bird.
    """

    order_id: str
    rank: int
    wishes: tuple[Wish, ...]


@dataclass(frozen=True, slots=True)
class Allocation:
    """Who gets what.

    Parameters
    ----------
    given : tuple of Given
        By queue, then wish.
    unserved : tuple of tuple of (str, int)
        Order and number of the wish that got nothing.
    spare : tuple of int
        Packages left over.
    worst_miss_lb : Decimal
        Largest miss [lb].
    total_miss_lb : Decimal
        Sum of misses [lb].
    findings : tuple of Finding
        What to look at.
    """

    given: tuple[Given, ...]
    unserved: tuple[tuple[str, int], ...]
    spare: tuple[int, ...]
    worst_miss_lb: Decimal
    total_miss_lb: Decimal
    findings: tuple[Finding, ...]


@dataclass(slots=True)
class _Slot:
    order: Order
    number: int
    wish: Wish
    package: Package | None = None


@dataclass(slots=True)
class _Bench:
    """Slots and packages still to be matched, with their misses as whole thousandths."""

    slots: list[_Slot]
    packages: list[Package]
    miss: NDArray[np.int64] = field(default_factory=lambda: np.zeros((0, 0), dtype=np.int64))


def sizes(packages: Sequence[Package]) -> dict[str, tuple[Decimal, Decimal]]:
    """Return what "small", "medium" and "large" mean today.

    Parameters
    ----------
    packages : sequence of Package
        The day's packages of one product.

    Returns
    -------
    dict of str to tuple of Decimal
        Lightest and heaviest of each third [lb].

    Raises
    ------
    InputError
        If there are none.

    References
    ----------
    Derivation: the day's weights in order, cut into thirds.
    """
    weights = sorted(package.net_lb for package in packages)
    if not weights:
        raise InputError("packages", 0, _("There is nothing to give out."))
    last, count = len(weights) - 1, len(weights)
    first_cut, second_cut = weights[min(last, count // 3)], weights[min(last, 2 * count // 3)]
    return {
        "small": (weights[0], first_cut),
        "medium": (first_cut, second_cut),
        "large": (second_cut, weights[-1]),
    }


def allocate(
    orders: Sequence[Order], packages: Sequence[Package], *, by_turns: bool = False
) -> Allocation:
    """Give the day's packages to the orders.

    Parameters
    ----------
    orders : sequence of Order
        Who wants what.
    packages : sequence of Package
        What there is; leave out packages on hold.
    by_turns : bool
        When birds run short, whether everybody's first wish is served before anybody's second;
        otherwise the earlier order is served whole.

    Returns
    -------
    Allocation
        Who gets what, why, and what is left.

    Raises
    ------
    InputError
        If a number stands twice, or a pin names a package that is not there or already pinned.

    Notes
    -----
    Exact for one package per wish. Orders by total weight must be written as single wishes first.

    References
    ----------
    Burkard, Dell'Amico and Martello, Assignment Problems (SIAM, 2009), chapters 4 (sum) and 6
    (bottleneck); Edmonds (1971), Mathematical Programming 1:127, for serving in order of the queue
    (a transversal matroid); Crouse (2016), IEEE Trans. Aerosp. Electron. Syst. 52:1679, for the
    method behind ``scipy.optimize.linear_sum_assignment``.
    """
    slots = _slots(orders, by_turns=by_turns)
    free = _pinned(slots, packages)
    bench = _bench([slot for slot in slots if slot.package is None], free)
    served = _served(bench)
    if served.size:
        _assign(bench, served)
        _gather_lots(bench, served)
    slots.sort(key=lambda slot: (slot.order.rank, slot.order.order_id, slot.number))
    return _allocation(slots, packages, by_turns=by_turns)


def _slots(orders: Sequence[Order], *, by_turns: bool) -> list[_Slot]:
    ids = [order.order_id for order in orders]
    if len(set(ids)) != len(ids):
        raise InputError("orders", ids, _("An order number stands twice."))
    queue = sorted(orders, key=lambda order: (order.rank, order.order_id))
    slots = [_Slot(order, n, wish) for order in queue for n, wish in enumerate(order.wishes)]
    return sorted(slots, key=lambda slot: slot.number) if by_turns else slots


def _pinned(slots: list[_Slot], packages: Sequence[Package]) -> list[Package]:
    """Give out what is pinned by hand; return the packages still free."""
    left = {package.serial: package for package in packages}
    if len(left) != len(packages):
        raise InputError("packages", len(packages), _("A package number stands twice."))
    for slot in slots:
        pin = slot.wish.pin
        if pin is None:
            continue
        if pin not in left:
            raise InputError(
                "pin",
                pin,
                _("Package {pin} is pinned for order {order} but is not there to give.").format(
                    pin=pin, order=slot.order.order_id
                ),
            )
        slot.package = left.pop(pin)
    return sorted(left.values(), key=lambda package: (package.age_rank, package.serial))


def miss_lb(wish: Wish, net_lb: Decimal) -> Decimal:
    """Return how far a weight lies from what was wished.

    Parameters
    ----------
    wish : Wish
        What was wished.
    net_lb : Decimal
        Weight of a package [lb].

    Returns
    -------
    Decimal
        Zero inside the wished range [lb].

    References
    ----------
    Derivation: distance to an interval.
    """
    if wish.from_lb is not None and net_lb < wish.from_lb:
        return wish.from_lb - net_lb
    if wish.to_lb is not None and net_lb > wish.to_lb:
        return net_lb - wish.to_lb
    return Decimal(0)


def _bench(slots: list[_Slot], free: list[Package]) -> _Bench:
    bench = _Bench(slots, free)
    net = np.array([_steps(p.net_lb) for p in free], dtype=np.int64)
    product = np.array([p.product for p in free], dtype=object)
    bench.miss = np.full((len(slots), len(free)), _FORBIDDEN, dtype=np.int64)
    for row, slot in enumerate(slots):
        wish, miss = slot.wish, np.zeros(len(free), dtype=np.int64)
        if wish.from_lb is not None:
            miss = np.maximum(miss, _steps(wish.from_lb) - net)
        if wish.to_lb is not None:
            miss = np.maximum(miss, net - _steps(wish.to_lb))
        allowed = product == wish.product
        if wish.most_lb is not None:
            allowed &= net <= _steps(wish.most_lb)
        bench.miss[row] = np.where(allowed, miss, _FORBIDDEN)
    return bench


def _steps(weight: Decimal) -> int:
    steps = weight / _LB_STEP
    if steps != steps.to_integral_value():
        raise InputError("weight", weight, _("Write weights to at most a thousandth of a pound."))
    return int(steps)


def _served(bench: _Bench) -> NDArray[np.intp]:
    """Rows that can be served together, the earliest in the queue first.

    In a transversal matroid the set of greatest weight is the same for all strictly falling
    weights, and it is the one a greedy walk down the queue finds.
    """
    from scipy.optimize import linear_sum_assignment

    if 0 in bench.miss.shape:
        return np.zeros(0, dtype=np.intp)
    rows = len(bench.slots)
    worth = np.where(bench.miss >= 0, (rows - np.arange(rows))[:, None], 0)
    row, column = linear_sum_assignment(worth, maximize=True)
    return np.sort(row[bench.miss[row, column] >= 0])


def _assign(bench: _Bench, served: NDArray[np.intp]) -> None:
    """Smallest worst miss, then smallest sum, then oldest packages first."""
    from scipy.optimize import linear_sum_assignment

    miss = bench.miss[served]
    worst = _bottleneck(miss)
    columns = miss.shape[1]
    per_miss = columns * columns + 1  # more than any sum of places in the queue of packages
    cost = miss.astype(np.float64) * per_miss + np.arange(columns)
    cost[(miss < 0) | (miss > worst)] = np.inf
    row, column = linear_sum_assignment(cost)
    for r, c in zip(row, column, strict=True):
        bench.slots[int(served[r])].package = bench.packages[int(c)]


def _bottleneck(miss: NDArray[np.int64]) -> int:
    """Smallest worst miss that still serves every row, by halving over the distinct misses."""
    from scipy.sparse import csr_array
    from scipy.sparse.csgraph import maximum_bipartite_matching

    levels = np.unique(miss[miss >= 0])
    low, high = 0, len(levels) - 1
    while low < high:
        middle = (low + high) // 2
        graph = csr_array(((miss >= 0) & (miss <= levels[middle])).astype(np.int8))
        matched = maximum_bipartite_matching(graph, perm_type="column")
        if np.all(matched >= 0):
            high = middle
        else:
            low = middle + 1
    return int(levels[low])


def _gather_lots(bench: _Bench, served: NDArray[np.intp]) -> None:
    """Exchange birds of equal merit so that each order's birds come from fewer lots."""
    place = {package.serial: i for i, package in enumerate(bench.packages)}
    rows = {id(bench.slots[int(r)]): int(r) for r in served}
    slots = [bench.slots[int(r)] for r in served]
    mates: dict[str, list[_Slot]] = {}
    for slot in slots:
        mates.setdefault(slot.order.order_id, []).append(slot)

    def misses(one: _Slot, two: _Slot) -> list[int]:
        return sorted(
            int(bench.miss[rows[id(s)], place[s.package.serial]])
            for s in (one, two)
            if s.package is not None
        )

    for slot in slots:
        own = mates[slot.order.order_id]
        home = _main_lot(own)
        if slot.package is None or slot.package.lot == home:
            continue
        for other in slots:
            if other.order is slot.order or other.package is None or other.package.lot != home:
                continue
            theirs = mates[other.order.order_id]
            before, lots = misses(slot, other), _lots(own) + _lots(theirs)
            slot.package, other.package = other.package, slot.package
            if misses(slot, other) == before and _lots(own) + _lots(theirs) < lots:
                break
            slot.package, other.package = other.package, slot.package


def _main_lot(slots: list[_Slot]) -> str:
    lots = [slot.package.lot for slot in slots if slot.package is not None]
    return max(sorted(set(lots)), key=lots.count)


def _lots(slots: list[_Slot]) -> int:
    return len({slot.package.lot for slot in slots if slot.package is not None})


def _allocation(slots: list[_Slot], packages: Sequence[Package], *, by_turns: bool) -> Allocation:
    given, unserved, taken = [], [], set()
    for slot in slots:
        if slot.package is None:
            unserved.append((slot.order.order_id, slot.number))
            continue
        taken.add(slot.package.serial)
        given.append(
            Given(
                order_id=slot.order.order_id,
                wish_number=slot.number,
                serial=slot.package.serial,
                lot=slot.package.lot,
                net_lb=slot.package.net_lb,
                miss_lb=miss_lb(slot.wish, slot.package.net_lb),
                pinned=slot.wish.pin is not None,
                why=explain(
                    slot.package.net_lb,
                    from_lb=slot.wish.from_lb,
                    to_lb=slot.wish.to_lb,
                    pinned=slot.wish.pin is not None,
                ),
            )
        )
    misses = [g.miss_lb for g in given]
    return Allocation(
        given=tuple(given),
        unserved=tuple(unserved),
        spare=tuple(sorted(p.serial for p in packages if p.serial not in taken)),
        worst_miss_lb=max(misses, default=Decimal(0)),
        total_miss_lb=sum(misses, Decimal(0)),
        findings=(
            *_pin_findings(slots),
            *_short_findings(unserved, by_turns=by_turns),
            *fairness_findings(given),
        ),
    )


def _pin_findings(slots: list[_Slot]) -> list[Finding]:
    found = []
    for slot in slots:
        if slot.wish.pin is None or slot.package is None:
            continue
        most = slot.wish.most_lb
        if slot.package.product != slot.wish.product:
            sentence = _("The package pinned for order {order} is not {product}.")
        elif most is not None and slot.package.net_lb > most:
            sentence = _("The package pinned for order {order} is over {most} lb.")
        else:
            continue
        found.append(
            Finding(
                code="allocate.pin",
                severity=Severity.CHECK,
                sentence=sentence.format(
                    order=slot.order.order_id, product=slot.wish.product, most=most
                ),
                reason=_("It was pinned by hand and is left so."),
                where=slot.order.order_id,
            )
        )
    return found


def _short_findings(unserved: list[tuple[str, int]], *, by_turns: bool) -> list[Finding]:
    served = (
        _("No package that fits was left; everybody was served one before anybody a second.")
        if by_turns
        else _("No package that fits was left; earlier orders were served first.")
    )
    orders = sorted({order for order, _number in unserved})
    return [
        Finding(
            code="allocate.short",
            severity=Severity.CHECK,
            sentence=_("Order {order} lacks {count} of its birds.").format(
                order=order, count=sum(1 for o, _n in unserved if o == order)
            ),
            reason=served,
            where=order,
        )
        for order in orders
    ]
