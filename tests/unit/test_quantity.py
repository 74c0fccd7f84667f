import math
import string

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pinfeather.errors import InputError
from pinfeather.quantity import parse, show
from pinfeather.rules.profile import load
from pinfeather.units import UNITS, from_si, to_si

EVERY = [(dimension, unit) for dimension, units in UNITS.items() for unit in units]


@pytest.mark.parametrize(
    ("text", "dimension", "value", "unit"),
    [
        ("4 lb 3 oz", "mass", 4.1875, "lb"),
        ("39.2 F", "temperature", 39.2, "F"),
        ("1.8 kg", "mass", 1.8, "kg"),
        ("  1.8   kg ", "mass", 1.8, "kg"),
        ("1.8kg", "mass", 1.8, "kg"),
        (".5 lb", "mass", 0.5, "lb"),
        ("+4 lb", "mass", 4.0, "lb"),
        ("5 lb.", "mass", 5.0, "lb"),
        ("4 lb. 3 oz.", "mass", 4.1875, "lb"),
        ("4 pounds", "mass", 4.0, "lb"),
        ("4#", "mass", 4.0, "lb"),
        ("-4 C", "temperature", -4.0, "C"),
        ("40 °F", "temperature", 40.0, "F"),
        ("40 degrees f", "temperature", 40.0, "F"),
        ("2 min 30 s", "time", 2.5, "min"),
        ("1 h 30 min 36 s", "time", 1.51, "h"),
        ("""5' 6\"""", "length", 5.5, "ft"),
        ("3 ft2", "area", 3.0, "ft2"),
        ("3 sq ft", "area", 3.0, "ft2"),
        ("18 cu ft", "volume", 18.0, "ft3"),
        ("6 fl oz", "volume", 6.0, "floz"),
        ("1 800 g", "mass", 1800.0, "g"),
        ("60 000 Btu/h", "power", 60000.0, "Btu/h"),
        ("8.25 %", "strength", 8.25, "%"),
        ("29.5 in Hg", "pressure", 29.5, "inHg"),
    ],
)
def test_a_quantity_is_read_as_people_write_it(text, dimension, value, unit):
    found = parse(text, dimension)
    assert found.value == pytest.approx(value, rel=1e-15)
    assert found.unit == unit
    assert found.si == to_si(found.value, unit, dimension)
    assert found.written == " ".join(text.split())


def test_a_true_minus_sign_reads_as_a_minus():
    assert parse("−4 C", "temperature").si == -4.0
    assert parse("−0.5 F", "temperature").value == -0.5


@pytest.mark.parametrize(
    ("text", "dimension", "says"),
    [
        ("", "mass", "Write a mass here"),
        ("   ", "temperature", "Write a temperature here"),
        ("40", "temperature", "has no unit"),
        ("4 lb 3", "mass", "has no unit"),
        ("1.8.2 kg", "mass", "has no unit"),
        ("5-6 lb", "mass", "has no unit"),
        ("39,5 F", "temperature", "comma"),
        ("1,800 g", "mass", "comma"),
        ("cold", "temperature", "is not a temperature"),
        ("F 40", "temperature", "is not a temperature"),
        ("–5 F", "temperature", "is not a temperature"),
        ("nan kg", "mass", "is not a mass"),
        ("inf kg", "mass", "is not a mass"),
        ("4 kg", "temperature", "not a unit of temperature"),
        ("300 K", "temperature", "not a unit of temperature"),
        ("4 F", "mass", "not a unit of mass"),
        ("4 stone", "mass", "not a unit of mass"),
        ("1e400 kg", "mass", "not a unit of mass"),
        ("9" * 400 + " kg", "mass", "too large"),
        ("4 lb 17 oz", "mass", "does not add up"),
        ("4 lb 16 oz", "mass", "does not add up"),
        ("4 oz 3 lb", "mass", "does not add up"),
        ("4 lb -3 oz", "mass", "not a unit of mass"),
        ("-4 lb 3 oz", "mass", "does not add up"),
        ("4 lb 3 lb", "mass", "does not add up"),
        ("4 kg 3 g", "mass", "does not add up"),
        ("2 h 61 min", "time", "does not add up"),
    ],
)
def test_what_cannot_be_meant_is_refused_with_a_sentence(text, dimension, says):
    with pytest.raises(InputError) as caught:
        parse(text, dimension, name="lots[0].mean")
    assert caught.value.name == "lots[0].mean"
    assert says in caught.value.problem
    assert caught.value.problem.endswith(".")


def test_the_refusal_of_a_bare_number_names_the_units_it_could_have():
    with pytest.raises(InputError, match="kg, g, lb, oz"):
        parse("5", "mass")


@given(
    st.text(alphabet=string.printable + "°−²³\u202f½٤", max_size=20), st.sampled_from(list(UNITS))
)
def test_any_text_is_either_a_finite_quantity_or_a_sentence(text, dimension):
    problem = ""
    try:
        found = parse(text, dimension)
    except InputError as fault:
        problem = fault.problem
    assert problem or math.isfinite(found.si)


@pytest.mark.parametrize(("dimension", "unit"), EVERY)
@settings(max_examples=25)
@given(value=st.floats(-99999, 99999))
def test_what_is_shown_can_be_read_back(dimension, unit, value):
    text = show(to_si(value, unit, dimension), unit, dimension, decimals=6)
    back = parse(text, dimension)
    assert UNITS[dimension][back.unit].factor == UNITS[dimension][unit].factor
    assert back.value == pytest.approx(value, abs=1e-6)


@given(pounds=st.integers(0, 60), ounces=st.integers(0, 15))
def test_pounds_and_ounces_are_the_same_weight_as_all_in_ounces(pounds, ounces):
    together = parse(f"{pounds} lb {ounces} oz", "mass")
    assert together.si == pytest.approx(parse(f"{pounds * 16 + ounces} oz", "mass").si, rel=1e-14)


def test_a_reading_of_forty_fahrenheit_is_exactly_the_published_limit():
    limit = load("us-federal").chill.target
    assert (limit.value, limit.unit) == (40, "F")
    assert parse("40 F", "temperature").si == limit.si
    assert parse("40.0 °F", "temperature").si == limit.si
    assert parse("40.1 F", "temperature").si > limit.si


@pytest.mark.parametrize(
    ("value_si", "unit", "dimension", "decimals", "text"),
    [
        (0.0, "F", "temperature", 1, "32.0\u202f°F"),
        (to_si(4.1875, "lb", "mass"), "lb", "mass", None, "4.19\u202flb"),
        (to_si(41.875, "lb", "mass"), "lb", "mass", None, "41.9\u202flb"),
        (to_si(418.75, "lb", "mass"), "lb", "mass", None, "419\u202flb"),
        (-1e-9, "C", "temperature", 1, "0.0\u202f°C"),
        (-0.06, "C", "temperature", 1, "-0.1\u202f°C"),
        (1e-4, "ppm", "strength", 0, "100\u202fppm"),
    ],
)
def test_numbers_are_shown_with_three_figures_or_as_asked(
    value_si, unit, dimension, decimals, text
):
    assert show(value_si, unit, dimension, decimals=decimals) == text


def test_showing_in_a_unit_of_something_else_fails():
    with pytest.raises(KeyError):
        show(1.0, "kg", "time")


@given(st.floats(-50, 120))
def test_a_shown_temperature_is_within_half_its_last_digit(temp_degC):
    number = float(show(temp_degC, "F", "temperature", decimals=1).split("\u202f")[0])
    assert abs(number - from_si(temp_degC, "F", "temperature")) <= 0.05 + 1e-9
