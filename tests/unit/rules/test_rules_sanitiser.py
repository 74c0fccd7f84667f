"""Strength of sanitisers and how long they serve."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pinfeather.errors import InputError
from pinfeather.finding import Severity, worst
from pinfeather.rules.profile import load
from pinfeather.rules.sanitiser import hot_water_verdict, renew_interval_s, strength_verdict
from pinfeather.units import to_si

FEDERAL = load("us-federal")


def verdict(chemical="chlorine", ppm=100.0, **given_):
    conditions = {"temperature_degC": 30.0, "pH": 7.0} | given_
    return strength_verdict(FEDERAL, chemical, ppm, **conditions)


def test_a_right_solution_gets_one_note():
    (note,) = verdict()
    assert note.code == "sanitiser.right"
    assert note.severity == Severity.NOTE


@given(st.floats(0, 1000), st.sampled_from(["dipped", "fixed"]))
def test_every_strength_gets_a_verdict_with_a_source(ppm, surface):
    found = verdict(ppm=ppm, surface=surface)
    assert found
    assert all(f.citation and f.status for f in found)


def test_missing_only_the_other_yardstick_is_a_check():
    # 50 ppm at pH 9 and 80 F: enough for the poultry text, not for the Food Code
    found = verdict(ppm=50, temperature_degC=80 / 3, pH=9.0)
    assert worst(found) == Severity.CHECK


def test_what_was_not_measured_is_asked_for():
    found = verdict(temperature_degC=None, pH=None)
    assert {f.code for f in found} == {"sanitiser.measure"}
    assert worst(found) == Severity.CHECK


def test_quat_over_two_hundred_is_a_question_for_the_label():
    assert {f.code for f in verdict("quat", 300)} == {"sanitiser.ask_label"}


@pytest.mark.parametrize(
    ("given_", "name"),
    [
        ({"chemical": "vinegar"}, "chemical"),
        ({"ppm": -1.0}, "ppm"),
        ({"ppm": float("nan")}, "ppm"),
        ({"yardstick": "unknown"}, "yardstick"),
        ({"pH": 15.0}, "pH"),
        ({"pH": float("nan")}, "pH"),
        ({"temperature_degC": float("nan")}, "temperature_degC"),
        ({"contact_s": -1.0}, "contact_s"),
        ({"hardness_ppm": -1.0}, "hardness_ppm"),
        ({"hardness_ppm": float("inf")}, "hardness_ppm"),
    ],
)
def test_wrong_arguments_are_refused(given_, name):
    with pytest.raises(InputError) as caught:
        verdict(**given_)
    assert caught.value.name == name


@given(st.floats(-10, 40), st.floats(-10, 40))
def test_a_warmer_room_never_allows_more_time(one, two):
    cool, warm = sorted((one, two))
    more, less = renew_interval_s(FEDERAL, cool), renew_interval_s(FEDERAL, warm)
    assert more.interval_s >= less.interval_s


def test_the_interval_comes_with_its_source():
    interval, citation, status = renew_interval_s(FEDERAL, 4.0)
    assert interval == 24 * 3600
    assert "4-602.11" in citation
    assert status == "read"
    with pytest.raises(InputError):
        renew_interval_s(FEDERAL, float("nan"))


@pytest.mark.parametrize(
    ("reading", "temp_F", "ph", "good"),
    [
        (25, 120, 7, True),
        (25, 119.9, 7, False),
        (49, 120, 9, True),
        (50, 75, 8, True),
        (50, 75, 8.1, False),
        (50, 100, 8.1, True),
        (99, 99, 9, False),
        (100, 55, 9, True),
        (100, 54.9, 7, False),
        (200, 55, 10, True),
        (200, 55, 10.1, False),
        (201, 75, 7, False),
        (24, 130, 7, False),
    ],
)
def test_weak_chlorine_needs_warm_water_and_no_chlorine_works_in_lye(reading, temp_F, ph, good):
    found = verdict(
        ppm=reading,
        temperature_degC=to_si(temp_F, "F", "temperature"),
        pH=ph,
        yardstick="food_code_current",
    )
    assert (worst(found) is Severity.NOTE) is good


def test_the_two_iodine_temperatures_are_kept_apart():
    given_ = {"temperature_degC": to_si(70, "F", "temperature"), "pH": 4.5, "contact_s": 60.0}
    food_code = verdict("iodine", 20, **given_, yardstick="food_code_current")
    (cold,) = verdict("iodine", 20, **given_, yardstick="cfr_381_10_e")
    assert worst(food_code) is Severity.NOTE
    assert (cold.code, cold.limit) == ("sanitiser.cold", 75)


def test_contact_time_and_hard_water_are_judged():
    given_ = {"temperature_degC": 24.0, "yardstick": "food_code_current"}
    found = verdict("quat", 200, **given_, contact_s=20.0, hardness_ppm=600.0)
    assert {f.code: (f.measured, f.limit, f.unit) for f in found} == {
        "sanitiser.short": (20, 30, "s"),
        "sanitiser.hard_water": (600, 500, "ppm"),
    }
    assert all(f.severity is Severity.STOP and "4-501.114" in f.citation for f in found)
    good = verdict("quat", 200, **given_, contact_s=30.0, hardness_ppm=500.0)
    assert [f.code for f in good] == ["sanitiser.right"]


@given(st.floats(0, 200), st.floats(0, 600), st.floats(0, 600))
def test_longer_contact_is_never_worse(ppm, one, other):
    short, long = sorted((one, other))
    assert worst(verdict(ppm=ppm, contact_s=long)) <= worst(verdict(ppm=ppm, contact_s=short))


def test_hot_water_must_be_hot_and_long():
    at_limit = to_si(170, "F", "temperature")

    def codes(temperature_degC, contact_s=None):
        found = hot_water_verdict(FEDERAL, temperature_degC=temperature_degC, contact_s=contact_s)
        return [f.code for f in found]

    assert codes(at_limit, 30) == ["sanitiser.right"]
    assert codes(at_limit - 0.01, 29) == ["sanitiser.cold", "sanitiser.short"]
    assert codes(at_limit) == ["sanitiser.measure"]
    for wrong in ((float("nan"), 30), (80.0, -1.0)):
        with pytest.raises(InputError):
            codes(*wrong)
