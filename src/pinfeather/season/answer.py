"""From the solver's columns to a plan people can read."""

from __future__ import annotations

import datetime as dt
import itertools
import math
from collections import defaultdict
from collections.abc import Collection
from typing import Final

from pinfeather.season.asked import Kind, Order
from pinfeather.season.matrix import Floats
from pinfeather.season.parts import Model, bedding_dollars, fresh, spans_of, work_s
from pinfeather.season.plan import (
    BatchPlan,
    DayOfSeason,
    Given,
    LotPlan,
    OrderPlan,
    SeasonPlan,
    StockPlan,
    Sums,
)
from pinfeather.season.yields import Source
from pinfeather.units import SECONDS_PER_HOUR

_TINY: Final = 1e-6
_MET: Final = 1e-6
_HALF: Final = 0.5


def answer(model: Model, x: Floats) -> SeasonPlan:
    """Read a plan from the values of the columns.

    Parameters
    ----------
    model : Model
        The program.
    x : ndarray
        Value of each column, shape (columns,) [unit of the column].

    Returns
    -------
    SeasonPlan
        Lots, days, orders, shop and sums; the rest is empty still.

    References
    ----------
    Derivation: birds of a lot are made whole by largest remainders, so that its days add up.
    """
    lots = _lots(model, x)
    codes = {s: lot.code for s, lot in lots}
    days = _days(model, [lot for _s, lot in lots], x)
    orders = _orders(model, x, codes)
    stock = _stock(model, x, codes)
    spare = [
        (float(x[c]), model.tables.batches[b].masses_kg[g])
        for (b, g), c in model.columns.rest.items()
        if x[c] > _TINY
    ]
    spare_kg = math.fsum(n * kg for n, kg in spare)
    plans = tuple(lot for _s, lot in lots)
    return SeasonPlan(
        found=True,
        gap_frac=0.0,
        bound_cents=0,
        proven=False,
        lots=plans,
        days=days,
        orders=orders,
        stock=stock,
        spare_birds=math.fsum(n for n, _kg in spare),
        spare_kg=spare_kg,
        sums=_sums(model, plans, days, orders=orders, stock=stock, spare_kg=spare_kg),
    )


def _lots(model: Model, x: Floats) -> list[tuple[int, LotPlan]]:
    columns, tables = model.columns, model.tables
    taken = {s.code for s in model.request.standing}
    brooders = _places(model, x)
    found = []
    for s in sorted(range(len(tables.sources)), key=lambda i: tables.sources[i].hatch_on):
        source = tables.sources[s]
        heads = (
            source.standing.heads
            if source.standing
            else round(x[columns.steps[s]]) * source.kind.step
        )
        if heads == 0:
            continue
        code = (
            source.standing.code
            if source.standing
            else lot_code(source.kind, source.hatch_on, taken)
        )
        found.append((s, _lot(model, s, x, code=code, heads=heads, where=brooders.get(s, ()))))
    return found


def lot_code(kind: Kind, hatch: dt.date, taken: Collection[str]) -> str:
    """Name a lot that is not there yet; the same lot has the same name in every plan.

    Parameters
    ----------
    kind : Kind
        Its kind.
    hatch : datetime.date
        When it hatches.
    taken : collection of str
        Codes of the lots there are.

    Returns
    -------
    str
        The kind's code and the number of the hatch among those possible.

    References
    ----------
    Derivation: counting.
    """
    number = kind.hatch_on.index(hatch) + 1 if hatch in kind.hatch_on else 0
    code = f"{kind.code}{number}"
    while code in taken:
        code += "N"
    return code


