"""What open hot water loses to the air around it."""

from __future__ import annotations

import math
from typing import Final

import numpy as np

from pinfeather.errors import OutOfRangeError
from pinfeather.heat.guards import finite, not_negative
from pinfeather.heat.tables import load
from pinfeather.units import J_PER_BTU, SECONDS_PER_HOUR, from_si, to_si
from pinfeather.words import gettext as _

W_PER_M2_PER_BTU_H_FT2: Final = J_PER_BTU / SECONDS_PER_HOUR / to_si(1.0, "ft2", "area")
_COLDEST_AIR_F: Final = 20.0
_HOTTEST_AIR_F: Final = 115.0
_BOILING_F: Final = 212.0
_CARRIER_HOTTEST_F: Final = 130.0 + 1e-9


def _log_between(x: float, xs: list[float], ys: list[float]) -> float:
    """Interpolate with the logarithm of y, going on along the end segments."""
    logs = np.log(ys)
    k = min(max(int(np.searchsorted(xs, x)) - 1, 0), len(xs) - 2)
    slope = (logs[k + 1] - logs[k]) / (xs[k + 1] - xs[k])
    return math.exp(float(logs[k] + slope * (x - xs[k])))


def _air_F(air_degC: float) -> float:
    air_F = from_si(finite("air_degC", air_degC), "F", "temperature")
    if not _COLDEST_AIR_F <= air_F <= _HOTTEST_AIR_F:
        raise OutOfRangeError(
            "air_degC", air_degC, _("Give an air temperature between 20 °F and 115 °F.")
        )
    return air_F


def evaporation_W_per_m2(water_degC: float, *, air_degC: float) -> float:
    """Return the heat that steam carries off open hot water in still, dry air.

    Parameters
    ----------
    water_degC : float
        Water temperature, 110 to 190 degF [degC].
    air_degC : float
        Air temperature [degC].

    Returns
    -------
    float
        Evaporation loss [W/m2].

    Raises
    ------
    OutOfRangeError
        If the water is outside 110 to 190 degF or the air outside 20 to 115 degF.

    Notes
    -----
    Wind of 3 mph more than doubles it. Air below 65 degF goes on along the table's last step.

    References
    ----------
    U.S. Department of Energy, Steam Tip Sheet 19, Cover Heated, Open Vessels, table.
    """
    table = load("scald")["evaporation"]
    water_F = from_si(finite("water_degC", water_degC), "F", "temperature")
    rows: list[float] = table["water_F"]
    slack = 1e-9
    if not rows[0] - slack <= water_F <= rows[-1] + slack:
        raise OutOfRangeError(
            "water_degC", water_degC, _("The table covers water from 110 °F to 190 °F.")
        )
    return _evaporation(water_F, _air_F(air_degC)) * W_PER_M2_PER_BTU_H_FT2


def _evaporation(water_F: float, air_F: float) -> float:
    table = load("scald")["evaporation"]
    airs: list[float] = table["air_F"]
    k = min(max(int(np.searchsorted(airs, air_F)) - 1, 0), len(airs) - 2)
    share = (air_F - airs[k]) / (airs[k + 1] - airs[k])
    column = [row[k] + share * (row[k + 1] - row[k]) for row in table["Btu_per_h_ft2"]]
    return _log_between(water_F, table["water_F"], column)


