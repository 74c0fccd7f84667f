import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pinfeather.errors import InputError
from pinfeather.line.tending import brigade, machines_a_person, tending

speeds = st.lists(st.floats(0.2, 3.0), min_size=1, max_size=4)


@given(st.integers(1, 6), st.floats(0.5, 50), st.floats(0.5, 50), st.integers(1, 3))
def test_shares_add_up_and_stops_balance_repairs(machines, run_s, serve_s, people):
    found = tending(machines, run_s=run_s, serve_s=serve_s, people=people)
    assert sum(found.probabilities) == pytest.approx(1)
    stops = (machines - found.stopped) / run_s
    assert stops == pytest.approx(found.busy_frac * people / serve_s)
    assert found.stop_s >= serve_s - 1e-9


@settings(max_examples=40, deadline=None)
@given(speeds)
def test_from_slowest_to_fastest_nothing_is_lost(row):
    row = sorted(row)
    found = brigade(row, rounds=4000)
    assert found.rate == pytest.approx(sum(row), rel=0.01)


@settings(max_examples=40, deadline=None)
@given(speeds)
def test_no_row_is_faster_than_all_speeds_together_or_slower_than_its_slowest(row):
    rate = brigade(row).rate
    assert min(row) * 0.99 <= rate <= sum(row) * 1.01


@pytest.mark.parametrize(
    ("row", "more"),
    [
        ([], {}),
        ([1.0, 0.0], {}),
        ([1.0, 2.0], {"handovers": [0.5, 0.2]}),
        ([1.0], {"handovers": [1.0]}),
    ],
    ids=["nobody", "no speed", "falling", "at the end"],
)
def test_impossible_rows_are_refused(row, more):
    with pytest.raises(InputError):
        brigade(row, **more)


def test_impossible_machines_are_refused():
    with pytest.raises(InputError):
        tending(0, run_s=1.0, serve_s=1.0)
    with pytest.raises(InputError):
        machines_a_person(together_s=0.0, machine_s=5.0, person_s=0.0)
