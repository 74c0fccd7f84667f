"""Files to tables, cells to dates and numbers: what is read is what was written, or is refused."""

from __future__ import annotations

import csv
import datetime as dt
import io
import string
import zipfile

import openpyxl
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pinfeather.actions.lists import workbook
from pinfeather.actions.lists.cells import (
    date_in,
    order_of,
    plain_number,
    point_of,
    weights_in,
    whole_in,
)
from pinfeather.actions.lists.kinds import KINDS, guessed
from pinfeather.actions.lists.table import MOST_BYTES, MOST_ROWS, read_table
from pinfeather.errors import InputError

FORMS = {"mdy": "{0.month}/{0.day}/{0.year}", "dmy": "{0.day}.{0.month}.{0.year}", "ymd": "{0}"}
DAYS = st.dates(dt.date(1990, 1, 1), dt.date(2060, 12, 31))
TEXTS = st.text(string.ascii_letters + "0123456789 ,;\"'|éß", max_size=12).map(
    lambda text: " ".join(text.split())
)


def sheet(rows, *, title="Flock book") -> bytes:
    book = openpyxl.Workbook()
    book.active.title = title
    for row in rows:
        book.active.append(row)
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def repacked(raw: bytes, name: str, content: bytes) -> bytes:
    """Write a workbook again with another content for one of its parts."""
    out = io.BytesIO()
    with (
        zipfile.ZipFile(io.BytesIO(raw)) as old,
        zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as new,
    ):
        for part in old.namelist():
            new.writestr(part, content if part == name else old.read(part))
    return out.getvalue()


# ------------------------------------------------------------------------------------ round trips


@given(
    rows=st.lists(st.lists(TEXTS, min_size=3, max_size=3), min_size=1, max_size=12),
    separator=st.sampled_from(",;\t|"),
    encoding=st.sampled_from(["utf-8", "utf-8-sig", "utf-16", "cp1252"]),
    ending=st.sampled_from(["\n", "\r\n"]),
)
def test_a_table_comes_back_as_it_was_written(rows, separator, encoding, ending) -> None:
    out = io.StringIO()
    writer = csv.writer(out, delimiter=separator, lineterminator=ending, quoting=csv.QUOTE_ALL)
    writer.writerows([["Lot name", "Buyer name", "Note"], *rows])

    table = read_table(out.getvalue().encode(encoding)) if any(map(any, rows)) else None

    if table is not None:
        assert table.names == ("Lot name", "Buyer name", "Note")
        assert [list(cells) for _n, cells in table.rows] == [row for row in rows if any(row)]


@given(day=DAYS, order=st.sampled_from(sorted(FORMS)))
def test_a_date_written_in_an_order_is_read_back_in_it(day, order) -> None:
    assert date_in(FORMS[order].format(day), order=order) == day


@given(day=DAYS)
def test_a_date_with_its_month_in_letters_needs_no_order(day) -> None:
    for form in ("%B %d, %Y", "%d %b %Y", "%d-%b-%Y", "%a, %b %d %Y", "%Y-%m-%d"):
        assert {date_in(day.strftime(form), order=one) for one in FORMS} == {day}


@given(days=st.lists(DAYS, min_size=1, max_size=30), order=st.sampled_from(["mdy", "dmy"]))
def test_the_order_told_is_never_the_wrong_one(days, order) -> None:
    told = order_of([FORMS[order].format(day) for day in days])
    assert told in {order, ""}
    assert (told == order) == any(day.day > 12 for day in days)


@given(
    number=st.decimals(0, 999_999, places=2),
    point=st.sampled_from(".,"),
    grouped=st.booleans(),
    sign=st.sampled_from(["", "$", "$ "]),
)
def test_a_number_is_read_back_whatever_its_signs(number, point, grouped, sign) -> None:
    text = f"{number:,.2f}" if grouped else f"{number:.2f}"
    if point == ",":
        text = text.translate(str.maketrans(",.", ".,"))
    assert float(plain_number(sign + text, point=point)) == float(number)


@pytest.mark.parametrize("text", ["", "abc", "=1+1", "1,2,3", "4 lb", "--3", "1e5", "٣"])
def test_what_is_no_number_is_refused(text) -> None:
    with pytest.raises(InputError):
        plain_number(text, point=".")


@pytest.mark.parametrize(
    "text", ["", "soon", "13/13/2026", "2/30/2026", "3/4", "=TODAY()", "45000"]
)
def test_what_is_no_date_is_refused(text) -> None:
    with pytest.raises(InputError):
        date_in(text, order="mdy")


def test_a_decimal_comma_is_taken_only_where_it_can_be_nothing_else() -> None:
    assert point_of(["4,6", "5,25"]) == ","
    assert point_of(["4.6", "1,250.00"]) == "."
    assert point_of(["1,250"]) == "."
    assert weights_in("4,6; 5,25", point=",") == "4.6; 5.25"


def test_birds_are_whole() -> None:
    assert whole_in("1,250", point=".", least=1, most=5000) == 1250
    assert whole_in("40.0", point=".", least=1, most=5000) == 40
    for text in ("0", "-3", "12.5", "9999999", ""):
        with pytest.raises(InputError):
            whole_in(text, point=".", least=1, most=5000)


# --------------------------------------------------------------------------------------- headings


def test_headings_may_stand_under_a_title_and_rows_keep_the_spreadsheets_own_numbers() -> None:
    table = read_table(
        b"Our flock book,,\n,,\nLot,Hatch date,Chicks\nB1,4/1/2025,50\n,,\nB2,5/1/2025,60\n"
    )
    assert table.names == ("Lot", "Hatch date", "Chicks")
    assert [n for n, _cells in table.rows] == [4, 6]


