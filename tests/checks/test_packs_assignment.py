"""Giving birds to orders against problems with known answers."""

import pathlib
import tomllib
from decimal import Decimal

import numpy as np
import pytest

from pinfeather.packs import allocate as module
from pinfeather.packs.allocate import Order, Package, Wish, allocate
from pinfeather.packs.given import gini, jain

PATH = pathlib.Path(__file__).parent / "data" / "packs_assignment.toml"
KNOWN = tomllib.loads(PATH.read_text(encoding="utf-8"))


@pytest.mark.parametrize("row", KNOWN["matrices"], ids=lambda row: row["name"])
def test_the_worst_miss_is_made_least_first_and_then_the_sum(row):
    cost = np.array(row["cost"], dtype=np.int64)
    rows = range(len(cost))
    wish = Wish("bird")
    slots = [module._Slot(Order(str(i), i, (wish,)), 0, wish) for i in rows]
    packages = [Package(i, "bird", Decimal(1), "L") for i in range(cost.shape[1])]
    bench = module._Bench(slots, packages, cost)
    module._assign(bench, np.arange(len(cost)))
    got = [int(cost[i, slots[i].package.serial]) for i in rows]
    assert max(got) == row["bottleneck"]
    assert sum(got) == row["bottleneck_sum"]
    assert sum(got) >= row["sum_alone"]


def test_five_birds_to_five_wishes():
    known = KNOWN["birds"]
    orders = [
        Order(str(i), i, (Wish("bird", Decimal(w), Decimal(w)),))
        for i, w in enumerate(known["asked"])
    ]
    packages = [Package(i, "bird", Decimal(w), "L") for i, w in enumerate(known["hung"])]
    result = allocate(orders, packages)
    assert [str(g.net_lb) for g in result.given] == known["given"]
    assert result.total_miss_lb == Decimal(known["total"])
    assert result.worst_miss_lb == Decimal(known["worst"])


def test_measures_of_evenness():
    known = KNOWN["evenness"]
    for values, g, j in zip(known["values"], known["gini"], known["jain"], strict=True):
        assert gini(values) == pytest.approx(g, abs=known["tolerance"])
        assert jain(values) == pytest.approx(j, abs=known["tolerance"])
