import datetime as dt

import pytest

from pinfeather.day.due import WARM_TANK_DEGC, due_list, shift
from pinfeather.day.instruments import trusted
from pinfeather.day.request import TankRequest
from pinfeather.units import to_si

TARGET = to_si(40, "F", "temperature")
EXACT = {"red probe": 0.0}
SPARE = TankRequest("Spare tank", 0.15, stirred=False, insulated=False)
PUMPED = TankRequest("Pumped tank", 0.15, stirred=True, insulated=False)


@pytest.fixture
def due(journal, day_plan):
    """The list as it stands, by task and place."""

    def listed():
        done = journal.progress()
        readings = trusted(done.readings, done.ice_points, accuracies_K=EXACT)
        found = due_list(
            day_plan,
            done,
            readings,
            start=journal.start,
            target_degC=TARGET,
            shop_tanks=(SPARE, PUMPED),
        )
        assert [one.at for one in found] == sorted(one.at for one in found)
        return {(one.task, one.place): one for one in found}

    return listed


def planned_s(plan, code, place="", first=True):
    times = [item.at_s for item in plan.todo if item.code == code and item.place == place]
    return times[0] if first else times[-1]


def start_work(journal, plan, minutes_late=0.0):
    at = plan.stations.index("catch")
    first = min(thread.finish_s[at] for thread in plan.threads)
    journal.tally("catch", first / 60 + minutes_late)


# --- when the day began


def test_before_the_first_count_the_day_is_not_late(journal, day_plan):
    assert shift(day_plan, journal.progress(), start=journal.start) == dt.timedelta(0)


@pytest.mark.parametrize("minutes", [25.0, -10.0, 0.0])
def test_the_first_bird_caught_says_how_late_the_day_began(journal, day_plan, minutes):
    start_work(journal, day_plan, minutes)
    late = shift(day_plan, journal.progress(), start=journal.start)
    assert late.total_seconds() == pytest.approx(minutes * 60, abs=0.1)


def test_where_nobody_counts_the_catching_the_first_cut_says_it(journal, day_plan):
    at = day_plan.stations.index("kill")
    first = min(thread.start_s[at] for thread in day_plan.threads)
    journal.tally("kill", first / 60 + 12)
    late = shift(day_plan, journal.progress(), start=journal.start)
    assert late.total_seconds() == pytest.approx(12 * 60, abs=0.1)


def test_a_late_start_shifts_what_comes_after_it_and_not_what_came_before(journal, day_plan, due):
    before = due()
    start_work(journal, day_plan, 25)
    after = due()
    moved = after["read_scalder", ""].at - before["read_scalder", ""].at
    assert moved.total_seconds() == pytest.approx(25 * 60, abs=0.1)
    assert after["ice_check", ""].at == before["ice_check", ""].at


# --- before work


def test_before_the_first_bird_the_preparations_are_due(due):
    tasks = {task for task, _place in due()}
    assert tasks == {"setup", "ice_check", "sanitiser", "ice", "burner", "read_scalder"}


def test_the_first_mix_says_the_amounts(due, day_plan):
    assert "18.4" in due()["sanitiser", ""].words
    assert due()["sanitiser", ""].caution


def test_once_birds_are_counted_preparations_are_past_but_mixing_and_checking_are_not(
    journal, day_plan, due
):
    start_work(journal, day_plan)
    tasks = {task for task, _place in due()}
    assert not tasks & {"setup", "ice", "burner"}
    assert {"sanitiser", "ice_check"} <= tasks


def test_a_preparation_done_is_off_the_list(journal, due):
    journal.did("ice", -20)
    journal.ice(-45, 32.4)
    assert ("ice", "") not in due()
    assert ("ice_check", "") not in due()


def test_things_that_are_not_for_a_working_page_are_not_on_the_list(due):
    assert not {"feed", "evening", "close", "clean_up", "due"} & {task for task, _ in due()}


# --- repeats


def test_a_repeated_task_is_next_due_one_interval_after_it_was_done(journal, day_plan, due):
    start_work(journal, day_plan)
    assert due()["read_scalder", ""].at == journal.at(30) or due()["read_scalder", ""].reading
    journal.reading("scalder", 42, 145)
    assert due()["read_scalder", ""].at == journal.at(72)
    journal.reading("scalder", 60, 146)
    assert due()["read_scalder", ""].at == journal.at(90)


def test_a_reading_taken_back_makes_its_task_due_again(journal, day_plan, due):
    start_work(journal, day_plan)
    before = due()["read_scalder", ""].at
    journal.take_back(journal.reading("scalder", 42, 145), 43)
    assert due()["read_scalder", ""].at == before


def test_the_sanitiser_is_due_an_interval_after_the_last_mix_with_other_words(
    journal, day_plan, due
):
    journal.did("sanitiser", -38)
    found = due()["sanitiser", ""]
    assert found.at == journal.at(-38) + dt.timedelta(seconds=day_plan.sanitiser.every_s)
    assert found.words == "Clean and sanitise the surfaces; mix fresh; read a strip."


def test_each_task_says_on_which_pages_it_belongs_and_which_reading_does_it(journal, due):
    journal.tally("chill", 10, place="West tank")
    found = due()
    assert found["read_scalder", ""].reading == "scalder"
    assert found["read_tank", "West tank"].reading == "bath"
    assert found["probe", "West tank"].reading == "bird"
    assert found["stir", "West tank"].reading == ""
    assert "chill" in found["stir", "West tank"].stations
    assert "kill" not in found["stir", "West tank"].stations


# --- tanks


def test_a_tank_without_birds_wants_nothing(journal, day_plan, due):
    start_work(journal, day_plan)
    assert not [place for _task, place in due() if place]


