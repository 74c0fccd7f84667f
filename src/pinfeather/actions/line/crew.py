"""Who should stand where on a planned day."""

from __future__ import annotations

from dataclasses import dataclass

from pinfeather.actions.day import days
from pinfeather.actions.day.days import DayView
from pinfeather.actions.farm import people
from pinfeather.actions.line.what_if import as_it_stands, as_planned, own_times
from pinfeather.day.crew_options import CrewAdvice, crew_advice
from pinfeather.errors import InputError, RecordConflictError
from pinfeather.words import gettext as _


@dataclass(frozen=True, slots=True)
class CrewView:
    """A day and the ways to place its people."""

    day: DayView
    advice: CrewAdvice


def crew(day_id: int) -> CrewView:
    """Compare the ways to place a day's people, with what the farm's list says they can do.

    Raises
    ------
    RecordNotFoundError
        If there is no such day.
    """
    view = days.day(day_id)
    known = {one.name: frozenset(one.stations) for one in people()}
    advice = crew_advice(
        as_planned(view.request, view.plan),
        skills=known,
        now=as_it_stands(view),
        times=own_times(view.plan),
    )
    return CrewView(view, advice)


def take_crew(day_id: int, option: str, *, version: int | None) -> int:
    """Give everybody the stations of one way and save the plan; return the day's number.

    Raises
    ------
    InputError
        If there is no such way.
    RecordConflictError
        If somebody else changed the day meanwhile, or it has begun.
    RecordNotFoundError
        If there is no such day.
    """
    view = crew(day_id)
    if view.day.status != "planned":
        raise RecordConflictError(_("This day has begun; its plan is changed on its own page."))
    found = next((one for one in view.advice.options if one.code == option), None)
    if found is None:
        raise InputError("option", option, _("There is no such way to place the people."))
    mapping = dict(view.day.mapping)
    mapping["people"] = [
        {**person, "stations": list(stations)}
        for person, stations in zip(mapping["people"], found.stations, strict=True)
    ]
    return days.save_plan(mapping, day_id=day_id, version=version)
