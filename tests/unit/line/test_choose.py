import pytest

from pinfeather.line.choose import WaitLimits, choose_flow, plan_day
from pinfeather.line.crew import Person
from pinfeather.line.simulate import planned_work
from pinfeather.line.stations import STATION_CODES, handbook_stations

ALL = frozenset(STATION_CODES)
LINE = handbook_stations("chicken", cones=6, draw_places=3)


def crew(count):
    return [Person(f"p{i}", ALL, 0.0, 24 * 3600.0) for i in range(count)]


@pytest.mark.parametrize("people", [1, 2, 4])
def test_the_choice_is_within_two_percent_of_the_best_that_keeps_the_waits(people):
    choice = choose_flow(LINE, crew(people), work_s=planned_work(LINE, 30))
    good = [trial for trial in choice.trials if trial.excess_frac <= 1]
    chosen = next(trial for trial in choice.trials if trial.limits == choice.limits)
    assert choice.within
    assert chosen in good
    assert chosen.line_end_s <= 1.02 * min(trial.line_end_s for trial in good)
    same = [trial for trial in good if trial.limits.cross == choice.limits.cross]
    fewer = [t for t in same if t.limits.wip_limit < choice.limits.wip_limit]
    assert all(t.line_end_s > 1.02 * min(g.line_end_s for g in good) for t in fewer)


def test_waits_nobody_can_keep_give_the_nearest_and_say_so():
    choice = choose_flow(
        LINE, crew(2), work_s=planned_work(LINE, 20), allowed=WaitLimits(drawn_s=60.0)
    )
    assert not choice.within
    least = min(trial.excess_frac for trial in choice.trials)
    chosen = next(trial for trial in choice.trials if trial.limits == choice.limits)
    assert chosen.excess_frac <= 1.02 * least


def test_a_shorter_wait_allowed_lets_in_fewer_birds():
    work = planned_work(LINE, 40)
    free = choose_flow(LINE, crew(2), work_s=work)
    tight = choose_flow(LINE, crew(2), work_s=work, allowed=WaitLimits(warm_s=600.0))
    assert tight.limits.wip_limit < free.limits.wip_limit


def test_the_plan_is_the_choice_played_through():
    choice, day = plan_day(LINE, crew(3), work_s=planned_work(LINE, 20))
    assert day.unfinished == 0
    assert choice.limits.wip_limit is not None
