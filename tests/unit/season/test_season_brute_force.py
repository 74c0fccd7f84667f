"""The plan against trying everything, on seasons small enough for that."""

from __future__ import annotations

import datetime as dt
import itertools
import math
from collections.abc import Iterator
from dataclasses import replace
from decimal import Decimal
from types import SimpleNamespace

import numpy as np
import pytest
from scipy.optimize import linear_sum_assignment, linprog

from pinfeather.season.asked import Order, SeasonRequest
from pinfeather.season.check import broken_limits
from pinfeather.season.solve import solve
from pinfeather.season.yields import Tables

IMPOSSIBLE = -math.inf


def best_found(asked: SeasonRequest, made: Tables) -> float:
    """Profit of the plan in cents, or minus infinity; checks the plan on the way."""
    plan, _model, solved = solve(asked, made, gap_frac=0.0, limit_s=60)
    if not plan.found:
        assert solved.status == "none"
        return IMPOSSIBLE
    assert broken_limits(asked, made, plan) == ()
    assert plan.proven
    assert plan.sums is not None
    return float(plan.sums.profit_cents)


def held(order: Order, on: dt.date, fresh_d: int) -> str:
    """How a bird of a day is kept for an order: fresh, frozen, or not at all."""
    waits = (order.on - on).days
    if waits < 0 or (order.keep == "fresh" and waits > fresh_d):
        return ""
    if order.keep == "frozen":
        return "frozen" if waits > 0 else ""
    return "fresh" if waits <= fresh_d else "frozen"


# -- whole birds, no losses: every split of every lot, then an assignment of bird to buyer --------


def whole_case(small: SimpleNamespace, seed: int) -> SeasonRequest:
    rng = np.random.default_rng(seed)
    kinds = tuple(
        small.kind(
            code,
            hatch_on=tuple(small.on(int(h)) for h in rng.choice([10, 17, 24], n, replace=False)),
            step=int(rng.choice([1, 2])),
            least=2,
            most=4,
            chick_cents=Decimal(int(rng.integers(100, 400))),
            lot_cents=int(rng.integers(0, 800)),
            bird_cents=int(rng.integers(0, 100)),
        )
        for code, n in (("A", 1), ("B", int(rng.integers(1, 3))))
    )
    orders = tuple(
        small.order(
            f"o{i}",
            int(rng.integers(55, 95)),
            int(rng.integers(1, 4)),
            kinds=tuple(rng.choice(["A", "B"], int(rng.integers(1, 3)), replace=False)),
            keep=str(rng.choice(["fresh", "frozen", "either"])),
            cents_per_bird=Decimal(int(rng.integers(500, 3500))),
            firm=bool(rng.random() < 0.25),
            miss_cents=Decimal(int(rng.choice([0, 400]))),
        )
        for i in range(3)
    )
    asked: SeasonRequest = small.request(
        kinds=kinds,
        orders=orders,
        days=tuple(
            small.day(
                d, cost_cents=int(rng.integers(0, 2500)), crew_s=3600 + 360.0 * rng.integers(1, 7)
            )
            for d in (60, 75)
        ),
        brooders=(small.Brooder("shed", None, int(rng.integers(2, 5)), 7),)
        if rng.random() < 0.5
        else (),
        cap=small.Cap(None, int(rng.integers(3, 12)), {"chicken": 1}, 0),
        least_batch=int(rng.choice([1, 2])),
        cold=small.Cold(chill_kg=2.0 * int(rng.integers(2, 9)), fresh_d=5),
        rest_cents_per_kg=Decimal(int(rng.choice([0, 50]))),
    )
    return asked


def try_everything(asked: SeasonRequest, made: Tables) -> float:
    """Best profit over all whole-number seasons, in cents."""
    best = IMPOSSIBLE
    choices = [[0, *range(s.kind.least, s.kind.most + 1, s.kind.step)] for s in made.sources]
    for chicks in itertools.product(*choices):
        if not brooders_hold(asked, made, chicks):
            continue
        for split in splits(asked, made, chicks):
            best = max(best, worth(asked, made, chicks, split))
    return best


