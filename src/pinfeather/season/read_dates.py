"""Dates as people write them in a season: a list, or a weekday every so many weeks."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from typing import Final

from pinfeather.mapping import MappingReader
from pinfeather.units import SECONDS_PER_DAY, to_si
from pinfeather.words import gettext as _

WEEKDAYS: Final = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
_WEEK: Final = dt.timedelta(days=7)
_MOST_WEEKS: Final = 26


def days_in(
    read: MappingReader, name: str, *, low: int, high: int, default: str | None = None
) -> int:
    """Read a whole number of days, ``45 d``.

    Parameters
    ----------
    read : MappingReader
        Where.
    name : str
        Under which name.
    low, high : int
        Bounds [d].
    default : str or None
        Where nothing is written; None asks for it.

    Returns
    -------
    int
        Days [d].

    References
    ----------
    Derivation: to the nearest day.
    """
    found = read.quantity(
        name,
        "time",
        low=to_si(low, "d", "time"),
        high=to_si(high, "d", "time"),
        default=default,
    )
    return round(found / SECONDS_PER_DAY)


def dates_in(
    read: MappingReader, *, first: dt.date, last: dt.date, weekdays: str = "weekdays"
) -> tuple[dt.date, ...]:
    """Read the dates of a table: ``dates``, or weekdays from one day to another.

    Parameters
    ----------
    read : MappingReader
        A table with ``dates``, or with ``weekdays``, ``every`` (weeks), ``from``, ``until``; and
        ``not_on``.
    first, last : datetime.date
        Taken where ``from`` and ``until`` are left out.
    weekdays : str
        Name the weekdays stand under.

    Returns
    -------
    tuple of datetime.date
        Rising, each once.

    References
    ----------
    Derivation: calendar; weeks are counted from the first one in which a weekday falls.
    """
    left_out = set(_listed(read, "not_on"))
    listed = set(_listed(read, "dates"))
    begin = read.date("from", required=False) or first
    end = read.date("until", required=False) or last
    every = read.integer("every", low=1, high=_MOST_WEEKS, default=1) or 1
    if read.has(weekdays):
        names = read.words(weekdays, WEEKDAYS)
        if end < begin:
            read.fault("until", read.raw("until"), _("The end is before the beginning."))
        for name in names:
            if name in WEEKDAYS:
                on = begin + dt.timedelta(days=(WEEKDAYS.index(name) - begin.weekday()) % 7)
                while on <= end:
                    listed.add(on)
                    on += every * _WEEK
    elif not listed and not read.faults_under("dates"):
        read.fault(weekdays, None, _("Name weekdays here, or dates under “dates”."))
    return tuple(sorted(listed - left_out))


def _listed(read: MappingReader, name: str) -> list[dt.date]:
    value = read.raw(name)
    if value is None or value == "":
        return []
    if isinstance(value, str):
        value = value.replace(";", " ").replace(",", " ").split()
    if not isinstance(value, Sequence):
        value = [value]
    found = []
    for one in value:
        if isinstance(one, dt.date) and not isinstance(one, dt.datetime):
            found.append(one)
            continue
        try:
            found.append(dt.date.fromisoformat(str(one).strip()))
        except ValueError:
            read.fault(name, one, _("“{value}” is not a date like 2026-09-12.").format(value=one))
    return found