def test_a_tanks_tasks_count_from_its_real_birds(journal, day_plan, due):
    journal.tally("chill", 200, place="West tank")
    found = due()
    assert found["read_tank", "West tank"].at == journal.at(230)
    assert found["stir", "West tank"].at == journal.at(210)
    assert ("read_tank", "East tank") not in found


def test_the_probe_counts_from_the_last_real_bird(journal, day_plan, due):
    tank = next(one for one in day_plan.tank_times if one.name == "West tank")
    journal.tally("chill", 200, place="West tank")
    journal.tally("chill", 240, place="West tank")
    planned = planned_s(day_plan, "probe", "West tank") - tank.last_in_s
    assert due()["probe", "West tank"].at == journal.at(240) + dt.timedelta(seconds=planned)


def test_a_stirring_in_one_tank_is_not_one_in_another(journal, day_plan, due):
    journal.tally("chill", 10, place="West tank")
    journal.did("stir", 25, place="East tank")
    assert due()["stir", "West tank"].at == journal.at(20)
    journal.did("stir", 26, place="West tank")
    assert due()["stir", "West tank"].at == journal.at(36)


def test_a_task_done_without_saying_where_counts_everywhere(journal, due):
    journal.tally("chill", 10, place="West tank")
    journal.did("stir", 26)
    assert due()["stir", "West tank"].at == journal.at(36)


def test_a_tank_proved_cold_leaves_the_list(journal, due):
    journal.tally("chill", 10, place="West tank")
    journal.reading("bird", 200, 39, place="West tank")
    assert not [place for _task, place in due() if place]


def test_a_warm_probe_does_not_take_a_tank_off_the_list(journal, due):
    journal.tally("chill", 10, place="West tank")
    journal.reading("bird", 200, 41, place="West tank")
    assert ("probe", "West tank") in due()


def test_a_probe_before_the_last_bird_went_in_does_not_take_a_tank_off_the_list(journal, due):
    journal.tally("chill", 10, place="West tank")
    journal.reading("bird", 200, 39, place="West tank")
    journal.tally("chill", 201, place="West tank")
    assert ("probe", "West tank") in due()


def test_a_tank_that_warmed_again_is_back_on_the_list(journal, due):
    journal.tally("chill", 10, place="West tank")
    journal.reading("bird", 200, 39, place="West tank")
    journal.reading("bird", 230, 45, place="West tank")
    assert ("probe", "West tank") in due()


def test_a_tank_the_plan_left_empty_gets_its_tasks_once_it_holds_birds(journal, day_plan, due):
    assert not [one for one in due() if one[1] == "Spare tank"]
    journal.tally("chill", 200, place="Spare tank")
    journal.tally("chill", 220, place="Spare tank")
    found = due()
    assert found["read_tank", "Spare tank"].at == journal.at(230)
    assert found["stir", "Spare tank"].at == journal.at(210)
    slowest = max(one.cold_s - one.last_in_s for one in day_plan.tank_times)
    strictest = min(one.due_s - one.first_in_s for one in day_plan.tank_times)
    probe = found["probe", "Spare tank"].at - journal.at(220)
    assert probe.total_seconds() == pytest.approx(min(slowest, strictest - 1200 - 1800), abs=1)
    assert ("read_tank", "Pumped tank") not in found
    journal.reading("bath", 222, 38, place="Spare tank")
    assert due()["ice_more", "Spare tank"].at == journal.at(222)
    journal.reading("bird", 400, 39, place="Spare tank")
    assert ("probe", "Spare tank") not in due()


def test_an_unplanned_tank_with_a_pump_wants_no_stirring(journal, due):
    journal.tally("chill", 10, place="Pumped tank")
    assert ("read_tank", "Pumped tank") in due()
    assert ("stir", "Pumped tank") not in due()


# --- water too warm


def test_water_too_warm_asks_for_ice_now_until_some_was_added(journal, due):
    journal.reading("bath", 50, 38, place="West tank")
    found = due()["ice_more", "West tank"]
    assert found.at == journal.at(50)
    assert found.words == "Add ice to West tank now: its water is too warm."
    journal.did("ice_more", 52, place="East tank")
    assert ("ice_more", "West tank") in due()
    journal.did("ice_more", 53, place="West tank")
    assert ("ice_more", "West tank") not in due()


def test_only_the_newest_reading_of_the_water_counts_whatever_arrived_first(journal, due):
    journal.reading("bath", 60, 34, place="West tank")
    journal.reading("bath", 50, 38, place="West tank")
    assert ("ice_more", "West tank") not in due()


@pytest.mark.parametrize(("above_K", "asked"), [(0.0, False), (0.01, True)])
def test_the_edge_itself_is_cold_enough(journal, due, above_K, asked):
    journal.reading("bath", 50, WARM_TANK_DEGC + above_K, unit="C", place="West tank")
    assert (("ice_more", "West tank") in due()) is asked


def test_water_of_a_place_that_is_no_tank_of_the_plan_asks_for_nothing(journal, due):
    journal.reading("bath", 50, 60, place="bucket")
    assert ("ice_more", "bucket") not in due()


# --- when it is over


def test_once_every_bird_is_picked_the_scalder_needs_no_reading(journal, day_plan, due):
    journal.tally("pick", 100, birds=41)
    assert ("read_scalder", "") in due()
    journal.explain("kill", 101)
    assert ("read_scalder", "") not in due()


def test_once_every_bird_is_packed_nothing_is_due(journal, day_plan, due):
    journal.tally("chill", 10, birds=42, place="West tank")
    journal.package(300, birds=42)
    assert due() == {}


def test_a_day_whose_every_bird_was_written_off_is_not_taken_for_packed(journal, due):
    journal.explain("catch", 5, birds=42)
    assert ("sanitiser", "") in due()
