import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pinfeather.errors import InputError, OutOfRangeError
from pinfeather.heat.hotwater import (
    evaporation_W_per_m2,
    surface_loss_W_per_m2,
    wall_loss_W_per_m2,
)
from pinfeather.heat.scalder import (
    OPEN_POT_EFFICIENCY,
    SCALD_BANDS,
    bird_heat_J,
    heating_time_s,
    holding,
    over_scald_signs,
    propane_cautions,
    propane_kg,
    scald_band,
    scald_cautions,
    scald_test,
    surface_area_m2,
    under_scald_signs,
    warm_up,
)
from pinfeather.units import J_PER_BTU, M3_PER_GALLON, to_si

POT = {
    "volume_m3": 30 * M3_PER_GALLON,
    "from_degC": 15.6,
    "to_degC": 62.8,
    "burner_W": 50000 * J_PER_BTU / 3600,
}


def test_losses_make_warm_up_slower_than_the_bare_sum():
    found = warm_up(**POT)
    bare_s = found.heat_J / (POT["burner_W"] * OPEN_POT_EFFICIENCY.value)
    assert bare_s < found.time_s < 1.3 * bare_s
    assert found.low_s < found.time_s < found.high_s
    assert found.propane_kg == pytest.approx(propane_kg(POT["burner_W"] * found.time_s))


def test_a_lid_helps_and_wind_hurts():
    times = [warm_up(**POT, **how).time_s for how in ({"covered": True}, {}, {"sheltered": False})]
    assert times == sorted(times)


def test_a_candle_never_gets_there():
    found = warm_up(**{**POT, "burner_W": 800.0})
    assert found.time_s is None
    assert found.propane_kg is None
    assert found.heat_J > 0


def test_a_weak_burner_may_manage_only_on_a_good_day():
    found = warm_up(**{**POT, "burner_W": 2900.0})
    assert found.low_s is not None
    assert found.high_s is None


def test_water_hot_already_takes_no_time():
    assert warm_up(**{**POT, "from_degC": 65.0}).time_s == 0.0


def test_heating_without_loss_is_capacity_over_power():
    found = heating_time_s(1000.0, lambda _: 0.0, from_degC=10, to_degC=30, useful_W=100.0)
    assert found == pytest.approx(200.0)


@given(water=st.floats(20.0, 95.0), air=st.floats(0.0, 40.0))
def test_losses_never_fall_as_water_gets_hotter(water, air):
    assert (
        surface_loss_W_per_m2(water + 1.0, air_degC=air)
        >= surface_loss_W_per_m2(water, air_degC=air)
        >= 0
    )
    assert wall_loss_W_per_m2(water + 1.0, air_degC=air) >= wall_loss_W_per_m2(water, air_degC=air)


@given(water=st.floats(45.0, 85.0), air=st.floats(0.0, 35.0))
def test_losses_fall_as_the_air_warms(water, air):
    assert evaporation_W_per_m2(water, air_degC=air + 1) < evaporation_W_per_m2(water, air_degC=air)
    assert surface_loss_W_per_m2(water, air_degC=air + 1) < surface_loss_W_per_m2(
        water, air_degC=air
    )


def test_water_as_warm_as_the_air_loses_nothing():
    assert surface_loss_W_per_m2(20.0, air_degC=20.0) == 0.0
    assert wall_loss_W_per_m2(20.0, air_degC=25.0) == 0.0


def test_the_tables_say_where_they_end():
    with pytest.raises(OutOfRangeError):
        evaporation_W_per_m2(30.0, air_degC=20.0)
    with pytest.raises(OutOfRangeError):
        surface_loss_W_per_m2(101.0, air_degC=20.0)
    with pytest.raises(OutOfRangeError):
        wall_loss_W_per_m2(101.0, air_degC=20.0)
    with pytest.raises(OutOfRangeError):
        surface_loss_W_per_m2(60.0, air_degC=60.0)


def test_holding_adds_up():
    found = holding(volume_m3=30 * M3_PER_GALLON, water_degC=62.8, birds_per_h=40.0)
    assert found.power_W * OPEN_POT_EFFICIENCY.value == pytest.approx(
        found.surface_W + found.walls_W + found.birds_W
    )
    # about a pound of propane an hour for forty birds
    assert 0.3 < found.propane_kg_per_h < 0.6
    idle = holding(volume_m3=30 * M3_PER_GALLON, water_degC=62.8, birds_per_h=0.0)
    assert idle.birds_W == 0.0


def test_a_bigger_bird_takes_more_heat_out():
    assert bird_heat_J(5.0, water_degC=62.0) > bird_heat_J(2.0, water_degC=62.0)
    assert bird_heat_J(2.0, water_degC=30.0, makeup_degC=30.0) == 0.0


def test_surface_area_has_a_band():
    area = surface_area_m2(30 * M3_PER_GALLON)
    assert area.value == pytest.approx(2.76 * 0.3048**2, rel=0.01)
    assert area.low < area.value < area.high


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("volume_m3", 0.0),
        ("burner_W", -1.0),
        ("to_degC", math.nan),
        ("efficiency_frac", 1.4),
        ("efficiency_frac", 0.0),
        ("surface_m2", -0.1),
    ],
)
def test_what_cannot_be_is_refused(name, value):
    with pytest.raises(InputError):
        warm_up(**{**POT, name: value})


def test_every_band_is_in_order_with_a_source():
    for band in SCALD_BANDS:
        assert band.low_degC <= band.high_degC < 80
        assert 0 < band.low_s <= band.high_s
        assert band.source
        assert band.status in {"read", "second hand", "unverified", "disputable"}
        assert band.low_degC == to_si(band.low_F, "F", "temperature")


def test_each_bird_has_a_band_and_an_unknown_one_does_not():
    for species in ("chicken", "turkey", "duck", "goose"):
        assert scald_band(species).species == species
        assert scald_band(species, kind="soft").high_F <= scald_band(species).high_F
    with pytest.raises(InputError):
        scald_band("ostrich")


def test_people_are_warned_about_hot_water_and_gas():
    assert any("burns" in sentence for sentence in scald_cautions())
    assert any("carbon monoxide" in sentence for sentence in propane_cautions())
    assert under_scald_signs()
    assert over_scald_signs()
    assert scald_test()
