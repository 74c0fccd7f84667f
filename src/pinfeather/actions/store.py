"""Opening the farm's store: the tables brought up to date."""

from __future__ import annotations

import os
from dataclasses import dataclass
from pathlib import Path


@dataclass(frozen=True, slots=True)
class StoreState:
    """What a check of the store found."""

    entries: int
    head: str
    damage: tuple[str, ...]
    broken_at: int | None


def check_store() -> StoreState:
    """Check the whole store: its pages, its links, and the journal's chain of hashes."""
    from django.db import connection

    from pinfeather.records import journal

    damage: list[str] = []
    with connection.cursor() as cursor:
        if connection.vendor == "sqlite":
            cursor.execute("PRAGMA integrity_check")
            damage += [str(row[0]) for row in cursor.fetchall() if row[0] != "ok"]
            cursor.execute("PRAGMA foreign_key_check")
            damage += [f"foreign key: {row}" for row in cursor.fetchall()]
    damage += [f"seal of {date}" for date in journal.broken_seals()]
    seq, digest = journal.head()
    return StoreState(seq, digest, tuple(damage), journal.broken_at())


def _refuse_newer() -> None:
    """Refuse a store that a newer version of the program has already changed.

    Raises
    ------
    StoreError
        With what to do.
    """
    from django.db import connection
    from django.db.migrations.loader import MigrationLoader

    from pinfeather.errors import StoreError
    from pinfeather.words import gettext as _

    loader = MigrationLoader(connection)
    unknown = [
        name
        for app, name in loader.applied_migrations
        if app == "records" and (app, name) not in loader.disk_migrations
    ]
    if unknown:
        raise StoreError(
            _(
                "These records were written by a newer Pinfeather ({name}). Install that one."
            ).format(name=max(unknown))
        )


def open_store(data_dir: Path) -> None:
    """Make the store in a folder ready for this process.

    Raises
    ------
    StoreError
        If the folder or the store cannot be written, or comes from a newer version.
    """
    os.environ["PINFEATHER_DATA"] = str(data_dir)
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "pinfeather.web.settings")
    import django
    from django.core.management import call_command
    from django.db import DatabaseError

    from pinfeather.errors import StoreError
    from pinfeather.words import gettext as _

    try:
        django.setup()
        _refuse_newer()
        call_command("migrate", verbosity=0, interactive=False)
    except StoreError:
        raise
    except DatabaseError as error:
        raise StoreError(
            _("The farm's records in {folder} cannot be opened: {detail}.").format(
                folder=data_dir, detail=error
            )
        ) from error
    except OSError as error:
        raise StoreError(
            _("The data folder {folder} cannot be written: {detail}.").format(
                folder=data_dir, detail=error.strerror
            )
        ) from error
