"""How much ice a chill tank needs, by adding up heat.

The birds themselves need about a third of their weight in ice. Warm fill water and the walls of the
tank usually eat more than the birds do.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from pinfeather.errors import InputError, OutOfRangeError
from pinfeather.estimate import Basis, Estimate, Origin
from pinfeather.heat.guards import finite, not_negative, positive
from pinfeather.heat.tables import load
from pinfeather.heat.water import (
    COLD_WATER_KG_PER_M3,
    ICE_J_PER_KG_K,
    LATENT_J_PER_KG,
    WATER_J_PER_KG_K,
)
from pinfeather.units import SECONDS_PER_HOUR
from pinfeather.words import gettext as _

# A 100 gal poly stock tank has about 2.4 m2 of wall and 1.0 m2 of open water; other tanks are taken
# as its shape, larger or smaller. Unverified.
_REFERENCE_TANK_M3: Final = 0.3785
_REFERENCE_WALL_M2: Final = 2.4
_REFERENCE_TOP_M2: Final = 1.0
_BARE_WALL: Final = (6.0, 7.3, 9.0)  # W/m2K, 6 mm poly; unverified
_FOAM_WALL: Final = (0.6, 0.85, 1.1)  # W/m2K, 50 to 25 mm of foam; unverified
_OPEN_TOP: Final = (7.0, 9.0, 12.0)  # W/m2K, open water in the shade; unverified
_BIGGEST_TANK_M3: Final = 20.0


@dataclass(frozen=True, slots=True)
class IceNeed:
    """Ice for one stay in the tank, and what it is used up on.

    Parameters
    ----------
    total_kg : float
        All of it [kg].
    birds_kg : float
        To cool the birds [kg].
    water_kg : float
        To cool the fill water [kg].
    gains_kg : float
        Lost to walls, sun and pump [kg].
    reserve_kg : float
        Extra on top [kg].
    """

    total_kg: float
    birds_kg: float
    water_kg: float
    gains_kg: float
    reserve_kg: float


@dataclass(frozen=True, slots=True)
class Mixture:
    """What birds, water and ice come to, left alone.

    Parameters
    ----------
    temperature_degC : float
        The one temperature they all reach [degC].
    ice_left_kg : float
        Ice that has not melted [kg].
    """

    temperature_degC: float
    ice_left_kg: float


def specific_heat(species: str) -> Estimate:
    """Return the heat in a kilogram of dressed bird, per degree.

    Parameters
    ----------
    species : str
        ``"chicken"``, ``"turkey"``, ``"duck"``, ``"goose"``, ``"guinea"`` or ``"quail"``.

    Returns
    -------
    Estimate
        Specific heat above freezing, with a band of 5 % either way [J/kgK].

    Raises
    ------
    InputError
        If the species is not in the table.

    References
    ----------
    Choi and Okos (1986), Food Engineering and Process Applications 1, 93-101.
    """
    for row in load("species")["species"]:
        if row["name"] == species:
            value = float(row["specific_heat_J_per_kgK"])
            basis = Basis(Origin.HANDBOOK, str(row["source"]), str(row["status"]))
            return Estimate(value, value * 0.95, value * 1.05, basis)
    known = ", ".join(str(row["name"]) for row in load("species")["species"])
    raise InputError("species", species, _("Choose one of: {known}.").format(known=known))


def ice_for_heat_kg(heat_J: float, *, water_end_degC: float = 0.0, ice_degC: float = 0.0) -> float:
    """Return how much ice takes up an amount of heat.

    Parameters
    ----------
    heat_J : float
        Heat [J].
    water_end_degC : float
        Temperature the melt water ends at [degC].
    ice_degC : float
        Temperature of the ice as it goes in, 0 or below [degC].

    Returns
    -------
    float
        Ice [kg].

    Raises
    ------
    InputError
        If the ice is said to be warmer than 0 degC, or the water colder.

    References
    ----------
    Derivation: heat = ice x (warming + melting + warming of the melt water).

    Examples
    --------
    A 100 W pump melts about a kilogram an hour.

    >>> round(ice_for_heat_kg(100.0 * 3600), 2)
    1.08
    """
    if finite("ice_degC", ice_degC) > 0:
        raise InputError("ice_degC", ice_degC, _("Ice is never warmer than 0 °C (32 °F)."))
    not_negative("water_end_degC", water_end_degC)
    per_kg = LATENT_J_PER_KG + WATER_J_PER_KG_K * water_end_degC - ICE_J_PER_KG_K * ice_degC
    return finite("heat_J", heat_J) / per_kg


def ice_need(
    *,
    birds_kg: float,
    species: str,
    start_degC: float,
    end_degC: float,
    fill_m3: float,
    fill_degC: float,
    gains_W: float,
    duration_s: float,
    reserve_frac: float = 0.0,
    water_end_degC: float = 1.0,
) -> IceNeed:
    """Return how much ice a tank of birds needs, and where it goes.

    Parameters
    ----------
    birds_kg : float
        Dressed weight of all the birds [kg].
    species : str
        ``"chicken"``, ``"turkey"``, ``"duck"``, ``"goose"``, ``"guinea"`` or ``"quail"``.
    start_degC : float
        Average temperature of the birds going in [degC].
    end_degC : float
        Average temperature coming out [degC].
    fill_m3 : float
        Water the tank is filled with [m3].
    fill_degC : float
        Its temperature [degC].
    gains_W : float
        Heat through walls and top, from sun and pump [W].
    duration_s : float
        Time from filling to emptying [s].
    reserve_frac : float
        Extra on top, as a share of the rest [1].
    water_end_degC : float
        Temperature of water and melt water at the end [degC].

    Returns
    -------
    IceNeed
        The total and its parts.

    Raises
    ------
    InputError
        If an amount is negative or the species unknown.

    Notes
    -----
    Ice at 0 degC; ice straight from a freezer at -18 degC takes up 11 % more.

    References
    ----------
    Derivation: heat balance of the tank.
    """
    for name, value in (
        ("birds_kg", birds_kg),
        ("fill_m3", fill_m3),
        ("gains_W", gains_W),
        ("duration_s", duration_s),
        ("reserve_frac", reserve_frac),
    ):
        not_negative(name, value)
    for name, value in (
        ("start_degC", start_degC),
        ("end_degC", end_degC),
        ("fill_degC", fill_degC),
    ):
        finite(name, value)
    heats = (
        birds_kg * specific_heat(species).value * max(0.0, start_degC - end_degC),
        fill_m3 * COLD_WATER_KG_PER_M3 * WATER_J_PER_KG_K * max(0.0, fill_degC - water_end_degC),
        gains_W * duration_s,
    )
    birds, water, gains = (ice_for_heat_kg(q, water_end_degC=water_end_degC) for q in heats)
    reserve = reserve_frac * (birds + water + gains)
    return IceNeed(birds + water + gains + reserve, birds, water, gains, reserve)


def tank_gains_W(
    *,
    volume_m3: float,
    insulated: bool,
    air_degC: float,
    pump_W: float = 0.0,
    sun_W: float = 0.0,
    tank_degC: float = 1.0,
) -> Estimate:
    """Return the heat that gets into a chill tank from outside.

    Parameters
    ----------
    volume_m3 : float
        Water the tank holds [m3].
    insulated : bool
        Foam round it and a foam lid on it.
    air_degC : float
        Air temperature [degC].
    pump_W : float
        Electric power of pumps in it; all of it ends as heat [W].
    sun_W : float
        Sunshine taken up; about 500 W on a square metre of open water in full sun [W].
    tank_degC : float
        Temperature of the water [degC].

    Returns
    -------
    Estimate
        Heat gain, zero or more [W].

    Raises
    ------
    InputError
        If an amount is negative or a tank has no volume.
    OutOfRangeError
        If the tank holds more than 20 m3.

    Notes
    -----
    Shape of a 100-gallon stock tank, scaled; planning quality.

    References
    ----------
    Derivation: surface coefficients and areas stated in this module, unverified.
    """
    positive("volume_m3", volume_m3)
    if volume_m3 > _BIGGEST_TANK_M3:
        raise OutOfRangeError(
            "volume_m3", volume_m3, _("That tank is larger than this estimate reaches (20 m³).")
        )
    not_negative("pump_W", pump_W)
    not_negative("sun_W", sun_W)
    warmth_K = max(0.0, finite("air_degC", air_degC) - finite("tank_degC", tank_degC))
    scale = (volume_m3 / _REFERENCE_TANK_M3) ** (2 / 3)
    wall_m2, top_m2 = _REFERENCE_WALL_M2 * scale, _REFERENCE_TOP_M2 * scale
    wall, top = (_FOAM_WALL, _FOAM_WALL) if insulated else (_BARE_WALL, _OPEN_TOP)
    low, value, high = (
        (w * wall_m2 + t * top_m2) * warmth_K + pump_W + sun_W
        for w, t in zip(wall, top, strict=True)
    )
    basis = Basis(
        Origin.HANDBOOK,
        _("Wall and water surface of a stock tank this size in still air"),
        "unverified",
    )
    return Estimate(value, low, high, basis)


def ice_melted_kg_per_h(gains_W: float) -> float:
    """Return how much ice a steady heat gain melts in an hour.

    Parameters
    ----------
    gains_W : float
        Heat gain [W].

    Returns
    -------
    float
        Ice per hour [kg/h].

    Raises
    ------
    InputError
        If the gain is not a number.

    References
    ----------
    Derivation: power x 3600 s / latent heat.
    """
    return ice_for_heat_kg(gains_W * SECONDS_PER_HOUR)


def mix(
    *,
    birds_kg: float,
    birds_degC: float,
    water_kg: float,
    water_degC: float,
    ice_kg: float,
    ice_degC: float = 0.0,
    species: str = "chicken",
) -> Mixture:
    """Return the temperature birds, water and ice come to if nothing else gets in.

    Parameters
    ----------
    birds_kg : float
        Dressed weight of the birds [kg].
    birds_degC : float
        Their average temperature, 0 or above [degC].
    water_kg : float
        Water [kg].
    water_degC : float
        Its temperature, 0 or above [degC].
    ice_kg : float
        Ice [kg].
    ice_degC : float
        Its temperature, 0 or below [degC].
    species : str
        As in :func:`specific_heat`.

    Returns
    -------
    Mixture
        Final temperature and the ice left over.

    Raises
    ------
    InputError
        If an amount is negative or a temperature cannot be.
    OutOfRangeError
        If there is so much cold ice that all the water would freeze.

    References
    ----------
    Derivation: heat balance counted from liquid water at 0 degC.

    Examples
    --------
    >>> round(mix(birds_kg=90.72, birds_degC=38, water_kg=150, water_degC=15, ice_kg=50)
    ...       .temperature_degC, 2)
    3.95
    """
    for name, value in (("birds_kg", birds_kg), ("water_kg", water_kg), ("ice_kg", ice_kg)):
        not_negative(name, value)
    not_negative("birds_degC", birds_degC)
    not_negative("water_degC", water_degC)
    if finite("ice_degC", ice_degC) > 0:
        raise InputError("ice_degC", ice_degC, _("Ice is never warmer than 0 °C (32 °F)."))
    if birds_kg + water_kg + ice_kg == 0:
        raise InputError("water_kg", water_kg, _("There is nothing in the tank."))
    birds_J_per_K = birds_kg * specific_heat(species).value
    warmth_J = (
        birds_J_per_K * birds_degC
        + water_kg * WATER_J_PER_KG_K * water_degC
        + ice_kg * ICE_J_PER_KG_K * ice_degC
    )
    ice_left_kg = ice_kg - warmth_J / LATENT_J_PER_KG
    if ice_left_kg > ice_kg + water_kg:
        raise OutOfRangeError("ice_degC", ice_degC, _("All the water would freeze."))
    if ice_left_kg >= 0:
        return Mixture(0.0, ice_left_kg)
    capacity_J_per_K = birds_J_per_K + (water_kg + ice_kg) * WATER_J_PER_KG_K
    return Mixture(-ice_left_kg * LATENT_J_PER_KG / capacity_J_per_K, 0.0)
