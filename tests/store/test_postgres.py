"""On a PostgreSQL server: the same promises, kept by the server."""

from __future__ import annotations

import datetime as dt
import subprocess
import sys
import textwrap

import pytest
from django.db import DatabaseError, IntegrityError, connection

from pinfeather.actions import safe, store
from pinfeather.errors import StoreError
from pinfeather.records import backup, guards, journal, models
from pinfeather.records.checking import check_file
from pinfeather.records.writing import writing

pytestmark = pytest.mark.postgres
AT = dt.datetime(2026, 6, 17, 14, 0, tzinfo=dt.UTC)
COLUMNS = (
    "client_id, day_id, kind, payload, who, device, device_time, skew_s, received_at, "
    "previous_hash, hash"
)


def append(*ids: str, payload: object = None) -> None:
    journal.append(
        [
            journal.NewEntry(one, "note", payload or {"text": "x"}, "Odile", "phone", AT)
            for one in ids
        ],
        day_id=None,
        received_at=AT,
    )


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE records_entry SET who = 'somebody else'",
        "UPDATE records_entry SET seq = seq + 100",
        "DELETE FROM records_entry WHERE client_id = 'a2'",
        "TRUNCATE records_entry",
        "TRUNCATE records_entry CASCADE",
        "TRUNCATE records_day CASCADE",
        (
            f"INSERT INTO records_entry (seq, {COLUMNS}) SELECT seq, {COLUMNS} FROM records_entry"
            " LIMIT 1 ON CONFLICT (seq) DO UPDATE SET who = 'x'"
        ),
        (
            f"INSERT INTO records_entry (seq, {COLUMNS}) SELECT -5, 'b' || {COLUMNS}"
            " FROM records_entry WHERE client_id = 'a1'"
        ),
        (
            "MERGE INTO records_entry a USING records_entry b ON a.seq = b.seq"
            " WHEN MATCHED THEN DELETE"
        ),
    ],
)
def test_the_server_refuses_to_change_or_delete_a_line(real_store, statement) -> None:
    append("a1", "a2", "a3")
    before = list(models.Entry.objects.order_by("seq").values())

    with pytest.raises(IntegrityError, match="append-only"), writing(), connection.cursor() as c:
        c.execute(statement)

    assert list(models.Entry.objects.order_by("seq").values()) == before


def test_a_guard_that_is_switched_off_is_told(real_store) -> None:
    assert guards.missing() == ()
    with connection.cursor() as cursor:
        cursor.execute("ALTER TABLE records_entry DISABLE TRIGGER entry_no_update")
    assert guards.missing() == ("entry_no_update",)
    assert "entry_no_update" in store.check_store().damage[0]
    guards.install("default")


@pytest.mark.parametrize(
    ("statement", "place"),
    [
        ("UPDATE records_entry SET kind = 'action' WHERE client_id = 'a2'", "a2"),
        ("UPDATE records_entry SET device_time = now() WHERE client_id = 'a3'", "a3"),
        ("DELETE FROM records_entry WHERE client_id = 'a2'", "a3"),
    ],
)
def test_tampering_past_the_guards_is_found(real_store, statement, place) -> None:
    append("a1", "a2", "a3")
    with connection.cursor() as cursor:
        cursor.execute("ALTER TABLE records_entry DISABLE TRIGGER USER")
        cursor.execute(statement)
    assert store.check_store().broken_at == models.Entry.objects.get(client_id=place).seq


WRITER = """
    import datetime as dt, os, sys
    os.environ["DJANGO_SETTINGS_MODULE"] = "pinfeather.web.settings"
    import django
    django.setup()
    from django.db import connections
    connections["default"].settings_dict["NAME"] = sys.argv[1]
    from pinfeather.records import journal
    at = dt.datetime(2026, 6, 17, tzinfo=dt.UTC)
    for n in range(60):
        entry = journal.NewEntry(f"{sys.argv[2]}{n}", "note", {"text": "x"}, "", "phone", at)
        journal.append([entry], day_id=None, received_at=at)
"""


def test_programs_that_write_at_once_make_one_unbroken_chain(real_store) -> None:
    name = connection.settings_dict["NAME"]
    writers = [
        subprocess.Popen([sys.executable, "-c", textwrap.dedent(WRITER), name, letter])
        for letter in "abc"
    ]
    assert [one.wait(60) for one in writers] == [0, 0, 0]
    assert models.Entry.objects.count() == 180
    assert journal.broken_at() is None
    assert store.check_store().whole


@pytest.mark.parametrize("number", [-0.0, 1e22, 1e16, 1e-7, 5e-324, 1.7976931348623157e308, 0.1])
def test_a_number_reads_the_same_as_it_was_hashed(real_store, number) -> None:
    append("a1", payload={"text": "x", "n": [number]})
    assert journal.broken_at() is None


def test_a_backup_is_a_sqlite_file_with_every_row(real_store, tmp_path, new_store) -> None:
    append("a1", "a2", payload={"n": 1.5, "t": "é"})
    made = backup.take("by-hand", now=AT, to=tmp_path / "farm.sqlite3")
    assert made.whole
    state = check_file(made.path)
    assert (state.entries, state.head) == journal.head()
    assert state.rows == store.check_store().rows
    with new_store():
        safe.bring_in(made.path)
        assert (state.entries, state.head) == journal.head()


def test_an_update_of_the_tables_is_preceded_by_a_backup_of_the_old_ones(new_store) -> None:
    """The program's own models have columns that are not in the store yet."""
    from django.core.management import call_command

    with new_store():
        call_command("migrate", "records", "0003", verbosity=0, interactive=False)
        with connection.cursor() as cursor:
            cursor.execute(
                "INSERT INTO records_lot (code, species, build, head, note)"
                " VALUES ('B3', 'chicken', 'broad', 40, 'by the creek')"
            )
        before = set(backup.folder().glob("*before-update.sqlite3"))
        store.ready_store()
        (made,) = set(backup.folder().glob("*before-update.sqlite3")) - before
        assert models.Lot.objects.get().code == "B3"
        assert store.check_store().whole
    state = check_file(made)
    assert state.whole
    assert state.migrations[-1].startswith("0003")
    assert state.rows["records_lot"] == 1
    with new_store():
        safe.bring_in(made)
        assert models.Lot.objects.get().note == "by the creek"


def test_going_back_in_place_is_refused_with_what_to_do(real_store, tmp_path) -> None:
    made = backup.take("by-hand", now=AT, to=tmp_path / "farm.sqlite3")
    with pytest.raises(StoreError, match="Make an empty database there"):
        safe.go_back(made.path, now=AT)


def test_the_page_says_how_to_go_back(real_store, client) -> None:
    text = client.get("/farm/safe/").content.decode()
    assert "These records are kept by a database server." in text


def test_a_server_that_is_gone_is_told_in_a_sentence(real_store) -> None:
    told = connection.settings_dict
    was = told["NAME"]
    connection.close()
    told["NAME"] = "no_such_database"
    try:
        with pytest.raises(StoreError, match=r"could not be written"):
            append("a1")
        with pytest.raises(DatabaseError):
            models.Entry.objects.count()
    finally:
        connection.close()
        told["NAME"] = was
