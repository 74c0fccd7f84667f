import datetime as dt

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pinfeather.day.chill_proof import Proof, batches, chill_verdict, proving_reading
from pinfeather.day.events import IcePoint, LoggerNote
from pinfeather.day.instruments import trusted
from pinfeather.day.logged import (
    doubts,
    first_cold,
    growth_findings,
    judged,
    last_warm,
    logged,
    logger_sentence,
)
from pinfeather.errors import InputError
from pinfeather.finding import Severity
from pinfeather.heat.logger import Log
from pinfeather.heat.thermometer import Verdict, cold_enough
from pinfeather.rules.profile import load
from pinfeather.units import KG_PER_LB, to_si

FEDERAL = load("us-federal")
LIMIT = FEDERAL.chill.target.si
MASSES = {"A7": (5.0 * KG_PER_LB,) * 6}
START = dt.datetime(2026, 9, 19, 13, 30, tzinfo=dt.UTC)


def at(minute):
    return START + dt.timedelta(minutes=minute)


def note(what="bird", place="East tank", instrument="stick logger"):
    return LoggerNote("f1", "0" * 64, 1, what, place, instrument, "stick 3.csv", "Odile", at(0))


def check(minute, degF, instrument="stick logger"):
    reading = to_si(degF, "F", "temperature")
    return IcePoint(f"i{minute}", instrument, f"{degF} F", reading, "Odile", at(minute))


def cooling(minutes, *, start=38.0, bath=1.0, f_min=90.0):
    """A breast cooling along one line."""
    since = np.asarray(minutes, dtype=float) - minutes[0]
    return bath + (start - bath) * 10 ** (-since / f_min)


def curve(minutes, values, *, checks=(), accuracy_K=0.5, what="bird", **span):
    times = np.array([at(m).timestamp() for m in minutes])
    log = Log(times, np.asarray(values, dtype=float), 60.0, ())
    return logged(note(what), log, unit="F", ice_points=checks, accuracy_K=accuracy_K, **span)


MINUTES = list(range(36, 300))
CHECKED = (check(-20, 32.0),)


@pytest.fixture
def batch(journal):
    for minute in range(6):
        journal.tally("kill", minute)
    for minute in range(30, 36):
        journal.tally("chill", minute, place="East tank")
    (one,) = batches(journal.progress(), masses_kg=MASSES, profile=FEDERAL)
    return one


def verdict(batch, one, *, minute, readings=()):
    return chill_verdict(batch, readings, now=at(minute), logged=(one,))


def test_a_curve_that_comes_down_in_a_bird_proves_its_batch(batch):
    one = curve(MINUTES, cooling(MINUTES), checks=CHECKED)
    found = verdict(batch, one, minute=300)
    assert found.proof is Proof.PROVED
    assert found.by.reading.instrument == "stick logger"
    assert found.by.ice_point == CHECKED[0]
    # the first reading whose guard band is under the limit, and not the one before
    before = one.point(int(np.searchsorted(one.times_s, found.by.reading.at.timestamp())) - 1)
    assert found.by.corrected_degC + found.by.uncertainty_K <= LIMIT
    assert before.corrected_degC + before.uncertainty_K > LIMIT


def test_without_an_ice_check_a_curve_proves_nothing(batch):
    one = curve(MINUTES, cooling(MINUTES))
    assert verdict(batch, one, minute=300).proof is Proof.PENDING
    assert [f.code for f in doubts(one, target_degC=LIMIT)] == ["logger.unchecked"]


def test_a_check_made_after_the_curve_does_not_count(batch):
    one = curve(MINUTES, cooling(MINUTES), checks=(check(310, 32.0),))
    assert verdict(batch, one, minute=320).proof is Proof.PENDING


def test_the_ice_check_is_taken_out_of_the_curve():
    plain = curve(MINUTES, cooling(MINUTES), checks=CHECKED)
    high = curve(MINUTES, cooling(MINUTES) + 1.0, checks=(check(-20, 33.8),))
    assert np.allclose(plain.corrected_degC, high.corrected_degC)


def test_a_newer_check_takes_over_from_its_moment_on():
    one = curve(MINUTES, cooling(MINUTES), checks=(check(-20, 32.0), check(100, 33.8)))
    assert one.corrected_degC[0] == pytest.approx(one.degC[0])
    assert one.corrected_degC[-1] == pytest.approx(one.degC[-1] - 1.0)
    assert (one.point(0).ice_point, one.point(-1).ice_point) == one.ice_points


def test_a_thermometer_broken_by_its_check_proves_nothing(batch):
    one = curve(MINUTES, cooling(MINUTES), checks=(check(-20, 60.0),))
    assert one.uncertainty_K.min() > 10
    assert verdict(batch, one, minute=300).proof is Proof.PENDING


def test_a_curve_that_gets_cold_too_late_is_late(batch):
    minutes = list(range(36, 420))
    one = curve(minutes, cooling(minutes, f_min=340.0), checks=CHECKED)
    assert verdict(batch, one, minute=420).proof is Proof.LATE


def test_a_probe_that_lay_in_the_water_all_the_time_proves_nothing(batch):
    one = curve(MINUTES, np.full(len(MINUTES), 1.0), checks=CHECKED)
    assert verdict(batch, one, minute=300).proof is Proof.PENDING
    assert [f.code for f in doubts(one, target_degC=LIMIT)] == ["logger.never_warm"]


