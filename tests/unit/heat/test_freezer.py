import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pinfeather.errors import InputError
from pinfeather.heat.freezer import (
    Freezable,
    bird_freeze_time,
    freezable,
    freezer_load,
    pham_s,
    plank_s,
    staged_heat_J,
)
from pinfeather.units import KG_PER_LB, M3_PER_FOOT3

STUFF = freezable("chicken")


def test_a_four_pound_bird_freezes_hard_in_most_of_a_day():
    found = bird_freeze_time(1.8)
    assert 14 < found.time_s / 3600 < 19
    assert found.low_s < found.time_s < found.high_s
    # Pham takes all the latent heat: on the safe side
    assert 1.1 < found.safe_s / found.time_s < 1.35


def test_a_turkey_takes_much_longer():
    assert bird_freeze_time(9.1, item="turkey").time_s > 1.7 * bird_freeze_time(1.8).time_s


def test_a_refrigerator_never_freezes_and_a_frozen_bird_needs_no_time():
    assert bird_freeze_time(1.8, air_degC=1.0).time_s is None
    assert bird_freeze_time(1.8, start_degC=-15.0).time_s == 0.0


def test_a_freezer_barely_cold_enough_has_no_safe_figure():
    found = bird_freeze_time(1.8, air_degC=-11.0)
    assert found.time_s is None or found.time_s > 0


@given(
    thickness=st.floats(0.02, 0.2),
    surface=st.floats(5.0, 200.0),
    air=st.floats(-40.0, -20.0),
)
def test_thicker_bodies_and_warmer_air_freeze_slower(thickness, surface, air):
    def time_s(thickness, air):
        return pham_s(
            "sphere",
            thickness_m=thickness,
            stuff=STUFF,
            start_degC=4.0,
            centre_degC=-10.0,
            air_degC=air,
            surface_W_per_m2K=surface,
        )

    assert time_s(thickness * 1.1, air) > time_s(thickness, air)
    assert time_s(thickness, air + 1.0) > time_s(thickness, air)


def test_slab_rod_and_ball_are_in_the_ratio_of_their_dimensions():
    times = [
        plank_s(
            shape,
            thickness_m=0.1,
            density_kg_per_m3=1000.0,
            latent_J_per_kg=250e3,
            freezing_degC=-1.0,
            air_degC=-30.0,
            surface_W_per_m2K=20.0,
            conductivity_W_per_mK=1.4,
        )
        for shape in ("slab", "cylinder", "sphere")
    ]
    assert times[0] == pytest.approx(2 * times[1]) == pytest.approx(3 * times[2])


def test_air_too_warm_is_refused():
    with pytest.raises(InputError):
        plank_s(
            "slab",
            thickness_m=0.1,
            density_kg_per_m3=1000.0,
            latent_J_per_kg=250e3,
            freezing_degC=-1.0,
            air_degC=0.0,
            surface_W_per_m2K=20.0,
            conductivity_W_per_mK=1.4,
        )
    given_all = {
        "thickness_m": 0.1,
        "stuff": STUFF,
        "centre_degC": -18.0,
        "surface_W_per_m2K": 20.0,
    }
    with pytest.raises(InputError):
        pham_s("slab", start_degC=4.0, air_degC=-10.0, **given_all)
    with pytest.raises(InputError):
        pham_s("slab", start_degC=-10.0, air_degC=-30.0, **given_all)
    with pytest.raises(InputError):
        staged_heat_J(1.0, stuff=STUFF, from_degC=-5.0, freezing_degC=-2.8, to_degC=-18.0)


def test_stages_add_up():
    stuff = Freezable(1000.0, 1000.0, 3000.0, 1500.0, 200e3, 1.2)
    heats = staged_heat_J(2.0, stuff=stuff, from_degC=4.0, freezing_degC=-1.0, to_degC=-11.0)
    assert heats == (2 * 3000.0 * 5, 2 * 200e3, 2 * 1500.0 * 10)


def test_the_freezers_rule_sets_the_days():
    found = freezer_load(birds_kg=200 * KG_PER_LB, volume_m3=20 * M3_PER_FOOT3)
    assert found.days == 4
    assert found.per_day_kg.low == pytest.approx(40 * KG_PER_LB)
    assert "freezer.too_much_at_once" in {finding.code for finding in found.findings}
    assert np.isclose(found.power_W, found.heat_J / (4 * 86400))


def test_a_full_freezer_takes_no_more():
    found = freezer_load(
        birds_kg=100 * KG_PER_LB, volume_m3=7 * M3_PER_FOOT3, already_kg=150 * KG_PER_LB
    )
    assert "freezer.too_small" in {finding.code for finding in found.findings}
    assert freezer_load(birds_kg=10.0, volume_m3=0.6).findings == ()
    with pytest.raises(InputError):
        freezer_load(birds_kg=10.0, volume_m3=0.6, packing="loose")
