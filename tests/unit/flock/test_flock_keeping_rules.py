import datetime as dt
import itertools

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pinfeather.errors import InputError
from pinfeather.finding import Severity
from pinfeather.flock.alerts import (
    alerts,
    feed_alert,
    loss_alerts,
    signs,
    weight_alert,
    withdrawal_alert,
    withdrawal_over_on,
)
from pinfeather.flock.curves import reference_curve
from pinfeather.flock.feed import (
    Phase,
    bin_m3,
    daily_feed_kg,
    feed_plan,
    usual_phases,
    water_per_bird_m3,
)
from pinfeather.flock.forecast import Sample, Seen, growth_path
from pinfeather.flock.land import ground_load, nitrogen_kg
from pinfeather.flock.losses import chance_of_enough, daily_mortality, loss_band, survival
from pinfeather.flock.lot import (
    Arrived,
    Cause,
    FeedDelivered,
    FeedLeft,
    Life,
    Lost,
    Medicated,
    Weighed,
)
from pinfeather.flock.order import lot_dates, order_size
from pinfeather.flock.room import brooder_heat, daylight_s, floor_basis, floor_m2, pasture
from pinfeather.words import date_text

HATCH = dt.date(2026, 4, 1)
CURVE = reference_curve("nrc_1994")
PATH = growth_path(Seen(CURVE), 56)


def on(day):
    return HATCH + dt.timedelta(days=day)


def life(*events):
    return Life("Lot 3", HATCH, (Arrived(on(2), "a", 100), *events))


def test_phases_add_up_to_the_whole():
    plan = feed_plan(PATH, np.full(56, 80.0))
    assert sum(p.total.value for p in plan.phases) == pytest.approx(plan.total.value)
    assert plan.total.value == pytest.approx(80 * plan.per_bird_kg)
    assert [p.to_d for p in plan.phases] == [21, 42, 56]
    assert 1.8 < plan.feed_per_gain < 2.4


def test_what_is_still_to_buy_counts_from_today():
    whole = feed_plan(PATH, np.full(56, 80.0))
    rest = feed_plan(PATH, np.full(56, 80.0), from_d=30)
    assert [p.phase.name for p in rest.phases] == ["grower", "finisher"]
    assert rest.total.value < whole.total.value


@settings(deadline=None, max_examples=60)
@given(st.floats(0.5, 2.0), st.floats(0.0, 0.3))
def test_leaner_feed_and_spilling_need_more_of_it(energy, extra):
    usual = daily_feed_kg(PATH)
    found = daily_feed_kg(PATH, energy_J_per_kg=energy * 3200 * 4184, extra_frac=extra)
    assert found == pytest.approx(usual * (1 + extra) / energy)


@pytest.mark.parametrize("species", ["chicken", "turkey", "duck"])
def test_every_kind_has_phases_feed_and_water(species):
    curve = {"chicken": "nrc_1984", "turkey": "turkey", "duck": "duck"}[species]
    path = growth_path(Seen(reference_curve(curve)), 49)
    plan = feed_plan(path, np.ones(49), species, air_degC=34.0)
    cool = feed_plan(path, np.ones(49), species)
    assert plan.water_total_m3.value > 1.2 * cool.water_total_m3.value
    assert usual_phases(species)[0].from_d == 0
    assert 1.2 < plan.feed_per_gain < 3.5


def test_own_phases_are_taken():
    plan = feed_plan(PATH, np.ones(56), phases=[Phase("one feed", 0, 0.2)])
    (one,) = plan.phases
    assert one.protein_kg == pytest.approx(0.2 * plan.total.value)


def test_feed_refuses_what_cannot_be():
    with pytest.raises(InputError):
        daily_feed_kg([0.04])
    with pytest.raises(InputError):
        feed_plan(PATH, np.ones(10))
    with pytest.raises(InputError):
        feed_plan(PATH, np.full(56, -1.0))
    with pytest.raises(InputError):
        water_per_bird_m3(10, "winter")
    with pytest.raises(InputError):
        bin_m3(-1.0)


@settings(deadline=None, max_examples=60)
@given(st.integers(0, 80), st.sampled_from(["usual", "pasture"]))
def test_survival_only_falls(last, setting):
    alive = survival(last, setting)
    assert alive[0] == 1
    assert np.all(np.diff(alive) < 0)


@settings(deadline=None, max_examples=60)
@given(st.integers(1, 1000), st.integers(0, 70))
def test_the_band_of_losses_holds_what_is_expected(birds, age):
    band = loss_band(birds, age)
    assert 0 <= band.low <= band.high <= band.alarm <= birds
    assert band.low - 1 <= band.expected <= band.high + 1


