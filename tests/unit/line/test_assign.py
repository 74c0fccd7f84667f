import itertools
import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pinfeather.errors import InputError
from pinfeather.line.assign import compare, fixed_posts, hand_times, moving_bound
from pinfeather.line.crew import Person
from pinfeather.line.simulate import FlowLimits, planned_work, simulate
from pinfeather.line.stations import DIRTY_SIDE, STATION_CODES, handbook_stations

ALL = frozenset(STATION_CODES)
LINE = handbook_stations("chicken", cones=6, draw_places=4)


@st.composite
def crews(draw):
    people, count = draw(st.integers(1, 4)), draw(st.integers(1, 6))
    rng = np.random.default_rng(draw(st.integers(0, 10_000)))
    times = rng.integers(1, 20, (people, count)).astype(float)
    times[rng.random((people, count)) < draw(st.sampled_from([0.0, 0.3]))] = math.inf
    dirty = [k < count // 2 for k in range(count)]
    return times, draw(st.sampled_from([None, dirty]))


def brute_force(times, dirty):
    """Bottleneck first, then sum, over every way to give stations to people."""
    people, count = times.shape
    best = None
    for who in itertools.product(range(people), repeat=count):
        load = [0.0] * people
        sides = [set() for _ in range(people)]
        for k, i in enumerate(who):
            load[i] += times[i, k]
            sides[i].add(dirty[k] if dirty else None)
        if max(load) < math.inf and all(len(side) <= 1 for side in sides):
            value = (max(load), sum(load))
            best = value if best is None else min(best, value)
    return best


@settings(max_examples=150, deadline=None)
@given(crews())
def test_fixed_posts_are_those_of_trying_all_ways(case):
    times, dirty = case
    found = fixed_posts(times, dirty=dirty)
    best = brute_force(times, dirty)
    assert (found is None) == (best is None)
    if found:
        assert (found.cycle_s, found.total_s) == pytest.approx(best)
        served = sorted(k for mine in found.stations for k in mine)
        assert served == list(range(times.shape[1]))


@settings(max_examples=60, deadline=None)
@given(crews())
def test_moving_about_is_never_slower_than_fixed_posts(case):
    times, dirty = case
    found = fixed_posts(times, dirty=dirty)
    bound = moving_bound(times, dirty=dirty)
    free = moving_bound(times)
    assert bound.birds_per_h <= free.birds_per_h + 1e-6
    if found:
        assert bound.birds_per_h >= 3600 / found.cycle_s - 1e-6
    assert np.all(bound.share.sum(axis=1) <= 1 + 1e-6)


@settings(max_examples=30, deadline=None)
@given(crews())
def test_sides_are_those_of_trying_all_sides(case):
    times, dirty = case
    if dirty is None:
        return
    best = 0.0
    for sides in itertools.product([True, False], repeat=len(times)):
        walled = times.copy()
        for i, side in enumerate(sides):
            walled[i, [k for k in range(len(dirty)) if dirty[k] != side]] = math.inf
        best = max(best, moving_bound(walled).birds_per_h)
    assert moving_bound(times, dirty=dirty).birds_per_h == pytest.approx(best, abs=1e-6)


@pytest.mark.parametrize("count", [2, 3, 4])
def test_the_simulation_stays_under_the_limit_of_moving_people(count):
    people = [Person(f"p{i}", ALL, 0.0, 1e6) for i in range(count)]
    found = compare(LINE, people)
    birds = 80
    limits = FlowLimits(wip_limit=10, cross="freely")
    day = simulate(LINE, people, work_s=planned_work(LINE, birds), limits=limits)
    assert birds / (day.line_end_s / 3600) <= found.free_bph
    assert found.fixed_bph <= found.walled_bph + 1e-9
    assert found.walled_bph <= found.free_bph + 1e-9
    assert found.gain_frac == pytest.approx(found.walled_bph / found.fixed_bph - 1)


def test_a_side_without_hands_has_no_fixed_posts_and_no_pace():
    people = [Person("Wren", DIRTY_SIDE, 0.0, 1e6)]
    found = compare(LINE, people)
    assert (found.fixed_bph, found.walled_bph, found.gain_frac) == (0, 0, 0)


def test_times_follow_pace_and_skill():
    people = [Person("Wren", frozenset({"draw"}), 0.0, 1e6, pace=0.5)]
    times_s, codes = hand_times(LINE, people)
    assert times_s[0, codes.index("draw")] == 480
    assert math.isinf(times_s[0, codes.index("kill")])
    assert not {"bag", "chill"} & set(codes)


@pytest.mark.parametrize("wrong", [np.zeros((2, 2)), np.ones(3), np.ones((0, 2))])
def test_wrong_times_are_refused(wrong):
    with pytest.raises(InputError):
        fixed_posts(wrong)


def test_too_many_stations_are_refused():
    with pytest.raises(InputError, match="Too many"):
        fixed_posts(np.ones((2, 11)))
