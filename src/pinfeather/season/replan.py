"""Planning anew in mid-season: what has happened stands, promises change least, then the best."""

from __future__ import annotations

import datetime as dt
import math
from dataclasses import replace
from typing import Final

from pinfeather.season.answer import answer, lot_code
from pinfeather.season.asked import Order, SeasonRequest, Standing
from pinfeather.season.changes import changes_between
from pinfeather.season.model import season_model
from pinfeather.season.parts import CENTS, Extra, Model, lot_terms
from pinfeather.season.plan import Decisions, SeasonPlan
from pinfeather.season.planner import finished, impossible
from pinfeather.season.relax import without_firm
from pinfeather.season.solve import GAP, LIMIT_S, PROVEN, fixed_dollars, gap_between
from pinfeather.season.steps import MassUnit
from pinfeather.season.yields import tables_of

_ORDER, _BIRD, _DAY, _LOT, _UNSURE = 1000.0, 1.0, 10.0, 1.0, 0.1
"""An order that is no longer met weighs most, then birds and kilograms short, days called off or
added, chicks not yet ordered. Chosen: in the order in which people were told."""
_NEAR: Final = 1e-6
_NO_MORE: Final = 1e-3
"""Room for rounding in the number of changes; less than any change weighs."""


def replan_season(
    request: SeasonRequest,
    before: Decisions,
    *,
    seed: int = 1,
    seasons: int = 2000,
    mass_unit: MassUnit = "lb",
    limit_s: float = LIMIT_S,
) -> SeasonPlan:
    """Plan the rest of a season, holding to what was decided before as far as can be.

    Parameters
    ----------
    request : SeasonRequest
        With ``today``, the lots there are, what the shop has in its freezer, and birds counted this
        year, all as of today.
    before : Decisions
        What the plan before decided.
    seed : int
        For the random seasons.
    seasons : int
        How many of them.
    mass_unit : str
        ``"lb"`` or ``"kg"``.
    limit_s : float
        Time for each of the two solutions [s].

    Returns
    -------
    SeasonPlan
        With ``changes``, promises first.

    Notes
    -----
    Chicks whose order is in already are a standing lot; so is a lot that should have hatched and
    is not listed, with the birds then expected. What was processed before today for an order still
    to be picked up is taken to be in the freezer. Two solutions: first as few changes as can be,
    counted with weights, then the best of the plans with no more changes than that.

    References
    ----------
    Decision record 0016.
    """
    now, frozen = held_fixed(request, before)
    tables = tables_of(now)
    model = season_model(now, tables, Extra(frozen=frozen, bending=True))
    cost = model.program.cost.copy()
    terms = _counted(model, before)
    model.program.cost = [0.0] * len(model.program.low)
    for column, weight in terms:
        model.program.cost[column] += weight
    first = model.program.solve(gap_frac=GAP, limit_s=limit_s)
    if first.x is None:
        return impossible(without_firm(now), tables, mass_unit=mass_unit)
    model.program.row(terms, high=first.value + _NO_MORE * max(1.0, abs(first.value)))
    model.program.cost = [*cost, *[0.0] * (len(model.program.low) - len(cost))]
    second = model.program.solve(gap_frac=GAP, limit_s=limit_s)
    x = first.x if second.x is None else second.x
    value = math.fsum(a * b for a, b in zip(model.program.cost, x, strict=True))
    found = -(value + fixed_dollars(now))
    bound = -(second.bound + fixed_dollars(now))
    gap = gap_between(found, bound) if math.isfinite(bound) else math.inf
    plan = replace(
        answer(model, x),
        gap_frac=gap,
        bound_cents=round(bound * CENTS) if math.isfinite(bound) else 0,
        proven=gap <= PROVEN,
    )
    done = finished(now, tables, plan, seed=seed, seasons=seasons, bending=True)
    return replace(done, changes=changes_between(now, before, done))


