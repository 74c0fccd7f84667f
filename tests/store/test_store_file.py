"""The store's file: what every connection promises, and what happens when it cannot be used."""

from __future__ import annotations

import datetime as dt
import sqlite3
import subprocess
import sys
import textwrap
from pathlib import Path

import pytest
from django.core.management import call_command
from django.db import connection, connections

from pinfeather.actions.day import running
from pinfeather.errors import StoreError
from pinfeather.records import journal
from pinfeather.records.models import Entry
from pinfeather.records.writing import writing

pytestmark = pytest.mark.sqlite
AT = dt.datetime(2026, 6, 17, 14, 0, tzinfo=dt.UTC)


def append(client_id: str, *, text: str = "x") -> None:
    journal.append(
        [journal.NewEntry(client_id, "note", {"text": text}, "Odile", "phone", AT)],
        day_id=None,
        received_at=AT,
    )


def pragma(name: str) -> object:
    with connection.cursor() as cursor:
        cursor.execute(f"PRAGMA {name}")
        return cursor.fetchone()[0]


def promises() -> dict[str, object]:
    names = ("journal_mode", "synchronous", "foreign_keys", "recursive_triggers")
    return {name: pragma(name) for name in names}


SAFE = {"journal_mode": "wal", "synchronous": 2, "foreign_keys": 1, "recursive_triggers": 1}


def test_every_connection_keeps_the_promises(real_store, in_threads) -> None:
    assert promises() == SAFE
    connection.close()
    assert promises() == SAFE
    assert in_threads([promises] * 4) == [SAFE] * 4


def test_a_transaction_takes_the_store_at_its_beginning(real_store) -> None:
    other = sqlite3.connect(real_store, timeout=0)
    with writing(), pytest.raises(sqlite3.OperationalError, match="locked"):
        other.execute("BEGIN IMMEDIATE")
    other.execute("BEGIN IMMEDIATE")
    other.rollback()
    other.close()


@pytest.fixture
def impatient(real_store):
    """Give up on a locked store at once."""
    options = connections["default"].settings_dict["OPTIONS"]
    was = options["timeout"]
    options["timeout"] = 0.05
    connection.close()
    yield real_store
    options["timeout"] = was


def test_a_store_locked_by_another_program_is_told_in_a_sentence(impatient) -> None:
    other = sqlite3.connect(impatient)
    other.execute("BEGIN IMMEDIATE")

    with pytest.raises(StoreError, match=r"could not be written \(database is locked\)\. Nothing"):
        append("a1")

    other.rollback()
    other.close()
    append("a1")
    assert Entry.objects.count() == 1


def test_starting_a_day_in_a_locked_store_is_told_in_the_same_sentence(
    impatient, sent, now
) -> None:
    other = sqlite3.connect(impatient)
    other.execute("BEGIN IMMEDIATE")
    entry = sent("tally", {"station": "kill"}, client_id="t1", at=now)

    with pytest.raises(StoreError, match="could not be written"):
        running.receive(1, [entry], device="phone", sent_at=now, now=now)

    other.rollback()
    other.close()
    assert Entry.objects.count() == 0


def test_a_full_disk_is_told_in_a_sentence_and_what_was_written_stays(real_store) -> None:
    append("a1")
    with connection.cursor() as cursor:
        cursor.execute("PRAGMA page_count")
        cursor.execute(f"PRAGMA max_page_count = {cursor.fetchone()[0]}")

    with pytest.raises(StoreError, match=r"could not be written \(database or disk is full\)"):
        append("a2", text="y" * 200_000)

    connection.close()
    assert list(Entry.objects.values_list("client_id", flat=True)) == ["a1"]
    append("a2", text="y" * 200_000)
    assert journal.broken_at() is None


def test_a_store_that_may_only_be_read_is_told_in_a_sentence(real_store) -> None:
    with connection.cursor() as cursor:
        cursor.execute("PRAGMA query_only = ON")

    with pytest.raises(StoreError, match="readonly"):
        append("a1")
    assert Entry.objects.count() == 0


def test_a_file_that_is_no_database_is_told_in_a_sentence(real_store) -> None:
    connection.close()
    for name in ("-wal", "-shm"):
        Path(f"{real_store}{name}").unlink(missing_ok=True)
    real_store.write_bytes(b"these are not the farm's records" * 400)

    with pytest.raises(StoreError, match="damaged"):
        append("a1")


