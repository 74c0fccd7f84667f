"""How long poultry keeps, and how long a shut freezer holds, against what is published."""

import datetime as dt
import pathlib
import tomllib

import pytest

from pinfeather.heat.power_cut import freezer_holds_s
from pinfeather.packs.shelf import keeps

SOURCE = tomllib.loads((pathlib.Path(__file__).parent / "data" / "packs_keeping.toml").read_text())
PACKED = dt.date(2026, 1, 15)


def rows(what):
    return [row for row in SOURCE["rows"] if row["what"] == what]


@pytest.mark.parametrize("row", rows("frozen"), ids=lambda row: row["product"])
def test_frozen_poultry_keeps_its_quality_as_long_as_the_chart_says(row):
    until = keeps(row["product"], PACKED, frozen=True).until
    months = (until.year - PACKED.year) * 12 + until.month - PACKED.month
    assert (months, until.day) == (row["answer_months"], PACKED.day)


@pytest.mark.parametrize("row", rows("refrigerated"), ids=lambda row: row["product"])
def test_fresh_poultry_keeps_as_long_as_the_chart_says(row):
    until = keeps(row["product"], PACKED, frozen=False).until
    assert (until - PACKED).days == row["answer_days"]


@pytest.mark.parametrize("row", rows("power cut"), ids=lambda row: str(row["full_frac"]))
def test_a_shut_freezer_holds_as_long_as_is_published(row):
    assert freezer_holds_s(row["full_frac"]) == row["answer_hours"] * 3600
