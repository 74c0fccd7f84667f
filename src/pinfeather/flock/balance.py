"""How many birds there are, and where the book cannot be right."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import Final

from pinfeather.errors import InputError
from pinfeather.finding import Finding, Severity
from pinfeather.flock.lot import (
    Arrived,
    Counted,
    HeadEvent,
    Life,
    Lost,
    Moved,
    Processed,
    SoldLive,
)
from pinfeather.words import date_text, ngettext
from pinfeather.words import gettext as _

_WITHIN_A_DAY: Final = {Arrived: 0, Moved: 1, Lost: 2, Processed: 2, SoldLive: 2, Counted: 3}
"""Order of events of one day: in, about, out, and the count at its end."""


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
                    findings.append(_off_count(life, event, missing, since=sound.get(event.pen)))
                sound[event.pen] = on
                short.discard(event.pen)
            elif isinstance(event, Arrived):
                sound.setdefault(event.pen, on)
            elif isinstance(event, Moved):
                sound.setdefault(event.to, on)
        for pen, number in pens.items():
            if number < 0 and pen not in short:
                short.add(pen)
                findings.append(_below_nothing(life, pen, -number, since=on))
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


def _off_count(life: Life, event: Counted, missing: int, *, since: dt.date | None) -> Finding:
    after = date_text(since) if since else _("the start")
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
            lot=life.name, pen=event.pen, n=abs(missing), day=date_text(event.on), since=after
        ),
        _("Look for losses or moves not written down since then. The count is believed from here."),
        where=event.pen,
        measured=event.heads,
        limit=event.heads + missing,
        unit="birds",
    )


def _below_nothing(life: Life, pen: str, by: int, *, since: dt.date) -> Finding:
    return Finding(
        "lot.below_nothing",
        Severity.STOP,
        ngettext(
            "{lot}, {pen}: {n} bird more has left than ever came, since {day}.",
            "{lot}, {pen}: {n} birds more have left than ever came, since {day}.",
            by,
        ).format(lot=life.name, pen=pen, n=by, day=date_text(since)),
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
