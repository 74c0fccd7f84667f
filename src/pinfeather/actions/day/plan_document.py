"""The plan on paper, and its to-do list for a calendar."""

from __future__ import annotations

import datetime as dt

from pinfeather import clock
from pinfeather.actions.day import days, pictures
from pinfeather.actions.farm import farm
from pinfeather.day.plan import left_over_words
from pinfeather.heat.scalder import propane_cautions, scald_cautions
from pinfeather.hygiene.dilution import MIXING_CAUTIONS
from pinfeather.quantity import show
from pinfeather.reports.calendar import CalendarItem, calendar_ics
from pinfeather.reports.day_plan import (
    DayPlanSheet,
    NumberRow,
    PersonCard,
    StationRow,
    Supply,
    Todo,
    day_plan_pdf,
)
from pinfeather.reports.sheet_parts import Answer
from pinfeather.words import gettext as _
from pinfeather.words import gettext_noop, ngettext

_KNIFE_CAUTION = gettext_noop(
    "Knives: cut-resistant glove on the free hand, sheathed when put down."
)


def plan_pdf(day_id: int, *, printed_at: dt.datetime) -> bytes:
    """Return the plan of a day as a PDF.

    Raises
    ------
    RecordNotFoundError
        If there is no such day.
    """
    day, home = days.day(day_id), farm()
    plan, zone = day.plan, clock.zone(day.zone)
    metric = home.units == "metric"
    mass = "kg" if metric else "lb"

    def at(after_s: float | None) -> str:
        return _("never") if after_s is None else f"{day.moment(after_s).astimezone(zone):%H:%M}"

    colds = [one.cold_s for one in plan.classes]
    sheet = DayPlanSheet(
        farm=home.name,
        title=_("{date}: {birds}").format(
            date=f"{day.date:%A} {day.date.day} {day.date:%B %Y}",
            birds=ngettext("{n} bird", "{n} birds", plan.birds).format(n=plan.birds),
        ),
        subtitle="; ".join(
            _("lot {code}, {n} × {kind}").format(code=lot.code, n=lot.count, kind=lot.species)
            for lot in day.request.lots
        )
        + ". "
        + _("First bird at {time}. {people}.").format(
            time=f"{day.request.start:%H:%M}",
            people=", ".join(person.name for person in day.request.people),
        ),
        answers=(
            Answer(
                _("All packed by"),
                _("not all") if plan.unfinished else at(plan.finish_s.value),
                "",
                left_over_words(plan)
                or _("{low} to {high}, eight days in ten").format(
                    low=at(plan.finish_s.low), high=at(plan.finish_s.high)
                ),
            ),
            Answer(_("Line done by"), at(plan.line_end_s), "", plan.bottleneck.name),
            Answer(
                _("All cold by"),
                at(None if None in colds else max(c for c in colds if c is not None)),
                "",
                _("expected; a probe proves it"),
            ),
            Answer(_("Ice"), *_number(show(plan.ice_kg, mass, "mass", decimals=0)), note=""),
            Answer(
                _("Burner on"),
                _("never hot")
                if plan.scald.light_before_s is None
                else at(-plan.scald.light_before_s),
                "",
                show(plan.scald.propane_kg, mass, "mass", decimals=1) + " " + _("propane"),
            ),
        ),
        findings=plan.findings,
        strip=pictures.day_strip(day),
        todos=tuple(
            Todo(
                day.moment(todo.at_s).astimezone(zone),
                todo.words
                + (
                    " " + _("Every {n:.0f} min.").format(n=todo.every_s / 60)
                    if todo.every_s
                    else ""
                ),
                "",
                todo.caution,
            )
            for todo in plan.todo
        ),
        people=tuple(
            PersonCard(
                person.name,
                "",
                tuple(
                    f"{at(s.from_s)}–{at(s.until_s)} "
                    + ", ".join(_(pictures.STATION_WORDS[c]).lower() for c in s.stations)
                    for s in person.stretches
                ),
            )
            for person in plan.people
        ),
        supplies=tuple(Supply(s.name, s.amount, s.reason) for s in plan.supplies),
        stations=_station_rows(day),
        numbers=tuple(
            NumberRow(n.name, n.value, n.band, n.basis.note, n.basis.status) for n in plan.numbers
        ),
        cautions=(
            *scald_cautions(),
            *propane_cautions(),
            *(_(sentence) for sentence in MIXING_CAUTIONS[:3]),
            _(_KNIFE_CAUTION),
        ),
        demo=home.demo,
    )
    return day_plan_pdf(sheet, printed_at=printed_at.astimezone(zone), clock="24h")


def _number(text: str) -> tuple[str, str]:
    value, _space, unit = text.partition("\u202f")
    return value, unit


def _station_rows(day: days.DayView) -> tuple[StationRow, ...]:
    zone = clock.zone(day.zone)
    return tuple(
        StationRow(
            station=_(pictures.STATION_WORDS[one.code]),
            people=", ".join(
                p.name for p in day.plan.people if any(one.code in s.stations for s in p.stretches)
            ),
            per_bird=_short(one.work_s),
            busy=f"{100 * one.busy_frac:.0f} %" if one.code != "chill" else "",
            waiting=_short(one.wait_longest_s),
            first=f"{day.moment(one.first_s).astimezone(zone):%H:%M}",
            last=f"{day.moment(one.last_s).astimezone(zone):%H:%M}",
        )
        for one in day.plan.station_plans
    )


def _short(time_s: float) -> str:
    if time_s < 120:  # noqa: PLR2004 - seconds read better below two minutes
        return _("{n:.0f} s").format(n=time_s)
    return _("{n:.0f} min").format(n=time_s / 60)


def todo_ics(day_id: int, *, stamp: dt.datetime) -> bytes:
    """Return the to-do list of a day as a calendar file.

    Raises
    ------
    RecordNotFoundError
        If there is no such day.
    """
    day, home = days.day(day_id), farm()
    zone = clock.zone(day.zone)
    items = [
        CalendarItem(
            key=f"{day.date.isoformat()}-{day.id}-{number}",
            start=day.moment(todo.at_s).astimezone(zone),
            title=todo.words,
            detail=todo.caution,
            place=home.name,
        )
        for number, todo in enumerate(day.plan.todo)
    ]
    name = _("{farm}: processing day {date}").format(farm=home.name, date=day.date.isoformat())
    return calendar_ics(items, name=name, stamp=stamp)
