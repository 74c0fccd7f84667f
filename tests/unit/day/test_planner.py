import dataclasses
import math
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pinfeather.day import cold, planner
from pinfeather.day.cold import bird_chill_times
from pinfeather.day.events import COUNTED
from pinfeather.day.flow import NEVER_S, flow
from pinfeather.day.plan import left_over_words
from pinfeather.day.planner import plan_day
from pinfeather.day.request import PEOPLE_STATIONS
from pinfeather.errors import InputFaultsError
from pinfeather.estimate import Basis, Estimate, Origin
from pinfeather.finding import Severity
from pinfeather.line.replicate import Band
from pinfeather.line.simulate import planned_work, simulate
from pinfeather.rules.chill import chill_limit
from pinfeather.rules.profile import load

FEDERAL = load("us-federal")


def codes(plan, least=Severity.NOTE):
    return {finding.code for finding in plan.findings if finding.severity >= least}


def column(plan, code):
    return plan.stations.index(code)


# --- the example day of forty-two birds


def test_the_finish_is_a_finite_band_in_order(day_plan):
    finish = day_plan.finish_s
    assert finish.low <= finish.value <= finish.high
    assert finish.low < finish.high
    assert math.isfinite(finish.high)
    assert finish.basis.note == "4 simulated days"
    assert day_plan.replications == 4
    assert day_plan.half_width_s > 0


def test_every_bird_goes_through_every_station_in_order(day_plan):
    assert len(day_plan.threads) == day_plan.birds == 42
    assert day_plan.unfinished == 0
    for thread in day_plan.threads:
        for at in range(len(day_plan.stations)):
            steps = (
                thread.arrive_s[at],
                thread.start_s[at],
                thread.finish_s[at],
                thread.depart_s[at],
            )
            assert all(a <= b + 0.11 for a, b in pairwise(steps))
        assert all(a <= b + 0.11 for a, b in pairwise(thread.start_s))


def test_the_day_ends_with_its_last_bird_and_the_line_with_the_last_before_the_chill(day_plan):
    put_away = max(thread.finish_s[-1] for thread in day_plan.threads)
    assert day_plan.end_s == pytest.approx(put_away, abs=0.06)
    rinsed = max(thread.finish_s[column(day_plan, "rinse")] for thread in day_plan.threads)
    assert day_plan.line_end_s == pytest.approx(rinsed, abs=60)


def test_no_bird_is_scalded_before_it_has_bled_three_minutes(day_plan):
    kill, scald = column(day_plan, "kill"), column(day_plan, "scald")
    assert all(t.start_s[scald] - t.start_s[kill] >= 180 for t in day_plan.threads)


def test_the_bottleneck_is_named_and_busy(day_plan):
    assert day_plan.bottleneck.kind in {"station", "people"}
    assert set(day_plan.bottleneck.name.split(", ")) <= {"Odile", "Wendell", "Priya"} | set(
        day_plan.stations
    )
    assert 0.5 < day_plan.bottleneck.utilisation <= 1


def test_each_stations_day_matches_the_birds_that_passed_it(day_plan):
    assert [station.code for station in day_plan.station_plans] == list(day_plan.stations)
    for at, station in enumerate(day_plan.station_plans):
        assert station.first_s == pytest.approx(
            min(t.start_s[at] for t in day_plan.threads), abs=0.06
        )
        assert station.last_s == pytest.approx(
            max(t.finish_s[at] for t in day_plan.threads), abs=0.06
        )
        assert 0 <= station.wait_mean_s <= station.wait_longest_s
        assert 0 <= station.busy_frac <= 1
    assert day_plan.station_plans[0].wait_longest_s == 0


def test_the_ice_is_split_into_what_it_goes_into_and_sums_to_the_total(day_plan):
    for tank in day_plan.tanks:
        parts = tank.ice_birds_kg + tank.ice_water_kg + tank.ice_walls_kg + tank.ice_reserve_kg
        assert tank.ice_kg == pytest.approx(parts, rel=1e-12)
    assert day_plan.ice_kg == pytest.approx(sum(t.ice_kg for t in day_plan.tanks), rel=1e-12)


