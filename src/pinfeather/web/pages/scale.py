"""The scale: what it is, and whether it is right today."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _

from pinfeather import clock
from pinfeather.actions import farm as farms
from pinfeather.actions.desk import scales
from pinfeather.errors import InputFaultsError
from pinfeather.web.who import who


def scale(request: HttpRequest) -> HttpResponse:
    """List the scales, write down the daily check, add a scale."""
    faults: dict[str, str] = {}
    typed: dict[str, Any] = {}
    if request.method == "POST":
        typed = request.POST.dict()
        try:
            if typed.get("what") == "check":
                found = scales.check_today(
                    typed.get("scale", ""), typed.get("reading", ""), who=who(request)
                )
                if not found:
                    messages.success(request, _("Right within its tolerance. Written down."))
            elif typed.get("what") == "retire":
                scales.retire(int(typed["scale"]) if typed["scale"].isdecimal() else 0)
            else:
                scales.save_scale(
                    name=typed.get("name", ""),
                    capacity=typed.get("capacity", ""),
                    division=typed.get("division", ""),
                    scale_class=typed.get("scale_class", ""),
                    test=typed.get("test", ""),
                    seal=typed.get("seal", ""),
                )
                messages.success(request, _("Saved."))
        except InputFaultsError as error:
            faults = {fault.name: fault.problem for fault in error.faults}
        else:
            return redirect("scale")
    zone = clock.zone(farms.farm().zone)
    today = clock.now().astimezone(zone).date()
    rows = []
    for one in scales.scales():
        mine = scales.checks(one.name)
        newest = mine[0] if mine else None
        rows.append(
            {
                "scale": one,
                "check": newest,
                "today": newest is not None and newest.at.astimezone(zone).date() == today,
                "findings": scales.check_findings(newest) if newest else (),
                "history": [(c, c.at.astimezone(zone), scales.check_findings(c)) for c in mine],
            }
        )
    return render(
        request,
        "pinfeather/scale.html",
        {"rows": rows, "faults": faults, "typed": typed, "classes": scales.CLASSES},
        status=422 if faults else 200,
    )
