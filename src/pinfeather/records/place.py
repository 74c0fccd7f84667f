"""Where the store and what belongs to it lie, and files that are on the disk before it is said."""

from __future__ import annotations

import itertools
import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any, Final

from django.conf import settings
from django.db import connections

SIDES: Final = ("", "-wal", "-shm")
"""What SQLite adds to a store's name for the files beside it."""
_NUMBER: Final = itertools.count(1)


def is_sqlite() -> bool:
    """Tell whether the store is one file of our own."""
    return connections["default"].vendor == "sqlite"


def store_file() -> Path:
    """Return the store's file; only for a store that is one."""
    return Path(str(connections["default"].settings_dict["NAME"]))


def data_dir() -> Path:
    """Return the folder that holds the store, the backups and what was set aside."""
    return store_file().parent if is_sqlite() else Path(settings.DATA_DIR)


def sync_file(path: Path) -> None:
    """Have a file's content on the disk."""
    handle = os.open(path, os.O_RDWR)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def sync_folder(path: Path) -> None:
    """Have a folder's names on the disk, where the system can do that."""
    if os.name == "nt":
        return
    handle = os.open(path, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def write_whole(path: Path, content: bytes) -> None:
    """Write a small file so that after a power cut it is there whole or not at all."""
    part = path.with_name(f"{path.name}.{os.getpid()}.part")
    handle = os.open(part, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
    with os.fdopen(handle, "wb") as file:
        file.write(content)
        file.flush()
        os.fsync(file.fileno())
    part.replace(path)
    sync_folder(path.parent)


@contextmanager
def second_store(path: Path) -> Iterator[str]:
    """Open another SQLite store beside the farm's own; give the name Django knows it by."""
    alias = f"second-{next(_NUMBER)}"
    described: dict[str, Any] = {
        **connections["default"].settings_dict,
        "ENGINE": "django.db.backends.sqlite3",
        "NAME": str(path),
        "OPTIONS": {"init_command": "PRAGMA foreign_keys=ON;PRAGMA recursive_triggers=ON;"},
        "TIME_ZONE": None,
    }
    connections.databases[alias] = described
    try:
        yield alias
    finally:
        connections[alias].close()
        del connections[alias]
        del connections.databases[alias]
