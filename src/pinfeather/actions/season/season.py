"""What people do with a season: write it, have it worked out, replan, take it over tap by tap."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final

from pinfeather.actions.day import days
from pinfeather.actions.farm import farm, lots
from pinfeather.actions.flock import books as flocks
from pinfeather.actions.flock import lots as flock_lots
from pinfeather.actions.flock.setup import own_curves
from pinfeather.actions.season import draft as season_draft
from pinfeather.actions.season.store import (
    DONE,
    FAILED,
    WAITING,
    WORKING,
    SeasonView,
    current,
    save_draft,
    season,
    shown,
    take,
    version,
)
from pinfeather.actions.season.work import ask, begin, is_alive
from pinfeather.errors import InputError, InputFaultsError, RecordConflictError, RecordNotFoundError
from pinfeather.records import models
from pinfeather.season.plan import CalendarRow, LotPlan
from pinfeather.units import from_si
from pinfeather.words import gettext as _

__all__ = [
    "DONE", "FAILED", "WAITING", "WORKING", "Task", "begin", "current", "day_draft", "is_alive",
    "next_task", "planned_days", "replan", "save_and_ask", "save_draft", "season", "start_again",
    "take_lot", "taken_lot", "version",
]  # fmt: skip
_SOON: Final = 60
_SPREAD: Final = 0.1
"""Spread of dressed weights within a batch where nobody weighed. Common practice."""


@dataclass(frozen=True, slots=True)
class Task:
    """The next thing the season asks for."""

    row: CalendarRow
    days: int
    """From today; negative where it is late."""
    season_id: int
    number: int


def save_and_ask(
    mapping: Mapping[str, Any], *, season_id: int | None, today: dt.date, now: dt.datetime
) -> tuple[int, int]:
    """Keep a season as written and have it worked out; return its number and the version's.

    Raises
    ------
    InputFaultsError
        With every fault; what was written is kept all the same.
    RecordConflictError
        If one is being worked out at this moment; what was written is kept.
    """
    kept = save_draft(mapping, season_id=season_id, today=today, now=now)
    return kept, ask(kept, today=today, now=now).number


def replan(season_id: int, *, today: dt.date, now: dt.datetime) -> int:
    """Bring lots and counts up to today and have the season worked out anew, held to its promises.

    Raises
    ------
    InputFaultsError
        With every fault.
    RecordConflictError
        If one is being worked out, or there is no plan yet that could be held.
    """
    found = season(season_id)
    if found.newest_done is None:
        raise RecordConflictError(_("There is no plan yet. Work one out first."))
    held = version(season_id, found.newest_done.number)
    fresh = season_draft.again(held.mapping, today)
    save_draft(fresh, season_id=season_id, today=today, now=now)
    return ask(season_id, today=today, now=now, replans=held.number).number


def start_again(season_id: int, number: int, *, today: dt.date, now: dt.datetime) -> int:
    """Have a version that was cut off worked out again, as a new one.

    Raises
    ------
    RecordConflictError
        If it is still being worked out.
    """
    old = version(season_id, number)
    if is_alive(season_id, number):
        raise RecordConflictError(_("It is still being worked out."))
    return ask(season_id, today=today, now=now, replans=old.replans).number


def next_task(today: dt.date) -> Task | None:
    """Return what the newest plan asks for next; an order that is not in, even if it is late."""
    found = shown()
    if found is None or found.newest_done is None:
        return None
    view = version(found.id, found.newest_done.number)
    if not view.plan.found:
        return None
    waiting = {lot.code for lot in view.plan.lots if not lot.standing and not taken_lot(found, lot)}
    for row in sorted(view.plan.calendar, key=lambda one: (one.on, one.key)):
        left = (row.on - today).days
        late = left < 0 and row.what == "order" and row.lot in waiting
        done = row.what == "order" and row.lot not in waiting
        if (left >= 0 or late) and not done and left <= _SOON:
            return Task(row, left, found.id, view.number)
    return None


def taken_lot(found: SeasonView, lot: LotPlan) -> str:
    """Return the code under which a planned lot stands in the flock records; empty where not."""
    return str(found.taken.get("lots", {}).get(_key(lot), ""))


def _key(lot: LotPlan) -> str:
    return f"{lot.kind} {lot.hatch_on.isoformat()}"


def take_lot(season_id: int, number: int, code: str, *, who: str, now: dt.datetime) -> str:
    """Write a planned lot into the flock records as ordered; return its code there.

    Raises
    ------
    RecordNotFoundError
        If the plan has no such lot.
    RecordConflictError
        If it was taken over before.
    """
    view = version(season_id, number)
    lot = next((one for one in view.plan.lots if one.code == code and not one.standing), None)
    if lot is None:
        raise RecordNotFoundError(_("The plan has no such lot to order."))
    if taken_lot(view.season, lot):
        raise RecordConflictError(_("This lot is in the flock records already."))
    kind = next(k for k in view.mapping["kinds"] if k.get("code") == lot.kind)
    name = _free_code(code)
    typed = {
        "code": name,
        "species": lot.species,
        "build": "lean" if kind.get("curve") == "slow" else "broad",
        "sex": "straight run",
        "curve": _curve(kind),
        "setting": kind.get("losses") or "pasture",
        "breed": str(kind.get("name", ""))[:60],
        "hatched": lot.hatch_on.isoformat(),
        "plan_on": lot.batches[0].on.isoformat() if lot.batches else "",
    }
    flock_lots.save_lot(typed, new=True)
    flocks.add_event(
        name,
        "ordered",
        {
            "on": now.date().isoformat(),
            "ordered": str(lot.heads),
            "hatch_on": lot.hatch_on.isoformat(),
            "arrive_on": lot.arrive_on.isoformat(),
            "note": _("From the season plan"),
        },
        who=who,
        now=now,
    )
    take(season_id, "lots", _key(lot), made=name)
    return name


def _free_code(code: str) -> str:
    taken = {one.code for one in lots()}
    letters = code.rstrip("0123456789") or code
    n = int(code[len(letters) :] or 1)
    found = code
    while found in taken:
        n += 1
        found = f"{letters}{n}"
    return found


def _curve(kind: Mapping[str, Any]) -> str:
    """Return a kind's growth table as the flock records name it."""
    if kind.get("curve"):
        return str(kind["curve"])
    own = {curve.title for curve in own_curves()}
    return f"own:{kind['name']}" if kind.get("weights") and kind.get("name") in own else ""


