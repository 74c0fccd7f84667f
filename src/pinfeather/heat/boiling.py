"""At what temperature water boils here: to check a thermometer, and how hot a pot can get."""

from __future__ import annotations

import math
from typing import Final

from pinfeather.errors import InputError, OutOfRangeError
from pinfeather.units import CELSIUS_ZERO_K
from pinfeather.words import gettext as _

SEA_LEVEL_PA: Final = 101325.0  # standard atmosphere, exact
_LAPSE_PER_M: Final = 2.25577e-5  # 0.0065 K/m over 288.15 K
_EXPONENT: Final = 5.25588
_LOWEST_M, _HIGHEST_M = -500.0, 9000.0
_LOWEST_PA, _HIGHEST_PA = (
    611.213,
    22.064e6,
)  # saturation line of IAPWS-IF97 from 273.15 to 647.096 K

# IAPWS-IF97 (2012 revision), table 34
_N: Final = (
    0.11670521452767e4,
    -0.72421316703206e6,
    -0.17073846940092e2,
    0.12020824702470e5,
    -0.32325550322333e7,
    0.14915108613530e2,
    -0.48232657361591e4,
    0.40511340542057e6,
    -0.23855557567849,
    0.65017534844798e3,
)


def pressure_Pa(altitude_m: float) -> float:
    """Return the usual air pressure at a height above the sea.

    Parameters
    ----------
    altitude_m : float
        Height above sea level [m].

    Returns
    -------
    float
        Station pressure of the standard atmosphere [Pa].

    Raises
    ------
    OutOfRangeError
        Below -500 m or above 9000 m.

    Notes
    -----
    Weather moves the true pressure by up to 4 % either way.

    References
    ----------
    ICAO Doc 7488 (1993), Manual of the ICAO Standard Atmosphere, troposphere.

    Examples
    --------
    >>> round(pressure_Pa(1524.0))
    84307
    """
    if not _LOWEST_M <= altitude_m <= _HIGHEST_M:
        raise OutOfRangeError(
            "altitude_m", altitude_m, _("Give a height between -500 m and 9000 m (29,500 ft).")
        )
    return float(SEA_LEVEL_PA * (1.0 - _LAPSE_PER_M * altitude_m) ** _EXPONENT)


def boiling_degC(*, altitude_m: float | None = None, pressure_Pa: float | None = None) -> float:
    """Return the temperature at which water boils.

    Parameters
    ----------
    altitude_m : float or None
        Height above sea level; used if no pressure is given [m].
    pressure_Pa : float or None
        Station pressure, not the one reduced to sea level that forecasts give [Pa].

    Returns
    -------
    float
        Boiling temperature of pure water [degC].

    Raises
    ------
    InputError
        If not exactly one of the two is given.
    OutOfRangeError
        If it is outside the range of its source.

    References
    ----------
    IAPWS R7-97 (2012), Industrial Formulation 1997, equation 31 and table 34.

    Examples
    --------
    >>> round(boiling_degC(altitude_m=0.0), 3)
    99.974
    """
    if (altitude_m is None) == (pressure_Pa is None):
        raise InputError(
            "altitude_m", altitude_m, _("Give the height of the place or the air pressure.")
        )
    if altitude_m is not None:
        pressure_Pa = _pressure(altitude_m)
    assert pressure_Pa is not None  # noqa: S101 - one of the two was given
    if not _LOWEST_PA <= pressure_Pa <= _HIGHEST_PA:
        raise OutOfRangeError(
            "pressure_Pa", pressure_Pa, _("Water does not boil at that pressure.")
        )
    beta = (pressure_Pa / 1e6) ** 0.25
    e = beta**2 + _N[2] * beta + _N[5]
    f = _N[0] * beta**2 + _N[3] * beta + _N[6]
    g = _N[1] * beta**2 + _N[4] * beta + _N[7]
    d = 2.0 * g / (-f - math.sqrt(f * f - 4.0 * e * g))
    total = _N[9] + d
    kelvin = (total - math.sqrt(total * total - 4.0 * (_N[8] + _N[9] * d))) / 2.0
    return float(kelvin - CELSIUS_ZERO_K)


_pressure = pressure_Pa
