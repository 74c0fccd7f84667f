import itertools
import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pinfeather.errors import InputError
from pinfeather.line.windows import Window, Work, room, split_birds, ways_to_split

HOUR = 3600.0
WORK = Work(fixed_s=2 * HOUR, bird_s=300.0)


@st.composite
def calendars(draw):
    windows = [
        Window(
            f"w{i}",
            draw(st.sampled_from([1.0, 2.3, 2.5, 3.0])) * HOUR,
            draw(st.sampled_from([math.inf, 5, 9])),
            draw(st.integers(0, 4)),
        )
        for i in range(draw(st.integers(1, 4)))
    ]
    store = draw(st.sampled_from([math.inf, 4, 12]))
    return draw(st.integers(1, 16)), windows, store, draw(st.integers(1, 4))


def fits(shared, windows, store, fewest):
    done = freed = 0
    for n, window in zip(shared, windows, strict=True):
        freed += window.freed_birds
        done += n
        if n and (n > room(window, WORK, fewest=fewest) or n < fewest):
            return False
        if done > store + freed:
            return False
    return True


def brute_force(birds, windows, store, fewest):
    """The fewest days, then the shortest longest one, over every way to share the birds."""
    best = None
    for shared in itertools.product(range(birds + 1), repeat=len(windows)):
        if sum(shared) == birds and fits(shared, windows, store, fewest):
            value = (sum(1 for n in shared if n), max(map(WORK.day_s, shared)))
            best = value if best is None else min(best, value)
    return best


@settings(max_examples=120, deadline=None)
@given(calendars())
def test_the_split_is_that_of_trying_all_ways(case):
    birds, windows, store, fewest = case
    found = split_birds(birds, windows, work=WORK, store_birds=store, fewest=fewest)
    best = brute_force(birds, windows, store, fewest)
    assert (found is None) == (best is None)
    if found:
        assert (found.days, found.longest_s) == pytest.approx(best)
        assert sum(found.birds) == birds
        assert fits(found.birds, windows, store, fewest)


def test_each_further_day_costs_one_more_setting_up_and_shortens_the_longest():
    windows = [Window(f"w{i}", 10 * HOUR) for i in range(4)]
    ways = ways_to_split(60, windows, work=WORK)
    assert [way.days for way in ways] == [1, 2, 3, 4]
    for few, more in itertools.pairwise(ways):
        assert more.total_s - few.total_s == pytest.approx(WORK.fixed_s)
        assert more.longest_s < few.longest_s


def test_a_longest_day_makes_more_of_them():
    windows = [Window(f"w{i}", 10 * HOUR) for i in range(4)]
    found = split_birds(60, windows, work=WORK, longest_s=4 * HOUR)
    assert found.days == 3
    assert found.longest_s <= 4 * HOUR


def test_a_window_shorter_than_the_setting_up_takes_no_bird():
    assert room(Window("short", HOUR), WORK) == 0
    assert room(Window("just", 2 * HOUR + 300), WORK) == 1
    assert room(Window("few", 2 * HOUR + 300), WORK, fewest=2) == 0


def test_birds_that_fit_nowhere_have_no_split():
    assert split_birds(5, [], work=WORK) is None
    assert split_birds(5, [Window("short", HOUR)], work=WORK) is None
    assert ways_to_split(5, [Window("short", HOUR)], work=WORK) == ()


def test_no_birds_are_refused():
    for sharing in (split_birds, ways_to_split):
        with pytest.raises(InputError):
            sharing(0, [Window("w", HOUR)], work=WORK)
