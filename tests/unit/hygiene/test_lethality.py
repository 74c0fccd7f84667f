import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pinfeather.errors import InputError, OutOfRangeError
from pinfeather.hygiene.curve import read_curve
from pinfeather.hygiene.lethality import (
    COOKING_CARD,
    cook,
    dwell_s,
    fit_heat_resistance,
    set_limit_degC,
)
from pinfeather.units import to_si


def degF(value):
    return to_si(value, "F", "temperature")


def held(value_F, minutes):
    return read_curve([0, minutes * 60], [degF(value_F)] * 2, max_gap_s=np.inf)


@given(st.floats(136, 164.9), st.floats(0, 10), st.sampled_from(["chicken", "turkey", "duck"]))
def test_hotter_never_takes_longer(value_F, more, bird):
    one = dwell_s(degF(value_F), bird=bird, fat_frac=0.01)
    other = dwell_s(degF(value_F + more), bird=bird, fat_frac=0.01)
    assert other <= one * (1 + 1e-12)


def test_below_the_table_nothing_is_killed_and_at_165_all_at_once():
    assert dwell_s(degF(135.9), bird="chicken", fat_frac=0.01) == np.inf
    assert dwell_s(degF(165), bird="chicken", fat_frac=0.12) == 0
    assert cook(held(135, 600), bird="chicken", fat_frac=0.05).log10 == 0


def test_fatter_meat_takes_the_fatter_column():
    lean = dwell_s(degF(140), bird="chicken", fat_frac=0.01)
    assert dwell_s(degF(140), bird="chicken", fat_frac=0.011) == pytest.approx(35 * 60)
    assert lean == pytest.approx(25.2 * 60)


def test_a_duck_takes_the_longer_of_chicken_and_turkey():
    for value_F in (136, 140, 143.3, 150, 160):
        times = [dwell_s(degF(value_F), bird=b, fat_frac=0.01) for b in ("chicken", "turkey")]
        assert dwell_s(degF(value_F), bird="duck", fat_frac=0.01) == max(times)


@pytest.mark.parametrize(
    ("bird", "fat"), [("duck", 0.12), ("turkey", 0.05), ("chicken", 0.13), ("chicken", -0.1)]
)
def test_columns_that_were_not_read_are_refused(bird, fat):
    with pytest.raises(OutOfRangeError):
        dwell_s(degF(150), bird=bird, fat_frac=fat)


def test_seven_log_at_one_temperature_is_its_dwell():
    kill = cook(held(145, 8.4), bird="chicken", fat_frac=0.01)
    assert kill.log10 == pytest.approx(7)
    assert [f.code for f in kill.findings] == ["cook.enough"]
    assert cook(held(145, 8.3), bird="chicken", fat_frac=0.01).findings[0].code == "cook.short"


def test_touching_165_is_enough():
    curve = read_curve([0, 60, 120], [degF(60), degF(165), degF(160)])
    kill = cook(curve, bird="chicken", fat_frac=0.12)
    assert kill.instant
    assert kill.findings[-1].code == "cook.enough"


def test_a_gap_earns_only_its_colder_end():
    curve = read_curve([0, 1800, 9000], [degF(140), degF(140), degF(150)])
    assert curve.gap.tolist() == [False, True]
    kill = cook(curve, bird="chicken", fat_frac=0.01)
    assert kill.log10 == pytest.approx(7 * 9000 / (25.2 * 60), rel=1e-6)


def test_a_slow_cooker_is_warned_about():
    t_s = np.arange(0, 9 * 3600, 300.0)
    kill = cook(read_curve(t_s, 5 + t_s / 600), bird="chicken", fat_frac=0.01)
    assert "cook.slow" in {f.code for f in kill.findings}


@given(st.floats(2, 15), st.floats(0.1, 1e4), st.floats(50, 70))
def test_a_perfect_line_is_found_again(z_K, d_s, ref_degC):
    temps = [55.0, 57.0, 60.0, 63.0]
    times = [d_s * 10 ** ((ref_degC - t) / z_K) for t in temps]
    fitted = fit_heat_resistance(temps, times, ref_degC=ref_degC)
    assert fitted.z_K == pytest.approx(z_K, rel=1e-6)
    assert fitted.d_ref_s == pytest.approx(d_s, rel=1e-6)


def test_a_thermometer_moves_the_limit_to_the_safe_side():
    assert set_limit_degC(70, accuracy_K=1, side="hot") == 71
    assert set_limit_degC(4, accuracy_K=1, side="cold") == 3
    with pytest.raises(InputError):
        set_limit_degC(4, accuracy_K=-1, side="cold")


def test_the_card_says_165_and_not_to_rinse():
    text = " ".join(COOKING_CARD)
    assert "165 °F" in text
    assert "rinse" in text


WRONG = {
    "no temperature": lambda: dwell_s(float("nan"), bird="chicken", fat_frac=0.01),
    "one temperature": lambda: fit_heat_resistance([60, 60], [1, 2], ref_degC=60),
    "no time": lambda: fit_heat_resistance([60, 61], [1, 0], ref_degC=60),
}


@pytest.mark.parametrize("wrong", WRONG.values(), ids=WRONG.keys())
def test_impossible_cooking_is_refused(wrong):
    with pytest.raises(InputError):
        wrong()
