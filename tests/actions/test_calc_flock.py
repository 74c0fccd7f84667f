"""The calculators about raising birds, against the domain and against themselves."""

from __future__ import annotations

import datetime as dt
import json

import pytest

from pinfeather.actions.calc.catalogue import as_json, calculation, groups, work_out
from pinfeather.actions.calc.flock import calculations
from pinfeather.errors import InputFaultsError
from pinfeather.finding import Severity
from pinfeather.flock.curves import reference_curve
from pinfeather.flock.forecast import Sample, Seen, forecast
from pinfeather.flock.spread import band_kg
from pinfeather.units import to_si

NAMES = ["growth-of-flock", "weigh-plan", "order", "feed", "ration", "best-day"]
TWO_FEEDS = "corn = 0.14; soybean meal 44 = 0.25"


def answer(name: str, *, units: str = "us", **written: str):
    return work_out(
        calculation(name), {n.replace("_", "-"): v for n, v in written.items()}, units=units
    )


def fault(name: str, **written: str):
    with pytest.raises(InputFaultsError) as caught:
        answer(name, **written)
    (found,) = caught.value.faults
    return found


def test_all_six_are_in_the_catalogue():
    assert [one.name for one in calculations()] == NAMES
    assert any({one.name for one in group.calculations} >= set(NAMES) for group in groups())


@pytest.mark.parametrize("units", ["us", "metric"])
@pytest.mark.parametrize("name", NAMES)
def test_each_answers_its_first_form_and_its_json_is_plain(name, units):
    result = answer(name, units=units)
    document = as_json(calculation(name), result)

    assert json.loads(json.dumps(document, allow_nan=False)) == document
    assert all(row.label and row.value for row in result.shown)


def test_growth_is_the_domains_forecast():
    found = answer("growth-of-flock", age="56", weighings="28: 2.0 lb x 20").values
    seen = Seen(reference_curve("nrc_1984"), (Sample(28, to_si(2.0, "lb", "mass"), 20),))
    birds = forecast([seen], 56.0)
    low, high = band_kg(birds, 0.80)

    assert found["mean_kg"] == pytest.approx(float(birds.mean_kg[0]))
    assert found["low_kg"] == pytest.approx(float(low[0]))
    assert found["high_kg"] == pytest.approx(float(high[0]))
    assert found["low90_kg"] < found["low_kg"] < found["mean_low_kg"] < found["mean_kg"]


def test_the_birds_of_all_classes_are_all_the_birds():
    found = answer("growth-of-flock", birds="120", classes="3 lb; 4 lb; 5 lb").values

    assert sum(one["birds"] for one in found["classes"]) == pytest.approx(120)
    assert found["classes"][-1]["below_kg"] is None
    assert answer("growth-of-flock", classes="").values["classes"] == []


def test_growth_with_no_weighing_is_less_sure_and_says_what_to_do():
    weighed, not_weighed = (answer("growth-of-flock", weighings=w) for w in ("28: 2 lb x 20", ""))
    widths = [
        (r.values["mean_high_kg"] - r.values["mean_low_kg"]) / r.values["mean_kg"]
        for r in (weighed, not_weighed)
    ]

    assert widths[0] < widths[1]
    assert not_weighed.values["ratio"] is None
    assert "weigh" in not_weighed.notes[0]


def test_growth_by_the_breeds_own_booklet():
    booklet = "0: 42 g; 7: 200 g; 14: 520 g; 21: 1000 g; 28: 1600 g; 35: 2300 g"
    found = answer("growth-of-flock", booklet=booklet, weighings="", age="28").values

    assert found["mean_kg"] == pytest.approx(1.6)


@pytest.mark.parametrize("curve", ["none", "slow", "turkey", "duck"])
@pytest.mark.parametrize("sexes", ["mixed", "male", "female"])
def test_growth_of_every_kind_and_sex(curve, sexes):
    found = answer("growth-of-flock", curve=curve, sexes=sexes, weighings="", age="49").values

    assert 0 < found["dressed_mean_kg"] < found["mean_kg"]


def test_a_lot_that_fell_back_is_told():
    found = answer("growth-of-flock", weighings="21: 1.3 lb x 30; 35: 1.9 lb x 30")

    assert [f.code for f in found.findings] == ["lot.behind"]


def test_weigh_plan_and_order_give_the_published_numbers():
    assert answer("weigh-plan", cv="12 %", error="5 %", flock="100").values["n"] == 19
    assert answer("order", wanted="100", alive="95 %", chance="90 %").values["n"] == 108
    assert answer("order", wanted="20", alive="90 %", chance="90 %").values["n"] == 24


def test_the_order_counts_back_to_hatch_days():
    found = answer("order", slaughter="2026-07-18", age="56", hatch="Mon, wednesday").values

    assert [(d["hatch_on"], d["age_d"]) for d in found["dates"]] == [
        ("2026-05-25", 54),
        ("2026-05-20", 59),
    ]
    assert answer("order").values["dates"] == []


def test_turkeys_are_set_a_week_longer():
    (date,) = answer("order", kind="turkey", slaughter="2026-11-20", age="120").values["dates"]
    set_on, hatch_on = (dt.date.fromisoformat(date[k]) for k in ("eggs_set_on", "hatch_on"))

    assert (hatch_on - set_on).days == 28


