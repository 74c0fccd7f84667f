"""Promises need papers; class and cold words must be borne out."""

from __future__ import annotations

import datetime as dt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pinfeather.packs.claims import Claim, claim_findings, promises
from pinfeather.packs.label_words import (
    age_days,
    class_choices,
    class_findings,
    cold_word_findings,
)
from pinfeather.rules.profile import load
from pinfeather.units import KG_PER_LB, to_si

DAY = dt.date(2026, 9, 12)
PASTURE = Claim("Pasture raised: on grass from 3 weeks", "pen map", dt.date(2026, 5, 1))


def codes(findings) -> list[str]:
    return [finding.code for finding in findings]


def test_a_promise_with_its_paper_may_be_printed():
    assert claim_findings((), (PASTURE.words,), (PASTURE,), on=DAY) == ()


@pytest.mark.parametrize(
    "on_file",
    [
        (),
        (Claim("No antibiotics", "feed tags", dt.date(2026, 1, 1)),),
        (Claim(PASTURE.words, "pen map", dt.date(2026, 10, 1)),),
        (Claim(PASTURE.words, "pen map", dt.date(2026, 1, 1), dt.date(2026, 9, 11)),),
    ],
    ids=["none", "another", "not yet", "run out"],
)
def test_a_promise_without_a_paper_that_holds_is_stopped(on_file):
    (finding,) = claim_findings((), (PASTURE.words,), on_file, on=DAY)

    assert finding.code == "label.claim_without_paper"
    assert finding.severity.code == "stop"
    assert finding.citation.startswith("9 CFR 381.129")


def test_a_promise_hidden_in_the_name_is_found():
    (finding,) = claim_findings(("Organic chicken, whole",), (), (), on=DAY)
    assert "organic" in finding.sentence
    assert claim_findings(("Pastured chicken",), (), (PASTURE,), on=DAY) == ()
    assert claim_findings(("Whole chicken", "Naturalist's choice"), (), (), on=DAY) == ()


@given(st.text(max_size=60))
def test_any_text_can_be_searched_for_promises(text):
    assert len(promises(text)) <= 12


@pytest.mark.parametrize(
    ("days", "mass_lb", "fits", "not_so"),
    [
        (56, 4.2, "broiler", "roaster"),
        (56, 6.0, "roaster", "hen"),
        (80, 6.0, "roaster", "broiler"),
        (30, 1.9, "Cornish game hen", "roaster"),
        (400, 5.0, "stewing chicken", "broiler"),
    ],
)
def test_class_names_follow_age_and_weight(days, mass_lb, fits, not_so):
    """9 CFR 381.170(a): game hen under 5 weeks and 2 lb; broiler under 10; roaster under 12."""
    mass_kg = mass_lb * KG_PER_LB

    assert class_findings(fits, "chicken", age_days=days, mass_kg=mass_kg) == ()
    (finding,) = class_findings(not_so, "chicken", age_days=days, mass_kg=mass_kg)
    assert finding.code == "label.class"
    assert not_so in finding.sentence


def test_before_weighing_the_age_alone_decides_what_is_offered():
    assert "roaster" in class_choices("chicken", age_days=56)
    assert "broiler" in class_choices("chicken", age_days=56)
    assert class_choices("chicken", age_days=None) == ()
    assert class_choices("turkey", age_days=120)[0] == "young turkey"
    assert class_choices("goose", age_days=120)  # by feel, where nothing else is known


def test_a_class_of_a_lot_without_a_hatch_day_is_asked_about():
    assert codes(class_findings("roaster", "chicken", age_days=None, mass_kg=3.0)) == [
        "label.class_age"
    ]
    assert class_findings("", "chicken", age_days=None, mass_kg=3.0) == ()
    assert age_days(None, DAY) is None
    assert age_days(dt.date(2026, 7, 18), DAY) == 56


@pytest.mark.parametrize(
    ("text", "degF", "frozen", "expected"),
    [
        ("Fresh whole chicken", 33, False, []),
        ("Fresh whole chicken", 26, False, []),
        ("Fresh whole chicken", 25, False, ["label.not_fresh"]),
        ("Whole chicken", 25, False, []),
        ("Whole chicken", 0, False, ["label.frozen_missing"]),
        ("Whole chicken, previously frozen", 0, False, []),
        ("Whole chicken", -5, True, []),
        ("Fresh frozen chicken", -5, True, []),
        ("Fresh whole chicken", None, False, ["label.fresh_unproved"]),
        ("Whole chicken", None, False, []),
    ],
)
def test_fresh_and_frozen_follow_the_coldest_it_has_been(text, degF, frozen, expected):
    """9 CFR 381.129(b)(6): fresh never below 26 F; frozen at 0 F or below."""
    coldest_degC = None if degF is None else to_si(degF, "F", "temperature")

    found = cold_word_findings(load("us-federal"), text, coldest_degC=coldest_degC, frozen=frozen)

    assert codes(found) == expected
