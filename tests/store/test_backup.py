"""Backups: whole, on the disk, read back, in order, and no more of them than is said."""

from __future__ import annotations

import datetime as dt
import json
import sqlite3
from contextlib import closing, suppress
from pathlib import Path

import pytest
from django.db import DatabaseError, connection
from hypothesis import given
from hypothesis import strategies as st

from pinfeather.actions import safe, store
from pinfeather.actions.day import closing as day_closing
from pinfeather.errors import StoreError
from pinfeather.records import backup, journal
from pinfeather.records.writing import writing

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


def test_a_backup_holds_what_was_written_and_says_so(real_store) -> None:
    append("a1")
    append("a2")

    made = backup.take("by-hand", now=AT)

    home = real_store.parent / "backups"
    assert made.path == home / "farm-00001-20260617T140000Z-by-hand.sqlite3"
    assert lines_in(made.path) == ["a1", "a2"]
    assert (made.entries, made.head) == journal.head()
    assert made.whole
    assert made.rows["records_entry"] == 2
    assert backup.listed() == (made,)


def test_a_backup_is_one_file_that_needs_no_other_and_only_its_owner_reads(real_store) -> None:
    append("a1")
    made = backup.take("by-hand", now=AT)

    names = {one.name for one in made.path.parent.iterdir()}
    assert names == {made.path.name, made.path.with_suffix(".json").name}
    assert made.path.stat().st_mode & 0o077 == 0
    assert made.path.read_bytes()[18:20] == b"\x01\x01"  # not WAL


def test_the_key_that_signs_cookies_is_in_no_backup(real_store) -> None:
    (real_store.parent / "secret-key").write_text("kept-apart-0123456789", encoding="ascii")
    made = backup.take("by-hand", now=AT)

    assert all(
        b"kept-apart-0123456789" not in one.read_bytes() for one in made.path.parent.iterdir()
    )


def test_what_is_not_committed_yet_is_in_no_backup(real_store) -> None:
    append("a1")
    with writing():
        append("a2")
        made = backup.take("by-hand", now=AT)

    assert lines_in(made.path) == ["a1"]


def test_a_second_backup_in_the_same_second_overwrites_nothing(real_store) -> None:
    first = backup.take("by-hand", now=AT)
    second = backup.take("by-hand", now=AT)

    assert first.path.exists()
    assert second.number == first.number + 1


def test_a_clock_set_back_does_not_make_an_old_backup_the_newest(real_store) -> None:
    backup.take("by-hand", now=AT.replace(year=2099))
    append("a1")
    right = backup.take("by-hand", now=AT)

    assert backup.listed()[0].path == right.path
    assert safe.look().newest.path == right.path
    assert safe.look().age(AT - dt.timedelta(days=2)) == dt.timedelta(0)


def test_a_named_file_is_never_overwritten(real_store, tmp_path) -> None:
    target = tmp_path / "stick" / "farm.sqlite3"
    made = backup.take("by-hand", now=AT, to=target)
    assert made.whole
    before = target.read_bytes()

    with pytest.raises(StoreError, match="there already"):
        backup.take("by-hand", now=AT, to=target)

    assert target.read_bytes() == before


def test_a_damaged_store_gives_a_backup_that_says_so_and_pushes_no_good_one_out(real_store) -> None:
    append("a1")
    good = [backup.take("by-hand", now=AT) for _ in range(backup.KEEP_LAST)]
    raw = sqlite3.connect(real_store)
    raw.execute("DROP TRIGGER entry_no_update")
    raw.execute("UPDATE records_entry SET who = 'x'")
    raw.commit()
    raw.close()

    with pytest.raises(StoreError, match="line 1 of the journal"):
        backup.take("by-hand", now=AT)

    assert all(one.path.exists() for one in good)
    assert not backup.listed()[0].whole
    assert safe.look().newest.path == good[-1].path


@pytest.mark.parametrize("where", ["a file in the way", "nowhere"])
def test_a_backup_that_cannot_be_written_is_told_in_a_sentence(real_store, where) -> None:
    home = real_store.parent / "backups"
    if where == "a file in the way":
        home.write_text("x", encoding="ascii")
        target = None
    else:
        target = Path("/proc/nothing/farm.sqlite3")

    with pytest.raises(StoreError, match=r"could not be written to .*\.$"):
        backup.take("by-hand", now=AT, to=target)


def test_what_a_backup_cut_short_has_left_is_taken_away(real_store) -> None:
    home = real_store.parent / "backups"
    home.mkdir()
    left = home / "unfinished-1-2.part"
    left.write_bytes(b"half")

    backup.take("by-hand", now=AT)

    assert not left.exists()


def test_a_file_put_there_by_hand_is_listed_last_and_stays(real_store) -> None:
    made = backup.take("by-hand", now=AT)
    by_hand = made.path.with_name("from the stick.sqlite3")
    by_hand.write_bytes(made.path.read_bytes())

    assert [one.path for one in backup.listed()] == [made.path, by_hand]
    assert not backup.listed()[1].whole
    assert backup.checked_again(by_hand, now=AT).whole
    backup.rotate()
    assert by_hand.exists()


def test_a_note_of_another_file_is_not_believed(real_store) -> None:
    made = backup.take("by-hand", now=AT)
    with made.path.open("ab") as file:
        file.write(b"more")

    assert backup.listed()[0].checked_at is None


