"""The day's pictures: the strip and the cold curves, from plan and journal."""

from __future__ import annotations

import datetime as dt

import pytest

from pinfeather.actions.day import closing, days, pictures, running, shopfloor
from pinfeather.reports.cold_curve import cold_curve_svg
from pinfeather.reports.strip import strip_csv, strip_table
from pinfeather.reports.strip_svg import strip_svg


def test_the_strip_of_a_plan_has_a_thread_for_each_bird(planned_day) -> None:
    day = days.day(planned_day)

    strip = pictures.day_strip(day)

    assert len(strip.planned) == 6
    assert strip.actual == ()
    assert strip.now is None
    assert strip.start == day.start
    assert strip.chill_station is not None
    assert strip.stations[strip.chill_station] == "Chill"
    assert strip.deadline is not None
    assert f"{strip.deadline:%H:%M}" == "18:30"
    assert strip.deadline_words == "evening milking"
    assert strip.until >= strip.start


def test_the_strip_of_a_running_day_has_a_thread_for_each_bird_counted(running_day, now) -> None:
    floor = shopfloor.floor(running_day, now=now)

    strip = pictures.day_strip(floor.day, floor.done, now=now)

    assert len(strip.actual) == 6
    reached = [max(point.station for point in thread.points) for thread in strip.actual]
    assert sorted(reached, reverse=True) == reached
    assert strip.now == now
    assert not any(thread.late for thread in strip.actual)


def test_birds_unaccounted_for_are_drawn_as_late(running_day, now) -> None:
    floor = shopfloor.floor(running_day, now=now + dt.timedelta(hours=1))

    strip = pictures.day_strip(floor.day, floor.done, now=now, gaps=floor.gaps)

    assert [thread.late for thread in strip.actual] == [False] * 3 + [True] * 3


def test_the_strip_can_be_drawn_and_read_as_a_table(running_day, now) -> None:
    floor = shopfloor.floor(running_day, now=now)
    strip = pictures.day_strip(floor.day, floor.done, now=now)

    assert strip_svg(strip, width=1080, ident="wide", clock="24h").startswith("<svg")
    assert len(list(strip_table(strip))) > 6
    assert strip_csv(strip).count("\r\n") > 6


@pytest.mark.parametrize("days_off", [-20000, -1, 1, 20000])
def test_a_clock_that_ran_wild_is_drawn_within_a_day_or_so(
    running_day, sent, now, days_off
) -> None:
    wild = sent("tally", {"station": "kill"}, client_id="w1", at=now + dt.timedelta(days=days_off))
    running.receive(running_day, [wild], device="p", sent_at=now, now=now)
    floor = shopfloor.floor(running_day, now=now)

    strip = pictures.day_strip(floor.day, floor.done, now=now, gaps=floor.gaps)

    assert len(strip_svg(strip, width=1080, ident="wide", clock="24h")) < 1_000_000


def test_a_cold_curve_shows_limit_readings_and_clock(running_day, sent, now) -> None:
    probe = {
        "what": "bird", "place": "North tank", "written": "61 F", "instrument": "Blue probe"
    }  # fmt: skip
    entry = sent("reading", probe, client_id="p1", at=now)
    running.receive(running_day, [entry], device="p", sent_at=now, now=now)
    judgement = closing.judge(running_day, now=now)

    (curve,) = pictures.cold_curves(judgement.floor, judgement.chill, now=now)

    assert curve.batch == "North tank"
    assert (curve.limit, curve.limit_unit) == (40.0, "F")
    assert [r.temp_degC for r in curve.readings] == [pytest.approx((61 - 32) / 1.8)]
    temperatures = [point.middle_degC for point in curve.expected]
    assert temperatures == sorted(temperatures, reverse=True)
    assert all(p.low_degC <= p.middle_degC <= p.high_degC for p in curve.expected)
    assert "<svg" in cold_curve_svg(curve, unit="F", clock="24h", width=900, ident="c")


def test_a_day_without_a_bird_in_a_tank_has_no_curve(planned_day, now) -> None:
    judgement = closing.judge(planned_day, now=now)

    assert pictures.cold_curves(judgement.floor, judgement.chill, now=now) == ()
