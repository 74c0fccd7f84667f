"""A lot's cost from a file: every fault at once, the answer exact, the band around it."""

import tomllib

import numpy as np
import pytest

from pinfeather.errors import InputFaultsError
from pinfeather.money.cost_file import cost_answer, example_text, read_cost_file
from pinfeather.money.costing import View

LEAST = {
    "birds": {"placed": 10, "dressed": 9, "packed": "36 lb"},
    "costs": [{"kind": "chicks", "amount": "$20.50"}],
}


def answer(mapping):
    return cost_answer(read_cost_file(mapping), rng=np.random.default_rng(1))


def faults(mapping):
    with pytest.raises(InputFaultsError) as told:
        read_cost_file(mapping)
    return {f.name for f in told.value.faults}


def test_the_least_there_can_be():
    found = answer(LEAST)
    full = found.views[View.FULL]
    assert (full.total_cents, full.per_bird_cents, full.per_lb_cents) == (2050, 228, 57)
    assert found.band.low_cents == found.band.high_cents == 57


def test_the_example_adds_up_line_by_line():
    found = answer(tomllib.loads(example_text()))
    # 205 + 0.44 x 240 + 0.36 x 1120 + 42 + 19 + 16 + 34 + 71 + 25 + 30
    # + 55 h at 18 + 6 h at 15 + 40 % of the plucker's annuity of 163.93
    by_hand = 20500 + 10560 + 40320 + 4200 + 1900 + 1600 + 3400 + 7100 + 2500 + 3000
    by_hand += 99000 + 9000 + 6557
    assert found.views[View.FULL].total_cents == by_hand
    assert found.views[View.CASH].total_cents == by_hand - 99000 - 6557
    assert found.views[View.WITHOUT_LEARNING].total_cents == by_hand - 3000
    assert found.views[View.WITHOUT_LEARNING].birds == 95
    band = found.band
    assert band.low_cents < found.views[View.FULL].per_lb_cents < band.high_cents


def test_every_fault_is_told_at_once_under_its_path():
    wrong = {
        "birds": {"placed": 5, "dressed": 9, "packed": "36 gal", "loss_low": "1"},
        "costs": [{"kind": "yachts", "amount": 3}, {"kind": "feed", "price": "x", "pounds": "9"}],
        "hours": [{"hours": "3 h"}],
        "equipment": [{"name": "Pen", "price": "$5", "salvage": "$9", "life": 0}],
        "colour": "red",
    }
    assert faults(wrong) >= {
        "birds.dressed", "birds.packed", "birds.loss_low", "costs[0].kind", "costs[0].amount",
        "costs[1].price", "costs[1].pounds", "hours[0].wage", "equipment[0].life", "colour",
    }  # fmt: skip


@pytest.mark.parametrize(
    ("more", "name"),
    [
        ({"costs": []}, "costs"),
        ({"birds": LEAST["birds"] | {"weight_low": "9 lb"}}, "birds.weight_low"),
        ({"birds": LEAST["birds"] | {"loss_high": "1 %"}}, "birds.loss_low"),
        ({"costs": [{"kind": "ice", "amount": "$5", "low": "$6"}]}, "costs[0].low"),
        ({"hours": [{"hours": "3 h", "wage": "$9", "low": "4 h"}]}, "hours[0].low"),
        ({"equipment": [{"price": "$5", "salvage": "$9", "life": 3}]}, "equipment[0].salvage"),
        ({"price": "dear"}, "price"),
    ],
)
def test_what_cannot_be_is_refused_where_it_stands(more, name):
    assert name in faults(LEAST | more)


def test_a_hand_who_is_paid_is_cash_and_own_hours_are_not():
    mapping = LEAST | {
        "wage": "$20",
        "hours": [{"hours": "2 h"}, {"hours": "1 h 30 min", "wage": "$10", "paid": True}],
    }
    found = answer(mapping)
    assert found.views[View.CASH].total_cents == 2050 + 1500
    assert found.views[View.FULL].total_cents == 2050 + 1500 + 4000
    assert found.file.own_hours == 2
