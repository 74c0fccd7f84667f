"""Lots in words and figures, in the farm's units."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from pinfeather.actions.flock.events import CAUSES
from pinfeather.actions.flock.learning import KindLessons
from pinfeather.actions.flock.setup import PEN_KINDS
from pinfeather.actions.flock.view import LotDetail, LotNow, Outlook
from pinfeather.estimate import Estimate
from pinfeather.finding import Severity
from pinfeather.flock.best_day import BestDay
from pinfeather.flock.feed import bin_m3
from pinfeather.flock.lot import losses_by_cause
from pinfeather.quantity import show
from pinfeather.units import from_si
from pinfeather.web.dayview import Fact, mass_unit
from pinfeather.web.words import SEVERITY_WORDS

_HEAVY_KG = 10.0


@dataclass(frozen=True, slots=True)
class Units:
    """How this farm reads numbers."""

    mass: str
    area: str
    volume: str

    def kg(self, value: float, decimals: int = 2) -> str:
        """Write a weight of birds."""
        return show(value, self.mass, "mass", decimals=decimals)

    def feed(self, value: float) -> str:
        """Write an amount of feed."""
        return show(value, self.mass, "mass", decimals=0 if abs(value) > _HEAVY_KG else 1)

    def band(self, low: float, high: float, decimals: int = 2) -> str:
        """Write two weights with the unit once."""
        a, b = (f"{from_si(x, self.mass, 'mass'):.{decimals}f}" for x in (low, high))
        return f"{a}–{b}\u202f{self.mass}"


def units() -> Units:
    """Return the farm's units."""
    metric = mass_unit() == "kg"
    return Units("kg", "m2", "L") if metric else Units("lb", "ft2", "gal")


def day(on: dt.date | None) -> str:
    """Write a date as people say it."""
    return "" if on is None else date_format(on, "j F")


def age_words(now: LotNow) -> str:
    """Say how old a lot is."""
    if now.age_d is None:
        return _("age not known")
    if now.age_d < 0:
        return _("hatches on {day}").format(day=day(now.row.hatched))
    return ngettext("{n} day old", "{n} days old", now.age_d).format(n=now.age_d)


def list_rows(lots: Sequence[LotNow]) -> list[dict[str, Any]]:
    """Return the lots as the list shows them, by stage."""
    titles = {
        "standing": _("Growing"),
        "ordered": _("On order"),
        "finished": _("Gone"),
    }
    return [
        {"title": title, "rows": [_row(one) for one in lots if one.stage == stage]}
        for stage, title in titles.items()
        if any(one.stage == stage for one in lots)
    ]


def _row(now: LotNow) -> dict[str, Any]:
    u, look = units(), now.outlook
    worst = now.findings[0] if now.findings else None
    bad = worst is not None and worst.severity is not Severity.NOTE
    gone = ""
    if now.stage == "finished":
        gone = _("{n} of {all} processed").format(n=now.balance.processed, all=now.balance.arrived)
    return {
        "now": now,
        "age": age_words(now) if now.stage != "finished" else "",
        "gone": gone,
        "weight": u.kg(look.live_kg.value) if look else "",
        "band": u.band(look.live_kg.low, look.live_kg.high, 1) if look else "",
        "worst": worst.severity.code if bad and worst else "fine",
        "word": str(SEVERITY_WORDS[worst.severity.code]) if bad and worst else "",
        "todo": now.todo[:3],
    }


def facts(found: LotDetail) -> list[Fact]:
    """Return the large figures at the head of a lot."""
    now, u = found.now, units()
    balance, look = now.balance, now.outlook
    rows = [
        Fact(
            _("Birds now") if now.stage != "finished" else _("Processed"),
            str(now.heads if now.stage != "finished" else balance.processed),
            "",
            _("of {n} that came alive").format(n=balance.arrived),
        )
    ]
    if look is not None:
        number, unit = _split(u.kg(look.live_kg.value))
        rows.append(Fact(_("Alive today"), number, unit, _bands(look.live_kg, look.live90_kg)))
    ahead = found.looks[-1] if found.looks else None
    if ahead is not None and ahead.dressed_kg is not None and ahead.dressed90_kg is not None:
        number, unit = _split(u.kg(ahead.dressed_kg.value))
        label = _("Dressed on {day}").format(day=day(ahead.on))
        rows.append(Fact(label, number, unit, _bands(ahead.dressed_kg, ahead.dressed90_kg)))
    feed = found.feed
    if feed is not None and feed.per_gain is not None:
        why = _("{eaten} eaten by {day}").format(eaten=u.feed(feed.eaten_kg), day=day(feed.on))
        if not feed.left_known:
            why = _("all that was put in counts; write what is left")
        label = (
            _("Feed for a pound of growth") if u.mass == "lb" else _("Feed for a kilo of growth")
        )
        rows.append(Fact(label, f"{feed.per_gain:.2f}", u.mass, why))
    return rows


def _split(text: str) -> tuple[str, str]:
    number, _space, unit = text.partition("\u202f")
    return number, unit


