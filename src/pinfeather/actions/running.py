"""Running a day: taking entries from devices and telling everybody how it stands."""

from __future__ import annotations

import datetime as dt
import json
import re
import unicodedata
import uuid
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from pinfeather import clock, quantity
from pinfeather.day.events import CAUSES, COUNTED, Event, Progress, progress
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

_MOST_BIRDS_A_TAP = 200
_DECIMAL = re.compile(r"[0-9]{1,7}(\.[0-9]{1,4})?")
_WHOLE = re.compile(r"[+-]?[0-9]{1,9}")
_LONGEST_ID = 40
_CALENDAR = (1970, 2100)
"""Years a device's clock may show; one that was never set starts at 1970."""
_MOST_SKEW_S = 150 * 366 * 86400.0


@dataclass(frozen=True, slots=True)
class Received:
    """What a device is told about one entry it sent."""

    id: str
    seq: int
    known: bool
    problem: str = ""


def events(day_id: int, *, sealed_seq: int | None = None) -> tuple[Event, ...]:
    """Return a day's journal entries, times moved onto the farm computer's clock."""
    rows = models.Entry.objects.filter(day_id=day_id).order_by("seq")
    return tuple(
        Event(
            seq=row.seq,
            client_id=row.client_id,
            kind=row.kind,
            payload=row.payload,
            who=row.who,
            at=row.device_time + dt.timedelta(seconds=row.skew_s),
            late=sealed_seq is not None and row.seq > sealed_seq,
        )
        for row in rows
    )


def day_progress(day_id: int) -> Progress:
    """Return how a day stands."""
    return progress(events(day_id))


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
        Each with ``id``, ``kind``, ``payload``, ``who`` and ``at`` (the device's time).
    device : str
        The device's own id.
    sent_at : datetime
        The device's clock when it sent; the difference to ``now`` is kept as its skew.
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
        try:
            good.append(_checked(entry, device=device, skew_s=skew_s))
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


def _text(
    payload: Mapping[str, Any], name: str, *, needed: bool = False, longest: int = 400
) -> str:
    given = payload.get(name)
    if given is not None and not isinstance(given, str | int | float):
        raise InputError(name, given, _("Write plain text here."))
    text = "" if given is None else str(given)
    value = "".join(letter for letter in text if _writable(letter)).strip()[:longest]
    if needed and not value:
        raise InputError(name, value, _("Write something here."))
    return value


def _writable(letter: str) -> bool:
    """Tell letters, signs and line ends from halves of a letter and unseen controls."""
    return letter in "\n\t" or unicodedata.category(letter) not in {"Cc", "Cs"}


def _birds(payload: Mapping[str, Any], *, low: int = 1) -> int:
    birds = _number(payload.get("birds", 1), "birds", _("Write a whole number of birds."))
    if not low <= birds <= _MOST_BIRDS_A_TAP:
        raise InputError(
            "birds",
            birds,
            _("Between {low} and {high} birds at once.").format(low=low, high=_MOST_BIRDS_A_TAP),
        )
    return birds


def _number(value: object, name: str, sentence: str) -> int:
    """Read a whole number, written or as a number."""
    if isinstance(value, str) and _WHOLE.fullmatch(value.strip()):
        return int(value)
    if isinstance(value, int) and not isinstance(value, bool):
        return value
    raise InputError(name, value, sentence)


def _decimal(payload: Mapping[str, Any], name: str, *, needed: bool = False) -> str:
    """Read a weight or an amount of money, kept as it was written."""
    value = _text(payload, name, needed=needed)
    if value and not _DECIMAL.fullmatch(value):
        raise InputError(name, value, _("Write a plain number, such as 4.52."))
    return value


def _tally(payload: Mapping[str, Any]) -> dict[str, Any]:
    station = str(payload.get("station"))
    if station not in COUNTED or station == "bag":
        raise InputError(
            "station", station, _("Birds are not counted at “{station}”.").format(station=station)
        )
    return {
        "station": station,
        "birds": _birds(payload),
        "place": _text(payload, "place"),
        "lot": _text(payload, "lot"),
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
        "place": _text(payload, "place"),
        "written": value.written,
        "unit": value.unit,
        "si": value.si,
        "instrument": _text(payload, "instrument", needed=what != "strip"),
        "note": _text(payload, "note"),
    }
    if what == "bird" and _text(payload, "mass"):
        reading |= _mass(_text(payload, "mass"))
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
        "instrument": _text(payload, "instrument", needed=True),
        "written": value.written,
        "unit": value.unit,
        "si": value.si,
    }


def _done(payload: Mapping[str, Any]) -> dict[str, Any]:
    return {
        "task": _text(payload, "task", needed=True),
        "place": _text(payload, "place"),
        "note": _text(payload, "note"),
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
        "birds": _birds(payload),
        "note": _text(payload, "note", needed=cause == "lost"),
    }


def _package(payload: Mapping[str, Any]) -> dict[str, Any]:
    return {
        "number": _number(payload.get("number"), "number", _("A package needs its number.")),
        "lot": _text(payload, "lot", needed=True),
        "tank": _text(payload, "tank"),
        "product": _text(payload, "product", needed=True),
        "gross": _text(payload, "gross", needed=True),
        "tare": _text(payload, "tare", needed=True),
        "net_lb": _decimal(payload, "net_lb", needed=True),
        "price_per_lb": _decimal(payload, "price_per_lb"),
        "total": _decimal(payload, "total"),
        "birds": _birds(payload, low=0),
    }


def _action(payload: Mapping[str, Any]) -> dict[str, Any]:
    return {
        "finding": _text(payload, "finding", needed=True),
        "where": _text(payload, "where"),
        "text": _text(payload, "text", needed=True),
    }


def _correction(payload: Mapping[str, Any]) -> dict[str, Any]:
    return {"of": _text(payload, "of", needed=True), "reason": _text(payload, "reason")}


def _note(payload: Mapping[str, Any]) -> dict[str, Any]:
    return {"text": _text(payload, "text", needed=True)}


_CHECKS = {
    "tally": _tally,
    "reading": _reading,
    "logger": _logger,
    "ice point": _ice_point,
    "done": _done,
    "explained": _explained,
    "package": _package,
    "action": _action,
    "correction": _correction,
    "note": _note,
}