def test_a_damaged_page_is_told_in_a_sentence(real_store) -> None:
    append("a1")
    with connection.cursor() as cursor:
        cursor.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        cursor.execute("SELECT rootpage FROM sqlite_master WHERE name = 'records_entry'")
        page = cursor.fetchone()[0]
        size = pragma("page_size")
    connection.close()
    with real_store.open("r+b") as file:
        file.seek((page - 1) * size)
        file.write(b"\xff" * size)

    with pytest.raises(StoreError, match="damaged"):
        append("a2")


def test_the_queue_is_free_again_after_a_failure(impatient, in_threads) -> None:
    other = sqlite3.connect(impatient)
    other.execute("BEGIN IMMEDIATE")
    with pytest.raises(StoreError):
        append("a1")
    other.rollback()
    other.close()

    assert in_threads([lambda: append("a2"), lambda: append("a3")]) == [None, None]


READER = """
    import json, sqlite3, sys
    store = sqlite3.connect(sys.argv[1], timeout=5)
    print("ready", flush=True)
    seen, told = [], set()
    while True:
        rows = store.execute("SELECT seq, client_id FROM records_entry ORDER BY seq").fetchall()
        seen.append(len(rows))
        if rows and rows[-1][1] == "last":
            break
    whole = all(a <= b for a, b in zip(seen, seen[1:]))
    batches = all(n % 5 in (0, 1) for n in seen)
    print(json.dumps([whole, batches, len(seen), seen[-1]]))
"""


def test_a_second_program_reads_whole_batches_while_one_writes(real_store) -> None:
    reader = subprocess.Popen(
        [sys.executable, "-c", textwrap.dedent(READER), str(real_store)],
        stdout=subprocess.PIPE,
        text=True,
    )
    assert reader.stdout is not None
    assert reader.stdout.readline() == "ready\n"
    for batch in range(40):
        journal.append(
            [
                journal.NewEntry(f"b{batch}n{n}", "note", {"text": "x"}, "Odile", "phone", AT)
                for n in range(5)
            ],
            day_id=None,
            received_at=AT,
        )
    append("last")
    out, _none = reader.communicate(timeout=30)
    reader.stdout.close()

    import json

    grows, whole_batches, looks, last = json.loads(out)
    assert grows
    assert whole_batches
    assert looks > 1
    assert last == 201


def test_what_was_written_is_there_after_the_program_is_killed(real_store) -> None:
    connection.close()
    script = """
        import datetime as dt, os, signal, sys
        from pathlib import Path
        os.environ["PINFEATHER_DATA"] = str(Path(sys.argv[1]).parent)
        os.environ["DJANGO_SETTINGS_MODULE"] = "pinfeather.web.settings"
        import django
        django.setup()
        from pinfeather.records import journal
        at = dt.datetime(2026, 6, 17, tzinfo=dt.UTC)
        for n in range(30):
            entry = journal.NewEntry(f"k{n}", "note", {"text": "x"}, "Odile", "phone", at)
            journal.append([entry], day_id=None, received_at=at)
            print(n, flush=True)
        os.kill(os.getpid(), signal.SIGKILL)
    """
    done = subprocess.run(
        [sys.executable, "-c", textwrap.dedent(script), str(real_store)],
        stdout=subprocess.PIPE,
        text=True,
        check=False,
    )

    assert done.returncode == -9
    told = [int(line) for line in done.stdout.split()]
    assert len(told) == 30
    assert Entry.objects.count() == 30
    assert journal.broken_at() is None


def test_the_tables_are_made_from_nothing_with_their_triggers(tmp_path, django_db_blocker) -> None:
    named = connections["default"].settings_dict
    was, named["NAME"] = named["NAME"], str(tmp_path / "new.sqlite3")
    with django_db_blocker.unblock():
        connection.close()
        try:
            call_command("migrate", verbosity=0, interactive=False)
            call_command("migrate", verbosity=0, interactive=False)
            with connection.cursor() as cursor:
                cursor.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'")
                triggers = {row[0] for row in cursor.fetchall()}
            append("a1")
        finally:
            connection.close()
            named["NAME"] = was

    assert triggers >= {"entry_no_update", "entry_no_delete"}


def test_the_models_and_the_migrations_say_the_same(store) -> None:
    call_command("makemigrations", check=True, dry_run=True, verbosity=0)


def test_a_day_with_entries_cannot_be_deleted(running_day) -> None:
    from django.db.models import ProtectedError

    from pinfeather.records.models import Day

    with pytest.raises(ProtectedError):
        Day.objects.filter(pk=running_day).delete()


def test_writing_inside_writing_is_one_transaction(real_store) -> None:
    def fails() -> None:
        with writing():
            append("a1")
            with writing():
                append("a2")
            raise RuntimeError("stop")

    with pytest.raises(RuntimeError):
        fails()

    assert Entry.objects.count() == 0