def test_a_table_without_headings_gets_letters_and_keeps_its_first_row() -> None:
    table = read_table(b"B1,4/1/2025,50\nB2,5/1/2025,60\n")
    assert table.names == ("Column A", "Column B", "Column C")
    assert len(table.rows) == 2


def test_headings_that_stand_twice_are_told_apart() -> None:
    assert read_table(b"Weight,Weight\n4,5\n").names == ("Weight", "Weight (2)")


@pytest.mark.parametrize(
    ("kind", "headings", "expected"),
    [
        ("lots", ["Batch", "Hatch date", "Species", "# of chicks", "Hatchery"],
         {"code": "Batch", "hatched": "Hatch date", "species": "Species",
          "count": "# of chicks", "source": "Hatchery"}),
        ("weighings", ["flock", "Date", "Weight (lb)"],
         {"lot": "flock", "on": "Date", "weights": "Weight (lb)"}),
        ("days", ["Processed date", "Birds", "Total weight"],
         {"on": "Processed date", "total": "Total weight"}),
        ("sales", ["Date", "Customer", "Item", "Lbs", "Price per lb", "Total paid"],
         {"on": "Date", "buyer": "Customer", "product": "Item", "weight": "Lbs",
          "price_per_lb": "Price per lb", "amount": "Total paid"}),
    ],
)  # fmt: skip
def test_columns_are_guessed_from_their_words(kind, headings, expected) -> None:
    assert {**guessed(KINDS[kind], headings), **expected} == guessed(KINDS[kind], headings)


# -------------------------------------------------------------------------------------- workbooks


def test_a_workbook_reads_as_the_same_table_as_its_text() -> None:
    rows = [
        ["Lot", "Hatched", "Count"],
        ["B1", dt.datetime(2025, 4, 1), 50],  # noqa: DTZ001 - a workbook knows no zones
        ["B2", dt.date(2025, 5, 9), 60.5],
    ]
    table = read_table(sheet(rows))
    assert table.names == ("Lot", "Hatched", "Count")
    assert [cells for _n, cells in table.rows] == [
        ("B1", "2025-04-01", "50"),
        ("B2", "2025-05-09", "60.5"),
    ]
    assert "Flock book" in table.how


def test_a_formula_in_a_workbook_is_never_worked_out() -> None:
    table = read_table(sheet([["Lot", "Count"], ["B1", "=1+1"]]))
    assert table.rows[0][1] == ("B1", "")


def test_a_packed_bomb_is_refused_before_it_is_unpacked(monkeypatch) -> None:
    raw = repacked(
        sheet([["Lot", "Count"], ["B1", 1]]), "xl/worksheets/sheet1.xml", b" " * 80_000_000
    )
    assert len(raw) < MOST_BYTES
    monkeypatch.setattr(openpyxl, "load_workbook", lambda *_a, **_k: pytest.fail("it was opened"))
    with pytest.raises(InputError, match="too large"):
        read_table(raw)


def test_a_bomb_that_lies_about_its_size_is_caught_while_it_is_unpacked(monkeypatch) -> None:
    monkeypatch.setattr(workbook, "_MOST_UNPACKED", 100_000)
    raw = repacked(sheet([["Lot", "Count"], ["B1", 1]]), "xl/styles.xml", b"<" * 5_000_000)
    with pytest.raises(InputError, match="too large"):
        read_table(raw)


def test_entities_in_a_workbook_are_refused() -> None:
    bomb = b'<?xml version="1.0"?><!DOCTYPE x [<!ENTITY a "aaaa">]><worksheet>&a;</worksheet>'
    with pytest.raises(InputError, match="cannot be read"):
        read_table(repacked(sheet([["Lot", "Count"], ["B1", 1]]), "xl/worksheets/sheet1.xml", bomb))


@pytest.mark.parametrize(
    ("raw", "words"),
    [
        (b"", "nothing in it"),
        (b"   \n", "nothing in it"),
        (b"%PDF-1.7 x", "PDF"),
        (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1 old", "old spreadsheet"),
        (b"\x89PNG\r\n\x1a\n", "picture"),
        (b"PK\x03\x04 nothing", "cannot be read"),
        (b"Lot,Count\nB\x001,5\n", "not plain text"),
        (b"\xff\xfeL\x00o", "no row|headings|cut off"),
        (b"Lot,Count\n", "no row under"),
        (b"x" * (MOST_BYTES + 1), "5 MB"),
        (b"Lot,Count\n" + b"B1,5\n" * (MOST_ROWS + 1), "5000 rows"),
        (b"Lot,Note\nB1," + b"y" * 5000 + b"\n", "Row 2"),
        (b",".join([b"A"] * 80) + b"\n" + b",".join([b"1"] * 80), "60 columns"),
    ],
)
def test_what_is_no_table_is_refused_with_a_sentence(raw, words) -> None:
    with pytest.raises(InputError, match=words):
        read_table(raw)


@given(raw=st.binary(max_size=400))
def test_any_bytes_are_a_table_or_a_clear_refusal(raw) -> None:
    for data in (raw, b"PK\x03\x04" + raw, b"\xff\xfe" + raw):
        try:
            table = read_table(data)
        except InputError:
            continue  # nothing else may come out of it
        else:
            assert all("\0" not in cell for _n, cells in table.rows for cell in cells)
            assert len(set(table.names)) == len(table.names)
