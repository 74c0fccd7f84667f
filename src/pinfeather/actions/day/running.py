"""Running a day: taking entries from devices and telling everybody how it stands."""

from __future__ import annotations

import datetime as dt
import json
import threading
import uuid
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any, Final

from pinfeather import clock, quantity
from pinfeather.actions.day.entry_fields import birds_in, text_in
from pinfeather.actions.desk.entries import DESK_CHECKS
from pinfeather.day.events import CAUSES, COUNTED, Event
from pinfeather.day.progress import Progress, RunningSum, progress
from pinfeather.day.request import MASS_MAX_KG, MASS_MIN_KG
from pinfeather.errors import InputError, RecordConflictError, RecordNotFoundError
from pinfeather.records import journal, models
from pinfeather.records.writing import writing
from pinfeather.reports.tables import csv_bytes
from pinfeather.units import Dimension
from pinfeather.words import gettext as _

_READING_DIMENSIONS: Mapping[str, Dimension] = {
    "bath": "temperature",
    "bird": "temperature",
    "giblets": "temperature",
    "scalder": "temperature",
    "strip": "strength",
    "room": "temperature",
    "refrigerator": "temperature",
}
READING_KINDS = tuple(_READING_DIMENSIONS)
AFTER_CLOSING = frozenset({"correction", "note"})
"""What a page may still write on a closed day."""

_LONGEST_ID = 40
_CALENDAR = (1970, 2100)
"""Years a device's clock may show; one that was never set starts at 1970."""
_MOST_ON_A_SCALE_KG = 1000.0
_MOST_KEPT = 8
_MOST_SKEW_S = 150 * 366 * 86400.0


@dataclass(frozen=True, slots=True)
class Received:
    """What a device is told about one entry it sent."""

    id: str
    seq: int
    known: bool
    problem: str = ""


@dataclass(slots=True)
class _Kept:
    """A day's journal as last read: place and hash of its newest entry, its events, their sum."""

    seq: int = 0
    digest: str = ""
    events: tuple[Event, ...] = ()
    whole: RunningSum = field(default_factory=RunningSum)
    done: Progress = field(default_factory=Progress)


_KEPT: dict[int, _Kept] = {}
_READING: Final = threading.Lock()
"""One reads a day's journal while the others wait: after a start every phone asks at once."""


def events(day_id: int, *, sealed_seq: int | None = None) -> tuple[Event, ...]:
    """Return a day's journal entries, times moved onto the farm computer's clock."""
    found = _kept(day_id)[0]
    if sealed_seq is None or not found or found[-1].seq <= sealed_seq:
        return found
    return tuple(replace(event, late=event.seq > sealed_seq) for event in found)


def _kept(day_id: int) -> tuple[tuple[Event, ...], Progress]:
    """Read what is new in the journal, and take the rest from memory.

    The journal is append-only and each entry's hash covers all before it: where the last one kept
    still stands with its hash, so does everything before it.
    """
    with _READING:
        kept = _KEPT.get(day_id) or _Kept()
        rows = _rows(day_id, since=kept.seq)
        if kept.events and rows and rows[0][:2] == (kept.seq, kept.digest):
            rows = rows[1:]
        elif kept.events:
            kept = _Kept()
            rows = _rows(day_id, since=0)
        if rows:
            new = tuple(_event(row) for row in rows)
            kept.whole.take(new)
            kept.seq, kept.digest = rows[-1][:2]
            kept.events, kept.done = (*kept.events, *new), kept.whole.progress()
        if day_id not in _KEPT and len(_KEPT) >= _MOST_KEPT:
            _KEPT.clear()
        _KEPT[day_id] = kept
        return kept.events, kept.done


def _rows(day_id: int, *, since: int) -> list[tuple[Any, ...]]:
    columns = ("seq", "hash", "client_id", "kind", "payload", "who", "device_time", "skew_s")
    rows = models.Entry.objects.filter(day_id=day_id, seq__gte=since).order_by("seq")
    return list(rows.values_list(*columns))


def _event(row: tuple[Any, ...]) -> Event:
    seq, _hash, client_id, kind, payload, who, device_time, skew_s = row
    at = device_time + dt.timedelta(seconds=skew_s)
    return Event(seq, client_id, kind, payload, who, at)


def day_progress(day_id: int, *, sealed_seq: int | None = None) -> Progress:
    """Return how a day stands; with its seal, corrections made after closing are marked late."""
    if sealed_seq is None:
        return _kept(day_id)[1]
    return progress(events(day_id, sealed_seq=sealed_seq))


def last_seq(day_id: int) -> int:
    """Return the place of a day's newest journal entry."""
    return journal.last_seq(day_id)


def journal_csv(day_id: int) -> bytes:
    """Return a day's journal as a table, every entry as it was written."""
    rows = models.Entry.objects.filter(day_id=day_id).order_by("seq")
    return csv_bytes(
        (
            "seq",
            "id",
            "kind",
            "content",
            "who",
            "device",
            "device_time",
            "skew_s",
            "received_at",
            "hash",
        ),
        (
            (
                row.seq,
                row.client_id,
                row.kind,
                json.dumps(row.payload, ensure_ascii=False, sort_keys=True),
                row.who,
                row.device,
                row.device_time.isoformat(),
                row.skew_s,
                row.received_at.isoformat(),
                row.hash,
            )
            for row in rows
        ),
    )