def _lot(
    model: Model, s: int, x: Floats, *, code: str, heads: int, where: tuple[str, ...]
) -> LotPlan:
    source, kind = model.tables.sources[s], model.tables.sources[s].kind
    at = [b for b in model.by_source[s] if x[model.columns.units[b]] > _TINY]
    units = [float(x[model.columns.units[b]]) for b in at]
    table = [model.tables.batches[b] for b in at]
    expected = [u * b.alive for u, b in zip(units, table, strict=True)]
    batches = tuple(
        BatchPlan(code, b.on, whole, n, b.age_d, n * b.mean_kg, b.mean_kg)
        for b, n, whole in zip(table, expected, _whole(expected), strict=True)
    )
    return LotPlan(
        code=code,
        kind=kind.code,
        name=kind.name,
        species=kind.species,
        standing=source.standing is not None,
        heads=heads,
        order_by=source.order_by,
        hatch_on=source.hatch_on,
        arrive_on=source.arrive_on,
        out_of_brooder_on=source.out_on,
        last_on=batches[-1].on if batches else source.hatch_on,
        brooders=where,
        processed=math.fsum(expected),
        chick_cents=_chick_cents(source, heads),
        feed_cents=round(math.fsum(u * b.feed_cents for u, b in zip(units, table, strict=True))),
        lot_cents=0 if source.standing else kind.lot_cents,
        bird_cents=round(math.fsum(expected) * kind.bird_cents),
        batches=batches,
    )


def _chick_cents(source: Source, heads: int) -> int:
    return 0 if source.standing else round(float(source.kind.chick_cents) * heads)


def _whole(expected: list[float]) -> list[int]:
    """Make numbers whole so that they add up to the whole of their sum."""
    floors = [math.floor(n + _TINY) for n in expected]
    left = round(math.fsum(expected)) - sum(floors)
    order = sorted(range(len(expected)), key=lambda i: floors[i] - expected[i])
    for i in order[: max(left, 0)]:
        floors[i] += 1
    return floors


def _places(model: Model, x: Floats) -> dict[int, tuple[str, ...]]:
    """Name the brooders of each lot; alike ones are given out as they come free."""
    found: dict[int, tuple[str, ...]] = {}
    for c, group in enumerate(model.classes):
        turn = dt.timedelta(days=group.brooder.turn_round_d)
        wanted = sorted(
            (s for (s, k) in model.columns.places if k == c),
            key=lambda s: model.tables.sources[s].arrive_on,
        )
        free_on = dict.fromkeys(group.names, dt.date.min)
        for s in wanted:
            source = model.tables.sources[s]
            count = round(x[model.columns.places[s, c]])
            if source.standing is None and x[model.columns.steps[s]] < _HALF:
                continue
            free = [n for n in group.names if free_on[n] <= source.arrive_on][:count]
            for name in free:
                free_on[name] = source.out_on + turn
            if free:
                found[s] = (*found.get(s, ()), *free)
    return found


def _days(model: Model, lots: list[LotPlan], x: Floats) -> tuple[DayOfSeason, ...]:
    request, found = model.request, []
    for d, day in enumerate(model.tables.days):
        batches = tuple(b for lot in lots for b in lot.batches if b.on == day.on)
        if not batches and x[model.columns.opens[d]] < _HALF:
            continue
        kinds = {lot.code: request.kind(lot.kind) for lot in lots}
        work = day.setup_s + math.fsum(
            batch.expected * work_s(request, kinds[batch.lot]) for batch in batches
        )
        hired = work / SECONDS_PER_HOUR * float(request.crew_cents_per_h)
        found.append(
            DayOfSeason(
                day.on,
                batches,
                sum(batch.birds for batch in batches),
                math.fsum(batch.dressed_kg for batch in batches),
                work,
                day.crew_s,
                day.cost_cents + round(hired),
            )
        )
    return tuple(day for day in found if day.batches)


def _part(model: Model, x: Floats, b: int, *, g: int, column: int, code: str, kept: bool) -> Given:
    batch = model.tables.batches[b]
    kind = model.tables.sources[batch.source].kind
    low, high = list(itertools.pairwise(model.tables.bands[kind.code]))[g]
    birds = float(x[column])
    return Given(code, batch.on, low, high, birds, birds * batch.masses_kg[g], kept)


def _orders(model: Model, x: Floats, codes: dict[int, str]) -> tuple[OrderPlan, ...]:
    parts: dict[int, list[Given]] = defaultdict(list)
    for (b, g, w), column in model.columns.to_order.items():
        if x[column] > _TINY:
            batch = model.tables.batches[b]
            kept = bool(fresh(model.request.orders[w], batch.on, model.request.cold.fresh_d))
            code = codes[batch.source]
            parts[w].append(_part(model, x, b, g=g, column=column, code=code, kept=kept))
    return tuple(_order(order, parts[w]) for w, order in enumerate(model.request.orders))


