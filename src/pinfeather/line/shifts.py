"""Who is on which side in each part of the day, and when they change."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from pinfeather.errors import ConvergenceError, InputError
from pinfeather.line.assign import hand_times
from pinfeather.line.crew import CHANGE_SIDE_S, Person, on_duty
from pinfeather.line.stations import DIRTY_SIDE, Station
from pinfeather.words import gettext as _

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Part:
    """One part of the day between two comings, goings or breaks.

    Parameters
    ----------
    from_s, to_s : float
        When it is [s].
    birds : float
        Birds taken through the line in it, at most.
    dirty : tuple of bool or None
        Which side each person is on; None for those who are not there.
    washes : tuple of bool
        Who washes and changes at its start.
    time_s : ndarray
        Time each person gives each station, shape (people, stations) [s].
    """

    from_s: float
    to_s: float
    birds: float
    dirty: tuple[bool | None, ...]
    washes: tuple[bool, ...]
    time_s: Floats


@dataclass(frozen=True, slots=True)
class CrewPlan:
    """The crew's day.

    Parameters
    ----------
    codes : tuple of str
        The stations that need hands, packing left out.
    parts : tuple of Part
        The parts of the day.
    birds : float
        Birds through the line by the end, at most.
    gap_frac : float
        How far a better plan could be above this one; zero is proved best [1].
    """

    codes: tuple[str, ...]
    parts: tuple[Part, ...]
    birds: float
    gap_frac: float


def plan_crew(
    stations: Sequence[Station],
    people: Sequence[Person],
    *,
    until_s: float | None = None,
    change_s: float = CHANGE_SIDE_S,
    effort_s: float = 20.0,
) -> CrewPlan:
    """Say who is on which side, at which stations and when, for the most birds by an hour.

    Parameters
    ----------
    stations : sequence of Station
        The line.
    people : sequence of Person
        The crew with skills, paces, windows and breaks.
    until_s : float or None
        When the line must be through; None is when the last goes [s].
    change_s : float
        Wash and change from the dirty to the clean side [s].
    effort_s : float
        Longest the search may take [s of computing].

    Returns
    -------
    CrewPlan
        With the gap that is left where the search ran out of time.

    Raises
    ------
    InputError
        If nobody is there or nothing needs hands.
    ConvergenceError
        If the search found nothing at all in its time.

    Notes
    -----
    The day is cut where somebody comes, goes or breaks off. In each part everybody stays on one
    side and shares their time among its stations; every station takes as many birds through as
    the next, so that nothing lies warm over a break; places and machines set a limit. The first
    bird's way through the line is not counted, so the birds are an upper limit; the simulation
    tells what becomes of it.

    References
    ----------
    Derivation: mixed-integer linear programme, solved by branch and bound (HiGHS: Huangfu and
    Hall 2018, Mathematical Programming Computation 10, 119-142).
    """
    from scipy.optimize import Bounds, LinearConstraint, milp

    times_s, codes = hand_times(stations, people)
    if not times_s.size:
        raise InputError("people", people, _("There must be people, and work for them."))
    model = _Model(stations, people, times_s, codes=codes, until_s=until_s, change_s=change_s)
    found = milp(
        model.cost,
        constraints=LinearConstraint(model.matrix(), model.low, model.high),
        bounds=Bounds(0, model.top),
        integrality=model.whole,
        options={"time_limit": effort_s, "mip_rel_gap": 0.0},
    )
    if found.x is None:
        raise ConvergenceError(found.message)
    return model.plan(found.x, float(found.mip_gap or 0.0))


class _Model:
    """The programme's rows and columns: times, sides, washes, then birds, for each part."""

    def __init__(
        self,
        stations: Sequence[Station],
        people: Sequence[Person],
        times_s: Floats,
        *,
        codes: list[str],
        until_s: float | None,
        change_s: float,
    ) -> None:
        end_s = max(who.to_s for who in people) if until_s is None else until_s
        spans = [on_duty(who) for who in people]
        cuts = {t for own in spans for span in own for t in span if t < end_s} | {end_s}
        edges = sorted(cuts)
        self.parts = [
            (a, b)
            for a, b in pairwise(edges)
            if any(s <= a and b <= e for own in spans for s, e in own)
        ]
        self.there = [
            [any(s <= a and b <= e for s, e in own) for own in spans] for a, b in self.parts
        ]
        self.codes, self.times = codes, times_s
        self.people, self.count = len(times_s), len(codes)
        self.block = self.people * (self.count + 2) + 1
        self.size = self.block * len(self.parts)
        self.rows: list[Floats] = []
        self.low: list[float] = []
        self.high: list[float] = []
        self.cost = np.zeros(self.size)
        self.top = np.zeros(self.size)
        self.whole = np.zeros(self.size, np.int64)
        places = {s.code: s.load_s / (s.batch * s.servers) for s in stations}
        slowest_s = max((places[s.code] for s in stations if s.code != "chill"), default=0.0)
        dirty = [code in DIRTY_SIDE for code in codes]
        for part in range(len(self.parts)):
            self.add_part(part, dirty, slowest_s=slowest_s, change_s=change_s)

    def time(self, part: int, i: int, k: int) -> int:
        """Return the column of a person's time at a station."""
        return part * self.block + i * self.count + k

    def side(self, part: int, i: int) -> int:
        """Return the column of a person's side, 1 for dirty."""
        return part * self.block + self.people * self.count + i

    def wash(self, part: int, i: int) -> int:
        """Return the column of a person's wash at the start of a part."""
        return self.side(part, i) + self.people

    def birds(self, part: int) -> int:
        """Return the column of a part's birds."""
        return (part + 1) * self.block - 1

    def add(self, terms: dict[int, float], low: float, high: float) -> None:
        """Add one row."""
        row = np.zeros(self.size)
        for column, value in terms.items():
            row[column] = value
        self.rows.append(row)
        self.low.append(low)
        self.high.append(high)

    def add_part(self, part: int, dirty: list[bool], *, slowest_s: float, change_s: float) -> None:
        """Add the rows of one part of the day."""
        length_s = self.parts[part][1] - self.parts[part][0]
        self.cost[self.birds(part)] = -1.0
        self.top[self.birds(part)] = length_s / slowest_s if slowest_s > 0 else np.inf
        for k in range(self.count):
            terms = {
                self.time(part, i, k): 1 / self.times[i, k]
                for i in range(self.people)
                if np.isfinite(self.times[i, k])
            }
            self.add({**terms, self.birds(part): -1.0}, 0.0, np.inf)
        for i in range(self.people):
            here = self.there[part][i]
            self.top[self.side(part, i)] = self.top[self.wash(part, i)] = 1.0
            self.whole[self.side(part, i)] = self.whole[self.wash(part, i)] = 1
            columns = [self.time(part, i, k) for k in range(self.count)]
            for k, column in enumerate(columns):
                self.top[column] = length_s if here and np.isfinite(self.times[i, k]) else 0.0
                sign = -1.0 if dirty[k] else 1.0
                limit_s = 0.0 if dirty[k] else length_s
                self.add({column: 1.0, self.side(part, i): sign * length_s}, -np.inf, limit_s)
            self.add(
                {**dict.fromkeys(columns, 1.0), self.wash(part, i): min(change_s, length_s)},
                -np.inf,
                length_s,
            )
            if part:  # from dirty to clean only through a wash; who is away keeps their side
                before, after = self.side(part - 1, i), self.side(part, i)
                self.add({before: 1.0, after: -1.0, self.wash(part, i): -1.0}, -np.inf, 0.0)
                if not here:
                    self.add({before: 1.0, after: -1.0}, 0.0, 0.0)

    def matrix(self) -> Floats:
        """Return all rows."""
        return np.array(self.rows)

    def plan(self, x: Floats, gap: float) -> CrewPlan:
        """Return the plan that a solution stands for."""
        parts = []
        for part, (from_s, to_s) in enumerate(self.parts):
            here = self.there[part]
            dirty = tuple(
                bool(round(x[self.side(part, i)])) if here[i] else None for i in range(self.people)
            )
            washes = tuple(bool(round(x[self.wash(part, i)])) for i in range(self.people))
            first = self.time(part, 0, 0)
            time_s = x[first : first + self.people * self.count]
            parts.append(
                Part(
                    from_s,
                    to_s,
                    float(x[self.birds(part)]),
                    dirty,
                    washes,
                    time_s.reshape(self.people, self.count).copy(),
                )
            )
        total = sum(part.birds for part in parts)
        return CrewPlan(tuple(self.codes), tuple(parts), total, gap)
