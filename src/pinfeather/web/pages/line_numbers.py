"""The farm's own times beside the handbook's."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _

from pinfeather.actions import days as day_actions
from pinfeather.actions import line_numbers as numbers


def line_numbers(request: HttpRequest) -> HttpResponse:
    """Show prior, data and posterior; take a learned pace into the list of people."""
    if request.method == "POST":
        numbers.take_pace(request.POST.get("name", ""))
        messages.success(request, _("Saved."))
        return redirect("line_numbers")
    return render(
        request, "pinfeather/line_numbers.html", {"found": numbers.line_numbers(), "all": True}
    )


def hindsight(request: HttpRequest, day_id: int) -> HttpResponse:
    """Show where the plan of a day was wrong and why."""
    return render(
        request,
        "pinfeather/hindsight.html",
        {"day": day_actions.day(day_id), "found": numbers.day_hindsight(day_id)},
    )
