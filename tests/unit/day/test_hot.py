import dataclasses

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pinfeather.day.hot import scald_plan
from pinfeather.finding import Severity
from pinfeather.heat.boiling import boiling_degC
from pinfeather.heat.scalder import warm_up
from pinfeather.units import to_si


def plan(request, *, line_s=2 * 3600.0, temp_unit="F", **changes):
    kit = dataclasses.replace(request.equipment, **changes)
    return scald_plan(
        dataclasses.replace(request, equipment=kit), line_s=line_s, temp_unit=temp_unit
    )


def codes(found):
    return {finding.code: finding for finding in found.findings}


def test_the_water_asked_for_is_the_water_planned(day_request):
    found = plan(day_request)
    assert found.water_degC == to_si(145, "F", "temperature")
    assert found.findings == ()


def test_without_a_wish_the_middle_of_the_published_band_is_taken(day_request):
    found = plan(day_request, scald_degC=None)
    assert found.water_degC == pytest.approx((found.band.low_degC + found.band.high_degC) / 2)


def test_the_commonest_kind_of_bird_gives_the_band(request_with):
    ducks = request_with(lambda m: m["lots"][0].update(species="duck"))
    assert plan(ducks, scald_degC=None).band.species == "duck"
    few = request_with(lambda m: m["lots"][1].update(species="duck"))
    assert plan(few, scald_degC=None).band.species == "chicken"


def test_hotter_water_than_published_is_to_be_looked_at_and_points_to_the_feather_test(
    day_request,
):
    told = codes(plan(day_request, scald_degC=to_si(160, "F", "temperature")))["scald.outside_band"]
    assert told.severity is Severity.CHECK
    assert "160\u202f°F is outside the published band 138\u202f°F to 148\u202f°F" in told.sentence
    assert "feather-pull" in told.reason
    assert told.status == "second hand"


@pytest.mark.parametrize("degF", [138, 148])
def test_the_ends_of_the_band_belong_to_it(day_request, degF):
    assert codes(plan(day_request, scald_degC=to_si(degF, "F", "temperature"))) == {}


def test_the_warm_up_is_what_the_heat_room_says(day_request):
    found = plan(day_request)
    kit = day_request.equipment
    direct = warm_up(
        volume_m3=kit.scalder_m3,
        from_degC=kit.tap_degC,
        to_degC=found.water_degC,
        burner_W=kit.burner_W,
        air_degC=day_request.air_degC,
    )
    assert (found.warm_up_s, found.heat_J) == (direct.time_s, direct.heat_J)


def test_the_burner_is_lit_for_the_slow_case_with_ten_minutes_to_spare(day_request):
    found = plan(day_request)
    assert found.low_s <= found.warm_up_s <= found.high_s
    assert found.light_before_s == found.high_s + 600


def test_the_heat_taken_up_is_that_of_the_water(day_request):
    found = plan(day_request)
    kg = day_request.equipment.scalder_m3 * 1000
    rise_K = found.water_degC - day_request.equipment.tap_degC
    assert found.heat_J == pytest.approx(kg * 4186 * rise_K, rel=0.03)


def test_propane_is_warm_up_and_holding_and_a_quarter_more(day_request):
    found = plan(day_request)
    assert found.propane_kg == pytest.approx(
        1.25 * (found.propane_warm_kg + found.propane_hold_kg), rel=1e-12
    )
    assert found.propane_hold_kg > 0


def test_a_burner_too_weak_never_gets_there(day_request):
    found = plan(day_request, burner_W=600.0)
    assert found.light_before_s is None
    assert found.propane_warm_kg == 0.0
    told = codes(found)
    assert told["scald.never_hot"].severity is Severity.STOP
    assert told["scald.falls"].measured > told["scald.falls"].limit == 600.0


def test_hot_tap_water_needs_no_warm_up(day_request):
    found = plan(day_request, tap_degC=70.0)
    assert found.warm_up_s == 0
    assert found.propane_warm_kg == 0.0


def test_a_day_without_a_line_needs_no_holding(day_request):
    assert plan(day_request, line_s=0.0).propane_hold_kg == 0.0


def test_water_boils_lower_in_the_mountains(request_with):
    high = request_with(lambda m: m.update(altitude="9000 ft"))
    found = plan(high)
    assert found.boiling_degC == boiling_degC(altitude_m=9000 * 0.3048)
    assert found.boiling_degC < 92


def test_the_sentences_can_speak_celsius(day_request):
    told = codes(plan(day_request, temp_unit="C", scald_degC=70.0))["scald.outside_band"]
    assert "70\u202f°C" in told.sentence


@settings(max_examples=25, deadline=None)
@given(st.floats(5, 60), st.floats(5, 60))
def test_a_stronger_burner_never_takes_longer(day_request, one_kW, other_kW):
    weak, strong = sorted((one_kW, other_kW))
    slow = plan(day_request, burner_W=weak * 1000).warm_up_s
    fast = plan(day_request, burner_W=strong * 1000).warm_up_s
    assert fast is not None or slow is None
    if slow is not None:
        assert fast <= slow


def test_a_scald_hotter_than_boiling_up_there_is_a_stop(request_with):
    high = request_with(lambda m: m.update(altitude="14000 ft"))
    told = codes(plan(high, scald_degC=88.0))["scald.boils"]
    assert told.severity is Severity.STOP
    assert told.limit == boiling_degC(altitude_m=14000 * 0.3048) < told.measured
    assert "Water boils at 186\u202f°F at this altitude: never 190\u202f°F." in told.sentence
    assert "scald.boils" not in codes(plan(high, scald_degC=85.0))
    low = request_with(lambda m: m.update(altitude="0 ft"))
    assert "scald.boils" not in codes(plan(low, scald_degC=88.0))
