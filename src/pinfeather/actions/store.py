"""Opening the farm's store: the tables brought up to date, a backup made before that."""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING, TextIO

if TYPE_CHECKING:
    from pinfeather.records.checking import StoreState

_LOCK_FILE = "in-use"


def check_store() -> StoreState:
    """Check the whole store: its pages, links, guards, seals, and the journal's chain of hashes.

    Raises
    ------
    StoreError
        If it cannot be read at all.
    """
    from django.db import DatabaseError

    from pinfeather.errors import StoreError
    from pinfeather.records.checking import check_default
    from pinfeather.words import gettext as _

    try:
        return check_default()
    except DatabaseError as error:
        raise StoreError(_("The records cannot be read ({why}).").format(why=error)) from error


def set_up(data_dir: Path, *, database: str = "") -> None:
    """Point this process at a data folder, without opening the store yet.

    Raises
    ------
    StoreError
        If the folder cannot be written.
    InputError
        If the database's address cannot be understood.
    """
    os.environ["PINFEATHER_DATA"] = str(data_dir)
    if database:
        os.environ["PINFEATHER_DATABASE"] = database
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "pinfeather.web.settings")
    import django

    from pinfeather.errors import StoreError
    from pinfeather.words import gettext as _

    try:
        django.setup()
    except OSError as error:
        if isinstance(error, StoreError):
            raise
        raise StoreError(
            _("The data folder {folder} cannot be written: {detail}.").format(
                folder=data_dir, detail=error.strerror
            )
        ) from error


def _unapplied() -> tuple[list[str], bool]:
    """Return the steps that the store has yet to take, and whether it has taken any.

    Raises
    ------
    StoreError
        If it has taken steps that this version does not know.
    """
    from django.db import connection
    from django.db.migrations.loader import MigrationLoader

    from pinfeather.errors import StoreError
    from pinfeather.words import gettext as _

    loader = MigrationLoader(connection)
    done = {name for app, name in loader.applied_migrations if app == "records"}
    known = {name for app, name in loader.disk_migrations if app == "records"}
    if done - known:
        raise StoreError(
            _(
                "These records were written by a newer Pinfeather ({name}). Install that one."
            ).format(name=max(done - known))
        )
    return sorted(known - done), bool(done)


def _not_gone() -> None:
    """Refuse to begin an empty store where there are backups of one.

    Raises
    ------
    StoreError
        With what to do.
    """
    from pinfeather.errors import StoreError
    from pinfeather.records import backup, place
    from pinfeather.words import gettext as _

    if place.is_sqlite() and not place.store_file().exists() and backup.listed():
        raise StoreError(
            _(
                "The farm's records are gone from {folder}, but there are backups. Put one of them "
                "in place; to begin a new farm, choose another data folder."
            ).format(folder=place.data_dir())
        )


def ready_store() -> None:
    """Make the store ready: finish a restore that was cut short, back up, update the tables.

    Raises
    ------
    StoreError
        If it cannot be written, is damaged or missing, or comes from a newer version.
    """
    from django.core.management import call_command
    from django.db import DatabaseError

    from pinfeather import clock
    from pinfeather.errors import StoreError
    from pinfeather.records import backup, guards, place, restoring
    from pinfeather.words import gettext as _

    folder = place.data_dir()
    try:
        restoring.finish(folder)
        _not_gone()
        steps, begun = _unapplied()
        if steps and begun:
            backup.take("before-update", now=clock.now())
        if steps:
            call_command("migrate", verbosity=0, interactive=False)
        elif guards.missing():
            guards.install("default")
    except StoreError:
        raise
    except DatabaseError as error:
        raise StoreError(
            _("The farm's records in {folder} cannot be opened: {detail}.").format(
                folder=folder, detail=str(error).strip()
            )
        ) from error
    except OSError as error:
        raise StoreError(
            _("The data folder {folder} cannot be written: {detail}.").format(
                folder=folder, detail=error.strerror
            )
        ) from error


def open_store(data_dir: Path, *, database: str = "") -> None:
    """Make the store in a folder ready for this process.

    Raises
    ------
    StoreError
        If the folder or the store cannot be written, or comes from a newer version.
    InputError
        If the database's address cannot be understood.
    """
    set_up(data_dir, database=database)
    ready_store()


def hold(data_dir: Path) -> TextIO:
    """Mark a data folder as in use by this process until it ends, or the file is closed.

    Raises
    ------
    StoreError
        If another process has it.
    """
    from pinfeather.errors import StoreError
    from pinfeather.words import gettext as _

    path = data_dir / _LOCK_FILE
    try:
        file = path.open("a+", encoding="ascii")
    except OSError as error:
        raise StoreError(
            _("The data folder {folder} cannot be written: {detail}.").format(
                folder=data_dir, detail=error.strerror
            )
        ) from error
    try:
        if os.name == "nt":
            import msvcrt

            file.seek(0)
            msvcrt.locking(file.fileno(), msvcrt.LK_NBLCK, 1)  # type: ignore[attr-defined]
        else:
            import fcntl

            fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError as error:
        file.close()
        raise StoreError(
            _(
                "Pinfeather is running on the records in {folder} already. Stop it first, or use "
                "its page “Are our records safe?”."
            ).format(folder=data_dir)
        ) from error
    return file
