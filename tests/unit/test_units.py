import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pinfeather.units import UNITS, from_si, to_si

EVERY = [(dimension, unit) for dimension, units in UNITS.items() for unit in units]


def test_forty_fahrenheit_as_a_limit_equals_forty_fahrenheit_as_a_reading():
    assert to_si(40, "F", "temperature") == to_si(40.0, "F", "temperature")
    assert to_si(40, "F", "temperature") == 8 * (5 / 9)


@pytest.mark.parametrize(
    ("value", "unit", "dimension", "si"),
    [
        (32, "F", "temperature", 0.0),
        (212, "F", "temperature", 100.0),
        (0, "C", "temperature", 0.0),
        (9, "F", "temperature difference", 5.0),
        (16, "oz", "mass", 0.45359237),
        (1, "lb", "mass", 0.45359237),
        (1, "gal", "volume", 3.785411784e-3),
        (4, "qt", "volume", 3.785411784e-3),
        (16, "cup", "volume", 3.785411784e-3),
        (12, "in", "length", 0.3048),
        (1, "h", "time", 3600.0),
        (100, "ppm", "strength", 1e-4),
        (8.25, "%", "strength", 0.0825),
    ],
)
def test_well_known_pairs_convert(value, unit, dimension, si):
    assert to_si(value, unit, dimension) == pytest.approx(si, rel=1e-15, abs=1e-15)


def test_a_temperature_difference_has_no_offset():
    assert to_si(0, "F", "temperature difference") == 0.0
    assert from_si(0.0, "F", "temperature difference") == 0.0


@pytest.mark.parametrize(("dimension", "unit"), EVERY)
@settings(max_examples=25)
@given(value=st.floats(-1e6, 1e6))
def test_converting_there_and_back_gives_the_same_number(dimension, unit, value):
    back = from_si(to_si(value, unit, dimension), unit, dimension)
    assert math.isclose(back, value, rel_tol=1e-12, abs_tol=1e-10)


@pytest.mark.parametrize(("dimension", "unit"), EVERY)
@settings(max_examples=25)
@given(a=st.floats(-1e6, 1e6), b=st.floats(-1e6, 1e6))
def test_a_larger_number_is_never_a_smaller_amount(dimension, unit, a, b):
    low, high = sorted((a, b))
    assert to_si(low, unit, dimension) <= to_si(high, unit, dimension)


@pytest.mark.parametrize("convert", [to_si, from_si])
def test_a_unit_of_something_else_is_refused(convert):
    with pytest.raises(KeyError):
        convert(1.0, "kg", "length")


def test_every_unit_says_its_own_dimension_and_has_a_positive_factor():
    for dimension, unit in EVERY:
        found = UNITS[dimension][unit]
        assert found.dimension == dimension
        assert found.factor > 0
        assert found.symbol


def test_the_table_of_units_cannot_be_changed():
    with pytest.raises(TypeError):
        UNITS["mass"] = {}
