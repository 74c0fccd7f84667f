"""The journal: append-only by the database itself, chained, once for each entry, in order."""

from __future__ import annotations

import datetime as dt
import sqlite3

import pytest
from django.db import IntegrityError, connection
from hypothesis import given, settings
from hypothesis import strategies as st

from pinfeather.records import journal
from pinfeather.records.models import Entry
from pinfeather.records.writing import writing

AT = dt.datetime(2026, 6, 17, 14, 0, tzinfo=dt.UTC)
COLUMNS = (
    "client_id, day_id, kind, payload, who, device, device_time, skew_s, received_at, "
    "previous_hash, hash"
)


def new(client_id: str, *, text: str = "rain before noon", minute: int = 0) -> journal.NewEntry:
    return journal.NewEntry(
        client_id=client_id,
        kind="note",
        payload={"text": text},
        who="Odile",
        device="phone1",
        device_time=AT + dt.timedelta(minutes=minute),
    )


def append(*ids: str) -> tuple[journal.Accepted, ...]:
    return journal.append([new(one) for one in ids], day_id=None, received_at=AT)


def ids_in_order() -> list[str]:
    return list(Entry.objects.order_by("seq").values_list("client_id", flat=True))


@pytest.mark.sqlite
@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE records_entry SET who = 'somebody else'",
        "UPDATE records_entry SET seq = seq + 100",
        "DELETE FROM records_entry",
        "DELETE FROM records_entry WHERE client_id = 'a2'",
        "INSERT OR REPLACE INTO records_entry SELECT * FROM records_entry WHERE client_id = 'a1'",
        f"REPLACE INTO records_entry (seq, {COLUMNS}) SELECT 99, {COLUMNS} FROM records_entry",
        (
            f"INSERT INTO records_entry (seq, {COLUMNS}) SELECT seq, {COLUMNS} FROM records_entry"
            " WHERE true ON CONFLICT (seq) DO UPDATE SET who = 'x'"
        ),
    ],
)
def test_the_database_refuses_to_change_or_delete_a_line(store, statement) -> None:
    append("a1", "a2", "a3")
    before = list(Entry.objects.order_by("seq").values())

    with pytest.raises(IntegrityError, match="append-only"), writing(), connection.cursor() as c:
        c.execute(statement)

    assert list(Entry.objects.order_by("seq").values()) == before


def test_the_models_own_save_and_delete_are_refused_too(store) -> None:
    append("a1")
    entry = Entry.objects.get()
    entry.who = "somebody else"

    with pytest.raises(IntegrityError, match="append-only"), writing():
        entry.save()
    with pytest.raises(IntegrityError, match="append-only"), writing():
        entry.delete()


@pytest.mark.sqlite
def test_another_program_is_refused_by_the_same_triggers(real_store) -> None:
    append("a1")
    other = sqlite3.connect(real_store)

    with pytest.raises(sqlite3.IntegrityError, match="append-only"):
        other.execute("UPDATE records_entry SET who = 'x'")
    with pytest.raises(sqlite3.IntegrityError, match="append-only"):
        other.execute("DELETE FROM records_entry")
    other.close()


def test_an_unbroken_chain_is_told_as_unbroken(store) -> None:
    assert journal.broken_at() is None
    append("a1", "a2", "a3")
    assert journal.broken_at() is None


@pytest.mark.sqlite
@pytest.mark.parametrize(
    ("statement", "place"),
    [
        ('UPDATE records_entry SET payload = \'{"text": "sun"}\' WHERE seq = 2', 2),
        ("UPDATE records_entry SET who = 'x' WHERE seq = 1", 1),
        ("UPDATE records_entry SET kind = 'action' WHERE seq = 3", 3),
        ("UPDATE records_entry SET day_id = 1 WHERE seq = 2", 2),
        ("UPDATE records_entry SET device = 'x' WHERE seq = 2", 2),
        ("UPDATE records_entry SET device_time = '2026-06-17 14:00:01' WHERE seq = 4", 4),
        ("UPDATE records_entry SET received_at = '2026-06-17 14:00:01' WHERE seq = 4", 4),
        ("UPDATE records_entry SET skew_s = 1 WHERE seq = 4", 4),
        ("UPDATE records_entry SET client_id = 'zz' WHERE seq = 3", 3),
        ("UPDATE records_entry SET hash = '00' WHERE seq = 2", 2),
        ("UPDATE records_entry SET seq = seq + 10 WHERE seq = 1", 2),
        ("DELETE FROM records_entry WHERE seq = 2", 3),
        ("DELETE FROM records_entry WHERE seq = 1", 2),
    ],
)
def test_tampering_past_the_triggers_is_found(real_store, statement, place) -> None:
    append("a1", "a2", "a3", "a4")
    raw = sqlite3.connect(real_store)
    raw.execute("DROP TRIGGER entry_no_update")
    raw.execute("DROP TRIGGER entry_no_delete")
    raw.execute(statement)
    raw.commit()
    raw.close()

    assert journal.broken_at() == place


@pytest.mark.sqlite
def test_a_line_put_in_between_is_found(real_store) -> None:
    append("a1", "a2")
    raw = sqlite3.connect(real_store)
    columns = COLUMNS.replace("client_id, ", "")
    insert = (
        f"INSERT INTO records_entry (seq, client_id, {columns})"
        f" SELECT 3, 'a3', {columns} FROM records_entry WHERE seq = 2"
    )
    with pytest.raises(sqlite3.IntegrityError, match="not the next line"):
        raw.execute(insert)
    raw.execute("DROP TRIGGER entry_chain")
    raw.execute(insert)
    raw.commit()
    raw.close()

    assert journal.broken_at() == 3


