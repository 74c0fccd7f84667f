"""Net weight from the scale to the label."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pinfeather.errors import InputError
from pinfeather.packs.net_weight import (
    declaration,
    in_pounds,
    net_weight,
    round_tare,
    standard_declaration,
    type_height,
)
from pinfeather.quantity import parse
from pinfeather.rules.profile import load

HUNDREDTHS = st.integers(100, 3000).map(lambda n: Decimal(n) / 100)
TARES = st.decimals(0, Decimal("0.9"), places=4)


@given(HUNDREDTHS, TARES)
def test_the_buyer_never_pays_for_the_bag(gross, tare):
    net = net_weight(gross, tare)
    assert net <= gross - tare
    assert net > gross - tare - Decimal("0.01")
    assert net % Decimal("0.01") == 0


@given(TARES)
def test_rounding_tare_twice_changes_nothing(tare):
    once = round_tare(tare)
    assert round_tare(once) == once


def test_other_divisions():
    assert net_weight(Decimal("5.42"), Decimal("0.03"), division=Decimal("0.02")) == Decimal("5.38")
    assert str(net_weight(Decimal(6), Decimal(0))) == "6.00"


@pytest.mark.parametrize("text", ["4 lb 3 oz", "67 oz", "4.1875 lb", "1899.41805 g"])
def test_one_weight_gives_one_declaration_however_it_was_written(text):
    assert declaration(in_pounds(parse(text, "mass"))) == "Net Wt. 4.19 lb"


def test_halves_go_to_the_even_figure():
    assert str(in_pounds(parse("4.185 lb", "mass"))) == "4.18"
    assert str(in_pounds(parse("4.175 lb", "mass"))) == "4.18"


@pytest.mark.parametrize(
    ("pounds", "text"),
    [
        ("1", "Net Wt. 16 oz. (1 lb.)"),
        ("2.5", "Net Wt. 40 oz. (2 lb. 8 oz.)"),
        ("4", "Net Wt. 4 lb."),
        ("10", "Net Wt. 10 lb."),
        ("0.5", "Net Wt. 8 oz."),
    ],
)
def test_fixed_packs_change_their_words_at_one_and_four_pounds(pounds, text):
    assert standard_declaration(load("us-federal"), Decimal(pounds)) == text


@pytest.mark.parametrize(
    "call",
    [
        lambda: net_weight(Decimal("5.435"), Decimal(0)),
        lambda: net_weight(Decimal("0.03"), Decimal("0.03")),
        lambda: net_weight(Decimal("NaN"), Decimal(0)),
        lambda: net_weight(Decimal(1), Decimal(0), division=Decimal(0)),
        lambda: round_tare(Decimal("-0.01")),
        lambda: declaration(Decimal(0)),
        lambda: standard_declaration(load("us-federal"), Decimal(-1)),
        lambda: in_pounds(parse("0 lb", "mass")),
        lambda: in_pounds(parse("40 F", "temperature")),
        lambda: type_height(load("us-federal"), 0.0),
    ],
    ids=lambda call: f"line-{call.__code__.co_firstlineno}",
)
def test_weights_that_are_none_are_refused(call):
    with pytest.raises(InputError):
        call()
