"""What a body is made of: temperature and conductivity as functions of the heat in it."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Final

import numpy as np
from numpy.typing import NDArray

from pinfeather.heat.food import Composition, properties
from pinfeather.heat.frozen import conductivity_W_per_mK, enthalpy_chen
from pinfeather.heat.guards import positive

Array = NDArray[np.float64]

_TABLE: Final = 4096
_HOTTEST_DEGC: Final = 90.0
_COLDEST_DEGC: Final = -40.0


@dataclass(frozen=True, slots=True)
class Material:
    """A body's stuff: temperature and conductivity as functions of the heat in it.

    Parameters
    ----------
    density_kg_per_m3 : float
        Density, kept constant [kg/m3].
    low_J_per_kg : float
        Heat at the first entry of the tables [J/kg].
    step_J_per_kg : float
        Heat from one entry to the next [J/kg].
    temperature_degC : ndarray, shape (m,)
        Temperature at each entry [degC].
    conductivity_W_per_mK : ndarray, shape (m,)
        Conductivity at each entry [W/mK].
    rise_K : ndarray, shape (m - 1,)
        Temperature from each entry to the next; filled in [K].
    change_W_per_mK : ndarray, shape (m - 1,)
        Conductivity from each entry to the next; filled in [W/mK].
    constant : bool
        Whether specific heat and conductivity do not change; filled in.
    """

    density_kg_per_m3: float
    low_J_per_kg: float
    step_J_per_kg: float
    temperature_degC: Array
    conductivity_W_per_mK: Array
    rise_K: Array = field(init=False)
    change_W_per_mK: Array = field(init=False)
    constant: bool = field(init=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "rise_K", np.diff(self.temperature_degC))
        object.__setattr__(self, "change_W_per_mK", np.diff(self.conductivity_W_per_mK))
        even = len(self.rise_K) == 1 and float(self.change_W_per_mK[0]) == 0.0
        object.__setattr__(self, "constant", even)

    def at(self, heat_J_per_kg: Array) -> tuple[Array, Array, Array]:
        """Return temperature, its slope against heat, and conductivity.

        Parameters
        ----------
        heat_J_per_kg : ndarray
            Heat in the stuff [J/kg].

        Returns
        -------
        tuple of ndarray
            Temperature [degC], slope [K kg/J] and conductivity [W/mK], same shape.

        References
        ----------
        Derivation: straight lines between table entries, going on beyond both ends.
        """
        if self.constant:
            slope = float(self.rise_K[0]) / self.step_J_per_kg
            whole = np.ones_like(heat_J_per_kg)
            first = float(self.temperature_degC[0]) - slope * self.low_J_per_kg
            return (
                heat_J_per_kg * slope + first,
                slope * whole,
                float(self.conductivity_W_per_mK[0]) * whole,
            )
        place = (heat_J_per_kg - self.low_J_per_kg) / self.step_J_per_kg
        last = len(self.temperature_degC) - 2
        index = np.minimum(np.maximum(place, 0.0), last).astype(np.intp)
        place -= index
        rise = self.rise_K[index]
        temperature = self.temperature_degC[index] + place * rise
        np.minimum(place, 1.0, out=place)
        np.maximum(place, 0.0, out=place)
        conductivity = self.conductivity_W_per_mK[index] + place * self.change_W_per_mK[index]
        return temperature, rise / self.step_J_per_kg, conductivity

    def temperature(self, heat_J_per_kg: Array) -> Array:
        """Return the temperature alone.

        Parameters
        ----------
        heat_J_per_kg : ndarray
            Heat in the stuff [J/kg].

        Returns
        -------
        ndarray
            Temperature, same shape [degC].

        References
        ----------
        Derivation: as :meth:`at`.
        """
        if self.constant:
            slope = float(self.rise_K[0]) / self.step_J_per_kg
            return heat_J_per_kg * slope + (
                float(self.temperature_degC[0]) - slope * self.low_J_per_kg
            )
        return self.at(heat_J_per_kg)[0]

    def heat_J_per_kg(self, temperature_degC: Array | float) -> Array:
        """Return the heat in the stuff at a temperature.

        Parameters
        ----------
        temperature_degC : ndarray or float
            Temperature [degC].

        Returns
        -------
        ndarray
            Heat [J/kg].

        References
        ----------
        Derivation: the table of :meth:`at` read backwards.
        """
        t = np.asarray(temperature_degC, dtype=np.float64)
        table = self.temperature_degC
        index = np.clip(np.searchsorted(table, t, side="right") - 1, 0, len(table) - 2)
        part = (t - table[index]) / (table[index + 1] - table[index])
        return self.low_J_per_kg + (index + part) * self.step_J_per_kg


def constant_material(
    *, density_kg_per_m3: float, specific_heat_J_per_kgK: float, conductivity_W_per_mK: float
) -> Material:
    """Return stuff whose properties do not change.

    Parameters
    ----------
    density_kg_per_m3 : float
        Density [kg/m3].
    specific_heat_J_per_kgK : float
        Specific heat [J/kgK].
    conductivity_W_per_mK : float
        Conductivity [W/mK].

    Returns
    -------
    Material
        For :func:`pinfeather.heat.finite_volume.solve`.

    Raises
    ------
    InputError
        If a number is not above zero.

    References
    ----------
    Derivation: heat counted from 0 degC.
    """
    heat = positive("specific_heat_J_per_kgK", specific_heat_J_per_kgK) * 100.0
    conductivity = positive("conductivity_W_per_mK", conductivity_W_per_mK)
    return Material(
        positive("density_kg_per_m3", density_kg_per_m3),
        0.0,
        heat,
        np.array([0.0, 100.0]),
        np.array([conductivity, conductivity]),
    )


def freezing_material(item: Composition) -> Material:
    """Return meat that freezes gradually below its freezing point.

    Parameters
    ----------
    item : Composition
        The meat.

    Returns
    -------
    Material
        For :func:`pinfeather.heat.finite_volume.solve`, from -40 to 90 degC.

    References
    ----------
    Chen (1985) for heat, Tchigeov (1979) for ice, Choi and Okos (1986) for conductivity.
    """
    fine = np.concatenate(
        (
            np.linspace(_COLDEST_DEGC, item.freezing_degC - 3.0, 800, endpoint=False),
            item.freezing_degC - np.geomspace(3.0, 1e-4, 1600),
            np.linspace(item.freezing_degC, _HOTTEST_DEGC, 400),
        )
    )
    heat = enthalpy_chen(
        fine,
        water_frac=item.water_frac,
        bound_water_frac=item.bound_water_frac,
        freezing_degC=item.freezing_degC,
    )
    even = np.linspace(heat[0], heat[-1], _TABLE)
    temperature = np.interp(even, heat, fine)
    temperature[0], temperature[-1] = fine[0], fine[-1]
    return Material(
        float(properties(item, 0.0).density_kg_per_m3),
        float(even[0]),
        float(even[1] - even[0]),
        temperature,
        conductivity_W_per_mK(item, temperature),
    )
