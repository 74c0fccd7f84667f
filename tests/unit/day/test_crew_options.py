"""Who should stand where: sides kept, skills kept, every way played through."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

import pytest

from pinfeather.day.crew_options import busy_codes, crew_advice
from pinfeather.line.stations import DIRTY_SIDE, PACKING

ALL = frozenset(["catch", "kill", "scald", "pick", "draw", "rinse", "bag", "weigh", "store"])


@pytest.fixture(scope="module")
def advice(day_request):
    return crew_advice(day_request, skills={"Odile": ALL, "Wendell": ALL}, effort_s=5.0)


def test_the_plan_as_it_stands_comes_first_and_the_best_is_never_slower(advice) -> None:
    assert advice.options[0].code == "now"
    ends = {one.code: one.line_end_s for one in advice.options if not one.unfinished}
    assert ends[advice.best] <= 1.02 * min(ends.values())
    assert {"fixed", "moving", "switching"} <= set(ends)


def test_nobody_has_both_sides_except_where_they_switch_with_a_wash(advice) -> None:
    for one in advice.options:
        for stations in one.stations:
            line = set(stations) - PACKING
            if one.code in ("fixed", "moving"):
                assert line <= DIRTY_SIDE or not line & DIRTY_SIDE


def test_nobody_gets_what_they_cannot_do(advice) -> None:
    for one in advice.options:
        for person, stations in zip(advice.people, one.stations, strict=True):
            assert set(stations) <= person.stations


def test_every_station_is_somebodys(advice) -> None:
    for one in advice.options:
        assert {code for stations in one.stations for code in stations} == ALL


def test_fixed_posts_give_each_station_of_the_line_to_one_person(advice) -> None:
    fixed = next(one for one in advice.options if one.code == "fixed")
    given = [code for stations in fixed.stations for code in stations if code not in PACKING]
    assert sorted(given) == sorted(ALL - PACKING)


def test_moving_people_beat_fixed_posts_here_and_stay_under_the_bound(advice, day_request) -> None:
    ends = {one.code: one.line_end_s for one in advice.options}
    assert ends["moving"] < ends["fixed"]
    assert advice.pace.fixed_bph < advice.pace.walled_bph <= advice.pace.free_bph
    assert day_request.birds / ends["moving"] * 3600 <= advice.pace.walled_bph


def test_the_gap_is_stated_and_the_parts_keep_the_sides(advice) -> None:
    assert advice.plan is not None
    assert 0.0 <= advice.plan.gap_frac < 0.05
    for at, part in enumerate(advice.plan.parts):
        for number, dirty in enumerate(part.dirty):
            codes = {code for code, _share in busy_codes(advice.plan, at, number)}
            if dirty is None:
                assert not codes
            else:
                assert all((code in DIRTY_SIDE) == dirty for code in codes)


def test_without_other_skills_people_keep_to_what_the_day_says(day_request) -> None:
    found = crew_advice(day_request, effort_s=5.0)
    for person, asked in zip(found.people, day_request.people, strict=True):
        assert person.stations == asked.stations


def test_somebody_who_comes_late_and_rests_is_not_given_work_meanwhile(day_request) -> None:
    people = (
        *day_request.people,
        replace(day_request.people[2], name="Jo", begins=dt.time(9, 30), stations=ALL,
                breaks=((dt.time(10, 0), dt.time(10, 20)),)),
    )  # fmt: skip
    found = crew_advice(replace(day_request, people=people), effort_s=5.0)
    assert found.plan is not None
    for at, part in enumerate(found.plan.parts):
        away = part.to_s <= 3600 or (part.from_s >= 5400 and part.to_s <= 6600)
        if away:
            assert busy_codes(found.plan, at, 3) == ()
