"""Backups: a whole copy of the store in one file, on the disk and checked before it counts.

A backup is a SQLite file that this program, or any other that reads SQLite, can open. Its name says
its number, when it was made, and why. Beside it stands what its check found. The order of backups
is that of their numbers, so a clock that was wrong for a day can not make an old one the newest.
"""

from __future__ import annotations

import datetime as dt
import json
import os
import re
import sqlite3
import threading
from collections.abc import Mapping, Sequence
from contextlib import closing, suppress
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Final

from django.db import DatabaseError

from pinfeather.errors import StoreError
from pinfeather.records import place
from pinfeather.records.checking import StoreState, check_file
from pinfeather.words import gettext as _

KEEP_LAST: Final = 10
"""So many of the newest backups stay."""
KEEP_MONTHS: Final = 24
"""Of so many months, counted back from the newest backup, the last one of each stays too."""
REASONS: Final = ("closed-day", "before-update", "by-hand")

_NAME: Final = re.compile(r"farm-(\d{5,})-(\d{8}T\d{6}Z)-([a-z-]+)\.sqlite3")
_STAMP: Final = "%Y%m%dT%H%M%SZ"
_ONE_AT_A_TIME: Final = threading.Lock()


@dataclass(frozen=True, slots=True)
class Backup:
    """One file to go back to, with what its check found."""

    path: Path
    number: int
    taken_at: dt.datetime | None
    reason: str
    size_bytes: int
    checked_at: dt.datetime | None = None
    entries: int = 0
    head: str = ""
    rows: Mapping[str, int] = field(default_factory=dict)
    migrations: tuple[str, ...] = ()
    faults: tuple[str, ...] = ()

    @property
    def whole(self) -> bool:
        """Whether it was checked and nothing was wrong."""
        return self.checked_at is not None and not self.faults


def folder() -> Path:
    """Return the folder of the backups; it need not exist yet."""
    return place.data_dir() / "backups"


def listed() -> tuple[Backup, ...]:
    """Return the backups there are, newest first; files put there by hand come last."""
    try:
        files = [one for one in folder().iterdir() if one.suffix == ".sqlite3" and one.is_file()]
    except OSError:
        return ()
    return tuple(sorted(map(_described, files), key=lambda b: (b.number, b.path.name))[::-1])


def _described(path: Path, told: Mapping[str, Any] | None = None) -> Backup:
    named = _NAME.fullmatch(path.name)
    number, taken_at, reason = 0, None, ""
    if named:
        number, reason = int(named[1]), named[3]
        taken_at = dt.datetime.strptime(named[2], _STAMP).replace(tzinfo=dt.UTC)
    size = path.stat().st_size
    told = _side(path) if told is None else told
    if told.get("size_bytes") != size:  # nothing is known of it, or it is another file by now
        return Backup(path, number, taken_at, reason, size)
    return Backup(
        path,
        number,
        taken_at,
        reason,
        size,
        checked_at=dt.datetime.fromisoformat(told["checked_at"]),
        entries=int(told["entries"]),
        head=str(told["head"]),
        rows=told["rows"],
        migrations=tuple(told["migrations"]),
        faults=tuple(told["faults"]),
    )


