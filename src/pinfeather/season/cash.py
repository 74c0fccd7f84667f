"""What to buy and what is in hand, month by month."""

from __future__ import annotations

import datetime as dt
import math
from collections import defaultdict
from typing import Final

from pinfeather.flock.feed import usual_phases
from pinfeather.season.asked import SeasonRequest
from pinfeather.season.parts import bedding_dollars, deliveries
from pinfeather.season.plan import CashMonth, Purchase, SeasonPlan
from pinfeather.season.usage import Usage
from pinfeather.season.yields import Tables, feed_cents_per_kg
from pinfeather.words import gettext as _

_LEAST_KG: Final = 1e-6


def purchases_of(request: SeasonRequest, tables: Tables, plan: SeasonPlan) -> tuple[Purchase, ...]:
    """List what to buy in each month.

    Parameters
    ----------
    request : SeasonRequest
        With prices.
    tables : Tables
        What lots give.
    plan : SeasonPlan
        Finished.

    Returns
    -------
    tuple of Purchase
        Chicks in the month they hatch, feed in the month it is eaten, bedding with the chicks.

    References
    ----------
    Derivation: sums.
    """
    found = []
    chicks: dict[tuple[dt.date, str], list[int]] = defaultdict(lambda: [0, 0])
    bedding: dict[dt.date, list[float]] = defaultdict(lambda: [0.0, 0.0])
    brooders = {b.name: b for b in request.brooders}
    for lot in plan.lots:
        if lot.standing:
            continue
        entry = chicks[_month(lot.hatch_on), lot.name]
        entry[0] += lot.heads
        entry[1] += lot.chick_cents
        for name in lot.brooders:
            floor = brooders[name].floor_m2 or 0.0
            both = bedding[_month(lot.hatch_on)]
            both[0] += floor * request.bedding_kg_per_m2
            both[1] += round(100 * bedding_dollars(request, brooders[name]))
    for (month, name), (heads, cents) in chicks.items():
        found.append(Purchase(month, "chicks", name, heads, None, cents))
    for month, (mass, cost) in bedding.items():
        if mass > 0:
            found.append(Purchase(month, "bedding", _("Bedding"), None, mass, round(cost)))
    for (month, species, phase), (mass, cost) in _feed(Usage(request, tables, plan)).items():
        name = _("{species} feed, {phase}").format(species=_(species), phase=_(phase))
        found.append(Purchase(month, "feed", name, None, mass, round(cost)))
    rank = {"chicks": 0, "feed": 1, "bedding": 2}
    return tuple(sorted(found, key=lambda p: (p.month, rank[p.what], p.name)))


def _feed(usage: Usage) -> dict[tuple[dt.date, str, str], list[float]]:
    """Feed by month, species and phase: mass and cents."""
    found: dict[tuple[dt.date, str, str], list[float]] = defaultdict(lambda: [0.0, 0.0])
    for lot in usage.plan.lots:
        source = usage.source(lot)
        row = usage.tables.eaten_kg[usage.source_of[lot.code]]
        phases = usual_phases(source.kind.species)
        for day, units in usage.units(lot):
            for i in range((day - source.hatch_on).days):
                on = source.hatch_on + dt.timedelta(days=i)
                mass = units * float(row[(on - usage.tables.first_on).days])
                if mass > _LEAST_KG:
                    phase = next(p for p in reversed(phases) if p.from_d <= i)
                    price = feed_cents_per_kg(usage.request, source.kind, phase.name)
                    entry = found[_month(on), source.kind.species, phase.name]
                    entry[0] += mass
                    entry[1] += mass * price
    return found


