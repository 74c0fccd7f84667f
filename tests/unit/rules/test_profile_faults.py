"""A profile file is checked whole: every fault at once, each with its place."""

import pytest

from pinfeather.errors import InputError
from pinfeather.rules.profile import available, faults_of, read, template
from pinfeather.rules.rows import pattern_of, rows_of
from pinfeather.rules.unit_of import UNITS_OF, unit_fault, units_of

IDS = [summary.profile_id for summary in available()]


def test_the_template_has_no_fault():
    assert faults_of(template(), profile_id="mine") == ()


def test_all_faults_are_told_at_once_and_reading_stops_at_the_first():
    target, wrong = 'target = { value = 4, unit = "C" }', 'target = { value = "x", unit = "h" }'
    text = template().replace(target, wrong, 1)
    text = text.replace('name = "My place"', "name = 7").replace("home_use_counts = true", "")
    faults = faults_of(text, profile_id="mine")
    named = {fault.name for fault in faults}
    assert {
        "mine.name",
        "mine.chill.target.value",
        "mine.chill.target.unit",
        "mine.count.home_use_counts",
    } <= named
    assert all(fault.problem.endswith(".") for fault in faults)
    with pytest.raises(InputError) as caught:
        read(text, profile_id="mine")
    assert caught.value.name == faults[0].name


def test_a_missing_table_is_one_fault_and_not_one_for_each_of_its_words():
    text = template()
    begin, end = text.index("[timing]"), text.index("[freezing]")
    (fault,) = faults_of(text[:begin] + text[end:], profile_id="mine")
    assert fault.name == "mine.timing"


@pytest.mark.parametrize(
    ("find", "put", "where"),
    [
        ("2025 = {", '"next year" = {', "mine.retail.dollars_by_year.next year"),
        ("value = 100, unit", "value = inf, unit", "mine.tiers.small.cap.value"),
        ("value = 100, unit", "value = 99.5, unit", "mine.tiers.small.cap.value"),
        ("turkey = 1", "turkey = -1", "mine.tiers.small.count_weight.turkey"),
        ('statements = [{ text = "Cook', 'statements = [{ text = " ", note = "', "statements[0]"),
    ],
)
def test_each_of_these_is_a_fault(find, put, where):
    text = template()
    assert find in text
    faults = faults_of(text.replace(find, put, 1), profile_id="mine")
    assert any(where in fault.name for fault in faults)


@pytest.mark.parametrize("profile_id", IDS)
def test_every_published_number_has_a_unit_that_fits_what_it_limits(profile_id):
    for row in rows_of(profile_id):
        if row.kind == "number":
            assert row.unit in units_of(row.path), row.path


def test_a_unit_of_another_kind_is_told_which_ones_fit():
    assert "F, C" in unit_fault("chill.target", "h")
    assert unit_fault("chill.target", "C") == ""
    assert all(units for units in UNITS_OF.values())


def test_a_pattern_names_codes_by_a_star_and_rows_by_brackets():
    path = "sanitation.sanitisers.chlorine.yardsticks.cfr_381_10_e.bands[0].strength"
    assert pattern_of(path) == "sanitation.sanitisers.*.yardsticks.*.bands[].strength"
