"""Codes of bags as element strings and as web addresses."""

import datetime as dt
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pinfeather.errors import InputError
from pinfeather.packs.codes import variable_gtin
from pinfeather.packs.elements import Bag, date_of, element_string, read_bag, read_elements
from pinfeather.packs.link import digital_link, read_link

NEAR = dt.date(2026, 9, 12)
GTIN = variable_gtin("952012345678")
TEXT = st.text("ABCXYZ0123456789-./", min_size=1, max_size=20)
DATES = st.none() | st.dates(dt.date(1990, 1, 1), dt.date(2070, 1, 1))
BAGS = st.builds(
    Bag,
    st.just(GTIN),
    net_lb=st.integers(1, 999_999).map(lambda n: Decimal(n) / 100),
    net_kg=st.none() | st.integers(1, 999_999).map(lambda n: Decimal(n) / 1000),
    price=st.none() | st.integers(0, 10**9).map(lambda n: Decimal(n) / 100),
    packed_on=DATES,
    made_on=DATES,
    best_before=DATES,
    use_by=DATES,
    lot=st.just("") | TEXT,
    serial=st.just("") | TEXT,
)


@given(BAGS)
def test_a_bag_is_read_back_from_its_element_string(bag):
    assert read_bag(element_string(bag), near=NEAR) == bag


@given(BAGS)
def test_a_web_address_says_the_same_as_the_element_string(bag):
    address = digital_link(bag, base="https://example.com/shop/")
    assert address.isascii()
    assert " " not in address
    assert read_link(address + "&colour=red#top" if "?" in address else address) == read_elements(
        element_string(bag)
    )


def test_day_nought_is_the_end_of_the_month():
    assert date_of("17", "280200", near=NEAR) == dt.date(2028, 2, 29)


@pytest.mark.parametrize(
    ("value", "year"), [("760101", 2076), ("770101", 1977), ("260101", 2026), ("000101", 2000)]
)
def test_two_figure_years_fall_within_fifty_of_today(value, year):
    assert date_of("13", value, near=NEAR).year == year


@pytest.mark.parametrize(
    "data",
    [
        "",
        "99",
        f"01{GTIN}13",
        f"01{GTIN}01{GTIN[:-1]}0",
        f"01{GTIN}10",
        f"01{GTIN}10has space",
        f"01{GTIN}10" + "X" * 21,
        "10L0712",
        f"01{GTIN}3922123x",
        f"01{GTIN}320200042",
    ],
)
def test_codes_that_are_none_are_refused(data):
    with pytest.raises(InputError):
        read_bag(data, near=NEAR)


@pytest.mark.parametrize(
    "bag",
    [
        Bag(GTIN, price=Decimal("1.00")),
        Bag(GTIN, net_lb=Decimal("4.235")),
        Bag(GTIN, net_lb=Decimal(-1)),
        Bag(GTIN, net_lb=Decimal(10_000)),
        Bag("123", net_lb=Decimal(1)),
        Bag(GTIN, lot="2026-09-12 B3 T1"),
    ],
)
def test_bags_that_do_not_fit_a_code_are_refused(bag):
    with pytest.raises(InputError):
        element_string(bag)


@pytest.mark.parametrize(
    "address",
    [
        "https://example.com/about",
        f"https://example.com/01/{GTIN}/10",
        f"https://example.com/01/{GTIN}/21/1/10/L",
        f"https://example.com/01/{GTIN[1:]}",
        f"https://example.com/01/{GTIN}?3922=100",
    ],
)
def test_addresses_that_are_none_are_refused(address):
    with pytest.raises(InputError):
        read_link(address)


def test_an_address_begins_with_a_web_address():
    with pytest.raises(InputError):
        digital_link(Bag(GTIN), base="example")
