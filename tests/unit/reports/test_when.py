from __future__ import annotations

import datetime as dt
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pinfeather.errors import InputError
from pinfeather.reports.when import after, aware, clock_text, seconds_between
from pinfeather.words import date_text

NEW_YORK = ZoneInfo("America/New_York")


@pytest.mark.parametrize(
    ("hour", "words"),
    [(0, "12:05 am"), (1, "1:05 am"), (11, "11:05 am"), (12, "12:05 pm"), (23, "11:05 pm")],
)
def test_midnight_and_noon_are_twelve(hour, words):
    assert clock_text(dt.datetime(2026, 9, 12, hour, 5, tzinfo=dt.UTC)) == words


def test_the_long_clock_has_no_half_days():
    assert clock_text(dt.datetime(2026, 9, 12, 14, 5, tzinfo=dt.UTC), clock="24h") == "14:05"


def test_the_half_day_may_be_left_out():
    assert clock_text(dt.datetime(2026, 9, 12, 14, 5, tzinfo=dt.UTC), half_day=False) == "2:05"


def test_a_date_names_its_month_so_that_it_cannot_be_mistaken():
    assert date_text(dt.date(2026, 9, 12), weekday=True, year=False) == "Saturday 12 September"


def test_a_moment_without_a_zone_is_refused():
    with pytest.raises(InputError, match="time zone"):
        aware("now", dt.datetime(2026, 9, 12, tzinfo=dt.UTC).replace(tzinfo=None))


def test_an_hour_of_real_time_is_an_hour_when_the_clocks_go_back():
    start = dt.datetime(2026, 11, 1, 0, 30, tzinfo=NEW_YORK)

    end = after(start, 2 * 3600)

    assert (end.hour, end.minute) == (1, 30)
    assert end.utcoffset() == dt.timedelta(hours=-5)
    assert seconds_between(start, end) == 7200


@given(st.integers(-1_000_000, 1_000_000))
def test_going_on_and_coming_back_is_the_same_span(seconds):
    start = dt.datetime(2026, 3, 8, 1, 0, tzinfo=NEW_YORK)

    assert seconds_between(start, after(start, seconds)) == seconds
