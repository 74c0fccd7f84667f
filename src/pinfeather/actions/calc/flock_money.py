"""The cheapest feed mix and the best day to process."""

from __future__ import annotations

import datetime as dt
import re
from decimal import Decimal
from typing import TYPE_CHECKING, Final, Literal

from pinfeather.actions.calc import flock_text
from pinfeather.actions.calc.model import Calculation, Given, Input, Json, Result, Row, Source
from pinfeather.actions.calc.wording import amount, between, percent
from pinfeather.errors import InputError
from pinfeather.units import KG_PER_LB
from pinfeather.words import gettext as _

if TYPE_CHECKING:
    from pinfeather.flock.best_day import BestDay, DayChoice
    from pinfeather.flock.feedstuffs import Ingredient, Need
    from pinfeather.flock.ration import Binding

_PART: Final = re.compile(r"(.+?)\s*=\s*(\d+(?:\.\d+)?)(?:\s+(up to|just)\s+(\d+(?:\.\d+)?)\s*%)?")
_FARTHEST_D: Final = 70
_SHARES_SHOWN: Final = 1e-5


def calculations() -> tuple[Calculation, ...]:
    """Return the calculators about feed mixes and the day to process."""
    return (_ration(), _best_day())


def _ration() -> Calculation:
    from pinfeather.flock.feedstuffs import ingredient_names
    from pinfeather.flock.tables import table

    sources = table("ration")["sources"]["ingredients"]
    needs = table("ration")["needs"]
    phases = tuple(
        (f"{kind}_{i}", _("{kind}, {phase}").format(kind=_(kind), phase=_(phase)))
        for kind, rows in needs.items()
        for i, phase in enumerate(rows)
    )
    return Calculation(
        name="ration",
        title=_("Feed mix"),
        question=_("What is the cheapest mix of these feeds that has what the birds need?"),
        formula=_(
            "Least Σ price × share with Σ content × share ≥ need for every nutrient, Σ share = 1"
            " (a linear programme). With protein alone and two feeds it is the Pearson square."
        ),
        valid_range=_(
            "Energy, protein, lysine, methionine, calcium, available phosphorus and sodium only."
            " Contents are from a table; your bags differ. Modern birds want more lysine."
        ),
        sources=(Source(_(sources["citation"]), sources["status"]),),
        inputs=(
            Input(
                "feeds",
                _("Feeds and prices"),
                "text",
                "corn = 0.14; soybean meal 48.5 = 0.25; soybean oil = 0.64; limestone = 0.05;"
                " dicalcium phosphate = 0.41; salt = 0.09; methionine = 2.27 up to 0.5 %;"
                " premix = 1.36 just 0.5 %",
                "corn = 0.30; soybean meal 48.5 = 0.55; soybean oil = 1.40; limestone = 0.10;"
                " dicalcium phosphate = 0.90; salt = 0.20; methionine = 5.00 up to 0.5 %;"
                " premix = 3.00 just 0.5 %",
                hint=_("Price per lb (per kg on a metric farm). Known: {names}.").format(
                    names=", ".join(ingredient_names())
                ),
            ),
            Input("needs", _("For"), "choice", "chicken_1", options=phases),
            Input(
                "energy",
                _("Energy wanted, kcal per kg"),
                "integer",
                hint=_("Empty takes the table’s, which is dear to reach; 2,900 is a common aim."),
                optional=True,
            ),
            Input(
                "protein",
                _("Protein alone"),
                "percent",
                hint=_("Written here, nothing else is balanced."),
                optional=True,
            ),
        ),
        run=_run_ration,
        example="--needs chicken_1 --energy 2900",
        cautions=(
            _(
                "A wrong mix lames or kills birds: too much salt or calcium, no premix, or "
                "medicated feed for ducks. Have a feed adviser check it, "
                "and feed it to a few birds first."
            ),
        ),
    )


