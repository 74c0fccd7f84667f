"""A season's plan as its page says it: figures first, then dates, orders, limits and money."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from django.utils import formats
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from pinfeather.actions.season import season as seasons
from pinfeather.actions.season.store import VersionView
from pinfeather.reports.season_ribbon import (
    Ribbon,
    lot_header,
    lot_table,
    parts_of,
    ribbon_of,
    room_table,
)
from pinfeather.reports.season_ribbon_svg import season_ribbon_svg
from pinfeather.season.plan import CalendarRow, OrderPlan, SeasonPlan
from pinfeather.units import from_si
from pinfeather.web.dayview import Fact, mass_unit

_NARROW_WEEKS = 13
_NEXT = 6


@dataclass(frozen=True, slots=True)
class When:
    """A dated thing to do."""

    row: CalendarRow
    left: str
    late: bool


@dataclass(frozen=True, slots=True)
class OrderRow:
    """One order with what it gets and how sure that is."""

    order: OrderPlan
    words: str
    chance: str
    word: str


def money(cents: int) -> str:
    """Return a sum in whole dollars."""
    whole = round(cents / 100)
    return f"{'−' if whole < 0 else ''}${abs(whole):,}"


def exact(cents: int) -> str:
    """Return a sum to the cent."""
    return f"{'−' if cents < 0 else ''}${abs(cents) / 100:,.2f}"


def percent(share: float) -> str:
    """Return a share in whole percent."""
    return f"{round(100 * share)}\u202f%"


def mass(value_kg: float) -> str:
    """Return a mass in the farm's unit."""
    unit = mass_unit()
    return f"{from_si(value_kg, unit, 'mass'):,.0f}\u202f{unit}"


def birds(number: float) -> str:
    """Return a number of birds."""
    whole = round(number)
    return ngettext("%(n)s bird", "%(n)s birds", whole) % {"n": f"{whole:,}"}


def days_left(on: dt.date, today: dt.date) -> str:
    """Return how far away a date is."""
    n = (on - today).days
    if n == 0:
        return _("today")
    if n < 0:
        return ngettext("%(n)s day late", "%(n)s days late", -n) % {"n": -n}
    return ngettext("in %(n)s day", "in %(n)s days", n) % {"n": n}


def answer(plan: SeasonPlan) -> str:
    """Return the season in one line."""
    if not plan.found or plan.sums is None:
        return _("Not possible as it is written")
    new = sum(1 for lot in plan.lots if not lot.standing)
    lots = ngettext("%(n)s lot to order", "%(n)s lots to order", new) % {"n": new}
    count = len(plan.days)
    days = ngettext("%(n)s processing day", "%(n)s processing days", count) % {"n": count}
    middle = plan.luck.profit_mean_cents if plan.luck else plan.sums.profit_cents
    return _("Yes: {lots}, {days}, {sum} expected").format(lots=lots, days=days, sum=money(middle))


def facts(plan: SeasonPlan) -> list[Fact]:
    """Return the large figures of a plan."""
    if not plan.found or plan.sums is None:
        return []
    luck = plan.luck
    total = sum(day.birds for day in plan.days)
    found = []
    if luck is not None:
        found.append(
            Fact(
                _("Left over, expected"),
                money(luck.profit_mean_cents),
                "",
                _("between {low} and {high}, eight seasons in ten").format(
                    low=money(luck.profit_low_cents), high=money(luck.profit_high_cents)
                ),
            )
        )
        if any(order.firm for order in plan.orders):
            found.append(
                Fact(
                    _("Every promise kept"),
                    percent(luck.firm_met_frac),
                    "",
                    _("of {n} seasons tried with bad luck and good").format(n=luck.seasons),
                )
            )
    else:
        found.append(Fact(_("Left over"), money(plan.sums.profit_cents), "", _("as planned")))
    heads = sum(lot.heads for lot in plan.lots if not lot.standing)
    standing = sum(1 for lot in plan.lots if lot.standing)
    found.append(
        Fact(
            _("Chicks to order"),
            f"{heads:,}",
            "",
            ngettext("%(n)s lot is there already", "%(n)s lots are there already", standing)
            % {"n": standing},
        )
    )
    dressed = sum(day.dressed_kg for day in plan.days)
    found.append(Fact(_("To process"), f"{total:,}", _("birds"), mass(dressed)))
    return found


def quality(plan: SeasonPlan) -> str:
    """Return how good the plan is against the best there can be."""
    if plan.proven:
        return _("Proven: with these numbers no plan does better.")
    if not math.isfinite(plan.gap_frac):
        return _("Time ran out before it was known how much better a plan could be.")
    return _(
        "Without bad luck it brings {sum}; with these numbers no plan can bring more than {most}."
    ).format(sum=money(plan.sums.profit_cents if plan.sums else 0), most=money(plan.bound_cents))


def compared(plan: SeasonPlan) -> str:
    """Return the plan beside the rule of thumb, over the same random seasons."""
    both = plan.compared
    if both is None:
        return ""
    gain = both.plan_profit_cents - both.thumb_profit_cents
    return _(
        "The rule of thumb brings {thumb} and meets {thumb_met} of the orders; this plan brings "
        "{plan} and meets {plan_met}: {gain} {word}."
    ).format(
        thumb=money(both.thumb_profit_cents),
        plan=money(both.plan_profit_cents),
        thumb_met=percent(both.thumb_met_frac),
        plan_met=percent(both.plan_met_frac),
        gain=money(abs(gain)),
        word=_("more") if gain >= 0 else _("less"),
    )


