"""The cold curve: how a batch cools against its limit; its data, its sentence and its rows.

The drawing itself is in :mod:`pinfeather.reports.cold_curve`.
"""

from __future__ import annotations

import datetime as dt
import itertools
import math
from dataclasses import dataclass
from typing import Literal, NamedTuple

from pinfeather.errors import InputError
from pinfeather.quantity import show
from pinfeather.reports.when import Clock, after, aware, clock_text
from pinfeather.units import to_si
from pinfeather.words import gettext as _

TemperatureUnit = Literal["F", "C"]


class BandPoint(NamedTuple):
    """The expected temperature at one moment.

    Parameters
    ----------
    t_s : float
        Seconds after the curve's start [s].
    low_degC, middle_degC, high_degC : float
        One in ten colder, even odds, one in ten warmer [degC].
    """

    t_s: float
    low_degC: float
    middle_degC: float
    high_degC: float


class ProbeReading(NamedTuple):
    """One reading, corrected for its instrument.

    Parameters
    ----------
    t_s : float
        Seconds after the curve's start [s].
    temp_degC : float
        The corrected reading [degC].
    instrument : str
        The name on the instrument.
    """

    t_s: float
    temp_degC: float
    instrument: str


class LoggerLine(NamedTuple):
    """What a logger recorded, corrected for its instrument.

    Parameters
    ----------
    name : str
        What to call it.
    points : tuple of (float, float)
        Seconds after the curve's start [s] and temperatures [degC], in order of time.
    """

    name: str
    points: tuple[tuple[float, float], ...]


class MetTime(NamedTuple):
    """When the limit is expected to be met, or was met.

    Parameters
    ----------
    low_s, value_s, high_s : float
        One in ten sooner, even odds, one in ten later [s].
    """

    low_s: float
    value_s: float
    high_s: float


@dataclass(frozen=True, slots=True)
class ColdCurve:
    """One chill batch, ready to draw.

    Parameters
    ----------
    batch : str
        Its name.
    place : str
        Where the temperature is meant, for instance ``"deep breast, largest bird"``.
    start : datetime
        The moment all seconds count from, in the farm's zone.
    length_s : float
        How much time the picture shows [s].
    limit : float
        The limit as published [limit_unit].
    limit_unit : {"F", "C"}
        The unit it was published in.
    expected : tuple of BandPoint
        The band, in order of time; may be empty.
    readings : tuple of ProbeReading
        May be empty.
    clock_limit_s : float or None
        When the limit has to be met, if there is such a rule [s].
    met : MetTime or None
        When it is expected to be met; None where it is not, or not known.
    now : datetime or None
        The moment of the drawing.
    loggers : tuple of LoggerLine
        Kept logger curves; may be empty.

    Raises
    ------
    InputError
        If a moment has no zone, a number is not finite, the length is not positive, or the band is
        out of order.
    """

    batch: str
    place: str
    start: dt.datetime
    length_s: float
    limit: float
    limit_unit: TemperatureUnit
    expected: tuple[BandPoint, ...] = ()
    readings: tuple[ProbeReading, ...] = ()
    clock_limit_s: float | None = None
    met: MetTime | None = None
    now: dt.datetime | None = None
    loggers: tuple[LoggerLine, ...] = ()

    def __post_init__(self) -> None:
        aware("start", self.start)
        if self.now is not None:
            aware("now", self.now)
        if not (math.isfinite(self.length_s) and self.length_s > 0):
            raise InputError("length_s", self.length_s, _("The curve has no length."))
        numbers = [x for p in self.expected for x in p]
        numbers += [x for r in self.readings for x in (r.t_s, r.temp_degC)]
        numbers += [x for line in self.loggers for point in line.points for x in point]
        numbers += [] if self.met is None else list(self.met)
        if not all(map(math.isfinite, numbers)):
            raise InputError("curve", numbers, _("A number of this curve is not finite."))
        if any(b.t_s <= a.t_s for a, b in itertools.pairwise(self.expected)):
            raise InputError("expected", self.expected, _("The band runs backwards in time."))
        if not all(p.low_degC <= p.middle_degC <= p.high_degC for p in self.expected):
            raise InputError("expected", self.expected, _("The band is upside down."))

    @property
    def limit_degC(self) -> float:
        """The limit, converted as readings are [degC]."""
        return to_si(self.limit, self.limit_unit, "temperature")


def cold_curve_sentence(
    curve: ColdCurve, *, unit: TemperatureUnit = "F", clock: Clock = "12h"
) -> str:
    """Say what the cold curve shows.

    Parameters
    ----------
    curve : ColdCurve
        The batch.
    unit : {"F", "C"}
        The unit of the readings in the sentence.
    clock : {"12h", "24h"}
        Which clock the farm reads.

    Returns
    -------
    str
        Limit, clock limit, expected moment and last reading.

    References
    ----------
    Derivation: the fields in words.
    """

    def at(seconds_s: float) -> str:
        return clock_text(after(curve.start, seconds_s), clock=clock)

    limit = f"{curve.limit:g}\u202f°{curve.limit_unit}"
    parts = [_("Batch {batch}, {place}.").format(batch=curve.batch, place=curve.place)]
    if curve.clock_limit_s is None:
        parts.append(_("Limit {limit}.").format(limit=limit))
    else:
        parts.append(
            _("Limit {limit} by {time}.").format(limit=limit, time=at(curve.clock_limit_s))
        )
    if curve.met is not None:
        parts.append(
            _("Met at {time}, between {low} and {high} eight times in ten.").format(
                time=at(curve.met.value_s), low=at(curve.met.low_s), high=at(curve.met.high_s)
            )
        )
    if curve.readings:
        last = max(curve.readings, key=lambda reading: reading.t_s)
        parts.append(
            _("Last reading {temp} at {time} with {instrument}.").format(
                temp=show(last.temp_degC, unit, "temperature", decimals=1),
                time=at(last.t_s),
                instrument=last.instrument,
            )
        )
    parts += [
        _("Logger {name}: last {temp} at {time}.").format(
            name=line.name,
            temp=show(line.points[-1][1], unit, "temperature", decimals=1),
            time=at(line.points[-1][0]),
        )
        for line in curve.loggers
        if line.points
    ]
    return " ".join(parts)


def cold_curve_rows(curve: ColdCurve) -> list[tuple[dt.datetime, float, str, str]]:
    """Give the readings and the band as rows.

    Parameters
    ----------
    curve : ColdCurve
        The batch.

    Returns
    -------
    list of (datetime, float, str, str)
        Moment, temperature [degC], what it is, and the instrument's name.

    References
    ----------
    Derivation: the points of the picture, sorted by time.
    """
    rows = [
        (after(curve.start, r.t_s), r.temp_degC, _("reading"), r.instrument) for r in curve.readings
    ]
    rows += [
        (after(curve.start, t_s), temp_degC, _("logger"), line.name)
        for line in curve.loggers
        for t_s, temp_degC in line.points
    ]
    for point in curve.expected:
        moment = after(curve.start, point.t_s)
        rows += [
            (moment, point.low_degC, _("expected, low"), ""),
            (moment, point.middle_degC, _("expected"), ""),
            (moment, point.high_degC, _("expected, high"), ""),
        ]
    return sorted(rows, key=lambda row: row[0])
