"""Weights pasted or typed as one text: read strictly, nothing guessed."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pinfeather.errors import InputFaultsError
from pinfeather.flock.weight_list import UNIT_CHOICES, weights_kg
from pinfeather.units import KG_PER_LB


def problems(text: str, **how) -> list[str]:
    with pytest.raises(InputFaultsError) as caught:
        weights_kg(text, **how)
    assert {fault.name for fault in caught.value.faults} <= {"weights", "unit"}
    return [fault.problem for fault in caught.value.faults]


def test_each_weight_may_have_its_own_unit() -> None:
    found = weights_kg("4 lb 3 oz; 4.6 lb\n1.9 kg")
    assert found == pytest.approx((4.1875 * KG_PER_LB, 4.6 * KG_PER_LB, 1.9))


@pytest.mark.parametrize(
    "text",
    [
        "4.1\n4.4\n3.9",
        "4.1 4.4 3.9",
        " 4.1 ; 4.4 ;3.9; ",
        "4.1\t4.4\t3.9",
        '"4.1"\r\n"4.4"\r\n"3.9"\r\n',
        "Weight\n4.1\n4.4\n3.9",
    ],
)
def test_numbers_without_a_unit_take_the_one_chosen(text) -> None:
    assert weights_kg(text, unit="lb") == pytest.approx([w * KG_PER_LB for w in (4.1, 4.4, 3.9)])


@pytest.mark.parametrize("heading", ["weight_kg", "Weight (kg)", "Live weight, kg"])
def test_a_heading_names_the_unit_of_its_column(heading) -> None:
    assert weights_kg(f"{heading}\n1.9\n2.1", unit="lb") == pytest.approx((1.9, 2.1))


def test_a_number_without_any_unit_is_refused_and_named() -> None:
    (problem,) = problems("4.1 lb; 4.4")
    assert "“4.4” has no unit" in problem


def test_a_comma_is_refused_wherever_it_stands() -> None:
    assert all("comma" in one for one in problems("4,1\n4,4", unit="kg"))


def test_every_weight_that_cannot_be_read_is_told_at_once() -> None:
    assert len(problems("heavy1; 4 lb; ninety9; 400 lb")) == 3


def test_nothing_is_no_weighing() -> None:
    assert problems("  \n ") == ["Write at least one weight."]
    assert problems("weight_kg\n") == ["Write at least one weight."]


def test_a_slip_of_the_unit_is_noticed() -> None:
    (problem,) = problems("2.1; 2.0; 1.9; 2.2 lb; 9.6", unit="kg")
    assert "9.6" in problem


def test_a_basket_may_be_as_heavy_as_its_birds() -> None:
    assert weights_kg("60 kg", birds_each=10) == (60.0,)
    assert problems("60 kg") == ["60 kg cannot be a bird."]


def test_an_unknown_unit_is_refused() -> None:
    assert problems("4", unit="stone") == ["Choose lb, oz, kg or g."]


@settings(deadline=None)
@given(
    st.lists(st.floats(1.0, 3.0).map(lambda w: round(w, 3)), min_size=1, max_size=60),
    st.sampled_from(["\n", ";", "\t", " ", "\r\n"]),
)
def test_a_list_comes_back_as_it_was_whatever_stands_between(weights, between) -> None:
    text = between.join(f"{w:.3f}" for w in weights)
    assert weights_kg(text, unit="kg") == pytest.approx(weights)


@settings(deadline=None)
@given(st.sampled_from(UNIT_CHOICES))
def test_choosing_a_unit_is_the_same_as_writing_it(unit) -> None:
    each = {"lb": "4.2", "oz": "66", "kg": "1.9", "g": "1900"}[unit]
    assert weights_kg(each, unit=unit) == weights_kg(f"{each} {unit}")
