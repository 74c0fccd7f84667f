"""Moments in words: clock times and spans, always in the farm's own zone."""

from __future__ import annotations

import datetime as dt
from typing import Final, Literal

from pinfeather.errors import InputError
from pinfeather.words import gettext as _

Clock = Literal["12h", "24h"]

_NOON_H: Final = 12


def aware(name: str, moment: dt.datetime) -> dt.datetime:
    """Return a moment that knows its zone, or refuse it.

    Parameters
    ----------
    name : str
        Where the moment was given, for the fault.
    moment : datetime
        Must carry a zone.

    Returns
    -------
    datetime
        The same moment.

    Raises
    ------
    InputError
        If the moment has no zone.

    References
    ----------
    Derivation: an hour without a zone names a different moment on every machine.
    """
    if moment.tzinfo is None or moment.utcoffset() is None:
        raise InputError(name, moment, _("This time does not say which time zone it is in."))
    return moment


def after(start: dt.datetime, seconds_s: float) -> dt.datetime:
    """Return the moment some real seconds after another, in the zone of the first.

    Parameters
    ----------
    start : datetime
        With its zone.
    seconds_s : float
        Real time to go on, also across a change of the clocks [s].

    Returns
    -------
    datetime
        In the zone of ``start``.

    References
    ----------
    Derivation: the sum is taken in UTC, where no hour is missing or doubled.
    """
    moment = start.astimezone(dt.UTC) + dt.timedelta(seconds=seconds_s)
    return moment.astimezone(start.tzinfo)


def seconds_between(start: dt.datetime, end: dt.datetime) -> float:
    """Return the real seconds from one moment to another.

    Parameters
    ----------
    start, end : datetime
        With their zones.

    Returns
    -------
    float
        Negative where ``end`` is the earlier [s].

    References
    ----------
    Derivation: difference in UTC.
    """
    return (end.astimezone(dt.UTC) - start.astimezone(dt.UTC)).total_seconds()


def clock_text(moment: dt.datetime, *, clock: Clock = "12h", half_day: bool = True) -> str:
    """Write a clock time as it is spoken.

    Parameters
    ----------
    moment : datetime
        Written in the zone it carries.
    clock : {"12h", "24h"}
        Which clock the farm reads.
    half_day : bool
        Whether "am" or "pm" is added on the twelve-hour clock.

    Returns
    -------
    str
        For instance ``"2:10 pm"``.

    References
    ----------
    Derivation: hour modulo twelve, with twelve for nought.

    Examples
    --------
    >>> clock_text(dt.datetime(2026, 9, 12, 14, 10))
    '2:10 pm'
    """
    if clock == "24h":
        return f"{moment.hour}:{moment.minute:02d}"
    hour = moment.hour % _NOON_H or _NOON_H
    text = f"{hour}:{moment.minute:02d}"
    if not half_day:
        return text
    return f"{text} {_('pm') if moment.hour >= _NOON_H else _('am')}"