def test_the_tanks_hold_the_birds_that_the_threads_bring_them(day_plan):
    for tank in day_plan.tanks:
        mine = [thread for thread in day_plan.threads if thread.tank == tank.name]
        assert len(mine) == tank.birds
        assert sum(t.mass_kg for t in mine) == pytest.approx(tank.birds_kg)
    assert sum(tank.birds for tank in day_plan.tanks) == 42
    assert day_plan.birds_kg == pytest.approx(sum(tank.birds_kg for tank in day_plan.tanks))


def test_a_tanks_times_follow_from_its_own_birds(day_plan):
    kill, chill = column(day_plan, "kill"), column(day_plan, "chill")
    for tank in day_plan.tank_times:
        mine = [thread for thread in day_plan.threads if thread.tank == tank.name]
        assert tank.first_in_s == pytest.approx(min(t.start_s[chill] for t in mine), abs=0.06)
        assert tank.last_in_s == pytest.approx(max(t.start_s[chill] for t in mine), abs=0.06)
        strictest = min(t.start_s[kill] + chill_limit(FEDERAL, t.mass_kg).within_s for t in mine)
        assert tank.due_s == pytest.approx(strictest, abs=0.06)
        assert tank.last_in_s < tank.cold_s < tank.due_s


def test_each_weight_class_is_cold_when_its_slowest_bird_is(day_plan, day_request):
    kill, chill = column(day_plan, "kill"), column(day_plan, "chill")
    stirred = all(tank.stirred for tank in day_request.equipment.tanks)
    for one in day_plan.classes:
        lot = next(lot for lot in day_request.lots if lot.code == one.lot)
        stays = dict(
            zip(
                lot.masses_kg,
                bird_chill_times(lot, stirred=stirred, profile=FEDERAL),
                strict=True,
            )
        )
        mine = [
            thread
            for thread in day_plan.threads
            if thread.lot == one.lot and one.lightest_kg <= thread.mass_kg <= one.heaviest_kg
        ]
        assert len(mine) == one.birds
        slowest = max(t.start_s[chill] + stays[t.mass_kg].time_s for t in mine)
        assert one.cold_s == pytest.approx(slowest, abs=0.06)
        assert one.cold_high_s > one.cold_s
        limit = chill_limit(FEDERAL, one.heaviest_kg)
        first_cut = min(t.start_s[kill] for t in mine)
        assert one.due_s == pytest.approx(first_cut + limit.within_s, abs=0.06)
        assert one.limit_words == f"40 °F in {limit.hours:g} h"
        assert one.citation == limit.citation


def test_the_sanitiser_is_renewed_at_the_interval_from_the_first_mix_until_the_end(request_with):
    def change(written):
        written["lots"] = [
            {"code": "T2", "species": "turkey", "count": 4, "mean": "45 lb"},
        ]
        for person in written["people"]:
            person["to"] = "23:30"

    plan = plan_day(request_with(change), days=4, change_days=0)
    times = (-2400.0, *plan.sanitiser.renew_s)
    assert len(times) > 2
    assert all(b - a == plan.sanitiser.every_s for a, b in pairwise(times))
    assert times[-1] < plan.finish_s.value <= times[-1] + plan.sanitiser.every_s
    mixed = plan.sanitiser.mixed_ppm
    assert mixed.low < mixed.value == pytest.approx(100)


def test_the_bleach_makes_the_strength_asked_for(day_plan, day_request):
    asked = day_request.sanitiser
    assert day_plan.sanitiser.stock_m3 * asked.bleach_frac == pytest.approx(
        asked.volume_m3 * asked.target_frac
    )


def test_the_to_do_list_is_in_order_with_a_finite_time_for_each(day_plan):
    times = [item.at_s for item in day_plan.todo]
    assert times == sorted(times)
    assert all(map(math.isfinite, times))
    assert {"feed", "burner", "sanitiser", "ice", "probe", "due", "close"} <= {
        item.code for item in day_plan.todo
    }
    mix = next(item for item in day_plan.todo if item.code == "sanitiser")
    assert "18.4\u202fmL or 1.24\u202ftbsp" in mix.words
    ice = next(item for item in day_plan.todo if item.code == "ice")
    assert "East tank" in ice.words
    assert "West tank" in ice.words


def test_the_headroom_is_the_cap_less_the_year_so_far_and_this_day(day_plan):
    assert day_plan.cap_words == "1,000 birds"
    assert day_plan.counted_before == 322
    assert day_plan.headroom_after == 1000 - 322 - 42


