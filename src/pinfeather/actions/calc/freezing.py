"""Freeze and thaw."""

from __future__ import annotations

from typing import Final

from pinfeather.actions.calc import asks
from pinfeather.actions.calc.model import Calculation, Given, Input, Result, Row, Source
from pinfeather.actions.calc.wording import amount, between, limit, one_in_ten, span
from pinfeather.errors import InputError
from pinfeather.finding import Finding, Severity, by_severity
from pinfeather.words import gettext as _

_HEAVIEST_KG: Final = 30.0
_HARD_DEGC: Final = -10.0


def calculations() -> tuple[Calculation, ...]:
    """Return the calculators about freezing and thawing."""
    return (_freeze(), _thaw())


def _freeze() -> Calculation:
    return Calculation(
        name="freeze",
        title=_("Freezing"),
        question=_("How long until a bird is frozen hard, and how many can the freezer take?"),
        formula=_(
            "The bagged bird is a solid ball of its weight, cut into fifteen layers whose heat"
            " follows Chen’s enthalpy with Tchigeov’s ice fraction, in still freezer air of 7"
            " W/m²K (5 to 10). A freezer takes 2 to 3 lb of new food per cubic foot in a day."
        ),
        valid_range=_(
            "One bird with air all round it. Birds that touch or lie in a heap take two to three"
            " days. Against one published case, a 7 kg turkey in brine, 4 % long."
        ),
        sources=(
            Source(
                _("Chen (1985) and Tchigeov (1979), as in ASHRAE Handbook Refrigeration"),
                "second hand",
            ),
            Source(_("Surface coefficient of still freezer air, 5 to 10 W/m²K"), "unverified"),
            Source(
                _(
                    "University of Minnesota Extension (2017): no more than 2 to 3 lb per cubic"
                    " foot in 24 hours"
                ),
                "read",
            ),
        ),
        inputs=(
            asks.mass(),
            asks.species(),
            Input("air", _("Freezer"), "temperature", "0 F", "-18 C"),
            Input("start", _("Bird going in"), "temperature", "38 F", "3 C"),
            asks.birds("30"),
            Input(
                "volume",
                _("Freezer room inside"),
                "volume",
                "20 ft3",
                "570 L",
                hint=_("May be empty."),
                optional=True,
            ),
        ),
        run=_run_freeze,
        example='--mass "4.5 lb" --air "0 F" --birds 30 --volume "20 ft3"',
        aliases={"birds_kg": "birds", "air_degC": "air", "volume_m3": "volume"},
    )


def _run_freeze(given: Given) -> Result:
    from pinfeather.heat.freezer import bird_freeze_time, freezer_load

    if not 0 < given.number("mass") <= _HEAVIEST_KG:
        raise InputError("mass", given.number("mass"), _("No bird dresses out at that weight."))
    found = bird_freeze_time(
        given.number("mass"),
        item=given.word("species"),
        air_degC=given.number("air"),
        start_degC=given.number("start"),
        centre_degC=_HARD_DEGC,
    )
    findings: list[Finding] = []
    if found.time_s is None:
        findings.append(
            Finding(
                "freeze.never",
                Severity.STOP,
                _("At {air} the middle never freezes hard.").format(
                    air=limit(given.number("air"), given.units)
                ),
                _("Set the freezer to 0 °F (−18 °C) or colder."),
                measured=given.number("air"),
                limit=_HARD_DEGC,
                unit="C",
            )
        )
    rows = [
        Row(
            _("Hard to the middle after"),
            span(found.time_s),
            one_in_ten(found.low_s, found.high_s),
        )
    ]
    values: dict[str, float | int | None] = {
        "time_s": found.time_s,
        "low_s": found.low_s,
        "high_s": found.high_s,
        "safe_s": found.safe_s,
    }
    volume = given.maybe("volume")
    if volume is not None:
        load = freezer_load(
            birds_kg=given.whole("birds") * given.number("mass"),
            volume_m3=volume,
            item=given.word("species"),
            start_degC=given.number("start"),
        )
        values |= {
            "per_day_kg": load.per_day_kg.value,
            "holds_kg": load.holds_kg,
            "days": load.days,
        }
        rows += [
            Row(
                _("New birds in a day"),
                amount(load.per_day_kg.value, "mass", given.units, decimals=0),
                between(
                    amount(load.per_day_kg.low, "mass", given.units, decimals=0),
                    amount(load.per_day_kg.high, "mass", given.units, decimals=0),
                ),
            ),
            Row(_("The freezer holds"), amount(load.holds_kg, "mass", given.units, decimals=0)),
        ]
        findings += load.findings
    return Result(
        dict(values),
        tuple(rows),
        by_severity(findings),
        (_("Freeze cold birds only, in one layer with air between them; stack them when hard."),),
    )


def _thaw() -> Calculation:
    return Calculation(
        name="thaw",
        title=_("Thawing"),
        question=_("How long does a frozen bird take to thaw safely?"),
        formula=_(
            "Published times: in the refrigerator by the table for 4 to 24 lb, otherwise 24 hours"
            " for every 4 to 5 lb; in cold water 30 minutes a pound."
        ),
        valid_range=_(
            "Whole birds up to 44 lb, refrigerator at 40 °F or colder, bag closed. A table of"
            " advice, not a model."
        ),
        sources=(
            Source(
                _("USDA Food Safety and Inspection Service, Turkey Basics: Safe Thawing"), "read"
            ),
        ),
        inputs=(asks.mass("5 lb", "2.3 kg"),),
        run=_run_thaw,
        example='--mass "5 lb"',
        cautions=(
            _("Never thaw a bird on the counter: bacteria grow outside while it is hard within."),
            _("Cook it to 165 °F (74 °C) in the thickest part, by a thermometer."),
        ),
    )


def _run_thaw(given: Given) -> Result:
    from pinfeather.heat.thaw import thaw_card

    card = thaw_card(given.number("mass"))
    return Result(
        {
            "low_s": card.refrigerator_low_s,
            "high_s": card.refrigerator_high_s,
            "water_s": card.water_s,
        },
        (
            Row(
                _("In the refrigerator"),
                span(card.refrigerator_high_s),
                _("from {low} on").format(low=span(card.refrigerator_low_s)),
            ),
            Row(_("In cold water"), span(card.water_s), _("changed every 30 minutes")),
        ),
        notes=card.sentences,
        sources=(),
    )
