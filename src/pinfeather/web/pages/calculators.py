"""The calculators: each a form, an answer, and what the answer rests on."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final, cast
from urllib.parse import urlencode

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse

from pinfeather import clock
from pinfeather.actions.calc import catalogue
from pinfeather.actions.calc.model import Calculation, Input, Result, Units
from pinfeather.actions.farm import FarmView
from pinfeather.actions.farm import farm as the_farm
from pinfeather.errors import InputError, InputFaultsError
from pinfeather.web.asking import Ask, asked

_ADDRESS_HOLDS: Final = 4_000
"""What fits an address that people can send each other [characters]."""
_SHOWN_AGAIN: Final = 200_000
"""A file up to this size stands in the form again [bytes]."""
_LONG: Final = 15
"""Words of a choice longer than this need the form's whole width [characters]."""
_FIELDS: Final = {"choice": "choice", "lines": "lines", "integer": "number"}


def calculators(request: HttpRequest) -> HttpResponse:
    """List the calculators by what they answer."""
    return render(request, "pinfeather/calculators.html", {"groups": catalogue.groups()})


def calculator(request: HttpRequest, name: str) -> HttpResponse:
    """Ask, and answer."""
    one, home = catalogue.calculation(name), the_farm()
    units = cast("Units", home.units if home.units in {"us", "metric"} else "us")
    written = _written(request, one)
    if request.method == "POST" and len(urlencode(_texts(written))) <= _ADDRESS_HOLDS:
        return redirect(f"{reverse('calculator', args=[name])}?{urlencode(_texts(written))}")
    fresh = not written
    values = {**_first(one, home, units), **written}
    result, faults = _answer(one, values, units)
    if fresh:
        faults = ()
    return render(
        request,
        "pinfeather/calculator.html",
        {"one": one, "result": result, **_form(one, values, faults)},
        status=422 if faults else 200,
    )


def _written(request: HttpRequest, one: Calculation) -> dict[str, str | bytes]:
    """Return what was typed or sent; a file goes before rows that were pasted."""
    sent = request.POST if request.method == "POST" else request.GET
    found: dict[str, str | bytes] = {
        ask.name: sent[ask.name] for ask in one.inputs if ask.name in sent
    }
    for ask in one.inputs:
        file = request.FILES.get(f"{ask.name}_file")
        if ask.kind == "file" and file is not None:
            found[ask.name] = file.read()
    return found


def _first(one: Calculation, home: FarmView, units: Units) -> dict[str, str | bytes]:
    """Return what stands in the form before anybody writes: the farm's own where it is known."""
    own = {
        "altitude": home.altitude,
        "today": clock.today(home.zone).isoformat(),
        "coliform-tested": home.water_test.isoformat() if home.water_test else "",
    }
    return {ask.name: own.get(ask.name) or ask.first(units) for ask in one.inputs}


def _answer(
    one: Calculation, values: Mapping[str, str | bytes], units: Units
) -> tuple[Result | None, tuple[InputError, ...]]:
    try:
        return catalogue.work_out(one, values, units=units), ()
    except InputFaultsError as error:
        return None, error.faults


def _form(
    one: Calculation, values: Mapping[str, str | bytes], faults: tuple[InputError, ...]
) -> dict[str, object]:
    fields = asked([_ask(ask) for ask in one.inputs], _texts(values), faults=faults)
    names = {field.name for field in fields}
    return {
        "fields": fields,
        "faults": faults,
        "general": [fault.problem for fault in faults if fault.name not in names],
        "sends_file": any(ask.kind == "file" for ask in one.inputs),
    }


def _ask(ask: Input) -> Ask:
    kind = "file" if ask.kind == "file" else _FIELDS.get(ask.kind, "text")
    return Ask(
        ask.name,
        ask.label,
        ask.hint,
        kind=kind,
        options=[(code, words) for code, words in ask.options],
        wide=kind in {"file", "lines"} or any(len(words) > _LONG for _code, words in ask.options),
    )


def _texts(values: Mapping[str, str | bytes]) -> dict[str, str]:
    """Return values as they stand in a form; a large file does not."""
    return {
        name: value
        if isinstance(value, str)
        else value.decode("utf-8-sig", "replace")
        if len(value) <= _SHOWN_AGAIN
        else ""
        for name, value in values.items()
    }