def test_what_one_more_of_each_would_save_is_listed_with_the_best_first(day_plan):
    saved = [gain.minutes_saved_s.value for gain in day_plan.gains]
    assert saved == sorted(saved, reverse=True)
    assert len(saved) > 5


def test_nobody_works_longer_than_they_are_there(day_plan):
    assert [person.name for person in day_plan.people] == ["Odile", "Wendell", "Priya"]
    for person in day_plan.people:
        assert 0 < person.busy_s <= day_plan.end_s
        for stretch in person.stretches:
            assert stretch.from_s < stretch.until_s
        assert all(a.from_s <= b.from_s for a, b in pairwise(person.stretches))
    odile = day_plan.people[0]
    assert {code for stretch in odile.stretches for code in stretch.stations} <= {
        "catch", "kill", "scald", "pick",
    }  # fmt: skip


def test_a_bird_is_called_lost_only_after_half_again_the_slowest_planned_time(day_plan):
    assert set(day_plan.longest_s) == set(COUNTED[:-1])
    draw, chill = column(day_plan, "draw"), column(day_plan, "chill")
    slowest = max(t.start_s[chill] - t.finish_s[draw] for t in day_plan.threads)
    assert day_plan.longest_s["draw"] == pytest.approx(max(300, 1.5 * slowest), abs=0.2)
    assert min(day_plan.longest_s.values()) >= 300


def test_enough_cones_is_the_pace_times_the_time_in_the_cone(day_plan):
    held = 42 / day_plan.line_end_s * (180 + 35)
    assert day_plan.cones_needed == math.ceil(held)


def test_no_finding_is_said_twice_and_the_worst_come_first(day_plan):
    assert len(set(day_plan.findings)) == len(day_plan.findings)
    severities = [finding.severity for finding in day_plan.findings]
    assert severities == sorted(severities, reverse=True)


def test_the_packing_list_takes_its_amounts_from_the_plan(day_plan):
    amounts = {item.name: item.amount for item in day_plan.supplies}
    assert amounts["Labels"] == "47"
    assert amounts["Test strips"] == str(2 * (1 + len(day_plan.sanitiser.renew_s)))
    assert amounts["Ice"] == f"{day_plan.ice_kg / 0.45359237:.0f}\u202flb"


# --- the same again, and with other luck


def test_the_same_seed_gives_the_same_plan(day_request, day_plan):
    assert plan_day(day_request, days=4, change_days=1) == day_plan


def test_another_seed_changes_the_luck_and_nothing_that_is_certain(day_request, day_plan):
    other = plan_day(day_request, seed=2, days=4, change_days=1)
    assert other.finish_s != day_plan.finish_s
    assert other.threads == day_plan.threads
    assert other.ice_kg == day_plan.ice_kg


def test_units_change_words_and_no_numbers(day_request, day_plan):
    other = plan_day(day_request, days=4, change_days=1, mass_unit="kg", temp_unit="C")
    assert other.finish_s == day_plan.finish_s
    assert other.ice_kg == day_plan.ice_kg
    assert any("\u202fkg" in item.words for item in other.todo)
    assert not any("\u202flb" in item.words for item in other.todo)


def test_a_quicker_drawing_table_never_ends_the_line_later(day_request, day_plan, quick_plan):
    own = Estimate(120.0, 100.0, 150.0, Basis(Origin.OWN, "your last 3 days", "measured"))
    quicker = quick_plan(day_request, times={("draw", "draw"): own})
    assert quicker.line_end_s < day_plan.line_end_s


def test_one_bird_alone_is_a_plan(request_with, quick_plan):
    plan = quick_plan(
        request_with(lambda m: m.update(lots=[{"code": "A7", "count": 1, "mean": "4 lb"}]))
    )
    assert plan.birds == 1
    assert plan.finish_s.low <= plan.finish_s.high
    assert plan.cones_needed == 1


@pytest.mark.parametrize("species", ["turkey", "duck", "goose"])
def test_a_second_kind_of_bird_is_planned_with_it(request_with, quick_plan, species):
    plan = quick_plan(request_with(lambda m: m["lots"][1].update(species=species)))
    assert plan.unfinished == 0
    assert {thread.lot for thread in plan.threads} == {"A7", "H2"}


