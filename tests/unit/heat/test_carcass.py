import math
from statistics import quantiles

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pinfeather.errors import InputError, OutOfRangeError
from pinfeather.estimate import Basis, Estimate, Origin
from pinfeather.finding import Severity
from pinfeather.heat.breast import settled_fade
from pinfeather.heat.carcass import (
    LIVE_BIRD_DEGC,
    breast_thickness,
    chill_curve,
    chill_time,
    surface_coefficient,
    two_reading_time,
)
from pinfeather.units import to_si

LIMIT = to_si(40, "F", "temperature")
GIVEN = {"build": "broad", "bath": "stirred", "bath_degC": 1.0, "limit_degC": LIMIT}

masses = st.floats(0.3, 15.0)
baths = st.floats(-1.0, 4.0)
starts = st.floats(6.0, 42.0)
builds = st.sampled_from(["lean", "broad"])
kinds = st.sampled_from(["still", "stirred", "air"])


def codes(found):
    return {finding.code for finding in found.findings}


def test_the_band_is_in_order_and_wide_enough_to_be_honest():
    found = chill_time(1.8, **GIVEN)
    assert found.low_s < found.time_s < found.high_s
    assert 1.3 < found.high_s / found.time_s < 1.8


def test_measuring_the_breast_narrows_the_band():
    default = chill_time(1.8, **GIVEN)
    measured = chill_time(1.8, thickness_m=default.thickness_m.value, **GIVEN)
    assert measured.time_s == pytest.approx(default.time_s)
    assert measured.high_s - measured.low_s < default.high_s - default.low_s
    assert measured.thickness_m.basis.origin is Origin.TYPED


def test_the_band_is_close_to_that_of_many_random_birds():
    found = chill_time(1.8, **GIVEN)
    rng = np.random.default_rng(11)
    spread = math.log(found.thickness_m.high / found.thickness_m.value) / 1.2816
    surface = found.surface_W_per_m2K
    lean = math.log(surface.high / surface.low) / (2 * 1.2816)
    times = []
    for _ in range(1500):
        thickness = found.thickness_m.value * math.exp(spread * rng.standard_normal())
        u = surface.value * math.exp(lean * rng.standard_normal())
        fixed = Estimate(u, u, u, Basis(Origin.TYPED, ""))
        times.append(
            chill_time(1.8, thickness_m=thickness, surface_W_per_m2K=fixed, **GIVEN).time_s
        )
    tenths = quantiles(times, n=10)
    assert found.low_s == pytest.approx(tenths[0], rel=0.05)
    assert found.high_s == pytest.approx(tenths[-1], rel=0.05)


@settings(deadline=None)
@given(mass=masses, bath=baths, start=starts, build=builds, kind=kinds)
def test_time_grows_with_bath_mass_and_start_temperature(mass, bath, start, build, kind):
    def time_s(mass, bath, start):
        return chill_time(
            mass, build=build, bath=kind, bath_degC=bath, limit_degC=LIMIT, start_degC=start
        ).time_s

    here = time_s(mass, bath, start)
    assert time_s(mass * 1.1, bath, start) >= here
    assert time_s(mass, bath + 0.3, start) >= here
    assert time_s(mass, bath, start + 1.0) >= here


@settings(deadline=None)
@given(mass=masses, above=st.floats(0.0, 30.0), start=starts, kind=kinds)
def test_a_bath_not_colder_than_the_limit_never_gets_there(mass, above, start, kind):
    found = chill_time(
        mass,
        build="lean",
        bath=kind,
        bath_degC=LIMIT + above,
        limit_degC=LIMIT,
        start_degC=start,
    )
    assert (found.time_s, found.low_s, found.high_s) == (None, None, None)
    assert "chill.never" in codes(found)
    assert found.findings[0].severity is Severity.STOP


def test_a_bird_that_starts_cold_needs_no_time():
    assert chill_time(1.8, **GIVEN, start_degC=LIMIT).time_s == 0.0
    assert chill_time(1.8, **GIVEN, start_degC=3.0).high_s == 0.0


def test_a_closed_cavity_takes_more_than_twice_as_long():
    closed, flooded = (chill_time(1.8, **GIVEN, cavity_open=way) for way in (False, True))
    assert 2.1 < closed.time_s / flooded.time_s < 2.6
    assert "chill.cavity_closed" in codes(closed)
    assert "chill.cavity_closed" not in codes(flooded)


def test_findings_name_air_warm_water_and_large_turkeys():
    assert "chill.air" in codes(chill_time(1.8, **{**GIVEN, "bath": "air"}))
    assert "chill.bath_warm" in codes(chill_time(1.8, **{**GIVEN, "bath_degC": 3.0}))
    assert "chill.extrapolated" in codes(chill_time(9.0, **GIVEN))
    assert chill_time(1.8, **GIVEN).findings == ()


