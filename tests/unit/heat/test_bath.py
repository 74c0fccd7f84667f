import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pinfeather.errors import InputError
from pinfeather.finding import Severity
from pinfeather.heat.bath import Batch, Icing, Tank, simulate
from pinfeather.heat.carcass import chill_time
from pinfeather.heat.ice import mix
from pinfeather.heat.icing import advise, ice_stock, tap_pre_chill
from pinfeather.units import to_si

LIMIT = to_si(40, "F", "temperature")
QUIET = {"wall_W_per_K": 0.0, "air_degC": 20.0}
DAY = {"duration_s": 6 * 3600.0, "limit_degC": LIMIT}


@settings(max_examples=25, deadline=None)
@given(
    water=st.floats(0.1, 1.0),
    warm=st.floats(0.0, 20.0),
    ice=st.floats(0.0, 200.0),
    birds=st.integers(0, 60),
    mass=st.floats(0.8, 8.0),
    at=st.floats(0.0, 7200.0),
    more=st.floats(0.0, 60.0),
    drained=st.floats(0.0, 0.05),
    cold=st.floats(-20.0, 0.0),
    air=st.floats(-10.0, 40.0),
    step=st.sampled_from([20.0, 60.0]),
)
def test_the_days_heat_adds_up(water, warm, ice, birds, mass, at, more, drained, cold, air, step):
    day = simulate(
        Tank(water, warm, ice, air_degC=air, sun_W=200.0, pump_W=100.0),
        [Batch(at, birds, mass), Batch(1800.0, 5, 2.0, out_s=5400.0)],
        icings=[Icing(3600.0, ice_kg=more, ice_degC=cold, water_m3=0.02, drained_m3=drained)],
        duration_s=3 * 3600.0,
        limit_degC=LIMIT,
        step_s=step,
    )
    ledger = day.ledger
    size = sum(map(abs, (ledger.birds_J, ledger.air_J, ledger.sun_J, ledger.inflow_J))) + 1e6
    assert abs(ledger.error_J) < 1e-8 * size
    assert np.all(day.ice_kg >= 0)
    assert np.all(day.water_kg > 0)


def test_left_alone_it_comes_to_the_mixture():
    day = simulate(
        Tank(0.150 / 0.9993, 15.0, 50.0, **QUIET),
        [Batch(0.0, 50, 1.8144)],
        duration_s=16 * 3600.0,
        limit_degC=LIMIT,
    )
    end = mix(birds_kg=90.72, birds_degC=38.0, water_kg=150.0, water_degC=15.0, ice_kg=50.0)
    assert day.water_degC[-1] == pytest.approx(end.temperature_degC, abs=0.05)
    assert day.ice_kg[-1] == pytest.approx(0.0, abs=0.05)


def test_in_plenty_of_ice_a_bird_takes_its_time_in_cold_water():
    day = simulate(Tank(2.0, 0.0, 2000.0, **QUIET), [Batch(0.0, 1, 1.8, heaviest_kg=1.8)], **DAY)
    alone = chill_time(1.8, build="broad", bath="stirred", bath_degC=0.0, limit_degC=LIMIT)
    assert day.ready_s[0] == pytest.approx(alone.time_s, rel=0.01)


def test_the_heaviest_bird_is_last():
    tank = Tank(0.4, 1.0, 150.0)
    usual = simulate(tank, [Batch(0.0, 20, 1.8, heaviest_kg=1.8)], **DAY).ready_s[0]
    heavy = simulate(tank, [Batch(0.0, 20, 1.8, heaviest_kg=2.6)], **DAY).ready_s[0]
    assert heavy > usual * 1.2


def test_without_ice_they_never_get_cold():
    day = simulate(Tank(0.3, 12.0, 0.0), [Batch(0.0, 30, 1.8)], **DAY)
    assert day.ready_s == (None,)


