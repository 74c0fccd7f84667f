import datetime as dt
import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pinfeather.day.chill_learning import ProbedBird, own_numbers
from pinfeather.day.chill_proof import Proof, batches, chill_verdict
from pinfeather.day.cold_now import From, Risk, Shop, cold_now
from pinfeather.day.events import IcePoint, LoggerNote
from pinfeather.day.instruments import trusted
from pinfeather.day.logged import logged
from pinfeather.heat.carcass import chill_time
from pinfeather.heat.learning import Probed
from pinfeather.heat.logger import Log
from pinfeather.rules.profile import load
from pinfeather.units import to_si

FEDERAL = load("us-federal")
LIMIT = FEDERAL.chill.target.si
EXACT = {"red probe": 0.0}


@pytest.fixture
def fill(journal):
    """Put birds of the broad lot into a tank at minute 40, cut at minute 10."""

    def put(tank="East tank", *, birds=5, cut=10, into=40):
        journal.tally("kill", cut, birds=birds)
        journal.tally("chill", into, birds=birds, place=tank)
        return journal

    return put


@pytest.fixture
def stand(journal, day_request):
    def now_at(minute, *, accuracies_K=EXACT, curves=(), own=None, **units):
        done = journal.progress()
        readings = trusted(done.readings, done.ice_points, accuracies_K=accuracies_K)
        masses = {lot.code: lot.masses_kg for lot in day_request.lots}
        now = journal.at(minute)
        verdicts = [
            chill_verdict(batch, readings, now=now, logged=curves)
            for batch in batches(done, masses_kg=masses, profile=FEDERAL)
        ]
        shop = Shop(
            request=day_request,
            done=done,
            readings=readings,
            logged=tuple(curves),
            zone=journal.zone,
            own=own,
            **units,
        )
        return cold_now(shop, verdicts, now=now)

    return now_at


def largest(day_request, code="A7"):
    lot = next(lot for lot in day_request.lots if lot.code == code)
    return lot, max(lot.masses_kg)


def line(minute, *, start_F=100.0, bath_F=34.0, f_min=80.0, into=40):
    """A bird on one cooling line in its water, as read by a thermometer."""
    return bath_F + (start_F - bath_F) * 10 ** (-(minute - into) / f_min)


# --- when it should be cold


def test_without_a_reading_the_time_is_the_plans(fill, stand, day_request, journal):
    fill()
    (one,) = stand(60)
    lot, mass_kg = largest(day_request)
    expected = chill_time(mass_kg, build=lot.build, bath=one.bath, bath_degC=1.0, limit_degC=LIMIT)
    assert one.expected.basis is From.PLAN
    assert one.expected.words.startswith("From the plan")
    for moment, seconds in (
        (one.expected.low, expected.low_s),
        (one.expected.value, expected.time_s),
        (one.expected.high, expected.high_s),
    ):
        assert moment == journal.at(40) + dt.timedelta(seconds=seconds)


def test_two_readings_of_one_bird_replace_the_plan(fill, stand, journal):
    fill()
    journal.reading("bath", 60, 34.0, place="East tank")
    for minute in (80, 110):
        journal.reading("bird", minute, line(minute), place="East tank")
    (one,) = stand(115)
    assert one.expected.basis is From.TWO_READINGS
    assert one.expected.words.startswith("From your two readings")
    # on that line 40 F is met 80 log10(66 / 6) minutes after it went in
    truth = journal.at(40 + 80 * math.log10(66 / 6))
    assert abs((one.expected.value - truth).total_seconds()) < 1
    assert one.expected.low == one.expected.value == one.expected.high  # an exact thermometer


def test_a_thermometer_that_may_be_off_widens_the_band(fill, stand, journal):
    fill()
    journal.reading("bath", 60, 34.0, place="East tank")
    for minute in (80, 110):
        journal.reading("bird", minute, line(minute), place="East tank")
    (one,) = stand(115, accuracies_K={"red probe": 0.5})
    assert one.expected.low < one.expected.value < one.expected.high


