import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from pinfeather.errors import InputError
from pinfeather.hygiene.compost import (
    PILE_CAUTIONS,
    SETBACK_CAUTIONS,
    SICK_FLOCK_CAUTIONS,
    WATER,
    Material,
    Part,
    amend_for_moisture,
    amend_for_ratio,
    bin_plan,
    bin_volume_m3,
    carbon_to_nitrogen,
    materials,
    moisture_frac,
    pile_temperature,
)
from pinfeather.units import to_si

some = st.builds(
    Material,
    name=st.just("stuff"),
    carbon_frac=st.floats(0.2, 0.6),
    nitrogen_frac=st.floats(0.001, 0.15),
    moisture_frac=st.floats(0.05, 0.9),
)
parts = st.lists(
    st.builds(Part, material=some, mass_kg=st.floats(0.5, 500)), min_size=1, max_size=4
)


@given(parts, some, st.floats(5, 60))
def test_the_mix_has_the_ratio_asked_for_or_no_mix_exists(base, amendment, ratio):
    try:
        added = amend_for_ratio(base, amendment, ratio=ratio)
    except InputError:
        same_side = (carbon_to_nitrogen(base) - ratio) * (amendment.ratio - ratio)
        assert same_side >= -1e-6
        return
    assume(added.mass_kg < 1e6)
    assert added.mass_kg >= 0
    assert carbon_to_nitrogen([*base, added]) == pytest.approx(ratio, rel=1e-6)


@given(parts, some, st.floats(0.2, 0.8))
def test_the_mix_has_the_moisture_asked_for_or_no_mix_exists(base, amendment, goal):
    try:
        added = amend_for_moisture(base, amendment, goal_frac=goal)
    except InputError:
        same_side = (moisture_frac(base) - goal) * (amendment.moisture_frac - goal)
        assert same_side >= -1e-9
        return
    assume(added.mass_kg < 1e6)
    assert added.mass_kg >= 0
    assert moisture_frac([*base, added]) == pytest.approx(goal, rel=1e-6)


def test_water_does_not_change_the_ratio():
    base = [Part(materials()["offal"], 10)]
    assert carbon_to_nitrogen([*base, Part(WATER, 5)]) == pytest.approx(carbon_to_nitrogen(base))


def test_a_mix_already_there_needs_nothing():
    base = [Part(Material("half", 0.5, 0.05, 0.5), 10)]
    assert amend_for_ratio(base, materials()["straw"], ratio=10).mass_kg == 0
    assert amend_for_moisture(base, WATER, goal_frac=0.5).mass_kg == 0


def test_every_material_has_a_status_and_believable_numbers():
    for code, material in materials().items():
        assert material.status in {"read", "second hand", "unverified", "assumed"}, code
        assert 0 < material.carbon_frac < 1
        assert material.ratio > 2


def test_the_bin_grows_with_the_birds():
    assert bin_volume_m3(0) == 0
    one, two = (bin_plan(carcass_kg=2, daily_kg=d) for d in (5, 10))
    assert two.first_m3 == pytest.approx(2 * one.first_m3)
    assert two.second_m3 >= two.first_m3
    assert one.status == "unverified"
    heavy = bin_plan(carcass_kg=to_si(25, "lb", "mass"), daily_kg=5)
    assert heavy.first_s == pytest.approx(25 * 86400)


def test_the_pile_must_pass_131():
    assert pile_temperature().text == "131\u202f°F"


def test_the_cautions_name_distance_and_sick_flocks():
    assert any("200 ft" in s for s in SETBACK_CAUTIONS)
    assert any("veterinarian" in s for s in SICK_FLOCK_CAUTIONS)
    assert PILE_CAUTIONS


WRONG = {
    "nothing at all": lambda: moisture_frac([]),
    "only water": lambda: carbon_to_nitrogen([Part(WATER, 5)]),
    "negative mass": lambda: Part(WATER, -1),
    "carbon above one": lambda: Material("x", 50, 0.1, 0.2),
    "moisture above one": lambda: Material("x", 0.5, 0.1, 20),
    "no ratio": lambda: amend_for_ratio([Part(materials()["offal"], 1)], WATER, ratio=math.inf),
    "water for a ratio": lambda: amend_for_ratio([Part(materials()["offal"], 1)], WATER, ratio=25),
    "moisture of 60": lambda: amend_for_moisture(
        [Part(materials()["offal"], 1)], WATER, goal_frac=60
    ),
    "negative birds": lambda: bin_volume_m3(-1),
    "no carcass": lambda: bin_plan(carcass_kg=0, daily_kg=1),
}


@pytest.mark.parametrize("wrong", WRONG.values(), ids=WRONG.keys())
def test_impossible_piles_are_refused(wrong):
    with pytest.raises(InputError):
        wrong()
