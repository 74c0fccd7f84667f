"""The period a binder is about."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Final

from pinfeather.errors import InputError, InputFaultsError
from pinfeather.words import date_text
from pinfeather.words import gettext as _

MOST_DAYS: Final = 3 * 366
"""Longest period of one binder [d]: the two years federal rules keep records for, and one more."""
_YEARS: Final = (1970, 2100)


@dataclass(frozen=True, slots=True)
class Period:
    """From a day to a day, both included."""

    first: dt.date
    last: dt.date

    @property
    def words(self) -> str:
        """The period for people."""
        return _("{first} to {last}").format(first=date_text(self.first), last=date_text(self.last))

    def holds(self, day: dt.date) -> bool:
        """Tell whether a day is in it."""
        return self.first <= day <= self.last

    def moments(self, zone: dt.tzinfo) -> tuple[dt.datetime, dt.datetime]:
        """Return its beginning, and the moment right after its end."""
        begin = dt.datetime.combine(self.first, dt.time(), tzinfo=zone)
        end = dt.datetime.combine(self.last + dt.timedelta(days=1), dt.time(), tzinfo=zone)
        return begin, end


def this_year(today: dt.date) -> Period:
    """Return the calendar year so far."""
    return Period(dt.date(today.year, 1, 1), today)


def period_from(first: str, last: str) -> Period:
    """Read a period from two dates as written, year first.

    Raises
    ------
    InputFaultsError
        With every fault.
    """
    faults: list[InputError] = []
    found: dict[str, dt.date] = {}
    for name, text in (("from", first), ("to", last)):
        try:
            found[name] = dt.date.fromisoformat(text.strip())
        except ValueError:
            faults.append(InputError(name, text, _("Write a date, year first: 2026-01-31.")))
    if not faults and found["to"] < found["from"]:
        faults.append(InputError("to", last, _("The last day comes before the first.")))
    elif not faults and (found["to"] - found["from"]).days >= MOST_DAYS:
        faults.append(InputError("to", last, _("One binder holds three years at most.")))
    elif not faults and not _YEARS[0] <= found["from"].year <= found["to"].year <= _YEARS[1]:
        faults.append(InputError("from", first, _("This year cannot be right.")))
    if faults:
        raise InputFaultsError(faults)
    return Period(found["from"], found["to"])