def test_a_shop_without_a_plucker_takes_longer(request_with, quick_plan, day_plan):
    plan = quick_plan(request_with(lambda m: m["equipment"].update(drum_birds=0)))
    assert plan.line_end_s > day_plan.line_end_s


# --- ice and cold


def test_more_ice_on_hand_never_needs_more_ice(request_with, quick_plan, day_plan):
    plan = quick_plan(request_with(lambda m: m["equipment"].update(ice="900 lb")))
    assert plan.ice_kg == day_plan.ice_kg


def test_insulating_a_tank_never_needs_more_ice(request_with, quick_plan, day_plan):
    def change(written):
        written["equipment"]["tanks"][1]["walls"] = "insulated"

    plan = quick_plan(request_with(change))
    assert plan.ice_kg < day_plan.ice_kg
    assert plan.threads == day_plan.threads


def test_too_little_ice_is_told_in_the_plan(request_with, quick_plan):
    plan = quick_plan(request_with(lambda m: m["equipment"].update(ice="50 lb")))
    assert "ice.short" in codes(plan, Severity.CHECK)


def test_water_warmer_than_the_limit_never_makes_a_bird_cold(day_request, quick_plan, monkeypatch):
    monkeypatch.setattr(cold, "SLUSH_DEGC", 4.5)
    plan = quick_plan(day_request)
    for one in plan.classes:
        assert (one.stay_s, one.stay_high_s, one.cold_s, one.cold_high_s) == (None,) * 4
    assert "chill.plan_late" in codes(plan, Severity.STOP)
    assert all(tank.cold_s == NEVER_S for tank in plan.tank_times)


def test_a_single_still_tank_slows_the_chill(request_with, quick_plan):
    still = quick_plan(request_with())

    def change(written):
        written["equipment"]["tanks"][1]["bath"] = "stirred"

    stirred = quick_plan(request_with(change))
    assert all(a.stay_s > b.stay_s for a, b in zip(still.classes, stirred.classes, strict=True))
    assert not any(item.code == "stir" for item in stirred.todo)


def test_birds_that_fit_into_one_tank_leave_the_other_empty(request_with, quick_plan):
    plan = quick_plan(request_with(lambda m: m["lots"].pop()))
    assert [tank.name for tank in plan.tanks] == ["East tank"]
    assert [tank.name for tank in plan.tank_times] == ["East tank"]


@settings(max_examples=8, deadline=None)
@given(
    count=st.integers(1, 25),
    mean=st.floats(3, 9),
    cones=st.integers(1, 8),
    drum=st.integers(0, 4),
    tap=st.integers(40, 75),
)
def test_any_believable_day_gives_a_plan_that_adds_up(
    request_with, quick_plan, count, mean, cones, drum, tap
):
    def change(written):
        written["lots"] = [{"code": "A7", "count": count, "mean": f"{mean:.2f} lb"}]
        written["equipment"].update(cones=cones, drum_birds=drum, tap=f"{tap} F")

    plan = quick_plan(request_with(change))
    assert plan.birds == count == sum(tank.birds for tank in plan.tanks)
    assert plan.finish_s.low <= plan.finish_s.value <= plan.finish_s.high
    assert plan.ice_kg == pytest.approx(sum(tank.ice_kg for tank in plan.tanks))
    assert sum(one.birds for one in plan.classes) == count
    assert plan.cones_needed >= 1


# --- what is not right is said


def leave(written, at, *, who=(0, 1, 2)):
    for index in who:
        written["people"][index]["to"] = at


def test_people_who_leave_early_leave_birds_over_and_the_plan_says_stop(request_with, quick_plan):
    plan = quick_plan(request_with(lambda m: leave(m, "10:00")))
    assert plan.unfinished == 42
    assert {"line.unfinished", "line.nobody"} <= codes(plan, Severity.STOP)


def test_a_packer_who_leaves_early_leaves_cold_birds_unpacked(request_with, quick_plan):
    plan = quick_plan(request_with(lambda m: leave(m, "11:30", who=(1, 2))))
    assert 0 < plan.unfinished < 42
    assert "line.unfinished" in codes(plan, Severity.STOP)


