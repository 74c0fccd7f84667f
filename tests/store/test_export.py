"""Everything out in open formats and back again: equal cell by cell, or not at all."""

from __future__ import annotations

import csv
import datetime as dt
import hashlib
import io
import json
import sqlite3
import zipfile
from contextlib import closing
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from django.db import connection, connections, models
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from pinfeather.actions import safe
from pinfeather.errors import StoreError
from pinfeather.records import dictionary, export, journal, rows, tables
from pinfeather.records import models as records
from pinfeather.records.writing import writing

AT = dt.datetime(2026, 6, 17, 14, 0, tzinfo=dt.UTC)
TEXT = st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\0"), max_size=20)
NASTY = st.sampled_from(
    [
        "=1+1",
        "+1",
        "-1",
        "@x",
        "'",
        "''",
        "'=1",
        "",
        "\t",
        "\r",
        "\n",
        "\r\n",
        ",",
        '"',
        '",\r\n"',
        "＝1",
        "−1",
        " =1",
        "\\N",
        "NULL",
        "0012",
        "1e5",
        "\u2028",
        "é",
        "日本",
        "\ufeff",
    ]
)
ANY_TEXT = TEXT | NASTY
NUMBER = st.floats(allow_nan=False, allow_infinity=False, min_value=-1e15, max_value=1e15)
JSON = st.recursive(
    st.none() | st.booleans() | st.integers(-(10**12), 10**12) | NUMBER | ANY_TEXT,
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(ANY_TEXT, inner, max_size=3),
    max_leaves=6,
)
MOMENT = st.datetimes(
    AT.replace(year=1971, tzinfo=None),
    AT.replace(year=2099, tzinfo=None),
    timezones=st.just(dt.UTC),
)


def a_value(field: models.Field) -> st.SearchStrategy[Any]:  # noqa: PLR0912 - one for each kind
    """Any value that a column can hold, links left out."""
    if field.choices:
        kept: st.SearchStrategy[Any] = st.sampled_from([code for code, _word in field.choices])
    elif isinstance(field, models.JSONField):
        kept = JSON.map(journal.storable)
        if not field.null:
            kept = kept.filter(lambda value: value is not None)
    elif isinstance(field, models.BinaryField):
        kept = st.binary(max_size=60)
    elif isinstance(field, models.BooleanField):
        kept = st.booleans()
    elif isinstance(field, models.DateTimeField):
        kept = MOMENT
    elif isinstance(field, models.DateField):
        kept = st.dates(dt.date(1900, 1, 1), dt.date(2199, 1, 1))
    elif isinstance(field, models.TimeField):
        kept = st.times()
    elif isinstance(field, models.DecimalField):
        top = 10 ** (field.max_digits - field.decimal_places) - 1
        kept = st.decimals(-top, top, places=field.decimal_places).map(Decimal)
    elif isinstance(field, models.PositiveSmallIntegerField):
        kept = st.integers(0, 32767)
    elif isinstance(field, models.PositiveBigIntegerField):
        kept = st.integers(0, 2**62)
    elif isinstance(field, models.IntegerField):
        kept = st.integers(0, 2**31 - 1)
    elif isinstance(field, models.FloatField):
        kept = NUMBER.map(lambda x: x + 0.0 if x else 0.0)
    else:
        longest = field.max_length
        kept = ANY_TEXT if longest is None else ANY_TEXT.map(lambda text: text[:longest])
    return kept | st.none() if field.null else kept


@st.composite
def a_row(draw, model: type[models.Model], keys: dict[type[models.Model], list[Any]], place: int):
    """A row with a key of its own, unique columns made so, links to rows there are."""
    values: dict[str, Any] = {}
    for field in tables.columns(model):
        if field.is_relation:
            there = keys.get(field.related_model) or []
            values[field.attname] = draw(st.sampled_from([*there, None] if field.null else there))
        elif field.primary_key and isinstance(field, models.IntegerField):
            values[field.attname] = place * 3
        else:
            value = draw(a_value(field))
            if field.unique:
                value = f"{place}{value}"[: field.max_length]
            values[field.attname] = value
    for rule in model._meta.constraints:
        if isinstance(rule, models.UniqueConstraint):
            field = next(f for f in map(model._meta.get_field, rule.fields) if not f.is_relation)
            text = isinstance(field, models.CharField)
            value = f"{place}{values[field.name]}"[: field.max_length]
            values[field.name] = value if text else place
    return model(**values)


