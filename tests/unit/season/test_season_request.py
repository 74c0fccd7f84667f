"""Reading a season: the example in full, and every fault at once."""

from __future__ import annotations

import copy
import datetime as dt
import itertools
import math
import tomllib
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pinfeather.errors import InputFaultsError
from pinfeather.mapping import MappingReader
from pinfeather.season.prices import dollars_cents, either_price, price_cents_per_kg
from pinfeather.season.read_dates import dates_in
from pinfeather.season.request import request_from
from pinfeather.units import KG_PER_LB

EXAMPLE = Path(__file__).parents[3] / "examples" / "season.toml"


@pytest.fixture
def mapping() -> dict[str, Any]:
    return tomllib.loads(EXAMPLE.read_text("utf-8"))


def faults(mapping: dict[str, Any]) -> dict[str, str]:
    with pytest.raises(InputFaultsError) as caught:
        request_from(mapping, spelled=True)
    return {fault.name: fault.problem for fault in caught.value.faults}


def test_the_example_is_read_whole(mapping: dict[str, Any]) -> None:
    request = request_from(mapping, spelled=True)

    assert [kind.code for kind in request.kinds] == ["BR", "LN", "TK", "DK"]
    assert request.cap.most == 1000
    assert request.cold.freezer_kg == pytest.approx(900 * KG_PER_LB)
    assert request.kind("TK").dressing == ("tom_turkey", "hen_turkey")
    assert {o.name for o in request.orders if not o.firm} == {"Harvest supper"}
    holiday = next(day for day in request.days if day.on == dt.date(2027, 11, 20))
    assert holiday.crew_s == 44 * 3600


def test_a_standing_order_becomes_one_order_for_each_of_its_days(mapping: dict[str, Any]) -> None:
    request = request_from(mapping)

    days = [o.on for o in request.orders if o.name == "Mae's round"]
    assert days[0] == dt.date(2027, 6, 12)
    assert {(b - a).days for a, b in itertools.pairwise(days)} == {28}


def test_all_faults_are_told_at_once_each_by_its_path(mapping: dict[str, Any]) -> None:
    mapping["kinds"][0]["chick_price"] = "2.10"
    mapping["kinds"][1]["age_until"] = "30 d"
    mapping["orders"][0]["birds"] = "many"
    mapping["brooders"][1]["name"] = "shed"
    mapping["cold"]["freezer"] = 900
    mapping["kind"] = []

    told = faults(mapping)

    assert {
        "kinds[0].chick_price", "kinds[1].age_until", "orders[0].birds", "brooders[1].name",
        "cold.freezer", "kind",
    } <= set(told)  # fmt: skip
    assert "$2.05" in told["kinds[0].chick_price"]
    assert "kinds" in told["kind"]


@pytest.mark.parametrize(
    ("change", "path"),
    [
        (lambda m: m.pop("from"), "from"),
        (lambda m: m.update(until="2020-01-01"), "until"),
        (lambda m: m.update(kinds=[]), "kinds"),
        (lambda m: m["days"].update(not_on="someday"), "days.not_on"),
        (lambda m: m["days"].pop("weekdays"), "days.weekdays"),
        (lambda m: m["orders"][1].update(kinds=["ZZ"]), "orders[1].kinds"),
        (lambda m: m["orders"][1].update(birds=3), "orders[1].birds"),
        (lambda m: m["orders"][3].update(high="10 lb"), "orders[3].high"),
        (lambda m: m["orders"][2].update(date="2029-10-02"), "orders[2].date"),
        (lambda m: m["orders"].append(copy.deepcopy(m["orders"][0])), "orders"),
        (lambda m: m["feed"].update(prices=[]), "feed.prices"),
        (lambda m: m.update(tier="nobody"), "tier"),
        (lambda m: m["brooders"][0].pop("floor"), "brooders[0].floor"),
        (lambda m: m["kinds"][2].update(curve="fast"), "kinds[2].curve"),
        (lambda m: m["kinds"][0].update(weights=[{"age": "7 d", "weight": "0.3 lb"}]),
         "kinds[0].weights"),
        (lambda m: m.update(lots=[{"code": "X1", "kind": "QQ", "hatched": "2027-01-01",
                                   "heads": 5}]), "lots[0].kind"),
        (lambda m: m["bedding"].pop("on_floor"), "bedding.on_floor"),
    ],
)  # fmt: skip
def test_a_fault_is_named_where_it_stands(mapping: dict[str, Any], change: Any, path: str) -> None:
    change(mapping)

    assert path in faults(mapping)


def test_a_breed_of_the_farms_own_is_read_from_its_weights(mapping: dict[str, Any]) -> None:
    mapping["kinds"][0]["weights"] = [
        {"age": f"{d} d", "weight": w}
        for d, w in ((21, "1.6 lb"), (42, "4.7 lb"), (63, "7.6 lb"), (77, "8.9 lb"))
    ]

    curve = request_from(mapping).kinds[0].curve

    assert curve.mixed is not None
    assert curve.mixed.weights_kg[1] == pytest.approx(4.7 * KG_PER_LB)


def test_a_lot_that_is_there_takes_its_kinds_growth_unless_it_was_weighed(
    mapping: dict[str, Any],
) -> None:
    lot = {"code": "B1", "kind": "BR", "hatched": "2027-01-12", "heads": 90}
    mapping["lots"] = [lot, lot | {"code": "B2", "hatched": "2027-01-19", "growth": "91 %"}]

    one, two = request_from(mapping).standing

    assert one.growth_ratio == pytest.approx(0.98)
    assert two.growth_ratio == pytest.approx(0.91)


@given(st.decimals(0, 99999, places=2))
def test_a_price_keeps_its_cents(amount: Decimal) -> None:
    read = MappingReader({"price": f"${amount}/lb", "each": f"${amount} each"})

    per_kg, per_bird = either_price(read, "price")
    assert per_bird == 0
    assert float(per_kg) * KG_PER_LB == pytest.approx(float(amount * 100))
    assert either_price(read, "each") == (Decimal(0), amount * 100)
    assert dollars_cents(read, "each") == amount * 100
    read.raise_faults()


@pytest.mark.parametrize("text", ["5.75", "5.75/lb", "$5.75", "$5/acre", "$-3/lb", "", 5, None])
def test_a_price_that_does_not_say_what_for_is_refused(text: object) -> None:
    read = MappingReader({"price": text})

    price_cents_per_kg(read, "price")

    assert [fault.name for fault in read.faults] == ["price"]


def test_weekdays_can_be_left_out_and_added_to() -> None:
    read = MappingReader(
        {"weekdays": "sat", "every": 2, "dates": ["2027-05-05"], "not_on": "2027-05-15"}
    )

    found = dates_in(read, first=dt.date(2027, 5, 1), last=dt.date(2027, 6, 1))

    assert found == (dt.date(2027, 5, 1), dt.date(2027, 5, 5), dt.date(2027, 5, 29))
    assert not read.faults


def test_what_is_left_out_is_no_limit(mapping: dict[str, Any]) -> None:
    for name in ("cold", "pens"):
        mapping.pop(name)
    mapping["feed"].pop("store")

    request = request_from(mapping)

    assert math.isinf(request.cold.freezer_kg)
    assert math.isinf(request.pens_m2)
    assert math.isinf(request.feed.store_kg)
