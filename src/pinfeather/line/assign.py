"""Who serves which station: fixed posts, exactly, and what moving about could gain at most."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from pinfeather.errors import InputError
from pinfeather.line.crew import Person
from pinfeather.line.stations import DIRTY_SIDE, PACKING, Station
from pinfeather.words import gettext as _

Floats = NDArray[np.float64]

MOST_STATIONS: Final = 10
"""Stations the exact search takes; the work grows threefold with each."""
ROUND_S: Final = 1e-9


@dataclass(frozen=True, slots=True)
class Assignment:
    """Every station given to one person.

    Parameters
    ----------
    stations : tuple of tuple of int
        The stations of each person, from 0.
    cycle_s : float
        The longest time anybody needs for one bird [s].
    total_s : float
        All people's time for one bird [s].
    """

    stations: tuple[tuple[int, ...], ...]
    cycle_s: float
    total_s: float


@dataclass(frozen=True, slots=True)
class Moving:
    """The pace of people who move about.

    Parameters
    ----------
    birds_per_h : float
        No plan is faster in the long run [birds/h].
    share : ndarray
        Share of time each person spends at each station, shape (people, stations) [1].
    dirty : tuple of bool or None
        Which side each person is on; None where sides do not matter.
    """

    birds_per_h: float
    share: Floats
    dirty: tuple[bool, ...] | None = None


@dataclass(frozen=True, slots=True)
class Comparison:
    """Fixed posts against moving about.

    Parameters
    ----------
    fixed_bph : float
        Best fixed posts, every station one person's; zero where there are none [birds/h].
    walled_bph : float
        Moving about on one's own side, at most [birds/h].
    free_bph : float
        Moving about everywhere without washing, at most [birds/h].
    gain_frac : float
        What moving on one's own side adds to fixed posts, at most [1].
    """

    fixed_bph: float
    walled_bph: float
    free_bph: float
    gain_frac: float


def hand_times(stations: Sequence[Station], people: Sequence[Person]) -> tuple[Floats, list[str]]:
    """Return how long each person needs for a bird at each station of the line.

    Parameters
    ----------
    stations : sequence of Station
        The line; stations that need nobody and packing are left out.
    people : sequence of Person
        The crew.

    Returns
    -------
    tuple of (ndarray, list of str)
        Times of shape (people, stations), infinite without the skill [s], and the codes.

    References
    ----------
    Derivation: hands' time / speed.
    """
    line = [s for s in stations if s.hands_s > 0 and s.code not in PACKING]
    rows = [
        [s.hands_s / who.speed if s.code in who.stations else math.inf for s in line]
        for who in people
    ]
    return np.array(rows, float).reshape(len(people), len(line)), [s.code for s in line]


def _checked(times_s: Floats) -> Floats:
    times = np.asarray(times_s, dtype=float)
    if times.ndim != 2 or not times.size or not (times > 0).all():  # noqa: PLR2004 - two axes
        raise InputError("times_s", np.shape(times_s), _("Give a time a person and station."))
    return times


def fixed_posts(times_s: Floats, *, dirty: Sequence[bool] | None = None) -> Assignment | None:
    """Give every station to one person so that the slowest is as fast as can be.

    Parameters
    ----------
    times_s : ndarray
        Time of each person for a bird at each station, infinite without the skill, shape
        (people, stations) [s].
    dirty : sequence of bool or None
        Which stations are on the dirty side; nobody gets some of both. None for no sides.

    Returns
    -------
    Assignment or None
        The shortest longest time, and among these the least time of all; None where nobody can
        serve some station, or the sides cannot both be manned.

    Raises
    ------
    InputError
        If the times have the wrong shape or there are too many stations.

    Notes
    -----
    Exact: the search goes through all ways to split the stations, person by person, and keeps
    the best for each set of stations served. The bottleneck comes first, because it sets the
    pace; the sum only breaks ties.

    References
    ----------
    Burkard, Dell'Amico and Martello 2009, Assignment Problems, section 6.2, for bottleneck
    before sum. Derivation: dynamic programme over sets of stations.
    """
    times = _checked(times_s)
    people, count = times.shape
    if count > MOST_STATIONS:
        raise InputError("times_s", count, _("Too many stations to try all ways."))
    sets = range(1 << count)
    loads = [[_load(times[i], bits) for bits in sets] for i in range(people)]
    if dirty is not None:
        side = sum(1 << k for k in range(count) if dirty[k])
        mixed = [bool(bits & side) and bool(bits & ~side) for bits in sets]
        loads = [
            [math.inf if mixed[bits] else load for bits, load in enumerate(row)] for row in loads
        ]
    best = _split(loads, count, limit=math.inf, worst=True)
    if best is None:
        return None
    found = _split(loads, count, limit=best[0] + ROUND_S, worst=False) or best
    stations = tuple(tuple(k for k in range(count) if bits >> k & 1) for bits in found[1])
    each = [loads[i][bits] for i, bits in enumerate(found[1])]
    return Assignment(stations, max(each), sum(each))


def _load(row: Floats, bits: int) -> float:
    return float(sum(row[k] for k in range(len(row)) if bits >> k & 1))


def _split(
    loads: list[list[float]], count: int, *, limit: float, worst: bool
) -> tuple[float, list[int]] | None:
    """Return the best way to split all stations: least largest load, or least sum under it."""
    full = (1 << count) - 1
    best: dict[int, tuple[float, list[int]]] = {0: (0.0, [])}
    for row in loads:
        following: dict[int, tuple[float, list[int]]] = {}
        for served, (value, chosen) in best.items():
            free = full & ~served
            bits = free
            while True:
                load = row[bits]
                if load <= limit and load < math.inf:
                    new = max(value, load) if worst else value + load
                    key = served | bits
                    if key not in following or new < following[key][0] - ROUND_S:
                        following[key] = (new, [*chosen, bits])
                if not bits:
                    break
                bits = (bits - 1) & free
        best = following
    return best.get(full)


def moving_bound(times_s: Floats, *, dirty: Sequence[bool] | None = None) -> Moving:
    """Return the fastest pace of people who move about, each free to split their time.

    Parameters
    ----------
    times_s : ndarray
        Time of each person for a bird at each station, infinite without the skill, shape
        (people, stations) [s].
    dirty : sequence of bool or None
        Which stations are on the dirty side; then everybody stays on one side. None for no
        sides.

    Returns
    -------
    Moving
        Pace zero where a station has nobody.

    Raises
    ------
    InputError
        If the times have the wrong shape.
    ConvergenceError
        If the solver gives up, which it never should.

    Notes
    -----
    An upper limit: speeds add up, nobody walks, nobody waits.

    References
    ----------
    Derivation: linear programme, with a yes or no a person for the side. Andradottir, Ayhan
    and Down 2003, Operations Research 51, 952-968, on flexible servers.
    """
    from scipy.optimize import Bounds, LinearConstraint, milp

    from pinfeather.errors import ConvergenceError

    times = _checked(times_s)
    people, count = times.shape
    able = np.isfinite(times)
    speed = np.where(able, 1 / np.where(able, times, 1.0), 0.0)
    sided = dirty is not None
    size = people * count + 1 + (people if sided else 0)
    pace = people * count
    rows, low, high = [], [], []
    for k in range(count):
        row = np.zeros(size)
        row[[i * count + k for i in range(people)]] = speed[:, k]
        row[pace] = -1.0
        rows.append(row)
        low.append(0.0)
        high.append(np.inf)
    for i in range(people):
        row = np.zeros(size)
        row[i * count : (i + 1) * count] = 1.0
        rows.append(row)
        low.append(-np.inf)
        high.append(1.0)
        for k in range(count) if dirty is not None else ():
            row = np.zeros(size)
            row[i * count + k] = 1.0
            row[pace + 1 + i] = -1.0 if dirty is not None and dirty[k] else 1.0
            rows.append(row)
            low.append(-np.inf)
            high.append(0.0 if dirty is not None and dirty[k] else 1.0)
    cost = np.zeros(size)
    cost[pace] = -1.0
    top = np.ones(size)
    top[:pace] = able.ravel()
    top[pace] = np.inf
    whole = np.zeros(size)
    whole[pace + 1 :] = 1
    found = milp(
        cost,
        constraints=LinearConstraint(np.array(rows), low, high),
        bounds=Bounds(0, top),
        integrality=whole,
    )
    if found.x is None:
        raise ConvergenceError(found.message)
    side = tuple(bool(round(x)) for x in found.x[pace + 1 :]) if sided else None
    share = found.x[:pace].reshape(people, count)
    return Moving(3600 * float(found.x[pace]), share, side)


def compare(stations: Sequence[Station], people: Sequence[Person]) -> Comparison:
    """Say what moving about gains over fixed posts on this line with this crew.

    Parameters
    ----------
    stations : sequence of Station
        The line.
    people : sequence of Person
        The crew.

    Returns
    -------
    Comparison
        Fixed posts are exact; moving about is an upper limit, which the simulation stays under.

    Raises
    ------
    InputError
        As :func:`fixed_posts`.

    References
    ----------
    Derivation: :func:`fixed_posts` and :func:`moving_bound` on the same times.
    """
    times_s, codes = hand_times(stations, people)
    dirty = [code in DIRTY_SIDE for code in codes]
    fixed = fixed_posts(times_s, dirty=dirty)
    fixed_bph = 3600 / fixed.cycle_s if fixed else 0.0
    walled = moving_bound(times_s, dirty=dirty).birds_per_h
    free = moving_bound(times_s).birds_per_h
    gain = walled / fixed_bph - 1 if fixed_bph else math.inf if walled else 0.0
    return Comparison(fixed_bph, walled, free, gain)
