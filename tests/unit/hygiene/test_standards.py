import datetime as dt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pinfeather.errors import InputError
from pinfeather.finding import Severity
from pinfeather.hygiene.standards import (
    framework_in_force,
    judge_positives,
    pass_chance,
    standards,
)

SALMONELLA = next(s for s in standards() if s.samples == 51 and s.accept == 5)


def test_at_the_standard_passes_and_above_does_not():
    assert judge_positives(SALMONELLA, positives=5).code == "pathogen.within"
    over = judge_positives(SALMONELLA, positives=6)
    assert (over.code, over.severity) == ("pathogen.over", Severity.CHECK)
    part = judge_positives(SALMONELLA, positives=1, samples=20)
    assert "so far" in part.sentence


@given(st.floats(0, 1), st.floats(0, 1))
def test_a_dirtier_flock_passes_less_often(one, other):
    low, high = sorted((one, other))
    chances = [pass_chance(samples=51, accept=5, share_frac=s) for s in (low, high)]
    assert chances[1] <= chances[0] + 1e-12


def test_the_framework_is_not_law():
    for day in (dt.date(2024, 9, 1), dt.date(2025, 4, 25), dt.date(2031, 1, 1)):
        assert not framework_in_force(day)


def test_impossible_results_are_refused():
    with pytest.raises(InputError):
        judge_positives(SALMONELLA, positives=3, samples=2)
    with pytest.raises(InputError):
        judge_positives(SALMONELLA, positives=3, samples=52)
    with pytest.raises(InputError):
        pass_chance(samples=5, accept=6, share_frac=0.1)
    with pytest.raises(InputError):
        pass_chance(samples=5, accept=1, share_frac=1.1)
