"""When surfaces in use are next cleaned: by the room's temperature, and only if it was read."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

from pinfeather.errors import InputError
from pinfeather.finding import Finding, Severity
from pinfeather.rules.model import Profile
from pinfeather.rules.sanitiser import renew_interval_s
from pinfeather.units import SECONDS_PER_HOUR
from pinfeather.words import gettext as _


class RoomReading(NamedTuple):
    """The room's temperature at a moment.

    Parameters
    ----------
    at : datetime
        When it was read.
    room_degC : float
        What it was [degC].
    """

    at: dt.datetime
    room_degC: float


@dataclass(frozen=True, slots=True)
class NextCleaning:
    """When surfaces in use are cleaned again.

    Parameters
    ----------
    due_at : datetime
        By this moment.
    interval_s : float
        Time allowed since the last cleaning [s].
    room_degC : float or None
        The warmest reading it rests on; None where the room was not read [degC].
    citation, status : str
        Source of the interval.
    """

    due_at: dt.datetime
    interval_s: float
    room_degC: float | None
    citation: str
    status: str


def next_cleaning(
    profile: Profile, cleaned_at: dt.datetime, rooms: Sequence[RoomReading]
) -> NextCleaning:
    """Say when surfaces in use must be clean again.

    Parameters
    ----------
    profile : Profile
        The rules in force.
    cleaned_at : datetime
        When they were last cleaned and sanitised.
    rooms : sequence of RoomReading
        The room's temperature, in any order; those of other times count, too.

    Returns
    -------
    NextCleaning
        By the warmest reading since the cleaning, with the one that stood then; by the shortest
        interval of the rules where the room was not read.

    Raises
    ------
    InputError
        If a temperature is not a number.

    References
    ----------
    FDA Food Code 4-602.11, as cited in the profile: the longer intervals hold only where the
    room's temperature is written down.
    """
    for one in rooms:
        if not math.isfinite(one.room_degC):
            raise InputError("room_degC", one.room_degC, _("Give the room temperature."))
    before = [one for one in rooms if one.at <= cleaned_at]
    counting = [one for one in rooms if one.at > cleaned_at]
    if before:
        counting.append(max(before, key=lambda one: one.at))
    if not counting:
        shortest = min(profile.sanitation.cleaning, key=lambda band: band.every.si)
        every = shortest.every
        return NextCleaning(
            cleaned_at + dt.timedelta(seconds=every.si),
            every.si,
            None,
            every.citation,
            every.status,
        )
    room_degC = max(one.room_degC for one in counting)
    found = renew_interval_s(profile, room_degC)
    return NextCleaning(
        cleaned_at + dt.timedelta(seconds=found.interval_s),
        found.interval_s,
        room_degC,
        found.citation,
        found.status,
    )


def overdue_finding(due: NextCleaning, *, now: dt.datetime) -> Finding | None:
    """Say that surfaces should have been cleaned by now.

    Parameters
    ----------
    due : NextCleaning
        When they are to be cleaned.
    now : datetime
        The present moment.

    Returns
    -------
    Finding or None
        None while there is time; the very moment itself is still in time.

    Raises
    ------
    InputError
        If the moment has no zone.

    References
    ----------
    FDA Food Code 4-602.11, as cited in the profile.
    """
    if now.tzinfo is None:
        raise InputError("now", now, _("Give the moment with its zone."))
    late_s = (now - due.due_at).total_seconds()
    if late_s <= 0:
        return None
    hours = due.interval_s / SECONDS_PER_HOUR
    return Finding(
        code="sanitary.cleaning_overdue",
        severity=Severity.CHECK,
        sentence=_("Surfaces in use should have been cleaned and sanitised by now."),
        reason=_("In a room this warm at least every {n:g} h.").format(n=hours)
        if due.room_degC is not None
        else _("At least every {n:g} h, as the room's temperature was not written down.").format(
            n=hours
        ),
        where="cleaning",
        measured=(due.interval_s + late_s) / SECONDS_PER_HOUR,
        limit=hours,
        unit="h",
        citation=due.citation,
        status=due.status,
    )