def in_order() -> list[type[models.Model]]:
    """Tables so that a link's aim comes before it."""
    left, done = list(tables.every_table()), []
    while left:
        for model in left:
            aims = {f.related_model for f in tables.columns(model) if f.is_relation}
            if aims <= {*done, model}:
                done.append(model)
                left.remove(model)
                break
    return done


@st.composite
def a_store(draw):
    """Rows for every table there is, the journal's by the journal itself."""
    keys: dict[type[models.Model], list[Any]] = {}
    made: list[models.Model] = []
    for model in in_order():
        if model is records.Entry:
            continue
        needs = [f for f in tables.columns(model) if f.is_relation and not f.null]
        many = draw(st.integers(0, 3))
        if any(not keys.get(f.related_model) for f in needs):
            many = 0
        keys[model] = []
        for place in range(1, many + 1):
            row = draw(a_row(model, keys, place))
            if isinstance(row, records.Proof):
                row.raw = bytes([place]) + row.raw  # the same bytes are kept once
            if isinstance(row, records.LoggerFile | records.Proof):
                row.sha256 = hashlib.sha256(row.raw).hexdigest()
            if isinstance(row, records.Day):
                row.seal, row.sealed_seq = "", None
            keys[model].append(row.pk)
            made.append(row)
    lines = draw(
        st.lists(
            st.tuples(
                st.dictionaries(ANY_TEXT, JSON, max_size=3),
                ANY_TEXT,
                MOMENT,
                NUMBER,
                st.sampled_from([None, *keys[records.Day]]),
            ),
            max_size=6,
        )
    )
    return made, lines


def fill(made, lines) -> None:
    with writing():
        for model in in_order():
            new = [row for row in made if type(row) is model]
            if new:
                tables.insert(model, new, using="default")
        for n, (payload, who, at, skew_s, day) in enumerate(lines):
            journal.append(
                [journal.NewEntry(f"e{n}", "note", payload, who[:40], "phone", at, skew_s)],
                day_id=day,
                received_at=at,
            )
        tables.next_keys(tables.every_table(), using="default")


def everything() -> dict[str, list[tuple[str, ...]]]:
    return {
        model._meta.db_table: [rows.cells(row) for row in tables.rows(model, using="default")]
        for model in tables.every_table()
    }


@settings(
    max_examples=3 if connection.vendor == "postgresql" else 15,  # each needs three new stores
    deadline=None,
    suppress_health_check=list(HealthCheck),
    phases=(Phase.explicit, Phase.reuse, Phase.generate),  # shrinking whole stores takes minutes
)
@given(filled=a_store(), packed=st.booleans())
def test_any_store_comes_back_equal_in_every_cell(
    new_store, filled, packed, tmp_path_factory
) -> None:
    folder = tmp_path_factory.mktemp("export")
    with new_store():
        fill(*filled)
        before, head = everything(), journal.head()
        target = folder / ("farm.zip" if packed else "farm")
        safe.export_to(target, now=AT)
    with new_store():
        safe.bring_in(target)
        assert everything() == before
        assert journal.head() == head
        assert journal.broken_at() is None
    with new_store():  # the SQLite file in it, too
        safe.bring_in(folder / "farm" / "farm.sqlite3" if not packed else target)
        assert everything() == before


@given(text=ANY_TEXT)
def test_no_cell_begins_as_a_formula_and_the_guard_comes_off_again(text) -> None:
    guarded = rows.guarded(text)
    assert rows.unguarded(guarded) == text
    assert guarded[:1] not in {"=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠"}


@pytest.fixture
def filled(real_store, tmp_path):
    """The farm with a planned day and three lines, and its export as a folder."""
    for n in range(3):
        journal.append(
            [journal.NewEntry(f"a{n}", "note", {"text": f"={n}"}, "-Odile", "phone", AT)],
            day_id=1,
            received_at=AT,
        )
    folder = tmp_path / "out"
    safe.export_to(folder, now=AT)
    return folder


