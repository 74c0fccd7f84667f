import datetime as dt

import pytest

from pinfeather.day.sanitation import sanitiser_findings, water_findings
from pinfeather.finding import Severity
from pinfeather.rules.profile import load
from pinfeather.units import to_si

FEDERAL = load("us-federal")
COOL, WARM = to_si(63, "F", "temperature"), to_si(75, "F", "temperature")


def judge(journal, *, room_degC=COOL, end=180):
    return sanitiser_findings(
        journal.progress(),
        FEDERAL,
        room_degC=room_degC,
        begin=journal.at(0),
        end=journal.at(end),
    )


def codes(findings):
    return [finding.code for finding in findings]


# --- strips


def test_a_day_without_a_strip_is_told(journal):
    (told,) = judge(journal)
    assert told.code == "sanitiser.no_strip"
    assert told.severity is Severity.CHECK


def test_a_strip_of_a_hundred_parts_is_only_a_note_about_the_warmth_of_the_mix(journal):
    journal.reading("strip", -30, 100, unit="ppm")
    (told,) = judge(journal)
    assert told.severity is Severity.NOTE
    assert told.sentence == ("The strip read 100 ppm; the warmth of the mix was not measured.")


def test_a_weak_strip_is_a_stop(journal):
    journal.reading("strip", -30, 10, unit="ppm")
    found = judge(journal)
    assert max(found, key=lambda f: f.severity).severity is Severity.STOP
    assert "sanitiser.weak" in codes(found)
    assert all("10 ppm" in finding.where for finding in found)


def test_a_strip_over_the_limit_is_told(journal):
    journal.reading("strip", -30, 400, unit="ppm")
    assert "sanitiser.strong" in codes(judge(journal))


def test_each_strip_is_judged_for_itself_and_can_be_answered_for_itself(journal):
    journal.reading("strip", -30, 10, unit="ppm")
    journal.reading("strip", 100, 10, unit="ppm")
    places = {finding.where for finding in judge(journal) if finding.code == "sanitiser.weak"}
    assert len(places) == 2


def test_a_strip_taken_back_does_not_count(journal):
    journal.take_back(journal.reading("strip", -30, 10, unit="ppm"), -29)
    assert codes(judge(journal)) == ["sanitiser.no_strip"]


# --- how often


@pytest.fixture
def with_strip(journal):
    journal.reading("strip", -30, 100, unit="ppm")
    return journal


def test_a_short_day_needs_no_second_mix(with_strip):
    assert "sanitiser.interval" not in codes(judge(with_strip, end=240))


def test_surfaces_that_go_too_long_are_told_with_the_interval_for_the_warmth(with_strip):
    told = judge(with_strip, end=270, room_degC=WARM)[-1]
    assert told.code == "sanitiser.interval"
    assert (told.measured, told.limit, told.unit) == (4.5, 4.0, "h")
    assert "4.5 h without being cleaned" in told.sentence
    assert told.reason == "In a room this warm the interval is 4 h."
    assert told.citation


def test_the_warmer_the_room_the_shorter_the_interval(with_strip):
    limits = [
        judge(with_strip, end=60 * 30, room_degC=to_si(temp, "F", "temperature"))[-1].limit
        for temp in (40, 48, 60, 66, 75)
    ]
    assert limits == sorted(limits, reverse=True)
    assert limits[0] == 24.0


def test_renewing_in_between_keeps_the_interval(with_strip):
    with_strip.did("sanitiser", 230)
    assert "sanitiser.interval" not in codes(judge(with_strip, end=460))


def test_the_longest_stretch_is_the_one_told(with_strip):
    with_strip.did("sanitiser", 60)
    told = judge(with_strip, end=60 + 300)[-1]
    assert told.measured == 5.0


def test_renewals_that_reach_the_farm_late_are_put_in_order_of_time(with_strip):
    with_strip.did("sanitiser", 400)
    with_strip.did("sanitiser", 200)
    assert "sanitiser.interval" not in codes(judge(with_strip, end=600))


def test_a_mix_before_the_first_bird_or_at_clean_up_does_not_stretch_the_interval(with_strip):
    with_strip.did("sanitiser", -40)
    with_strip.did("sanitiser", 900)
    assert "sanitiser.interval" not in codes(judge(with_strip, end=200))


def test_another_task_is_not_a_renewal(with_strip):
    with_strip.did("stir", 200, place="East tank")
    assert "sanitiser.interval" in codes(judge(with_strip, end=400))


# --- water

DAY = dt.date(2026, 9, 19)


def test_town_water_needs_no_test_of_ones_own():
    assert water_findings(FEDERAL, source="town", tested=None, date=DAY) == ()


def test_a_well_tested_this_summer_is_fine():
    assert water_findings(FEDERAL, source="well", tested=dt.date(2026, 6, 1), date=DAY) == ()


@pytest.mark.parametrize("tested", [None, dt.date(2026, 1, 15)])
def test_a_well_without_a_young_test_is_told(tested):
    (told,) = water_findings(FEDERAL, source="well", tested=tested, date=DAY)
    assert told.code == "water.test"
    assert told.severity is Severity.CHECK
    assert told.sentence == "The well has no test younger than 6 months."
    assert "416.2(g)" in told.citation
    assert (told.measured is None) is (tested is None)


@pytest.mark.parametrize(("days", "old"), [(180, False), (190, True)])
def test_half_a_year_is_the_edge(days, old):
    found = water_findings(FEDERAL, source="well", tested=DAY - dt.timedelta(days=days), date=DAY)
    assert bool(found) is old
