import math

import numpy as np
import pytest

from pinfeather.errors import InputError
from pinfeather.line.crew import Person
from pinfeather.line.replicate import band, bottleneck, changes, line_busy_s, replicate, what_if
from pinfeather.line.sampling import sample_work
from pinfeather.line.simulate import FlowLimits, planned_work, simulate
from pinfeather.line.stations import STATION_CODES, handbook_stations

ALL = frozenset(STATION_CODES)
LINE = handbook_stations("chicken", cones=4, draw_places=3)
LIMITS = FlowLimits(wip_limit=8)


def crew(count):
    return [Person(f"p{i}", ALL, 0.0, 24 * 3600.0) for i in range(count)]


def test_a_band_is_percentiles_and_a_t_interval():
    times_s = np.arange(1.0, 12.0)
    found = band(times_s)
    assert (found.p10_s, found.p50_s, found.p90_s) == (2, 6, 10)
    assert found.half_width_s == pytest.approx(2.2281 * times_s.std(ddof=1) / math.sqrt(11), 1e-4)
    assert found.n == 11


def test_a_band_of_nothing_says_so():
    assert band(np.array([np.nan])).n == 0
    assert band(np.array([1.0])).half_width_s == math.inf


def test_days_are_the_same_for_the_same_seed_and_in_the_right_order():
    one = replicate(LINE, crew(3), birds=12, n=8, seed=5, limits=LIMITS)
    two = replicate(LINE, crew(3), birds=12, n=8, seed=5, limits=LIMITS)
    np.testing.assert_array_equal(one.end_s, two.end_s)
    assert one.finish.p10_s <= one.finish.p50_s <= one.finish.p90_s
    assert one.line.p90_s < one.finish.p10_s
    assert one.stations["store"] == one.finish
    assert one.unfinished_frac == 0


def test_a_crew_that_leaves_leaves_days_unfinished():
    people = [Person("Wren", ALL, 0.0, 1.5 * 3600.0)]
    found = replicate(LINE, people, birds=12, n=4, seed=5, limits=LIMITS)
    assert found.unfinished_frac == 1


def test_the_what_if_is_the_difference_of_two_runs_on_the_same_times():
    people = crew(3)
    gains = what_if(LINE, people, birds=15, n=3, seed=7, limits=LIMITS)
    found = next(g for g in gains if (g.change_code, g.station) == ("person", "draw"))
    work = sample_work(LINE, birds=15, draws=3, seed=7, sure=True)
    helper = Person("+draw", frozenset({"draw"}), 0.0, 24 * 3600.0)
    before = [simulate(LINE, people, work_s=w, limits=LIMITS).line_end_s for w in work]
    after = [
        simulate(LINE, [*people, helper], work_s=w, limits=FlowLimits(wip_limit=9)).line_end_s
        for w in work
    ]
    assert found.minutes_saved_s.value == np.median(np.array(before) - np.array(after))
    assert found.minutes_saved_s.value > 0
    values = [g.minutes_saved_s.value for g in gains]
    assert values == sorted(values, reverse=True)


def test_the_changes_are_one_more_of_each_thing_that_can_be_had():
    names = {(code, where) for code, where, _, _ in changes(LINE, crew(1))}
    assert {("place", "kill"), ("place", "draw"), ("bird", "pick"), ("person", "kill")} <= names
    assert not {("place", "chill"), ("person", "bag")} & names
    for code, where, line, people in changes(LINE, crew(1)):
        assert len(people) == (2 if code == "person" else 1)
        assert (tuple(LINE) == tuple(line)) == (code == "person")
        assert where in {station.code for station in line}


def test_one_drawing_place_among_many_hands_is_the_bottleneck():
    line = handbook_stations("chicken", cones=6, draw_places=1)
    people = crew(5)
    day = simulate(line, people, work_s=planned_work(line, 30), limits=LIMITS)
    found = bottleneck(day, line, people)
    assert (found.kind, found.name) == ("station", "draw")
    assert found.utilisation > 0.85


def test_one_person_alone_is_the_bottleneck():
    people = crew(1)
    day = simulate(LINE, people, work_s=planned_work(LINE, 20), limits=LIMITS)
    found = bottleneck(day, LINE, people)
    assert (found.kind, found.name) == ("people", "p0")
    assert found.utilisation < 1


def test_time_at_work_counts_a_load_once():
    people = crew(1)
    day = simulate(LINE, people, work_s=planned_work(LINE, 6), limits=LIMITS)
    wash_s = float(day.washes[0]) * 240.0
    packing_s = 6 * (40 + 30 + 10)
    assert line_busy_s(day, 0) == pytest.approx(day.person_busy_s[0] - wash_s - packing_s)


def test_a_day_without_birds_has_no_bottleneck():
    day = simulate(LINE, [], work_s=planned_work(LINE, 2))
    with pytest.raises(InputError):
        bottleneck(day, LINE, [])
