"""Free hours from calendar files: what is left of each day around its appointments."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any, Final

from pinfeather.day.part_days import MOST_WINDOWS, FreeWindow
from pinfeather.errors import InputError
from pinfeather.line.crew import Span, union
from pinfeather.words import gettext as _

MOST_BYTES: Final = 1_000_000
MOST_FILES: Final = 6
_MOST_EVENTS: Final = 5000
_MOST_DAYS: Final = 92
_SHORTEST: Final = dt.timedelta(hours=1)


@dataclass(frozen=True, slots=True)
class Hours:
    """Which hours of which days are asked about."""

    first: dt.date
    last: dt.date
    day_from: dt.time
    day_to: dt.time
    zone: dt.tzinfo


def free_windows(files: Sequence[bytes], hours: Hours) -> tuple[FreeWindow, ...]:
    """Return when nobody has anything else to do.

    Parameters
    ----------
    files : sequence of bytes
        Calendars of everybody who must be there, in the iCalendar format.
    hours : Hours
        Days and hours to look at.

    Raises
    ------
    InputError
        If a file is too large or not a calendar, or there are too many days or files.

    References
    ----------
    IETF RFC 5545 (2009): VEVENT, VFREEBUSY, TRANSP, STATUS, RRULE, EXDATE.
    """
    if len(files) > MOST_FILES:
        raise InputError(
            "calendar", len(files), _("At most {n} calendars at once.").format(n=MOST_FILES)
        )
    span_days = (hours.last - hours.first).days
    if not 0 <= span_days <= _MOST_DAYS:
        raise InputError(
            "by", str(hours.last), _("Calendars are read for at most three months ahead.")
        )
    busy = union(span for one in files for span in _busy(one, hours))
    found: list[FreeWindow] = []
    for n in range(span_days + 1):
        date = hours.first + dt.timedelta(days=n)
        begin = dt.datetime.combine(date, hours.day_from, tzinfo=hours.zone)
        end = dt.datetime.combine(date, hours.day_to, tzinfo=hours.zone)
        for free_from, free_to in _gaps(begin.timestamp(), end.timestamp(), busy):
            first = dt.datetime.fromtimestamp(free_from, hours.zone)
            last = dt.datetime.fromtimestamp(free_to, hours.zone)
            if last - first >= _SHORTEST and first.time() < last.time():
                found.append(FreeWindow(date, _minute(first), _minute(last)))
    return tuple(found[:MOST_WINDOWS])


def _minute(moment: dt.datetime) -> dt.time:
    return moment.time().replace(second=0, microsecond=0)


def _gaps(begin: float, end: float, busy: Sequence[Span]) -> Iterable[Span]:
    at = begin
    for start, stop in busy:
        if stop <= at or start >= end:
            continue
        if start > at:
            yield at, start
        at = max(at, stop)
    if at < end:
        yield at, end


def _busy(content: bytes, hours: Hours) -> list[Span]:
    """Return a calendar's busy times as seconds since 1970."""
    from icalendar import Calendar

    if len(content) > MOST_BYTES:
        raise InputError("calendar", len(content), _("A calendar file may have at most 1 MB."))
    try:
        calendars = Calendar.from_ical(content, multiple=True)
        events = [part for one in calendars for part in one.walk()]
    except (ValueError, IndexError, KeyError, TypeError, AttributeError) as error:
        raise InputError("calendar", None, _("This is not a calendar file.")) from error
    if not calendars or any(one.name != "VCALENDAR" for one in calendars):
        raise InputError("calendar", None, _("This is not a calendar file."))
    if len(events) > _MOST_EVENTS:
        raise InputError("calendar", len(events), _("This calendar has too many entries."))
    spans: list[Span] = []
    try:
        for event in events:
            if event.name == "VEVENT" and _takes_time(event):
                spans.extend(_event_spans(event, hours))
            elif event.name == "VFREEBUSY":
                spans.extend(_listed_spans(event, hours))
    except (ValueError, KeyError, TypeError, AttributeError, OverflowError) as error:
        raise InputError(
            "calendar", None, _("An entry of this calendar cannot be read.")
        ) from error
    return spans


def _takes_time(event: Any) -> bool:  # noqa: ANN401 - a calendar's part
    quiet = str(event.get("TRANSP", "OPAQUE")).upper() == "TRANSPARENT"
    return not quiet and str(event.get("STATUS", "")).upper() != "CANCELLED" and "DTSTART" in event


def _moment(value: dt.datetime | dt.date, zone: dt.tzinfo) -> dt.datetime:
    if not isinstance(value, dt.datetime):
        return dt.datetime.combine(value, dt.time(), tzinfo=zone)
    return value.replace(tzinfo=zone) if value.tzinfo is None else value.astimezone(zone)


def _event_spans(event: Any, hours: Hours) -> list[Span]:  # noqa: ANN401
    zone = hours.zone
    start = event.decoded("DTSTART")
    begin = _moment(start, zone)
    if "DTEND" in event:
        length = _moment(event.decoded("DTEND"), zone) - begin
    elif "DURATION" in event:
        length = event.decoded("DURATION")
    else:
        length = dt.timedelta(0) if isinstance(start, dt.datetime) else dt.timedelta(days=1)
    if "RRULE" not in event:
        return [(begin.timestamp(), (begin + length).timestamp())]
    return [
        (one.timestamp(), (one + length).timestamp())
        for one in _repeated(event, begin, length, hours=hours)
    ]


def _repeated(
    event: Any,  # noqa: ANN401
    begin: dt.datetime,
    length: dt.timedelta,
    *,
    hours: Hours,
) -> list[dt.datetime]:
    """Return when a repeated entry begins in the days asked about, by the clock on the wall."""
    from dateutil.rrule import rrulestr  # type: ignore[import-untyped]

    wall = begin.replace(tzinfo=None)
    rule = event["RRULE"]
    text = (rule[0] if isinstance(rule, list) else rule).to_ical().decode()
    parts = [
        _local_until(part, hours.zone) if part.startswith("UNTIL=") else part
        for part in text.split(";")
    ]
    dates = rrulestr(";".join(parts), dtstart=wall)
    left_out = event.get("EXDATE", [])
    lists = left_out if isinstance(left_out, list) else [left_out]
    skipped = {_moment(one.dt, hours.zone).replace(tzinfo=None) for row in lists for one in row.dts}
    after = dt.datetime.combine(hours.first, dt.time()) - length - dt.timedelta(days=1)
    before = dt.datetime.combine(hours.last, dt.time()) + dt.timedelta(days=2)
    return [
        one.replace(tzinfo=hours.zone)
        for one in dates.between(after, before, inc=True)
        if one not in skipped
    ]


def _local_until(part: str, zone: dt.tzinfo) -> str:
    """Write a rule's end on the farm's clock; the rule itself is read without a zone."""
    text = part.removeprefix("UNTIL=")
    if not text.endswith("Z"):
        return part
    moment = dt.datetime.strptime(text, "%Y%m%dT%H%M%SZ").replace(tzinfo=dt.UTC)
    return f"UNTIL={moment.astimezone(zone):%Y%m%dT%H%M%S}"


def _listed_spans(event: Any, hours: Hours) -> list[Span]:  # noqa: ANN401
    listed = event.get("FREEBUSY", [])
    spans: list[Span] = []
    for one in listed if isinstance(listed, list) else [listed]:
        if str(one.params.get("FBTYPE", "BUSY")).upper() == "FREE":
            continue
        spans.append(
            (_moment(one.start, hours.zone).timestamp(), _moment(one.end, hours.zone).timestamp())
        )
    return spans
