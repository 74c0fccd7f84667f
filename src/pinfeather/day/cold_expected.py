"""When the largest bird of a chill batch should be cold, by its own readings or by the plan."""

from __future__ import annotations

import datetime as dt
import math
from dataclasses import dataclass
from enum import StrEnum
from typing import Final

import numpy as np

from pinfeather.day.chill_learning import ChillNumbers
from pinfeather.day.instruments import Trusted
from pinfeather.day.logged import Logged
from pinfeather.day.progress import Progress
from pinfeather.day.request import DayRequest
from pinfeather.errors import InputError
from pinfeather.estimate import Basis, Origin
from pinfeather.heat.breast import LIVE_BIRD_DEGC, settled_fade
from pinfeather.heat.carcass import ChillTime
from pinfeather.heat.probe import identify
from pinfeather.heat.readings import two_reading_time
from pinfeather.quantity import show
from pinfeather.words import gettext as _

_LEAST_APART_S: Final = 300.0
"""Two readings closer together than this do not tell a rate [s]. Assumed."""
_SERIES: Final = 5
_SETTLED: Final = 0.8
"""As :mod:`pinfeather.heat.readings`: above this share of the first difference it is too early."""
_ASSUMED_BATH_K: Final = 0.5
"""How far slush that nobody measured may be off [K]. Assumed."""


class From(StrEnum):
    """What an expected time rests on."""

    PLAN = "plan"
    ONE_READING = "one reading"
    TWO_READINGS = "two readings"
    SERIES = "series"


@dataclass(frozen=True, slots=True)
class Expected:
    """When the largest bird of a batch should be cold.

    Parameters
    ----------
    basis : From
        What it rests on.
    words : str
        The same for people.
    low, value, high : datetime or None
        One in ten sooner, best guess, one in ten later; None for never.
    """

    basis: From
    words: str
    low: dt.datetime | None
    value: dt.datetime | None
    high: dt.datetime | None


@dataclass(frozen=True, slots=True)
class Shop:
    """What is the same for every batch of a day.

    Parameters
    ----------
    request : DayRequest
        Tanks, lots, air.
    done : Progress
        The day so far.
    readings : tuple of Trusted
        Corrected readings.
    logged : tuple of Logged
        Kept logger curves.
    zone : tzinfo
        The farm's zone.
    own : ChillNumbers or None
        The farm's own chill numbers.
    temp_unit, mass_unit : str
        Units for sentences.
    """

    request: DayRequest
    done: Progress
    readings: tuple[Trusted, ...]
    logged: tuple[Logged, ...]
    zone: dt.tzinfo
    own: ChillNumbers | None = None
    temp_unit: str = "F"
    mass_unit: str = "lb"

    def temp(self, temp_degC: float) -> str:
        """Write a temperature."""
        return show(temp_degC, self.temp_unit, "temperature", decimals=1)

    def mass(self, mass_kg: float) -> str:
        """Write a mass."""
        return show(mass_kg, self.mass_unit, "mass", decimals=None if mass_kg < 10 else 0)  # noqa: PLR2004

    def clock(self, moment: dt.datetime) -> str:
        """Write a time of day."""
        return f"{moment.astimezone(self.zone):%H:%M}"


@dataclass(frozen=True, slots=True)
class Known:
    """What is known of one batch.

    Parameters
    ----------
    shop : Shop
        The day.
    last_in : datetime
        When its last bird went in.
    limit_degC : float
        Temperature to reach [degC].
    mass_kg : float
        Its largest bird [kg].
    bath_degC : float
        Its water [degC].
    water : Trusted or None
        The reading of it; None where it is assumed.
    plan : ChillTime
        What the plan expects of the largest bird in that water.
    birds : tuple of Trusted
        Readings of its birds after the last one went in, by time.
    """

    shop: Shop
    last_in: dt.datetime
    limit_degC: float
    mass_kg: float
    bath_degC: float
    water: Trusted | None
    plan: ChillTime
    birds: tuple[Trusted, ...]


def expected(known: Known) -> Expected:
    """Say when the largest bird should be cold, by the best there is to go by.

    Parameters
    ----------
    known : Known
        What is known of the batch.

    Returns
    -------
    Expected
        From a series of readings, two readings, one reading, or the plan, in this order.

    References
    ----------
    :func:`pinfeather.heat.probe.identify`, :func:`pinfeather.heat.readings.two_reading_time`,
    :func:`pinfeather.heat.carcass.chill_time`.
    """
    return _series(known) or _two_readings(known) or _one_reading(known) or planned(known)


def _series(known: Known) -> Expected | None:
    """Go by five readings or more of one instrument on one cooling line."""
    for name in dict.fromkeys(one.reading.instrument for one in reversed(known.birds)):
        mine = _one_bird([one for one in known.birds if one.reading.instrument == name])
        if len(mine) < _SERIES:
            continue
        first = mine[0].reading.at
        times = np.array([(m.reading.at - first).total_seconds() for m in mine])
        values = np.array([m.corrected_degC for m in mine])
        try:
            line = identify(
                times, values, bath_degC=None if known.water is None else known.bath_degC
            )
        except InputError:
            continue
        if line.findings or not math.isfinite(line.j):
            continue
        spread = mine[-1].uncertainty_K
        low, value, high = (
            _after(first, line.time_to_s(known.limit_degC + off_K, start_degC=values[0]))
            for off_K in (spread, 0.0, -spread)
        )
        words = _("From the {n} readings of “{name}”, on one cooling line.").format(
            n=len(mine), name=name
        )
        return Expected(From.SERIES, words, low, value, high)
    return None


