"""Labels, weights, prices, classes and words against the texts they come from."""

import dataclasses
import datetime as dt
import hashlib
import pathlib
import tomllib
from decimal import Decimal

import pytest

from pinfeather.finding import Severity, worst
from pinfeather.packs.classes import class_names
from pinfeather.packs.label import LabelFarm, LabelPackage, build_label, check_label
from pinfeather.packs.lot_test import correction_factor, judge_lot
from pinfeather.packs.net_weight import (
    declaration,
    in_pounds,
    net_weight,
    standard_declaration,
    type_height,
)
from pinfeather.packs.price import total_price
from pinfeather.packs.scale import largest_division_lb, scale_findings
from pinfeather.packs.weigh_tables import (
    strictest_variation,
    tolerance_lb,
    variation_2_5,
    variation_2_9,
)
from pinfeather.packs.words import (
    fresh_findings,
    retained_water_findings,
    retained_water_percent,
    temperature_word,
)
from pinfeather.quantity import parse
from pinfeather.rules.label import label_elements
from pinfeather.rules.profile import load
from pinfeather.units import to_si

DATA = pathlib.Path(__file__).parent / "data"
FEDERAL = load("us-federal")
FARM = LabelFarm("Three Elms Farm", "Ada Quince", ("12 Orchard Lane", "Springfield 00000"))
BAG = LabelPackage(
    "Chicken broiler, whole",
    Decimal("4.37"),
    dt.date(2026, 9, 12),
    "2026-09-12 B3 T1",
    Decimal("5.49"),
)


def source(name):
    return tomllib.loads((DATA / f"packs_{name}.toml").read_text(encoding="utf-8"))


def rows(name, what=None):
    return [row for row in source(name)["rows"] if what is None or row["what"] == what]


def named(row):
    return "-".join(str(value) for value in row.values())


def celsius(fahrenheit):
    return to_si(fahrenheit, "F", "temperature")


def stopped(findings):
    return worst(findings) == Severity.STOP


def test_the_safe_handling_block_has_the_published_length_and_hash():
    known = source("label_words")["safe_handling"]
    block = label_elements(FEDERAL, "producer_20000").safe_handling
    text = "\n".join(block.lines)
    assert [len(line) for line in block.lines] == known["lengths"]
    assert len(text) == known["length"]
    assert hashlib.sha256(text.encode()).hexdigest() == known["sha256"]
    assert all(icon in shown for icon, shown in zip(known["icons"], block.icons, strict=True))


@pytest.mark.parametrize("row", rows("label_words"), ids=named)
def test_a_label_carries_the_words_of_its_place_verbatim(row):
    profile = load(row["profile"])
    content = build_label(profile, row["tier"], BAG, farm=FARM)
    assert row["words"] in content.lines
    assert check_label(content, profile, row["tier"]) == ()


@pytest.mark.parametrize(
    ("tier", "passes"), [("producer_20000", False), ("pgop_20000", False), ("producer_1000", True)]
)
def test_only_the_larger_federal_tiers_need_the_exempt_statement(tier, passes):
    # 9 CFR 381.10(a)(5)(ii), (a)(6)(ii), (c)
    content = dataclasses.replace(build_label(FEDERAL, tier, BAG, farm=FARM), exempt_statement="")
    assert stopped(check_label(content, FEDERAL, tier)) is not passes


def test_the_words_for_inspected_product_are_refused():
    # 9 CFR 381.125(b)(2)
    content = build_label(FEDERAL, "producer_20000", BAG, farm=FARM)
    block = list(content.safe_handling)
    block[1] = "This product was prepared from inspected and passed meat and/or poultry. …"
    wrong = dataclasses.replace(content, safe_handling=tuple(block))
    codes = {f.code for f in check_label(wrong, FEDERAL, "producer_20000")}
    assert {"label.forbidden", "label.altered.safe_handling"} <= codes


@pytest.mark.parametrize("row", rows("cfr_381_121", "standard"), ids=named)
def test_fixed_packs_are_declared_as_published(row):
    assert standard_declaration(FEDERAL, Decimal(row["pounds"])) == row["answer"]


@pytest.mark.parametrize("row", rows("cfr_381_121", "random"), ids=named)
def test_random_packs_are_declared_in_decimal_pounds(row):
    assert declaration(Decimal(row["pounds"])) == row["answer"]


@pytest.mark.parametrize("row", rows("cfr_381_121", "height"), ids=named)
def test_letters_grow_with_the_panel(row):
    height = type_height(FEDERAL, to_si(row["square_inches"], "in2", "area"))
    assert height.value == pytest.approx(row["answer_inches"], abs=row["tolerance"])


@pytest.mark.parametrize("row", rows("cfr_381_121", "date"), ids=named)
def test_dates_on_frozen_product_carry_words_and_year(row):
    content = dataclasses.replace(
        build_label(FEDERAL, "producer_20000", BAG, farm=FARM),
        pack_date=row["phrase"],
        frozen=row["frozen"],
    )
    assert stopped(check_label(content, FEDERAL, "producer_20000")) is not row["allowed"]