def test_tables_are_utf8_with_rfc_4180_lines(filled) -> None:
    content = (filled / "tables" / "records_entry.csv").read_bytes()
    assert content.endswith(b"\r\n")
    assert b"\n" not in content.replace(b"\r\n", b"")
    lines = list(csv.reader(io.StringIO(content.decode("utf-8"), newline=""), strict=True))
    assert lines[0][:3] == ["seq", "client_id", "day_id"]
    assert len(lines) == 4
    assert {len(line) for line in lines} == {12}
    assert lines[1][5] == "'-Odile"
    assert lines[1][4] == '{"text":"=0"}'


def test_the_sqlite_copy_is_read_by_sqlite_alone(filled) -> None:
    with closing(sqlite3.connect(filled / "farm.sqlite3")) as base:
        assert base.execute("SELECT count(*) FROM records_entry").fetchone() == (3,)
        assert base.execute("SELECT name FROM records_farm").fetchone() == ("Sorrel Bank Farm",)


def test_the_read_me_says_how_to_take_the_apostrophe_off(filled) -> None:
    text = (filled / "read-me.txt").read_text(encoding="utf-8")
    assert "Take one apostrophe away" in text
    assert journal.head()[1] in text


def test_every_column_of_every_table_is_in_the_data_dictionary() -> None:
    missing = [f"{w.table}.{w.column}" for w in dictionary.dictionary() if not w.meaning]
    assert missing == [], "write them into records/dictionary.toml"


def test_the_data_dictionary_tells_of_nothing_that_is_not_there() -> None:
    there = {(w.table, w.column) for w in dictionary.dictionary()}
    told = {(t, c) for t, columns in dictionary.written().items() for c in columns}
    assert told - there == set()


def test_the_dictionary_file_has_a_line_for_each_column_of_each_file(filled) -> None:
    with (filled / "dictionary.csv").open(encoding="utf-8", newline="") as file:
        told = {(row["table"], row["column"]) for row in csv.DictReader(file)}
    for path in (filled / "tables").iterdir():
        with path.open(encoding="utf-8", newline="") as file:
            for column in next(csv.reader(file)):
                assert (path.stem, column) in told


def not_brought(source: Path, new_store, match: str) -> None:
    with new_store():
        with pytest.raises(StoreError, match=match):
            safe.bring_in(source)
        assert tables.empty()


def test_a_store_with_records_takes_no_export(filled) -> None:
    with pytest.raises(StoreError, match="records here already"):
        safe.bring_in(filled)


