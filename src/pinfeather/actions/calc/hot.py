"""Scald, propane and boil."""

from __future__ import annotations

from typing import TYPE_CHECKING, cast

from pinfeather.actions.calc import asks
from pinfeather.actions.calc.model import Calculation, Given, Input, Json, Result, Row, Source
from pinfeather.actions.calc.wording import amount, between, degrees, limit, power, span
from pinfeather.errors import InputError
from pinfeather.finding import Finding, Severity
from pinfeather.units import SECONDS_PER_HOUR
from pinfeather.words import gettext as _

if TYPE_CHECKING:
    from pinfeather.heat.scald import Kind, ScaldBand


def calculations() -> tuple[Calculation, ...]:
    """Return the calculators about hot water."""
    return (_scald(), _propane(), _boil())


def _scald() -> Calculation:
    from pinfeather.heat.scald import SCALD_BANDS
    from pinfeather.heat.scalder import scald_cautions

    kinds = [
        ("hard", _("Hard: plucks fast, outer skin off")),
        ("sub", _("Sub-scald: outer skin off")),
        ("soft", _("Soft: keeps the outer skin")),
    ]
    names = {
        "chicken": _("Chicken"),
        "turkey": _("Turkey"),
        "duck": _("Duck"),
        "goose": _("Goose"),
        "quail": _("Quail"),
    }
    known = dict.fromkeys(band.species for band in SCALD_BANDS)
    return Calculation(
        name="scald",
        title=_("Scald"),
        question=_("How hot and how long to scald?"),
        formula=_("A table of published pairs of water temperature and time, read as bands."),
        valid_range=_(
            "Published sources disagree by 4 °F and by a factor of two in time. Older birds, cold"
            " birds and dense feathers need more. Write down what you used and find your own pair."
        ),
        sources=(Source(_("Each row of the table has its own, shown with the answer"), "read"),),
        inputs=(
            Input(
                "species",
                _("Kind"),
                "choice",
                "chicken",
                options=tuple((code, names.get(code, code)) for code in known),
            ),
            Input("kind", _("Scald"), "choice", "hard", options=tuple(kinds)),
            Input(
                "water",
                _("Your water"),
                "temperature",
                hint=_("May be empty."),
                optional=True,
            ),
            Input(
                "dip", _("Your dip"), "time", hint=_("Such as 60 s; may be empty."), optional=True
            ),
        ),
        run=_run_scald,
        example='--species chicken --kind hard --water "146 F" --dip "60 s"',
        cautions=scald_cautions(),
    )


def _run_scald(given: Given) -> Result:
    from pinfeather.heat.scald import (
        over_scald_signs,
        scald_band,
        scald_test,
        under_scald_signs,
    )

    band = scald_band(given.word("species"), kind=cast("Kind", given.word("kind")))
    return Result(
        {
            "low_degC": band.low_degC,
            "high_degC": band.high_degC,
            "low_s": band.low_s,
            "high_s": band.high_s,
        },
        (
            Row(
                _("Water"),
                between(
                    amount(band.low_degC, "temperature", given.units, decimals=0),
                    amount(band.high_degC, "temperature", given.units, decimals=0),
                ),
                band.note,
            ),
            Row(_("Dip"), between(span(band.low_s), span(band.high_s)), scald_test()),
        ),
        tuple(_against(band, given)),
        (
            _("Too little: {signs}").format(signs=" ".join(under_scald_signs())),
            _("Too much: {signs}").format(signs=" ".join(over_scald_signs())),
        ),
        (Source(band.source, band.status),),
    )


def _against(band: ScaldBand, given: Given) -> list[Finding]:
    """Hold the farm's own water and time against the band."""
    findings = []
    water, dip = given.maybe("water"), given.maybe("dip")
    if water is not None and not band.low_degC - 1e-9 <= water <= band.high_degC + 1e-9:
        findings.append(
            Finding(
                "scald.outside_band",
                Severity.CHECK,
                _("{water} is outside the published band.").format(water=limit(water, given.units)),
                _("Short dips in hotter water are common practice. Go by the feather-pull test."),
                measured=water,
                limit=band.high_degC if water > band.high_degC else band.low_degC,
                unit="C",
                citation=band.source,
                status=band.status,
            )
        )
    if dip is not None and not band.low_s <= dip <= band.high_s:
        findings.append(
            Finding(
                "scald.outside_time",
                Severity.CHECK,
                _("{dip} is outside the published time.").format(dip=span(dip)),
                _("Go by the feather-pull test."),
                measured=dip,
                limit=band.high_s if dip > band.high_s else band.low_s,
                unit="s",
                citation=band.source,
                status=band.status,
            )
        )
    return findings


