"""The balance of a recall drill."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pinfeather.errors import InputError
from pinfeather.packs.drill import drill_balance
from pinfeather.packs.trace import FOUND, Whereabouts

WHERE = ("here", "buyer", "unnamed", "own table", "given", "wasted", "missing")
bags = st.lists(
    st.tuples(st.sampled_from(WHERE), st.integers(100, 3000)).map(
        lambda pair: Whereabouts("x", Decimal(pair[1]) / 100, pair[0])
    ),
    max_size=60,
)
birds = st.integers(0, 500)


@given(bags, birds, birds, birds, birds)
def test_what_goes_in_is_what_comes_out_and_the_difference(found, came, packed, cut, off) -> None:
    made = drill_balance(found, birds_in=came, birds_packed=packed, birds_cut=cut, birds_off=off)
    assert made.birds_in == made.birds_packed + made.birds_cut + made.birds_off + made.birds_apart
    assert made.packages == len(found)
    assert made.packed_lb == sum((one.net_lb for one in found), Decimal(0))


@given(bags, st.data())
def test_the_lost_are_those_nobody_can_reach_and_those_not_found_by_hand(found, data) -> None:
    made = drill_balance(found, birds_in=0, birds_packed=0, birds_cut=0, birds_off=0)
    seen = data.draw(st.integers(0, made.in_shop))
    away = sum(one.where not in FOUND for one in found)
    assert made.lost(seen) == away + made.in_shop - seen
    assert made.lost(made.in_shop) == away


def test_more_found_by_hand_than_the_book_has_is_refused() -> None:
    made = drill_balance(
        [Whereabouts("a", Decimal("4.5"), "here")],
        birds_in=1, birds_packed=1, birds_cut=0, birds_off=0,
    )  # fmt: skip
    for seen in (-1, 2):
        with pytest.raises(InputError):
            made.lost(seen)
    with pytest.raises(InputError):
        drill_balance([], birds_in=-1, birds_packed=0, birds_cut=0, birds_off=0)
