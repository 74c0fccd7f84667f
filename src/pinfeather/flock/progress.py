"""How a lot has done so far: feed for its growth, where its birds are, what was taken out."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Final

import numpy as np

from pinfeather.flock.balance import Balance, head_balance, heads_on
from pinfeather.flock.curves import Species
from pinfeather.flock.feed import Phase, daily_feed_kg, usual_phases
from pinfeather.flock.forecast import Seen, growth_path
from pinfeather.flock.land import nitrogen_kg
from pinfeather.flock.lot import FeedDelivered, FeedLeft, Life, Lost, Processed, SoldLive
from pinfeather.flock.lot import feed_eaten_kg as eaten_kg

_SEVERAL: Final = 7
"""Fewer days of growth say nothing about feed for it."""


@dataclass(frozen=True, slots=True)
class FeedSoFar:
    """Feed a lot has taken, and what it made of it.

    Parameters
    ----------
    on : datetime.date
        Up to when.
    delivered_kg : float
        Put in [kg].
    eaten_kg : float
        Eaten and spilled [kg].
    left_known : bool
        Whether somebody noted what was left; otherwise all counts as eaten.
    gain_kg : float
        Live weight put on by birds there and taken out; of the dead up to their death [kg].
    per_gain : float or None
        Feed over live weight of birds there or taken out alive; None while it says nothing [1].
    """

    on: dt.date
    delivered_kg: float
    eaten_kg: float
    left_known: bool
    gain_kg: float
    per_gain: float | None


def pens_now(balance: Balance, on: dt.date) -> tuple[tuple[str, int], ...]:
    """Return where the birds are at the end of a day.

    Parameters
    ----------
    balance : Balance
        From :func:`pinfeather.flock.balance.head_balance`.
    on : datetime.date
        Which day.

    Returns
    -------
    tuple of (str, int)
        Pens with birds in them, or with fewer than none, the fullest first.

    References
    ----------
    Derivation: the last day with an event, up to that one.
    """
    day = next((day for day in reversed(balance.days) if day.on <= on), None)
    rows = [] if day is None else [(pen, heads) for pen, heads in day.pens if heads]
    return tuple(sorted(rows, key=lambda row: (-row[1], row[0])))


def feed_so_far(life: Life, seen: Seen, on: dt.date) -> FeedSoFar:
    """Say what a lot has eaten for the weight it put on.

    Parameters
    ----------
    life : Life
        The lot.
    seen : Seen
        What is known of its growth.
    on : datetime.date
        Today; the sum is made on the last note of feed left, where there is one.

    Returns
    -------
    FeedSoFar
        Feed over gain of the birds alive or taken out alive, as growers compare it.

    References
    ----------
    Derivation: mass balance of feed; weights along :func:`pinfeather.flock.forecast.growth_path`.
    """
    notes = [e.on for e in life.events if isinstance(e, FeedLeft) and e.on <= on]
    upto = max(notes, default=on)
    put_in = sum(e.mass_kg for e in life.events if isinstance(e, FeedDelivered) and e.on <= upto)
    eaten = eaten_kg(life, upto)
    age = (upto - life.hatched_on).days
    if age < _SEVERAL or eaten <= 0:
        return FeedSoFar(upto, put_in, eaten, bool(notes), 0.0, None)
    path = growth_path(seen, age)
    balance = head_balance(life)
    alive = heads_on(balance, upto) * float(path[age] - path[0])
    dead = 0.0
    for event in life.events:
        day = (event.on - life.hatched_on).days
        if event.on > upto or not 0 <= day <= age:
            continue
        if isinstance(event, Processed | SoldLive):
            alive += event.heads * float(path[day] - path[0])
        elif isinstance(event, Lost):
            dead += event.heads * float(path[day] - path[0])
    ratio = eaten / alive if alive > 0 else None
    return FeedSoFar(upto, put_in, eaten, bool(notes), alive + dead, ratio)


def manure_nitrogen_kg(
    life: Life,
    seen: Seen,
    on: dt.date,
    *,
    from_d: int,
    species: Species = "chicken",
    phases: tuple[Phase, ...] | None = None,
) -> float:
    """Return the nitrogen that a lot has left behind since an age.

    Parameters
    ----------
    life : Life
        The lot.
    seen : Seen
        What is known of its growth.
    on : datetime.date
        Up to when.
    from_d : int
        Age when it came onto that ground [d].
    species : str
        ``"chicken"``, ``"turkey"`` or ``"duck"``.
    phases : tuple of Phase or None
        Feeds with their protein; None takes the usual ones.

    Returns
    -------
    float
        Of all birds that were there [kg].

    References
    ----------
    Derivation: feed of each day by the intake formula, its protein by phase, times the birds there
    were; share kept as in :func:`pinfeather.flock.land.nitrogen_kg`.
    """
    age = (on - life.hatched_on).days
    if age <= from_d:
        return 0.0
    path = growth_path(seen, age)
    balance = head_balance(life)
    birds = np.array(
        [heads_on(balance, life.hatched_on + dt.timedelta(days=d)) for d in range(age)]
    )
    feed = daily_feed_kg(path, species) * np.maximum(birds, 0)
    ordered = sorted(phases or usual_phases(species), key=lambda p: p.from_d)
    total = 0.0
    for i, phase in enumerate(ordered):
        end = ordered[i + 1].from_d if i + 1 < len(ordered) else age
        within = feed[max(phase.from_d, from_d) : min(end, age)]
        if len(within):
            total += nitrogen_kg(float(within.sum()), phase.crude_protein)
    return total
