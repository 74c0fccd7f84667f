"""Play a processing day through: birds, places and shared people, event by event."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from pinfeather.errors import InputError
from pinfeather.line.crew import CHANGE_SIDE_S, Person, on_duty, starting_sides, uncovered, union
from pinfeather.line.events import Crew, run
from pinfeather.line.floor import Line
from pinfeather.line.stations import DIRTY_SIDE, PACKING, Station, phase_slices
from pinfeather.words import gettext as _

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Cross = Literal["never", "seldom", "freely"]


@dataclass(frozen=True, slots=True)
class FlowLimits:
    """How the flow is held back.

    Parameters
    ----------
    wip_limit : int or None
        Most birds between the first station's start and the end of ``until``; None is no limit.
    until : str
        The station that ends the count; on a line without it, the last one.
    cross : str
        When people change sides of their own accord: never, seldom (only when the other side
        cannot do without) or freely (whenever it pays).
    change_side_s : float
        Wash and change from the dirty to the clean side [s].
    hold_for_gaps : bool
        Whether no bird is started that would meet a station with nobody there.
    """

    wip_limit: int | None = None
    until: str = "draw"
    cross: Cross = "seldom"
    change_side_s: float = CHANGE_SIDE_S
    hold_for_gaps: bool = True

    def __post_init__(self) -> None:
        if self.wip_limit is not None and self.wip_limit < 1:
            raise InputError("wip_limit", self.wip_limit, _("At least one bird must be let in."))


@dataclass(frozen=True, slots=True)
class Timetable:
    """When every bird was where. Not-a-number where something never happened.

    Parameters
    ----------
    codes : tuple of str
        The stations.
    phase_at : tuple of slice
        Each station's phases in the arrays by phase.
    arrive_s, start_s, finish_s, depart_s : ndarray of float
        At the station's door; work begins; work is done; the place is left; shape
        (birds, stations) [s].
    person : ndarray of int
        Who began it, -1 for nobody; shape (birds, stations).
    phase_start_s, phase_finish_s : ndarray of float
        The same by phase, shape (birds, phases) [s].
    phase_person : ndarray of int
        Who did it, -1 for nobody; shape (birds, phases).
    end_s : float
        When the last thing of the day happened [s].
    line_end_s : float
        When the last bird left the line before the chill (the last station, without one) [s].
    busy_s, blocked_s, utilisation : ndarray of float
        Of all places of a station: at work, and held up by the next station [s]; busy share of
        the time from the line's start to its end, for packing stations of their own span [1].
    person_busy_s : ndarray of float
        At work or washing, by person [s].
    washes : ndarray of int
        Changes from the dirty to the clean side, by person.
    unfinished : int
        Birds that did not get to the end, those never started included.
    untouched : int
        Of these, the birds never started.
    """

    codes: tuple[str, ...]
    phase_at: tuple[slice, ...]
    arrive_s: Floats
    start_s: Floats
    finish_s: Floats
    depart_s: Floats
    person: Ints
    phase_start_s: Floats
    phase_finish_s: Floats
    phase_person: Ints
    end_s: float
    line_end_s: float
    busy_s: Floats
    blocked_s: Floats
    utilisation: Floats
    person_busy_s: Floats
    washes: Ints
    unfinished: int
    untouched: int

    def at(self, code: str) -> int:
        """Return the column of a station; ValueError where the line has none such."""
        return self.codes.index(code)


def planned_work(stations: Sequence[Station], birds: int) -> Floats:
    """Return the planned times as an array, every bird alike.

    Parameters
    ----------
    stations : sequence of Station
        The line.
    birds : int
        How many.

    Returns
    -------
    ndarray
        Shape (birds, phases) [s].

    References
    ----------
    Derivation: the value of each phase's estimate, repeated.
    """
    times_s = [phase.time_s.value for station in stations for phase in station.phases]
    return np.tile(np.array(times_s), (birds, 1))


def simulate(
    stations: Sequence[Station],
    people: Sequence[Person],
    *,
    work_s: Floats,
    release_s: Floats | None = None,
    limits: FlowLimits | None = None,
) -> Timetable:
    """Play the day through and say when every bird is where.

    Parameters
    ----------
    stations : sequence of Station
        The line, in order.
    people : sequence of Person
        The crew; may be empty where no phase is attended.
    work_s : ndarray of float
        Time of each phase for each bird at pace 1, shape (birds, phases) [s].
    release_s : ndarray of float or None
        Earliest start of each bird, shape (birds,); None is zero for all [s].
    limits : FlowLimits or None
        How the flow is held back; None is no limit on birds under way.

    Returns
    -------
    Timetable
        Times from the start of the day.

    Raises
    ------
    InputError
        If an array has the wrong shape or a time is negative or not finite.

    Notes
    -----
    The rules, all without chance:

    1. *Pull.* A free person first finishes what waits to be unloaded or carried on, then takes
       the most downstream piece of work of the line on the side where they stand; packing cold
       birds comes after work on warm ones. Of several free people those who can serve the
       fewest stations choose first, then those named first.
    2. The first station starts a bird only while fewer than ``wip_limit`` are between it and
       the end of ``until``; and, with ``hold_for_gaps``, only if by the plan it gets through
       before anybody it needs has gone.
    3. A station with ``max_stay_s`` starts only birds that the next one will have room for; with
       a maximum above zero, places that will be free by then count as room.
    4. A load that is not full waits for birds at work in the station before that are due within
       ``wait_for_more_s``; otherwise it starts.
    5. A finished bird keeps its place until the next station has a waiting place or takes it.
    6. People work only in their windows; what they have begun they finish. Work passes from one
       to another only between phases.
    7. Those who can serve both sides are shared out at the start (:func:`.crew.starting_sides`).
       ``cross`` says when they change sides, besides packing at the end: *seldom*, only when
       nobody on the other side can do what waits there; *freely*, also to the clean side when
       more work waits there than its people can do in the time of a wash, and a wash more, and
       to the dirty side when others can do all there is on the clean side. Nobody leaves the
       dirty side while birds under way there would be left with nobody.
    8. If all this leaves nothing under way, rules 4 and 7 give way for one piece of work.

    References
    ----------
    Hopp and Spearman, Factory Physics, on pull with a fixed number of jobs under way (CONWIP);
    the other rules are design choices of this program.
    """
    limits = limits or FlowLimits()
    work = _checked(stations, work_s)
    birds = work.shape[0]
    release = np.zeros(birds) if release_s is None else np.asarray(release_s, float)
    if release.shape != (birds,) or not np.isfinite(release).all() or (release < 0).any():
        raise InputError("release_s", release_s, _("Give one start, zero or later, a bird."))
    line = _line(stations, people, limits=limits)
    sides = starting_sides(people, stations)
    codes = {station.code: k for k, station in enumerate(stations)}
    crew = Crew(
        [frozenset(codes[c] for c in who.stations if c in codes) for who in people],
        [who.speed for who in people],
        [on_duty(who) for who in people],
        list(sides),
        limits.change_side_s,
        limits.cross,
    )
    log = run(line, crew, work=work.T.tolist(), release=release.tolist())
    phase_at = phase_slices(stations)
    start = np.array([log.phase_start[s.start] for s in phase_at]).T
    finish = np.array([log.phase_finish[s.stop - 1] for s in phase_at]).T
    person = np.array([log.phase_person[s.start] for s in phase_at]).T
    depart = np.array(log.depart).T
    busy = np.array(log.busy)
    span, line_end_s = _spans(stations, start, finish)
    places = np.minimum(np.array([s.servers for s in stations], float), max(birds, 1))
    share = np.divide(busy, span * places, out=np.zeros_like(busy), where=span > 0)
    return Timetable(
        tuple(codes),
        phase_at,
        np.array(log.arrive).T,
        start,
        finish,
        depart,
        person,
        np.array(log.phase_start).T,
        np.array(log.phase_finish).T,
        np.array(log.phase_person).T,
        float(np.fmax.reduce(np.array(log.phase_finish), axis=None, initial=0.0)),
        line_end_s,
        busy,
        np.array(log.blocked),
        share,
        np.array(log.person_busy),
        np.array(log.washes, dtype=np.int64),
        int(np.isnan(depart[:, -1]).sum()),
        int(np.isnan(start[:, 0]).sum()),
    )


def _checked(stations: Sequence[Station], work_s: Floats) -> Floats:
    work = np.asarray(work_s, dtype=float)
    phases = sum(len(station.phases) for station in stations)
    if not stations or work.ndim != 2 or work.shape[1] != phases or not work.shape[0]:  # noqa: PLR2004 - two axes
        raise InputError("work_s", np.shape(work_s), _("Give one time a bird and phase."))
    if not np.isfinite(work).all() or (work < 0).any():
        raise InputError("work_s", work_s, _("A time cannot be negative."))
    if len({station.code for station in stations}) != len(stations):
        raise InputError("stations", stations, _("Two stations have the same name."))
    return work


def _spans(stations: Sequence[Station], start: Floats, finish: Floats) -> tuple[Floats, float]:
    """Return the span by which each station's share is counted, and the line's end."""
    first = np.fmin.reduce(start, axis=0)
    last = np.fmax.reduce(finish, axis=0)
    codes = [station.code for station in stations]
    on_line = codes.index("chill") if "chill" in codes else len(codes)
    if not on_line or np.isnan(last[:on_line]).all():
        return np.zeros(len(codes)), 0.0
    line_end = float(np.nanmax(last[:on_line]))
    span = np.nan_to_num(last - first)
    span[:on_line] = line_end - float(np.nanmin(first[:on_line]))
    return span, line_end


def _line(stations: Sequence[Station], people: Sequence[Person], *, limits: FlowLimits) -> Line:
    phases = [phase for station in stations for phase in station.phases]
    codes = [station.code for station in stations]
    rest_s = [
        sum(phase.time_s.value for phase in station.phases[at + 1 :])
        for station in stations
        for at in range(len(station.phases))
    ]
    slices = phase_slices(stations)
    until = codes.index(limits.until) if limits.until in codes else len(codes) - 1
    upto = stations[: until + 1]
    hands_s = sum(station.hands_s for station in upto)
    paces = sum(who.speed for who in people) or 1.0
    cycle_s = max(hands_s / paces, *(s.load_s / s.batch / s.servers for s in upto), 0.0)
    return Line(
        [station.servers for station in stations],
        [station.batch for station in stations],
        [math.inf if s.buffer is None else float(s.buffer) for s in stations],
        [station.wait_for_more_s for station in stations],
        [station.max_stay_s for station in stations],
        [station.load_s for station in stations],
        [s.start for s in slices],
        [s.stop for s in slices],
        _run_to(stations),
        [code in DIRTY_SIDE for code in codes],
        [code in PACKING for code in codes],
        [phase.attended for phase in phases],
        [phase.together for phase in phases],
        rest_s,
        until,
        math.inf if limits.wip_limit is None else float(limits.wip_limit),
        cycle_s,
        _gaps(stations, people) if limits.hold_for_gaps else [],
    )


def _run_to(stations: Sequence[Station]) -> list[int]:
    """Return, by phase, the end of the phases that the same somebody, or nobody, goes on with."""
    ends: list[int] = []
    for station in stations:
        at = len(ends)
        for i, phase in enumerate(station.phases):
            n = i
            while n < len(station.phases) and station.phases[n].attended == phase.attended:
                n += 1
            ends.append(at + n)
    return ends


def _gaps(
    stations: Sequence[Station], people: Sequence[Person]
) -> list[tuple[float, float, float, float]]:
    """Return, for stations before the chill, when nobody is there and when a bird would be."""
    gaps: list[tuple[float, float, float, float]] = []
    if "chill" not in (station.code for station in stations):
        return gaps
    lead_s = 0.0
    for station in stations:
        if station.code == "chill":
            break
        stay_s = lead_s + station.load_s
        if station.hands_s > 0:
            away = union(uncovered(people, station.code))
            gaps.extend((lead_s, stay_s, a, b) for a, b in away)
        lead_s += station.time_s
    return gaps
