"""Meat through freezing: how much of its water is ice, and how much heat is in it."""

from __future__ import annotations

import math
from typing import Final

import numpy as np
from numpy.typing import NDArray

from pinfeather.errors import InputError
from pinfeather.heat.food import Composition, Properties, mixture
from pinfeather.heat.guards import positive
from pinfeather.units import CELSIUS_ZERO_K
from pinfeather.words import gettext as _

LATENT_J_PER_KG: Final = 333.6e3
REFERENCE_DEGC: Final = -40.0
"""Where Chen's enthalpy is zero [degC]."""
_GAS_J_PER_MOL_K: Final = 8.314
_CHEN_ZERO_K: Final = 273.2
_TAO_ZERO_K: Final = 227.6
FROZEN_PARALLEL_FRAC: Final = 0.85
"""Share of the side-by-side conductivity that frozen meat has. Close to Sweat, Haugh and Stadelman
(1973); independent computation."""


def ice_tchigeov(
    temperature_degC: NDArray[np.float64] | float, *, water_frac: float, freezing_degC: float
) -> NDArray[np.float64]:
    """Return the share of meat that is ice, by Tchigeov's fit.

    Parameters
    ----------
    temperature_degC : ndarray or float
        Temperature [degC].
    water_frac : float
        Share of water before freezing [1].
    freezing_degC : float
        Where freezing begins, below 0 [degC].

    Returns
    -------
    ndarray
        Mass of ice over mass of meat; 0 above freezing [1].

    Notes
    -----
    From -45 degC up to freezing. Fricke and Becker (2001) found it second best of the ice models.

    References
    ----------
    Tchigeov (1979), in ASHRAE Handbook Refrigeration, Thermal properties of foods.
    """
    t = np.asarray(temperature_degC, dtype=np.float64)
    below_K = np.maximum(freezing_degC - t, 0.0)
    logs = np.log1p(below_K)
    share = 1.105 * water_frac * logs / (logs + 0.7138)
    return np.asarray(np.minimum(share, water_frac), dtype=np.float64)


def ice_miles(
    temperature_degC: NDArray[np.float64] | float,
    *,
    water_frac: float,
    bound_water_frac: float,
    freezing_degC: float,
) -> NDArray[np.float64]:
    """Return the share of meat that is ice, by Miles' rule.

    Parameters
    ----------
    temperature_degC : ndarray or float
        Temperature [degC].
    water_frac : float
        Share of water before freezing [1].
    bound_water_frac : float
        Share of water that never freezes [1].
    freezing_degC : float
        Where freezing begins, below 0 [degC].

    Returns
    -------
    ndarray
        Mass of ice over mass of meat; 0 above freezing [1].

    References
    ----------
    Miles (1974), in ASHRAE Handbook Refrigeration, Thermal properties of foods.
    """
    t = np.minimum(np.asarray(temperature_degC, dtype=np.float64), freezing_degC)
    return np.asarray((water_frac - bound_water_frac) * (1.0 - freezing_degC / t))


def ice_chen(
    temperature_degC: NDArray[np.float64] | float,
    *,
    solids_frac: float,
    solids_kg_per_mol: float,
    freezing_degC: float,
) -> NDArray[np.float64]:
    """Return the share of meat that is ice, by Chen's equation.

    Parameters
    ----------
    temperature_degC : ndarray or float
        Temperature [degC].
    solids_frac : float
        Share that is not water [1].
    solids_kg_per_mol : float
        Effective molar mass of what is dissolved, see :func:`solids_kg_per_mol` [kg/mol].
    freezing_degC : float
        Where freezing begins, below 0 [degC].

    Returns
    -------
    ndarray
        Mass of ice over mass of meat; 0 above freezing [1].

    Raises
    ------
    InputError
        If the molar mass is not above zero.

    References
    ----------
    Chen (1985), Journal of Food Science 50, 1158, in ASHRAE Handbook Refrigeration, Thermal
    properties of foods.
    """
    positive("solids_kg_per_mol", solids_kg_per_mol)
    t = np.minimum(np.asarray(temperature_degC, dtype=np.float64), freezing_degC)
    scale = solids_frac * _GAS_J_PER_MOL_K * _CHEN_ZERO_K**2 / (solids_kg_per_mol * LATENT_J_PER_KG)
    return np.asarray(scale * (freezing_degC - t) / (freezing_degC * t), dtype=np.float64)