@pytest.mark.parametrize("minute", [7, 13, 16])
def test_a_crew_that_is_there_for_minutes_only_still_gives_a_plan(request_with, quick_plan, minute):
    plan = quick_plan(request_with(lambda m: leave(m, f"08:{30 + minute}", who=(0,))))
    assert plan.unfinished > 30
    assert "line.unfinished" in codes(plan, Severity.STOP)
    assert left_over_words(plan).startswith(f"{plan.unfinished} of 42 are left over")
    assert math.isfinite(plan.finish_s.value)


@pytest.mark.parametrize("at", ["08:31", "08:34"])
def test_a_crew_that_is_gone_before_the_first_bird_is_refused(request_with, quick_plan, at):
    with pytest.raises(InputFaultsError, match="Nobody is there long enough"):
        quick_plan(request_with(lambda m: leave(m, at)))


def test_a_break_as_long_as_the_day_is_refused(request_with, quick_plan):
    def change(written):
        for person in written["people"]:
            person["breaks"] = ["08:30-17:30"]

    with pytest.raises(InputFaultsError, match="people: Nobody"):
        quick_plan(request_with(change))


def test_a_deadline_that_cannot_be_met_is_a_stop(request_with, quick_plan):
    plan = quick_plan(request_with(lambda m: m.update(deadline="10:30")))
    assert "line.deadline" in codes(plan, Severity.STOP)


def test_a_day_with_time_to_spare_or_no_deadline_says_nothing_about_it(request_with, quick_plan):
    assert "line.deadline" not in codes(quick_plan(request_with()))
    no_deadline = quick_plan(request_with(lambda m: m.update(deadline="")))
    assert "line.deadline" not in codes(no_deadline)


def test_a_day_that_passes_the_years_cap_is_a_stop(request_with, quick_plan):
    plan = quick_plan(request_with(lambda m: m.update(counted={"chicken": 980})))
    assert plan.headroom_after == -22
    assert "count.passes_cap" in codes(plan, Severity.STOP)


def test_the_last_bird_under_the_cap_is_no_stop(request_with, quick_plan):
    plan = quick_plan(request_with(lambda m: m.update(counted={"chicken": 958})))
    assert plan.headroom_after == 0
    assert "count.passes_cap" not in codes(plan)


def test_a_tier_without_a_cap_has_no_headroom(request_with, quick_plan):
    plan = quick_plan(request_with(lambda m: m.update(tier="personal")))
    assert (plan.headroom_after, plan.cap_words) == (None, "")


@pytest.mark.parametrize(
    ("name", "value", "says"),
    [
        ("profile", "us-nowhere", "There are no rules called “us-nowhere”"),
        ("profile", "../us-co", "There are no rules called"),
        ("tier", "unlimited", "“unlimited” is not open under"),
    ],
)
def test_unknown_rules_are_refused_with_the_known_ones(request_with, quick_plan, name, value, says):
    with pytest.raises(InputFaultsError) as caught:
        quick_plan(request_with(lambda m: m.update({name: value})))
    (fault,) = caught.value.faults
    assert fault.name == name
    assert says in fault.problem
    assert "us-federal" in fault.problem or "producer_1000" in fault.problem


def test_another_states_rules_plan_the_same_birds(request_with, quick_plan, day_plan):
    plan = quick_plan(request_with(lambda m: m.update(profile="us-co")))
    assert plan.threads == day_plan.threads


def test_too_strong_a_mix_is_told(request_with, quick_plan):
    plan = quick_plan(request_with(lambda m: m["sanitiser"].update(target="500 ppm")))
    assert codes(plan, Severity.STOP) & {"sanitizer.strong", "sanitiser.strong"}


def test_too_weak_a_mix_is_told(request_with, quick_plan):
    plan = quick_plan(request_with(lambda m: m["sanitiser"].update(target="20 ppm")))
    assert "sanitiser.weak" in codes(plan, Severity.CHECK)


def test_a_small_mix_is_written_in_litres(request_with, quick_plan):
    plan = quick_plan(request_with(lambda m: m["sanitiser"].update(volume="1 L")))
    mix = next(item for item in plan.todo if item.code == "sanitiser")
    assert "1.00\u202fL" in mix.words


