"""Carcass rinses, and whether a sanitiser on surfaces is right."""

from __future__ import annotations

from typing import Final

from pinfeather.actions.calc.model import Calculation, Given, Input, Json, Result, Row, Source
from pinfeather.errors import InputError
from pinfeather.finding import Severity, by_severity, worst
from pinfeather.quantity import show
from pinfeather.units import from_si
from pinfeather.words import gettext as _

_STRONGEST_FRAC: Final = 0.01
_PROFILE: Final = "us-federal"
_HOT_WATER: Final = "hot_water"


def calculations() -> tuple[Calculation, ...]:
    """Return the calculators about rinses and strips."""
    return (_strip(), _rinse())


def _rinse() -> Calculation:
    from pinfeather.hygiene.dilution import MIXING_CAUTIONS
    from pinfeather.hygiene.rinse import RINSE_CAUTIONS
    from pinfeather.hygiene.tables import table

    rows = table("sanitizers")
    acid, water = rows["carcass_rinse"], rows["chill_water_chlorine"]
    return Calculation(
        name="rinse",
        title=_("Rinse on the birds"),
        question=_("Is this rinse or chill water allowed on the birds themselves?"),
        formula=_(
            "Each measured strength against its limit: peroxyacids at most 220 ppm, hydrogen"
            " peroxide 110 ppm, HEDP 13 ppm; free chlorine in chill or wash water 20 to 50 ppm at"
            " pH 6 to 7."
        ),
        valid_range=_(
            "Limits for inspected plants, a yardstick for others. More only under the supplier’s"
            " own written clearance; then that is the limit. Not for surfaces and tools: see"
            " Sanitiser strength."
        ),
        sources=(
            Source(acid["citation"], acid["status"]),
            Source(water["citation"], water["status"]),
        ),
        inputs=(
            Input(
                "with",
                _("Rinse"),
                "choice",
                "peracetic",
                options=(
                    ("peracetic", _("Peracetic acid on the birds")),
                    ("chlorine", _("Chlorine in chill or wash water")),
                ),
            ),
            Input(
                "strength",
                _("Measured strength"),
                "strength",
                "30 ppm",
                hint=_("By strip or drop test, before use."),
            ),
            Input(
                "peroxide",
                _("Hydrogen peroxide"),
                "strength",
                hint=_("With peracetic acid; may be empty."),
                optional=True,
            ),
            Input(
                "hedp",
                _("HEDP"),
                "strength",
                hint=_("The stabiliser; from the supplier’s sheet."),
                optional=True,
            ),
            Input("ph", _("pH"), "number", hint=_("For chlorine; may be empty."), optional=True),
        ),
        run=_run_rinse,
        example='--with peracetic --strength "180 ppm" --peroxide "60 ppm"',
        cautions=(*RINSE_CAUTIONS, *MIXING_CAUTIONS),
        aliases={
            "peracetic_frac": "strength",
            "free_frac": "strength",
            "peroxide_frac": "peroxide",
        },
    )


def _run_rinse(given: Given) -> Result:
    from pinfeather.hygiene.rinse import judge_chill_chlorine, judge_peracid_rinse

    strength = given.number("strength")
    if given.word("with") == "peracetic":
        findings = judge_peracid_rinse(
            strength, peroxide_frac=given.maybe("peroxide"), hedp_frac=given.maybe("hedp")
        )
    else:
        findings = judge_chill_chlorine(strength, ph=given.maybe("ph"))
    limit_ppm = findings[0].limit
    values: dict[str, Json] = {
        "strength_frac": strength,
        "limit_frac": None if limit_ppm is None else limit_ppm * 1e-6,
        "allowed": worst(findings) is not Severity.STOP,
    }
    return Result(
        values,
        (
            Row(
                _("{strength} on the birds").format(
                    strength=show(strength, "ppm", "strength", decimals=0)
                ),
                _verdict(worst(findings)),
            ),
        ),
        by_severity(findings),
        (_("Write down each reading with its time; test again whenever the tank is topped up."),),
    )


def _verdict(severity: Severity | None) -> str:
    if severity is Severity.STOP:
        return _("not allowed")
    return _("not right yet") if severity is Severity.CHECK else _("within the limits")