def _run_ration(given: Given) -> Result:
    from pinfeather.flock.ration import cheapest_mix
    from pinfeather.flock.tables import table

    parts, (species, needs) = _feeds(given), _needs(given)
    try:
        mix = cheapest_mix(parts, needs, species="duck" if species == "duck" else "chicken")
    except InputError as fault:
        raise InputError("feeds", given.word("feeds"), fault.problem) from fault
    price = {one.name: one.cents_per_kg for one in parts}
    ordered = sorted(mix.shares.items(), key=lambda pair: -pair[1])
    values: dict[str, Json] = {
        "cents_per_kg": float(mix.cents_per_kg),
        "dollars_per_t": float(mix.cents_per_kg * 10),
        "met": mix.met,
        "shares": {name: share for name, share in ordered if share > _SHARES_SHOWN},
        "content": dict(mix.content),
        "binding": [
            {"what": b.what, "side": b.side, "limit": b.limit, "cents_per_kg": b.worth_cents_per_kg}
            for b in mix.binding
        ],
    }
    rows = [
        Row(
            _("Price of the mix"),
            _by_weight(mix.cents_per_kg, given),
            "" if mix.met else _("not what was asked: see below"),
        )
    ]
    rows += [
        Row(name, percent(share, decimals=2), _by_weight(price[name], given))
        for name, share in ordered
        if share > _SHARES_SHOWN
    ]
    rows += [_binding_row(b, given) for b in mix.binding if b.what in mix.content]
    needed = table("ration")["sources"][species]
    return Result(
        values,
        tuple(rows),
        mix.findings,
        sources=(Source(_(needed["citation"]), needed["status"]),),
    )


def _feeds(given: Given) -> list[Ingredient]:
    from pinfeather.flock.feedstuffs import ingredient

    found = []
    for part in given.word("feeds").replace("\n", ";").split(";"):
        if not part.strip():
            continue
        match = _PART.fullmatch(part.strip())
        if match is None:
            raise InputError(
                "feeds",
                part.strip(),
                _("“{part}” is not a feed. Write it like corn = 0.14 up to 60 %.").format(
                    part=part.strip()
                ),
            )
        limit = float(match[4]) / 100 if match[4] else 1.0
        if limit > 1:
            raise InputError("feeds", part.strip(), _("A share lies between 0 and 100 %."))
        cents = flock_text.cents_per_kg(match[2], given)
        least = limit if match[3] == "just" else 0.0
        try:
            found.append(ingredient(match[1], cents, least=least, most=limit))
        except InputError as fault:
            raise InputError("feeds", match[1], fault.problem) from fault
    return found


def _needs(given: Given) -> tuple[str, tuple[Need, ...]]:
    from pinfeather.flock.feed import J_PER_KCAL
    from pinfeather.flock.feedstuffs import Need, published_needs
    from pinfeather.flock.tables import table

    kind, _line, number = given.word("needs").partition("_")
    species: Literal["chicken", "turkey", "duck"] = (
        "turkey" if kind == "turkey" else "duck" if kind == "duck" else "chicken"
    )
    protein = given.maybe("protein")
    if protein is not None:
        return species, (Need("protein", protein),)
    energy = given.maybe("energy")
    if energy is not None and not 1500 <= energy <= 4500:  # noqa: PLR2004 - of any feed
        raise InputError("energy", energy, _("Feed has 1,500 to 4,500 kcal per kg."))
    phase = list(table("ration")["needs"][species])[int(number)]
    joules = None if energy is None else energy * J_PER_KCAL
    return species, published_needs(species, phase, energy_J_per_kg=joules)


