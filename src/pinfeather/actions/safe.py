"""Are our records safe: backups, what their checks found, going back to one, and the export."""

from __future__ import annotations

import datetime as dt
import logging
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from django.db import DatabaseError

from pinfeather import clock
from pinfeather.actions import store
from pinfeather.errors import RecordNotFoundError, StoreError
from pinfeather.records import backup, bringing, export, journal, models, place, restoring
from pinfeather.records.backup import KEEP_LAST, KEEP_MONTHS, Backup, take
from pinfeather.records.writing import afterwards
from pinfeather.words import gettext as _

__all__ = ["KEEP_LAST", "KEEP_MONTHS", "Backup", "Safe", "look"]

_LOG: Final = logging.getLogger(__name__)
OLD: Final = dt.timedelta(days=14)
"""A backup older than this is called old, even where no day was closed since."""


@dataclass(frozen=True, slots=True)
class Aside:
    """A store that was put aside when a backup took its place."""

    path: Path
    size_bytes: int
    at: dt.datetime


@dataclass(frozen=True, slots=True)
class Safe:
    """How the farm's records stand."""

    folder: Path
    backups: tuple[Backup, ...]
    aside: tuple[Aside, ...]
    entries: int
    """Place of the newest line of the journal; 0 where it cannot be read."""
    trouble: str
    """A sentence, where the store cannot be used."""
    closed_since: int
    """Days closed since the newest whole backup."""
    is_file: bool
    """Whether the store is a file that a backup can take the place of."""

    @property
    def newest(self) -> Backup | None:
        """The newest backup that was checked and found whole."""
        return next((one for one in self.backups if one.whole), None)

    @property
    def behind(self) -> int:
        """Lines of the journal that are in no whole backup yet."""
        return max(0, self.entries - (self.newest.entries if self.newest else 0))

    def age(self, now: dt.datetime) -> dt.timedelta | None:
        """Return the age of the newest whole backup; never less than nothing."""
        if self.newest is None or self.newest.taken_at is None:
            return None
        return max(dt.timedelta(0), now - self.newest.taken_at)

    def verdict(self, now: dt.datetime) -> str:
        """Return ``damaged``, ``none``, ``behind``, ``old`` or ``safe``."""
        age = self.age(now)
        if self.trouble:
            return "damaged"
        if age is None:
            return "none"
        if self.closed_since:
            return "behind"
        return "old" if age > OLD else "safe"


class Trouble:
    """What keeps the program from using the store since it started; pages show it."""

    sentence: str = ""


def look() -> Safe:
    """Return how the records stand; works with a store that cannot be read, too."""
    trouble, entries, closed = Trouble.sentence, 0, 0
    backups = backup.listed()
    newest = next((one for one in backups if one.whole), None)
    if not trouble:
        try:
            entries = journal.head()[0]
            closed = models.Day.objects.filter(
                sealed_seq__gt=newest.entries if newest else 0
            ).count()
        except DatabaseError as error:
            trouble = _("The farm's records cannot be read ({why}).").format(why=error)
    return Safe(
        folder=backup.folder(),
        backups=backups,
        aside=tuple(_aside(path) for path in restoring.set_aside()),
        entries=entries,
        trouble=trouble,
        closed_since=closed,
        is_file=place.is_sqlite(),
    )


def _aside(path: Path) -> Aside:
    told = path.stat()
    return Aside(path, told.st_size, dt.datetime.fromtimestamp(told.st_mtime, dt.UTC))


def back_up(*, now: dt.datetime, to: Path | None = None) -> Backup:
    """Make a backup because somebody asked for it.

    Raises
    ------
    StoreError
        If it cannot be written, or the records are damaged.
    """
    return take("by-hand", now=now, to=to)


def after_closing() -> None:
    """Make a backup once the present transaction is on the disk; a failure is shown on the page."""
    afterwards(_after_closing)


def _after_closing() -> None:
    try:
        take("closed-day", now=clock.now(), whole_chain=False)
    except StoreError as error:  # the day is closed all the same; the page says what is missing
        _LOG.warning("%s", error)


def check_backup(name: str, *, now: dt.datetime) -> Backup:
    """Read a backup of the folder from end to end, and note what was found.

    Raises
    ------
    RecordNotFoundError
        If there is none of this name.
    StoreError
        If it cannot be read.
    """
    return backup.checked_again(file_named(name), now=now)


def file_named(name: str) -> Path:
    """Return a backup, or a store set aside, by its file's name.

    Raises
    ------
    RecordNotFoundError
        If there is none.
    """
    for path in (*(one.path for one in backup.listed()), *restoring.set_aside()):
        if path.name == name:
            return path
    raise RecordNotFoundError(_("There is no backup called “{name}”.").format(name=name))


def go_back(file: Path, *, now: dt.datetime) -> Path | None:
    """Put a backup in the place of the present records; return where those are now.

    Raises
    ------
    StoreError
        If the file is damaged or newer, or cannot be put in place.
    """
    aside = restoring.restore(file, now=now)
    store.ready_store()
    Trouble.sentence = ""
    return aside


def export_to(target: Path, *, now: dt.datetime) -> dict[str, int]:
    """Write all records in open formats; return the rows of each table.

    Raises
    ------
    StoreError
        If it cannot be written.
    """
    return export.export(target, now=now)


@contextmanager
def exported_zip(*, now: dt.datetime) -> Iterator[Path]:
    """Write all records into a ZIP file that is gone afterwards.

    Raises
    ------
    StoreError
        If it cannot be written.
    """
    with tempfile.TemporaryDirectory(prefix="pinfeather-export-") as scratch:
        path = Path(scratch) / "farm.zip"
        export.export(path, now=now)
        yield path


def bring_in(source: Path) -> dict[str, int]:
    """Bring an export or a backup into a store without records; return the rows of each table.

    Raises
    ------
    StoreError
        If there are records, or the source is damaged, newer, or does not come out equal.
    """
    return bringing.bring(source)
