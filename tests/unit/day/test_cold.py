import dataclasses
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pinfeather.day import cold
from pinfeather.day.request import TankRequest
from pinfeather.estimate import Basis, Estimate, Origin
from pinfeather.finding import Severity
from pinfeather.heat.carcass import LIVE_BIRD_DEGC, chill_time
from pinfeather.heat.ice import ice_need, mix, tank_gains_W
from pinfeather.rules.profile import load
from pinfeather.units import KG_PER_LB, to_si

FEDERAL = load("us-federal")


def tank(liters, name="T", *, insulated=True):
    return TankRequest(name, liters / 1000, stirred=True, insulated=insulated)


def plan_tanks(request, stay_s=4 * 3600.0):
    """Every bird of the request into its first tank."""
    masses = [mass for lot in request.lots for mass in lot.masses_kg]
    return cold.tank_plans(
        request,
        species=[lot.species for lot in request.lots for _ in lot.masses_kg],
        masses_kg=masses,
        places=[0] * len(masses),
        stay_s=stay_s,
    )


# --- when birds are cold


def test_each_bird_gets_the_time_the_heat_room_gives_for_its_weight(day_request):
    lot = day_request.lots[1]
    found = cold.bird_chill_times(lot, stirred=True, profile=FEDERAL)
    for mass_kg, one in zip(lot.masses_kg, found, strict=True):
        direct = chill_time(
            mass_kg,
            build="lean",
            bath="stirred",
            bath_degC=cold.SLUSH_DEGC,
            limit_degC=to_si(40, "F", "temperature"),
        )
        assert one.time_s == pytest.approx(direct.time_s, rel=0.01)


def test_still_water_takes_longer_than_stirred(day_request):
    lot = day_request.lots[0]
    still = cold.bird_chill_times(lot, stirred=False, profile=FEDERAL)
    stirred = cold.bird_chill_times(lot, stirred=True, profile=FEDERAL)
    assert all(a.time_s > b.time_s for a, b in zip(still, stirred, strict=True))


class Learned:
    """Numbers a farm has learned for one build of bird."""

    def __init__(self, build):
        self.build = build

    def estimates(self, mass_kg, *, build, bath):
        if build != self.build:
            return None
        basis = Basis(Origin.OWN, "your last 3 days, 6 birds", "measured")
        return Estimate(0.05, 0.045, 0.055, basis), Estimate(200.0, 150.0, 250.0, basis)


def test_the_farms_own_chill_numbers_replace_the_handbooks_where_there_are_any(day_request):
    lot = day_request.lots[0]
    handbook = cold.bird_chill_times(lot, stirred=True, profile=FEDERAL)
    own = cold.bird_chill_times(lot, stirred=True, profile=FEDERAL, chill_numbers=Learned("broad"))
    other = cold.bird_chill_times(lot, stirred=True, profile=FEDERAL, chill_numbers=Learned("lean"))
    assert {one.thickness_m.value for one in own} == {0.05}
    assert {one.thickness_m.basis.origin for one in own} == {Origin.OWN}
    assert other == handbook


def test_a_bath_warmer_than_the_limit_never_gives_a_time(day_request, monkeypatch):
    monkeypatch.setattr(cold, "SLUSH_DEGC", to_si(41, "F", "temperature"))
    found = cold.bird_chill_times(day_request.lots[0], stirred=True, profile=FEDERAL)
    assert all(one.time_s is None and one.high_s is None for one in found)


def test_birds_are_grouped_by_lot_and_weight_class(day_request):
    times = [cold.bird_chill_times(lot, stirred=True, profile=FEDERAL) for lot in day_request.lots]
    found = cold.size_classes(day_request.lots, times, profile=FEDERAL)
    assert sum(one.birds for one in found) == 42
    for one in found:
        assert one.lightest_kg <= one.heaviest_kg
        if one.label == "under 4 lb":
            assert one.heaviest_kg < 4 * KG_PER_LB
            assert one.limit.hours == 4
        else:
            assert one.lightest_kg >= 4 * KG_PER_LB
            assert one.limit.hours == 6
        assert one.chill.time_s == max(
            chill.time_s
            for lot, chills in zip(day_request.lots, times, strict=True)
            for mass, chill in zip(lot.masses_kg, chills, strict=True)
            if lot.code == one.lot and one.lightest_kg <= mass <= one.heaviest_kg
        )


# --- which bird in which tank


