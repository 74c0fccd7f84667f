"""What the journal says about duties: done, set otherwise, added; and writing it there."""

from __future__ import annotations

import datetime as dt
import re
import uuid
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from pinfeather import clock
from pinfeather.actions.day.entry_fields import text_in
from pinfeather.actions.farm import farm
from pinfeather.errors import InputError, InputFaultsError, RecordNotFoundError
from pinfeather.records import journal, models, proofs
from pinfeather.records.proofs import ProofView
from pinfeather.records.writing import writing
from pinfeather.rules.duties import UNITS
from pinfeather.words import gettext as _

KIND: Final = "duty"
_WHOLE: Final = re.compile(r"[0-9]{1,5}", re.ASCII)
_LONGEST_NOTE: Final = 400
_LONGEST_TITLE: Final = 80
_MOST_PROOFS: Final = 6
_MOST_NOTICE_D: Final = 366
_EARLIEST: Final = dt.date(1990, 1, 1)
_FURTHEST_D: Final = 366 * 20


@dataclass(frozen=True, slots=True)
class Done:
    """A duty done, as it was written."""

    id: str
    code: str
    on: dt.date
    until: dt.date | None
    note: str
    who: str
    written_at: dt.datetime
    proofs: tuple[ProofView, ...]
    seq: int = 0
    """Its line in the journal."""


@dataclass(frozen=True, slots=True)
class Setting:
    """What the farm has set about a duty; a title where it is one of the farm's own."""

    title: str = ""
    count: int | None = None
    unit: str = "months"
    notice_d: int | None = None
    first_on: dt.date | None = None
    off: bool = False
    reason: str = ""
    seq: int = 0
    """Its line in the journal."""


@dataclass(frozen=True, slots=True)
class Book:
    """Everything the journal says about duties; the newest done first."""

    done: tuple[Done, ...]
    settings: Mapping[str, Setting]

    def of(self, code: str) -> tuple[Done, ...]:
        """Return when one duty was done, the newest first."""
        return tuple(one for one in self.done if one.code == code)


def read() -> Book:
    """Read the journal's entries about duties; what was taken back is left out."""
    rows = list(models.Entry.objects.filter(kind=KIND).order_by("seq"))
    gone = set(
        models.Entry.objects.filter(
            kind="correction", day__isnull=True, payload__of__in=[row.client_id for row in rows]
        ).values_list("payload__of", flat=True)
    )
    rows = [row for row in rows if row.client_id not in gone]
    digests = {str(d) for row in rows for d in row.payload.get("proofs", ())}
    known = proofs.views(sorted(digests))
    settings: dict[str, Setting] = {}
    done = []
    for row in rows:
        kept = row.payload
        code = str(kept["duty"])
        if kept["act"] != "done":
            settings[code] = _setting(kept, row.seq)
            continue
        papers = tuple(known[d] for d in kept.get("proofs", ()) if d in known)
        done.append(
            Done(
                row.client_id,
                code,
                dt.date.fromisoformat(kept["on"]),
                _date(kept.get("until")),
                str(kept.get("note", "")),
                row.who,
                row.device_time,
                papers,
                row.seq,
            )
        )
    return Book(tuple(sorted(done, key=lambda d: (d.on, d.seq), reverse=True)), settings)


def _setting(kept: Mapping[str, Any], seq: int) -> Setting:
    return Setting(
        title=str(kept.get("title", "")),
        count=kept.get("count"),
        unit=str(kept.get("unit", "months")),
        notice_d=kept.get("notice_d"),
        first_on=_date(kept.get("first_on")),
        off=bool(kept.get("off")),
        reason=str(kept.get("reason", "")),
        seq=seq,
    )


def _date(text: object) -> dt.date | None:
    return dt.date.fromisoformat(str(text)) if text else None


def mark_done(
    code: str,
    typed: Mapping[str, Any],
    *,
    files: Sequence[tuple[str, bytes]] = (),
    who: str,
    now: dt.datetime,
    client_id: str = "",
) -> None:
    """Write down that a duty was done, with the photos or papers that show it.

    Raises
    ------
    InputFaultsError
        With every fault; nothing is kept then.
    StoreError
        If the store cannot be written.
    """
    faults: list[InputError] = []
    on, until = _dates(typed, faults)
    _look_at(files, faults)
    if not who.strip():
        faults.append(InputError("who", who, _("Say who did it.")))
    note = text_in(typed, "note", longest=_LONGEST_NOTE)
    if faults:
        raise InputFaultsError(faults)
    with writing():
        kept = [proofs.keep(name, raw, who=who, now=now).sha256 for name, raw in files]
        payload = {
            "act": "done",
            "duty": code,
            "on": on.isoformat(),
            "until": until.isoformat() if until else "",
            "note": note,
            "proofs": list(dict.fromkeys(kept)),
        }
        journal.append_from_page(KIND, payload, client_id=_id(client_id), who=who, at=now)
        if code == "water-test":
            for row in models.Farm.objects.all():
                if row.water_test is None or row.water_test < on:
                    row.water_test = on
                    row.save()


