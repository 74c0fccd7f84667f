"""Planning a day, and looking at one."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterable, Mapping
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse

from pinfeather import clock
from pinfeather.actions.day import closing, pictures, running, shopfloor
from pinfeather.actions.day import days as day_actions
from pinfeather.actions.flock import plan as flock_plan
from pinfeather.actions.lists import past_days
from pinfeather.actions.sanitary import sheet as sheets
from pinfeather.actions.season import season as season_actions
from pinfeather.errors import InputError, InputFaultsError, RecordConflictError
from pinfeather.reports.strip import strip_header, strip_table
from pinfeather.reports.strip_svg import strip_svg
from pinfeather.web import asking
from pinfeather.web.dayview import day_facts, gain_rows, plan_facts

_ROWS = {"lots": asking.LOT, "people": asking.PERSON, "tanks": asking.TANK}

_LISTED = 20
"""Days on one page of the list."""


def days(request: HttpRequest) -> HttpResponse:
    """List the days, a page of them at a time."""
    asked = request.GET.get("from", "")
    first = int(asked) if re.fullmatch(r"[0-9]{1,6}", asked, re.ASCII) else 0
    lines = day_actions.days(first=first, limit=_LISTED + 1)
    return render(
        request,
        "pinfeather/days.html",
        {
            "days": lines[:_LISTED],
            "older": first + _LISTED if len(lines) > _LISTED else 0,
            "first": first,
            "past": past_days.past_totals(),
        },
    )


def new(request: HttpRequest) -> HttpResponse:
    """Plan a new day."""
    _home, today = day_actions.farm_today()
    if request.method == "POST":
        return _handle(request, day_id=None)
    date = _asked_date(request, today) or today + dt.timedelta(days=1)
    mapping = day_actions.draft(date)
    if planned := _season_day(request):
        mapping = planned
    elif code := request.GET.get("lot", ""):
        mapping["lots"] = [{}]
        _take(mapping, code)
    return _form(request, mapping, day_id=None)


def _season_day(request: HttpRequest) -> dict[str, Any]:
    """Return the form as a season's plan fills it in, where a link from one asks for it."""
    which = re.fullmatch(r"(\d{1,9})-(\d{1,9})", request.GET.get("season", ""))
    try:
        on = dt.date.fromisoformat(request.GET.get("on", ""))
    except ValueError:
        return {}
    return season_actions.day_draft(int(which[1]), int(which[2]), on) if which else {}


def _asked_date(request: HttpRequest, today: dt.date) -> dt.date | None:
    """Return the day a link asks for, where it can still be planned."""
    try:
        date = dt.date.fromisoformat(request.GET.get("date", ""))
    except ValueError:
        return None
    return date if date >= today else None


def change(request: HttpRequest, day_id: int) -> HttpResponse:
    """Change a day's plan."""
    if request.method == "POST":
        return _handle(request, day_id=day_id)
    view = day_actions.day(day_id)
    return _form(request, view.mapping, day_id=day_id, version=view.version)


def _handle(request: HttpRequest, *, day_id: int | None) -> HttpResponse:
    mapping = asking.nested(request.POST)
    sent = request.POST.get("version", "")
    version = int(sent) if sent.isdecimal() else None
    do = request.POST.get("do", "save")
    if do.startswith("take "):
        _take(mapping, do.removeprefix("take "))
        return _form(request, mapping, day_id=day_id, version=version)
    if do != "save":
        _rows(mapping, do)
        return _form(request, mapping, day_id=day_id, version=version)
    try:
        saved = day_actions.save_plan(mapping, day_id=day_id, version=version)
    except InputFaultsError as error:
        return _form(request, mapping, day_id=day_id, version=version, faults=error.faults)
    except RecordConflictError as error:
        fault = InputError("", None, str(error))
        return _form(request, mapping, day_id=day_id, version=version, faults=[fault])
    return redirect("day", day_id=saved)


