"""Feed, water, heat, losses, orders, yields and land against published and independent numbers."""

import datetime as dt
import itertools
import pathlib
import tomllib

import numpy as np
import pytest

from pinfeather.flock.curves import reference_curve, shape_kg
from pinfeather.flock.dressing import dressed_kg, live_for, published_dressing, water_kept
from pinfeather.flock.feed import daily_feed_kg, feed_plan, water_per_bird_m3
from pinfeather.flock.forecast import Seen, growth_path
from pinfeather.flock.gompertz import growth_kg
from pinfeather.flock.hot_weather import feed_kept, gain_kept
from pinfeather.flock.land import M2_PER_ACRE, from_per_acre_lb, ground_load, nitrogen_kg
from pinfeather.flock.losses import daily_mortality, mortality_limit, production_index
from pinfeather.flock.order import lot_dates, order_size
from pinfeather.flock.room import chick_energy_W, daylight_s, pasture
from pinfeather.flock.tables import table
from pinfeather.units import from_si, to_si

DATA = pathlib.Path(__file__).parent / "data"


def source(name):
    return tomllib.loads((DATA / f"flock_{name}.toml").read_text(encoding="utf-8"))


NRC = source("nrc_1984")
FEED = source("feed")
HEAT = source("heat")
LOSS = source("losses")
YIELD = source("yield")
LAND = source("land")


def kg(pounds):
    return to_si(pounds, "lb", "mass")


def lb(kilograms):
    return from_si(kilograms, "lb", "mass")


@pytest.mark.parametrize("row", NRC["intake"], ids=lambda r: r["sex"])
def test_feed_along_the_table_of_1984(row):
    path = shape_kg(getattr(reference_curve("nrc_1984"), row["sex"]), np.arange(64.0))
    weekly = np.cumsum(daily_feed_kg(path))[6::7] * 1000
    assert weekly == pytest.approx(row["answer_g"], abs=row["tolerance_g"])
    printed = table("curves")["nrc_1984"][f"{row['sex']}_feed_g"]
    assert weekly == pytest.approx(printed, rel=row["within_table"])


def test_feed_of_a_gompertz_bird():
    row = FEED["gompertz_bird"]
    path = growth_kg(
        "gompertz",
        np.arange(57.0),
        mature_kg=row["mature_kg"],
        rate_per_d=row["rate"],
        inflection_d=row["inflection"],
    )
    eaten = np.cumsum(daily_feed_kg(path))
    for age, grams, feed in zip(row["ages"], row["weights_g"], row["feed_kg"], strict=True):
        assert path[age] * 1000 == pytest.approx(grams, abs=row["tolerance_g"])
        assert eaten[age - 1] == pytest.approx(feed, abs=row["tolerance_kg"])


def test_feed_of_a_fast_bird_is_near_a_later_booklet():
    row = FEED["ross"]
    total = list(itertools.accumulate(row["daily_g"]))[6::7]
    assert total == row["cumulative_g"]
    path = growth_path(Seen(reference_curve("fast")), 56)
    found = np.cumsum(daily_feed_kg(path))[6::7] * 1000
    start = row["model_from_week"] - 1
    assert found[start:] == pytest.approx(total[start:], rel=row["model_within"])


@pytest.mark.parametrize("row", FEED["pesti"], ids=lambda r: str(r["age"]))
def test_water_by_age(row):
    assert water_per_bird_m3(row["age"]) * 1e6 == pytest.approx(row["answer_mL"], abs=0.1)


def test_water_to_six_weeks():
    row = FEED["pesti_sum"]
    total = sum(water_per_bird_m3(age) for age in range(1, row["to_age"] + 1)) * 1e6
    assert total == pytest.approx(row["answer_mL"], abs=row["tolerance_mL"])


@pytest.mark.parametrize("weeks", [6, 8])
def test_water_of_a_thousand_fast_birds_is_inside_the_band(weeks):
    row = FEED["crc"]
    total_L = 7 * sum(row["daily"][:weeks])
    assert total_L == row["six_weeks" if weeks == 6 else "eight_weeks"]
    path = growth_path(Seen(reference_curve("fast")), 7 * weeks)
    water = feed_plan(path, np.full(7 * weeks, 1000.0)).water_total_m3
    assert water.low <= total_L / 1000 <= water.high


def test_heat_takes_what_the_trial_took():
    for found, (cool, hot) in ((gain_kept, HEAT["gain_g"]), (feed_kept, HEAT["feed_g"])):
        assert float(found(HEAT["hot_degC"])) == pytest.approx(hot / cool, abs=HEAT["tolerance"])
        assert float(found(HEAT["cool_degC"])) == 1


def test_the_best_temperature_of_chicks():
    temps = np.arange(20.0, 35.0, 0.005)
    energy = [chick_energy_W(t) * 86400 / 4184 for t in temps]
    best = int(np.argmax(energy))
    assert temps[best] == pytest.approx(HEAT["chick_best_degC"], abs=HEAT["chick_tolerance"])
    assert energy[best] == pytest.approx(HEAT["chick_best_kcal"], abs=HEAT["chick_tolerance"])