def test_three_hours_without_a_pause_is_to_be_looked_at(request_with, quick_plan):
    def change(written):
        written["lots"][0]["count"] = 110

    plan = quick_plan(request_with(change))
    told = [finding for finding in plan.findings if finding.code == "line.no_break"]
    assert told
    assert all(finding.severity is Severity.CHECK for finding in told)
    assert all(finding.measured > finding.limit == 3 for finding in told)


def test_a_person_with_nothing_to_do_has_an_empty_card(request_with, quick_plan):
    def change(written):
        written["people"].append(
            {"name": "Noor", "from": "17:00", "to": "17:30", "stations": ["store"]}
        )

    idle = quick_plan(request_with(change)).people[3]
    assert (idle.name, idle.busy_s, idle.washes, idle.stretches) == ("Noor", 0.0, 0, ())


def test_somebody_on_both_sides_has_a_stretch_for_each(request_with, quick_plan):
    def change(written):
        written["lots"] = [{"code": "A7", "count": 6, "mean": "4 lb"}]
        written["people"] = [written["people"][0]]
        written["people"][0]["stations"] = [
            "catch", "kill", "scald", "pick", "draw", "rinse", "bag", "weigh", "store",
        ]  # fmt: skip

    (person,) = quick_plan(request_with(change)).people
    assert person.washes >= 1
    sides = [
        "dirty" if stretch.stations[0] in {"catch", "kill", "scald", "pick"} else "other"
        for stretch in person.stretches
    ]
    assert {"dirty", "other"} <= set(sides)


# --- corners that no plan of a real day reaches


@pytest.fixture(scope="module")
def table(day_request):
    chills = [bird_chill_times(lot, stirred=True, profile=FEDERAL) for lot in day_request.lots]
    day = flow(day_request, chills)
    work = planned_work(day.stations, len(day.birds))
    return day, simulate(day.stations, day.people, work_s=work)


def test_where_no_simulated_day_ends_the_planned_end_stands_alone(table):
    _day, planned = table
    never = Band(math.nan, math.nan, math.nan, math.inf, 0)
    finish = planner._finish(planned, never)
    assert finish.low == finish.value == finish.high == planned.end_s


def test_a_line_that_took_no_time_needs_one_cone(table):
    day, planned = table
    assert planner._cones(day, dataclasses.replace(planned, line_end_s=0.0)) == 1


def at(plan, code):
    return next(todo.at_s for todo in plan.todo if todo.code == code)


def test_setting_up_and_cleaning_take_the_stations_times_shared_among_those_there(
    request_with, quick_plan
):
    def alone(written):
        for one in written["people"]:
            one.pop("breaks", None)
        written["people"] = [
            {**written["people"][0], "stations": [*PEOPLE_STATIONS], "to": "23:00"}
        ]
        written.pop("deadline", None)

    one = quick_plan(request_with(alone))
    assert at(one, "setup") == -7200.0
    assert at(one, "close") - at(one, "clean_up") == 7200.0

    def late(written):
        alone(written)
        first = written["people"][0]
        written["people"] = [first, {**first, "name": "Zoe", "from": "09:30"}]

    two = quick_plan(request_with(late))  # Zoe comes after the first bird and stays to the end
    assert at(two, "setup") == -7200.0
    assert at(two, "close") - at(two, "clean_up") == 3600.0


def test_a_rest_allowance_makes_the_day_longer(request_with, quick_plan):
    def rest(written):
        for one in written["people"]:
            one["allowance"] = "20 %"

    plain, rested = quick_plan(request_with()), quick_plan(request_with(rest))
    assert 1.08 < rested.line_end_s / plain.line_end_s < 1.25


def test_hours_that_are_just_enough_are_told_from_the_days_with_luck(request_with, quick_plan):
    plan = quick_plan(request_with(), days=8)
    assert "line.unfinished_days" not in codes(plan, Severity.CHECK)
    minutes = 8 * 60 + 30 + math.ceil(plan.end_s / 60) + 1
    tight = quick_plan(
        request_with(lambda m: leave(m, f"{minutes // 60:02d}:{minutes % 60:02d}")), days=8
    )
    assert tight.unfinished == 0
    (told,) = [one for one in tight.findings if one.code == "line.unfinished_days"]
    assert told.severity is Severity.CHECK
    assert told.measured >= 0.1
