"""Setting up and cleaning up, shared among the people there."""

import math

import pytest

from pinfeather.errors import InputError
from pinfeather.estimate import Basis, Estimate, Origin
from pinfeather.line.ready import clean_up_time_s, set_up_time_s
from pinfeather.line.stations import NO_TIME, Phase, Station, handbook_stations


def typed(value_s):
    return Estimate(value_s, value_s, value_s, Basis(Origin.TYPED, "test"))


def station(code, set_up_s=0.0, clean_up_s=0.0):
    work = (Phase("work", typed(60.0), attended=True),)
    return Station(code, 1, work, set_up_s=typed(set_up_s), clean_up_s=typed(clean_up_s))


def test_two_people_set_up_and_clean_the_handbooks_line_in_an_hour_each():
    line = handbook_stations("chicken", cones=4)
    assert set_up_time_s(line, people=2).value == 3600.0
    assert clean_up_time_s(line, people=2).value == 3600.0
    assert set_up_time_s(line, people=1).value == 7200.0


def test_every_time_has_a_band_and_says_how_it_is_known():
    for one in handbook_stations("turkey", cones=2):
        for time_s in (one.set_up_s, one.clean_up_s):
            if time_s is not NO_TIME:
                assert 0 < time_s.low < time_s.value < time_s.high
                assert time_s.basis.status == "assumed"


def test_more_people_are_quicker_down_to_the_longest_station():
    line = [station("kill", 600.0), station("draw", 900.0), station("pick", 300.0)]
    times = [set_up_time_s(line, people=n).value for n in (1, 2, 3, 9)]
    assert times == [1800.0, 900.0, 900.0, 900.0]
    assert clean_up_time_s(line, people=3).value == 0.0


def test_picking_by_hand_has_less_to_clean():
    drum, hand = (
        {one.code: one for one in handbook_stations("chicken", cones=4, hand_pick=by_hand)}["pick"]
        for by_hand in (False, True)
    )
    assert hand.clean_up_s.value < drum.clean_up_s.value
    assert hand.set_up_s.value < drum.set_up_s.value


def test_own_times_replace_the_handbooks():
    own = {("draw", "clean up"): typed(77.0)}
    line = {one.code: one for one in handbook_stations("chicken", cones=4, times=own)}
    assert line["draw"].clean_up_s.value == 77.0
    assert line["draw"].set_up_s.basis.origin is Origin.HANDBOOK


def test_nobody_cannot_set_up():
    with pytest.raises(InputError, match="Somebody"):
        set_up_time_s([station("draw", 60.0)], people=0)


def test_a_time_below_nothing_is_refused():
    with pytest.raises(InputError, match="negative"):
        station("draw", set_up_s=-1.0)


def test_a_station_without_times_takes_none():
    bare = Station("draw", 1, (Phase("work", typed(1.0), attended=True),))
    assert math.isclose(set_up_time_s([bare], people=1).value, 0.0)
