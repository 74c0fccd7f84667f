"""Prices in decimal arithmetic."""

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pinfeather.errors import InputError
from pinfeather.packs.price import dollars, total_price

CENTS = st.integers(1, 5000).map(lambda n: Decimal(n) / 100)


@given(CENTS, CENTS)
def test_the_price_is_the_nearest_cent_with_half_a_cent_up(net, per_lb):
    exact = Fraction(net) * Fraction(per_lb) * 100
    cents = Fraction(total_price(net, per_lb)) * 100
    assert cents.denominator == 1
    assert -Fraction(1, 2) < cents - exact <= Fraction(1, 2)


@pytest.mark.parametrize(
    ("net", "per_lb"), [("0", "5"), ("-1", "5"), ("1", "-5"), ("1", "5.495"), ("NaN", "5")]
)
def test_weights_and_prices_that_are_none_are_refused(net, per_lb):
    with pytest.raises(InputError):
        total_price(Decimal(net), Decimal(per_lb))


def test_money_is_written_with_two_figures():
    assert dollars(Decimal("1234.5")) == "$1,234.50"
    assert dollars(Decimal(-3)) == "-$3.00"