def test_tanks_are_filled_one_after_another():
    assert cold.share_out([2.0] * 6, [tank(19), tank(60)]) == [0, 0, 0, 1, 1, 1]


def test_what_is_over_goes_into_the_last_tank():
    assert cold.share_out([2.0] * 5, [tank(12), tank(12)]) == [0, 0, 1, 1, 1]


def test_a_tank_too_small_for_one_bird_is_passed_over():
    assert cold.share_out([8.0], [tank(12), tank(12), tank(60)]) == [2]


@given(
    st.lists(st.floats(0.5, 10), max_size=40),
    st.lists(st.floats(10, 400), min_size=1, max_size=4),
)
def test_every_bird_has_a_tank_and_only_the_last_is_ever_overfull(masses, liters):
    tanks = [tank(size) for size in liters]
    places = cold.share_out(masses, tanks)
    assert len(places) == len(masses)
    assert places == sorted(places)
    for index, one in enumerate(tanks[:-1]):
        load_kg = sum(m for m, place in zip(masses, places, strict=True) if place == index)
        assert load_kg <= cold.capacity_kg(one) * (1 + 1e-12)


# --- ice


def test_the_ice_of_a_tank_is_the_sum_of_what_it_goes_into(day_request):
    (one,) = plan_tanks(day_request)
    parts = one.ice_birds_kg + one.ice_water_kg + one.ice_walls_kg + one.ice_reserve_kg
    assert one.ice_kg == pytest.approx(parts, rel=1e-12)
    assert min(one.ice_birds_kg, one.ice_water_kg, one.ice_walls_kg, one.ice_reserve_kg) > 0
    assert one.birds == 42


def test_the_ice_is_what_the_heat_room_says_for_the_same_tank(day_request):
    (one,) = plan_tanks(day_request, stay_s=5 * 3600.0)
    kit = day_request.equipment
    gains = tank_gains_W(
        volume_m3=kit.tanks[0].volume_m3, insulated=True, air_degC=day_request.air_degC
    )
    need = ice_need(
        birds_kg=one.birds_kg,
        species="chicken",
        start_degC=LIVE_BIRD_DEGC,
        end_degC=2.0,
        fill_m3=kit.tanks[0].volume_m3 / 3,
        fill_degC=kit.tap_degC,
        gains_W=gains.value,
        duration_s=5 * 3600.0,
        reserve_frac=0.15,
        water_end_degC=cold.SLUSH_DEGC,
    )
    assert one.ice_kg == pytest.approx(need.total_kg, rel=1e-12)


def test_the_ice_without_reserve_and_walls_just_cools_birds_and_water(day_request):
    """A second way: mix birds, fill water and that ice; they must end near slush, not warm."""
    (one,) = plan_tanks(day_request)
    ice_kg = one.ice_birds_kg + one.ice_water_kg
    fill_kg = day_request.equipment.tanks[0].volume_m3 / 3 * 1000
    end = mix(
        birds_kg=one.birds_kg,
        birds_degC=LIVE_BIRD_DEGC,
        water_kg=fill_kg,
        water_degC=day_request.equipment.tap_degC,
        ice_kg=ice_kg,
    )
    assert 0.0 <= end.temperature_degC < 2.0
    half = mix(
        birds_kg=one.birds_kg,
        birds_degC=LIVE_BIRD_DEGC,
        water_kg=fill_kg,
        water_degC=day_request.equipment.tap_degC,
        ice_kg=ice_kg / 2,
    )
    assert half.temperature_degC > to_si(40, "F", "temperature")


def total_ice_kg(request, **changes):
    kit = dataclasses.replace(request.equipment, **changes)
    return sum(one.ice_kg for one in plan_tanks(dataclasses.replace(request, equipment=kit)))


def test_insulation_never_needs_more_ice(day_request):
    bare = dataclasses.replace(day_request.equipment.tanks[0], insulated=False)
    assert total_ice_kg(day_request) < total_ice_kg(day_request, tanks=(bare,))


def test_ice_on_hand_does_not_change_what_is_needed(day_request):
    assert total_ice_kg(day_request, ice_kg=0.0) == total_ice_kg(day_request, ice_kg=500.0)


@given(st.floats(1, 30), st.floats(1, 30))
def test_colder_fill_water_never_needs_more_ice(day_request, one_degC, other_degC):
    colder, warmer = sorted((one_degC, other_degC))
    assert total_ice_kg(day_request, tap_degC=colder) <= total_ice_kg(day_request, tap_degC=warmer)


