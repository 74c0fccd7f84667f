"""Every unit against Pint, which has its own table of definitions."""

import pint
import pytest

from pinfeather.units import UNITS, from_si, to_si

REGISTRY = pint.UnitRegistry()
SI = {
    "mass": "kilogram",
    "temperature": "degree_Celsius",
    "temperature difference": "kelvin",
    "length": "meter",
    "area": "meter ** 2",
    "volume": "meter ** 3",
    "time": "second",
    "power": "watt",
    "energy": "joule",
    "pressure": "pascal",
    "strength": "dimensionless",
}
PINT = {
    ("mass", "kg"): "kilogram",
    ("mass", "g"): "gram",
    ("mass", "lb"): "pound",
    ("mass", "oz"): "ounce",
    ("temperature", "F"): "degree_Fahrenheit",
    ("temperature", "C"): "degree_Celsius",
    ("temperature difference", "F"): "delta_degree_Fahrenheit",
    ("temperature difference", "C"): "delta_degree_Celsius",
    ("temperature difference", "K"): "kelvin",
    ("length", "m"): "meter",
    ("length", "cm"): "centimeter",
    ("length", "mm"): "millimeter",
    ("length", "ft"): "foot",
    ("length", "in"): "inch",
    ("area", "m2"): "meter ** 2",
    ("area", "ft2"): "foot ** 2",
    ("area", "in2"): "inch ** 2",
    ("volume", "m3"): "meter ** 3",
    ("volume", "L"): "liter",
    ("volume", "mL"): "milliliter",
    ("volume", "gal"): "gallon",
    ("volume", "qt"): "quart",
    ("volume", "cup"): "cup",
    ("volume", "floz"): "fluid_ounce",
    ("volume", "tbsp"): "tablespoon",
    ("volume", "tsp"): "teaspoon",
    ("volume", "ft3"): "foot ** 3",
    ("time", "s"): "second",
    ("time", "min"): "minute",
    ("time", "h"): "hour",
    ("time", "d"): "day",
    ("power", "W"): "watt",
    ("power", "kW"): "kilowatt",
    ("power", "Btu/h"): "Btu_it / hour",
    ("energy", "J"): "joule",
    ("energy", "kJ"): "kilojoule",
    ("energy", "MJ"): "megajoule",
    ("energy", "Btu"): "Btu_it",
    ("pressure", "Pa"): "pascal",
    ("pressure", "kPa"): "kilopascal",
    ("pressure", "hPa"): "hectopascal",
    ("pressure", "inHg"): "inch_Hg",
    ("strength", "ppm"): "ppm",
    ("strength", "%"): "percent",
}
"""Each unit by the name Pint has for it. The Btu is the International Table one (``Btu_it``)."""

INHG = ("pressure", "inHg")
"""An inch of mercury is a convention (density of mercury at 0 degC, standard gravity). This program
takes 3386.389 Pa, NIST SP 811 (2008), Appendix B.8, rounded; Pint multiplies its own density of
mercury by standard gravity, 3386.38864 Pa. They differ by less than half of the last printed
figure."""
INHG_RELATIVE = 0.0005 / 3386.389

EVERY = [(dimension, unit) for dimension, units in UNITS.items() for unit in units]
VALUES = (-40.0, 0.0, 1.0, 32.0, 39.2, 40.0, 98.6, 1234.5)


def test_every_unit_is_compared_and_nothing_else():
    assert set(PINT) == set(EVERY)
    assert set(SI) == set(UNITS)


@pytest.mark.parametrize(("dimension", "unit"), EVERY)
def test_a_unit_converts_as_in_pint(dimension, unit):
    relative = INHG_RELATIVE if (dimension, unit) == INHG else 1e-12
    for value in VALUES:
        there = REGISTRY.Quantity(value, PINT[dimension, unit]).to(SI[dimension]).magnitude
        assert to_si(value, unit, dimension) == pytest.approx(there, rel=relative, abs=1e-12)
        back = REGISTRY.Quantity(value, SI[dimension]).to(PINT[dimension, unit]).magnitude
        assert from_si(value, unit, dimension) == pytest.approx(back, rel=relative, abs=1e-11)


def test_the_inch_of_mercury_is_the_printed_convention():
    assert to_si(1.0, "inHg", "pressure") == 3386.389
