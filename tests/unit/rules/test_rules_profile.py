"""Profiles load, say where every number comes from, and refuse what they do not know."""

import ast
import dataclasses
import pathlib
import tomllib
from collections.abc import Mapping
from importlib import resources

import pytest

import pinfeather.packs
import pinfeather.rules
from pinfeather.errors import InputError
from pinfeather.rules import profile as module
from pinfeather.rules.limit import IN_FORCE, STATUSES, Limit, Wording
from pinfeather.rules.profile import available, load, read, template
from pinfeather.rules.schema import SOURCE_KEYS, sourced

IDS = [summary.profile_id for summary in available()]
STATES = [profile_id for profile_id in IDS if profile_id != "us-federal"]
PROFILES = resources.files("pinfeather.rules").joinpath("profiles")


def walk(value, kind):
    if isinstance(value, kind):
        yield value
    elif dataclasses.is_dataclass(value):
        for field in dataclasses.fields(value):
            yield from walk(getattr(value, field.name), kind)
    elif isinstance(value, Mapping):
        for inner in value.values():
            yield from walk(inner, kind)
    elif isinstance(value, tuple):
        for inner in value:
            yield from walk(inner, kind)


def numbers_and_words(data):
    if isinstance(data, dict):
        if "value" in data or "text" in data:
            yield data
        else:
            for inner in data.values():
                yield from numbers_and_words(inner)
    elif isinstance(data, list):
        for inner in data:
            yield from numbers_and_words(inner)


def changed(find, put):
    text = template()
    assert text.count(find) >= 1
    return text.replace(find, put, 1)


def test_the_federal_profile_and_at_least_eight_states_are_there():
    assert IDS[0] == "us-federal"
    assert len(STATES) >= 8
    assert {"us-co", "us-tx", "us-oh", "us-or", "us-vt", "us-ny", "us-wi", "us-wa"} <= set(STATES)


def test_profile_names_are_not_used_twice():
    assert len({summary.name for summary in available()}) == len(IDS)


@pytest.mark.parametrize("profile_id", IDS)
def test_every_number_and_every_wording_has_a_source(profile_id):
    found = [*walk(load(profile_id), Limit), *walk(load(profile_id), Wording)]
    assert len(found) > 80
    for one in found:
        assert one.citation.strip()
        assert one.status in STATUSES
        assert IN_FORCE.fullmatch(one.in_force)


@pytest.mark.parametrize("profile_id", STATES)
def test_a_state_file_brings_its_own_sources_for_what_it_writes(profile_id):
    text = PROFILES.joinpath(f"{profile_id}.toml").read_text(encoding="utf-8")
    for one in numbers_and_words(sourced(tomllib.loads(text))):
        assert set(SOURCE_KEYS) <= set(one), one


@pytest.mark.parametrize("profile_id", STATES)
def test_a_state_says_what_was_not_read(profile_id):
    assert load(profile_id).open_points
    assert load(profile_id).jurisdiction.startswith("US-")


def test_what_a_state_does_not_write_stays_federal():
    federal, state = load("us-federal"), load("us-wi")
    assert state.chill == federal.chill
    assert state.label == federal.label
    assert state.tiers["custom"] == federal.tiers["custom"]
    assert state.tiers["producer_1000"].count_weight == federal.tiers["producer_1000"].count_weight


def test_an_unknown_profile_is_refused_with_the_known_ones():
    with pytest.raises(InputError, match="us-federal") as caught:
        load("us-zz")
    assert caught.value.value == "us-zz"


def test_the_template_is_a_complete_profile_whose_numbers_are_all_assumed():
    profile = read(template(), profile_id="mine")
    assert {limit.status for limit in walk(profile, Limit)} == {"assumed"}
    assert "template" not in IDS


