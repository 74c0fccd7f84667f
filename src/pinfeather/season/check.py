"""Does a finished plan keep every limit? Reckoned from the plan, not from the solver's rows."""

from __future__ import annotations

import datetime as dt
import itertools
import math
from collections import defaultdict
from collections.abc import Iterator
from typing import Final

from pinfeather.finding import Finding, Severity
from pinfeather.season.asked import Order, SeasonRequest
from pinfeather.season.parts import chicks_held, deliveries, fresh, span_kg, spans_of, work_s
from pinfeather.season.plan import Given, LotPlan, SeasonPlan
from pinfeather.season.usage import Usage
from pinfeather.season.yields import Tables
from pinfeather.words import gettext as _

_SLACK: Final = 1e-5
"""Plans are made in floating point; a part in a hundred thousand is no breach."""


def broken_limits(
    request: SeasonRequest, tables: Tables, plan: SeasonPlan, *, bending: bool = False
) -> tuple[Finding, ...]:
    """List every limit that a plan breaks.

    Parameters
    ----------
    request : SeasonRequest
        The limits.
    tables : Tables
        What lots give.
    plan : SeasonPlan
        Finished.
    bending : bool
        Planned anew: promises may be short, and rest on birds that are not sure.

    Returns
    -------
    tuple of Finding
        Empty where all is well.

    References
    ----------
    Decision record 0016: the solver is not taken at its word.
    """
    if not plan.found:
        return ()
    usage = Usage(request, tables, plan)
    checks = (_lots, _heads, _brooders, _days, _cold, _land, _cap, _orders, _shop)
    return tuple(
        Finding(
            f"season.broken.{code}",
            Severity.STOP,
            _("The plan breaks a limit ({what}, {where}): {used:.4g} of {limit:.4g}.").format(
                what=code, where=where, used=used, limit=limit
            ),
            _("Do not use it; this is a fault of the program."),
            where=where,
            measured=used,
            limit=limit,
        )
        for check in checks
        for code, where, used, limit in check(usage)
        if not (bending and code in _BENDING)
    )


_BENDING: Final = ("safe", "promise")
_Broken = Iterator[tuple[str, str, float, float]]


def _over(used: float, limit: float) -> bool:
    return used > limit + _SLACK * max(1.0, abs(limit))


def _off(a: float, b: float) -> bool:
    return abs(a - b) > _SLACK * max(1.0, abs(b))


def _lots(usage: Usage) -> _Broken:
    for lot in usage.plan.lots:
        if not lot.standing:
            yield from _ordered(usage, lot)
        units = math.fsum(n for _on, n in usage.units(lot))
        if _off(units, lot.heads):
            yield "heads", lot.code, units, float(lot.heads)
        yield from _batches(usage, lot)
    there = {lot.code for lot in usage.plan.lots if lot.standing}
    for one in usage.request.standing:
        if one.heads and one.code not in there:
            yield "standing", one.code, 0.0, float(one.heads)


def _ordered(usage: Usage, lot: LotPlan) -> _Broken:
    source = usage.source(lot)
    kind, heads = source.kind, float(lot.heads)
    if lot.heads % kind.step:
        yield "order_by", lot.code, heads, float(kind.step)
    if lot.heads < kind.least:
        yield "order_least", lot.code, heads, float(kind.least)
    if lot.heads > kind.most:
        yield "order_most", lot.code, heads, float(kind.most)
    if source.order_by < usage.request.today:
        yield "order_ahead", lot.code, 0.0, 0.0


def _batches(usage: Usage, lot: LotPlan) -> _Broken:
    kind, least = usage.source(lot).kind, usage.request.least_batch
    for batch in lot.batches:
        age = (batch.on - lot.hatch_on).days
        if not kind.from_d <= age <= kind.until_d or age != batch.age_d:
            yield "age", lot.code, float(batch.age_d), float(kind.until_d)
        few = batch.expected < least * (1 - _SLACK)
        if few and least > 1 and lot.processed >= least:
            yield "least_batch", lot.code, batch.expected, float(least)


def _heads(usage: Usage) -> _Broken:
    """Check that no bird is given twice, and promises stand on what is safe."""
    given: dict[tuple[str, dt.date, float], float] = defaultdict(float)
    firm: dict[tuple[str, dt.date, float], float] = defaultdict(float)
    for order in usage.plan.orders:
        for part in order.parts:
            given[part.lot, part.on, part.low_kg] += part.birds
            if order.firm:
                firm[part.lot, part.on, part.low_kg] += part.birds
    for line in usage.plan.stock:
        for part in line.parts:
            given[part.lot, part.on, part.low_kg] += part.birds
    handed_out = math.fsum(given.values()) + usage.plan.spare_birds
    processed = math.fsum(batch.expected for lot in usage.plan.lots for batch in lot.batches)
    if _off(handed_out, processed):
        yield "birds", "all", handed_out, processed
    lots = {lot.code: lot for lot in usage.plan.lots}
    for (code, on, low), birds in given.items():
        expected, safe = _in_band(usage, lots[code], on, low=low)
        if _over(birds, expected):
            yield "birds", f"{code} {on}", birds, expected
        if _over(firm[code, on, low], expected * safe):
            yield "safe", f"{code} {on}", firm[code, on, low], expected * safe


def _in_band(usage: Usage, lot: LotPlan, on: dt.date, *, low: float) -> tuple[float, float]:
    batch = usage.batch(lot, on)
    edges = usage.tables.bands[lot.kind]
    g = edges.index(low)
    birds = next(b.expected for b in lot.batches if b.on == on)
    return birds * batch.shares[g], batch.safe[g]


