import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pinfeather.hygiene.rates import (
    GenerationRate,
    Generations,
    LnRate,
    Log10,
    Log10Rate,
    generations_to_log10,
    ln_to_log10,
    log10_to_generations,
    log10_to_ln,
)

amounts = st.floats(0, 1e3)


@given(amounts)
def test_amounts_come_back_from_every_unit(amount):
    assert ln_to_log10(log10_to_ln(Log10(amount))) == pytest.approx(amount)
    assert generations_to_log10(log10_to_generations(Log10(amount))) == pytest.approx(amount)


@given(amounts)
def test_rates_come_back_from_every_unit(rate):
    there = Log10Rate(np.asarray(rate))
    assert there.as_ln().as_log10().per_s == pytest.approx(rate)
    assert there.as_generations().as_log10().per_s == pytest.approx(rate)


def test_one_tenfold_is_2_303_logs_and_3_322_doublings():
    assert log10_to_ln(Log10(1)) == pytest.approx(2.302585, abs=1e-6)
    assert log10_to_generations(Log10(1)) == pytest.approx(3.321928, abs=1e-6)
    assert generations_to_log10(Generations(10)) == pytest.approx(3.0103, abs=1e-4)


def test_rates_in_different_units_do_not_add():
    with pytest.raises(TypeError):
        LnRate(np.asarray(1.0)) + GenerationRate(np.asarray(1.0))


def test_a_rate_per_hour_is_3600_times_the_rate_per_second():
    assert LnRate(np.asarray(1 / 3600)).per_h == pytest.approx(1)
    assert GenerationRate(np.asarray(1.0)).per_h == Log10Rate(np.asarray(1.0)).per_h == 3600
