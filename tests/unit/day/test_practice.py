"""Beginners: what their first birds say, and what the next plan takes of it."""

from __future__ import annotations

import datetime as dt
import math
from dataclasses import replace
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from pinfeather.day.events import Event
from pinfeather.day.line_learning import learn_line
from pinfeather.day.planner import plan_day
from pinfeather.day.practice import (
    FEW_DAYS,
    MOST_QUICKER,
    learn_practice,
    practised,
    speeds,
)
from pinfeather.day.progress import progress
from pinfeather.day.request import request_from
from pinfeather.day.tapped import TappedDay
from pinfeather.estimate import Basis, Estimate, Origin

ZONE = ZoneInfo("America/Chicago")


@pytest.fixture(scope="module")
def asked(request_with):
    """One person on the dirty side, one who draws and packs."""

    def change(written):
        written["lots"] = [{"code": "K7", "species": "chicken", "count": "30", "mean": "4.5 lb"}]
        hours = {"from": "08:30", "to": "19:00"}
        clean = ["draw", "rinse", "bag", "weigh", "store"]
        written["people"] = [
            {"name": "Odile", "stations": ["catch", "kill", "scald", "pick"], **hours},
            {"name": "Bram", "stations": clean, **hours},
        ]
        written.pop("deadline", None)

    return request_with(change)


@pytest.fixture(scope="module")
def plan(asked):
    return plan_day(asked, days=2, change_days=0)


@pytest.fixture
def day(asked, plan):
    """A day on which somebody drew birds, each a little quicker than the one before."""

    def made(first: int, *, rate: float, birds: int = 30, who: str = "Bram", seed: int = 1):
        rng = np.random.default_rng(seed)
        units = np.arange(first, first + birds)
        times = 400 * units ** math.log2(rate) * rng.lognormal(0, 0.1, birds)
        ends = np.cumsum(times)
        moments = [(0.0, "pick")] * birds + [(float(at_s), "draw") for at_s in ends]
        start = dt.datetime.combine(asked.date, asked.start, tzinfo=ZONE)
        events = [
            Event(
                n,
                f"t{n}",
                "tally",
                {"station": station, "birds": 1, "place": ""},
                who if station == "draw" else "Odile",
                start + dt.timedelta(seconds=at_s),
            )
            for n, (at_s, station) in enumerate(moments)
        ]
        return TappedDay(plan, asked, progress(events), start)

    return made


def test_a_beginners_rate_is_found_with_prior_data_and_both(day) -> None:
    (bram,) = learn_practice([day(1, rate=0.8), day(31, rate=0.8, seed=2)], species="chicken")
    assert (bram.name, bram.days, bram.birds) == ("Bram", 2, 60)
    assert bram.rate.prior.basis.status == "assumed"
    assert bram.rate.data is not None
    assert bram.rate.data.value == pytest.approx(0.8, abs=0.04)
    assert bram.rate.data.value <= bram.rate.posterior.value <= bram.rate.prior.value
    assert bram.clear


def test_the_next_day_is_as_much_quicker_as_the_curve_says(day) -> None:
    (bram,) = learn_practice([day(1, rate=0.85)], species="chicken")
    quicker = bram.quicker(30)
    assert quicker is not None
    rate = bram.rate.posterior.value
    so_far = np.log2(np.arange(1, 31)).mean()
    then = np.log2(np.arange(31, 61)).mean()
    assert quicker.value == pytest.approx(min(rate ** -(then - so_far), MOST_QUICKER))
    assert 1.1 < quicker.value <= MOST_QUICKER
    assert quicker.low <= quicker.value <= quicker.high
    assert "30 birds drawn on one day" in quicker.basis.note


def test_it_is_bounded(day) -> None:
    (bram,) = learn_practice([day(1, rate=0.6)], species="chicken")
    quicker = bram.quicker(300)
    assert quicker is not None
    assert quicker.value == MOST_QUICKER


def test_somebody_who_gets_slower_is_left_as_they_are(day, asked) -> None:
    practice = learn_practice([day(1, rate=1.05)], species="chicken")
    assert not practice[0].clear
    assert practice[0].quicker(30) is None
    assert speeds(practice, asked) == {}


