"""The journal: append-only, chained by hash, idempotent by the device's own id."""

from __future__ import annotations

import datetime as dt
import hashlib
import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from pinfeather.records.guards import GENESIS as GENESIS  # noqa: PLC0414 - it belongs to the journal, too
from pinfeather.records.models import Day, Entry
from pinfeather.records.writing import writing

_EXACT_IN_FLOAT: Final = 1e15
"""Floats beyond this that are whole are written as whole numbers."""


_LONGEST_WHO: Final = 40


@dataclass(frozen=True, slots=True)
class NewEntry:
    """An entry on its way into the journal."""

    client_id: str
    kind: str
    payload: Mapping[str, Any]
    who: str
    device: str
    device_time: dt.datetime
    skew_s: float = 0.0


@dataclass(frozen=True, slots=True)
class Accepted:
    """What became of one entry: its place, and whether it had been there already."""

    client_id: str
    seq: int
    known: bool


def append(
    entries: Sequence[NewEntry], *, day_id: int | None, received_at: dt.datetime
) -> tuple[Accepted, ...]:
    """Write entries in order, in one transaction; those already there are left as they are.

    A closed day still takes what a phone had kept; the seal shows that it came later.

    Raises
    ------
    StoreError
        If the store cannot be written.
    """
    with writing():
        day = None if day_id is None else Day.objects.get(pk=day_id)
        last = Entry.objects.order_by("-seq").first()
        previous = last.hash if last else GENESIS
        there = {
            entry.client_id: entry.seq
            for entry in Entry.objects.filter(client_id__in=[e.client_id for e in entries])
        }
        lines: dict[str, Entry] = {}
        for new in entries:
            if new.client_id in there or new.client_id in lines:
                continue
            line = Entry(
                client_id=new.client_id,
                day=day,
                kind=new.kind,
                payload=storable(dict(new.payload)),
                who=_text(new.who),
                device=_text(new.device),
                device_time=new.device_time,
                skew_s=float(new.skew_s) or 0.0,  # a store knows no negative zero
                received_at=received_at,
                previous_hash=previous,
            )
            line.hash = previous = entry_hash(line)
            lines[new.client_id] = line
        written = {one.client_id: one.seq for one in Entry.objects.bulk_create(lines.values())}
    results = []
    for new in entries:
        seq = written.pop(new.client_id, None)
        if seq is not None:
            there[new.client_id] = seq
        results.append(Accepted(new.client_id, there[new.client_id], known=seq is None))
    return tuple(results)


def append_from_page(
    kind: str,
    payload: Mapping[str, Any],
    *,
    client_id: str,
    who: str,
    at: dt.datetime,
    day_id: int | None = None,
) -> None:
    """Write one entry from a page on the farm computer itself, whose clock is the right one.

    Raises
    ------
    StoreError
        If the store cannot be written.
    """
    append(
        [NewEntry(client_id, kind, payload, who[:_LONGEST_WHO], "page", at)],
        day_id=day_id,
        received_at=at,
    )


def storable(value: Any) -> Any:  # noqa: ANN401 - any JSON value
    """Return a JSON value as every kind of store gives it back.

    PostgreSQL keeps numbers as decimals: it knows no negative zero, and a large float comes back
    as a whole number; its texts cannot hold the null character. A line must read the same wherever
    it is kept, or its hash would not fit.
    """
    if isinstance(value, Mapping):
        return {_text(str(name)): storable(inner) for name, inner in value.items()}
    if isinstance(value, list | tuple):
        return [storable(inner) for inner in value]
    if isinstance(value, str):
        return _text(value)
    if isinstance(value, float):
        if value == 0:
            return 0.0
        if abs(value) > _EXACT_IN_FLOAT and value.is_integer():
            return int(value)
    return value


def _text(value: str) -> str:
    return value.replace("\0", "\N{REPLACEMENT CHARACTER}")


def fingerprint(value: object) -> str:
    """Return the SHA-256 of a JSON value in its one canonical spelling."""
    text = json.dumps(value, sort_keys=True, ensure_ascii=False, separators=(",", ":"))
    return hashlib.sha256(text.encode()).hexdigest()


def salted(salt: str, text: str) -> str:
    """Return the SHA-256 of a text that stands apart from the journal, with its salt before it."""
    return hashlib.sha256(f"{salt}\n{text}".encode()).hexdigest()


def broken_seals() -> tuple[str, ...]:
    """Return the days whose seal does not fit the journal, or whose record was changed since."""
    found = []
    for day in Day.objects.exclude(seal=""):
        entry = Entry.objects.filter(pk=day.sealed_seq or 0).first()
        if (
            entry is None
            or entry.hash != day.seal
            or entry.payload.get("record") != fingerprint(day.record)
        ):
            found.append(day.date.isoformat())
    return tuple(found)


def entry_hash(entry: Entry) -> str:
    """Return the SHA-256 of an entry and of the hash before it."""
    return line_hash(
        (
            entry.client_id,
            entry.day_id,
            entry.kind,
            entry.payload,
            entry.who,
            entry.device,
            stamp(entry.device_time),
            entry.skew_s,
            stamp(entry.received_at),
            entry.previous_hash,
        )
    )


HASHED: Final = (
    "client_id",
    "day",
    "kind",
    "payload",
    "who",
    "device",
    "device_time",
    "skew_s",
    "received_at",
    "previous_hash",
)
"""What of a line goes into its hash."""


def line_hash(values: Sequence[object]) -> str:
    """Return the SHA-256 of a line, its values in the order of :data:`HASHED`."""
    return fingerprint(dict(zip(HASHED, values, strict=True)))


def stamp(moment: dt.datetime) -> str:
    """Return a moment as it goes into a hash."""
    return moment.astimezone(dt.UTC).isoformat(timespec="microseconds")


def broken_at() -> int | None:
    """Walk the whole chain; return the place of the first entry that does not fit, or None."""
    previous = GENESIS
    for entry in Entry.objects.order_by("seq").iterator():
        if entry.previous_hash != previous or entry_hash(entry) != entry.hash:
            return entry.seq
        previous = entry.hash
    return None


def head() -> tuple[int, str]:
    """Return the place and the hash of the newest entry of the whole journal."""
    newest = Entry.objects.order_by("-seq").first()
    return (newest.seq, newest.hash) if newest else (0, GENESIS)


def last_hash(day_id: int) -> str:
    """Return the hash of a day's newest entry, which covers all before it; empty without one."""
    newest = Entry.objects.filter(day_id=day_id).order_by("-seq").values_list("hash", flat=True)
    return newest.first() or ""


def last_seq(day_id: int) -> int:
    """Return the place of a day's newest entry, 0 where there is none."""
    newest = Entry.objects.filter(day_id=day_id).order_by("-seq").values_list("seq", flat=True)
    return newest.first() or 0
