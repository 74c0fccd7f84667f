"""What is written about cleaning: one kind of line in the journal; corrections give reasons."""

from __future__ import annotations

import datetime as dt
import re
import uuid
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from pinfeather import clock, quantity
from pinfeather.actions.day.entry_fields import text_in
from pinfeather.actions.farm import farm
from pinfeather.errors import (
    InputError,
    InputFaultsError,
    RecordConflictError,
    RecordNotFoundError,
)
from pinfeather.hygiene.corrective_action import corrective_action, parts
from pinfeather.hygiene.sanitary_plan import WHENS
from pinfeather.records import journal, models
from pinfeather.records.writing import writing
from pinfeather.units import Dimension, to_si
from pinfeather.words import gettext as _

ENTRY_KIND: Final = "sanitary"
DONE: Final = "done"
NOT_RIGHT: Final = "not right"
PLAN_ACTS: Final = ("setup", "step", "added")
SHEET_ACTS: Final = ("check", "strip", "room", "sign", "fix")
CODE: Final = re.compile(r"[a-z0-9 ]{1,40}")
_ID: Final = re.compile(r"[A-Za-z0-9]{8,64}")
_LONG: Final = 1000
_COLDEST_DEGC: Final = to_si(0, "F", "temperature")
_WARMEST_DEGC: Final = to_si(120, "F", "temperature")
_STRONGEST: Final = to_si(2000, "ppm", "strength")
_DAYS_BACK: Final = 400


@dataclass(frozen=True, slots=True)
class Line:
    """One line about cleaning."""

    id: str
    seq: int
    act: str
    kept: Mapping[str, Any]
    who: str
    at: dt.datetime
    struck: str = ""
    struck_by: str = ""
    instead: str = ""

    @property
    def on(self) -> dt.date:
        """The day whose sheet it stands on."""
        return dt.date.fromisoformat(self.kept["on"])

    def text(self, name: str) -> str:
        """Return a part of it, empty where there is none."""
        return str(self.kept.get(name, ""))


def lines(
    *, on: dt.date | None = None, acts: tuple[str, ...] = (), until_seq: int | None = None
) -> tuple[Line, ...]:
    """Return what was written, the oldest first, lines struck out in their place.

    With ``until_seq`` as the journal stood at that place, such as a day's seal.
    """
    rows = models.Entry.objects.filter(kind=ENTRY_KIND).order_by("seq")
    if until_seq is not None:
        rows = rows.filter(seq__lte=until_seq)
    if on is not None:
        rows = rows.filter(payload__on=on.isoformat())
    if acts:
        rows = rows.filter(payload__act__in=[*acts, "struck"])
    found = list(rows)
    strikes = {row.payload["of"]: row for row in found if row.payload["act"] == "struck"}
    made = []
    for row in found:
        if row.payload["act"] == "struck":
            continue
        strike = strikes.get(row.client_id)
        made.append(
            Line(
                row.client_id,
                row.seq,
                row.payload["act"],
                row.payload,
                row.who,
                row.device_time,
                struck=str(strike.payload["reason"]) if strike else "",
                struck_by=strike.who if strike else "",
                instead=str(strike.payload.get("instead", "")) if strike else "",
            )
        )
    return tuple(made)


def line(ident: str) -> Line:
    """Return one line.

    Raises
    ------
    RecordNotFoundError
        If there is none.
    """
    row = models.Entry.objects.filter(kind=ENTRY_KIND, client_id=ident).first()
    if row is not None and row.payload["act"] != "struck":
        for one in lines(on=dt.date.fromisoformat(row.payload["on"])):
            if one.id == ident:
                return one
    raise RecordNotFoundError(_("There is no such line about cleaning."))


def write(
    act: str,
    typed: Mapping[str, Any],
    *,
    on: dt.date,
    who: str,
    client_id: str = "",
    now: dt.datetime | None = None,
) -> str:
    """Write something about cleaning; return the line's id.

    The same ``client_id`` is written once, however often a form is sent.

    Raises
    ------
    InputFaultsError
        With every fault in what was typed.
    StoreError
        If the store cannot be written.
    """
    now = now or clock.now()
    kept = _payload(act, typed, on=on, who=who, now=now)
    client_id = client_id if _ID.fullmatch(client_id) else uuid.uuid4().hex
    journal.append_from_page(ENTRY_KIND, kept, client_id=client_id, who=who, at=now)
    return client_id