def test_mortality_counts_only_birds_that_are_there():
    assert daily_mortality([10], 10) == 1
    with pytest.raises(InputError):
        daily_mortality([11], 10)
    with pytest.raises(InputError):
        daily_mortality([1, 1], 10, removed=[1])
    with pytest.raises(InputError):
        survival(10, "indoors")
    with pytest.raises(InputError):
        loss_band(10, 5, from_d=6)


@settings(deadline=None, max_examples=60)
@given(
    st.integers(1, 400),
    st.floats(0.7, 0.99),
    st.floats(0.5, 0.98),
    st.sampled_from([0.0, 0.03]),
)
def test_the_order_is_the_least_that_reaches_the_chance(wanted, alive, chance, event):
    found = order_size(wanted, alive_share=alive, chance=chance, event=event)
    assert found.chance >= chance
    one_less = chance_of_enough(found.ordered - 1, wanted, alive_share=alive, event=event)
    assert one_less < chance
    assert found.calm <= found.ordered


def test_orders_come_in_lots_and_spares_count():
    assert order_size(100, alive_share=0.95, lot_of=25).ordered == 125
    assert order_size(3, alive_share=0.95, at_least=15).ordered == 15
    plain = order_size(100, alive_share=0.95).ordered
    assert order_size(100, alive_share=0.95, spare_share=0.02).ordered < plain


def test_a_bad_night_is_better_met_another_way():
    found = order_size(100, alive_share=0.95, chance=0.95, event=0.2)
    assert "order.event" in {f.code for f in found.findings}
    with pytest.raises(InputError):
        order_size(0, alive_share=0.95)


@settings(deadline=None, max_examples=60)
@given(
    st.dates(dt.date(2026, 1, 1), dt.date(2027, 12, 31)),
    st.integers(30, 150),
    st.sets(st.integers(0, 6), min_size=1),
)
def test_dates_keep_to_hatch_days_and_are_near_the_age(slaughter, age, weekdays):
    for option in lot_dates(slaughter, age, hatch_weekdays=weekdays):
        assert option.hatch_on.weekday() in weekdays
        assert option.age_d == (slaughter - option.hatch_on).days
        assert abs(option.age_d - age) <= 7
        assert option.eggs_set_on < option.hatch_on < option.arrive_on < option.slaughter_on
        assert option.out_of_brooder_on < option.brooder_free_on


def test_dates_ask_for_a_hatch_day_and_an_age():
    with pytest.raises(InputError):
        lot_dates(on(60), 56, hatch_weekdays=[])
    with pytest.raises(InputError):
        lot_dates(on(60), 1)


def test_losses_within_the_band_are_quiet():
    assert loss_alerts(life(Lost(on(4), "a", 2)), on(30)) == ()


def test_losses_above_the_band_are_called_out():
    found = loss_alerts(life(*(Lost(on(d), "a", 1) for d in range(10, 40, 2))), on(40))
    assert [f.code for f in found] == ["lot.losses"]
    assert found[0].severity is Severity.STOP


def test_signs_stop_everything_and_say_whom_to_call():
    (found,) = loss_alerts(life(), on(30), seen_signs=["purple"])
    assert found.severity is Severity.STOP
    assert "state veterinarian" in found.reason
    assert "Move no birds" in found.reason
    with pytest.raises(InputError):
        loss_alerts(life(), on(30), seen_signs=["hiccups"])


def test_two_dead_of_a_hundred_in_a_day_stop_everything_but_a_fox_does_not():
    dead = loss_alerts(life(Lost(on(30), "a", 2, Cause.FOUND_DEAD)), on(30))
    fox = loss_alerts(life(Lost(on(30), "a", 2, Cause.PREDATOR)), on(30))
    assert "lot.sick" in {f.code for f in dead}
    assert "2 dead today" in dead[0].sentence
    assert fox == ()


def test_chicks_that_die_in_the_first_week_are_to_be_looked_at_but_stop_nothing():
    (found,) = loss_alerts(life(Lost(on(4), "a", 2, Cause.FOUND_DEAD)), on(4))
    assert (found.code, found.severity) == ("lot.losses", Severity.CHECK)
    assert loss_alerts(life(Lost(on(4), "a", 1, Cause.FOUND_DEAD)), on(4)) == ()


def test_every_sign_has_words():
    assert set(signs()) >= {"sudden_deaths", "swelling", "breathing"}
    assert all(signs().values())


