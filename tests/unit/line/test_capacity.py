import math

import pytest

from pinfeather.errors import InputError
from pinfeather.line.capacity import (
    batch_bph,
    birds_per_person_hour,
    birds_under_way,
    cones_needed,
    line_capacities,
    station_bph,
)
from pinfeather.line.crew import Person
from pinfeather.line.simulate import planned_work, simulate
from pinfeather.line.stations import STATION_CODES, handbook_stations

LINE = handbook_stations("chicken", cones=4)


def test_the_slowest_comes_first_and_no_day_is_faster():
    people = [Person(f"p{i}", frozenset(STATION_CODES), 0.0, 1e6) for i in range(3)]
    slowest = line_capacities(LINE, people)[0]
    birds = 60
    day = simulate(LINE, people, work_s=planned_work(LINE, birds))
    assert birds / (day.line_end_s / 3600) <= slowest.bph


def test_cones_are_rounded_up_but_not_by_rounding_noise():
    assert cones_needed(60, bleed_s=180, handling_s=60) == 4
    assert cones_needed(61, bleed_s=180, handling_s=60) == 5
    assert cones_needed(0, bleed_s=180, handling_s=60) == 1


def test_a_station_that_takes_no_time_limits_nothing():
    (chill,) = [station for station in LINE if station.code == "chill"]
    assert station_bph(chill) > 1e5
    assert birds_under_way(30, time_s=0) == 0
    assert math.isfinite(station_bph(LINE[1]))


@pytest.mark.parametrize(
    ("sum_of", "args", "named"),
    [
        (birds_per_person_hour, (1,), {"people": 0, "time_s": 1}),
        (birds_per_person_hour, (1,), {"people": 1, "time_s": 0}),
        (batch_bph, (0,), {"handling_s": 1, "run_s": 1}),
        (batch_bph, (1,), {"handling_s": 0, "run_s": 0}),
        (cones_needed, (-1,), {"bleed_s": 1, "handling_s": 1}),
    ],
    ids=["nobody", "no time", "no birds", "no load time", "a pace below zero"],
)
def test_impossible_sums_are_refused(sum_of, args, named):
    with pytest.raises(InputError):
        sum_of(*args, **named)
