"""Logger files: looked at first, then kept in the store byte for byte, and read from there."""

from __future__ import annotations

import datetime as dt
import hashlib
import json
import secrets
import zoneinfo
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from functools import lru_cache
from typing import Any, Final

from django.core.cache import cache

from pinfeather import clock
from pinfeather.actions.day import days, running
from pinfeather.actions.farm import farm, instruments
from pinfeather.day.events import IcePoint, LoggerNote
from pinfeather.day.logged import (
    Logged,
    doubts,
    growth_findings,
    judged,
    logged,
    logger_sentence,
)
from pinfeather.day.logger_guess import Guess, guess, mapping_from
from pinfeather.errors import InputError, RecordConflictError
from pinfeather.finding import Finding, Severity, by_severity
from pinfeather.heat.logger import Judged, Log, read_log
from pinfeather.heat.logger import Mapping as Columns
from pinfeather.records import models
from pinfeather.records.writing import writing
from pinfeather.rules.profile import load as load_profile
from pinfeather.words import gettext as _

MOST_BYTES: Final = 20 * 1024 * 1024
_WAITS_S: Final = 3600
_LONGEST_NAME: Final = 120
_PATIENCE: Final = dt.timedelta(minutes=2)
_WHOLE_DAY: Final = dt.timedelta(hours=36)
WHAT: Final = ("bird", "bath")


@dataclass(frozen=True, slots=True)
class Held:
    """A sent file that nobody has kept yet."""

    token: str
    name: str
    raw: bytes


@dataclass(frozen=True, slots=True, eq=False)
class Preview:
    """What a file would say, before it is kept."""

    curve: Logged
    mapping: Mapping[str, Any]
    rows: int
    limit: str
    judged: Judged
    sentence: str
    findings: tuple[Finding, ...]
    fit_to_keep: bool


def hold(name: str, raw: bytes) -> str:
    """Keep a sent file in memory for an hour and return the word it is found by.

    Raises
    ------
    InputError
        If it is empty or too large, or no text with columns.
    """
    if not raw:
        raise InputError("file", name, _("Choose the logger's file."))
    if len(raw) > MOST_BYTES:
        raise InputError("file", name, _("The file is larger than 20 MB. Export a shorter time."))
    guess(raw, zone="UTC")
    token = secrets.token_hex(16)
    cache.set(f"logger-{token}", (_plain_name(name), raw), _WAITS_S)
    return token


def _plain_name(name: str) -> str:
    last = name.replace("\\", "/").rsplit("/", 1)[-1]
    return "".join(c for c in last if c.isprintable())[:_LONGEST_NAME] or _("logger file")


def held(token: str) -> Held:
    """Return a sent file.

    Raises
    ------
    InputError
        If it has been waiting too long, or the program was started again meanwhile.
    """
    found = cache.get(f"logger-{token}") if token.isalnum() else None
    if found is None:
        raise InputError("file", token, _("The file is not here any more. Choose it again."))
    return Held(token, *found)


def first_look(token: str) -> Guess:
    """Return the first rows of a sent file and what its columns seem to be.

    Raises
    ------
    InputError
        If the file is gone.
    """
    return guess(held(token).raw, zone=farm().zone)