def order_rows(plan: SeasonPlan) -> list[OrderRow]:
    """Return the orders, the unsure ones first told as such."""
    chances = {one.key: one.met_frac for one in plan.luck.chances} if plan.luck else {}
    rows = []
    for order in plan.orders:
        by_birds = order.wanted_birds is not None
        if by_birds:
            given, wanted = f"{order.given_birds:,.0f}", birds(order.wanted_birds or 0)
        else:
            given, wanted = mass(order.given_kg), mass(order.wanted_kg or 0.0)
        said = wanted if order.met else _("{given} of {wanted}").format(given=given, wanted=wanted)
        chance = chances.get(order.key)
        rows.append(
            OrderRow(
                order,
                _("{said}, promised").format(said=said) if order.firm else said,
                "" if chance is None else percent(chance),
                _("planned in full") if order.met else _("not in full"),
            )
        )
    return rows


def whens(rows: Iterable[CalendarRow], today: dt.date) -> list[When]:
    """Return dated things with how far away they are."""
    return [
        When(row, days_left(row.on, today), row.on < today)
        for row in sorted(rows, key=lambda one: (one.on, one.key))
    ]


def pictures(ribbon: Ribbon | None) -> dict[str, Any]:
    """Draw a season wide, and in parts of a quarter for a phone."""
    if ribbon is None:
        return {}
    parts = parts_of(ribbon, _NARROW_WEEKS)
    return {
        "wide": season_ribbon_svg(ribbon, width=1080, ident="ribbon"),
        "narrow": [
            {
                "words": f"{formats.date_format(part.first, 'j F')} – "
                f"{formats.date_format(part.last, 'j F Y')}",
                "svg": season_ribbon_svg(
                    part,
                    width=328,
                    ident=f"ribbon-{n}",
                    legend=n == len(parts) - 1,
                    told=n == 0,
                ),
            }
            for n, part in enumerate(parts)
        ],
        "lot_head": lot_header(),
        "rooms": room_table(ribbon),
    }


def context(view: VersionView, today: dt.date) -> dict[str, Any]:
    """Return everything the page of a plan says."""
    plan = view.plan
    on_record = seasons.planned_days()
    ribbon = ribbon_of(plan, today=today, mass_unit="kg" if mass_unit() == "kg" else "lb")
    past = [row for row in plan.calendar if row.on < today]
    ahead = [row for row in plan.calendar if row.on >= today]
    taken = {lot.code: seasons.taken_lot(view.season, lot) for lot in plan.lots if not lot.standing}
    late = [row for row in past if row.what == "order" and not taken.get(row.lot, "")]
    cash = [
        {
            "month": formats.date_format(row.month, "F Y"),
            "in": money(row.in_cents),
            "out": money(row.out_cents),
            "left": money(row.balance_cents),
            "lowest": money(row.lowest_cents),
            "below": row.lowest_cents < 0,
        }
        for row in plan.cash
    ]
    purchases = [
        {
            "month": formats.date_format(row.month, "F Y"),
            "name": row.name,
            "amount": mass(row.mass_kg) if row.mass_kg is not None else f"{row.birds:,}",
            "cost": exact(row.cents),
        }
        for row in plan.purchases
    ]
    return {
        "view": view,
        "season": view.season,
        "plan": plan,
        "answer": answer(plan),
        "facts": facts(plan),
        "quality": quality(plan) if plan.found else "",
        "compared": compared(plan),
        "svg": pictures(ribbon),
        "lot_rows": lot_table(plan),
        "next": whens([*late, *ahead][:_NEXT], today),
        "later": whens(ahead[max(_NEXT - len(late), 0) :], today),
        "lots": [
            {
                "lot": lot,
                "taken": taken[lot.code],
                "cost": money(lot.chick_cents),
                "left": days_left(lot.order_by, today),
            }
            for lot in plan.lots
            if not lot.standing
        ],
        "days": [
            {
                "day": day,
                "birds": birds(day.birds),
                "lots": ", ".join(f"{b.lot} {b.birds}" for b in day.batches),
                "work": f"{day.work_s / 3600:.0f} / {day.crew_s / 3600:.0f}\u202f{_('h')}",
                "planned": on_record.get(day.on),
            }
            for day in plan.days
        ],
        "orders": order_rows(plan),
        "stock": [
            {
                "name": line.name,
                "in": mass(line.put_in_kg),
                "sold": mass(line.sold_kg),
                "left": mass(line.left_kg),
                "income": money(line.income_cents),
            }
            for line in plan.stock
        ],
        "binding": [
            {"one": one, "gain": money(one.gain_cents), "most": money(one.most_cents)}
            for one in plan.binding
        ],
        "purchases": purchases,
        "cash": cash,
        "sums": sums(plan),
    }


def sums(plan: SeasonPlan) -> list[tuple[str, str]]:
    """Return the season's money, line by line."""
    one = plan.sums
    if one is None:
        return []
    lines = (
        (_("Orders"), one.orders_cents),
        (_("Shop"), one.stock_cents),
        (_("Birds outside both"), one.rest_cents),
        (_("Chicks"), -one.chicks_cents),
        (_("Feed from today on"), -one.feed_cents),
        (_("Starting lots"), -one.lots_cents),
        (_("Processing days"), -one.days_cents),
        (_("Hired hours"), -one.hours_cents),
        (_("Bags, ice and the like"), -one.birds_cents),
        (_("Bedding"), -one.bedding_cents),
        (_("Orders missed"), -one.missed_cents),
    )
    found = [(name, exact(cents)) for name, cents in lines if cents]
    return [*found, (_("Left over, as planned"), exact(one.profit_cents))]
