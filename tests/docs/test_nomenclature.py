"""The page of names and the code say the same."""

from __future__ import annotations

import importlib.util
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]


@pytest.fixture(scope="module")
def names():
    spec = importlib.util.spec_from_file_location("names", ROOT / ".ci" / "names.py")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def test_every_name_with_a_unit_is_on_the_page(names):
    assert names.missing() == [], "put these rows into docs/nomenclature.md"


def test_every_row_is_a_name_that_the_code_still_uses(names):
    used = {name for name, _place, _meaning in names.uses()}

    assert sorted(names.rows().keys() - used) == []


def test_every_row_has_the_unit_of_its_suffix_and_says_something(names):
    for name, (unit, meaning) in names.rows().items():
        money = unit.startswith("$")
        assert money or unit == names.unit(name), name
        assert len(meaning) > 3, name


def test_hundreds_of_names_are_found(names):
    assert len({name for name, _place, _meaning in names.uses()}) > 300


@pytest.mark.parametrize(
    ("name", "unit"),
    [
        ("mass_kg", "kg"),
        ("bath_degC", "°C"),
        ("offset_K", "K"),
        ("fat_frac", "1"),
        ("surface_W_per_m2K", "W/(m² K)"),
        ("birds_per_h", "birds/h"),
        ("wall_W_per_K", "W/K"),
        ("birds", None),
        ("packed_on", None),
        ("up_to", None),
    ],
)
def test_a_suffix_is_read_as_its_unit(names, name, unit):
    assert names.unit(name) == unit
