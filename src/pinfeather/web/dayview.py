"""The large figures at the head of a day, in the farm's units."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop, ngettext

from pinfeather import clock
from pinfeather.actions.day.days import DayView, farm_today
from pinfeather.actions.day.shopfloor import Floor
from pinfeather.day.plan import DayPlan, left_over_words
from pinfeather.day.what_if import Side
from pinfeather.line.replicate import Gain, line_busy_s
from pinfeather.units import from_si

_SMALL_GAIN_S = 120.0


@dataclass(frozen=True, slots=True)
class Fact:
    """One large figure with its label and its reason."""

    label: str
    value: str
    unit: str
    why: str


def _time(day: DayView, after_s: float | None) -> str:
    if after_s is None:
        return _("never")
    moment = day.moment(after_s).astimezone(clock.zone(day.zone))
    return moment.strftime("%H:%M")


def mass_unit() -> str:
    """Return the farm's unit of mass."""
    home, _today = farm_today()
    return "kg" if home.units == "metric" else "lb"


def plan_facts(day: DayView) -> list[Fact]:
    """Return the figures of a plan: done, cold, ice, burner."""
    plan, unit = day.plan, mass_unit()
    colds = [c.cold_s for c in plan.classes]
    last_cold = None if None in colds else max((c for c in colds if c is not None), default=None)
    light = plan.scald.light_before_s
    need = from_si(plan.ice_kg, unit, "mass")
    have = from_si(day.request.equipment.ice_kg, unit, "mass")
    return [
        not_all(plan)
        or Fact(
            _("All packed by"),
            _time(day, plan.finish_s.value),
            "",
            _("between {low} and {high}, eight days in ten").format(
                low=_time(day, plan.finish_s.low), high=_time(day, plan.finish_s.high)
            ),
        ),
        Fact(
            _("Line done"),
            _time(day, plan.line_end_s),
            "",
            _bottleneck_words(plan),
        ),
        Fact(
            _("All cold by"),
            _time(day, last_cold),
            "",
            _("largest bird, if ice floats all the time; a probe proves it"),
        ),
        Fact(
            _("Ice needed"),
            f"{need:.0f}",
            unit,
            _("{have:.0f} {unit} on hand").format(have=have, unit=unit),
        ),
        Fact(
            _("Light the burner"),
            _("never hot") if light is None else _time(day, -light),
            "",
            _("propane {n:.1f} {unit} with a quarter spare").format(
                n=from_si(plan.scald.propane_kg, unit, "mass"), unit=unit
            ),
        ),
        Fact(
            _("Cones"),
            str(plan.cones_needed),
            _("of {n}").format(n=day.request.equipment.cones),
            _("needed to keep up"),
        ),
    ]


def not_all(plan: DayPlan) -> Fact | None:
    """Return the figure that stands for the finish where birds are left over."""
    words = left_over_words(plan)
    return Fact(_("All packed by"), _("not all"), "", words) if words else None


def _bottleneck_words(plan: DayPlan) -> str:
    busy = round(100 * plan.bottleneck.utilisation)
    if plan.bottleneck.kind == "people":
        return _("paced by {name}, busy {n} % of the time").format(
            name=plan.bottleneck.name, n=busy
        )
    return _("paced by the {name} station, in use {n} % of the time").format(
        name=plan.bottleneck.name, n=busy
    )


def day_facts(floor: Floor) -> list[Fact]:
    """Return the figures of a running day: packed, behind, on the line, ice."""
    day, done = floor.day, floor.done
    last = "draw" if done.count("draw") < day.plan.birds else "bag"
    behind = _behind(floor, last)
    left_s = day.plan.finish_s.value + behind.total_seconds()
    minutes = round(abs(behind.total_seconds()) / 60)
    in_tank = done.count("chill") - done.count("bag") - done.explained_after("chill")
    return [
        Fact(
            _("In the tank or packed"),
            str(done.count("chill")),
            _("of {n}").format(n=day.plan.birds),
            _("{killed} killed, {drawn} drawn").format(
                killed=done.count("kill"), drawn=done.count("draw")
            ),
        ),
        Fact(
            _("Behind the plan") if behind >= dt.timedelta(0) else _("Ahead of the plan"),
            str(minutes),
            _("min"),
            _("by the birds drawn so far") if last == "draw" else _("by the birds packed so far"),
        ),
        not_all(day.plan)
        or Fact(
            _("All packed by"),
            _time(day, left_s),
            "",
            _("if the rest goes as planned"),
        ),
        Fact(
            _("In ice now"),
            str(max(0, in_tank)),
            ngettext("bird", "birds", max(0, in_tank)),
            _("{n} packed").format(n=done.count("bag")),
        ),
    ]