def _binding_row(one: Binding, given: Given) -> Row:
    from pinfeather.flock.feed import J_PER_KCAL

    if one.what == "energy":
        step, limit = 100 * J_PER_KCAL, f"{one.limit / J_PER_KCAL:.0f} kcal/kg"
        more = _("100 kcal more")
    else:
        step, limit, more = 0.01, percent(one.limit, decimals=2), _("one point more")
    cents = Decimal(repr(one.worth_cents_per_kg * step))
    return Row(
        _("{what}: held at {limit}").format(what=_names().get(one.what, one.what), limit=limit),
        _by_weight(cents, given),
        more,
    )


def _names() -> dict[str, str]:
    return {
        "energy": _("energy"),
        "protein": _("protein"),
        "lysine": _("lysine"),
        "methionine": _("methionine"),
        "met_cys": _("methionine and cystine"),
        "calcium": _("calcium"),
        "phosphorus": _("available phosphorus"),
        "sodium": _("sodium"),
    }


def _by_weight(cents_per_kg: Decimal, given: Given) -> str:
    if given.units == "us":
        dollars = cents_per_kg * Decimal(str(KG_PER_LB)) / 100
        return _("{price} a lb").format(price=_exact(dollars))
    return _("{price} a kg").format(price=_exact(cents_per_kg / 100))


def _best_day() -> Calculation:
    return Calculation(
        name="best-day",
        title=_("Best day to process"),
        question=_("On which day do these birds bring most, and what does another day cost?"),
        formula=_(
            "Expected sales by size class over the forecast weights, less feed, chores and"
            " processing from today on. The best day is where another day adds no more than it"
            " eats."
        ),
        valid_range=_(
            "An average: weights are forecast with a band, and a few days either way seldom"
            " differ by more than the forecast is unsure. The whole lot goes on one day; birds"
            " beyond room or cap count as nothing."
        ),
        sources=(
            Source(_("Derivation: marginal value against marginal cost"), "derived"),
            Source(_("Usual losses by week"), "unverified"),
        ),
        inputs=(
            Input("hatched", _("Hatched on"), "text", "2026-05-20", hint=_("Such as 2026-05-20.")),
            Input("age", _("Age now in days"), "integer", "35"),
            Input("look", _("Look ahead, days"), "integer", "42"),
            Input("birds", _("Birds now"), "integer", "100"),
            *flock_text.asks(),
            Input(
                "classes",
                _("Dressed sizes wanted and prices"),
                "text",
                "3.5 lb to 5 lb = 5.50; 5 lb to any = 4.50 x 40",
                "1.6 kg to 2.3 kg = 12.00; 2.3 kg to any = 10.00 x 40",
                hint=_("Price per lb (per kg on a metric farm); x how many are wanted at most."),
            ),
            Input("other", _("Price of all other birds"), "number", "3.50", "7.50"),
            Input("feed-price", _("Price of feed"), "number", "0.32", "0.70"),
            Input("day-cost", _("Chores a day, in all"), "number", "5"),
            Input("bird-cost", _("Processing a bird"), "number", "4"),
            Input("cap", _("Most birds that day"), "integer", optional=True),
            Input(
                "room", _("Most dressed weight that day"), "mass", optional=True,
                hint=_("Chill tanks and freezer."),
            ),
            Input(
                "refused",
                _("Days that are out"),
                "text",
                hint=_("Such as 2026-07-11: heat; 2026-07-12: no crew."),
                optional=True,
            ),
        ),
        run=_run_best_day,
        example='--curve nrc_1994 --age 35 --weighings "28: 2.2 lb x 20" --feed-price 0.32',
    )  # fmt: skip


