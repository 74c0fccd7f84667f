"""Giving birds to orders."""

import itertools
from decimal import Decimal

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pinfeather.errors import InputError
from pinfeather.packs.allocate import Order, Package, Wish, allocate, miss_lb, sizes
from pinfeather.packs.given import fairness

TENTHS = st.integers(30, 60).map(lambda n: Decimal(n) / 10)


@st.composite
def small_days(draw):
    packages = [
        Package(
            i,
            draw(st.sampled_from(["whole", "parts"])),
            draw(TENTHS),
            draw(st.sampled_from("AB")),
            draw(st.integers(0, 1)),
        )
        for i in range(draw(st.integers(0, 5)))
    ]
    orders = []
    for rank in range(draw(st.integers(0, 3))):
        wishes = []
        for _ in range(draw(st.integers(1, 2))):
            low = draw(st.none() | TENTHS)
            high = (
                None if low is None else low + draw(st.sampled_from([Decimal(0), Decimal("0.5")]))
            )
            most = draw(st.none() | TENTHS)
            wishes.append(Wish(draw(st.sampled_from(["whole", "parts"])), low, high, most))
        orders.append(Order(f"o{rank}", rank, tuple(wishes)))
    return orders, packages


def allowed(wish, package):
    fits = wish.most_lb is None or package.net_lb <= wish.most_lb
    return fits and wish.product == package.product


def best_by_trying_everything(orders, packages):
    """Served wishes as a row of yes and no, worst, sum, and places in the queue of packages."""
    slots = [wish for order in orders for wish in order.wishes]
    queue = sorted(packages, key=lambda p: (p.age_rank, p.serial))
    best = None
    for pick in itertools.product([None, *range(len(queue))], repeat=len(slots)):
        used = [i for i in pick if i is not None]
        if len(set(used)) != len(used):
            continue
        pairs = [(w, queue[i]) for w, i in zip(slots, pick, strict=True) if i is not None]
        if not all(allowed(w, p) for w, p in pairs):
            continue
        misses = [miss_lb(w, p.net_lb) for w, p in pairs]
        key = (
            -len(used),
            [i is None for i in pick],
            max(misses, default=Decimal(0)),
            sum(misses, Decimal(0)),
            sum(used),
        )
        best = key if best is None else min(best, key)
    return best


@settings(max_examples=150, deadline=None)
@given(small_days())
def test_it_is_as_good_as_trying_everything(day):
    orders, packages = day
    result = allocate(orders, packages)
    queue = sorted(packages, key=lambda p: (p.age_rank, p.serial))
    place = {p.serial: i for i, p in enumerate(queue)}
    served = {(g.order_id, g.wish_number) for g in result.given}
    slots = [(order.order_id, n) for order in orders for n in range(len(order.wishes))]
    got = (
        -len(result.given),
        [slot not in served for slot in slots],
        result.worst_miss_lb,
        result.total_miss_lb,
        sum(place[g.serial] for g in result.given),
    )
    assert got == best_by_trying_everything(orders, packages)


@settings(max_examples=100, deadline=None)
@given(small_days())
def test_every_package_is_given_once_or_spare_and_every_wish_is_met_or_named(day):
    orders, packages = day
    result = allocate(orders, packages)
    assert sorted([g.serial for g in result.given] + list(result.spare)) == [
        p.serial for p in packages
    ]
    wishes = {(o.order_id, n) for o in orders for n in range(len(o.wishes))}
    assert {(g.order_id, g.wish_number) for g in result.given} | set(result.unserved) == wishes
    assert all(g.why for g in result.given)


@settings(max_examples=60, deadline=None)
@given(st.lists(st.tuples(TENTHS, TENTHS), min_size=1, max_size=7))
def test_with_as_many_birds_as_wishes_sorted_pairing_has_the_least_worst_miss(pairs):
    asked, hung = [p[0] for p in pairs], [p[1] for p in pairs]
    result = allocate(
        [Order(str(i), i, (Wish("whole", w, w),)) for i, w in enumerate(asked)],
        [Package(i, "whole", w, "L") for i, w in enumerate(hung)],
    )
    misses = [abs(a - h) for a, h in zip(sorted(asked), sorted(hung), strict=True)]
    assert result.worst_miss_lb == max(misses)
    assert result.total_miss_lb == sum(misses)


def day(*weights, lots=None):
    lots = lots or "A" * len(weights)
    return [
        Package(i, "whole", Decimal(w), lot)
        for i, (w, lot) in enumerate(zip(weights, lots, strict=True))
    ]


def one(order_id, rank, weight=None, **how):
    at = None if weight is None else Decimal(weight)
    return Order(order_id, rank, (Wish("whole", at, at, **how),))


def test_the_earlier_order_is_served_when_birds_run_short():
    result = allocate([one("late", 2, "4.0"), one("early", 1, "6.0")], day("4.0"))
    assert [g.order_id for g in result.given] == ["early"]
    assert result.unserved == (("late", 0),)
    assert {f.code for f in result.findings} == {"allocate.miss", "allocate.short"}


def test_a_bird_over_the_most_is_never_given():
    result = allocate([one("a", 0, "5.0", most_lb=Decimal("5.0"))], day("5.1"))
    assert result.given == ()
    assert result.spare == (0,)