def _take(mapping: dict[str, Any], code: str) -> None:
    """Write a standing lot into the plan, with what it is expected to weigh on that day."""
    offer = next((o for o in flock_plan.offers(_day_of(mapping)) if o.code == code), None)
    if offer is None:
        return
    rows = mapping.setdefault("lots", [])
    row = next((r for r in rows if r.get("code") in ("", None, code)), None)
    if row is None:
        row = {}
        rows.append(row)
    row.update(offer.row)


def _day_of(mapping: Mapping[str, Any]) -> dt.date:
    """Return the day a form is about; tomorrow where it cannot be read."""
    try:
        return dt.date.fromisoformat(str(mapping.get("date", "")))
    except ValueError:
        return day_actions.farm_today()[1] + dt.timedelta(days=1)


def _rows(mapping: dict[str, Any], do: str) -> None:
    """Add or take off a row of the form."""
    what, _space, rest = do.partition(" ")
    name, _space, index = rest.partition(" ")
    if name not in _ROWS:
        return
    parent = mapping.setdefault("equipment", {}) if name == "tanks" else mapping
    rows = parent.setdefault(name, [])
    if what == "add":
        first: dict[str, Any] = {}
        if name == "tanks":
            first = {"name": f"Tank {len(rows) + 1}"}
        elif name == "people" and rows:
            first = {key: rows[-1].get(key, "") for key in ("from", "to", "pace")}
        rows.append(first)
    elif what == "remove" and index.isdecimal() and int(index) < len(rows):
        rows.pop(int(index))


def _form(
    request: HttpRequest,
    mapping: Mapping[str, Any],
    *,
    day_id: int | None,
    version: int | None = None,
    faults: Iterable[InputError] = (),
) -> HttpResponse:
    faults = list(faults)
    equipment = mapping.get("equipment") or {}

    def rows(name: str, values: Iterable[Mapping[str, Any]], prefix: str = "") -> list[Any]:
        return [
            {
                "title": row.get("name", ""),
                "fields": asking.asked(
                    _ROWS[name], row, prefix=f"{prefix}{name}[{i}].", faults=faults
                ),
            }
            for i, row in enumerate(values)
        ]

    lots = mapping.get("lots") or [{}]
    lot_rows = rows("lots", lots)
    offers = {one.code: one for one in flock_plan.offers(_day_of(mapping))}
    taken = {str(values.get("code", "")) for values in lots}
    for i, (row, values) in enumerate(zip(lot_rows, lots, strict=True)):
        row["offer"] = offers.get(str(values.get("code", "")))
        (row["weights"],) = asking.asked(
            [asking.LOT_WEIGHTS], _joined(values), prefix=f"lots[{i}].", faults=faults
        )
    context = {
        "action": reverse("new_day") if day_id is None else reverse("change_day", args=[day_id]),
        "version": version or "",
        "day": asking.asked(asking.DAY, mapping, faults=faults),
        "place": asking.asked(asking.PLACE, mapping, faults=faults),
        "lots": lot_rows,
        "offers": [one for code, one in offers.items() if one.ready and code not in taken],
        "people": rows("people", mapping.get("people") or [{}]),
        "equipment": asking.asked(asking.EQUIPMENT, equipment, prefix="equipment.", faults=faults),
        "tanks": rows("tanks", equipment.get("tanks") or [{}], "equipment."),
        "sanitiser": asking.asked(
            asking.SANITISER, mapping.get("sanitiser") or {}, prefix="sanitiser.", faults=faults
        ),
        "faults": faults,
    }
    shown = {field.name for field in _all_fields(context)}
    context["general"] = [fault.problem for fault in faults if fault.name not in shown]
    return render(request, "pinfeather/plan_form.html", context, status=422 if faults else 200)


def _joined(values: Mapping[str, Any]) -> dict[str, Any]:
    weights = values.get("weights", "")
    return {"weights": "; ".join(weights) if isinstance(weights, list) else weights}


def _all_fields(context: Mapping[str, Any]) -> Iterable[asking.Asked]:
    for name in ("day", "place", "equipment", "sanitiser"):
        yield from context[name]
    for name in ("lots", "people", "tanks"):
        for row in context[name]:
            yield from row["fields"]
            if "weights" in row:
                yield row["weights"]


