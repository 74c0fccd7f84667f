"""Pages that set lots up: a new lot with its order, changes, pens, breed booklets."""

from __future__ import annotations

import uuid
from collections.abc import Iterable, Mapping
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _

from pinfeather.actions.flock import books as flocks
from pinfeather.actions.flock import lots as flock_lots
from pinfeather.actions.flock import order as flock_order
from pinfeather.actions.flock import setup as flock_setup
from pinfeather.errors import InputError, InputFaultsError
from pinfeather.web import lot_fields
from pinfeather.web.asking import Asked, asked
from pinfeather.web.who import who


def _typed(request: HttpRequest) -> dict[str, str]:
    return {name: str(request.POST.get(name, "")).strip() for name in request.POST}


def _general(faults: Iterable[InputError], *groups: Iterable[Asked]) -> list[str]:
    shown = {field.name for group in groups for field in group}
    return [fault.problem for fault in faults if fault.name not in shown]


def new(request: HttpRequest) -> HttpResponse:
    """Start a lot: how many chicks to order, and the order."""
    typed: Mapping[str, str] = {"chance": "90 %", "event": "0 %", "lot_of": "1", "spares": "0"}
    faults: tuple[InputError, ...] = ()
    advice = None
    if request.method == "POST":
        typed = _typed(request)
        try:
            if typed.get("do") == "advice":
                advice = flock_order.advice(typed)
            else:
                code = flock_order.start(typed, who=who(request), client_id=typed.get("id", ""))
                messages.success(request, _("Lot {code} is on record.").format(code=code))
                return redirect("lot", code=code)
        except InputFaultsError as error:
            faults = error.faults
    lot = asked(lot_fields.lot_fields(), typed, faults=faults)
    asks = asked(lot_fields.ORDER_ADVICE, typed, faults=faults)
    order = asked(lot_fields.ORDER, typed, faults=faults)
    return render(
        request,
        "pinfeather/lot_new.html",
        {
            "lot": lot,
            "asks": asks,
            "order": order,
            "advice": advice,
            "faults": faults,
            "general": _general(faults, lot, asks, order),
            "id": typed.get("id") or uuid.uuid4().hex,
        },
        status=422 if faults else 200,
    )


def change(request: HttpRequest, code: str) -> HttpResponse:
    """Change what is said about a lot; its life is written elsewhere."""
    row = flocks.lot(code)
    typed: Mapping[str, Any] = flock_lots.as_typed(row)
    faults: tuple[InputError, ...] = ()
    if request.method == "POST":
        typed = {**_typed(request), "code": code}
        try:
            flock_lots.save_lot(typed, new=False)
        except InputFaultsError as error:
            faults = error.faults
        else:
            messages.success(request, _("Saved."))
            return redirect("lot", code=code)
    fields = asked(lot_fields.lot_fields()[1:], typed, faults=faults)
    return render(
        request,
        "pinfeather/lot_change.html",
        {"row": row, "fields": fields, "faults": faults, "general": _general(faults, fields)},
        status=422 if faults else 200,
    )


def pens(request: HttpRequest) -> HttpResponse:
    """Show the pens; add one or change it."""
    typed: Mapping[str, Any] = {"move_d": "0"}
    faults: tuple[InputError, ...] = ()
    if request.method == "POST":
        typed = _typed(request)
        try:
            flock_setup.save_pen(typed)
        except InputFaultsError as error:
            faults = error.faults
        else:
            messages.success(request, _("Saved."))
            return redirect("pens")
    fields = asked(lot_fields.PEN, typed, faults=faults)
    rows = [(pen, _(flock_setup.PEN_KINDS[pen.kind])) for pen in flock_setup.pens()]
    return render(
        request,
        "pinfeather/pens.html",
        {"pens": rows, "fields": fields, "faults": faults},
        status=422 if faults else 200,
    )


def curves(request: HttpRequest) -> HttpResponse:
    """Show the growth tables; type one in from a breed's booklet."""
    typed: Mapping[str, Any] = {}
    faults: tuple[InputError, ...] = ()
    if request.method == "POST":
        typed = _typed(request)
        try:
            flock_setup.save_curve(typed)
        except InputFaultsError as error:
            faults = error.faults
        else:
            messages.success(request, _("Saved. Choose it at the lot."))
            return redirect("curves")
    fields = asked(lot_fields.CURVE, typed, faults=faults)
    return render(
        request,
        "pinfeather/curves.html",
        {
            "own": flock_setup.own_curves(),
            "packaged": flock_setup.packaged_curves(),
            "fields": fields,
            "faults": faults,
            "general": _general(faults, fields),
        },
        status=422 if faults else 200,
    )