def receive(
    day_id: int,
    sent: Sequence[Mapping[str, Any]],
    *,
    device: str,
    sent_at: dt.datetime,
    now: dt.datetime,
) -> tuple[Received, ...]:
    """Write what a device sends; each entry once, whatever the network does.

    Parameters
    ----------
    day_id : int
        The day.
    sent : sequence of mapping
        Each with ``id``, ``kind``, ``payload``, ``who`` and ``at`` (the device's time), and
        ``skew_s`` where the device knew its clock's error when it wrote [s].
    device : str
        The device's own id.
    sent_at : datetime
        The device's clock when it sent; the difference to ``now`` is its skew where an entry
        brings none.
    now : datetime
        The farm computer's clock.

    Raises
    ------
    RecordNotFoundError
        If there is no such day.
    StoreError
        If the store cannot be written.
    """
    if not models.Day.objects.filter(pk=day_id).exists():
        raise RecordNotFoundError(_("There is no such day."))
    skew_s = (now - sent_at).total_seconds()
    good: list[journal.NewEntry] = []
    refused: list[Received] = []
    for entry in sent:
        known_s = entry.get("skew_s")
        try:
            good.append(
                _checked(entry, device=device, skew_s=skew_s if known_s is None else known_s)
            )
        except InputError as fault:
            refused.append(
                Received(
                    str(entry.get("id", ""))[:_LONGEST_ID], 0, known=False, problem=fault.problem
                )
            )
    with writing():
        accepted = journal.append(good, day_id=day_id, received_at=now)
        if good:
            _under_way(day_id)
    return tuple(Received(a.client_id, a.seq, a.known) for a in accepted) + tuple(refused)


def write(
    kind: str,
    payload: Mapping[str, Any],
    *,
    day_id: int | None,
    who: str,
    client_id: str = "",
    at: dt.datetime | None = None,
) -> str:
    """Write one entry from a page on the farm computer itself; return its id.

    Raises
    ------
    InputError
        If the payload does not fit the kind.
    RecordNotFoundError
        If there is no such day.
    RecordConflictError
        If the day is closed.
    StoreError
        If the store cannot be written.
    """
    now = clock.now()
    client_id = client_id or uuid.uuid4().hex
    moment = at or now
    entry = _checked(
        {
            "id": client_id,
            "kind": kind,
            "payload": payload,
            "who": who,
            "at": moment.isoformat(),
        },
        device="page",
        skew_s=0.0,
    )
    with writing():
        day = None if day_id is None else models.Day.objects.filter(pk=day_id).first()
        if day is None and day_id is not None:
            raise RecordNotFoundError(_("There is no such day."))
        if day and day.status == models.Day.Status.CLOSED and kind not in AFTER_CLOSING:
            raise RecordConflictError(
                _("This day is closed. Only a correction with a reason can still be written.")
            )
        journal.append([entry], day_id=day_id, received_at=now)
        if day_id is not None:
            _under_way(day_id)
    return client_id


def _under_way(day_id: int) -> None:
    """Let the first entry start a planned day."""
    models.Day.objects.filter(pk=day_id, status=models.Day.Status.PLANNED).update(
        status=models.Day.Status.RUNNING
    )


def _checked(entry: Mapping[str, Any], *, device: str, skew_s: float) -> journal.NewEntry:
    """Turn what was sent into a journal entry, or say what is wrong with it."""
    client_id = str(entry.get("id", ""))
    kind = str(entry.get("kind", ""))
    payload = entry.get("payload")
    if not client_id or len(client_id) > _LONGEST_ID or not client_id.isalnum():
        raise InputError("id", client_id, _("An entry needs an id of letters and digits."))
    if not isinstance(payload, Mapping):
        raise InputError("payload", payload, _("An entry needs its content."))
    try:
        at = dt.datetime.fromisoformat(str(entry.get("at")))
    except ValueError as error:
        raise InputError("at", entry.get("at"), _("An entry needs its time.")) from error
    if at.tzinfo is None:
        raise InputError("at", entry.get("at"), _("An entry's time needs its zone."))
    if not _CALENDAR[0] <= at.year <= _CALENDAR[1] or abs(skew_s) > _MOST_SKEW_S:
        raise InputError(
            "at", entry.get("at"), _("An entry's time cannot be right. Set this device's clock.")
        )
    check = _CHECKS.get(kind)
    if check is None:
        raise InputError("kind", kind, _("“{kind}” is not a kind of entry.").format(kind=kind))
    return journal.NewEntry(
        client_id=client_id,
        kind=kind,
        payload=check(payload),
        who=str(entry.get("who", ""))[:40],
        device=device[:40],
        device_time=at,
        skew_s=skew_s,
    )