def day(request: HttpRequest, day_id: int) -> HttpResponse:
    """Show a day: its plan before, its progress during, its record after."""
    now = clock.now()
    floor = shopfloor.floor(day_id, now=now)
    context = {"floor": floor, "day": floor.day, "plan": floor.day.plan, "now": now}
    if floor.day.status == "planned":
        context |= _plan_context(floor)
        return render(request, "pinfeather/day_planned.html", context)
    if floor.day.status == "closed":
        record = dict(floor.day.record or {})
        context |= {
            "record": record,
            "findings": closing.record_findings(record),
            "late": closing.later(floor.day),
            "packages": record["counts"].get("bag", 0),
            "svg": strip_pictures(floor, now=None),
            "sheet": sheets.kept_on(floor.day.date),
        }
        return render(request, "pinfeather/day_closed.html", context)
    context |= _live_context(floor, now)
    return render(request, "pinfeather/day_running.html", context)


def live(request: HttpRequest, day_id: int) -> HttpResponse:
    """Return the moving part of a running day, or nothing where nothing moved."""
    now = clock.now()
    mark = f"{running.last_seq(day_id)}-{int(now.timestamp() // 30)}"
    if request.GET.get("mark") == mark:
        return HttpResponse(status=204)
    floor = shopfloor.floor(day_id, now=now)
    context = {"floor": floor, "day": floor.day, "plan": floor.day.plan}
    return render(request, "pinfeather/day_live.html", context | _live_context(floor, now))


def moved(request: HttpRequest, day_id: int) -> HttpResponse:
    """Tell an open page that something was written since it was made, or nothing where not.

    The page then fetches itself anew; one with a form in it (``say``) only says so.
    """
    if request.GET.get("seq") == str(running.last_seq(day_id)):
        return HttpResponse(status=204)
    if request.GET.get("say"):
        page = reverse("close_day", args=[day_id])
        return render(request, "pinfeather/moved.html", {"page": page})
    return HttpResponse(status=204, headers={"HX-Trigger": "moved"})


def _plan_context(floor: shopfloor.Floor) -> dict[str, Any]:
    return {
        "facts": plan_facts(floor.day),
        "gains": gain_rows(floor.day.plan),
        "svg": strip_pictures(floor, now=None),
    }


def _live_context(floor: shopfloor.Floor, now: dt.datetime) -> dict[str, Any]:
    return {
        "facts": day_facts(floor),
        "cleaning": sheets.running_findings(floor.day, floor.done, floor.profile, now=now),
        "svg": strip_pictures(floor, now=now),
        "mark": f"{floor.done.last_seq}-{int(now.timestamp() // 30)}",
        "late_due": [due for due in floor.due if due.at < now],
        "next_due": [due for due in floor.due if due.at >= now][:6],
        "now": now,
    }


def strip_pictures(floor: shopfloor.Floor, *, now: dt.datetime | None) -> dict[str, str]:
    """Draw a day's strip wide and narrow: planned grey, counted black."""
    done = floor.done if floor.done.tallies else None
    strip = pictures.day_strip(floor.day, done, now=now if done else None, gaps=floor.gaps)
    return {
        "wide": strip_svg(strip, width=1080, ident="strip-wide", clock="24h"),
        "narrow": strip_svg(strip, width=360, ident="strip-narrow", clock="24h"),
    }


def strip_as_table(request: HttpRequest, day_id: int) -> HttpResponse:
    """Show the strip as a table."""
    floor = shopfloor.floor(day_id, now=clock.now())
    strip = pictures.day_strip(floor.day, floor.done if floor.done.tallies else None)
    return render(
        request,
        "pinfeather/strip_table.html",
        {"day": floor.day, "head": strip_header(), "rows": strip_table(strip)},
    )


def numbers(request: HttpRequest, day_id: int) -> HttpResponse:
    """Show the numbers a plan rests on, each with where it comes from."""
    view = day_actions.day(day_id)
    return render(request, "pinfeather/numbers.html", {"day": view, "plan": view.plan})
