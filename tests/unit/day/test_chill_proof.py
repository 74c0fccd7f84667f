import datetime as dt

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pinfeather.day.chill_proof import Proof, batches, chill_verdict
from pinfeather.day.events import LoggerNote
from pinfeather.day.instruments import trusted
from pinfeather.day.logged import logged
from pinfeather.finding import Severity
from pinfeather.heat.logger import Log
from pinfeather.rules.profile import load
from pinfeather.units import KG_PER_LB, to_si

FEDERAL = load("us-federal")
MASSES = {"A7": (5.0 * KG_PER_LB,) * 6, "H2": (3.5 * KG_PER_LB,) * 6, "T1": (14 * KG_PER_LB,) * 2}
HOUR = 60.0
EXACT = {"red probe": 0.0, "barn dial": 0.0}


@pytest.fixture
def cut(journal):
    """Six birds of one lot cut in the first five minutes and in the tank half an hour later."""
    for minute in range(6):
        journal.tally("kill", minute)
    for minute in range(30, 36):
        journal.tally("chill", minute, place="East tank")
    return journal


def judge(journal, *, hours, accuracies_K=EXACT):
    done = journal.progress()
    (batch,) = batches(done, masses_kg=MASSES, profile=FEDERAL)
    readings = trusted(done.readings, done.ice_points, accuracies_K=accuracies_K)
    return chill_verdict(batch, readings, now=journal.at(hours * HOUR))


# --- batches


def test_a_batch_runs_from_the_first_cut_to_the_last_bird_in(cut):
    (batch,) = batches(cut.progress(), masses_kg=MASSES, profile=FEDERAL)
    assert (batch.tank, batch.birds, batch.lots) == ("East tank", 6, ("A7",))
    assert batch.first_cut == cut.at(0)
    assert batch.last_in == cut.at(35)
    assert batch.limit.hours == 6
    assert batch.due == cut.at(6 * HOUR)


def test_the_strictest_limit_among_the_lots_of_a_tank_counts(cut):
    cut.tally("kill", 40, lot="H2")
    cut.tally("chill", 60, place="East tank", lot="H2")
    (batch,) = batches(cut.progress(), masses_kg=MASSES, profile=FEDERAL)
    assert batch.lots == ("A7", "H2")
    assert batch.limit.hours == 4
    assert batch.due == cut.at(4 * HOUR)


def test_each_tanks_clock_starts_with_its_own_first_bird(journal):
    for minute in range(4):
        journal.tally("kill", minute * 10)
    journal.tally("chill", 50, birds=2, place="East tank")
    journal.tally("chill", 60, birds=2, place="West tank")
    east, west = batches(journal.progress(), masses_kg=MASSES, profile=FEDERAL)
    assert (east.tank, east.first_cut) == ("East tank", journal.at(0))
    assert (west.tank, west.first_cut) == ("West tank", journal.at(20))


def test_birds_of_an_unknown_lot_are_judged_by_every_bird_of_the_day(journal):
    journal.tally("kill", 0, lot="")
    journal.tally("chill", 30, place="East tank", lot="")
    (batch,) = batches(journal.progress(), masses_kg=MASSES, profile=FEDERAL)
    assert batch.lots == ()
    assert batch.limit.hours == 4


def test_without_any_weights_there_is_nothing_to_judge(cut):
    assert batches(cut.progress(), masses_kg={}, profile=FEDERAL) == ()


def test_where_the_cut_was_never_tapped_the_clock_starts_in_the_tank(journal):
    journal.tally("chill", 30, place="East tank")
    (batch,) = batches(journal.progress(), masses_kg=MASSES, profile=FEDERAL)
    assert batch.first_cut == journal.at(30)
    assert batch.due == journal.at(30 + 6 * HOUR)


def test_a_cut_tapped_after_the_bird_was_in_the_tank_does_not_lengthen_the_time(journal):
    journal.tally("chill", 30, place="East tank")
    journal.tally("kill", 90)
    (batch,) = batches(journal.progress(), masses_kg=MASSES, profile=FEDERAL)
    assert batch.first_cut == journal.at(30)
    assert batch.due == batch.first_cut + dt.timedelta(hours=6)


# --- proved or not


def test_forty_fahrenheit_exactly_with_a_perfect_thermometer_proves(cut):
    cut.reading("bird", 3 * HOUR, 40, place="East tank")
    verdict = judge(cut, hours=3)
    assert verdict.proof is Proof.PROVED
    assert verdict.by.reading.written == "40 F"
    assert verdict.finding.code == "chill.proved"
    assert verdict.finding.severity is Severity.NOTE
    assert verdict.finding.sentence == "East tank: 6 birds proved at 40 °F in time."