def write_all(
    asked: Sequence[tuple[str, Mapping[str, Any]]],
    *,
    on: dt.date,
    who: str,
    once: str,
    now: dt.datetime | None = None,
) -> None:
    """Write several lines of one form, all of them or none.

    Raises
    ------
    InputFaultsError
        With every fault in any of them.
    StoreError
        If the store cannot be written.
    """
    now = now or clock.now()
    faults: dict[str, InputError] = {}
    for act, typed in asked:
        try:
            _payload(act, typed, on=on, who=who, now=now)
        except InputFaultsError as error:
            faults |= {fault.name: fault for fault in error.faults}
    if faults:
        raise InputFaultsError(list(faults.values()))
    with writing():
        for act, typed in asked:
            client_id = f"{once}{act}" if once.isalnum() else ""
            write(act, typed, on=on, who=who, client_id=client_id, now=now)


def strike_out(
    ident: str, *, reason: str, who: str, instead: str = "", now: dt.datetime | None = None
) -> None:
    """Strike out a line that was wrong; both stay in the journal.

    Raises
    ------
    InputFaultsError
        If no reason or nobody is given.
    RecordNotFoundError
        If there is no such line.
    RecordConflictError
        If it was struck out before.
    """
    with writing():
        found = line(ident)
        if found.struck:
            raise RecordConflictError(_("This line was struck out before."))
        if faults := _reason_faults(reason, who):
            raise InputFaultsError(faults)
        kept = {
            "act": "struck",
            "on": found.kept["on"],
            "of": ident,
            "reason": text_in({"reason": reason}, "reason"),
            "instead": instead,
        }
        journal.append_from_page(
            ENTRY_KIND, kept, client_id=uuid.uuid4().hex, who=who, at=now or clock.now()
        )


def correct(
    ident: str,
    typed: Mapping[str, Any],
    *,
    reason: str,
    who: str,
    client_id: str = "",
    now: dt.datetime | None = None,
) -> str:
    """Write the right line and strike out the wrong one, in one step; return the new id.

    Raises
    ------
    InputFaultsError
        With every fault, the reason's among them.
    RecordNotFoundError
        If there is no such line.
    RecordConflictError
        If it was struck out before.
    """
    found = line(ident)
    now = now or clock.now()
    faults = _reason_faults(reason, who)
    try:
        _payload(found.act, typed, on=found.on, who=who, now=now)
    except InputFaultsError as error:
        faults = [*(f for f in error.faults if f.name != "who"), *faults]
    if faults:
        raise InputFaultsError(faults)
    new = client_id if _ID.fullmatch(client_id) else uuid.uuid4().hex
    with writing():
        strike_out(ident, reason=reason, who=who, instead=new, now=now)
        return write(found.act, typed, on=found.on, who=who, client_id=new, now=now)


def _reason_faults(reason: str, who: str) -> list[InputError]:
    faults = []
    if not text_in({"reason": reason}, "reason"):
        faults.append(InputError("reason", reason, _("Write what was wrong.")))
    if not who.strip():
        faults.append(InputError("who", who, _("Choose who you are.")))
    return faults


def _payload(
    act: str, typed: Mapping[str, Any], *, on: dt.date, who: str, now: dt.datetime
) -> dict[str, Any]:
    faults: list[InputError] = []
    if act not in _READ:
        faults.append(InputError("act", act, _("That is no line about cleaning.")))
    if not who.strip():
        faults.append(InputError("who", who, _("Choose who you are.")))
    today = now.astimezone(clock.zone(farm().zone)).date()
    if not today - dt.timedelta(days=_DAYS_BACK) <= on <= today:
        faults.append(InputError("on", on, _("A sheet is for today or a day gone by.")))
    kept: dict[str, Any] = {}
    if act in _READ:
        try:
            kept = _READ[act](typed)
        except InputFaultsError as error:
            faults += error.faults
        except InputError as fault:
            faults.append(fault)
    if faults:
        raise InputFaultsError(faults)
    return {"act": act, "on": on.isoformat(), **kept}


