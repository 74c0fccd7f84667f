"""What would change the answer, the year ahead, and watching the facts and the state line."""

import datetime as dt
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pinfeather.finding import Severity
from pinfeather.rules.profile import available, load
from pinfeather.rules.watch import facts_findings, state_in, state_line_findings
from pinfeather.rules.what_changes import FLIPS, what_would_change
from pinfeather.rules.which import FarmFacts, which_tier
from pinfeather.rules.year import year_ahead

IDS = [summary.profile_id for summary in available()]
FEDERAL = load("us-federal")
HOME = "1 Lane, Hollis Creek, MO 65000"


@settings(deadline=None, max_examples=60)
@given(
    st.sampled_from(IDS),
    st.dictionaries(st.sampled_from(sorted(FLIPS)), st.booleans()),
    st.dictionaries(st.sampled_from(["chicken", "turkey", "duck"]), st.integers(0, 21_000)),
)
def test_each_answer_is_the_one_the_question_itself_gives(profile_id, flags, birds):
    profile, facts = load(profile_id), FarmFacts(birds, **flags)
    now = which_tier(profile, facts)
    found = what_would_change(profile, facts)
    assert {one.fact for one in found} >= set(FLIPS)
    for one in found:
        assert one.changes == (one.answer.tier != now.tier)
        if one.fact in FLIPS:
            other = replace(facts, **{one.fact: not getattr(facts, one.fact)})
            assert which_tier(profile, other) == one.answer


@pytest.mark.parametrize(
    ("birds", "told", "tier"),
    [
        (1000, "one bird more (chicken; 1,001 in all)", "producer_20000"),
        (995, "6 birds more (chicken; 1,001 in all)", "producer_20000"),
        (1001, "one bird fewer (chicken; 1,000 in all)", "producer_1000"),
        (20_000, "one bird more (chicken; 20,001 in all)", None),
    ],
)
def test_the_count_is_moved_to_the_next_border(birds, told, tier):
    found = what_would_change(FEDERAL, FarmFacts({"chicken": birds}))
    moved = [one for one in found if one.fact == "year_birds" and told in one.condition]
    assert [one.answer.tier for one in moved] == [tier]


def test_a_kind_that_weighs_four_needs_a_quarter_of_the_birds():
    found = what_would_change(load("us-ny"), FarmFacts({"turkey": 250}))
    assert any("one bird more (turkey; 251 in all)" in one.condition for one in found)


def test_the_planned_days_are_counted_on_one_after_the_other():
    days = [(dt.date(2026, 9, 20), {"chicken": 60}), (dt.date(2026, 9, 12), {"chicken": 60})]
    ahead = year_ahead(FEDERAL, "producer_1000", counted={"chicken": 881}, days=days)
    assert [day.date.day for day in ahead] == [12, 20]
    assert [day.room.left_after for day in ahead] == [59, -1]
    assert [day.room.findings[0].code for day in ahead] == ["count.toward_cap", "count.passes_cap"]


def test_a_day_of_the_next_year_counts_from_nothing():
    days = [(dt.date(2026, 12, 31), {"chicken": 60}), (dt.date(2027, 1, 1), {"chicken": 60})]
    ahead = year_ahead(FEDERAL, "producer_1000", counted={"chicken": 900}, days=days)
    assert [day.room.counted for day in ahead] == [900, 0]


@pytest.mark.parametrize(
    ("tier", "facts", "code"),
    [
        ("producer_20000", {"facility_shared": True}, "tier.shared"),
        ("producer_20000", {"other_poultry": True}, "tier.other_trade"),
        ("producer_1000", {"other_products": True}, "tier.other_trade"),
        ("producer_1000", {"all_own_raised": False}, "tier.own_raised"),
        ("producer_1000", {"own_premises": False}, "tier.own_premises"),
        ("producer_1000", {"leaves_state": True}, "tier.leaves_state"),
        ("pgop_20000", {"direct_only": False}, "tier.self_distribution"),
        ("small_enterprise", {"only_slaughter_and_cut": False}, "tier.processing"),
        ("custom", {"sells": True}, "tier.sells"),
    ],
)
def test_a_breach_is_a_stop_that_names_the_rule(tier, facts, code):
    found = facts_findings(FEDERAL, tier, FarmFacts(**facts))
    assert [one.code for one in found if one.code == code] == [code]
    for one in found:
        assert one.severity is Severity.STOP
        assert one.citation == FEDERAL.tiers[tier].citation
    assert facts_findings(FEDERAL, "producer_1000", FarmFacts()) == ()


@pytest.mark.parametrize(
    ("address", "state"),
    [
        (HOME, "MO"),
        ("12 Main St\nKansas City KS, 66101-1234", "KS"),
        ("MO 65000 Street 1, Dell, IL 62000", "IL"),
        ("somewhere", ""),
        ("", ""),
        ("Ontario ON K1A 0B1", ""),
    ],
)
def test_the_state_of_an_address_stands_before_its_zip_code(address, state):
    assert state_in(address) == state


def test_a_delivery_across_the_line_stops_and_a_pickup_is_looked_at():
    there = {"farm_address": HOME, "buyer_address": "3 Elm, Fort, KS 66000"}
    (stop,) = state_line_findings(FEDERAL, "producer_1000", venue="delivery", **there)
    (look,) = state_line_findings(FEDERAL, "producer_1000", venue="farm", **there)
    assert (stop.code, stop.severity) == ("sale.interstate", Severity.STOP)
    assert "453(a)" in stop.citation
    assert (look.severity, look.status) == (Severity.CHECK, "disputable")


def test_a_states_own_profile_says_where_the_farm_is():
    args = {"farm_address": "", "buyer_address": "3 Elm, Fort, KS 66000", "venue": "delivery"}
    assert state_line_findings(FEDERAL, "producer_1000", **args) == ()
    assert state_line_findings(load("us-co"), "producer_1000", **args)
    at_home = {**args, "buyer_address": "3 Elm, Hill, CO 80000"}
    assert state_line_findings(load("us-co"), "producer_1000", **at_home) == ()