def test_cumulative_daily_mortality():
    row = LOSS["mortality"]
    found = daily_mortality(row["deaths"], row["birds"])
    assert found * 100 == pytest.approx(row["answer"], abs=row["tolerance"])


def test_birds_taken_out_leave_the_denominator():
    row = LOSS["thinned"]
    found = daily_mortality([0, 5], 1000, removed=[300, 0])
    assert found * 100 == pytest.approx(row["answer"], abs=row["tolerance"])


@pytest.mark.parametrize("row", LOSS["limit"], ids=lambda r: str(r["age"]))
def test_limit_of_mortality(row):
    assert mortality_limit(row["age"]) * 100 == pytest.approx(row["answer"])


@pytest.mark.parametrize("row", LOSS["index"], ids=lambda r: str(r["alive"]))
def test_production_index(row):
    found = production_index(
        alive_share=row["alive"], mass_kg=row["kg"], age_d=row["age"], feed_ratio=row["feed"]
    )
    assert found == pytest.approx(row["answer"], abs=0.01)


@pytest.mark.parametrize("row", LOSS["order"], ids=lambda r: f"{r['wanted']}-{r['alive']}")
def test_chicks_to_order(row):
    found = order_size(row["wanted"], alive_share=row["alive"], chance=0.90)
    assert (found.ordered, found.naive) == (row["answer"], row["naive"])


def test_dates_back_from_a_saturday():
    row = LOSS["dates"]
    (plain,) = lot_dates(row["slaughter_on"], row["age"])
    assert plain.hatch_on == row["any_day"]
    options = lot_dates(row["slaughter_on"], row["age"], hatch_weekdays=row["weekdays"])
    assert [[o.hatch_on, o.age_d] for o in options] == row["options"]
    assert all(o.eggs_set_on == o.hatch_on - dt.timedelta(days=21) for o in options)


def test_a_bird_weighed_in_its_crate():
    row = YIELD["crate"]
    live = row["with_bird_lb"] - row["empty_lb"]
    assert live_for(row["answer_lb"], dressing_share=row["share"]) == pytest.approx(
        live, abs=row["tolerance_lb"]
    )


@pytest.mark.parametrize("row", YIELD["turkey"], ids=lambda r: r["kind"])
def test_turkeys_dressed(row):
    found = lb(float(dressed_kg(kg(row["live_lb"]), published_dressing(row["kind"]))))
    assert found == pytest.approx(row["answer_lb"], abs=0.01)


def test_a_tom_for_a_carcass():
    row = YIELD["tom_for"]
    (share,) = published_dressing("tom_turkey").share
    found = lb(live_for(kg(row["carcass_lb"]), dressing_share=share))
    assert found == pytest.approx(row["answer_lb"], abs=row["tolerance_lb"])


@pytest.mark.parametrize("row", YIELD["water"], ids=lambda r: r["when"])
def test_weight_after_chilling(row):
    assert 100 * water_kept(row["when"]) == pytest.approx(row["answer"], abs=1e-9)


def test_live_weight_behind_a_carcass():
    row = YIELD["back"]
    found = lb(live_for(kg(row["carcass_lb"]), dressing_share=row["share"], shrink=row["shrink"]))
    assert found == pytest.approx(row["answer_lb"], abs=row["tolerance_lb"])


def test_feed_over_live_weight_of_a_pastured_bird():
    row = YIELD["feed_per_live"]
    live = live_for(kg(row["dressed_lb"]), dressing_share=row["share"])
    assert kg(row["feed_lb"]) / live == pytest.approx(row["answer"], abs=row["tolerance"])


def test_nitrogen_left_behind():
    row = LAND["nitrogen"]
    found = nitrogen_kg(row["feed_kg"], row["protein"])
    assert found == pytest.approx(row["answer_kg"], abs=row["tolerance_kg"])


@pytest.mark.parametrize("row", LAND["most_birds"], ids=lambda r: str(r["answer"]))
def test_birds_that_an_acre_takes(row):
    found = ground_load(
        row["bird_kg"],
        area_m2=M2_PER_ACRE,
        limit_kg_per_m2=from_per_acre_lb(row["limit_lb_per_acre"]),
    )
    assert found.most_birds == pytest.approx(row["answer"], abs=0.1)


def test_a_pen_moved_every_day():
    row = LAND["pen"]
    floor = to_si(row["floor_ft2"], "ft2", "area")
    found = pasture(
        row["birds"], pen_m2=floor, moves=row["moves"], per_bird_m2=floor / row["birds"]
    )
    assert from_si(found.area_m2, "ft2", "area") / row["birds"] == pytest.approx(
        row["per_bird_ft2"]
    )
    assert found.birds_per_m2 * M2_PER_ACRE == pytest.approx(row["per_acre"], abs=row["tolerance"])


@pytest.mark.parametrize("row", LAND["daylight"], ids=lambda r: f"{r['latitude']}-{r['day']}")
def test_daylight(row):
    found = daylight_s(row["day"], row["latitude"]) / 3600
    assert found == pytest.approx(row["answer_h"], abs=0.01)
