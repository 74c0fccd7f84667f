"""The weighing desk."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _

from pinfeather.actions import days as day_actions
from pinfeather.actions import packing, running
from pinfeather.errors import InputFaultsError
from pinfeather.web.who import pick, who

_SHOWN = 12


def desk(request: HttpRequest, day_id: int) -> HttpResponse:
    """Weigh a package: gross in, net, price and label out."""
    day = day_actions.day(day_id)
    start = packing.desk_start(day)
    typed: dict[str, Any] = {
        "lot": start.lot,
        "tank": start.tank,
        "product": start.product,
        "tare": start.tare,
        "price_per_lb": start.price_per_lb,
        "birds": "1",
        "gross": "",
    }
    faults: dict[str, str] = {}
    if request.method == "POST":
        if request.POST.get("act") == "void":
            return _void(request, day_id)
        typed = request.POST.dict()
        pick(request, typed.get("who") or who(request))
        try:
            packing.weigh(
                day_id,
                lot=typed.get("lot", ""),
                tank=typed.get("tank", ""),
                product=typed.get("product", ""),
                gross=_with_unit(typed.get("gross", "")),
                tare=_with_unit(typed.get("tare", "")),
                price_per_lb=typed.get("price_per_lb", ""),
                birds=0 if typed.get("birds") == "0" else 1,
                who=who(request),
            )
        except InputFaultsError as error:
            faults = {fault.name: fault.problem for fault in error.faults}
        else:
            return redirect("desk", day_id=day_id)
    packages = running.day_progress(day_id).packages
    last = packages[-1] if packages else None
    return render(
        request,
        "pinfeather/desk.html",
        {
            "day": day,
            "typed": typed,
            "faults": faults,
            "last": last,
            "last_lot": packing.lot_code(day, last) if last else "",
            "label_findings": packing.label_findings(day, last) if last else (),
            "packages": list(reversed(packages))[:_SHOWN],
            "count": len(packages),
            "birds": sum(p.birds for p in packages),
            "products": packing.PRODUCTS,
            "lots": [lot.code for lot in day.request.lots],
            "tanks": [tank.name for tank in day.request.equipment.tanks],
            "people": day.request.people,
            "who": who(request),
            "sizes": packing.LABEL_SIZES,
            "labels_url": reverse("labels", args=[day_id]),
        },
        status=422 if faults else 200,
    )


def _with_unit(text: str) -> str:
    """At this desk the unit stands beside the field: a bare number is in pounds."""
    text = text.strip()
    return f"{text} lb" if text.replace(".", "", 1).isdigit() else text


def _void(request: HttpRequest, day_id: int) -> HttpResponse:
    reason = request.POST.get("reason", "").strip()
    if not reason:
        messages.error(request, _("Write why the package is taken back."))
    else:
        running.write(
            "correction",
            {"of": request.POST.get("of", ""), "reason": reason},
            day_id=day_id,
            who=who(request),
        )
    return redirect("desk", day_id=day_id)