@pytest.mark.parametrize(
    ("find", "put", "where", "sentence"),
    [
        ('target = { value = 4, unit = "C" }', "", "mine.chill.target", "needs a table"),
        ("home_use_counts = true", 'home_use_counts = "yes"', "count.home_use_counts", "true or"),
        ('unit = "birds"', 'unit = "heads"', "tiers.small.cap.unit", "not a unit"),
        ("cap = { value = 100", 'cap = { value = "100"', "tiers.small.cap.value", "a number"),
        ("cap = { value = 100", "cap = { value = true", "tiers.small.cap.value", "a number"),
        ("cap = {", "capp = {", "mine.tiers.small.cap", "Give a cap"),
        ("hold_hours = {", "hold_ours = {", "mine.chill.hold_ours", "not a word a profile"),
        ('status = "assumed"', 'status = "sure"', "status", "is not one of"),
        ('in_force = "undated"', 'in_force = "May"', "in_force", "is not a date"),
        ('citation = "Replace me"', 'citation = " "', "citation", "Say where this comes from"),
        ('venues = ["farm"]', 'venues = ["moon"]', "mine.tiers.small.venues", "not one of"),
        ('other_trade = "none"', 'other_trade = "some"', "other_trade", "not one of"),
        ('icons = ["a skillet"]', "icons = []", "label.safe_handling.icons", "one picture"),
        ("chicken = 1,", "chicken = 1.5,", "count_weight.chicken", "whole number"),
        ('below = { value = 2, unit = "kg" }, ', "", "mine.chill.bands", "Rows go from small"),
        ('name = "My place"', "name = 7", "mine.name", "words in quotes"),
        ('name = "My place"', 'name = "My place', "mine", "not valid TOML"),
        ('name = "My place"', 'extends = "xx"\nname = "My place"', "mine.extends", "no rules"),
    ],
)
def test_a_faulty_profile_is_refused_with_a_sentence(find, put, where, sentence):
    with pytest.raises(InputError, match=sentence) as caught:
        read(changed(find, put), profile_id="mine")
    assert where in caught.value.name


def test_a_farm_can_write_only_what_differs():
    text = """
        extends = "us-federal"
        name = "Elsewhere"
        jurisdiction = "US-XX"
        note = "A test."
        [chill.target]
        value = 38
        unit = "F"
        citation = "County code 1"
        status = "read"
        in_force = "2026"
    """
    profile = read(text, profile_id="elsewhere")
    assert str(profile.chill.target) == "38 °F"
    assert profile.chill.bands == load("us-federal").chill.bands
    assert profile.open_points == ()


# Literals in the code that happen to equal a number of some profile, and what they are.
STRUCTURE = {
    ("limit.py", 1000): "where a thousands separator begins",
    ("profile.py", 80): "how much of a faulty file is quoted",
    ("sanitiser.py", 6): "decimals that hide floating-point noise",
    ("deadlines.py", 12): "months of a year",
    ("duties.py", 30): "days of a reminder: own choice",
    ("duties.py", 12): "months of a year",
    ("duties.py", 120): "longest interval a form takes",
    ("duties.py", 60): "days of a reminder: own choice",
    ("duties.py", 7): "days of a reminder: own choice",
    ("duties.py", 86400): "seconds of a day",
    ("retention.py", 12): "December",
    ("words.py", 100): "per cent",
    ("net_weight.py", 16): "ounces of a pound",
}
JUDGING = ("label.py", "net_weight.py", "words.py")
"""Modules of packs that judge by a profile; the others have tables of their own."""


def test_no_number_of_a_profile_is_written_in_the_code():
    limits = [limit for profile_id in IDS for limit in walk(load(profile_id), Limit)]
    published = {limit.value for limit in limits} | {limit.si for limit in limits}
    files = list(pathlib.Path(pinfeather.rules.__file__).parent.glob("*.py"))
    folder = pathlib.Path(pinfeather.packs.__file__).parent
    files += [folder / name for name in JUDGING]
    assert len(files) > 15
    strays = [
        (file.name, node.lineno, number)
        for file in files
        for node in ast.walk(ast.parse(file.read_text(encoding="utf-8")))
        for number in literal(node)
        if number in published - {0, 1, 2} and (file.name, number) not in STRUCTURE
    ]
    assert strays == []


def literal(node):
    if not isinstance(node, ast.Constant) or isinstance(node.value, bool):
        return []
    if isinstance(node.value, int | float):
        return [float(node.value)]
    try:
        return [float(node.value)]  # the text inside Decimal("…")
    except (TypeError, ValueError):
        return []


def test_loading_reads_only_packaged_files():
    assert module.load("us-federal") is load("us-federal")
