import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pinfeather.errors import InputError, OutOfRangeError
from pinfeather.heat.ice import ice_for_heat_kg, ice_need, mix, specific_heat, tank_gains_W
from pinfeather.heat.water import ICE_J_PER_KG_K, LATENT_J_PER_KG, WATER_J_PER_KG_K

TANK = {
    "birds_kg": 90.0,
    "species": "chicken",
    "start_degC": 38.0,
    "end_degC": 2.0,
    "fill_m3": 0.2,
    "fill_degC": 15.0,
    "gains_W": 500.0,
    "duration_s": 4 * 3600.0,
}


@given(reserve=st.floats(0.0, 1.0), birds=st.floats(0.0, 500.0), fill=st.floats(0.0, 2.0))
def test_the_parts_add_up_to_the_total(reserve, birds, fill):
    need = ice_need(**{**TANK, "birds_kg": birds, "fill_m3": fill}, reserve_frac=reserve)
    parts = need.birds_kg + need.water_kg + need.gains_kg
    assert need.total_kg == pytest.approx(parts + need.reserve_kg)
    assert need.reserve_kg == pytest.approx(reserve * parts)


def test_cold_water_and_cold_birds_need_no_ice():
    need = ice_need(**{**TANK, "start_degC": 1.0, "fill_degC": 0.5, "gains_W": 0.0})
    assert need.total_kg == 0.0


def test_ice_straight_from_the_freezer_does_a_tenth_more():
    assert ice_for_heat_kg(1e6) / ice_for_heat_kg(1e6, ice_degC=-18.0) == pytest.approx(
        1.11, abs=0.005
    )


def test_warm_ice_is_refused():
    with pytest.raises(InputError):
        ice_for_heat_kg(1e6, ice_degC=1.0)
    with pytest.raises(InputError):
        mix(birds_kg=1, birds_degC=38, water_kg=1, water_degC=10, ice_kg=1, ice_degC=1)


@given(
    birds=st.floats(0.0, 200.0),
    birds_degC=st.floats(0.0, 42.0),
    water=st.floats(1.0, 500.0),
    water_degC=st.floats(0.0, 30.0),
    ice=st.floats(0.0, 300.0),
    ice_degC=st.floats(-20.0, 0.0),
)
def test_mixing_neither_makes_nor_loses_heat(birds, birds_degC, water, water_degC, ice, ice_degC):
    cp = specific_heat("chicken").value
    before = (
        birds * cp * birds_degC
        + water * WATER_J_PER_KG_K * water_degC
        + ice * (ICE_J_PER_KG_K * ice_degC - LATENT_J_PER_KG)
    )
    try:
        after = mix(
            birds_kg=birds,
            birds_degC=birds_degC,
            water_kg=water,
            water_degC=water_degC,
            ice_kg=ice,
            ice_degC=ice_degC,
        )
    except OutOfRangeError:
        assert before < -LATENT_J_PER_KG * (water + ice)
        return
    capacity = birds * cp + (water + ice) * WATER_J_PER_KG_K
    total = capacity * after.temperature_degC - after.ice_left_kg * LATENT_J_PER_KG
    assert total == pytest.approx(before, rel=1e-9, abs=1e-3)
    assert after.temperature_degC == 0.0 or after.ice_left_kg == 0.0


def test_an_empty_tank_has_no_temperature():
    with pytest.raises(InputError):
        mix(birds_kg=0, birds_degC=38, water_kg=0, water_degC=10, ice_kg=0)


def test_foam_keeps_most_of_the_heat_out():
    bare, foam = (
        tank_gains_W(volume_m3=0.3785, insulated=way, air_degC=30.0) for way in (False, True)
    )
    assert 550 < bare.value < 900
    assert foam.value < bare.value / 5
    assert bare.low < bare.value < bare.high


def test_pump_and_sun_come_on_top_and_a_cold_day_takes_nothing_away():
    still = tank_gains_W(volume_m3=0.4, insulated=True, air_degC=-5.0)
    both = tank_gains_W(volume_m3=0.4, insulated=True, air_degC=-5.0, pump_W=100.0, sun_W=300.0)
    assert still.value == 0.0
    assert both.value == 400.0


@pytest.mark.parametrize(
    ("name", "value"),
    [("birds_kg", -1.0), ("fill_m3", math.nan), ("duration_s", -1.0), ("species", "ostrich")],
)
def test_what_cannot_be_is_refused(name, value):
    with pytest.raises(InputError):
        ice_need(**{**TANK, name: value})


def test_a_swimming_pool_is_out_of_range():
    with pytest.raises(OutOfRangeError):
        tank_gains_W(volume_m3=50.0, insulated=False, air_degC=20.0)
