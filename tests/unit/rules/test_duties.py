"""What falls due, when, and by which rule."""

import datetime as dt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pinfeather.errors import InputError
from pinfeather.rules.deadlines import water_test_due
from pinfeather.rules.duties import changed, in_order, stands, usual_duties
from pinfeather.rules.profile import load

FEDERAL = load("us-federal")
WASHINGTON = load("us-wa")
TODAY = dt.date(2026, 6, 17)
DATES = st.dates(dt.date(2020, 1, 1), dt.date(2032, 12, 31))


def one(code, profile=FEDERAL, tier="producer_1000", *, own_well=True):
    return {d.code: d for d in usual_duties(profile, tier, own_well=own_well)}[code]


def test_a_well_is_tested_as_the_profile_says_and_town_water_is_not():
    duty = one("water-test")
    assert stands(duty, TODAY, last_on=dt.date(2026, 4, 2)).due_on == dt.date(2026, 10, 2)
    assert duty.interval.basis.note == water_test_due(FEDERAL, TODAY).citation
    codes = {d.code for d in usual_duties(FEDERAL, "producer_1000", own_well=False)}
    assert "water-test" not in codes


def test_a_licence_is_a_duty_only_where_the_tier_asks_for_one():
    assert "licence" not in {d.code for d in usual_duties(FEDERAL, "producer_1000", own_well=True)}
    licence = one("licence", WASHINGTON)
    assert licence.advice == WASHINGTON.tiers["producer_1000"].licence.duty.text
    assert licence.notice_d >= 42, "the application alone takes six weeks"


def test_a_licence_that_lapses_at_new_year_is_due_on_the_last_day_of_december():
    found = stands(one("licence", WASHINGTON), TODAY, last_on=dt.date(2026, 1, 20))
    assert found.due_on == dt.date(2026, 12, 31)
    on_paper = stands(
        one("licence", WASHINGTON), TODAY, last_on=dt.date(2026, 1, 20),
        good_until=dt.date(2026, 9, 30),
    )  # fmt: skip
    assert on_paper.due_on == dt.date(2026, 9, 30), "the paper's own word comes first"


def test_a_tier_the_rules_do_not_know_brings_no_licence_and_no_error():
    assert "licence" not in {d.code for d in usual_duties(WASHINGTON, "no such", own_well=True)}


def test_on_its_own_day_a_duty_is_due_and_the_day_after_overdue():
    duty = one("water-test")
    last = dt.date(2026, 1, 1)
    assert stands(duty, dt.date(2026, 7, 1), last_on=last).state == "due"
    assert stands(duty, dt.date(2026, 7, 2), last_on=last).state == "overdue"
    assert stands(duty, dt.date(2026, 2, 1), last_on=last).state == "later"


def test_never_done_without_a_date_is_open_and_with_one_is_due():
    duty = one("tax-return")
    assert stands(duty, TODAY).state == "open"
    assert stands(duty, TODAY, first_on=dt.date(2026, 6, 20)).state == "due"
    assert stands(duty, TODAY, first_on=dt.date(2026, 6, 1)).state == "overdue"


def test_a_duty_that_is_not_the_farms_is_never_due():
    found = stands(one("training"), TODAY, last_on=dt.date(2020, 1, 1), off=True)
    assert (found.state, found.due_on) == ("off", None)
    assert in_order([found]) == ()


def test_the_farms_own_interval_comes_with_the_reason_it_typed():
    duty = changed(one("scale-seal"), count=24, unit="months", reason="Our inspector", notice_d=5)
    assert duty.interval.basis.note == "Our inspector"
    assert stands(duty, TODAY, last_on=dt.date(2026, 1, 31)).due_on == dt.date(2028, 1, 31)


@pytest.mark.parametrize(("count", "unit"), [(-1, "days"), (121, "months"), (3, "weeks")])
def test_an_interval_that_is_none_is_refused(count, unit):
    with pytest.raises(InputError):
        changed(one("training"), count=count, unit=unit, reason="x")


def test_overdue_comes_first_and_never_done_before_what_has_time():
    found = [
        stands(one("training"), TODAY, last_on=TODAY),
        stands(one("tax-return"), TODAY),
        stands(one("scale-seal"), TODAY, last_on=dt.date(2025, 6, 20)),
        stands(one("water-test"), TODAY, last_on=dt.date(2025, 1, 1)),
    ]
    assert [one.state for one in in_order(found)] == ["overdue", "due", "open", "later"]


@given(last=DATES, today=DATES)
def test_the_days_left_are_negative_exactly_where_it_is_overdue(last, today):
    for duty in usual_duties(WASHINGTON, "producer_1000", own_well=True):
        found = stands(duty, today, last_on=last)
        left = found.days_left(today)
        assert (left < 0) == (found.state == "overdue")
        assert (found.state == "due") == (0 <= left <= duty.notice_d)
