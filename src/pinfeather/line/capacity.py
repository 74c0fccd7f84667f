"""Quick sums: birds per hour, cones, birds under way."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from pinfeather.errors import InputError
from pinfeather.line.crew import Person
from pinfeather.line.stations import DIRTY_SIDE, PACKING, Station
from pinfeather.words import gettext as _

SECONDS_PER_HOUR = 3600.0


def birds_per_person_hour(birds: float, *, people: float, time_s: float) -> float:
    """Return how many birds one person does in an hour.

    Parameters
    ----------
    birds : float
        Birds done [birds].
    people : float
        People at work, children by their share [people].
    time_s : float
        Time taken [s].

    Returns
    -------
    float
        [birds/h].

    Raises
    ------
    InputError
        If nobody or no time is given.

    References
    ----------
    Derivation: birds / (people x hours).

    Examples
    --------
    >>> round(birds_per_person_hour(15, people=2, time_s=86 * 60), 2)
    5.23
    """
    if people <= 0 or time_s <= 0:
        raise InputError("people", (people, time_s), _("Give at least somebody and some time."))
    return birds * SECONDS_PER_HOUR / (people * time_s)


def batch_bph(batch: int, *, handling_s: float, run_s: float) -> float:
    """Return how many birds an hour a machine takes that works in loads.

    Parameters
    ----------
    batch : int
        Birds in a load.
    handling_s : float
        Loading and unloading, for the load [s].
    run_s : float
        Running [s].

    Returns
    -------
    float
        [birds/h].

    Raises
    ------
    InputError
        If the load or its time is not above zero.

    References
    ----------
    Derivation: 3600 b / (handling + run).

    Examples
    --------
    >>> round(batch_bph(4, handling_s=15, run_s=20), 1)
    411.4
    """
    if batch < 1 or handling_s + run_s <= 0:
        raise InputError("batch", (batch, handling_s, run_s), _("A load needs birds and time."))
    return SECONDS_PER_HOUR * batch / (handling_s + run_s)


def cones_needed(birds_per_h: float, *, bleed_s: float, handling_s: float) -> int:
    """Return how many cones keep a pace.

    Parameters
    ----------
    birds_per_h : float
        The pace [birds/h].
    bleed_s : float
        Time a bird bleeds in its cone [s].
    handling_s : float
        Time the cone is taken up besides, loading, cutting and lifting out [s].

    Returns
    -------
    int
        At least one.

    Raises
    ------
    InputError
        If a time or the pace is negative.

    References
    ----------
    Derivation: Little's law for the cones, rounded up.

    Examples
    --------
    >>> cones_needed(60, bleed_s=180, handling_s=30)
    4
    """
    if birds_per_h < 0 or bleed_s < 0 or handling_s < 0:
        raise InputError("birds_per_h", birds_per_h, _("Pace and times cannot be negative."))
    held = birds_per_h * (bleed_s + handling_s) / SECONDS_PER_HOUR
    return max(1, math.ceil(held - 1e-9))


def birds_under_way(birds_per_h: float, *, time_s: float) -> float:
    """Return how many birds are at a place on average.

    Parameters
    ----------
    birds_per_h : float
        The pace [birds/h].
    time_s : float
        How long a bird stays there [s].

    Returns
    -------
    float
        [birds].

    References
    ----------
    Little 1961, Operations Research 9, 383-387.

    Examples
    --------
    >>> birds_under_way(30, time_s=90 * 60)
    45.0
    """
    return birds_per_h * time_s / SECONDS_PER_HOUR


@dataclass(frozen=True, slots=True)
class Capacity:
    """The most birds an hour something can do.

    Parameters
    ----------
    name : str
        A station's code, or ``"dirty side"``, ``"clean side"``, ``"everybody"``.
    bph : float
        Birds an hour; infinite where nothing limits it [birds/h].
    """

    name: str
    bph: float


def station_bph(station: Station) -> float:
    """Return the most birds an hour a station's places can do with hands enough.

    Parameters
    ----------
    station : Station
        The station.

    Returns
    -------
    float
        Infinite for a station that takes no time [birds/h].

    References
    ----------
    Hopp and Spearman, Factory Physics: places x load / time of a load.
    """
    if station.load_s <= 0:
        return math.inf
    return SECONDS_PER_HOUR * station.servers * station.batch / station.load_s


def line_capacities(stations: Sequence[Station], people: Sequence[Person]) -> tuple[Capacity, ...]:
    """List what each station and each side's people could do at most, the slowest first.

    Parameters
    ----------
    stations : sequence of Station
        The line.
    people : sequence of Person
        The crew.

    Returns
    -------
    tuple of Capacity
        No plan is faster than the first of them. Packing is left out of the people's sums.

    Notes
    -----
    The people's sums let everybody who can serve a side be there all the time, so they are
    upper limits; waits, washing and breaks come on top.

    References
    ----------
    Derivation: work per bird over the sum of paces.
    """
    line = [station for station in stations if station.code not in PACKING]
    found = [Capacity(station.code, station_bph(station)) for station in line]
    sides = (
        ("dirty side", [s for s in line if s.code in DIRTY_SIDE]),
        ("clean side", [s for s in line if s.code not in DIRTY_SIDE]),
        ("everybody", line),
    )
    for name, side in sides:
        codes = {station.code for station in side if station.hands_s > 0}
        hands_s = sum(station.hands_s for station in side)
        paces = sum(who.speed for who in people if who.stations & codes)
        if hands_s > 0:
            found.append(Capacity(name, SECONDS_PER_HOUR * paces / hands_s))
    return tuple(sorted(found, key=lambda capacity: capacity.bph))


@dataclass(frozen=True, slots=True)
class Cohort:
    """Birds cut in groups, one group for each scald.

    Parameters
    ----------
    interval_s : float
        Time between groups [s].
    bph : float
        Birds an hour [birds/h].
    kill_waits_s : float
        How long the kill must wait each time for what comes after [s].
    """

    interval_s: float
    bph: float
    kill_waits_s: float


def cohort_pace(
    birds: int,
    *,
    cones: int,
    cone_s: float,
    scald_pick_s: float,
    draw_s: float,
    drawers: int,
) -> Cohort:
    """Return the pace of birds cut in groups, so that none is cut before it can go on.

    Parameters
    ----------
    birds : int
        Birds in a group.
    cones : int
        Cones.
    cone_s : float
        Time a cone is taken up by a bird, handling included [s].
    scald_pick_s : float
        Time scald and plucker are taken up by a group [s].
    draw_s : float
        Time one person needs to draw a bird [s].
    drawers : int
        People who draw.

    Returns
    -------
    Cohort
        Set by the slowest of cones, scald and plucker, and drawing.

    Raises
    ------
    InputError
        If a count is below one.

    References
    ----------
    Derivation: the longest of the three times for a group.

    Examples
    --------
    >>> cohort_pace(4, cones=4, cone_s=210, scald_pick_s=150, draw_s=180, drawers=2).bph
    40.0
    """
    if birds < 1 or cones < 1 or drawers < 1:
        raise InputError("birds", (birds, cones, drawers), _("Counts are one or more."))
    kill_s = cone_s * birds / cones
    interval_s = max(kill_s, scald_pick_s, birds * draw_s / drawers)
    return Cohort(interval_s, SECONDS_PER_HOUR * birds / interval_s, interval_s - kill_s)
