"""Strength of sanitisers and how long they serve."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pinfeather.errors import InputError
from pinfeather.finding import Severity, worst
from pinfeather.rules.profile import load
from pinfeather.rules.sanitiser import renew_interval_s, strength_verdict

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