def test_readings_of_two_birds_are_not_taken_for_one(fill, stand, journal):
    fill()
    journal.reading("bath", 60, 34.0, place="East tank")
    for minute, mass_kg in ((80, 2.0), (110, 2.4)):
        journal.reading("bird", minute, line(minute), place="East tank")
        journal.events[-1].payload["mass_kg"] = mass_kg
    (one,) = stand(115)
    assert one.expected.basis is From.ONE_READING
    assert one.expected.words.startswith("From your reading")


def test_two_readings_too_close_together_tell_no_rate(fill, stand, journal):
    fill()
    journal.reading("bath", 60, 34.0, place="East tank")
    for minute in (108, 110):
        journal.reading("bird", minute, line(minute), place="East tank")
    assert stand(115)[0].expected.basis is From.ONE_READING


def test_a_reading_made_too_early_leaves_the_plan(fill, stand, journal):
    fill()
    journal.reading("bird", 45, 98.0, place="East tank")
    assert stand(50)[0].expected.basis is From.PLAN


def test_a_series_on_one_line_goes_before_two_readings(fill, stand, journal):
    fill()
    journal.reading("bath", 60, 34.0, place="East tank")
    for minute in range(60, 110, 8):
        journal.reading("bird", minute, line(minute), place="East tank")
    (one,) = stand(115)
    assert one.expected.basis is From.SERIES
    truth = journal.at(40 + 80 * math.log10(66 / 6))
    assert abs((one.expected.value - truth).total_seconds()) < 30


def test_a_logger_in_the_last_bird_gives_the_series(fill, stand, journal):
    fill()
    journal.reading("bath", 60, 34.0, place="East tank")
    minutes = np.arange(38.0, 110.0)
    values = [to_si(line(m, into=38), "F", "temperature") for m in minutes]
    check = IcePoint("i1", "stick", "32 F", 0.0, "Odile", journal.at(-30))
    note = LoggerNote("l1", "0" * 64, 1, "bird", "East tank", "stick", "s.csv", "", journal.at(110))
    times = np.array([journal.at(m).timestamp() for m in minutes])
    curve = logged(
        note, Log(times, np.array(values), 60.0, ()), unit="F", ice_points=[check], accuracy_K=0.0
    )
    (one,) = stand(111, curves=(curve,))
    assert one.expected.basis is From.SERIES
    assert "stick" in one.expected.words


def test_the_farms_own_numbers_replace_the_handbook(fill, stand, day_request):
    fill()
    (book,) = stand(60)
    lot, mass_kg = largest(day_request)
    rng = np.random.default_rng(4)
    birds = []
    for day in range(4):
        times = np.array([2400.0, 4200.0])
        values = 1.0 + 37.0 * 10 ** (-times / 3000.0) + rng.normal(0, 0.1, 2)
        probed = Probed(mass_kg, 1.0, times, values)
        birds.append(
            ProbedBird(dt.date(2026, 8, 1 + day), "East tank", (lot.build, book.bath), probed)
        )
    (own,) = stand(60, own=own_numbers(birds))
    assert own.thickness_m.basis.note.startswith("your last 4 days")
    assert "your last 4 days" in own.expected.words
    width, book_width = (e.high - e.low for e in (own.expected, book.expected))
    assert width < book_width


# --- what to do now


def test_water_too_warm_wants_ice_by_weight(fill, stand, journal):
    fill()
    journal.reading("bath", 60, 38.0, place="East tank")
    (one,) = stand(65)
    assert (one.act, one.risk) == ("ice", Risk.LATE if one.expected.high > one.verdict.batch.due
                                   else Risk.WATER)  # fmt: skip
    assert one.sentence.startswith("Add ")
    pounds = float(one.sentence.split()[1].split("\u202f")[0])
    assert pounds % 5 == 0
    assert pounds > 0
    assert "38.0\u202f°F" in one.sentence


def test_ice_given_since_the_reading_settles_it(fill, stand, journal):
    fill()
    journal.reading("bath", 60, 38.0, place="East tank")
    journal.did("ice_more", 62, place="East tank")
    (one,) = stand(65)
    assert one.water is None
    assert one.act == "wait"


def test_water_above_the_limit_never_gets_there(fill, stand, journal):
    fill()
    journal.reading("bath", 60, 45.0, place="East tank")
    (one,) = stand(65)
    assert one.risk is Risk.NEVER
    assert one.expected.value is None
    assert one.act == "ice"


