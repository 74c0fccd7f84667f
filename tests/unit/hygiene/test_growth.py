import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra import numpy as hnp
from scipy.integrate import solve_ivp

from pinfeather.errors import InputError, OutOfRangeError
from pinfeather.finding import Severity
from pinfeather.hygiene.curve import read_curve
from pinfeather.hygiene.growth import (
    after_lag,
    baranyi,
    crowded,
    grow,
    judge_growth,
    lag_s,
)
from pinfeather.hygiene.growth_models import growth_model, model_codes
from pinfeather.hygiene.rates import Ln, LnRate, Log10

SALMONELLA = growth_model("salmonella_oscar_2002")
temps = hnp.arrays(np.float64, st.integers(2, 40), elements=st.floats(-20, 70))
codes = st.sampled_from(model_codes())


def logger(temp_degC, every_s=300.0):
    return read_curve(np.arange(len(temp_degC)) * every_s, temp_degC)


@given(codes, temps)
def test_growth_never_falls_with_time(code, temp_degC):
    grown = grow(growth_model(code), logger(temp_degC))
    assert (np.diff(grown.so_far_log10) >= 0).all()
    assert grown.without_lag == grown.so_far_log10[-1] >= 0


@given(temps)
def test_growth_is_zero_while_it_stays_too_cold_or_too_hot(temp_degC):
    assert grow(SALMONELLA, logger(np.minimum(temp_degC, SALMONELLA.min_degC))).without_lag == 0
    assert grow(SALMONELLA, logger(np.maximum(temp_degC, SALMONELLA.max_degC))).without_lag == 0


@given(temps, st.floats(0, 8))
def test_a_lag_never_adds_growth_and_more_lag_takes_more(temp_degC, h0):
    curve = logger(temp_degC)
    some, more = grow(SALMONELLA, curve, h0=h0), grow(SALMONELLA, curve, h0=h0 + 0.5)
    assert 0 <= more.with_lag <= some.with_lag + 1e-12 <= some.without_lag + 2e-12


def test_without_lag_or_ceiling_both_figures_agree():
    curve = logger(np.linspace(40, 4, 50))
    grown = grow(SALMONELLA, curve, h0=0)
    assert grown.with_lag == pytest.approx(grown.without_lag, rel=1e-12)


def test_a_model_without_a_lag_gives_no_figure_with_lag():
    assert grow(growth_model("ecoli_ross_2003"), logger([20, 20])).with_lag is None


@pytest.mark.parametrize("h0", [0.3, 1.6, 5.0])
def test_the_closed_form_agrees_with_solving_the_differential_equations(h0):
    t_s = np.arange(0, 12 * 3600 + 1, 300.0)
    temp_degC = 4 + 33 * np.exp(-t_s / 9000) + 4 * np.sin(t_s / 3000)
    start, most = 2.0, 5.0
    grown = grow(
        SALMONELLA, read_curve(t_s, temp_degC), h0=h0, start=Log10(start), most=Log10(most)
    )

    def slopes(t, state):
        mu = float(SALMONELLA.rate(np.interp(t, t_s, temp_degC)).as_ln().per_s)
        q, y = state
        return [mu * q, mu * q / (1 + q) * (1 - np.exp(y - most * np.log(10)))]

    solved = solve_ivp(
        slopes,
        (0, t_s[-1]),
        [1 / np.expm1(h0), start * np.log(10)],
        rtol=1e-9,
        atol=1e-10,
        max_step=150,
    )
    assert grown.with_lag == pytest.approx(solved.y[1, -1] / np.log(10) - start, abs=2e-5)
    assert grown.with_lag > 0.04


@given(st.floats(0, 500), st.floats(0.1, 8))
def test_meat_never_fills_past_its_most(amount, room):
    done = crowded(Log10(amount), start=Log10(1), most=Log10(1 + room))
    assert 0 - 1e-12 <= done <= min(amount, room) + 1e-9


@given(st.floats(0, 1000), st.floats(0, 1000), st.floats(0, 20))
def test_growth_after_a_lag_rises_with_what_was_possible(one, other, h0):
    low, high = sorted((one, other))
    assert after_lag(Ln(low), h0=h0) <= after_lag(Ln(high), h0=h0) + 1e-9


def test_time_outside_the_data_is_flagged_and_never_silent():
    grown = grow(SALMONELLA, logger([50, 50, 5, 5]))
    codes = {f.code: f for f in grown.findings}
    assert codes["growth.above_range"].severity is Severity.CHECK
    # 5 min at 50, then 2/45 of 5 min on the way down to 48
    assert codes["growth.above_range"].measured == pytest.approx((300 + 300 * 2 / 45) / 3600)
    assert codes["growth.below_range"].measured == pytest.approx((300 * 3 / 45 + 300) / 3600)
    assert not grow(SALMONELLA, logger([20, 20])).findings
    assert not grow(SALMONELLA, logger([2, 2])).findings


def test_campylobacter_above_thirty_is_flagged():
    model = growth_model("campylobacter")
    assert [f.code for f in grow(model, logger([37, 37])).findings] == ["growth.above_range"]


@pytest.mark.parametrize(
    ("hours", "code"), [(1, "growth.small"), (6, "growth.review"), (9, "growth.hold")]
)
def test_the_screen_sorts_a_day_at_twenty_degrees(hours, code):
    curve = read_curve([0, hours * 3600], [20, 20], max_gap_s=1e9)
    finding = judge_growth(grow(SALMONELLA, curve), where="batch 3")
    assert finding.code == code
    assert finding.where == "batch 3"
    assert finding.status == "disputable"


def test_a_lag_outside_its_data_is_refused():
    with pytest.raises(OutOfRangeError):
        lag_s("oscar_2002", 4)
    with pytest.raises(InputError):
        lag_s("nobody", 20)


def test_the_steady_curve_starts_at_the_start():
    rate = LnRate(np.asarray(1 / 3600))
    curve = baranyi([0, 1e7], rate=rate, h0=2, start=Log10(3), most=Log10(9))
    assert curve.tolist() == pytest.approx([3, 9])


WRONG = {
    "negative lag": lambda: after_lag(Ln(1), h0=-1),
    "negative growth": lambda: after_lag(Ln(-1), h0=1),
    "full at the start": lambda: crowded(Log10(1), start=Log10(9), most=Log10(9)),
    "half a range": lambda: grow(SALMONELLA, logger([5, 5]), start=Log10(2)),
    "limits crossed": lambda: judge_growth(
        grow(SALMONELLA, logger([5, 5])), review=Log10(2), hold=Log10(1)
    ),
}


@pytest.mark.parametrize("wrong", WRONG.values(), ids=WRONG.keys())
def test_impossible_growth_is_refused(wrong):
    with pytest.raises(InputError):
        wrong()
