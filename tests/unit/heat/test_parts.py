import pytest

from pinfeather.errors import OutOfRangeError
from pinfeather.heat.hotwater import evaporation_in_wind_W_per_m2
from pinfeather.heat.livebirds import heat_index_degC
from pinfeather.heat.parts import (
    air_coefficient,
    bagged_chill_time,
    giblet_chill_time,
    lump_chill_time,
    packed_parts_chill_time,
    shrink_pot,
)
from pinfeather.units import to_si

LIMIT = to_si(40, "F", "temperature")


def test_loose_giblets_are_quick_and_a_bucket_is_not():
    loose = giblet_chill_time(
        half_m=0.022, shape="slab", bath_degC=1.0, limit_degC=LIMIT, surface_W_per_m2K=200.0
    )
    bucket = giblet_chill_time(half_m=0.11, bath_degC=1.0, limit_degC=LIMIT)
    assert loose.findings == ()
    assert bucket.time_s > 10 * 3600
    assert bucket.findings[0].code == "chill.giblets_slow"


def test_no_finite_time_in_water_as_warm_as_the_limit():
    found = giblet_chill_time(half_m=0.05, bath_degC=LIMIT, limit_degC=LIMIT)
    assert found.time_s is None
    assert found.findings
    assert (
        lump_chill_time(
            "sphere",
            half_m=0.05,
            surface_W_per_m2K=100.0,
            bath_degC=1.0,
            limit_degC=LIMIT,
            start_degC=3.0,
        ).time_s
        == 0.0
    )


def test_packs_chill_faster_in_slush_than_in_air():
    given_all = {"thickness_m": 0.05, "bath_degC": 1.0, "limit_degC": LIMIT}
    slush = packed_parts_chill_time(in_slush=True, **given_all).time_s
    air = packed_parts_chill_time(in_slush=False, **given_all).time_s
    assert air > 3 * slush


def test_a_tied_bag_is_worse_than_a_vacuum_bag():
    given_all = {"build": "lean", "bath_degC": 0.5, "limit_degC": 4.4, "start_degC": 32.0}
    tight = bagged_chill_time(1.25, tight=True, **given_all)
    tied = bagged_chill_time(1.25, tight=False, **given_all)
    assert tight.time_s / 60 == pytest.approx(62, abs=11)
    assert tied.time_s / 60 == pytest.approx(109, abs=24)


def test_moving_air_cools_better():
    assert air_coefficient(3.5).value == pytest.approx(23.0)
    assert air_coefficient(0.0).value < air_coefficient(1.0).value < air_coefficient(5.0).value
    with pytest.raises(OutOfRangeError):
        air_coefficient(20.0)


def test_200_F_cannot_be_reached_above_about_6500_ft():
    wanted = to_si(200, "F", "temperature")
    low, high = (shrink_pot(wanted_degC=wanted, altitude_m=feet * 0.3048) for feet in (6000, 7000))
    assert low.reachable
    assert not high.reachable
    assert high.findings[0].code == "shrink.boils_first"
    assert low.findings == ()
    assert 1.5 < low.warms_K < 3.5
    assert shrink_pot(wanted_degC=60.0, altitude_m=0.0).findings[0].code == "shrink.unusual"


def test_wind_formula_refuses_hot_water():
    with pytest.raises(OutOfRangeError):
        evaporation_in_wind_W_per_m2(to_si(170, "F", "temperature"), wind_m_per_s=0.0)
    still = evaporation_in_wind_W_per_m2(50.0, wind_m_per_s=0.0)
    assert evaporation_in_wind_W_per_m2(50.0, wind_m_per_s=1.34) > 2 * still
    assert evaporation_in_wind_W_per_m2(20.0, wind_m_per_s=0.0, air_vapour_Pa=9000.0) == 0.0


def test_heat_index_keeps_to_its_experiment():
    assert heat_index_degC(35.0, 24.0, air_m_per_s=1.0) < heat_index_degC(
        35.0, 24.0, air_m_per_s=0.2
    )
    for dry, wet, air in ((30.0, 20.0, 0.5), (36.0, 20.0, 3.0), (36.0, 37.0, 0.5)):
        with pytest.raises(OutOfRangeError):
            heat_index_degC(dry, wet, air_m_per_s=air)