def test_forty_fahrenheit_does_not_prove_where_the_thermometer_may_be_off(cut):
    cut.reading("bird", 3 * HOUR, 40, place="East tank")
    assert judge(cut, hours=3, accuracies_K={"red probe": 0.5}).proof is Proof.PENDING
    cut.reading("bird", 3.5 * HOUR, 39, place="East tank")
    proved = judge(cut, hours=4, accuracies_K={"red probe": 0.5})
    assert proved.proof is Proof.PROVED
    assert proved.by.reading.written == "39 F"
    assert "red probe read 39 F, corrected 39.0 °F, give or take 0.9 °F." in proved.finding.reason


def test_the_ice_check_is_taken_out_before_judging(cut):
    cut.ice(-45, 34)
    cut.reading("bird", 3 * HOUR, 41.5, place="East tank")
    assert judge(cut, hours=3).proof is Proof.PROVED
    assert "corrected 39.5 °F" in judge(cut, hours=3).finding.reason


def test_an_ice_check_that_reads_low_takes_a_proof_away(cut):
    cut.ice(-45, 30)
    cut.reading("bird", 3 * HOUR, 39, place="East tank")
    assert judge(cut, hours=3).proof is Proof.PENDING


def test_no_time_alone_ever_proves_anything(cut, day_plan):
    assert max(tank.cold_s for tank in day_plan.tank_times) < 6 * 3600
    assert judge(cut, hours=5.9).proof is Proof.PENDING
    assert judge(cut, hours=48).proof is Proof.WARM


def test_the_water_being_cold_proves_nothing_about_the_birds(cut):
    cut.reading("bath", 3 * HOUR, 33, place="East tank")
    assert judge(cut, hours=3).proof is Proof.PENDING
    assert "No bird of this tank was probed" in judge(cut, hours=3).finding.reason


def test_a_reading_before_the_last_bird_went_in_does_not_prove(cut):
    cut.reading("bird", 34.9, 38, place="East tank")
    assert judge(cut, hours=1).proof is Proof.PENDING
    assert judge(cut, hours=1).by is None


def test_a_bird_of_another_tank_does_not_prove(cut):
    cut.reading("bird", 3 * HOUR, 38, place="West tank")
    assert judge(cut, hours=3).proof is Proof.PENDING


def test_a_cold_reading_after_the_time_is_over_is_late(cut):
    cut.reading("bird", 6 * HOUR + 1, 38, place="East tank")
    verdict = judge(cut, hours=7)
    assert verdict.proof is Proof.LATE
    assert verdict.finding.severity is Severity.STOP
    assert "came too late" in verdict.finding.sentence


def test_a_cold_reading_in_the_last_second_is_in_time(cut):
    cut.reading("bird", 6 * HOUR, 38, place="East tank")
    assert judge(cut, hours=7).proof is Proof.PROVED


def test_no_proof_at_the_end_of_the_time_is_a_stop_with_what_to_do(cut):
    cut.reading("bird", 5 * HOUR, 44, place="East tank")
    verdict = judge(cut, hours=6.1)
    assert verdict.proof is Proof.WARM
    assert verdict.by.reading.written == "44 F"
    assert verdict.finding.severity is Severity.STOP
    assert "Hold these birds apart" in verdict.finding.reason
    assert "6 h from the cut for 4 to 8 lb" in verdict.finding.citation
    assert verdict.finding.status == "read"


def test_birds_that_warm_again_later_are_no_longer_proved(cut):
    cut.reading("bird", 3 * HOUR, 38, place="East tank")
    cut.reading("bird", 4 * HOUR, 46, place="East tank")
    verdict = judge(cut, hours=4)
    assert verdict.proof is Proof.PENDING
    assert verdict.by.reading.written == "46 F"
    assert judge(cut, hours=7).proof is Proof.WARM


def test_cold_again_after_being_warm_counts_from_the_last_cold_reading(cut):
    cut.reading("bird", 3 * HOUR, 38, place="East tank")
    cut.reading("bird", 4 * HOUR, 46, place="East tank")
    cut.reading("bird", 5 * HOUR, 39, place="East tank")
    verdict = judge(cut, hours=7)
    assert verdict.proof is Proof.PROVED
    assert verdict.by.reading.written == "39 F"


def test_of_two_birds_probed_at_one_moment_the_warm_one_decides(cut):
    cut.reading("bird", 3 * HOUR, 46, place="East tank")
    cut.reading("bird", 3 * HOUR, 38, place="East tank")
    assert judge(cut, hours=3).proof is Proof.PENDING


