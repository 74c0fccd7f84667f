"""The code a package carries, and what a box comes to."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pinfeather.errors import InputError
from pinfeather.packs.bag_code import CodeSettings, package_code
from pinfeather.packs.box import Boxed, box_content
from pinfeather.packs.codes import read_store_code
from pinfeather.packs.elements import read_bag

DAY = dt.date(2025, 7, 12)
KNOWN = {
    "item": 12345,
    "base": "952012345678",
    "net_lb": Decimal("4.23"),
    "total": Decimal("25.38"),
    "packed_on": DAY,
    "lot": "L0712",
    "serial": 37,
}


def test_an_element_string_says_weight_date_price_lot_and_serial():
    code = package_code(CodeSettings("gs1"), **KNOWN)

    assert code is not None
    assert code.data == (
        "0199520123456781" "3202000423" "13250712" "39222538\x1d" "10L0712\x1d" "210037"
    )  # fmt: skip
    assert code.bracketed == ("(01)99520123456781(3202)000423(13)250712(3922)2538(10)L0712(21)0037")
    bag = read_bag(code.data, near=DAY)
    assert (bag.net_lb, bag.price, bag.packed_on, bag.lot) == (
        KNOWN["net_lb"], KNOWN["total"], DAY, "L0712",
    )  # fmt: skip


@given(st.decimals("0.01", "99.99", places=2), st.integers(0, 99999))
def test_a_shops_number_gives_back_item_and_price(total, item):
    code = package_code(CodeSettings("store"), **{**KNOWN, "total": total, "item": item})

    assert code is not None
    assert read_store_code(code.data, pattern="2IIIIIVPPPPC") == (item, total)


@pytest.mark.parametrize(
    ("carrier", "changed"),
    [("none", {}), ("store", {"item": None}), ("store", {"total": None}), ("gs1", {"base": ""})],
)
def test_nothing_is_made_up_where_a_number_is_missing(carrier, changed):
    assert package_code(CodeSettings(carrier), **{**KNOWN, **changed}) is None


def test_a_price_that_does_not_fit_is_refused_and_never_wraps():
    with pytest.raises(InputError, match="does not fit"):
        package_code(CodeSettings("store"), **{**KNOWN, "total": Decimal("110.00")})
    wide = package_code(
        CodeSettings("store", "2IIIIIPPPPPC"), **{**KNOWN, "total": Decimal("110.00")}
    )
    assert wide is not None
    assert wide.data.startswith("21234511000")


@given(st.lists(st.decimals("0.01", "30", places=2), min_size=1, max_size=40))
def test_a_box_is_the_sum_of_what_its_packages_say(weights):
    box = box_content([Boxed("Whole chicken", w, (f"L{i % 3}",)) for i, w in enumerate(weights)])

    assert box.packages == len(weights)
    assert box.net_lb == sum(weights)
    assert box.lots == tuple(sorted({f"L{i % 3}" for i in range(len(weights))}))
    assert box.total is None


def test_a_box_of_several_products_names_each_and_every_lot_once():
    box = box_content([
        Boxed("Whole chicken", Decimal("4.5"), ("A",), Decimal("23.63")),
        Boxed("Chicken wings", Decimal("1.2"), ("A", "B"), Decimal("5.40")),
        Boxed("Whole chicken", Decimal("4.1"), ("B",), Decimal("21.53")),
    ])  # fmt: skip

    assert box.products == (("Whole chicken", 2), ("Chicken wings", 1))
    assert box.lots == ("A", "B")
    assert box.total == Decimal("50.56")


def test_an_empty_box_has_no_label():
    with pytest.raises(InputError):
        box_content([])
