"""Closing a day."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _

from pinfeather import clock
from pinfeather.actions.day import closing, running
from pinfeather.errors import InputError, InputFaultsError
from pinfeather.web.who import pick, who


def close(request: HttpRequest, day_id: int) -> HttpResponse:
    """Show what stands against closing; take written actions; seal the day."""
    now = clock.now()
    faults: list[str] = []
    typed: dict[str, Any] = {}
    if request.method == "POST":
        typed = request.POST.dict()
        name = typed.get("who") or who(request)
        pick(request, name)
        try:
            if typed.get("act") == "answer":
                closing.answer(
                    day_id,
                    finding=typed.get("finding", ""),
                    where=typed.get("where", ""),
                    text=typed.get("text", ""),
                    who=name,
                )
                return redirect("close_day", day_id=day_id)
            if typed.get("act") == "missed":
                closing.add_missed(
                    day_id,
                    after=typed.get("after", ""),
                    before=typed.get("before", ""),
                    who=name,
                    now=now,
                )
                return redirect("close_day", day_id=day_id)
            closing.close(day_id, who=name, now=now)
        except InputFaultsError as error:
            faults = [fault.problem for fault in error.faults]
        except InputError as fault:
            faults = [fault.problem]
        else:
            messages.success(request, _("The day is closed and sealed."))
            return redirect("day", day_id=day_id)
    judgement = closing.judge(day_id, now=now)
    return render(
        request,
        "pinfeather/close.html",
        {
            "day": judgement.day,
            "judgement": judgement,
            "open": judgement.unanswered,
            "answered": [one for one in judgement.findings if one.answered],
            "counts": [(code, judgement.done.count(code)) for code in judgement.done.stations],
            "faults": faults,
            "typed": typed,
            "people": judgement.day.request.people,
            "who": who(request),
        },
        status=422 if faults else 200,
    )


def correct(request: HttpRequest, day_id: int) -> HttpResponse:
    """Write a note on a closed day; it stays visible as later."""
    text = request.POST.get("text", "").strip()
    if request.method == "POST" and text:
        name = request.POST.get("who") or who(request)
        running.write("correction", {"of": "day", "reason": text}, day_id=day_id, who=name)
        messages.success(request, _("Written down as a later correction."))
    elif request.method == "POST":
        messages.error(request, _("Write what is to be corrected."))
    return redirect("day", day_id=day_id)