def solids_kg_per_mol(item: Composition) -> float:
    """Return the effective molar mass of what is dissolved in meat.

    Parameters
    ----------
    item : Composition
        The meat.

    Returns
    -------
    float
        Effective molar mass [kg/mol].

    References
    ----------
    Schwartzberg (1976), Journal of Food Science 41, 152, in ASHRAE Handbook Refrigeration.
    """
    free = item.water_frac - item.bound_water_frac
    return (
        item.solids_frac
        * _GAS_J_PER_MOL_K
        * _CHEN_ZERO_K**2
        / (-free * LATENT_J_PER_KG * item.freezing_degC)
    )


def chen_specific_heat_J_per_kgK(solids_frac: float) -> float:
    """Return specific heat above freezing from solids content alone.

    Parameters
    ----------
    solids_frac : float
        Share that is not water [1].

    Returns
    -------
    float
        Specific heat [J/kgK].

    References
    ----------
    Chen (1985), Journal of Food Science 50, 1158.
    """
    return 4190.0 - 2300.0 * solids_frac - 628.0 * solids_frac**3


def enthalpy_chen(
    temperature_degC: NDArray[np.float64] | float,
    *,
    water_frac: float,
    bound_water_frac: float,
    freezing_degC: float,
) -> NDArray[np.float64]:
    """Return the heat in meat, counted from -40 degC, by Chen's equations.

    Parameters
    ----------
    temperature_degC : ndarray or float
        Temperature [degC].
    water_frac : float
        Share of water before freezing [1].
    bound_water_frac : float
        Share of water that never freezes [1].
    freezing_degC : float
        Where freezing begins, below 0 [degC].

    Returns
    -------
    ndarray
        Heat above -40 degC [J/kg].

    Notes
    -----
    Fricke and Becker (2001) found it the best of the enthalpy models. About 5 % simpler than life.

    References
    ----------
    Chen (1985), Journal of Food Science 50, 1158, in ASHRAE Handbook Refrigeration, Thermal
    properties of foods.
    """
    t = np.asarray(temperature_degC, dtype=np.float64)
    solids = 1.0 - water_frac
    free = water_frac - bound_water_frac

    def below(x: NDArray[np.float64] | float) -> NDArray[np.float64] | float:
        frozen = 1550.0 + 1260.0 * solids
        return (x - REFERENCE_DEGC) * (
            frozen - free * LATENT_J_PER_KG * freezing_degC / (REFERENCE_DEGC * x)
        )

    above_J = below(freezing_degC) + (t - freezing_degC) * chen_specific_heat_J_per_kgK(solids)
    return np.where(t < freezing_degC, below(np.minimum(t, freezing_degC)), above_J)


def enthalpy_chang_tao(temperature_degC: float, *, water_frac: float) -> float:
    """Return the heat in frozen meat, counted from 227.6 K, by Chang and Tao's fit.

    Parameters
    ----------
    temperature_degC : float
        Temperature; at or above freezing the value at freezing is returned [degC].
    water_frac : float
        Share of water, nominally 0.73 to 0.94 [1].

    Returns
    -------
    float
        Heat above 227.6 K [J/kg].

    Raises
    ------
    InputError
        If the temperature is below 227.6 K (-45.6 degC).

    References
    ----------
    Chang and Tao (1981), Journal of Food Science 46, 1493; unverified.
    """
    kelvin = temperature_degC + CELSIUS_ZERO_K
    if kelvin < _TAO_ZERO_K:
        raise InputError("temperature_degC", temperature_degC, _("The fit ends at -45.6 °C."))
    off = water_frac - 0.73
    y = 0.316 - 0.247 * off - 0.688 * off**2
    z = 22.95 + 54.68 * (y - 0.28) - 5589.03 * (y - 0.28) ** 2
    freezing_K = chang_tao_freezing_degC(water_frac) + CELSIUS_ZERO_K
    at_freezing = 9792.46 + 405096.0 * water_frac
    share = min(1.0, (kelvin - _TAO_ZERO_K) / (freezing_K - _TAO_ZERO_K))
    return float(at_freezing * (y * share + (1.0 - y) * share**z))


def chang_tao_freezing_degC(water_frac: float) -> float:
    """Return where meat begins to freeze, by Chang and Tao's fit.

    Parameters
    ----------
    water_frac : float
        Share of water [1].

    Returns
    -------
    float
        Freezing point [degC].

    Notes
    -----
    Gives -1.0 degC for chicken where measurements say -2.8; kept for its enthalpy only.

    References
    ----------
    Chang and Tao (1981), Journal of Food Science 46, 1493; unverified.
    """
    return 271.18 + 1.47 * water_frac - CELSIUS_ZERO_K