def preview(
    day_id: int,
    token: str,
    answers: Mapping[str, str],
    *,
    ice_points: Sequence[IcePoint],
    now: dt.datetime,
) -> Preview:
    """Read a sent file as somebody says it is to be read, and judge it; nothing is kept yet.

    Raises
    ------
    InputError
        If something was not chosen, or the file does not fit what was chosen.
    RecordNotFoundError
        If there is no such day.
    """
    sent, day = held(token), days.day(day_id)
    places = [tank.name for tank in day.request.equipment.tanks]
    thermometers = {one.name: one.accuracy_K for one in instruments("thermometer")}
    what, place = answers.get("what", ""), answers.get("place", "")
    instrument = answers.get("instrument", "")
    if what not in WHAT:
        raise InputError("what", what, _("Say whether the probe was in a bird or in the water."))
    if place not in places:
        raise InputError("place", place, _("Choose the tank."))
    if instrument not in thermometers:
        raise InputError(
            "instrument", instrument, _("Choose the logger. It is listed under Thermometers.")
        )
    columns = mapping_from(answers)
    log = _read(sent.raw, columns)
    since, until = _window(day, answers)
    note = LoggerNote(
        id=token, sha256=hashlib.sha256(sent.raw).hexdigest(), file=0, what=what, place=place,
        instrument=instrument, name=sent.name, who="", at=now,
    )  # fmt: skip
    curve = logged(
        note,
        log,
        unit=columns.unit,
        ice_points=ice_points,
        accuracy_K=thermometers[instrument],
        since=since,
        until=until,
    )
    target = load_profile(day.request.profile).chill.target
    future = _future(log, now=now, zone=clock.zone(day.zone))
    return Preview(
        curve=curve,
        mapping={**asdict(columns), "since": since.isoformat(), "until": until.isoformat()},
        rows=len(log.times_s),
        limit=str(target),
        judged=judged(curve, limit_degC=target.si),
        sentence=logger_sentence(
            curve, limit=str(target), limit_degC=target.si, zone=clock.zone(day.zone)
        ),
        findings=by_severity(
            (
                *future,
                *log.findings,
                *doubts(curve, target_degC=target.si),
                *growth_findings(curve),
            )
        ),
        fit_to_keep=not future,
    )


def _read(raw: bytes, columns: Columns) -> Log:
    try:
        return read_log(raw, mapping=columns)
    except InputError as fault:
        raise InputError(fault.name.rsplit(".", 1)[-1], fault.value, fault.problem) from fault


def _window(day: days.DayView, answers: Mapping[str, str]) -> tuple[dt.datetime, dt.datetime]:
    """Return from when to when the probe was in place; the day itself where nobody said."""
    zone = clock.zone(day.zone)
    midnight = dt.datetime.combine(day.date, dt.time(), tzinfo=zone)

    def moment(name: str, default: dt.datetime) -> dt.datetime:
        text = answers.get(name, "").strip()
        if not text:
            return default
        try:
            at = dt.time.fromisoformat(text.rjust(5, "0"))
        except ValueError as error:
            raise InputError(
                name, text, _("“{value}” is not a time like 09:00.").format(value=text)
            ) from error
        return dt.datetime.combine(day.date, at.replace(tzinfo=None), tzinfo=zone)

    since, until = moment("since", midnight), moment("until", midnight + _WHOLE_DAY)
    if until <= since:
        until += dt.timedelta(days=1)
    return since, until


def _future(log: Log, *, now: dt.datetime, zone: zoneinfo.ZoneInfo) -> tuple[Finding, ...]:
    if log.times_s[-1] <= (now + _PATIENCE).timestamp():
        return ()
    last = dt.datetime.fromtimestamp(float(log.times_s[-1]), zone)
    return (
        Finding(
            "logger.future",
            Severity.STOP,
            _("The last reading is from {when}, which has not come yet.").format(
                when=f"{last:%Y-%m-%d %H:%M}"
            ),
            _("The logger's clock, its time zone or the order of the date is wrong."),
        ),
    )