def planned_days() -> dict[dt.date, int]:
    """Return the processing days on record by date, so that a plan can link to them."""
    rows = models.Day.objects.order_by("date", "-pk").values_list("date", "pk")
    return dict(rows)


def day_draft(season_id: int, number: int, on: dt.date) -> dict[str, Any]:
    """Return the form of a processing day, filled in with what the season plans for it.

    Raises
    ------
    RecordNotFoundError
        If the plan has no such day.
    """
    view = version(season_id, number)
    day = next((one for one in view.plan.days if one.on == on), None)
    if day is None:
        raise RecordNotFoundError(_("The plan has no such day."))
    unit = "kg" if farm().units == "metric" else "lb"
    by_code = {lot.code: lot for lot in view.plan.lots}
    known = {one.code: one for one in lots()}
    rows = []
    for batch in day.batches:
        lot = by_code[batch.lot]
        name = taken_lot(view.season, lot) or batch.lot
        mean = from_si(batch.mean_kg, unit, "mass")
        rows.append(
            {
                "code": name,
                "species": lot.species,
                "build": known[name].build if name in known else "broad",
                "count": str(batch.birds),
                "mean": f"{mean:.1f} {unit}",
                "spread": f"{_SPREAD * mean:.1f} {unit}",
            }
        )
    return {**days.draft(on), "lots": rows}


def checked(mapping: Mapping[str, Any]) -> tuple[InputError, ...]:
    """Return what is wrong with a season as written, without keeping or working out anything."""
    from pinfeather.actions.season.work import as_planned
    from pinfeather.season.request import request_from

    try:
        request_from(as_planned(mapping, today=days.farm_today()[1]))
    except InputFaultsError as error:
        return tuple(error.faults)
    return ()