@given(st.floats(0, 10), st.floats(0, 10))
def test_a_shorter_stay_never_needs_more_ice(day_request, one_h, other_h):
    short, long = sorted((one_h, other_h))
    (less,) = plan_tanks(day_request, stay_s=short * 3600)
    (more,) = plan_tanks(day_request, stay_s=long * 3600)
    assert less.ice_kg <= more.ice_kg


def test_a_tank_without_birds_needs_nothing(day_request):
    assert [one.name for one in plan_tanks(day_request)] == ["East tank"]


# --- what is said about it


def findings(request, **changes):
    kit = dataclasses.replace(request.equipment, **changes)
    changed = dataclasses.replace(request, equipment=kit)
    return {f.code: f for f in cold.cold_findings(changed, plan_tanks(changed))}


def test_enough_of_everything_has_no_findings(day_request):
    big = (tank(400, "East tank"),)
    assert findings(day_request, tanks=big, ice_kg=400.0) == {}


def test_a_tank_too_small_is_told_with_both_weights(day_request):
    told = findings(day_request, ice_kg=400.0)["tank.full"]
    assert told.severity is Severity.CHECK
    assert "“East tank” is too small" in told.sentence
    assert told.measured > told.limit


def test_ice_a_little_short_is_to_be_looked_at_and_far_too_little_is_a_stop(day_request):
    need_kg = total_ice_kg(day_request)
    assert "ice.short" not in findings(day_request, ice_kg=need_kg)
    assert findings(day_request, ice_kg=0.9 * need_kg)["ice.short"].severity is Severity.CHECK
    told = findings(day_request, ice_kg=0.5 * need_kg)["ice.short"]
    assert told.severity is Severity.STOP
    assert "never cools a bird" in told.reason
    assert (told.measured, told.limit) == (pytest.approx(0.5 * need_kg), pytest.approx(need_kg))


def test_birds_beyond_refrigerator_and_freezer_are_told(day_request):
    told = findings(day_request, refrigerator_m3=0.1, freezer_m3=0.0)["store.full"]
    assert told.limit == pytest.approx(12.5)
    assert "Berlow" in told.citation


def test_a_refrigerator_and_a_freezer_both_take_birds(day_request):
    room_kg = cold.store_room_kg(day_request)
    fridge_lb = to_si(30, "ft3", "volume") * 125 / KG_PER_LB
    assert room_kg / KG_PER_LB == pytest.approx(fridge_lb + 40 * 3, rel=1e-9)


def test_units_of_the_sentences_can_be_kilograms(day_request):
    told = cold.cold_findings(
        dataclasses.replace(
            day_request, equipment=dataclasses.replace(day_request.equipment, ice_kg=0.0)
        ),
        plan_tanks(day_request),
        mass_unit="kg",
    )
    assert all("lb" not in finding.sentence for finding in told)


@pytest.fixture
def size_class(day_request):
    times = [cold.bird_chill_times(lot, stirred=True, profile=FEDERAL) for lot in day_request.lots]
    return cold.size_classes(day_request.lots, times, profile=FEDERAL)[0]


@pytest.mark.parametrize(
    ("cold_h", "high_h", "severity"),
    [
        (3.0, 4.0, None),
        (3.0, 4.001, Severity.CHECK),
        (3.0, None, Severity.CHECK),
        (4.001, 5.0, Severity.STOP),
    ],
)
def test_a_class_that_may_be_late_is_to_be_checked_and_one_that_will_be_is_a_stop(
    size_class, cold_h, high_h, severity
):
    found = cold.late_cold_findings(
        [size_class],
        cold_s=[600 + cold_h * 3600],
        high_s=[None if high_h is None else 600 + high_h * 3600],
        cut_s=[600.0],
    )
    assert [finding.severity for finding in found] == ([] if severity is None else [severity])
    for finding in found:
        assert finding.measured == pytest.approx(cold_h)
        assert finding.limit == 4
        assert "lot A7" in finding.where
        verb = "are not cold" if severity is Severity.STOP else "may not be cold"
        assert verb in finding.sentence


def test_the_assumed_mean_of_a_cold_bird_is_below_the_limit_and_above_the_bath():
    assert cold.SLUSH_DEGC < cold._COLD_MEAN_DEGC < to_si(40, "F", "temperature")
    assert math.isclose(cold._FREEZER_KG_PER_M3_DAY, 3 * KG_PER_LB / to_si(1, "ft3", "volume"))
