"""Where our numbers come from: handbook against the farm's own data, and how they moved."""

from __future__ import annotations

from dataclasses import replace
from typing import Any, Final

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.safestring import mark_safe
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from pinfeather.actions.day.days import farm_today
from pinfeather.actions.learned.moved import MovedNumber, numbers_csv, planning_numbers
from pinfeather.estimate import Estimate
from pinfeather.reports.moved import MovedPicture, moved_svg
from pinfeather.web import words
from pinfeather.web.templatetags.show import species, station

_ROOMS: Final = (
    ("line", gettext_lazy("Work on one bird"), "line_numbers"),
    ("chill", gettext_lazy("Chill"), "own_numbers"),
    ("flock", gettext_lazy("Growth, losses, dressing"), "lot_numbers"),
)
_NAMES: Final = {
    "breast of a 1 kg bird": gettext_lazy("Breast of a 1 kg bird"),
    "heat into the water": gettext_lazy("Heat through the skin into the water"),
}
_DECIMALS: Final = {"mm": 1, "1": 2}


def moved_numbers(request: HttpRequest) -> HttpResponse:
    """Show each planning number with its handbook value, today's, and the way between."""
    _home, today = farm_today()
    found = planning_numbers(today=today)
    rooms = [
        {"title": title, "more": page, "rows": [_row(one) for one in found if one.room == room]}
        for room, title, page in _ROOMS
    ]
    return render(request, "pinfeather/moved_numbers.html", {"rooms": rooms})


def moved_numbers_csv(request: HttpRequest) -> HttpResponse:  # noqa: ARG001 - a view's signature
    """Give the same as a table."""
    _home, today = farm_today()
    content = numbers_csv(planning_numbers(today=today))
    response = HttpResponse(content, content_type="text/csv; charset=utf-8")
    response.headers["Content-Disposition"] = 'attachment; filename="planning-numbers.csv"'
    return response


def _row(one: MovedNumber) -> dict[str, Any]:
    about, name = _about(one)
    picture = ""
    if one.steps:
        unit = "" if one.unit == "1" else one.unit
        shown = MovedPicture(
            f"{about}, {name}",
            unit,
            _scaled(one.handbook, one.unit),
            [(step.on, _scaled(step.now, one.unit)) for step in one.steps],
            _DECIMALS.get(one.unit, 0),
        )
        picture = mark_safe(moved_svg(shown))  # noqa: S308 - our own drawing, its texts escaped
    return {
        "about": about,
        "name": name,
        "handbook": _shown(one.handbook, one.unit),
        "now": _shown(one.now, one.unit),
        "own": bool(one.steps),
        "basis": one.now.basis,
        "picture": picture,
    }


def _about(one: MovedNumber) -> tuple[str, str]:
    """Return what a number is about and its name, in words."""
    if one.room == "line":
        kind, at = one.of
        place = str(station(at))
        return str(species(kind)), place if one.name == at else f"{place}: {one.name}"
    if one.room == "chill":
        build, bath = one.of
        tank = _("stirred tank") if bath == "stirred" else _("still tank")
        kind = str(dict(words.BUILDS)[build])
        return _("{kind}, {tank}").format(kind=kind, tank=tank), str(_NAMES[one.name])
    return one.of[1] or str(species(one.of[0])), one.name


def _scaled(one: Estimate, unit: str) -> Estimate:
    if unit != "mm":
        return one
    return replace(one, value=1000 * one.value, low=1000 * one.low, high=1000 * one.high)


def _shown(one: Estimate, unit: str) -> dict[str, str]:
    scaled, decimals = _scaled(one, unit), _DECIMALS.get(unit, 0)
    low, value, high = (f"{x:.{decimals}f}" for x in (scaled.low, scaled.value, scaled.high))
    return {"value": value if unit == "1" else f"{value}\u202f{unit}", "band": f"{low}–{high}"}
