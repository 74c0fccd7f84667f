"""Water taken up in the chill, from marked birds."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from pinfeather.actions.day import days as day_actions
from pinfeather.actions.desk import retained_water
from pinfeather.errors import InputFaultsError
from pinfeather.web.pages.desk import with_unit
from pinfeather.web.who import pick, who


def water(request: HttpRequest, day_id: int) -> HttpResponse:
    """Weigh marked birds before and after the chill; say how much water they took up."""
    day = day_actions.day(day_id)
    typed: dict[str, Any] = {}
    faults: dict[str, str] = {}
    if request.method == "POST":
        typed = request.POST.dict()
        pick(request, typed.get("who") or who(request))
        try:
            retained_water.weigh(
                day_id,
                mark=typed.get("mark", ""),
                stage=typed.get("stage", ""),
                lot=typed.get("lot", ""),
                tank=typed.get("tank", ""),
                written=with_unit(typed.get("written", "")),
                who=who(request),
            )
        except InputFaultsError as error:
            faults = {fault.name: fault.problem for fault in error.faults}
        else:
            return redirect("water", day_id=day_id)
    return render(
        request,
        "pinfeather/water.html",
        {
            "day": day,
            "birds": retained_water.marked_birds(day_id),
            "most": retained_water.most_percent(day_id),
            "statement": retained_water.statement(day_id),
            "lots": [lot.code for lot in day.request.lots],
            "tanks": [tank.name for tank in day.request.equipment.tanks],
            "typed": typed,
            "faults": faults,
            "people": day.request.people,
            "who": who(request),
        },
        status=422 if faults else 200,
    )
