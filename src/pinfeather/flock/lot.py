"""A lot's life as plain values, and whether its heads balance."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum
from itertools import groupby
from typing import Final, TypeAlias

from pinfeather.errors import InputError
from pinfeather.finding import Finding, Severity
from pinfeather.words import gettext as _
from pinfeather.words import ngettext


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

_WITHIN_A_DAY: Final = {Arrived: 0, Moved: 1, Lost: 2, Processed: 2, SoldLive: 2, Counted: 3}
"""Order of events of one day: in, about, out, and the count at its end."""


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


@dataclass(frozen=True, slots=True)
class DayHeads:
    """How many birds there were at the end of a day.

    Parameters
    ----------
    on : datetime.date
        Which day.
    pens : tuple of (str, int)
        Birds by pen; a number below zero stands with a finding.
    heads : int
        All pens together.
    """

    on: dt.date
    pens: tuple[tuple[str, int], ...]
    heads: int


@dataclass(frozen=True, slots=True)
class Balance:
    """The book of heads.

    Parameters
    ----------
    days : tuple of DayHeads
        Each day on which something happened, in order.
    arrived, lost, processed, sold, unexplained : int
        Totals: alive on arrival, lost with a record, processed, sold alive, and missing by the
        counts (below zero where more were counted than the book has).
    findings : tuple of Finding
        Where the book cannot be right, by how many and since when.
    """

    days: tuple[DayHeads, ...]
    arrived: int
    lost: int
    processed: int
    sold: int
    unexplained: int
    findings: tuple[Finding, ...]

    @property
    def heads(self) -> int:
        """Birds there now."""
        return self.days[-1].heads if self.days else 0


def head_balance(life: Life) -> Balance:
    """Say how many birds there were at the end of every day, and where the book cannot be right.

    Parameters
    ----------
    life : Life
        The lot.

    Returns
    -------
    Balance
        With a finding for each pen that goes below nothing and each count that differs.

    Raises
    ------
    InputError
        If a number of birds is below zero.

    Notes
    -----
    A count is believed: the book goes on from it, and the difference is told once. Within a day,
    birds come first, then move, then leave, then are counted.

    References
    ----------
    Derivation: alive on arrival = there now + lost + processed + sold alive + unexplained.
    """
    _check(life)
    heads = (e for e in life.events if isinstance(e, HeadEvent))
    ordered = sorted(heads, key=lambda e: (e.on, _WITHIN_A_DAY[type(e)]))
    pens: dict[str, int] = {}
    sound: dict[str, dt.date] = {}
    short: set[str] = set()
    days: list[DayHeads] = []
    findings: list[Finding] = []
    totals = dict.fromkeys(("arrived", "lost", "processed", "sold", "unexplained"), 0)
    for on, events in groupby(ordered, key=lambda e: e.on):
        for event in events:
            missing = _apply(event, pens, totals)
            if isinstance(event, Counted):
                if missing:
                    findings.append(_off_count(life, event, missing, sound.get(event.pen)))
                sound[event.pen] = on
                short.discard(event.pen)
            elif isinstance(event, Arrived):
                sound.setdefault(event.pen, on)
            elif isinstance(event, Moved):
                sound.setdefault(event.to, on)
        for pen, number in pens.items():
            if number < 0 and pen not in short:
                short.add(pen)
                findings.append(_below_nothing(life, pen, -number, on))
            elif number >= 0:
                short.discard(pen)
        days.append(DayHeads(on, tuple(sorted(pens.items())), sum(pens.values())))
    return Balance(tuple(days), **totals, findings=tuple(findings))


def heads_on(balance: Balance, on: dt.date) -> int:
    """Return how many birds there were at the end of a day.

    Parameters
    ----------
    balance : Balance
        From :func:`head_balance`.
    on : datetime.date
        Which day.

    Returns
    -------
    int
        Zero before the first arrival.

    References
    ----------
    Derivation: the last day with an event, up to that one.
    """
    return next((day.heads for day in reversed(balance.days) if day.on <= on), 0)


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


def _apply(event: HeadEvent, pens: dict[str, int], totals: dict[str, int]) -> int:
    """Book one event; return how many a count finds missing."""
    match event:
        case Arrived():
            alive = event.ordered + event.spares - event.dead
            pens[event.pen] = pens.get(event.pen, 0) + alive
            totals["arrived"] += alive
        case Moved():
            pens[event.pen] = pens.get(event.pen, 0) - event.heads
            pens[event.to] = pens.get(event.to, 0) + event.heads
        case Counted():
            missing = pens.get(event.pen, 0) - event.heads
            pens[event.pen] = event.heads
            totals["unexplained"] += missing
            return missing
        case Lost() | Processed() | SoldLive():
            pens[event.pen] = pens.get(event.pen, 0) - event.heads
            name = {Lost: "lost", Processed: "processed", SoldLive: "sold"}[type(event)]
            totals[name] += event.heads
    return 0


def _off_count(life: Life, event: Counted, missing: int, since: dt.date | None) -> Finding:
    after = since.isoformat() if since else _("the start")
    if missing > 0:
        sentence = ngettext(
            "{lot}, {pen}: {n} bird is missing on {day}; the book was right on {since}.",
            "{lot}, {pen}: {n} birds are missing on {day}; the book was right on {since}.",
            missing,
        )
    else:
        sentence = ngettext(
            "{lot}, {pen}: {n} bird more than the book on {day}; the book was right on {since}.",
            "{lot}, {pen}: {n} birds more than the book on {day}; the book was right on {since}.",
            -missing,
        )
    return Finding(
        "lot.count",
        Severity.CHECK,
        sentence.format(
            lot=life.name, pen=event.pen, n=abs(missing), day=event.on.isoformat(), since=after
        ),
        _("Look for losses or moves not written down since then. The count is believed from here."),
        where=event.pen,
        measured=event.heads,
        limit=event.heads + missing,
        unit="birds",
    )


def _below_nothing(life: Life, pen: str, by: int, on: dt.date) -> Finding:
    return Finding(
        "lot.below_nothing",
        Severity.STOP,
        ngettext(
            "{lot}, {pen}: {n} bird more has left than ever came, since {day}.",
            "{lot}, {pen}: {n} birds more have left than ever came, since {day}.",
            by,
        ).format(lot=life.name, pen=pen, n=by, day=on.isoformat()),
        _("A move, an arrival or a number is wrong. Put it right before you plan with this lot."),
        where=pen,
        measured=-by,
        limit=0,
        unit="birds",
    )


def _check(life: Life) -> None:
    for i, event in enumerate(life.events):
        where = f"events[{i}]"
        if isinstance(event, Arrived):
            numbers: Sequence[int] = (event.ordered, event.spares, event.dead)
            if event.dead > event.ordered + event.spares:
                raise InputError(where, event.dead, _("More were dead than were sent."))
        elif isinstance(event, HeadEvent):
            numbers = (event.heads,)
        else:
            continue
        if min(numbers) < 0:
            raise InputError(where, min(numbers), _("A number of birds cannot be below zero."))
