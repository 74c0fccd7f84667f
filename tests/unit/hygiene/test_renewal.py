import datetime as dt
import itertools
import zoneinfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pinfeather.errors import InputError
from pinfeather.hygiene.renewal import renew_times

OHIO = zoneinfo.ZoneInfo("America/New_York")
START = dt.datetime(2031, 6, 14, 7, 30, tzinfo=OHIO)


def test_a_solution_good_for_four_hours_is_renewed_twice_in_ten():
    times = renew_times(start=START, end=START + dt.timedelta(hours=10), interval_s=4 * 3600)
    assert [t.strftime("%H:%M") for t in times] == ["11:30", "15:30"]


def test_nothing_is_due_at_the_very_end():
    assert renew_times(start=START, end=START + dt.timedelta(hours=4), interval_s=4 * 3600) == ()
    assert renew_times(start=START, end=START, interval_s=60) == ()


def test_the_change_of_the_clocks_does_not_stretch_an_interval():
    before = dt.datetime(2031, 11, 2, 0, 30, tzinfo=OHIO)
    (due,) = renew_times(
        start=before, end=before.astimezone(dt.UTC) + dt.timedelta(hours=5), interval_s=4 * 3600
    )
    assert due.strftime("%H:%M") == "03:30"
    elapsed = due.astimezone(dt.UTC) - before.astimezone(dt.UTC)
    assert elapsed == dt.timedelta(hours=4)


@given(hours=st.floats(0.1, 30), interval_h=st.floats(0.05, 10))
def test_no_mix_is_ever_older_than_its_interval(hours, interval_h):
    end = START + dt.timedelta(hours=hours)
    stops = [START, *renew_times(start=START, end=end, interval_s=interval_h * 3600), end]
    gaps_s = [(b - a).total_seconds() for a, b in itertools.pairwise(stops)]
    assert max(gaps_s) <= interval_h * 3600 + 1e-3
    assert min(gaps_s) > 0


@pytest.mark.parametrize(
    "wrong",
    [
        {"start": dt.datetime(2031, 6, 14, 7, 30)},  # noqa: DTZ001 - the fault under test
        {"end": START - dt.timedelta(seconds=1)},
        {"interval_s": 0},
        {"interval_s": float("nan")},
    ],
)
def test_impossible_schedules_are_refused(wrong):
    with pytest.raises(InputError):
        renew_times(**{"start": START, "end": START, "interval_s": 60} | wrong)