def _bands(eighty: Estimate, ninety: tuple[float, float]) -> str:
    u = units()
    return _("8 birds in 10: {eighty}; 9 in 10: {ninety}").format(
        eighty=u.band(eighty.low, eighty.high, 1), ninety=u.band(*ninety, 1)
    )


def look_rows(found: LotDetail) -> list[dict[str, str]]:
    """Return the weights today and on the chosen days as a table."""
    looks = [found.now.outlook, *found.looks]
    return [_look(one) for one in looks if one is not None]


def _look(one: Outlook) -> dict[str, str]:
    u = units()
    row = {
        "day": date_format(one.on, "D j M"),
        "age": str(one.age_d),
        "heads": f"{one.heads:.0f}",
        "live": u.kg(one.live_kg.value),
        "live80": u.band(one.live_kg.low, one.live_kg.high),
        "live90": u.band(*one.live90_kg),
        "mean": _("± {n:.0f} %").format(n=100 * one.mean_off_frac),
        "dressed": "",
        "dressed80": "",
        "dressed90": "",
    }
    if one.dressed_kg is not None and one.dressed90_kg is not None:
        row |= {
            "dressed": u.kg(one.dressed_kg.value),
            "dressed80": u.band(one.dressed_kg.low, one.dressed_kg.high),
            "dressed90": u.band(*one.dressed90_kg),
        }
    return row


def class_rows(found: LotDetail) -> list[dict[str, str]]:
    """Return how many birds fall in each size class."""
    u, rows = units(), []
    for one in found.classes:
        if one.low_kg <= 0:
            name = _("below {high}").format(high=u.kg(one.high_kg))
        elif math.isinf(one.high_kg):
            name = _("{low} and up").format(low=u.kg(one.low_kg))
        else:
            name = _("{low} to {high}").format(low=u.kg(one.low_kg), high=u.kg(one.high_kg))
        rows.append({"name": name, "birds": f"{one.heads:.0f}", "band": f"{one.low}–{one.high}"})
    return rows


def edges_words(found: LotDetail) -> str:
    """Write the weights between the classes as their field shows them."""
    u = units()
    return "; ".join(u.kg(edge).replace("\u202f", " ") for edge in found.edges_kg)


def feed_rows(found: LotDetail) -> list[dict[str, str]]:
    """Return the feed still needed, by phase."""
    plan, u = found.feed_to_come, units()
    if plan is None:
        return []
    hatched = found.now.book.life.hatched_on
    rows = []
    for one in plan.phases:
        first = max(one.phase.from_d, found.now.age_d or 0)
        rows.append(
            {
                "name": one.phase.name,
                "from": date_format(hatched + dt.timedelta(days=first), "j M"),
                "to": date_format(hatched + dt.timedelta(days=one.to_d), "j M"),
                "each": u.kg(one.per_bird_kg),
                "total": u.feed(one.total.value),
                "band": u.band(one.total.low, one.total.high, 0),
            }
        )
    return rows


def feed_words(found: LotDetail) -> dict[str, str]:
    """Say what was eaten, what is still needed in all, its room in a bin, and water a day."""
    u, words = units(), {}
    if found.feed is not None:
        words["eaten"] = _("{eaten} of {delivered} put in, by {day}").format(
            eaten=u.feed(found.feed.eaten_kg),
            delivered=u.feed(found.feed.delivered_kg),
            day=day(found.feed.on),
        )
        if not found.feed.left_known:
            words["eaten"] = _("{delivered} put in; nobody wrote what is left").format(
                delivered=u.feed(found.feed.delivered_kg)
            )
    plan = found.feed_to_come
    if plan is not None:
        bulk = bin_m3(plan.total.value)
        unit = "ft3" if u.mass == "lb" else "m3"
        words["total"] = _("{total}, between {band}; loose it fills {bin}").format(
            total=u.feed(plan.total.value),
            band=u.band(plan.total.low, plan.total.high, 0),
            bin=show(bulk, unit, "volume"),
        )
        words["source"] = plan.total.basis.note
        words["status"] = plan.total.basis.status
    water = found.water_today_m3
    if water is not None:
        words["water"] = _("{value} today, between {low} and {high}; more in heat").format(
            value=show(water.value, u.volume, "volume"),
            low=show(water.low, u.volume, "volume"),
            high=show(water.high, u.volume, "volume"),
        )
    return words


def pen_rows(found: LotDetail) -> list[dict[str, Any]]:
    """Return where the birds are, with the floor they have and need."""
    u = units()
    return [
        {
            "name": pen.name or _("not said"),
            "kind": _(PEN_KINDS[pen.kind]) if pen.kind else "",
            "heads": pen.heads,
            "have": show(pen.have_m2, u.area, "area") if pen.have_m2 else "–",
            "need": show(pen.need_m2, u.area, "area") if pen.need_m2 else "–",
            "short": pen.short,
        }
        for pen in found.room.pens
    ]


