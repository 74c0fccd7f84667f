import datetime as dt
import statistics

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pinfeather.day.request import PEOPLE_STATIONS, request_from, spread_masses_kg
from pinfeather.errors import InputFaultsError
from pinfeather.units import KG_PER_LB, to_si


def faults(mapping):
    with pytest.raises(InputFaultsError) as caught:
        request_from(mapping)
    return {fault.name: fault.problem for fault in caught.value.faults}


def as_a_form_sends_it(value):
    """Turn every value into text, the way a page's form does."""
    if isinstance(value, dict):
        return {name: as_a_form_sends_it(one) for name, one in value.items()}
    if isinstance(value, list) and value and isinstance(value[0], dict):
        return [as_a_form_sends_it(one) for one in value]
    if isinstance(value, list):
        between = "; " if all(" " in one for one in value) else ", "
        return between.join(value)
    if isinstance(value, dt.time):
        return f"{value:%H:%M}"
    return str(value)


def test_the_example_day_is_read_in_si(day_request):
    assert day_request.date == dt.date(2026, 9, 19)
    assert day_request.start == dt.time(8, 30)
    assert day_request.deadline == dt.time(15, 30)
    assert day_request.birds == 42
    assert [lot.count for lot in day_request.lots] == [30, 12]
    assert [lot.weighed for lot in day_request.lots] == [False, True]
    assert day_request.lots[0].hatched == dt.date(2026, 7, 20)
    assert day_request.lots[1].masses_kg[1] == pytest.approx(3.375 * KG_PER_LB)
    assert day_request.lots[1].masses_kg[6] == 1.7
    assert day_request.people[1].breaks == ((dt.time(12, 30), dt.time(13, 0)),)
    assert day_request.people[2].pace == 0.85
    assert day_request.equipment.tanks[0].stirred
    assert day_request.equipment.tanks[0].insulated
    assert not day_request.equipment.tanks[1].stirred
    assert not day_request.equipment.tanks[1].insulated
    assert day_request.equipment.scald_degC == to_si(145, "F", "temperature")
    assert day_request.sanitiser.target_frac == pytest.approx(1e-4)
    assert day_request.counted == {"chicken": 310, "turkey": 12}


def test_the_file_and_the_form_give_the_same_request(mapping):
    assert request_from(as_a_form_sends_it(mapping)) == request_from(mapping)


def test_what_is_left_out_takes_its_default(mapping):
    for name in ("deadline", "deadline_reason", "altitude", "air", "profile", "tier", "counted"):
        del mapping[name]
    del mapping["sanitiser"]
    for name in ("ice", "refrigerator", "freezer", "scald", "drum_birds", "drum_cycle"):
        del mapping["equipment"][name]
    request = request_from(mapping)
    assert request.deadline is None
    assert request.deadline_reason == ""
    assert request.altitude_m == 0.0
    assert request.air_degC == pytest.approx(20.0)
    assert (request.profile, request.tier) == ("us-federal", "producer_1000")
    assert request.counted == {}
    assert request.sanitiser.bleach_frac == pytest.approx(0.0825)
    assert request.equipment.scald_degC is None
    assert (request.equipment.ice_kg, request.equipment.drum_birds) == (0.0, 0)


def test_all_faults_are_told_at_once_each_by_its_path(mapping):
    mapping["date"] = "19 September"
    mapping["lots"][0]["mean"] = "4.75"
    mapping["lots"][1]["weights"][2] = "-3 lb"
    mapping["people"][0]["to"] = "07:00"
    mapping["equipment"]["cones"] = 0
    mapping["equipment"]["tanks"][1]["volume"] = "55 lb"
    mapping["sanitiser"]["target"] = "100"
    assert set(faults(mapping)) == {
        "date",
        "lots[0].mean",
        "lots[1].weights",
        "people[0].to",
        "equipment.cones",
        "equipment.tanks[1].volume",
        "sanitiser.target",
    }


def test_nothing_at_all_asks_for_everything_that_is_needed():
    told = faults({})
    assert {"date", "start", "lots", "people", "equipment.tanks", "equipment.burner"} <= set(told)
    assert all(problem.endswith(".") for problem in told.values())


