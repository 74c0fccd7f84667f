import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra import numpy as hnp

from pinfeather.errors import InputError
from pinfeather.hygiene.curve import accumulate, read_curve, time_between

temps = hnp.arrays(np.float64, st.integers(2, 40), elements=st.floats(-20, 70))


def square(temp_degC):
    return np.maximum(temp_degC, 0.0) ** 2


@given(temps, st.floats(1, 900))
def test_a_polynomial_rate_is_added_up_exactly_on_straight_lines(temp_degC, every_s):
    temp_degC = np.abs(temp_degC)
    curve = read_curve(np.arange(temp_degC.size) * every_s, temp_degC)
    a, b = temp_degC[:-1], temp_degC[1:]
    exact = np.sum(every_s * (a * a + a * b + b * b) / 3)
    assert accumulate(curve, square)[-1] == pytest.approx(exact, rel=1e-9, abs=1e-9)


@given(temps, st.floats(1, 900))
def test_the_sum_never_falls_and_starts_at_zero(temp_degC, every_s):
    total = accumulate(read_curve(np.arange(temp_degC.size) * every_s, temp_degC), square)
    assert total[0] == 0
    assert (np.diff(total) >= 0).all()


@given(temps, st.floats(-20, 70), st.floats(-20, 70))
def test_time_above_and_below_adds_up_to_the_whole(temp_degC, one, other):
    curve = read_curve(np.arange(temp_degC.size) * 60.0, temp_degC)
    low, high = sorted((one, other))
    inside = time_between(curve, above_degC=low, below_degC=high)
    above = time_between(curve, above_degC=low)
    over = time_between(curve, above_degC=high)
    assert inside <= curve.length_s + 1e-6
    at_high_s = np.sum(np.diff(curve.t_s)[(temp_degC[:-1] == high) & (temp_degC[1:] == high)])
    assert above <= inside + over + at_high_s + 1e-6
    assert over <= above + 1e-6


def test_crossings_are_placed_on_the_straight_line():
    curve = read_curve([0, 100], [10, 20])
    assert time_between(curve, above_degC=15) == pytest.approx(50)
    assert time_between(curve, above_degC=12, below_degC=14) == pytest.approx(20)
    assert time_between(read_curve([0, 100], [15, 15]), above_degC=15) == 0


def test_equal_times_are_a_step():
    curve = read_curve([0, 100, 100, 200], [1, 1, 3, 3])
    assert accumulate(curve, square).tolist() == pytest.approx([0, 100, 100, 1000])


def test_a_failed_reading_makes_a_gap_and_a_gap_takes_the_worst():
    curve = read_curve([0, 60, 120, 180], [2.0, np.nan, 4.0, 4.0])
    assert curve.gap.tolist() == [True, False]
    assert [f.code for f in curve.findings] == ["curve.fault", "curve.gap"]
    assert accumulate(curve, square)[1] == pytest.approx(120 * 16)


def test_a_gap_across_the_optimum_takes_the_optimum():
    curve = read_curve([0, 7200], [0, 40])
    worst = accumulate(curve, lambda t: np.maximum(1 - ((t - 20) / 20) ** 2, 0))
    assert worst[-1] == pytest.approx(7200)
    assert time_between(curve, above_degC=39) == 7200


def test_a_long_time_between_readings_is_a_gap_only_past_the_limit():
    assert not read_curve([0, 1800], [5, 5]).gap.any()
    assert read_curve([0, 1801], [5, 5]).gap.all()
    assert not read_curve([0, 86400], [5, 5], max_gap_s=np.inf).findings


@pytest.mark.parametrize(
    ("t_s", "temp_degC"),
    [
        ([0, 1], [1]),
        ([0, -1], [1, 1]),
        ([0, np.nan], [1, 1]),
        ([0, 1], [1, np.inf]),
        ([0, 1], [1, np.nan]),
        ([[0, 1]], [[1, 1]]),
        ([], []),
    ],
)
def test_broken_curves_are_refused(t_s, temp_degC):
    with pytest.raises(InputError):
        read_curve(t_s, temp_degC)
