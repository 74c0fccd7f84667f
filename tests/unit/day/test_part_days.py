"""Birds among free windows: nothing over time, ice, store or light; few long or many short."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pinfeather.day.part_days import (
    REST_FRAC,
    FreeWindow,
    part_days_from,
    plan_part_days,
    window_line,
)
from pinfeather.errors import InputFaultsError

WINDOWS = "2026-09-12 08:00-15:00\n2026-09-13 13:00-20:00\n2026-09-19 07:30-17:00 pickup 25"


def written(**changed):
    return {
        "birds": "50",
        "code": "A7",
        "species": "chicken",
        "build": "broad",
        "mean": "4 lb 12 oz",
        "spread": "0.5 lb",
        "by": "2026-09-30",
        "windows": WINDOWS,
        "light_from": "07:00",
        "light_to": "19:00",
        "store_birds": "",
        "fewest": "1",
        "longest": "12 h",
        **changed,
    }


@pytest.fixture(scope="module")
def base(request_with):
    return request_with(lambda m: m["equipment"].update(freezer="200 ft3"))


@pytest.fixture(scope="module")
def answer(base):
    return plan_part_days(base, part_days_from(written()))


def test_all_birds_are_placed_on_the_fewest_days(answer) -> None:
    assert answer.chosen is not None
    assert sum(answer.chosen.birds) == 50
    assert answer.chosen.days == min(way.split.days for way in answer.ways)
    assert all(one.birds <= one.most_birds for one in answer.windows)


def test_the_light_cuts_the_evening_off(answer) -> None:
    assert answer.windows[1].window.ends == dt.time(19, 0)


def test_every_used_window_is_checked_by_playing_its_day(answer) -> None:
    used = [one for one in answer.windows if one.birds]
    assert used
    for one in used:
        assert one.needed_s == pytest.approx(
            answer.work.fixed_s + one.birds * answer.work.bird_s, rel=0.12
        )
    assert all(one.fits for one in used if one.needed_s <= one.window.time_s)


def test_more_days_are_shorter_but_cost_more_set_up(answer) -> None:
    first, *others = answer.ways
    for after in others:
        assert after.split.days > first.split.days
        assert after.longest_s <= first.longest_s
        assert after.set_up_s > first.set_up_s
        assert after.people_h > first.people_h
        assert after.most_a_day <= first.most_a_day


def test_little_ice_holds_each_day(request_with) -> None:
    poor = request_with(lambda m: m["equipment"].update(ice="120 lb", freezer="200 ft3"))
    found = plan_part_days(poor, part_days_from(written(birds="20")))
    assert "ice" in {one.held_by for one in found.windows}


def test_a_full_store_waits_for_the_pickup(base) -> None:
    found = plan_part_days(base, part_days_from(written(birds="40", store_birds="15")))
    assert found.chosen is not None
    assert sum(found.chosen.birds[:2]) <= 15
    assert found.chosen.birds[2] >= 25


def test_too_many_birds_are_told_with_what_fits(base) -> None:
    found = plan_part_days(base, part_days_from(written(birds="500")))
    assert found.chosen is None
    assert found.ways == ()
    assert 0 < found.most_birds < 500


def test_rest_is_that_of_standing_and_bending_work() -> None:
    assert pytest.approx(0.13) == REST_FRAC


def test_windows_after_the_day_are_left_out() -> None:
    asked = part_days_from(written(by="2026-09-14"))
    assert [one.date.day for one in asked.windows] == [12, 13]


@pytest.mark.parametrize(
    ("changed", "name"),
    [
        ({"windows": ""}, "windows"),
        ({"windows": "Saturday morning"}, "windows"),
        ({"windows": "2026-09-12 15:00-08:00"}, "windows"),
        ({"windows": "2026-09-12 08:00-12:00 pickup -3"}, "windows"),
        ({"windows": "2026-09-12 08:00-12:00 collect 3"}, "windows"),
        ({"windows": "2026-09-12 08:00-12:00\n2026-09-12 11:00-14:00"}, "windows"),
        ({"windows": "\n".join(["2026-09-12 08:00-12:00"] * 60)}, "windows"),
        ({"birds": "none"}, "birds"),
        ({"by": "soon"}, "by"),
        ({"by": "2026-09-01"}, "by"),
        ({"light_to": "06:00"}, "light_to"),
        ({"mean": "4.5"}, "mean"),
        ({"longest": "a day"}, "longest"),
        ({"code": ""}, "code"),
    ],
)
def test_faults_are_told_by_the_field(changed, name) -> None:
    with pytest.raises(InputFaultsError) as told:
        part_days_from(written(**changed))
    assert name in {fault.name for fault in told.value.faults}


@settings(max_examples=50, deadline=None)
@given(
    date=st.dates(dt.date(2020, 1, 1), dt.date(2040, 1, 1)),
    minutes=st.tuples(st.integers(0, 1439), st.integers(0, 1439)).filter(lambda p: p[0] != p[1]),
    freed=st.integers(0, 500),
)
def test_a_window_reads_as_it_is_written(date, minutes, freed) -> None:
    begin, end = sorted(minutes)
    window = FreeWindow(date, dt.time(*divmod(begin, 60)), dt.time(*divmod(end, 60)), freed)
    asked = part_days_from(written(windows=window_line(window), by="2041-01-01"))
    assert asked.windows == (window,)


def test_setting_up_and_cleaning_are_the_stations_own_shared_among_all(base) -> None:
    asked = part_days_from(written(birds="20"))
    three = plan_part_days(base, asked)
    assert (three.set_up_s, three.clean_up_s) == (2700.0, 2400.0)  # a third of two hours, or READY
    assert three.ways[0].set_up_s == three.ways[0].split.days * 5100.0
    two = plan_part_days(replace(base, people=base.people[:2]), asked)
    assert (two.set_up_s, two.clean_up_s) == (3600.0, 3600.0)


def test_a_rest_allowance_is_not_counted_beside_the_rest_added_to_the_line(base) -> None:
    asked = part_days_from(written(birds="20"))
    rested = replace(base, people=tuple(replace(p, allowance_frac=0.2) for p in base.people))
    assert plan_part_days(rested, asked).work == plan_part_days(base, asked).work
