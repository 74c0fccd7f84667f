"""Class names, words for cold, retained water, and cut-up shares."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pinfeather.errors import InputError
from pinfeather.estimate import Basis, Estimate, Origin
from pinfeather.packs.classes import class_names
from pinfeather.packs.words import (
    fresh_findings,
    retained_water_findings,
    retained_water_percent,
    retained_water_statement,
    temperature_word,
)
from pinfeather.packs.yields import (
    cut_up,
    handbook_shares,
    lean_shares,
    measured_shares,
    own_shares,
)
from pinfeather.rules.profile import load

FEDERAL = load("us-federal")


def names(kind, weeks, kg=2.0, **how):
    return [c.name for c in class_names(kind, age_days=weeks * 7, mass_kg=kg, **how)]


def test_names_of_other_kinds():
    assert names("turkey", 10) == ["fryer-roaster turkey", "young turkey", "yearling turkey"]
    assert names("turkey", 80) == ["mature turkey"]
    assert names("duck", 7) == ["duckling", "roaster duck"]
    assert names("duck", 30) == ["mature duck"]
    assert [bool(c.by_feel) for c in class_names("goose", age_days=100, mass_kg=4)] == [True, True]


def test_names_that_need_the_sex_are_left_out_without_it():
    assert names("chicken", 50) == []
    assert names("chicken", 50, sex="female") == ["hen"]
    assert "capon" in names("chicken", 15, sex="neutered")


def test_unknown_kinds_and_numbers_are_refused():
    with pytest.raises(InputError, match="turkey"):
        names("quail", 7)
    with pytest.raises(InputError):
        names("chicken", 0)
    with pytest.raises(InputError):
        temperature_word(FEDERAL, float("nan"))
    with pytest.raises(InputError):
        fresh_findings(FEDERAL, [])
    with pytest.raises(InputError):
        retained_water_percent(0, 1)
    with pytest.raises(InputError):
        retained_water_statement(float("inf"))


@given(st.floats(-40, 20), st.floats(-40, 20))
def test_a_colder_past_never_gives_a_fresher_word(one, two):
    order = ["frozen", "no word", "fresh"]
    cold, warm = sorted((one, two))
    worse, better = temperature_word(FEDERAL, cold), temperature_word(FEDERAL, warm)
    assert order.index(worse.word) <= order.index(better.word)


@given(st.floats(-5, 30))
def test_the_water_statement_is_never_too_low(percent):
    words = retained_water_statement(percent)
    stated = 0.0 if words.startswith("no") else float(words.split()[2].rstrip("%"))
    assert percent <= stated + 1e-8
    assert stated < max(percent, 0) + 1


def test_a_statement_that_is_too_low_is_a_stop():
    (found,) = retained_water_findings(5, 5.5)
    assert found.severity.code == "stop"
    assert retained_water_statement(6.0) == "up to 6% retained water"
    assert retained_water_statement(-1.0) == "no water retained"


@given(st.floats(0.5, 500))
def test_parts_and_what_is_left_over_add_up_to_the_carcass(carcass):
    for shares in (None, measured_shares()):
        done = cut_up(carcass, shares)
        total = sum(p.value for p in done.parts_kg.values()) + done.unaccounted_kg
        assert total == pytest.approx(carcass, rel=1e-9)
    assert cut_up(carcass, measured_shares()).unaccounted_kg == pytest.approx(0, abs=1e-9 * carcass)


def test_published_shares_say_how_they_are_known():
    assert {s.basis.status for s in handbook_shares().values()} == {"unverified"}
    assert {s.basis.status for s in measured_shares().values()} == {"read"}


def test_measured_shares_and_lean_are_those_of_the_ten_carcasses():
    # 310, 232, 125, 89 of 756 g; lean 199, 108, 72, 30 g: percentages by hand
    percent = {part: round(100 * share.value) for part, share in measured_shares().items()}
    assert percent == {"breast": 41, "thighs": 31, "drumsticks": 17, "wings": 12}
    lean = {part: round(100 * share) for part, share in lean_shares().items()}
    assert lean == {"breast": 64, "thighs": 47, "drumsticks": 58, "wings": 34}


def test_the_farms_own_cuttings_replace_the_handbook():
    shares = own_shares({"breast": [0.6, 0.9], "wings": [0.2, 0.2]}, [2.0, 2.0])
    assert shares["breast"].value == pytest.approx(0.375)
    assert (shares["breast"].low, shares["breast"].high) == (0.3, 0.45)
    assert shares["breast"].basis.origin is Origin.OWN
    with pytest.raises(InputError, match="more than the carcass"):
        own_shares({"breast": [3.0]}, [2.0])
    with pytest.raises(InputError):
        own_shares({"breast": [1.0, 2.0]}, [2.0])
    with pytest.raises(InputError):
        own_shares({}, [])


def test_shares_above_the_whole_bird_are_refused():
    basis = Basis(Origin.TYPED, "typed")
    with pytest.raises(InputError):
        cut_up(2.0, {"breast": Estimate(1.1, 1.1, 1.1, basis)})
    with pytest.raises(InputError):
        cut_up(0.0)
