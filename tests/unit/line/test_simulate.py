import itertools
import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pinfeather.errors import InputError
from pinfeather.estimate import Basis, Estimate, Origin
from pinfeather.line.crew import Person
from pinfeather.line.simulate import FlowLimits, planned_work, simulate
from pinfeather.line.stations import MANY, STATION_CODES, Phase, Station, handbook_stations

ALL = frozenset(STATION_CODES)
DIRTY = ("catch", "kill", "scald", "pick")
HOUR = 3600.0


def phase(time_s, *, attended=True, name="work", together=True):
    estimate = Estimate(time_s, time_s, time_s, Basis(Origin.TYPED, "test"))
    return Phase(name, estimate, attended, together=together)


def crew(count, *, hours=24.0, **more):
    return [Person(f"p{i}", ALL, 0.0, hours * HOUR, **more) for i in range(count)]


def played(line, people, birds, **limits):
    work = planned_work(line, birds)
    return simulate(line, people, work_s=work, limits=FlowLimits(**limits))


@st.composite
def days(draw):
    species = draw(st.sampled_from(["chicken", "turkey", "duck", "goose"]))
    line = handbook_stations(
        species,
        cones=draw(st.integers(1, 6)),
        scald_places=draw(st.integers(1, 4)),
        drum_birds=draw(st.integers(1, 4)),
        draw_places=draw(st.integers(1, 4)),
        hand_pick=draw(st.booleans()),
        scald_by_hand=draw(st.booleans()),
    )
    people = crew(draw(st.integers(1, 5)))
    if draw(st.booleans()):
        people = [
            Person(
                who.name,
                draw(st.sampled_from([ALL, frozenset(DIRTY), ALL - frozenset(DIRTY)])),
                draw(st.sampled_from([0.0, HOUR])),
                draw(st.sampled_from([6 * HOUR, 48 * HOUR])),
                draw(st.sampled_from([0.6, 1.0, 1.4])),
                draw(st.sampled_from([(), ((2 * HOUR, 2.5 * HOUR),)])),
            )
            for who in people
        ]
    birds = draw(st.integers(1, 25))
    limits = FlowLimits(
        wip_limit=draw(st.sampled_from([None, 1, 3, 6])),
        cross=draw(st.sampled_from(["never", "seldom", "freely"])),
    )
    rng = np.random.default_rng(draw(st.integers(0, 1000)))
    work = planned_work(line, birds) * rng.gamma(9, 1 / 9, (birds, 1))
    return line, people, work, limits


@settings(max_examples=120, deadline=None)
@given(days())
def test_every_day_obeys_place_people_and_order(day):
    line, people, work, limits = day
    table = simulate(line, people, work_s=work, limits=limits)
    birds = len(work)
    started = ~np.isnan(table.start_s)
    # a bird goes through its stations one after another and never backwards in time
    assert np.all(started[:, 1:] <= started[:, :-1])
    arrive, start, finish, depart = (
        table.arrive_s, table.start_s, table.finish_s, table.depart_s
    )  # fmt: skip
    ok = ~np.isnan(depart)
    assert np.all(arrive[ok] <= start[ok])
    assert np.all(start[ok] <= finish[ok])
    assert np.all(finish[ok] <= depart[ok] + 1e-9)
    both = ok[:, :-1] & started[:, 1:]
    assert np.all(depart[:, :-1][both] <= start[:, 1:][both] + 1e-9)
    assert table.unfinished == birds - int(ok[:, -1].sum())
    # no place holds more than it can
    for k, station in enumerate(line):
        gone = np.where(np.isnan(depart[:, k]), math.inf, depart[:, k])
        for now in start[started[:, k], k]:
            inside = int(((start[:, k] <= now) & (gone > now)).sum())
            assert inside <= station.servers * station.batch
    # nobody does two things at once, out of their window or beyond their skill
    for i, who in enumerate(people):
        mine = np.argwhere(table.phase_person == i)
        pieces = {(table.phase_start_s[b, p], table.phase_finish_s[b, p]) for b, p in mine}
        spans = sorted(pieces)
        for (_, b), (c, _) in itertools.pairwise(spans):
            assert b <= c + 1e-6
        for b, p in mine:
            k = next(k for k, at in enumerate(table.phase_at) if at.start <= p < at.stop)
            assert line[k].code in who.stations
            if p == table.phase_at[k].start:
                assert table.phase_start_s[b, p] >= who.from_s
    # birds under way keep their limit
    if limits.wip_limit:
        drawn = np.where(np.isnan(finish[:, 4]), math.inf, finish[:, 4])
        for now in start[started[:, 0], 0]:
            assert ((start[:, 0] <= now) & (drawn > now)).sum() <= limits.wip_limit