def brooders_hold(asked: SeasonRequest, made: Tables, chicks: tuple[int, ...]) -> bool:
    if not asked.brooders:
        return True
    brooder = asked.brooders[0]
    started = [s for s, n in enumerate(chicks) if n]
    if any(chicks[s] > (brooder.chicks or 0) for s in started):
        return False
    turn = dt.timedelta(days=brooder.turn_round_d)
    spans = [
        (
            made.sources[s].hatch_on + dt.timedelta(days=made.sources[s].kind.travel_d),
            made.sources[s].hatch_on + dt.timedelta(days=made.sources[s].kind.brooder_d) + turn,
        )
        for s in started
    ]
    return all(a[1] <= b[0] or b[1] <= a[0] for a, b in itertools.combinations(spans, 2))


def splits(asked: SeasonRequest, made: Tables, chicks: tuple[int, ...]) -> Iterator[dict[int, int]]:
    per_lot = []
    for s, n in enumerate(chicks):
        batches = [b for b, batch in enumerate(made.batches) if batch.source == s]
        if n and not batches:
            return
        ways = [
            dict(zip(batches, parts, strict=True))
            for parts in itertools.product(range(n + 1), repeat=len(batches))
            if sum(parts) == n and all(p == 0 or p >= asked.least_batch for p in parts)
        ]
        per_lot.append(ways if n else [{}])
    for chosen in itertools.product(*per_lot):
        yield {b: n for part in chosen for b, n in part.items() if n}


def worth(
    asked: SeasonRequest, made: Tables, chicks: tuple[int, ...], split: dict[int, int]
) -> float:
    """Profit of lots and batches, the birds given to buyers as well as can be."""
    if sum(split.values()) > (asked.cap.most or 0):
        return IMPOSSIBLE
    cents = 0.0
    for s, n in enumerate(chicks):
        if n:
            kind = made.sources[s].kind
            cents -= float(kind.chick_cents) * n + kind.lot_cents
    by_day: dict[int, int] = {}
    birds = [
        (made.sources[made.batches[b].source].kind.code, made.batches[b].on)
        for b, n in split.items()
        for _bird in range(n)
    ]
    for b, n in split.items():
        batch = made.batches[b]
        kind = made.sources[batch.source].kind
        by_day[batch.day] = by_day.get(batch.day, 0) + n
        cents -= n * (batch.feed_cents + kind.bird_cents)
    for d, n in by_day.items():
        day = asked.days[d]
        if day.setup_s + n * asked.bird_s["chicken"] > day.crew_s + 1e-6:
            return IMPOSSIBLE
        if 2.0 * n > asked.cold.chill_kg + 1e-9:
            return IMPOSSIBLE
        cents -= day.cost_cents
    return cents + sold(asked, birds)


def sold(asked: SeasonRequest, birds: list[tuple[str, dt.date]]) -> float:
    """Best sale of single birds to single places in the orders."""
    firm = 1e7
    places = [o for o in asked.orders for _n in range(o.birds or 0)]
    missed = -sum(float(o.miss_cents) for o in places)
    rest = float(asked.rest_cents_per_kg) * 2.0
    value = np.zeros((len(birds), len(places)))
    for i, (code, on) in enumerate(birds):
        for j, order in enumerate(places):
            if code in order.kinds and held(order, on, asked.cold.fresh_d):
                gain = float(order.cents_per_bird + order.miss_cents) - rest
                value[i, j] = gain + firm * order.firm
    rows, columns = linear_sum_assignment(value, maximize=True)
    total = value[rows, columns].sum()
    served = sum(1 for i, j in zip(rows, columns, strict=True) if value[i, j] > firm / 2)
    if served < sum(o.birds or 0 for o in asked.orders if o.firm):
        return IMPOSSIBLE
    return float(total) - firm * served + missed + rest * len(birds)


@pytest.mark.parametrize("seed", range(60))
def test_the_plan_is_as_good_as_trying_every_whole_season(
    small: SimpleNamespace, seed: int
) -> None:
    asked = whole_case(small, seed)
    made = small.tables(asked, feed_cents=lambda s, d: 300.0 + 40 * s + 90 * d)
    expected = try_everything(asked, made)
    found = best_found(asked, made)
    if expected == IMPOSSIBLE:
        assert found == IMPOSSIBLE
    else:
        assert found == pytest.approx(expected, abs=1.0)