def _dates(typed: Mapping[str, Any], faults: list[InputError]) -> tuple[dt.date, dt.date | None]:
    today = clock.today(farm().zone)
    on = date_in(typed, "on", faults) or today
    until = date_in(typed, "until", faults)
    if not typed.get("on"):
        faults.append(InputError("on", "", _("Write the date it was done.")))
    elif on > today:
        faults.append(InputError("on", on, _("That day has not come yet.")))
    if until is not None and until < on:
        faults.append(InputError("until", until, _("That is before it was done.")))
    return on, until


def _look_at(files: Sequence[tuple[str, bytes]], faults: list[InputError]) -> None:
    if len(files) > _MOST_PROOFS:
        faults.append(
            InputError("proof", len(files), _("At most {n} files at once.").format(n=_MOST_PROOFS))
        )
    for _name, raw in files[:_MOST_PROOFS]:
        try:
            proofs.recognised(raw)
        except InputError as fault:
            faults.append(fault)


def set_otherwise(
    code: str,
    typed: Mapping[str, Any],
    *,
    who: str,
    now: dt.datetime,
    title: str = "",
    known: Sequence[InputError] = (),
) -> None:
    """Set a duty's interval, notice and first date, or say that it is not this farm's.

    What is left empty stays with the rules. Faults that are ``known`` already are raised with the
    others.

    Raises
    ------
    InputFaultsError
        With every fault.
    """
    faults = list(known)
    off = bool(typed.get("off"))
    count = _whole(typed, "count", faults)
    notice_d = _whole(typed, "notice_d", faults)
    unit = str(typed.get("unit", "months"))
    first_on = date_in(typed, "first_on", faults)
    reason = text_in(typed, "reason", longest=_LONGEST_NOTE)
    if unit not in UNITS:
        faults.append(InputError("unit", unit, _("Choose days or months.")))
    most = 120 if unit == "months" else 3_660
    if count is not None and count > most:
        faults.append(InputError("count", count, _("Between 0 and {n}.").format(n=most)))
    if notice_d is not None and notice_d > _MOST_NOTICE_D:
        faults.append(
            InputError("notice_d", notice_d, _("Between 0 and {n}.").format(n=_MOST_NOTICE_D))
        )
    if not reason:
        faults.append(InputError("reason", reason, _("Write why, or who says so.")))
    if faults:
        raise InputFaultsError(faults)
    payload = {
        "act": "new" if title else "set",
        "duty": code,
        "title": title,
        "count": count,
        "unit": unit,
        "notice_d": notice_d,
        "first_on": first_on.isoformat() if first_on else "",
        "off": off,
        "reason": reason,
    }
    journal.append_from_page(KIND, payload, client_id=_id(""), who=who, at=now)


def add_own(typed: Mapping[str, Any], *, who: str, now: dt.datetime) -> str:
    """Add a duty of the farm's own; return its code.

    Raises
    ------
    InputFaultsError
        With every fault.
    """
    title = text_in(typed, "title", longest=_LONGEST_TITLE)
    code = f"own-{uuid.uuid4().hex[:10]}"
    given = {**typed, "reason": typed.get("reason") or _("The farm’s own")}
    faults = [] if title else [InputError("title", title, _("Write what has to be done."))]
    if not typed.get("first_on"):
        faults.append(InputError("first_on", "", _("Write when it is due the first time.")))
    set_otherwise(code, given, who=who, now=now, title=title, known=faults)
    return code


def take_back(ident: str, *, reason: str, who: str, now: dt.datetime) -> None:
    """Take a line back; it stays on record with the reason.

    Raises
    ------
    InputError
        If no reason is given.
    RecordNotFoundError
        If there is no such line.
    """
    if not models.Entry.objects.filter(client_id=ident, kind=KIND).exists():
        raise RecordNotFoundError(_("There is no such entry to take back."))
    if not reason.strip():
        raise InputError("reason", reason, _("Write why it is taken back."))
    payload = {"of": ident, "reason": reason.strip()[:_LONGEST_NOTE]}
    journal.append_from_page("correction", payload, client_id=_id(""), who=who, at=now)


def date_in(typed: Mapping[str, Any], name: str, faults: list[InputError]) -> dt.date | None:
    """Read a date, or nothing; note a fault where it is none, or far off."""
    text = str(typed.get(name) or "").strip()
    if not text:
        return None
    try:
        date = dt.date.fromisoformat(text)
    except ValueError:
        faults.append(InputError(name, text, _("Write a date, such as 2026-04-15.")))
        return None
    furthest = clock.today(farm().zone) + dt.timedelta(days=_FURTHEST_D)
    if not _EARLIEST <= date <= furthest:
        faults.append(InputError(name, text, _("That date is too far away.")))
        return None
    return date


def _whole(typed: Mapping[str, Any], name: str, faults: list[InputError]) -> int | None:
    text = str(typed.get(name) or "").strip()
    if not text:
        return None
    if not _WHOLE.fullmatch(text):
        faults.append(InputError(name, text, _("Write a whole number.")))
        return None
    return int(text)


def _id(client_id: str) -> str:
    return client_id if client_id.isalnum() and len(client_id) <= 40 else uuid.uuid4().hex  # noqa: PLR2004 - the column