def test_feed_by_phase_adds_up_and_bags_cover_it():
    found = answer("feed", bag="50 lb").values

    assert sum(p["feed_kg"] for p in found["phases"]) == pytest.approx(found["feed_kg"])
    assert found["bags"] * to_si(50, "lb", "mass") >= found["feed_kg"]
    assert found["low_kg"] < found["feed_kg"] < found["high_kg"]


def test_feed_still_to_come_is_less():
    assert answer("feed", **{"from": "35"}).values["feed_kg"] < answer("feed").values["feed_kg"]


def test_protein_alone_with_two_feeds_is_the_pearson_square():
    found = answer("ration", feeds=TWO_FEEDS, protein="20 %").values

    assert found["met"] is True
    assert found["shares"]["corn"] == pytest.approx((44 - 20) / (44 - 8.5))


def test_a_mix_that_cannot_be_had_stops():
    found = answer("ration", feeds=TWO_FEEDS)

    assert found.values["met"] is False
    assert {f.code for f in found.findings if f.severity is Severity.STOP} == {"ration.short"}


def test_the_price_of_the_mix_is_the_same_by_pound_and_by_kilogram():
    us = answer("ration", feeds=TWO_FEEDS, protein="20 %").values["cents_per_kg"]
    kg = answer("ration", units="metric", feeds=TWO_FEEDS, protein="20 %").values["cents_per_kg"]

    assert us == pytest.approx(kg / 0.45359237, rel=1e-5)


def test_ducks_get_their_own_warning():
    found = answer("ration", needs="duck_1", protein="16 %", feeds=TWO_FEEDS)

    assert "ration.duck" in {f.code for f in found.findings}


def test_the_best_day_is_the_day_with_most_left():
    found = answer("best-day").values

    assert found["margin_cents"] == max(d["margin_cents"] for d in found["days"])
    assert found["week_earlier_cents"] >= 0
    best = next(d for d in found["days"] if d["day"] == found["day"])
    assert best["age_d"] == found["age_d"]


def test_a_day_that_is_out_is_not_the_best():
    best = answer("best-day").values["day"]
    other = answer("best-day", refused=f"{best}: heat")

    assert other.values["day"] != best
    assert "best_day.refused" in {f.code for f in other.findings}


def test_cap_and_room_are_counted():
    found = answer("best-day", cap="40", room="100 lb")

    assert "best_day.room" in {f.code for f in found.findings}


@pytest.mark.parametrize(
    ("name", "written", "field"),
    [
        ("growth-of-flock", {"age": "0"}, "age"),
        ("growth-of-flock", {"birds": "9999999"}, "birds"),
        ("growth-of-flock", {"weighings": "heavy"}, "weighings"),
        ("growth-of-flock", {"weighings": "28: 2.0"}, "weighings"),
        ("growth-of-flock", {"weighings": "28: 2 lb; 28: 2 lb"}, "weighings"),
        ("growth-of-flock", {"weighings": "0: 2 lb"}, "weighings"),
        ("growth-of-flock", {"weighings": "28: 2 lb x 0"}, "weighings"),
        ("growth-of-flock", {"booklet": "7: 0.2 lb; 14: 0.1 lb; 21: 2 lb"}, "booklet"),
        ("growth-of-flock", {"classes": "5 lb; 4 lb"}, "classes"),
        ("weigh-plan", {"cv": "0 %"}, "cv"),
        ("weigh-plan", {"error": "0 %"}, "error"),
        ("order", {"wanted": "0"}, "wanted"),
        ("order", {"wanted": "50000"}, "wanted"),
        ("order", {"alive": "100 %"}, "alive"),
        ("order", {"slaughter": "July"}, "slaughter"),
        ("order", {"slaughter": "2026-07-18", "hatch": "someday"}, "hatch"),
        ("feed", {"from": "60"}, "from"),
        ("feed", {"bag": "0 lb"}, "bag"),
        ("ration", {"feeds": "corn"}, "feeds"),
        ("ration", {"feeds": "gold = 1"}, "feeds"),
        ("ration", {"feeds": "corn = 1 up to 200 %"}, "feeds"),
        ("ration", {"feeds": "corn = 1 up to 20 %"}, "feeds"),
        ("ration", {"energy": "100"}, "energy"),
        ("best-day", {"hatched": "spring"}, "hatched"),
        ("best-day", {"look": "0"}, "look"),
        ("best-day", {"classes": "big = 5"}, "classes"),
        ("best-day", {"classes": "5 lb to 4 lb = 5"}, "classes"),
        ("best-day", {"classes": "3 lb to 5 lb = 5; 4 lb to any = 5"}, "classes"),
        ("best-day", {"other": "-1"}, "other"),
        ("best-day", {"bird_cost": "-1"}, "bird-cost"),
        ("best-day", {"cap": "0"}, "cap"),
        ("best-day", {"room": "0 lb"}, "room"),
        ("best-day", {"refused": "soon: no"}, "refused"),
    ],
)
def test_a_fault_stands_beside_the_field_that_caused_it(name, written, field):
    found = fault(name, **written)

    assert found.name == field
    assert found.problem.endswith(".")
