import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pinfeather.errors import InputError
from pinfeather.estimate import Origin
from pinfeather.flock.curves import (
    curve_from_rows,
    curve_names,
    mean_kg,
    reference_curve,
    sex_ratio,
    sexes_kg,
    shape_kg,
)
from pinfeather.flock.gompertz import fit_growth, fit_with_prior, growth_kg, prior_weight
from pinfeather.flock.hot_weather import hot_curve

BOOKLET = [(0, 0.043), (7, 0.2), (14, 0.52), (21, 1.0), (28, 1.6), (35, 2.3), (42, 3.0)]
STATUSES = {"read", "second hand", "unverified", "disputable", "common practice"}


@pytest.mark.parametrize("name", curve_names())
def test_every_curve_names_its_source_and_grows_without_a_break(name):
    curve = reference_curve(name)
    assert curve.basis.note
    assert curve.basis.status in STATUSES
    grown = mean_kg(curve, np.arange(0.0, 200.0, 0.25))
    assert np.all(np.diff(grown) > 0)


@pytest.mark.parametrize("name", curve_names())
def test_a_curve_goes_through_its_rows(name):
    curve = reference_curve(name)
    for shape in (curve.male, curve.female, curve.mixed):
        if shape is not None:
            found = shape_kg(shape, np.array(shape.ages_d))
            assert found == pytest.approx(shape.weights_kg)
            assert float(shape_kg(shape, 0.0)) == pytest.approx(shape.hatch_kg)


def test_kinds_grow_in_the_expected_order():
    at = {name: float(mean_kg(reference_curve(name), 56.0)) for name in curve_names()}
    assert at["slow"] < at["medium"] < at["nrc_1994"] < at["fast"]


def test_a_breeds_booklet_is_used_as_typed():
    curve = curve_from_rows("Ours", BOOKLET, source="Booklet 2026")
    assert curve.basis.origin is Origin.TYPED
    assert float(mean_kg(curve, 28.0)) == pytest.approx(1.6)
    male, female = sexes_kg(curve, 42.0)
    assert float(male / female) == pytest.approx(float(sex_ratio("chicken", 42.0)))


def test_a_booklet_by_sex():
    curve = curve_from_rows(
        "Ours", [(a, w * 1.1) for a, w in BOOKLET], female_rows=[(a, w * 0.9) for a, w in BOOKLET]
    )
    assert float(mean_kg(curve, 35.0)) == pytest.approx(2.3)
    assert float(mean_kg(curve, 35.0, share_male=1.0)) == pytest.approx(2.53)


@pytest.mark.parametrize(
    "rows",
    [BOOKLET[:3], [*BOOKLET, (42, 3.1)], [*BOOKLET, (49, 2.9)], [(0, 0.0), *BOOKLET[1:]]],
    ids=["few", "twice", "falling", "nothing"],
)
def test_a_booklet_that_cannot_be_is_refused(rows):
    with pytest.raises(InputError):
        curve_from_rows("Ours", rows)


def test_an_unknown_curve_lists_the_known():
    with pytest.raises(InputError, match="nrc_1984"):
        reference_curve("no such")


@settings(deadline=None, max_examples=40)
@given(
    st.floats(1.0, 20.0),
    st.floats(0.015, 0.06),
    st.floats(20.0, 60.0),
    st.sampled_from(["gompertz", "logistic"]),
)
def test_a_fit_finds_the_curve_that_made_the_weights(mature, rate, inflection, form):
    ages = np.arange(7.0, 120.0, 7.0)
    made = growth_kg(form, ages, mature_kg=mature, rate_per_d=rate, inflection_d=inflection)
    fit = fit_growth(ages, made, form=form)
    assert fit.mature_kg == pytest.approx(mature, rel=0.01)
    assert fit.rate_per_d == pytest.approx(rate, rel=0.01)


def test_a_fit_asks_for_four_weights():
    with pytest.raises(InputError):
        fit_growth([7, 14, 21], [0.1, 0.3, 0.6])
    with pytest.raises(InputError):
        fit_growth([7, 14, 21, 28], [0.1, 0.3, 0.0, 0.6])


def test_the_cautious_fit_moves_to_the_weighings_and_gets_surer():
    nothing = fit_with_prior([], [], counts=[], cv=0.12)
    some = fit_with_prior([21, 28, 35], [0.9, 1.5, 2.2], counts=[30, 30, 30], cv=0.12)
    ages = np.array([35.0, 56.0])
    before, unsure_before = prior_weight(nothing, ages)
    after, unsure_after = prior_weight(some, ages)
    assert abs(after[0] - 2.2) < abs(before[0] - 2.2)
    assert np.all(unsure_after < unsure_before)


@settings(deadline=None, max_examples=50)
@given(st.lists(st.floats(5.0, 35.0), min_size=1, max_size=30), st.integers(0, 60))
def test_heat_never_makes_a_bird_heavier_and_spares_the_young(temps, start):
    curve = reference_curve("nrc_1994")
    hot = hot_curve(curve, temps, from_age_d=start).curve
    ages = np.arange(0.0, 64.0)
    cool, warm = mean_kg(curve, ages), mean_kg(hot, ages)
    assert np.all(warm <= cool + 1e-9)
    assert warm[:22] == pytest.approx(cool[:22])


def test_a_hot_week_costs_a_share_of_its_gain_and_says_when_it_is_hotter_than_known():
    curve = reference_curve("nrc_1984")
    mild = hot_curve(curve, [24.0] * 7, from_age_d=35)
    gained = float(mean_kg(curve, 42.0) - mean_kg(curve, 35.0))
    assert mild.lost_kg == pytest.approx(4 * 0.023 * gained, rel=1e-6)
    assert mild.findings == ()
    assert hot_curve(curve, [33.0], from_age_d=35).findings[0].code == "growth.hotter"
    with pytest.raises(InputError):
        hot_curve(curve, [], from_age_d=35)
