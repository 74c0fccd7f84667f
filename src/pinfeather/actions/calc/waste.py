"""Compost."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from pinfeather.actions.calc.model import Calculation, Given, Input, Json, Result, Row, Source
from pinfeather.actions.calc.wording import amount, percent
from pinfeather.errors import InputError
from pinfeather.finding import Finding, Severity
from pinfeather.quantity import show
from pinfeather.words import gettext as _

if TYPE_CHECKING:
    from pinfeather.hygiene.compost import Part

_POULTRY: Final = ("offal", "carcass", "feathers", "blood")


def calculations() -> tuple[Calculation, ...]:
    """Return the calculators about what is left over."""
    return (_compost(),)


def _compost() -> Calculation:
    from pinfeather.hygiene.compost import (
        PILE_CAUTIONS,
        SETBACK_CAUTIONS,
        SICK_FLOCK_CAUTIONS,
        materials,
    )
    from pinfeather.hygiene.tables import table

    known = materials()
    targets = table("compost")["targets"]
    return Calculation(
        name="compost",
        title=_("Compost"),
        question=_("What to mix with guts and feathers so that the pile heats and does not stink?"),
        formula=_(
            "C:N = Σ dry mass × carbon / Σ dry mass × nitrogen. The bulking material is added"
            " until the ratio wanted is met, then water until the moisture wanted is met."
            " Bin: one cubic foot for every pound of poultry."
        ),
        valid_range=_(
            "Handbook values; real sawdust, straw and litter vary by a factor of two. Good piles:"
            " C:N 25 to 35, moisture 45 to 60 %. Where no amount gets there, it says so."
        ),
        sources=(
            Source(
                _("Cornell Waste Management Institute, Cornell Composting, mix calculations"),
                "read",
            ),
            Source(targets["citation"], targets["status"]),
            Source(table("compost")["bin"]["citation"], table("compost")["bin"]["status"]),
        ),
        inputs=(
            Input("mass", _("Poultry to compost"), "mass", "100 lb", "45 kg", _("Such as 100 lb.")),
            Input(
                "what",
                _("It is"),
                "choice",
                "offal",
                options=tuple((code, _(known[code].name)) for code in _POULTRY),
            ),
            Input(
                "with",
                _("Mixed with"),
                "choice",
                "shavings",
                options=tuple(
                    (code, _(one.name)) for code, one in known.items() if code not in _POULTRY
                ),
            ),
            Input("ratio", _("C:N wanted"), "number", "25", hint=_("25 to 35.")),
            Input("moisture", _("Moisture wanted"), "percent", "55 %", hint=_("45 to 60 %.")),
        ),
        run=_run_compost,
        example='--mass "100 lb" --what offal --with shavings --ratio 25',
        cautions=(*PILE_CAUTIONS, *SETBACK_CAUTIONS, *SICK_FLOCK_CAUTIONS),
        aliases={"amendment": "with", "goal_frac": "moisture", "parts": "mass"},
    )


def _run_compost(given: Given) -> Result:
    from pinfeather.hygiene.compost import (
        WATER,
        Part,
        amend_for_moisture,
        amend_for_ratio,
        bin_volume_m3,
        carbon_to_nitrogen,
        materials,
        moisture_frac,
    )

    if given.number("mass") <= 0:
        raise InputError("mass", given.number("mass"), _("There is nothing to compost."))
    known = materials()
    poultry = Part(known[given.word("what")], given.number("mass"))
    bulk = amend_for_ratio([poultry], known[given.word("with")], ratio=given.number("ratio"))
    mix = [poultry, bulk]
    before = moisture_frac(mix)
    water_kg = 0.0
    if before < given.number("moisture"):
        water = amend_for_moisture(mix, WATER, goal_frac=given.number("moisture"))
        water_kg = water.mass_kg
        mix.append(water)
    bin_m3 = bin_volume_m3(given.number("mass"))
    values: dict[str, Json] = {
        "ratio_CN": carbon_to_nitrogen(mix),
        "amendment_kg": bulk.mass_kg,
        "water_kg": water_kg,
        "moisture_frac": moisture_frac(mix),
        "bin_m3": bin_m3,
    }
    return Result(
        values,
        (
            Row(
                _(bulk.material.name),
                amount(bulk.mass_kg, "mass", given.units, decimals=0),
                _("to {mass} of poultry; C:N {ratio:.0f} to 1").format(
                    mass=amount(given.number("mass"), "mass", given.units, decimals=0),
                    ratio=carbon_to_nitrogen(mix),
                ),
            ),
            Row(
                _("Water"),
                amount(water_kg / 1000, "volume", given.units, decimals=0),
                _("moisture {share} then").format(share=percent(moisture_frac(mix))),
            ),
            Row(
                _("Bin"),
                show(bin_m3, "ft3" if given.units == "us" else "m3", "volume"),
                _("one cubic foot to the pound"),
            ),
        ),
        tuple(_about(mix, before, given)),
        sources=tuple(
            Source(
                _("{name}: handbook value for a compost mix").format(name=_(one.material.name)),
                one.material.status,
            )
            for one in (poultry, bulk)
        ),
    )


def _about(mix: list[Part], before_frac: float, given: Given) -> list[Finding]:
    """Say where the mix lies outside what heats well."""
    from pinfeather.hygiene.compost import carbon_to_nitrogen
    from pinfeather.hygiene.tables import table

    row = table("compost")["targets"]
    findings = []
    ratio = carbon_to_nitrogen(mix)
    if not row["ratio_low"] - 1e-9 <= ratio <= row["ratio_high"] + 1e-9:
        findings.append(
            Finding(
                "compost.ratio",
                Severity.CHECK,
                _("C:N {ratio:.0f} lies outside {low} to {high}.").format(
                    ratio=ratio, low=row["ratio_low"], high=row["ratio_high"]
                ),
                _("Below it stinks of ammonia; above it stays cold."),
                measured=ratio,
                limit=row["ratio_high"] if ratio > row["ratio_high"] else row["ratio_low"],
                citation=row["citation"],
                status=row["status"],
            )
        )
    if before_frac > given.number("moisture"):
        findings.append(
            Finding(
                "compost.wet",
                Severity.CHECK,
                _("The mix is wetter than wanted: {share}.").format(share=percent(before_frac)),
                _("Use drier material, and add no water."),
                measured=before_frac * 100,
                limit=given.number("moisture") * 100,
                unit="%",
                citation=row["citation"],
                status=row["status"],
            )
        )
    return findings
