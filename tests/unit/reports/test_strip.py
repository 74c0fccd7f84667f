from __future__ import annotations

import csv
import dataclasses
import datetime as dt
import io

import pytest

from pinfeather.errors import InputError
from pinfeather.reports.strip import (
    Strip,
    StripPoint,
    StripThread,
    strip_csv,
    strip_header,
    strip_sentence,
    strip_table,
)

START = dt.datetime(2026, 9, 12, 9, 0, tzinfo=dt.UTC)


def two_birds(**changes):
    plan = tuple(
        StripThread(
            name,
            (
                StripPoint(0, late, late, late + 60, late + 60),
                StripPoint(1, late + 60, late + 60, late + 120, late + 120),
            ),
        )
        for name, late in (("1", 0), ("2", 60))
    )
    real = (
        StripThread(
            "1",
            (StripPoint(0, 0, 0, 90, 90), StripPoint(1, 90, 100, 160, None)),
        ),
        StripThread("2", (StripPoint(0, 90, 90, 150, 150), StripPoint(1, 150, None, None, None)),
                    late=True),
        StripThread("7", (StripPoint(0, 150, 150, None, None),)),
    )  # fmt: skip
    fields = {
        "stations": ("Draw", "Chill"),
        "planned": plan,
        "actual": real,
        "start": START,
        "now": START + dt.timedelta(seconds=170),
        "until": START + dt.timedelta(minutes=10),
    }
    return Strip(**{**fields, **changes})


def test_plan_and_deed_stand_in_one_row_for_each_bird_and_station():
    rows = strip_table(two_birds())

    assert [(r.bird, r.station, r.state) for r in rows] == [
        ("1", "Draw", "done"), ("1", "Chill", "done"),
        ("2", "Draw", "done"), ("2", "Chill", "waiting"), ("7", "Draw", "working"),
    ]  # fmt: skip
    assert rows[0].behind_min == 0.5
    assert rows[0].planned_finish == START + dt.timedelta(seconds=60)
    assert rows[3].arrived == START + dt.timedelta(seconds=150)
    assert [r.late for r in rows] == [False, False, True, True, False]


def test_a_bird_ahead_of_the_plan_has_a_negative_delay():
    early = StripThread("1", (StripPoint(0, 0, 0, 30, 30),))

    rows = strip_table(two_birds(actual=(early,)))

    assert rows[0].behind_min == -0.5
    assert rows[1].state == "planned"


def test_the_file_has_a_column_for_each_heading_and_a_line_for_each_row():
    strip = two_birds()

    lines = list(csv.reader(io.StringIO(strip_csv(strip))))

    assert lines[0] == list(strip_header())
    assert len(lines) == 1 + len(strip_table(strip))
    assert lines[1][2] == "2026-09-12T09:00:00+00:00"


def test_a_bird_named_like_a_formula_is_text_in_the_file():
    strip = two_birds(planned=(), actual=(StripThread("=1+1", (StripPoint(0, 0, 0, 9, 9),)),))

    assert "'=1+1" in strip_csv(strip)


def test_the_sentence_counts_birds_begun_through_and_overdue():
    assert strip_sentence(two_birds()) == (
        "2 birds planned. 3 begun, 2 have reached Chill, 1 overdue. Drawn at 9:02 am."
    )


def test_an_empty_day_has_no_rows():
    assert strip_table(two_birds(planned=(), actual=())) == []


@pytest.mark.parametrize(
    ("changes", "name"),
    [
        ({"start": START.replace(tzinfo=None)}, "start"),
        ({"now": START.replace(tzinfo=None)}, "now"),
        ({"deadline": START.replace(tzinfo=None)}, "deadline"),
        ({"until": START}, "until"),
        ({"stations": (), "planned": (), "actual": ()}, "stations"),
        ({"chill_station": 2}, "chill_station"),
        ({"actual": (StripThread("9", (StripPoint(2, 0, 0, 1, 1),)),)}, r"actual\[9\]"),
        ({"actual": (StripThread("9", (StripPoint(0, 5, 4, 6, 6),)),)}, r"actual\[9\]"),
        ({"actual": (StripThread("9", (StripPoint(0, 5, 6, 7, float("nan")),)),)}, r"actual\[9\]"),
    ],
)
def test_a_strip_that_cannot_be_is_refused(changes, name):
    with pytest.raises(InputError, match=name):
        two_birds(**changes)


def test_a_strip_cannot_be_changed():
    with pytest.raises(dataclasses.FrozenInstanceError):
        two_birds().now = None
