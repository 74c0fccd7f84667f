"""Who works, when, at which stations, and how fast."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final

from pinfeather.errors import InputError
from pinfeather.line.stations import DIRTY_SIDE, PACKING, Station
from pinfeather.words import gettext as _

CHANGE_SIDE_S: Final = 240.0
"""Wash and change from the dirty to the clean side [s]; assumed, 3 to 5 minutes."""


@dataclass(frozen=True, slots=True)
class Person:
    """Somebody who works on the day.

    Parameters
    ----------
    name : str
        What they are called.
    stations : frozenset of str
        Codes of the stations they can serve.
    from_s, to_s : float
        When they are there, counted from the start of the day [s].
    pace : float
        How fast they work: 1 as planned, 0.5 takes twice as long [1].
    breaks : tuple of (float, float)
        Pauses, from and to [s].
    allowance_frac : float
        Rest taken with the work, as a share of it, besides the breaks [1].
    """

    name: str
    stations: frozenset[str]
    from_s: float
    to_s: float
    pace: float = 1.0
    breaks: tuple[tuple[float, float], ...] = ()
    allowance_frac: float = 0.0

    def __post_init__(self) -> None:
        if not 0 < self.pace < math.inf:
            raise InputError(self.name, self.pace, _("A pace is a number above zero."))
        if not self.from_s < self.to_s:
            raise InputError(self.name, self.to_s, _("Somebody must come before they go."))
        if any(not start < end for start, end in self.breaks):
            raise InputError(self.name, self.breaks, _("A break must start before it ends."))
        if not 0 <= self.allowance_frac < 1:
            raise InputError(
                self.name, self.allowance_frac, _("An allowance is zero or more and below 1.")
            )

    @property
    def speed(self) -> float:
        """How fast work gets done, rest included: the pace over one and the allowance [1]."""
        return self.pace / (1 + self.allowance_frac)


Span = tuple[float, float]


def on_duty(person: Person) -> tuple[Span, ...]:
    """Return the times somebody works, breaks taken out.

    Parameters
    ----------
    person : Person
        With window and breaks.

    Returns
    -------
    tuple of (float, float)
        From and to, in order [s].

    References
    ----------
    Derivation: the window less the union of the breaks.
    """
    spans, at = [], person.from_s
    for start, end in sorted(person.breaks):
        if start > at:
            spans.append((at, min(start, person.to_s)))
        at = max(at, end)
        if at >= person.to_s:
            break
    if at < person.to_s:
        spans.append((at, person.to_s))
    return tuple(span for span in spans if span[0] < span[1])


def union(spans: Iterable[Span]) -> tuple[Span, ...]:
    """Return spans of time joined where they touch.

    Parameters
    ----------
    spans : iterable of (float, float)
        In any order [s].

    Returns
    -------
    tuple of (float, float)
        In order, none touching another [s].

    References
    ----------
    Derivation: sweep over sorted starts.
    """
    joined: list[Span] = []
    for start, end in sorted(spans):
        if joined and start <= joined[-1][1]:
            joined[-1] = (joined[-1][0], max(joined[-1][1], end))
        else:
            joined.append((start, end))
    return tuple(joined)


def covered(people: Sequence[Person], station: str) -> tuple[Span, ...]:
    """Return the times when somebody who can serve a station is there.

    Parameters
    ----------
    people : sequence of Person
        The crew.
    station : str
        Its code.

    Returns
    -------
    tuple of (float, float)
        From and to, in order [s].

    References
    ----------
    Derivation: union of the spans on duty.
    """
    return union(span for who in people if station in who.stations for span in on_duty(who))


def uncovered(people: Sequence[Person], station: str) -> tuple[Span, ...]:
    """Return the times from zero on when nobody who can serve a station is there.

    Parameters
    ----------
    people : sequence of Person
        The crew.
    station : str
        Its code.

    Returns
    -------
    tuple of (float, float)
        From and to, in order; the last goes on for ever [s].

    References
    ----------
    Derivation: complement of :func:`covered`.
    """
    gaps, at = [], 0.0
    for start, end in covered(people, station):
        if start > at:
            gaps.append((at, start))
        at = max(at, end)
    return (*gaps, (at, math.inf))


def starting_sides(
    people: Sequence[Person], stations: Sequence[Station]
) -> tuple[bool | None, ...]:
    """Share the people who can serve both sides between them for the start of the day.

    Parameters
    ----------
    people : sequence of Person
        The crew.
    stations : sequence of Station
        The line.

    Returns
    -------
    tuple of bool or None
        True dirty, False clean, None open (a crew too small to man both sides).

    Notes
    -----
    All divisions are tried for up to eight such people; among the rest the first ones stay
    open. Packing is left out, since it comes when the line has stopped.

    References
    ----------
    Derivation: the division whose slower side is fastest, work per bird over the sum of speeds.
    """
    limit = 8
    hands = {s.code: s.hands_s for s in stations if s.hands_s > 0 and s.code not in PACKING}
    work = {side: {c for c in hands if (c in DIRTY_SIDE) == side} for side in (True, False)}
    sides: list[bool | None] = []
    flexible = []
    for index, who in enumerate(people):
        can = {side: bool(who.stations & work[side]) for side in (True, False)}
        sides.append(None if can[True] and can[False] else can[True])
        if can[True] and can[False]:
            flexible.append(index)
    flexible = flexible[-limit:]
    best: tuple[float, tuple[bool | None, ...]] = (math.inf, tuple(sides))
    for mask in range(1 << len(flexible)):
        trial = list(sides)
        for bit, index in enumerate(flexible):
            trial[index] = bool(mask >> bit & 1)
        slowest = 0.0
        for side in (True, False):
            team = [p for p, s in zip(people, trial, strict=True) if s is side]
            skills = frozenset[str]().union(*(p.stations for p in team))
            if not work[side] <= skills:
                slowest = math.inf
            elif team:
                load_s = sum(hands[c] for c in work[side])
                slowest = max(slowest, load_s / sum(p.speed for p in team))
        if slowest < best[0]:
            best = (slowest, tuple(trial))
    return best[1]