def _behind(floor: Floor, station: str) -> dt.timedelta:
    """Compare the newest count at a station with the plan's time for the same bird."""
    day, times = floor.day, floor.done.times(station)
    if not times:
        return floor.behind
    column = day.plan.stations.index(station)
    planned = sorted(s for thread in day.plan.threads if (s := thread.finish_s[column]) is not None)
    if len(times) > len(planned):
        return floor.behind
    return times[-1] - day.moment(planned[len(times) - 1])


@dataclass(frozen=True, slots=True)
class GainRow:
    """What one more of something would save, in words."""

    words: str
    saved: str
    why: str


_PLACES: Mapping[str, tuple[str, str]] = {
    "kill": (gettext_noop("One more cone"), gettext_noop("One more person at the cones")),
    "scald": (gettext_noop("A second scalder"), gettext_noop("One more person scalding")),
    "pick": (gettext_noop("A second picker"), gettext_noop("One more person picking")),
    "draw": (gettext_noop("One more place at the table"), gettext_noop("One more person drawing")),
    "rinse": (gettext_noop("A second rinse place"), gettext_noop("One more person rinsing")),
    "catch": (gettext_noop("One more crate at hand"), gettext_noop("One more person catching")),
}


def gain_rows(plan: DayPlan) -> list[GainRow]:
    """Return the changes worth talking about, best first, and one that is not."""
    rows = [
        _gain_row(gain, plan) for gain in plan.gains if gain.minutes_saved_s.value > _SMALL_GAIN_S
    ]
    small = [g for g in plan.gains if g.minutes_saved_s.value <= _SMALL_GAIN_S]
    rows = rows[:4]
    cone = next((g for g in small if g.change_code == "place" and g.station == "kill"), None)
    if cone is not None:
        rows.append(_gain_row(cone, plan))
    return rows


def all_gain_rows(plan: DayPlan) -> list[GainRow]:
    """Return every change that was tried with the plan, best first."""
    return [_gain_row(gain, plan) for gain in plan.gains]


def ranked_rows(gains: Sequence[Gain], side: Side) -> list[GainRow]:
    """Return every change that was tried with a plan that is not saved, best first."""
    return [_in_words(gain, _side_why(gain, side)) for gain in gains]


def _gain_row(gain: Gain, plan: DayPlan) -> GainRow:
    if gain.change_code == "person":
        doing = [p for p in plan.people if any(gain.station in s.stations for s in p.stretches)]
        busiest = max(doing, key=lambda p: p.line_busy_s, default=None)
        if busiest is None or not plan.line_end_s:
            return _in_words(gain, "")
        return _in_words(gain, _busy_words(busiest.name, busiest.line_busy_s / plan.line_end_s))
    busy = next((s.busy_frac for s in plan.station_plans if s.code == gain.station), 0.0)
    return _in_words(gain, _use_words(busy))


def _side_why(gain: Gain, side: Side) -> str:
    table = side.table
    at = table.at(gain.station)
    if gain.change_code != "person":
        return _use_words(float(table.utilisation[at]))
    who = {int(i) for i in table.phase_person[:, table.phase_at[at]].flat if i >= 0}
    if not who or not table.line_end_s:
        return ""
    busy_s, busiest = max((line_busy_s(table, i), i) for i in who)
    return _busy_words(side.day.people[busiest].name, busy_s / table.line_end_s)


def _busy_words(name: str, share: float) -> str:
    return _("{name} does this now, at work {n} % of the line's time").format(
        name=name, n=min(100, round(100 * share))
    )


def _use_words(share: float) -> str:
    return _("the places there are in use {n} % of the time now").format(n=round(100 * share))


def _in_words(gain: Gain, why: str) -> GainRow:
    place, person = _PLACES.get(gain.station, (_("One more place"), _("One more person")))
    words = {
        "place": _(place),
        "person": _(person),
        "bird": _("One more bird in the load at {station}").format(station=gain.station),
    }[gain.change_code]
    low, high = (round(s / 60) for s in (gain.minutes_saved_s.low, gain.minutes_saved_s.high))
    if high <= 2:  # noqa: PLR2004 - under two minutes is nothing
        saved = _("0–2 min")
    elif low == high:
        saved = _("{n} min").format(n=high)
    else:
        saved = _("{low}–{high} min").format(low=max(0, low), high=high)
    return GainRow(words, saved, why)
