import itertools
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pinfeather.errors import InputError
from pinfeather.line.crew import Person, covered, on_duty, starting_sides, uncovered, union
from pinfeather.line.stations import STATION_CODES, handbook_stations

ALL = frozenset(STATION_CODES)
LINE = handbook_stations("chicken", cones=4)


def test_breaks_are_taken_out_of_the_window():
    who = Person("Wren", ALL, 0, 100, breaks=((20, 30), (25, 40), (90, 120)))
    assert on_duty(who) == ((0, 20), (40, 90))


def test_a_break_over_the_start_moves_it():
    assert on_duty(Person("Wren", ALL, 10, 100, breaks=((0, 30),))) == ((30, 100),)


@given(
    st.lists(
        st.tuples(st.integers(0, 50), st.integers(1, 20)).map(lambda p: (p[0], p[0] + p[1])),
        max_size=6,
    )
)
def test_a_union_covers_just_the_same_moments_and_has_gaps_between(spans):
    joined = union(spans)
    for at in [x + 0.5 for x in range(75)]:
        assert any(a <= at < b for a, b in spans) == any(a <= at < b for a, b in joined)
    assert all(b < c for (_, b), (c, _) in itertools.pairwise(joined))


def test_nobody_is_there_before_between_and_after():
    people = [
        Person("Wren", frozenset({"draw"}), 10, 50, breaks=((20, 30),)),
        Person("Ash", frozenset({"kill"}), 0, 90),
    ]
    assert covered(people, "draw") == ((10, 20), (30, 50))
    assert uncovered(people, "draw") == ((0.0, 10), (20, 30), (50, math.inf))
    assert uncovered(people, "bag") == ((0.0, math.inf),)


def test_one_person_alone_starts_on_no_side():
    assert starting_sides([Person("Wren", ALL, 0, 9)], LINE) == (None,)


def test_two_who_can_do_all_man_both_sides():
    people = [Person(name, ALL, 0, 9) for name in ("Wren", "Ash")]
    assert sorted(starting_sides(people, LINE)) == [False, True]


def test_skill_decides_before_balance():
    people = [
        Person("Wren", frozenset({"draw", "rinse"}), 0, 9),
        Person("Ash", ALL, 0, 9),
        Person("Jay", frozenset({"bag"}), 0, 9),
    ]
    assert starting_sides(people, LINE) == (False, True, False)


def test_more_people_go_to_the_heavier_side():
    people = [Person(str(i), ALL, 0, 9) for i in range(6)]
    assert sum(starting_sides(people, LINE)) == 2


@pytest.mark.parametrize(
    "wrong", [{"pace": 0}, {"pace": math.inf}, {"to_s": 0}, {"breaks": ((5, 5),)}]
)
def test_impossible_people_are_refused(wrong):
    with pytest.raises(InputError):
        Person(**({"name": "Wren", "stations": ALL, "from_s": 0, "to_s": 9} | wrong))


def test_an_allowance_slows_like_a_pace_and_the_rest_is_in_it():
    rested = Person("Wren", frozenset({"draw"}), 0.0, 9.0, pace=0.9, allowance_frac=0.125)
    assert rested.speed == pytest.approx(0.8)
    assert Person("Ana", frozenset({"draw"}), 0.0, 9.0, pace=0.9).speed == 0.9


@pytest.mark.parametrize("frac", [-0.01, 1.0, math.nan])
def test_an_allowance_that_leaves_no_work_is_refused(frac):
    with pytest.raises(InputError, match="allowance"):
        Person("Wren", frozenset({"draw"}), 0.0, 9.0, allowance_frac=frac)