@pytest.mark.parametrize("mass", [0.0, -1.0, math.nan, math.inf])
def test_a_bird_without_weight_is_refused(mass):
    with pytest.raises(InputError):
        chill_time(mass, **GIVEN)


def test_nonsense_is_refused():
    with pytest.raises(OutOfRangeError):
        chill_time(40.0, **GIVEN)
    with pytest.raises(InputError):
        chill_time(1.8, **{**GIVEN, "build": "fat"})
    with pytest.raises(InputError):
        chill_time(1.8, **{**GIVEN, "bath": "oil"})
    with pytest.raises(InputError):
        chill_time(1.8, **{**GIVEN, "bath_degC": math.nan})
    with pytest.raises(InputError):
        chill_time(1.8, **GIVEN, thickness_m=0.0)
    with pytest.raises(InputError):
        chill_time(1.8, **GIVEN, thickness_m=0.4)
    with pytest.raises(InputError):
        chill_curve(np.array([-1.0]), 1.8, **GIVEN)


def test_the_curve_crosses_the_limit_when_the_time_says():
    found = chill_time(1.8, **GIVEN)
    at = np.array([found.low_s, found.time_s, found.high_s])
    curve = chill_curve(at, 1.8, **GIVEN)
    assert curve.low_degC[0] == pytest.approx(LIMIT, abs=1e-6)
    assert curve.centre_degC[1] == pytest.approx(LIMIT, abs=1e-6)
    assert curve.high_degC[2] == pytest.approx(LIMIT, abs=1e-6)


@settings(deadline=None)
@given(mass=masses, bath=st.floats(-2.0, 45.0), build=builds, kind=kinds)
def test_the_curve_starts_warm_and_stays_inside_its_band(mass, bath, build, kind):
    times = np.linspace(0.0, 6 * 3600.0, 50)
    curve = chill_curve(times, mass, build=build, bath=kind, bath_degC=bath, limit_degC=LIMIT)
    assert curve.centre_degC[0] == LIVE_BIRD_DEGC
    assert np.all(curve.low_degC <= curve.centre_degC + 1e-9)
    assert np.all(curve.centre_degC <= curve.high_degC + 1e-9)
    steps = np.diff(curve.centre_degC) * np.sign(LIVE_BIRD_DEGC - bath)
    assert np.all(steps <= 1e-9)


def test_thickness_grows_with_the_cube_root_of_weight():
    one, eight = breast_thickness(1.0, build="lean"), breast_thickness(8.0, build="lean")
    assert one.value == pytest.approx(0.031)
    assert eight.value == pytest.approx(2 * one.value)
    assert one.low < one.value < one.high
    assert breast_thickness(1.0, build="broad").basis.status == "assumed"


def test_a_bag_slows_cooling_and_stirring_speeds_it():
    assert surface_coefficient("stirred").value > surface_coefficient("still").value
    assert 60 <= surface_coefficient("stirred", bagged=True).value <= 80
    for bath in ("still", "stirred", "air"):
        assert surface_coefficient(bath, bagged=True).value < surface_coefficient(bath).value


@settings(deadline=None)
@given(
    thickness=st.floats(0.03, 0.09),
    surface=st.floats(60.0, 250.0),
    bath=st.floats(-1.0, 3.0),
    first=st.floats(12.0, 25.0),
    apart=st.floats(300.0, 2400.0),
)
def test_two_readings_of_a_settled_bird_tell_its_time(thickness, surface, bath, first, apart):
    f_s, _ = settled_fade(thickness, surface_W_per_m2K=surface)
    second = bath + (first - bath) * 10 ** (-apart / f_s)
    found = two_reading_time(first, second, apart_s=apart, bath_degC=bath, limit_degC=LIMIT)
    assert found.f_s == pytest.approx(f_s, rel=1e-6)
    if second > LIMIT:
        left = f_s * math.log10((second - bath) / (LIMIT - bath))
        assert found.remaining_s == pytest.approx(left, rel=1e-6, abs=1e-6)
    else:
        assert found.remaining_s == 0.0


def test_two_readings_in_warm_water_never_get_there():
    found = two_reading_time(20.0, 12.0, apart_s=1200.0, bath_degC=6.0, limit_degC=LIMIT)
    assert found.remaining_s is None
    assert found.findings[-1].severity is Severity.STOP


def test_a_first_reading_too_early_is_said():
    found = two_reading_time(37.0, 33.0, apart_s=600.0, bath_degC=1.0, limit_degC=LIMIT)
    assert found.findings[0].code == "chill.read_too_early"


@pytest.mark.parametrize(
    ("first", "second", "apart"),
    [(12.0, 12.0, 600.0), (12.0, 14.0, 600.0), (12.0, 1.0, 600.0), (12.0, 8.0, 0.0)],
)
def test_readings_that_say_nothing_are_refused(first, second, apart):
    with pytest.raises(InputError):
        two_reading_time(first, second, apart_s=apart, bath_degC=1.0, limit_degC=LIMIT)
