"""A lot's life as plain values."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum
from typing import TypeAlias


class Cause(StrEnum):
    """Why a bird is no longer there."""

    FOUND_DEAD = "found dead"
    CULLED = "culled"
    PREDATOR = "predator"
    WEATHER = "weather"
    ACCIDENT = "accident"
    MISSING = "missing"
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True)
class Arrived:
    """Birds came.

    Parameters
    ----------
    on : datetime.date
        When.
    pen : str
        Where they were put.
    ordered : int
        Paid for.
    spares : int
        Sent on top.
    dead : int
        Dead on arrival.
    """

    on: dt.date
    pen: str
    ordered: int
    spares: int = 0
    dead: int = 0


@dataclass(frozen=True, slots=True)
class Moved:
    """Birds went from one pen to another.

    Parameters
    ----------
    on : datetime.date
        When.
    pen : str
        Where from.
    to : str
        Where to.
    heads : int
        How many.
    """

    on: dt.date
    pen: str
    to: str
    heads: int


@dataclass(frozen=True, slots=True)
class Lost:
    """Birds died, were culled or went missing.

    Parameters
    ----------
    on : datetime.date
        When.
    pen : str
        Where.
    heads : int
        How many.
    cause : Cause
        Why.
    """

    on: dt.date
    pen: str
    heads: int
    cause: Cause = Cause.UNKNOWN


@dataclass(frozen=True, slots=True)
class Counted:
    """Somebody counted the birds of a pen at the end of the day.

    Parameters
    ----------
    on : datetime.date
        When.
    pen : str
        Where.
    heads : int
        How many there were.
    """

    on: dt.date
    pen: str
    heads: int


@dataclass(frozen=True, slots=True)
class Processed:
    """Birds went to be processed.

    Parameters
    ----------
    on : datetime.date
        When.
    pen : str
        Where from.
    heads : int
        How many.
    """

    on: dt.date
    pen: str
    heads: int


@dataclass(frozen=True, slots=True)
class SoldLive:
    """Birds left alive.

    Parameters
    ----------
    on : datetime.date
        When.
    pen : str
        Where from.
    heads : int
        How many.
    """

    on: dt.date
    pen: str
    heads: int


@dataclass(frozen=True, slots=True)
class Weighed:
    """Birds were weighed, one by one or several in a basket.

    Parameters
    ----------
    on : datetime.date
        When.
    weights_kg : tuple of float
        Each weighing, the basket taken off [kg].
    birds_each : int
        Birds in each weighing; 1 for single birds.
    """

    on: dt.date
    weights_kg: tuple[float, ...]
    birds_each: int = 1


@dataclass(frozen=True, slots=True)
class FeedDelivered:
    """Feed was put in.

    Parameters
    ----------
    on : datetime.date
        When.
    mass_kg : float
        How much [kg].
    feed : str
        What it is called.
    """

    on: dt.date
    mass_kg: float
    feed: str = ""


@dataclass(frozen=True, slots=True)
class FeedLeft:
    """Feed was still there, in bin and feeders.

    Parameters
    ----------
    on : datetime.date
        When.
    mass_kg : float
        How much [kg].
    """

    on: dt.date
    mass_kg: float


@dataclass(frozen=True, slots=True)
class Medicated:
    """A medicine was given, in feed, water or by hand.

    Parameters
    ----------
    on : datetime.date
        First day.
    last_on : datetime.date
        Last day.
    medicine : str
        Its name.
    withdrawal_d : int
        Days from the last dose to slaughter, from its label or the veterinarian.
    """

    on: dt.date
    last_on: dt.date
    medicine: str
    withdrawal_d: int


HeadEvent: TypeAlias = Arrived | Moved | Lost | Counted | Processed | SoldLive
Event: TypeAlias = HeadEvent | Weighed | FeedDelivered | FeedLeft | Medicated


@dataclass(frozen=True, slots=True)
class Life:
    """A lot, from hatch on.

    Parameters
    ----------
    name : str
        As the farm calls it.
    hatched_on : datetime.date
        Day zero of its age.
    events : tuple of Event
        In any order.
    """

    name: str
    hatched_on: dt.date
    events: tuple[Event, ...]


def feed_eaten_kg(life: Life, upto: dt.date | None = None) -> float:
    """Return the feed that went into a lot: delivered less what was left.

    Parameters
    ----------
    life : Life
        The lot.
    upto : datetime.date or None
        End of the span; None takes everything recorded.

    Returns
    -------
    float
        Eaten and spilled [kg].

    Notes
    -----
    The last note of feed left counts, with what was delivered after it taken as not yet eaten.
    Without any such note, everything delivered counts as eaten.

    References
    ----------
    Derivation: mass balance.
    """
    within = [e for e in life.events if upto is None or e.on <= upto]
    left = max((e for e in within if isinstance(e, FeedLeft)), key=lambda e: e.on, default=None)
    put_in = [e for e in within if isinstance(e, FeedDelivered)]
    if left is None:
        return sum(e.mass_kg for e in put_in)
    return sum(e.mass_kg for e in put_in if e.on <= left.on) - left.mass_kg


def losses_by_cause(events: Iterable[Event]) -> dict[Cause, int]:
    """Return how many birds were lost to each cause, the commonest first.

    Parameters
    ----------
    events : iterable of Event
        Of one lot or several.

    Returns
    -------
    dict of Cause to int
        Only causes that happened.

    References
    ----------
    Derivation: sums.
    """
    found: dict[Cause, int] = {}
    for event in events:
        if isinstance(event, Lost):
            found[event.cause] = found.get(event.cause, 0) + event.heads
    return dict(sorted(found.items(), key=lambda pair: -pair[1]))


def daily_losses(life: Life, upto: dt.date) -> tuple[int, ...]:
    """Return the birds lost on each day of age.

    Parameters
    ----------
    life : Life
        The lot.
    upto : datetime.date
        Last day.

    Returns
    -------
    tuple of int
        By age in days, from zero; without the dead on arrival.

    References
    ----------
    Derivation: sums by day.
    """
    days = max((upto - life.hatched_on).days + 1, 0)
    found = [0] * days
    for event in life.events:
        age = (event.on - life.hatched_on).days
        if isinstance(event, Lost) and 0 <= age < days:
            found[age] += event.heads
    return tuple(found)