def test_pins_stand_and_are_looked_at():
    orders = [one("a", 0, "4.0", pin=1, most_lb=Decimal("5.0")), one("b", 1, "6.0")]
    result = allocate(orders, day("4.0", "6.0"))
    assert [(g.order_id, g.serial, g.pinned) for g in result.given] == [
        ("a", 1, True),
        ("b", 0, False),
    ]
    assert "allocate.pin" in {f.code for f in result.findings}
    assert result.given[0].why == "Pinned by hand."
    other = Order("c", 2, (Wish("parts", pin=0),))
    assert "allocate.pin" in {f.code for f in allocate([other], day("4.0")).findings}


def test_birds_of_one_order_come_from_one_lot_where_it_costs_nobody():
    wish = Wish("whole")
    orders = [Order("a", 0, (wish, wish)), Order("b", 1, (wish, wish))]
    result = allocate(orders, day("4.0", "4.1", "4.2", "4.3", lots="ABAB"))
    for order in ("a", "b"):
        assert len({g.lot for g in result.given if g.order_id == order}) == 1


def test_older_lots_go_out_first():
    packages = [
        Package(1, "whole", Decimal(4), "new", age_rank=1),
        Package(2, "whole", Decimal(4), "old", age_rank=0),
    ]
    assert allocate([one("a", 0, "4")], packages).given[0].lot == "old"


def test_reasons_are_plain():
    orders = [
        one("a", 0, "5.0"),
        one("b", 1),
        Order("c", 2, (Wish("whole", Decimal(4), Decimal(5)),)),
    ]
    why = [g.why for g in allocate(orders, day("5.1", "6.0", "4.5")).given]
    assert why[0].startswith("Asked 5.0 lb, gets 5.1 lb: 0.1 lb heavier")
    assert why[1].startswith("Any weight")
    assert why[2] == "Asked 4 to 5 lb, gets 4.5 lb, as wished."


def test_a_large_miss_is_told_before_pickup():
    result = allocate([one("a", 0, "5.0")], day("4.0"))
    (note,) = result.findings
    assert note.code == "allocate.miss"
    assert "1.0 lb lighter" in note.sentence
    fair = fairness(result.given)
    assert (fair.worst_lb, fair.near_frac) == (Decimal("1.0"), 0.0)


def test_small_medium_and_large_are_thirds_of_the_day():
    found = sizes(day("4", "5", "6", "7", "8", "9"))
    assert found == {"small": (4, 6), "medium": (6, 8), "large": (8, 9)}
    with pytest.raises(InputError):
        sizes([])


@pytest.mark.parametrize(
    ("orders", "packages"),
    [
        ([one("a", 0), one("a", 1)], day("4")),
        ([one("a", 0)], [*day("4"), *day("5")]),
        ([one("a", 0, pin=9)], day("4")),
        ([one("a", 0, pin=0), one("b", 1, pin=0)], day("4")),
        ([one("a", 0, "4.00005")], day("4")),
    ],
)
def test_numbers_that_stand_twice_or_are_not_there_are_refused(orders, packages):
    with pytest.raises(InputError):
        allocate(orders, packages)


def test_a_big_day_is_given_out_whole():
    rng = np.random.default_rng(7)
    weights = np.round(rng.normal(4.5, 0.7, 500), 2)
    packages = [
        Package(i, "whole", Decimal(f"{w:.2f}"), f"L{i % 4}", i % 4) for i, w in enumerate(weights)
    ]
    orders = []
    for rank in range(200):
        at = Decimal(f"{rng.normal(4.5, 0.7):.2f}")
        wish = Wish("whole", at, at, at + 1 if rng.random() < 0.3 else None)
        orders.append(Order(f"o{rank:03}", rank, (wish,) * int(rng.integers(1, 5))))
    result = allocate(orders, packages)
    assert len(result.given) + len(result.unserved) == sum(len(o.wishes) for o in orders)


@settings(max_examples=100, deadline=None)
@given(small_days())
def test_by_turns_serves_as_many_and_nobody_twice_before_somebody_who_could_have_one(day):
    orders, packages = day
    whole, turns = allocate(orders, packages), allocate(orders, packages, by_turns=True)
    assert len(turns.given) == len(whole.given)
    slots = sorted((n, order.rank) for order in orders for n in range(len(order.wishes)))
    rank = {order.order_id: order.rank for order in orders}
    served = [(g.wish_number, rank[g.order_id]) for g in turns.given]
    alone = [(g.wish_number, rank[g.order_id]) for g in whole.given]

    def as_row(found):
        return [slot not in found for slot in slots]

    assert as_row(served) <= as_row(alone)


def test_by_turns_a_large_order_leaves_a_bird_for_the_next():
    large = Order("large", 0, (Wish("whole"), Wish("whole"), Wish("whole")))
    birds = day("4.0", "4.2")
    assert [g.order_id for g in allocate([large, one("small", 1)], birds).given] == ["large"] * 2
    shared = allocate([large, one("small", 1)], birds, by_turns=True)
    assert [g.order_id for g in shared.given] == ["large", "small"]
    assert shared.unserved == (("large", 1), ("large", 2))
