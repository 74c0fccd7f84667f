import math

import numpy as np
import pytest

from pinfeather.errors import InputError
from pinfeather.estimate import Basis, Estimate, Origin
from pinfeather.line.learning import (
    learn_paces,
    learn_rate,
    learn_time,
    learned_rate,
    robust_log,
    service_times_s,
)

PRIOR = Estimate(240.0, 90.0, 420.0, Basis(Origin.HANDBOOK, "a handbook", "assumed"))
TRUE_S = 180.0


def day(seed, birds=60, cv=0.3):
    sigma = math.sqrt(math.log1p(cv**2))
    rng = np.random.default_rng(seed)
    return TRUE_S * rng.lognormal(-(sigma**2) / 2, sigma, birds)


def test_without_taps_the_handbook_stays():
    for days in ([], [[100.0, 120.0]]):
        found = learn_time(PRIOR, days)
        assert found.posterior == PRIOR
        assert found.data is None


def test_few_taps_move_it_a_little_and_many_replace_it():
    one = learn_time(PRIOR, [day(1)])
    many = learn_time(PRIOR, [day(seed) for seed in range(8)])
    assert one.posterior.basis.origin is Origin.OWN
    assert abs(many.posterior.value / TRUE_S - 1) < 0.05
    assert many.posterior.high - many.posterior.low < one.posterior.high - one.posterior.low
    assert "8 days" in many.posterior.basis.note
    for found in (one, many):
        between = sorted([PRIOR.value, found.data.value])
        assert between[0] - 1e-9 <= found.posterior.value <= between[1] + 1e-9
        assert found.prior == PRIOR


def test_the_band_holds_the_truth_about_eight_times_in_ten():
    rng = np.random.default_rng(5)
    inside = 0
    for trial in range(200):
        days = [day(1000 * trial + n, birds=25) * rng.lognormal(0, 0.10) for n in range(3)]
        data = learn_time(PRIOR, days).data
        inside += data.low <= TRUE_S <= data.high
    assert 0.72 <= inside / 200 <= 0.88


def test_the_spread_of_single_times_is_found():
    assert learn_time(PRIOR, [day(n, birds=200, cv=0.35) for n in range(4)]).cv == pytest.approx(
        0.35, abs=0.05
    )


def test_lunch_and_missed_and_doubled_taps_hardly_matter():
    times = day(3, birds=80)
    clean = learn_time(PRIOR, [times]).posterior.value
    taps = np.cumsum(times)
    taps[40:] += 2700.0  # lunch
    taps = np.delete(taps, [10, 30, 60])  # missed
    taps = np.sort(np.append(taps, [taps[20] + 0.4, taps[50] + 1.5]))  # doubled
    found = learn_time(PRIOR, [service_times_s(taps)])
    assert found.posterior.value == pytest.approx(clean, rel=0.06)
    assert found.left_out >= 3
    naive = np.diff(taps).mean()
    assert abs(naive / TRUE_S - 1) > 2 * abs(found.posterior.value / TRUE_S - 1)


def test_a_station_that_waits_for_birds_is_not_called_slow():
    came = np.arange(0.0, 6000.0, 300.0)
    done = came + 120.0
    np.testing.assert_allclose(service_times_s(done, came_s=came), 120.0)
    np.testing.assert_allclose(service_times_s(done), 300.0)


def test_two_side_by_side_take_twice_the_gap():
    taps = np.arange(100.0, 2000.0, 100.0)
    np.testing.assert_allclose(service_times_s(taps, servers=2), 200.0)
    assert len(service_times_s([1.0], servers=2)) == 0


def test_paces_are_relative_and_drawn_to_one():
    base = np.random.default_rng(1).lognormal(0, 0.3, 60) * 100
    paces = learn_paces({"quick": base / 1.3, "slow": base * 1.3, "new": [90.0, 110.0]})
    assert 1.2 < paces["quick"].value < 1.3
    assert 1 / 1.3 < paces["slow"].value < 1 / 1.2
    assert paces["new"].value == 1
    assert paces["new"].low < paces["quick"].value < paces["new"].high
    few = learn_paces({"quick": base[:6] / 1.3, "slow": base[:6] * 1.3})
    assert 1 < few["quick"].value < paces["quick"].value


def test_paces_of_nobody_known_are_one():
    assert learn_paces({"new": [90.0]})["new"].value == 1


def test_a_learning_rate_is_found_among_lunch_and_double_taps():
    rng = np.random.default_rng(2)
    units = np.arange(1, 81)
    times = 500 * units ** math.log2(0.82) * rng.lognormal(0, 0.2, 80)
    times[[20, 50]] = [3000.0, 2.0]
    found = learn_rate(times)
    assert found.value == pytest.approx(0.82, abs=0.03)
    assert found.low < found.value < found.high


def test_without_times_the_rate_is_the_assumed_one():
    found = learn_rate([100.0, 90.0])
    assert found.value == pytest.approx(0.90)
    assert found.basis.status == "assumed"


def test_an_old_hand_is_not_taken_for_a_learner():
    steady = 200 * np.random.default_rng(3).lognormal(0, 0.2, 60)
    assert learn_rate(steady, first_unit=500).value > 0.85


def test_too_few_times_say_nothing():
    assert robust_log([10.0, 11.0, 12.0, 9.0]) is None
    assert robust_log([0.2] * 20) is None
    assert robust_log([10.0] * 9).log_mean == pytest.approx(math.log(10))


def test_impossible_inputs_are_refused():
    zero = Estimate(10.0, 0.0, 20.0, PRIOR.basis)
    with pytest.raises(InputError):
        learn_time(zero, [])
    with pytest.raises(InputError):
        learn_rate([1.0] * 9, first_unit=0)
    with pytest.raises(InputError):
        service_times_s([1.0, 2.0], servers=0)
    with pytest.raises(InputError):
        service_times_s([1.0, 2.0, 3.0], came_s=[0.0])


def test_a_rate_comes_with_what_was_assumed_and_what_the_times_say():
    units = np.arange(1, 61)
    times = 500 * units ** math.log2(0.8) * np.random.default_rng(5).lognormal(0, 0.15, 60)
    found = learned_rate(times, units=units)
    assert found.data is not None
    assert found.data.value == pytest.approx(0.8, abs=0.03)
    assert found.data.value < found.posterior.value < found.prior.value
    assert found.posterior == learn_rate(times)
    assert found.data.basis.status == "measured"


def test_getting_slower_shows_in_the_data_and_is_never_believed():
    units = np.arange(1, 41)
    found = learned_rate(200 * units**0.3, units=units)
    assert found.data is not None
    assert found.data.value > 1.1
    assert found.posterior.high <= 1.0


def test_times_and_numbers_of_birds_belong_together():
    with pytest.raises(InputError):
        learned_rate([100.0] * 6, units=[1.0] * 5)
    with pytest.raises(InputError):
        learned_rate([100.0] * 6, units=[0.0, 1, 2, 3, 4, 5])
    assert learned_rate([100.0], units=[1]).data is None
