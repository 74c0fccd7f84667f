from __future__ import annotations

import datetime as dt
import itertools

from hypothesis import given
from hypothesis import strategies as st

from pinfeather.reports.strip import Strip, StripPoint, StripThread
from pinfeather.reports.strip_lines import Leg, legs_of, share_lines

START = dt.datetime(2026, 9, 12, 9, 0, tzinfo=dt.UTC)


def strip(*points, chill=None):
    thread = StripThread("1", points)
    return thread, Strip(
        stations=("Pick", "Draw", "Chill"),
        planned=(),
        actual=(thread,),
        start=START,
        now=None,
        until=START + dt.timedelta(hours=1),
        chill_station=chill,
    )


def legs(*points, end_s=1000.0, route=(0, 1, 2), chill=None):
    thread, day = strip(*points, chill=chill)
    return legs_of(day, thread, end_s=end_s, route=route)


def test_a_bird_that_left_a_station_waits_at_the_next_until_now():
    picked, queued = legs(StripPoint(0, 0, 0, 50, 50))

    assert (picked.arrive_s, picked.finish_s) == (0, 50)
    assert (queued.station, queued.arrive_s, queued.start_s, queued.depart_s) == (1, 50, None, 1000)


def test_the_next_station_is_the_birds_own():
    _picked, queued = legs(StripPoint(0, 0, 0, 50, 50), route=(0, 2))

    assert queued.station == 2


def test_a_plan_puts_nobody_in_a_queue():
    assert len(legs(StripPoint(0, 0, 0, 50, 50), route=())) == 1


def test_a_bird_at_the_last_station_goes_nowhere():
    assert len(legs(StripPoint(2, 0, 0, 50, 50))) == 1


def test_a_bird_in_the_chill_is_not_in_a_queue():
    assert len(legs(StripPoint(1, 0, 0, 50, None), chill=1)) == 1


def test_a_bird_being_worked_on_is_worked_on_until_now():
    (leg,) = legs(StripPoint(1, 0, 30, None, None))

    assert (leg.start_s, leg.finish_s, leg.waits) == (30, 1000, True)


def test_waiting_for_the_first_station_of_all_is_not_drawn():
    (leg,) = legs(StripPoint(0, 0, 30, None, None))

    assert not leg.waits


def test_a_bird_that_waits_waits_until_now():
    (leg,) = legs(StripPoint(1, 40, None, None, None))

    assert leg.start_s is None
    assert (leg.arrive_s, leg.finish_s) == (40, 1000)


def test_a_count_without_a_start_waits_from_the_last_count_on():
    first, second = legs(
        StripPoint(0, None, None, 20, None), StripPoint(1, None, None, 90, None), route=()
    )

    assert first.counted
    assert second.counted
    assert (second.arrive_s, second.start_s, second.finish_s) == (20, 90, 90)


def test_a_point_about_which_nothing_is_known_is_passed_over():
    assert legs(StripPoint(0, None, None, None, None)) == []


SPANS = st.lists(
    st.tuples(st.floats(0, 100), st.floats(0, 30), st.floats(0, 30)), min_size=1, max_size=40
)


@given(SPANS)
def test_no_two_birds_share_a_line_at_a_moment_and_no_line_is_wasted(spans):
    birds = [
        Leg(0, arrive, arrive + wait, arrive + wait + work, arrive + wait + work, counted=False)
        for arrive, wait, work in spans
    ]

    waits, works = share_lines(birds, chill_station=None)[0]

    for a, b in itertools.combinations(birds, 2):
        if a.work_line == b.work_line:
            assert a.depart_s <= b.start_s or b.depart_s <= a.start_s
        if a.waits and b.waits and a.wait_line == b.wait_line:
            assert a.start_s <= b.arrive_s or b.start_s <= a.arrive_s
    assert waits <= sum(leg.waits for leg in birds)
    at_once = max(sum(b.start_s <= a.start_s < b.depart_s or b is a for b in birds) for a in birds)
    assert works <= at_once


def test_nobody_waits_at_the_chill():
    bird = Leg(0, 0, 10, 100, 100, counted=False)

    assert share_lines([bird], chill_station=0) == {0: (0, 1)}