def _order(order: Order, parts: list[Given]) -> OrderPlan:
    birds = math.fsum(p.birds for p in parts)
    mass = math.fsum(p.mass_kg for p in parts)
    wanted = order.birds if order.birds is not None else order.mass_kg or 0.0
    given = birds if order.birds is not None else mass
    income = birds * float(order.cents_per_bird) + mass * float(order.cents_per_kg)
    return OrderPlan(
        order.key,
        order.name,
        order.on,
        order.firm,
        order.birds,
        order.mass_kg,
        birds,
        mass,
        given >= wanted * (1 - _MET) - _MET,
        round(income),
        tuple(sorted(parts, key=lambda p: (p.on, p.lot, p.low_kg))),
    )


def _stock(model: Model, x: Floats, codes: dict[int, str]) -> tuple[StockPlan, ...]:
    parts: dict[int, list[Given]] = defaultdict(list)
    for (b, g, m), column in model.columns.to_stock.items():
        if x[column] > _TINY:
            code = codes[model.tables.batches[b].source]
            parts[m].append(_part(model, x, b, g=g, column=column, code=code, kept=False))
    found = []
    for m, line in enumerate(model.request.stock):
        sold = [
            (first, float(x[model.columns.sold[m, d]]))
            for d, (first, _last) in enumerate(spans_of(model.tables, model.request.until_on))
        ]
        put_in = math.fsum(p.mass_kg for p in parts[m])
        out = math.fsum(kg for _on, kg in sold)
        found.append(
            StockPlan(
                line.name,
                put_in,
                out,
                max(line.have_kg + put_in - out, 0.0),
                round(out * float(line.cents_per_kg)),
                tuple(sold),
                tuple(sorted(parts[m], key=lambda p: (p.on, p.lot, p.low_kg))),
            )
        )
    return tuple(found)


def _sums(
    model: Model,
    lots: tuple[LotPlan, ...],
    days: tuple[DayOfSeason, ...],
    *,
    orders: tuple[OrderPlan, ...],
    stock: tuple[StockPlan, ...],
    spare_kg: float,
) -> Sums:
    request = model.request
    fixed = {day.on: day.cost_cents for day in request.days}
    days_cents = sum(fixed[day.on] for day in days)
    brooders = {b.name: b for b in request.brooders}
    bedding = sum(
        round(100 * bedding_dollars(request, brooders[name]))
        for lot in lots
        if not lot.standing
        for name in lot.brooders
    )
    income = {
        "orders": sum(o.income_cents for o in orders),
        "stock": sum(s.income_cents for s in stock),
        "rest": round(spare_kg * float(request.rest_cents_per_kg)),
    }
    missed = sum(
        missed_cents(order, plan) for order, plan in zip(request.orders, orders, strict=True)
    )
    costs = {
        "chicks": sum(lot.chick_cents for lot in lots),
        "feed": sum(lot.feed_cents for lot in lots),
        "lots": sum(lot.lot_cents for lot in lots),
        "days": days_cents,
        "hours": sum(day.cost_cents for day in days) - days_cents,
        "birds": sum(lot.bird_cents for lot in lots),
        "bedding": bedding,
    }
    return Sums(
        **{f"{name}_cents": cents for name, cents in (income | costs).items()},
        missed_cents=missed,
        profit_cents=sum(income.values()) - missed - sum(costs.values()),
    )


def missed_cents(order: Order, plan: OrderPlan) -> int:
    """Return what missing part of an order costs besides its price.

    Parameters
    ----------
    order : Order
        As asked.
    plan : OrderPlan
        As given.

    Returns
    -------
    int
        Cents.

    References
    ----------
    Derivation: birds (or kilograms) short times the price of one.
    """
    if order.birds is not None:
        short = order.birds - plan.given_birds
    else:
        short = (order.mass_kg or 0.0) - plan.given_kg
    return round(max(short, 0.0) * float(order.miss_cents))
