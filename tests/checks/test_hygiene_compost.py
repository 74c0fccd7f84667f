"""Compost mixes, bins and waste water against published numbers."""

import pathlib
import tomllib

import pytest

from pinfeather.errors import InputError
from pinfeather.hygiene.by_products import by_product_kg, scald_load_kg, wash_water_m3
from pinfeather.hygiene.compost import (
    WATER,
    Material,
    Part,
    amend_for_moisture,
    amend_for_ratio,
    bin_plan,
    bin_volume_m3,
    carbon_to_nitrogen,
    moisture_frac,
)
from pinfeather.units import from_si, to_si

DATA = pathlib.Path(__file__).parent / "data"


def source(name):
    return tomllib.loads((DATA / f"hygiene_{name}.toml").read_text(encoding="utf-8"))


MIX = source("cornell_compost")
WASTE = source("by_products")


def material(percents):
    carbon, nitrogen, water = (p / 100 for p in percents)
    return Material("as printed", carbon, nitrogen, water)


def test_leaves_for_wet_grass():
    row = MIX["moisture"]
    base = [Part(material([45, 2.4, row["moisture_pct"]]), row["mass_kg"])]
    leaves = material([50, 0.75, row["amendment_moisture_pct"]])
    added = amend_for_moisture(base, leaves, goal_frac=row["goal_pct"] / 100)
    assert added.mass_kg == pytest.approx(row["answer_kg"], abs=row["tolerance"])


@pytest.mark.parametrize("row", MIX["ratio"], ids=lambda r: f"{r['amendment'][2]}-{r['goal']}")
def test_amendment_for_a_ratio(row):
    base = [Part(material(row["base"]), row["mass"])]
    added = amend_for_ratio(base, material(row["amendment"]), ratio=row["goal"])
    assert added.mass_kg == pytest.approx(row["answer"], abs=row["tolerance"])


def test_moisture_and_water_of_an_offal_pile():
    row = MIX["pile"]
    mix = [Part(material(row["base"]), row["mass"]), Part(material(row["amendment"]), row["added"])]
    assert moisture_frac(mix) * 100 == pytest.approx(
        row["moisture_pct"], abs=row["moisture_tolerance"]
    )
    water = amend_for_moisture(mix, WATER, goal_frac=row["goal_pct"] / 100)
    assert water.mass_kg == pytest.approx(row["water"], abs=row["water_tolerance"])


def test_litter_cannot_lift_offal_to_25():
    row = MIX["no_mix"]
    base = [Part(material(row["base"]), 100)]
    assert carbon_to_nitrogen(base) < row["goal"]
    assert material(row["litter"]).ratio < row["goal"]
    with pytest.raises(InputError, match="No amount"):
        amend_for_ratio(base, material(row["litter"]), ratio=row["goal"])


def test_by_product_of_a_hundred_broilers():
    row = WASTE["broilers"]
    live_kg = to_si(row["birds"] * row["live_lb"], "lb", "mass")
    left = from_si(by_product_kg(live_kg, dressed_frac=row["dressed_frac"]), "lb", "mass")
    assert left == pytest.approx(row["answer_lb"], rel=row["tolerance"])


def test_bin_for_a_day():
    row = WASTE["bin"]
    found = from_si(bin_volume_m3(to_si(row["poultry_lb"], "lb", "mass")), "ft3", "volume")
    assert found == pytest.approx(row["answer_ft3"])
    assert found / 27 == pytest.approx(row["answer_yd3"], abs=row["tolerance"])


def test_bins_for_a_daily_loss():
    row = WASTE["keener"]
    plan = bin_plan(
        carcass_kg=to_si(row["carcass_lb"], "lb", "mass"),
        daily_kg=to_si(row["daily_lb"], "lb", "mass"),
    )
    assert from_si(plan.first_s, "d", "time") == pytest.approx(row["first_d"])
    assert from_si(plan.first_m3, "ft3", "volume") == pytest.approx(row["first_ft3"])
    assert from_si(plan.store_m3, "ft3", "volume") == pytest.approx(row["store_ft3"])


def test_water_of_a_hundred_broilers():
    row = WASTE["water"]
    used = wash_water_m3(row["birds"]).value
    assert from_si(used, "gal", "volume") == pytest.approx(row["answer_gal"])
    assert from_si(used, "L", "volume") == pytest.approx(row["answer_L"], abs=row["tolerance"])


def test_a_longer_bleed_takes_a_third_off_the_scald_water():
    row = WASTE["bleed"]
    less = 1 - scald_load_kg(row["long_s"]) / scald_load_kg(row["short_s"])
    assert less * 100 == pytest.approx(row["less_pct"], abs=row["tolerance"])
