import datetime as dt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pinfeather.day.chill_proof import proving_reading
from pinfeather.day.instruments import (
    TEMPERATURES,
    TOGETHER_S,
    check_findings,
    disagreements,
    trusted,
)
from pinfeather.heat.thermometer import WORST_ACCURACY_K
from pinfeather.units import to_si

STATED = {"red probe": 1.0, "barn dial": 1.0}


def trust(journal, accuracies_K=STATED):
    done = journal.progress()
    return trusted(done.readings, done.ice_points, accuracies_K=accuracies_K)


def test_a_reading_is_corrected_by_what_its_thermometer_showed_in_ice(journal):
    journal.ice(-45, 33.8)
    journal.reading("bird", 200, 40, place="East tank")
    (one,) = trust(journal)
    assert one.corrected_degC == pytest.approx(to_si(38.2, "F", "temperature"))
    assert one.uncertainty_K == 0.5
    assert one.ice_point.written == "33.8 F"
    assert one.days_since_check == pytest.approx(245 / 1440)


def test_without_an_ice_check_the_reading_stands_with_all_its_stated_accuracy(journal):
    journal.reading("bird", 200, 40, place="East tank")
    (one,) = trust(journal)
    assert one.corrected_degC == one.reading.si
    assert one.uncertainty_K == 1.0
    assert one.ice_point is None
    assert one.days_since_check is None


def test_a_thermometer_nobody_entered_gets_the_worst_accuracy_allowed(journal):
    journal.reading("bath", 10, 34, place="East tank", instrument="borrowed")
    (one,) = trust(journal)
    assert one.uncertainty_K == WORST_ACCURACY_K


def test_the_newest_check_before_the_reading_counts_and_a_later_one_does_not(journal):
    journal.ice(-60, 34)
    journal.ice(-30, 33)
    journal.reading("bath", 10, 40, place="East tank")
    journal.ice(20, 36)
    (one,) = trust(journal)
    assert one.ice_point.written == "33 F"


def test_another_thermometers_check_does_not_count(journal):
    journal.ice(-30, 34, instrument="barn dial")
    journal.reading("bath", 10, 40, place="East tank")
    assert trust(journal)[0].ice_point is None


def test_a_month_old_check_still_corrects_but_no_longer_narrows(journal):
    journal.ice(-40 * 1440, 33.8)
    journal.reading("bath", 10, 40, place="East tank")
    (one,) = trust(journal)
    assert one.corrected_degC == pytest.approx(to_si(38.2, "F", "temperature"))
    assert one.uncertainty_K == 1.0


def test_only_temperatures_are_corrected(journal):
    journal.reading("strip", 0, 100, unit="ppm")
    for what in sorted(TEMPERATURES):
        journal.reading(what, 1, 40)
    assert {one.reading.what for one in trust(journal)} == TEMPERATURES


def test_a_broken_thermometer_proves_nothing_however_cold_it_reads(journal):
    journal.ice(-30, 10)
    journal.reading("bird", 200, 36, place="East tank")
    (one,) = trust(journal)
    assert one.ice_point is None
    assert one.corrected_degC == one.reading.si
    assert one.uncertainty_K == pytest.approx(22 * 5 / 9)
    proved = proving_reading(
        [one], tank="East tank", last_in=journal.at(0), target_degC=to_si(40, "F", "temperature")
    )
    assert proved is None


@given(ice_F=st.floats(20, 44), shown_F=st.floats(30, 110))
def test_taking_the_ice_check_out_moves_every_reading_by_the_same_amount(
    new_journal, ice_F, shown_F
):
    journal = new_journal()
    journal.ice(-30, ice_F)
    journal.reading("bird", 0, shown_F)
    (one,) = trust(journal)
    moved_F = (one.reading.si - one.corrected_degC) * 9 / 5
    assert moved_F == pytest.approx(ice_F - 32, abs=1e-9)


# --- two thermometers in the same water


def test_two_thermometers_that_cannot_both_be_right_are_told_and_the_checked_one_is_trusted(
    journal,
):
    journal.ice(-45, 32)
    journal.reading("bath", 100, 33.9, place="East tank")
    journal.reading("bath", 101, 38.2, place="East tank", instrument="barn dial")
    ((first, second, compared),) = disagreements(trust(journal), accuracies_K=STATED)
    assert (first.reading.instrument, second.reading.instrument) == ("red probe", "barn dial")
    assert compared.differ
    assert compared.trust == "red probe"
    assert "checked in ice today" in compared.why


