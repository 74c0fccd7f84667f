import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pinfeather.errors import InputError
from pinfeather.estimate import Basis, Estimate, Origin
from pinfeather.line.recursion import Post, pass_through
from pinfeather.line.simulate import simulate
from pinfeather.line.stations import Phase, Station

UNIT = Phase("work", Estimate(1.0, 1.0, 1.0, Basis(Origin.TYPED, "test")), attended=False)


@st.composite
def lines(draw):
    count = draw(st.integers(1, 6))
    posts = []
    for _ in range(count):
        if draw(st.integers(0, 4)) == 0:
            posts.append(Post(batch=draw(st.integers(2, 4))))
        else:
            servers = draw(st.sampled_from([1, 1, 2, 3, 50]))
            posts.append(Post(servers, draw(st.sampled_from([None, 0, 1, 3]))))
    posts[0] = Post(posts[0].servers, None, posts[0].batch)
    rng = np.random.default_rng(draw(st.integers(0, 10_000)))
    birds = draw(st.integers(1, 20))
    return posts, rng.gamma(2.0, 1.0, (birds, count)), rng


def events(posts, times, release=None):
    stations = [
        Station(f"s{k}", p.servers, (UNIT,), p.batch, p.buffer, wait_for_more_s=math.inf)
        for k, p in enumerate(posts)
    ]
    return simulate(stations, [], work_s=times, release_s=release)


@settings(max_examples=200, deadline=None)
@given(lines())
def test_the_recursion_is_the_event_simulation_bird_by_bird(case):
    posts, times, rng = case
    release = np.sort(rng.uniform(0, 10, len(times)))
    passage = pass_through(posts, times, release_s=release)
    day = events(posts, times, release)
    np.testing.assert_allclose(passage.start_s[:, :, 0], day.start_s, atol=1e-9)
    np.testing.assert_allclose(passage.finish_s[:, :, 0], day.finish_s, atol=1e-9)
    np.testing.assert_allclose(passage.depart_s[:, :, 0], day.depart_s, atol=1e-9)


@settings(max_examples=60, deadline=None)
@given(lines())
def test_many_days_at_once_are_the_same_as_one_by_one(case):
    posts, times, rng = case
    days = rng.gamma(2.0, 1.0, (*times.shape, 5))
    together = pass_through(posts, days).depart_s
    for day in range(5):
        alone = pass_through(posts, days[:, :, day]).depart_s[:, :, 0]
        np.testing.assert_allclose(together[:, :, day], alone, atol=1e-9)


@settings(max_examples=100, deadline=None)
@given(lines(), st.integers(0, 5))
def test_one_more_waiting_place_never_makes_a_bird_later_with_single_places(case, which):
    posts, times, _ = case
    posts = [Post(1, p.buffer) for p in posts]
    k = which % len(posts)
    if posts[k].buffer is None:
        return
    wider = [*posts[:k], Post(1, posts[k].buffer + 1), *posts[k + 1 :]]
    before, after = (pass_through(p, times).depart_s[:, -1] for p in (posts, wider))
    assert np.all(after <= before + 1e-9)


@settings(max_examples=100, deadline=None)
@given(lines(), st.integers(0, 19), st.floats(0, 5))
def test_killing_one_bird_later_never_delays_an_earlier_one(case, which, later_s):
    posts, times, _ = case
    posts = [Post(1, p.buffer) for p in posts]
    n = which % len(times)
    release = np.zeros(len(times))
    before = pass_through(posts, times, release_s=release).depart_s[:n]
    release[n:] = later_s
    after = pass_through(posts, times, release_s=release).depart_s[:n]
    np.testing.assert_array_equal(before, after)


@given(st.lists(st.floats(0.1, 9), min_size=1, max_size=5), st.integers(1, 12))
def test_fixed_times_and_ample_room_give_the_sum_and_the_slowest(times, birds):
    passage = pass_through([Post() for _ in times], np.tile(times, (birds, 1)))
    assert passage.end_s[0] == pytest.approx(sum(times) + (birds - 1) * max(times))


@pytest.mark.parametrize(
    "wrong", [np.zeros((2, 3)), np.zeros((0, 2)), -np.ones((2, 2)), np.full((2, 2), np.nan)]
)
def test_wrong_times_are_refused(wrong):
    with pytest.raises(InputError):
        pass_through([Post(), Post()], wrong)


@pytest.mark.parametrize(
    "wrong", [{"servers": 0}, {"buffer": -1}, {"batch": 0}, {"batch": 2, "buffer": 1}]
)
def test_impossible_posts_are_refused(wrong):
    with pytest.raises(InputError):
        Post(**wrong)
