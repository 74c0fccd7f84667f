import pytest
from hypothesis import given
from hypothesis import strategies as st

from pinfeather.errors import InputError, OutOfRangeError
from pinfeather.estimate import Basis, Estimate, Origin
from pinfeather.hygiene.by_products import (
    by_product_kg,
    scald_load_kg,
    split_by_products,
    wash_water_m3,
)


@given(st.floats(0, 1e5), st.floats(0.4, 0.9))
def test_what_is_sold_and_what_is_left_make_the_bird(live_kg, dressed):
    left = by_product_kg(live_kg, dressed_frac=dressed)
    assert left + live_kg * dressed == pytest.approx(live_kg)


@given(st.floats(0, 1e5), st.floats(0.4, 0.85))
def test_blood_feathers_and_the_rest_make_up_what_is_left(live_kg, dressed):
    found = split_by_products(live_kg, dressed_frac=dressed)
    parts = (found.blood_kg, found.feathers_kg, found.rest_kg)
    assert sum(one.value for one in parts) == pytest.approx(found.total_kg)
    assert all(one.low >= 0 and one.basis.status == "unverified" for one in parts)
    assert found.blood_m3.value * 1050 == pytest.approx(found.blood_kg.value)


def test_a_yield_that_leaves_no_room_for_blood_and_feathers_is_refused():
    with pytest.raises(OutOfRangeError):
        split_by_products(100, dressed_frac=0.9)


def test_own_metered_water_replaces_the_handbook():
    own = Estimate(0.012, 0.010, 0.015, Basis(Origin.OWN, "your last 3 days", "measured"))
    assert wash_water_m3(100, per_bird_m3=own).value == pytest.approx(1.2)
    assert wash_water_m3(100, per_bird_m3=own).basis.origin is Origin.OWN
    assert wash_water_m3(100).basis.status == "second hand"


@given(st.floats(60, 120), st.floats(60, 120))
def test_a_longer_bleed_is_cleaner_water(one, other):
    short, long = sorted((one, other))
    assert scald_load_kg(long) <= scald_load_kg(short)


def test_impossible_waste_is_refused():
    with pytest.raises(InputError):
        by_product_kg(-1, dressed_frac=0.7)
    with pytest.raises(InputError):
        by_product_kg(1, dressed_frac=72)
    with pytest.raises(InputError):
        wash_water_m3(-1)
    with pytest.raises(OutOfRangeError):
        scald_load_kg(45)