def test_the_whole_cases_are_not_all_trivial(small: SimpleNamespace) -> None:
    values = []
    for seed in range(60):
        asked = whole_case(small, seed)
        made = small.tables(asked, feed_cents=lambda s, d: 300.0 + 40 * s + 90 * d)
        values.append(try_everything(asked, made))
    assert sum(v == IMPOSSIBLE for v in values) >= 5
    assert sum(v > 0 for v in values) >= 15


# -- losses, weight bands, cold, feed: every choice of whole numbers, then a linear program -------


def mixed_case(small: SimpleNamespace, seed: int) -> tuple[SeasonRequest, Tables]:
    rng = np.random.default_rng(1000 + seed)
    kinds = (
        small.kind("A", hatch_on=(small.on(10), small.on(24)), step=4, least=4, most=8, pen_m2=0.5),
        small.kind("B", hatch_on=(small.on(17),), step=5, least=5, most=5, pen_m2=0.3),
    )
    firm = [bool(rng.random() < 0.4) for _order in range(2)]
    orders = (
        small.order("one", int(rng.integers(60, 90)), int(rng.integers(1, 5)), low_kg=1.8,
                    cents_per_bird=Decimal(int(rng.integers(800, 3000))), firm=firm[0],
                    keep=str(rng.choice(["fresh", "frozen", "either"]))),
        small.order("two", int(rng.integers(60, 90)), None, mass_kg=float(rng.uniform(2, 8)),
                    kinds=("A", "B"), cents_per_bird=Decimal(0),
                    cents_per_kg=Decimal(int(rng.integers(400, 1500))), firm=firm[1]),
    )  # fmt: skip
    asked = small.request(
        kinds=kinds,
        orders=orders,
        stock=(small.stock(kinds=("A", "B"), most_kg_per_week=float(rng.uniform(0, 3)),
                           have_kg=float(rng.choice([0.0, 2.0]))),),
        days=(small.day(62, cost_cents=int(rng.integers(0, 2000))), small.day(78)),
        brooders=(
            small.Brooder("x", None, 5, 7),
            small.Brooder("y", None, int(rng.integers(3, 9)), 7),
        ),
        cold=small.Cold(float(rng.uniform(8, 30)), float(rng.uniform(4, 20)),
                        float(rng.uniform(4, 25)), 4),
        feed=small.FeedRoom(store_kg=float(rng.uniform(8, 30)), every_d=14),
        pens_m2=float(rng.uniform(3, 9)),
        cap=small.Cap(None, int(rng.integers(6, 18)), {"chicken": 1}, 0),
        rest_cents_per_kg=Decimal(100),
    )  # fmt: skip

    def shares(_s: int, _d: int, n: int) -> tuple[float, ...]:
        parts = rng.dirichlet(np.ones(n))
        return tuple(float(p) for p in parts)

    made = small.tables(
        asked,
        alive=lambda _s, _d: float(rng.uniform(0.8, 1.0)),
        shares=shares,
        masses_kg=lambda _s, _d, n: (1.6, 2.1) if n == 2 else (1.9,),
        safe=lambda _s, _d, n: tuple(float(v) for v in rng.uniform(0.5, 1.0, n)),
        feed_cents=lambda _s, d: 300.0 + 80 * d,
    )
    return asked, made


def every_choice(asked: SeasonRequest, made: Tables) -> float:
    best = IMPOSSIBLE
    choices = [[0, *range(s.kind.least, s.kind.most + 1, s.kind.step)] for s in made.sources]
    for chicks in itertools.product(*choices):
        if not any_brooding(asked, made, chicks):
            continue
        for opened in itertools.product((0, 1), repeat=len(asked.days)):
            best = max(best, inner(asked, made, chicks, opened))
    return best


