"""The day played through with other luck: how sure the finish is, and what would help."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from pinfeather.day.flow import Flow
from pinfeather.line.replicate import Band, Gain, band, changes, gain
from pinfeather.line.sampling import sample_work
from pinfeather.line.simulate import FlowLimits, planned_work, simulate

DAYS: Final = 100
"""Days played through for the band of the finish."""
CHANGE_DAYS: Final = 12
"""Days played through for each change, all with the same luck."""
_MOST_CHANGE_BIRD_DAYS: Final = 600
_MOST_BIRD_DAYS: Final = 6000
"""Birds times days kept within this, so that a long list of birds still answers in seconds."""


@dataclass(frozen=True, slots=True)
class Luck:
    """The finish over many days.

    Parameters
    ----------
    finish : Band
        When the last package is put away.
    line : Band
        When the last bird is through the line.
    unfinished_frac : float
        Share of days on which birds were left over [1].
    """

    finish: Band
    line: Band
    unfinished_frac: float


def drawn_work(day: Flow, *, days: int, seed: int, sure: bool = False) -> NDArray[np.float64]:
    """Draw the work of whole days for this day's own birds.

    Parameters
    ----------
    day : Flow
        The line and the birds.
    days : int
        How many.
    seed : int
        Same seed, same days.
    sure : bool
        True takes the planned times as certain and varies single birds only.

    Returns
    -------
    ndarray
        Shape (days, birds, phases) [s].

    References
    ----------
    :func:`pinfeather.line.sampling.sample_work`, scaled to each bird's own planned time.
    """
    birds = len(day.birds)
    planned = planned_work(day.stations, birds)
    drawn = sample_work(day.stations, birds=birds, draws=days, seed=seed, sure=sure)
    ratio = np.divide(drawn, planned, out=np.ones_like(drawn), where=planned > 0)
    return ratio * day.work_s


def luck(day: Flow, *, limits: FlowLimits, seed: int, days: int = DAYS) -> Luck:
    """Play the day through many times.

    Parameters
    ----------
    day : Flow
        The line, the people and the birds.
    limits : FlowLimits
        How the flow is held back.
    seed : int
        Same seed, same answer.
    days : int
        How many times at most; fewer for very many birds.

    Returns
    -------
    Luck
        Percentiles of the finish.

    References
    ----------
    Law, Simulation Modeling and Analysis: independent replications of a terminating run.
    """
    runs = [
        simulate(day.stations, day.people, work_s=work_s, limits=limits)
        for work_s in drawn_work(day, days=_bounded(days, day), seed=seed)
    ]
    return Luck(
        finish=band(np.array([run.end_s for run in runs])),
        line=band(np.array([run.line_end_s for run in runs])),
        unfinished_frac=float(np.mean([run.unfinished > 0 for run in runs])),
    )


def gains(day: Flow, *, limits: FlowLimits, seed: int, days: int = CHANGE_DAYS) -> tuple[Gain, ...]:
    """Say what one more of anything would save on the line, best first.

    Parameters
    ----------
    day : Flow
        The line, the people and the birds.
    limits : FlowLimits
        How the flow is held back.
    seed : int
        Same seed, same answer.
    days : int
        Days for each change; 0 leaves the changes out.

    Returns
    -------
    tuple of Gain
        Negative where a change costs time.

    References
    ----------
    Law, Simulation Modeling and Analysis, on common random numbers.
    """
    if not days:
        return ()
    days = max(2, min(days, _MOST_CHANGE_BIRD_DAYS // len(day.birds)))
    return gains_on(day, limits=limits, work_s=drawn_work(day, days=days, seed=seed, sure=True))


def gains_on(day: Flow, *, limits: FlowLimits, work_s: NDArray[np.float64]) -> tuple[Gain, ...]:
    """Say what one more of anything would save on given days, best first.

    Parameters
    ----------
    day : Flow
        The line, the people and the birds.
    limits : FlowLimits
        How the flow is held back.
    work_s : ndarray
        The days' work, shape (days, birds, phases) [s].

    Returns
    -------
    tuple of Gain
        Negative where a change costs time.

    References
    ----------
    As :func:`gains`.
    """

    def ends(one: Flow, how: FlowLimits) -> NDArray[np.float64]:
        return np.array(
            [
                simulate(one.stations, one.people, work_s=work, limits=how).line_end_s
                for work in work_s
            ]
        )

    before = ends(day, limits)
    eased = limits
    if limits.wip_limit is not None:
        eased = replace(limits, wip_limit=limits.wip_limit + 1)
    found = [
        gain(code, where, before - ends(replace(day, stations=line, people=crew), eased))
        for code, where, line, crew in changes(day.stations, day.people)
    ]
    return _best_first(found)


def _best_first(found: Sequence[Gain]) -> tuple[Gain, ...]:
    return tuple(sorted(found, key=lambda one: -one.minutes_saved_s.value))


def _bounded(days: int, day: Flow) -> int:
    return max(4, min(days, _MOST_BIRD_DAYS // max(1, len(day.birds))))
