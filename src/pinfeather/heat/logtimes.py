"""Dates and times of day from a logger's file, to seconds since 1970 UTC."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import Final, Literal
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

from pinfeather.errors import InputError
from pinfeather.heat.bytefields import Groups
from pinfeather.words import gettext as _

Array = NDArray[np.float64]
DateOrder = Literal["ymd", "mdy", "dmy"]

_EPOCH_DAYS: Final = 719468  # days from 1 March of year 0 to 1 January 1970
_STEPPED_BACK_S: Final = 1800.0
_QUARTER_S: Final = 900.0


def after(date: Groups, clock: Groups) -> Groups:
    """Put a time of day behind a date that stands in another column.

    Parameters
    ----------
    date : Groups
        Three numbers a line.
    clock : Groups
        Up to six numbers a line.

    Returns
    -------
    Groups
        As if both stood in one column.

    References
    ----------
    Derivation: one after the other.
    """
    return Groups(
        np.concatenate((date.values[:, :3], clock.values[:, :6]), axis=1),
        np.concatenate((date.digits[:, :3], clock.digits[:, :6]), axis=1),
        np.concatenate((date.before[:, :3], clock.before[:, :6]), axis=1),
        clock.half,
        clock.zulu,
    )


def utc_seconds(
    read: Groups, *, order: DateOrder | None, zone: ZoneInfo
) -> tuple[Array, NDArray[np.bool_]]:
    """Return the moments that dates and times of day stand for.

    Parameters
    ----------
    read : Groups
        Year, month and day in the given order, hour, minute, and perhaps second, parts of a second
        and an offset from UTC.
    order : str or None
        ``"ymd"``, ``"mdy"`` or ``"dmy"``; None finds out.
    zone : ZoneInfo
        Zone of the logger's clock, for lines without an offset of their own.

    Returns
    -------
    tuple of ndarray, shape (rows,)
        Seconds since 1970-01-01 00:00 UTC [s], and which lines held a moment.

    Raises
    ------
    InputError
        If the order of day and month cannot be told.

    References
    ----------
    ISO 8601-1 (2019) for offsets; Hinnant (2013), days_from_civil.
    """
    values, digits = read.values, read.digits
    order = order or _order(values, digits)
    y, m, d = (order.index(letter) for letter in "ymd")
    year, month, day = values[:, y], values[:, m], values[:, d]
    year = np.where(digits[:, y] <= 2, year + 2000, year)  # noqa: PLR2004 - "26" for 2026
    hour, minute = values[:, 3], values[:, 4]
    # seconds may be left out: then an offset may stand in their place
    timed = (digits[:, 5] > 0) & (read.before[:, 5] == ord(":"))
    second = np.where(timed, values[:, 5], 0)
    parted = timed & (digits[:, 6] > 0) & np.isin(read.before[:, 6], (ord("."), ord(",")))
    parts = np.where(parted, values[:, 6] / 10.0 ** np.maximum(digits[:, 6], 1), 0.0)
    hour = np.where(read.half != 0, hour % 12 + np.where(read.half > 0, 12, 0), hour)
    good = (digits[:, :5] > 0).all(axis=1)
    good &= (month >= 1) & (month <= 12) & (day >= 1) & (day <= _days_in(year, month))  # noqa: PLR2004
    good &= (hour <= 23) & (minute <= 59) & (second <= 59)  # noqa: PLR2004
    days = _days_from_civil(year, month, day)
    whole = days * 86400 + hour * 3600 + minute * 60 + second
    local: Array = np.where(good, whole + parts, 0.0).astype(np.float64)
    offset, known = _offsets(read, timed=timed, parted=parted)
    if np.all(known | ~good):
        return local - offset, good
    shifted = np.where(good & ~known, local, 0.0)
    shifted[good & ~known] = _to_utc(local[good & ~known], zone)
    return np.where(known, local - offset, shifted), good


def _offsets(
    read: Groups, *, timed: NDArray[np.bool_], parted: NDArray[np.bool_]
) -> tuple[NDArray[np.int64], NDArray[np.bool_]]:
    """Return offsets from UTC written behind the time, and where there is one."""
    rows = len(read.values)
    offset, known = np.zeros(rows, dtype=np.int64), read.zulu.copy()
    for g in (5, 6, 7):
        here = (5 + timed.astype(int) + parted.astype(int)) == g
        signed = here & (read.digits[:, g] > 0) & np.isin(read.before[:, g], (ord("+"), ord("-")))
        if not np.any(signed):
            continue
        long = read.digits[:, g] >= 3  # noqa: PLR2004 - "+0530" in one piece
        last = g + 1 < read.values.shape[1]
        minutes = read.values[:, g + 1] if last else np.zeros(rows, dtype=np.int64)
        whole = np.where(
            long,
            read.values[:, g] // 100 * 60 + read.values[:, g] % 100,
            read.values[:, g] * 60 + minutes,
        )
        sign = np.where(read.before[:, g] == ord("-"), -60, 60)
        offset = np.where(signed, sign * whole, offset)
        known |= signed
    return offset, known


def _order(values: NDArray[np.int64], digits: NDArray[np.int8]) -> DateOrder:
    """Return the order of day, month and year, or refuse."""
    used = digits[:, 0] > 0
    if np.any(digits[used, 0] == 4):  # noqa: PLR2004 - a year written in full
        return "ymd"
    first, second = values[used, 0], values[used, 1]
    day_first, month_first = bool(np.any(first > 12)), bool(np.any(second > 12))  # noqa: PLR2004
    if day_first and not month_first:
        return "dmy"
    if month_first and not day_first:
        return "mdy"
    raise InputError(
        "mapping.order",
        None,
        _("It cannot be told which is the day and which the month. Say “mdy” or “dmy”."),
    )


def _days_in(year: NDArray[np.int64], month: NDArray[np.int64]) -> NDArray[np.int64]:
    """Return the days in a month."""
    table = np.array([31, 31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31], dtype=np.int64)
    leap = ((year % 4 == 0) & (year % 100 != 0)) | (year % 400 == 0)
    found = table[np.clip(month, 0, 12)] + ((month == 2) & leap)  # noqa: PLR2004
    return np.asarray(found, dtype=np.int64)


def _days_from_civil(
    year: NDArray[np.int64], month: NDArray[np.int64], day: NDArray[np.int64]
) -> NDArray[np.int64]:
    """Return days since 1970-01-01 (Hinnant 2013)."""
    y = year - (month <= 2)  # noqa: PLR2004 - the year begins in March here
    era = y // 400
    of_era = y - era * 400
    of_year = (153 * ((month + 9) % 12) + 2) // 5 + day - 1
    of_days = of_era * 365 + of_era // 4 - of_era // 100 + of_year
    return np.asarray(era * 146097 + of_days - _EPOCH_DAYS, dtype=np.int64)


def _to_utc(local: Array, zone: ZoneInfo) -> Array:
    """Return UTC seconds for times on a local clock, looking up each local hour once."""
    quarters, inverse = np.unique(np.floor(local / _QUARTER_S), return_inverse=True)
    early, late = np.empty(len(quarters)), np.empty(len(quarters))
    start = datetime(1970, 1, 1)  # noqa: DTZ001 - a local clock has no zone yet
    for k, quarter in enumerate(quarters.tolist()):
        moment = start + timedelta(seconds=quarter * _QUARTER_S)
        first = moment.replace(tzinfo=zone)
        early[k] = first.replace(fold=0).astimezone(UTC).timestamp() - quarter * _QUARTER_S
        late[k] = first.replace(fold=1).astimezone(UTC).timestamp() - quarter * _QUARTER_S
    shift, other = early[inverse], late[inverse]
    twice = other > shift
    if np.any(twice):
        # an hour comes twice: after the clock has stepped back inside it, it is the second one
        back = np.concatenate(([False], np.diff(local) < -_STEPPED_BACK_S))
        blocks = np.cumsum(back & twice)
        entered = np.concatenate(([False], twice[1:] & ~twice[:-1]))
        base = np.maximum.accumulate(np.where(entered, blocks, 0))
        shift = np.where(twice & (blocks > base), other, shift)
    return local + shift