def keep(
    day_id: int,
    token: str,
    answers: Mapping[str, str],
    *,
    ice_points: Sequence[IcePoint],
    who: str,
    now: dt.datetime,
) -> Preview:
    """Keep a sent file in the store and write it into the day's journal.

    Raises
    ------
    InputError
        As :func:`preview`, or if it was kept before.
    RecordConflictError
        If the day is closed.
    StoreError
        If the store cannot be written.
    """
    seen = preview(day_id, token, answers, ice_points=ice_points, now=now)
    if not seen.fit_to_keep:
        raise InputError("zone", answers.get("zone"), seen.findings[0].sentence)
    note, sent = seen.curve.note, held(token)
    if models.Day.objects.filter(pk=day_id, status=models.Day.Status.CLOSED).exists():
        raise RecordConflictError(_("This day is closed; a logger file can no longer join it."))
    if any(
        (one.sha256, one.what, one.place) == (note.sha256, note.what, note.place)
        for one in running.day_progress(day_id).loggers
    ):
        raise InputError("file", sent.name, _("This file is kept for this tank already."))
    with writing():
        row = models.LoggerFile.objects.create(
            day_id=day_id,
            name=sent.name,
            raw=sent.raw,
            sha256=note.sha256,
            mapping=dict(seen.mapping),
            what=note.what,
            place=note.place,
            instrument=note.instrument,
            who=who[:40],
            received_at=now,
        )
        running.write(
            "logger",
            {"file": row.pk, "sha256": note.sha256, "rows": len(seen.curve.times_s)},
            day_id=day_id,
            who=who,
        )
    cache.delete(f"logger-{token}")
    return seen


def take_back(day_id: int, of: str, *, reason: str, who: str) -> None:
    """Take a kept file out of the day's judgement; the file and the reason stay on record.

    Raises
    ------
    InputError
        If there is no such logger on this day, or no reason.
    RecordConflictError
        If the day is closed.
    """
    if of not in {one.id for one in running.day_progress(day_id).loggers}:
        raise InputError("of", of, _("There is no such logger file on this day."))
    if not reason.strip():
        raise InputError("reason", reason, _("Write why it is taken back."))
    if models.Day.objects.filter(pk=day_id, status=models.Day.Status.CLOSED).exists():
        raise RecordConflictError(_("This day is closed; its logger files stay with it."))
    running.write("correction", {"of": of, "reason": reason}, day_id=day_id, who=who)


def kept(
    notes: Sequence[LoggerNote],
    *,
    day_id: int,
    ice_points: Sequence[IcePoint],
    accuracies_K: Mapping[str, float],
    worst_K: float,
) -> tuple[Logged, ...]:
    """Return the kept curves of a day, corrected by the ice checks on record."""
    curves = []
    for note in notes:
        mapping = (
            models.LoggerFile.objects.filter(pk=note.file, day_id=day_id, sha256=note.sha256)
            .values_list("mapping", flat=True)
            .first()
        )
        if mapping is None:
            continue
        mine = tuple(point for point in ice_points if point.instrument == note.instrument)
        accuracy_K = accuracies_K.get(note.instrument, worst_K)
        curves.append(
            _curve(note, json.dumps(mapping, sort_keys=True), mine, accuracy_K=accuracy_K)
        )
    return tuple(curves)


@lru_cache(maxsize=12)
def _curve(
    note: LoggerNote, mapping_text: str, ice_points: tuple[IcePoint, ...], *, accuracy_K: float
) -> Logged:
    """Correct a kept curve; until another ice check is made, once is enough."""
    mapping = json.loads(mapping_text)
    return logged(
        note,
        _log(note.file, note.sha256, mapping_text),
        unit=mapping["unit"],
        ice_points=ice_points,
        accuracy_K=accuracy_K,
        since=dt.datetime.fromisoformat(mapping["since"]),
        until=dt.datetime.fromisoformat(mapping["until"]),
    )


@lru_cache(maxsize=4)
def _log(file: int, _sha256: str, mapping_text: str) -> Log:
    """Read a kept file; it never changes, so once is enough."""
    mapping = json.loads(mapping_text)
    raw = models.LoggerFile.objects.values_list("raw", flat=True).get(pk=file)
    names = ("time", "value", "unit", "zone", "order", "clock", "separator", "point")
    return read_log(bytes(raw), mapping=Columns(**{name: mapping[name] for name in names}))