def _propane() -> Calculation:
    from pinfeather.heat.scalder import propane_cautions, scald_cautions

    return Calculation(
        name="propane",
        title=_("Propane"),
        question=_("How long does the scalder take to get hot, and what does the day burn?"),
        formula=_(
            "Warm-up: water × 4.19 kJ/kgK over (burner × share that gets in − losses of surface"
            " and walls), added up over temperature. Holding: losses, skins and feathers warming,"
            " and cold make-up water for what birds carry out. 21 600 Btu in a pound of propane."
        ),
        valid_range=_(
            "Water to boiling, air 20 to 115 °F, out of the wind: wind doubles the loss. The share"
            " of the burner’s heat that gets in, 30 to 50 % for an open pot, is the largest doubt:"
            " weigh the cylinder before and after one warm-up."
        ),
        sources=(
            Source(_("The Engineering ToolBox, Heat Loss from Open Water Tanks"), "read"),
            Source(
                _("U.S. Department of Energy, Steam Tip Sheet 19, Cover Heated, Open Vessels"),
                "read",
            ),
            Source(_("Efficiency of an open pot on a burner, 30 to 50 %"), "unverified"),
        ),
        inputs=(
            Input("volume", _("Scalder holds"), "volume", "30 gal", "115 L"),
            asks.tap(),
            Input("scald", _("Scald water"), "temperature", "145 F", "63 C"),
            Input("burner", _("Burner"), "power", "60000 Btu/h", "17.5 kW", _("As rated.")),
            asks.birds("60"),
            asks.mass(),
            Input("span", _("Time on the line"), "time", "4 h"),
            asks.air(),
            Input(
                "share",
                _("Heat that gets in"),
                "percent",
                hint=_("Empty for an open pot, 40 %."),
                optional=True,
            ),
            Input(
                "lid",
                _("Lid while heating"),
                "choice",
                "no",
                options=(("no", _("No")), ("yes", _("Yes"))),
            ),
        ),
        run=_run_propane,
        example='--volume "30 gal" --tap "58 F" --scald "145 F" --burner "60000 Btu/h"',
        cautions=(*propane_cautions(), *scald_cautions()),
        aliases={
            "from_degC": "tap",
            "to_degC": "scald",
            "water_degC": "scald",
            "efficiency_frac": "share",
        },
    )


def _run_propane(given: Given) -> Result:
    from pinfeather.heat.scalder import OPEN_POT_EFFICIENCY, holding, warm_up

    hours = given.number("span") / SECONDS_PER_HOUR
    if hours <= 0:
        raise InputError("span", hours, _("Say how long the line runs."))
    share = given.maybe("share")
    efficiency = OPEN_POT_EFFICIENCY if share is None else share
    warm = warm_up(
        volume_m3=given.number("volume"),
        from_degC=given.number("tap"),
        to_degC=given.number("scald"),
        burner_W=given.number("burner"),
        efficiency_frac=efficiency,
        air_degC=given.number("air"),
        covered=given.word("lid") == "yes",
    )
    held = holding(
        volume_m3=given.number("volume"),
        water_degC=given.number("scald"),
        birds_per_h=given.whole("birds") / hours,
        air_degC=given.number("air"),
        mass_kg=given.number("mass"),
        efficiency_frac=efficiency,
    )
    findings = []
    if warm.time_s is None:
        findings.append(
            Finding(
                "scald.never_hot",
                Severity.STOP,
                _("This burner never gets the scalder to {water}.").format(
                    water=limit(given.number("scald"), given.units)
                ),
                _("Use a stronger burner, less water, a lid, or hot tap water."),
            )
        )
    elif held.power_W > given.number("burner"):
        findings.append(
            Finding(
                "scald.falls",
                Severity.CHECK,
                _("At this pace the scald water cools faster than it is heated."),
                _("Cover the scalder between birds, or slow down for it."),
                measured=held.power_W,
                limit=given.number("burner"),
                unit="W",
            )
        )
    holding_kg = held.propane_kg_per_h * hours
    total_kg = None if warm.propane_kg is None else warm.propane_kg + holding_kg
    values: dict[str, Json] = {
        "time_s": warm.time_s,
        "low_s": warm.low_s,
        "high_s": warm.high_s,
        "propane_kg": total_kg,
        "warm_up_kg": warm.propane_kg,
        "holding_kg": holding_kg,
        "holding_W": held.power_W,
    }
    return Result(
        values,
        (
            Row(
                _("Hot after"),
                span(warm.time_s),
                ""
                if share is not None or warm.low_s is None
                else _("{low} to {high}, by how much of its heat gets in").format(
                    low=span(warm.low_s), high=span(warm.high_s)
                ),
            ),
            Row(
                _("Propane for the day"),
                _("cannot be said")
                if total_kg is None
                else amount(total_kg, "mass", given.units, decimals=1),
                ""
                if warm.propane_kg is None
                else _("{warm} to get hot, {hold} to stay hot").format(
                    warm=amount(warm.propane_kg, "mass", given.units, decimals=1),
                    hold=amount(holding_kg, "mass", given.units, decimals=1),
                ),
            ),
            Row(
                _("Burner needed to hold"),
                power(held.power_W, given.units),
                _("of {burner}").format(burner=power(given.number("burner"), given.units)),
            ),
        ),
        tuple(findings),
        (_("Keep a quarter more propane than this, for wind and a cold morning."),),
    )