def test_before_a_batch_goes_in_it_has_no_temperature():
    day = simulate(Tank(0.3, 1.0, 80.0), [Batch(1800.0, 10, 1.8)], **DAY)
    assert np.isnan(day.warmest_degC[day.times_s < 1800.0]).all()
    assert np.isfinite(day.warmest_degC[day.times_s >= 1800.0]).all()


def test_advice_keeps_the_water_cold_and_gets_the_birds_there():
    tank = Tank(0.227, 15.6, 60.0, wall_W_per_K=23.0, air_degC=30.0)
    batches = [Batch(600.0, 25, 1.8), Batch(3600.0, 25, 1.8)]
    found = advise(tank, batches, duration_s=6 * 3600.0, limit_degC=LIMIT)
    added = [one for one in found.advice if one.kind == "add ice"]
    assert added
    assert all("lb of ice" in one.sentence for one in added)
    assert found.before.ready_s == (None, None)
    assert all(ready is not None for ready in found.after.ready_s)
    # in all about a pound of ice for a pound of bird: 90 kg of birds
    assert 80 < 60.0 + sum(one.ice_kg for one in added) < 150


def test_a_good_plan_needs_no_advice():
    found = advise(Tank(0.4, 1.0, 150.0), [Batch(0.0, 15, 1.8)], **DAY)
    assert found.advice == ()


def test_a_tank_too_small_is_split():
    tank = Tank(0.3, 1.0, 100.0, holds_m3=0.45)
    found = advise(tank, [Batch(0.0, 60, 2.0)], **DAY)
    assert "split" in {one.kind for one in found.advice}


def test_slow_melting_asks_for_stirring():
    tank = Tank(0.2, 0.5, 200.0, bath="still", wall_W_per_K=0.0)
    found = advise(tank, [Batch(0.0, 340, 1.5)], **DAY)
    assert "stir" in {one.kind for one in found.advice}


def test_tap_water_first_saves_ice():
    found = tap_pre_chill(1.8, build="broad", tap_degC=12.0, time_s=1800.0)
    assert 12.0 < found.mean_degC < found.centre_degC < 38.0
    assert 0.1 < found.ice_saved_frac < 0.25
    none = tap_pre_chill(1.8, build="broad", tap_degC=12.0, time_s=0.0)
    assert none.ice_saved_frac == pytest.approx(0.0, abs=2e-3)


def test_a_bin_that_runs_out_is_said():
    found = ice_stock(
        start_kg=80.0,
        bin_kg=100.0,
        rated_kg_per_day=120.0,
        draws=[(0.0, 60.0), (4 * 3600.0, 60.0)],
    )
    assert found.made_kg == pytest.approx(120 * 0.75 / 6)
    assert found.short_kg == pytest.approx(60.0 - 20.0 - 15.0)
    assert found.findings[0].severity is Severity.CHECK
    assert found.stock_kg[-1] == 0.0


def test_a_full_bin_takes_no_more():
    found = ice_stock(start_kg=100.0, bin_kg=100.0, rated_kg_per_day=120.0, draws=[(36000.0, 10.0)])
    assert found.made_kg == 0.0
    assert found.stock_kg[0] == 90.0


@pytest.mark.parametrize(
    ("tank", "batch", "icing"),
    [
        (Tank(0.0, 1.0, 1.0), None, None),
        (Tank(0.3, -1.0, 1.0), None, None),
        (Tank(0.3, 1.0, 1.0, bath="air"), None, None),
        (None, Batch(-1.0, 1, 1.0), None),
        (None, Batch(0.0, 1, 0.0), None),
        (None, Batch(0.0, 1, 2.0, heaviest_kg=1.0), None),
        (None, None, Icing(0.0, ice_kg=-1.0)),
        (None, None, Icing(0.0, ice_kg=1.0, ice_degC=2.0)),
        (None, None, Icing(math.nan)),
    ],
)
def test_what_cannot_be_is_refused(tank, batch, icing):
    with pytest.raises(InputError):
        simulate(
            tank or Tank(0.3, 1.0, 50.0),
            [batch] if batch else [],
            icings=[icing] if icing else [],
            **DAY,
        )
