import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pinfeather.errors import InputError, OutOfRangeError
from pinfeather.heat.food import (
    component,
    composition,
    earle,
    properties,
    siebel_J_per_kgK,
    white_meat_conductivity_W_per_mK,
)
from pinfeather.heat.frozen import (
    ball_radius_m,
    chang_tao_freezing_degC,
    conductivity_W_per_mK,
    enthalpy_chang_tao,
    enthalpy_chen,
    frozen_properties,
    heat_to_freeze_J_per_kg,
    ice_chen,
    ice_miles,
    ice_tchigeov,
    solids_kg_per_mol,
)
from pinfeather.heat.tables import load

ITEMS = [row["name"] for row in load("food")["items"]]
STATUSES = {"read", "second hand", "unverified", "assumed"}


@pytest.mark.parametrize("item", ITEMS)
def test_shares_add_up_and_have_a_source(item):
    stuff = composition(item)
    total = stuff.water_frac + stuff.protein_frac + stuff.fat_frac + stuff.ash_frac
    assert total == pytest.approx(1.0)
    assert stuff.source
    assert stuff.status in STATUSES
    assert -4.0 < stuff.freezing_degC < 0.0


@pytest.mark.parametrize("item", ITEMS)
def test_series_conductivity_is_the_lower_bound(item):
    found = properties(composition(item), np.linspace(0, 40, 9))
    assert np.all(found.series_W_per_mK < found.parallel_W_per_mK)
    assert np.all((found.density_kg_per_m3 > 950) & (found.density_kg_per_m3 < 1100))
    assert np.all((found.specific_heat_J_per_kgK > 2900) & (found.specific_heat_J_per_kgK < 3700))


def test_fat_conducts_at_every_temperature():
    # a printing with e-3 for e-4 makes it negative
    assert np.all(component("conductivity_W_per_mK", "fat", np.linspace(-40, 150, 50)) > 0.1)


def test_tables_end_where_they_end():
    with pytest.raises(OutOfRangeError):
        component("conductivity_W_per_mK", "fat", 151.0)
    with pytest.raises(OutOfRangeError):
        white_meat_conductivity_W_per_mK(-5.0)
    with pytest.raises(InputError):
        composition("ostrich")
    with pytest.raises(InputError):
        siebel_J_per_kgK(1.5)
    with pytest.raises(InputError):
        earle(-0.1)
    with pytest.raises(InputError):
        enthalpy_chang_tao(-60.0, water_frac=0.7)


@given(item=st.sampled_from(ITEMS), degC=st.floats(-40, 40))
def test_ice_stays_between_nothing_and_all_the_water(item, degC):
    stuff = composition(item)
    for share in (
        ice_tchigeov(degC, water_frac=stuff.water_frac, freezing_degC=stuff.freezing_degC),
        ice_miles(
            degC,
            water_frac=stuff.water_frac,
            bound_water_frac=stuff.bound_water_frac,
            freezing_degC=stuff.freezing_degC,
        ),
    ):
        assert 0 <= share <= stuff.water_frac
        if degC >= stuff.freezing_degC:
            assert share == pytest.approx(0.0, abs=1e-15)


@given(item=st.sampled_from(ITEMS), degC=st.floats(-40, -3))
def test_chen_with_schwartzbergs_solids_is_miles(item, degC):
    stuff = composition(item)
    chen = ice_chen(
        degC,
        solids_frac=stuff.solids_frac,
        solids_kg_per_mol=solids_kg_per_mol(stuff),
        freezing_degC=stuff.freezing_degC,
    )
    miles = ice_miles(
        degC,
        water_frac=stuff.water_frac,
        bound_water_frac=stuff.bound_water_frac,
        freezing_degC=stuff.freezing_degC,
    )
    assert chen == pytest.approx(miles, rel=1e-9)


@given(item=st.sampled_from(ITEMS), degC=st.floats(-39, 39))
def test_heat_grows_with_temperature_without_a_jump(item, degC):
    stuff = composition(item)

    def heat(t):
        return enthalpy_chen(
            t,
            water_frac=stuff.water_frac,
            bound_water_frac=stuff.bound_water_frac,
            freezing_degC=stuff.freezing_degC,
        )

    step = float(heat(degC + 1e-3) - heat(degC))
    assert 0 < step < 1e-3 * 3.5e5


def test_counting_all_water_is_the_safe_side():
    stuff = composition("chicken")
    some = heat_to_freeze_J_per_kg(stuff, from_degC=4.0, to_degC=-18.0)
    whole = heat_to_freeze_J_per_kg(stuff, from_degC=4.0, to_degC=-18.0, all_water=True)
    assert some < whole < 1.35 * some
    with pytest.raises(InputError):
        heat_to_freeze_J_per_kg(stuff, from_degC=-18.0, to_degC=4.0)


def test_frozen_meat_conducts_about_three_times_better():
    stuff = composition("chicken light")
    thawed, frozen = conductivity_W_per_mK(stuff, np.array([4.0, -20.0]))
    assert 2.3 < frozen / thawed < 3.2
    # 15 % is what property models of frozen meat scatter by in print
    assert frozen == pytest.approx(white_meat_conductivity_W_per_mK(-20.0), rel=0.16)
    assert frozen_properties(stuff, -20.0).density_kg_per_m3 < 1050


def test_chang_and_taos_freezing_point_is_too_high_for_poultry():
    assert chang_tao_freezing_degC(0.66) > composition("chicken").freezing_degC + 1.5


def test_a_ball_of_water_weighs_what_it_should():
    assert ball_radius_m(4.18879, density_kg_per_m3=1000.0) == pytest.approx(0.1, rel=1e-5)
