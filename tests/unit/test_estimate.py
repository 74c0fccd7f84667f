import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pinfeather.errors import InputError
from pinfeather.estimate import Basis, Estimate, Origin

BASIS = Basis(Origin.TYPED, "typed for this plan", "measured")
FINITE = st.floats(allow_nan=False, allow_infinity=False)


@given(st.lists(FINITE, min_size=3, max_size=3))
def test_three_finite_numbers_in_order_make_an_estimate(numbers):
    low, value, high = sorted(numbers)
    found = Estimate(value, low, high, BASIS)
    assert (found.low, found.value, found.high) == (low, value, high)


@pytest.mark.parametrize(
    ("value", "low", "high"),
    [
        (1.0, 2.0, 3.0),
        (4.0, 2.0, 3.0),
        (2.5, 3.0, 2.0),
        (math.nan, 1.0, 2.0),
        (1.0, math.nan, 2.0),
        (1.0, 0.0, math.inf),
        (1.0, -math.inf, 2.0),
    ],
)
def test_anything_else_is_refused_with_a_sentence(value, low, high):
    with pytest.raises(InputError, match="finite low, value and high in that order"):
        Estimate(value, low, high, BASIS)


def test_a_certain_number_is_its_own_band():
    assert Estimate(5.0, 5.0, 5.0, BASIS).low == 5.0


def test_the_origins_are_words_for_files():
    assert {origin.value for origin in Origin} == {"handbook", "own", "typed", "computed"}


def test_a_basis_needs_no_status():
    assert Basis(Origin.COMPUTED, "from others").status == ""
