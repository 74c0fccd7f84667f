"""The only reader of the clock and of time zones."""

from __future__ import annotations

import datetime as dt
import zoneinfo

from pinfeather.errors import InputError


def now() -> dt.datetime:
    """Return the present moment, aware, in UTC."""
    return dt.datetime.now(dt.UTC)  # noqa: TID251 - the one allowed place


def zone(name: str) -> zoneinfo.ZoneInfo:
    """Return a time zone by its IANA name.

    Raises
    ------
    InputError
        If there is no such zone.
    """
    try:
        return zoneinfo.ZoneInfo(name)
    except (zoneinfo.ZoneInfoNotFoundError, ValueError) as error:
        raise InputError(
            "time zone", name, f"“{name}” is not a time zone name such as America/Chicago."
        ) from error


def today(zone_name: str) -> dt.date:
    """Return the date on the farm's wall calendar."""
    return now().astimezone(zone(zone_name)).date()
