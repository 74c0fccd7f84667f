"""A logger's curve as part of a day: corrected by its instrument, and what it can prove."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from pinfeather.day.events import IcePoint, LoggerNote, Reading
from pinfeather.day.instruments import Trusted
from pinfeather.errors import InputError
from pinfeather.finding import Finding, Severity
from pinfeather.heat.logger import Judged, Log, judge
from pinfeather.heat.thermometer import ice_point_offset_K, uncertainty_K
from pinfeather.hygiene.curve import read_curve
from pinfeather.hygiene.growth import grow, judge_growth
from pinfeather.hygiene.growth_models import growth_model
from pinfeather.quantity import show
from pinfeather.units import SECONDS_PER_DAY, from_si
from pinfeather.words import gettext as _

FloatArray = NDArray[np.float64]

GROWTH_MODEL: Final = "salmonella_oscar_2002"
_ROUNDING_K: Final = 1e-9
"""As :func:`pinfeather.heat.thermometer.cold_enough`."""
_WARM_K: Final = 5.0
_FRESH_DEGC: Final = 30.0
"""A breast warmer than this went into the water just now [degC]. Assumed."""
_FALL_S: Final = 300.0
"""A breast takes longer than this from 5 K above the limit down to it; a probe that falls faster
lay in water or was moved [s]. Assumed; the smallest published bird takes ten times as long."""


@dataclass(frozen=True, slots=True, eq=False)
class Logged:
    """One kept curve, cut to the time its probe was in place.

    Parameters
    ----------
    note : LoggerNote
        The journal's entry.
    unit : str
        ``"F"`` or ``"C"``, as in the file.
    times_s : ndarray, shape (n,)
        Seconds since 1970 UTC, increasing [s].
    degC : ndarray, shape (n,)
        As the file says [degC].
    corrected_degC : ndarray, shape (n,)
        With the instrument's ice checks taken out [degC].
    uncertainty_K : ndarray, shape (n,)
        How far each may be off [K].
    check : ndarray, shape (n,)
        Which ice check each was corrected by; -1 for none.
    ice_points : tuple of IcePoint
        The instrument's checks, by time.
    interval_s : float
        Usual time between readings [s].
    findings : tuple of Finding
        Trouble in the file.
    """

    note: LoggerNote
    unit: str
    times_s: FloatArray
    degC: FloatArray
    corrected_degC: FloatArray
    uncertainty_K: FloatArray
    check: NDArray[np.intp]
    ice_points: tuple[IcePoint, ...]
    interval_s: float
    findings: tuple[Finding, ...]

    def at(self, k: int) -> dt.datetime:
        """Return the moment of a reading."""
        return dt.datetime.fromtimestamp(float(self.times_s[k]), dt.UTC)

    def point(self, k: int) -> Trusted:
        """Return one reading of the curve as if somebody had written it down."""
        check = int(self.check[k])
        value = from_si(float(self.degC[k]), self.unit, "temperature")
        return Trusted(
            reading=Reading(
                id=f"{self.note.id}-{k}",
                what=self.note.what,
                place=self.note.place,
                written=f"{value:.1f} {self.unit}",
                unit=self.unit,
                si=float(self.degC[k]),
                instrument=self.note.instrument,
                who=self.note.who,
                at=self.at(k),
                note=_("logger {name}").format(name=self.note.name),
            ),
            corrected_degC=float(self.corrected_degC[k]),
            uncertainty_K=float(self.uncertainty_K[k]),
            ice_point=None if check < 0 else self.ice_points[check],
        )


def logged(
    note: LoggerNote,
    log: Log,
    *,
    unit: str,
    ice_points: Sequence[IcePoint],
    accuracy_K: float,
    since: dt.datetime | None = None,
    until: dt.datetime | None = None,
) -> Logged:
    """Correct a logger's curve by its instrument's ice checks, as single readings are.

    Parameters
    ----------
    note : LoggerNote
        What it measured, where, with which instrument.
    log : Log
        The file as read.
    unit : str
        ``"F"`` or ``"C"``.
    ice_points : sequence of IcePoint
        All checks on record.
    accuracy_K : float
        The instrument's stated accuracy [K].
    since, until : datetime or None
        When the probe went in and came out; None for the whole file.

    Returns
    -------
    Logged
        Each reading corrected by the newest check not later than it.

    Raises
    ------
    InputError
        If no reading lies in that time.

    References
    ----------
    Derivation: as :func:`pinfeather.day.instruments.trusted`, for a whole curve at once.
    """
    keep = np.ones(len(log.times_s), dtype=bool)
    if since is not None:
        keep &= log.times_s >= since.timestamp()
    if until is not None:
        keep &= log.times_s <= until.timestamp()
    if not keep.any():
        raise InputError("since", since, _("No reading of the file lies in that time."))
    times, degC = log.times_s[keep], log.degC[keep]
    mine = tuple(sorted((p for p in ice_points if p.instrument == note.instrument), key=_when))
    moments = np.array([p.at.timestamp() for p in mine], dtype=np.float64)
    check = np.searchsorted(moments, times, side="right") - 1
    offset, spread = np.zeros(len(times)), np.full(len(times), accuracy_K)
    for number, point in enumerate(mine):
        here = check == number
        if not here.any():
            continue
        try:
            offset[here] = ice_point_offset_K(point.reading_degC)
        except InputError:
            # a broken thermometer: left as it is, off by what its check says at least
            spread[here] = max(accuracy_K, abs(point.reading_degC))
            check = np.where(here, -1, check)
            continue
        oldest_days = float(np.max(times[here]) - moments[number]) / SECONDS_PER_DAY
        spread[here] = uncertainty_K(
            accuracy_K=accuracy_K, checked=True, days_since_check=max(0.0, oldest_days)
        )
    return Logged(
        note=note,
        unit=unit,
        times_s=times,
        degC=degC,
        corrected_degC=degC - offset,
        uncertainty_K=spread,
        check=np.asarray(check, dtype=np.intp),
        ice_points=mine,
        interval_s=log.interval_s,
        findings=log.findings,
    )


def _when(point: IcePoint) -> dt.datetime:
    return point.at


def last_warm(curve: Logged, *, since: dt.datetime, target_degC: float) -> dt.datetime | None:
    """Return when a curve last was too warm beyond doubt.

    Parameters
    ----------
    curve : Logged
        The curve.
    since : datetime
        Readings before this do not count.
    target_degC : float
        Temperature to reach, itself allowed [degC].

    Returns
    -------
    datetime or None
        None where it never was.

    References
    ----------
    ISO 14253-1 (2017), section 5.
    """
    warm = curve.corrected_degC - curve.uncertainty_K > target_degC + _ROUNDING_K
    found = np.flatnonzero(warm & (curve.times_s >= since.timestamp()))
    return curve.at(int(found[-1])) if len(found) else None


def first_cold(
    curve: Logged, *, since: dt.datetime, after: dt.datetime | None, target_degC: float
) -> Trusted | None:
    """Return the first reading of a curve that proves a bird cold.

    Parameters
    ----------
    curve : Logged
        The curve of a probe in a bird.
    since : datetime
        When the last bird went in; readings before prove nothing.
    after : datetime or None
        The last warm reading of anybody; only later readings count.
    target_degC : float
        Temperature to reach, itself allowed [degC].

    Returns
    -------
    Trusted or None
        None where it proves nothing; :func:`doubts` says why.

    References
    ----------
    ISO 14253-1 (2017), section 5.
    """
    if doubts(curve, target_degC=target_degC, last_in=since):
        return None
    cold = curve.corrected_degC + curve.uncertainty_K <= target_degC + _ROUNDING_K
    cold &= (curve.check >= 0) & (curve.times_s >= since.timestamp())
    if after is not None:
        cold &= curve.times_s > after.timestamp()
    found = np.flatnonzero(cold)
    return curve.point(int(found[0])) if len(found) else None


def went_in_early(curve: Logged, *, last_in: dt.datetime) -> bool:
    """Tell whether a logger's bird was cooling long before the last bird of its tank went in.

    Parameters
    ----------
    curve : Logged
        The curve of a probe in a bird.
    last_in : datetime
        When the last bird went in.

    Returns
    -------
    bool
        True where the curve covers that moment and its bird was no longer as warm as a fresh one.

    References
    ----------
    Assumed: a breast in slush stays above 86 degF in its middle for some ten minutes.
    """
    before = np.flatnonzero(curve.times_s <= last_in.timestamp())
    return bool(len(before)) and float(curve.corrected_degC[before[-1]]) < _FRESH_DEGC


def doubts(
    curve: Logged, *, target_degC: float, last_in: dt.datetime | None = None
) -> tuple[Finding, ...]:
    """Say why a curve cannot prove a bird cold, whatever it shows.

    Parameters
    ----------
    curve : Logged
        The curve.
    target_degC : float
        Temperature to reach [degC].
    last_in : datetime or None
        When the last bird of its tank went in, where that is known.

    Returns
    -------
    tuple of Finding
        Empty where it can.

    Notes
    -----
    A probe that lay in the ice water all the time is cold too. So the curve has to begin warm and
    come down as slowly as meat does.

    References
    ----------
    Assumed; see the comment in this module.
    """
    if curve.note.what != "bird":
        return ()

    def doubt(code: str, sentence: str, reason: str) -> tuple[Finding, ...]:
        return (
            Finding(
                code, Severity.CHECK, sentence, reason, where=curve.note.place, status="assumed"
            ),
        )

    values = curve.corrected_degC
    if not (curve.check >= 0).any():
        return doubt(
            "logger.unchecked",
            _("“{name}” has no ice check before this curve, so the curve proves nothing.").format(
                name=curve.note.instrument
            ),
            _("Check it in ice before it goes into a bird; until then probe by hand."),
        )
    warm = np.flatnonzero(values - curve.uncertainty_K > target_degC + _ROUNDING_K)
    if not len(warm):
        return doubt(
            "logger.never_warm",
            _("The logger never was warm, so nobody can tell that it was in a bird."),
            _("Put the probe into the bird before the tank, or probe by hand."),
        )
    high = np.flatnonzero(values > target_degC + _WARM_K)
    if len(high):
        down = np.flatnonzero(values[high[-1] :] <= target_degC)
        if len(down):
            fall_s = float(curve.times_s[high[-1] + down[0]] - curve.times_s[high[-1]])
            if fall_s < _FALL_S:
                return doubt(
                    "logger.too_fast",
                    _("The logger fell too fast for meat: it lay in the water, or was moved."),
                    _("Say from when to when the probe was in the bird, or probe by hand."),
                )
    if last_in is not None and went_in_early(curve, last_in=last_in):
        return doubt(
            "logger.early_bird",
            _("The logger’s bird was cooling before the last bird went in: it proves only itself."),
            _("Probe a bird of the last ones by hand, or put the logger into the last bird."),
        )
    return ()


def judged(curve: Logged, *, limit_degC: float) -> Judged:
    """Judge a corrected curve against a limit.

    Parameters
    ----------
    curve : Logged
        The curve.
    limit_degC : float
        Limit, itself allowed [degC].

    Returns
    -------
    Judged
        When it got cold, how long it was above.

    References
    ----------
    :func:`pinfeather.heat.logger.judge`.
    """
    log = Log(curve.times_s, curve.corrected_degC, curve.interval_s, ())
    return judge(log, limit_degC=limit_degC)


def logger_sentence(curve: Logged, *, limit: str, limit_degC: float, zone: dt.tzinfo) -> str:
    """Sum up a curve in one sentence for the record.

    Parameters
    ----------
    curve : Logged
        The curve.
    limit : str
        The limit as published.
    limit_degC : float
        The same [degC].
    zone : tzinfo
        The farm's zone.

    Returns
    -------
    str
        When it got cold, and how warm it was after that.

    References
    ----------
    Derivation: :func:`judged`, and the warmest reading after the first cold moment, rounded up.
    """
    name = curve.note.name
    found = judged(curve, limit_degC=limit_degC)
    if found.first_cold_s is None:
        return _("Logger {name}: never down to {limit}; coldest {coldest}.").format(
            name=name,
            limit=limit,
            coldest=show(found.coldest_degC, curve.unit, "temperature", decimals=1),
        )
    later = curve.corrected_degC[curve.times_s >= found.first_cold_s]
    warmest = from_si(float(np.max(later, initial=limit_degC)), curve.unit, "temperature")
    moment = dt.datetime.fromtimestamp(found.first_cold_s, zone)
    return _(
        "Logger {name}: down to {limit} at {time}, never above {warmest} °{unit} after."
    ).format(
        name=name,
        limit=limit,
        time=f"{moment:%H:%M}",
        warmest=f"{math.ceil(warmest * 10 - 1e-6) / 10:.1f}",
        unit=curve.unit,
    )


def growth_findings(curve: Logged) -> tuple[Finding, ...]:
    """Say how much bacteria could have grown along a bird's curve.

    Parameters
    ----------
    curve : Logged
        The curve.

    Returns
    -------
    tuple of Finding
        The judgement first; empty for water, or where the curve has one reading.

    References
    ----------
    :func:`pinfeather.hygiene.growth.grow` with the published Salmonella model of 2002.
    """
    if curve.note.what != "bird" or len(curve.times_s) < 2:  # noqa: PLR2004 - a curve has two ends
        return ()
    found = grow(growth_model(GROWTH_MODEL), read_curve(curve.times_s, curve.corrected_degC))
    return (judge_growth(found, where=curve.note.place), *found.findings)
