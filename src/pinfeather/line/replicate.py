"""The day played through many times: how sure the finish is, and what would help most."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from pinfeather.errors import InputError
from pinfeather.estimate import Basis, Estimate, Origin
from pinfeather.line.crew import Person, on_duty
from pinfeather.line.sampling import sample_work
from pinfeather.line.simulate import FlowLimits, Timetable, simulate
from pinfeather.line.stations import MANY, PACKING, Station
from pinfeather.words import gettext as _

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Band:
    """A time as many days gave it.

    Parameters
    ----------
    p10_s, p50_s, p90_s : float
        One day in ten is earlier; half; nine in ten are earlier [s].
    half_width_s : float
        Half the width of the 95 % interval of the mean; infinite for one day [s].
    n : int
        Days played through.
    """

    p10_s: float
    p50_s: float
    p90_s: float
    half_width_s: float
    n: int


@dataclass(frozen=True, slots=True)
class Replication:
    """Many days of one plan.

    Parameters
    ----------
    finish : Band
        When the last bird was put away.
    line : Band
        When the last bird was through the line before the chill.
    stations : mapping of str to Band
        When each station finished its last bird.
    end_s : ndarray
        The finish of each day [s].
    unfinished_frac : float
        Share of days on which not all birds got to the end [1].
    """

    finish: Band
    line: Band
    stations: Mapping[str, Band]
    end_s: Floats
    unfinished_frac: float


@dataclass(frozen=True, slots=True)
class Gain:
    """What a change would save.

    Parameters
    ----------
    change_code : str
        ``"place"``, ``"bird"`` (one more in a load) or ``"person"``.
    station : str
        Where.
    minutes_saved_s : Estimate
        Time saved on the day's line, half of the days and the middle eight in ten [s].
    """

    change_code: str
    station: str
    minutes_saved_s: Estimate


@dataclass(frozen=True, slots=True)
class Bottleneck:
    """What holds the line to its pace.

    Parameters
    ----------
    kind : str
        ``"station"`` or ``"people"``.
    name : str
        The station's code, or the people's names.
    utilisation : float
        Share of the line's time it is busy [1].
    """

    kind: str
    name: str
    utilisation: float


def band(times_s: Floats) -> Band:
    """Return the percentiles of a time and how well its mean is known.

    Parameters
    ----------
    times_s : ndarray
        One for each day, shape (days,) [s].

    Returns
    -------
    Band
        Days without the time (not-a-number) are left out.

    References
    ----------
    Student's t interval for a mean; independent days, so no warm-up is cut off.
    """
    from scipy.special import stdtrit  # scipy.stats takes a second to load

    times_s = times_s[np.isfinite(times_s)]
    n = len(times_s)
    if not n:
        return Band(math.nan, math.nan, math.nan, math.inf, 0)
    p10, p50, p90 = (float(p) for p in np.percentile(times_s, (10, 50, 90)))
    half = math.inf
    if n > 1:
        half = float(stdtrit(n - 1, 0.975) * times_s.std(ddof=1) / math.sqrt(n))
    return Band(p10, p50, p90, half, n)


def replicate(
    stations: Sequence[Station],
    people: Sequence[Person],
    *,
    birds: int,
    n: int,
    seed: int,
    limits: FlowLimits | None = None,
    release_s: Floats | None = None,
    sure: bool = False,
) -> Replication:
    """Play the day through many times with times drawn at random.

    Parameters
    ----------
    stations : sequence of Station
        The line.
    people : sequence of Person
        The crew.
    birds : int
        Birds on the day.
    n : int
        How many times.
    seed : int
        Same seed, same answer.
    limits : FlowLimits or None
        How the flow is held back.
    release_s : ndarray or None
        Earliest start of each bird, shape (birds,) [s].
    sure : bool
        True takes the planned times as certain, leaving only the spread from bird to bird.

    Returns
    -------
    Replication
        Percentiles of the finish, of the line and of every station.

    Raises
    ------
    InputError
        As :func:`.simulate.simulate` and :func:`.sampling.sample_work`.

    References
    ----------
    Law, Simulation Modeling and Analysis: terminating simulations, independent replications.
    """
    work = sample_work(stations, birds=birds, draws=n, seed=seed, sure=sure)
    days = [
        simulate(stations, people, work_s=one, release_s=release_s, limits=limits) for one in work
    ]
    end_s = np.array([day.end_s for day in days])
    last_s = np.array([np.fmax.reduce(day.finish_s, axis=0) for day in days])
    return Replication(
        band(end_s),
        band(np.array([day.line_end_s for day in days])),
        {station.code: band(last_s[:, k]) for k, station in enumerate(stations)},
        end_s,
        float(np.mean([day.unfinished > 0 for day in days])),
    )


def changes(
    stations: Sequence[Station], people: Sequence[Person]
) -> list[tuple[str, str, tuple[Station, ...], tuple[Person, ...]]]:
    """List what one more of anything would make of the line.

    Parameters
    ----------
    stations : sequence of Station
        The line.
    people : sequence of Person
        The crew.

    Returns
    -------
    list of (str, str, tuple of Station, tuple of Person)
        The change, where, and line and crew with it. A person more is there as long as the
        others, for one station; packing is left out, since it does not hold up the line.

    References
    ----------
    Derivation: each count raised by one.
    """
    found: list[tuple[str, str, tuple[Station, ...], tuple[Person, ...]]] = []
    line = [station for station in stations if station.code not in PACKING]

    def swapped(old: Station, new: Station) -> tuple[Station, ...]:
        return tuple(new if station is old else station for station in stations)

    for station in line:
        if station.servers < MANY:
            new = replace(station, servers=station.servers + 1)
            found.append(("place", station.code, swapped(station, new), tuple(people)))
        if station.batch > 1:
            new = replace(station, batch=station.batch + 1)
            found.append(("bird", station.code, swapped(station, new), tuple(people)))
        if station.hands_s > 0 and people:
            helper = Person(
                f"+{station.code}",
                frozenset({station.code}),
                min(who.from_s for who in people),
                max(who.to_s for who in people),
            )
            found.append(("person", station.code, tuple(stations), (*people, helper)))
    return found


def what_if(
    stations: Sequence[Station],
    people: Sequence[Person],
    *,
    birds: int,
    n: int,
    seed: int,
    limits: FlowLimits | None = None,
    release_s: Floats | None = None,
    sure: bool = True,
) -> tuple[Gain, ...]:
    """Say what one more cone, place, bird in a load or person would save, best first.

    Parameters
    ----------
    stations : sequence of Station
        The line.
    people : sequence of Person
        The crew.
    birds : int
        Birds on the day.
    n : int
        Days played through for each change.
    seed : int
        Same seed, same answer.
    limits : FlowLimits or None
        How the flow is held back; its limit on birds is raised by one with each change.
    release_s : ndarray or None
        Earliest start of each bird, shape (birds,) [s].
    sure : bool
        True takes the planned times as certain.

    Returns
    -------
    tuple of Gain
        Time saved until the last bird is through the line; below zero is time lost.

    Raises
    ------
    InputError
        As :func:`replicate`.

    Notes
    -----
    Every change meets the same birds and the same random times, so that the differences are
    the changes' own. Only one change at a time; two together may save more or less.

    References
    ----------
    Law, Simulation Modeling and Analysis, on common random numbers.
    """
    limits = limits or FlowLimits()
    work = sample_work(stations, birds=birds, draws=n, seed=seed, sure=sure)

    def line_ends(line: Sequence[Station], crew: Sequence[Person], how: FlowLimits) -> Floats:
        return np.array(
            [
                simulate(line, crew, work_s=one, release_s=release_s, limits=how).line_end_s
                for one in work
            ]
        )

    before = line_ends(stations, people, limits)
    eased = limits
    if limits.wip_limit is not None:
        eased = replace(limits, wip_limit=limits.wip_limit + 1)
    gains = []
    for code, where, line, crew in changes(stations, people):
        gains.append(gain(code, where, before - line_ends(line, crew, eased)))
    return tuple(sorted(gains, key=lambda g: -g.minutes_saved_s.value))


def gain(code: str, where: str, saved_s: Floats) -> Gain:
    """Return a change's saving as an estimate.

    Parameters
    ----------
    code : str
        The change.
    where : str
        The station.
    saved_s : ndarray
        Time saved on each day, shape (days,) [s].

    Returns
    -------
    Gain
        Median, 10th and 90th percentile.

    References
    ----------
    Derivation: percentiles of paired differences.
    """
    low, middle, high = (float(p) for p in np.percentile(saved_s, (10, 50, 90)))
    note = _("{n} simulated days with the same birds and times").format(n=len(saved_s))
    basis = Basis(Origin.COMPUTED, note)
    return Gain(code, where, Estimate(middle, low, high, basis))


def bottleneck(
    timetable: Timetable, stations: Sequence[Station], people: Sequence[Person]
) -> Bottleneck:
    """Say which station, or which people, are busiest while the line runs.

    Parameters
    ----------
    timetable : Timetable
        A day played through.
    stations : sequence of Station
        Its line.
    people : sequence of Person
        Its crew.

    Returns
    -------
    Bottleneck
        People who can serve the same stations count as one group, by the time they are there
        while the line runs.

    Raises
    ------
    InputError
        If no bird was started.

    References
    ----------
    Hopp and Spearman, Factory Physics: the bottleneck is where utilisation is highest.
    """
    starts = timetable.phase_start_s
    if np.isnan(starts).all():
        raise InputError("timetable", timetable.unfinished, _("No bird was started."))
    start_s, end_s = float(np.nanmin(starts)), timetable.line_end_s
    found = [
        Bottleneck("station", station.code, float(timetable.utilisation[k]))
        for k, station in enumerate(stations)
        if station.code not in PACKING and station.code != "chill" and station.servers < MANY
    ]
    groups: dict[frozenset[str], list[int]] = {}
    for i, who in enumerate(people):
        groups.setdefault(who.stations, []).append(i)
    for members in groups.values():
        there_s = sum(
            max(0.0, min(b, end_s) - max(a, start_s))
            for i in members
            for a, b in on_duty(people[i])
        )
        if there_s <= 0:
            continue
        busy_s = sum(line_busy_s(timetable, i) for i in members)
        names = ", ".join(people[i].name for i in members)
        found.append(Bottleneck("people", names, min(busy_s / there_s, 1.0)))
    return max(found, key=lambda b: b.utilisation)


def line_busy_s(timetable: Timetable, person: int) -> float:
    """Return how long somebody works while the line runs.

    Parameters
    ----------
    timetable : Timetable
        A day played through.
    person : int
        Their place in the crew.

    Returns
    -------
    float
        Without washing and without packing after the line has stopped [s].

    References
    ----------
    Derivation: sum over pieces of work, a load of several birds counted once.
    """
    start_s, finish_s = timetable.phase_start_s, timetable.phase_finish_s
    theirs = (timetable.phase_person == person) & (start_s < timetable.line_end_s)
    pieces = np.unique(np.stack([start_s[theirs], finish_s[theirs]], axis=1), axis=0)
    return float((pieces[:, 1] - pieces[:, 0]).sum())