def evaporation_in_wind_W_per_m2(
    water_degC: float, *, wind_m_per_s: float, air_vapour_Pa: float = 0.0
) -> float:
    """Return the heat that steam carries off warm water in wind.

    Parameters
    ----------
    water_degC : float
        Water temperature, at most 130 degF [degC].
    wind_m_per_s : float
        Wind over the water [m/s].
    air_vapour_Pa : float
        Vapour pressure in the air; 0 for dry air [Pa].

    Returns
    -------
    float
        Evaporation loss [W/m2].

    Raises
    ------
    OutOfRangeError
        If the water is hotter than 130 degF, where the formula comes out 10 to 27 % low.

    References
    ----------
    Carrier (1918), as in the ASHRAE Handbook; unverified. Vapour pressure by Antoine's equation.
    """
    if from_si(finite("water_degC", water_degC), "F", "temperature") > _CARRIER_HOTTEST_F:
        raise OutOfRangeError(
            "water_degC", water_degC, _("This formula is good for water up to 130 °F only.")
        )
    water_Pa = 133.322 * 10 ** (8.07131 - 1730.63 / (233.426 + water_degC))
    coefficient = 0.089 + 0.0782 * not_negative("wind_m_per_s", wind_m_per_s)
    return float(coefficient * max(0.0, water_Pa - not_negative("air_vapour_Pa", air_vapour_Pa)))


def surface_loss_W_per_m2(water_degC: float, *, air_degC: float) -> float:
    """Return what a square metre of open, still hot water loses in all.

    Parameters
    ----------
    water_degC : float
        Water temperature, up to boiling [degC].
    air_degC : float
        Air temperature, still air [degC].

    Returns
    -------
    float
        Evaporation, convection and radiation together, zero at air temperature [W/m2].

    Raises
    ------
    OutOfRangeError
        If the air is outside 20 to 115 degF or the water above boiling.

    Notes
    -----
    From 120 to 190 degF by the logarithm between table rows, within about 20 %; above, along the
    last step; below 120 degF in proportion to the difference to the air. Air other than 60 degF by
    the ratio of the second table.

    References
    ----------
    The Engineering ToolBox, Heat Loss from Open Water Tanks. U.S. Department of Energy, Steam Tip
    Sheet 19, for air temperature.
    """
    water_F, air_F = from_si(finite("water_degC", water_degC), "F", "temperature"), _air_F(air_degC)
    if water_F > _BOILING_F:
        raise OutOfRangeError("water_degC", water_degC, _("Open water does not get that hot."))
    if water_F <= air_F:
        return 0.0
    table = load("scald")["surface"]
    first_F = float(table["water_F"][0])
    at_F = max(water_F, first_F)
    loss = _log_between(at_F, table["water_F"], table["total_Btu_per_h_ft2"])
    loss *= _evaporation(at_F, air_F) / _evaporation(at_F, float(table["air_F"]))
    return loss * (water_F - air_F) / (at_F - air_F) * W_PER_M2_PER_BTU_H_FT2


def wall_loss_W_per_m2(water_degC: float, *, air_degC: float, insulated: bool = False) -> float:
    """Return what a square metre of metal wall around hot water loses.

    Parameters
    ----------
    water_degC : float
        Water temperature, up to boiling [degC].
    air_degC : float
        Air temperature, still air [degC].
    insulated : bool
        With an inch of insulation.

    Returns
    -------
    float
        Loss, zero at air temperature [W/m2].

    Raises
    ------
    OutOfRangeError
        If the air is outside 20 to 115 degF or the water above boiling.

    Notes
    -----
    Air other than 60 degF in proportion to the difference.

    References
    ----------
    The Engineering ToolBox, Heat Loss from Open Water Tanks.
    """
    water_F, air_F = from_si(finite("water_degC", water_degC), "F", "temperature"), _air_F(air_degC)
    if water_F > _BOILING_F:
        raise OutOfRangeError("water_degC", water_degC, _("Open water does not get that hot."))
    if water_F <= air_F:
        return 0.0
    table = load("scald")["surface"]
    at_F = max(water_F, float(table["water_F"][0]))
    loss = _log_between(at_F, table["water_F"], table["bare_wall_Btu_per_h_ft2"])
    loss *= (water_F - air_F) / (at_F - float(table["air_F"]))
    if insulated:
        loss *= float(table["inch_of_insulation_frac"])
    return loss * W_PER_M2_PER_BTU_H_FT2
