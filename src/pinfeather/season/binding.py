"""What holds the plan back, and what one step more of it is worth: by solving again."""

from __future__ import annotations

import datetime as dt
import itertools
import math
from collections.abc import Iterator
from dataclasses import replace
from typing import Final

from pinfeather.season.asked import ProcessingDay, SeasonRequest
from pinfeather.season.parts import CENTS, Extra, span_kg, spans_of
from pinfeather.season.plan import Binding, RoomSeries, SeasonPlan
from pinfeather.season.solve import GAP, fixed_dollars, solve
from pinfeather.season.steps import CREW_S, MassUnit, Step, steps, widened
from pinfeather.season.yields import Tables, tables_of
from pinfeather.words import date_text
from pinfeather.words import gettext as _

FULL: Final = 0.9
"""A room is looked at when its busiest week fills it so far; lots come in steps."""
TRY_S: Final = 6.0
_WORTH_CENTS: Final = 100
_BETWEEN_D: Final = 6


def binding_limits(
    request: SeasonRequest,
    tables: Tables,
    plan: SeasonPlan,
    *,
    headroom: tuple[RoomSeries, ...],
    mass_unit: MassUnit,
    gap_frac: float = GAP,
    try_s: float = TRY_S,
) -> tuple[Binding, ...]:
    """Find the limits that hold a plan back, and what one natural step of each would bring.

    Parameters
    ----------
    request : SeasonRequest
        The season.
    tables : Tables
        What lots give.
    plan : SeasonPlan
        The best found.
    headroom : tuple of RoomSeries
        Its use of the rooms.
    mass_unit : str
        ``"lb"`` or ``"kg"``.
    gap_frac : float
        As the plan was solved [1].
    try_s : float
        Time for each [s].

    Returns
    -------
    tuple of Binding
        Worth most first; steps that bring less than a dollar are left out.

    Notes
    -----
    Every step is a season of its own, solved anew. The plan before is still possible in it, so what
    it brings is never below zero; as neither is proven best to the last cent, what it can bring at
    most is told too.

    References
    ----------
    Decision record 0016: dual prices with the whole numbers held fixed say nothing of lots and days
    that would change.
    """
    known, found = steps(mass_unit), []
    if plan.sums is None:
        return ()
    before = plan.sums.profit_cents
    for step, sentence, line in _tries(request, tables, plan, headroom=headroom, known=known):
        wider, extra, wider_tables = _wider(request, tables, step, line=line)
        better, _model, solved = solve(
            wider, wider_tables, extra=extra, gap_frac=gap_frac, limit_s=try_s
        )
        if better.sums is None:
            continue
        gain = max(better.sums.profit_cents - before, 0)
        most = round(-(solved.bound + fixed_dollars(wider)) * CENTS) - before
        if gain >= _WORTH_CENTS:
            found.append(
                Binding(step.code, sentence, step.words, gain, max(most, gain), "solved again")
            )
    return tuple(sorted(found, key=lambda b: -b.gain_cents))


def _tries(
    request: SeasonRequest,
    tables: Tables,
    plan: SeasonPlan,
    *,
    headroom: tuple[RoomSeries, ...],
    known: dict[str, Step],
) -> Iterator[tuple[Step, str, str]]:
    """Yield the steps worth a try, with what is full."""
    if request.days:
        yield known["day"], _("Birds can only be processed on the days named."), ""
    for series in headroom:
        fills = [
            (used / limit, week)
            for week, used, limit in zip(series.weeks, series.used, series.limit, strict=True)
            if 0 < limit < math.inf
        ]
        most, week = max(fills, default=(0.0, request.from_on))
        full = most >= FULL or (series.code == "brooder" and bool(request.brooders))
        if series.code == "crew":
            most, week = _busiest(plan)
            full = most >= FULL
        if full:
            sentence = _("{room}: {share:.0f} % full in the week of {date}.").format(
                room=series.name, share=100 * min(most, 1.0), date=date_text(week)
            )
            yield known[series.code], sentence, ""
    yield from _others(request, tables, plan, known=known)


def _others(
    request: SeasonRequest, tables: Tables, plan: SeasonPlan, *, known: dict[str, Step]
) -> Iterator[tuple[Step, str, str]]:
    most = {day.on: day.most_birds for day in request.days}
    for day in plan.days:
        limit = most[day.on]
        if limit is not None and day.birds >= FULL * limit:
            sentence = _("{birds} birds on {date} are the most allowed.").format(
                birds=limit, date=date_text(day.on)
            )
            yield known["birds"], sentence, ""
            break
    spans = spans_of(tables, request.until_on)
    for asked, line in zip(request.stock, plan.stock, strict=True):
        room = math.fsum(span_kg(asked, a, z) for a, z in spans)
        if room > 0 and line.sold_kg >= FULL * room:
            sentence = _("{name}: nearly all that can be sold is sold.").format(name=line.name)
            step = known["stock"]
            yield replace(step, words=f"{line.name}: {step.words}"), sentence, line.name


def _busiest(plan: SeasonPlan) -> tuple[float, dt.date]:
    return max(((day.work_s / day.crew_s, day.on) for day in plan.days), default=(0.0, dt.date.min))


def _wider(
    request: SeasonRequest, tables: Tables, step: Step, *, line: str
) -> tuple[SeasonRequest, Extra, Tables]:
    if step.code == "crew":
        return request, Extra(crew_s=CREW_S), tables
    if step.code == "day":
        days = _between(request)
        wider = replace(request, days=tuple(sorted((*request.days, *days), key=lambda day: day.on)))
        return wider, Extra(days=frozenset(day.on for day in days)), tables_of(wider)
    return widened(request, step, line=line), Extra(), tables


def _between(request: SeasonRequest) -> list[ProcessingDay]:
    """Return a day in the middle of each gap between processing days."""
    found = []
    for a, b in itertools.pairwise(request.days):
        gap = (b.on - a.on).days
        if gap >= 2 * _BETWEEN_D and b.on > request.today:
            on = a.on + dt.timedelta(days=7 * round(gap / 14) if gap >= 14 else gap // 2)  # noqa: PLR2004 - weeks
            found.append(replace(a, on=on))
    return found
