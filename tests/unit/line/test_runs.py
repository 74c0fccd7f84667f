import pytest
from hypothesis import given
from hypothesis import strategies as st

from pinfeather.errors import InputError
from pinfeather.line.runs import days_by_ratio, days_for_share, days_for_width, most_after_none


@given(st.floats(0.1, 50), st.floats(1, 50))
def test_the_students_count_is_never_less_than_the_normal_one(sd_s, width_s):
    rough = days_for_width(sd_s, width_s)
    assert rough <= days_for_width(sd_s, width_s, pilot=10) <= rough + 4


def test_impossible_widths_and_shares_are_refused():
    for wrong in (
        lambda: days_for_width(1.0, 0.0),
        lambda: days_by_ratio(10, 1.0, half_width_s=0.0),
        lambda: days_for_share(1.5, 0.1),
        lambda: most_after_none(0),
    ):
        with pytest.raises(InputError):
            wrong()
