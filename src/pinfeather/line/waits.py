"""How long birds wait where waiting matters."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pinfeather.line.simulate import Timetable
from pinfeather.line.stations import Station

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Waits:
    """Waiting times, one for each bird; not-a-number where the bird never got there.

    Parameters
    ----------
    caught_s : ndarray
        From caught to in the cone, and in the cone to the cut [s].
    bleed_s : ndarray
        From the end of the cut to the scald [s].
    hung_s : ndarray
        Of that, what is beyond the shortest bleed [s].
    soaked_s : ndarray
        In the scald beyond the scalding time [s].
    warm_s : ndarray
        From picked to in the chill [s].
    drawn_s : ndarray
        From the start of the cut to drawn [s].
    """

    caught_s: Floats
    bleed_s: Floats
    hung_s: Floats
    soaked_s: Floats
    warm_s: Floats
    drawn_s: Floats


def cut_phase(station: Station) -> int:
    """Return which phase of the kill is the cut: the last attended one before the bleeding.

    Parameters
    ----------
    station : Station
        The kill.

    Returns
    -------
    int
        Its place among the station's phases; 0 where none is attended.

    References
    ----------
    Derivation: the bird bleeds by itself, so what comes just before is the cut.
    """
    alone = [at for at, phase in enumerate(station.phases) if not phase.attended]
    return max(alone[0] - 1, 0) if alone else len(station.phases) - 1


def waits(timetable: Timetable, stations: Sequence[Station]) -> Waits:
    """Return how long each bird waited where waiting matters.

    Parameters
    ----------
    timetable : Timetable
        A day played through.
    stations : sequence of Station
        Its line.

    Returns
    -------
    Waits
        Not-a-number throughout for what the line has no stations for.

    References
    ----------
    Derivation: differences of the timetable.
    """
    birds = timetable.start_s.shape[0]
    none = np.full(birds, np.nan)
    codes = timetable.codes
    caught = bleed = hung = soaked = warm = drawn = none
    if "kill" in codes:
        k = timetable.at("kill")
        first = timetable.phase_at[k].start
        cut = first + cut_phase(stations[k])
        caught = timetable.phase_start_s[:, cut] - timetable.start_s[:, k]
        if cut > first:
            work = timetable.phase_finish_s[:, first:cut] - timetable.phase_start_s[:, first:cut]
            caught = caught - work.sum(axis=1)
        if k:
            caught = caught + timetable.start_s[:, k] - timetable.finish_s[:, k - 1]
        bleed = timetable.depart_s[:, k] - timetable.phase_finish_s[:, cut]
        hung = bleed - stations[k].min_stay_s
        if "draw" in codes:
            drawn = timetable.finish_s[:, timetable.at("draw")] - timetable.phase_start_s[:, cut]
    if "scald" in codes:
        s = timetable.at("scald")
        soaked = timetable.depart_s[:, s] - timetable.finish_s[:, s]
        at = timetable.phase_at[s]
        gaps = timetable.phase_start_s[:, at][:, 1:] - timetable.phase_finish_s[:, at][:, :-1]
        soaked = soaked + gaps.sum(axis=1)
    if "pick" in codes and "chill" in codes:
        warm = timetable.start_s[:, timetable.at("chill")]
        warm = warm - timetable.finish_s[:, timetable.at("pick")]
    return Waits(caught, bleed, hung, soaked, warm, drawn)
