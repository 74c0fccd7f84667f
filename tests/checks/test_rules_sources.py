"""Limits and duties against the texts they come from."""

import pathlib
import tomllib
from decimal import Decimal

import pytest

from pinfeather.finding import Severity, worst
from pinfeather.rules.chill import chill_findings, chill_limit, cutting_findings, giblet_findings
from pinfeather.rules.cold import freeze_findings, hold_findings, warm_pack_findings
from pinfeather.rules.count import headroom
from pinfeather.rules.deadlines import keep_until, licence_deadlines, water_test_due
from pinfeather.rules.profile import load
from pinfeather.rules.sale import (
    adjusted_dollar_limit,
    retail_dollar_limit,
    retail_quantity_findings,
    sale_findings,
)
from pinfeather.rules.sanitiser import renew_interval_s, strength_verdict
from pinfeather.rules.which import FarmFacts, which_tier
from pinfeather.units import to_si

DATA = pathlib.Path(__file__).parent / "data"
FEDERAL = load("us-federal")


def rows(name, what=None):
    data = tomllib.loads((DATA / f"rules_{name}.toml").read_text(encoding="utf-8"))
    return [row for row in data["rows"] if what is None or row["what"] == what]


def named(row):
    return "-".join(str(value) for value in list(row.values())[:7])


def celsius(fahrenheit):
    return to_si(fahrenheit, "F", "temperature")


def pounds(value):
    return to_si(value, "lb", "mass")


def stopped(findings):
    return worst(findings) == Severity.STOP


@pytest.mark.parametrize("row", rows("cfr_381_10", "which"), ids=named)
def test_the_federal_text_gives_the_tier(row):
    answer = which_tier(FEDERAL, FarmFacts(row["birds"], **row.get("facts", {})))
    assert answer.tier == (row["tier"] or None)
    if "left" in row:
        assert answer.headroom.left_after == row["left"]
    if not row["tier"]:
        assert answer.blocking


@pytest.mark.parametrize("row", rows("cfr_381_10", "sale"), ids=named)
def test_the_federal_text_allows_or_refuses_a_sale(row):
    found = sale_findings(
        FEDERAL, row["tier"], buyer=row["buyer"], venue=row["venue"], form=row["form"]
    )
    assert stopped(found) is not row["allowed"]


@pytest.mark.parametrize("row", rows("cfr_381_10", "retail_quantity"), ids=named)
def test_the_federal_text_allows_or_refuses_a_retail_quantity(row):
    found = retail_quantity_findings(
        FEDERAL, mass_kg=pounds(row["pounds"]), household=row["household"]
    )
    assert stopped(found) is not row["allowed"]


@pytest.mark.parametrize("row", rows("retail_dollars"), ids=named)
def test_retail_dollar_limits_are_the_published_ones(row):
    if "year" in row:
        assert retail_dollar_limit(FEDERAL, row["year"]).value == row["answer"]
    else:
        change = Decimal(row["index_change"])
        assert (
            adjusted_dollar_limit(FEDERAL, Decimal(row["last"]), index_change=change)
            == row["answer"]
        )


@pytest.mark.parametrize("profile", ["us-federal", "us-co"])
@pytest.mark.parametrize("row", rows("chill_table"), ids=named)
def test_the_chill_table_is_the_published_one(row, profile):
    limit = chill_limit(load(profile), pounds(row["pounds"]))
    assert limit.hours == row["answer"]
    assert limit.target.si == celsius(40)


@pytest.mark.parametrize("row", rows("cold_limits"), ids=named)
def test_readings_fall_on_the_right_side_of_published_temperatures(row):
    profile, reading = load(row["profile"]), celsius(row["fahrenheit"])
    time = row.get("seconds", 0.0)
    found = {
        "giblets": lambda: giblet_findings(profile, temperature_degC=reading, since_drawn_s=time),
        "cutting": lambda: cutting_findings(profile, temperature_degC=reading),
        "freeze": lambda: freeze_findings(profile, centre_degC=reading, in_freezer_s=time),
        "warm_pack": lambda: warm_pack_findings(
            profile, freezer_degC=reading, since_slaughter_s=time
        ),
        "hold": lambda: hold_findings(profile, temperature_degC=reading, held_s=time),
        "chill": lambda: chill_findings(
            profile,
            mass_kg=pounds(row["pounds"]),
            temperature_degC=reading,
            since_start_s=time,
        ),
    }[row["what"]]()
    assert stopped(found) is not row["passes"]