def test_a_doubtful_reading_afterwards_does_not_take_the_proof_away(cut):
    accuracies = {"red probe": 0.5}
    cut.reading("bird", 3 * HOUR, 38, place="East tank")
    cut.reading("bird", 4 * HOUR, 40, place="East tank")
    assert judge(cut, hours=4, accuracies_K=accuracies).proof is Proof.PROVED


def test_readings_written_down_out_of_order_are_taken_in_order_of_time(cut):
    cut.reading("bird", 4 * HOUR, 38, place="East tank")
    cut.reading("bird", 3 * HOUR, 46, place="East tank")
    verdict = judge(cut, hours=4)
    assert verdict.proof is Proof.PROVED
    assert verdict.by.reading.written == "38 F"


def test_a_reading_in_celsius_is_told_in_celsius(cut):
    cut.reading("bird", 3 * HOUR, 3.5, unit="C", place="East tank")
    reason = judge(cut, hours=3, accuracies_K={"red probe": 0.5}).finding.reason
    assert reason == "red probe read 3.5 C, corrected 3.5 °C, give or take 0.5 °C."


def test_a_single_bird_is_one_bird(journal):
    journal.tally("kill", 0, lot="T1")
    journal.tally("chill", 30, place="West tank", lot="T1")
    verdict = judge(journal, hours=1)
    assert verdict.finding.sentence == "West tank: 1 bird still to be proved at 40 °F."
    assert verdict.batch.limit.hours == 8


# --- a logger left in a bird


def curve(journal, points, *, place="East tank", what="bird"):
    """A logger's curve of (minute, degF), as a kept file gives it."""
    note = LoggerNote(
        "note1", "ab" * 32, 1, what, place, "red probe", "probe.csv", "Odile", journal.at(0)
    )
    log = Log(
        np.array([journal.at(minute).timestamp() for minute, _ in points]),
        np.array([to_si(temp_F, "F", "temperature") for _, temp_F in points]),
        60.0,
        (),
    )
    checks = journal.progress().ice_points
    return logged(note, log, unit="F", ice_points=checks, accuracy_K=0.0)


SLOW_FALL = [(40, 100.0), (120, 60.0), (170, 48.0), (200, 39.5), (220, 38.0)]


def judge_with(journal, *curves, hours=4.0):
    done = journal.progress()
    (batch,) = batches(done, masses_kg=MASSES, profile=FEDERAL)
    readings = trusted(done.readings, done.ice_points, accuracies_K=EXACT)
    return chill_verdict(batch, readings, now=journal.at(hours * HOUR), logged=curves)


def test_a_checked_loggers_first_cold_moment_proves_like_a_reading(cut):
    cut.ice(-45, 32)
    verdict = judge_with(cut, curve(cut, SLOW_FALL))
    assert verdict.proof is Proof.PROVED
    assert verdict.by.reading.at == cut.at(200)


def test_an_unchecked_logger_proves_nothing_but_is_shown(cut):
    verdict = judge_with(cut, curve(cut, SLOW_FALL))
    assert verdict.proof is Proof.PENDING
    assert verdict.by.reading.written == "38.0 F"


@pytest.mark.parametrize(("place", "what"), [("West tank", "bird"), ("East tank", "bath")])
def test_a_logger_elsewhere_or_in_the_water_proves_nothing(cut, place, what):
    cut.ice(-45, 32)
    verdict = judge_with(cut, curve(cut, SLOW_FALL, place=place, what=what))
    assert verdict.proof is Proof.PENDING
    assert verdict.by is None


def test_a_logger_that_warms_again_takes_an_earlier_reading_back(cut):
    cut.ice(-45, 32)
    cut.reading("bird", 205, 39, place="East tank")
    warms = curve(cut, [*SLOW_FALL, (230, 45.0)])
    assert judge_with(cut, warms).proof is Proof.PENDING
    cut.reading("bird", 235, 39, place="East tank")
    assert judge_with(cut, warms).proof is Proof.PROVED


@given(
    shown_F=st.floats(33, 48),
    accuracy_K=st.floats(0, 1.5),
    hour=st.floats(1, 8),
)
def test_proved_always_means_cold_enough_even_if_the_thermometer_errs_against_us(
    new_journal, shown_F, accuracy_K, hour
):
    journal = new_journal()
    journal.tally("kill", 0)
    journal.tally("chill", 30, place="East tank")
    journal.reading("bird", hour * HOUR, shown_F, place="East tank")
    verdict = judge(journal, hours=9, accuracies_K={"red probe": accuracy_K})
    cold = verdict.by.corrected_degC + accuracy_K <= verdict.batch.limit.target.si + 1e-9
    if verdict.proof is Proof.PROVED:
        assert cold
        assert hour <= 6
    elif verdict.proof is Proof.LATE:
        assert cold
        assert hour > 6
    else:
        assert verdict.proof is Proof.WARM
        assert not cold
