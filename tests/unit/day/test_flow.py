import dataclasses
import datetime as dt

import numpy as np
import pytest

from pinfeather.day.cold import bird_chill_times
from pinfeather.day.flow import NEVER_S, crew_of, flow, line_of
from pinfeather.estimate import Basis, Estimate, Origin
from pinfeather.heat.carcass import chill_time
from pinfeather.line.stations import STATION_CODES, phase_slices
from pinfeather.rules.profile import load

FEDERAL = load("us-federal")


def chills_of(request):
    return [bird_chill_times(lot, stirred=True, profile=FEDERAL) for lot in request.lots]


def built(request, **options):
    return flow(request, chills_of(request), **options)


def column(day, code):
    return phase_slices(day.stations)[[s.code for s in day.stations].index(code)]


def test_the_line_is_every_station_in_order_and_every_bird_of_every_lot(day_request):
    day = built(day_request)
    assert tuple(station.code for station in day.stations) == STATION_CODES
    assert [bird.lot for bird in day.birds] == ["A7"] * 30 + ["H2"] * 12
    phases = sum(len(station.phases) for station in day.stations)
    assert day.work_s.shape == (42, phases)
    assert np.all(day.work_s >= 0)


def test_the_equipment_gives_places_and_loads(day_request):
    stations = {station.code: station for station in built(day_request).stations}
    assert stations["kill"].servers == 4
    assert stations["scald"].batch == 2
    assert stations["pick"].batch == 2
    assert stations["draw"].servers == 2
    run = {phase.name: phase.time_s.value for phase in stations["pick"].phases}["run"]
    assert run == 25.0


def test_a_shop_without_a_plucker_picks_by_hand(request_with):
    day = built(request_with(lambda m: m["equipment"].update(drum_birds=0)))
    pick = next(station for station in day.stations if station.code == "pick")
    assert [phase.name for phase in pick.phases] == ["by hand"]
    assert pick.batch == 1


def test_line_and_crew_can_be_had_without_the_birds(day_request):
    day = built(day_request)
    assert crew_of(day_request) == day.people
    bare = {station.code: station for station in line_of(day_request)}
    for station in day.stations:
        assert station.code == "chill" or bare[station.code] == station
    own = Estimate(150.0, 120.0, 200.0, Basis(Origin.OWN, "your last 3 days, 60 birds"))
    quick = line_of(day_request, times={("draw", "draw"): own})
    assert next(s for s in quick if s.code == "draw").phases[0].time_s == own


def test_peoples_hours_count_from_the_first_bird(request_with):
    def change(written):
        written["people"][0].update({"from": "07:00", "to": "12:00"})
        written["people"][1].update({"from": "09:00"})

    people = built(request_with(change)).people
    assert (people[0].from_s, people[0].to_s) == (0.0, 3.5 * 3600)
    assert people[1].from_s == 1800.0
    assert people[1].breaks == ((4 * 3600.0, 4.5 * 3600.0),)
    assert people[2].pace == 0.85


def test_somebody_who_leaves_before_the_first_bird_is_as_good_as_not_there(request_with):
    early = request_with(lambda m: m["people"][0].update({"from": "06:00", "to": "08:00"}))
    person = built(early).people[0]
    assert (person.from_s, person.to_s) == (0.0, 1.0)


def test_seconds_of_a_time_count(day_request):
    late = dataclasses.replace(day_request.people[0], begins=dt.time(8, 30, 30))
    request = dataclasses.replace(day_request, people=(late, *day_request.people[1:]))
    assert built(request).people[0].from_s == 30.0


def test_each_bird_stays_in_the_tank_as_long_as_its_own_weight_needs(day_request):
    day = built(day_request)
    stays = day.work_s[:, column(day, "chill")][:, 0]
    assert stays == pytest.approx([bird.chill_s for bird in day.birds])
    light, heavy = np.argmin(stays), np.argmax(stays)
    assert day.birds[light].mass_kg < day.birds[heavy].mass_kg


def test_two_kinds_of_birds_keep_their_own_times(request_with):
    day = built(request_with(lambda m: m["lots"][1].update(species="duck")))
    kill = column(day, "kill")
    assert not np.allclose(day.work_s[0, kill], day.work_s[-1, kill])
    assert day.birds[-1].species == "duck"


def test_the_line_takes_the_times_of_the_commonest_bird(request_with):
    mixed = built(request_with(lambda m: m["lots"][0].update(species="duck")))
    ducks = built(request_with(lambda m: [lot.update(species="duck") for lot in m["lots"]]))
    mine = next(s for s in mixed.stations if s.code == "draw").phases[0].time_s
    theirs = next(s for s in ducks.stations if s.code == "draw").phases[0].time_s
    assert mine == theirs


def test_the_farms_own_times_replace_the_handbooks(day_request):
    own = Estimate(150.0, 120.0, 200.0, Basis(Origin.OWN, "your last 3 days, 60 birds"))
    day = built(day_request, times={("draw", "draw"): own})
    draw = next(station for station in day.stations if station.code == "draw")
    assert draw.phases[0].time_s == own
    assert np.all(day.work_s[:, column(day, "draw")] == 150.0)


def test_the_band_of_the_chill_is_that_of_the_middle_bird(day_request):
    day = built(day_request)
    chill = next(s for s in day.stations if s.code == "chill").phases[0].time_s
    assert chill.low < chill.value < chill.high
    assert sorted(bird.chill_s for bird in day.birds)[21] == chill.value


def never(lot):
    warm = chill_time(1.8, build="broad", bath="still", bath_degC=8.0, limit_degC=4.4)
    return [warm] * lot.count


def test_birds_that_never_get_cold_stay_a_whole_day(day_request):
    day = flow(day_request, [never(lot) for lot in day_request.lots])
    assert all(bird.chill_s == NEVER_S and bird.chill_high_s is None for bird in day.birds)
    chill = next(s for s in day.stations if s.code == "chill").phases[0].time_s
    assert (chill.low, chill.value, chill.high) == (NEVER_S,) * 3


def test_a_bird_that_may_never_get_cold_has_a_wide_band(day_request):
    unsure = [
        [dataclasses.replace(one, high_s=None) for one in chills]
        for chills in chills_of(day_request)
    ]
    day = flow(day_request, unsure)
    chill = next(s for s in day.stations if s.code == "chill").phases[0].time_s
    assert chill.high == 2 * chill.value
