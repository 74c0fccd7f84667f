"""The formulas for waiting lines beside the simulated day: they explain, they do not plan."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from pinfeather.errors import InputError
from pinfeather.line.queues import best_pace, kingman_wait_s, pollaczek_khinchine
from pinfeather.line.simulate import Timetable
from pinfeather.line.stations import MANY, PACKING, Station

_FEWEST_GAPS = 3


@dataclass(frozen=True, slots=True)
class StationFormula:
    """One station: what the simulated day shows, and what the formulas say.

    Parameters
    ----------
    code : str
        Which.
    time_s : float
        Work on one bird, a full load shared out [s].
    places : int
        Places side by side.
    busy_frac : float
        Share of the line's time the places are in use, by the simulation [1].
    load_frac : float
        The same by formula: birds an hour times work, over the places [1].
    wait_s : float
        Mean wait before it, by the simulation [s].
    kingman_s : float or None
        Mean wait by the rule of thumb with the simulated arrivals; None where more birds come
        than it can take [s].
    random_s : float or None
        Mean wait if birds came at random, one place; None with more places or too many birds [s].
    """

    code: str
    time_s: float
    places: int
    busy_frac: float
    load_frac: float
    wait_s: float
    kingman_s: float | None
    random_s: float | None


@dataclass(frozen=True, slots=True)
class Flowing:
    """Little's law on the day: birds under way are pace times stay.

    Parameters
    ----------
    birds_per_h : float
        Pace of the line from the first bird to the last [birds/h].
    stay_s : float
        Mean time of a bird from the first station to the chill [s].
    under_way : float
        Birds under way on average, counted on the simulated day.
    by_law : float
        The same from pace times stay.
    at_best_bph : float
        The most an even line does with so many birds under way [birds/h].
    """

    birds_per_h: float
    stay_s: float
    under_way: float
    by_law: float
    at_best_bph: float


def line_stations(table: Timetable, stations: Sequence[Station]) -> list[int]:
    """Return which stations are on the line before the chill and can fill up.

    Parameters
    ----------
    table : Timetable
        A day played through.
    stations : sequence of Station
        Its line.

    Returns
    -------
    list of int
        Their columns.

    References
    ----------
    Derivation: packing and the tank left out.
    """
    return [
        k
        for k, one in enumerate(stations)
        if one.code not in PACKING and one.code != "chill" and one.servers < MANY
        and np.isfinite(table.start_s[:, k]).any()
    ]  # fmt: skip


def station_formulas(table: Timetable, stations: Sequence[Station]) -> tuple[StationFormula, ...]:
    """Set the formulas beside the simulated day, station by station.

    Parameters
    ----------
    table : Timetable
        A day played through.
    stations : sequence of Station
        Its line.

    Returns
    -------
    tuple of StationFormula
        Only stations of the line that can fill up.

    Notes
    -----
    The line pulls its birds, people share stations and the day has an end; the formulas know
    nothing of this. With steady arrivals the rule of thumb is 9 to 25 % too long even where its
    conditions hold.

    References
    ----------
    As :mod:`pinfeather.line.queues`.
    """
    found = []
    for k in line_stations(table, stations):
        station = stations[k]
        arrive = np.sort(table.arrive_s[:, k][np.isfinite(table.arrive_s[:, k])])
        wait = np.maximum(table.start_s[:, k] - table.arrive_s[:, k], 0.0)
        gaps = np.diff(arrive)
        if len(gaps) < _FEWEST_GAPS or gaps.mean() <= 0:
            continue
        rate = 1 / float(gaps.mean())
        time_s = station.load_s / station.batch
        cv2 = _work_cv2(station)
        kingman: float | None = None
        random: float | None = None
        try:
            kingman = kingman_wait_s(
                rate,
                time_s=time_s,
                arrival_cv2=float(gaps.var() / gaps.mean() ** 2),
                work_cv2=cv2,
                servers=station.servers,
            )
            if station.servers == 1:
                random = pollaczek_khinchine(
                    rate, time_s=time_s, sd_s=time_s * math.sqrt(cv2)
                ).wait_s
        except InputError:
            kingman = random = None  # more birds come than it takes: there is no steady state
        found.append(
            StationFormula(
                station.code,
                time_s,
                station.servers,
                float(table.utilisation[k]),
                rate * time_s / station.servers,
                float(np.nanmean(wait)),
                kingman,
                random,
            )
        )
    return tuple(found)


def _work_cv2(station: Station) -> float:
    """Return the squared spread of a station's whole work, from its phases."""
    total = sum(phase.time_s.value for phase in station.phases)
    variance = sum((phase.cv * phase.time_s.value) ** 2 for phase in station.phases)
    return variance / total**2 if total else 0.0


def flowing(table: Timetable, stations: Sequence[Station]) -> Flowing | None:
    """Check Little's law on a simulated day.

    Parameters
    ----------
    table : Timetable
        A day played through.
    stations : sequence of Station
        Its line.

    Returns
    -------
    Flowing or None
        None where no bird got to the chill.

    References
    ----------
    Little 1961, Operations Research 9, 383-387; Hopp and Spearman, Factory Physics, section
    7.3, for the best an even line can do.
    """
    line = line_stations(table, stations)
    if not line:
        return None
    first, last = table.start_s[:, line[0]], table.depart_s[:, line[-1]]
    through = np.isfinite(first) & np.isfinite(last)
    if not through.any():
        return None
    begin, end = np.sort(first[through]), np.sort(last[through])
    span = float(end[-1] - begin[0])
    if span <= 0:
        return None
    count = int(through.sum())
    stay_s = float((last[through] - first[through]).mean())
    moments = np.concatenate([begin, end])
    steps = np.concatenate([np.ones(count), -np.ones(count)])
    order = np.lexsort((-steps, moments))
    held = np.cumsum(steps[order])[:-1]
    under_way = float((held * np.diff(moments[order])).sum() / span)
    time_s = sum(stations[k].time_s for k in line)
    slowest = max(stations[k].load_s / (stations[k].batch * stations[k].servers) for k in line)
    best = best_pace(max(1, round(under_way)), bottleneck_rate=1 / slowest, time_s=time_s)
    return Flowing(3600 * count / span, stay_s, under_way, count / span * stay_s, 3600 * best.rate)
