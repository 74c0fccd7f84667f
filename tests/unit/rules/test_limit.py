"""A limit keeps what was published and converts like a reading."""

import pytest

from pinfeather.errors import InputError
from pinfeather.quantity import parse
from pinfeather.rules.limit import limit

SOURCE = {"citation": "a law", "status": "read", "in_force": "2015"}


def test_forty_fahrenheit_as_a_limit_equals_forty_fahrenheit_as_a_reading():
    assert limit(40, "F", **SOURCE).si == parse("40 F", "temperature").si


@pytest.mark.parametrize(
    ("value", "unit", "text"),
    [
        (40, "F", "40 °F"),
        (0.0625, "in", "0.0625 in"),
        (1000, "birds", "1,000 birds"),
        (74800, "USD", "$74,800"),
        (5.0, "pH", "pH 5"),
        (200, "ppm", "200 ppm"),
    ],
)
def test_a_limit_is_shown_as_published(value, unit, text):
    assert str(limit(value, unit, **SOURCE)) == text


def test_counted_things_stay_as_they_are():
    assert limit(6, "months", **SOURCE).si == 6.0


def test_an_unknown_unit_is_refused_with_the_known_ones():
    with pytest.raises(InputError, match="birds"):
        limit(1, "furlong", **SOURCE)
