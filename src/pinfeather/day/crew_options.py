"""Who should stand where: fixed posts, switching sides, moving about; each played through."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final, Literal

import numpy as np

from pinfeather.day.request import DayRequest, PersonRequest
from pinfeather.day.what_if import Side, set_up
from pinfeather.errors import ConvergenceError, InputFaultsError
from pinfeather.estimate import Estimate
from pinfeather.line.assign import (
    MOST_STATIONS,
    Comparison,
    compare,
    fixed_posts,
    hand_times,
    moving_bound,
)
from pinfeather.line.crew import Person
from pinfeather.line.shifts import CrewPlan, plan_crew
from pinfeather.line.simulate import Cross
from pinfeather.line.stations import DIRTY_SIDE, PACKING, STATION_CODES, Station

OptionCode = Literal["now", "fixed", "moving", "switching"]
EFFORT_S: Final = 1.5
"""Longest one search for the best switches may take [s of computing]."""
_TRIES: Final = 4
_WORTH_S: Final = 60.0
"""Work of less than this in a part of the day is left out [s]. Assumed."""
_NEAR_FRAC: Final = 0.02


@dataclass(frozen=True, slots=True)
class CrewOption:
    """One way to place the people, played through with the day's own birds.

    Parameters
    ----------
    code : str
        ``"now"``, ``"fixed"``, ``"moving"`` (on one's own side) or ``"switching"``.
    stations : tuple of tuple of str
        Each person's stations, in the order of the line.
    line_end_s, end_s : float
        Last bird through the line, last package put away [s].
    unfinished : int
        Birds left over.
    washes : int
        Changes from the dirty to the clean side, all people.
    """

    code: OptionCode
    stations: tuple[tuple[str, ...], ...]
    line_end_s: float
    end_s: float
    unfinished: int
    washes: int


@dataclass(frozen=True, slots=True)
class CrewAdvice:
    """The ways compared.

    Parameters
    ----------
    people : tuple of PersonRequest
        The crew with all they can do.
    options : tuple of CrewOption
        The plan as it stands first, then those that are possible.
    pace : Comparison
        Fixed posts against moving, as birds an hour of hands alone.
    plan : CrewPlan or None
        Sides and switches by part of the day; None where the search found nothing.
    best : str
        The first option that is within a fiftieth of the fastest, with the fewest birds left.
    """

    people: tuple[PersonRequest, ...]
    options: tuple[CrewOption, ...]
    pace: Comparison
    plan: CrewPlan | None
    best: OptionCode


def crew_advice(
    request: DayRequest,
    *,
    skills: Mapping[str, frozenset[str]] | None = None,
    now: Side | None = None,
    times: Mapping[tuple[str, str], Estimate] | None = None,
    effort_s: float = EFFORT_S,
) -> CrewAdvice:
    """Compare the ways to place a day's people.

    Parameters
    ----------
    request : DayRequest
        The day.
    skills : mapping or None
        What else people can do, by name; None takes the day's stations only.
    now : Side or None
        The plan as it stands, if it has been played through already.
    times : mapping or None
        The farm's own station times, by (station, phase).
    effort_s : float
        Longest one search for switches may take [s of computing].

    Returns
    -------
    CrewAdvice
        Every way respects the dirty and the clean side; packing skills stay as they are.

    Raises
    ------
    InputFaultsError
        If nobody can begin the first bird as the plan stands.

    Notes
    -----
    Fixed posts are exact and the bound for moving people is an upper limit; what becomes of
    either with real birds, places and machines is told by playing the day through.

    References
    ----------
    :mod:`pinfeather.line.assign`, :mod:`pinfeather.line.shifts`.
    """
    known = skills or {}
    people = tuple(
        replace(one, stations=one.stations | known.get(one.name, frozenset()))
        for one in request.people
    )
    now = now or set_up(request, times=times)
    line = now.day.stations
    able = [
        replace(person, stations=one.stations)
        for person, one in zip(now.day.people, people, strict=True)
    ]
    plan = _soonest(line, able, birds=len(now.day.birds), effort_s=effort_s)
    sets: list[tuple[OptionCode, list[frozenset[str]] | None]] = [
        ("fixed", _fixed(line, able)),
        ("moving", _moving(line, able)),
        ("switching", None if plan is None else _switching(plan, len(able))),
    ]
    options = [_option("now", now, [one.stations for one in request.people])]
    for code, found in sets:
        if found is None:
            continue
        kept = [
            frozenset(mine | (one.stations & PACKING))
            for mine, one in zip(found, people, strict=True)
        ]
        kept = _nobody_idle(kept, request.people)
        changed = replace(
            request,
            people=tuple(
                replace(one, stations=mine) for one, mine in zip(people, kept, strict=True)
            ),
        )
        if not _all_served(changed):
            continue
        try:
            crosses: tuple[Cross, ...] = ("seldom",) if code == "fixed" else ("seldom", "freely")
            side = set_up(changed, crosses=crosses, times=times)
        except InputFaultsError:
            continue
        options.append(_option(code, side, kept))
    fewest = min(one.unfinished for one in options)
    whole = [one for one in options if one.unfinished == fewest]
    soonest_s = min(one.line_end_s for one in whole)
    best = next(one for one in whole if one.line_end_s <= soonest_s * (1 + _NEAR_FRAC))
    return CrewAdvice(people, tuple(options), compare(line, able), plan, best.code)


def _option(code: OptionCode, side: Side, sets: Sequence[frozenset[str]]) -> CrewOption:
    return CrewOption(
        code,
        tuple(tuple(c for c in STATION_CODES if c in mine) for mine in sets),
        side.table.line_end_s,
        side.table.end_s,
        side.table.unfinished,
        int(side.table.washes.sum()),
    )


def _all_served(request: DayRequest) -> bool:
    served = frozenset[str]().union(*(one.stations for one in request.people))
    return set(STATION_CODES) - {"chill"} <= served


def _nobody_idle(
    sets: Sequence[frozenset[str]], people: Sequence[PersonRequest]
) -> list[frozenset[str]]:
    """Leave those without a post where the plan has them now."""
    return [mine or one.stations for mine, one in zip(sets, people, strict=True)]


def _fixed(line: Sequence[Station], able: Sequence[Person]) -> list[frozenset[str]] | None:
    times_s, codes = hand_times(line, able)
    if not times_s.size or len(codes) > MOST_STATIONS:
        return None
    found = fixed_posts(times_s, dirty=[code in DIRTY_SIDE for code in codes])
    if found is None:
        return None
    return [frozenset(codes[k] for k in mine) for mine in found.stations]


def _moving(line: Sequence[Station], able: Sequence[Person]) -> list[frozenset[str]] | None:
    times_s, codes = hand_times(line, able)
    if not times_s.size:
        return None
    bound = moving_bound(times_s, dirty=[code in DIRTY_SIDE for code in codes])
    if bound.birds_per_h <= 0 or bound.dirty is None:
        return None
    return [
        frozenset(c for c in codes if c in one.stations and (c in DIRTY_SIDE) == side)
        for one, side in zip(able, bound.dirty, strict=True)
    ]


def _switching(plan: CrewPlan, people: int) -> list[frozenset[str]]:
    """Return every station somebody works at in some part of the day."""
    return [
        frozenset(
            code
            for k, code in enumerate(plan.codes)
            if any(part.time_s[i, k] >= _WORTH_S for part in plan.parts)
        )
        for i in range(people)
    ]


def _soonest(
    line: Sequence[Station], able: Sequence[Person], *, birds: int, effort_s: float
) -> CrewPlan | None:
    """Find the hour by which the crew gets all birds through, and its plan for it."""
    times_s, _codes = hand_times(line, able)
    if not times_s.size:
        return None
    last_s = max(who.to_s for who in able)
    pace = moving_bound(times_s).birds_per_h
    until_s = min(last_s, 3600 * birds / pace) if pace > 0 else last_s
    until_s = max(until_s, min(who.from_s for who in able) + 600.0)
    best: CrewPlan | None = None
    for _try in range(_TRIES):
        try:
            found = plan_crew(line, able, until_s=until_s, effort_s=effort_s)
        except ConvergenceError:
            break
        enough = found.birds >= birds * (1 - 1e-6)
        if enough or best is None:
            best = found
        if (enough and found.birds <= birds * (1 + _NEAR_FRAC)) or found.birds <= 0:
            break
        following_s = min(last_s, until_s * birds / found.birds * (1 + _NEAR_FRAC / 2))
        if math.isclose(following_s, until_s, rel_tol=1e-3):
            break
        until_s = following_s
    return best


def busy_codes(plan: CrewPlan, part: int, person: int) -> tuple[tuple[str, float], ...]:
    """Return what somebody does in a part of the day, most time first.

    Parameters
    ----------
    plan : CrewPlan
        The plan.
    part, person : int
        Which, from 0.

    Returns
    -------
    tuple of (str, float)
        Station and share of the part's time [1].

    References
    ----------
    Derivation: times over the length of the part.
    """
    piece = plan.parts[part]
    length_s = piece.to_s - piece.from_s
    shares = [
        (code, float(piece.time_s[person, k]) / length_s)
        for k, code in enumerate(plan.codes)
        if piece.time_s[person, k] >= min(_WORTH_S, 0.05 * length_s)
    ]
    order = np.argsort([-share for _code, share in shares], kind="stable")
    return tuple(shares[int(n)] for n in order)