def _boil() -> Calculation:
    return Calculation(
        name="boil",
        title=_("Boiling point"),
        question=_("At what temperature does water boil here?"),
        formula=_(
            "Saturation temperature of water at the air pressure (IAPWS-IF97, equation 31);"
            " pressure from height by the standard atmosphere,"
            " p = 101 325 Pa × (1 − 2.2558·10⁻⁵ h)^5.2559, h in metres."
        ),
        valid_range=_(
            "Heights from −500 to 9000 m. Weather moves the pressure by up to 4 % and the boiling"
            " point by about 2 °F; with the station pressure it is exact."
        ),
        sources=(
            Source(_("IAPWS R7-97 (2012), Industrial Formulation 1997, equation 31"), "unverified"),
            Source(_("ICAO Doc 7488 (1993), Manual of the ICAO Standard Atmosphere"), "unverified"),
        ),
        inputs=(
            Input("altitude", _("Altitude"), "length", hint=_("Such as 900 ft."), optional=True),
            Input(
                "pressure",
                _("Station pressure"),
                "pressure",
                hint=_("Instead of the altitude; not the one reduced to sea level."),
                optional=True,
            ),
            Input(
                "wanted",
                _("Shrink pot wanted at"),
                "temperature",
                hint=_("As the bag maker says; may be empty."),
                optional=True,
            ),
        ),
        run=_run_boil,
        example='--altitude "5000 ft"',
        cautions=(
            _("Boiling water and steam scald at once. Use a probe long enough to stay clear."),
        ),
    )


def _run_boil(given: Given) -> Result:
    from pinfeather.heat.boiling import boiling_degC, pressure_Pa

    altitude, pressure = given.maybe("altitude"), given.maybe("pressure")
    if pressure is None:
        if altitude is None:
            raise InputError("altitude", None, _("Write the altitude, or the station pressure."))
        pressure = pressure_Pa(altitude)
    boils = boiling_degC(pressure_Pa=pressure)
    wanted = given.maybe("wanted")
    findings = []
    if wanted is not None and wanted >= boils:
        findings.append(
            Finding(
                "shrink.boils_first",
                Severity.CHECK,
                _("Water boils here before it gets to {wanted}.").format(
                    wanted=limit(wanted, given.units)
                ),
                _("Use bags that shrink at 180 °F (82 °C), or dip a second longer."),
                measured=boils,
                limit=wanted,
                unit="C",
                citation=_("Bag makers’ instructions"),
                status="second hand",
            )
        )
    return Result(
        {"boiling_degC": boils, "pressure_Pa": pressure},
        (
            Row(
                _("Water boils at"),
                degrees(boils, given.units),
                _("what a good thermometer shows in it"),
            ),
            Row(
                _("Air pressure"),
                _pressure(pressure),
                _("measured") if given.maybe("pressure") is not None else _("usual at this height"),
            ),
        ),
        tuple(findings),
    )


def _pressure(pressure_Pa: float) -> str:
    """Write an air pressure."""
    from pinfeather.quantity import show

    return show(pressure_Pa, "hPa", "pressure", decimals=0)