def _side(path: Path) -> dict[str, Any]:
    """Read what stands beside a backup; nothing where it is missing or not ours."""
    try:
        told = json.loads(path.with_suffix(".json").read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return {}
    needed = {"size_bytes", "checked_at", "entries", "head", "rows", "migrations", "faults"}
    return told if isinstance(told, dict) and needed <= told.keys() else {}


def faults_of(state: StoreState) -> tuple[str, ...]:
    """Return what a check found, in words."""
    broken = state.broken_at
    told = () if broken is None else (_("line {n} of the journal").format(n=broken),)
    return (*told, *state.damage)


def take(
    reason: str, *, now: dt.datetime, to: Path | None = None, whole_chain: bool = True
) -> Backup:
    """Write a backup, have it on the disk, read it back, and only then let it count.

    Parameters
    ----------
    reason : str
        One of :data:`REASONS`; part of the name.
    now : datetime
        Part of the name.
    to : pathlib.Path, optional
        A file to write instead of the next one in the backups' folder; must not exist.
    whole_chain : bool
        Follow the journal's chain from its beginning, not from the last backup's end.

    Raises
    ------
    StoreError
        If it cannot be written, or does not read back whole.
    """
    with _ONE_AT_A_TIME:
        home = folder() if to is None else to.resolve().parent
        part = home / f"unfinished-{os.getpid()}-{threading.get_ident()}.part"
        try:
            home.mkdir(parents=True, exist_ok=True, mode=0o700)
            if to is not None and to.exists():
                raise StoreError(_("{file} is there already; give another name.").format(file=to))
            if to is None:
                _clear(home)
            _copy(part)
            part.chmod(0o600)
            place.sync_file(part)
            last = None if whole_chain else next((b for b in listed() if b.whole), None)
            state = check_file(part, after=(last.entries, last.head) if last else None)
            faults = faults_of(state)
            target = to or _next_name(reason, now)
            size = part.stat().st_size
            note = _note(state, size, now)
            if to is None:
                place.write_whole(target.with_suffix(".json"), _spelled(note))
            part.rename(target)
            place.sync_folder(home)
        except (OSError, sqlite3.Error, DatabaseError) as error:
            with suppress(OSError):
                part.unlink(missing_ok=True)
            if isinstance(error, StoreError):
                raise
            raise StoreError(
                _("The backup could not be written to {folder} ({why}).").format(
                    folder=home, why=getattr(error, "strerror", None) or error
                )
            ) from error
        made = _described(target, note)
        if to is None and not faults:
            rotate()
    if faults:
        raise StoreError(
            _("The records look damaged: {what}. The backup was written all the same.").format(
                what="; ".join(faults[:3])
            )
        )
    return made


def checked_again(path: Path, *, now: dt.datetime) -> Backup:
    """Read a backup of the folder from end to end and note what was found.

    Raises
    ------
    StoreError
        If it cannot be read as a store.
    """
    try:
        state = check_file(path)
        note = _note(state, path.stat().st_size, now)
        place.write_whole(path.with_suffix(".json"), _spelled(note))
    except (OSError, sqlite3.Error) as error:
        raise StoreError(
            _("{file} is no backup that can be read ({why}).").format(file=path.name, why=error)
        ) from error
    return _described(path, note)


def _note(state: StoreState, size: int, now: dt.datetime) -> dict[str, Any]:
    return {
        "size_bytes": size,
        "checked_at": now.isoformat(),
        "entries": state.entries,
        "head": state.head,
        "rows": dict(state.rows),
        "migrations": list(state.migrations),
        "faults": list(faults_of(state)),
    }


def _spelled(note: Mapping[str, Any]) -> bytes:
    return json.dumps(note, indent=1, ensure_ascii=False).encode()


def _copy(part: Path) -> None:
    if not place.is_sqlite():
        from pinfeather.records.copying import copy_to_file

        copy_to_file(part)
        return
    with closing(sqlite3.connect(place.store_file(), timeout=10)) as base:
        base.execute("VACUUM INTO ?", [str(part)])


def _next_name(reason: str, now: dt.datetime) -> Path:
    number = max((one.number for one in listed()), default=0) + 1
    stamp = now.astimezone(dt.UTC).strftime(_STAMP)
    return folder() / f"farm-{number:05d}-{stamp}-{reason}.sqlite3"


def _clear(home: Path) -> None:
    """Take away what a backup that was cut short has left."""
    notes = [one for one in home.glob("farm-*.json") if not one.with_suffix(".sqlite3").exists()]
    for left in (*home.glob("unfinished-*.part*"), *home.glob("farm-*.json.*.part"), *notes):
        left.unlink(missing_ok=True)


def rotate() -> tuple[Path, ...]:
    """Take away the backups that need not stay; return which."""
    ours = [one for one in listed() if one.number]
    stay = {one.path for one in kept(ours)}
    gone = []
    for one in ours:
        if one.path not in stay:
            one.path.unlink(missing_ok=True)
            one.path.with_suffix(".json").unlink(missing_ok=True)
            gone.append(one.path)
    return tuple(gone)


def kept(newest_first: Sequence[Backup]) -> tuple[Backup, ...]:
    """Return which backups stay: the newest ones, and the last one of each month before them."""
    stay = list(newest_first[:KEEP_LAST])
    months: set[tuple[int, int]] = set()
    for one in newest_first:
        month = (one.taken_at.year, one.taken_at.month) if one.taken_at else (0, 0)
        if month in months:
            continue
        if len(months) == KEEP_MONTHS:
            break
        months.add(month)
        if one not in stay:
            stay.append(one)
    return tuple(stay)
