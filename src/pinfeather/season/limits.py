"""The limits of the season as rows: days and hands, brooders, cold, pens, feed, the cap."""

from __future__ import annotations

import datetime as dt
import math
from collections import defaultdict
from collections.abc import Iterable

from pinfeather.season.matrix import Row
from pinfeather.season.parts import (
    CENTS,
    Model,
    bedding_dollars,
    chicks_held,
    deliveries,
    fresh,
    lot_terms,
    most_chicks,
    work_s,
)
from pinfeather.season.yields import Batch
from pinfeather.units import SECONDS_PER_HOUR

_TINY = 1e-9


def day_rows(model: Model) -> None:
    """Write down what a day takes: hands, birds, batches worth catching.

    Parameters
    ----------
    model : Model
        Under way.

    References
    ----------
    Derivation: work of all hands within the hours left after setting up; a batch on open days only.
    """
    request, tables, program, columns = model.request, model.tables, model.program, model.columns
    by_day: dict[int, list[int]] = defaultdict(list)
    for b, batch in enumerate(tables.batches):
        by_day[batch.day].append(b)
    pool: list[tuple[int, float]] = []
    for d, day in enumerate(tables.days):
        hours = day.setup_s / SECONDS_PER_HOUR * float(request.crew_cents_per_h)
        opens = columns.opens[d] = program.column(
            high=1 if by_day[d] else 0, cost=(day.cost_cents + hours) / CENTS, whole=True
        )
        if by_day[d]:
            _open_day(model, d, by_day[d], pool=pool)
            for b in by_day[d]:
                _batch_rows(model, b, opens)
            _some(model, by_day[d], opens)
    for s, starts in columns.starts.items():
        _some(model, model.by_source[s], starts)
    if pool:
        program.row(pool, high=model.extra.crew_s)
    if model.extra.days:
        chosen = [
            (columns.opens[d], 1.0)
            for d, day in enumerate(tables.days)
            if day.on in model.extra.days
        ]
        program.row(chosen, high=1)


def _open_day(model: Model, d: int, batches: list[int], *, pool: list[tuple[int, float]]) -> None:
    """Keep a day within its hands and its number of birds."""
    tables, program, columns = model.tables, model.program, model.columns
    day, opens = tables.days[d], columns.opens[d]
    name = day.on.isoformat()
    work, heads = [], []
    for b in batches:
        batch = tables.batches[b]
        each = work_s(model.request, tables.sources[batch.source].kind)
        work.append((columns.units[b], each * batch.alive))
        heads.append((columns.units[b], batch.alive))
    left = max(day.crew_s - day.setup_s, 0.0)
    row = program.row([*work, (opens, -left)], high=0, stands=Row("crew", name))
    if model.extra.crew_s:
        more = program.column(high=model.extra.crew_s)
        program.put(row, more, -1.0)
        program.row([(more, 1.0), (opens, -model.extra.crew_s)], high=0)
        pool.append((more, 1.0))
    if day.most_birds is not None:
        most = float(day.most_birds)
        program.row([*heads, (opens, -most)], high=0, stands=Row("birds", name))


def _batch_rows(model: Model, b: int, opens: int) -> None:
    """Ask that its day is open, its lot started and birds enough to be worth it."""
    program, columns, batch = model.program, model.columns, model.tables.batches[b]
    source = model.tables.sources[batch.source]
    most = _most_units(model, batch)
    least = model.request.least_batch
    unit = columns.units[b]
    if least > 1:
        used = columns.used[b] = program.column(high=1, whole=True)
        program.row([(unit, 1.0), (used, -most)], high=0)
        if source.standing is None or most * batch.alive >= least:
            program.row([(unit, batch.alive), (used, -float(least))], low=0)
        program.row([(used, 1.0), (opens, -1.0)], high=0)
        if batch.source in columns.starts:
            program.row([(used, 1.0), (columns.starts[batch.source], -1.0)], high=0)
    else:
        program.row([(unit, 1.0), (opens, -most)], high=0)


def _some(model: Model, batches: list[int], whole: int) -> None:
    """Ask for at least one batch of an open day (or of a lot started); it helps the solver."""
    used = [(model.columns.used[b], 1.0) for b in batches if b in model.columns.used]
    if used:
        model.program.row([*used, (whole, -1.0)], low=0)


def _most_units(model: Model, batch: Batch) -> float:
    """Return the most of a lot that a day could ever take; the nearer, the quicker the solver."""
    source, request = model.tables.sources[batch.source], model.request
    if source.standing is not None:
        lot = float(source.standing.heads)
    else:
        lot = float(most_chicks(model, source))
    if model.extra.elastic:
        return lot
    day = model.tables.days[batch.day]
    each = work_s(request, source.kind)
    birds = [request.cold.chill_kg / max(batch.mean_kg, _TINY)]
    if each > 0:
        birds.append((max(day.crew_s - day.setup_s, 0.0) + model.extra.crew_s) / each)
    if day.most_birds is not None:
        birds.append(float(day.most_birds))
    return min(lot, min(birds) / batch.alive)