def cash_of(request: SeasonRequest, tables: Tables, plan: SeasonPlan) -> tuple[CashMonth, ...]:
    """Return money in and out, month by month.

    Parameters
    ----------
    request : SeasonRequest
        With what is in hand.
    tables : Tables
        What lots give.
    plan : SeasonPlan
        Finished.

    Returns
    -------
    tuple of CashMonth
        Every month of the season, in order.

    Notes
    -----
    Chicks, bedding and the cost of starting a lot are paid on the day they hatch, feed on the day
    of delivery for the days until the next, a processing day on the day; orders are paid at pickup,
    the shop evenly over the days it sells, birds outside both on the day.

    References
    ----------
    Derivation: sums of whole cents by day.
    """
    moves: dict[dt.date, list[int]] = defaultdict(lambda: [0, 0])

    def pay(on: dt.date, cents: float) -> None:
        moves[max(on, request.today)][1] += round(cents)

    def earn(on: dt.date, cents: float) -> None:
        moves[on][0] += round(cents)

    usage = Usage(request, tables, plan)
    brooders = {b.name: b for b in request.brooders}
    for lot in plan.lots:
        bed = (
            0 if lot.standing else sum(bedding_dollars(request, brooders[n]) for n in lot.brooders)
        )
        pay(lot.hatch_on, lot.chick_cents + lot.lot_cents + 100 * bed)
        for batch in lot.batches:
            pay(batch.on, lot.bird_cents * batch.expected / max(lot.processed, _LEAST_KG))
    for on, cents in _feed_bills(usage).items():
        pay(on, cents)
    for day in plan.days:
        pay(day.on, day.cost_cents)
    for order in plan.orders:
        earn(order.on, order.income_cents)
    _shop(usage, moves)
    if plan.sums is not None and plan.sums.rest_cents:
        whole = math.fsum(day.dressed_kg for day in plan.days)
        for day in plan.days:
            earn(day.on, plan.sums.rest_cents * day.dressed_kg / whole)
    return _months(request, moves)


def _feed_bills(usage: Usage) -> dict[dt.date, float]:
    """Feed paid at each delivery, for what is eaten until the next."""
    stretches = deliveries(usage.request)
    found: dict[dt.date, float] = defaultdict(float)
    for lot in usage.plan.lots:
        source = usage.source(lot)
        row = usage.tables.eaten_kg[usage.source_of[lot.code]]
        phases = usual_phases(source.kind.species)
        for day, units in usage.units(lot):
            for i in range((day - source.hatch_on).days):
                on = source.hatch_on + dt.timedelta(days=i)
                mass = units * float(row[(on - usage.tables.first_on).days])
                phase = next(p for p in reversed(phases) if p.from_d <= i)
                paid = next((a for a, z in stretches if a <= on < z), on)
                found[paid] += mass * feed_cents_per_kg(usage.request, source.kind, phase.name)
    return found


def _shop(usage: Usage, moves: dict[dt.date, list[int]]) -> None:
    """Spread the shop's income over the days it sells."""
    for asked, line in zip(usage.request.stock, usage.plan.stock, strict=True):
        price, carried = float(asked.cents_per_kg), 0.0
        for i, (first, kg) in enumerate(line.sold):
            last = line.sold[i + 1][0] if i + 1 < len(line.sold) else usage.request.until_on
            begin = max(first, asked.from_on)
            end = min(last, asked.until_on + dt.timedelta(days=1))
            days = max((end - begin).days, 1)
            for k in range(days):
                carried += kg * price / days
                whole = round(carried)
                moves[begin + dt.timedelta(days=k)][0] += whole
                carried -= whole


def _months(request: SeasonRequest, moves: dict[dt.date, list[int]]) -> tuple[CashMonth, ...]:
    first = min([request.from_on, *moves])
    last = max([request.until_on, *moves])
    found, balance, month = [], request.cash_cents, _month(first)
    while month <= last:
        following = _month(month + dt.timedelta(days=31))
        lowest, received, paid = balance, 0, 0
        for on in sorted(day for day in moves if month <= day < following):
            received += moves[on][0]
            paid += moves[on][1]
            balance += moves[on][0] - moves[on][1]
            lowest = min(lowest, balance)
        found.append(CashMonth(month, received, paid, balance, lowest))
        month = following
    return tuple(found)


def _month(on: dt.date) -> dt.date:
    return on.replace(day=1)
