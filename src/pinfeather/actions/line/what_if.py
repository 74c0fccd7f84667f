"""What a change to a day's plan would do, before anything is saved."""

from __future__ import annotations

import copy
import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any, Final

import numpy as np

from pinfeather import clock
from pinfeather.actions.day import days
from pinfeather.actions.day.days import DayView
from pinfeather.actions.day.pictures import STATION_WORDS
from pinfeather.day.line_formulas import Flowing, StationFormula, flowing, station_formulas
from pinfeather.day.plan import DayPlan
from pinfeather.day.practice import practised
from pinfeather.day.request import DayRequest, request_from
from pinfeather.day.what_if import (
    RANKED_AT_ONCE_BIRDS,
    Difference,
    PlayedDays,
    Ranked,
    Side,
    difference,
    difference_words,
    new_findings,
    played_days,
    ranked,
    set_up,
)
from pinfeather.errors import RecordConflictError
from pinfeather.estimate import Estimate
from pinfeather.finding import Finding
from pinfeather.line.simulate import FlowLimits
from pinfeather.reports.strip import Strip, StripPoint, StripThread
from pinfeather.words import gettext as _

EQUIPMENT_FIELDS: Final = ("cones", "scald_places", "drum_birds", "draw_places")
PERSON_FIELDS: Final = ("from", "to")
_SHOWN: Final = ("catch", "kill", "scald", "pick", "draw", "rinse", "chill", "bag")
_TAIL_S: Final = 600.0
_DAY_S: Final = 24 * 3600.0


@dataclass(frozen=True, slots=True)
class WhatIf:
    """The plan as it stands and the changed one.

    ``then`` and ``found`` are None where nothing was changed.
    """

    day: DayView
    now: Side
    then: Side | None
    found: Difference | None
    words: str
    findings: tuple[Finding, ...]
    strips: tuple[Strip, ...]
    formulas: tuple[StationFormula, ...]
    flowing: Flowing | None
    ranked: Ranked | None = None


def own_times(plan: DayPlan) -> dict[tuple[str, str], Estimate]:
    """Return the farm's own times a plan was made with."""
    return {(one.station, one.phase): one.time_s for one in plan.own_times}


def as_planned(request: DayRequest, plan: DayPlan) -> DayRequest:
    """Return a request with its beginners as quick as a plan takes them to be."""
    return practised(request, {one.name: one.speed for one in plan.practised})


def as_it_stands(view: DayView) -> Side:
    """Return the plan as it stands, played through by its own times."""
    return _played(_Same(view.request, view.plan))


@dataclass(frozen=True, slots=True, eq=False)
class _Same:
    """A day's request and how its plan runs, as a key: mappings have no hash."""

    request: DayRequest
    plan: DayPlan

    def __eq__(self, other: object) -> bool:
        return (
            isinstance(other, _Same)
            and other.request == self.request
            and _how(other.plan) == _how(self.plan)
        )

    def __hash__(self) -> int:
        return hash((self.request.date, self.request.start, self.request.lots))


def _how(plan: DayPlan) -> tuple[object, ...]:
    return plan.wip_limit, plan.cross, plan.own_times, plan.practised


@lru_cache(maxsize=8)
def _played(same: _Same) -> Side:
    """Play the plan as it stands once; it is asked for again with every change tried."""
    limits = FlowLimits(wip_limit=same.plan.wip_limit, cross=same.plan.cross)
    request = as_planned(same.request, same.plan)
    return set_up(request, limits=limits, times=own_times(same.plan))


@lru_cache(maxsize=8)
def _played_days(same: _Same) -> PlayedDays:
    """Play it on days with luck once, for all changes tried."""
    return played_days(_played(same))


def changed(mapping: Mapping[str, Any], change: Mapping[str, Any]) -> dict[str, Any]:
    """Put a change into what had been asked for.

    Parameters
    ----------
    mapping : mapping
        The day as asked for.
    change : mapping
        ``start``; ``equipment`` with counts; ``people``: for each person in the day's order
        ``there``, ``from`` and ``to``; ``one_more`` with ``name``, ``from``, ``to``, ``pace``
        and ``stations``. What is not given stays.

    Returns
    -------
    dict
        A new mapping, as :func:`pinfeather.day.request.request_from` reads it.
    """
    new: dict[str, Any] = copy.deepcopy(dict(mapping))
    if change.get("start"):
        new["start"] = change["start"]
    kit = change.get("equipment") or {}
    new["equipment"] = {
        **new.get("equipment", {}),
        **{name: kit[name] for name in EQUIPMENT_FIELDS if str(kit.get(name, "")).strip()},
    }
    asked = change.get("people")
    if asked is not None:
        kept = []
        for number, person in enumerate(new.get("people", [])):
            row = asked[number] if number < len(asked) else {}
            if row.get("there", "yes"):
                given = {name: row[name] for name in PERSON_FIELDS if row.get(name)}
                kept.append({**person, **given})
        new["people"] = kept
    more = change.get("one_more") or {}
    if more.get("stations"):
        names = {str(person.get("name")) for person in new["people"]}
        name = str(more.get("name") or "").strip() or _free_name(names)
        new["people"] = [*new["people"], {**more, "name": name}]
    return new


