"""When the power is out."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pinfeather.errors import InputError
from pinfeather.heat.power_cut import freezer_holds_s, power_cut

HOUR = 3600.0


@given(st.floats(0, 1), st.floats(0, 1))
def test_a_fuller_freezer_never_holds_shorter(one, two):
    low, high = sorted((one, two))
    assert freezer_holds_s(low) <= freezer_holds_s(high) <= 48 * HOUR


def test_time_gone_is_taken_off_and_never_below_nothing():
    assert power_cut(full_frac=1.0, gone_s=40 * HOUR).left_s == 8 * HOUR
    assert power_cut(full_frac=1.0, gone_s=60 * HOUR).left_s == 0


def test_the_advice_names_its_source_and_says_never_to_taste():
    advice = power_cut(full_frac=0.5)
    assert advice.status == "second hand"
    assert "Food Safety and Inspection Service" in advice.source
    assert any("Never taste" in line for line in advice.discard)
    assert any("40 °F" in line for line in advice.keep)


@pytest.mark.parametrize("share", [-0.1, 1.1])
def test_a_share_outside_nought_to_one_is_refused(share):
    with pytest.raises(InputError):
        freezer_holds_s(share)