@pytest.mark.parametrize(
    "name", ["tables/records_entry.csv", "tables/records_farm.csv", "farm.sqlite3", "read-me.txt"]
)
def test_an_export_in_which_one_byte_differs_is_refused(filled, new_store, name) -> None:
    content = bytearray((filled / name).read_bytes())
    content[len(content) // 2] ^= 1
    (filled / name).write_bytes(content)
    not_brought(filled, new_store, f"{name} is not as it was written")


def change_table(folder: Path, table: str, change) -> None:
    """Change a table and its hash, as somebody would who knows how exports are made."""
    path = folder / "tables" / f"{table}.csv"
    with path.open(encoding="utf-8", newline="") as file:
        lines = list(csv.reader(file))
    change(lines)
    with path.open("w", encoding="utf-8", newline="") as file:
        csv.writer(file).writerows(lines)
    told = json.loads((folder / "contents.json").read_text(encoding="utf-8"))
    told["sha256"][f"tables/{table}.csv"] = export.digest(path)
    (folder / "contents.json").write_text(json.dumps(told), encoding="utf-8")


def test_a_journal_line_changed_along_with_its_hash_of_the_file_is_found(filled, new_store) -> None:
    def change(lines):
        lines[2][5] = "somebody else"

    change_table(filled, "records_entry", change)
    not_brought(filled, new_store, "journal did not come out unbroken")


def test_a_journal_line_left_out_is_found(filled, new_store) -> None:
    change_table(filled, "records_entry", lambda lines: lines.pop())
    not_brought(filled, new_store, "journal did not come out unbroken")
    change_table(filled, "records_entry", lambda lines: lines.pop(1))
    not_brought(filled, new_store, "nothing was brought in")


def test_a_cell_that_does_not_fit_is_told_with_its_row(filled, new_store) -> None:
    def change(lines):
        lines[1][lines[0].index("date")] = "the 17th"

    change_table(filled, "records_day", change)
    not_brought(filled, new_store, r"records_day\.csv, row 2, cannot be read")


def test_a_row_with_a_cell_too_few_is_refused(filled, new_store) -> None:
    change_table(filled, "records_day", lambda lines: lines[1].pop())
    not_brought(filled, new_store, "row 2")


def test_a_link_to_nothing_is_refused(filled, new_store) -> None:
    change_table(filled, "records_day", lambda lines: lines.pop(1))
    not_brought(filled, new_store, "nothing was brought in")


def test_an_export_from_a_newer_version_is_refused(filled, new_store) -> None:
    told = json.loads((filled / "contents.json").read_text(encoding="utf-8"))
    told["migrations"].append("9999_from_the_future")
    (filled / "contents.json").write_text(json.dumps(told), encoding="utf-8")
    not_brought(filled, new_store, "newer Pinfeather")


def test_an_export_of_an_earlier_version_comes_in_by_its_sqlite_file(filled, new_store) -> None:
    told = json.loads((filled / "contents.json").read_text(encoding="utf-8"))
    told["migrations"].pop()
    (filled / "contents.json").write_text(json.dumps(told), encoding="utf-8")
    before = everything()
    with new_store():
        safe.bring_in(filled)
        assert everything() == before


@pytest.mark.parametrize("content", [b"", b"eggs, feed", b"PK\x05\x06" + b"\0" * 18])
def test_what_is_no_export_is_refused(new_store, tmp_path, content) -> None:
    file = tmp_path / "export.zip"
    file.write_bytes(content)
    not_brought(file, new_store, r"no backup|no export|cannot be unpacked")
    not_brought(tmp_path, new_store, "no export")
    not_brought(tmp_path / "nowhere", new_store, "not there")


def test_a_zip_that_was_cut_short_is_refused(real_store, new_store, tmp_path) -> None:
    path = tmp_path / "farm.zip"
    safe.export_to(path, now=AT)
    content = path.read_bytes()
    for cut in (len(content) // 3, len(content) - 10):
        path.write_bytes(content[:cut])
        not_brought(path, new_store, r"\.$")


def test_a_name_that_is_taken_is_not_overwritten(filled, tmp_path) -> None:
    with pytest.raises(StoreError, match="there already"):
        safe.export_to(filled, now=AT)
    (tmp_path / "farm.zip").write_bytes(b"mine")
    with pytest.raises(StoreError, match="there already"):
        safe.export_to(tmp_path / "farm.zip", now=AT)
    assert (tmp_path / "farm.zip").read_bytes() == b"mine"


def test_the_zip_holds_the_same_files_as_the_folder(filled, tmp_path) -> None:
    safe.export_to(tmp_path / "farm.zip", now=AT)
    with zipfile.ZipFile(tmp_path / "farm.zip") as packed:
        names = set(packed.namelist())
        entry = packed.read("tables/records_entry.csv")
    assert names == {
        path.relative_to(filled).as_posix() for path in filled.rglob("*") if path.is_file()
    }
    assert entry == (filled / "tables" / "records_entry.csv").read_bytes()


def test_new_rows_get_new_keys_after_an_import(filled, new_store) -> None:
    with new_store():
        safe.bring_in(filled)
        again = journal.append(
            [journal.NewEntry("later", "note", {"text": "x"}, "Odile", "phone", AT)],
            day_id=1,
            received_at=AT,
        )
        assert again[0].seq > 3  # a server may leave numbers out
        assert records.Person.objects.create(name="Kit").pk > 2
        assert journal.broken_at() is None


def test_numbers_and_text_that_only_one_kind_of_store_keeps_are_made_alike() -> None:
    told = {"a": -0.0, "b": 1e22, "c": [1.5, (2, -0.0)], "d": 3}
    made = journal.storable(told)
    assert json.dumps(made) == (
        '{"a": 0.0, "b": 10000000000000000000000, "c": [1.5, [2, 0.0]], "d": 3}'
    )


def test_the_connection_is_the_only_one_left(filled) -> None:
    assert [alias for alias in connections if alias != "default"] == []
    connection.close()
