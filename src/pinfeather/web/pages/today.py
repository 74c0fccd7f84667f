"""The first page: what is due today."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _

from pinfeather import clock
from pinfeather.actions import home as homes
from pinfeather.actions.day import days as day_actions
from pinfeather.actions.day import shopfloor
from pinfeather.web.door import at_the_farm_computer


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
            "start",
            _("Name the farm"),
            _("Four short questions."),
            named,
        ),
        Step(
            "first_day",
            _("Plan a day"),
            _("How many birds, and who is there; the rest is worked out."),
            planned,
        ),
        Step(
            "thermometers",
            _("Check a thermometer in ice"),
            _("Only a checked thermometer can prove a bird cold."),
            bool(shopfloor.ice_points(now)),
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
    # the part that renews itself is the running day's; the lists below it are not looked at then
    renewed = bool(request.headers.get("HX-Request"))
    here = (
        homes.Home((), (), ())
        if renewed
        else homes.home(now=now, farm_computer=at_the_farm_computer(request))
    )
    return render(
        request,
        "pinfeather/today.html",
        {
            "date": date,
            "now": now,
            "running": running,
            "home": home,
            "parts": [
                ("due", _("Due"), here.due),
                ("decide", _("To decide"), here.decide),
                ("risk", _("At risk"), here.risk),
            ],
            "quiet": not running and not (here.due or here.decide or here.risk),
            "steps": steps,
            "first_step": next((step.page for step in steps if not step.done), ""),
            "nothing_planned": not lines,
        },
    )
