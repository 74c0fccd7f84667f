"""The journal: append-only, chained by hash, idempotent by the device's own id."""

from __future__ import annotations

import datetime as dt
import hashlib
import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from pinfeather.records.models import Day, Entry
from pinfeather.records.writing import writing

GENESIS: Final = "0" * 64
"""The hash before the first entry."""


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
    results = []
    with writing():
        day = None if day_id is None else Day.objects.get(pk=day_id)
        last = Entry.objects.order_by("-seq").first()
        previous = last.hash if last else GENESIS
        known = {
            entry.client_id: entry.seq
            for entry in Entry.objects.filter(client_id__in=[e.client_id for e in entries])
        }
        for new in entries:
            if new.client_id in known:
                results.append(Accepted(new.client_id, known[new.client_id], known=True))
                continue
            entry = Entry(
                client_id=new.client_id,
                day=day,
                kind=new.kind,
                payload=dict(new.payload),
                who=new.who,
                device=new.device,
                device_time=new.device_time,
                skew_s=new.skew_s,
                received_at=received_at,
                previous_hash=previous,
            )
            entry.hash = entry_hash(entry)
            entry.save(force_insert=True)
            previous = entry.hash
            known[new.client_id] = entry.seq
            results.append(Accepted(new.client_id, entry.seq, known=False))
    return tuple(results)


def fingerprint(value: object) -> str:
    """Return the SHA-256 of a JSON value in its one canonical spelling."""
    text = json.dumps(value, sort_keys=True, ensure_ascii=False, separators=(",", ":"))
    return hashlib.sha256(text.encode()).hexdigest()


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
    return fingerprint(
        {
            "client_id": entry.client_id,
            "day": entry.day_id,
            "kind": entry.kind,
            "payload": entry.payload,
            "who": entry.who,
            "device": entry.device,
            "device_time": _stamp(entry.device_time),
            "skew_s": entry.skew_s,
            "received_at": _stamp(entry.received_at),
            "previous_hash": entry.previous_hash,
        }
    )


def _stamp(moment: dt.datetime) -> str:
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


def last_seq(day_id: int) -> int:
    """Return the place of a day's newest entry, 0 where there is none."""
    newest = Entry.objects.filter(day_id=day_id).order_by("-seq").values_list("seq", flat=True)
    return newest.first() or 0
