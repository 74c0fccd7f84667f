"""The first page: what is due today."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _

from pinfeather import clock
from pinfeather.actions import days as day_actions
from pinfeather.actions import season as season_actions
from pinfeather.actions import shopfloor
from pinfeather.web.dayview import plan_facts
from pinfeather.web.seasonview import days_left


@dataclass(frozen=True, slots=True)
class Step:
    """One of the first steps on an empty farm."""

    page: str
    title: str
    why: str
    done: bool


def _steps(named: bool, planned: bool, *, now: dt.datetime) -> list[Step]:
    """Return the first steps while one of them is still to do."""
    steps = [
        Step(
            "farm",
            _("Name the farm"),
            _("What stands on labels, and which rules apply."),
            named,
        ),
        Step(
            "thermometers",
            _("Check a thermometer in ice"),
            _("Only a checked thermometer can prove a bird cold."),
            bool(shopfloor.ice_points(now)),
        ),
        Step(
            "new_day",
            _("Plan a day"),
            _("Birds, people, cones, ice; the rest is worked out."),
            planned,
        ),
    ]
    return [] if all(step.done for step in steps) else steps


def today(request: HttpRequest) -> HttpResponse:
    """Show what is due today, what needs a decision, what is at risk."""
    home, date = day_actions.farm_today()
    now = clock.now()
    lines = day_actions.open_days()
    last = day_actions.last_closed()
    steps = _steps(home.ready, bool(lines or last), now=now)
    running = [shopfloor.floor(line.id, now=now) for line in lines if line.status == "running"]
    planned = [line for line in lines if line.status == "planned" and line.date >= date]
    soonest = min(planned, key=lambda line: (line.date, line.id), default=None)
    next_day = None if soonest is None else day_actions.day(soonest.id)
    task = season_actions.next_task(date)
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
            "season_task": task,
            "season_left": days_left(task.row.on, date) if task else "",
            "steps": steps,
            "first_step": next((step.page for step in steps if not step.done), ""),
            "last": last,
        },
    )