def _strip() -> Calculation:
    from pinfeather.hygiene.dilution import MIXING_CAUTIONS
    from pinfeather.rules.profile import load

    known = load(_PROFILE).sanitation.sanitisers
    return Calculation(
        name="strip",
        title=_("Sanitiser strength"),
        question=_("Is this sanitiser strong enough, warm enough and not too strong?"),
        formula=_(
            "The strip against the most allowed without a rinse and the least that works, at this"
            " temperature, pH, time and hardness: a table row fits where all of its conditions are"
            " met. Fixed equipment needs twice the strength of a dip."
        ),
        valid_range=_(
            "Clean surfaces and tools, not birds. The federal poultry text is a stop where it is"
            " missed; the Food Code, retail law, is a check. The product’s label comes before"
            " every number here, and your state may differ."
        ),
        sources=(
            Source(_("9 CFR 381.10(e)(3)(i)(E), 2015 edition"), "read"),
            Source(_("40 CFR 180.940(a) and (c), 2015 edition"), "read"),
            Source(_("FDA Food Code 4-501.114 and 4-602.11, as adopted by states"), "read"),
        ),
        inputs=(
            Input(
                "with",
                _("Sanitiser"),
                "choice",
                "chlorine",
                options=(
                    *((code, _(one.name)) for code, one in known.items()),
                    (_HOT_WATER, _("hot water, no chemical")),
                ),
            ),
            Input(
                "strength",
                _("The strip reads"),
                "strength",
                "100 ppm",
                hint=_("Not used for hot water."),
            ),
            Input(
                "temp",
                _("Solution at"),
                "temperature",
                "75 F",
                "24 C",
                _("Measure it; may be empty."),
                optional=True,
            ),
            Input("ph", _("pH"), "number", hint=_("May be empty."), optional=True),
            Input(
                "contact",
                _("Left wet for"),
                "time",
                "60 s",
                hint=_("May be empty."),
                optional=True,
            ),
            Input(
                "hardness",
                _("Hardness of the water"),
                "strength",
                hint=_("For quat, such as 300 ppm; may be empty."),
                optional=True,
            ),
            Input(
                "surface",
                _("Used on"),
                "choice",
                "dipped",
                options=(
                    ("dipped", _("Tools that are dipped")),
                    ("fixed", _("Fixed equipment, sprayed or wiped")),
                ),
            ),
            Input(
                "room",
                _("Room"),
                "temperature",
                hint=_("For how often to clean; may be empty."),
                optional=True,
            ),
        ),
        run=_run_strip,
        example='--with chlorine --strength "100 ppm" --temp "75 F" --ph 7.5 --room "60 F"',
        cautions=(
            *MIXING_CAUTIONS,
            _("Water hot enough to sanitise scalds: use a basket or tongs."),
        ),
        aliases={
            "ppm": "strength",
            "temperature_degC": "temp",
            "pH": "ph",
            "hardness_ppm": "hardness",
            "room_degC": "room",
            "chemical": "with",
        },
    )


def _run_strip(given: Given) -> Result:
    from pinfeather.rules.profile import load
    from pinfeather.rules.sanitiser import hot_water_verdict, renew_interval_s, strength_verdict

    profile, code, strength = load(_PROFILE), given.word("with"), given.number("strength")
    temp, hardness, room = (given.maybe(name) for name in ("temp", "hardness", "room"))
    if strength > _STRONGEST_FRAC:
        raise InputError("strength", strength, _("No strip reads that much. Write it in ppm."))
    if code == _HOT_WATER:
        if temp is None:
            raise InputError("temp", None, _("Write how hot the water is."))
        findings = hot_water_verdict(
            profile, temperature_degC=temp, contact_s=given.maybe("contact")
        )
        shown = show(temp, "F" if given.units == "us" else "C", "temperature", decimals=0)
        most_frac = None
    else:
        findings = strength_verdict(
            profile,
            code,
            from_si(strength, "ppm", "strength"),
            surface="fixed" if given.word("surface") == "fixed" else "dipped",
            temperature_degC=temp,
            pH=given.maybe("ph"),
            contact_s=given.maybe("contact"),
            hardness_ppm=None if hardness is None else from_si(hardness, "ppm", "strength"),
        )
        shown = show(strength, "ppm", "strength", decimals=0)
        most_frac = profile.sanitation.sanitisers[code].most.si
    found = worst(findings)
    values: dict[str, Json] = {
        "strength_frac": strength,
        "limit_frac": most_frac,
        "good": found is Severity.NOTE,
    }
    rows = [
        Row(
            shown,
            _("good")
            if found is Severity.NOTE
            else _("do not use it")
            if found is Severity.STOP
            else _("look at what follows"),
        )
    ]
    if room is not None:
        every = renew_interval_s(profile, room)
        values["renew_s"] = every.interval_s
        rows.append(
            Row(_("Clean and sanitise again"), _("every {h:g} h").format(h=every.interval_s / 3600))
        )
    return Result(
        values,
        tuple(rows),
        by_severity(findings),
        (_("Also clean between kinds of birds, and after anything has soiled the surface."),),
    )
