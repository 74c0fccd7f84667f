"""The tier that fits, with reasons."""

from hypothesis import given
from hypothesis import strategies as st

from pinfeather.rules.profile import available, load
from pinfeather.rules.which import FarmFacts, which_tier

FEDERAL = load("us-federal")
FLAGS = st.fixed_dictionaries(
    {
        name: st.booleans()
        for name in (
            "sells", "only_owners_birds", "leaves_state", "all_own_raised", "own_premises",
            "other_products", "other_poultry", "facility_shared", "sharing_granted", "direct_only",
            "only_slaughter_and_cut",
        )
    }
)  # fmt: skip
PROFILES = st.sampled_from([summary.profile_id for summary in available()])


@given(PROFILES, FLAGS, st.integers(0, 30_000))
def test_there_is_always_a_tier_with_reasons_or_something_in_the_way(profile_id, flags, birds):
    answer = which_tier(load(profile_id), FarmFacts({"chicken": birds}, **flags))
    if answer.tier is None:
        assert answer.blocking
    else:
        assert answer.reasons
        assert answer.open_conditions or answer.tier == "small_enterprise"
        assert answer.headroom.left_after is None or answer.headroom.left_after >= 0


@given(FLAGS, st.integers(0, 30_000))
def test_nothing_that_leaves_the_state_is_ever_let_through(flags, birds):
    facts = FarmFacts({"chicken": birds}, **{**flags, "leaves_state": True, "sells": True})
    answer = which_tier(FEDERAL, facts)
    assert answer.tier in (None, "custom")


def test_washington_opens_with_the_permit_as_first_condition():
    answer = which_tier(load("us-wa"), FarmFacts({"chicken": 300}))
    assert answer.tier == "producer_1000"
    assert "permit" in answer.open_conditions[0].text


def test_above_the_state_cap_the_reason_names_the_numbers():
    answer = which_tier(load("us-wi"), FarmFacts({"chicken": 1200}))
    assert answer.tier is None
    assert "1,200" in answer.blocking[0]
    assert "1,000" in answer.blocking[0]
