"""What the taps of closed days say about the farm's own times.

A tap tells when a bird was counted, not how long somebody worked on it: between two taps people
rinse, carry and wait. So the same sum is done twice, on the taps and on the plan's own timetable
of that day, and the ratio of the two moves the planned time.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from pinfeather.day.flow import line_of
from pinfeather.day.request import Species
from pinfeather.day.tapped import (
    GROUPS,
    Floats,
    GroupCode,
    GroupTimes,
    TappedDay,
    group_times,
    tapped_at_s,
)
from pinfeather.estimate import Estimate
from pinfeather.line.learning import FEWEST, Learned, learn_paces, learn_rate, learn_time
from pinfeather.line.stations import Station, handbook_phase

LAST_DAYS: Final = 12
"""Closed days that are learned from; older ones are forgotten."""
_MOST_FOR_CURVE: Final = 300
_HANDS: Final[Mapping[GroupCode, tuple[tuple[str, str], ...]]] = {
    "dirty": (
        ("catch", "carry"),
        ("kill", "load and cut"),
        ("pick", "load"),
        ("pick", "unload"),
        ("pick", "by hand"),
    ),
    "draw": (("draw", "draw"),),
    "rinse": (("rinse", "rinse"),),
    "pack": (("bag", "bag"), ("weigh", "weigh and label"), ("store", "put away")),
}
"""What is learned from each kind of gap. The water sets the scald and the law the bleeding."""


@dataclass(frozen=True, slots=True)
class LearnedPhase:
    """One time before and after the farm's own days.

    Parameters
    ----------
    station, phase : str
        Of what.
    learned : Learned
        Prior, data and posterior.
    days : int
        Days it was learned from.
    """

    station: str
    phase: str
    learned: Learned
    days: int


@dataclass(frozen=True, slots=True)
class LineLearning:
    """What is known of one kind of bird on this farm.

    Parameters
    ----------
    species : str
        The kind.
    days : int
        Closed days of this kind alone.
    phases : tuple of LearnedPhase
        In the order of the line.
    paces : mapping of str to Estimate
        Who counted at the drawing table, and their pace against all; empty for one person [1].
    draw_rate : Estimate or None
        Drawing time with twice the practice over the time before [1].
    """

    species: str
    days: int
    phases: tuple[LearnedPhase, ...]
    paces: Mapping[str, Estimate]
    draw_rate: Estimate | None

    def times(self) -> dict[tuple[str, str], Estimate]:
        """Return what to plan with: only times the farm's own taps say something about."""
        return {
            (one.station, one.phase): one.learned.posterior
            for one in self.phases
            if one.learned.data is not None
        }


def _phase_times(day: TappedDay, line: Sequence[Station], one: GroupTimes) -> dict[
    tuple[str, str], Floats
]:  # fmt: skip
    """Turn a group's gaps into times of each of its tasks, by that day's plan."""
    fixed_s = 0.0
    if one.code == "dirty":
        scald = next(station for station in line if station.code == "scald")
        hands = sum(1 for p in day.request.people if p.stations & {"kill", "scald", "pick"})
        fixed_s = min(scald.hands_s / max(1, hands), 0.8 * one.planned_s)
    ratio = np.maximum(one.actual_s - fixed_s, 0.0) / (one.planned_s - fixed_s)
    if one.code in ("draw", "rinse"):
        ratio /= _taken_quicker(day, one.code)
    known = {(s.code, phase.name): phase.time_s.value for s in line for phase in s.phases}
    return {name: ratio * known[name] for name in _HANDS[one.code] if name in known}


def _taken_quicker(day: TappedDay, station: str) -> float:
    """Return how much quicker the plan took beginners to be at a station, all together.

    What is learned is the time at the paces asked for; what practice adds is learned apart.
    """
    taken = {one.name: one.speed.value for one in day.plan.practised}
    people = [p for p in day.request.people if station in p.stations]
    usual = math.fsum(p.speed for p in people)
    return math.fsum(p.speed * taken.get(p.name, 1.0) for p in people) / usual if usual else 1.0


def learn_line(days: Sequence[TappedDay], *, species: Species) -> LineLearning:
    """Learn the farm's own times for one kind of bird.

    Parameters
    ----------
    days : sequence of TappedDay
        Closed days in order of time; days with other birds among them are left out.
    species : str
        The kind of bird.

    Returns
    -------
    LineLearning
        Nothing is learned where there are fewer than five gaps.

    Notes
    -----
    The handbook stays the prior, however many days there are. Catching to picking is learned
    only from days on which the drawing table was not what held the line. The scald is set by the
    water, the bleeding by the law, and the picker's run by its clock.

    References
    ----------
    :func:`pinfeather.line.learning.learn_time`; :func:`group_times`.
    """
    mine = [d for d in days if {lot.species for lot in d.request.lots} == {species}][-LAST_DAYS:]
    times: dict[tuple[str, str], list[Floats]] = {}
    for day in mine:
        own = {(t.station, t.phase): t.time_s for t in day.plan.own_times}
        line = line_of(day.request, times=own)
        for one in group_times(day):
            for name, found in _phase_times(day, line, one).items():
                times.setdefault(name, []).append(found)
    phases = []
    for code in GROUPS:
        for station, phase in _HANDS[code]:
            by_day = times.get((station, phase), [])
            if not by_day and phase == "by hand":
                continue
            prior = handbook_phase(species, station, phase).time_s
            phases.append(LearnedPhase(station, phase, learn_time(prior, by_day), len(by_day)))
    drawing = times.get(("draw", "draw"), [])
    joined = np.concatenate(drawing)[:_MOST_FOR_CURVE] if drawing else np.zeros(0)
    rate = learn_rate(joined) if len(joined) >= 2 * FEWEST else None
    return LineLearning(species, len(mine), tuple(phases), _paces(mine), rate)


def _paces(days: Sequence[TappedDay]) -> dict[str, Estimate]:
    """Compare the people who counted their own birds at the drawing table."""
    times: dict[str, list[float]] = {}
    for day in days:
        for who in sorted({t.who for t in day.done.tallies if t.station == "draw" and t.who}):
            own = np.diff(tapped_at_s(day, "draw", who=who))
            times.setdefault(who, []).extend(own.tolist())
    if len(times) < 2:  # noqa: PLR2004 - one person cannot be compared
        return {}
    return learn_paces(times)
