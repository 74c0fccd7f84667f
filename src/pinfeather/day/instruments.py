"""Readings with the instrument that made them: corrected, and how far to trust them."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import Final

from pinfeather.day.events import IcePoint, Reading
from pinfeather.errors import InputError
from pinfeather.finding import Finding, Severity
from pinfeather.heat.thermometer import (
    WORST_ACCURACY_K,
    Disagreement,
    Instrument,
    corrected_degC,
    disagreement,
    uncertainty_K,
)
from pinfeather.units import SECONDS_PER_DAY
from pinfeather.words import gettext as _

TEMPERATURES: Final = frozenset({"bath", "bird", "giblets", "scalder", "refrigerator", "room"})
"""Kinds of reading that a thermometer makes."""

TOGETHER_S: Final = 300.0
"""Two readings of one place this close in time are taken as of the same water [s]; assumed."""


@dataclass(frozen=True, slots=True)
class Trusted:
    """A reading after its instrument's own check.

    Parameters
    ----------
    reading : Reading
        As written.
    corrected_degC : float
        With the ice check taken out [degC].
    uncertainty_K : float
        How far that may be off [K].
    ice_point : IcePoint or None
        The check it was corrected by.
    """

    reading: Reading
    corrected_degC: float
    uncertainty_K: float
    ice_point: IcePoint | None

    @property
    def days_since_check(self) -> float | None:
        """Age of the ice check when the reading was made [d]."""
        if self.ice_point is None:
            return None
        return max(0.0, (self.reading.at - self.ice_point.at).total_seconds() / SECONDS_PER_DAY)


def trusted(
    readings: Iterable[Reading],
    ice_points: Sequence[IcePoint],
    *,
    accuracies_K: Mapping[str, float],
) -> tuple[Trusted, ...]:
    """Correct each temperature reading by its instrument's last ice check before it.

    Parameters
    ----------
    readings : iterable of Reading
        Others than temperatures are left out.
    ice_points : sequence of IcePoint
        All checks on record.
    accuracies_K : mapping
        Stated accuracy by instrument; an unknown instrument gets the worst allowed [K].

    Returns
    -------
    tuple of Trusted
        In the order given.

    References
    ----------
    Derivation: :func:`pinfeather.heat.thermometer.corrected_degC` with the newest check that is
    not later than the reading.
    """
    return tuple(
        _trust(reading, ice_points, accuracies_K.get(reading.instrument, WORST_ACCURACY_K))
        for reading in readings
        if reading.what in TEMPERATURES
    )


def _trust(reading: Reading, ice_points: Sequence[IcePoint], accuracy_K: float) -> Trusted:
    earlier = [p for p in ice_points if p.instrument == reading.instrument and p.at <= reading.at]
    newest = max(earlier, key=lambda p: p.at, default=None)
    ice_degC = None if newest is None else newest.reading_degC
    try:
        value = corrected_degC(reading.si, ice_reading_degC=ice_degC)
    except InputError:
        # a broken thermometer: its readings stay as they are, off by what its check says at least
        newest, value = None, reading.si
        accuracy_K = max(accuracy_K, abs(ice_degC or 0.0))
    days = (
        None
        if newest is None
        else max(0.0, (reading.at - newest.at).total_seconds() / SECONDS_PER_DAY)
    )
    spread = uncertainty_K(accuracy_K=accuracy_K, checked=newest is not None, days_since_check=days)
    return Trusted(reading, value, spread, newest)


def disagreements(
    readings: Sequence[Trusted], *, accuracies_K: Mapping[str, float]
) -> tuple[tuple[Trusted, Trusted, Disagreement], ...]:
    """Find pairs of instruments that read the same water and cannot both be right.

    Parameters
    ----------
    readings : sequence of Trusted
        In any order.
    accuracies_K : mapping
        Stated accuracy by instrument [K].

    Returns
    -------
    tuple of (Trusted, Trusted, Disagreement)
        The newest such pair for each place and pair of instruments.

    References
    ----------
    Derivation: :func:`pinfeather.heat.thermometer.disagreement`.
    """
    newest: dict[tuple[str, ...], tuple[Trusted, Trusted, Disagreement]] = {}
    in_time = sorted(readings, key=lambda one: one.reading.at)
    for first, second in combinations(in_time, 2):
        a, b = first.reading, second.reading
        apart_s = abs((b.at - a.at).total_seconds())
        same_water = (a.what, a.place) == (b.what, b.place) and a.what != "bird"
        if not same_water or a.instrument == b.instrument or apart_s > TOGETHER_S:
            continue
        compared = disagreement(_instrument(first, accuracies_K), _instrument(second, accuracies_K))
        key = (a.what, a.place, *sorted((a.instrument, b.instrument)))
        newest.pop(key, None)
        if compared.differ:
            newest[key] = (first, second, compared)
    return tuple(newest.values())


def _instrument(one: Trusted, accuracies_K: Mapping[str, float]) -> Instrument:
    return Instrument(
        name=one.reading.instrument,
        reading_degC=one.reading.si,
        accuracy_K=accuracies_K.get(one.reading.instrument, WORST_ACCURACY_K),
        ice_reading_degC=None if one.ice_point is None else one.ice_point.reading_degC,
        days_since_check=one.days_since_check,
    )


def check_findings(
    readings: Sequence[Trusted], *, date: dt.date, zone: dt.tzinfo
) -> tuple[Finding, ...]:
    """Say which thermometers were used without an ice check that day.

    Parameters
    ----------
    readings : sequence of Trusted
        The day's readings.
    date : date
        The day.
    zone : tzinfo
        The farm's time zone.

    Returns
    -------
    tuple of Finding
        One for each instrument.

    References
    ----------
    North Carolina Department of Agriculture, thermometer calibration: in continual use, check at
    least once a day.
    """
    findings = []
    for name in dict.fromkeys(one.reading.instrument for one in readings):
        mine = [one for one in readings if one.reading.instrument == name]
        checked = any(
            one.ice_point is not None and one.ice_point.at.astimezone(zone).date() == date
            for one in mine
        )
        if not checked:
            findings.append(
                Finding(
                    code="thermometer.unchecked",
                    severity=Severity.CHECK,
                    sentence=_("“{name}” was not checked in ice today.").format(name=name),
                    reason=_("Crushed ice and a little water, tip in the middle, half a minute."),
                    where=name,
                    citation=_("Common guidance: check once a day in use"),
                    status="read",
                )
            )
    return tuple(findings)
