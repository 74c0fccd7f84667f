"""An export brought back into a store without records, and proven to be the same, row by row.

All of it happens in one transaction: a single cell that differs takes everything back.
"""

from __future__ import annotations

import csv
import io
import shutil
import tempfile
import zipfile
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import Any, Final

from django.core.management import call_command
from django.db import DatabaseError, IntegrityError, connection, models

from pinfeather.errors import StoreError
from pinfeather.records import copying, export, place, restoring, rows, tables
from pinfeather.records.checking import check_default
from pinfeather.records.writing import writing
from pinfeather.words import gettext as _

_BLOCK: Final = 500
_LONGEST_CELL: Final = 2**31 - 1
_MOST_BYTES: Final = 20 * 2**30
"""A ZIP file that would unpack to more than this is refused."""


def bring(source: Path) -> dict[str, int]:
    """Bring an export (a folder or a ZIP file) or a backup into the empty store.

    Returns
    -------
    dict of str to int
        Rows by table.

    Raises
    ------
    StoreError
        If the store has records, the source is damaged or newer, or a row does not come out equal.
    """
    if not tables.empty():
        raise StoreError(
            _("There are records here already. Bring an export into a new folder: --data FOLDER.")
        )
    with tempfile.TemporaryDirectory(prefix="pinfeather-import-") as scratch:
        if source.is_file() and not zipfile.is_zipfile(source):
            return _from_store(source, Path(scratch))
        with _unpacked(source, Path(scratch)) as folder:
            told = export.contents(folder)
            _unchanged(folder, told)
            newer = restoring.newer_than_program(tuple(told["migrations"]))
            if newer:
                raise StoreError(
                    _(
                        "This export was written by a newer Pinfeather ({name}). Install that one."
                    ).format(name=newer)
                )
            if tuple(told["migrations"]) != tuple(sorted(_steps())):
                return _from_store(folder / export.STORE, Path(scratch))
            return _from_tables(folder, told)


def _steps() -> list[str]:
    with connection.cursor() as cursor:
        cursor.execute("SELECT name FROM django_migrations WHERE app = 'records'")
        return [str(row[0]) for row in cursor.fetchall()]


@contextmanager
def _unpacked(source: Path, scratch: Path) -> Iterator[Path]:
    if source.is_dir():
        yield source
        return
    if not source.exists():
        raise StoreError(_("{source} is not there.").format(source=source))
    folder = scratch / "export"
    try:
        with zipfile.ZipFile(source) as packed:
            names = packed.infolist()
            if sum(one.file_size for one in names) > _MOST_BYTES:
                raise StoreError(_("{source} is too large.").format(source=source))
            packed.extractall(folder)
    except (OSError, zipfile.BadZipFile) as error:
        if isinstance(error, StoreError):
            raise
        raise StoreError(
            _("{source} cannot be unpacked ({why}).").format(source=source, why=error)
        ) from error
    yield folder


def _unchanged(folder: Path, told: Mapping[str, Any]) -> None:
    """Refuse an export in which a file is not as it was written."""
    for name, digest in told["sha256"].items():
        path = folder / name
        if not path.is_file() or export.digest(path) != digest:
            raise StoreError(
                _("{name} is not as it was written; nothing was brought in.").format(name=name)
            )


def _from_tables(folder: Path, told: Mapping[str, Any]) -> dict[str, int]:
    def fill() -> None:
        for model in tables.every_table():
            path = folder / "tables" / f"{model._meta.db_table}.csv"
            for block in _blocks(_read(path, model)):
                tables.insert(model, block, using="default")
        tables.next_keys(tables.every_table(), using="default")

    expected = {name: told["sha256"][f"tables/{name}.csv"] for name in told["rows"]}
    return _proven(fill, expected, head=(int(told["entries"]), str(told["head"])))


def _from_store(source: Path, scratch: Path) -> dict[str, int]:
    """Bring in a backup, or an export of an earlier version by the store it holds."""
    state = restoring.looked_at(source)
    copy = scratch / "copy.sqlite3"
    shutil.copyfile(source, copy)
    with place.second_store(copy) as second:
        call_command("migrate", database=second, verbosity=0, interactive=False)
        expected = {
            model._meta.db_table: export.table_digest(model, using=second)
            for model in tables.every_table()
        }
        return _proven(
            lambda: copying.copy_rows(second, "default"), expected, head=(state.entries, state.head)
        )


def _read(path: Path, model: type[models.Model]) -> Iterator[models.Model]:
    csv.field_size_limit(_LONGEST_CELL)
    with path.open("rb") as raw:
        text = io.TextIOWrapper(raw, encoding="utf-8", errors="surrogatepass", newline="")
        lines = csv.reader(text, strict=True)
        if tuple(next(lines, ())) != rows.header(model):
            raise StoreError(
                _("{name} has other columns than this version.").format(name=path.name)
            )
        for number, line in enumerate(lines, start=2):
            try:
                yield rows.read(model, tuple(line))
            except (ValueError, KeyError) as error:
                raise StoreError(
                    _("{name}, row {n}, cannot be read ({why}).").format(
                        name=path.name, n=number, why=error
                    )
                ) from error


def _blocks(found: Iterator[models.Model]) -> Iterator[list[models.Model]]:
    block: list[models.Model] = []
    for row in found:
        block.append(row)
        if len(block) == _BLOCK:
            yield block
            block = []
    if block:
        yield block


def _proven(fill: Any, expected: Mapping[str, str], *, head: tuple[int, str]) -> dict[str, int]:  # noqa: ANN401 - a function
    """Fill the store and hold it against the source; take everything back where it differs."""
    try:
        with writing():
            fill()
            for model in tables.every_table():
                name = model._meta.db_table
                if export.table_digest(model, using="default") != expected.get(name):
                    raise StoreError(
                        _(
                            "The table {name} did not come out equal; nothing was brought in."
                        ).format(name=name)
                    )
            connection.check_constraints()
            state = check_default(deep=False)
            if not state.whole or (state.entries, state.head) != head:
                raise StoreError(
                    _("The journal did not come out unbroken; nothing was brought in.")
                )
    except IntegrityError as error:
        raise StoreError(
            _("The rows do not fit one another ({why}); nothing was brought in.").format(why=error)
        ) from error
    except DatabaseError as error:
        raise StoreError(
            _("The rows cannot be kept here ({why}); nothing was brought in.").format(why=error)
        ) from error
    return dict(state.rows)
