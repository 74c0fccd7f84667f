"""Exact conversions between units; the one place where a factor is written.

Numbers inside the program are SI with the unit as a suffix on the name (``mass_kg``,
``bath_degC``); temperature differences are ``_K``. Factors are exact by definition unless the
comment says otherwise.

References
----------
NIST Special Publication 811 (2008), Appendix B, for every factor marked exact.
NIST Handbook 44 (2023), Appendix C, for the US liquid gallon of 231 cubic inches.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final, Literal

Dimension = Literal[
    "mass",
    "temperature",
    "temperature difference",
    "length",
    "area",
    "volume",
    "time",
    "power",
    "energy",
    "pressure",
    "strength",
]

KG_PER_LB: Final = 0.45359237  # exact
KG_PER_OZ: Final = KG_PER_LB / 16  # exact
M_PER_INCH: Final = 0.0254  # exact
M_PER_FOOT: Final = 0.3048  # exact
M3_PER_GALLON: Final = 231 * M_PER_INCH**3  # exact, US liquid gallon
M3_PER_FOOT3: Final = M_PER_FOOT**3  # exact
J_PER_BTU: Final = 1055.05585262  # exact, International Table
PA_PER_INHG: Final = 3386.389  # conventional, at 0 degC
CELSIUS_ZERO_K: Final = 273.15  # exact
KELVIN_PER_FAHRENHEIT_DEGREE: Final = 5 / 9  # exact
FREEZING_POINT_DEGF: Final = 32.0  # exact
SECONDS_PER_MINUTE: Final = 60.0
SECONDS_PER_HOUR: Final = 3600.0
SECONDS_PER_DAY: Final = 86400.0


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit people write.

    Parameters
    ----------
    symbol : str
        As printed.
    dimension : str
        What it measures.
    factor : float
        SI value of one unit.
    offset : float
        SI value of zero of this unit (temperatures only).
    """

    symbol: str
    dimension: Dimension
    factor: float
    offset: float = 0.0


_FAHRENHEIT = Unit(
    "°F",
    "temperature",
    KELVIN_PER_FAHRENHEIT_DEGREE,
    -FREEZING_POINT_DEGF * KELVIN_PER_FAHRENHEIT_DEGREE,
)
_CELSIUS = Unit("°C", "temperature", 1.0)
_FAHRENHEIT_DEGREE = Unit("°F", "temperature difference", KELVIN_PER_FAHRENHEIT_DEGREE)
_KELVIN = Unit("°C", "temperature difference", 1.0)

UNITS: Final[Mapping[Dimension, Mapping[str, Unit]]] = MappingProxyType(
    {
        "mass": {
            "kg": Unit("kg", "mass", 1.0),
            "g": Unit("g", "mass", 1e-3),
            "lb": Unit("lb", "mass", KG_PER_LB),
            "oz": Unit("oz", "mass", KG_PER_OZ),
        },
        "temperature": {"F": _FAHRENHEIT, "C": _CELSIUS},
        "temperature difference": {"F": _FAHRENHEIT_DEGREE, "C": _KELVIN, "K": _KELVIN},
        "length": {
            "m": Unit("m", "length", 1.0),
            "cm": Unit("cm", "length", 1e-2),
            "mm": Unit("mm", "length", 1e-3),
            "ft": Unit("ft", "length", M_PER_FOOT),
            "in": Unit("in", "length", M_PER_INCH),
        },
        "area": {
            "m2": Unit("m²", "area", 1.0),
            "ft2": Unit("ft²", "area", M_PER_FOOT**2),
            "in2": Unit("in²", "area", M_PER_INCH**2),
        },
        "volume": {
            "m3": Unit("m³", "volume", 1.0),
            "L": Unit("L", "volume", 1e-3),
            "mL": Unit("mL", "volume", 1e-6),
            "gal": Unit("gal", "volume", M3_PER_GALLON),
            "qt": Unit("qt", "volume", M3_PER_GALLON / 4),
            "cup": Unit("cup", "volume", M3_PER_GALLON / 16),
            "floz": Unit("fl oz", "volume", M3_PER_GALLON / 128),
            "tbsp": Unit("tbsp", "volume", M3_PER_GALLON / 256),
            "tsp": Unit("tsp", "volume", M3_PER_GALLON / 768),
            "ft3": Unit("ft³", "volume", M3_PER_FOOT3),
        },
        "time": {
            "s": Unit("s", "time", 1.0),
            "min": Unit("min", "time", SECONDS_PER_MINUTE),
            "h": Unit("h", "time", SECONDS_PER_HOUR),
            "d": Unit("d", "time", SECONDS_PER_DAY),
        },
        "power": {
            "W": Unit("W", "power", 1.0),
            "kW": Unit("kW", "power", 1e3),
            "Btu/h": Unit("Btu/h", "power", J_PER_BTU / SECONDS_PER_HOUR),
        },
        "energy": {
            "J": Unit("J", "energy", 1.0),
            "kJ": Unit("kJ", "energy", 1e3),
            "MJ": Unit("MJ", "energy", 1e6),
            "Btu": Unit("Btu", "energy", J_PER_BTU),
        },
        "pressure": {
            "Pa": Unit("Pa", "pressure", 1.0),
            "kPa": Unit("kPa", "pressure", 1e3),
            "hPa": Unit("hPa", "pressure", 1e2),
            "inHg": Unit("inHg", "pressure", PA_PER_INHG),
        },
        "strength": {
            "ppm": Unit("ppm", "strength", 1e-6),
            "%": Unit("%", "strength", 1e-2),
        },
    }
)
"""For each dimension, the units accepted in writing, by their plain spelling."""


def to_si(value: float, unit: str, dimension: Dimension) -> float:
    """Convert a number as written to SI.

    Parameters
    ----------
    value : float
        The number as written [unit].
    unit : str
        One of the spellings in ``UNITS[dimension]``.
    dimension : str
        What is measured.

    Returns
    -------
    float
        The SI value; temperatures in degrees Celsius [SI].

    Raises
    ------
    KeyError
        If the unit does not measure that dimension.

    References
    ----------
    Derivation: value x factor + offset, with the factors above.

    Examples
    --------
    Forty degrees Fahrenheit is eight degrees above freezing, 8 x 5/9.

    >>> round(to_si(40, "F", "temperature"), 4)
    4.4444
    """
    found = UNITS[dimension][unit]
    if dimension == "temperature" and unit == "F":
        # (value - 32) first, so that 32 F is exactly 0 degC
        return (value - FREEZING_POINT_DEGF) * KELVIN_PER_FAHRENHEIT_DEGREE
    return value * found.factor + found.offset


def from_si(value_si: float, unit: str, dimension: Dimension) -> float:
    """Convert an SI number to the unit somebody reads.

    Parameters
    ----------
    value_si : float
        The SI value; temperatures in degrees Celsius [SI].
    unit : str
        One of the spellings in ``UNITS[dimension]``.
    dimension : str
        What is measured.

    Returns
    -------
    float
        The number in that unit [unit].

    Raises
    ------
    KeyError
        If the unit does not measure that dimension.

    References
    ----------
    Derivation: the inverse of :func:`to_si`.

    Examples
    --------
    >>> from_si(0.0, "F", "temperature")
    32.0
    """
    found = UNITS[dimension][unit]
    if dimension == "temperature" and unit == "F":
        return value_si / KELVIN_PER_FAHRENHEIT_DEGREE + FREEZING_POINT_DEGF
    return (value_si - found.offset) / found.factor
