"""What each thermometer's ice checks say over the years."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from pinfeather import clock
from pinfeather.day.events import IcePoint
from pinfeather.errors import InputError
from pinfeather.finding import Finding
from pinfeather.heat.drift import Drift, IceCheck, drift
from pinfeather.heat.thermometer import WORST_ACCURACY_K, ice_point_offset_K
from pinfeather.units import SECONDS_PER_DAY, from_si
from pinfeather.words import date_text
from pinfeather.words import gettext as _

HISTORY: Final = dt.timedelta(days=5 * 366)
"""How far back checks are looked at."""
_SHOWN: Final = 8
_DAYS_IN_MONTH: Final = 365.25 / 12
_STEADY_K: Final = 0.05  # in a month; what no thermometer of a shop can show. Own choice.
_FAR_DAYS: Final = 365.0


@dataclass(frozen=True, slots=True)
class CheckRow:
    """One check of the table.

    Parameters
    ----------
    day : date
        On the farm's wall calendar.
    written : str
        What it showed in ice, as written.
    offset : str
        By how much it was off, in the unit that was written; empty where that was not ice.
    """

    day: dt.date
    written: str
    offset: str


@dataclass(frozen=True, slots=True)
class IceHistory:
    """A thermometer's ice checks together.

    Parameters
    ----------
    sentence : str
        Whether it drifts and how long it stays good; empty with fewer than two days of checks.
    rows : tuple of CheckRow
        The last checks, newest first, the last of each day.
    findings : tuple of Finding
        What to do about it.
    """

    sentence: str
    rows: tuple[CheckRow, ...]
    findings: tuple[Finding, ...]


def ice_history(points: Iterable[IcePoint], *, zone: str) -> IceHistory:
    """Return what the ice checks of one thermometer say together.

    Parameters
    ----------
    points : iterable of IcePoint
        Its checks, in any order.
    zone : str
        The farm's time zone.

    Returns
    -------
    IceHistory
        Sentence, table and findings.

    Raises
    ------
    InputError
        If there is no such time zone.

    Notes
    -----
    Of several checks on a day the last one counts: a difference within minutes is no drift. A
    check more than 18 °F off was not ice, and stands in the table without an offset.
    """
    home = clock.zone(zone)
    by_day = {
        point.at.astimezone(home).date(): point
        for point in sorted(points, key=lambda point: point.at)
    }
    good: list[IcePoint] = []
    rows: list[CheckRow] = []
    for day, point in by_day.items():
        try:
            offset_K = ice_point_offset_K(point.reading_degC)
        except InputError:
            rows.append(CheckRow(day, point.written, ""))
            continue
        good.append(point)
        unit = unit_of(point)
        rows.append(CheckRow(day, point.written, _degrees(offset_K, unit, signed=True)))
    newest = tuple(reversed(rows[-_SHOWN:]))
    if len(rows) < 2 or not good:  # noqa: PLR2004 - one check is no history
        return IceHistory("", newest, ())
    found = drift(
        [IceCheck(one.at.timestamp() / SECONDS_PER_DAY, one.reading_degC) for one in good]
    )
    return IceHistory(_sentence(found, good, home), newest, found.findings)


def unit_of(point: IcePoint) -> str:
    """Return the unit a check was written in."""
    return "F" if "F" in point.written.upper() else "C"


def _sentence(found: Drift, good: list[IcePoint], home: dt.tzinfo) -> str:
    first, last, unit = good[0], good[-1], unit_of(good[-1])
    since = date_text(first.at.astimezone(home).date())
    if found.per_day_K is None:
        return _("Checked on {n} days since {since}: the third tells whether it drifts.").format(
            n=len(good), since=since
        )
    month_K = found.per_day_K * _DAYS_IN_MONTH
    worst = _degrees(WORST_ACCURACY_K, unit)
    if abs(month_K) < _STEADY_K:
        return _("Steady over {n} checks since {since}.").format(n=len(good), since=since)
    moves = _("Over {n} checks since {since} it moves {month} a month").format(
        n=len(good), since=since, month=_degrees(month_K, unit, signed=True)
    )
    if found.good_for_days is None or found.good_for_days > _FAR_DAYS:
        return _("{moves}; it stays within ±{worst} for more than a year.").format(
            moves=moves, worst=worst
        )
    if found.good_for_days <= 0:
        return _("{moves}; it is already off by more than ±{worst}.").format(
            moves=moves, worst=worst
        )
    until = (last.at + dt.timedelta(days=found.good_for_days)).astimezone(home).date()
    return _("{moves}; at that pace it is off by more than ±{worst} after {until}.").format(
        moves=moves, worst=worst, until=date_text(until)
    )


def _degrees(difference_K: float, unit: str, *, signed: bool = False) -> str:
    off = from_si(difference_K, unit, "temperature difference")
    return (
        f"{off:+.1f}\u202f°{unit}" if signed else f"{off:.1f}".removesuffix(".0") + f"\u202f°{unit}"
    )
