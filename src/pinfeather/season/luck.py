"""A plan over many random seasons: the chance of meeting each order, and a band of profit."""

from __future__ import annotations

import datetime as dt
import itertools
from collections import defaultdict
from typing import Final

import numpy as np

from pinfeather.season.asked import Order, SeasonRequest
from pinfeather.season.luck_draws import WAIT, Drawn, DrawnSeasons, Floats, draw, planned_batches
from pinfeather.season.parts import fresh, span_kg, spans_of, work_s
from pinfeather.season.plan import Luck, OrderChance, SeasonPlan
from pinfeather.season.usage import Usage
from pinfeather.season.yields import Tables

SEASONS: Final = 2000
_CHUNK: Final = 2000
_NEAR: Final = 1e-6
_MASS_NEAR: Final = 1e-3
"""An order by weight is met when a thousandth is short; nobody can weigh birds nearer."""


def try_luck(
    request: SeasonRequest,
    tables: Tables,
    plan: SeasonPlan,
    *,
    rng: np.random.Generator,
    seasons: int = SEASONS,
) -> Luck:
    """Try a plan over random seasons.

    Parameters
    ----------
    request : SeasonRequest
        The season, with what can go wrong.
    tables : Tables
        What lots give.
    plan : SeasonPlan
        Lots, days, and what was meant for whom.
    rng : numpy.random.Generator
        Source of chance.
    seasons : int
        How many.

    Returns
    -------
    Luck
        Chances and money.

    Notes
    -----
    In each season birds first go where the plan meant them; promised orders that are short take
    what is left over of birds that fit, then wished ones, in order of pickup; the shop gets the
    rest as far as it sells and the freezer holds it. Nothing is planned anew along the way, so the
    numbers are on the careful side.

    References
    ----------
    Decision record 0016; draws as in :func:`pinfeather.season.luck_draws.draw`.
    """
    usage = Usage(request, tables, plan)
    planned = planned_batches(usage)
    parts = []
    for start in range(0, seasons, _CHUNK):
        n = min(_CHUNK, seasons - start)
        parts.append(_Chunk(usage, draw(usage, planned, n, rng=rng), n).run())
    joined = {key: np.concatenate([p[key] for p in parts], axis=-1) for key in parts[0]}
    profit, given, met = joined["profit"], joined["given"], joined["met"]
    firm = np.array([order.firm for order in request.orders], dtype=bool)
    low, middle, high = (round(float(v)) for v in np.quantile(profit, [0.1, 0.5, 0.9]))
    return Luck(
        seasons=seasons,
        profit_low_cents=low,
        profit_middle_cents=middle,
        profit_high_cents=high,
        profit_mean_cents=round(float(profit.mean())),
        orders_met_frac=float(met.mean()) if len(met) else 1.0,
        firm_met_frac=float(met[firm].all(axis=0).mean()) if firm.any() else 1.0,
        loss_frac=float((profit < 0).mean()),
        over_cap_frac=float(joined["over_cap"].mean()),
        over_hours_frac=float(joined["over_hours"].mean()),
        chances=tuple(
            OrderChance(order.key, float(met[w].mean()), float(np.minimum(given[w], 1).mean()))
            for w, order in enumerate(request.orders)
        ),
    )