@pytest.mark.parametrize("row", rows("food_code", "strength"), ids=named)
def test_the_food_code_table_judges_strength(row):
    found = strength_verdict(
        FEDERAL,
        row["chemical"],
        row["ppm"],
        temperature_degC=celsius(row["fahrenheit"]),
        pH=row["pH"],
        yardstick="food_code_current",
    )
    assert stopped(found) is not row["passes"]
    if "needs" in row:
        assert [(f.code, f.limit) for f in found] == [("sanitiser.cold", row["needs"])]


@pytest.mark.parametrize("row", rows("food_code", "cleaning"), ids=named)
def test_the_food_code_says_how_often_to_clean(row):
    assert renew_interval_s(FEDERAL, celsius(row["fahrenheit"])).interval_s == row["answer"] * 3600


@pytest.mark.parametrize("row", rows("cfr_381_10_e"), ids=named)
def test_the_federal_texts_judge_strength(row):
    found = strength_verdict(
        FEDERAL,
        row["chemical"],
        row["ppm"],
        temperature_degC=celsius(row["fahrenheit"]),
        pH=row.get("pH"),
        surface=row.get("surface", "dipped"),
        place=row.get("place", "food processing"),
        yardstick="cfr_381_10_e",
    )
    assert stopped(found) is not row["passes"]
    if "code" in row:
        assert row["code"] in {f.code for f in found if f.severity == Severity.STOP}


@pytest.mark.parametrize("row", rows("states"), ids=named)
def test_state_caps_stand_on_the_side_their_words_put_them(row):
    profile = load(row["profile"])
    full = headroom(profile, row["tier"], counted={"chicken": row["most"]}, planned={})
    over = headroom(profile, row["tier"], counted={"chicken": row["most"]}, planned={"chicken": 1})
    assert full.left_after == 0
    assert not stopped(full.findings)
    assert stopped(over.findings)


def test_new_york_counts_a_turkey_as_four_birds():
    profile = load("us-ny")
    assert headroom(profile, "producer_1000", counted={"turkey": 250}, planned={}).left_after == 0
    one_more = headroom(profile, "producer_1000", counted={"turkey": 250}, planned={"turkey": 1})
    assert one_more.counted + one_more.planned == 1004
    assert stopped(one_more.findings)
    mixed = {"chicken": 700, "turkey": 100}
    assert headroom(profile, "producer_1000", counted=mixed, planned={}).counted == 1100


@pytest.mark.parametrize("row", rows("dates"), ids=named)
def test_dates_are_counted_as_the_text_says(row):
    profile = load(row["profile"])
    found = {
        "keep": lambda: keep_until(profile, row["from"], permit_ends=row.get("permit_ends")),
        "well": lambda: water_test_due(profile, row["from"]),
        "packet": lambda: licence_deadlines(profile, "producer_1000", row["from"])[0],
    }[row["what"]]()
    assert found.date == row["answer"]


def test_washington_refuses_cut_up_birds_and_farmers_markets():
    profile = load("us-wa")
    sale = {"buyer": "household", "venue": "farm", "form": "whole"}
    assert not sale_findings(profile, "producer_1000", **sale)
    assert stopped(sale_findings(profile, "producer_1000", **{**sale, "form": "parts"}))
    assert stopped(sale_findings(profile, "producer_1000", **{**sale, "venue": "farmers_market"}))


def test_a_dose_a_strip_cannot_tell_from_the_limit_is_warned_about():
    # 1 tablespoon of 5.25 % bleach in a US gallon: 14.787 mL x 52500 / 3785.41 mL = 205 ppm
    found = strength_verdict(
        FEDERAL, "chlorine", 205, temperature_degC=celsius(80), pH=7.5, how="dose"
    )
    assert worst(found) == Severity.CHECK
    assert stopped(strength_verdict(FEDERAL, "chlorine", 205, temperature_degC=30, pH=7.5))
