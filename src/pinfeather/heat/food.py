"""What poultry meat is made of, and the heat properties that follow from it above freezing."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pinfeather.errors import InputError, OutOfRangeError
from pinfeather.heat.tables import load
from pinfeather.words import gettext as _

_COLDEST_DEGC, _HOTTEST_DEGC = -40.0, 150.0  # range of the component equations


@dataclass(frozen=True, slots=True)
class Composition:
    """What a kilogram of meat is made of; the shares add up to one.

    Parameters
    ----------
    name : str
        Item in the table.
    water_frac : float
        Water [1].
    protein_frac : float
        Protein [1].
    fat_frac : float
        Fat [1].
    ash_frac : float
        Ash [1].
    freezing_degC : float
        Temperature at which it begins to freeze [degC].
    source : str
        Where the composition is published.
    status : str
        How the source is known.
    """

    name: str
    water_frac: float
    protein_frac: float
    fat_frac: float
    ash_frac: float
    freezing_degC: float
    source: str = ""
    status: str = ""

    @property
    def solids_frac(self) -> float:
        """Everything but water [1]."""
        return 1.0 - self.water_frac

    @property
    def bound_water_frac(self) -> float:
        """Water held by protein, which does not freeze: 0.4 of the protein [1]."""
        return 0.4 * self.protein_frac


@dataclass(frozen=True, slots=True)
class Properties:
    """Heat properties at one or many temperatures.

    Parameters
    ----------
    specific_heat_J_per_kgK : ndarray
        Specific heat [J/kgK].
    density_kg_per_m3 : ndarray
        Density [kg/m3].
    parallel_W_per_mK : ndarray
        Conductivity with the components side by side: use this one [W/mK].
    series_W_per_mK : ndarray
        Conductivity with the components one behind the other: a lower bound [W/mK].
    """

    specific_heat_J_per_kgK: NDArray[np.float64]
    density_kg_per_m3: NDArray[np.float64]
    parallel_W_per_mK: NDArray[np.float64]
    series_W_per_mK: NDArray[np.float64]

    @property
    def diffusivity_m2_per_s(self) -> NDArray[np.float64]:
        """Conductivity over density and specific heat [m2/s]."""
        return self.parallel_W_per_mK / (self.density_kg_per_m3 * self.specific_heat_J_per_kgK)


def composition(item: str) -> Composition:
    """Return what an item is made of.

    Parameters
    ----------
    item : str
        ``"chicken"``, ``"turkey"``, ``"duck"``, ``"goose"`` or a part, such as
        ``"chicken light"``.

    Returns
    -------
    Composition
        Shares that add up to one.

    Raises
    ------
    InputError
        If there is no such item.

    References
    ----------
    USDA composition tables for raw poultry; each row of ``food.toml`` has its source and status.

    Examples
    --------
    >>> round(composition("chicken").water_frac, 4)
    0.657
    """
    for row in load("food")["items"]:
        if row["name"] == item:
            total = row["water"] + row["protein"] + row["fat"] + row["ash"]
            return Composition(
                name=item,
                water_frac=row["water"] / total,
                protein_frac=row["protein"] / total,
                fat_frac=row["fat"] / total,
                ash_frac=row["ash"] / total,
                freezing_degC=row["freezing_degC"],
                source=row["source"],
                status=row["status"],
            )
    known = ", ".join(str(row["name"]) for row in load("food")["items"])
    raise InputError("item", item, _("Choose one of: {known}.").format(known=known))


def component(
    what: str, name: str, temperature_degC: NDArray[np.float64] | float
) -> NDArray[np.float64]:
    """Return one property of one component of food.

    Parameters
    ----------
    what : str
        ``"conductivity_W_per_mK"``, ``"density_kg_per_m3"`` or ``"specific_heat_J_per_kgK"``.
    name : str
        ``"water"``, ``"ice"``, ``"protein"``, ``"fat"`` or ``"ash"``.
    temperature_degC : ndarray or float
        Temperature, -40 to 150 [degC].

    Returns
    -------
    ndarray
        The property, same shape [SI].

    Raises
    ------
    OutOfRangeError
        If a temperature is outside -40 to 150 degC.

    References
    ----------
    Choi and Okos (1986), Food Engineering and Process Applications 1, 93-101.
    """
    t = np.asarray(temperature_degC, dtype=np.float64)
    if not np.all((t >= _COLDEST_DEGC) & (t <= _HOTTEST_DEGC)):
        raise OutOfRangeError(
            "temperature_degC", temperature_degC, _("The table covers -40 °C to 150 °C.")
        )
    table = load("food")["components"][what]
    a, b, c = table[name]
    value = a + b * t + c * t * t
    if name == "water" and what == "specific_heat_J_per_kgK":
        a, b, c = table["water_below_0"]
        value = np.where(t < 0, a + b * t + c * t * t, value)
    return np.asarray(value, dtype=np.float64)


def mixture(
    shares: dict[str, NDArray[np.float64] | float], temperature_degC: NDArray[np.float64] | float
) -> Properties:
    """Return the properties of a mixture of components.

    Parameters
    ----------
    shares : dict
        Mass share of each component; shares add up to one [1].
    temperature_degC : ndarray or float
        Temperature [degC].

    Returns
    -------
    Properties
        Specific heat without any heat of freezing, density, conductivities.

    Raises
    ------
    OutOfRangeError
        If a temperature is outside -40 to 150 degC.

    References
    ----------
    Choi and Okos (1986): specific heats add by mass, densities and parallel conductivities by
    volume.
    """
    t = np.asarray(temperature_degC, dtype=np.float64)
    densities = {name: component("density_kg_per_m3", name, t) for name in shares}
    density = 1.0 / sum(
        (share / densities[name] for name, share in shares.items()), start=np.zeros_like(t)
    )
    heat, parallel, series = np.zeros_like(t), np.zeros_like(t), np.zeros_like(t)
    for name, share in shares.items():
        volume = share * density / densities[name]
        conductivity = component("conductivity_W_per_mK", name, t)
        heat = heat + share * component("specific_heat_J_per_kgK", name, t)
        parallel = parallel + volume * conductivity
        series = series + volume / conductivity
    return Properties(heat, density, parallel, 1.0 / series)


def properties(item: Composition, temperature_degC: NDArray[np.float64] | float) -> Properties:
    """Return the heat properties of unfrozen meat.

    Parameters
    ----------
    item : Composition
        From :func:`composition`.
    temperature_degC : ndarray or float
        Temperature, at or above freezing [degC].

    Returns
    -------
    Properties
        Specific heat, density, conductivities.

    Raises
    ------
    OutOfRangeError
        If a temperature is outside -40 to 150 degC.

    Notes
    -----
    Against measured white meat the parallel conductivity is within 8 %. No property model of food
    deserves more than two digits.

    References
    ----------
    Choi and Okos (1986).
    """
    return mixture(
        {
            "water": item.water_frac,
            "protein": item.protein_frac,
            "fat": item.fat_frac,
            "ash": item.ash_frac,
        },
        temperature_degC,
    )


def white_meat_conductivity_W_per_mK(temperature_degC: float) -> float:
    """Return the measured conductivity of chicken breast.

    Parameters
    ----------
    temperature_degC : float
        0 to 20, or -75 to -10 [degC].

    Returns
    -------
    float
        Conductivity [W/mK].

    Raises
    ------
    OutOfRangeError
        Between -10 and 0 degC and outside -75 to 20 degC.

    References
    ----------
    Sweat, Haugh and Stadelman (1973), Journal of Food Science, abstract.

    Examples
    --------
    >>> round(white_meat_conductivity_W_per_mK(4.4), 4)
    0.4786
    """
    t = temperature_degC
    if 0 <= t <= 20:  # noqa: PLR2004 - the range of the measurements
        return 0.476 + 0.00060 * t
    if -75 <= t <= -10:  # noqa: PLR2004 - the range of the measurements
        return 1.07 - 0.0149 * t - 1.04e-4 * t * t
    raise OutOfRangeError(
        "temperature_degC", t, _("Measured from 0 °C to 20 °C and from -75 °C to -10 °C only.")
    )


def siebel_J_per_kgK(water_frac: float, *, frozen: bool = False) -> float:
    """Return specific heat by the old rule from water content alone.

    Parameters
    ----------
    water_frac : float
        Share of water [1].
    frozen : bool
        Below freezing.

    Returns
    -------
    float
        Specific heat; about 11 % low for fat birds [J/kgK].

    Raises
    ------
    InputError
        If the share is not between 0 and 1.

    References
    ----------
    Siebel (1892), as in food engineering texts; unverified.
    """
    if not 0 <= water_frac <= 1:
        raise InputError("water_frac", water_frac, _("A share lies between 0 and 1."))
    return (1260.0 if frozen else 3350.0) * water_frac + 840.0


@dataclass(frozen=True, slots=True)
class Rough:
    """Heat properties from water content alone.

    Parameters
    ----------
    specific_heat_J_per_kgK : float
        Specific heat [J/kgK].
    latent_J_per_kg : float
        Heat of freezing all the water [J/kg].
    conductivity_W_per_mK : float
        Conductivity [W/mK].
    """

    specific_heat_J_per_kgK: float
    latent_J_per_kg: float
    conductivity_W_per_mK: float


def earle(water_frac: float, *, frozen: bool = False) -> Rough:
    """Return rough heat properties from water content alone.

    Parameters
    ----------
    water_frac : float
        Share of water [1].
    frozen : bool
        Below freezing.

    Returns
    -------
    Rough
        Specific heat, latent heat, conductivity.

    Raises
    ------
    InputError
        If the share is not between 0 and 1.

    Notes
    -----
    Its author warns that these over-simplify.

    References
    ----------
    Earle, Unit Operations in Food Processing (web edition, 2004), appendix 7.
    """
    if not 0 <= water_frac <= 1:
        raise InputError("water_frac", water_frac, _("A share lies between 0 and 1."))
    dry = 1 - water_frac
    if frozen:
        heat, conductivity = 2100.0 * water_frac + 840.0 * dry, 2.4 * water_frac + 0.26 * dry
    else:
        heat, conductivity = 4190.0 * water_frac + 840.0 * dry, 0.55 * water_frac + 0.26 * dry
    return Rough(heat, 335e3 * water_frac, conductivity)
