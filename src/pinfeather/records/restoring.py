"""Going back to a backup: looked at first, brought up to date, and exchanged in one step.

Nothing is overwritten: the present store, whole or not, is set aside with all that lies beside it.
What is to be done stands in a small file on the disk before it begins, so that a power cut in the
middle is finished at the next start.
"""

from __future__ import annotations

import datetime as dt
import json
import shutil
import sqlite3
from contextlib import closing
from pathlib import Path
from typing import Final

from django.core.management import call_command
from django.db import DatabaseError, connections
from django.db.migrations.loader import MigrationLoader

from pinfeather.errors import StoreError
from pinfeather.records import backup, place, writing
from pinfeather.records.checking import StoreState, check_file
from pinfeather.records.gate import GATE
from pinfeather.words import gettext as _

_PLAN: Final = "restore-under-way.json"
_NEW: Final = "restoring.sqlite3"
_PATIENCE_S: Final = 5.0


def aside_folder(home: Path) -> Path:
    """Return the folder of the stores that were set aside."""
    return home / "set-aside"


def set_aside() -> tuple[Path, ...]:
    """Return the stores that were set aside, newest first."""
    return tuple(sorted(aside_folder(place.data_dir()).glob("*.sqlite3"), reverse=True))


def newer_than_program(migrations: tuple[str, ...]) -> str:
    """Return a step of a store that this program does not know; empty where it knows all."""
    known = {name for app, name in MigrationLoader(None).disk_migrations if app == "records"}
    return max(set(migrations) - known, default="")


def looked_at(file: Path) -> StoreState:
    """Check a file that somebody wants to go back to.

    Raises
    ------
    StoreError
        If it is not there, is no store, is damaged, or comes from a newer version.
    """
    try:
        with file.open("rb"):
            state = check_file(file)
    except OSError as error:
        raise StoreError(
            _("{file} cannot be read ({why}).").format(file=file, why=error.strerror)
        ) from error
    except (sqlite3.Error, ValueError) as error:
        raise StoreError(
            _("{file} is no backup of a farm's records, or it is damaged ({why}).").format(
                file=file.name, why=error
            )
        ) from error
    faults = backup.faults_of(state)
    if faults:
        raise StoreError(
            _("{file} is damaged: {what}. Choose another backup.").format(
                file=file.name, what="; ".join(faults[:3])
            )
        )
    newer = newer_than_program(state.migrations)
    if newer:
        raise StoreError(
            _("{file} was written by a newer Pinfeather ({name}). Install that one first.").format(
                file=file.name, name=newer
            )
        )
    return state


def restore(file: Path, *, now: dt.datetime) -> Path | None:
    """Put a backup in the place of the present store.

    Parameters
    ----------
    file : pathlib.Path
        The backup; stays where it is.
    now : datetime
        Part of the name under which the present store is set aside.

    Returns
    -------
    pathlib.Path or None
        Where the present store is now; None where there was none.

    Raises
    ------
    StoreError
        If the file is damaged or newer, or the store is not a file.
    """
    if not place.is_sqlite():
        raise StoreError(
            _(
                "These records are kept by a PostgreSQL server. Make an empty database there, and "
                "bring the backup in with “pinfeather import”."
            )
        )
    looked_at(file)
    home, store = place.data_dir(), place.store_file()
    new = home / _NEW
    try:
        _prepare(file, new)
        with GATE.alone(), writing.queue():
            connections["default"].close()
            _let_go(store)
            present = any(store.with_name(store.name + side).exists() for side in place.SIDES)
            aside = _free_name(aside_folder(home), now) if present else None
            plan = {"store": store.name, "aside": aside.name if aside else ""}
            place.write_whole(home / _PLAN, json.dumps(plan).encode())
            finish(home)
    except OSError as error:
        if isinstance(error, StoreError):
            raise
        raise StoreError(
            _("The backup could not be put in place ({why}).").format(why=error.strerror)
        ) from error
    return aside


def _prepare(file: Path, new: Path) -> None:
    """Make a copy that this version can open, in one file, whole, on the disk."""
    for side in place.SIDES:
        new.with_name(new.name + side).unlink(missing_ok=True)
        beside = file.with_name(file.name + side)
        if beside.exists():
            shutil.copyfile(beside, new.with_name(new.name + side))
    new.chmod(0o600)
    try:
        with place.second_store(new) as second:
            call_command("migrate", database=second, verbosity=0, interactive=False)
        with closing(sqlite3.connect(new)) as base:
            base.execute("PRAGMA journal_mode=DELETE")
        state = check_file(new)
    except (DatabaseError, sqlite3.Error) as error:
        raise StoreError(
            _("{file} could not be brought up to date ({why}).").format(file=file.name, why=error)
        ) from error
    if not state.whole:
        raise StoreError(_("{file} is damaged. Choose another backup.").format(file=file.name))
    place.sync_file(new)


def _let_go(store: Path) -> None:
    """Make sure that nobody has the present store open, and put its log into it.

    Whoever still had it open would write into the file that is set aside, and at the end take away
    the log of the one that took its place.

    Raises
    ------
    StoreError
        If another program, or another part of this one, has it open.
    """
    if not store.exists():
        return
    try:
        with closing(sqlite3.connect(store, timeout=_PATIENCE_S)) as base:
            mode = base.execute("PRAGMA journal_mode=DELETE").fetchone()[0]
    except sqlite3.OperationalError as error:
        if "locked" not in str(error):
            return  # damaged in a way that lets nobody use it
        mode = "locked"
    except sqlite3.DatabaseError:
        return
    if mode != "delete":
        raise StoreError(
            _("Another program has the records open. Close it, and try again in a minute.")
        )


def _free_name(folder: Path, now: dt.datetime) -> Path:
    stamp = now.astimezone(dt.UTC).strftime("%Y%m%dT%H%M%SZ")
    number = 0
    while True:
        number += 1
        path = folder / f"farm-{stamp}-{number:02d}.sqlite3"
        if not any(path.with_name(path.name + side).exists() for side in place.SIDES):
            return path


def finish(home: Path) -> bool:
    """Carry out an exchange that was begun, from wherever it was cut short; tell if there was one.

    Raises
    ------
    OSError
        If a file cannot be moved.
    """
    path = home / _PLAN
    try:
        plan = json.loads(path.read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return False
    store, new = home / plan["store"], home / _NEW
    if new.exists():  # the last step has not been done
        if plan["aside"]:
            folder = aside_folder(home)
            folder.mkdir(mode=0o700, exist_ok=True)
            for side in reversed(place.SIDES):
                source = store.with_name(store.name + side)
                target = folder / (plan["aside"] + side)
                if source.exists() and not target.exists():
                    source.rename(target)
            place.sync_folder(folder)
        new.replace(store)
        place.sync_folder(home)
    path.unlink(missing_ok=True)
    for left in home.glob(f"{_PLAN}.*.part"):
        left.unlink(missing_ok=True)
    place.sync_folder(home)
    return True