def _two_readings(known: Known) -> Expected | None:
    if len(known.birds) < 2:  # noqa: PLR2004 - it takes two
        return None
    last = known.birds[-1]
    for first in known.birds[:-1]:
        apart_s = (last.reading.at - first.reading.at).total_seconds()
        if apart_s < _LEAST_APART_S or len(_one_bird([first, last])) == 1:
            continue
        found = _remaining(known, first, last, apart_s=apart_s)
        if found is None:
            continue
        low, value, high = found
        words = _("From your two readings, {a} at {at} and {b} at {bt}{same}.").format(
            a=known.shop.temp(first.corrected_degC),
            at=known.shop.clock(first.reading.at),
            b=known.shop.temp(last.corrected_degC),
            bt=known.shop.clock(last.reading.at),
            same="" if first.reading.mass_kg is not None else _(", taken to be of the same bird"),
        )
        at = last.reading.at
        return Expected(
            From.TWO_READINGS, words, _after(at, low), _after(at, value), _after(at, high)
        )
    return None


def _remaining(
    known: Known, first: Trusted, last: Trusted, *, apart_s: float
) -> tuple[float | None, float | None, float | None] | None:
    """Time left after the second reading; least and most over what the readings may be off."""

    def left(a_K: float, b_K: float, bath_K: float) -> float | None:
        found = two_reading_time(
            first.corrected_degC + a_K,
            last.corrected_degC + b_K,
            apart_s=apart_s,
            bath_degC=known.bath_degC + bath_K,
            limit_degC=known.limit_degC,
        )
        if any(f.code == "chill.read_too_early" for f in found.findings):
            raise InputError("first_degC", first.corrected_degC, _("Read too early."))
        return found.remaining_s

    bath_K = _ASSUMED_BATH_K if known.water is None else known.water.uncertainty_K
    # both readings by one thermometer: what it is off by cancels in their difference
    same = first.reading.instrument == last.reading.instrument
    u, v = first.uncertainty_K, last.uncertainty_K
    pairs = [(u, v), (-u, -v)] if same else [(u, v), (-u, -v), (u, -v), (-u, v)]
    try:
        value = left(0.0, 0.0, 0.0)
        ends = [left(a, b, off) for a, b in pairs for off in (-bath_K, bath_K)]
    except InputError:
        return None
    ever = [one for one in (*ends, value) if one is not None]
    never = value is None or None in ends
    return min(ever, default=None), value, None if never else max(ever)


def _one_reading(known: Known) -> Expected | None:
    """Go by the newest reading, and the plan's rate from there on."""
    plan = known.plan
    if not known.birds or plan.time_s is None or plan.low_s is None or plan.high_s is None:
        return None
    last = known.birds[-1]
    above_K = last.corrected_degC - known.bath_degC
    if above_K > _SETTLED * (LIVE_BIRD_DEGC - known.bath_degC) or above_K <= 0:
        return None
    at = last.reading.at
    left_s = 0.0
    if last.corrected_degC > known.limit_degC:
        f_s, _j = settled_fade(
            plan.thickness_m.value, surface_W_per_m2K=plan.surface_W_per_m2K.value
        )
        left_s = f_s * math.log10(above_K / (known.limit_degC - known.bath_degC))
    words = _("From your reading, {temp} at {time}, and {whose} cooling rate.").format(
        temp=known.shop.temp(last.corrected_degC),
        time=known.shop.clock(at),
        whose=_("your own birds’")
        if plan.thickness_m.basis.origin is Origin.OWN
        else _("the plan’s"),
    )
    return Expected(
        From.ONE_READING,
        words,
        _after(at, left_s * plan.low_s / plan.time_s),
        _after(at, left_s),
        _after(at, left_s * plan.high_s / plan.time_s),
    )


def planned(known: Known) -> Expected:
    """Say when the largest bird should be cold by the plan alone.

    Parameters
    ----------
    known : Known
        What is known of the batch.

    Returns
    -------
    Expected
        Counted from the last bird in.

    References
    ----------
    :func:`pinfeather.heat.carcass.chill_time`.
    """
    start, plan = known.last_in, known.plan
    water = (
        _("water at {temp} as assumed while ice floats").format(
            temp=known.shop.temp(known.bath_degC)
        )
        if known.water is None
        else _("water at {temp} as read at {time}").format(
            temp=known.shop.temp(known.bath_degC), time=known.shop.clock(known.water.reading.at)
        )
    )
    words = _("From the plan: a bird of {mass}, {water}; breast by {basis}.").format(
        mass=known.shop.mass(known.mass_kg), water=water, basis=_source(plan.thickness_m.basis)
    )
    return Expected(
        From.PLAN,
        words,
        _after(start, plan.low_s),
        _after(start, plan.time_s),
        _after(start, plan.high_s),
    )


def _one_bird(readings: list[Trusted]) -> list[Trusted]:
    """Keep the readings that may be of the same bird as the newest, one for each moment."""
    mass_kg = readings[-1].reading.mass_kg if readings else None
    kept: dict[dt.datetime, Trusted] = {
        one.reading.at: one for one in readings if one.reading.mass_kg == mass_kg
    }
    return list(kept.values())


def _after(moment: dt.datetime, seconds: float | None) -> dt.datetime | None:
    return None if seconds is None else moment + dt.timedelta(seconds=seconds)


def _source(basis: Basis) -> str:
    if basis.origin is Origin.OWN:
        return basis.note
    return _("the handbook")
