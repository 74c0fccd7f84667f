"""Going back to a backup: refused where it must be, nothing overwritten, whole at every step."""

from __future__ import annotations

import datetime as dt
import shutil
import sqlite3
import subprocess
import sys
import textwrap
import threading
from contextlib import closing
from pathlib import Path

import pytest
from django.db import connection

from pinfeather.actions import safe, store
from pinfeather.errors import StoreError
from pinfeather.records import backup, guards, journal, restoring
from pinfeather.records.gate import Gate

pytestmark = pytest.mark.sqlite
AT = dt.datetime(2026, 6, 17, 14, 0, tzinfo=dt.UTC)


def append(client_id: str) -> None:
    journal.append(
        [journal.NewEntry(client_id, "note", {"text": "x"}, "Odile", "phone", AT)],
        day_id=None,
        received_at=AT,
    )


def lines_in(path: Path) -> list[str]:
    with closing(sqlite3.connect(path)) as base:
        rows = base.execute("SELECT client_id FROM records_entry ORDER BY seq").fetchall()
    return [row[0] for row in rows]


@pytest.fixture
def two_states(real_store) -> Path:
    """A store with two lines, and a backup from when there was one."""
    append("a1")
    made = backup.take("by-hand", now=AT)
    append("a2")
    return made.path


def test_the_backup_is_in_place_and_the_present_store_is_set_aside(two_states, real_store) -> None:
    aside = safe.go_back(two_states, now=AT)

    assert lines_in(real_store) == ["a1"]
    assert lines_in(aside) == ["a1", "a2"]
    assert aside.parent == real_store.parent / "set-aside"
    assert two_states.exists()
    assert journal.broken_at() is None
    assert guards.missing() == ()
    append("b1")
    assert lines_in(real_store) == ["a1", "b1"]


def test_going_back_and_forth_loses_nothing(two_states, real_store) -> None:
    aside = safe.go_back(two_states, now=AT)
    append("b1")
    other = safe.go_back(aside, now=AT)

    assert lines_in(real_store) == ["a1", "a2"]
    assert lines_in(other) == ["a1", "b1"]
    assert lines_in(aside) == ["a1", "a2"]
    assert set(restoring.set_aside()) == {aside, other}


@pytest.mark.parametrize(
    "harm",
    ["no database", "a page overwritten", "empty", "header only", "gone"],
)
def test_going_back_works_whatever_has_become_of_the_present_store(
    two_states, real_store, harm
) -> None:
    with closing(sqlite3.connect(real_store)) as base:
        base.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    connection.close()
    whole = real_store.read_bytes()
    if harm == "no database":
        real_store.write_bytes(b"these are not the farm's records" * 400)
    elif harm == "a page overwritten":
        real_store.write_bytes(whole[:4096] + b"\xff" * 4096 * 8 + whole[4096 * 9 :])
    elif harm == "empty":
        real_store.write_bytes(b"")
    elif harm == "header only":
        real_store.write_bytes(whole[:100])
    else:
        real_store.unlink()
    damaged = real_store.read_bytes() if real_store.exists() else None

    aside = safe.go_back(two_states, now=AT)

    assert lines_in(real_store) == ["a1"]
    assert store.check_store().whole
    if damaged is None:
        assert aside is None or not aside.exists()
    elif harm != "empty":
        assert aside.read_bytes()[100:] == damaged[100:]  # its head says how it was last opened


def test_a_log_of_the_old_store_is_never_played_into_the_new_one(two_states, real_store) -> None:
    """What was killed leaves a write-ahead log behind; it goes aside with its own store."""
    connection.close()
    script = """
        import os, signal, sqlite3, sys
        base = sqlite3.connect(sys.argv[1])
        base.execute("PRAGMA journal_mode=WAL")
        base.execute("UPDATE records_farm SET name = 'from the log'")
        base.commit()
        os.kill(os.getpid(), signal.SIGKILL)
    """
    subprocess.run([sys.executable, "-c", textwrap.dedent(script), str(real_store)], check=False)
    assert Path(f"{real_store}-wal").stat().st_size > 0

    aside = safe.go_back(two_states, now=AT)

    with closing(sqlite3.connect(real_store)) as base:
        assert base.execute("SELECT name FROM records_farm").fetchone() != ("from the log",)
    with closing(sqlite3.connect(aside)) as base:
        assert base.execute("SELECT name FROM records_farm").fetchone() == ("from the log",)


