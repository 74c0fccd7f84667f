import pytest
from hypothesis import given
from hypothesis import strategies as st

from pinfeather.errors import InputError
from pinfeather.finding import Severity, worst
from pinfeather.hygiene.strength import (
    Conditions,
    ceiling,
    judge_hot_water,
    judge_solution,
    judge_strip,
)
from pinfeather.units import to_si


def ppm(value):
    return to_si(value, "ppm", "strength")


def warm(value_F, **rest):
    return Conditions(temp_degC=to_si(value_F, "F", "temperature"), **rest)


@given(low=st.floats(0, 400), width=st.floats(0, 400), reading=st.floats(0, 1000))
def test_a_strip_is_good_exactly_between_its_limits(low, width, reading):
    finding = judge_strip(ppm(reading), min_frac=ppm(low), max_frac=ppm(low + width))
    good = ppm(low) <= ppm(reading) <= ppm(low + width)
    assert (finding.severity is Severity.NOTE) is good
    assert finding.sentence


def test_both_limits_are_in_range():
    for reading in (50, 200):
        found = judge_strip(ppm(reading), min_frac=ppm(50), max_frac=ppm(200))
        assert found.code == "sanitizer.good"


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
    findings = judge_solution("chlorine", ppm(reading), conditions=warm(temp_F, ph=ph))
    assert (worst(findings) is Severity.NOTE) is good


def test_without_a_ph_reading_the_stricter_temperature_counts():
    findings = judge_solution("chlorine", ppm(60), conditions=warm(80))
    assert [f.code for f in findings] == [
        "sanitizer.cold",
        "sanitizer.good",
        "sanitizer.ph_missing",
    ]
    assert findings[0].limit == 100


def test_what_was_not_measured_is_named():
    findings = judge_solution("iodine", ppm(20), conditions=Conditions(ph=4.5))
    assert {f.code for f in findings} == {"sanitizer.good", "sanitizer.temperature_missing"}


def test_the_two_iodine_temperatures_are_kept_apart():
    conditions = warm(70, ph=4.5, contact_s=60)
    assert worst(judge_solution("iodine", ppm(20), conditions=conditions)) is Severity.NOTE
    older = judge_solution("iodine", ppm(20), conditions=conditions, profile="cfr_381_10_e")
    assert older[0].code == "sanitizer.cold"
    assert older[0].limit == 75


def test_contact_time_and_hard_water_are_judged():
    findings = judge_solution(
        "quat",
        ppm(200),
        conditions=warm(75, contact_s=20, hardness_frac=ppm(600)),
        label_min_frac=ppm(200),
    )
    assert {f.code for f in findings if f.severity is Severity.STOP} == {
        "sanitizer.short",
        "sanitizer.hard_water",
    }
    good = judge_solution(
        "quat",
        ppm(200),
        conditions=warm(75, contact_s=30, hardness_frac=ppm(500)),
        label_min_frac=ppm(200),
    )
    assert [f.code for f in good] == ["sanitizer.good"]


def test_findings_carry_their_source():
    findings = judge_solution("chlorine", ppm(50), conditions=warm(60, ph=7), where="knife bucket")
    assert all(f.where == "knife bucket" and "4-501.114" in f.citation for f in findings)
    assert all(f.status == "read" for f in findings)


def test_hot_water_must_be_hot_and_long():
    at_limit = to_si(171, "F", "temperature")
    assert judge_hot_water(at_limit, contact_s=30) == ()
    assert [f.code for f in judge_hot_water(at_limit - 0.01, contact_s=29)] == [
        "sanitizer.cold",
        "sanitizer.short",
    ]
    assert (
        judge_hot_water(to_si(170, "F", "temperature"), contact_s=30, profile="cfr_381_10_e") == ()
    )


def test_ceilings_depend_on_the_source_and_the_surface():
    assert ceiling("chlorine").value == 200
    assert ceiling("chlorine", source="isocyanurate").value == 100
    assert ceiling("peracetic acid").value == 315
    assert ceiling("peracetic acid", surface="public eating place").value == 58
    with pytest.raises(InputError):
        ceiling("vinegar")


WRONG = {
    "a negative strip": lambda: judge_strip(-1e-6, min_frac=0, max_frac=1e-4),
    "limits in the wrong order": lambda: judge_strip(1e-4, min_frac=2e-4, max_frac=1e-4),
    "quat without its label": lambda: judge_solution("quat", 2e-4, conditions=Conditions()),
    "quat in a table without quat": lambda: judge_solution(
        "quat", 2e-4, conditions=Conditions(), label_min_frac=1e-4, profile="cfr_381_10_e"
    ),
    "a pH of 15": lambda: judge_solution("chlorine", 1e-4, conditions=Conditions(ph=15)),
    "negative time": lambda: judge_solution("chlorine", 1e-4, conditions=Conditions(contact_s=-1)),
    "not a number": lambda: judge_hot_water(float("nan"), contact_s=30),
}


@pytest.mark.parametrize("wrong", WRONG.values(), ids=WRONG.keys())
def test_impossible_readings_are_refused(wrong):
    with pytest.raises(InputError):
        wrong()
