"""``pinfeather backup``, ``restore``, ``export`` and ``import``."""

from __future__ import annotations

from pathlib import Path

from pinfeather import clock
from pinfeather.actions.store import hold, open_store, set_up
from pinfeather.cli.folder import data_folder
from pinfeather.words import gettext as _


def write_backup(*, data_dir: Path | None, database: str, to: Path | None) -> None:
    """Make a backup and say where it is.

    Raises
    ------
    StoreError
        If it cannot be written, or the records are damaged.
    """
    open_store(data_folder(data_dir), database=database)
    from pinfeather.actions import safe

    made = safe.back_up(now=clock.now(), to=to)
    print(
        _("Backup: {file}, {n} lines of the journal, read back and whole.").format(
            file=made.path, n=made.entries
        )
    )


def put_back(file: Path, *, data_dir: Path | None, database: str) -> None:
    """Put a backup in the place of the present records.

    Raises
    ------
    StoreError
        If the program is running, or the file is damaged or newer.
    """
    folder = data_folder(data_dir)
    with hold(folder):
        set_up(folder, database=database)
        from pinfeather.actions import safe

        aside = safe.go_back(file, now=clock.now())
    print(_("In place: {file}.").format(file=file))
    if aside is not None:
        print(_("The records from before are in {file}.").format(file=aside))


def write_export(target: Path, *, data_dir: Path | None, database: str) -> None:
    """Write all records in open formats.

    Raises
    ------
    StoreError
        If they cannot be written.
    """
    open_store(data_folder(data_dir), database=database)
    from pinfeather.actions import safe

    counts = safe.export_to(target, now=clock.now())
    print(
        _("Export: {target}, {n} rows in {tables} tables.").format(
            target=target, n=sum(counts.values()), tables=len(counts)
        )
    )


def read_export(source: Path, *, data_dir: Path | None, database: str) -> None:
    """Bring an export or a backup into a store without records.

    Raises
    ------
    StoreError
        If there are records, or the source is damaged, newer, or does not come out equal.
    """
    open_store(data_folder(data_dir), database=database)
    from pinfeather.actions import safe

    counts = safe.bring_in(source)
    print(
        _("Brought in: {n} rows, each equal to the source; the journal unbroken.").format(
            n=sum(counts.values())
        )
    )