def test_a_probe_dropped_from_the_warm_room_into_the_water_proves_nothing(batch):
    values = np.where(np.arange(len(MINUTES)) < 10, 20.0, 1.0)
    one = curve(MINUTES, values, checks=CHECKED)
    assert verdict(batch, one, minute=300).proof is Proof.PENDING
    assert [f.code for f in doubts(one, target_degC=LIMIT)] == ["logger.too_fast"]


def test_a_bird_that_went_in_long_before_the_last_proves_only_itself(batch):
    minutes = list(range(-60, 300))
    one = curve(minutes, cooling(minutes), checks=(check(-90, 32.0),))
    assert verdict(batch, one, minute=300).proof is Proof.PENDING
    found = doubts(one, target_degC=LIMIT, last_in=batch.last_in)
    assert [f.code for f in found] == ["logger.early_bird"]


def test_a_curve_of_the_water_never_proves_a_bird(batch):
    one = curve(MINUTES, cooling(MINUTES), checks=CHECKED, what="bath")
    assert verdict(batch, one, minute=300).proof is Proof.PENDING


def test_a_curve_of_another_tank_proves_nothing_here(batch):
    one = curve(MINUTES, cooling(MINUTES), checks=CHECKED)
    elsewhere = proving_reading(
        (), tank="West tank", last_in=batch.last_in, target_degC=LIMIT, logged=(one,)
    )
    assert elsewhere is None


def test_a_warm_hand_reading_after_the_curve_takes_its_proof_back(batch, journal):
    one = curve(MINUTES, cooling(MINUTES), checks=CHECKED)
    journal.reading("bird", 310, 47.0, place="East tank")
    readings = trusted(journal.progress().readings, (), accuracies_K={"red probe": 0.5})
    found = verdict(batch, one, minute=320, readings=readings)
    assert found.proof is Proof.PENDING
    assert found.by.reading.instrument == "red probe"


def test_a_warm_stretch_of_the_curve_takes_back_a_cold_hand_reading(batch, journal):
    journal.reading("bird", 60, 35.0, place="East tank")
    readings = trusted(journal.progress().readings, (), accuracies_K={"red probe": 0.5})
    assert verdict(batch, curve([36], [38.0]), minute=70, readings=readings).proof is Proof.PROVED
    one = curve(MINUTES, cooling(MINUTES))
    assert verdict(batch, one, minute=300, readings=readings).proof is Proof.PENDING


def test_only_the_time_in_place_counts():
    one = curve(MINUTES, cooling(MINUTES), since=at(60), until=at(90))
    assert (one.at(0), one.at(-1)) == (at(60), at(90))
    with pytest.raises(InputError, match="in that time"):
        curve(MINUTES, cooling(MINUTES), since=at(900))


def test_the_sentence_says_when_it_was_cold_and_how_warm_after():
    values = [38.0, 20.0, 10.0, 4.0, 4.9, 3.0]
    one = curve([0, 30, 60, 90, 120, 150], values, checks=CHECKED)
    sentence = logger_sentence(one, limit="40 °F", limit_degC=LIMIT, zone=dt.UTC)
    cold_at = dt.datetime.fromtimestamp(judged(one, limit_degC=LIMIT).first_cold_s, dt.UTC)
    # between 10 and 4 degC the limit is crossed after 27.8 of 30 minutes
    assert f"{cold_at:%H:%M}" == "14:57"
    assert sentence == "Logger stick 3.csv: down to 40 °F at 14:57, never above 40.9 °F after."


def test_a_curve_that_never_gets_there_says_how_cold_it_got():
    one = curve([0, 30], [38.0, 10.0])
    sentence = logger_sentence(one, limit="40 °F", limit_degC=LIMIT, zone=dt.UTC)
    assert sentence == "Logger stick 3.csv: never down to 40 °F; coldest 50.0\u202f°F."


def test_growth_is_judged_for_birds_and_not_for_water():
    warm = curve(list(range(0, 600, 5)), np.full(120, 30.0))
    (first, *_rest) = growth_findings(warm)
    assert (first.code, first.severity) == ("growth.hold", Severity.STOP)
    assert first.status
    assert growth_findings(curve(MINUTES, cooling(MINUTES), what="bath")) == ()


TEMPERATURES = st.lists(st.floats(-2, 40, allow_nan=False), min_size=2, max_size=40)


@given(values=TEMPERATURES, accuracy=st.floats(0, 2))
def test_a_whole_curve_is_judged_like_its_single_readings(values, accuracy):
    one = curve(list(range(len(values))), values, checks=(check(-5, 31.5),), accuracy_K=accuracy)
    singles = [one.point(k) for k in range(len(values))]
    verdicts = [
        cold_enough(p.corrected_degC, limit_degC=LIMIT, uncertainty_K=p.uncertainty_K)
        for p in singles
    ]
    warm = [p.reading.at for p, v in zip(singles, verdicts, strict=True) if v is Verdict.NO]
    assert last_warm(one, since=at(0), target_degC=LIMIT) == max(warm, default=None)
    after = max(warm, default=None)
    found = first_cold(one, since=at(0), after=after, target_degC=LIMIT)
    if found is not None:
        cold = [
            p.reading.at
            for p, v in zip(singles, verdicts, strict=True)
            if v is Verdict.YES and (after is None or p.reading.at > after)
        ]
        assert found.reading.at == min(cold)
