"""Every row of a store into a fresh SQLite file, for a store that is not a file itself."""

from __future__ import annotations

from pathlib import Path

from django.core.management import call_command
from django.db import connections, transaction

from pinfeather.records import place, tables

_BLOCK = 1000


def copy_to_file(target: Path) -> None:
    """Write the farm's records, all as of one moment, into a new SQLite file."""
    with place.second_store(target) as second:
        call_command("migrate", database=second, verbosity=0, interactive=False)
        first = not connections["default"].in_atomic_block
        with transaction.atomic(), transaction.atomic(using=second):
            if connections["default"].vendor == "postgresql" and first:
                with connections["default"].cursor() as cursor:
                    cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ")
            copy_rows("default", second)


def copy_rows(source: str, target: str) -> None:
    """Copy every row of every table from one open store into another, empty one."""
    for model in tables.every_table():
        block = []
        for row in tables.rows(model, using=source):
            block.append(row)
            if len(block) == _BLOCK:
                tables.insert(model, block, using=target)
                block = []
        if block:
            tables.insert(model, block, using=target)
    tables.next_keys(using=target)