class _Chunk:
    """Some random seasons at once."""

    def __init__(self, usage: Usage, drawn: DrawnSeasons, seasons: int) -> None:
        self.usage, self.drawn, self.n = usage, drawn, seasons
        self.request = usage.request
        self.at = {(d.planned.lot.code, d.planned.plan.on): d for d in drawn.batches}
        self.left = {id(d): d.birds.copy() for d in drawn.batches}
        self.spans = spans_of(usage.tables, self.request.until_on)
        self.frozen: dict[int, Floats] = defaultdict(lambda: np.zeros(seasons))

    def run(self) -> dict[str, Floats]:
        income = np.zeros(self.n)
        wanted = [
            float(o.birds if o.birds is not None else o.mass_kg or 0) for o in self.request.orders
        ]
        given = [np.zeros(self.n) for _order in wanted]
        for by_plan in (True, False):
            for w in self._turns():
                order = self.request.orders[w]
                income += self._serve(order, given[w], wanted[w], planned=w if by_plan else None)
        met = []
        for order, want, got in zip(self.request.orders, wanted, given, strict=True):
            near = _NEAR if order.birds is not None else _MASS_NEAR * want
            met.append(got >= want - near)
            income -= np.maximum(want - got, 0) * float(order.miss_cents)
        income += self._shop() + self._rest()
        shares = [got / want for got, want in zip(given, wanted, strict=True)]
        shape = (len(wanted), self.n)
        return {
            "profit": income - self._costs(),
            "given": np.array(shares).reshape(shape),
            "met": np.array(met, dtype=bool).reshape(shape),
            "over_cap": self._over_cap(),
            "over_hours": self._over_hours(),
        }

    def _turns(self) -> list[int]:
        """Promised orders first, by pickup; those that can take fewer kinds of bird first."""
        orders = self.request.orders
        return sorted(
            range(len(orders)),
            key=lambda w: (not orders[w].firm, orders[w].on, orders[w].high_kg - orders[w].low_kg),
        )

    def _serve(self, order: Order, given: Floats, wanted: float, *, planned: int | None) -> Floats:
        """Give an order what it lacks, from the plan's own batches or from any that fit."""
        income = np.zeros(self.n)
        by_mass = order.birds is None
        for d, g, most in self._from(order, planned):
            lacks = np.maximum(wanted - given, 0)
            if not lacks.any():
                break
            usual = fresh(order, d.planned.plan.on, self.request.cold.fresh_d)
            late = fresh(order, d.planned.plan.on + WAIT, self.request.cold.fresh_d)
            fits = np.where(d.late, late is not None, usual is not None)
            left, mass = self.left[id(d)][:, g], d.masses_kg[:, g]
            birds = np.minimum(left, lacks / mass if by_mass else lacks) * fits
            if most is not None:
                birds = np.minimum(birds, most)
            self.left[id(d)][:, g] = left - birds
            given += birds * mass if by_mass else birds
            income += birds * (float(order.cents_per_bird) + float(order.cents_per_kg) * mass)
            cold = np.where(d.late, late is False, usual is False)
            if cold.any():
                self._freeze(d, order.on, birds * mass * cold)
        return income

    def _from(self, order: Order, planned: int | None) -> list[tuple[Drawn, int, float | None]]:
        if planned is not None:
            parts = self.usage.plan.orders[planned].parts if self.usage.plan.orders else ()
            return [
                (d, d.planned.edges_kg.index(part.low_kg), part.birds)
                for part in parts
                if (d := self.at.get((part.lot, part.on))) is not None
            ]
        return [
            (d, g, None)
            for d in self.drawn.batches
            if d.planned.lot.kind in order.kinds and d.planned.plan.on <= order.on
            for g, (low, high) in enumerate(itertools.pairwise(d.planned.edges_kg))
            if order.low_kg <= low and high <= order.high_kg
        ]

    def _freeze(self, d: Drawn, until: dt.date, mass: Floats) -> None:
        for i, (first, _last) in enumerate(self.spans):
            if d.planned.plan.on <= first < until:
                self.frozen[i] += mass

    def _shop(self) -> Floats:
        """Sell from the freezer, stretch by stretch."""
        lines, income = self.request.stock, np.zeros(self.n)
        held = [np.full(self.n, line.have_kg) for line in lines]
        ahead = [np.array([span_kg(line, a, z) for a, z in self.spans] + [0.0]) for line in lines]
        for i, (first, last) in enumerate(self.spans):
            room = self.request.cold.freezer_kg - self.frozen[i] - sum(held, np.zeros(self.n))
            room = np.maximum(room, 0)
            for d, mask in self._coming(first, last):
                for m in sorted(range(len(lines)), key=lambda k: -lines[k].cents_per_kg):
                    line = lines[m]
                    if d.planned.lot.kind not in line.kinds:
                        continue
                    sells = np.maximum(float(ahead[m][i:].sum()) - held[m], 0)
                    for g, (low, high) in enumerate(itertools.pairwise(d.planned.edges_kg)):
                        if low < line.low_kg or high > line.high_kg:
                            continue
                        left, mass = self.left[id(d)][:, g], d.masses_kg[:, g]
                        taken = np.minimum(np.minimum(left * mass, room), sells) * mask
                        self.left[id(d)][:, g] = left - taken / mass
                        held[m] = held[m] + taken
                        room, sells = room - taken, sells - taken
            for m, line in enumerate(lines):
                sold = np.minimum(held[m], ahead[m][i])
                held[m] = held[m] - sold
                income += sold * float(line.cents_per_kg)
        return income

    def _coming(self, first: dt.date, last: dt.date) -> list[tuple[Drawn, Floats]]:
        """Batches that go into the freezer in a stretch; late ones where a week later falls."""
        found = []
        final = self.spans[-1][1]
        for d in self.drawn.batches:
            on, late = d.planned.plan.on, min(d.planned.plan.on + WAIT, final)
            here, later = first <= on <= last, first <= late <= last
            if here or later:
                found.append((d, np.where(d.late, later, here).astype(float)))
        return found

    def _rest(self) -> Floats:
        price = float(self.request.rest_cents_per_kg)
        found = np.zeros(self.n)
        for d in self.drawn.batches:
            found += price * np.einsum("ng,ng->n", self.left[id(d)], d.masses_kg)
        return found

    def _costs(self) -> Floats:
        plan, found = self.usage.plan, np.zeros(self.n)
        for lot in plan.lots:
            found += np.where(self.drawn.missed[lot.code], 0, lot.chick_cents + lot.lot_cents)
        for d in self.drawn.batches:
            kind = self.request.kind(d.planned.lot.kind)
            birds = d.birds.sum(axis=1)
            found += d.feed_cents + birds * (kind.bird_cents + self._hour_cents(kind.code))
        fixed = {day.on: day for day in self.usage.tables.days}
        for day in plan.days:
            setup = fixed[day.on].setup_s / 3600 * float(self.request.crew_cents_per_h)
            found += fixed[day.on].cost_cents + setup
        return found + (plan.sums.bedding_cents if plan.sums else 0)

    def _hour_cents(self, code: str) -> float:
        hours = work_s(self.request, self.request.kind(code)) / 3600
        return hours * float(self.request.crew_cents_per_h)

    def _over_cap(self) -> Floats:
        cap = self.request.cap
        over = np.zeros(self.n, dtype=bool)
        if cap.most is not None:
            years = {d.planned.plan.on.year for d in self.drawn.batches}
            for year in years:
                count = np.full(
                    self.n, float(cap.counted if year == self.request.today.year else 0)
                )
                for d in self.drawn.batches:
                    if d.planned.plan.on.year == year:
                        weight = cap.weights.get(d.planned.lot.species, 0)
                        count += weight * d.birds.sum(axis=1)
                over |= count > cap.most
        return over.astype(float)

    def _over_hours(self) -> Floats:
        days = {day.on: day for day in self.usage.tables.days}
        found = np.zeros(self.n)
        for day in self.usage.plan.days:
            work = np.full(self.n, days[day.on].setup_s)
            for d in self.drawn.batches:
                if d.planned.plan.on == day.on:
                    kind = self.request.kind(d.planned.lot.kind)
                    work += d.birds.sum(axis=1) * work_s(self.request, kind)
            found += work > days[day.on].crew_s + _NEAR
        return found / max(len(self.usage.plan.days), 1)