def refused(file: Path, real_store: Path, match: str) -> None:
    before = lines_in(real_store)
    with pytest.raises(StoreError, match=match):
        safe.go_back(file, now=AT)
    assert lines_in(real_store) == before
    assert restoring.set_aside() == ()


def test_a_file_that_is_no_backup_is_refused(two_states, real_store, tmp_path) -> None:
    text = tmp_path / "list.sqlite3"
    text.write_text("eggs, feed, straw\n" * 200, encoding="ascii")
    other = tmp_path / "other.sqlite3"
    with closing(sqlite3.connect(other)) as base:
        base.execute("CREATE TABLE eggs (n INTEGER)")
        base.commit()

    refused(text, real_store, r"is no backup of a farm's records")
    refused(other, real_store, r"is no backup of a farm's records")
    refused(tmp_path / "nowhere.sqlite3", real_store, "cannot be read")
    refused(tmp_path, real_store, "cannot be read")


def test_a_damaged_backup_is_refused(two_states, real_store) -> None:
    with closing(sqlite3.connect(two_states)) as base:
        page = base.execute(
            "SELECT rootpage FROM sqlite_master WHERE name = 'records_entry'"
        ).fetchone()[0]
    content = bytearray(two_states.read_bytes())
    content[(page - 1) * 4096 : page * 4096] = b"\xff" * 4096
    two_states.write_bytes(content)

    refused(two_states, real_store, "damaged")


def test_a_backup_that_was_tampered_with_is_refused(two_states, real_store) -> None:
    with closing(sqlite3.connect(two_states)) as base:
        base.execute("DROP TRIGGER entry_no_update")
        base.execute("UPDATE records_entry SET who = 'somebody else'")
        base.commit()

    refused(two_states, real_store, "line 1 of the journal")


def test_a_backup_from_a_newer_version_is_refused(two_states, real_store) -> None:
    with closing(sqlite3.connect(two_states)) as base:
        base.execute(
            "INSERT INTO django_migrations (app, name, applied)"
            " VALUES ('records', '9999_from_the_future', '2030-01-01')"
        )
        base.commit()

    refused(two_states, real_store, r"written by a newer Pinfeather \(9999_from_the_future\)")


def test_a_backup_of_an_earlier_version_is_brought_up_to_date(real_store, tmp_path) -> None:
    """The store as the first version made it, without any table that came later."""
    from django.core.management import call_command

    from pinfeather.records.place import second_store

    old = tmp_path / "old.sqlite3"
    with second_store(old) as alias:
        call_command("migrate", "records", "0003", database=alias, verbosity=0, interactive=False)
    with closing(sqlite3.connect(old)) as base:
        base.execute(
            "INSERT INTO records_farm (name, address, phone, zone, profile, tier, altitude,"
            " price_per_lb, water_source, units, demo) VALUES ('Old Farm', '', '',"
            " 'America/Chicago', 'us-federal', 'producer_1000', '0 ft', '', 'well', 'us', 0)"
        )
        base.commit()

    safe.go_back(old, now=AT)

    from pinfeather.actions import farm

    assert farm.farm().name == "Old Farm"
    assert guards.missing() == ()
    append("a1")
    assert store.check_store().whole