def any_brooding(asked: SeasonRequest, made: Tables, chicks: tuple[int, ...]) -> bool:
    """Some way of giving each lot one or more brooders for itself."""
    started = [s for s, n in enumerate(chicks) if n]
    subsets = [c for r in (1, 2) for c in itertools.combinations(range(len(asked.brooders)), r)]
    for given in itertools.product(subsets, repeat=len(started)):
        fits = all(
            chicks[s] <= sum(asked.brooders[i].chicks or 0 for i in own)
            for s, own in zip(started, given, strict=True)
        )
        if fits and all(
            one_at_a_time(
                asked, made, i, [s for s, own in zip(started, given, strict=True) if i in own]
            )
            for i in range(len(asked.brooders))
        ):
            return True
    return False


def one_at_a_time(asked: SeasonRequest, made: Tables, i: int, lots: list[int]) -> bool:
    turn = asked.brooders[i].turn_round_d
    spans = sorted(
        (
            (made.sources[s].hatch_on - asked.from_on).days + made.sources[s].kind.travel_d,
            (made.sources[s].hatch_on - asked.from_on).days + made.sources[s].kind.brooder_d + turn,
        )
        for s in lots
    )
    return all(a[1] <= b[0] for a, b in itertools.pairwise(spans))


def inner(  # noqa: PLR0912 - a linear program, row by row
    asked: SeasonRequest, made: Tables, chicks: tuple[int, ...], opened: tuple[int, ...]
) -> float:
    """Best sharing out for given lots and days, as a linear program written for this test."""
    names: list[tuple[object, ...]] = []
    cost: list[float] = []

    def var(name: tuple[object, ...], cents: float) -> None:
        names.append(name)
        cost.append(cents)

    rows: list[tuple[dict[tuple[object, ...], float], str, float]] = []
    fixed = sum(
        float(made.sources[s].kind.chick_cents) * n + made.sources[s].kind.lot_cents
        for s, n in enumerate(chicks)
        if n
    ) + sum(day.cost_cents for day, o in zip(asked.days, opened, strict=True) if o)
    line = asked.stock[0]
    for b, batch in enumerate(made.batches):
        kind = made.sources[batch.source].kind
        var(("u", b), batch.feed_cents + batch.alive * kind.bird_cents)
        edges = made.bands[kind.code]
        for g, mass in enumerate(batch.masses_kg):
            out = {("u", b): -batch.alive * batch.shares[g]}
            firm = {("u", b): -batch.alive * batch.shares[g] * batch.safe[g]}
            for w, o in enumerate(asked.orders):
                within = o.low_kg <= edges[g] and edges[g + 1] <= o.high_kg
                if kind.code in o.kinds and within and held(o, batch.on, asked.cold.fresh_d):
                    var(("a", b, g, w), -(float(o.cents_per_bird) + float(o.cents_per_kg) * mass))
                    out["a", b, g, w] = 1.0
                    if o.firm:
                        firm["a", b, g, w] = 1.0
            var(("i", b, g), 0.0)
            var(("r", b, g), -float(asked.rest_cents_per_kg) * mass)
            out["i", b, g] = out["r", b, g] = 1.0
            rows.append((out, "=", 0.0))
            rows.append((firm, "<", 0.0))
    for s, n in enumerate(chicks):
        own = {("u", b): 1.0 for b, batch in enumerate(made.batches) if batch.source == s}
        rows.append((own, "=", float(n)))
    starts = [(day.on - asked.from_on).days for day in asked.days]
    ends = [*starts[1:], (asked.until_on - asked.from_on).days + 1]
    for d, day in enumerate(asked.days):
        var(("s", d), -float(line.cents_per_kg))
        rows.append(({("s", d): 1.0}, "<", (ends[d] - starts[d]) * line.most_kg_per_week / 7))
        on_day = [(b, x) for b, x in enumerate(made.batches) if x.day == d]
        rows.append(
            ({("u", b): x.alive * asked.bird_s["chicken"] for b, x in on_day}, "<",
             (day.crew_s - day.setup_s) * opened[d])
        )  # fmt: skip
        rows.append(({("u", b): x.alive * x.mean_kg for b, x in on_day}, "<", asked.cold.chill_kg))
        fridge, freezer, reach = {}, {}, {}
        for name in names:
            if name[0] == "a":
                _a, b, g, w = name
                x, o = made.batches[b], asked.orders[w]
                if x.on <= day.on < o.on:
                    room = fridge if held(o, x.on, asked.cold.fresh_d) == "fresh" else freezer
                    room[name] = x.masses_kg[g]
            elif name[0] == "i" and made.batches[name[1]].on <= day.on:
                freezer[name] = reach[name] = made.batches[name[1]].masses_kg[name[2]]
        for e in range(d):
            freezer["s", e] = reach["s", e] = -1.0
        rows.append((fridge, "<", asked.cold.refrigerator_kg))
        rows.append((freezer, "<", asked.cold.freezer_kg - line.have_kg))
        rows.append(({**{k: -v for k, v in reach.items()}, ("s", d): 1.0}, "<", line.have_kg))
    for w, o in enumerate(asked.orders):
        got = {
            n: (1.0 if o.birds is not None else made.batches[n[1]].masses_kg[n[2]])
            for n in names
            if n[0] == "a" and n[3] == w
        }
        wanted = float(o.birds if o.birds is not None else o.mass_kg or 0)
        rows.append((got, "=" if o.firm else "<", wanted))
    counted = {("u", b): x.alive_most for b, x in enumerate(made.batches)}
    rows.append((counted, "<", float(asked.cap.most or 0)))
    for first in range(0, 201, 14):
        food = {}
        for b, x in enumerate(made.batches):
            hatch = (made.sources[x.source].hatch_on - asked.from_on).days
            last = (x.on - asked.from_on).days
            days = max(min(first + 14, last, hatch + 100) - max(first, hatch), 0)
            food["u", b] = 0.08 * days
        rows.append((food, "<", asked.feed.store_kg))
    for t in range(201):
        pens = {}
        for b, x in enumerate(made.batches):
            kind = made.sources[x.source].kind
            out = (made.sources[x.source].hatch_on - asked.from_on).days + kind.brooder_d
            if out <= t <= (x.on - asked.from_on).days:
                pens["u", b] = kind.pen_m2
        rows.append((pens, "<", asked.pens_m2))
    at = {name: i for i, name in enumerate(names)}
    sides = {"=": ([], []), "<": ([], [])}
    for terms, sense, limit in rows:
        row = np.zeros(len(names))
        for name, factor in terms.items():
            row[at[name]] = factor
        sides[sense][0].append(row)
        sides[sense][1].append(limit)
    result = linprog(
        cost, A_ub=np.array(sides["<"][0]), b_ub=sides["<"][1],
        A_eq=np.array(sides["="][0]), b_eq=sides["="][1], bounds=(0, None), method="highs",
    )  # fmt: skip
    return IMPOSSIBLE if result.status != 0 else -fixed - float(result.fun)


