import math

import pytest

from pinfeather.errors import InputError
from pinfeather.estimate import Basis, Estimate, Origin
from pinfeather.line.stations import (
    STATION_CODES,
    Phase,
    Station,
    handbook_phase,
    handbook_stations,
    phase_slices,
)

SPECIES = ("chicken", "turkey", "duck", "goose")


def typed(value_s):
    return Estimate(value_s, value_s, value_s, Basis(Origin.TYPED, "test"))


@pytest.mark.parametrize("species", SPECIES)
@pytest.mark.parametrize("hand_pick", [True, False])
@pytest.mark.parametrize("by_hand", [True, False])
def test_the_handbook_has_every_station_in_order_for_every_kind(species, hand_pick, by_hand):
    line = handbook_stations(species, cones=4, hand_pick=hand_pick, scald_by_hand=by_hand)
    assert tuple(station.code for station in line) == STATION_CODES
    for station in line:
        for phase in station.phases:
            assert phase.time_s.value > 0
            assert phase.time_s.basis.note
            assert phase.time_s.basis.status in {
                "assumed",
                "read",
                "second hand",
                "common practice",
            }


@pytest.mark.parametrize(("species", "least_s"), [("chicken", 180), ("turkey", 240)])
def test_a_bird_bleeds_at_least_as_long_as_asked(species, least_s):
    kill = handbook_stations(species, cones=4)[1]
    assert kill.min_stay_s == least_s
    assert kill.phases[1].time_s.low >= least_s
    assert not kill.phases[1].attended


def test_a_cone_keeps_its_bird_until_the_scald_takes_it():
    scald = handbook_stations("chicken", cones=4)[2]
    assert scald.buffer == 0


def test_times_given_for_the_plan_replace_the_handbooks_and_keep_their_basis():
    own = {("draw", "draw"): typed(150.0)}
    line = handbook_stations("chicken", cones=4, drum_cycle_s=25.0, chill_s=5400.0, times=own)
    by_code = {station.code: station for station in line}
    assert by_code["draw"].time_s == 150.0
    assert by_code["pick"].phases[1].time_s.value == 25.0
    assert by_code["pick"].phases[1].time_s.basis.origin is Origin.TYPED
    assert by_code["chill"].time_s == 5400.0


def test_a_kind_of_bird_without_times_is_refused():
    with pytest.raises(InputError, match="no times"):
        handbook_phase("ostrich", "draw", "draw")


def test_hands_share_a_load_only_where_it_is_handled_together():
    load = Phase("load", typed(5.0), attended=True, together=False)
    run = Phase("run", typed(20.0), attended=False)
    hold = Phase("hold", typed(60.0), attended=True)
    assert Station("pick", 1, (load, run), batch=4).hands_s == 5.0
    assert Station("pick", 1, (load, run), batch=4).load_s == 40.0
    assert Station("scald", 1, (hold,), batch=2).hands_s == 30.0


@pytest.mark.parametrize(
    "wrong",
    [{"servers": 0}, {"batch": 0}, {"buffer": -1}, {"phases": ()}],
)
def test_impossible_stations_are_refused(wrong):
    good = {"servers": 1, "phases": (Phase("work", typed(1.0), attended=True),)}
    with pytest.raises(InputError):
        Station("draw", **(good | wrong))


@pytest.mark.parametrize("cv", [-0.1, math.inf, math.nan])
def test_impossible_spreads_are_refused(cv):
    with pytest.raises(InputError):
        Phase("work", typed(1.0), attended=True, cv=cv)


def test_phases_are_counted_through_the_line():
    line = handbook_stations("chicken", cones=4)
    slices = phase_slices(line)
    assert slices[0] == slice(0, 1)
    assert slices[1] == slice(1, 3)
    assert slices[-1].stop == sum(len(station.phases) for station in line)
