"""The season's dates as a calendar file: whole days, with a reminder where an order must go out."""

from __future__ import annotations

import datetime as dt
import hashlib
from collections.abc import Sequence
from typing import Final

from pinfeather.errors import InputError
from pinfeather.reports.when import aware
from pinfeather.season.plan import CalendarRow
from pinfeather.words import gettext as _

_UID_DIGITS: Final = 32
_REMIND_D: Final = {"order": 3, "arrive": 1, "process": 7, "pickup": 1}
"""Days before, at nine in the morning, at which the phone speaks up. Chosen."""
_MORNING: Final = dt.timedelta(hours=9)


def season_ics(rows: Sequence[CalendarRow], *, name: str, season: str, stamp: dt.datetime) -> bytes:
    """Write the dates of a season as a calendar file.

    Parameters
    ----------
    rows : sequence of CalendarRow
        May be empty.
    name : str
        The calendar's name.
    season : str
        Tells this season's entries from another's; the same season and key replace the earlier
        entry in somebody's calendar.
    stamp : datetime
        The moment the file is made, with its zone.

    Returns
    -------
    bytes
        iCalendar text; the same rows and stamp give the same bytes.

    Raises
    ------
    InputError
        If the moment has no zone, or two rows share a key.

    Notes
    -----
    Entries are whole days, without a zone: a hatch date is the same date everywhere.

    References
    ----------
    IETF RFC 5545 (2009), sections 3.3.4 (date), 3.6.1 (event), 3.6.6 (alarm); RFC 7986 (2016),
    section 5.1 (name).
    """
    import icalendar

    aware("stamp", stamp)
    keys = [row.key for row in rows]
    if len(set(keys)) != len(keys):
        raise InputError("rows", keys, _("Two entries of the calendar have the same key."))
    calendar = icalendar.Calendar()
    calendar.add("prodid", "-//Pinfeather//Season//EN")
    calendar.add("version", "2.0")
    calendar.add("method", "PUBLISH")
    calendar.add("name", name)
    calendar.add("x-wr-calname", name)
    for row in sorted(rows, key=lambda one: (one.on, one.key)):
        event = icalendar.Event()
        digest = hashlib.sha256(f"{season}/{row.key}".encode()).hexdigest()[:_UID_DIGITS]
        event.add("uid", f"{digest}@pinfeather")
        event.add("dtstamp", stamp.astimezone(dt.UTC))
        event.add("dtstart", row.on)
        event.add("dtend", row.on + dt.timedelta(days=1))
        event.add("summary", row.title)
        event.add("transp", "TRANSPARENT")
        if row.detail:
            event.add("description", row.detail)
        if row.what in _REMIND_D:
            alarm = icalendar.Alarm()
            alarm.add("action", "DISPLAY")
            alarm.add("description", row.title)
            alarm.add("trigger", _MORNING - dt.timedelta(days=_REMIND_D[row.what]))
            event.add_component(alarm)
        calendar.add_component(event)
    return bytes(calendar.to_ical(sorted=True))
