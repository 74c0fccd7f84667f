"""Manure before harvest, amprolium in feed and waterbath currents against their rules."""

from __future__ import annotations

import datetime as dt
import tomllib
from pathlib import Path

import pytest

from pinfeather.errors import InputError
from pinfeather.flock.medicated_feed import amprolium, share_of
from pinfeather.hygiene.manure import manure_wait
from pinfeather.hygiene.stunning import least_current

DATA = Path(__file__).parent / "data" / "rules_manure_feed_stunning.toml"
BOOK = tomllib.loads(DATA.read_text(encoding="utf-8"))


@pytest.mark.parametrize("row", BOOK["manure"], ids=lambda row: row["crop"])
def test_days_between_raw_manure_and_harvest(row):
    wait = manure_wait(dt.date(2026, 4, 1), touches_soil=row["touches_soil"])
    assert wait.enough(row["passed_d"]) is row["enough"]
    assert (wait.harvest_on - dt.date(2026, 4, 1)).days == wait.days


@pytest.mark.parametrize("row", BOOK["feed"], ids=lambda row: str(row["grams_per_ton"]))
def test_grams_to_the_ton_are_the_share_the_rule_prints(row):
    found = amprolium(share_of(row["grams_per_ton"]), species="chicken", bentonite=False)
    assert 100 * found.share_frac == pytest.approx(row["percent"], abs=row["tolerance"])
    assert found.withdrawal_d == row["withdrawal_d"]
    assert found.findings == ()


def test_bentonite_other_birds_and_other_shares_are_told():
    assert amprolium(share_of(113.5), species="chicken", bentonite=True).findings
    assert amprolium(share_of(113.5), species="duck", bentonite=False).findings
    assert amprolium(share_of(72.5), species="chicken", bentonite=False).findings
    assert amprolium(share_of(227), species="chicken", bentonite=False).findings == ()
    assert amprolium(share_of(228), species="chicken", bentonite=False).findings
    with pytest.raises(InputError):
        amprolium(0.0, species="chicken", bentonite=False)


@pytest.mark.parametrize("row", BOOK["stun"], ids=lambda row: f"{row['kind']} {row['Hz']} Hz")
def test_the_least_current_of_a_waterbath(row):
    found = least_current(row["kind"], frequency_Hz=row["Hz"])
    assert found.current_mA == row.get("mA")
    assert found.least_s == 4


def test_outside_the_table_nothing_is_said():
    with pytest.raises(InputError):
        least_current("chicken", frequency_Hz=1501)
    with pytest.raises(InputError):
        least_current("ostrich", frequency_Hz=50)