@pytest.mark.parametrize("row", rows("cfr_381_121", "letters"), ids=named)
def test_letters_of_the_safe_handling_block_are_tall_enough(row):
    content = dataclasses.replace(
        build_label(FEDERAL, "producer_20000", BAG, farm=FARM),
        safe_handling_height_m=to_si(row["inches"], "in", "length"),
        heading_height_m=to_si(row["heading_inches"], "in", "length"),
    )
    assert stopped(check_label(content, FEDERAL, "producer_20000")) is not row["allowed"]


@pytest.mark.parametrize("row", rows("arithmetic", "price"), ids=named)
def test_prices_round_half_a_cent_up(row):
    assert total_price(Decimal(row["net"]), Decimal(row["per_lb"])) == Decimal(row["answer"])


@pytest.mark.parametrize("row", rows("arithmetic", "net"), ids=named)
def test_tare_is_rounded_up_before_it_is_taken_off(row):
    assert net_weight(Decimal(row["gross"]), Decimal(row["tare"])) == Decimal(row["answer"])


@pytest.mark.parametrize("row", rows("arithmetic", "written"), ids=named)
def test_written_weights_become_decimal_pounds(row):
    assert str(in_pounds(parse(row["text"], "mass"))) == row["answer"]


@pytest.mark.parametrize("row", rows("classes"), ids=named)
def test_class_names_follow_age_and_weight(row):
    found = class_names(
        "chicken",
        age_days=row["weeks"] * 7,
        mass_kg=to_si(row["pounds"], "lb", "mass"),
        text=row["text"],
    )
    assert [c.name for c in found] == row["answer"]


@pytest.mark.parametrize("row", rows("temperature_words", "word"), ids=named)
def test_the_word_follows_the_coldest_temperature(row):
    assert temperature_word(FEDERAL, celsius(row["fahrenheit"])).word == row["answer"]


@pytest.mark.parametrize("row", rows("temperature_words", "fresh"), ids=named)
def test_fresh_is_judged_by_package_and_by_lot(row):
    readings = [celsius(f) for f in row["fahrenheit"]]
    found = fresh_findings(FEDERAL, readings, in_official_plant=row["in_plant"])
    assert stopped(found) is not row["allowed"]


@pytest.mark.parametrize("row", rows("temperature_words", "water"), ids=named)
def test_retained_water_is_a_share_of_the_weight_before_chilling(row):
    percent = retained_water_percent(row["before_lb"], row["packed_lb"])
    assert percent == pytest.approx(row["answer_percent"], abs=row["tolerance"])
    found = retained_water_findings(row["statement_percent"], round(percent, 6))
    assert stopped(found) is not row["allowed"]


@pytest.mark.parametrize(
    ("what", "table"),
    [
        ("mav_2_5", variation_2_5),
        ("mav_2_9", variation_2_9),
        ("strictest", strictest_variation),
    ],
)
def test_variations_allowed_are_the_tables(what, table):
    for row in rows("hb133", what):
        found = table(Decimal(row["pounds"]))
        assert found.mav_lb == Decimal(row["answer"]), row
        assert found.status == row["status"], row


def test_the_coarsest_scale_is_the_handbooks_example():
    (row,) = rows("hb133", "division")
    assert largest_division_lb(Decimal(row["pounds"])) == Decimal(row["answer"])


@pytest.mark.parametrize("row", rows("hb133", "factor"), ids=named)
def test_correction_factors_are_students_t(row):
    assert correction_factor(row["sample"]) == pytest.approx(row["answer"], abs=row["tolerance"])


@pytest.mark.parametrize("row", rows("hb133", "scale"), ids=named)
def test_scales_suit_packages_or_not(row):
    found = scale_findings(
        capacity_lb=Decimal(row["capacity"]),
        division=Decimal(row["division"]),
        label_lb=Decimal(row["pounds"]),
    )
    assert stopped(found) is not row["allowed"]


@pytest.mark.parametrize("row", rows("hb133", "lot"), ids=named)
def test_lots_pass_or_fail(row):
    label = Decimal("4.50")
    nets = [label + Decimal(error) for error in row["errors"]]
    verdict = judge_lot(nets, [label] * len(nets), lot=row["lot"], category=row["category"])
    assert verdict.mean_lb == pytest.approx(row["mean"], abs=row["tolerance"])
    assert verdict.spread_lb == pytest.approx(row["spread"], abs=row["tolerance"])
    assert verdict.limit_lb == pytest.approx(row["limit"], abs=row["tolerance"])
    assert verdict.passes is row["passes"]


@pytest.mark.parametrize("row", rows("hb44"), ids=named)
def test_scale_tolerances_step_with_the_load(row):
    found = tolerance_lb(Decimal(row["pounds"]), Decimal("0.01"), column=row["column"])
    assert found == Decimal(row["answer"])
