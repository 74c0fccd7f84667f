"""Compost: what to mix with guts and feathers, how much water, how large a bin."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from pinfeather.errors import InputError
from pinfeather.hygiene.tables import Limit, table
from pinfeather.units import from_si, to_si
from pinfeather.words import gettext as _

SETBACK_CAUTIONS: Final = (
    _("Ask first: states set how far a pile must be from wells, streams and neighbours."),
    _(
        "Published distances range from 200 ft (Michigan) to 900 ft from a neighbour's house"
        " (Maryland); keep 2 ft above the highest ground water and out of the flood plain."
    ),
    _("Many states want dead birds dealt with in 24 to 48 hours."),
)
"""Shown wherever a bin is planned. Status: second hand; local rules govern."""

SICK_FLOCK_CAUTIONS: Final = (
    _("Do not kill, move, sell or compost birds from a flock that is dying without a known cause."),
    _(
        "Sudden deaths, swollen heads, purple combs, gasping: call your vet, the state"
        " veterinarian or USDA at 1-866-536-7593 before you do anything else."
    ),
    _("A flock with bird flu is composted only as the state directs."),
    _("Keep dogs, wild birds and flies off the pile; change boots and wash before you go back."),
)
"""Shown wherever dead birds are planned for. Status: second hand."""

PILE_CAUTIONS: Final = (
    _("Keep birds and offal 6 inches from the sides and cover them with dry carbon."),
    _("The middle must pass 131 °F; write the temperature down each day."),
    _("Keep blood out of the drain: it is the strongest waste on the farm."),
)
"""Shown beside a recipe. Status: common practice."""


@dataclass(frozen=True, slots=True)
class Material:
    """Something that goes into a pile.

    Parameters
    ----------
    name : str
        What people call it.
    carbon_frac, nitrogen_frac : float
        Of dry matter [fraction].
    moisture_frac : float
        Of the wet mass [fraction].
    status : str
        How the numbers are known.
    """

    name: str
    carbon_frac: float
    nitrogen_frac: float
    moisture_frac: float
    status: str = "measured"

    def __post_init__(self) -> None:
        for name, value in (
            ("carbon_frac", self.carbon_frac),
            ("nitrogen_frac", self.nitrogen_frac),
        ):
            if not 0 <= value <= 1:
                raise InputError(name, value, _("A share lies between 0 and 1."))
        if not 0 <= self.moisture_frac <= 1:
            raise InputError(
                "moisture_frac", self.moisture_frac, _("A share lies between 0 and 1.")
            )

    @property
    def ratio(self) -> float:
        """Carbon to nitrogen; infinite without nitrogen."""
        return self.carbon_frac / self.nitrogen_frac if self.nitrogen_frac > 0 else math.inf


WATER: Final = Material("water", 0.0, 0.0, 1.0)


@dataclass(frozen=True, slots=True)
class Part:
    """So much of a material.

    Parameters
    ----------
    material : Material
        What.
    mass_kg : float
        Wet mass [kg].
    """

    material: Material
    mass_kg: float

    def __post_init__(self) -> None:
        if not (math.isfinite(self.mass_kg) and self.mass_kg >= 0):
            raise InputError("mass_kg", self.mass_kg, _("A mass cannot be negative."))

    @property
    def dry_kg(self) -> float:
        """Mass without its water."""
        return self.mass_kg * (1 - self.material.moisture_frac)


def materials() -> dict[str, Material]:
    """List common materials with handbook values.

    Returns
    -------
    dict
        From a short name to the material; real ones vary a lot, so squeeze and smell.

    References
    ----------
    The packaged table ``compost``, each with its own source and status.
    """
    return {
        row["code"]: Material(
            row["name"],
            to_si(row["carbon_pct"], "%", "strength"),
            to_si(row["nitrogen_pct"], "%", "strength"),
            to_si(row["moisture_pct"], "%", "strength"),
            row["status"],
        )
        for row in table("compost")["materials"]
    }


def carbon_to_nitrogen(parts: Sequence[Part]) -> float:
    """Return the carbon to nitrogen ratio of a mix.

    Parameters
    ----------
    parts : sequence of Part
        The mix.

    Returns
    -------
    float
        By mass; infinite where there is carbon and no nitrogen [1].

    Raises
    ------
    InputError
        If there is no dry matter.

    References
    ----------
    Cornell Waste Management Institute, Cornell Composting, compost mix calculations.
    """
    carbon = sum(p.dry_kg * p.material.carbon_frac for p in parts)
    nitrogen = sum(p.dry_kg * p.material.nitrogen_frac for p in parts)
    if carbon + nitrogen <= 0:
        raise InputError("parts", parts, _("There is nothing dry in this mix."))
    return carbon / nitrogen if nitrogen > 0 else math.inf


def moisture_frac(parts: Sequence[Part]) -> float:
    """Return the moisture of a mix.

    Parameters
    ----------
    parts : sequence of Part
        The mix.

    Returns
    -------
    float
        Of the wet mass [fraction].

    Raises
    ------
    InputError
        If the mix is empty.

    References
    ----------
    Cornell Waste Management Institute, Cornell Composting, compost mix calculations.
    """
    mass_kg = sum(p.mass_kg for p in parts)
    if mass_kg <= 0:
        raise InputError("parts", parts, _("This mix is empty."))
    return sum(p.mass_kg * p.material.moisture_frac for p in parts) / mass_kg


def amend_for_ratio(base: Sequence[Part], amendment: Material, *, ratio: float) -> Part:
    """Say how much to add to reach a carbon to nitrogen ratio.

    Parameters
    ----------
    base : sequence of Part
        What must be composted.
    amendment : Material
        What is added.
    ratio : float
        Carbon to nitrogen wanted, by mass [1].

    Returns
    -------
    Part
        The amendment with its wet mass.

    Raises
    ------
    InputError
        If no amount of it gets there: base and amendment are on the same side of the goal.

    References
    ----------
    Cornell Waste Management Institute, Cornell Composting. Derivation: carbon = ratio x nitrogen
    over the whole mix, solved for the added mass.
    """
    if not (math.isfinite(ratio) and ratio > 0):
        raise InputError("ratio", ratio, _("A ratio is a number above zero."))
    carbon_to_nitrogen(base)  # refuses an empty base
    lack_kg = sum(
        p.dry_kg * (ratio * p.material.nitrogen_frac - p.material.carbon_frac) for p in base
    )
    gain_frac = (1 - amendment.moisture_frac) * (
        amendment.carbon_frac - ratio * amendment.nitrogen_frac
    )
    if lack_kg == 0:
        return Part(amendment, 0.0)
    if gain_frac == 0 or lack_kg / gain_frac < 0:
        raise InputError(
            "amendment",
            amendment,
            _("No amount of {name} brings this mix to {ratio:g} to 1.").format(
                name=amendment.name, ratio=ratio
            ),
        )
    return Part(amendment, lack_kg / gain_frac)


def amend_for_moisture(base: Sequence[Part], amendment: Material, *, goal_frac: float) -> Part:
    """Say how much to add to reach a moisture.

    Parameters
    ----------
    base : sequence of Part
        What is in the mix already.
    amendment : Material
        What is added; :data:`WATER` for water.
    goal_frac : float
        Moisture wanted [fraction].

    Returns
    -------
    Part
        The amendment with its wet mass.

    Raises
    ------
    InputError
        If no amount of it gets there: both are wetter, or both drier, than the goal.

    References
    ----------
    Cornell Waste Management Institute, Cornell Composting: Q2 = (Q1 G - Q1 M1) / (M2 - G).
    """
    if not 0 < goal_frac < 1:
        raise InputError("goal_frac", goal_frac, _("A moisture lies between 0 and 100 %."))
    mass_kg = sum(p.mass_kg for p in base)
    lack_kg = mass_kg * (goal_frac - moisture_frac(base))
    gain_frac = amendment.moisture_frac - goal_frac
    if lack_kg == 0:
        return Part(amendment, 0.0)
    if gain_frac == 0 or lack_kg / gain_frac < 0:
        raise InputError(
            "amendment",
            amendment,
            _("No amount of {name} brings this mix to {goal:.0f} % moisture.").format(
                name=amendment.name, goal=goal_frac * 100
            ),
        )
    return Part(amendment, lack_kg / gain_frac)


@dataclass(frozen=True, slots=True)
class BinPlan:
    """Bin volumes for a steady daily amount of dead birds.

    Parameters
    ----------
    first_s : float
        Time in the first bin [s].
    first_m3, second_m3, store_m3 : float
        Volume of the first bin, the second, and for curing [m3].
    status : str
        How the equations are known.
    """

    first_s: float
    first_m3: float
    second_m3: float
    store_m3: float
    status: str


def bin_volume_m3(poultry_kg: float) -> float:
    """Return the bin volume for one day's birds or offal, by the rule of thumb.

    Parameters
    ----------
    poultry_kg : float
        Birds, offal and feathers together [kg].

    Returns
    -------
    float
        Volume [m3].

    Raises
    ------
    InputError
        If the mass is negative.

    References
    ----------
    Extension rule: one cubic foot to the pound, carbon included. Second hand.
    """
    if not (math.isfinite(poultry_kg) and poultry_kg >= 0):
        raise InputError("poultry_kg", poultry_kg, _("A mass cannot be negative."))
    row = table("compost")["bin"]
    return to_si(row["ft3_per_lb"] * from_si(poultry_kg, "lb", "mass"), "ft3", "volume")


def bin_plan(*, carcass_kg: float, daily_kg: float) -> BinPlan:
    """Size the bins for dead birds of one size that come every day.

    Parameters
    ----------
    carcass_kg : float
        Weight of one bird [kg].
    daily_kg : float
        Dead birds a day [kg].

    Returns
    -------
    BinPlan
        Unverified.

    Raises
    ------
    InputError
        If a weight is not positive.

    References
    ----------
    Keener, Elwell and Monnin, mortality composting, unverified: in days, pounds and cubic feet
    T1 = max(5 sqrt(W), 10), T2 = max(T1 / 3, 10), V = 0.2 x daily x T, store 30 days.
    """
    for name, value in (("carcass_kg", carcass_kg), ("daily_kg", daily_kg)):
        if not (math.isfinite(value) and value > 0):
            raise InputError(name, value, _("A weight must be above zero."))
    daily_lb = from_si(daily_kg, "lb", "mass")
    first_d = max(5 * math.sqrt(from_si(carcass_kg, "lb", "mass")), 10.0)
    second_d = max(first_d / 3, 10.0)
    first, second, store = (
        to_si(0.2 * daily_lb * days, "ft3", "volume") for days in (first_d, second_d, 30.0)
    )
    return BinPlan(
        to_si(first_d, "d", "time"),
        first,
        max(second, first),
        store,
        table("compost")["keener"]["status"],
    )


def pile_temperature() -> Limit:
    """Return the temperature the middle of a pile must pass.

    Returns
    -------
    Limit
        131 degF, with its source.

    References
    ----------
    NRCS operation sheet; three days in a bin is unverified.
    """
    row = table("compost")["heat"]
    return Limit(row["from_F"], "F", "temperature", row["citation"], row["status"])
