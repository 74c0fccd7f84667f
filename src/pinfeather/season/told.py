"""What a family should know about a season's plan: findings, and the numbers it rests on."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from typing import Final

from pinfeather.estimate import Basis, Origin
from pinfeather.finding import Finding, Severity, by_severity
from pinfeather.flock.dressing import published_dressing
from pinfeather.flock.tables import basis_of, table
from pinfeather.season.asked import Chances, SeasonRequest
from pinfeather.season.plan import PlanningNumber, SeasonPlan
from pinfeather.units import from_si
from pinfeather.words import date_text
from pinfeather.words import gettext as _

_SOON: Final = dt.timedelta(days=7)
_WIDE_GAP: Final = 0.01
_NEAR_CAP: Final = 0.9


def findings_of(request: SeasonRequest, plan: SeasonPlan) -> tuple[Finding, ...]:
    """Say what to look at in a finished plan.

    Parameters
    ----------
    request : SeasonRequest
        The season.
    plan : SeasonPlan
        With luck and cash.

    Returns
    -------
    tuple of Finding
        Worst first.

    References
    ----------
    Derivation: the plan's own numbers; the cap as its rules profile cites it.
    """
    return by_severity(
        [
            *_orders(request, plan),
            *_money(plan),
            *_dates(request, plan),
            *_cap(plan, request),
            *_gap(plan),
        ]
    )


def _orders(request: SeasonRequest, plan: SeasonPlan) -> Iterator[Finding]:
    for order in plan.orders:
        if not order.met:
            yield Finding(
                "season.order_short",
                Severity.CHECK,
                _("{name}, {date}: the plan leaves it short.").format(
                    name=order.name, date=date_text(order.on)
                ),
                _("It is wished for, not promised, and meeting it would cost more than it brings."),
                where=order.key,
            )
    if plan.luck is None:
        return
    firm = {order.key: order for order in plan.orders if order.firm}
    for chance in plan.luck.chances:
        if chance.key in firm and chance.met_frac < request.chance_frac:
            order = firm[chance.key]
            yield Finding(
                "season.order_unsure",
                Severity.CHECK,
                _("{name}, {date}: all of it is there in {n:.0f} seasons of 100.").format(
                    name=order.name, date=date_text(order.on), n=100 * chance.met_frac
                ),
                _("Less than the {n:.0f} asked for. Promise fewer, or start more chicks.").format(
                    n=100 * request.chance_frac
                ),
                where=order.key,
                measured=chance.met_frac,
                limit=request.chance_frac,
                unit="1",
            )


def _money(plan: SeasonPlan) -> Iterator[Finding]:
    lowest = min(plan.cash, key=lambda month: month.lowest_cents, default=None)
    if lowest is not None and lowest.lowest_cents < 0:
        yield Finding(
            "season.cash_short",
            Severity.CHECK,
            _("In {month} the money in hand falls ${amount:,.0f} short.").format(
                month=lowest.month.strftime("%Y-%m"), amount=-lowest.lowest_cents / 100
            ),
            _("Take deposits, or find the money before the chicks are ordered."),
            where=lowest.month.isoformat(),
            measured=lowest.lowest_cents / 100,
            limit=0.0,
            unit="$",
        )
    if plan.sums is not None and plan.sums.profit_cents < 0:
        yield Finding(
            "season.loss",
            Severity.CHECK,
            _("Even the best plan ends ${amount:,.0f} below nothing.").format(
                amount=-plan.sums.profit_cents / 100
            ),
            _("Look at prices, and at orders that cost more than they bring."),
        )


def _dates(request: SeasonRequest, plan: SeasonPlan) -> Iterator[Finding]:
    for lot in plan.lots:
        if not lot.standing and lot.order_by <= request.today + _SOON:
            yield Finding(
                "season.order_now",
                Severity.CHECK,
                _("Order the {n} {name} by {date}.").format(
                    n=lot.heads, name=lot.name, date=date_text(lot.order_by)
                ),
                where=lot.code,
            )


def _cap(plan: SeasonPlan, request: SeasonRequest) -> Iterator[Finding]:
    cap = request.cap
    series = next((s for s in plan.headroom if s.code == "cap"), None)
    if cap.most is None or cap.limit is None or series is None:
        return
    most = max(series.used, default=0.0)
    if most >= _NEAR_CAP * cap.most:
        yield Finding(
            "season.near_cap",
            Severity.NOTE,
            _("The plan uses {n:,.0f} of the {most:,} birds allowed in a year.").format(
                n=most, most=cap.most
            ),
            _("Past the cap the whole calendar year is no longer under this tier."),
            measured=most,
            limit=float(cap.most),
            unit="birds",
            citation=cap.limit.citation,
            status=cap.limit.status,
        )


def _gap(plan: SeasonPlan) -> Iterator[Finding]:
    if plan.found and plan.gap_frac > _WIDE_GAP:
        yield Finding(
            "season.gap",
            Severity.NOTE,
            _("A better plan may exist: up to {n:.1f} % better.").format(n=100 * plan.gap_frac),
            _("The time allowed ran out before that was ruled out."),
            measured=plan.gap_frac,
            limit=_WIDE_GAP,
            unit="1",
        )


def numbers_of(request: SeasonRequest) -> tuple[PlanningNumber, ...]:
    """List the numbers a plan rests on, each with where it comes from.

    Parameters
    ----------
    request : SeasonRequest
        The season.

    Returns
    -------
    tuple of PlanningNumber
        Growth, losses, dressing, feed and hands by kind; what can go wrong.

    References
    ----------
    Derivation: the bases of the flock room's tables.
    """
    found = []
    for kind in request.kinds:
        found += [
            PlanningNumber(
                _("Growth of {name}").format(name=kind.name),
                _("{n:.0f} % of the table, lots differ by {sd:.0f} %").format(
                    n=100 * kind.growth_ratio, sd=100 * kind.growth_sd_frac
                ),
                kind.curve.basis,
            ),
            PlanningNumber(
                _("Losses of {name}").format(name=kind.name),
                _("as on pasture") if kind.setting == "pasture" else _("as usual indoors"),
                basis_of(table("losses")[kind.setting]),
            ),
            PlanningNumber(
                _("Dressed weight of {name}").format(name=kind.name),
                ", ".join(
                    f"{100 * share:.0f} %"
                    for name in kind.dressing
                    for share in published_dressing(name).share
                ),
                published_dressing(kind.dressing[0]).basis,
            ),
        ]
    for species in sorted({kind.species for kind in request.kinds}):
        found += [
            PlanningNumber(
                _("Feed of a {species}").format(species=_(species)),
                _("by weight and gain, {n:.0f} % on top").format(n=100 * request.feed.extra_frac),
                basis_of(table("feed")["intake"][species]),
            ),
            PlanningNumber(
                _("Work on a {species}").format(species=_(species)),
                _("{n:.0f} minutes of all hands").format(
                    n=from_si(request.bird_s.get(species, 0.0), "min", "time")
                ),
                Basis(Origin.TYPED, _("as written; assumed where nothing is"), "assumed"),
            ),
        ]
    return (*found, *_luck_numbers(request.chances))


def _luck_numbers(chances: Chances) -> Iterator[PlanningNumber]:
    basis = Basis(Origin.TYPED, _("as written; assumed where nothing is"), "assumed")
    for name, value in (
        (_("A hatch that does not come"), chances.missed_hatch_frac),
        (_("A processing day called off"), chances.cancelled_frac),
        (_("A bad night for a lot"), chances.event_frac),
        (_("A week of slow growth"), chances.slow_frac),
    ):
        yield PlanningNumber(name, _("{n:.0f} in 100").format(n=100 * value), basis)