@pytest.mark.parametrize("birds", [11, 30])
def test_of_steady_people_hardly_any_is_taken_for_a_learner(day, birds) -> None:
    found = [
        learn_practice([day(1, rate=1.0, birds=birds, seed=seed)], species="chicken")[0]
        for seed in range(60)
    ]
    taken = [one for one in found if one.quicker(birds) is not None]
    assert len(taken) <= 8  # two or three expected of sixty, were the band's width exact


def test_the_assumed_rate_alone_changes_nothing(day) -> None:
    # the prior keeps clear of 1, but eleven birds with no trend do not
    (bram,) = learn_practice([day(1, rate=1.0, birds=11, seed=4)], species="chicken")
    assert bram.rate.prior.high < 1
    assert bram.quicker(30) is None


def test_after_the_first_days_it_is_off(day) -> None:
    days = [day(1 + 30 * n, rate=0.8, seed=n) for n in range(FEW_DAYS + 1)]
    assert learn_practice(days[:FEW_DAYS], species="chicken")[0].quicker(30) is not None
    (old,) = learn_practice(days, species="chicken")
    assert old.clear
    assert old.quicker(30) is None


def test_days_where_one_may_have_counted_for_all_do_not_count(day) -> None:
    assert learn_practice([day(1, rate=0.8, who="Odile")], species="chicken") == ()
    assert learn_practice([day(1, rate=0.8)], species="turkey") == ()
    assert learn_practice([], species="chicken") == ()


def test_a_handful_of_birds_say_nothing(day) -> None:
    assert learn_practice([day(1, rate=0.8, birds=9)], species="chicken") == ()


def test_only_the_drawing_gets_quicker(day, asked) -> None:
    practice = learn_practice([day(1, rate=0.8)], species="chicken")
    quicker = practice[0].quicker(30)
    assert quicker is not None
    found = speeds(practice, asked)
    assert set(found) == {"Bram"}
    assert 1.0 < found["Bram"].value < quicker.value
    only = replace(asked.people[1], stations=frozenset({"draw"}))
    alone = speeds(practice, replace(asked, people=(asked.people[0], only)))
    assert alone["Bram"].value == pytest.approx(quicker.value)


def test_the_next_plan_is_quicker_says_so_and_keeps_the_request(day, asked, plan) -> None:
    found = speeds(learn_practice([day(1, rate=0.8)], species="chicken"), asked)
    after = plan_day(asked, days=2, change_days=0, quicker=found)
    assert after.line_end_s < 0.97 * plan.line_end_s
    (bram,) = after.practised
    assert (bram.name, bram.speed) == ("Bram", found["Bram"])
    assert any(number.name == "Bram: quicker than so far by" for number in after.numbers)
    assert practised(asked, {}) is asked
    assert practised(asked, found).people[1].pace == pytest.approx(found["Bram"].value)


def test_what_was_taken_for_practice_is_not_learned_a_second_time(day, asked, plan) -> None:
    """Days planned with a quicker beginner give the time at the pace that was asked for."""
    half = Estimate(1.25, 1.2, 1.25, Basis(Origin.OWN, "test"))
    quick = plan_day(asked, days=2, change_days=0, quicker={"Bram": half})
    tapped = day(200, rate=1.0)
    before, after = (
        next(
            one.learned.data
            for one in learn_line([replace(tapped, plan=made)], species="chicken").phases
            if one.station == "draw"
        )
        for made in (plan, quick)
    )
    assert before is not None
    assert after is not None
    assert after.value == pytest.approx(before.value, rel=0.1)


def test_an_old_plan_without_practice_is_read(plan) -> None:
    from cattrs.preconf.json import make_converter

    from pinfeather.day.plan import DayPlan

    convert = make_converter()
    written = convert.unstructure(plan)
    written.pop("practised")
    assert convert.structure(written, DayPlan) == plan


def test_an_old_request_without_an_allowance_is_read(mapping) -> None:
    assert all(one.allowance_frac == 0 for one in request_from(mapping).people)
