"""A thermometer's ice checks over the years: one sentence, a small table, what to do."""

from __future__ import annotations

import datetime as dt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pinfeather.actions.day.ice_history import ice_history
from pinfeather.day.events import IcePoint
from pinfeather.finding import Severity
from pinfeather.units import to_si

ZONE = "America/Chicago"
START = dt.datetime(2026, 3, 2, 15, tzinfo=dt.UTC)


def check(day: float, written_F: float) -> IcePoint:
    return IcePoint(
        id=f"{day}",
        instrument="Dial",
        written=f"{written_F:g} F",
        reading_degC=to_si(written_F, "F", "temperature"),
        who="Ines",
        at=START + dt.timedelta(days=day),
    )


def history(*checks: tuple[float, float]):
    return ice_history([check(day, shown) for day, shown in checks], zone=ZONE)


def test_nothing_is_said_of_a_single_check():
    for checks in ((), ((0, 32.4),)):
        assert history(*checks).sentence == ""
        assert history(*checks).findings == ()


def test_two_checks_wait_for_a_third():
    assert history((0, 32), (30, 32.4)).sentence == (
        "Checked on 2 days since 2 March 2026: the third tells whether it drifts."
    )


def test_a_drift_says_when_the_thermometer_is_out():
    found = history((0, 32.0), (30.4375, 32.5), (60.875, 33.0))

    # half a degree a month, a degree off after two: two degrees after four, 121.75 days
    assert found.sentence == (
        "Over 3 checks since 2 March 2026 it moves +0.5\u202f°F a month; at that pace it is off by"
        " more than ±2\u202f°F after 2 July 2026."
    )
    assert [(row.day.isoformat(), row.offset) for row in found.rows][:2] == [
        ("2026-05-02", "+1.0\u202f°F"),
        ("2026-04-01", "+0.5\u202f°F"),
    ]
    assert found.findings == ()


def test_one_that_holds_still_is_called_steady():
    assert "Steady over 3 checks" in history((0, 32.4), (40, 32.4), (80, 32.4)).sentence
    assert "more than a year" in history((0, 31.0), (120, 31.4), (240, 31.8)).sentence


def test_a_jump_and_a_thermometer_that_is_off_are_told():
    found = history((0, 32.0), (10, 32.2), (20, 35.0))

    assert {one.code for one in found.findings} == {"thermometer.off", "thermometer.jumped"}
    assert max(one.severity for one in found.findings) is Severity.STOP
    assert "already off by more than" in found.sentence


def test_of_several_checks_on_one_day_the_last_counts():
    found = history((0, 32.0), (0.01, 33.0), (30, 33.0), (60, 33.0))

    assert [row.written for row in found.rows] == ["33 F", "33 F", "33 F"]
    assert "Steady" in found.sentence


def test_what_was_not_ice_stands_in_the_table_and_counts_for_nothing():
    found = history((0, 32.0), (30, 90.0), (60, 32.0), (90, 32.0))

    assert [row.offset for row in found.rows] == [
        "+0.0\u202f°F", "+0.0\u202f°F", "", "+0.0\u202f°F",
    ]  # fmt: skip
    assert "Steady over 3 checks" in found.sentence


@given(st.lists(st.tuples(st.floats(0, 1500), st.floats(-40, 120)), max_size=12))
def test_any_history_has_a_sentence_and_the_newest_first(checks):
    found = history(*checks)
    days = [row.day for row in found.rows]

    assert days == sorted(days, reverse=True)
    assert len(days) <= 8
    assert found.sentence == "" or found.sentence.endswith(".")


@pytest.mark.parametrize("unit", ["C", "F"])
def test_the_offset_is_told_in_the_unit_that_was_written(unit):
    shown = {"C": 0.5, "F": 32.9}[unit]
    point = IcePoint("1", "Dial", f"{shown} {unit}", 0.5, "Ines", START)
    (row,) = ice_history([point], zone=ZONE).rows

    assert row.offset == {"C": "+0.5\u202f°C", "F": "+0.9\u202f°F"}[unit]
