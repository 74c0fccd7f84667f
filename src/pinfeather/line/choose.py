"""How many birds to let on the line at once, found by trying."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from pinfeather.line.crew import Person
from pinfeather.line.simulate import Cross, FlowLimits, Timetable, simulate
from pinfeather.line.stations import Station
from pinfeather.line.waits import Waits, waits

Floats = NDArray[np.float64]

SEARCH_BIRDS: Final = 60
"""Most birds a trial plays through; the pace of the line shows by then."""
TRIALS: Final = (1, 2, 3, 4, 5, 6, 7, 8, 10, 12, 14, 16, 20, 24, 32)
"""Limits tried for birds under way."""


@dataclass(frozen=True, slots=True)
class WaitLimits:
    """Longest waits a plan may have.

    Parameters
    ----------
    hung_s : float
        Bled out and still in the cone; no published limit found, 10 minutes assumed [s].
    warm_s : float
        From picked to in the chill; 30 minutes assumed [s].
    drawn_s : float
        From the cut to drawn; 60 minutes, Malaysia DVS 2017, code 5.3 [s].
    """

    hung_s: float = 600.0
    warm_s: float = 1800.0
    drawn_s: float = 3600.0


@dataclass(frozen=True, slots=True)
class Trial:
    """One way of holding back the flow, and what came of it.

    Parameters
    ----------
    limits : FlowLimits
        The way.
    line_end_s : float
        When the last bird of the trial was through the line [s].
    excess_frac : float
        The worst wait over its limit; 1 or less is within [1].
    unfinished : int
        Birds that did not get to the end.
    """

    limits: FlowLimits
    line_end_s: float
    excess_frac: float
    unfinished: int


@dataclass(frozen=True, slots=True)
class Choice:
    """The way chosen.

    Parameters
    ----------
    limits : FlowLimits
        For :func:`.simulate.simulate`.
    within : bool
        Whether its waits kept their limits in the trial.
    trials : tuple of Trial
        All that was tried.
    """

    limits: FlowLimits
    within: bool
    trials: tuple[Trial, ...]


def excess(found: Waits, allowed: WaitLimits) -> float:
    """Return the worst wait as a share of its limit.

    Parameters
    ----------
    found : Waits
        From a day played through.
    allowed : WaitLimits
        The limits.

    Returns
    -------
    float
        1 or less is within; 0 where nothing waits [1].

    References
    ----------
    Derivation: maximum of ratios.
    """
    pairs = (
        (found.hung_s, allowed.hung_s),
        (found.warm_s, allowed.warm_s),
        (found.drawn_s, allowed.drawn_s),
    )
    worst = (float(np.fmax.reduce(wait_s, initial=0.0)) / limit_s for wait_s, limit_s in pairs)
    return max(worst)


def under_way(timetable: Timetable, *, until: str = "draw") -> int:
    """Return the most birds that were between the first station and the end of another.

    Parameters
    ----------
    timetable : Timetable
        A day played through.
    until : str
        The other station; the last one where the line has none such.

    Returns
    -------
    int
        Birds.

    References
    ----------
    Derivation: running count of starts and ends, ends first where they coincide.
    """
    end = timetable.codes.index(until) if until in timetable.codes else -1
    starts, ends = timetable.start_s[:, 0], timetable.finish_s[:, end]
    starts, ends = starts[np.isfinite(starts)], ends[np.isfinite(ends)]
    times = np.concatenate([ends, starts])
    steps = np.concatenate([np.full(len(ends), -1), np.full(len(starts), 1)])
    count = np.cumsum(steps[np.argsort(times, kind="stable")])
    return int(count.max(initial=0))


def choose_flow(
    stations: Sequence[Station],
    people: Sequence[Person],
    *,
    work_s: Floats,
    release_s: Floats | None = None,
    allowed: WaitLimits | None = None,
    base: FlowLimits | None = None,
    crosses: tuple[Cross, ...] = ("seldom", "freely"),
    tolerance_frac: float = 0.02,
) -> Choice:
    """Find the fewest birds under way that lose hardly any time and keep the waits short.

    Parameters
    ----------
    stations : sequence of Station
        The line.
    people : sequence of Person
        The crew.
    work_s : ndarray
        Time of each phase for each bird, shape (birds, phases) [s].
    release_s : ndarray or None
        Earliest start of each bird, shape (birds,) [s].
    allowed : WaitLimits or None
        Longest waits; None takes the defaults.
    base : FlowLimits or None
        Where all but the limit on birds and the changing of sides comes from.
    crosses : tuple of str
        Ways of changing sides to try.
    tolerance_frac : float
        How much longer than the fastest the line may take [1].

    Returns
    -------
    Choice
        Among the trials that finish most birds and keep the waits (or come nearest to it),
        within the tolerance of the fastest: the first way of changing sides, then the fewest
        birds.

    Raises
    ------
    InputError
        As :func:`.simulate.simulate`.

    Notes
    -----
    Long days are judged by their first birds (``SEARCH_BIRDS``).

    References
    ----------
    Hopp and Spearman, Factory Physics: with few jobs under way a line starves, with many it
    only queues; the search itself is a design choice.
    """
    allowed = allowed or WaitLimits()
    base = base or FlowLimits()
    work_s = np.asarray(work_s, float)[:SEARCH_BIRDS]
    release_s = None if release_s is None else np.asarray(release_s, float)[:SEARCH_BIRDS]
    trials = []
    for cross in crosses:
        for wip in TRIALS:
            limits = replace(base, wip_limit=wip, cross=cross)
            day = simulate(stations, people, work_s=work_s, release_s=release_s, limits=limits)
            over = excess(waits(day, stations), allowed)
            trials.append(Trial(limits, day.line_end_s, over, day.unfinished))
            if under_way(day, until=base.until) < wip:
                break  # the limit no longer binds
    fewest = min(trial.unfinished for trial in trials)
    pool = [trial for trial in trials if trial.unfinished == fewest]
    within = [trial for trial in pool if trial.excess_frac <= 1]
    if not within:
        least = min(trial.excess_frac for trial in pool)
        pool = [trial for trial in pool if trial.excess_frac <= least * (1 + tolerance_frac)]
    else:
        pool = within
    best_s = min(trial.line_end_s for trial in pool)
    chosen = next(t for t in pool if t.line_end_s <= best_s * (1 + tolerance_frac))
    return Choice(chosen.limits, bool(within), tuple(trials))


def plan_day(
    stations: Sequence[Station],
    people: Sequence[Person],
    *,
    work_s: Floats,
    release_s: Floats | None = None,
    allowed: WaitLimits | None = None,
) -> tuple[Choice, Timetable]:
    """Choose how to hold back the flow and play the whole day through with it.

    Parameters
    ----------
    stations : sequence of Station
        The line.
    people : sequence of Person
        The crew.
    work_s : ndarray
        Time of each phase for each bird, shape (birds, phases) [s].
    release_s : ndarray or None
        Earliest start of each bird, shape (birds,) [s].
    allowed : WaitLimits or None
        Longest waits; None takes the defaults.

    Returns
    -------
    tuple of (Choice, Timetable)
        The way chosen, and the day.

    Raises
    ------
    InputError
        As :func:`.simulate.simulate`.

    References
    ----------
    Derivation: :func:`choose_flow`, then :func:`.simulate.simulate`.
    """
    choice = choose_flow(stations, people, work_s=work_s, release_s=release_s, allowed=allowed)
    day = simulate(stations, people, work_s=work_s, release_s=release_s, limits=choice.limits)
    return choice, day