def room_words(found: LotDetail) -> list[str]:
    """Say what brooder and grass need."""
    room, u, words = found.room, units(), []
    temp = "C" if u.mass == "kg" else "F"
    if room.heat is not None:
        words.append(
            _(
                "Brooder: {low} to {high} at the edge of the hover; {n} heat lamps on chains, clear"
                " of litter. Chicks tell: crowded they are cold, far off too warm."
            ).format(
                low=show(room.heat.low_degC, temp, "temperature", decimals=0),
                high=show(room.heat.high_degC, temp, "temperature", decimals=0),
                n=room.heat.lamps,
            )
        )
    if room.brooder_out_on and room.brooder_free_on:
        words.append(
            _("Out of the brooder about {out}; cleaned for the next chicks by {free}.").format(
                out=day(room.brooder_out_on), free=day(room.brooder_free_on)
            )
        )
    ground = found.ground
    if ground is not None:
        words.append(
            _(
                "Since {day} they left {n:.1f} lb of nitrogen on {area:.2f} acres: {rate:.0f} lb an"
                " acre. Your nutrient plan or extension office says how much is too much."
            ).format(
                day=day(ground.since),
                n=from_si(ground.nitrogen_kg, "lb", "mass"),
                area=from_si(ground.area_m2, "ft2", "area") / 43560,
                rate=ground.per_acre_lb,
            )
        )
    return words


def loss_rows(now: LotNow) -> list[tuple[str, int]]:
    """Return the losses by cause, the commonest first."""
    found = losses_by_cause(now.book.life.events)
    return [(_(CAUSES[cause.value]), heads) for cause, heads in found.items()]


def balance_words(now: LotNow) -> str:
    """Say the book of heads as one line that adds up."""
    b = now.balance
    parts = [
        ngettext("{n} bird came alive", "{n} birds came alive", b.arrived).format(n=b.arrived),
        _("{n} there now").format(n=now.balance.heads),
        _("{n} lost").format(n=b.lost),
    ]
    if b.processed:
        parts.append(_("{n} processed").format(n=b.processed))
    if b.sold:
        parts.append(_("{n} sold alive").format(n=b.sold))
    if b.unexplained:
        parts.append(_("{n} not explained").format(n=b.unexplained))
    return f"{parts[0]} = {' + '.join(parts[1:])}"


def bought_rows(found: LotDetail) -> list[dict[str, str]]:
    """Return what weighing more birds buys."""
    return [
        {
            "birds": str(one.birds),
            "today": _("± {n:.0f} %").format(n=100 * one.today_frac),
            "then": _("± {n:.0f} %").format(n=100 * one.then_frac),
        }
        for one in found.bought
        if one.birds <= max(found.now.heads, 5)
    ]


def best_words(found: BestDay) -> dict[str, Any]:
    """Return the best day, its neighbours and every day looked at."""
    u, best = units(), found.best
    top = max(abs(best.margin_cents), 1)
    near = [
        one for one in found.choices
        if not one.refused and one.margin_cents >= best.margin_cents - top // 50
    ]  # fmt: skip
    return {
        "day": date_format(best.on, "l j F"),
        "iso": best.on.isoformat(),
        "age": best.age_d,
        "dressed": u.kg(best.dressed_kg),
        "margin": money(best.margin_cents),
        "income": money(best.income_cents),
        "feed": money(best.feed_cents),
        "other": money(best.other_cents),
        "earlier": None if found.week_earlier_cents is None else money(found.week_earlier_cents),
        "later": None if found.week_later_cents is None else money(found.week_later_cents),
        "adds": None if found.marginal_cents is None else money(found.marginal_cents),
        "eats": None if found.marginal_cost_cents is None else money(found.marginal_cost_cents),
        "near": _("{first} to {last}").format(first=day(near[0].on), last=day(near[-1].on)),
        "findings": found.findings,
        "days": [
            {
                "day": date_format(one.on, "D j M"),
                "age": one.age_d,
                "dressed": u.kg(one.dressed_kg),
                "margin": money(one.margin_cents),
                "loses": money(best.margin_cents - one.margin_cents),
                "refused": one.refused,
                "best": one is best,
            }
            for number, one in enumerate(found.choices)
            if (number - found.choices.index(best)) % 7 == 0
        ],
    }


def money(cents: int) -> str:
    """Write whole cents as dollars."""
    sign = "−" if cents < 0 else ""
    return f"{sign}${Decimal(abs(cents)) / 100:,.2f}"


def lesson_groups(kinds: Sequence[KindLessons]) -> list[dict[str, Any]]:
    """Return what finished lots taught: handbook, each lot, and what the next plan takes."""
    return [
        {
            "title": kind.title or kind.lots[0].row.species.capitalize(),
            "lots": kind.lots,
            "rows": [
                {
                    "what": one.what,
                    "prior": _number(one.prior),
                    "data": ", ".join(f"{code} {value:.2f}" for code, value in one.lots) or "–",
                    "posterior": _number(one.posterior),
                    "basis": one.posterior.basis,
                }
                for one in kind.lessons
            ],
        }
        for kind in kinds
    ]


def _number(one: Estimate) -> dict[str, str]:
    return {"value": f"{one.value:.2f}", "band": f"{one.low:.2f}–{one.high:.2f}"}