@pytest.mark.parametrize("step", range(8))
def test_a_power_cut_at_any_step_is_finished_at_the_next_start(
    two_states, real_store, monkeypatch, step
) -> None:
    """Every move of a file is counted; the power goes before the one whose turn it is."""
    moves = [0]

    def counted(name):
        real = getattr(Path, name)

        def move(self, *args, **kwargs):
            if "restore-under-way" in str(self) and ".part" in str(self):
                return real(self, *args, **kwargs)  # the note itself: whole or not there
            moves[0] += 1
            if moves[0] > step:
                raise KeyboardInterrupt
            return real(self, *args, **kwargs)

        return move

    real_prepare = restoring._prepare
    restoring_started = []

    def prepared(file, new):
        real_prepare(file, new)
        restoring_started.append(True)
        for name in ("rename", "replace", "unlink"):
            monkeypatch.setattr(Path, name, counted(name))

    monkeypatch.setattr(restoring, "_prepare", prepared)
    try:
        safe.go_back(two_states, now=AT)
        cut = False
    except KeyboardInterrupt:
        cut = True
    monkeypatch.undo()
    connection.close()
    assert restoring_started

    store.ready_store()

    assert lines_in(real_store) == ["a1"]
    assert store.check_store().whole
    (aside,) = restoring.set_aside()
    assert lines_in(aside) == ["a1", "a2"]
    assert not (real_store.parent / "restore-under-way.json").exists()
    assert not (real_store.parent / "restoring.sqlite3").exists()
    assert cut or step > 2


def test_a_restore_waits_for_the_pages_that_are_being_made() -> None:
    gate = Gate()
    leave = gate.enter()
    order: list[str] = []

    def restore() -> None:
        with gate.alone():
            order.append("restored")

    thread = threading.Thread(target=restore)
    thread.start()
    thread.join(0.05)
    order.append("page done")
    leave()
    thread.join()

    assert order == ["page done", "restored"]


def test_a_page_waits_for_a_restore_and_a_second_restore_is_refused() -> None:
    gate = Gate()
    order: list[str] = []

    def page() -> None:
        leave = gate.enter()
        order.append("page")
        leave()

    def second() -> None:
        try:
            with gate.alone():
                order.append("second restore")
        except StoreError:
            order.append("refused")

    leave = gate.enter()  # the restore is itself a page
    with gate.alone():
        threads = [threading.Thread(target=page), threading.Thread(target=second)]
        for thread in threads:
            thread.start()
        threads[1].join()
        threads[0].join(0.05)
        order.append("restored")
    leave()
    threads[0].join()

    assert order == ["refused", "restored", "page"]


def test_a_restore_gives_up_on_a_page_that_takes_too_long() -> None:
    gate = Gate()
    leaves = []
    thread = threading.Thread(target=lambda: leaves.append(gate.enter()))
    thread.start()
    thread.join()

    with pytest.raises(StoreError, match="still at work"), gate.alone(patience_s=0.01):
        pass

    leaves[0]()
    with gate.alone(patience_s=0.01):
        pass


def test_a_store_that_something_still_has_open_is_not_exchanged(
    two_states, real_store, monkeypatch
) -> None:
    """Whoever has it open would go on in the old file, and take away the new one's log."""
    monkeypatch.setattr(restoring, "_PATIENCE_S", 0.1)
    other = sqlite3.connect(real_store)
    other.execute("SELECT count(*) FROM records_entry").fetchone()

    with pytest.raises(StoreError, match="has the records open"):
        safe.go_back(two_states, now=AT)

    assert lines_in(real_store) == ["a1", "a2"]
    assert restoring.set_aside() == ()
    other.close()
    safe.go_back(two_states, now=AT)
    assert lines_in(real_store) == ["a1"]


def test_two_programs_cannot_hold_one_folder(tmp_path) -> None:
    script = """
        import sys
        from pathlib import Path
        from pinfeather.actions.store import hold
        with hold(Path(sys.argv[1])):
            print("held", flush=True)
            sys.stdin.read()
    """
    other = subprocess.Popen(
        [sys.executable, "-c", textwrap.dedent(script), str(tmp_path)],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
    )
    assert other.stdout is not None
    assert other.stdout.readline() == "held\n"
    with pytest.raises(StoreError, match="running on the records"):
        store.hold(tmp_path)
    other.kill()
    other.communicate()
    store.hold(tmp_path).close()


def test_a_whole_folder_copied_elsewhere_is_a_farm(two_states, real_store, tmp_path) -> None:
    connection.close()
    shutil.copytree(real_store.parent, tmp_path / "copy", ignore=shutil.ignore_patterns("copy"))
    assert lines_in(tmp_path / "copy" / "farm.sqlite3") == ["a1", "a2"]
