"""The weighing desk: one weight in, net, price and label out."""

from __future__ import annotations

import uuid
from typing import Any

from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _

from pinfeather import clock
from pinfeather.actions.day import days as day_actions
from pinfeather.actions.day import running
from pinfeather.actions.desk import cuttings, packing, scales
from pinfeather.actions.desk import labels as package_labels
from pinfeather.actions.desk import setup as desk_setup
from pinfeather.errors import InputFaultsError
from pinfeather.finding import Severity
from pinfeather.packs.products import product
from pinfeather.web.who import pick, who

_SHOWN = 12
_BIRDS = {"0": 0, "1": 1}


def desk(request: HttpRequest, day_id: int) -> HttpResponse:
    """Weigh a package: gross in, net, price and label out."""
    day = day_actions.day(day_id)
    typed = _start(request, day)
    faults: dict[str, str] = {}
    if request.method == "POST":
        typed = request.POST.dict()
        pick(request, typed.get("who") or who(request))
        faults = _weigh(request, day_id, typed)
        if not faults:
            return redirect("desk", day_id=day_id)
    done = running.day_progress(day_id)
    last = done.packages[-1] if done.packages else None
    label_findings = package_labels.label_findings(day, last) if last else ()
    lot = str(typed.get("lot", ""))
    return render(
        request,
        "pinfeather/desk.html",
        {
            "day": day,
            "typed": typed,
            "faults": faults,
            "entry": uuid.uuid4().hex,
            "last": last,
            "last_lot": packing.lot_code(day, last) if last else "",
            "label_findings": [f for f in label_findings if f.severity >= Severity.CHECK],
            "scale_findings": scales.desk_findings(day.date, label_lb=None),
            "live": scales.live(day_id, now=clock.now()),
            "waiting": len(package_labels.waiting(day_id)),
            "packages": list(reversed(done.packages))[:_SHOWN],
            "count": len(done.packages),
            "birds": done.count("bag"),
            "products": _with(packing.desk_products(day), typed.get("product", "")),
            "classes": _with(
                package_labels.class_options(day, lot, name=str(typed.get("product", ""))),
                typed.get("class_name", ""),
            ),
            "lots": [one.code for one in day.request.lots],
            "cuttings": [
                (packing.CUTTING_PREFIX + one.id, one) for one in cuttings.open_cuttings(day)
            ],
            "tanks": [tank.name for tank in day.request.equipment.tanks],
            "bags": desk_setup.bags(),
            "prices": {
                one.name: one.price_per_lb
                for one in desk_setup.product_numbers()
                if one.price_per_lb
            },
            "people": day.request.people,
            "who": who(request),
        },
        status=422 if faults else 200,
    )


def _with(known: tuple[str, ...], chosen: object) -> list[str]:
    """Return what can be chosen, and what is chosen already."""
    names = list(known)
    if chosen and chosen not in names:
        names.append(str(chosen))
    return names


def _start(request: HttpRequest, day: day_actions.DayView) -> dict[str, Any]:
    start = packing.desk_start(day)
    again = request.GET.get("again", "")
    typed: dict[str, Any] = {
        "lot": request.GET.get("from") or start.lot,
        "tank": start.tank,
        "product": start.product,
        "tare": start.tare,
        "price_per_lb": start.price_per_lb,
        "class_name": start.class_name,
        "frozen": "on" if start.frozen else "",
        "fixed": start.fixed,
        "birds": "",
        "gross": "",
        "number": again if again.isdecimal() else "",
    }
    for package in running.day_progress(day.id).packages:
        if again == str(package.number):
            typed |= {
                "lot": package.lot,
                "tank": package.tank,
                "product": package.product,
                "tare": package.tare,
                "price_per_lb": package.price_per_lb,
                "class_name": package.class_name,
                "frozen": "on" if package.frozen else "",
                "fixed": package.fixed,
                "birds": str(package.birds),
            }
    return typed


def _weigh(request: HttpRequest, day_id: int, typed: dict[str, Any]) -> dict[str, str]:
    gross = with_unit(typed.get("gross", ""))
    name = typed.get("other", "").strip() or typed.get("product", "")
    number = typed.get("number", "")
    twice = packing.just_weighed(day_id, gross=gross, product=name)
    entry = typed.get("entry", "")
    if twice is not None and not typed.get("again") and twice.id != entry and not number:
        typed["ask_again"] = "1"
        return {
            "gross": _("That is the weight of package {n}, a moment ago. If this is another bag,"
                       " press once more.").format(n=twice.number)
        }  # fmt: skip
    price = typed.get("price_per_lb", "")
    if typed.get("priced_for", name) != name and price == typed.get("priced_at"):
        price = desk_setup.price_of(name) or price  # the product was changed, its price was not
    try:
        packing.weigh(
            day_id,
            lot=typed.get("lot", ""),
            tank=typed.get("tank", ""),
            product=name,
            gross=gross,
            tare=with_unit(typed.get("tare", "")),
            price_per_lb=price,
            birds=_BIRDS.get(typed.get("birds", "")),
            who=who(request),
            more=packing.Particulars(
                client_id=entry if entry.isalnum() else "",
                class_name=typed.get("class_name", "") if product(name).whole else "",
                frozen=bool(typed.get("frozen")),
                fixed=with_unit(typed.get("fixed", "")),
                number=int(number) if number.isdecimal() else 0,
            ),
        )
    except InputFaultsError as error:
        return {fault.name: fault.problem for fault in error.faults}
    return {}


def live(request: HttpRequest, day_id: int) -> JsonResponse:  # noqa: ARG001 - a view's signature
    """Tell what the desk's scale shows now."""
    shown = scales.live(day_id, now=clock.now())
    return JsonResponse(
        {
            "shown": shown.shown,
            "state": shown.state,
            "stable": shown.stable,
            "entry": shown.stable_id,
            "url": reverse("desk", args=[day_id]),
        }
    )


def with_unit(text: str) -> str:
    """At this desk the unit stands beside the field: a bare number is in pounds."""
    text = text.strip()
    return f"{text} lb" if text.replace(".", "", 1).isdigit() else text
