import datetime as dt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pinfeather.errors import InputError
from pinfeather.finding import Severity
from pinfeather.hygiene.water import judge_water, next_due, water_due, water_tests

TODAY = dt.date(2031, 6, 14)


@given(st.dates(dt.date(2000, 1, 1), dt.date(2100, 1, 1)), st.integers(1, 60))
def test_a_test_is_due_in_the_right_month(last, months):
    due = next_due(last, months)
    assert (due.year * 12 + due.month) - (last.year * 12 + last.month) == months
    assert due.day <= last.day
    assert due > last


def test_the_end_of_a_long_month_falls_on_the_end_of_a_short_one():
    assert next_due(dt.date(2031, 8, 31), 6) == dt.date(2032, 2, 29)


@pytest.mark.parametrize(
    ("last", "severity"),
    [
        (None, Severity.STOP),
        (dt.date(2030, 12, 13), Severity.STOP),
        (dt.date(2030, 12, 14), Severity.CHECK),
        (dt.date(2031, 1, 14), Severity.CHECK),
        (dt.date(2031, 1, 15), Severity.NOTE),
    ],
)
def test_a_coliform_test_is_due_after_half_a_year(last, severity):
    found = {f.where: f for f in water_due({"coliform": last, "nitrate": TODAY}, today=TODAY)}
    assert found["coliform"].severity is severity
    assert found["nitrate"].severity is Severity.NOTE
    assert len(found) == len(water_tests())


def test_results_are_judged():
    bad = judge_water(coliform_found=True, nitrate_mg_per_L=10.1)
    assert [f.severity for f in bad] == [Severity.STOP, Severity.STOP]
    good = judge_water(coliform_found=False, nitrate_mg_per_L=10)
    assert [f.severity for f in good] == [Severity.NOTE, Severity.NOTE]
    assert judge_water() == ()


def test_impossible_water_is_refused():
    with pytest.raises(InputError):
        water_due({"coliform": dt.date(2031, 6, 15)}, today=TODAY)
    with pytest.raises(InputError):
        water_due({"gold": None}, today=TODAY)
    with pytest.raises(InputError):
        judge_water(nitrate_mg_per_L=-1)
    with pytest.raises(InputError):
        next_due(TODAY, 0)
