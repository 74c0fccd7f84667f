"""Free hours around the appointments of a calendar."""

from __future__ import annotations

import datetime as dt
from zoneinfo import ZoneInfo

import pytest

from pinfeather.actions.line.free_hours import Hours, free_windows
from pinfeather.day.part_days import window_line
from pinfeather.errors import InputError

ZONE = ZoneInfo("America/Chicago")
HOURS = Hours(dt.date(2026, 9, 12), dt.date(2026, 9, 13), dt.time(8), dt.time(18), ZONE)


def calendar(*entries: str) -> bytes:
    body = "\r\n".join(entries)
    text = f"BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:-//made up//EN\r\n{body}\r\nEND:VCALENDAR\r\n"
    return text.encode()


def event(*lines: str) -> str:
    inner = "\r\n".join(lines)
    return f"BEGIN:VEVENT\r\nUID:a\r\nDTSTAMP:20260901T000000Z\r\n{inner}\r\nEND:VEVENT"


def free(*files: bytes, hours: Hours = HOURS) -> list[str]:
    return [window_line(one) for one in free_windows(files, hours)]


WHOLE = ["2026-09-12 08:00-18:00", "2026-09-13 08:00-18:00"]


def test_an_empty_calendar_leaves_everything_free() -> None:
    assert free(calendar("X-NOTE:nothing")) == WHOLE


def test_an_appointment_cuts_a_day_in_two() -> None:
    busy = event("DTSTART;TZID=America/Chicago:20260912T110000", "DURATION:PT2H")
    assert free(calendar(busy)) == [
        "2026-09-12 08:00-11:00",
        "2026-09-12 13:00-18:00",
        WHOLE[1],
    ]


def test_world_time_is_moved_to_the_farms_clock() -> None:
    busy = event("DTSTART:20260912T130000Z", "DTEND:20260912T230000Z")  # 8 to 18 in Chicago
    assert free(calendar(busy)) == [WHOLE[1]]


def test_a_time_without_a_zone_is_the_farms() -> None:
    busy = event("DTSTART:20260912T080000", "DTEND:20260912T170000")
    assert free(calendar(busy))[0] == "2026-09-12 17:00-18:00"


def test_a_whole_day_takes_the_whole_day() -> None:
    assert free(calendar(event("DTSTART;VALUE=DATE:20260912"))) == [WHOLE[1]]


@pytest.mark.parametrize("mark", ["TRANSP:TRANSPARENT", "STATUS:CANCELLED"])
def test_what_takes_no_time_takes_none(mark) -> None:
    busy = event("DTSTART:20260912T080000", "DTEND:20260912T170000", mark)
    assert free(calendar(busy)) == WHOLE


def test_repeats_exceptions_and_ends_are_kept() -> None:
    daily = event(
        "DTSTART;TZID=America/Chicago:20260901T080000",
        "DTEND;TZID=America/Chicago:20260901T120000",
        "RRULE:FREQ=DAILY;UNTIL=20260913T130000Z",
        "EXDATE;TZID=America/Chicago:20260912T080000",
    )
    assert free(calendar(daily)) == [WHOLE[0], "2026-09-13 12:00-18:00"]


def test_busy_lists_count_and_free_ones_do_not() -> None:
    listed = (
        "BEGIN:VFREEBUSY\r\nUID:b\r\nDTSTAMP:20260901T000000Z\r\n"
        "FREEBUSY;FBTYPE=BUSY:20260912T130000Z/20260912T150000Z\r\n"
        "FREEBUSY;FBTYPE=FREE:20260912T150000Z/20260912T230000Z\r\nEND:VFREEBUSY"
    )
    assert free(calendar(listed))[0] == "2026-09-12 10:00-18:00"


def test_everybody_must_be_free() -> None:
    one = event("DTSTART:20260912T080000", "DTEND:20260912T120000")
    other = event("DTSTART:20260912T140000", "DTEND:20260912T180000")
    assert free(calendar(one), calendar(other))[0] == "2026-09-12 12:00-14:00"


def test_less_than_an_hour_is_no_window() -> None:
    one = event("DTSTART:20260912T083000", "DTEND:20260912T173000")
    assert free(calendar(one)) == [WHOLE[1]]


def test_the_clock_change_does_not_shift_repeated_entries() -> None:
    hours = Hours(dt.date(2026, 10, 31), dt.date(2026, 11, 2), dt.time(8), dt.time(18), ZONE)
    daily = event(
        "DTSTART;TZID=America/Chicago:20261025T080000",
        "DTEND;TZID=America/Chicago:20261025T100000",
        "RRULE:FREQ=DAILY",
    )
    assert [line.split()[1] for line in free(calendar(daily), hours=hours)] == ["10:00-18:00"] * 3


def test_too_many_days_or_files_are_refused() -> None:
    with pytest.raises(InputError, match="three months"):
        free_windows([], Hours(HOURS.first, dt.date(2027, 9, 1), dt.time(8), dt.time(9), ZONE))
    with pytest.raises(InputError, match="calendars at once"):
        free_windows([b""] * 9, HOURS)
