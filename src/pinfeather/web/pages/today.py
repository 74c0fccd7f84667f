"""The first page: what is due today."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from pinfeather import clock
from pinfeather.actions import days as day_actions
from pinfeather.actions import shopfloor
from pinfeather.web.dayview import plan_facts


def today(request: HttpRequest) -> HttpResponse:
    """Show what is due today, what needs a decision, what is at risk."""
    home, date = day_actions.farm_today()
    now = clock.now()
    lines = day_actions.days()
    running = [shopfloor.floor(line.id, now=now) for line in lines if line.status == "running"]
    planned = [line for line in lines if line.status == "planned" and line.date >= date]
    soonest = min(planned, key=lambda line: (line.date, line.id), default=None)
    next_day = None if soonest is None else day_actions.day(soonest.id)
    return render(
        request,
        "pinfeather/today.html",
        {
            "date": date,
            "now": now,
            "running": running,
            "next_day": next_day,
            "next_facts": [] if next_day is None else plan_facts(next_day)[:4],
            "overdue": [line for line in lines if line.status == "planned" and line.date < date],
            "home": home,
            "last": next((line for line in lines if line.status == "closed"), None),
        },
    )
