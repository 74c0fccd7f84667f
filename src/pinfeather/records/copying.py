"""Every row of a store into a fresh SQLite file, for a store that is not a file itself."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from django.db import connections, models, transaction
from django.db.migrations.executor import MigrationExecutor
from django.db.migrations.loader import MigrationLoader

from pinfeather.records import place, tables

_BLOCK = 1000


def copy_to_file(target: Path) -> None:
    """Write the farm's records, all as of one moment, into a new SQLite file.

    The file gets the tables as they are now, which before an update are not yet those of the
    program's own models.
    """
    loader = MigrationLoader(connections["default"])
    taken = [key for key in loader.graph.nodes if key in loader.applied_migrations]
    newest = [key for key in taken if not (set(loader.graph.node_map[key].children) & set(taken))]
    then = loader.project_state(newest).apps
    found = then.get_app_config("records").get_models(include_auto_created=True)
    with place.second_store(target) as second:
        MigrationExecutor(connections[second]).migrate(newest)
        first = not connections["default"].in_atomic_block
        with transaction.atomic(), transaction.atomic(using=second):
            if connections["default"].vendor == "postgresql" and first:
                with connections["default"].cursor() as cursor:
                    cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ")
            copy_rows("default", second, list(found))


def copy_rows(source: str, target: str, found: Sequence[type[models.Model]] | None = None) -> None:
    """Copy every row of every table from one open store into another, empty one."""
    every = tables.every_table() if found is None else found
    for model in every:
        block = []
        for row in tables.rows(model, using=source):
            block.append(row)
            if len(block) == _BLOCK:
                tables.insert(model, block, using=target)
                block = []
        if block:
            tables.insert(model, block, using=target)
    tables.next_keys(every, using=target)
