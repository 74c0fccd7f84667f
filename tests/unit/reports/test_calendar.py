from __future__ import annotations

import datetime as dt
from zoneinfo import ZoneInfo

import icalendar
import pytest

from pinfeather.errors import InputError
from pinfeather.reports.calendar import CalendarItem, calendar_ics

ZONE = ZoneInfo("America/New_York")
STAMP = dt.datetime(2026, 9, 1, 20, 0, tzinfo=ZONE)


def item(**changes):
    fields = {
        "key": "day 7/light the scalder",
        "start": dt.datetime(2026, 9, 12, 6, 30, tzinfo=ZONE),
        "title": "Light the scalder; check the hose, twice",
        "minutes": 20,
        "detail": "Gas bottle outside.\nNever leave it alone.",
        "place": "Juniper Hollow Farm",
        "remind_min": (30, 5),
    }
    return CalendarItem(**{**fields, **changes})


def events(*items):
    read = icalendar.Calendar.from_ical(calendar_ics(items, name="Processing", stamp=STAMP))
    return read, read.walk("VEVENT")


def test_an_entry_comes_back_with_its_moment_words_and_place():
    _calendar, (event,) = events(item())

    assert event.decoded("dtstart") == item().start
    assert event.decoded("dtend") - event.decoded("dtstart") == dt.timedelta(minutes=20)
    assert str(event["summary"]) == item().title
    assert str(event["description"]) == item().detail
    assert str(event["location"]) == "Juniper Hollow Farm"


def test_each_reminder_is_an_alarm_before_the_start():
    _calendar, (event,) = events(item())

    assert [alarm.decoded("trigger") for alarm in event.walk("VALARM")] == [
        dt.timedelta(minutes=-30), dt.timedelta(minutes=-5),
    ]  # fmt: skip


def test_entries_stand_in_order_of_time_and_the_calendar_has_a_name():
    later = item(key="b", start=item().start + dt.timedelta(hours=1))

    calendar, found = events(later, item())

    assert found[0].decoded("dtstart") < found[1].decoded("dtstart")
    assert str(calendar["name"]) == "Processing"
    assert str(calendar["version"]) == "2.0"


def test_the_same_list_gives_the_same_bytes_and_the_same_key_the_same_identifier():
    once = calendar_ics([item()], name="x", stamp=STAMP)

    assert calendar_ics([item()], name="x", stamp=STAMP) == once
    _c, (moved,) = events(item(start=item().start + dt.timedelta(days=1), title="Later"))
    _c, (first,) = events(item())
    assert moved["uid"] == first["uid"]


def test_lines_are_folded_and_ended_as_the_standard_asks():
    raw = calendar_ics([item(detail="ice " * 200)], name="x", stamp=STAMP)

    lines = raw.split(b"\r\n")
    assert lines[-1] == b""
    assert all(len(line) <= 75 for line in lines)


def test_a_title_cannot_smuggle_in_a_line():
    raw = calendar_ics([item(title="a\r\nATTENDEE:x")], name="x", stamp=STAMP)

    assert not any(line.startswith(b"ATTENDEE") for line in raw.split(b"\r\n"))


@pytest.mark.parametrize(
    "items",
    [
        [item(), item()],
        [item(minutes=0)],
        [item(remind_min=(-5,))],
        [item(start=STAMP.replace(tzinfo=None))],
    ],
)
def test_what_no_calendar_can_hold_is_refused(items):
    with pytest.raises(InputError):
        calendar_ics(items, name="x", stamp=STAMP)


def test_a_stamp_without_a_zone_is_refused():
    with pytest.raises(InputError, match="stamp"):
        calendar_ics([], name="x", stamp=STAMP.replace(tzinfo=None))
