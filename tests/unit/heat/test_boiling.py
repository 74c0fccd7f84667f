import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from iapws import IAPWS97

from pinfeather.errors import InputError, OutOfRangeError
from pinfeather.heat.boiling import boiling_degC, pressure_Pa


@settings(deadline=None)
@given(pressure=st.floats(650.0, 2.0e7))
def test_boiling_agrees_with_the_steam_tables_library(pressure):
    steam = IAPWS97(P=pressure / 1e6, x=0.5)
    assert boiling_degC(pressure_Pa=pressure) == pytest.approx(steam.T - 273.15, abs=1e-6)


@settings(deadline=None)
@given(height=st.floats(-400.0, 8000.0))
def test_it_boils_cooler_higher_up(height):
    assert boiling_degC(altitude_m=height + 50) < boiling_degC(altitude_m=height)
    assert pressure_Pa(height + 50) < pressure_Pa(height)


def test_height_and_its_pressure_agree():
    assert boiling_degC(altitude_m=1500.0) == boiling_degC(pressure_Pa=pressure_Pa(1500.0))


def test_one_of_the_two_has_to_be_given():
    with pytest.raises(InputError):
        boiling_degC()
    with pytest.raises(InputError):
        boiling_degC(altitude_m=0.0, pressure_Pa=101325.0)


def test_places_outside_the_source_are_refused():
    with pytest.raises(OutOfRangeError):
        pressure_Pa(10000.0)
    with pytest.raises(OutOfRangeError):
        boiling_degC(pressure_Pa=100.0)
    with pytest.raises(OutOfRangeError):
        boiling_degC(altitude_m=float("nan"))
