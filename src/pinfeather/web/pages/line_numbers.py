"""The farm's own times beside the handbook's."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _

from pinfeather import clock
from pinfeather.actions.day import shopfloor
from pinfeather.actions.line import numbers
from pinfeather.day.practice import FEW_DAYS
from pinfeather.web.pages.days import strip_pictures


def line_numbers(request: HttpRequest) -> HttpResponse:
    """Show prior, data and posterior; take a learned pace into the list of people."""
    if request.method == "POST":
        numbers.take_pace(request.POST.get("name", ""))
        messages.success(request, _("Saved."))
        return redirect("line_numbers")
    found = numbers.line_numbers()
    kinds = [(kind, found.practice.get(kind.species, ())) for kind in found.kinds]
    context = {"kinds": kinds, "few": FEW_DAYS}
    return render(request, "pinfeather/line_numbers.html", context)


def hindsight(request: HttpRequest, day_id: int) -> HttpResponse:
    """Show where the plan of a day was wrong and why."""
    floor = shopfloor.floor(day_id, now=clock.now())
    context = {
        "day": floor.day,
        "found": numbers.day_hindsight(day_id),
        "svg": strip_pictures(floor, now=None),
    }
    return render(request, "pinfeather/hindsight.html", context)
