import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pinfeather.errors import InputError, OutOfRangeError
from pinfeather.hygiene.curve import read_curve
from pinfeather.hygiene.rates import Log10
from pinfeather.hygiene.spoilage import relative_rate, shelf_life, time_left_s, time_on_ice_s

DAY_S = 86400.0


def held(temp_degC, days):
    return read_curve([0, days * DAY_S], [temp_degC, temp_degC], max_gap_s=np.inf)


@given(st.floats(0, 20), st.floats(0.01, 10))
def test_warmer_birds_keep_less_long(temp_degC, more_K):
    cold, warm = shelf_life(temp_degC), shelf_life(temp_degC + more_K)
    assert warm.value < cold.value
    assert cold.low <= cold.value <= cold.high


@given(st.floats(0, 15), st.floats(0, 6), st.floats(0.01, 0.9))
def test_dirtier_birds_keep_less_long(temp_degC, start, less):
    clean = shelf_life(temp_degC, start=Log10(start))
    dirty = shelf_life(temp_degC, start=Log10(start + less))
    assert dirty.value < clean.value


@given(st.floats(-30, 40), st.floats(0.01, 30))
def test_time_on_ice_is_rate_times_time_at_a_steady_temperature(temp_degC, days):
    aged = time_on_ice_s(held(temp_degC, days))
    assert aged == pytest.approx(float(relative_rate(temp_degC)) * days * DAY_S, rel=1e-9)


def test_frozen_birds_do_not_age():
    assert relative_rate([-10, -18]).tolist() == [0, 0]


def test_used_and_left_make_the_whole():
    whole = shelf_life(4).low
    left = time_left_s(held(4, 1), hold_degC=4)
    assert left == pytest.approx(whole - DAY_S, rel=1e-6)
    assert time_left_s(held(25, 10), hold_degC=4) == 0


def test_keeping_times_outside_the_data_are_refused():
    for temp_degC in (-1, 31, float("nan")):
        with pytest.raises(OutOfRangeError):
            shelf_life(temp_degC)
    with pytest.raises(InputError):
        shelf_life(4, start=Log10(7))