@pytest.mark.parametrize("note", [b"", b"{", b"[]", b'{"size_bytes": 1}', b"\xff"])
def test_a_note_that_cannot_be_read_counts_as_none(real_store, note) -> None:
    made = backup.take("by-hand", now=AT)
    made.path.with_suffix(".json").write_bytes(note)

    assert not backup.listed()[0].whole


def fake(number: int, at: dt.datetime) -> backup.Backup:
    return backup.Backup(Path(f"{number}"), number, at, "closed-day", 1)


@given(st.lists(st.integers(0, 3000), max_size=120))
def test_the_newest_stay_and_the_last_of_each_month(days_apart) -> None:
    at, made = AT, []
    for number, days in enumerate(days_apart, start=1):
        at += dt.timedelta(days=days / 100)
        made.append(fake(number, at))
    newest_first = made[::-1]

    stay = backup.kept(newest_first)

    assert stay[: backup.KEEP_LAST] == tuple(newest_first[: backup.KEEP_LAST])
    months = sorted({(b.taken_at.year, b.taken_at.month) for b in made})[-backup.KEEP_MONTHS :]
    for month in months:
        last = [b for b in made if (b.taken_at.year, b.taken_at.month) == month][-1]
        assert last in stay
    assert len(stay) <= backup.KEEP_LAST + backup.KEEP_MONTHS
    assert len({b.number for b in stay}) == len(stay)


def test_rotation_takes_away_files_and_notes_and_no_more(real_store) -> None:
    for n in range(backup.KEEP_LAST + 5):
        backup.take("closed-day", now=AT + dt.timedelta(hours=n))

    left = backup.listed()

    assert len(left) == backup.KEEP_LAST
    assert left[0].number == backup.KEEP_LAST + 5
    assert len(list(left[0].path.parent.iterdir())) == 2 * backup.KEEP_LAST


def test_a_closed_day_is_in_a_backup_at_once(real_store, evening, whole_day_in) -> None:
    day_id = whole_day_in()
    day_closing.close(day_id, who="Odile", now=evening)

    (made,) = backup.listed()
    assert made.reason == "closed-day"
    assert made.whole
    assert (made.entries, made.head) == journal.head()
    assert safe.look().closed_since == 0
    assert safe.look().verdict(made.taken_at) == "safe"


def test_a_day_closes_even_where_no_backup_can_be_written(
    real_store, evening, whole_day_in, caplog
) -> None:
    (real_store.parent / "backups").write_text("in the way", encoding="ascii")
    day_id = whole_day_in()
    day_closing.close(day_id, who="Odile", now=evening)

    assert backup.listed() == ()
    assert safe.look().closed_since == 1
    assert "could not be written" in caplog.text


@pytest.fixture
def evening() -> dt.datetime:
    return dt.datetime(2026, 6, 17, 21, 40, tzinfo=dt.UTC)


@pytest.fixture
def whole_day_in(count_birds, evening):
    """Count six birds at every station of the day there is, and answer every finding."""

    def done() -> int:
        from pinfeather.actions.day import days

        day_id = days.days()[0].id
        counts = dict.fromkeys(("catch", "kill", "pick", "draw", "chill"), 6)
        count_birds(day_id, counts, first=days.day(day_id).start)
        from pinfeather.actions.day import running

        for n in range(6):
            running.write(
                "package",
                {
                    "number": n + 1,
                    "lot": "K7",
                    "product": "whole",
                    "gross": "4.5 lb",
                    "tare": "0 lb",
                    "net_lb": "4.5",
                },
                day_id=day_id,
                who="Bram",
            )
        for one in day_closing.judge(day_id, now=evening).unanswered:
            day_closing.answer(
                day_id,
                finding=one.finding.code,
                where=one.finding.where,
                text="seen and put right",
                who="Odile",
            )
        return day_id

    return done


def test_an_update_of_the_tables_is_preceded_by_a_backup(real_store) -> None:
    append("a1")
    with connection.cursor() as cursor:
        cursor.execute("SELECT name FROM django_migrations WHERE app = 'records' ORDER BY name")
        last = cursor.fetchall()[-1][0]
    raw = sqlite3.connect(real_store)
    raw.execute("DELETE FROM django_migrations WHERE name = ?", [last])
    raw.commit()
    raw.close()
    connection.close()

    with suppress(DatabaseError, StoreError):  # its tables or columns may be there already
        store.ready_store()

    (made,) = backup.listed()
    assert made.reason == "before-update"
    assert made.whole
    assert last not in made.migrations
    assert lines_in(made.path) == ["a1"]


def test_a_store_that_is_up_to_date_is_opened_without_a_backup(real_store) -> None:
    store.ready_store()
    assert backup.listed() == ()


def test_an_empty_store_is_not_begun_where_there_are_backups(real_store) -> None:
    backup.take("by-hand", now=AT)
    connection.close()
    for side in ("", "-wal", "-shm"):
        Path(f"{real_store}{side}").unlink(missing_ok=True)

    with pytest.raises(StoreError, match="are gone"):
        store.ready_store()

    assert not real_store.exists()


def test_the_note_beside_a_backup_is_plain_json(real_store) -> None:
    made = backup.take("by-hand", now=AT)
    told = json.loads(made.path.with_suffix(".json").read_text(encoding="utf-8"))
    assert told["faults"] == []
    assert told["size_bytes"] == made.path.stat().st_size
