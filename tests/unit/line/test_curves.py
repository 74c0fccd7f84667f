import pytest
from hypothesis import given
from hypothesis import strategies as st

from pinfeather.errors import InputError
from pinfeather.line.curves import (
    allowance_frac,
    exponent,
    mean_time_s,
    standard_time_s,
    total_time_s,
    unit_time_s,
)


@given(st.floats(0.5, 1.0), st.integers(1, 200))
def test_twice_the_practice_gives_the_rate_whatever_the_model(rate, unit):
    assert unit_time_s(10, 2 * unit, rate=rate) == pytest.approx(
        rate * unit_time_s(10, unit, rate=rate)
    )
    assert mean_time_s(10, 2 * unit, rate=rate) == pytest.approx(
        rate * mean_time_s(10, unit, rate=rate)
    )


@given(st.floats(0.5, 1.0), st.integers(1, 60), st.floats(0, 1))
def test_a_share_that_cannot_be_learned_keeps_times_up(rate, units, fixed):
    learned = total_time_s(10, units, rate=rate)
    held = total_time_s(10, units, rate=rate, fixed_frac=fixed)
    assert learned - 1e-9 <= held <= 10 * units + 1e-9


def test_the_constant_allowances_are_always_in():
    assert allowance_frac() == pytest.approx(0.09)
    assert allowance_frac("standing", "bending", "lift 10 lb", "monotony medium") == pytest.approx(
        0.15
    )


def test_unknown_marks_are_refused():
    with pytest.raises(InputError):
        allowance_frac("boredom")


@pytest.mark.parametrize("rate", [0.0, 1.1, -1.0])
def test_impossible_rates_are_refused(rate):
    with pytest.raises(InputError):
        exponent(rate)


def test_an_allowance_that_leaves_no_time_is_refused():
    with pytest.raises(InputError):
        standard_time_s(100, 1.0)