@settings(max_examples=60, deadline=None)
@given(days())
def test_who_has_time_without_end_finishes_every_bird(day):
    line, people, work, limits = day
    always = [Person(who.name, ALL, 0.0, 1e9, who.pace) for who in people]
    table = simulate(line, always, work_s=work, limits=limits)
    assert table.unfinished == 0
    assert np.isfinite(table.phase_finish_s).all()


def test_the_same_day_gives_the_same_times_to_the_last_bit():
    line = handbook_stations("chicken", cones=4)
    one, two = (played(line, crew(3), 20, wip_limit=6) for _ in range(2))
    np.testing.assert_array_equal(one.phase_start_s, two.phase_start_s)
    np.testing.assert_array_equal(one.phase_person, two.phase_person)


def test_somebody_who_can_do_nothing_here_changes_nothing():
    line = handbook_stations("chicken", cones=4)
    idle = Person("idle", frozenset({"sweep"}), 0.0, 24 * HOUR)
    without = played(line, crew(2), 15, wip_limit=6)
    for people in ([idle, *crew(2)], [*crew(2), idle]):
        with_idle = played(line, people, 15, wip_limit=6)
        np.testing.assert_array_equal(with_idle.phase_start_s, without.phase_start_s)


def test_the_bird_in_the_hand_is_cut_before_anything_else_by_the_one_who_holds_it():
    line = handbook_stations("chicken", cones=4, draw_places=3)
    for people in (1, 2, 4):
        table = played(line, crew(people), 30, wip_limit=8)
        np.testing.assert_allclose(table.start_s[:, 1], table.finish_s[:, 0])
        np.testing.assert_array_equal(table.person[:, 0], table.person[:, 1])


def test_every_bird_bleeds_at_least_its_time():
    table = played(handbook_stations("chicken", cones=4), crew(4), 30, wip_limit=8)
    bled_s = table.start_s[:, 2] - table.phase_finish_s[:, 1]
    assert bled_s.min() >= 180 - 1e-6


def test_one_person_washes_between_the_sides_and_takes_the_birds_in_rounds():
    table = played(handbook_stations("chicken", cones=4), crew(1), 18, wip_limit=6)
    assert table.unfinished == 0
    assert 3 <= table.washes[0] <= 6


def test_a_person_on_the_dirty_side_is_never_on_the_clean_side_without_a_wash():
    line = handbook_stations("chicken", cones=4)
    change_s = 240.0
    table = played(line, crew(3), 40, wip_limit=8, cross="freely", change_side_s=change_s)
    dirty_phases = table.phase_at[3].stop
    for i in range(3):
        mine = np.argwhere(table.phase_person == i)
        spans = sorted({(table.phase_start_s[b, p], p >= dirty_phases) for b, p in mine})
        ends = {
            (table.phase_start_s[b, p], p >= dirty_phases): table.phase_finish_s[b, p]
            for b, p in mine
        }
        for before, after in itertools.pairwise(spans):
            if not before[1] and after[1]:
                assert after[0] - ends[before] >= change_s - 1e-6


def test_no_bird_is_started_that_would_meet_a_break_on_the_line():
    line = handbook_stations("chicken", cones=4)
    people = crew(3, breaks=((1.5 * HOUR, 2 * HOUR),))
    table = played(line, people, 60, wip_limit=6)
    before = table.start_s[:, 0] < 1.5 * HOUR
    assert before.any()
    assert not before.all()
    assert table.start_s[before, 6].max() <= 1.5 * HOUR + 1e-6
    assert table.unfinished == 0


def test_birds_that_cannot_be_finished_are_not_started():
    line = handbook_stations("chicken", cones=4)
    table = played(line, crew(3, hours=2.0), 200, wip_limit=6)
    assert table.untouched > 0
    through_line = ~np.isnan(table.start_s[:, 6])
    assert through_line.sum() == 200 - table.untouched


def test_with_nobody_at_all_nothing_starts_and_it_ends():
    table = played(handbook_stations("chicken", cones=4), [], 5)
    assert table.unfinished == table.untouched == 5
    assert table.end_s == 0.0


def test_a_station_nobody_can_serve_keeps_the_whole_kill_from_starting():
    people = [Person("Wren", ALL - {"draw"}, 0.0, 24 * HOUR)]
    table = played(handbook_stations("chicken", cones=4), people, 5)
    assert table.untouched == 5


