"""The rule of thumb, to compare with: equal lots, evenly spaced, n over s chicks for n birds."""

from __future__ import annotations

import datetime as dt
import math
from collections import defaultdict
from dataclasses import dataclass, field
from typing import Final

from pinfeather.season.asked import Kind, Order, SeasonRequest
from pinfeather.season.parts import bedding_dollars, chicks_held, span_kg, spans_of, work_s
from pinfeather.season.plan import BatchPlan, DayOfSeason, LotPlan, SeasonPlan, Sums
from pinfeather.season.yields import Batch, Tables

_LARGE: Final = 10**6


@dataclass(slots=True)
class _Farm:
    """What is taken so far."""

    request: SeasonRequest
    tables: Tables
    busy: dict[str, list[tuple[dt.date, dt.date]]] = field(
        default_factory=lambda: defaultdict(list)
    )
    work_s: dict[dt.date, float] = field(default_factory=lambda: defaultdict(float))
    count: dict[int, float] = field(default_factory=lambda: defaultdict(float))
    lots: list[LotPlan] = field(default_factory=list)


def thumb_plan(request: SeasonRequest, tables: Tables) -> SeasonPlan:
    """Plan a season by the rule of thumb.

    Parameters
    ----------
    request : SeasonRequest
        The season.
    tables : Tables
        What lots give.

    Returns
    -------
    SeasonPlan
        Lots and days; who gets what is left to the day.

    Notes
    -----
    Kinds the shop sells: all birds wanted over the season, over the share that lives, in equal
    lots as large as the largest brooder takes, evenly spaced over the hatches. Other kinds: one
    lot for each day they are wanted on, at the age nearest the weight wanted. Each lot is
    processed at once. A lot is left out where no brooder is free, and made smaller where hands or
    the cap do not allow more; pens, feed store and cold are not looked at.

    References
    ----------
    Common practice: birds wanted over the usual share that lives, rounded up to the step of the
    hatchery.
    """
    farm = _Farm(request, tables)
    for i, source in enumerate(tables.sources):
        if source.standing is not None:
            batches = [b for b in tables.batches if b.source == i]
            if batches:
                middle = batches[len(batches) // 2]
                _add(farm, middle, source.standing.heads, brooder=None)
    for kind in request.kinds:
        orders = [o for o in request.orders if o.kinds[0] == kind.code]
        lines = [s for s in request.stock if s.kinds[0] == kind.code]
        if lines:
            _evenly(farm, kind, orders)
        else:
            _in_time(farm, kind, orders)
    days = _days(farm)
    return SeasonPlan(
        True, math.inf, 0, proven=False, lots=tuple(farm.lots), days=days, sums=_sums(farm)
    )


def _evenly(farm: _Farm, kind: Kind, orders: list[Order]) -> None:
    """Equal lots over the season."""
    tables = farm.tables
    batches = [b for b in tables.batches if _new(farm, b, kind)]
    if not batches:
        return
    best = _target_kg(farm.request, kind)
    middle = min(batches, key=lambda b: abs(b.mean_kg - best))
    wanted = sum(_birds(o, middle) for o in orders)
    for line in farm.request.stock:
        if line.kinds[0] == kind.code:
            sells = sum(span_kg(line, a, z) for a, z in spans_of(tables, farm.request.until_on))
            wanted += sells / middle.mean_kg
    chicks = wanted / middle.alive
    rooms = [chicks_held(b, kind) for b in farm.request.brooders] or [float(kind.most)]
    size = min(max(rooms), kind.most)
    lots = max(math.ceil(chicks / size), 1)
    each = _steps(kind, chicks / lots)
    dates = sorted({b.source for b in batches}, key=lambda s: tables.sources[s].hatch_on)
    chosen = {round(i * (len(dates) - 1) / max(lots - 1, 1)) for i in range(lots)}
    for i in sorted(chosen):
        own = [b for b in batches if b.source == dates[i]]
        _place(farm, kind, sorted(own, key=lambda b: abs(b.age_d - middle.age_d)), chicks=each)


def _in_time(farm: _Farm, kind: Kind, orders: list[Order]) -> None:
    """One lot for each day wanted."""
    by_day: dict[dt.date, list[Order]] = defaultdict(list)
    for order in orders:
        by_day[order.on].append(order)
    best = _target_kg(farm.request, kind)
    for on in sorted(by_day):
        batches = [b for b in farm.tables.batches if _new(farm, b, kind) and b.on <= on]
        if not batches:
            continue
        last = max(b.on for b in batches)
        own = sorted((b for b in batches if b.on == last), key=lambda b: abs(b.mean_kg - best))
        wanted = sum(_birds(o, own[0]) for o in by_day[on])
        _place(farm, kind, own, chicks=_steps(kind, wanted / own[0].alive))


def _new(farm: _Farm, batch: Batch, kind: Kind) -> bool:
    source = farm.tables.sources[batch.source]
    return source.standing is None and source.kind.code == kind.code


def _target_kg(request: SeasonRequest, kind: Kind) -> float:
    """Middle of the weights wanted of a kind; a wish for anything above counts from its low end."""
    middles = []
    for wanted in [o for o in request.orders if kind.code in o.kinds]:
        if math.isinf(wanted.high_kg):
            middles.append(wanted.low_kg * 1.2)
        else:
            middles.append((wanted.low_kg + wanted.high_kg) / 2)
    middles += [s.low_kg * 1.2 for s in request.stock if kind.code in s.kinds]
    above = [m for m in middles if m > 0]
    return max(above) if above else math.inf


def _birds(order: Order, batch: Batch) -> float:
    return float(order.birds) if order.birds is not None else (order.mass_kg or 0) / batch.mean_kg


def _steps(kind: Kind, chicks: float) -> int:
    whole = math.ceil(chicks / kind.step - 1e-9) * kind.step
    return min(max(whole, kind.least), kind.most)


def _place(farm: _Farm, kind: Kind, choices: list[Batch], *, chicks: int) -> None:
    """Start a lot where a brooder is free, on the first of some days that has the hands."""
    if not choices:
        return
    source = farm.tables.sources[choices[0].source]
    brooder = None
    if farm.request.brooders:
        free = [
            b
            for b in farm.request.brooders
            if all(
                source.arrive_on >= end or source.out_on + dt.timedelta(b.turn_round_d) <= start
                for start, end in farm.busy[b.name]
            )
        ]
        if not free:
            return
        fits = [b for b in free if chicks_held(b, kind) >= chicks]
        brooder = (
            min(fits, key=lambda b: chicks_held(b, kind))
            if fits
            else max(free, key=lambda b: chicks_held(b, kind))
        )
        chicks = min(chicks, int(chicks_held(brooder, kind)) // kind.step * kind.step)
    for batch in choices:
        fitted = min(chicks, _allowed(farm, kind, batch))
        if fitted >= kind.least and any(
            lot.kind == kind.code and lot.hatch_on == source.hatch_on for lot in farm.lots
        ):
            return
        if fitted >= kind.least:
            _add(farm, batch, fitted, brooder=brooder.name if brooder else None)
            if brooder:
                end = source.out_on + dt.timedelta(brooder.turn_round_d)
                farm.busy[brooder.name].append((source.arrive_on, end))
            return


def _allowed(farm: _Farm, kind: Kind, batch: Batch) -> int:
    """Most chicks that hands and cap allow for a day."""
    request, day = farm.request, farm.tables.days[batch.day]
    most = _LARGE
    each = work_s(request, kind)
    if each > 0:
        left = day.crew_s - day.setup_s - farm.work_s[day.on]
        most = min(most, int(max(left, 0) / (each * batch.alive)))
    cap = request.cap
    weight = cap.weights.get(kind.species, 0)
    if cap.most is not None and weight:
        before = cap.counted if batch.on.year == request.today.year else 0
        left_birds = cap.most - before - farm.count[batch.on.year]
        most = min(most, int(max(left_birds, 0) / (weight * batch.alive)))
    return most // kind.step * kind.step


def _add(farm: _Farm, batch: Batch, chicks: int, *, brooder: str | None) -> None:
    request, source = farm.request, farm.tables.sources[batch.source]
    kind, expected = source.kind, chicks * batch.alive
    standing = source.standing
    code = standing.code if standing else f"{kind.code}-{len(farm.lots) + 1}"
    plan = BatchPlan(
        code,
        batch.on,
        round(expected),
        expected,
        batch.age_d,
        expected * batch.mean_kg,
        batch.mean_kg,
    )
    farm.work_s[batch.on] += expected * work_s(request, kind)
    farm.count[batch.on.year] += expected * request.cap.weights.get(kind.species, 0)
    farm.lots.append(
        LotPlan(
            code,
            kind.code,
            kind.name,
            kind.species,
            standing is not None,
            chicks,
            source.order_by,
            source.hatch_on,
            source.arrive_on,
            source.out_on,
            batch.on,
            (brooder,) if brooder else (),
            expected,
            0 if standing else round(float(kind.chick_cents) * chicks),
            round(chicks * batch.feed_cents),
            0 if standing else kind.lot_cents,
            round(expected * kind.bird_cents),
            (plan,),
        )
    )


def _days(farm: _Farm) -> tuple[DayOfSeason, ...]:
    found = []
    for day in farm.tables.days:
        batches = tuple(b for lot in farm.lots for b in lot.batches if b.on == day.on)
        if batches:
            found.append(
                DayOfSeason(
                    day.on,
                    batches,
                    sum(b.birds for b in batches),
                    math.fsum(b.dressed_kg for b in batches),
                    day.setup_s + farm.work_s[day.on],
                    day.crew_s,
                    day.cost_cents,
                )
            )
    return tuple(found)


def _sums(farm: _Farm) -> Sums:
    brooders = {b.name: b for b in farm.request.brooders}
    bedding = sum(
        round(100 * bedding_dollars(farm.request, brooders[name]))
        for lot in farm.lots
        for name in lot.brooders
    )
    return Sums(0, 0, 0, 0, 0, 0, 0, 0, 0, 0, bedding, 0)
