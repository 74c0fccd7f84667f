"""Lots: all of them, one of them, its best day, and what finished ones taught."""

from __future__ import annotations

import datetime as dt
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _

from pinfeather import quantity
from pinfeather.actions.calc.model import Input
from pinfeather.actions.flock import best as flock_best
from pinfeather.actions.flock import books as flocks
from pinfeather.actions.flock import learning as flock_learning
from pinfeather.actions.flock import pictures as flock_pictures
from pinfeather.actions.flock import view as flock_view
from pinfeather.actions.flock.view import LotDetail
from pinfeather.errors import InputError, InputFaultsError
from pinfeather.reports.growth_curve import MassUnit, growth_rows, growth_svg
from pinfeather.web import lotview
from pinfeather.web.asking import Ask, asked
from pinfeather.web.dayview import mass_unit

_FIELDS = {"choice": "choice", "integer": "number"}
_RECENT = 8
"""Lines of a lot's life that stand open on its page."""


def lots(request: HttpRequest) -> HttpResponse:
    """List the lots, the ones that need somebody first."""
    found = flock_view.lots_now()
    return render(request, "pinfeather/lots.html", {"groups": lotview.list_rows(found)})


def lot(request: HttpRequest, code: str) -> HttpResponse:
    """Show how one lot is doing."""
    typed = {"on": request.GET.get("on", ""), "classes": request.GET.get("classes", "")}
    faults: list[InputError] = []
    dates, edges = _date(typed["on"], faults), _edges(typed["classes"], faults)
    try:
        found = flock_view.detail(code, dates=dates, edges_kg=edges)
    except InputError as fault:
        faults.append(InputError("classes", typed["classes"], fault.problem))
        found = flock_view.detail(code, dates=dates)
    if not typed["classes"]:
        typed["classes"] = lotview.edges_words(found)
    asks = (
        Ask("on", _("On another day"), kind="date"),
        Ask(
            "classes",
            _("Weights between size classes"),
            _("Dressed, such as 4 lb; 5 lb."),
            wide=True,
        ),
    )
    context = _lot_context(found)
    context["fields"] = asked(asks, typed, faults=faults)
    return render(request, "pinfeather/lot.html", context, status=422 if faults else 200)


def _lot_context(found: LotDetail) -> dict[str, Any]:
    now = found.now
    picture = flock_pictures.growth_picture(now)
    unit: MassUnit = "kg" if mass_unit() == "kg" else "lb"
    svg: dict[str, str] = {}
    rows: tuple[tuple[str, ...], ...] = ()
    if picture is not None:
        svg = {
            "wide": growth_svg(picture, width=900, unit=unit, ident="growth-wide"),
            "narrow": growth_svg(picture, width=340, unit=unit, ident="growth-narrow"),
        }
        rows = growth_rows(picture, unit=unit)
    findings = {f.sentence for f in now.findings}
    entries = list(reversed(now.book.entries))
    return {
        "found": found,
        "now": now,
        "age": lotview.age_words(now),
        "facts": lotview.facts(found),
        "todo": [words for words in now.todo if words not in findings],
        "svg": svg,
        "growth_rows": rows,
        "unit": unit,
        "looks": lotview.look_rows(found),
        "classes": lotview.class_rows(found),
        "feed": lotview.feed_rows(found),
        "feed_words": lotview.feed_words(found),
        "pens": lotview.pen_rows(found),
        "room": lotview.room_words(found),
        "losses": lotview.loss_rows(now),
        "balance": lotview.balance_words(now),
        "bought": lotview.bought_rows(found),
        "recent": entries[:_RECENT],
        "earlier": entries[_RECENT:],
        "dressing": now.numbers.dressing,
    }


def _date(text: str, faults: list[InputError]) -> tuple[dt.date, ...]:
    if not text:
        return ()
    try:
        return (dt.date.fromisoformat(text),)
    except ValueError:
        faults.append(InputError("on", text, _("Give a date, such as 2026-06-17.")))
        return ()


def _edges(text: str, faults: list[InputError]) -> tuple[float, ...] | None:
    if not text.strip():
        return None
    try:
        parts = [part for part in text.split(";") if part.strip()]
        return tuple(quantity.parse(part, "mass", name="classes").si for part in parts)
    except InputError as fault:
        faults.append(fault)
        return None


def when(request: HttpRequest, code: str) -> HttpResponse:
    """Say which day to process a lot on, and what a week either way costs."""
    values = flock_best.first_values()
    values |= {name: request.GET[name].strip() for name in values if name in request.GET}
    faults: tuple[InputError, ...] = ()
    found = None
    try:
        found = flock_best.when(code, values)
    except InputFaultsError as error:
        faults = error.faults
    now = found.now if found else flock_view.lot_now(code)
    fields = asked([_ask(one) for one in flock_best.asks()], values, faults=faults)
    shown = {field.name for field in fields}
    return render(
        request,
        "pinfeather/lot_when.html",
        {
            "now": now,
            "best": lotview.best_words(found.found) if found and found.found else None,
            "why_not": found is not None and found.found is None,
            "fields": fields,
            "faults": faults,
            "general": [fault.problem for fault in faults if fault.name not in shown],
        },
        status=422 if faults else 200,
    )


def _ask(one: Input) -> Ask:
    kind = _FIELDS.get(one.kind, "text")
    return Ask(one.name, one.label, one.hint, kind=kind, wide=one.name in {"classes", "refused"})


def numbers(request: HttpRequest) -> HttpResponse:
    """Show what finished lots taught: before, data, after."""
    done = flock_learning.finished(flocks.books())
    groups = lotview.lesson_groups(flock_learning.lessons(done))
    return render(request, "pinfeather/lot_numbers.html", {"groups": groups})
