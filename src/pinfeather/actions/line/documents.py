"""Crew cards and the wall sheet of a planned day."""

from __future__ import annotations

import datetime as dt
from typing import Final

from pinfeather import clock
from pinfeather.actions.day import days, pictures
from pinfeather.actions.day.days import DayView
from pinfeather.actions.farm import farm
from pinfeather.day.plan import PersonPlan, Stretch, left_over_words
from pinfeather.line.stations import DIRTY_SIDE, PACKING, STATION_CODES
from pinfeather.reports.crew_cards import CardLine, CrewCard, crew_cards_pdf
from pinfeather.reports.sheet_parts import Answer
from pinfeather.reports.wall_strip import WallPaper, WallTime, wall_strip_pdf
from pinfeather.words import gettext as _
from pinfeather.words import ngettext

_MOST_TIMES: Final = 8
_SHORT_S: Final = 180.0
"""A stretch shorter than this is no line of its own on a card [s]. Assumed."""
_SHOWN_TASKS: Final = frozenset({"burner", "sanitiser", "ice", "first", "line_end", "probe", "due"})


def _title(day: DayView) -> str:
    return _("{date}: {birds}").format(
        date=f"{day.date:%A} {day.date.day} {day.date:%B %Y}",
        birds=ngettext("{n} bird", "{n} birds", day.plan.birds).format(n=day.plan.birds),
    )


def _at(day: DayView, after_s: float) -> str:
    return f"{day.moment(after_s).astimezone(clock.zone(day.zone)):%H:%M}"


def crew_pdf(day_id: int, *, printed_at: dt.datetime) -> bytes:
    """Return a card for each person of a day.

    Raises
    ------
    RecordNotFoundError
        If there is no such day.
    """
    day, home = days.day(day_id), farm()
    hours = {one.name: f"{one.begins:%H:%M}–{one.ends:%H:%M}" for one in day.request.people}
    return crew_cards_pdf(
        tuple(_card(day, one, hours.get(one.name, "")) for one in day.plan.people),
        farm=home.name,
        title=_title(day),
        demo=home.demo,
        printed_at=printed_at.astimezone(clock.zone(day.zone)),
        paper="a4" if home.units == "metric" else "us-letter",
    )


def _card(day: DayView, person: PersonPlan, hours: str) -> CrewCard:
    lines = []
    before: Stretch | None = None
    for one in _joined(person.stretches):
        wash = before is not None and _dirty(before) and not _dirty(one)
        lines.append(
            CardLine(
                _at(day, one.from_s),
                _at(day, one.until_s),
                ", ".join(_(pictures.STATION_WORDS[code]) for code in one.stations),
                _side(one),
                _("Wash and change first.") if wash else "",
            )
        )
        before = one
    stations = {code for one in person.stretches for code in one.stations}
    after = (
        _("clean up with everybody from {time}.").format(time=_at(day, day.plan.end_s))
        if lines
        else _("nothing fixed: ask who needs a hand, and rest the others.")
    )
    return CrewCard(person.name, hours, tuple(lines), after, _cautions(stations))


def _joined(stretches: tuple[Stretch, ...]) -> list[Stretch]:
    """Join what is too short for a line of its own to the one before, on the same side."""
    found: list[Stretch] = []
    for one in stretches:
        last = found[-1] if found else None
        if last and one.until_s - one.from_s < _SHORT_S and _dirty(last) == _dirty(one):
            codes = {*last.stations, *one.stations}
            found[-1] = Stretch(
                tuple(code for code in STATION_CODES if code in codes), last.from_s, one.until_s
            )
        else:
            found.append(one)
    return found


def _dirty(stretch: Stretch) -> bool:
    return stretch.stations[0] in DIRTY_SIDE


def _side(stretch: Stretch) -> str:
    if stretch.stations[0] in PACKING:
        return _("packing")
    return _("dirty side") if _dirty(stretch) else _("clean side")


def _cautions(stations: set[str]) -> tuple[str, ...]:
    found = []
    if stations & {"kill", "draw"}:
        found.append(_("Knives: cut-resistant glove on the free hand, sheathed when put down."))
    if "scald" in stations:
        found.append(_("Scald water burns in seconds: long gloves, steady footing."))
    if "kill" in stations:
        found.append(_("No breath, no blink before the scald; a clock does not replace looking."))
    if "pick" in stations:
        found.append(_("Hands out of the turning picker; ground-fault switch."))
    return tuple(found)


def wall_pdf(day_id: int, *, printed_at: dt.datetime, paper: WallPaper = "us-tabloid") -> bytes:
    """Return the strip of a day as a sheet for the wall.

    Raises
    ------
    RecordNotFoundError
        If there is no such day.
    """
    day, home = days.day(day_id), farm()
    plan = day.plan
    colds = [one.cold_s for one in plan.classes]
    cold = None if None in colds else max((c for c in colds if c is not None), default=None)
    answers = (
        Answer(_("First bird"), _at(day, 0.0)),
        Answer(_("Line done by"), _at(day, plan.line_end_s), "", plan.bottleneck.name),
        Answer(
            _("All cold by"),
            _("never") if cold is None else _at(day, cold),
            "",
            _("expected; a probe proves it"),
        ),
        Answer(
            _("All packed by"),
            _("not all") if plan.unfinished else _at(day, plan.finish_s.value),
            "",
            left_over_words(plan)
            or _("{low} to {high}, eight days in ten").format(
                low=_at(day, plan.finish_s.low), high=_at(day, plan.finish_s.high)
            ),
        ),
    )
    moments = [one for one in plan.todo if one.code in _SHOWN_TASKS and one.at_s > -7200]  # noqa: PLR2004 - two hours
    return wall_strip_pdf(
        pictures.day_strip(day),
        farm=home.name,
        title=_title(day),
        answers=answers,
        times=tuple(WallTime(_at(day, one.at_s), one.words) for one in moments[:_MOST_TIMES]),
        demo=home.demo,
        printed_at=printed_at.astimezone(clock.zone(day.zone)),
        paper=paper,
    )
