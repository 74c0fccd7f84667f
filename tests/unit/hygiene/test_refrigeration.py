import numpy as np
import pytest

from pinfeather.errors import InputError
from pinfeather.finding import Severity, worst
from pinfeather.hygiene.curve import read_curve
from pinfeather.hygiene.growth import grow
from pinfeather.hygiene.growth_models import ecoli_model
from pinfeather.hygiene.rates import Generations, Log10, generations_to_log10
from pinfeather.hygiene.refrigeration import judge_indices, refrigeration_index

FIVE_DOUBLINGS = generations_to_log10(Generations(5))


def held(temp_degC, hours):
    return read_curve([0, hours * 3600], [temp_degC, temp_degC], max_gap_s=np.inf)


def test_meat_that_starts_warm_gets_five_doublings_off():
    index = refrigeration_index(held(20, 20))
    assert index.value == pytest.approx(index.without_lag - FIVE_DOUBLINGS)
    assert not index.finished
    assert index.status == "unverified"


def test_the_index_is_never_negative():
    assert refrigeration_index(held(20, 1)).value == 0


def test_meat_that_starts_cold_gets_nothing_off():
    index = refrigeration_index(read_curve([0, 600, 86400], [6, 20, 20], max_gap_s=np.inf))
    assert index.value == index.without_lag > FIVE_DOUBLINGS


def test_what_grows_below_seven_does_not_count():
    t_s = np.arange(0, 20 * 3600, 300.0)
    temp_degC = np.maximum(35 - t_s / 600, 5)
    index = refrigeration_index(read_curve(t_s, temp_degC))
    crossing_s = 28 * 600
    straight = read_curve([0, crossing_s], [35, 7], max_gap_s=np.inf)
    assert index.finished
    assert index.without_lag == pytest.approx(grow(ecoli_model(), straight).without_lag, rel=1e-6)


def test_a_load_that_never_was_warm_has_no_index():
    index = refrigeration_index(held(3, 10))
    assert (index.value, index.without_lag, index.finished) == (0, 0, True)


def test_one_bad_load_is_found_among_good_ones():
    findings = judge_indices([Log10(1.0)] * 9 + [Log10(2.6)])
    assert [f.code for f in findings if f.severity > Severity.NOTE] == ["refrigeration.largest"]
    assert worst(judge_indices([Log10(1.5)] * 5)) is Severity.NOTE
    assert worst(judge_indices([Log10(2.1)] * 5)) is Severity.CHECK
    with pytest.raises(InputError):
        judge_indices([])
