"""What must hold for every plan: heads conserved, no limit broken, more room never worse."""

from __future__ import annotations

import datetime as dt
import math
from dataclasses import replace
from decimal import Decimal
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from pinfeather.season.asked import SeasonRequest
from pinfeather.season.check import broken_limits
from pinfeather.season.plan import SeasonPlan
from pinfeather.season.solve import solve
from pinfeather.season.steps import steps, widened
from pinfeather.season.yields import Tables

ROOMS = ("brooder", "pens", "feed", "chill", "refrigerator", "freezer", "cap", "birds", "stock")
SLOWLY = settings(
    max_examples=12, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)


def made(small: SimpleNamespace, seed: int) -> tuple[SeasonRequest, Tables]:
    """A season with every limit near to binding."""
    rng = np.random.default_rng(seed)
    asked = small.request(
        kinds=(
            small.kind("A", hatch_on=tuple(small.on(h) for h in (10, 24, 38)), step=5, least=5,
                       most=20, pen_m2=0.4),
            small.kind("B", hatch_on=(small.on(17),), step=5, least=10, most=20, pen_m2=0.4),
        ),
        orders=(
            small.order("one", 77, int(rng.integers(1, 10)), kinds=("A",), low_kg=1.8),
            small.order("two", 88, int(rng.integers(1, 10)), kinds=("A", "B"), keep="frozen"),
            small.order("kilos", 95, None, mass_kg=float(rng.uniform(1, 20)), kinds=("B",),
                        cents_per_bird=Decimal(0), cents_per_kg=Decimal(900)),
        ),
        stock=(small.stock(kinds=("A", "B"), most_kg_per_week=float(rng.uniform(0, 8))),),
        days=tuple(small.day(d, most_birds=int(rng.integers(10, 25))) for d in (60, 74, 88)),
        brooders=(small.Brooder("x", None, 15, 7), small.Brooder("y", None, 10, 7)),
        cold=small.Cold(float(rng.uniform(20, 60)), float(rng.uniform(5, 40)),
                        float(rng.uniform(5, 50)), 4),
        feed=small.FeedRoom(store_kg=float(rng.uniform(15, 60)), every_d=14),
        pens_m2=float(rng.uniform(4, 16)),
        cap=small.Cap(None, int(rng.integers(15, 60)), {"chicken": 1}, 3),
        least_batch=int(rng.choice([1, 5])),
    )  # fmt: skip

    def shares(_s: int, _d: int, n: int) -> tuple[float, ...]:
        return tuple(float(p) for p in rng.dirichlet(np.ones(n)))

    return asked, small.tables(
        asked,
        alive=lambda _s, _d: float(rng.uniform(0.85, 1.0)),
        shares=shares,
        masses_kg=lambda _s, _d, n: (1.5, 2.2) if n == 2 else (2.0,),
        feed_cents=lambda _s, d: 250.0 + 60 * d,
    )


def profit(asked: SeasonRequest, tables: Tables) -> tuple[SeasonPlan, int]:
    plan, _model, _solved = solve(asked, tables, gap_frac=0.0, limit_s=30)
    assert plan.sums is not None
    return plan, plan.sums.profit_cents


@SLOWLY
@given(seed=st.integers(0, 10**6), room=st.sampled_from(ROOMS))
def test_more_room_never_lowers_the_profit(small: SimpleNamespace, seed: int, room: str) -> None:
    asked, tables = made(small, seed)
    line = asked.stock[0].name

    _plan, before = profit(asked, tables)
    _plan, after = profit(widened(asked, steps("kg")[room], line=line), tables)

    assert after >= before - 2


@SLOWLY
@given(seed=st.integers(0, 10**6))
def test_no_plan_breaks_a_limit_and_every_bird_goes_somewhere(
    small: SimpleNamespace, seed: int
) -> None:
    asked, tables = made(small, seed)

    plan, _cents = profit(asked, tables)

    assert broken_limits(asked, tables, plan) == ()
    processed = math.fsum(b.expected for lot in plan.lots for b in lot.batches)
    given_out = math.fsum(p.birds for o in plan.orders for p in o.parts)
    given_out += math.fsum(p.birds for s in plan.stock for p in s.parts)
    assert processed == pytest.approx(given_out + plan.spare_birds, abs=1e-4)
    for lot in plan.lots:
        assert sum(b.birds for b in lot.batches) == round(lot.processed)
        units = [
            b.expected / next(t.alive for t in tables.batches
                              if t.on == b.on and tables.sources[t.source].hatch_on == lot.hatch_on
                              and tables.sources[t.source].kind.code == lot.kind)
            for b in lot.batches
        ]  # fmt: skip
        assert math.fsum(units) == pytest.approx(lot.heads, abs=1e-4)


