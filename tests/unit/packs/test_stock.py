"""The stock ledger: every pound weighed is somewhere, at every moment."""

import datetime as dt
from decimal import Decimal

from hypothesis import given, settings
from hypothesis import strategies as st

from pinfeather.packs.stock import (
    ACTS,
    STATES,
    Born,
    Kept,
    StockEvent,
    after,
    balance,
    ledger,
    problem,
    step,
)

DAY = dt.date(2026, 9, 12)
IDS = tuple(f"p{n}" for n in range(6))


def bag(ident="p0", net="4.52", number=1, packed_on=DAY):
    return Born(ident, number, "Whole chicken", Decimal(net), "2026-09-12 B3 T1", packed_on)


@st.composite
def histories(draw):
    """Packages and anything that two careless phones might write about them, in any order."""
    born = [
        bag(ident, draw(st.integers(1, 2000).map(lambda n: str(Decimal(n) / 100))), n)
        for n, ident in enumerate(IDS[: draw(st.integers(0, 6))])
    ]
    events = [
        StockEvent(
            seq=seq,
            act=draw(st.sampled_from([*ACTS, "eaten"])),
            packages=tuple(draw(st.lists(st.sampled_from([*IDS, "nobody"]), max_size=4))),
            place=draw(st.sampled_from(["", "Barn freezer", "Porch"])),
            order=draw(st.sampled_from(["", "11", "12"])),
            sale=draw(st.sampled_from(["", "s1", "s2"])),
            reason=draw(st.sampled_from(["", "torn bag"])),
        )
        for seq in range(draw(st.integers(0, 14)))
    ]
    return born, events


@settings(max_examples=300, deadline=None)
@given(histories())
def test_every_pound_in_is_in_stock_or_out_at_every_moment(history):
    born, events = history
    kept = {package.id: Kept(package) for package in born}
    weighed = sum((package.net_lb for package in born), Decimal(0))
    for event in events:
        step(kept, event)
        sums = balance(born, kept.values())
        assert sum(sums.by_state_lb.values()) == weighed
        assert sum(sums.by_state.values()) == len(born) == sums.weighed
        assert sums.lost_lb == 0
        assert 0 <= sums.accounted_frac <= 1


@settings(max_examples=200, deadline=None)
@given(histories())
def test_the_ledger_is_the_same_in_whatever_order_its_events_are_read(history):
    born, events = history
    assert ledger(born, events) == ledger(reversed(born), reversed(events))


@settings(max_examples=200, deadline=None)
@given(histories())
def test_a_package_is_never_sold_twice_without_coming_back_between(history):
    born, events = history
    kept = {package.id: Kept(package) for package in born}
    for event in events:
        before = dict(kept)
        step(kept, event)
        for ident, package in kept.items():
            if event.act == "sold" and package != before[ident]:
                assert before[ident].in_stock
                assert not before[ident].held
                assert before[ident].order in ("", event.order)


@settings(max_examples=200, deadline=None)
@given(histories())
def test_what_does_not_fit_is_told_and_changes_nothing(history):
    born, events = history
    kept = {package.id: Kept(package) for package in born}
    for event in events:
        before = dict(kept)
        refused = {finding.where for finding in step(kept, event)}
        for ident in event.packages:
            fits = ident in before and not problem(before[ident], event)
            assert (ident in refused) == (not fits)
            if ident in kept and not fits:
                assert kept[ident] == before[ident]


def test_a_held_package_can_be_thrown_out_but_not_sold():
    held = after(Kept(bag()), StockEvent(1, "hold", ("p0",), reason="probe read 44 °F"))
    assert "on hold" in problem(held, StockEvent(2, "sold", ("p0",), sale="s1"))
    assert problem(held, StockEvent(2, "wasted", ("p0",))) == ""
    free = after(held, StockEvent(3, "release", ("p0",)))
    assert problem(free, StockEvent(4, "sold", ("p0",), sale="s1")) == ""


def test_a_promised_package_goes_to_its_order_alone():
    kept = after(Kept(bag()), StockEvent(1, "promise", ("p0",), order="11"))
    assert not kept.free
    assert "promised to order 11" in problem(kept, StockEvent(2, "sold", ("p0",), sale="s1"))
    assert problem(kept, StockEvent(2, "sold", ("p0",), sale="s1", order="11")) == ""


def test_a_sold_package_comes_back_only_from_its_own_sale():
    sold = after(Kept(bag()), StockEvent(1, "sold", ("p0",), sale="s1"))
    assert problem(sold, StockEvent(2, "returned", ("p0",), sale="s2"))
    back = after(sold, StockEvent(2, "returned", ("p0",), sale="s1", place="Porch"))
    assert (back.state, back.place, back.sale) == ("stock", "Porch", "")


def test_missing_packages_do_not_count_as_accounted_for():
    born = [bag("p0", "4.00"), bag("p1", "6.00", 2)]
    kept, findings = ledger(born, [StockEvent(1, "missing", ("p1",))])
    assert findings == ()
    assert balance(born, kept.values()).accounted_frac == 0.4
    assert set(balance(born, kept.values()).by_state) == set(STATES)
