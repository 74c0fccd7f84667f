import dataclasses

import numpy as np
import pytest

from pinfeather.day.cold import bird_chill_times
from pinfeather.day.flow import flow
from pinfeather.day.luck import drawn_work, gains, luck
from pinfeather.line.simulate import FlowLimits
from pinfeather.rules.profile import load

FEDERAL = load("us-federal")
LIMITS = FlowLimits(wip_limit=6)


@pytest.fixture(scope="module")
def day(request_with):
    """A short day: ten birds of one lot."""

    def change(written):
        written["lots"] = [{"code": "A7", "count": 10, "mean": "4.5 lb", "spread": "0.4 lb"}]

    request = request_with(change)
    chills = [bird_chill_times(lot, stirred=True, profile=FEDERAL) for lot in request.lots]
    return flow(request, chills)


def test_the_same_seed_draws_the_same_days_and_another_draws_others(day):
    one = drawn_work(day, days=3, seed=5)
    assert one.shape == (3, *day.work_s.shape)
    assert np.array_equal(one, drawn_work(day, days=3, seed=5))
    assert not np.array_equal(one, drawn_work(day, days=3, seed=6))


def test_more_days_only_add_to_the_first_ones(day):
    assert np.array_equal(drawn_work(day, days=2, seed=5), drawn_work(day, days=4, seed=5)[:2])


def test_the_middle_of_many_days_is_near_the_planned_work(day):
    many = drawn_work(day, days=200, seed=5, sure=True)
    assert np.mean(many, axis=0).sum() == pytest.approx(day.work_s.sum(), rel=0.02)


def test_certain_times_vary_less_than_uncertain_ones(day):
    sure = drawn_work(day, days=40, seed=5, sure=True).sum(axis=(1, 2))
    unsure = drawn_work(day, days=40, seed=5).sum(axis=(1, 2))
    assert sure.std() < unsure.std()


def test_each_bird_is_drawn_about_its_own_time_in_the_tank(day):
    ratio = drawn_work(day, days=1, seed=5)[0] / np.where(day.work_s > 0, day.work_s, 1)
    stay = np.argmax(day.work_s[0])
    assert np.ptp(ratio[:, stay]) < 1e-9


def test_the_finish_is_a_band_in_order_and_the_line_is_done_before_it(day):
    found = luck(day, limits=LIMITS, seed=1, days=8)
    assert found.finish.n == 8
    assert found.finish.p10_s <= found.finish.p50_s <= found.finish.p90_s
    assert found.line.p50_s < found.finish.p50_s
    assert found.finish.half_width_s > 0
    assert found.unfinished_frac == 0.0


def test_a_crew_that_goes_home_early_leaves_birds_over_on_every_day(day):
    gone = tuple(dataclasses.replace(person, to_s=1800.0) for person in day.people)
    found = luck(dataclasses.replace(day, people=gone), limits=LIMITS, seed=1, days=4)
    assert found.unfinished_frac == 1.0


def test_very_many_birds_are_played_through_on_fewer_days_but_never_less_than_four(day):
    many = dataclasses.replace(day, birds=day.birds * 100, work_s=np.tile(day.work_s, (100, 1)))
    quick = dataclasses.replace(
        many, people=tuple(dataclasses.replace(p, to_s=60.0) for p in day.people)
    )
    assert luck(quick, limits=LIMITS, seed=1, days=100).unfinished_frac == 1.0
    assert luck(quick, limits=LIMITS, seed=1, days=100).finish.n <= 6


def test_no_changes_are_tried_on_no_days(day):
    assert gains(day, limits=LIMITS, seed=1, days=0) == ()


@pytest.mark.parametrize("limits", [LIMITS, FlowLimits()], ids=["held back", "free"])
def test_changes_come_with_the_best_first(day, limits):
    found = gains(day, limits=limits, seed=1, days=2)
    saved = [one.minutes_saved_s.value for one in found]
    assert saved == sorted(saved, reverse=True)
    assert ("person", "draw") in {(one.change_code, one.station) for one in found}
    assert found == gains(day, limits=limits, seed=1, days=2)
