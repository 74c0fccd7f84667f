"""Baskets, deposits and the till."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pinfeather.errors import InputError
from pinfeather.packs.till import Cash, due, till

CENTS = st.integers(0, 50_000).map(lambda n: Decimal(n) / 100)


@given(st.lists(CENTS), CENTS)
def test_what_is_paid_and_the_deposit_make_the_price_and_nothing_is_negative(prices, deposit):
    asked = due(prices, deposit=deposit)
    assert asked.from_deposit + asked.to_pay == asked.total == sum(prices)
    assert asked.from_deposit + asked.deposit_back == deposit
    assert min(asked.to_pay, asked.deposit_back) == 0


def test_ten_deposits_of_ten_dollars_and_one_bird_handed_over():
    moves = [Cash("deposit", "cash", Decimal(10))] * 10
    asked = due([Decimal("25.50")], deposit=Decimal(10))
    moves.append(Cash("sale", "cash", asked.to_pay))
    assert till(moves) == {"cash": Decimal("115.50")}


def test_money_given_back_leaves_the_till_it_came_from():
    moves = [
        Cash("sale", "check", Decimal("20.00")),
        Cash("sale", "cash", Decimal("30.00")),
        Cash("refund", "cash", Decimal("12.50")),
        Cash("deposit back", "cash", Decimal("5.00")),
    ]
    assert till(moves) == {"cash": Decimal("12.50"), "check": Decimal("20.00")}


def test_negative_amounts_and_unknown_kinds_are_refused():
    with pytest.raises(InputError):
        due([Decimal(-1)])
    with pytest.raises(InputError):
        till([Cash("sale", "cash", Decimal(-1))])
    with pytest.raises(InputError):
        till([Cash("gift", "cash", Decimal(1))])
