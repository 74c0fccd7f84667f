"""Lots and their lives: what was written, what was struck out, what closed days took."""

from __future__ import annotations

import datetime as dt
import re
import uuid
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, Final

from pinfeather import clock
from pinfeather.actions.farm import LotView, farm, lots
from pinfeather.actions.flock import days as flock_days
from pinfeather.actions.flock.events import KINDS, Frame, Typed, payload
from pinfeather.actions.flock.told import domain_event, told
from pinfeather.actions.lists import past_days
from pinfeather.errors import InputError, InputFaultsError, RecordConflictError, RecordNotFoundError
from pinfeather.flock.balance import head_balance
from pinfeather.flock.lot import Arrived, Event, Life, Processed
from pinfeather.records import journal, models
from pinfeather.records.writing import writing
from pinfeather.words import gettext as _

ENTRY_KIND: Final = "flock"
"""Kind of every journal line about a lot."""
_ID: Final = re.compile(r"[0-9A-Za-z]{1,40}")
_HEAD_KINDS: Final = frozenset({"arrived", "moved", "lost", "counted", "sold", "processed"})


@dataclass(frozen=True, slots=True)
class LotEntry:
    """One line of a lot's life as it was written; struck out or not."""

    id: str
    seq: int
    on: dt.date
    kind: str
    kept: Mapping[str, Any]
    who: str
    struck: str = ""
    """Why it was struck out; empty where it stands."""
    struck_by: str = ""
    day_id: int | None = None
    """The closed processing day it was read from."""

    @property
    def title(self) -> str:
        """What kind of line it is, in words."""
        return _("Processed") if self.day_id is not None else _(KINDS[self.kind])

    @property
    def words(self) -> str:
        """What it says."""
        if self.day_id is not None:
            return _("{n} from {pen}, from the closed day").format(
                n=self.kept["heads"], pen=self.kept["pen"] or _("the lot")
            )
        return told(self.kept)

    @property
    def of_heads(self) -> bool:
        """Whether it changes how many birds there are."""
        return self.kind in _HEAD_KINDS


@dataclass(frozen=True, slots=True)
class LotBook:
    """A lot with everything written about it."""

    row: LotView
    entries: tuple[LotEntry, ...]
    """In order of the day, struck-out ones in their place."""
    life: Life
    assumed_arrival: bool
    """Whether the arrival is only the number once typed for the lot."""

    @property
    def standing(self) -> tuple[LotEntry, ...]:
        """The entries that were not struck out."""
        return tuple(one for one in self.entries if not one.struck)

    def kept(self, kind: str) -> tuple[LotEntry, ...]:
        """Return the standing entries of one kind."""
        return tuple(one for one in self.standing if one.kind == kind)


def lot(code: str) -> LotView:
    """Return one lot by its code.

    Raises
    ------
    RecordNotFoundError
        If there is none.
    """
    for found in lots():
        if found.code == code:
            return found
    raise RecordNotFoundError(_("There is no lot called “{code}”.").format(code=code))


def book(code: str) -> LotBook:
    """Return one lot with its life.

    Raises
    ------
    RecordNotFoundError
        If there is none.
    """
    row = lot(code)
    lines = models.Entry.objects.filter(kind=ENTRY_KIND, payload__lot=code).order_by("seq")
    return _book(row, lines, _taken())


def books() -> tuple[LotBook, ...]:
    """Return every lot with its life, youngest first."""
    by_lot: dict[str, list[models.Entry]] = {}
    for line in models.Entry.objects.filter(kind=ENTRY_KIND).order_by("seq"):
        by_lot.setdefault(str(line.payload.get("lot")), []).append(line)
    taken = _taken()
    return tuple(_book(row, by_lot.get(row.code, ()), taken) for row in lots())


def _taken() -> tuple[flock_days.DayTook, ...]:
    """Return what closed days took, and what days before this program took."""
    return (*flock_days.taken(), *past_days.taken())


