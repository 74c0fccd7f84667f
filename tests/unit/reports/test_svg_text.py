from __future__ import annotations

import datetime as dt
import itertools
from xml.etree import ElementTree as ET

from hypothesis import given
from hypothesis import strategies as st

from pinfeather.reports.svg_text import attr, content, num, text_width, time_ticks

START = dt.datetime(2026, 9, 12, 9, 0, tzinfo=dt.UTC)


def test_coordinates_are_short():
    assert [num(x) for x in (12.0, 12.04, 12.06, -0.01)] == ["12", "12", "12.1", "0"]


@given(st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\ufffe\uffff")))
def test_any_text_makes_well_formed_markup(words):
    node = ET.fromstring(f"<a b={attr(words)}>{content(words)}</a>")

    kept = "".join(c for c in words if c >= " " or c in "\t\n")
    assert (node.text or "") == kept.replace("\r", "")
    assert node.get("b").split() == kept.split()


def test_bold_and_longer_texts_are_wider():
    assert text_width("Draw", 13) < text_width("Draw", 13, bold=True) < text_width("Drawing", 13)


@given(
    length_min=st.floats(5, 1500),
    width=st.floats(250, 1400),
    begin_min=st.integers(0, 1439),
)
def test_time_labels_never_touch(length_min, width, begin_min):
    start = START.replace(hour=0) + dt.timedelta(minutes=begin_min)
    scale = width / (length_min * 60)

    ticks = time_ticks(start, length_min * 60, px_per_s=scale, size=13, clock="12h")

    ends = [
        (at * scale - text_width(words, 13) / 2, at * scale + text_width(words, 13) / 2)
        for at, words in ticks
    ]
    assert all(before[1] < following[0] for before, following in itertools.pairwise(ends))


def test_the_half_day_is_said_only_where_it_changes():
    ticks = time_ticks(START, 5 * 3600, px_per_s=100 / 3600, size=13, clock="12h")

    assert [words for _at, words in ticks] == [
        "9:00 am", "10:00", "11:00", "12:00 pm", "1:00", "2:00",
    ]  # fmt: skip


def test_ticks_stand_on_round_times_also_when_the_start_is_not():
    ticks = time_ticks(START.replace(minute=7), 3600, px_per_s=400 / 3600, size=13, clock="24h")

    assert [words for _at, words in ticks] == ["9:15", "9:30", "9:45", "10:00"]
    assert ticks[0][0] == 8 * 60
