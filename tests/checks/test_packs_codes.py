"""GS1 numbers and element strings against published ones and an independent reader."""

import datetime as dt
import pathlib
import tomllib
from decimal import Decimal

import biip
import pytest

from pinfeather.errors import InputError
from pinfeather.packs.codes import (
    check_digit,
    look_up_key,
    own_number,
    read_store_code,
    store_code,
    variable_gtin,
    verifier_digit,
)
from pinfeather.packs.elements import Bag, amount, bag_of, element_string, read_bag, read_elements
from pinfeather.packs.link import digital_link, read_link

PATH = pathlib.Path(__file__).parent / "data" / "packs_gs1.toml"
KNOWN = tomllib.loads(PATH.read_text(encoding="utf-8"))
TODAY = dt.date(2025, 7, 12)


def named(row):
    return "-".join(str(value) for value in row.values())


def test_check_digits_are_the_published_ones():
    for row in KNOWN["check_digits"]:
        assert [check_digit(payload) for payload in row["payloads"]] == row["answers"]


def test_verifier_digits_are_the_published_ones():
    for row in KNOWN["verifiers"]:
        assert [verifier_digit(field) for field in row["fields"]] == row["answers"]


@pytest.mark.parametrize("row", KNOWN["store_codes"], ids=named)
def test_store_codes_are_built_and_read_back(row):
    price = Decimal(row["price"])
    assert store_code(row["item"], price, pattern=row["pattern"]) == row["answer"]
    assert read_store_code(row["answer"], pattern=row["pattern"]) == (row["item"], price)


@pytest.mark.parametrize("row", KNOWN["look_up"], ids=named)
def test_the_look_up_key_has_the_measure_taken_out(row):
    assert look_up_key(row["code"], pattern=row["pattern"]) == row["answer"]


def test_a_wrong_verifier_digit_is_told_with_the_right_one():
    # published German test number, count 12 with verifier 8 instead of 9
    with pytest.raises(InputError, match="should be 9"):
        read_store_code("2511118000120", pattern="25IIIIVPPPPPC")


def test_a_price_that_does_not_fit_is_refused_and_never_wraps():
    with pytest.raises(InputError, match="does not fit"):
        store_code(12345, Decimal("110.00"))
    assert store_code(12345, Decimal("110.00"), pattern="2IIIIIPPPPPC").startswith("21234511000")


@pytest.mark.parametrize("row", KNOWN["gtin14"], ids=named)
def test_fourteen_digit_numbers(row):
    assert variable_gtin(row["base"], indicator=row["indicator"]) == row["answer"]


def test_a_number_for_use_on_one_farm():
    # independent computation; 13 digits with a leading zero keep the same check digit
    assert own_number(12345) == "400000123455"


@pytest.mark.parametrize("row", KNOWN["amounts"], ids=named)
def test_the_identifier_places_the_point(row):
    assert amount(row["ai"], row["value"]) == Decimal(row["answer"])


@pytest.mark.parametrize("row", KNOWN["elements"], ids=named)
def test_element_strings_split_as_published(row):
    assert read_elements(row["data"]) == row["answer"]


@pytest.mark.parametrize("row", KNOWN["refused"], ids=named)
def test_element_strings_are_refused_as_published(row):
    with pytest.raises(InputError) as caught:
        read_elements(row["data"])
    assert caught.value.name == row["name"]


@pytest.mark.parametrize("row", KNOWN["links"], ids=named)
def test_digital_links_read_as_published_and_are_written_back(row):
    bag = bag_of(read_link(row["address"]), near=TODAY)
    assert bag.net_kg == Decimal(row["net_kg"])
    assert bag.price == Decimal(row["price"])
    assert bag.use_by == row.get("use_by")
    assert bag.lot == row.get("lot", "")


def test_a_lot_with_signs_is_escaped_in_the_path():
    bag = Bag("05412345000013", net_kg=Decimal("0.189"), lot="ABC&+123")
    assert "/10/ABC%26%2B123?" in digital_link(bag, base="https://id.gs1.org")


FARM_BAG = Bag(
    "99520123456781",
    net_lb=Decimal("4.23"),
    price=Decimal("25.38"),
    packed_on=dt.date(2025, 7, 12),
    lot="L0712",
    serial="0037",
)


def test_a_farm_bag_is_written_as_computed_by_hand():
    fields = ("0199520123456781", "3202000423", "13250712", "39222538\x1d", "10L0712\x1d", "210037")
    assert element_string(FARM_BAG) == "".join(fields)


def test_an_independent_reader_understands_a_farm_bag():
    message = biip.parse(element_string(FARM_BAG)).gs1_message
    assert message is not None
    parsed = message.element_strings
    assert parsed.get(ai="01").value == "99520123456781"
    assert parsed.get(ai="3202").decimal == Decimal("4.23")
    assert parsed.get(ai="3922").decimal == Decimal("25.38")
    assert parsed.get(ai="13").date == dt.date(2025, 7, 12)
    assert parsed.get(ai="10").value == "L0712"
    assert parsed.get(ai="21").value == "0037"
    assert read_bag(element_string(FARM_BAG), near=TODAY) == FARM_BAG


def test_an_independent_reader_finds_the_same_fields_in_a_digital_link():
    address = digital_link(FARM_BAG, base="https://example.com")
    parsed = biip.parse(address).gs1_digital_link_uri
    assert parsed is not None
    fields = {e.ai.ai: e.value for e in parsed.element_strings}
    assert fields == read_link(address)
