"""Chill limits by weight."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pinfeather.errors import InputError
from pinfeather.finding import Severity
from pinfeather.quantity import parse
from pinfeather.rules.chill import chill_findings, chill_limit, giblet_findings
from pinfeather.rules.profile import load

FEDERAL = load("us-federal")


@given(st.floats(0.05, 30.0), st.floats(0.05, 30.0))
def test_a_heavier_bird_never_has_less_time(one, two):
    light, heavy = sorted((one, two))
    assert chill_limit(FEDERAL, light).within_s <= chill_limit(FEDERAL, heavy).within_s


@pytest.mark.parametrize("text", ["4 lb", "64 oz", "4 lb 0 oz", "1814.36948 g", "1.81436948 kg"])
def test_four_pounds_is_one_weight_however_it_is_written(text):
    assert chill_limit(FEDERAL, parse(text, "mass").si).hours == 6


def test_the_limit_says_where_it_comes_from_and_when_the_clock_starts():
    limit = chill_limit(FEDERAL, 1.5)
    assert "381.66(b)(2)" in limit.citation
    assert limit.status == "read"
    assert limit.clock_start == "slaughter"
    assert limit.class_label == "under 4 lb"


@pytest.mark.parametrize("mass", [0.0, -1.0, float("nan"), float("inf")])
def test_a_bird_without_weight_is_refused(mass):
    with pytest.raises(InputError):
        chill_limit(FEDERAL, mass)


def test_time_left_is_no_finding_and_a_late_bird_is():
    bird = {"mass_kg": 1.5, "temperature_degC": 10.0}
    assert chill_findings(FEDERAL, **bird, since_start_s=4 * 3600 - 1) == ()
    (late,) = chill_findings(FEDERAL, **bird, since_start_s=4 * 3600)
    assert late.severity == Severity.STOP
    assert late.citation
    with pytest.raises(InputError):
        chill_findings(FEDERAL, **bird, since_start_s=-1)


def test_giblets_are_looked_at_after_the_stricter_yardstick():
    warm = {"temperature_degC": 10.0}
    assert giblet_findings(FEDERAL, **warm, since_drawn_s=3599) == ()
    (check,) = giblet_findings(FEDERAL, **warm, since_drawn_s=3600)
    assert check.severity == Severity.CHECK
    (stop,) = giblet_findings(FEDERAL, **warm, since_drawn_s=7200)
    assert stop.severity == Severity.STOP
