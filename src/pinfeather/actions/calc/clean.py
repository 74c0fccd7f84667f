"""Mixing sanitiser."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from pinfeather.actions.calc.model import Calculation, Given, Input, Result, Row, Source
from pinfeather.actions.calc.wording import amount, between
from pinfeather.errors import InputError
from pinfeather.finding import by_severity
from pinfeather.quantity import show
from pinfeather.units import SECONDS_PER_DAY
from pinfeather.words import gettext as _

_OLDEST_S: Final = 10 * 365.25 * SECONDS_PER_DAY


def calculations() -> tuple[Calculation, ...]:
    """Return the calculators about cleaning."""
    return (_dilute(),)


def _dilute() -> Calculation:
    from pinfeather.hygiene.dilution import MIXING_CAUTIONS

    return Calculation(
        name="dilute",
        title=_("Bleach dose"),
        question=_("How much bleach makes a bucket of the strength wanted?"),
        formula=_(
            "Bleach = volume × wanted strength / strength on the label. 1 % is 10 000 ppm."
            " An old jug: 20 % lost a year in a cool room, 3.5 times as fast 18 °F warmer."
        ),
        valid_range=_(
            "Plain unscented household or pool bleach (sodium hypochlorite), not tablets. The dose"
            " goes by the label, so a fresh jug never overshoots; the strip decides. The loss with"
            " age is a rule of thumb, for warning only."
        ),
        sources=(
            Source(_("Derivation: chlorine in the bleach equals chlorine in the mix"), "derived"),
            Source(
                _(
                    "Powell Fabrication & Manufacturing, Sodium Hypochlorite General Information:"
                    " 3.5 times faster for each 10 K"
                ),
                "read",
            ),
            Source(_("Rule of thumb of 10 to 20 % lost a year"), "second hand"),
        ),
        inputs=(
            Input(
                "bleach",
                _("Bleach on the jug"),
                "strength",
                "8.25 %",
                hint=_("Sodium hypochlorite, as the label says."),
            ),
            Input("target", _("Wanted strength"), "strength", "100 ppm"),
            Input("volume", _("One mix"), "volume", "5 gal", "20 L"),
            Input(
                "age",
                _("Age of the jug"),
                "time",
                hint=_("Since it was made, such as 180 d; may be empty."),
                optional=True,
            ),
        ),
        run=_run_dilute,
        example='--bleach 8.25% --target "100 ppm" --volume "5 gal"',
        cautions=MIXING_CAUTIONS,
        aliases={"stock_frac": "bleach", "target_frac": "target", "max_frac": "target"},
    )


def _run_dilute(given: Given) -> Result:
    from pinfeather.hygiene.dilution import dilute
    from pinfeather.rules.profile import load

    age = given.maybe("age")
    if age is not None and age > _OLDEST_S:
        raise InputError("age", age, _("Bleach that old is water. Open a fresh jug."))
    most = load("us-federal").sanitation.sanitisers["chlorine"].most
    found = dilute(
        stock_frac=given.number("bleach"),
        target_frac=given.number("target"),
        volume_m3=given.number("volume"),
        age_s=age,
        max_frac=most.si,
    )
    findings = [
        replace(finding, citation=most.citation, status=most.status)
        if finding.code in {"sanitizer.strong", "sanitizer.tablespoon"}
        else finding
        for finding in found.findings
    ]
    ml, *spoons = found.measures
    mixed = found.mixed_frac
    return Result(
        {
            "stock_mL": found.stock_m3 * 1e6,
            "water_L": found.water_m3 * 1e3,
            "mixed_frac": mixed.value,
            "low_frac": mixed.low,
            "high_frac": mixed.high,
            "limit_frac": most.si,
        },
        (
            Row(_("Bleach"), ml, " = ".join(spoons)),
            Row(_("Into water"), amount(found.water_m3, "volume", given.units), _("water first")),
            Row(
                _("Strip should read"),
                show(mixed.value, "ppm", "strength", decimals=0),
                between(
                    show(mixed.low, "ppm", "strength", decimals=0),
                    show(mixed.high, "ppm", "strength", decimals=0),
                ),
            ),
        ),
        by_severity(findings),
        (
            _("At most {limit} without a rinse.").format(limit=most),
            _("Read a strip before use, and again whenever the water looks dirty."),
        ),
        (Source(most.citation, most.status),),
    )
