"""The season as a mixed-integer program."""

from __future__ import annotations

import itertools
import math
from collections import defaultdict
from typing import Final

from pinfeather.season.asked import Order, SeasonRequest, Stock
from pinfeather.season.limits import (
    brooder_rows,
    cap_rows,
    cold_rows,
    day_rows,
    pen_and_feed_rows,
)
from pinfeather.season.matrix import Program, Row
from pinfeather.season.parts import (
    CENTS,
    Columns,
    Extra,
    Model,
    brooder_classes,
    fresh,
    most_chicks,
    span_kg,
    spans_of,
    work_s,
)
from pinfeather.season.yields import Batch, Tables
from pinfeather.units import SECONDS_PER_HOUR

_TINY: Final = 1e-9


def season_model(request: SeasonRequest, tables: Tables, extra: Extra | None = None) -> Model:
    """Write a season down as a mixed-integer program.

    Parameters
    ----------
    request : SeasonRequest
        What is wanted and what there is.
    tables : Tables
        What lots give.
    extra : Extra or None
        Room added to try what it is worth.

    Returns
    -------
    Model
        Costs less income in dollars, to be made small.

    Notes
    -----
    Whole numbers: lots started, chicks in steps of the hatchery, brooders, days opened, batches.
    Not whole: birds of a lot that go on a day, in chicks ordered; birds that go to an order; mass
    in the freezer. All of a lot is processed by its oldest age.

    References
    ----------
    Decision record 0016; Wagner and Whitin 1958, Management Science 5:89-96 (lots with a fixed cost
    of starting) is the case of one kind and no limits.
    """
    program, columns = Program(), Columns()
    by_source: dict[int, list[int]] = defaultdict(list)
    for b, batch in enumerate(tables.batches):
        by_source[batch.source].append(b)
    more = extra or Extra()
    classes = brooder_classes(request)
    model = Model(request, tables, program, columns, classes, by_source, more)
    _lots(model)
    day_rows(model)
    brooder_rows(model)
    _birds(model)
    _stock(model)
    cold_rows(model)
    pen_and_feed_rows(model)
    cap_rows(model)
    return model


