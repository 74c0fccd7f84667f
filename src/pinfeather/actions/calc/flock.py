"""Growth, weighing, ordering and feed of a lot."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Final

from pinfeather.actions.calc import flock_money, flock_text
from pinfeather.actions.calc.model import Calculation, Given, Input, Json, Result, Row, Source
from pinfeather.actions.calc.wording import amount, between, percent
from pinfeather.errors import InputError
from pinfeather.words import gettext as _

if TYPE_CHECKING:
    from pinfeather.flock.forecast import Seen
    from pinfeather.flock.order import LotDates
    from pinfeather.flock.spread import ClassCount

_OFF_FEED_S: Final = 10 * 3600.0
_BAND: Final = 0.80
_WIDE: Final = 0.90
_Z80: Final = 1.2815515655446004  # 80 % of a normal lies within
_MOST_ORDERED: Final = 5000


def calculations() -> tuple[Calculation, ...]:
    """Return the calculators about raising birds."""
    return (_growth(), _weigh_plan(), _order(), _feed(), *flock_money.calculations())


def _growth() -> Calculation:
    return Calculation(
        name="growth-of-flock",
        title=_("Weight on a day"),
        question=_("What will these birds weigh at an age, alive and dressed?"),
        formula=_(
            "Weight = r × table. ln r = Σ i² ln(mᵢ / table) / Σ i² over the weighings, oldest"
            " first. Birds spread around it as two normals, males and females; the spread grows"
            " with weight^0.15; the mean itself is 4 % unsure two weeks ahead, more later."
        ),
        valid_range=_(
            "Ordinary lots. Heat, sickness or other feed after the last weighing lie outside. On"
            " one real flock the 80 % band held 78 % of single birds, the 90 % band 85 %; from"
            " weighings before day 30, 62 and 74 %. Without weighings: 12 % unsure (assumed)."
        ),
        sources=(
            Source(_("Ratio method: independent comparison on nine growth tables"), "computed"),
            Source(
                _("Riazoshams and Midi (2009), European Journal of Scientific Research 35:393"),
                "read",
            ),
        ),
        inputs=(
            Input("age", _("Age in days"), "integer", "56"),
            *flock_text.asks(),
            Input("birds", _("Birds"), "integer", "100"),
            Input(
                "classes",
                _("Dressed weights between classes"),
                "text",
                "4 lb; 5 lb",
                "1.8 kg; 2.3 kg",
                hint=_("May be empty."),
                optional=True,
            ),
        ),
        run=_run_growth,
        example='--curve nrc_1984 --age 56 --weighings "21: 1.3 lb x 20; 28: 2.0 lb x 20"',
        aliases={"edges_kg": "classes"},
    )


def _run_growth(given: Given) -> Result:
    from pinfeather.flock.alerts import weight_alert
    from pinfeather.flock.dressing import dressed_weights
    from pinfeather.flock.forecast import forecast, growth_ratio
    from pinfeather.flock.spread import band_kg, size_classes, uniformity

    days, birds, lot = flock_text.age(given, "age"), flock_text.heads(given), flock_text.seen(given)
    if birds > _MOST_ORDERED:
        raise InputError("birds", birds, _("Write how many birds, 1 to 5,000."))
    edges = flock_text.edges(given, "classes")
    live = forecast([lot], float(days))
    share = flock_text.dressing(given)
    dressed = dressed_weights(live, share, off_feed_s=_OFF_FEED_S)
    ends = [float(e[0]) for e in (*band_kg(live, _BAND), *band_kg(live, _WIDE))]
    low, high, low90, high90 = ends
    d_low, d_high = (float(e[0]) for e in band_kg(dressed, _BAND))
    mean, d_mean = float(live.mean_kg[0]), float(dressed.mean_kg[0])
    off = _Z80 * float(live.unsure_frac[0])
    counts = size_classes(dressed, edges, birds=birds) if edges else []
    values: dict[str, Json] = {
        "mean_kg": mean,
        "low_kg": low,
        "high_kg": high,
        "low90_kg": low90,
        "high90_kg": high90,
        "mean_low_kg": mean * (1 - off),
        "mean_high_kg": mean * (1 + off),
        "dressed_mean_kg": d_mean,
        "dressed_low_kg": d_low,
        "dressed_high_kg": d_high,
        "cv_frac": float(live.cv[0]),
        "uniformity_frac": uniformity(float(live.cv[0])),
        "ratio": growth_ratio(lot) if lot.samples and lot.curve else None,
        "classes": [_class_value(one) for one in counts],
    }

    def kg(value: float) -> str:
        return amount(value, "mass", given.units, decimals=2)

    rows = [
        Row(
            _("Mean live weight at {age} days").format(age=days),
            kg(mean),
            _("the mean itself {band}").format(
                band=between(kg(mean * (1 - off)), kg(mean * (1 + off)))
            ),
        ),
        Row(_("Eight birds in ten"), between(kg(low), kg(high)), _("live")),
        Row(_("Nine birds in ten"), between(kg(low90), kg(high90)), _("live")),
        Row(_("Dressed, 10 h off feed"), kg(d_mean), between(kg(d_low), kg(d_high))),
    ]
    rows += [_class_row(one, given) for one in counts]
    sources = [Source(share.basis.note, share.basis.status)]
    if lot.curve is not None:
        sources.append(Source(lot.curve.basis.note, lot.curve.basis.status or "assumed"))
    return Result(
        values,
        tuple(rows),
        weight_alert(lot),
        (_growth_note(lot),),
        tuple(sources),
    )


def _growth_note(lot: Seen) -> str:
    if not lot.samples:
        return _("No bird was weighed: weigh 20 at three weeks and this gets much surer.")
    return _("Weigh every bird of a catch, large or small, from all over the pen.")


def _class_value(one: ClassCount) -> Json:
    return {
        "from_kg": one.low_kg,
        "below_kg": None if math.isinf(one.high_kg) else one.high_kg,
        "birds": one.heads,
        "low": one.low,
        "high": one.high,
    }


def _class_row(one: ClassCount, given: Given) -> Row:
    low, high = (
        None if not 0 < edge < math.inf else amount(edge, "mass", given.units, decimals=2)
        for edge in (one.low_kg, one.high_kg)
    )
    if low is None:
        label = _("Dressed below {high}").format(high=high)
    elif high is None:
        label = _("Dressed {low} and up").format(low=low)
    else:
        label = _("Dressed {low} to {high}").format(low=low, high=high)
    return Row(label, _("{n:.0f} birds").format(n=one.heads), between(str(one.low), str(one.high)))


def _weigh_plan() -> Calculation:
    return Calculation(
        name="weigh-plan",
        title=_("Birds to weigh"),
        question=_("How many birds to weigh, and what does weighing more buy?"),
        formula=_("n = (1.96 CV / E)²; in a flock of N birds n / (1 + (n − 1) / N)."),
        valid_range=_(
            "Birds caught from all over the pen, every bird of a catch weighed. Spread is 10 to"
            " 15 % in straight run, 8 to 10 % of one sex. Ahead of the day, the table is 4 %"
            " unsure whatever is weighed."
        ),
        sources=(Source(_("Cochran (1977), Sampling Techniques, section 4.6"), "derived"),),
        inputs=(
            Input("cv", _("Spread between birds"), "percent", "12 %"),
            Input("error", _("Mean may be off by"), "percent", "5 %"),
            Input("flock", _("Birds in the pen"), "integer", "100"),
            Input("ahead", _("Days ahead to forecast"), "integer", "28"),
        ),
        run=_run_weigh_plan,
        example='--cv "12 %" --error "5 %" --flock 100',
        aliases={"error_frac": "error"},
    )


def _run_weigh_plan(given: Given) -> Result:
    from pinfeather.flock.weigh_plan import birds_to_weigh, what_weighing_buys

    flock = flock_text.heads(given, "flock")
    plan = birds_to_weigh(given.number("cv"), given.number("error"), flock=flock)
    bought = what_weighing_buys(given.number("cv"), ahead_d=given.whole("ahead"))
    return Result(
        {
            "n": plan.birds,
            "error_frac": plan.error_frac,
            "bought": [
                {"n": b.birds, "today_frac": b.today_frac, "then_frac": b.then_frac} for b in bought
            ],
        },
        (
            Row(
                _("Weigh"),
                _("{n} birds").format(n=plan.birds),
                _("mean within {e} then, 19 times in 20").format(
                    e=percent(plan.error_frac, decimals=1)
                ),
            ),
            *(
                Row(
                    _("With {n} birds").format(n=b.birds),
                    _("± {e} today").format(e=percent(b.today_frac)),
                    _("± {e} in {d} days").format(e=percent(b.then_frac), d=given.whole("ahead")),
                )
                for b in bought
            ),
        ),
        notes=(_("Beyond about 20 birds, a second weighing a week later buys more."),),
    )


def _order() -> Calculation:
    return Calculation(
        name="order",
        title=_("Chicks to order"),
        question=_("How many chicks to order, and on which hatch day?"),
        formula=_(
            "The least N with P(Binomial(N, share that lives) ≥ birds wanted) ≥ chance; with the"
            " chance of a bad night that takes 10 to 50 % at once. Hatch = slaughter − age."
        ),
        valid_range=_(
            "To 5,000 birds. Deaths come together more than the sum says: put that in the chance"
            " of a bad night. Ask the hatchery what it ships when."
        ),
        sources=(Source(_("Binomial distribution"), "derived"),),
        inputs=(
            Input("wanted", _("Birds wanted"), "integer", "100"),
            Input("alive", _("Share that lives"), "percent", "93 %", hint=_("Your own, if known.")),
            Input("chance", _("How sure"), "percent", "90 %"),
            Input(
                "event",
                _("Chance of a bad night"),
                "percent",
                "0 %",
                hint=_("Predator, storm, heat, chilled in the mail."),
            ),
            Input("lot", _("Sold in lots of"), "integer", "1"),
            Input(
                "kind",
                _("Kind"),
                "choice",
                "chicken",
                options=(
                    ("chicken", _("Chicken")),
                    ("turkey", _("Turkey")),
                    ("duck", _("Pekin duck")),
                ),
            ),
            Input("slaughter", _("Processing day"), "text", hint="2026-07-18", optional=True),
            Input("age", _("Age in days"), "integer", "56"),
            Input("hatch", _("Hatch days"), "text", hint=_("Such as Mon, Wed."), optional=True),
        ),
        run=_run_order,
        example='--wanted 100 --alive "95 %" --slaughter 2026-07-18 --age 56 --hatch "Mon, Wed"',
        aliases={"alive_share": "alive", "lot_of": "lot", "age_d": "age"},
    )


def _run_order(given: Given) -> Result:
    from pinfeather.flock.order import lot_dates, order_size

    wanted = flock_text.heads(given, "wanted")
    if wanted > _MOST_ORDERED:
        raise InputError("wanted", wanted, _("Write how many birds, 1 to 5,000."))
    found = order_size(
        wanted,
        alive_share=given.number("alive"),
        chance=given.number("chance"),
        event=given.number("event"),
        lot_of=flock_text.heads(given, "lot"),
    )
    dates: tuple[LotDates, ...] = ()
    if given.word("slaughter"):
        kind = given.word("kind")
        dates = lot_dates(
            flock_text.date("slaughter", given.word("slaughter")),
            flock_text.age(given, "age"),
            hatch_weekdays=flock_text.weekdays(given, "hatch"),
            species="turkey" if kind == "turkey" else "duck" if kind == "duck" else "chicken",
        )
    return Result(
        {
            "n": found.ordered,
            "chance_frac": found.chance,
            "naive": found.naive,
            "naive_chance_frac": found.naive_chance,
            "without_event": found.calm,
            "surplus": found.surplus,
            "dates": [
                {
                    "eggs_set_on": d.eggs_set_on.isoformat(),
                    "hatch_on": d.hatch_on.isoformat(),
                    "arrive_on": d.arrive_on.isoformat(),
                    "out_of_brooder_on": d.out_of_brooder_on.isoformat(),
                    "brooder_free_on": d.brooder_free_on.isoformat(),
                    "age_d": d.age_d,
                }
                for d in dates
            ],
        },
        (
            Row(
                _("Order"),
                _("{n} chicks").format(n=found.ordered),
                _("enough in {share} of lots").format(share=percent(found.chance)),
            ),
            Row(
                _("Wanted over the share that lives"),
                _("{n} chicks").format(n=found.naive),
                _("enough in {share} of lots").format(share=percent(found.naive_chance)),
            ),
            *(
                Row(
                    _("Hatch {day}").format(day=d.hatch_on.isoformat()),
                    _("{age} days old on the day").format(age=d.age_d),
                    _("out of the brooder {out}, brooder free {free}").format(
                        out=d.out_of_brooder_on.isoformat(), free=d.brooder_free_on.isoformat()
                    ),
                )
                for d in dates
            ),
        ),
        found.findings,
    )


def _feed() -> Calculation:
    return Calculation(
        name="feed",
        title=_("Feed, water, room"),
        question=_("How much feed, water, floor and brooder heat does a lot need?"),
        formula=_(
            "Feed a day = (3200 / ME) (m W^0.75 + g ΔW), W in kg, ME in kcal/kg; m = 0.0789,"
            " g = 0.4335 for chickens. Water = 1.5 to 2.3 times the feed. Nitrogen left behind ="
            " 49 % of that in the feed."
        ),
        valid_range=_(
            "Feed within a tenth of tables and trials for chickens, a sixth for turkeys and ducks."
            " Spilling and cold come on top."
        ),
        sources=(
            Source(_("National Research Council (1984), Nutrient Requirements of Poultry"), "read"),
            Source(_("Pesti et al. (1985), Poultry Science 64:803-808"), "read"),
            Source(_("Patterson et al. (1998), Journal of Applied Poultry Research 7:247"), "read"),
        ),
        inputs=(
            Input("age", _("Age at slaughter in days"), "integer", "56"),
            Input("from", _("Age now in days"), "integer", "0", hint=_("Feed still to come.")),
            Input("birds", _("Birds now"), "integer", "100"),
            *flock_text.asks(),
            Input(
                "setting",
                _("Losses"),
                "choice",
                "usual",
                options=(("usual", _("Usual")), ("pasture", _("On pasture"))),
            ),
            Input("bag", _("A bag of feed"), "mass", "50 lb", "25 kg"),
            Input("extra", _("Spilling and cold on top"), "percent", "5 %"),
        ),
        run=_run_feed,
        example='--curve nrc_1994 --age 56 --birds 100 --weighings "" --bag "50 lb"',
        cautions=(
            _(
                "Heat lamps set brooders on fire. Hang each from a chain, not by its cord, clear of"
                " litter; follow the maker’s distances."
            ),
        ),
    )


def _run_feed(given: Given) -> Result:
    import numpy as np

    from pinfeather.flock.feed import bin_m3, feed_plan
    from pinfeather.flock.forecast import growth_path
    from pinfeather.flock.land import nitrogen_kg
    from pinfeather.flock.losses import survival
    from pinfeather.flock.room import brooder_heat, floor_basis, floor_m2

    days, now, birds = flock_text.age(given, "age"), given.whole("from"), flock_text.heads(given)
    if now >= days:
        raise InputError("from", now, _("The age now is below that at slaughter."))
    if given.number("bag") <= 0:
        raise InputError("bag", given.number("bag"), _("A bag weighs more than nothing."))
    lot = flock_text.seen(given)
    species = lot.curve.species if lot.curve else "chicken"
    alive = survival(days, "pasture" if given.word("setting") == "pasture" else "usual")
    heads = np.minimum(birds * alive[:-1] / alive[now], birds)
    plan = feed_plan(
        growth_path(lot, days), heads, species, from_d=now, extra_frac=given.number("extra")
    )
    protein = sum(p.protein_kg for p in plan.phases)
    left_kg = nitrogen_kg(plan.total.value, min(protein / plan.total.value, 1.0))
    heat = brooder_heat(birds, float(now), species)
    floor = floor_m2(birds, float(days), species)

    def kg(value: float) -> str:
        return amount(value, "mass", given.units, decimals=0)

    def bags(value: float) -> int:
        return math.ceil(value / given.number("bag") - 1e-9)

    rows = [
        Row(
            _("Feed"),
            kg(plan.total.value),
            _("{band}; {n} bags").format(
                band=between(kg(plan.total.low), kg(plan.total.high)), n=bags(plan.total.value)
            ),
        )
    ]
    rows += [
        Row(
            _("{name}, day {a} to {b}").format(
                name=_(p.phase.name), a=max(p.phase.from_d, now), b=p.to_d
            ),
            kg(p.total.value),
            _("{n} bags, {protein} protein").format(
                n=bags(p.total.value), protein=percent(p.phase.crude_protein)
            ),
        )
        for p in plan.phases
    ]
    water = plan.water_busiest_day_m3
    rows += [
        Row(_("Feed in the busiest week"), kg(plan.busiest_week_kg)),
        Row(
            _("Water on the thirstiest day"),
            amount(water.value, "volume", given.units, decimals=0),
            _("{band}; a third to a half more above 90 °F").format(
                band=between(
                    amount(water.low, "volume", given.units, decimals=0),
                    amount(water.high, "volume", given.units, decimals=0),
                )
            ),
        ),
        Row(
            _("Indoor floor at the end"),
            _("{n:.0f} ft²").format(n=floor / 0.09290304)
            if given.units == "us"
            else _("{n:.1f} m²").format(n=floor),
        ),
        Row(
            _("Brooder now"),
            between(
                amount(heat.low_degC, "temperature", given.units, decimals=0),
                amount(heat.high_degC, "temperature", given.units, decimals=0),
            ),
            _("{n} lamps of 250 W").format(n=heat.lamps),
        ),
        Row(_("Nitrogen left behind"), amount(left_kg, "mass", given.units, decimals=1)),
    ]
    basis = floor_basis(species)
    return Result(
        {
            "feed_kg": plan.total.value,
            "low_kg": plan.total.low,
            "high_kg": plan.total.high,
            "bags": bags(plan.total.value),
            "per_bird_kg": plan.per_bird_kg,
            "feed_per_gain": plan.feed_per_gain,
            "busiest_week_kg": plan.busiest_week_kg,
            "bin_m3": bin_m3(plan.busiest_week_kg),
            "water_day_m3": water.value,
            "water_total_m3": plan.water_total_m3.value,
            "floor_m2": floor,
            "brooder_low_degC": heat.low_degC,
            "brooder_high_degC": heat.high_degC,
            "lamps": heat.lamps,
            "nitrogen_kg": left_kg,
            "phases": [
                {
                    "name": p.phase.name,
                    "to_d": p.to_d,
                    "feed_kg": p.total.value,
                    "bags": bags(p.total.value),
                    "crude_protein_frac": p.phase.crude_protein,
                }
                for p in plan.phases
            ],
        },
        tuple(rows),
        sources=(
            Source(plan.total.basis.note, plan.total.basis.status),
            Source(water.basis.note, water.basis.status),
            Source(basis.note, basis.status),
            Source(heat.basis.note, heat.basis.status),
        ),
    )
