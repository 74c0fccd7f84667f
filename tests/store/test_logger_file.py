"""A kept logger file stays as it is: the store itself refuses anything else."""

from __future__ import annotations

import datetime as dt
import hashlib

import pytest
from django.db import DatabaseError, connection, transaction

from pinfeather.actions.day import days, logger_files, running, shopfloor
from pinfeather.errors import InputError, RecordConflictError
from pinfeather.records import models

RAW = b"Date Time,Probe (\xc2\xb0F)\n" + b"".join(
    f"2026-06-17 {9 + minute // 60:02d}:{minute % 60:02d},{34 + 66 * 0.98**minute:.1f}\n".encode()
    for minute in range(90)
)
ANSWERS = {
    "what": "bird",
    "place": "North tank",
    "instrument": "Blue probe",
    "time": "Date Time",
    "value": "Probe (°F)",
    "unit": "F",
    "zone": "America/Chicago",
}


@pytest.fixture
def kept(running_day, frozen):
    token = logger_files.hold("stick 3.csv", RAW)
    logger_files.keep(running_day, token, ANSWERS, ice_points=(), who="Bram", now=frozen)
    return running_day, models.LoggerFile.objects.get()


def refused(statement: str, *values: object) -> str:
    with (
        pytest.raises(DatabaseError) as caught,
        transaction.atomic(),
        connection.cursor() as cursor,
    ):
        cursor.execute(statement, values)
    return str(caught.value)


def test_the_file_is_kept_byte_for_byte_with_its_hash(kept) -> None:
    _day, row = kept
    assert bytes(row.raw) == RAW
    assert row.sha256 == hashlib.sha256(RAW).hexdigest()
    assert (row.name, row.place, row.what, row.who) == ("stick 3.csv", "North tank", "bird", "Bram")
    assert row.mapping["unit"] == "F"


def test_the_journal_refers_to_it_by_its_hash(kept) -> None:
    day_id, row = kept
    entry = models.Entry.objects.get(kind="logger")
    assert entry.day_id == day_id
    assert entry.payload["sha256"] == row.sha256
    assert entry.payload["file"] == row.pk
    assert "raw" not in entry.payload


@pytest.mark.parametrize("column", ["raw", "sha256", "mapping", "place", "name", "day_id"])
def test_no_column_of_a_kept_file_can_be_changed(kept, column) -> None:
    _day, row = kept
    told = refused(f"UPDATE records_loggerfile SET {column} = {column} WHERE id = %s", row.pk)
    assert "append-only" in told


def test_a_kept_file_cannot_be_deleted_or_replaced(kept) -> None:
    _day, row = kept
    assert "append-only" in refused("DELETE FROM records_loggerfile WHERE id = %s", row.pk)
    again = "INTO records_loggerfile SELECT * FROM records_loggerfile WHERE id = %s"
    told = refused(f"INSERT {again} ON CONFLICT (id) DO UPDATE SET name = 'x'", row.pk)
    assert "append-only" in told
    if connection.vendor == "sqlite":
        assert "append-only" in refused(f"REPLACE {again}", row.pk)
    with pytest.raises(DatabaseError), transaction.atomic():
        row.save()


def test_an_entry_cannot_name_a_file_that_is_not_there(kept) -> None:
    day_id, row = kept
    for file, sha256 in ((row.pk + 1, row.sha256), (row.pk, "0" * 64), ("x", row.sha256)):
        with pytest.raises(InputError, match="no such file"):
            running.write("logger", {"file": file, "sha256": sha256}, day_id=day_id, who="Bram")


def test_the_kept_curve_comes_back_as_it_was_seen(kept, frozen) -> None:
    day_id, _row = kept
    (curve,) = shopfloor.floor(day_id, now=frozen).logged
    assert len(curve.times_s) == 90
    assert curve.at(0) == dt.datetime(2026, 6, 17, 14, 0, tzinfo=dt.UTC)
    assert curve.degC[0] == pytest.approx((100 - 32) / 1.8)


def test_the_same_file_is_not_kept_twice_for_one_tank(kept, frozen) -> None:
    day_id, _row = kept
    token = logger_files.hold("again.csv", RAW)
    with pytest.raises(InputError, match="already"):
        logger_files.keep(day_id, token, ANSWERS, ice_points=(), who="Bram", now=frozen)
    assert models.LoggerFile.objects.count() == 1


def test_a_file_taken_back_no_longer_counts_and_stays_in_the_store(kept, frozen) -> None:
    day_id, _row = kept
    (note,) = running.day_progress(day_id).loggers
    with pytest.raises(InputError):
        logger_files.take_back(day_id, note.id, reason=" ", who="Bram")
    logger_files.take_back(day_id, note.id, reason="wrong tank", who="Bram")
    assert shopfloor.floor(day_id, now=frozen).logged == ()
    assert models.LoggerFile.objects.count() == 1


def test_a_closed_day_takes_no_file(kept, frozen) -> None:
    day_id, _row = kept
    (note,) = running.day_progress(day_id).loggers
    models.Day.objects.filter(pk=day_id).update(status=models.Day.Status.CLOSED)
    token = logger_files.hold("late.csv", RAW + b"\n")
    with pytest.raises(RecordConflictError):
        logger_files.keep(day_id, token, ANSWERS, ice_points=(), who="Bram", now=frozen)
    with pytest.raises(RecordConflictError):
        logger_files.take_back(day_id, note.id, reason="wrong tank", who="Bram")
    assert models.LoggerFile.objects.count() == 1


def test_a_file_belongs_to_its_own_day(kept, frozen) -> None:
    day_id, row = kept
    other = days.save_plan(dict(days.day(day_id).mapping), days=4, change_days=0)
    running.write("logger", {"file": row.pk, "sha256": row.sha256}, day_id=other, who="Bram")
    assert shopfloor.floor(other, now=frozen).logged == ()