def test_too_many_birds_in_warm_water_are_split(fill, stand, journal):
    fill(birds=40)
    journal.reading("bath", 60, 38.0, place="East tank")
    (one,) = stand(65)
    assert one.act == "split"
    assert "move" in one.sentence


def test_a_tank_with_time_is_left_alone_until_the_bird_should_be_cold(fill, stand):
    fill()
    (one,) = stand(60)
    assert (one.act, one.risk) == ("wait", Risk.FINE)
    assert f"{one.expected.value:%H:%M}" in one.sentence
    (later,) = stand(60 + (one.expected.value - one.verdict.batch.last_in).total_seconds() / 60)
    assert later.act == "probe"


def test_a_reading_too_close_to_call_is_taken_again_a_quarter_of_an_hour_later(
    fill, stand, journal
):
    fill()
    journal.reading("bird", 150, 39.5, place="East tank")
    (one,) = stand(152, accuracies_K={"red probe": 1.0})
    assert one.act == "wait"
    assert one.sentence.startswith("Too close to call")
    assert f"{journal.at(165):%H:%M}" in one.sentence
    assert stand(166, accuracies_K={"red probe": 1.0})[0].act == "probe"


def test_a_proved_batch_is_packed(fill, stand, journal):
    fill()
    journal.reading("bird", 150, 38.0, place="East tank")
    (one,) = stand(155)
    assert (one.act, one.risk) == ("proved", Risk.PROVED)


def test_a_batch_over_its_time_is_held(fill, stand, journal):
    fill()
    (one,) = stand(10 + 9 * 60)
    assert (one.act, one.risk) == ("hold", Risk.OVER)
    assert "Probe" in one.sentence
    journal.reading("bird", 10 + 9 * 60, 36.0, place="East tank")
    (one,) = stand(11 + 9 * 60)
    assert one.verdict.proof is Proof.LATE
    assert one.sentence.startswith("Hold")


def test_a_bird_that_would_be_late_is_hurried(fill, stand, journal):
    fill()
    journal.reading("bath", 60, 34.0, place="East tank")
    for minute in (80, 140):
        journal.reading("bird", minute, line(minute, f_min=400.0), place="East tank")
    (one,) = stand(145)
    assert (one.act, one.risk) == ("hurry", Risk.LATE)
    assert "stir" in one.sentence


def test_the_batch_at_risk_comes_first(fill, stand, journal):
    fill("East tank")
    fill("West tank", cut=15, into=45)
    first, second = stand(60)
    assert (first.verdict.batch.tank, first.risk) == ("West tank", Risk.LATE)  # nobody stirs it
    assert (second.verdict.batch.tank, second.risk) == ("East tank", Risk.FINE)
    journal.reading("bath", 61, 45.0, place="East tank")
    assert [b.verdict.batch.tank for b in stand(65)] == ["East tank", "West tank"]
    journal.reading("bird", 150, 36.0, place="East tank")
    assert [b.verdict.batch.tank for b in stand(151)] == ["West tank", "East tank"]


def test_a_metric_farm_reads_kilograms_and_celsius(fill, stand, journal):
    fill()
    journal.reading("bath", 60, 38.0, place="East tank")
    (one,) = stand(65, temp_unit="C", mass_unit="kg")
    assert "kg" in one.sentence
    assert "°C" in one.sentence


@settings(max_examples=25, deadline=None)
@given(minute=st.integers(41, 2000))
def test_a_time_that_has_passed_proves_nothing(new_journal, day_request, minute):
    journal = new_journal()
    journal.tally("kill", 10, birds=5)
    journal.tally("chill", 40, birds=5, place="East tank")
    done = journal.progress()
    masses = {lot.code: lot.masses_kg for lot in day_request.lots}
    now = journal.at(minute)
    verdicts = [
        chill_verdict(b, (), now=now) for b in batches(done, masses_kg=masses, profile=FEDERAL)
    ]
    shop = Shop(request=day_request, done=done, readings=(), logged=(), zone=journal.zone)
    (one,) = cold_now(shop, verdicts, now=now)
    assert one.verdict is verdicts[0]
    assert one.verdict.proof in {Proof.PENDING, Proof.WARM}
    assert one.act != "proved"
