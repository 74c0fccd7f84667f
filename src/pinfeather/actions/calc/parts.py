"""Chilling what is not a whole bird in slush, and running tap water before the ice."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, Literal, cast

from pinfeather.actions.calc import asks
from pinfeather.actions.calc.model import Calculation, Given, Input, Json, Result, Row, Source
from pinfeather.actions.calc.wording import amount, degrees, limit, one_in_ten, span
from pinfeather.errors import InputError
from pinfeather.finding import Finding, Severity, by_severity
from pinfeather.units import SECONDS_PER_DAY, SECONDS_PER_HOUR
from pinfeather.words import gettext as _

if TYPE_CHECKING:
    from pinfeather.heat.breast import Build
    from pinfeather.heat.carcass import ChillTime
    from pinfeather.heat.parts import Chill

_GIBLETS: Final[dict[str, Literal["sphere", "cylinder", "slab"]]] = {
    "giblets-loose": "sphere",
    "giblets-bucket": "cylinder",
    "giblets-bag": "slab",
}
_PACKS: Final = ("pack-slush", "pack-air")
_PACK_DEGC: Final = 10.0  # parts after cutting: a cold bird that warmed on the table; assumed
_AIR_M_PER_S: Final = {"still": 0.0, "gentle": 0.5, "fan": 1.0, "strong": 2.0, "blast": 3.5}
_GIBLET_LIMIT_S: Final = 2 * SECONDS_PER_HOUR
_THICKEST_M: Final = 1.0
_MOST_BIRDS: Final = 5000


def calculations() -> tuple[Calculation, ...]:
    """Return the calculators about parts and about pre-chilling."""
    return (_parts(), _pre_chill())


def _parts() -> Calculation:
    return Calculation(
        name="parts",
        title=_("Giblets, packs and bagged birds"),
        question=_("How long do giblets, packs of parts or a bagged bird take to get cold?"),
        formula=_(
            "Heat conduction in a ball (loose piece), a round bucket or a flat bag:"
            " (T − Tw) / (T0 − Tw) = Σ A exp(−μ² α t / a²), a the radius or half the thickness,"
            " k = 0.47 W/mK and α = 1.28·10⁻⁷ m²/s. Surface: 200 W/m²K stirred loose, 100 around a"
            " bag or bucket, less by the film where packed; 7 to 23 in moving air."
        ),
        valid_range=_(
            "Planning only: probe the thickest place. A bucket counts as full to the middle and not"
            " stirred; packs that touch count as one thick pack. Bagged birds in stirred slush. Air"
            " up to 3.5 m/s over wet skin. Whole birds have a band; the rest is one number."
        ),
        sources=(
            Source(
                _("Carslaw and Jaeger (1959), Conduction of Heat in Solids, 3.11, 7.7 and 9.4"),
                "computed",
            ),
            Source(
                _(
                    "“Chilling of packaged poultry in ice water and glycol-water solutions”,"
                    " Poultry Science, abstract: unbagged 43 min, vacuum 62 min, tied 109 min"
                ),
                "read",
            ),
            Source(
                _("Former 9 CFR 381.66(c)(4), as quoted by FSIS: giblets at 40 °F within 2 hours"),
                "read",
            ),
        ),
        inputs=(
            Input(
                "what",
                _("What is chilled"),
                "choice",
                "giblets-loose",
                options=(
                    ("giblets-loose", _("Giblets, loose and stirred")),
                    ("giblets-bucket", _("Giblets, a bucket full")),
                    ("giblets-bag", _("Giblets, a flat bag")),
                    ("pack-slush", _("Pack of parts in slush")),
                    ("pack-air", _("Pack of parts in the refrigerator")),
                    ("bird-vacuum", _("Bird in a vacuum bag")),
                    ("bird-tied", _("Bird in a tied bag")),
                    ("bird-hung", _("Bird hung in cold air")),
                ),
            ),
            Input(
                "thick",
                _("Thickness"),
                "length",
                "1.75 in",
                "4.5 cm",
                _("Bag or pack, packs that touch together; width of the bucket or largest piece."),
            ),
            asks.mass(),
            asks.build(),
            Input(
                "air",
                _("Air, for a hung bird"),
                "choice",
                "gentle",
                options=(
                    ("still", _("Still")),
                    ("gentle", _("Gentle: 100 ft/min, 0.5 m/s")),
                    ("fan", _("Fan: 200 ft/min, 1 m/s")),
                    ("strong", _("Strong fan: 400 ft/min, 2 m/s")),
                    ("blast", _("Blast: 700 ft/min, 3.5 m/s")),
                ),
            ),
            Input("water", _("Slush or air at"), "temperature", "34 F", "1 C"),
            Input(
                "start",
                _("Going in at"),
                "temperature",
                hint=_("Empty: a live bird’s warmth; packs 50 F."),
                optional=True,
            ),
            asks.limit(),
        ),
        run=_run_parts,
        example='--what giblets-bucket --thick "6 in" --water "34 F"',
        aliases={"bath_degC": "water", "half_m": "thick", "thickness_m": "thick"},
    )


def _run_parts(given: Given) -> Result:
    what = given.word("what")
    if what in _GIBLETS or what in _PACKS:
        if not 0 < given.number("thick") <= _THICKEST_M:
            raise InputError("thick", given.number("thick"), _("Up to 3 ft (1 m) thick."))
        return _lump_result(given, _lump(given, what), giblets=what in _GIBLETS)
    found = _bird(given, what)
    return Result(
        {
            "time_s": found.time_s,
            "low_s": found.low_s,
            "high_s": found.high_s,
            "surface_W_per_m2K": found.surface_W_per_m2K.value,
        },
        (
            Row(
                _cold_after(given),
                span(found.time_s),
                one_in_ten(found.low_s, found.high_s),
            ),
        ),
        by_severity(found.findings),
        (_("Probe the heaviest bird, through the bag, deep in the breast."),),
        (
            Source(found.thickness_m.basis.note, found.thickness_m.basis.status),
            Source(found.surface_W_per_m2K.basis.note, found.surface_W_per_m2K.basis.status),
        ),
    )


def _lump(given: Given, what: str) -> Chill:
    from pinfeather.heat.breast import LIVE_BIRD_DEGC, surface_coefficient
    from pinfeather.heat.parts import giblet_chill_time, packed_parts_chill_time

    start = given.maybe("start")
    if what in _PACKS:
        return packed_parts_chill_time(
            thickness_m=given.number("thick"),
            bath_degC=given.number("water"),
            limit_degC=given.number("limit"),
            in_slush=what == "pack-slush",
            start_degC=_PACK_DEGC if start is None else start,
        )
    stirred = surface_coefficient("stirred" if what == "giblets-loose" else "still")
    return giblet_chill_time(
        half_m=given.number("thick") / 2,
        bath_degC=given.number("water"),
        limit_degC=given.number("limit"),
        shape=_GIBLETS[what],
        surface_W_per_m2K=stirred.value,
        start_degC=LIVE_BIRD_DEGC if start is None else start,
    )


def _lump_result(given: Given, found: Chill, *, giblets: bool) -> Result:
    findings = list(found.findings)
    if found.time_s is None:
        findings.append(
            Finding(
                "parts.never",
                Severity.STOP,
                _("At {water} it never gets down to {limit}.").format(
                    water=limit(given.number("water"), given.units),
                    limit=limit(given.number("limit"), given.units),
                ),
                _("More ice, or a colder room."),
                measured=given.number("water"),
                limit=given.number("limit"),
                unit="C",
            )
        )
    return Result(
        {
            "time_s": found.time_s,
            "low_s": None,
            "high_s": None,
            "limit_s": _GIBLET_LIMIT_S if giblets else None,
        },
        (
            Row(
                _cold_after(given),
                span(found.time_s),
                _("2 hours from the draw is the limit for giblets")
                if giblets
                else _("the middle of the pack"),
            ),
        ),
        by_severity(findings),
        (_("Half as thick takes less than half the time; stirred is quicker still."),),
    )


def _bird(given: Given, what: str) -> ChillTime:
    from pinfeather.heat.breast import LIVE_BIRD_DEGC
    from pinfeather.heat.carcass import chill_time
    from pinfeather.heat.parts import air_coefficient, bagged_chill_time

    build = cast("Build", given.word("build"))
    start = given.maybe("start")
    start_degC = LIVE_BIRD_DEGC if start is None else start
    if what == "bird-hung":
        return chill_time(
            given.number("mass"),
            build=build,
            bath="air",
            bath_degC=given.number("water"),
            limit_degC=given.number("limit"),
            start_degC=start_degC,
            surface_W_per_m2K=air_coefficient(_AIR_M_PER_S[given.word("air")]),
        )
    return bagged_chill_time(
        given.number("mass"),
        build=build,
        bath_degC=given.number("water"),
        limit_degC=given.number("limit"),
        tight=what == "bird-vacuum",
        start_degC=start_degC,
    )


def _cold_after(given: Given) -> str:
    return _("Down to {limit} after").format(limit=limit(given.number("limit"), given.units))


def _pre_chill() -> Calculation:
    return Calculation(
        name="pre-chill",
        title=_("Running tap water first"),
        question=_("What does a stay in running tap water save before the ice?"),
        formula=_(
            "The breast as a slab in stirred water, 200 W/m²K: the middle and the mean of"
            " Σ j exp(−μ² α t / (b/2)²). Ice saved = 3.42 kJ/kgK (chicken) × (start − mean) /"
            " (334 kJ/kg + warming of the melt water)."
        ),
        valid_range=_(
            "Water that runs all the time, cavity open to it, steady tap. The whole bird is taken"
            " as warm as its breast is on average. The time limit runs on while the birds lie in"
            " tap water."
        ),
        sources=(
            Source(
                _("Carslaw and Jaeger (1959), Conduction of Heat in Solids, section 3.11"),
                "computed",
            ),
            Source(_("Derivation: heat the birds gave to the tap water"), "derived"),
        ),
        inputs=(
            asks.birds("30"),
            asks.mass(),
            asks.build(),
            asks.species(with_small=True),
            asks.tap(),
            Input("span", _("In running water"), "time", "20 min"),
            Input(
                "start",
                _("Breast going in"),
                "temperature",
                "100.4 F",
                "38 C",
                _("A live bird’s warmth, unless measured."),
            ),
        ),
        run=_run_pre_chill,
        example='--birds 30 --mass "4.5 lb" --tap "55 F" --span "20 min"',
        aliases={"time_s": "span"},
    )


def _run_pre_chill(given: Given) -> Result:
    from pinfeather.heat.icing import tap_pre_chill

    if not 0 <= given.number("span") <= SECONDS_PER_DAY:
        raise InputError("span", given.number("span"), _("Up to a day."))
    if not 1 <= given.whole("birds") <= _MOST_BIRDS:
        raise InputError("birds", given.whole("birds"), _("From 1 to 5000 birds."))
    start, tap = given.number("start"), given.number("tap")
    if not tap < start:
        raise InputError("tap", tap, _("Tap water as warm as the birds cools nothing."))
    found = tap_pre_chill(
        given.number("mass"),
        build=cast("Build", given.word("build")),
        tap_degC=tap,
        time_s=given.number("span"),
        species=given.word("species"),
        start_degC=start,
    )
    birds_kg = given.whole("birds") * given.number("mass")
    saved_kg = found.ice_saved_frac * birds_kg
    values: dict[str, Json] = {
        "ice_saved_kg": saved_kg,
        "mean_degC": found.mean_degC,
        "centre_degC": found.centre_degC,
        "heat_J_per_kg": found.heat_J_per_kg,
    }
    return Result(
        values,
        (
            Row(
                _("Ice saved"),
                amount(saved_kg, "mass", given.units, decimals=0),
                _("for {mass} of birds").format(
                    mass=amount(birds_kg, "mass", given.units, decimals=0)
                ),
            ),
            Row(
                _("Middle of the breast then"),
                degrees(found.centre_degC, given.units),
                _("the warmest point"),
            ),
            Row(_("Birds on average then"), degrees(found.mean_degC, given.units)),
        ),
        notes=(
            _("The clock for getting cold runs on: it does not stop in tap water."),
            _("Use drinking water, and let it run off; ice only after the birds are cool."),
        ),
    )