def test_a_load_waits_for_a_bird_that_is_due_but_not_for_ever():
    cones = Station("kill", 4, (phase(10, name="cut"), phase(100, attended=False, name="bleed")))
    scald = Station("scald", 1, (phase(60, attended=False),), batch=2, buffer=0, wait_for_more_s=15)
    people = [Person("Wren", frozenset({"kill"}), 0.0, HOUR)]
    table = simulate([cones, scald], people, work_s=planned_work([cones, scald], 3))
    # the second bird is due 10 s after the first: they go together; nobody comes with the third
    np.testing.assert_allclose(table.start_s[:, 1], [120, 120, 180])


def test_a_load_larger_than_all_cones_starts_when_no_more_can_come():
    cones = Station("kill", 2, (phase(10, name="cut"), phase(100, attended=False, name="bleed")))
    drum = Station(
        "scald", 1, (phase(60, attended=False),), batch=4, buffer=0, wait_for_more_s=math.inf
    )
    people = [Person("Wren", frozenset({"kill"}), 0.0, HOUR)]
    table = simulate([cones, drum], people, work_s=planned_work([cones, drum], 5))
    assert table.unfinished == 0


def test_a_load_is_handled_bird_by_bird_and_run_as_one():
    drum = Station(
        "pick",
        1,
        (
            phase(5, name="load", together=False),
            phase(20, attended=False, name="run"),
            phase(10, name="unload", together=False),
        ),
        batch=3,
    )
    people = [Person("Wren", frozenset({"pick"}), 0.0, HOUR)]
    table = simulate([drum], people, work_s=planned_work([drum], 3))
    np.testing.assert_allclose(table.finish_s[:, 0], 15 + 20 + 30)
    assert table.person_busy_s[0] == 45
    assert table.busy_s[0] == 65


def test_a_slower_pace_stretches_only_what_needs_hands():
    station = Station("draw", 1, (phase(30), phase(50, attended=False, name="drip")))
    people = [Person("Wren", frozenset({"draw"}), 0.0, HOUR, pace=0.5)]
    table = simulate([station], people, work_s=planned_work([station], 1))
    assert table.end_s == 110


def test_work_begun_in_the_window_is_finished_after_it():
    station = Station("draw", 1, (phase(30),))
    people = [Person("Wren", frozenset({"draw"}), 0.0, 40.0)]
    table = simulate([station], people, work_s=planned_work([station], 3))
    np.testing.assert_allclose(table.finish_s[:2, 0], [30, 60])
    assert table.unfinished == 1


def test_blocked_and_busy_time_add_up():
    line = [
        Station("a", 1, (phase(2, attended=False),)),
        Station("b", 1, (phase(5, attended=False),), buffer=0),
    ]
    table = simulate(line, [], work_s=planned_work(line, 4))
    assert table.busy_s.tolist() == [8, 20]
    assert table.blocked_s[0] == 3 + 3 + 3
    assert table.utilisation[1] == pytest.approx(20 / 22)


def test_release_times_hold_birds_back():
    line = [Station("a", MANY, (phase(2, attended=False),))]
    release = np.array([0.0, 50.0, 7.0])
    table = simulate(line, [], work_s=planned_work(line, 3), release_s=release)
    np.testing.assert_allclose(table.start_s[:, 0], release)


@pytest.mark.parametrize(
    "wrong",
    [np.zeros((3, 2)), np.zeros(3), np.full((3, 1), -1.0), np.full((3, 1), np.nan)],
)
def test_wrong_times_are_refused(wrong):
    with pytest.raises(InputError):
        simulate([Station("a", 1, (phase(2),))], [], work_s=wrong)


def test_two_stations_of_one_name_are_refused():
    line = [Station("a", 1, (phase(2),))] * 2
    with pytest.raises(InputError, match="same name"):
        simulate(line, [], work_s=np.ones((1, 2)))


@pytest.mark.parametrize("release", [np.zeros(2), np.array([-1.0, 0, 0])])
def test_wrong_starts_are_refused(release):
    with pytest.raises(InputError):
        simulate([Station("a", 1, (phase(2),))], [], work_s=np.ones((3, 1)), release_s=release)


def test_a_limit_below_one_bird_is_refused():
    with pytest.raises(InputError):
        FlowLimits(wip_limit=0)


def test_an_allowance_is_the_same_as_working_so_much_slower():
    line = handbook_stations("chicken", cones=4)
    work = planned_work(line, 12)
    slow, rested = (
        simulate(line, [Person("a", ALL, 0.0, 1e6, **how)], work_s=work)
        for how in ({"pace": 0.8}, {"allowance_frac": 0.25})
    )
    assert rested.end_s == pytest.approx(slow.end_s)
    np.testing.assert_allclose(rested.phase_finish_s, slow.phase_finish_s)