@pytest.mark.parametrize("lots", [[], None, ""])
def test_a_day_without_birds_is_refused(mapping, lots):
    mapping["lots"] = lots
    assert "lots" in faults(mapping)


def test_a_lot_of_zero_birds_is_refused(mapping):
    mapping["lots"][0]["count"] = 0
    assert "between 1 and 2000" in faults(mapping)["lots[0].count"]


def test_a_lot_of_absurdly_many_birds_is_refused_without_trying_to_list_them(mapping):
    mapping["lots"][0]["count"] = 10**12
    assert "lots[0].count" in faults(mapping)


def test_lots_that_are_too_many_birds_together_are_refused(mapping):
    mapping["lots"][0]["count"] = 1995
    assert "2000 birds" in faults(mapping)["lots"]


def test_a_lot_needs_weights_or_a_count_and_a_mean(mapping):
    del mapping["lots"][0]["count"], mapping["lots"][0]["mean"]
    assert {"lots[0].count", "lots[0].mean"} <= set(faults(mapping))


def test_a_text_with_no_weight_in_it_is_refused(mapping):
    mapping["lots"][1]["weights"] = ";;"
    assert "at least one weight" in faults(mapping)["lots[1].weights"]


@pytest.mark.parametrize("mean", ["0 lb", "-4 lb", "0.1 lb", "200 lb"])
def test_zero_negative_and_unbelievable_masses_are_refused(mapping, mean):
    mapping["lots"][0]["mean"] = mean
    assert "not believable" in faults(mapping)["lots[0].mean"]


def test_a_spread_of_more_than_a_third_of_the_mean_is_refused(mapping):
    mapping["lots"][0].update(mean="4 lb", spread="1.4 lb")
    assert "third of the mean" in faults(mapping)["lots[0].spread"]


@pytest.mark.parametrize("code", ["b3", "B-3", "B 3", "ABCDEF", "Ä1"])
def test_a_lots_code_is_a_few_capitals_and_digits(mapping, code):
    mapping["lots"][0]["code"] = code
    assert "lots[0].code" in faults(mapping)


@pytest.mark.parametrize("code", ["", "  "])
def test_a_lot_without_a_code_is_refused(mapping, code):
    mapping["lots"][0]["code"] = code
    assert "lots[0].code" in faults(mapping)


def test_two_lots_with_one_code_are_refused(mapping):
    mapping["lots"][1]["code"] = "A7"
    assert "Two lots" in faults(mapping)["lots[1].code"]


def test_two_tanks_with_one_name_are_refused(mapping):
    mapping["equipment"]["tanks"][1]["name"] = "East tank"
    assert "Two tanks" in faults(mapping)["equipment.tanks[1].name"]


@pytest.mark.parametrize(("name", "value"), [("species", "ostrich"), ("build", "slim")])
def test_an_unknown_kind_of_bird_is_refused_with_the_known_ones(mapping, name, value):
    mapping["lots"][0][name] = value
    assert "Use one of" in faults(mapping)[f"lots[0].{name}"]


@pytest.mark.parametrize(
    ("path", "value"),
    [
        ("tap", "-5 F"),
        ("tap", "200 F"),
        ("scald", "90 F"),
        ("scald", "212 F"),
        ("burner", "5 W"),
        ("scalder", "1 cup"),
        ("ice", "-5 lb"),
        ("drum_cycle", "0 s"),
        ("refrigerator", "18 lb"),
        ("ice", "5 stone"),
    ],
)
def test_impossible_equipment_is_refused(mapping, path, value):
    mapping["equipment"][path] = value
    assert f"equipment.{path}" in faults(mapping)


@pytest.mark.parametrize("air", ["10 F", "130 F", "-40 C"])
def test_air_outside_what_the_scalder_is_known_for_is_refused_here_and_not_later(mapping, air):
    mapping["air"] = air
    assert "between 20.0\u202f°F" in faults({**mapping, "air": "10 F"})["air"]
    assert "air" in faults(mapping)


