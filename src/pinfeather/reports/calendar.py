"""The day's list as a calendar file that any phone can take in, with its reminders."""

from __future__ import annotations

import datetime as dt
import hashlib
from collections.abc import Sequence
from dataclasses import dataclass

from pinfeather.errors import InputError
from pinfeather.reports.when import aware
from pinfeather.words import gettext as _

_UID_DIGITS = 32


@dataclass(frozen=True, slots=True)
class CalendarItem:
    """One thing to do.

    Parameters
    ----------
    key : str
        Names the thing for good (``"day 2026-09-12/light the scalder"``); the same key replaces
        the earlier entry in somebody's calendar.
    start : datetime
        When, in the farm's zone.
    title : str
        What to do.
    minutes : int
        How long it takes, at least 1 [min].
    detail : str
        More words; may be empty.
    place : str
        Where; may be empty.
    remind_min : tuple of int
        Minutes before the start at which the phone speaks up [min].
    """

    key: str
    start: dt.datetime
    title: str
    minutes: int = 15
    detail: str = ""
    place: str = ""
    remind_min: tuple[int, ...] = (10,)


def calendar_ics(items: Sequence[CalendarItem], *, name: str, stamp: dt.datetime) -> bytes:
    """Write a list of things to do as a calendar file.

    Parameters
    ----------
    items : sequence of CalendarItem
        May be empty.
    name : str
        The calendar's name.
    stamp : datetime
        The moment the file is made, with its zone.

    Returns
    -------
    bytes
        iCalendar text; the same items and stamp give the same bytes.

    Raises
    ------
    InputError
        If a moment has no zone, two items share a key, or a length is not positive.

    Notes
    -----
    Times are written in UTC, which every calendar shows in the phone's own zone.

    References
    ----------
    IETF RFC 5545 (2009), sections 3.6.1 (event), 3.6.6 (alarm), 3.8.4.7 (unique identifier);
    RFC 7986 (2016), section 5.1 (name).
    """
    import icalendar

    aware("stamp", stamp)
    keys = [item.key for item in items]
    if len(set(keys)) != len(keys):
        raise InputError("items", keys, _("Two entries of the calendar have the same key."))
    calendar = icalendar.Calendar()
    calendar.add("prodid", "-//Pinfeather//Day//EN")
    calendar.add("version", "2.0")
    calendar.add("method", "PUBLISH")
    calendar.add("name", name)
    calendar.add("x-wr-calname", name)
    for item in sorted(items, key=lambda item: (item.start, item.key)):
        aware(item.key, item.start)
        if item.minutes <= 0 or any(before < 0 for before in item.remind_min):
            raise InputError(
                item.key, item.minutes, _("Something in the calendar takes no time at all.")
            )
        event = icalendar.Event()
        event.add("uid", _uid(item.key))
        event.add("dtstamp", stamp.astimezone(dt.UTC))
        event.add("dtstart", item.start.astimezone(dt.UTC))
        event.add("dtend", item.start.astimezone(dt.UTC) + dt.timedelta(minutes=item.minutes))
        event.add("summary", item.title)
        if item.detail:
            event.add("description", item.detail)
        if item.place:
            event.add("location", item.place)
        for before in item.remind_min:
            alarm = icalendar.Alarm()
            alarm.add("action", "DISPLAY")
            alarm.add("description", item.title)
            alarm.add("trigger", dt.timedelta(minutes=-before))
            event.add_component(alarm)
        calendar.add_component(event)
    return bytes(calendar.to_ical(sorted=True))


def _uid(key: str) -> str:
    digest = hashlib.sha256(key.encode()).hexdigest()[:_UID_DIGITS]
    return f"{digest}@pinfeather"