def _run_best_day(given: Given) -> Result:
    from pinfeather.flock.best_day import Costs, Room, best_day

    hatched = flock_text.date("hatched", given.word("hatched"))
    now, look = flock_text.age(given, "age"), given.whole("look")
    if not 1 <= look <= _FARTHEST_D:
        raise InputError("look", look, _("Look 1 to 70 days ahead."))
    today = hatched + dt.timedelta(days=now)
    share = flock_text.dressing(given)
    room = given.maybe("room")
    if room is not None and room <= 0:
        raise InputError("room", room, _("Room is more than nothing."))
    if given.maybe("cap") == 0:
        raise InputError("cap", 0, _("Write how many birds, or leave it empty."))
    lot = flock_text.seen(given)
    cap = given.maybe("cap")
    try:
        found = best_day(
            lot,
            [today + dt.timedelta(days=d) for d in range(look + 1)],
            hatched_on=hatched,
            today=today,
            birds=flock_text.heads(given),
            classes=flock_text.classes(given, "classes"),
            costs=Costs(
                flock_text.price(given, "feed-price"),
                flock_text.price(given, "other"),
                flock_text.cents(given, "day-cost"),
                flock_text.cents(given, "bird-cost"),
            ),
            dressing=share,
            room=Room(
                None if cap is None else int(cap), room, flock_text.refused(given, "refused")
            ),
        )
    except InputError as fault:
        name = "refused" if fault.name == "days" else fault.name
        raise InputError(name, fault.value, fault.problem) from fault
    best = found.best
    sources = [Source(share.basis.note, share.basis.status)]
    if lot.curve is not None:
        sources.append(Source(lot.curve.basis.note, lot.curve.basis.status or "assumed"))
    return Result(
        {
            "day": best.on.isoformat(),
            "age_d": best.age_d,
            "dressed_kg": best.dressed_kg,
            "live_kg": best.live_kg,
            "margin_cents": best.margin_cents,
            "income_cents": best.income_cents,
            "feed_cents": best.feed_cents,
            "week_earlier_cents": found.week_earlier_cents,
            "week_later_cents": found.week_later_cents,
            "marginal_cents": found.marginal_cents,
            "marginal_cost_cents": found.marginal_cost_cents,
            "days": [_day_value(one) for one in found.choices],
        },
        _day_rows(found, given),
        found.findings,
        (_("Prices, room and weather move it more than the last decimal of the weights."),),
        tuple(sources),
    )


def _day_value(one: DayChoice) -> Json:
    return {
        "day": one.on.isoformat(),
        "age_d": one.age_d,
        "dressed_kg": one.dressed_kg,
        "margin_cents": one.margin_cents,
        "refused": one.refused,
    }


def _day_rows(found: BestDay, given: Given) -> tuple[Row, ...]:
    best = found.best
    rows = [
        Row(
            _("Best day"),
            best.on.isoformat(),
            _("{age} days old, {kg} dressed").format(
                age=best.age_d, kg=amount(best.dressed_kg, "mass", given.units, decimals=2)
            ),
        ),
        Row(
            _("Left after feed, chores and processing"),
            _dollars(best.margin_cents),
            _("sales {sales}, feed {feed}").format(
                sales=_dollars(best.income_cents), feed=_dollars(best.feed_cents)
            ),
        ),
    ]
    for label, lost in (
        (_("A week earlier loses"), found.week_earlier_cents),
        (_("A week later loses"), found.week_later_cents),
    ):
        if lost is not None:
            rows.append(Row(label, _dollars(lost)))
    if found.marginal_cents is not None and found.marginal_cost_cents is not None:
        rows.append(
            Row(
                _("One day more adds"),
                _dollars(found.marginal_cents),
                _("and costs {cost}").format(cost=_dollars(found.marginal_cost_cents)),
            )
        )
    good = [
        one.on for one in found.choices
        if not one.refused and one.margin_cents >= best.margin_cents - abs(best.margin_cents) // 50
    ]  # fmt: skip
    rows.append(Row(_("Within 2 % of it"), between(good[0].isoformat(), good[-1].isoformat())))
    return tuple(rows)


def _exact(dollars: Decimal) -> str:
    sign = "−" if dollars < 0 else ""
    return f"{sign}${abs(dollars):.4f}"


def _dollars(cents: int) -> str:
    sign = "−" if cents < 0 else ""
    return f"{sign}${Decimal(abs(cents)) / 100:,.2f}"