def test_neither_is_trusted_where_nothing_tells_them_apart(journal):
    journal.reading("bath", 100, 33, place="East tank")
    journal.reading("bath", 101, 39, place="East tank", instrument="barn dial")
    ((_first, _second, compared),) = disagreements(trust(journal), accuracies_K=STATED)
    assert compared.trust is None
    assert "warmer reading" in compared.why


def test_a_difference_both_could_have_is_no_disagreement(journal):
    journal.reading("bath", 100, 34, place="East tank")
    journal.reading("bath", 101, 37.5, place="East tank", instrument="barn dial")
    assert disagreements(trust(journal), accuracies_K=STATED) == ()


@pytest.mark.parametrize(
    ("what", "place", "minute", "instrument"),
    [
        ("bath", "West tank", 101, "barn dial"),
        ("scalder", "East tank", 101, "barn dial"),
        ("bath", "East tank", 101, "red probe"),
        ("bath", "East tank", 100 + TOGETHER_S / 60 + 0.1, "barn dial"),
    ],
)
def test_other_water_another_time_or_the_same_thermometer_is_not_compared(
    journal, what, place, minute, instrument
):
    journal.reading("bath", 100, 33, place="East tank")
    journal.reading(what, minute, 45, place=place, instrument=instrument)
    assert disagreements(trust(journal), accuracies_K=STATED) == ()


def test_two_birds_may_differ(journal):
    journal.reading("bird", 100, 38, place="East tank")
    journal.reading("bird", 101, 50, place="East tank", instrument="barn dial")
    assert disagreements(trust(journal), accuracies_K=STATED) == ()


@pytest.mark.parametrize("written_first", ["early", "late"])
def test_a_later_agreement_takes_back_the_disagreement_whatever_was_written_first(
    journal, written_first
):
    def early():
        journal.reading("bath", 100, 33, place="East tank")
        journal.reading("bath", 101, 40, place="East tank", instrument="barn dial")

    def late():
        journal.reading("bath", 120, 34, place="East tank")
        journal.reading("bath", 121, 34, place="East tank", instrument="barn dial")

    for part in (early, late) if written_first == "early" else (late, early):
        part()
    assert disagreements(trust(journal), accuracies_K=STATED) == ()


def test_a_thermometer_nobody_entered_is_compared_with_the_worst_accuracy(journal):
    journal.reading("bath", 100, 33, place="East tank", instrument="one")
    journal.reading("bath", 101, 36.9, place="East tank", instrument="other")
    assert disagreements(trust(journal), accuracies_K={}) == ()
    journal.reading("bath", 102, 37.2, place="East tank", instrument="other")
    assert len(disagreements(trust(journal), accuracies_K={})) == 1


# --- was it checked today


def test_a_thermometer_used_without_a_check_that_day_is_told_once(journal):
    for minute in (10, 40):
        journal.reading("bath", minute, 34, place="East tank")
    (told,) = check_findings(trust(journal), date=dt.date(2026, 9, 19), zone=journal.zone)
    assert told.sentence == "“red probe” was not checked in ice today."
    assert told.where == "red probe"


def test_a_check_this_morning_is_enough_and_yesterdays_is_not(journal):
    journal.ice(-1440, 32)
    journal.ice(-45, 32, instrument="barn dial")
    journal.reading("bath", 10, 34, place="East tank")
    journal.reading("bath", 11, 34, place="East tank", instrument="barn dial")
    found = check_findings(trust(journal), date=dt.date(2026, 9, 19), zone=journal.zone)
    assert [finding.where for finding in found] == ["red probe"]


def test_today_is_the_farms_day_and_not_the_one_in_greenwich(journal):
    evening = 11.5 * 60  # eight in the evening at the farm is the next day in Greenwich
    journal.ice(evening, 32)
    journal.reading("bath", evening + 1, 34, place="East tank")
    readings = trust(journal)
    assert check_findings(readings, date=dt.date(2026, 9, 19), zone=journal.zone) == ()
    assert check_findings(readings, date=dt.date(2026, 9, 19), zone=dt.UTC) != ()