def _brooders(usage: Usage) -> _Broken:
    request = usage.request
    if not request.brooders:
        return
    brooders = {b.name: b for b in request.brooders}
    for lot in usage.plan.lots:
        if lot.standing and lot.out_of_brooder_on <= request.today:
            continue
        room = math.fsum(
            chicks_held(brooders[name], usage.source(lot).kind) for name in lot.brooders
        )
        if _over(float(lot.heads), room):
            yield "brooder", lot.code, float(lot.heads), room
    for name, brooder in brooders.items():
        turn = dt.timedelta(days=brooder.turn_round_d)
        there = sorted(
            (lot.arrive_on, lot.out_of_brooder_on + turn)
            for lot in usage.plan.lots
            if name in lot.brooders
        )
        for (_a, free_on), (arrive, _b) in itertools.pairwise(there):
            if arrive < free_on:
                yield "brooder", name, float((free_on - arrive).days), 0.0


def _days(usage: Usage) -> _Broken:
    request = usage.request
    days = {day.on: day for day in usage.tables.days}
    used: dict[dt.date, list[tuple[LotPlan, float]]] = defaultdict(list)
    for lot in usage.plan.lots:
        for batch in lot.batches:
            used[batch.on].append((lot, batch.expected))
    for on, batches in used.items():
        if on not in days:
            yield "day", on.isoformat(), 1.0, 0.0
            continue
        work = days[on].setup_s + math.fsum(
            n * work_s(request, request.kind(lot.kind)) for lot, n in batches
        )
        if _over(work, days[on].crew_s):
            yield "crew", on.isoformat(), work, days[on].crew_s
        most, birds = days[on].most_birds, math.fsum(n for _lot, n in batches)
        if most is not None and _over(birds, most):
            yield "birds_a_day", on.isoformat(), birds, float(most)
    if {day.on for day in usage.plan.days} != set(used):
        yield "day", "list", float(len(usage.plan.days)), float(len(used))


def _cold(usage: Usage) -> _Broken:
    cold = usage.request.cold
    mass: dict[dt.date, float] = defaultdict(float)
    for lot in usage.plan.lots:
        for batch in lot.batches:
            mass[batch.on] += batch.expected * usage.batch(lot, batch.on).mean_kg
    for on, kg in mass.items():
        if _over(kg, cold.chill_kg):
            yield "chill", on.isoformat(), kg, cold.chill_kg
    for day in usage.tables.days:
        kept = usage.kept_kg(day.on, fresh=True)
        if _over(kept, cold.refrigerator_kg):
            yield "refrigerator", day.on.isoformat(), kept, cold.refrigerator_kg
        frozen = usage.kept_kg(day.on, fresh=False) + usage.shop_kg(day.on)
        if _over(frozen, cold.freezer_kg):
            yield "freezer", day.on.isoformat(), frozen, cold.freezer_kg


def _land(usage: Usage) -> _Broken:
    request = usage.request
    first = max(request.from_on, request.today)
    for i in range((request.until_on - first).days + 1):
        on = first + dt.timedelta(days=i)
        floor = usage.on_pasture_m2(on)
        if _over(floor, request.pens_m2):
            yield "pens", on.isoformat(), floor, request.pens_m2
    for begin, until in deliveries(request):
        feed = usage.feed_kg(begin, until)
        if _over(feed, request.feed.store_kg):
            yield "feed", begin.isoformat(), feed, request.feed.store_kg


def _cap(usage: Usage) -> _Broken:
    cap = usage.request.cap
    if cap.most is None:
        return
    for year in {batch.on.year for lot in usage.plan.lots for batch in lot.batches}:
        before = cap.counted if year == usage.request.today.year else 0
        count = usage.counted(year) + before
        if _over(count, cap.most):
            yield "cap", str(year), count, float(cap.most)


def _orders(usage: Usage) -> _Broken:
    request = usage.request
    kinds = {lot.code: lot.kind for lot in usage.plan.lots}
    for asked, plan in zip(request.orders, usage.plan.orders, strict=True):
        wanted = float(asked.birds) if asked.birds is not None else asked.mass_kg or 0.0
        given = math.fsum(p.birds if asked.birds is not None else p.mass_kg for p in plan.parts)
        if asked.firm and _over(wanted, given):
            yield "promise", asked.key, given, wanted
        if _over(given, wanted):
            yield "order", asked.key, given, wanted
        for part in plan.parts:
            if not _fits(asked, part, kinds[part.lot], fresh_d=request.cold.fresh_d):
                yield "order", asked.key, part.low_kg, asked.low_kg
        if plan.met != (given >= wanted * (1 - _SLACK) - _SLACK):
            yield "order", asked.key, given, wanted


def _fits(asked: Order, part: Given, kind: str, *, fresh_d: int) -> bool:
    return (
        kind in asked.kinds
        and asked.low_kg <= part.low_kg
        and part.high_kg <= asked.high_kg
        and fresh(asked, part.on, fresh_d) is part.fresh
    )


def _shop(usage: Usage) -> _Broken:
    kinds = {lot.code: lot.kind for lot in usage.plan.lots}
    spans = spans_of(usage.tables, usage.request.until_on)
    for asked, line in zip(usage.request.stock, usage.plan.stock, strict=True):
        for part in line.parts:
            outside = part.low_kg < asked.low_kg or part.high_kg > asked.high_kg
            if outside or kinds[part.lot] not in asked.kinds:
                yield "stock", asked.name, part.low_kg, asked.low_kg
        held = asked.have_kg
        for (on, sold), (first, last) in zip(line.sold, spans, strict=True):
            held += math.fsum(p.mass_kg for p in line.parts if p.on == on)
            if _over(sold, held):
                yield "stock", f"{asked.name} {on}", sold, held
            if _over(sold, span_kg(asked, first, last)):
                yield "stock", f"{asked.name} {on}", sold, span_kg(asked, first, last)
            held -= sold