def _words(typed: Mapping[str, Any], *names: str, needed: tuple[str, ...] = ()) -> dict[str, Any]:
    kept, faults = {}, []
    for name in names:
        try:
            kept[name] = text_in(typed, name, needed=name in needed, longest=_LONG)
        except InputError as fault:
            faults.append(fault)
    if faults:
        raise InputFaultsError(faults)
    return kept


def _check(typed: Mapping[str, Any]) -> dict[str, Any]:
    kept = _words(typed, "step", "what", "note", needed=("step", "what"))
    result = typed.get("result")
    if result not in (DONE, NOT_RIGHT):
        raise InputError("result", result, _("Say whether it is done or not right."))
    return {**kept, "result": result}


def _measured(
    typed: Mapping[str, Any], dimension: Dimension, name: str, *, low: float, high: float
) -> dict[str, Any]:
    value = quantity.parse(str(typed.get(name, "")), dimension, name=name)
    if not low <= value.si <= high:
        raise InputError(
            name,
            value.written,
            _("{value} cannot be right. Read it again.").format(value=value.written),
        )
    return {"written": value.written, "unit": value.unit, "si": value.si}


def _strip(typed: Mapping[str, Any]) -> dict[str, Any]:
    kept = _measured(typed, "strength", "strip", low=0, high=_STRONGEST)
    surface = typed.get("surface")
    return {
        **kept,
        **_words(typed, "chemical", "note", needed=("chemical",)),
        "surface": "fixed" if surface == "fixed" else "dipped",
    }


def _room(typed: Mapping[str, Any]) -> dict[str, Any]:
    return _measured(typed, "temperature", "room", low=_COLDEST_DEGC, high=_WARMEST_DEGC)


def _sign(typed: Mapping[str, Any]) -> dict[str, Any]:
    return _words(typed, "note")


def _fix(typed: Mapping[str, Any]) -> dict[str, Any]:
    faults: list[InputError] = []
    kept: dict[str, Any] = {}
    words = {part.code: text_in(typed, part.code, longest=_LONG) for part in parts()}
    try:
        kept = _words(typed, "of", "what", "note", "put_right", needed=("what", "note"))
    except InputFaultsError as error:
        faults += error.faults
    try:
        corrective_action(words)
    except InputFaultsError as error:
        faults += error.faults
    if faults:
        raise InputFaultsError(faults)
    return {**kept, **words}


def _setup(typed: Mapping[str, Any]) -> dict[str, Any]:
    faults, kept = [], _words(typed, "chemical", "room", needed=("chemical",))
    asked: tuple[tuple[str, Dimension, bool], ...] = (
        ("product", "strength", False),
        ("target", "strength", True),
        ("volume", "volume", True),
        ("room", "temperature", False),
    )
    for name, dimension, needed in asked:
        text = text_in(typed, name)
        kept[name] = text
        if text or needed:
            try:
                quantity.parse(text, dimension, name=name)
            except InputError as fault:
                faults.append(fault)
    if faults:
        raise InputFaultsError(faults)
    return kept


def _step(typed: Mapping[str, Any]) -> dict[str, Any]:
    kept = _words(typed, "step", "what", "how", "who_does", "often", "left_out", needed=("step",))
    if not CODE.fullmatch(kept["step"]):
        raise InputError("step", kept["step"], _("There is no such step."))
    if typed.get("leave") and not kept["left_out"]:
        raise InputError("left_out", "", _("Write why this shop does not need the step."))
    return kept


def _added(typed: Mapping[str, Any]) -> dict[str, Any]:
    kept = _words(
        typed, "step", "what", "how", "who_does", "often", needed=("step", "what", "how", "often")
    )
    when = typed.get("when")
    if when not in WHENS:
        raise InputError("when", when, _("Say whether it is before, during or after the work."))
    return {**kept, "when": when}


_READ: Final[Mapping[str, Callable[[Mapping[str, Any]], dict[str, Any]]]] = {
    "check": _check,
    "strip": _strip,
    "room": _room,
    "sign": _sign,
    "fix": _fix,
    "setup": _setup,
    "step": _step,
    "added": _added,
}