def brooder_rows(model: Model) -> None:
    """Write down what brooders hold, and when they are free.

    Parameters
    ----------
    model : Model
        Under way.

    References
    ----------
    Derivation: one lot at a time in a brooder, cleaning with it; alike brooders are counted.
    """
    request, program, columns = model.request, model.program, model.columns
    if not request.brooders:
        return
    indoors = []
    for s, source in enumerate(model.tables.sources):
        if source.standing is not None and source.out_on <= request.today:
            continue
        indoors.append(s)
        terms, constant = lot_terms(model, s)
        room = []
        for c, group in enumerate(model.classes):
            own = source.standing is not None and source.standing.brooder in group.names
            holds = chicks_held(group.brooder, source.kind)
            place = columns.places[s, c] = program.column(
                low=1 if own else 0,
                high=len(group.names),
                cost=0.0 if source.standing else bedding_dollars(request, group.brooder),
                whole=True,
            )
            room.append((place, -holds))
            if s in columns.starts:
                fits = math.ceil(source.kind.most / max(holds, 1))
                program.row(
                    [(place, 1.0), (columns.starts[s], -float(min(len(group.names), fits)))], high=0
                )
        code = source.standing.code if source.standing else f"{source.kind.code} {source.hatch_on}"
        program.row([*terms, *room], high=-constant, stands=Row("brooder", code))
    for c, group in enumerate(model.classes):
        turn = dt.timedelta(days=group.brooder.turn_round_d)
        for start in sorted({model.tables.sources[s].arrive_on for s in indoors}):
            there = [
                (columns.places[s, c], 1.0)
                for s in indoors
                if model.tables.sources[s].arrive_on
                <= start
                < model.tables.sources[s].out_on + turn
            ]
            if len(there) > 1 or len(group.names) > 1:
                program.row(there, high=len(group.names))


def cold_rows(model: Model) -> None:
    """Write down what can be chilled, kept fresh and frozen.

    Parameters
    ----------
    model : Model
        Under way.

    References
    ----------
    Derivation: mass held is greatest just after a processing day.
    """
    request, tables, program, columns = model.request, model.tables, model.program, model.columns
    cold = request.cold
    kept: dict[str, list[tuple[dt.date, dt.date, int, float]]] = {"fresh": [], "frozen": []}
    for (b, g, w), column in columns.to_order.items():
        batch, order = tables.batches[b], request.orders[w]
        how = "fresh" if fresh(order, batch.on, cold.fresh_d) else "frozen"
        kept[how].append((batch.on, order.on, column, batch.masses_kg[g]))
    for d, day in enumerate(tables.days):
        name = day.on.isoformat()
        if not math.isinf(cold.chill_kg):
            mass = [
                (columns.units[b], batch.alive * batch.mean_kg)
                for b, batch in enumerate(tables.batches)
                if batch.day == d
            ]
            program.row(mass, high=cold.chill_kg, stands=Row("chill", name))
        if not math.isinf(cold.refrigerator_kg):
            program.row(
                _held_on(kept["fresh"], day.on),
                high=cold.refrigerator_kg,
                stands=Row("refrigerator", name),
            )
        if not math.isinf(cold.freezer_kg):
            lines = [(columns.held[m, d], 1.0) for m in range(len(request.stock))]
            there = sum(mass for until, mass in model.extra.frozen if day.on < until)
            program.row(
                [*lines, *_held_on(kept["frozen"], day.on)],
                high=cold.freezer_kg - there,
                stands=Row("freezer", name),
            )


def _held_on(
    kept: Iterable[tuple[dt.date, dt.date, int, float]], on: dt.date
) -> list[tuple[int, float]]:
    return [(column, mass) for put_in, out, column, mass in kept if put_in <= on < out]


def pen_and_feed_rows(model: Model) -> None:
    """Write down what pens and feed store hold.

    Parameters
    ----------
    model : Model
        Under way.

    References
    ----------
    Derivation: floor in use is greatest when a lot comes out; feed eaten between two deliveries.
    """
    request, tables, program = model.request, model.tables, model.program
    if not math.isinf(request.pens_m2):
        turns = sorted({max(s.out_on, request.today) for s in tables.sources})
        for on in turns:
            terms = list(_on_pasture(model, on))
            if terms:
                program.row(terms, high=request.pens_m2, stands=Row("pens", on.isoformat()))
    if not math.isinf(request.feed.store_kg):
        for first, last in deliveries(request):
            terms = list(_eaten(model, first, last))
            if terms:
                program.row(
                    terms, high=request.feed.store_kg, stands=Row("feed", first.isoformat())
                )


def _on_pasture(model: Model, on: dt.date) -> Iterable[tuple[int, float]]:
    tables = model.tables
    at = (on - tables.first_on).days
    for b, batch in enumerate(tables.batches):
        source = tables.sources[batch.source]
        if max(source.out_on, model.request.today) <= on <= batch.on:
            floor = source.kind.pen_m2 * float(tables.alive[batch.source][at])
            yield model.columns.units[b], floor


def _eaten(model: Model, first: dt.date, until: dt.date) -> Iterable[tuple[int, float]]:
    tables = model.tables
    for b, batch in enumerate(tables.batches):
        a = max((first - tables.first_on).days, 0)
        z = (min(until, batch.on) - tables.first_on).days
        kg = float(tables.eaten_kg[batch.source][a:z].sum()) if z > a else 0.0
        if kg:
            yield model.columns.units[b], kg


def cap_rows(model: Model) -> None:
    """Write down the yearly cap.

    Parameters
    ----------
    model : Model
        Under way.

    References
    ----------
    9 CFR 381.10(b)(1) and (c)(1): "in the current calendar year"; reckoned with as
    many birds alive as the chance wanted allows for.
    """
    request, tables, program = model.request, model.tables, model.program
    cap = request.cap
    if cap.most is None:
        return
    for year in sorted({batch.on.year for batch in tables.batches}):
        terms = []
        for b, batch in enumerate(tables.batches):
            species = tables.sources[batch.source].kind.species
            if batch.on.year == year and cap.weights.get(species):
                terms.append((model.columns.units[b], cap.weights[species] * batch.alive_most))
        before = cap.counted if year == request.today.year else 0
        program.row(terms, high=float(cap.most - before), stands=Row("cap", str(year)))
