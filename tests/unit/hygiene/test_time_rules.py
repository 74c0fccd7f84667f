import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pinfeather.errors import InputError
from pinfeather.finding import Severity
from pinfeather.hygiene.curve import read_curve
from pinfeather.hygiene.tables import Limit
from pinfeather.hygiene.time_rules import (
    judge_cumulative,
    judge_danger_zone,
    judge_reached,
    judge_time_alone,
    reached_at,
)
from pinfeather.units import to_si

FORTY = Limit(40, "F", "temperature", "own", "read")
HOUR_S = 3600.0


def degF(*values):
    return [to_si(value, "F", "temperature") for value in values]


def held(value_F, hours):
    return read_curve([0, hours * HOUR_S], degF(value_F, value_F), max_gap_s=np.inf)


def test_a_limit_is_reached_when_it_is_reached_for_good():
    curve = read_curve([0, 100, 200, 300], degF(100, 40, 41, 39))
    assert reached_at(curve, FORTY.si) == pytest.approx(250)
    assert reached_at(read_curve([5, 6], degF(40, 40)), FORTY.si) == 0
    assert reached_at(read_curve([0, 1], degF(40, 40.1)), FORTY.si) is None


def test_across_a_gap_only_the_later_end_counts():
    curve = read_curve([0, 7200], degF(100, 30))
    assert reached_at(curve, FORTY.si) == 7200


@given(st.floats(0.1, 10), st.floats(-2, 3))
def test_a_straight_chill_reaches_its_limit_where_the_line_does(hours, end_degC):
    curve = read_curve([0, hours * HOUR_S], [40, end_degC], max_gap_s=np.inf)
    expected = hours * HOUR_S * (40 - FORTY.si) / (40 - end_degC)
    assert reached_at(curve, FORTY.si) == pytest.approx(expected)


def test_in_time_late_and_never_are_told_apart():
    curve = read_curve([0, HOUR_S, 2 * HOUR_S], degF(90, 60, 40), max_gap_s=np.inf)
    assert judge_reached(curve, FORTY, within_s=2 * HOUR_S).code == "curve.in_time"
    late = judge_reached(curve, FORTY, within_s=2 * HOUR_S - 1)
    assert (late.code, late.severity) == ("curve.late", Severity.STOP)
    never = judge_reached(held(50, 1), FORTY, within_s=HOUR_S)
    assert (never.code, never.measured) == ("curve.never", None)
    with pytest.raises(InputError):
        judge_reached(curve, FORTY, within_s=0)
    with pytest.raises(InputError):
        judge_reached(curve, Limit(4, "h", "time", "", ""), within_s=1)


@pytest.mark.parametrize(
    ("value_F", "hours", "good"),
    [(60, 4.99, True), (60, 5.01, False), (80, 1.99, True), (80, 2.01, False), (49, 20, True)],
)
def test_hours_in_the_warm_bands_add_up(value_F, hours, good):
    finding = judge_cumulative(held(value_F, hours))
    assert (finding.severity is Severity.NOTE) is good


def test_a_short_warm_spell_leaves_four_hours_in_all():
    steps = [0, HOUR_S, HOUR_S, 3.9 * HOUR_S]
    good = read_curve(steps, degF(80, 80, 60, 60), max_gap_s=np.inf)
    assert judge_cumulative(good).severity is Severity.NOTE
    steps[-1] = 4.1 * HOUR_S
    assert (
        judge_cumulative(read_curve(steps, degF(80, 80, 60, 60), max_gap_s=np.inf)).severity
        is Severity.STOP
    )


@pytest.mark.parametrize(
    ("first_F", "last_F", "hours", "good"),
    [(41, 70, 6, True), (41, 70.1, 6, False), (41, 75, 4, True), (42, 60, 1, False)],
)
def test_the_clock_alone_needs_a_cold_start(first_F, last_F, hours, good):
    curve = read_curve([0, hours * HOUR_S], degF(first_F, last_F), max_gap_s=np.inf)
    assert (judge_time_alone(curve).severity is Severity.NOTE) is good


def test_a_hot_car_halves_the_time_to_get_home():
    curve = held(60, 1.5)
    assert judge_danger_zone(curve).severity is Severity.NOTE
    hot = judge_danger_zone(curve, air_degC=degF(91)[0])
    assert (hot.severity, hot.limit) == (Severity.STOP, 1)
