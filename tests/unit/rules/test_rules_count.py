"""Birds counted against the cap."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pinfeather.errors import InputError
from pinfeather.finding import Severity
from pinfeather.rules.count import headroom, tier_of
from pinfeather.rules.profile import load

FEDERAL = load("us-federal")


def room(counted, planned, profile=FEDERAL, tier="producer_1000"):
    return headroom(profile, tier, counted={"chicken": counted}, planned={"chicken": planned})


@pytest.mark.parametrize(
    ("counted", "planned", "code"),
    [
        (700, 99, None),
        (700, 100, "count.toward_cap"),
        (900, 49, "count.toward_cap"),
        (900, 50, "count.near_cap"),
        (900, 100, "count.near_cap"),
        (900, 101, "count.passes_cap"),
        (1001, 0, "count.over_cap"),
    ],
)
def test_warnings_come_at_four_fifths_at_nineteen_twentieths_and_past_the_cap(
    counted, planned, code
):
    found = room(counted, planned).findings
    assert [f.code for f in found] == ([] if code is None else [code])
    for finding in found:
        assert finding.citation
        assert finding.unit == "birds"


@given(st.integers(0, 3000), st.integers(0, 3000))
def test_what_is_left_and_what_was_used_add_up_to_the_most(counted, planned):
    answer = room(counted, planned)
    assert answer.left_after + answer.counted + answer.planned == answer.most == 1000
    stop = any(f.severity == Severity.STOP for f in answer.findings)
    assert stop is (answer.left_after < 0)


def test_fewer_than_a_thousand_is_one_less_than_not_more_than_a_thousand():
    assert room(0, 0, load("us-vt")).most == 999


def test_a_tier_without_a_cap_has_no_headroom_to_lose():
    answer = room(5000, 5000, tier="personal")
    assert answer.cap is None
    assert answer.left_after is None
    assert answer.findings == ()


def test_birds_killed_in_two_years_are_counted_apart():
    # 60 on 31 December, 60 on 1 January: the caller counts each calendar year by itself
    assert room(0, 60).left_after == 940


def test_a_misspelled_kind_is_refused_and_not_left_uncounted():
    with pytest.raises(InputError, match="chicken"):
        headroom(FEDERAL, "producer_1000", counted={"chickens": 900}, planned={})
    with pytest.raises(InputError, match="negative"):
        room(-1, 0)


def test_a_tier_the_state_does_not_have_is_refused():
    with pytest.raises(InputError, match="not open"):
        tier_of(load("us-wa"), "producer_20000")
