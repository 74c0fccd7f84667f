"""Label duties of a tier."""

import pytest

from pinfeather.errors import InputError
from pinfeather.rules.label import label_elements
from pinfeather.rules.profile import available, load

ALL = [
    (summary.profile_id, code)
    for summary in available()
    for code, tier in load(summary.profile_id).tiers.items()
    if tier.allowed
]


@pytest.mark.parametrize(("profile_id", "tier"), ALL)
def test_what_is_required_can_be_printed(profile_id, tier):
    rules = label_elements(load(profile_id), tier)
    assert ("exempt_statement" not in rules.required) or rules.exempt_statement
    assert ("not_inspected_statement" not in rules.required) or rules.not_inspected_statement
    assert ("statements" not in rules.required) or rules.statements
    assert not set(rules.required) & set(rules.advised)
    assert rules.citation


@pytest.mark.parametrize(("profile_id", "tier"), ALL)
def test_no_rule_asks_for_words_it_forbids(profile_id, tier):
    rules = label_elements(load(profile_id), tier)
    asked = [w.text for w in rules.statements] + list(rules.safe_handling.lines)
    asked += [w.text for w in (rules.exempt_statement, rules.not_inspected_statement) if w]
    for wording in rules.forbidden:
        assert not any(wording.text.casefold() in text.casefold() for text in asked)


def test_a_closed_tier_has_no_label():
    with pytest.raises(InputError):
        label_elements(load("us-ny"), "producer_20000")
