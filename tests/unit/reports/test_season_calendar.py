from __future__ import annotations

import datetime as dt

import icalendar
import pytest

from pinfeather.errors import InputError
from pinfeather.reports.season_calendar import season_ics
from pinfeather.season.plan import CalendarRow

STAMP = dt.datetime(2026, 6, 17, 15, 0, tzinfo=dt.UTC)
ROW = CalendarRow("order B 2026-07-15", dt.date(2026, 7, 1), "order", "Order 75 chicks", "For B5")


def events(rows):
    made = season_ics(rows, name="Season", season="season 1", stamp=STAMP)
    return icalendar.Calendar.from_ical(made).walk("VEVENT")


def test_a_date_is_a_whole_day_without_a_zone() -> None:
    (event,) = events([ROW])
    assert event.decoded("dtstart") == dt.date(2026, 7, 1)
    assert event.decoded("dtend") == dt.date(2026, 7, 2)
    assert str(event["summary"]) == "Order 75 chicks"


def test_an_order_speaks_up_three_days_before_at_nine() -> None:
    (event,) = events([ROW])
    (alarm,) = event.walk("VALARM")
    assert alarm.decoded("trigger") == dt.timedelta(days=-3, hours=9)


def test_the_same_rows_give_the_same_bytes_and_another_season_other_names() -> None:
    first = season_ics([ROW], name="S", season="season 1", stamp=STAMP)
    assert first == season_ics([ROW], name="S", season="season 1", stamp=STAMP)
    assert first != season_ics([ROW], name="S", season="season 2", stamp=STAMP)


def test_two_rows_with_one_key_are_refused() -> None:
    with pytest.raises(InputError):
        events([ROW, ROW])


def test_a_stamp_without_a_zone_is_refused() -> None:
    with pytest.raises(InputError):
        season_ics([], name="S", season="1", stamp=STAMP.replace(tzinfo=None))
