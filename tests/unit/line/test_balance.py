import itertools

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pinfeather.errors import InputError
from pinfeather.line import balance
from pinfeather.line.balance import (
    fewest_posts,
    is_sharing,
    order_strength,
    ranked_positional_weight,
    shortest_cycle,
    stretches,
)


@st.composite
def problems(draw):
    count = draw(st.integers(1, 6))
    times = draw(st.lists(st.integers(1, 12), min_size=count, max_size=count))
    every = list(itertools.combinations(range(count), 2))
    pairs = draw(st.lists(st.sampled_from(every), max_size=6, unique=True)) if every else []
    return times, pairs


def all_ways(times, pairs, posts):
    """Every way to put tasks at posts in order, with its longest load."""
    for where in itertools.product(range(posts), repeat=len(times)):
        if all(where[a] <= where[b] for a, b in pairs):
            loads = [0] * posts
            for task, post in enumerate(where):
                loads[post] += times[task]
            yield max(loads)


@settings(max_examples=150, deadline=None)
@given(problems(), st.integers(1, 4))
def test_the_shortest_cycle_is_that_of_trying_all_ways(problem, posts):
    times, pairs = problem
    found = shortest_cycle(times, pairs, posts=posts)
    assert found.cycle_s == min(all_ways(times, pairs, posts))
    assert len(found.posts) <= posts
    assert is_sharing(found, times, pairs, cycle_s=found.cycle_s)


@settings(max_examples=150, deadline=None)
@given(problems(), st.integers(1, 30))
def test_the_fewest_posts_are_those_of_trying_all_ways(problem, cycle):
    times, pairs = problem
    found = fewest_posts(times, pairs, cycle_s=cycle)
    if max(times) > cycle:
        assert found is None
        return
    fewest = next(n for n in range(1, 9) if min(all_ways(times, pairs, n)) <= cycle)
    assert len(found.posts) == fewest
    assert is_sharing(found, times, pairs, cycle_s=cycle)
    quick = ranked_positional_weight(times, pairs, cycle_s=cycle)
    assert is_sharing(quick, times, pairs, cycle_s=cycle)
    assert len(quick.posts) >= fewest


@settings(max_examples=100, deadline=None)
@given(st.lists(st.floats(0.5, 20), min_size=1, max_size=7), st.integers(1, 4))
def test_stretches_are_those_of_trying_all_cuts(times, posts):
    def longest(cuts):
        edges = [0, *cuts, len(times)]
        return max(sum(times[a:b]) for a, b in itertools.pairwise(edges))

    cuts = itertools.combinations_with_replacement(range(len(times) + 1), posts - 1)
    assert stretches(times, posts=posts).cycle_s == pytest.approx(min(map(longest, cuts)))


def test_a_task_longer_than_the_cycle_has_no_sharing_out():
    assert fewest_posts([5, 7], cycle_s=6) is None
    assert ranked_positional_weight([5, 7], cycle_s=6) is None


def test_a_full_order_is_one_and_a_free_one_zero():
    assert order_strength(4, [(0, 1), (1, 2), (2, 3)]) == 1
    assert order_strength(4, []) == 0


@pytest.mark.parametrize("pairs", [[(0, 1), (1, 0)], [(0, 2)], [(1, 1)]])
def test_impossible_orders_are_refused(pairs):
    with pytest.raises(InputError):
        order_strength(2, pairs)
    with pytest.raises(InputError):
        shortest_cycle([1, 2], pairs, posts=2)


def test_no_posts_are_refused():
    with pytest.raises(InputError):
        shortest_cycle([1, 2], posts=0)


def test_too_many_free_tasks_are_refused_rather_than_searched_for_ever(monkeypatch):
    monkeypatch.setattr(balance, "MOST_SETS", 3000)
    with pytest.raises(InputError, match="Too many"):
        fewest_posts([3.0 + n / 100 for n in range(26)], cycle_s=10)
