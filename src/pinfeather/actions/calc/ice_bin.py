"""The ice there is: what the maker makes, the bin holds and the freezer has ready."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import TYPE_CHECKING, Final

from pinfeather import quantity
from pinfeather.actions.calc.model import Calculation, Given, Input, Json, Result, Row, Source
from pinfeather.actions.calc.wording import amount, span
from pinfeather.errors import InputError, InputFaultsError
from pinfeather.finding import Finding, Severity
from pinfeather.units import SECONDS_PER_DAY
from pinfeather.words import gettext as _

if TYPE_CHECKING:
    from pinfeather.heat.icing import IceStock

_BETWEEN: Final = re.compile(r"[;,\n]+")
_MOST_DRAWS: Final = 200
_LONGEST_S: Final = 7 * SECONDS_PER_DAY


def calculations() -> tuple[Calculation, ...]:
    """Return the calculators about ice in stock."""
    return (_ice_stock(),)


def _ice_stock() -> Calculation:
    return Calculation(
        name="ice-stock",
        title=_("Ice in stock"),
        question=_("Does the ice from the maker, the bin and the freezer last through the day?"),
        formula=_(
            "Stock = stock before + rating × share × time, never more than the bin holds, less what"
            " is taken. What the bin lacks is taken from bags in the freezer."
        ),
        valid_range=_(
            "Up to a week. An ice maker’s rating is for 70 °F air and 50 °F water; in a hot room"
            " with warm water it makes 70 to 80 % of it. Melting in the bin is not counted."
        ),
        sources=(
            Source(_("Derivation: what goes in less what is taken"), "derived"),
            Source(_("Ice machine sizing notes of the trade: 70 to 80 % in summer"), "second hand"),
        ),
        inputs=(
            Input("start", _("Ice in the bin now"), "mass", "200 lb", "90 kg"),
            Input("bin", _("The bin holds"), "mass", "400 lb", "180 kg"),
            Input(
                "rated",
                _("Maker’s rating for a day"),
                "mass",
                "250 lb",
                "115 kg",
                _("None? Write 0 lb."),
            ),
            Input("share", _("Makes of that today"), "percent", "75 %", hint=_("70 to 80 % hot.")),
            Input("freezer", _("Bags in the freezer"), "mass", "40 lb", "20 kg", _("None? 0 lb.")),
            Input(
                "draws",
                _("Ice taken"),
                "lines",
                "0 h: 160 lb; 3 h: 60 lb; 6 h: 40 lb",
                "0 h: 70 kg; 3 h: 27 kg; 6 h: 18 kg",
                _("When, from now, and how much; ; or a new line between."),
            ),
        ),
        run=_run_ice_stock,
        example='--start "200 lb" --bin "400 lb" --rated "250 lb"'
        ' --draws "0 h: 160 lb; 3 h: 60 lb"',
        aliases={"rated_kg_per_day": "rated", "summer_frac": "share"},
    )


def _run_ice_stock(given: Given) -> Result:
    from pinfeather.heat.icing import ice_stock

    draws = _draws(given.word("draws"))
    if given.number("freezer") < 0:
        raise InputError("freezer", given.number("freezer"), _("It cannot be negative."))
    found = ice_stock(
        start_kg=given.number("start"),
        bin_kg=given.number("bin"),
        rated_kg_per_day=given.number("rated"),
        draws=draws,
        summer_frac=given.number("share"),
    )
    freezer_kg = max(0.0, given.number("freezer") - found.short_kg)
    short_kg = max(0.0, found.short_kg - given.number("freezer"))

    def mass(value_kg: float) -> str:
        return amount(value_kg, "mass", given.units, decimals=0)

    first = (
        Row(_("Missing"), mass(short_kg), _("buy it, or make it ahead"))
        if short_kg > 0
        else Row(_("Left in the bin"), mass(float(found.stock_kg[-1])), _("it lasts"))
    )
    values: dict[str, Json] = {
        "short_kg": short_kg,
        "stock_kg": float(found.stock_kg[-1]),
        "freezer_kg": freezer_kg,
        "made_kg": found.made_kg,
        "draws": [
            {"at_s": float(at), "stock_kg": float(left)}
            for at, left in zip(found.times_s, found.stock_kg, strict=True)
        ],
    }
    return Result(
        values,
        (
            first,
            *(
                Row(
                    _("After {span}").format(span=span(at)) if at > 0 else _("Now"),
                    mass(float(left)),
                    _("in the bin, {taken} wanted").format(taken=mass(wanted)),
                )
                for (at, wanted), left in zip(draws, found.stock_kg, strict=True)
            ),
            Row(_("Made meanwhile"), mass(found.made_kg)),
            Row(_("Bags left in the freezer"), mass(freezer_kg)),
        ),
        _short(found, given, short_kg),
    )


def _short(found: IceStock, given: Given, short_kg: float) -> tuple[Finding, ...]:
    """Say when the bin is short, in the reader's unit, and whether the freezer makes it good."""
    if found.short_kg > 0 and short_kg == 0:
        return (
            Finding(
                "ice.freezer",
                Severity.NOTE,
                _("The bin runs out; bags from the freezer make up {mass}.").format(
                    mass=amount(found.short_kg, "mass", given.units, decimals=0)
                ),
            ),
        )
    return tuple(
        replace(
            one,
            sentence=_("The bin runs out: {mass} of what is wanted is not there.").format(
                mass=amount((one.limit or 0) - (one.measured or 0), "mass", given.units, decimals=0)
            ),
        )
        for one in found.findings
    )


def _draws(text: str) -> list[tuple[float, float]]:
    """Read when ice is taken and how much, every fault at once, in order of time."""
    found: list[tuple[float, float]] = []
    faults: list[InputError] = []
    parts = [part.strip() for part in _BETWEEN.split(text) if part.strip()]
    if not 1 <= len(parts) <= _MOST_DRAWS:
        raise InputError("draws", len(parts), _("Write 1 to 200 of them."))
    for part in parts:
        when, colon, much = part.partition(":")
        try:
            if not colon:
                raise InputError("draws", part, _("Write it like 3 h: 60 lb."))  # noqa: TRY301 - one list of faults
            at_s = quantity.parse(when.strip(), "time", name="draws").si
            mass_kg = quantity.parse(much.strip(), "mass", name="draws").si
            if not 0 <= at_s <= _LONGEST_S or mass_kg < 0:
                raise InputError("draws", part, _("Within a week, and not negative."))  # noqa: TRY301 - the same
        except InputError as fault:
            faults.append(fault)
        else:
            found.append((at_s, mass_kg))
    if faults:
        raise InputFaultsError(faults)
    return sorted(found)
