from __future__ import annotations

import datetime as dt
import math

import pytest

from pinfeather.errors import InputError
from pinfeather.reports.cold_curve_data import (
    BandPoint,
    ColdCurve,
    MetTime,
    ProbeReading,
    cold_curve_rows,
    cold_curve_sentence,
)
from pinfeather.units import to_si

START = dt.datetime(2026, 9, 12, 10, 10, tzinfo=dt.UTC)


def curve(**changes):
    fields = {
        "batch": "Tank 1",
        "place": "deep breast",
        "start": START,
        "length_s": 6 * 3600.0,
        "limit": 40.0,
        "limit_unit": "F",
        "expected": (BandPoint(0, 38, 39, 40), BandPoint(3600, 20, 22, 25)),
        "readings": (ProbeReading(1800, to_si(86.5, "F", "temperature"), "Red probe"),),
        "clock_limit_s": 4 * 3600.0,
        "met": MetTime(9000, 10800, 12600),
    }
    return ColdCurve(**{**fields, **changes})


def test_a_limit_is_converted_as_readings_are():
    assert curve().limit_degC == to_si(40, "F", "temperature")


def test_the_sentence_says_limit_expectation_and_last_reading():
    assert cold_curve_sentence(curve()) == (
        "Batch Tank 1, deep breast. Limit 40\u202f°F by 2:10 pm. "
        "Met at 1:10 pm, between 12:40 pm and 1:40 pm eight times in ten. "
        "Last reading 86.5\u202f°F at 10:40 am with Red probe."
    )


def test_the_sentence_speaks_in_the_readers_unit_but_keeps_the_limit_as_published():
    words = cold_curve_sentence(curve(), unit="C", clock="24h")

    assert "Limit 40\u202f°F by 14:10." in words
    assert "30.3\u202f°C" in words


def test_what_is_not_known_is_not_said():
    bare = curve(expected=(), readings=(), clock_limit_s=None, met=None)

    assert cold_curve_sentence(bare) == "Batch Tank 1, deep breast. Limit 40\u202f°F."


def test_rows_hold_every_reading_and_the_band_in_order_of_time():
    rows = cold_curve_rows(curve())

    assert len(rows) == 1 + 2 * 3
    assert rows == sorted(rows, key=lambda row: row[0])
    assert rows[3][3] == "Red probe"


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"start": START.replace(tzinfo=None)}, "time zone"),
        ({"now": START.replace(tzinfo=None)}, "time zone"),
        ({"length_s": 0.0}, "no length"),
        ({"length_s": math.inf}, "no length"),
        ({"expected": (BandPoint(9, 1, 2, 3), BandPoint(9, 1, 2, 3))}, "backwards"),
        ({"expected": (BandPoint(9, 3, 2, 1),)}, "upside down"),
        ({"readings": (ProbeReading(1, math.nan, "x"),)}, "finite"),
    ],
)
def test_a_curve_that_cannot_be_is_refused(changes, words):
    with pytest.raises(InputError, match=words):
        curve(**changes)
