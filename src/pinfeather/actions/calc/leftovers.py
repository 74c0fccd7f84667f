"""What a processing day leaves: guts, blood, feathers and dirty water."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from pinfeather.actions.calc.model import Calculation, Given, Input, Json, Result, Row, Source
from pinfeather.actions.calc.wording import amount, between
from pinfeather.errors import InputError
from pinfeather.estimate import Basis, Estimate, Origin
from pinfeather.quantity import show
from pinfeather.words import gettext as _

_KINDS: Final = {
    "chicken": "broiler_dressed_frac",
    "turkey": "turkey_dressed_frac",
    "duck": "duck_dressed_frac",
}
_MOST_BIRDS: Final = 100_000
_HEAVIEST_KG: Final = 40.0


def calculations() -> tuple[Calculation, ...]:
    """Return the calculator about left-overs."""
    return (_left_overs(),)


def _left_overs() -> Calculation:
    from pinfeather.hygiene.compost import PILE_CAUTIONS, SETBACK_CAUTIONS, SICK_FLOCK_CAUTIONS
    from pinfeather.hygiene.tables import table

    rows = table("compost")
    return Calculation(
        name="left-overs",
        title=_("Left over from a day"),
        question=_("How much offal, blood, feathers and wash water does a day leave?"),
        formula=_(
            "Left = live weight × (1 − dressed yield). Of the live weight, blood 3.5 % (3 to 4) and"
            " wet feathers 7 % (5 to 10); the rest is guts, heads, feet and trim. Water = birds ×"
            " 7 gal (5 to 10), or your own metered gallons. Bin: one cubic foot to the pound."
        ),
        valid_range=_(
            "Planning figures, mostly of large plants. Shares fall with age and weight. Giblets you"
            " sell come off the guts. No figure for small shops was found: read your water meter"
            " before and after a day."
        ),
        sources=tuple(
            Source(rows[name]["citation"], rows[name]["status"])
            for name in ("by_product", "split", "bin", "bleed")
        ),
        inputs=(
            Input("birds", _("Birds"), "integer", "100"),
            Input("live", _("Live weight of one"), "mass", "6 lb", "2.7 kg"),
            Input(
                "species",
                _("Kind"),
                "choice",
                "chicken",
                options=(
                    ("chicken", _("Chicken")),
                    ("turkey", _("Turkey")),
                    ("duck", _("Duck")),
                ),
            ),
            Input(
                "yield",
                _("Dressed yield"),
                "percent",
                hint=_("Empty: 72 % chicken, 77 % turkey, 58 % duck."),
                optional=True,
            ),
            Input(
                "per-bird",
                _("Water for one bird"),
                "volume",
                hint=_("Your own, metered; empty takes 7 gal."),
                optional=True,
            ),
            Input(
                "bleed",
                _("Bled for"),
                "time",
                "90 s",
                hint=_("60 to 120 s; may be empty."),
                optional=True,
            ),
        ),
        run=_run_left_overs,
        example='--birds 100 --live "6 lb" --species chicken',
        cautions=(*PILE_CAUTIONS, *SETBACK_CAUTIONS, *SICK_FLOCK_CAUTIONS),
        aliases={"dressed_frac": "yield", "live_kg": "live", "bleed_s": "bleed"},
    )


def _run_left_overs(given: Given) -> Result:
    from pinfeather.hygiene.by_products import scald_load_kg, split_by_products, wash_water_m3
    from pinfeather.hygiene.compost import bin_volume_m3
    from pinfeather.hygiene.tables import table

    birds, own = given.whole("birds"), given.maybe("per-bird")
    if not 1 <= birds <= _MOST_BIRDS:
        raise InputError("birds", birds, _("From 1 to 100,000 birds."))
    if not 0 < given.number("live") <= _HEAVIEST_KG:
        raise InputError("live", given.number("live"), _("No bird weighs that."))
    if own is not None and not 0 <= own <= 1:
        raise InputError("per-bird", own, _("Up to a cubic metre for a bird."))
    share = given.maybe("yield")
    if share is None:
        share = float(table("compost")["by_product"][_KINDS[given.word("species")]])
    left = split_by_products(birds * given.number("live"), dressed_frac=share)
    water = wash_water_m3(
        birds,
        per_bird_m3=None
        if own is None
        else Estimate(own, own, own, Basis(Origin.OWN, _("Your own meter"), "measured")),
    )
    bin_m3 = bin_volume_m3(left.total_kg)
    values: dict[str, Json] = {
        "left_kg": left.total_kg,
        "offal_kg": left.rest_kg.value,
        "blood_kg": left.blood_kg.value,
        "blood_L": left.blood_m3.value * 1e3,
        "feathers_kg": left.feathers_kg.value,
        "water_L": water.value * 1e3,
        "low_water_L": water.low * 1e3,
        "high_water_L": water.high * 1e3,
        "bin_m3": bin_m3,
    }

    def mass(value_kg: float) -> str:
        return amount(value_kg, "mass", given.units, decimals=0)

    rows = [
        Row(
            _("Not sold"),
            mass(left.total_kg),
            _("of {live} alive").format(live=mass(birds * given.number("live"))),
        ),
        _row(_("Guts, heads, feet, trim"), left.rest_kg, mass),
        _row(_("Blood"), left.blood_m3, lambda m3: amount(m3, "volume", given.units, decimals=1)),
        _row(_("Feathers, wet"), left.feathers_kg, mass),
        _row(_("Wash water"), water, lambda m3: amount(m3, "volume", given.units, decimals=0)),
        Row(
            _("Compost bin"),
            show(bin_m3, "ft3" if given.units == "us" else "m3", "volume"),
            _("one cubic foot to the pound; the mix is on the Compost page"),
        ),
    ]
    bleed = given.maybe("bleed")
    if bleed is not None:
        load_kg = scald_load_kg(bleed) * birds
        values["scald_load_kg"] = load_kg
        rows.append(
            Row(
                _("Oxygen demand of the scald water"),
                amount(load_kg, "mass", given.units, decimals=1),
                _("a longer bleed makes it cleaner"),
            )
        )
    return Result(
        values,
        tuple(rows),
        notes=(
            _("Screen feathers and scraps out of the water, and compost them."),
            _("Clear water goes on growing hay, not on vegetables; ask your state first."),
        ),
        sources=(Source(water.basis.note, water.basis.status),),
    )


def _row(label: str, found: Estimate, text: Callable[[float], str]) -> Row:
    band = "" if found.low == found.high else between(text(found.low), text(found.high))
    return Row(label, text(found.value), band)