@pytest.mark.parametrize("air", ["20 F", "115 F"])
def test_air_at_either_end_is_planned(request_with, quick_plan, air):
    plan = quick_plan(request_with(lambda m: m.update(air=air)))
    assert plan.scald.propane_kg > 0


def test_a_deadline_before_the_start_is_refused(mapping):
    mapping["deadline"] = "08:30"
    assert "after it starts" in faults(mapping)["deadline"]


def test_somebody_who_leaves_before_coming_is_refused(mapping):
    mapping["people"][0]["to"] = "08:30"
    assert "later than the beginning" in faults(mapping)["people[0].to"]


@pytest.mark.parametrize("people", [[], None])
def test_a_day_without_people_is_refused(mapping, people):
    mapping["people"] = people
    assert "people" in faults(mapping)


def test_people_that_are_no_list_are_told_once(mapping):
    mapping["people"] = "Odile"
    assert "list of tables" in faults(mapping)["people"]


def test_a_station_nobody_can_do_is_named(mapping):
    mapping["people"][0]["stations"] = ["catch", "kill", "scald"]
    for person in mapping["people"][1:]:
        person["stations"] = ["draw", "rinse", "bag", "weigh"]
    assert "pick, store" in faults(mapping)["people"]


def test_crew_faults_are_not_followed_by_a_missing_station(mapping):
    mapping["people"][0]["stations"] = []
    assert set(faults(mapping)) == {"people[0].stations"}


def test_the_chill_tank_needs_nobody():
    assert "chill" not in PEOPLE_STATIONS


@pytest.mark.parametrize("tanks", [[], None])
def test_a_day_without_a_chill_tank_is_refused(mapping, tanks):
    mapping["equipment"]["tanks"] = tanks
    assert "equipment.tanks" in faults(mapping)


def test_birds_counted_before_must_be_a_whole_number(mapping):
    mapping["counted"] = {"chicken": "-1", "duck": "some"}
    assert {"counted.chicken", "counted.duck"} <= set(faults(mapping))


@given(
    count=st.integers(1, 120),
    mean=st.floats(1.0, 8.0),
    share=st.floats(0.0, 0.3),
)
def test_stand_in_masses_have_the_mean_and_no_more_than_the_spread(count, mean, share):
    masses = spread_masses_kg(count, mean, spread_kg=mean * share)
    assert len(masses) == count
    assert statistics.fmean(masses) == pytest.approx(mean, rel=1e-9)
    assert statistics.pstdev(masses) <= mean * share * 1.001 + 1e-12


def test_many_stand_in_masses_have_the_spread_that_was_asked_for():
    masses = spread_masses_kg(1000, 2.0, spread_kg=0.2)
    assert statistics.pstdev(masses) == pytest.approx(0.2, rel=0.01)


def test_stand_in_masses_mix_light_and_heavy_birds():
    masses = spread_masses_kg(30, 2.0, spread_kg=0.2)

    def halves_differ(birds):
        return abs(statistics.fmean(birds[:15]) - statistics.fmean(birds[15:]))

    assert halves_differ(masses) < halves_differ(sorted(masses)) / 3
    assert masses == spread_masses_kg(30, 2.0, spread_kg=0.2)


def test_no_birds_have_no_masses_and_no_spread_gives_equal_ones():
    assert spread_masses_kg(0, 2.0, spread_kg=0.2) == ()
    assert spread_masses_kg(3, 2.0, spread_kg=0.0) == (2.0, 2.0, 2.0)


def test_a_rest_allowance_is_a_share_and_none_where_it_is_left_out(request_with):
    found = request_with(lambda m: m["people"][0].update(allowance="12 %"))
    assert [one.allowance_frac for one in found.people] == [0.12, 0.0, 0.0]
    assert found.people[0].speed == pytest.approx(found.people[0].pace / 1.12)


@pytest.mark.parametrize("wrong", ["12", "60 %", "-1 %", "much"])
def test_an_allowance_that_is_no_such_share_is_told(request_with, wrong):
    with pytest.raises(InputFaultsError) as caught:
        request_with(lambda m: m["people"][0].update(allowance=wrong))
    assert [fault.name for fault in caught.value.faults] == ["people[0].allowance"]