def _book(
    row: LotView, lines: Iterable[models.Entry], taken: Sequence[flock_days.DayTook]
) -> LotBook:
    lines = list(lines)
    strikes = {line.payload["of"]: line for line in lines if line.payload["event"] == "struck"}
    entries = []
    for line in lines:
        if line.payload["event"] == "struck":
            continue
        strike = strikes.get(line.client_id)
        entries.append(
            LotEntry(
                id=line.client_id,
                seq=line.seq,
                on=dt.date.fromisoformat(line.payload["on"]),
                kind=line.payload["event"],
                kept=line.payload,
                who=line.who,
                struck=str(strike.payload["reason"]) if strike else "",
                struck_by=strike.who if strike else "",
            )
        )
    entries.sort(key=lambda one: (one.on, one.seq))
    events = [e for e in (domain_event(one.kept) for one in entries if not one.struck) if e]
    assumed = not any(isinstance(e, Arrived) for e in events) and row.head > 0
    hatched = row.hatched or min((e.on for e in events), default=clock.today(farm().zone))
    if assumed:
        events.insert(0, Arrived(hatched, "", row.head))
    life = Life(row.code, hatched, tuple(events))
    for day in taken:
        for part in _out_of_pens(life, day):
            life = replace(life, events=(*life.events, part))
            entries.append(
                LotEntry(
                    id="",
                    seq=0,
                    on=day.on,
                    kind="processed",
                    kept={"event": "processed", "pen": part.pen, "heads": part.heads},
                    who=day.closed_by,
                    day_id=day.id or None,
                )
            )
    entries.sort(key=lambda one: one.on)
    return LotBook(row, tuple(entries), life, assumed)


def _out_of_pens(life: Life, day: flock_days.DayTook) -> list[Processed]:
    """Take a closed day's birds out of the pens they were in, the fullest first."""
    left = day.birds.get(life.name, 0)
    if not left:
        return []
    until = replace(life, events=tuple(e for e in life.events if e.on <= day.on))
    days = head_balance(until).days
    pens = sorted(days[-1].pens, key=lambda pen: -pen[1]) if days else []
    found = []
    for pen, heads in pens:
        part = min(max(heads, 0), left)
        if part:
            found.append(Processed(day.on, pen, part))
            left -= part
    if left:  # more than the book has: the balance says by how many
        pen = pens[0][0] if pens else ""
        found = [p for p in found if p.pen != pen] + [
            Processed(day.on, pen, left + sum(p.heads for p in found if p.pen == pen))
        ]
    return found


def add_event(
    code: str,
    kind: str,
    typed: Typed,
    *,
    who: str,
    client_id: str = "",
    now: dt.datetime | None = None,
) -> str:
    """Write something about a lot; return the entry's id.

    The same ``client_id`` is written once, however often a form is sent.

    Raises
    ------
    InputFaultsError
        With every fault in what was typed.
    RecordNotFoundError
        If there is no such lot.
    StoreError
        If the store cannot be written.
    """
    now = now or clock.now()
    row = lot(code)
    kept = payload(kind, typed, Frame(code, row.hatched, clock.today(farm().zone)))
    client_id = client_id if _ID.fullmatch(client_id) else uuid.uuid4().hex
    journal.append_from_page(ENTRY_KIND, kept, client_id=client_id, who=who, at=now)
    return client_id


def strike_out(code: str, entry_id: str, *, reason: str, who: str) -> None:
    """Strike out an entry that was wrong; both stay in the journal.

    Raises
    ------
    InputFaultsError
        If no reason is given.
    RecordNotFoundError
        If there is no such entry in that lot.
    RecordConflictError
        If it was struck out before.
    """
    with writing():
        found = next((one for one in book(code).entries if one.id and one.id == entry_id), None)
        if found is None:
            raise RecordNotFoundError(_("There is no such line in this lot’s life."))
        if found.struck:
            raise RecordConflictError(_("This line was struck out before."))
        if not reason.strip():
            raise InputFaultsError([InputError("reason", reason, _("Write what was wrong."))])
        journal.append_from_page(
            ENTRY_KIND,
            {"lot": code, "event": "struck", "of": entry_id, "reason": reason.strip()[:300]},
            client_id=uuid.uuid4().hex,
            who=who,
            at=clock.now(),
        )


def domain_events(found: LotBook, upto: dt.date) -> tuple[Event, ...]:
    """Return what had happened to a lot by a day."""
    return tuple(e for e in found.life.events if e.on <= upto)
