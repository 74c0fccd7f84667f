"""Chill, bath and ice."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, cast

from pinfeather.actions.calc import asks
from pinfeather.actions.calc.model import Calculation, Given, Input, Result, Row, Source
from pinfeather.actions.calc.wording import amount, between, degrees, limit, one_in_ten, span
from pinfeather.errors import InputError, InputFaultsError
from pinfeather.finding import Finding, Severity, by_severity
from pinfeather.units import SECONDS_PER_DAY
from pinfeather.words import gettext as _

if TYPE_CHECKING:
    from pinfeather.heat.bath import Tank
    from pinfeather.heat.breast import Bath, Build
    from pinfeather.heat.icing import Advised

_SLUSH_DEGC: Final = 1.0
"""Water while ice floats in it [degC]. Assumed."""
_COLD_MEAN_DEGC: Final = 2.0
"""Average of a bird whose warmest point is at 40 degF [degC]; independent computation on a
transverse section gave 2.2, taken a little colder."""
_LONGEST_LOOK_S: Final = 2 * SECONDS_PER_DAY
_MOST_BIRDS: Final = 5000
_BOILING_DEGC: Final = 100.0


def calculations() -> tuple[Calculation, ...]:
    """Return the calculators about cold."""
    return (_chill(), _bath(), _ice())


def _chill() -> Calculation:
    return Calculation(
        name="chill",
        title=_("Chill time"),
        question=_("How long until the middle of the breast is cold?"),
        formula=_(
            "The breast is a slab of meat of thickness b, cooled on both faces:"
            " (T − Tw) / (T0 − Tw) = Σ j exp(−μ² α t / (b/2)²), with μ tan μ = U (b/2) / k,"
            " k = 0.47 W/mK and α = 1.28·10⁻⁷ m²/s."
            " Without a measured thickness, b = 40 mm (broad) or 31 mm (lean)"
            " times the cube root of the weight in kg."
            " U is 100 W/m²K in still slush, 200 stirred, 9 in refrigerator air."
        ),
        valid_range=_(
            "Planning only: nothing but a probe reading proves a bird cold. Published times in"
            " slush exist for chickens of 2 to 3.5 lb; larger birds are stretched from them."
            " Steady water, cavity open to it. The band holds eight birds in ten."
        ),
        sources=(
            Source(
                _("Carslaw and Jaeger (1959), Conduction of Heat in Solids, section 3.11"),
                "computed",
            ),
            Source(
                _(
                    "“Chilling of packaged poultry in ice water and glycol-water solutions”,"
                    " Poultry Science, abstract: 43 min for lean birds of 0.9 to 1.6 kg"
                ),
                "read",
            ),
        ),
        inputs=(
            asks.mass(),
            asks.build(),
            Input(
                "bath",
                _("Chilled in"),
                "choice",
                "still",
                options=(
                    ("still", _("Still slush")),
                    ("stirred", _("Stirred slush")),
                    ("air", _("Cold air")),
                ),
            ),
            Input("water", _("Water or air at"), "temperature", "34 F", "1 C"),
            Input(
                "start",
                _("Breast going in"),
                "temperature",
                "100.4 F",
                "38 C",
                _("A live bird’s warmth, unless measured."),
            ),
            asks.limit(),
            Input(
                "thickness",
                _("Breast thickness"),
                "length",
                hint=_("Measured, skin to ribs; may be empty."),
                optional=True,
            ),
            Input(
                "cavity",
                _("Cavity"),
                "choice",
                "open",
                hint=_("Open to the water, or tied off?"),
                options=(("open", _("Open")), ("closed", _("Closed"))),
            ),
        ),
        run=_run_chill,
        example=(
            '--mass "4 lb" --build broad --bath still --water "34 F" --start "100 F" --limit "40 F"'
        ),
        aliases={"bath_degC": "water"},
    )


def _run_chill(given: Given) -> Result:
    from pinfeather.heat.carcass import chill_time

    found = chill_time(
        given.number("mass"),
        build=cast("Build", given.word("build")),
        bath=cast("Bath", given.word("bath")),
        bath_degC=given.number("water"),
        limit_degC=given.number("limit"),
        start_degC=given.number("start"),
        thickness_m=given.maybe("thickness"),
        cavity_open=given.word("cavity") == "open",
    )
    thick = found.thickness_m
    return Result(
        {
            "time_s": found.time_s,
            "low_s": found.low_s,
            "high_s": found.high_s,
            "limit_degC": given.number("limit"),
            "thickness_m": thick.value,
            "surface_W_per_m2K": found.surface_W_per_m2K.value,
        },
        (
            Row(
                _("Down to {limit} after").format(limit=limit(given.number("limit"), given.units)),
                span(found.time_s),
                one_in_ten(found.low_s, found.high_s),
            ),
            Row(
                _("Breast thickness"),
                amount(thick.value, "length", given.units, decimals=1),
                between(
                    amount(thick.low, "length", given.units, decimals=1),
                    amount(thick.high, "length", given.units, decimals=1),
                ),
            ),
        ),
        by_severity(found.findings),
        (_("Probe the heaviest bird of the last batch in. Only the reading proves it cold."),),
        (
            Source(thick.basis.note, thick.basis.status),
            Source(found.surface_W_per_m2K.basis.note, found.surface_W_per_m2K.basis.status),
        ),
    )


def _bath() -> Calculation:
    return Calculation(
        name="bath",
        title=_("Chill tank"),
        question=_("Does this tank stay cold with these birds in it, and when does it need ice?"),
        formula=_(
            "One heat balance, stepped minute by minute: heat out of the birds, through walls and"
            " top, from a pump, and into melting ice (334 kJ/kg). Each batch is two breasts cut"
            " into twelve layers: an average bird sets the heat, the heaviest the time."
        ),
        valid_range=_(
            "Planning only. Water is taken as mixed; between birds that lie still it is warmer."
            " The heaviest bird weighs 1.3 times the average. Up to 48 hours."
        ),
        sources=(
            Source(_("Derivation: heat balance of water, ice and birds"), "derived"),
            Source(
                _("Walls and open top of a stock tank in still air, 6 to 9 W/m²K bare"),
                "unverified",
            ),
        ),
        inputs=(
            Input("volume", _("Water in the tank"), "volume", "40 gal", "150 L"),
            Input("water", _("Water at"), "temperature", "58 F", "14 C", _("Before the ice.")),
            Input("ice", _("Ice in it"), "mass", "160 lb", "75 kg"),
            asks.birds("30"),
            asks.mass(),
            asks.build(),
            Input(
                "bath",
                _("Water is"),
                "choice",
                "still",
                options=(("still", _("Still")), ("stirred", _("Stirred"))),
            ),
            asks.walls(),
            asks.air(),
            Input("pump", _("Pump"), "power", "0 W", hint=_("Its power, such as 60 W.")),
            Input("span", _("Look ahead"), "time", "4 h"),
            Input("bag", _("Ice comes in bags of"), "mass", "10 lb", "5 kg"),
            asks.limit(),
        ),
        run=_run_bath,
        example=(
            '--volume "40 gal" --water "58 F" --ice "160 lb" --birds 30 --mass "4.5 lb"'
            " --bath stirred --walls insulated"
        ),
        aliases={"water_m3": "volume", "duration_s": "span", "top_up_kg": "bag", "ice_kg": "ice"},
    )


def _run_bath(given: Given) -> Result:
    from pinfeather.heat.bath import Batch, Tank
    from pinfeather.heat.ice import tank_gains_W
    from pinfeather.heat.icing import advise

    faults = [
        InputError(name, given.read[name], sentence)
        for name, wrong, sentence in (
            ("span", not 0 < given.number("span") <= _LONGEST_LOOK_S, _("Up to 48 h.")),
            (
                "birds",
                not 1 <= given.whole("birds") <= _MOST_BIRDS,
                _("From 1 to 5000 birds in a tank."),
            ),
            (
                "water",
                not 0 <= given.number("water") <= _BOILING_DEGC,
                _("Water is between freezing and boiling."),
            ),
            ("bag", given.number("bag") <= 0, _("A bag of ice weighs something.")),
        )
        if wrong
    ]
    if faults:
        raise InputFaultsError(faults)
    per_K = tank_gains_W(
        volume_m3=given.number("volume"),
        insulated=given.word("walls") == "insulated",
        air_degC=_SLUSH_DEGC + 1,
        tank_degC=_SLUSH_DEGC,
    )
    tank = Tank(
        water_m3=given.number("volume"),
        water_degC=given.number("water"),
        ice_kg=given.number("ice"),
        wall_W_per_K=per_K.value,
        air_degC=given.number("air"),
        pump_W=given.number("pump"),
        bath=cast("Bath", given.word("bath")),
    )
    batch = Batch(
        at_s=0.0,
        birds=given.whole("birds"),
        mass_kg=given.number("mass"),
        build=cast("Build", given.word("build")),
    )
    found = advise(
        tank,
        [batch],
        duration_s=given.number("span"),
        limit_degC=given.number("limit"),
        top_up_kg=given.number("bag"),
    )
    return _bath_result(given, tank, found)


def _bath_result(given: Given, tank: Tank, found: Advised) -> Result:
    day, iced = found.before, found.after
    ready, ready_iced = day.ready_s[0], iced.ready_s[0]
    more = [one for one in found.advice if one.kind == "add ice"]
    more_kg = sum(one.ice_kg for one in more)
    findings = [
        Finding(
            "bath.never",
            Severity.STOP,
            _("The heaviest bird is not cold within {span}.").format(
                span=span(given.number("span"))
            ),
            _("Add the ice below, chill fewer birds at a time, or look further ahead."),
            measured=float(day.warmest_degC[-1, 0]),
            limit=given.number("limit"),
            unit="C",
        )
    ] * (ready is None)
    if more:
        findings.append(
            Finding(
                "bath.ice",
                Severity.CHECK,
                _("This ice does not last: add {mass} on the way.").format(
                    mass=amount(more_kg, "mass", given.units, decimals=0)
                ),
                " ".join(
                    _("{mass} after {span}.").format(
                        mass=amount(one.ice_kg, "mass", given.units, decimals=0),
                        span=span(one.at_s),
                    )
                    for one in more
                ),
                measured=tank.ice_kg,
                unit="kg",
                citation=_("The water is to stay below 36 °F (2 °C); independent computation"),
                status="computed",
            )
        )
    findings += [
        Finding(f"bath.{one.kind}", Severity.CHECK, one.sentence)
        for one in found.advice
        if one.kind != "add ice"
    ]
    left = float(day.ice_kg[-1])
    return Result(
        {
            "time_s": ready,
            "time_with_ice_s": ready_iced,
            "ice_left_kg": left,
            "ice_kg": more_kg,
            "water_degC": float(day.water_degC[-1]),
            "warmest_degC": float(day.warmest_degC[-1, 0]),
            "advice": [{"at_s": one.at_s, "ice_kg": one.ice_kg} for one in more],
        },
        (
            Row(
                _("Heaviest bird cold after"),
                span(ready) if ready is not None else _("not yet"),
                _("{span} with the ice added as advised").format(span=span(ready_iced))
                if more and ready_iced is not None
                else _("the heaviest of {birds}").format(birds=given.whole("birds")),
            ),
            Row(
                _("Ice left"),
                amount(left, "mass", given.units, decimals=0),
                _("after {span}").format(span=span(given.number("span"))),
            ),
            Row(
                _("Water then"),
                degrees(float(day.water_degC[-1]), given.units),
                _("36 °F (2 °C) or colder is the aim"),
            ),
            Row(_("Ice to add"), amount(more_kg, "mass", given.units, decimals=0)),
        ),
        by_severity(findings),
        (_("Floating ice is the sign that the tank is cold. Stir, and probe the heaviest bird."),),
    )


def _ice() -> Calculation:
    return Calculation(
        name="ice",
        title=_("Ice"),
        question=_("How much ice does a tank of birds need?"),
        formula=_(
            "Ice = (heat of the birds + heat of the fill water + heat through walls and top) /"
            " (334 kJ/kg melting + warming of the melt water), and a reserve on top."
            " Birds: weight × 3.42 kJ/kgK (chicken) × (in − 36 °F)."
        ),
        valid_range=_(
            "Planning only. Ice at freezing point; straight from a freezer it does 11 % more."
            " Tank shaped like a stock tank, in the shade, still air; sun and wind melt more."
        ),
        sources=(
            Source(_("Derivation: heat balance of the tank"), "derived"),
            Source(
                _("Choi and Okos (1986), Food Engineering and Process Applications 1, 93-101"),
                "second hand",
            ),
            Source(_("Walls and open top of a stock tank in still air"), "unverified"),
        ),
        inputs=(
            asks.birds("30"),
            asks.mass(),
            asks.species(with_small=True),
            Input("volume", _("Fill water"), "volume", "40 gal", "150 L"),
            asks.tap(),
            asks.walls(),
            asks.air(),
            Input("span", _("From filling to empty"), "time", "5 h"),
            Input(
                "reserve",
                _("Reserve"),
                "percent",
                "15 %",
                hint=_("For stirring in where it warms."),
            ),
        ),
        run=_run_ice,
        example='--birds 30 --mass "4.5 lb" --volume "40 gal" --tap "58 F" --span "5 h"',
        aliases={"fill_degC": "tap", "fill_m3": "volume", "duration_s": "span"},
    )


def _run_ice(given: Given) -> Result:
    from pinfeather.heat.breast import LIVE_BIRD_DEGC
    from pinfeather.heat.ice import ice_need, specific_heat, tank_gains_W

    if given.number("mass") <= 0:
        raise InputError("mass", given.number("mass"), _("A bird weighs something."))
    gains = tank_gains_W(
        volume_m3=given.number("volume"),
        insulated=given.word("walls") == "insulated",
        air_degC=given.number("air"),
        tank_degC=_SLUSH_DEGC,
    )
    birds_kg = given.whole("birds") * given.number("mass")
    low, need, high = (
        ice_need(
            birds_kg=birds_kg,
            species=given.word("species"),
            start_degC=LIVE_BIRD_DEGC,
            end_degC=_COLD_MEAN_DEGC,
            fill_m3=given.number("volume"),
            fill_degC=given.number("tap"),
            gains_W=watts,
            duration_s=given.number("span"),
            reserve_frac=given.number("reserve"),
            water_end_degC=_SLUSH_DEGC,
        )
        for watts in (gains.low, gains.value, gains.high)
    )
    basis = specific_heat(given.word("species")).basis

    def mass(value_kg: float) -> str:
        return amount(value_kg, "mass", given.units, decimals=0)

    return Result(
        {
            "ice_kg": need.total_kg,
            "low_kg": low.total_kg,
            "high_kg": high.total_kg,
            "birds_kg": need.birds_kg,
            "water_kg": need.water_kg,
            "gains_kg": need.gains_kg,
            "reserve_kg": need.reserve_kg,
        },
        (
            Row(
                _("Ice"),
                mass(need.total_kg),
                between(mass(low.total_kg), mass(high.total_kg)),
            ),
            Row(
                _("for the birds"),
                mass(need.birds_kg),
                _("{mass} of birds").format(mass=mass(birds_kg)),
            ),
            Row(_("for the water"), mass(need.water_kg), _("colder fill water saves most")),
            Row(_("through the walls"), mass(need.gains_kg), _("a lid and shade save it")),
            Row(_("in reserve"), mass(need.reserve_kg)),
        ),
        sources=(Source(basis.note, basis.status),),
    )