@pytest.mark.parametrize("seed", range(40))
def test_the_plan_is_as_good_as_every_choice_with_losses_and_rooms(
    small: SimpleNamespace, seed: int
) -> None:
    asked, made = mixed_case(small, seed)
    expected = every_choice(asked, made)
    found = best_found(asked, made)
    if expected == IMPOSSIBLE:
        assert found == IMPOSSIBLE
    else:
        assert found == pytest.approx(expected, abs=3.0)


def test_the_mixed_cases_are_not_all_trivial(small: SimpleNamespace) -> None:
    values = [every_choice(*mixed_case(small, seed)) for seed in range(40)]
    assert sum(v == IMPOSSIBLE for v in values) >= 4
    assert sum(v > 0 for v in values) >= 15


@pytest.mark.parametrize("seed", range(8))
def test_least_cost_is_the_cheapest_way_to_meet_the_orders(
    small: SimpleNamespace, seed: int
) -> None:
    asked = whole_case(small, seed)
    asked = replace(asked, aim="cost", rest_cents_per_kg=Decimal(0))
    made = small.tables(asked, feed_cents=lambda s, d: 300.0 + 40 * s + 90 * d)
    free = tuple(replace(o, cents_per_bird=Decimal(0)) for o in asked.orders)
    expected = try_everything(replace(asked, orders=free), made)
    plan, _model, solved = solve(asked, made, gap_frac=0.0, limit_s=60)
    if expected == IMPOSSIBLE:
        assert solved.status == "none"
        return
    assert plan.sums is not None
    costs = plan.sums.profit_cents - plan.sums.orders_cents - plan.sums.rest_cents
    assert costs == pytest.approx(expected, abs=1.0)
