"""Birds cut into parts: start a cutting, see what came off."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _

from pinfeather.actions.day import days as day_actions
from pinfeather.actions.desk import cuttings as cutting_actions
from pinfeather.actions.desk import packing
from pinfeather.day.events import Source
from pinfeather.errors import InputFaultsError
from pinfeather.estimate import Origin
from pinfeather.units import KG_PER_LB
from pinfeather.web.pages.desk import with_unit
from pinfeather.web.who import pick, who

_PERCENT = 100.0


def cuttings(request: HttpRequest, day_id: int) -> HttpResponse:
    """Start a cutting, finish one, and compare parts with what is expected."""
    day = day_actions.day(day_id)
    faults: dict[str, str] = {}
    typed: dict[str, Any] = {}
    lots = [lot.code for lot in day.request.lots]
    tanks = [tank.name for tank in day.request.equipment.tanks]
    if request.method == "POST":
        typed = request.POST.dict()
        pick(request, typed.get("who") or who(request))
        if typed.get("act") == "finish":
            cutting_actions.finish(day_id, typed.get("of", ""), who=who(request))
            return redirect("cuttings", day_id=day_id)
        sources = []
        for row in range(len(lots)):
            birds = typed.get(f"birds_{row}", "").strip()
            if birds and not birds.isdecimal():
                faults["sources"] = _("Write a whole number of birds.")
            elif birds:
                tank = typed.get(f"tank_{row}", "")
                sources.append(Source(lots[row], tank, int(birds)))
        if not faults:
            try:
                made = cutting_actions.start(
                    day_id, sources, with_unit(typed.get("written", "")), who=who(request)
                )
            except InputFaultsError as error:
                faults = {
                    "sources" if f.name == "birds" else f.name: f.problem for f in error.faults
                }
            else:
                return redirect(f"../pack/?from={packing.CUTTING_PREFIX}{made}")
    rows = [
        {"lot": lot, "birds": typed.get(f"birds_{i}", ""), "tank": typed.get(f"tank_{i}", "")}
        for i, lot in enumerate(lots)
    ]
    return render(
        request,
        "pinfeather/cuttings.html",
        {
            "day": day,
            "rows": rows,
            "tanks": tanks,
            "typed": typed,
            "faults": faults,
            "cuttings": [_shown(one) for one in cutting_actions.cuttings(day_id)],
            "people": day.request.people,
            "who": who(request),
        },
        status=422 if faults else 200,
    )


def _shown(one: cutting_actions.CuttingView) -> dict[str, Any]:
    basis = next(iter(one.expected.values())).basis
    came = {row.part: row for row in one.found.parts}
    return {
        "cutting": one.cutting,
        "lots": one.lots,
        "packages": one.packages,
        "findings": one.found.findings,
        "left": f"{one.found.unpacked_kg / KG_PER_LB:.2f}",
        "parts": [
            {
                "name": row.part,
                "packed": f"{row.mass_kg / KG_PER_LB:.2f}",
                "share": f"{row.share_frac * _PERCENT:.1f}",
                "low": f"{row.expected.low * _PERCENT:.0f}",
                "high": f"{row.expected.high * _PERCENT:.0f}",
            }
            for row in came.values()
        ],
        "expected": [
            {
                "name": part,
                "middle": f"{kg.value / KG_PER_LB:.1f}",
                "low": f"{kg.low / KG_PER_LB:.1f}",
                "high": f"{kg.high / KG_PER_LB:.1f}",
            }
            for part, kg in one.expected.items()
        ],
        "basis": basis.note if basis.origin is not Origin.HANDBOOK else "",
        "handbook": basis if basis.origin is Origin.HANDBOOK else None,
    }
