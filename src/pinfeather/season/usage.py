"""What a finished plan uses of each room on each day, reckoned from the plan alone."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Sequence

from pinfeather.season.asked import SeasonRequest
from pinfeather.season.plan import LotPlan, SeasonPlan
from pinfeather.season.yields import Batch, Source, Tables

_DAY = dt.timedelta(days=1)
_WEEK_D = 7.0


class Usage:
    """A plan with the tables its lots were forecast from.

    Parameters
    ----------
    request : SeasonRequest
        The season.
    tables : Tables
        What lots give.
    plan : SeasonPlan
        With lots, orders and shop.
    """

    def __init__(self, request: SeasonRequest, tables: Tables, plan: SeasonPlan) -> None:
        self.request, self.tables, self.plan = request, tables, plan
        index = {
            (s.kind.code, s.hatch_on, s.standing.code if s.standing else ""): i
            for i, s in enumerate(tables.sources)
        }
        self.source_of = {
            lot.code: index[lot.kind, lot.hatch_on, lot.code if lot.standing else ""]
            for lot in plan.lots
        }
        self._batches = {(b.source, b.on): b for b in tables.batches}

    def source(self, lot: LotPlan) -> Source:
        """Return what a lot came from."""
        return self.tables.sources[self.source_of[lot.code]]

    def batch(self, lot: LotPlan, on: dt.date) -> Batch:
        """Return the forecast of a lot for a day."""
        return self._batches[self.source_of[lot.code], on]

    def units(self, lot: LotPlan) -> list[tuple[dt.date, float]]:
        """Return chicks ordered (birds alive today) by the day their birds are processed."""
        return [(b.on, b.expected / self.batch(lot, b.on).alive) for b in lot.batches]

    def alive(self, lot: LotPlan, on: dt.date) -> float:
        """Return birds of a lot alive on a day and not yet processed, those of the day with it."""
        at = (on - self.tables.first_on).days
        row = self.tables.alive[self.source_of[lot.code]]
        if not 0 <= at < len(row):
            return 0.0
        return float(row[at]) * math.fsum(n for day, n in self.units(lot) if day >= on)

    def on_pasture_m2(self, on: dt.date) -> float:
        """Return pen floor in use."""
        return math.fsum(
            self.alive(lot, on) * self.source(lot).kind.pen_m2
            for lot in self.plan.lots
            if max(self.source(lot).out_on, self.request.today) <= on <= lot.last_on
        )

    def brooding(self, on: dt.date) -> list[LotPlan]:
        """Return lots in a brooder."""
        return [
            lot
            for lot in self.plan.lots
            if lot.brooders and lot.arrive_on <= on < lot.out_of_brooder_on
        ]

    def feed_kg(self, first: dt.date, until: dt.date) -> float:
        """Return feed eaten from one day up to another, which is not counted."""
        found = 0.0
        for lot in self.plan.lots:
            row = self.tables.eaten_kg[self.source_of[lot.code]]
            for day, n in self.units(lot):
                a = max((first - self.tables.first_on).days, 0)
                z = (min(until, day) - self.tables.first_on).days
                found += n * float(row[a:z].sum()) if z > a else 0.0
        return found

    def kept_kg(self, on: dt.date, *, fresh: bool) -> float:
        """Return dressed birds held for orders after a day's processing."""
        return math.fsum(
            part.mass_kg
            for order in self.plan.orders
            for part in order.parts
            if part.fresh == fresh and part.on <= on < order.on
        )

    def shop_kg(self, on: dt.date) -> float:
        """Return what the shop's lines hold after a day's processing; sales run evenly."""
        found = 0.0
        for line, asked in zip(self.plan.stock, self.request.stock, strict=True):
            held = asked.have_kg + math.fsum(p.mass_kg for p in line.parts if p.on <= on)
            for i, (start, kg) in enumerate(line.sold):
                if start > on:
                    break
                end = line.sold[i + 1][0] if i + 1 < len(line.sold) else None
                length = (end - start).days if end else max((on - start).days, 1)
                held -= kg * min((on - start).days / max(length, 1), 1.0)
            found += held
        return found

    def counted(self, year: int) -> float:
        """Return birds processed in a calendar year as the cap counts them, on the safe side."""
        weights = self.request.cap.weights
        return math.fsum(
            n * self.batch(lot, day).alive_most * weights.get(lot.species, 0)
            for lot in self.plan.lots
            for day, n in self.units(lot)
            if day.year == year
        )


def weeks_of(request: SeasonRequest) -> Sequence[dt.date]:
    """Return the Mondays of a season.

    Parameters
    ----------
    request : SeasonRequest
        The season.

    Returns
    -------
    sequence of datetime.date
        The first is on or before its first day.

    References
    ----------
    Derivation: calendar.
    """
    first = request.from_on - dt.timedelta(days=request.from_on.weekday())
    count = ((request.until_on - first).days // int(_WEEK_D)) + 1
    return [first + dt.timedelta(weeks=i) for i in range(count)]
