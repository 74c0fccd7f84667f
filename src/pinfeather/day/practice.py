"""People who draw their first birds: how fast they learn, and what the next plan takes of it."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from pinfeather.day.flow import line_of
from pinfeather.day.request import DayRequest, Species
from pinfeather.day.tapped import TappedDay, own_gaps
from pinfeather.estimate import Basis, Estimate, Origin
from pinfeather.line.learning import FEWEST, LearnedRate, learned_rate
from pinfeather.line.sampling import Z90
from pinfeather.words import gettext as _
from pinfeather.words import ngettext

Floats = NDArray[np.float64]

FEW_DAYS: Final = 3
"""After so many days with own counts nobody counts as a beginner any more; assumed."""
MOST_QUICKER: Final = 1.25
"""No plan takes a beginner for more than this times quicker than on their days so far; assumed."""
_SURE: Final = 1.96 / Z90
"""From the ends of a band that holds eight in ten to one that holds nineteen in twenty."""


@dataclass(frozen=True, slots=True)
class Practice:
    """What one person's first birds say.

    Parameters
    ----------
    name : str
        Who.
    days, birds : int
        Days with own counts, and birds drawn on them.
    rate : LearnedRate
        Drawing time with twice the practice over the time before [1].
    middle : float
        Where the birds so far lie on the curve: mean of the log2 of their numbers [1].
    """

    name: str
    days: int
    birds: int
    rate: LearnedRate
    middle: float

    @property
    def few_days(self) -> bool:
        """Whether they are still on their first days."""
        return self.days <= FEW_DAYS

    @property
    def clear(self) -> bool:
        """Whether the times say by themselves that they get quicker.

        Neither their band nor that of both joined reaches 1, and the times' own not even where
        it is made wide enough for nineteen cases in twenty.
        """
        data = self.rate.data
        if data is None or max(data.high, self.rate.posterior.high) >= 1.0:
            return False
        return bool(data.value * (data.high / data.value) ** _SURE < 1.0)

    def quicker(self, birds: float) -> Estimate | None:
        """Return how much quicker they draw the next birds than those so far.

        Parameters
        ----------
        birds : float
            How many they will draw.

        Returns
        -------
        Estimate or None
            1 to ``MOST_QUICKER``; None after the first days, or where it is not clear that
            they learn [1].
        """
        if not self.few_days or not self.clear or birds <= 0:
            return None
        numbers = np.arange(self.birds + 1, self.birds + 1 + max(1, round(birds)))
        doublings = float(np.log2(numbers).mean()) - self.middle
        found = self.rate.posterior
        slow, value, fast = (
            min(max(rate**-doublings, 1.0), MOST_QUICKER)
            for rate in (found.high, found.value, found.low)
        )
        note = _("{name}: {birds} drawn on {days}").format(
            name=self.name,
            birds=ngettext("{n} bird", "{n} birds", self.birds).format(n=self.birds),
            days=ngettext("one day", "{n} days", self.days).format(n=self.days),
        )
        return Estimate(value, slow, fast, Basis(Origin.OWN, note, "measured"))


def learn_practice(days: Sequence[TappedDay], *, species: Species) -> tuple[Practice, ...]:
    """Learn from who counted their own birds at the drawing table how fast each gets quicker.

    Parameters
    ----------
    days : sequence of TappedDay
        Closed days in order of time; days with other birds among them are left out.
    species : str
        The kind of bird.

    Returns
    -------
    tuple of Practice
        By name; only people with at least ten times.

    Notes
    -----
    A day counts for somebody only if everybody who could draw on it counted their own birds, or
    nobody else could. Practice from before the first day on record is not known, and nothing is
    taken as forgotten between days: either makes the curve look flatter, which is the safe side.

    References
    ----------
    :func:`pinfeather.line.learning.learned_rate`.
    """
    times: dict[str, list[float]] = {}
    numbers: dict[str, list[float]] = {}
    drawn: dict[str, int] = {}
    seen: dict[str, int] = {}
    for day in days:
        if {lot.species for lot in day.request.lots} != {species}:
            continue
        for name, (gaps, birds) in own_gaps(day).items():
            before = drawn.get(name, 0)
            # a gap belongs to the bird that ends it
            first = before + 1 + birds - len(gaps)
            times.setdefault(name, []).extend(gaps.tolist())
            numbers.setdefault(name, []).extend(range(first, first + len(gaps)))
            drawn[name] = before + birds
            seen[name] = seen.get(name, 0) + 1
    return tuple(
        Practice(
            name,
            seen[name],
            drawn[name],
            learned_rate(times[name], units=numbers[name]),
            float(np.log2(np.arange(1, drawn[name] + 1)).mean()),
        )
        for name in sorted(times)
        if len(times[name]) >= 2 * FEWEST
    )


def speeds(practice: Sequence[Practice], request: DayRequest) -> dict[str, Estimate]:
    """Return how much quicker beginners are taken to be on a day than on their days so far.

    Parameters
    ----------
    practice : sequence of Practice
        What their first birds say.
    request : DayRequest
        The day; its birds are shared evenly among those who can draw.

    Returns
    -------
    dict of str to Estimate
        Only people for whom it is more than 1 [1].

    Notes
    -----
    Only the drawing is learned: of somebody who also rinses and packs, only the drawing's share
    of the work gets quicker.

    References
    ----------
    Derivation: work of share s gets q times quicker, so all of it 1 / (1 - s + s / q) times.
    """
    known = {one.name: one for one in practice}
    drawers = [person for person in request.people if "draw" in person.stations]
    hands_s = {station.code: station.hands_s for station in line_of(request)}
    found = {}
    for person in drawers:
        mine = known.get(person.name)
        quicker = None if mine is None else mine.quicker(request.birds / len(drawers))
        if quicker is None or quicker.value <= 1.0:
            continue
        share = hands_s["draw"] / math.fsum(hands_s[code] for code in person.stations)
        low, value, high = (
            1 / (1 - share + share / q) for q in (quicker.low, quicker.value, quicker.high)
        )
        found[person.name] = Estimate(value, low, high, quicker.basis)
    return found


def practised(request: DayRequest, found: Mapping[str, Estimate]) -> DayRequest:
    """Return a day with its beginners as quick as they are taken to be by now.

    Parameters
    ----------
    request : DayRequest
        As asked for.
    found : mapping of str to Estimate
        From :func:`speeds`, by name [1].

    Returns
    -------
    DayRequest
        With their paces raised.

    References
    ----------
    Derivation: pace times speed.
    """
    if not found:
        return request
    people = tuple(
        replace(one, pace=one.pace * found[one.name].value) if one.name in found else one
        for one in request.people
    )
    return replace(request, people=people)