def held_fixed(
    request: SeasonRequest, before: Decisions
) -> tuple[SeasonRequest, tuple[tuple[dt.date, float], ...]]:
    """Return the season with everything that has happened held fixed.

    Parameters
    ----------
    request : SeasonRequest
        As of today.
    before : Decisions
        What was decided.

    Returns
    -------
    request : SeasonRequest
        Lots under way added, orders picked up left out, the rest less what is frozen for them.
    frozen : tuple of (datetime.date, float)
        Frozen for orders: until when, how much [kg].

    References
    ----------
    Derivation: dates before today.
    """
    listed = {(one.kind, one.hatched_on) for one in request.standing}
    codes = {one.code for one in request.standing}
    added: list[Standing] = []
    for kind_code, hatch, heads in before.lots:
        kind = next((k for k in request.kinds if k.code == kind_code), None)
        ordered = kind is not None and hatch - dt.timedelta(days=kind.ahead_d) < request.today
        if kind is None or not ordered or (kind_code, hatch) in listed:
            continue
        code = lot_code(kind, hatch, codes)
        codes.add(code)
        there = _there(request, before, kind_code, hatch=hatch, heads=heads)
        if there:
            added.append(
                Standing(code, kind_code, hatch, there, kind.growth_ratio, kind.growth_sd_frac)
            )
    orders, frozen = [], []
    for order in request.orders:
        if order.on < request.today:
            continue
        birds = math.fsum(
            n for key, on, n, _kg in before.parts if key == order.key and on < request.today
        )
        mass = math.fsum(
            kg for key, on, _n, kg in before.parts if key == order.key and on < request.today
        )
        if mass > 0:
            frozen.append((order.on, mass))
        rest = _less(order, birds=birds, mass_kg=mass)
        if rest is not None:
            orders.append(rest)
    return (
        replace(request, standing=(*request.standing, *added), orders=tuple(orders)),
        tuple(frozen),
    )


def _less(order: Order, *, birds: float, mass_kg: float) -> Order | None:
    if order.birds is not None:
        left = order.birds - math.floor(birds + _NEAR)
        return replace(order, birds=left) if left > 0 else None
    rest = (order.mass_kg or 0.0) - mass_kg
    return replace(order, mass_kg=rest) if rest > _NEAR else None


def _there(
    request: SeasonRequest, before: Decisions, kind_code: str, *, hatch: dt.date, heads: int
) -> int:
    """Birds of a planned lot that should be there today."""
    from pinfeather.flock.losses import survival

    if hatch > request.today:
        return heads
    kind = request.kind(kind_code)
    age = (request.today - hatch).days
    alive = heads * (1 - kind.arrival_loss_frac) * float(survival(age, kind.setting)[age])
    gone = math.fsum(
        n
        for code, day, on, n in before.batches
        if (code, day) == (kind_code, hatch) and on < request.today
    )
    return max(round(alive - gone), 0)


def _counted(model: Model, before: Decisions) -> list[tuple[int, float]]:
    """Add columns that count changes; return them with their weights."""
    unsure = [(column, _UNSURE) for column in model.columns.unsure]
    return [*unsure, *_orders(model, before), *_days(model, before), *_lots(model, before)]


def _orders(model: Model, before: Decisions) -> list[tuple[int, float]]:
    program, terms = model.program, []
    given = {key: (birds, mass) for key, birds, mass in before.orders}
    for w, order in enumerate(model.request.orders):
        if order.key not in given and not order.firm:
            continue
        done = [
            (n, kg)
            for key, on, n, kg in before.parts
            if key == order.key and on < model.request.today
        ]
        place = 0 if order.birds is not None else 1
        wanted = float(order.birds if order.birds is not None else order.mass_kg or 0.0)
        had = wanted
        if order.key in given:
            rest = given[order.key][place] - math.fsum(one[place] for one in done)
            had = min(rest, wanted)
        if had <= _NEAR:
            continue
        short, broken = program.column(high=had), program.column(high=1, whole=True)
        parts = [
            (column, 1.0 if place == 0 else model.tables.batches[b].masses_kg[g])
            for (b, g, k), column in model.columns.to_order.items()
            if k == w
        ]
        program.row([*parts, (short, 1.0)], low=had - _NEAR)
        program.row([(short, 1.0), (broken, -had)], high=0)
        terms += [(short, _BIRD), (broken, _ORDER)]
    return terms


def _days(model: Model, before: Decisions) -> list[tuple[int, float]]:
    """Count a day called off and a day added alike."""
    program, terms = model.program, []
    told = set(before.days)
    for d, day in enumerate(model.tables.days):
        opens = model.columns.opens[d]
        if day.on in told:
            off = program.column(high=1)
            program.row([(opens, 1.0), (off, 1.0)], low=1)
            terms.append((off, _DAY))
        else:
            terms.append((opens, _DAY))
    return terms


def _lots(model: Model, before: Decisions) -> list[tuple[int, float]]:
    program, terms = model.program, []
    told = {(kind, hatch): heads for kind, hatch, heads in before.lots}
    for s, source in enumerate(model.tables.sources):
        if source.standing is not None:
            continue
        heads = float(told.get((source.kind.code, source.hatch_on), 0))
        most = float(max(source.kind.most, heads))
        changed = program.column(high=1, whole=True)
        parts, _constant = lot_terms(model, s)
        program.row([*parts, (changed, -most)], high=heads)
        program.row([*parts, (changed, most)], low=heads)
        terms.append((changed, _LOT))
    return terms
