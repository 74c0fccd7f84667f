"""The pot that shrinks the bags."""

from __future__ import annotations

from pinfeather.actions.calc import asks
from pinfeather.actions.calc.model import Calculation, Given, Input, Result, Row, Source
from pinfeather.actions.calc.wording import amount, degrees, limit
from pinfeather.errors import InputError
from pinfeather.words import gettext as _


def calculations() -> tuple[Calculation, ...]:
    """Return the calculator about the shrink pot."""
    return (_shrink_pot(),)


def _shrink_pot() -> Calculation:
    return Calculation(
        name="shrink-pot",
        title=_("Shrink pot"),
        question=_(
            "Does the shrink pot get hot enough here, and what does the dip do to the bird?"
        ),
        formula=_(
            "Water boils at the saturation temperature (IAPWS-IF97) for the air pressure at this"
            " height. A dip of 2 s at 190 °F puts at most 167 kJ into each m² of bird; spread over"
            " its weight that is the warming."
        ),
        valid_range=_(
            "Heights from −500 to 9000 m; weather moves the boiling point by about 2 °F. The"
            " warming is an upper bound for a 2-second dip, spread over the whole bird; the skin"
            " gets warmer for a minute."
        ),
        sources=(
            Source(_("IAPWS R7-97 (2012), Industrial Formulation 1997, equation 31"), "unverified"),
            Source(_("Bag makers’ instructions: 170 to 200 °F, 1 to 3 s"), "second hand"),
            Source(_("Heat of a 2-second dip: independent computation"), "computed"),
        ),
        inputs=(
            Input(
                "wanted",
                _("Bags want"),
                "temperature",
                "190 F",
                "88 C",
                _("As the bag maker says."),
            ),
            Input("altitude", _("Altitude"), "length", hint=_("Such as 900 ft.")),
            asks.mass(),
        ),
        run=_run_shrink_pot,
        example='--wanted "190 F" --altitude "5000 ft" --mass "4.5 lb"',
        cautions=(
            _("Water this hot scalds at once: long gloves, an apron, and a hook or basket."),
            _("Set the pot where nobody is pushed against it; keep children away."),
            _("Gas burners only where fresh air comes in; local codes govern."),
            _("Bag only birds at 38 °F (3 °C) or colder, and probe one again in the cooler."),
        ),
    )


def _run_shrink_pot(given: Given) -> Result:
    from pinfeather.heat.parts import shrink_pot

    if given.number("mass") <= 0:
        raise InputError("mass", given.number("mass"), _("A bird weighs something."))
    found = shrink_pot(
        wanted_degC=given.number("wanted"),
        altitude_m=given.number("altitude"),
        mass_kg=given.number("mass"),
    )
    return Result(
        {
            "boiling_degC": found.boils_degC,
            "reachable": found.reachable,
            "warms_K": found.warms_K,
        },
        (
            Row(
                _("{wanted} in the pot").format(wanted=limit(given.number("wanted"), given.units)),
                _("can be reached") if found.reachable else _("cannot be reached"),
                _("water boils at {boils} here").format(
                    boils=degrees(found.boils_degC, given.units)
                ),
            ),
            Row(
                _("A 2-second dip warms the bird by"),
                amount(found.warms_K, "temperature difference", given.units, decimals=1),
                _("at most, on average through the bird"),
            ),
        ),
        found.findings,
    )
