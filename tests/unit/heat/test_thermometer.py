import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pinfeather.errors import InputError
from pinfeather.heat.thermometer import (
    Instrument,
    Verdict,
    cold_enough,
    corrected_degC,
    disagreement,
    ice_point_offset_K,
    uncertainty_K,
)
from pinfeather.units import to_si


def degC(value_F):
    return to_si(value_F, "F", "temperature")


@given(tenths=st.integers(300, 1000))
def test_a_reading_at_the_limit_passes_in_any_unit(tenths):
    reading = degC(tenths / 10)
    assert cold_enough(reading, limit_degC=degC(tenths / 10), uncertainty_K=0.0) is Verdict.YES
    off = corrected_degC(degC(tenths / 10 + 1.1), ice_reading_degC=degC(33.1))
    assert cold_enough(off, limit_degC=reading, uncertainty_K=0.0) is Verdict.YES
    warm = corrected_degC(degC(tenths / 10 + 0.1), ice_reading_degC=None)
    assert cold_enough(warm, limit_degC=reading, uncertainty_K=0.0) is Verdict.NO


@pytest.mark.parametrize(
    ("reading_F", "accuracy_F", "verdict"),
    [
        (38.0, 2.0, Verdict.YES),
        (38.1, 2.0, Verdict.NOT_PROVEN),
        (39.0, 1.0, Verdict.YES),
        (40.0, 1.0, Verdict.NOT_PROVEN),
        (41.0, 1.0, Verdict.NOT_PROVEN),
        (41.1, 1.0, Verdict.NO),
    ],
)
def test_the_guard_band(reading_F, accuracy_F, verdict):
    found = cold_enough(degC(reading_F), limit_degC=degC(40), uncertainty_K=accuracy_F * 5 / 9)
    assert found is verdict


def test_ice_reading_is_taken_off():
    assert ice_point_offset_K(0.6) == pytest.approx(0.6)
    assert corrected_degC(5.0, ice_reading_degC=0.6) == pytest.approx(4.4)
    assert corrected_degC(5.0, ice_reading_degC=None) == 5.0


@given(ice=st.floats(-3, 3), boil=st.floats(91, 101), true=st.floats(92, 100))
def test_two_points_put_both_checks_right(ice, boil, true):
    def right(reading):
        return corrected_degC(
            reading, ice_reading_degC=ice, boil_reading_degC=boil, boil_true_degC=true
        )

    assert right(ice) == pytest.approx(0.0, abs=1e-9)
    assert right(boil) == pytest.approx(true)


def test_half_a_check_is_refused():
    with pytest.raises(InputError):
        corrected_degC(5.0, ice_reading_degC=None, boil_reading_degC=99.0, boil_true_degC=100.0)
    with pytest.raises(InputError):
        corrected_degC(5.0, ice_reading_degC=0.0, boil_reading_degC=99.0)
    with pytest.raises(InputError):
        corrected_degC(5.0, ice_reading_degC=0.0, boil_reading_degC=70.0, boil_true_degC=100.0)
    with pytest.raises(InputError):
        ice_point_offset_K(15.0)


@given(days=st.floats(0, 100), accuracy=st.floats(0, 3))
def test_trust_fades_with_days_since_the_check(days, accuracy):
    now = uncertainty_K(accuracy_K=accuracy, checked=True, days_since_check=days)
    later = uncertainty_K(accuracy_K=accuracy, checked=True, days_since_check=days + 1)
    never = uncertainty_K(accuracy_K=accuracy, checked=False, days_since_check=None)
    assert accuracy / 2 <= now <= later <= never == accuracy


def test_a_check_of_unknown_age_counts_for_nothing():
    assert uncertainty_K(accuracy_K=1.0, checked=True, days_since_check=None) == 1.0
    with pytest.raises(InputError):
        uncertainty_K(accuracy_K=-1.0, checked=False, days_since_check=None)
    with pytest.raises(InputError):
        uncertainty_K(accuracy_K=1.0, checked=True, days_since_check=-2.0)


def test_thermometers_within_their_accuracy_agree():
    found = disagreement(Instrument("blue", 3.0, 1.0), Instrument("red", 4.9, 1.0))
    assert not found.differ
    assert found.finding is None


def test_the_one_checked_today_is_trusted():
    blue = Instrument("blue", 3.0, 0.5)
    red = Instrument("red", 5.0, 1.0, ice_reading_degC=0.0, days_since_check=0.0)
    found = disagreement(blue, red)
    assert found.differ
    assert found.trust == "red"
    assert "today" in found.why
    assert found.finding is not None


def test_otherwise_checked_beats_unchecked_and_finer_beats_coarser():
    old = Instrument("old", 3.0, 1.0, ice_reading_degC=0.2, days_since_check=20.0)
    assert disagreement(Instrument("new", 6.0, 0.5), old).trust == "old"
    fine, coarse = Instrument("fine", 3.0, 0.5), Instrument("coarse", 6.0, 1.0)
    assert disagreement(fine, coarse).trust == "fine"
    assert disagreement(coarse, fine).trust == "fine"
    assert disagreement(coarse, Instrument("twin", 1.0, 1.0)).trust is None


def test_the_ice_check_is_used_before_comparing():
    off = Instrument("off", 5.5, 0.5, ice_reading_degC=2.5, days_since_check=0.0)
    good = Instrument("good", 3.0, 0.5, ice_reading_degC=0.0, days_since_check=0.0)
    assert disagreement(off, good).difference_K == pytest.approx(0.0)


def test_a_reading_that_is_no_number_is_refused():
    with pytest.raises(InputError):
        cold_enough(math.nan, limit_degC=4.4, uncertainty_K=0.0)
    with pytest.raises(InputError):
        cold_enough(3.0, limit_degC=4.4, uncertainty_K=-0.1)