def _free_name(taken: set[str]) -> str:
    name, number = _("One more"), 1
    while name in taken:
        number += 1
        name = _("One more {n}").format(n=number)
    return name


def what_if(day_id: int, change: Mapping[str, Any] | None, *, rank: bool = False) -> WhatIf:
    """Say what a change would do; nothing is saved.

    Parameters
    ----------
    day_id : int
        The day.
    change : mapping or None
        As :func:`changed` reads it; None shows the plan as it stands.
    rank : bool
        Whether to rank what one more of each would buy on a large changed plan, too; a small
        one is ranked anyway.

    Raises
    ------
    InputFaultsError
        With every fault in the changed plan.
    RecordNotFoundError
        If there is no such day.
    """
    view = days.day(day_id)
    now = as_it_stands(view)
    then: Side | None = None
    if change is not None:
        request = request_from(changed(view.mapping, change))
        if request != view.request:
            then = set_up(
                as_planned(request, view.plan),
                crosses=(now.limits.cross,),
                times=own_times(view.plan),
            )
    found = None if then is None else _difference(view, now, then)
    shown = then or now
    small = view.plan.birds <= RANKED_AT_ONCE_BIRDS
    return WhatIf(
        day=view,
        now=now,
        then=then,
        found=found,
        words="" if found is None else difference_words(found),
        findings=() if then is None else new_findings(now, then),
        strips=strips(view, *((now,) if then is None else (now, then))),
        formulas=station_formulas(shown.table, shown.day.stations),
        flowing=flowing(shown.table, shown.day.stations),
        ranked=ranked(then) if then is not None and (rank or small) else None,
    )


def _difference(view: DayView, now: Side, then: Side) -> Difference:
    return difference(now, then, before=_played_days(_Same(view.request, view.plan)))


def take(day_id: int, change: Mapping[str, Any], *, version: int | None) -> int:
    """Put a change into the plan and save it; return the day's number.

    Raises
    ------
    InputFaultsError
        With every fault in the changed plan.
    RecordConflictError
        If somebody else changed the day meanwhile, or it has begun.
    RecordNotFoundError
        If there is no such day.
    """
    view = days.day(day_id)
    if view.status != "planned":
        raise RecordConflictError(_("This day has begun; its plan is changed on its own page."))
    return days.save_plan(changed(view.mapping, change), day_id=day_id, version=version)


def strips(view: DayView, *sides: Side) -> tuple[Strip, ...]:
    """Put plans on the same hours, each as a strip of its own."""
    zone = clock.zone(view.zone)
    begin_s = min(side.start_s for side in sides)
    first = dt.datetime.combine(view.date, sides[0].request.start, tzinfo=zone)
    start = first - dt.timedelta(seconds=sides[0].start_s - begin_s)
    length_s = max(min(side.start_s - begin_s + side.table.end_s, _DAY_S) for side in sides)
    until = start + dt.timedelta(seconds=length_s + _TAIL_S)
    found = []
    for side in sides:
        codes = [code for code in _SHOWN if code in side.table.codes]
        threads = _threads(side, codes, later_s=side.start_s - begin_s)
        deadline = side.request.deadline
        found.append(
            Strip(
                stations=tuple(_(STATION_WORDS[code]) for code in codes),
                planned=threads,
                actual=(),
                start=start,
                now=None,
                until=until,
                deadline=None
                if deadline is None
                else dt.datetime.combine(view.date, deadline, tzinfo=zone),
                chill_station=codes.index("chill"),
                deadline_words=side.request.deadline_reason,
            )
        )
    return tuple(found)


def _threads(side: Side, codes: Sequence[str], *, later_s: float) -> tuple[StripThread, ...]:
    table = side.table

    def known(value: float) -> float | None:
        return None if np.isnan(value) else float(value) + later_s

    return tuple(
        StripThread(
            str(bird + 1),
            tuple(
                StripPoint(
                    place,
                    known(table.arrive_s[bird, at]),
                    known(table.start_s[bird, at]),
                    known(table.finish_s[bird, at]),
                    known(table.depart_s[bird, at]),
                )
                for place, code in enumerate(codes)
                for at in [table.at(code)]
                if not np.isnan(table.start_s[bird, at])
            ),
        )
        for bird in range(len(side.day.birds))
    )
