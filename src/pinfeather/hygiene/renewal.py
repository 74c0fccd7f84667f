"""When a solution is due again during the day."""

from __future__ import annotations

import datetime as dt
import math
from typing import Final

from pinfeather.errors import InputError
from pinfeather.units import SECONDS_PER_DAY
from pinfeather.words import gettext as _

LONGEST_INTERVAL_S: Final = 366 * SECONDS_PER_DAY  # own bound: nothing mixed lasts a year


def renew_times(
    *, start: dt.datetime, end: dt.datetime, interval_s: float
) -> tuple[dt.datetime, ...]:
    """List when the solution is mixed again, between the first mix and the end of work.

    Parameters
    ----------
    start : datetime
        First mix, with its time zone.
    end : datetime
        End of work, with its time zone; nothing is due at or after it.
    interval_s : float
        Longest time one mix is used [s].

    Returns
    -------
    tuple of datetime
        In the zone of ``start``; empty where one mix lasts the day.

    Raises
    ------
    InputError
        If a time has no zone, the end is before the start, or the interval is not positive.

    Notes
    -----
    Elapsed time, so a change of the clocks in between does not shorten or stretch an interval.

    References
    ----------
    Derivation: start + k x interval, k = 1, 2, ...
    """
    for name, moment in (("start", start), ("end", end)):
        if moment.tzinfo is None or moment.utcoffset() is None:
            raise InputError(name, moment, _("Give the time with its time zone."))
    usable = math.isfinite(interval_s) and interval_s <= LONGEST_INTERVAL_S
    step = dt.timedelta(seconds=interval_s if usable else 0)
    if step <= dt.timedelta(0):
        raise InputError("interval_s", interval_s, _("Say how long one mix may be used."))
    first, last = start.astimezone(dt.UTC), end.astimezone(dt.UTC)
    if last < first:
        raise InputError("end", end, _("The end is before the start."))
    mixes = -((first - last) // step)  # rounded up; the first is mixed at the start
    return tuple((first + k * step).astimezone(start.tzinfo) for k in range(1, mixes))
