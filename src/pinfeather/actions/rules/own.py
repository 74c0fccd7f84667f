"""The farm's own rules: changes of a profile in the journal, each undone by another entry."""

from __future__ import annotations

import datetime as dt
import re
import uuid
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final

from pinfeather import clock
from pinfeather.actions.day.entry_fields import text_in
from pinfeather.actions.farm import farm
from pinfeather.errors import InputError, InputFaultsError, RecordNotFoundError
from pinfeather.records import journal, models
from pinfeather.records.writing import writing
from pinfeather.rules.own import Edit, edit_faults, edited
from pinfeather.rules.profile import data, load
from pinfeather.rules.rows import ProfileRow, rows_of
from pinfeather.words import gettext as _

EDIT: Final = "rules edit"
UNDONE: Final = "correction"
PREFIX: Final = "own-"
_ID: Final = re.compile(r"[0-9a-z]{8,32}")
_FIELDS: Final = ("path", "written", "unit", "why", "source", "status", "in_force")
_LONGEST: Final = {"written": 600, "why": 300, "source": 300}


@dataclass(frozen=True, slots=True)
class Change:
    """One change as it was written, and whether it still holds."""

    id: str
    base: str
    edit: Edit
    at: dt.datetime
    undone: str
    """Why it was taken back; empty while it holds."""


def find(profile_id: str) -> Mapping[str, Any] | None:
    """Return the data of a farm's own rules, as they stood at one entry of the journal."""
    if not profile_id.startswith(PREFIX):
        return None
    entry = models.Entry.objects.filter(client_id=profile_id.removeprefix(PREFIX)).first()
    if entry is None or entry.kind not in (EDIT, UNDONE) or "base" not in entry.payload:
        return None
    base = str(entry.payload["base"])
    return edited(base, [c.edit for c in changes(base, until=entry.seq) if not c.undone])


def changes(base: str, *, until: int | None = None) -> tuple[Change, ...]:
    """Return the changes made to a profile, the first one first, up to a place in the journal."""
    rows = models.Entry.objects.filter(kind__in=(EDIT, UNDONE), day=None, payload__base=base)
    if until is not None:
        rows = rows.filter(seq__lte=until)
    found: dict[str, models.Entry] = {}
    undone: dict[str, str] = {}
    for row in rows.order_by("seq"):
        if row.kind == EDIT:
            found[row.client_id] = row
        else:
            undone[str(row.payload.get("of"))] = str(row.payload.get("reason") or "–")
    return tuple(_change(row, undone.get(ident, "")) for ident, row in found.items())


def _change(row: models.Entry, undone: str) -> Change:
    on = row.device_time.astimezone(clock.zone(farm().zone)).date()
    words = {name: str(row.payload.get(name, "")) for name in _FIELDS}
    edit = Edit(**words, who=row.who, on=on)
    return Change(row.client_id, str(row.payload["base"]), edit, row.device_time, undone)


def base_of(profile_id: str) -> str:
    """Return the packaged profile that lies below the farm's own, or the same."""
    return str(data(profile_id).get("extends", "")) if profile_id.startswith(PREFIX) else profile_id


def own_choices() -> list[tuple[str, str]]:
    """Return the farm's own rules as they stand, one for each profile with changes that hold."""
    newest: dict[str, str] = {}
    rows = models.Entry.objects.filter(kind__in=(EDIT, UNDONE), day=None, payload__has_key="base")
    for row in rows.order_by("seq"):
        newest[str(row.payload["base"])] = row.client_id
    return [
        (PREFIX + ident, load(PREFIX + ident).name)
        for base, ident in newest.items()
        if any(not change.undone for change in changes(base))
    ]


def row_at(profile_id: str, path: str) -> ProfileRow:
    """Return one number or wording of a profile.

    Raises
    ------
    RecordNotFoundError
        If there is none.
    """
    found = next((row for row in rows_of(profile_id) if row.path == path), None)
    if found is None:
        raise RecordNotFoundError(_("These rules have no such number."))
    return found


def change(typed: Mapping[str, str], *, who: str, client_id: str = "") -> str:
    """Keep a change of the rules in force; return the name of the farm's own rules.

    The same id sent twice changes once.

    Raises
    ------
    InputFaultsError
        With every fault, each beside its field.
    """
    now, home = clock.now(), farm()
    ident = client_id if _ID.fullmatch(client_id) else uuid.uuid4().hex
    if models.Entry.objects.filter(client_id=ident, kind=EDIT).exists():
        return PREFIX + ident
    words = {name: text_in(typed, name, longest=_LONGEST.get(name, 120)) for name in _FIELDS}
    edit = Edit(**words, who=who, on=clock.today(home.zone))
    base = base_of(home.profile)
    with writing():
        before = [one.edit for one in changes(base) if not one.undone]
        faults = edit_faults(base, before, edit)
        if faults:
            raise InputFaultsError(faults)
        journal.append_from_page(EDIT, {"base": base, **words}, client_id=ident, who=who, at=now)
        _in_force(PREFIX + ident)
    return PREFIX + ident


def undo(change_id: str, *, reason: str, who: str) -> None:
    """Take a change back, by another entry; without any left the packaged profile is in force.

    Raises
    ------
    InputFaultsError
        If there is no reason, or nobody says who.
    RecordNotFoundError
        If there is no such change that holds.
    """
    reason = text_in({"reason": reason}, "reason", longest=300)
    faults = [
        InputError(name, value, sentence)
        for name, value, sentence in (
            ("reason", reason, _("Write why it is taken back.")),
            ("who", who, _("Choose who takes it back.")),
        )
        if not value
    ]
    if faults:
        raise InputFaultsError(faults)
    with writing():
        row = models.Entry.objects.filter(client_id=change_id, kind=EDIT).first()
        base = str(row.payload["base"]) if row else ""
        held = [one for one in changes(base) if not one.undone] if row else []
        if change_id not in {one.id for one in held}:
            raise RecordNotFoundError(_("There is no such change that still holds."))
        ident = uuid.uuid4().hex
        payload = {"of": change_id, "base": base, "reason": reason}
        journal.append_from_page(UNDONE, payload, client_id=ident, who=who, at=clock.now())
        if base_of(farm().profile) == base:
            _in_force(PREFIX + ident if len(held) > 1 else base)


def use(profile_id: str) -> None:
    """Put another profile in force.

    Raises
    ------
    InputError
        If there is no such profile.
    """
    load(profile_id)
    with writing():
        _in_force(profile_id)


def _in_force(profile_id: str) -> None:
    """Write into the farm which rules hold; a tier they do not have gives way to the first."""
    row = models.Farm.objects.first()
    if row is None:
        raise InputFaultsError([InputError("who", "", _("Name the farm first."))])
    row.profile = profile_id
    tiers = load(profile_id).tiers
    if row.tier not in tiers or not tiers[row.tier].allowed:
        row.tier = next(code for code, tier in tiers.items() if tier.allowed)
    row.save()
