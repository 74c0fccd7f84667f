"""Facts of the trade without a source: a plan must be compatible with them, or stricter."""

import tomllib
from pathlib import Path

import pytest

from pinfeather.actions.day import days
from pinfeather.actions.flock import books
from pinfeather.day.planner import plan_day
from pinfeather.day.request import request_from
from pinfeather.finding import Severity
from pinfeather.heat.boiling import boiling_degC
from pinfeather.heat.carcass import chill_time
from pinfeather.heat.parts import shrink_pot
from pinfeather.line.stations import handbook_phase
from pinfeather.rules.profile import load
from pinfeather.rules.sanitiser import renew_interval_s
from pinfeather.units import KG_PER_LB, from_si, to_si

DATA = Path(__file__).parent / "data" / "common_practice.toml"
BOOK = tomllib.loads(DATA.read_text(encoding="utf-8"))
EVERYTHING = ["catch", "kill", "scald", "pick", "draw", "rinse", "bag", "weigh", "store"]
FEDERAL = load("us-federal")


def rows(what):
    found = [row for row in BOOK["rows"] if row["what"] == what]
    assert found, what
    return found


def row(what):
    (found,) = rows(what)
    return found


def degC(value_F):
    return to_si(value_F, "F", "temperature")


@pytest.fixture(scope="module")
def two_people():
    """Plan a day of two people who do everything, in a shop as people have it."""

    def plan(birds, **equipment):
        return plan_day(
            request_from(
                {
                    "date": "2026-09-19",
                    "start": "08:30",
                    "lots": [{"code": "S1", "count": birds, "mean": "4 lb", "spread": "0.4 lb"}],
                    "people": [
                        {"name": name, "from": "08:30", "to": "18:00", "stations": EVERYTHING}
                        for name in ("Iris", "Benno")
                    ],
                    "equipment": {
                        "cones": 4,
                        "scalder": "20 gal",
                        "burner": "50000 Btu/h",
                        "tap": "56 F",
                        "drum_birds": 2,
                        "draw_places": 1,
                        "tanks": [{"name": "Tub", "volume": "60 gal", "walls": "insulated"}],
                        "ice": "150 lb",
                        "refrigerator": "30 ft3",
                        **equipment,
                    },
                }
            ),
            days=4,
            change_days=0,
        )

    return plan


def test_the_whole_book_is_marked_as_practice_without_a_source():
    assert BOOK["status"] == "common practice"
    assert (BOOK["year"], BOOK["place"]) == (0, "none")
    assert all(one["reason"] and one["unit"] for one in BOOK["rows"])


def test_the_handbook_bleeds_longer_than_practice_and_says_how_it_is_known():
    practice = row("bleeding time in the cone")
    bleed = handbook_phase(practice["inputs"]["species"], "kill", "bleed").time_s
    assert practice["answer"] < bleed.low <= bleed.value
    assert bleed.value - practice["answer"] <= practice["tolerance"]
    assert bleed.basis.status == "common practice"


def test_four_cones_are_enough_for_two_people(two_people):
    practice = row("cones that keep up with two people")
    plan = two_people(practice["inputs"]["birds"], cones=practice["answer"])
    assert plan.cones_needed <= practice["answer"] + practice["tolerance"]


def whole_day_h(plan):
    """Line, setting up and cleaning up, with the packing left out as the source does."""
    at = {todo.code: todo.at_s for todo in plan.todo}
    return (-at["setup"] + plan.line_end_s + at["close"] - at["clean_up"]) / 3600


def test_two_people_do_about_twenty_birds_in_a_session(two_people):
    practice = row("birds in a session for two people")
    plan = two_people(practice["inputs"]["birds"])
    assert len(plan.people) == practice["inputs"]["people"]
    assert plan.unfinished == 0
    hours = whole_day_h(plan)
    assert hours == pytest.approx(practice["answer"], abs=practice["tolerance"])


