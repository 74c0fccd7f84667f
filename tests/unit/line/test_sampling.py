import numpy as np
import pytest

from pinfeather.errors import InputError
from pinfeather.estimate import Basis, Estimate, Origin
from pinfeather.line.sampling import sample_work
from pinfeather.line.stations import Phase, Station, handbook_stations

LINE = handbook_stations("chicken", cones=4)


def station(low=100.0, value=100.0, high=100.0, cv=0.3):
    time_s = Estimate(value, low, high, Basis(Origin.TYPED, "test"))
    return Station("draw", 1, (Phase("draw", time_s, attended=True, cv=cv),))


def test_the_draws_have_the_planned_mean_and_spread():
    work = sample_work([station()], birds=200, draws=200, seed=1)
    assert work.shape == (200, 200, 1)
    assert work.mean() == pytest.approx(100, rel=0.01)
    assert work.std() / work.mean() == pytest.approx(0.3, rel=0.02)


def test_the_days_own_mean_moves_within_its_band():
    work = sample_work([station(50, 100, 300)], birds=400, draws=2000, seed=2)
    means = work.mean(axis=(1, 2))
    low, middle, high = np.percentile(means, (10, 50, 90))
    assert low == pytest.approx(50, rel=0.08)
    assert middle == pytest.approx(100, rel=0.08)
    assert high == pytest.approx(300, rel=0.08)


def test_a_sure_plan_leaves_the_mean_alone():
    work = sample_work([station(50, 100, 300, cv=0.0)], birds=4, draws=5, seed=2, sure=True)
    assert (work == 100).all()


def test_more_days_more_birds_or_another_line_shift_nobodys_draws():
    base = sample_work(LINE, birds=6, draws=4, seed=3)
    longer = sample_work(LINE, birds=6, draws=9, seed=3)
    more = sample_work(LINE, birds=11, draws=4, seed=3)
    part = sample_work(LINE[1:3], birds=6, draws=4, seed=3)
    cones = sample_work(handbook_stations("chicken", cones=9), birds=6, draws=4, seed=3)
    np.testing.assert_array_equal(longer[:4], base)
    np.testing.assert_array_equal(more[:, :6], base)
    np.testing.assert_array_equal(part, base[:, :, 1:4])
    np.testing.assert_array_equal(cones, base)


def test_another_seed_gives_other_times():
    one, two = (sample_work(LINE, birds=6, draws=4, seed=seed) for seed in (1, 2))
    assert not np.array_equal(one, two)


def test_streams_of_two_birds_and_two_phases_are_not_related():
    work = sample_work([station(), *LINE[5:6]], birds=2, draws=4000, seed=4, sure=True)
    assert abs(np.corrcoef(work[:, 0, 0], work[:, 1, 0])[0, 1]) < 0.05
    assert abs(np.corrcoef(work[:, 0, 0], work[:, 0, 1])[0, 1]) < 0.05


@pytest.mark.parametrize("wrong", [{"birds": 0}, {"draws": 0}, {"seed": -1}])
def test_impossible_counts_are_refused(wrong):
    with pytest.raises(InputError):
        sample_work(LINE, **({"birds": 1, "draws": 1, "seed": 0} | wrong))
