from __future__ import annotations

import csv
import datetime as dt
import io
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pinfeather.errors import InputError
from pinfeather.reports.tables import csv_bytes, csv_text, safe_cell

TEXT = st.text(st.characters(exclude_characters="\0", exclude_categories=["Cs"]))


@pytest.mark.parametrize("start", ["=", "+", "-", "@", "\t", "\r", "\n", "＝"])
def test_a_text_that_looks_like_a_formula_gets_an_apostrophe(start):
    assert safe_cell(f"{start}cmd|' /C calc'!A0") == f"'{start}cmd|' /C calc'!A0"


@pytest.mark.parametrize("number", [-3, -2.5, Decimal("-0.10")])
def test_a_negative_number_stays_a_number(number):
    assert safe_cell(number) == number


def test_yes_nothing_and_moments_are_written_plainly():
    assert safe_cell(True) == "yes"
    assert safe_cell(None) == ""
    assert safe_cell(dt.date(2026, 9, 12)) == "2026-09-12"
    moment = dt.datetime(2026, 9, 12, 9, tzinfo=dt.UTC)
    assert safe_cell(moment) == "2026-09-12T09:00:00+00:00"


def test_commas_quotes_and_line_ends_are_quoted():
    assert csv_text(["a", "b"], [['say "no"', "x,y"]]) == 'a,b\r\n"say ""no""","x,y"\r\n'


def test_a_row_of_another_length_is_refused_by_its_number():
    with pytest.raises(InputError, match=r"rows\[1\]"):
        csv_text(["a"], [["x"], ["y", "z"]])


def test_a_zero_byte_is_refused():
    with pytest.raises(InputError, match="zero byte"):
        csv_text(["a"], [["x\0"]])


def test_a_file_begins_with_the_mark_that_spreadsheets_look_for():
    assert csv_bytes(["°F"], []) == b"\xef\xbb\xbf\xc2\xb0F\r\n"


@given(st.lists(st.lists(TEXT, min_size=2, max_size=2), max_size=5))
def test_whatever_people_write_comes_back_and_never_as_a_formula(rows):
    read = list(csv.reader(io.StringIO(csv_text(["a", "b"], rows), newline="")))

    assert len(read) == len(rows) + 1
    for cells, given_cells in zip(read[1:], rows, strict=True):
        for cell, written in zip(cells, given_cells, strict=True):
            assert not cell.startswith(("=", "+", "-", "@", "\t", "\r"))
            assert cell.removeprefix("'") == written.removeprefix("'")