def test_a_lot_that_falls_back_is_told_and_one_that_keeps_up_is_not():
    steady = Seen(CURVE, (Sample(21, 0.65, 30, 0.12), Sample(35, 1.45, 30, 0.12)))
    falling = Seen(CURVE, (Sample(21, 0.65, 30, 0.12), Sample(35, 1.10, 30, 0.12)))
    assert weight_alert(steady) == ()
    (found,) = weight_alert(falling, "Lot 3")
    assert "24 % lighter" in found.sentence
    assert weight_alert(Seen(CURVE, (Sample(28, 0.8, 30),)))[0].code == "lot.behind"
    assert weight_alert(Seen(CURVE)) == ()
    assert weight_alert(Seen(None, (Sample(28, 0.2, 30),))) == ()


def expected_feed(age):
    birds = np.array([100.0 if d >= 2 else 0.0 for d in range(age)])
    return float(daily_feed_kg(growth_path(Seen(CURVE), age)) @ birds)


@pytest.mark.parametrize(("times", "codes"), [(1.0, []), (1.4, ["lot.feed"]), (0.7, ["lot.feed"])])
def test_feed_that_growth_does_not_explain(times, codes):
    fed = life(FeedDelivered(on(0), expected_feed(35) * times + 10), FeedLeft(on(35), 10.0))
    assert [f.code for f in feed_alert(fed, Seen(CURVE), on(35))] == codes


def test_feed_says_nothing_too_early():
    assert feed_alert(life(FeedDelivered(on(0), 50.0)), Seen(CURVE), on(5)) == ()
    assert feed_alert(life(), Seen(CURVE), on(35)) == ()


def test_medicine_must_leave_the_birds_first():
    lot = life(Medicated(on(30), on(34), "tylosin", 5), Medicated(on(1), on(20), "amprolium", 0))
    assert withdrawal_over_on(lot) == on(40)
    (found,) = withdrawal_alert(lot, on(39))
    assert found.severity is Severity.STOP
    assert date_text(on(40)) in found.sentence
    assert withdrawal_alert(lot, on(40)) == ()
    assert withdrawal_over_on(life()) is None


def test_all_alerts_together_come_worst_first():
    lot = life(
        Medicated(on(50), on(52), "tylosin", 5),
        Weighed(on(21), (0.65,) * 20),
        Weighed(on(35), (1.0,) * 20),
    )
    found = alerts(lot, on(53), seen=Seen(CURVE), slaughter_dates=[on(56)])
    assert [f.code for f in found] == ["lot.withdrawal", "lot.behind"]


def test_floor_and_heat_by_age_and_kind():
    assert floor_m2(100, 10) == pytest.approx(100 * 0.5 * 0.09290304)
    assert floor_m2(100, 40) == pytest.approx(2 * floor_m2(100, 10))
    for species in ("chicken", "turkey", "duck"):
        assert floor_basis(species).note
        warm = [brooder_heat(100, 7 * w, species) for w in range(6)]
        assert all(b.high_degC <= a.high_degC for a, b in itertools.pairwise(warm))
    assert brooder_heat(60, 0).lamps == 2
    assert brooder_heat(300, 0).lamps == 6
    assert brooder_heat(0, 0).lamps == 0


def test_pens_and_ground():
    found = pasture(150, pen_m2=11.15, moves=30)
    assert found.pens == 3
    assert found.area_m2 == pytest.approx(3 * 11.15 * 30)


@settings(deadline=None, max_examples=60)
@given(st.integers(1, 366), st.floats(-60, 60))
def test_days_and_nights_swap_across_the_equator(day, latitude):
    north = daylight_s(day, latitude)
    assert 0 <= north <= 86400
    # the sun's edge and refraction lengthen both days, most where it sets at a slant
    assert north + daylight_s(day, -latitude) == pytest.approx(86400, abs=3600)


def test_daylight_refuses_what_is_not_on_earth():
    with pytest.raises(InputError):
        daylight_s(0, 45)
    with pytest.raises(InputError):
        daylight_s(10, 91)


def test_nitrogen_over_the_limit_says_how_many_birds_fit():
    each = nitrogen_kg(5.66, 0.20)
    found = ground_load([each] * 200, area_m2=1000.0, limit_kg_per_m2=0.01)
    assert found.findings[0].code == "land.nitrogen"
    assert (
        ground_load(each, int(found.most_birds), area_m2=1000.0, limit_kg_per_m2=0.01).findings
        == ()
    )