def test_money_adds_up(small: SimpleNamespace) -> None:
    plan, cents = profit(*made(small, 3))
    sums = plan.sums
    assert sums is not None

    income = sums.orders_cents + sums.stock_cents + sums.rest_cents
    costs = (
        sums.chicks_cents + sums.feed_cents + sums.lots_cents + sums.days_cents
        + sums.hours_cents + sums.birds_cents + sums.bedding_cents
    )  # fmt: skip
    assert cents == income - costs - sums.missed_cents
    assert plan.bound_cents >= cents - 2


BREAKS: dict[str, Any] = {
    "cap": lambda a: replace(a, cap=replace(a.cap, most=4)),
    "chill": lambda a: replace(a, cold=replace(a.cold, chill_kg=0.5)),
    "freezer": lambda a: replace(a, cold=replace(a.cold, freezer_kg=0.1)),
    "refrigerator": lambda a: replace(a, cold=replace(a.cold, refrigerator_kg=0.1)),
    "pens": lambda a: replace(a, pens_m2=0.1),
    "feed": lambda a: replace(a, feed=replace(a.feed, store_kg=0.1)),
    "crew": lambda a: replace(a, days=tuple(replace(d, crew_s=3700.0) for d in a.days)),
    "birds_a_day": lambda a: replace(a, days=tuple(replace(d, most_birds=1) for d in a.days)),
    "brooder": lambda a: replace(a, brooders=tuple(replace(b, chicks=3) for b in a.brooders)),
    "stock": lambda a: replace(a, stock=tuple(replace(s, most_kg_per_week=0.01) for s in a.stock)),
}


def test_the_checker_sees_each_limit_broken(small: SimpleNamespace) -> None:
    seen = set()
    for seed in range(6):
        asked, tables = made(small, seed)
        plan, _cents = profit(asked, tables)
        for change in BREAKS.values():
            narrow = change(asked)
            found = broken_limits(narrow, replace(tables, days=narrow.days), plan)
            seen |= {f.code.removeprefix("season.broken.") for f in found}

    assert set(BREAKS) <= seen


def test_the_checker_sees_birds_given_twice_and_birds_lost(small: SimpleNamespace) -> None:
    asked, tables = made(small, 5)
    plan, _cents = profit(asked, tables)
    order = next(o for o in plan.orders if o.parts)
    doubled = replace(order, parts=(*order.parts, *order.parts))
    twice = replace(plan, orders=tuple(doubled if o is order else o for o in plan.orders))
    lot = plan.lots[0]
    lost = replace(plan, lots=(replace(lot, heads=lot.heads + 5), *plan.lots[1:]))

    assert "season.broken.birds" in {f.code for f in broken_limits(asked, tables, twice)}
    assert "season.broken.heads" in {f.code for f in broken_limits(asked, tables, lost)}


def test_a_standing_lot_is_processed_to_the_last_bird(small: SimpleNamespace) -> None:
    asked = small.request(
        standing=(small.Standing("S1", "A", small.on(10), 7, 1.0, 0.05),),
        orders=(small.order("one", 60, 3),),
        today=small.on(30),
    )
    tables = small.tables(asked)

    plan, _cents = profit(asked, tables)

    lot = next(lot for lot in plan.lots if lot.standing)
    assert lot.processed == pytest.approx(7)
    assert lot.chick_cents == 0
    assert broken_limits(asked, tables, plan) == ()


def test_lots_in_one_brooder_wait_for_its_cleaning(small: SimpleNamespace) -> None:
    hatch = (small.on(10), small.on(38))
    asked = small.request(
        kinds=(small.kind(hatch_on=hatch, until_d=80),),
        brooders=(small.Brooder("only", None, 8, 7),),
        orders=(small.order("a", 60, 8, keep="fresh"), small.order("b", 80, 8, keep="fresh")),
    )
    close = replace(asked, brooders=(small.Brooder("only", None, 8, 9),))

    free, _cents = profit(asked, small.tables(asked))
    held, _cents = profit(close, small.tables(close))

    assert len(free.lots) == 2
    assert len(held.lots) == 1
    assert free.lots[0].out_of_brooder_on + dt.timedelta(7) <= free.lots[1].arrive_on
