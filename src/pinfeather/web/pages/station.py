"""Working pages: one station on a phone, and the reading form."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _

from pinfeather import clock
from pinfeather.actions import farm as farms
from pinfeather.actions.day import days as day_actions
from pinfeather.actions.day import running, shopfloor
from pinfeather.errors import InputError, RecordConflictError
from pinfeather.web import words
from pinfeather.web.who import pick, who


def _script_words() -> dict[str, str]:
    """Return the sentences the working page's script fills in."""
    return {
        "ago": _("last one {span} ago"),
        "none": _("none yet"),
        "seconds": _("{s} s"),
        "minutes_seconds": _("{m} min {s} s"),
        "minutes": _("{m} min"),
        "hours": _("{h} h {m} min"),
        "late": _("{span} late"),
        "now": _("now"),
        "in": _("in {span}"),
        "done": _("Done"),
        "read": _("Read"),
        "undo": _("taken back at the station"),
        "saved": _("Saved on the farm computer. Nothing waiting."),
        "away": _("The farm computer is out of reach. Go on counting; nothing gets lost."),
        "sending": _("Sending {n} …"),
        "waiting": _("{n} kept on this phone until the farm computer is in reach."),
        "refused": _("Not taken: {problem}"),
        "full": _("NOT counted: this phone has no room left. Write it on paper."),
        "no_store": _("This browser keeps nothing. Each tap needs the farm computer in reach."),
    }


def station(request: HttpRequest, day_id: int, code: str) -> HttpResponse:
    """Show one station's working page; without script its buttons are plain forms."""
    if code not in dict(words.COUNTED):
        raise Http404
    day = day_actions.day(day_id)
    if request.method == "POST":
        return _post(request, day_id, code)
    now = clock.now()
    tanks = [tank.name for tank in day.request.equipment.tanks]
    return render(
        request,
        "pinfeather/station.html",
        {
            "day": day,
            "code": code,
            "name": dict(words.COUNTED)[code],
            "tabs": words.COUNTED,
            "state": shopfloor.state(day_id, station=code, now=now),
            "script_words": _script_words(),
            "people": day.request.people,
            "who": who(request),
            "lots": [lot.code for lot in day.request.lots],
            "tanks": tanks if code == "chill" else [""],
            "now": now,
        },
    )


def _post(request: HttpRequest, day_id: int, code: str) -> HttpResponse:
    name = request.POST.get("who", "") or who(request)
    pick(request, name)
    act = request.POST.get("act", "count")
    try:
        if act == "back":
            tallies = [t for t in running.day_progress(day_id).tallies if t.station == code]
            if tallies:
                running.write(
                    "correction",
                    {"of": tallies[-1].id, "reason": _("taken back at the station")},
                    day_id=day_id,
                    who=name,
                )
        elif act == "done":
            payload = {"task": request.POST.get("task"), "place": request.POST.get("place", "")}
            running.write("done", payload, day_id=day_id, who=name)
        elif act == "count":
            running.write(
                "tally",
                {
                    "station": code,
                    "birds": request.POST.get("birds") or 1,
                    "place": request.POST.get("place", ""),
                    "lot": request.POST.get("lot", ""),
                },
                day_id=day_id,
                who=name,
            )
    except (InputError, RecordConflictError) as error:
        messages.error(request, getattr(error, "problem", str(error)))
    return redirect("station", day_id=day_id, code=code)


def reading(request: HttpRequest, day_id: int) -> HttpResponse:
    """Take a reading: value with unit, instrument, place."""
    day = day_actions.day(day_id)
    back = request.GET.get("back", "") or request.POST.get("back", "")
    back = back if back in dict(words.COUNTED) else ""
    typed: dict[str, Any] = {
        "what": request.GET.get("what", "bird"),
        "place": request.GET.get("place", ""),
    }
    faults: dict[str, str] = {}
    if request.method == "POST":
        typed = request.POST.dict()
        name = typed.get("who") or who(request)
        pick(request, name)
        what = typed.get("what", "")
        kind = "ice point" if what == "ice" else "reading"
        try:
            running.write(kind, typed, day_id=day_id, who=name)
        except InputError as fault:
            faults[fault.name] = fault.problem
        else:
            messages.success(
                request, _("{value} written down.").format(value=typed.get("written", ""))
            )
            if back:
                return redirect("station", day_id=day_id, code=back)
            return redirect("day", day_id=day_id)
    return render(
        request,
        "pinfeather/reading.html",
        {
            "day": day,
            "typed": typed,
            "faults": faults,
            "general": [
                p for n, p in faults.items() if n not in {"what", "written", "instrument", "mass"}
            ],
            "back": back,
            "back_url": reverse("station", args=[day_id, back])
            if back
            else reverse("day", args=[day_id]),
            "script_words": {
                "waiting": _("{n} kept on this phone until the farm computer is in reach."),
                "no_unit": _("Write the unit too, such as 38.4 F or 100 ppm."),
            },
            "kinds": [*words.READINGS, ("ice", _("Thermometer in melting ice"))],
            "places": [tank.name for tank in day.request.equipment.tanks],
            "instruments": _instruments(),
            "people": day.request.people,
            "who": who(request),
        },
        status=422 if faults else 200,
    )


def _instruments() -> list[dict[str, Any]]:
    """List the thermometers with their last ice check."""
    checks = {point.instrument: point for point in shopfloor.ice_points(clock.now())}
    return [
        {"name": one.name, "accuracy": one.accuracy, "check": checks.get(one.name)}
        for one in farms.instruments("thermometer")
    ]


def explain(request: HttpRequest, day_id: int) -> HttpResponse:
    """Write off birds that left the line, with the reason."""
    day = day_actions.day(day_id)
    faults: dict[str, str] = {}
    typed: dict[str, Any] = {"after": request.GET.get("after", "pick"), "birds": "1"}
    if request.method == "POST":
        typed = request.POST.dict()
        name = typed.get("who") or who(request)
        pick(request, name)
        try:
            running.write("explained", typed, day_id=day_id, who=name)
        except InputError as fault:
            faults[fault.name] = fault.problem
        else:
            messages.success(request, _("Written down."))
            return redirect("day", day_id=day_id)
    return render(
        request,
        "pinfeather/explain.html",
        {
            "day": day,
            "typed": typed,
            "faults": faults,
            "afters": words.COUNTED,
            "causes": words.CAUSES,
            "people": day.request.people,
            "who": who(request),
        },
        status=422 if faults else 200,
    )