def heat_to_freeze_J_per_kg(
    item: Composition, *, from_degC: float, to_degC: float, all_water: bool = False
) -> float:
    """Return the heat to take out of a kilogram of meat to freeze it.

    Parameters
    ----------
    item : Composition
        The meat.
    from_degC : float
        Temperature before [degC].
    to_degC : float
        Average temperature after [degC].
    all_water : bool
        Count all its water as freezing: the safe figure for planning a freezer.

    Returns
    -------
    float
        Heat [J/kg].

    Raises
    ------
    InputError
        If it would not get colder.

    References
    ----------
    Chen (1985) enthalpy; with ``all_water``, 333.6 kJ per kg of water plus specific heats.
    """
    if to_degC >= from_degC:
        raise InputError("to_degC", to_degC, _("It has to end colder than it starts."))
    if all_water and to_degC < item.freezing_degC <= from_degC:
        above = chen_specific_heat_J_per_kgK(item.solids_frac) * (from_degC - item.freezing_degC)
        below = frozen_specific_heat_J_per_kgK(item) * (item.freezing_degC - to_degC)
        return above + LATENT_J_PER_KG * item.water_frac + below
    ends = enthalpy_chen(
        np.array([to_degC, from_degC]),
        water_frac=item.water_frac,
        bound_water_frac=item.bound_water_frac,
        freezing_degC=item.freezing_degC,
    )
    return float(ends[1] - ends[0])


def frozen_specific_heat_J_per_kgK(item: Composition) -> float:
    """Return the specific heat of meat frozen through, without any further freezing.

    Parameters
    ----------
    item : Composition
        The meat.

    Returns
    -------
    float
        Specific heat [J/kgK].

    References
    ----------
    Chen (1985): 1.55 + 1.26 x solids, kJ/kgK.
    """
    return 1550.0 + 1260.0 * item.solids_frac


def frozen_properties(
    item: Composition, temperature_degC: NDArray[np.float64] | float
) -> Properties:
    """Return the heat properties of meat at any temperature, ice counted.

    Parameters
    ----------
    item : Composition
        The meat.
    temperature_degC : ndarray or float
        Temperature, -40 degC or above [degC].

    Returns
    -------
    Properties
        Specific heat without the heat of freezing, density, conductivities.

    Raises
    ------
    OutOfRangeError
        If a temperature is below -40 degC.

    Notes
    -----
    Frozen, the measured conductivity lies near 0.85 of the parallel one.

    References
    ----------
    Choi and Okos (1986) components; Tchigeov (1979) ice.
    """
    ice = ice_tchigeov(
        temperature_degC, water_frac=item.water_frac, freezing_degC=item.freezing_degC
    )
    return mixture(
        {
            "water": item.water_frac - ice,
            "ice": ice,
            "protein": item.protein_frac,
            "fat": item.fat_frac,
            "ash": item.ash_frac,
        },
        temperature_degC,
    )


def conductivity_W_per_mK(
    item: Composition, temperature_degC: NDArray[np.float64] | float
) -> NDArray[np.float64]:
    """Return the conductivity of meat at any temperature.

    Parameters
    ----------
    item : Composition
        The meat.
    temperature_degC : ndarray or float
        Temperature, -40 degC or above [degC].

    Returns
    -------
    ndarray
        Parallel conductivity above freezing, going over to 0.85 of it as the water freezes [W/mK].

    Raises
    ------
    OutOfRangeError
        If a temperature is below -40 degC.

    References
    ----------
    Choi and Okos (1986); the factor from Sweat, Haugh and Stadelman (1973).
    """
    t = np.asarray(temperature_degC, dtype=np.float64)
    whole = frozen_properties(item, t).parallel_W_per_mK
    share = np.where(t < item.freezing_degC, FROZEN_PARALLEL_FRAC, 1.0)
    return whole * share


def ball_radius_m(mass_kg: float, *, density_kg_per_m3: float) -> float:
    """Return the radius of a solid ball of a given weight.

    Parameters
    ----------
    mass_kg : float
        Weight [kg].
    density_kg_per_m3 : float
        Density [kg/m3].

    Returns
    -------
    float
        Radius [m].

    Raises
    ------
    InputError
        If a number is not above zero.

    References
    ----------
    Derivation: volume of a ball.
    """
    volume = positive("mass_kg", mass_kg) / positive("density_kg_per_m3", density_kg_per_m3)
    return float((3.0 * volume / (4.0 * math.pi)) ** (1 / 3))