def test_each_entry_names_the_hash_before_it(store) -> None:
    append("a1", "a2")
    append("a3")

    rows = list(Entry.objects.order_by("seq"))

    assert [r.previous_hash for r in rows] == [journal.GENESIS, rows[0].hash, rows[1].hash]
    assert journal.head() == (rows[2].seq, rows[2].hash)
    assert len({r.hash for r in rows}) == 3


def test_the_same_batch_twice_is_written_once(store) -> None:
    first = append("a1", "a2")
    again = append("a1", "a2")

    assert [a.known for a in first] == [False, False]
    assert [a.known for a in again] == [True, True]
    assert [a.seq for a in again] == [a.seq for a in first]
    assert ids_in_order() == ["a1", "a2"]


def test_a_known_entry_stays_as_it_was_first_written(store) -> None:
    append("a1")
    journal.append([new("a1", text="something else")], day_id=None, received_at=AT)

    assert Entry.objects.get().payload == {"text": "rain before noon"}


def test_overlapping_batches_are_joined_in_order(store) -> None:
    append("a1", "a2", "a3")
    answer = append("a2", "a3", "a4", "a5")

    assert [a.known for a in answer] == [True, True, False, False]
    assert ids_in_order() == ["a1", "a2", "a3", "a4", "a5"]
    assert journal.broken_at() is None


def test_an_entry_twice_in_one_batch_is_written_once(store) -> None:
    answer = append("a1", "a1", "a2")

    assert [(a.client_id, a.known) for a in answer] == [("a1", False), ("a1", True), ("a2", False)]
    assert ids_in_order() == ["a1", "a2"]


def test_order_within_a_batch_is_the_order_given_not_the_order_of_clocks(store) -> None:
    journal.append(
        [new("late", minute=9), new("early", minute=1), new("mid", minute=5)],
        day_id=None,
        received_at=AT,
    )

    assert ids_in_order() == ["late", "early", "mid"]


def test_two_threads_sending_the_same_entries_write_each_once(real_store, in_threads) -> None:
    ids = [f"e{n:03d}" for n in range(60)]
    batches = [ids[n : n + 7] for n in range(0, 60, 4)]

    def send() -> list[journal.Accepted]:
        return [one for batch in batches for one in append(*batch)]

    answers = in_threads([send, send, send])

    assert not [a for a in answers if isinstance(a, Exception)]
    assert ids_in_order() == ids
    seqs = {one.client_id: one.seq for one in answers[0]}
    for answer in answers:
        assert {one.client_id: one.seq for one in answer} == seqs
    fresh = [one.client_id for answer in answers for one in answer if not one.known]
    assert sorted(fresh) == ids
    assert journal.broken_at() is None


def test_an_entry_that_cannot_be_written_takes_its_whole_batch_back(store, monkeypatch) -> None:
    append("a1")

    def half_written(lines):
        next(iter(lines)).save(force_insert=True)
        raise RuntimeError("power cut")

    monkeypatch.setattr(Entry.objects, "bulk_create", half_written)

    with pytest.raises(RuntimeError):
        append("a2", "bad", "a3")

    assert ids_in_order() == ["a1"]
    monkeypatch.undo()
    append("a2", "bad", "a3")
    assert journal.broken_at() is None


TEXTS = st.text(st.characters(exclude_categories=["Cs"]), max_size=40)


@settings(max_examples=60, deadline=None)
@given(
    text=TEXTS,
    who=TEXTS,
    skew_s=st.floats(-1e6, 1e6),
    micros=st.integers(0, 10**12),
)
def test_the_hash_read_back_is_the_hash_written(
    empty_file, store_name, django_db_blocker, text, who, skew_s, micros
) -> None:
    """Whatever is written, the store gives back the very values that were hashed."""
    from django.db import connections, transaction

    named = connections["default"].settings_dict
    was, named["NAME"] = named["NAME"], store_name(empty_file)
    with django_db_blocker.unblock():
        try:
            with transaction.atomic():
                moment = AT + dt.timedelta(microseconds=micros)
                journal.append(
                    [journal.NewEntry("h1", "note", {"text": text}, who, "d", moment, skew_s)],
                    day_id=None,
                    received_at=moment,
                )
                assert journal.broken_at() is None
                transaction.set_rollback(True)
        finally:
            connections["default"].close()
            named["NAME"] = was


def test_a_null_character_is_replaced_so_that_every_kind_of_store_can_hold_it(store) -> None:
    (one,) = journal.append(
        [journal.NewEntry("h2", "note", {"text": "a\0b", "c\0": ["\0"]}, "d\0", "e\0", AT)],
        day_id=None,
        received_at=AT,
    )

    kept = Entry.objects.get(pk=one.seq)
    assert kept.payload == {"text": "a\ufffdb", "c\ufffd": ["\ufffd"]}
    assert (kept.who, kept.device) == ("d\ufffd", "e\ufffd")
    assert journal.broken_at() is None


def test_the_last_place_of_a_day_counts_only_its_own_entries(planned_day) -> None:
    assert journal.last_seq(planned_day) == 0
    (mine,) = journal.append([new("mine")], day_id=planned_day, received_at=AT)
    append("other")

    assert journal.last_seq(planned_day) == mine.seq


def test_a_clock_off_by_negative_zero_breaks_no_line(planned_day) -> None:
    at = dt.datetime(2026, 6, 17, 14, 0, tzinfo=dt.UTC)
    entry = journal.NewEntry("zero", "note", {}, "Odile", "phone", at, -0.0)
    journal.append([entry], day_id=planned_day, received_at=at)
    assert journal.broken_at() is None
