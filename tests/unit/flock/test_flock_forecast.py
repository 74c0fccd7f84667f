import datetime as dt
import itertools

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from pinfeather.errors import InputError
from pinfeather.flock.curves import curve_names, mean_kg, reference_curve
from pinfeather.flock.dressing import (
    dressed_weights,
    dressing_kinds,
    live_for,
    own_dressing,
    published_dressing,
    shrink_frac,
    water_kept,
)
from pinfeather.flock.forecast import (
    Sample,
    Seen,
    forecast,
    growth_path,
    growth_ratio,
    samples_of,
)
from pinfeather.flock.learning import learn_dressing, learn_ratio, learn_survival
from pinfeather.flock.lot import Life, Weighed
from pinfeather.flock.spread import (
    band_kg,
    quantile_kg,
    share_below,
    share_between,
    size_classes,
    weights_of,
)
from pinfeather.flock.weigh_plan import birds_to_weigh, what_weighing_buys

CURVE = reference_curve("nrc_1994")


def seen(*rows, share_male=0.5, curve=CURVE):
    return Seen(curve, tuple(Sample(*row) for row in rows), share_male)


SAMPLES = st.lists(
    st.tuples(
        st.integers(14, 40),
        st.floats(0.5, 1.6),
        st.integers(5, 60),
        st.one_of(st.none(), st.floats(0.05, 0.25)),
    ),
    max_size=4,
    unique_by=lambda row: row[0],
)


@st.composite
def lots(draw):
    curve = reference_curve(draw(st.sampled_from(curve_names())))
    p = draw(st.sampled_from([0.0, 0.3, 0.5, 1.0]))
    rows = [
        Sample(a, float(mean_kg(curve, a, p)) * factor, n, cv) for a, factor, n, cv in draw(SAMPLES)
    ]
    return Seen(curve, tuple(rows), p)


@settings(deadline=None, max_examples=60)
@given(lots(), st.floats(7, 70))
def test_bands_lie_in_each_other_around_the_middle(lot, age):
    birds = forecast([lot], age)
    low, high = band_kg(birds, 0.80)
    lower, higher = band_kg(birds, 0.90)
    middle = quantile_kg(birds, 0.5)
    assert lower < low < middle < high < higher
    held = share_below(birds, high) - share_below(birds, low)
    assert held == pytest.approx(0.80, abs=1e-6)


@settings(deadline=None, max_examples=60)
@given(lots(), st.floats(1.01, 2.0))
def test_heavier_weighings_forecast_heavier_birds_in_proportion(lot, times):
    assume(lot.samples)
    heavier = Seen(
        lot.curve,
        tuple(Sample(s.age_d, s.mean_kg * times, s.birds, s.cv) for s in lot.samples),
        lot.share_male,
    )
    assert forecast([heavier], 50).mean_kg == pytest.approx(forecast([lot], 50).mean_kg * times)


@settings(deadline=None, max_examples=60)
@given(lots())
def test_a_lot_grows_from_day_to_day(lot):
    assert np.all(np.diff(growth_path(lot, 80)) >= 0)


@settings(deadline=None, max_examples=60)
@given(st.lists(lots(), min_size=1, max_size=6), st.lists(st.floats(10, 80), min_size=6))
def test_many_lots_at_once_are_the_lots_one_by_one(several, ages):
    ages = np.array(ages[: len(several)])
    together = forecast(several, ages)
    for i, lot in enumerate(several):
        alone = forecast([lot], ages[i])
        for name in ("male_kg", "female_kg", "within_frac", "unsure_frac"):
            assert getattr(together, name)[i] == pytest.approx(getattr(alone, name)[0])


def test_more_birds_weighed_make_the_mean_surer_and_never_surer_than_the_model():
    unsure = [
        float(forecast([seen((28, 1.0, n, 0.12))], 56).unsure_frac[0]) for n in (5, 20, 80, 5000)
    ]
    assert unsure == sorted(unsure, reverse=True)
    assert unsure[-1] >= 0.04


def test_weighings_that_disagree_with_the_table_make_the_mean_less_sure():
    agreeing = seen((21, 0.6515, 50, 0.1), (28, 1.025, 50, 0.1), (35, 1.46, 50, 0.1))
    bending = seen((21, 0.50, 50, 0.1), (28, 1.025, 50, 0.1), (35, 1.70, 50, 0.1))
    assert forecast([bending], 49).unsure_frac > 1.5 * forecast([agreeing], 49).unsure_frac


