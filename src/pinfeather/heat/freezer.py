"""How long birds take to freeze hard, and how many a freezer can take at a time."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from pinfeather.errors import InputError
from pinfeather.estimate import Basis, Estimate, Origin
from pinfeather.finding import Finding, Severity
from pinfeather.heat.conduction import Shape
from pinfeather.heat.finite_volume import solve
from pinfeather.heat.food import composition, properties
from pinfeather.heat.frozen import (
    LATENT_J_PER_KG,
    ball_radius_m,
    conductivity_W_per_mK,
    frozen_properties,
    heat_to_freeze_J_per_kg,
)
from pinfeather.heat.guards import finite, not_negative, positive
from pinfeather.heat.material import freezing_material
from pinfeather.heat.tables import load
from pinfeather.units import KG_PER_LB, M3_PER_FOOT3, SECONDS_PER_DAY
from pinfeather.words import gettext as _

STILL_AIR_W_PER_M2K: Final = Estimate(
    7.0,
    5.0,
    10.0,
    Basis(
        Origin.HANDBOOK,
        "Still air in a chest freezer, air all round the bird; a fan makes it 15 to 50",
        "unverified",
    ),
)
"""Surface coefficient in a freezer [W/m2K]."""
HARD_DEGC: Final = -10.0
"""Centre temperature at which a bird is taken as frozen hard [degC]. Common practice."""
_PLANK: Final[dict[Shape, tuple[float, float]]] = {
    "slab": (1 / 2, 1 / 8),
    "cylinder": (1 / 4, 1 / 16),
    "sphere": (1 / 6, 1 / 24),
}
_DIMENSIONS: Final[dict[Shape, float]] = {"slab": 1.0, "cylinder": 2.0, "sphere": 3.0}
_LONGEST_S: Final = 14 * SECONDS_PER_DAY
_STEPS: Final = 600


def plank_s(
    shape: Shape,
    *,
    thickness_m: float,
    density_kg_per_m3: float,
    latent_J_per_kg: float,
    freezing_degC: float,
    air_degC: float,
    surface_W_per_m2K: float,
    conductivity_W_per_mK: float,
) -> float:
    """Return the freezing time by Plank's formula: latent heat only.

    Parameters
    ----------
    shape : str
        ``"slab"``, ``"cylinder"`` or ``"sphere"``.
    thickness_m : float
        Whole thickness or diameter [m].
    density_kg_per_m3 : float
        Density [kg/m3].
    latent_J_per_kg : float
        Heat of freezing [J/kg].
    freezing_degC : float
        Freezing point [degC].
    air_degC : float
        Air or brine [degC].
    surface_W_per_m2K : float
        Surface coefficient [W/m2K].
    conductivity_W_per_mK : float
        Conductivity of the frozen body [W/mK].

    Returns
    -------
    float
        Time [s].

    Raises
    ------
    InputError
        If the air is not colder than the freezing point, or a number is not above zero.

    Notes
    -----
    Leaves out cooling before and after: short by a tenth to a third.

    References
    ----------
    Plank (1913), in Singh and Heldman, Introduction to Food Engineering, chapter on freezing.
    """
    if not air_degC < freezing_degC:
        raise InputError("air_degC", air_degC, _("It does not freeze in air that warm."))
    p, r = _PLANK[shape]
    d = positive("thickness_m", thickness_m)
    heat = positive("density_kg_per_m3", density_kg_per_m3) * positive(
        "latent_J_per_kg", latent_J_per_kg
    )
    resistance = p * d / positive("surface_W_per_m2K", surface_W_per_m2K)
    resistance += r * d * d / positive("conductivity_W_per_mK", conductivity_W_per_mK)
    return heat / (freezing_degC - air_degC) * resistance


@dataclass(frozen=True, slots=True)
class Freezable:
    """Heat properties either side of freezing.

    Parameters
    ----------
    unfrozen_kg_per_m3 : float
        Density before [kg/m3].
    frozen_kg_per_m3 : float
        Density after [kg/m3].
    unfrozen_J_per_kgK : float
        Specific heat before [J/kgK].
    frozen_J_per_kgK : float
        Specific heat after [J/kgK].
    latent_J_per_kg : float
        Heat of freezing [J/kg].
    frozen_W_per_mK : float
        Conductivity after [W/mK].
    """

    unfrozen_kg_per_m3: float
    frozen_kg_per_m3: float
    unfrozen_J_per_kgK: float
    frozen_J_per_kgK: float
    latent_J_per_kg: float
    frozen_W_per_mK: float


def freezable(item: str) -> Freezable:
    """Return the heat properties of a kind of poultry either side of freezing.

    Parameters
    ----------
    item : str
        As in :func:`pinfeather.heat.food.composition`.

    Returns
    -------
    Freezable
        At 0 degC before and -18 degC after; all the water counts as freezing.

    Raises
    ------
    InputError
        If there is no such item.

    References
    ----------
    Choi and Okos (1986); Tchigeov (1979).
    """
    stuff = composition(item)
    before, after = properties(stuff, 0.0), frozen_properties(stuff, -18.0)
    return Freezable(
        float(before.density_kg_per_m3),
        float(before.density_kg_per_m3),  # counted on the size before, so that no weight is lost
        float(before.specific_heat_J_per_kgK),
        float(after.specific_heat_J_per_kgK),
        LATENT_J_PER_KG * stuff.water_frac,
        float(conductivity_W_per_mK(stuff, -18.0)),
    )


def pham_s(
    shape: Shape,
    *,
    thickness_m: float,
    stuff: Freezable,
    start_degC: float,
    centre_degC: float,
    air_degC: float,
    surface_W_per_m2K: float,
) -> float:
    """Return the freezing time by Pham's method: cooling, freezing and hardening.

    Parameters
    ----------
    shape : str
        ``"slab"``, ``"cylinder"`` or ``"sphere"``.
    thickness_m : float
        Whole thickness or diameter [m].
    stuff : Freezable
        Heat properties.
    start_degC : float
        Temperature going in [degC].
    centre_degC : float
        Centre temperature wanted [degC].
    air_degC : float
        Air or brine [degC].
    surface_W_per_m2K : float
        Surface coefficient [W/m2K].

    Returns
    -------
    float
        Time [s].

    Raises
    ------
    InputError
        If the air is not colder than the centre has to get, or a number cannot be meant.

    Notes
    -----
    Made for air from -45 to -15 degC, 10 to 500 W/m2K and thicknesses up to 0.12 m; within 10 %
    there. A whole bird in still air lies outside and comes out about a fifth too long, on the safe
    side.

    References
    ----------
    Pham (1986), International Journal of Food Science and Technology 21, 209, in ASHRAE Handbook
    Refrigeration, Cooling and freezing times of foods.
    """
    finite("start_degC", start_degC)
    middle_degC = pham_middle_degC(centre_degC, air_degC=air_degC)
    if not air_degC < min(centre_degC, middle_degC):
        raise InputError("air_degC", air_degC, _("It does not get that hard in air that warm."))
    if not start_degC > middle_degC:
        raise InputError("start_degC", start_degC, _("It is frozen already."))
    radius = positive("thickness_m", thickness_m) / 2
    biot = positive("surface_W_per_m2K", surface_W_per_m2K) * radius / stuff.frozen_W_per_mK
    cooling = stuff.unfrozen_kg_per_m3 * stuff.unfrozen_J_per_kgK * (start_degC - middle_degC)
    freezing = stuff.frozen_kg_per_m3 * (
        stuff.latent_J_per_kg + stuff.frozen_J_per_kgK * (middle_degC - centre_degC)
    )
    across = cooling / ((start_degC + middle_degC) / 2 - air_degC)
    across += freezing / (middle_degC - air_degC)
    return radius / (_DIMENSIONS[shape] * surface_W_per_m2K) * across * (1 + biot / 2)


def pham_middle_degC(centre_degC: float, *, air_degC: float) -> float:
    """Return Pham's mean freezing temperature.

    Parameters
    ----------
    centre_degC : float
        Centre temperature wanted [degC].
    air_degC : float
        Air or brine [degC].

    Returns
    -------
    float
        Where cooling ends and freezing begins in the method [degC].

    Raises
    ------
    InputError
        If a number is not one.

    References
    ----------
    Pham (1986).
    """
    return 1.8 + 0.263 * finite("centre_degC", centre_degC) + 0.105 * finite("air_degC", air_degC)


def staged_heat_J(
    mass_kg: float, *, stuff: Freezable, from_degC: float, freezing_degC: float, to_degC: float
) -> tuple[float, float, float]:
    """Return the heat out of meat in three stages: cooling, freezing, hardening.

    Parameters
    ----------
    mass_kg : float
        Weight [kg].
    stuff : Freezable
        Heat properties.
    from_degC : float
        Temperature before [degC].
    freezing_degC : float
        Freezing point [degC].
    to_degC : float
        Temperature after [degC].

    Returns
    -------
    tuple of float
        The three heats [J].

    Raises
    ------
    InputError
        If the temperatures are not in order.

    References
    ----------
    Derivation: specific heats times differences, and latent heat.
    """
    if not from_degC >= freezing_degC >= to_degC:
        raise InputError("freezing_degC", freezing_degC, _("It must freeze on the way down."))
    m = positive("mass_kg", mass_kg)
    return (
        m * stuff.unfrozen_J_per_kgK * (from_degC - freezing_degC),
        m * stuff.latent_J_per_kg,
        m * stuff.frozen_J_per_kgK * (freezing_degC - to_degC),
    )


@dataclass(frozen=True, slots=True)
class FreezeTime:
    """How long one bird takes to freeze hard, air all round it.

    Parameters
    ----------
    time_s : float or None
        By the finite volumes; None if it never gets there [s].
    safe_s : float or None
        By Pham's method, on the safe side [s].
    low_s : float or None
        With the air moving well [s].
    high_s : float or None
        With the air hardly moving [s].
    """

    time_s: float | None
    safe_s: float | None
    low_s: float | None
    high_s: float | None


def bird_freeze_time(
    mass_kg: float,
    *,
    item: str = "chicken",
    air_degC: float = -18.0,
    start_degC: float = 4.0,
    centre_degC: float = HARD_DEGC,
    surface_W_per_m2K: Estimate = STILL_AIR_W_PER_M2K,
) -> FreezeTime:
    """Return how long a whole bird takes to freeze hard in a freezer.

    Parameters
    ----------
    mass_kg : float
        Weight [kg].
    item : str
        As in :func:`pinfeather.heat.food.composition`.
    air_degC : float
        Freezer air [degC].
    start_degC : float
        Temperature going in [degC].
    centre_degC : float
        Centre temperature wanted [degC].
    surface_W_per_m2K : Estimate
        Surface coefficient [W/m2K].

    Returns
    -------
    FreezeTime
        Best guess, safe figure and band.

    Raises
    ------
    InputError
        If a number cannot be meant.

    Notes
    -----
    A closed, bagged bird is a solid ball of its weight. Against one published case (7 kg turkey in
    brine) 4 % long. Birds that touch, stacked, take two to three days.

    References
    ----------
    Finite volumes with Chen (1985) and Tchigeov (1979); Pham (1986).
    """
    finite("start_degC", start_degC)
    stuff = composition(item)
    density = float(properties(stuff, 0.0).density_kg_per_m3)
    radius = ball_radius_m(mass_kg, density_kg_per_m3=density)
    if start_degC <= centre_degC:
        return FreezeTime(0.0, 0.0, 0.0, 0.0)
    if finite("air_degC", air_degC) >= min(centre_degC, stuff.freezing_degC):
        return FreezeTime(None, None, None, None)
    given = surface_W_per_m2K
    # latent heat alone, through the poorest surface, is well within a third of the longest time
    horizon_s = min(
        _LONGEST_S,
        3.0
        * plank_s(
            "sphere",
            thickness_m=2 * radius,
            density_kg_per_m3=density,
            latent_J_per_kg=LATENT_J_PER_KG * stuff.water_frac,
            freezing_degC=stuff.freezing_degC,
            air_degC=air_degC,
            surface_W_per_m2K=given.low,
            conductivity_W_per_mK=1.0,
        ),
    )
    times = np.linspace(0.0, horizon_s, _STEPS + 1)
    found = solve(
        times,
        shape="sphere",
        half_thickness_m=radius,
        surface_W_per_m2K=np.array([given.high, given.value, given.low]),
        bath_degC=air_degC,
        start_degC=start_degC,
        material=freezing_material(stuff),
        shells=15,
        largest_step_s=horizon_s / _STEPS,
    ).centre_degC
    low_s, time_s, high_s = (_crossing_s(times, found[:, k], centre_degC) for k in range(3))
    middle_degC = pham_middle_degC(centre_degC, air_degC=air_degC)
    safe_s = None
    if air_degC < middle_degC < start_degC:
        safe_s = pham_s(
            "sphere",
            thickness_m=2 * radius,
            stuff=freezable(item),
            start_degC=start_degC,
            centre_degC=centre_degC,
            air_degC=air_degC,
            surface_W_per_m2K=given.value,
        )
    return FreezeTime(time_s, safe_s, low_s, high_s)


def _crossing_s(
    times: NDArray[np.float64],
    curve: NDArray[np.float64],
    level: float,
) -> float | None:
    """Return when a falling curve passes a level."""
    below = np.flatnonzero(curve <= level)
    if not len(below):
        return None
    k = int(below[0])
    share = (curve[k - 1] - level) / (curve[k - 1] - curve[k])
    return float(times[k - 1] + share * (times[k] - times[k - 1]))


@dataclass(frozen=True, slots=True)
class FreezerLoad:
    """Whether a freezer can take a day's birds.

    Parameters
    ----------
    per_day_kg : Estimate
        New food it should be given in 24 hours [kg].
    holds_kg : float
        What fits in it [kg].
    days : int
        Days to get all of it in at that pace, at least 1.
    heat_J : float
        Heat to take out, all water counted as freezing [J].
    power_W : float
        That heat spread over the days [W].
    findings : tuple of Finding
        What does not fit.
    """

    per_day_kg: Estimate
    holds_kg: float
    days: int
    heat_J: float
    power_W: float
    findings: tuple[Finding, ...]


def freezer_load(
    *,
    birds_kg: float,
    volume_m3: float,
    item: str = "chicken",
    packing: str = "whole birds",
    start_degC: float = 4.0,
    end_degC: float = -18.0,
    already_kg: float = 0.0,
) -> FreezerLoad:
    """Return whether a freezer can take a day's birds, and over how many days.

    Parameters
    ----------
    birds_kg : float
        Weight to freeze [kg].
    volume_m3 : float
        Inside volume of the freezer [m3].
    item : str
        As in :func:`pinfeather.heat.food.composition`.
    packing : str
        ``"whole birds"`` or ``"blocks"`` (flat bags of parts).
    start_degC : float
        Temperature going in [degC].
    end_degC : float
        Temperature in the end [degC].
    already_kg : float
        Frozen food in it already [kg].

    Returns
    -------
    FreezerLoad
        Daily amount, room, days, heat.

    Raises
    ------
    InputError
        If a number cannot be meant.

    References
    ----------
    University of Minnesota Extension (2017) for the daily amount; NC State Extension (2004) for
    room.
    """
    positive("volume_m3", volume_m3)
    not_negative("birds_kg", birds_kg)
    not_negative("already_kg", already_kg)
    table = load("freezer")
    if packing not in table["room"]:
        raise InputError("packing", packing, _("Say “whole birds” or “blocks”."))
    ft3 = volume_m3 / M3_PER_FOOT3
    rule = table["new_food"]
    low, high = (
        float(rule[key]) * ft3 * KG_PER_LB
        for key in ("low_lb_per_ft3_per_day", "high_lb_per_ft3_per_day")
    )
    basis = Basis(Origin.HANDBOOK, str(rule["source"]), str(rule["status"]))
    per_day = Estimate((low + high) / 2, low, high, basis)
    holds = float(table["room"][packing]["lb_per_ft3"]) * ft3 * KG_PER_LB
    days = max(1, math.ceil(birds_kg / high - 1e-9))
    heat = birds_kg * heat_to_freeze_J_per_kg(
        composition(item), from_degC=start_degC, to_degC=end_degC, all_water=True
    )
    findings: list[Finding] = []
    if birds_kg + already_kg > holds:
        findings.append(
            Finding(
                "freezer.too_small",
                Severity.STOP,
                _("That does not fit: the freezer holds about {lb:.0f} lb.").format(
                    lb=holds / KG_PER_LB
                ),
                _("Find a second freezer, or sell some fresh."),
                measured=birds_kg + already_kg,
                limit=holds,
                unit="kg",
                citation=str(table["room"][packing]["source"]),
                status=str(table["room"][packing]["status"]),
            )
        )
    if birds_kg > high:
        findings.append(
            Finding(
                "freezer.too_much_at_once",
                Severity.CHECK,
                _("Too much for one day: {lb:.0f} lb is the most this freezer should get.").format(
                    lb=high / KG_PER_LB
                ),
                _("Keep the rest in ice and freeze it over {days} days, in one layer.").format(
                    days=days
                ),
                measured=birds_kg,
                limit=high,
                unit="kg",
                citation=str(rule["source"]),
                status=str(rule["status"]),
            )
        )
    return FreezerLoad(per_day, holds, days, heat, heat / (days * SECONDS_PER_DAY), tuple(findings))