def test_three_times_as_many_birds_do_not_fit_into_the_same_session(two_people):
    practice = row("birds in a session for two people")
    plan = two_people(3 * practice["inputs"]["birds"])
    hours = whole_day_h(plan)
    assert hours > practice["answer"] + practice["tolerance"]


@pytest.mark.parametrize("what", ["hand dip, coolest water", "hand dip, hottest water"])
def test_hotter_hand_dips_are_checked_and_never_refused(two_people, what):
    plan = two_people(6, scald=f"{row(what)['answer']} F")
    told = [finding for finding in plan.findings if finding.code.startswith("scald.")]
    assert [finding.code for finding in told] == ["scald.outside_band"]
    assert told[0].severity is Severity.CHECK
    assert "hand dips" in told[0].reason
    assert "feather-pull test" in told[0].reason
    assert plan.scald.water_degC > plan.scald.band.high_degC


@pytest.mark.parametrize("at", range(3))
def test_small_birds_in_ice_water_are_below_45_in_a_couple_of_hours(at):
    practice = rows("small birds in ice water below 45 F")[at]
    inputs = practice["inputs"]
    found = chill_time(
        inputs["mass_lb"] * KG_PER_LB,
        build=inputs["build"],
        bath=inputs["bath"],
        bath_degC=1.0,
        limit_degC=degC(45.0),
    )
    assert 0 < found.time_s <= practice["answer"] * 3600
    assert found.low_s < found.time_s < found.high_s


def test_practice_chills_to_the_figure_of_the_rules():
    practice = row("temperature to chill to")
    target = FEDERAL.chill.target
    assert (target.value, target.unit) == (practice["answer"], practice["unit"])


@pytest.mark.parametrize("at", range(2))
def test_shrink_water_near_200_is_reachable_where_it_does_not_boil_first(at):
    practice = rows("shrink water")[at]
    altitude_m = to_si(practice["inputs"]["altitude_ft"], "ft", "length")
    found = shrink_pot(wanted_degC=degC(practice["answer"]), altitude_m=altitude_m)
    assert found.reachable
    assert found.findings == ()
    assert found.boils_degC > degC(practice["answer"])


def test_high_up_the_boiling_point_caps_the_shrink_water():
    practice = row("shrink water that boils first")
    altitude_m = to_si(practice["inputs"]["altitude_ft"], "ft", "length")
    found = shrink_pot(wanted_degC=degC(practice["answer"]), altitude_m=altitude_m)
    assert not found.reachable
    assert found.boils_degC == boiling_degC(altitude_m=altitude_m) < degC(practice["answer"])
    assert [finding.code for finding in found.findings] == ["shrink.boils_first"]


@pytest.mark.parametrize("at", range(2))
def test_the_rules_renew_the_sanitiser_as_often_as_practice(at):
    practice = rows("surfaces sanitised again")[at]
    every = renew_interval_s(FEDERAL, degC(practice["inputs"]["room_F"]))
    hours = every.interval_s / 3600
    assert hours == pytest.approx(practice["answer"], abs=practice["tolerance"])


def test_the_made_up_farms_fast_growing_lots_are_of_the_usual_age(demo_farm):
    practice = row("age of a fast-growing meat bird at slaughter")
    kind = (practice["inputs"]["species"], practice["inputs"]["build"])
    fast = [
        (line.date - lot.hatched).days / 7
        for line in days.days()
        for asked in days.day(line.id).mapping["lots"]
        if (lot := books.lot(asked["code"])).hatched and (lot.species, lot.build) == kind
    ]
    assert fast
    for weeks in fast:
        assert weeks == pytest.approx(practice["answer"], abs=practice["tolerance"])


def test_no_row_is_left_without_a_check():
    checked = Path(__file__).read_text(encoding="utf-8")
    for what in {one["what"] for one in BOOK["rows"]}:
        assert f'"{what}"' in checked


def test_the_temperatures_of_the_book_are_below_what_water_can_be():
    for one in BOOK["rows"]:
        if one["unit"] == "F":
            assert one["answer"] < from_si(100.0, "F", "temperature")