def _lots(model: Model) -> None:
    program, columns = model.program, model.columns
    for s, source in enumerate(model.tables.sources):
        kind, batches = source.kind, model.by_source[s]
        for b in batches:
            columns.units[b] = program.column(cost=_batch_dollars(model, model.tables.batches[b]))
        units = [(columns.units[b], 1.0) for b in batches]
        if source.standing is not None:
            heads = float(source.standing.heads)
            stands = Row("standing", source.standing.code)
            program.row(units, low=heads, high=heads, stands=stands)
            continue
        most = most_chicks(model, source) if batches else 0
        dollars = float(kind.chick_cents) * kind.step / CENTS
        steps = columns.steps[s] = program.column(high=most // kind.step, cost=dollars, whole=True)
        starts = columns.starts[s] = program.column(high=1, cost=kind.lot_cents / CENTS, whole=True)
        program.row([*units, (steps, -float(kind.step))], low=0, high=0)
        program.row([(steps, 1.0), (starts, -(most // kind.step))], high=0)
        program.row([(steps, 1.0), (starts, -(kind.least // kind.step))], low=0)


def _batch_dollars(model: Model, batch: Batch) -> float:
    request, kind = model.request, model.tables.sources[batch.source].kind
    hours = work_s(request, kind) / SECONDS_PER_HOUR * float(request.crew_cents_per_h)
    return (batch.feed_cents + batch.alive * (kind.bird_cents + hours)) / CENTS


def _birds(model: Model) -> None:
    """Give birds of each batch and weight band to an order, a line of the shop, or the rest."""
    tables = model.tables
    wanted: dict[int, list[tuple[int, float]]] = defaultdict(list)
    for b, batch in enumerate(tables.batches):
        code = tables.sources[batch.source].kind.code
        for g, (low, high) in enumerate(itertools.pairwise(tables.bands[code])):
            if batch.alive * batch.shares[g] > _TINY:
                _band(model, (b, g), (code, low, high), wanted=wanted)
    for w, order in enumerate(model.request.orders):
        most = float(order.birds) if order.birds is not None else float(order.mass_kg or 0.0)
        low = most if order.firm and not model.extra.bending else -math.inf
        model.program.row(wanted[w], low=low, high=most, stands=Row("order", order.key))


def _band(
    model: Model,
    at: tuple[int, int],
    band: tuple[str, float, float],
    *,
    wanted: dict[int, list[tuple[int, float]]],
) -> None:
    """Share out the birds of one batch in one weight band."""
    request, program, columns = model.request, model.program, model.columns
    (b, g), (code, low, high) = at, band
    batch = model.tables.batches[b]
    mass, expected = batch.masses_kg[g], batch.alive * batch.shares[g]
    counting = request.aim == "profit"
    out, firm = [], []
    for w, order in enumerate(request.orders):
        if not _takes(order, code, low, high=high):
            continue
        if fresh(order, batch.on, request.cold.fresh_d) is None:
            continue
        dollars = _order_dollars(order, mass) if counting else 0.0
        column = program.column(cost=-dollars - _missed_dollars(order, mass))
        columns.to_order[b, g, w] = column
        wanted[w].append((column, 1.0 if order.birds is not None else mass))
        out.append((column, 1.0))
        if order.firm:
            firm.append((column, 1.0))
    for m, line in enumerate(request.stock):
        if _takes(line, code, low, high=high) and batch.on <= line.until_on:
            columns.to_stock[b, g, m] = program.column()
            out.append((columns.to_stock[b, g, m], 1.0))
    rest = float(request.rest_cents_per_kg) * mass / CENTS if counting else 0.0
    columns.rest[b, g] = program.column(cost=-rest)
    out.append((columns.rest[b, g], 1.0))
    program.row([*out, (columns.units[b], -expected)], low=0, high=0)
    if firm and batch.safe[g] < 1:
        if model.extra.bending:
            columns.unsure.append(program.column())
            firm.append((columns.unsure[-1], -1.0))
        program.row([*firm, (columns.units[b], -expected * batch.safe[g])], high=0)


def _takes(wanted: Order | Stock, code: str, low: float, *, high: float) -> bool:
    return code in wanted.kinds and wanted.low_kg <= low and high <= wanted.high_kg


def _order_dollars(order: Order, mass_kg: float) -> float:
    return (float(order.cents_per_bird) + float(order.cents_per_kg) * mass_kg) / CENTS


def _missed_dollars(order: Order, mass_kg: float) -> float:
    return float(order.miss_cents) * (1.0 if order.birds is not None else mass_kg) / CENTS


def _stock(model: Model) -> None:
    request, tables, program, columns = model.request, model.tables, model.program, model.columns
    spans = spans_of(tables, request.until_on)
    by_day: dict[tuple[int, int], list[tuple[int, float]]] = defaultdict(list)
    for (b, g, m), column in columns.to_stock.items():
        batch = tables.batches[b]
        by_day[m, batch.day].append((column, batch.masses_kg[g]))
    for m, line in enumerate(request.stock):
        dollars = float(line.cents_per_kg) / CENTS if request.aim == "profit" else 0.0
        before: list[tuple[int, float]] = []
        constant = line.have_kg
        for d, (first, last) in enumerate(spans):
            held = columns.held[m, d] = program.column()
            sold = columns.sold[m, d] = program.column(
                high=span_kg(line, first, last), cost=-dollars
            )
            incoming = [(c, -mass) for c, mass in by_day[m, d]]
            program.row([(held, 1.0), *incoming, *before], low=constant, high=constant)
            program.row([(sold, 1.0), (held, -1.0)], high=0)
            before, constant = [(held, -1.0), (sold, 1.0)], 0.0
