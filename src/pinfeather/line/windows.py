"""Several short processing days instead of one long one."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pinfeather.errors import InputError
from pinfeather.words import gettext as _

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Window:
    """A free part of some day.

    Parameters
    ----------
    name : str
        How people call it, such as ``"Sat morning"``.
    time_s : float
        How long it is from first to last hand, the shorter of free time and daylight [s].
    ice_birds : float
        Birds there is ice for; infinite where ice is no limit.
    freed_birds : int
        Birds that leave the freezer or refrigerator just before it, by pickup or sale.
    """

    name: str
    time_s: float
    ice_birds: float = math.inf
    freed_birds: int = 0


@dataclass(frozen=True, slots=True)
class Work:
    """How a day's time depends on its birds.

    Parameters
    ----------
    fixed_s : float
        Setting up, heating, first bird's way, last chill, cleaning: the same for any number of
        birds [s].
    bird_s : float
        Each further bird [s].
    """

    fixed_s: float
    bird_s: float

    def day_s(self, birds: int) -> float:
        """Return how long a day with some birds takes; none take no time [s]."""
        return self.fixed_s + self.bird_s * birds if birds else 0.0


@dataclass(frozen=True, slots=True)
class Split:
    """Birds shared out among windows.

    Parameters
    ----------
    birds : tuple of int
        Birds in each window, zero where it is not used.
    days : int
        Windows used, and so times set up and cleaned.
    total_s : float
        Time of all days [s].
    longest_s : float
        Time of the longest day [s].
    """

    birds: tuple[int, ...]
    days: int
    total_s: float
    longest_s: float


def room(window: Window, work: Work, *, fewest: int = 1) -> int:
    """Return how many birds a window takes by time and ice.

    Parameters
    ----------
    window : Window
        The window.
    work : Work
        How long birds take.
    fewest : int
        Below this many it is not worth setting up.

    Returns
    -------
    int
        Zero where it takes fewer than that.

    References
    ----------
    Derivation: (time - fixed) / time of a bird, rounded down, and the ice.
    """
    spare_s = window.time_s - work.fixed_s
    by_time = math.inf if work.bird_s <= 0 else spare_s / work.bird_s + 1e-9
    most = min(by_time, window.ice_birds) if spare_s >= 0 else 0
    most = 10**6 if most == math.inf else math.floor(most)
    return most if most >= fewest else 0


def split_birds(
    birds: int,
    windows: Sequence[Window],
    *,
    work: Work,
    store_birds: float = math.inf,
    fewest: int = 1,
    longest_s: float = math.inf,
) -> Split | None:
    """Share birds out among free windows, setting up as few times as can be.

    Parameters
    ----------
    birds : int
        Birds to be done by the last window.
    windows : sequence of Window
        In order of time; the date they must be done by is after the last.
    work : Work
        How long birds take.
    store_birds : float
        Birds the refrigerator or freezer takes at the start [birds].
    fewest : int
        Fewest birds worth setting up for.
    longest_s : float
        Longest day anybody should have, set-up and cleaning included [s].

    Returns
    -------
    Split or None
        The fewest days; among these the shortest longest day. None where the birds do not fit.

    Raises
    ------
    InputError
        If there are no birds.

    Notes
    -----
    Birds leave the store only as each window's ``freed_birds`` say. The time of a day is taken
    as fixed plus so much a bird; check the chosen days with the simulation.

    References
    ----------
    Derivation: mixed-integer linear programme in two steps, the number of days first (HiGHS).
    """
    if birds < 1:
        raise InputError("birds", birds, _("Give at least one bird."))
    most = [
        min(birds, room(Window(w.name, min(w.time_s, longest_s), w.ice_birds), work, fewest=fewest))
        for w in windows
    ]
    first = _solve(birds, windows, most=most, work=work, store=store_birds, fewest=fewest)
    if first is None:
        return None
    days = sum(1 for n in first if n)
    second = _solve(
        birds, windows, most=most, work=work, store=store_birds, fewest=fewest, days=days
    )
    shared = second or first
    times_s = [work.day_s(n) for n in shared]
    return Split(tuple(shared), days, sum(times_s), max(times_s))


def _solve(
    birds: int,
    windows: Sequence[Window],
    *,
    most: list[int],
    work: Work,
    store: float,
    fewest: int,
    days: int | None = None,
) -> list[int] | None:
    """Find the fewest days; or, for so many days, the shortest longest day."""
    from scipy.optimize import Bounds, LinearConstraint, milp

    count = len(windows)
    size = 2 * count + 1  # birds, used, longest day
    if not count:
        return None
    rows: list[Floats] = []
    low: list[float] = []
    high: list[float] = []

    def add(terms: dict[int, float], least: float, top: float) -> None:
        row = np.zeros(size)
        for column, value in terms.items():
            row[column] = value
        rows.append(row)
        low.append(least)
        high.append(top)

    add(dict.fromkeys(range(count), 1.0), birds, birds)
    freed = 0
    for w in range(count):
        freed += windows[w].freed_birds
        add({w: 1.0, count + w: -float(most[w])}, -np.inf, 0.0)
        add({w: 1.0, count + w: -float(fewest)}, 0.0, np.inf)
        if store < math.inf:
            add(dict.fromkeys(range(w + 1), 1.0), -np.inf, store + freed)
        add({w: work.bird_s, count + w: work.fixed_s, size - 1: -1.0}, -np.inf, 0.0)
    used = dict.fromkeys(range(count, 2 * count), 1.0)
    cost = np.zeros(size)
    if days is None:
        cost[count : 2 * count] = 1.0
    else:
        add(used, days, days)
        cost[-1] = 1.0
    top = np.concatenate([np.array(most, float), np.ones(count), [np.inf]])
    whole = np.concatenate([np.ones(2 * count), [0]])
    found = milp(
        cost,
        constraints=LinearConstraint(np.array(rows), low, high),
        bounds=Bounds(0, top),
        integrality=whole,
    )
    return None if found.x is None else [round(n) for n in found.x[:count]]


def ways_to_split(
    birds: int,
    windows: Sequence[Window],
    *,
    work: Work,
    store_birds: float = math.inf,
    fewest: int = 1,
) -> tuple[Split, ...]:
    """List one way to share the birds out for each number of days, few long ones first.

    Parameters
    ----------
    birds : int
        Birds to be done.
    windows : sequence of Window
        In order of time.
    work : Work
        How long birds take.
    store_birds : float
        Birds the store takes at the start [birds].
    fewest : int
        Fewest birds worth setting up for.

    Returns
    -------
    tuple of Split
        For each possible number of days, the one with the shortest longest day. Every further
        day costs one more set-up and cleaning; whether a shorter day is worth it is for the
        people to say, and tiring hands are not in the sums.

    Raises
    ------
    InputError
        If there are no birds.

    References
    ----------
    Derivation: :func:`split_birds` with the number of days given.
    """
    if birds < 1:
        raise InputError("birds", birds, _("Give at least one bird."))
    most = [min(birds, room(w, work, fewest=fewest)) for w in windows]
    found = []
    for days in range(1, len(windows) + 1):
        shared = _solve(
            birds, windows, most=most, work=work, store=store_birds, fewest=fewest, days=days
        )
        if shared is not None and sum(1 for n in shared if n) == days:
            times_s = [work.day_s(n) for n in shared]
            found.append(Split(tuple(shared), days, sum(times_s), max(times_s)))
    return tuple(found)