def test_the_spread_of_a_sample_too_even_to_be_true_is_not_believed():
    even = forecast([seen((35, 1.46, 200, 0.01))], 35)
    assert even.cv[0] > 0.115


def test_spread_grows_with_age():
    lot = seen((28, 1.0, 50, 0.13))
    cv = forecast([lot] * 3, [28.0, 42.0, 56.0]).cv
    assert cv[0] < cv[1] < cv[2]


def test_before_any_weighing_the_farms_own_ratio_counts_and_afterwards_the_birds():
    known = Seen(CURVE, (), 0.5, farm_ratio=0.9, farm_sd=0.05)
    plain = Seen(CURVE)
    assert forecast([known], 56).mean_kg == pytest.approx(0.9 * forecast([plain], 56).mean_kg)
    assert forecast([known], 56).unsure_frac < forecast([plain], 56).unsure_frac
    weighed = Seen(CURVE, (Sample(28, 1.025, 20, 0.12),), 0.5, farm_ratio=0.9)
    assert growth_ratio(weighed) == pytest.approx(1.0)


def test_without_a_table_weighings_move_a_usual_chicken():
    heavy = forecast([seen((21, 1.0, 30, 0.12), (28, 1.7, 30, 0.12), curve=None)], 42)
    light = forecast([seen((21, 0.5, 30, 0.12), (28, 0.8, 30, 0.12), curve=None)], 42)
    none = forecast([seen(curve=None)], 42)
    assert light.mean_kg < none.mean_kg < heavy.mean_kg
    assert none.unsure_frac > heavy.unsure_frac
    assert growth_path(seen(curve=None), 42)[0] == pytest.approx(0.042)


def test_no_lots_give_no_weights():
    assert forecast([], 40).mean_kg.shape == (0,)


@pytest.mark.parametrize(
    ("lot", "age"),
    [
        (seen(), 0.0),
        (seen((28, 0.0, 20)), 40),
        (seen((28, 1.0, 0)), 40),
        (seen((28, 1.0, 20, -0.1)), 40),
        (seen(share_male=1.5), 40),
    ],
    ids=["age", "weight", "birds", "spread", "sexes"],
)
def test_impossible_lots_are_refused(lot, age):
    with pytest.raises(InputError):
        forecast([lot], age)


def test_a_ratio_needs_a_weighing():
    with pytest.raises(InputError):
        growth_ratio(seen())


def test_weighings_of_baskets_give_the_birds_spread():
    rng = np.random.default_rng(4)
    hatch = dt.date(2026, 5, 4)
    birds = rng.normal(1.2, 0.15, 6000)
    baskets = tuple(birds.reshape(-1, 6).sum(axis=1))
    life = Life("a", hatch, (Weighed(hatch + dt.timedelta(days=30), baskets, 6),))
    (sample,) = samples_of(life)
    assert sample.birds == 6000
    assert sample.mean_kg == pytest.approx(1.2, abs=0.01)
    assert sample.cv == pytest.approx(0.125, abs=0.006)
    with pytest.raises(InputError):
        samples_of(Life("a", hatch, (Weighed(hatch, ()),)))


@settings(deadline=None, max_examples=60)
@given(
    st.floats(1.0, 4.0),
    st.floats(0.06, 0.2),
    st.floats(1.0, 1.3),
    st.floats(0.0, 0.12),
    st.integers(0, 300),
)
def test_classes_add_up_to_all_the_birds(mean, cv, ratio, unsure, birds):
    weights = weights_of(mean, cv, sex_ratio=ratio, unsure_frac=unsure)
    classes = size_classes(weights, [mean * 0.8, mean, mean * 1.2], birds=birds)
    assert sum(c.share for c in classes) == pytest.approx(1.0)
    assert sum(c.heads for c in classes) == pytest.approx(birds)
    for one in classes:
        assert 0 <= one.low <= one.high <= birds
        assert one.low - 1 <= one.heads <= one.high + 1


def test_the_band_of_a_class_holds_what_simulated_lots_do():
    rng = np.random.default_rng(11)
    weights = weights_of(2.2, 0.10, sex_ratio=1.2, unsure_frac=0.05)
    (_light, middle, _heavy) = size_classes(weights, [2.0, 2.4], birds=80)
    inside = 0
    for _lot in range(2000):
        mean = 1 + 0.05 * rng.standard_normal()
        sex = np.where(rng.random(80) < 0.5, weights.male_kg[0], weights.female_kg[0]) * mean
        birds = sex * (1 + 0.10 * rng.standard_normal(80))
        count = int(((birds >= 2.0) & (birds < 2.4)).sum())
        inside += middle.low <= count <= middle.high
    assert 0.78 <= inside / 2000 <= 0.88


