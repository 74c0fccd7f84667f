"""Thermometers: which there are, their checks in ice, and whether they drift."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _

from pinfeather import clock, quantity
from pinfeather.actions import farm as farms
from pinfeather.actions.day import running, shopfloor
from pinfeather.actions.day.ice_history import HISTORY, ice_history, unit_of
from pinfeather.errors import InputError, InputFaultsError
from pinfeather.finding import Severity
from pinfeather.heat.boiling import boiling_degC
from pinfeather.heat.thermometer import WORST_ACCURACY_K, ice_point_offset_K
from pinfeather.units import from_si
from pinfeather.web.who import who


def thermometers(request: HttpRequest) -> HttpResponse:
    """List the thermometers, add one, write down an ice check."""
    faults: dict[str, str] = {}
    typed: dict[str, Any] = {}
    if request.method == "POST":
        typed = request.POST.dict()
        try:
            if typed.get("what") == "check":
                running.write("ice point", typed, day_id=None, who=who(request))
                messages.success(request, _("Ice check written down."))
            else:
                farms.save_instrument(
                    typed.get("name", ""), kind="thermometer", accuracy=typed.get("accuracy", "")
                )
                messages.success(request, _("Saved."))
        except InputFaultsError as error:
            faults = {fault.name: fault.problem for fault in error.faults}
        except InputError as fault:
            faults = {fault.name: fault.problem}
        else:
            return redirect("thermometers")
    now, home = clock.now(), farms.farm()
    points = shopfloor.ice_points(now, back=HISTORY)
    return render(
        request,
        "pinfeather/thermometers.html",
        {
            "rows": [
                _row(one, points, now, zone=home.zone) for one in farms.instruments("thermometer")
            ],
            "boils": _boils(home),
            "altitude": home.altitude,
            "faults": faults,
            "typed": typed,
        },
        status=422 if faults else 200,
    )


def _row(one: farms.InstrumentView, points: Any, now: Any, *, zone: str) -> dict[str, Any]:  # noqa: ANN401 - a template's row
    mine = [point for point in points if point.instrument == one.name]
    newest = max(mine, key=lambda point: point.at, default=None)
    history = ice_history(mine, zone=zone)
    row: dict[str, Any] = {
        "name": one.name,
        "accuracy": one.accuracy,
        "coarse": one.accuracy_K > WORST_ACCURACY_K + 1e-9,
        "check": newest,
        "days": None if newest is None else (now - newest.at).days,
        "broken": "",
        "offset": "",
        "history": history,
        "off": any(one.severity is Severity.STOP for one in history.findings),
    }
    if newest is not None:
        try:
            offset_K = ice_point_offset_K(newest.reading_degC)
        except InputError as fault:
            row["broken"] = fault.problem
        else:
            unit = unit_of(newest)
            off = from_si(offset_K, unit, "temperature difference")
            row["offset"] = f"{off:+.1f} °{unit}"
    return row


def _boils(home: farms.FarmView) -> str:
    """Return what boiling water should show at the farm; empty where its height is not known."""
    try:
        altitude = quantity.parse(home.altitude, "length", name="altitude")
        boils_degC = boiling_degC(altitude_m=altitude.si)
    except InputError:
        return ""
    unit = "C" if home.units == "metric" else "F"
    return quantity.show(boils_degC, unit, "temperature", decimals=1)
