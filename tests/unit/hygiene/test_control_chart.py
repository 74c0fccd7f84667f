import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pinfeather.errors import InputError
from pinfeather.finding import Severity
from pinfeather.hygiene.control_chart import capability, individuals_chart, judge_chart

series = st.lists(st.floats(-5, 10), min_size=2, max_size=40)
CALM = [2.0, 2.4, 1.8, 2.2, 1.9, 2.3, 2.1, 2.0, 2.5, 1.7]


def codes(values, chart):
    return [(f.code, f.where) for f in judge_chart(values, chart, where="tank 1")]


@given(series, st.floats(0.1, 5), st.floats(-50, 50))
def test_the_chart_is_the_same_in_every_unit(values, factor, shift):
    plain = individuals_chart(values)
    other = individuals_chart([factor * v + shift for v in values])
    assert other.upper == pytest.approx(factor * plain.upper + shift, abs=1e-8)
    assert other.range_upper == pytest.approx(factor * plain.range_upper, abs=1e-8)


def test_a_calm_series_shows_no_sign():
    assert codes(CALM, individuals_chart(CALM)) == []


def test_a_warm_batch_is_outside_and_a_jump():
    chart = individuals_chart(CALM)
    found = dict(codes([*CALM, 4.5], chart))
    assert found["chart.outside"] == "tank 1[11]"
    assert "chart.jump" in found


def test_eight_on_one_side_and_six_rising_are_signs():
    chart = individuals_chart(CALM)
    up = chart.centre + 0.5 * chart.sigma
    assert ("chart.one_side", "tank 1[8]") in codes([up, up - 0.01] * 4, chart)
    assert "chart.one_side" not in dict(codes([up] * 7, chart))
    rising = list(np.linspace(chart.centre - chart.sigma, chart.centre + chart.sigma, 6))
    assert codes(rising, chart) == [("chart.trend", "tank 1[6]")]
    assert codes(rising[::-1], chart) == [("chart.trend", "tank 1[6]")]
    assert codes(rising[:5], chart) == []


def test_two_of_three_near_the_same_limit_are_a_sign():
    chart = individuals_chart(CALM)
    high, low = chart.centre + 2.5 * chart.sigma, chart.centre - 2.5 * chart.sigma
    assert ("chart.near_limit", "tank 1[3]") in codes([high, chart.centre, high], chart)
    assert "chart.near_limit" not in dict(codes([high, chart.centre, low], chart))


def test_a_process_close_to_its_limit_is_called_not_capable():
    chart = individuals_chart(CALM)
    close, finding = capability(chart, upper_limit=chart.upper - 0.1)
    assert close.cpu < 1
    assert finding.severity is Severity.CHECK
    assert "10 values" in finding.reason
    far, note = capability(chart, upper_limit=chart.upper + 0.1)
    assert far.share_over_frac < close.share_over_frac
    assert note.severity is Severity.NOTE


def test_the_limits_hold_for_a_process_that_is_only_noise():
    rng = np.random.default_rng(20310614)
    values = rng.normal(2.0, 0.5, 4000)
    chart = individuals_chart(list(values))
    assert chart.sigma == pytest.approx(0.5, rel=0.03)
    assert np.mean((values > chart.upper) | (values < chart.lower)) == pytest.approx(
        0.0027, abs=0.0025
    )


def test_impossible_series_are_refused():
    for values in ([], [1.0], [1.0, float("nan")]):
        with pytest.raises(InputError):
            individuals_chart(values)
    with pytest.raises(InputError):
        capability(individuals_chart([2.0, 2.0]), upper_limit=4)
