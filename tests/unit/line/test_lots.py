import itertools

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pinfeather.errors import InputError
from pinfeather.line.lots import best_order, in_order, johnson, without_stop

pairs = st.lists(st.tuples(st.integers(0, 9), st.integers(0, 9)), min_size=1, max_size=5)


@settings(deadline=None)
@given(pairs)
def test_johnsons_order_is_the_best_of_all(times):
    ends = [in_order(times, p).end_s for p in itertools.permutations(range(len(times)))]
    assert johnson(times).end_s == min(ends)
    assert best_order(times).end_s == min(ends)


@settings(deadline=None)
@given(pairs)
def test_a_lot_without_a_stop_is_never_sooner_and_never_meets_another(times):
    order = without_stop(times, range(len(times)))
    assert order.end_s >= in_order(times, range(len(times))).end_s
    for k in range(2):
        spans = sorted(
            (s + sum(times[n][:k]), s + sum(times[n][: k + 1]))
            for s, n in zip(order.starts_s, order.lots, strict=True)
        )
        assert all(a[1] <= b[0] for a, b in itertools.pairwise(spans))


@pytest.mark.parametrize("wrong", [[], [()], [(1, 2), (1,)], [(1, -2)]])
def test_impossible_lots_are_refused(wrong):
    with pytest.raises(InputError):
        in_order(wrong, range(len(wrong)))


def test_the_rule_for_two_stations_wants_two():
    with pytest.raises(InputError, match="two stations"):
        johnson([(1, 2, 3)])


def test_too_many_lots_are_refused():
    with pytest.raises(InputError, match="Too many"):
        best_order([(1, 1)] * 9)