def test_classes_ask_for_rising_edges_and_one_lot():
    one = weights_of(2.0, 0.1)
    with pytest.raises(InputError):
        size_classes(one, [2.0, 1.5], birds=10)
    with pytest.raises(InputError):
        size_classes(forecast([seen(), seen()], 40), [1.0], birds=10)


@settings(deadline=None, max_examples=60)
@given(st.floats(0.5, 5.0), st.floats(0.02, 0.3), st.floats(0.01, 0.99))
def test_a_quantile_undoes_the_share_below(mean, cv, chance):
    weights = weights_of(mean, cv, sex_ratio=1.2)
    at = quantile_kg(weights, chance)
    assert share_below(weights, at)[0] == pytest.approx(chance, abs=1e-6)


@pytest.mark.parametrize("kind", dressing_kinds())
def test_dressed_birds_weigh_less_and_keep_their_order(kind):
    live = forecast([seen((28, 1.0, 20, 0.12))] * 3, [42.0, 49.0, 56.0])
    dressed = dressed_weights(live, published_dressing(kind), off_feed_s=10 * 3600)
    assert np.all(dressed.mean_kg < live.mean_kg)
    assert np.all(np.diff(dressed.mean_kg) > 0)
    assert np.all(dressed.unsure_frac > live.unsure_frac * 0.99)


def test_own_dressing_is_total_over_total():
    own = own_dressing([100.0, 200.0], [70.0, 146.0])
    assert own.share == (0.72,)
    with pytest.raises(InputError):
        own_dressing([100.0], [101.0])
    with pytest.raises(InputError):
        own_dressing([], [])


def test_dressing_refuses_what_cannot_be():
    with pytest.raises(InputError):
        published_dressing("goose")
    with pytest.raises(InputError):
        shrink_frac(90_000)
    with pytest.raises(InputError):
        live_for(2.0, dressing_share=0.7, shrink=1.0)
    with pytest.raises(InputError):
        water_kept("citation")


@settings(deadline=None, max_examples=60)
@given(st.floats(0.02, 0.3), st.floats(0.01, 0.2), st.integers(1, 2000))
def test_the_weigh_plan_is_never_more_than_the_flock_and_reaches_the_error(cv, error, flock):
    plan = birds_to_weigh(cv, error, flock=flock)
    assert 1 <= plan.birds <= flock
    assert plan.error_frac <= error * 1.1 or plan.birds < 4
    assert plan.birds <= birds_to_weigh(cv, error).birds


def test_weighing_more_buys_less_and_less():
    rows = what_weighing_buys(0.12, ahead_d=28)
    gains = [a.then_frac - b.then_frac for a, b in itertools.pairwise(rows)]
    assert all(g > 0 for g in gains)
    assert rows[-1].then_frac > 0.06
    with pytest.raises(InputError):
        what_weighing_buys(0.12, ahead_d=28, counts=())


def test_shares_between_are_never_below_nothing():
    assert share_between(weights_of(2.0, 0.1), 3.0, 2.0)[0] == 0


def test_learning_starts_at_the_table_and_ends_at_the_farm():
    assert learn_ratio([]).value == pytest.approx(1.0)
    few, many = learn_ratio([0.85]), learn_ratio([0.85] * 20)
    assert 0.85 < many.value < few.value < 1.0
    assert many.high - many.low < few.high - few.low
    with pytest.raises(InputError):
        learn_ratio([0.0])


def test_learning_survival_counts_lots_more_than_birds():
    none = learn_survival([], usual=0.94)
    one = learn_survival([(1000, 800)], usual=0.94)
    three = learn_survival([(100, 80)] * 3, usual=0.94)
    assert none.value == pytest.approx(0.94)
    assert three.value < one.value < none.value
    with pytest.raises(InputError):
        learn_survival([(10, 11)], usual=0.94)


def test_learning_dressing_moves_the_published_curve():
    published = published_dressing("chicken")
    moved = learn_dressing([0.95] * 5, published=published)
    assert all(a < b for a, b in zip(moved.share, published.share, strict=True))
    assert moved.unsure_frac < published.unsure_frac
    assert learn_dressing([], published=published).share == published.share
    with pytest.raises(InputError):
        learn_dressing([-1.0], published=published)
