"""Labels are built full and judged strictly."""

import dataclasses
import datetime as dt
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pinfeather.finding import Severity
from pinfeather.packs.label import LabelFarm, LabelPackage, build_label, check_label
from pinfeather.rules.profile import available, load

FARM = LabelFarm("Three Elms Farm", "Ada Quince", ("12 Orchard Lane", "Springfield 00000"))
BAG = LabelPackage(
    "Chicken broiler, whole",
    Decimal("4.37"),
    dt.date(2026, 9, 12),
    "2026-09-12 B3 T1",
    per_lb=Decimal("5.49"),
)
FEDERAL = load("us-federal")
ALL = [
    (summary.profile_id, code)
    for summary in available()
    for code, tier in load(summary.profile_id).tiers.items()
    if tier.allowed
]


def label(tier="producer_20000", profile=FEDERAL, bag=BAG, **changes):
    return dataclasses.replace(build_label(profile, tier, bag, farm=FARM), **changes)


def codes(content, tier="producer_20000", profile=FEDERAL):
    return {f.code for f in check_label(content, profile, tier)}


@pytest.mark.parametrize(("profile_id", "tier"), ALL)
@pytest.mark.parametrize("frozen", [False, True])
def test_every_label_the_program_builds_passes_its_own_judge(profile_id, tier, frozen):
    bag = dataclasses.replace(BAG, frozen=frozen)
    profile = load(profile_id)
    assert check_label(label(tier, profile, bag), profile, tier) == ()


def test_the_price_follows_from_the_weight_printed():
    content = label()
    assert content.net_weight == "Net Wt. 4.37 lb"
    assert content.price_per_lb == "$5.49 per lb"
    assert content.total == "$23.99"
    assert "$23.99" in content.lines


def test_a_bag_without_a_price_has_none_on_its_label():
    content = label(bag=dataclasses.replace(BAG, per_lb=None))
    assert content.total == content.price_per_lb == ""
    assert codes(content) == {"label.unpriced"}
    assert codes(dataclasses.replace(content, random_weight=False)) == set()
    unsold = label("custom", bag=dataclasses.replace(BAG, per_lb=None))
    assert codes(unsold, "custom") == set()


REQUIRED = {
    "product_name": {"product_name": ""},
    "net_weight": {"net_weight": ""},
    "name_and_address": {"producer": ("Three Elms Farm",)},
    "safe_handling": {"safe_handling": ()},
    "handling": {"handling": ""},
}


@pytest.mark.parametrize("element", REQUIRED)
def test_each_thing_a_small_enterprise_label_lacks_is_named(element):
    content = label("small_enterprise", **REQUIRED[element])
    found = codes(content, "small_enterprise") - {"label.unpriced"}
    assert found == {f"label.missing.{element}"}


def test_colorado_wants_its_own_sentence_whole():
    profile = load("us-co")
    content = label(
        "producer_1000", profile, statements=("This product is not intended for resale",)
    )
    assert codes(content, "producer_1000", profile) == {"label.altered.statements"}


@pytest.mark.parametrize("dash", ["—", "--", "-", " - ", " – "])
def test_any_kind_of_dash_will_do_in_the_exempt_statement(dash):
    assert codes(label(exempt_statement=f"Exempted{dash}P.L. 90-492")) == set()


def test_altered_words_are_told_with_the_right_ones():
    content = label(exempt_statement="Exempt from inspection")
    (found,) = check_label(content, FEDERAL, "producer_20000")
    assert found.code == "label.altered.exempt_statement"
    assert "P.L. 90-492" in found.reason
    assert found.severity == Severity.STOP
    assert codes(label(handling="Keep cool")) == {"label.altered.handling"}


@pytest.mark.parametrize(
    "words", ["USDA Inspected", "Inspected for  wholesomeness", "inspected AND passed"]
)
def test_words_of_inspection_are_refused_wherever_they_stand(words):
    assert "label.forbidden" in codes(label(claims=(words,)))


def test_a_shortened_block_is_refused():
    block = label().safe_handling
    assert codes(label(safe_handling=block[:-1])) == {"label.altered.safe_handling"}


def test_fixed_packs_need_tall_enough_letters_and_random_ones_do_not():
    sizes = {"panel_m2": 0.01, "net_weight_height_m": 0.003}
    assert codes(label(**sizes)) == set()
    assert codes(label(**sizes, random_weight=False)) == {"label.small.net_weight"}


def test_texas_wants_quarter_inch_letters():
    profile = load("us-tx")
    tall = {"statement_height_m": 0.25 * 0.0254}
    assert codes(label("producer_20000", profile, **tall), profile=profile) == set()
    short = label("producer_20000", profile, statement_height_m=0.006)
    assert codes(short, profile=profile) == {
        f"label.small.{element}"
        for element in (
            "exempt_statement",
            "not_inspected_statement",
            "product_name",
            "handling",
            "name_and_address",
        )
    }


@given(st.sampled_from(ALL), st.text(max_size=40))
def test_the_judge_never_trips_over_odd_words(which, words):
    profile, tier = load(which[0]), which[1]
    content = dataclasses.replace(
        label(tier, profile), product_name=words, pack_date=words, exempt_statement=words
    )
    for found in check_label(content, profile, tier):
        assert found.citation
