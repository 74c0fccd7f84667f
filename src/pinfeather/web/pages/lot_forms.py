"""Writing about a lot: in the barn, with large targets; weighing; striking out."""

from __future__ import annotations

import uuid
from collections.abc import Iterable, Mapping
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from pinfeather.actions import farm as farms
from pinfeather.actions.flock import books as flocks
from pinfeather.actions.flock.events import KINDS
from pinfeather.actions.flock.view import LotDetail, LotNow, detail, lot_now
from pinfeather.errors import InputError, InputFaultsError, RecordConflictError
from pinfeather.flock.alerts import stop_text
from pinfeather.quantity import show
from pinfeather.web import lot_fields
from pinfeather.web.asking import Ask, Asked, asked
from pinfeather.web.dayview import mass_unit
from pinfeather.web.who import pick, who

_OFTEN = ("lost", "weighed", "feed", "feed_left", "counted", "moved")


def write(request: HttpRequest, code: str) -> HttpResponse:
    """Choose what happened, or write it down."""
    now = lot_now(code)
    kind = request.POST.get("event") or request.GET.get("kind", "")
    if kind == "weighed":
        return redirect("lot_weigh", code=code)
    if kind not in KINDS:
        return render(request, "pinfeather/lot_write.html", {"now": now, "kinds": _kinds(now)})
    typed: dict[str, Any] = _first(now, kind)
    faults: tuple[InputError, ...] = ()
    if request.method == "POST":
        typed = {name: request.POST.get(name, "").strip() for name in request.POST}
        typed["signs"] = request.POST.getlist("signs")
        try:
            return _written(request, code, kind, typed=typed)
        except InputFaultsError as error:
            faults = error.faults
    fields = asked(lot_fields.event_fields(kind, now.pens), typed, faults=faults)
    return render(
        request,
        "pinfeather/lot_event.html",
        {
            "now": now,
            "kind": kind,
            "title": _(KINDS[kind]),
            "fields": fields,
            "causes": lot_fields.cause_choices() if kind == "lost" else (),
            "stop": stop_text() if kind == "signs" else "",
            **_around(request, typed, fields, faults=faults),
        },
        status=422 if faults else 200,
    )


def weigh(request: HttpRequest, code: str) -> HttpResponse:
    """Weigh birds: one weight on each line, or baskets."""
    found = detail(code)
    typed: dict[str, Any] = {
        "unit": "kg" if mass_unit() == "kg" else "lb",
        "on": found.now.today.isoformat(),
        "birds_each": "1",
        "weights": "",
    }
    faults: tuple[InputError, ...] = ()
    if request.method == "POST":
        typed = {name: request.POST.get(name, "").strip() for name in request.POST}
        try:
            return _written(request, code, "weighed", typed=typed)
        except InputFaultsError as error:
            faults = error.faults
    fields = asked(lot_fields.weigh_fields(), typed, faults=faults)
    basket = asked(lot_fields.basket_fields(), typed, faults=faults)
    weights = asked([Ask("weights", "", kind="lines")], typed, faults=faults)
    return render(
        request,
        "pinfeather/lot_weigh.html",
        {
            "found": found,
            "now": found.now,
            "fields": fields,
            "basket": basket,
            "basket_open": typed.get("birds_each", "1") not in {"", "1"}
            or any(field.faults for field in basket),
            "weights": weights[0],
            "target": _target(found),
            **_around(request, typed, [*fields, *basket, *weights], faults=faults),
        },
        status=422 if faults else 200,
    )


def _target(found: LotDetail) -> dict[str, str]:
    if found.weigh is None:
        return {}
    return {
        "birds": str(found.weigh.birds),
        "error": f"{100 * found.weigh.error_frac:.0f}\u202f%",
    }


def strike(request: HttpRequest, code: str, entry_id: str) -> HttpResponse:
    """Strike out a wrong line, with the reason."""
    book = flocks.book(code)
    entry = next((one for one in book.entries if one.id and one.id == entry_id), None)
    faults: dict[str, str] = {}
    typed = request.POST.get("reason", "")
    if request.method == "POST":
        name = request.POST.get("who") or who(request)
        pick(request, name)
        try:
            flocks.strike_out(code, entry_id, reason=typed, who=name)
        except InputFaultsError as error:
            faults = {fault.name: fault.problem for fault in error.faults}
        except RecordConflictError as error:
            messages.error(request, str(error))
            return redirect("lot", code=code)
        else:
            messages.success(request, _("Struck out. It stays readable in the lot’s life."))
            return redirect("lot", code=code)
    if entry is None:
        return redirect("lot", code=code)
    return render(
        request,
        "pinfeather/lot_strike.html",
        {
            "row": book.row,
            "entry": entry,
            "typed": typed,
            "faults": faults,
            "people": farms.people(),
            "who": who(request),
        },
        status=422 if faults else 200,
    )


def _kinds(now: LotNow) -> list[dict[str, str]]:
    """List what can have happened, the most frequent first."""
    first: tuple[str, ...] = _OFTEN
    if now.stage == "ordered":
        first = ("arrived", "ordered")
    ordered = [*first, *(kind for kind in KINDS if kind not in first)]
    if not now.signs:
        ordered.remove("cleared")
    return [{"code": kind, "words": _(KINDS[kind])} for kind in ordered]


def _first(now: LotNow, kind: str) -> dict[str, Any]:
    """Return what stands in a form before anybody writes."""
    found: dict[str, Any] = {"on": now.today.isoformat()}
    orders = now.book.kept("ordered")
    if kind == "arrived" and orders:
        last = orders[-1].kept
        found |= {"ordered": str(last["ordered"]), "spares": str(last["spares"])}
    if now.pens:
        found["pen"] = now.pens[0][0]
    if kind == "lost":
        found["heads"] = "1"
    if kind == "moved" and now.pens:
        found["heads"] = str(max(now.pens[0][1], 0))
    if kind == "medicine":
        found["last_on"] = now.today.isoformat()
    if kind == "ordered" and now.row.hatched:
        found["hatch_on"] = now.row.hatched.isoformat()
    return found


def _written(
    request: HttpRequest, code: str, kind: str, *, typed: Mapping[str, Any]
) -> HttpResponse:
    name = request.POST.get("who") or who(request)
    pick(request, name)
    flocks.add_event(code, kind, typed, who=name, client_id=request.POST.get("id", ""))
    messages.success(request, _said(code, kind))
    return redirect("lot", code=code)


def _said(code: str, kind: str) -> str:
    """Say what was written, with the number it leads to."""
    now = lot_now(code)
    if kind == "weighed" and now.samples:
        last = now.samples[-1]
        return ngettext(
            "{n} bird weighed, mean {mean}.", "{n} birds weighed, mean {mean}.", last.birds
        ).format(n=last.birds, mean=show(last.mean_kg, mass_unit(), "mass", decimals=2))
    if kind in {"lost", "sold", "processed", "arrived", "counted"}:
        return ngettext(
            "Written down. {n} bird in lot {lot} now.",
            "Written down. {n} birds in lot {lot} now.",
            now.heads,
        ).format(n=now.heads, lot=code)
    return _("Written down.")


def _around(
    request: HttpRequest,
    typed: Mapping[str, Any],
    fields: Iterable[Asked],
    *,
    faults: Iterable[InputError],
) -> dict[str, Any]:
    shown = {field.name for field in fields}
    sent = str(typed.get("id", ""))
    return {
        "id": sent if sent.isalnum() else uuid.uuid4().hex,
        "general": [fault.problem for fault in faults if fault.name not in shown],
        "people": farms.people(),
        "who": who(request),
    }