def _tally(payload: Mapping[str, Any]) -> dict[str, Any]:
    station = str(payload.get("station"))
    if station not in COUNTED or station == "bag":
        raise InputError(
            "station", station, _("Birds are not counted at “{station}”.").format(station=station)
        )
    return {
        "station": station,
        "birds": birds_in(payload),
        "place": text_in(payload, "place"),
        "lot": text_in(payload, "lot"),
    }


def _reading(payload: Mapping[str, Any]) -> dict[str, Any]:
    what = str(payload.get("what"))
    if what not in _READING_DIMENSIONS:
        raise InputError("what", what, _("Choose what was measured."))
    value = quantity.parse(
        str(payload.get("written", "")), _READING_DIMENSIONS[what], name="written"
    )
    low, high = (0.0, 0.01) if what == "strip" else (-60.0, 130.0)
    if not low <= value.si <= high:
        raise InputError(
            "written",
            value.written,
            _("{value} cannot be right. Read it again.").format(value=value.written),
        )
    reading = {
        "what": what,
        "place": text_in(payload, "place"),
        "written": value.written,
        "unit": value.unit,
        "si": value.si,
        "instrument": text_in(payload, "instrument", needed=what != "strip"),
        "note": text_in(payload, "note"),
    }
    if what == "bird" and text_in(payload, "mass"):
        reading |= _mass(text_in(payload, "mass"))
    return reading


def _mass(text: str) -> dict[str, Any]:
    """Return the weight of a probed bird, as written and in kilograms."""
    mass = quantity.parse(text, "mass", name="mass")
    if not MASS_MIN_KG <= mass.si <= MASS_MAX_KG:
        raise InputError(
            "mass", mass.written, _("{value} cannot be a bird.").format(value=mass.written)
        )
    return {"mass": mass.written, "mass_kg": mass.si}


def _logger(payload: Mapping[str, Any]) -> dict[str, Any]:
    kept = (
        models.LoggerFile.objects.filter(
            pk=_whole(payload.get("file")), sha256=str(payload.get("sha256", ""))
        )
        .defer("raw")
        .first()
    )
    if kept is None:
        raise InputError("file", payload.get("file"), _("There is no such file in the store."))
    return {
        "file": kept.pk,
        "sha256": kept.sha256,
        "what": kept.what,
        "place": kept.place,
        "instrument": kept.instrument,
        "name": kept.name,
        "rows": _whole(payload.get("rows")),
    }


def _whole(value: object) -> int:
    return int(value) if isinstance(value, int | str) and str(value).isdecimal() else 0


def _weight(payload: Mapping[str, Any]) -> dict[str, Any]:
    """Read what a scale sends by itself; the weighing desk decides what it belongs to."""
    value = quantity.parse(str(payload.get("written", "")), "mass", name="written")
    if not 0 <= value.si <= _MOST_ON_A_SCALE_KG:
        raise InputError(
            "written",
            value.written,
            _("{value} cannot be right. Weigh it again.").format(value=value.written),
        )
    return {
        "written": value.written,
        "unit": value.unit,
        "mass_kg": value.si,
        "instrument": text_in(payload, "instrument", needed=True),
    }


def _ice_point(payload: Mapping[str, Any]) -> dict[str, Any]:
    value = quantity.parse(str(payload.get("written", "")), "temperature", name="written")
    if abs(value.si) > 15:  # noqa: PLR2004 - 27 F off is not a thermometer any more
        raise InputError(
            "written",
            value.written,
            _("{value} in melting ice cannot be right. Is the tip in the ice?").format(
                value=value.written
            ),
        )
    return {
        "instrument": text_in(payload, "instrument", needed=True),
        "written": value.written,
        "unit": value.unit,
        "si": value.si,
    }


def _done(payload: Mapping[str, Any]) -> dict[str, Any]:
    return {
        "task": text_in(payload, "task", needed=True),
        "place": text_in(payload, "place"),
        "note": text_in(payload, "note"),
    }


def _explained(payload: Mapping[str, Any]) -> dict[str, Any]:
    after, cause = str(payload.get("after")), str(payload.get("cause"))
    if after not in COUNTED[:-1]:
        raise InputError("after", after, _("Choose after which station the bird left the line."))
    if cause not in CAUSES:
        raise InputError("cause", cause, _("Choose why the bird left the line."))
    return {
        "after": after,
        "cause": cause,
        "birds": birds_in(payload),
        "note": text_in(payload, "note", needed=cause == "lost"),
    }


def _action(payload: Mapping[str, Any]) -> dict[str, Any]:
    return {
        "finding": text_in(payload, "finding", needed=True),
        "where": text_in(payload, "where"),
        "text": text_in(payload, "text", needed=True),
    }


def _correction(payload: Mapping[str, Any]) -> dict[str, Any]:
    return {"of": text_in(payload, "of", needed=True), "reason": text_in(payload, "reason")}


def _note(payload: Mapping[str, Any]) -> dict[str, Any]:
    return {"text": text_in(payload, "text", needed=True)}


_CHECKS = {
    "tally": _tally,
    "reading": _reading,
    "logger": _logger,
    "weight": _weight,
    "ice point": _ice_point,
    "done": _done,
    "explained": _explained,
    "action": _action,
    "correction": _correction,
    "note": _note,
    **DESK_CHECKS,
}
