"""Sums are shared to the cent, and every charge leads back to its entry."""

import datetime as dt
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pinfeather.errors import InputError
from pinfeather.money.cents import cents_from, dollars, half_up, per, share_out, to_the_cent
from pinfeather.money.costing import View, carried_by_living, charge, cost, months
from pinfeather.money.entries import Batch, CostEntry, Driver, Kind, Scope, labour_cents

DAY = dt.date(2026, 9, 12)
sums = st.integers(-(10**9), 10**9)
weights = st.lists(
    st.one_of(st.integers(0, 10**6), st.decimals(0, 1000, places=2)), min_size=1, max_size=12
).filter(lambda w: sum(Fraction(x) for x in w) > 0)


@given(sums, weights)
def test_shares_add_up_and_none_is_a_cent_off(total, shares):
    parts = share_out(total, shares)
    base = sum(Fraction(x) for x in shares)
    assert sum(parts) == total
    for part, weight in zip(parts, shares, strict=True):
        assert abs(part - total * Fraction(weight) / base) < 1


@given(sums, weights)
def test_twice_the_weights_are_the_same_shares(total, shares):
    assert share_out(total, shares) == share_out(total, [Fraction(x) * 2 for x in shares])


@given(st.lists(st.fractions(-1000, 1000, max_denominator=99), min_size=1, max_size=9))
def test_exact_parts_below_zero_too_add_up_to_their_rounded_sum(parts):
    whole = half_up(sum(parts))
    try:
        found = to_the_cent(parts, whole)
    except InputError:
        assert whole < sum(x.numerator // x.denominator for x in parts)
    else:
        assert sum(found) == whole
        assert all(abs(f - p) < 1 or p == f for f, p in zip(found, parts, strict=True))


@pytest.mark.parametrize("bad", [[], [0, 0], [1, -1], [Decimal(-1), 3]])
def test_shares_of_nothing_are_refused(bad):
    with pytest.raises((InputError, ValueError)):
        share_out(100, bad)


@pytest.mark.parametrize(
    ("written", "answer"),
    [("12", 1200), ("$12.50", 1250), ("1,234.50", 123450), (" $ 3 ", 300), ("0.05", 5)],
)
def test_a_sum_is_read_as_people_write_it(written, answer):
    assert cents_from(written) == answer


@pytest.mark.parametrize("written", ["", "-3", "1,23", "twelve", "3.999", "1e5", "$", "12.5.1"])
def test_what_is_no_sum_is_refused(written):
    with pytest.raises(InputError):
        cents_from(written)


@given(st.integers(-(10**12), 10**12))
def test_what_is_written_is_read_back(cents):
    text = dollars(cents)
    back = cents_from(text.removeprefix("−"))
    assert (-back if text.startswith("−") else back) == cents


@given(st.fractions(-(10**6), 10**6))
def test_rounding_is_to_the_nearest_and_away_from_zero_at_half(value):
    found = half_up(value)
    assert abs(found - value) <= Fraction(1, 2)
    assert half_up(-value) == -found


def test_no_quotient_without_a_divisor():
    assert per(100, 0) is None


def entry(n, kind, cents, scope=Scope.FARM, of="", **more):
    return CostEntry(f"e{n}", DAY, kind, cents, scope, of, **more)


batches_st = st.lists(
    st.builds(
        lambda lot, day, birds, dead, lb: Batch(
            lot, "duck" if lot == "D" else "chicken", day, birds + dead, birds, lb
        ),
        st.sampled_from("ABCD"),
        st.dates(dt.date(2025, 1, 1), dt.date(2027, 12, 31)),
        st.integers(0, 200),
        st.integers(0, 30),
        st.decimals(0, 900, places=2),
    ),
    max_size=8,
)
entries_st = st.lists(
    st.builds(
        lambda n, on, kind, cents, where, by, learning: CostEntry(
            str(n), on, kind, cents, *where, by=by, learning=learning
        ),
        st.integers(0, 10**6),
        st.dates(dt.date(2025, 1, 1), dt.date(2027, 12, 31)),
        st.sampled_from(list(Kind)),
        st.integers(-5000, 10**6),
        st.sampled_from(
            [
                (Scope.FARM, ""),
                (Scope.LOT, "A"),
                (Scope.LOT, "D"),
                (Scope.SPECIES, "chicken"),
                (Scope.DAY, "2026-01-05"),
            ]
        ),
        st.sampled_from(list(Driver)),
        st.booleans(),
    ),
    max_size=12,
)


@given(entries_st, batches_st)
def test_every_cent_is_charged_or_waits(entries, batches):
    charged = charge(entries, batches)
    carried = sum(one.cents for one in charged.charges)
    assert carried + charged.waiting_cents == sum(one.cents for one in entries)


@given(entries_st, batches_st, st.sampled_from(["year", "species", "lot", "day", "batch"]))
def test_groups_of_any_sort_add_up_to_the_whole_and_to_their_lines(entries, batches, by):
    charged = charge(entries, batches)
    for view in View:
        groups = cost(charged, by=by, view=view)
        whole = cost(charged, view=view)
        assert sum(g.total_cents for g in groups) == sum(g.total_cents for g in whole)
        for group in groups:
            assert group.total_cents == sum(line.cents for line in group.lines)
            for line in group.lines:
                assert {charged.entries[at].kind for at in line.entries} == {line.kind}


@given(entries_st, batches_st)
def test_each_line_is_the_sum_of_the_charges_of_its_entries(entries, batches):
    charged = charge(entries, batches)
    for group in cost(charged):
        for line in group.lines:
            mine = [c.cents for c in charged.charges if c.entry in line.entries]
            assert sum(mine) == line.cents


def test_the_living_pay_for_the_dead():
    batch = Batch("A", "chicken", DAY, 20, 18, Decimal(90))
    charged = charge([entry(1, Kind.CHICKS, 12860, Scope.LOT, "A")], [batch])
    (group,) = cost(charged)
    assert (group.per_bird_cents, group.per_lb_cents) == (714, 143)


def test_cash_leaves_out_own_hours_and_wear_and_learning_leaves_out_what_was_marked():
    batch = Batch("A", "chicken", DAY, 100, 80, Decimal(400))
    charged = charge(
        [
            entry(1, Kind.FEED, 40000, Scope.LOT, "A"),
            entry(2, Kind.OWN_LABOUR, 20000, Scope.LOT, "A"),
            entry(3, Kind.EQUIPMENT, 5000),
            entry(4, Kind.SUPPLIES, 3000, learning=True),
        ],
        [batch],
    )
    assert cost(charged, view=View.CASH)[0].total_cents == 43000
    assert cost(charged, view=View.FULL)[0].total_cents == 68000
    learnt = cost(charged, view=View.WITHOUT_LEARNING, usual_loss_frac=Fraction(1, 20))[0]
    assert (learnt.total_cents, learnt.birds) == (65000, 95)
    assert learnt.dressed_lb == 475


def test_a_lot_still_outside_keeps_its_cost_waiting():
    charged = charge([entry(1, Kind.CHICKS, 5000, Scope.LOT, "Z")], [])
    assert (charged.charges, charged.waiting_cents) == ((), 5000)


def test_by_pounds_the_heavier_batch_carries_more():
    made = [
        Batch("A", "chicken", DAY, 10, 10, Decimal(30)),
        Batch("B", "turkey", DAY, 10, 10, Decimal(90)),
    ]
    ice = entry(1, Kind.ICE, 1000, Scope.DAY, DAY.isoformat(), by=Driver.POUNDS)
    assert [c.cents for c in charge([ice], made).charges] == [250, 750]


@given(st.integers(0, 10**6), st.integers(0, 10**6), st.integers(1, 300), st.integers(0, 300))
def test_what_the_dead_cost_is_never_more_than_was_paid(chicks, feed, living, dead):
    found = carried_by_living(
        chicks, feed, placed=living + dead, living=living, eaten_frac=Fraction(1, 3)
    )
    assert 0 <= found.chicks_cents <= chicks
    assert 0 <= found.feed_cents <= feed
    assert dead or (found.chicks_cents, found.feed_cents) == (0, 0)


def test_months_hold_only_what_was_paid_in_them():
    made = [entry(1, Kind.FEED, 700), entry(2, Kind.OWN_LABOUR, 900)]
    assert months(made, 2026)[9] == 700
    assert sum(months(made, 2025).values()) == 0


def test_hours_at_a_wage():
    assert labour_cents(Decimal("3.25"), 1750) == 5688


@pytest.mark.parametrize("wrong", [{"of": ""}, {"scope": Scope.FARM, "of": "A"}])
def test_an_entry_says_which_birds_it_is_for(wrong):
    with pytest.raises(InputError):
        CostEntry(
            **{"id": "x", "on": DAY, "kind": Kind.ICE, "cents": 1, "scope": Scope.LOT} | wrong
        )


def test_more_dressed_than_placed_is_refused():
    with pytest.raises(InputError):
        Batch("A", "chicken", DAY, 9, 10, Decimal(40))
