"""Ten thousand random seasons of one plan, against a plain loop over fewer.

The loop is written for this comparison, bird by bird and season by season, with the same chances;
the two means of profit and the two shares of orders met are printed side by side.

Run: python benchmarks/season_luck.py
"""

import datetime as dt
import random
import sys
import time

import numpy as np
from season_plan import mapping

from pinfeather.flock.losses import CLUSTERING
from pinfeather.season.asked import SeasonRequest
from pinfeather.season.luck import try_luck
from pinfeather.season.luck_draws import Planned, planned_batches
from pinfeather.season.parts import fresh, span_kg, spans_of
from pinfeather.season.plan import LotPlan, SeasonPlan
from pinfeather.season.request import request_from
from pinfeather.season.thumb import thumb_plan
from pinfeather.season.usage import Usage
from pinfeather.season.yields import Batch, Tables, growth_by_day, tables_of

SEASONS, LOOPED, SEED = 10_000, 150, 5
WEEK = dt.timedelta(days=7)


class Loop:
    """One plan, season after season, with lists of single birds."""

    def __init__(
        self, request: SeasonRequest, tables: Tables, plan: SeasonPlan, *, seed: int
    ) -> None:
        self.request, self.plan = request, plan
        self.usage = Usage(request, tables, plan)
        self.planned = planned_batches(self.usage)
        self.spans = spans_of(tables, request.until_on)
        self.met, self.rng = 0.0, random.Random(seed)
        self.fixed = {day.on: day for day in tables.days}
        self.paths = {
            lot.code: growth_by_day(self.usage.source(lot), lot.batches[-1].age_d + 7)
            for lot in plan.lots
        }

    def season(self) -> float:
        """Return profit in cents; ``met`` then holds the share of orders met."""
        request, rng, chances = self.request, self.rng, self.request.chances
        cancelled = {d.on: rng.random() < chances.cancelled_frac for d in self.plan.days}
        slow = [rng.random() < chances.slow_frac for _week in range(60)]
        cents, birds = 0.0, []
        for lot in self.plan.lots:
            if rng.random() < chances.missed_hatch_frac:
                continue
            cents -= lot.chick_cents + lot.lot_cents
            own = [p for p in self.planned if p.lot.code == lot.code]
            kept = own[-1].usual.alive
            spread = (1 - kept) * CLUSTERING / (kept * np.log(kept) ** 2)
            frailty = rng.gammavariate(1 / spread, spread)
            luck = rng.gauss(0, 1)
            struck = rng.uniform(lot.out_of_brooder_on.toordinal(), lot.last_on.toordinal())
            loss = rng.uniform(0.1, 0.5) if rng.random() < chances.event_frac else 0.0
            there, before = lot.heads, 1.0
            for one in own:
                late = cancelled[one.plan.on]
                batch = one.late if late else one.usual
                alive = batch.alive**frailty
                if struck <= one.plan.on.toordinal():
                    alive *= 1 - loss
                alive = min(alive, before)
                there = sum(rng.random() < alive / before for _bird in range(there))
                before = alive
                taken = there if one.last else min(there, one.plan.birds)
                there -= taken
                factor = 1 + batch.weights.unsure_frac[0] * luck - self.slowed(lot, one, slow)
                kind = request.kind(lot.kind)
                feed = batch.feed_cents * max(factor, 0.3)
                cents -= feed * (one.plan.expected / one.usual.alive + taken / batch.alive) / 2
                hour = request.bird_s[lot.species] / 3600 * float(request.crew_cents_per_h)
                cents -= taken * (kind.bird_cents + hour)
                on = one.plan.on + WEEK if late else one.plan.on
                edges = one.edges_kg
                caught = sorted(
                    (self.weight(batch, factor) for _bird in range(taken)),
                    key=lambda kg, edges=edges: np.searchsorted(edges, kg),
                )
                birds += [[lot.kind, on, kg, True] for kg in caught]
        for day in self.plan.days:
            setup = self.fixed[day.on].setup_s / 3600 * float(request.crew_cents_per_h)
            cents -= self.fixed[day.on].cost_cents + setup
        return cents + self.sold(birds)

    def slowed(self, lot: LotPlan, one: Planned, slow: list[bool]) -> float:
        path, found = self.paths[lot.code], 0.0
        out = (lot.out_of_brooder_on - lot.hatch_on).days
        offset = (lot.hatch_on - self.usage.tables.first_on).days
        for age in range(out, one.usual.age_d):
            gain = (path[age + 1] - path[age]) / path[one.usual.age_d]
            week = min((age + offset) // 7, len(slow) - 1)
            found += (slow[week] - self.request.chances.slow_frac) * gain
        return float(found * self.request.chances.slow_by_frac)

    def weight(self, batch: Batch, factor: float) -> float:
        male = self.rng.random() < batch.weights.share_male[0]
        mean = batch.weights.male_kg[0] if male else batch.weights.female_kg[0]
        return max(mean * factor * self.rng.gauss(1, batch.weights.within_frac[0]), 0.1)

    def sold(self, birds: list[list]) -> float:
        request, cents, met = self.request, 0.0, 0
        frozen = []
        turns = sorted(request.orders, key=lambda o: (not o.firm, o.on, o.high_kg - o.low_kg))
        for order in turns:
            want = float(order.birds or order.mass_kg)
            for bird in birds:
                kind, on, kg, left = bird
                how = fresh(order, on, request.cold.fresh_d)
                if not left or how is None or kind not in order.kinds or want <= 1e-9:
                    continue
                if not order.low_kg <= kg < order.high_kg:
                    continue
                bird[3] = False
                part = 1.0 if order.birds is not None else min(want / kg, 1.0)
                want -= 1.0 if order.birds is not None else part * kg
                cents += part * (float(order.cents_per_bird) + float(order.cents_per_kg) * kg)
                cents += (1 - part) * kg * float(request.rest_cents_per_kg)
                if how is False:
                    frozen.append((on, order.on, part * kg))
            met += want <= 1e-6
            cents -= want * float(order.miss_cents)
        self.met = met / len(turns)
        return cents + self.shop(birds, frozen)

    def shop(self, birds: list[list], frozen: list[tuple[dt.date, dt.date, float]]) -> float:
        request, cents, final = self.request, 0.0, self.spans[-1][1]
        held = [line.have_kg for line in request.stock]
        for i, (first, last) in enumerate(self.spans):
            room = request.cold.freezer_kg - sum(held)
            room -= sum(kg for on, until, kg in frozen if on <= first < until)
            for bird in birds:
                kind, on, kg, left = bird
                if not left or not first <= min(on, final) <= last:
                    continue
                for m in sorted(range(len(held)), key=lambda k: -request.stock[k].cents_per_kg):
                    line = request.stock[m]
                    ahead = sum(span_kg(line, a, z) for a, z in self.spans[i:]) - held[m]
                    fits = kind in line.kinds and line.low_kg <= kg < line.high_kg
                    if fits and min(room, ahead) >= kg:
                        held[m] += kg
                        room -= kg
                        bird[3] = False
                        break
                if bird[3]:
                    bird[3] = False
                    cents += kg * float(request.rest_cents_per_kg)
            for m, line in enumerate(request.stock):
                out = min(held[m], span_kg(line, first, last))
                held[m] -= out
                cents += out * float(line.cents_per_kg)
        return cents


def main() -> int:
    """Print both times, their ratio for one season, and both answers."""
    request = request_from(mapping())
    tables = tables_of(request)
    plan = thumb_plan(request, tables)
    begin = time.perf_counter()
    luck = try_luck(request, tables, plan, rng=np.random.default_rng(SEED), seasons=SEASONS)
    vector_s = time.perf_counter() - begin
    loop, begin = Loop(request, tables, plan, seed=SEED), time.perf_counter()
    profits, met = [], []
    for _season in range(LOOPED):
        profits.append(loop.season())
        met.append(loop.met)
    loop_s = time.perf_counter() - begin
    print(f"{len(plan.lots)} lots, {sum(d.birds for d in plan.days)} birds")
    print(
        f"{SEASONS} seasons in {vector_s:.1f} s (aim 20 s), loop {LOOPED} in {loop_s:.1f} s:"
        f" ratio {loop_s / LOOPED / (vector_s / SEASONS):.0f}"
    )
    error = np.std(profits) / np.sqrt(LOOPED)
    print(
        f"mean profit ${luck.profit_mean_cents / 100:,.0f},"
        f" loop ${np.mean(profits) / 100:,.0f} ± {error / 100:,.0f};"
        f" orders met {luck.orders_met_frac:.3f}, loop {np.mean(met):.3f}"
    )
    return 0


if __name__ == "__main__":
    sys.exit(main())
