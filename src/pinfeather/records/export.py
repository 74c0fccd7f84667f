"""Everything the farm has written, in open formats: a table for each kind of record, and a store.

A folder, or the same folder in a ZIP file::

    read-me.txt        how it is written
    dictionary.csv     what each column means
    contents.json      rows and SHA-256 of each file, the program's version, the journal's head
    tables/*.csv       one for each table: UTF-8, RFC 4180
    farm.sqlite3       the same rows as a SQLite store
"""

from __future__ import annotations

import csv
import datetime as dt
import hashlib
import io
import json
import shutil
import tempfile
import zipfile
from collections.abc import Iterable, Iterator
from dataclasses import astuple
from pathlib import Path
from typing import Any, Final

from django.db import models

from pinfeather import __version__
from pinfeather.errors import StoreError
from pinfeather.records import backup, dictionary, rows, tables
from pinfeather.records.place import second_store
from pinfeather.words import gettext as _

CONTENTS: Final = "contents.json"
STORE: Final = "farm.sqlite3"
FORM: Final = 1
"""Number of this way of writing an export."""

_READ_ME: Final = """\
The records of one farm, written by Pinfeather {version} on {moment}.

dictionary.csv says what each column of each table means.
tables/ holds one table a file: UTF-8, comma, quotation marks and line ends as in RFC 4180, the
first line names the columns.

  Nothing written   an empty cell
  Moments           ISO 8601 in UTC; dates as 2026-06-17
  Numbers           with a point, as many digits as the store has
  JSON              compact, names in the order of the alphabet
  Bytes             base64
  Formulas          a text that begins with = + - @ (or their full-width forms), a tab, a line end
                    or an apostrophe has one apostrophe put in front, so that no spreadsheet runs
                    it. Take one apostrophe away from the front of each cell that has one, and you
                    have what the farm wrote. A lone apostrophe is an empty text in a column that
                    can also hold nothing.

farm.sqlite3 holds the same rows as a SQLite file.
contents.json holds the number of rows and the SHA-256 of each file.

To bring it back into a farm without records:  pinfeather import THIS-FOLDER-OR-ZIP
The journal's last line is number {entries}, with the hash {head}.
"""


def export(target: Path, *, now: dt.datetime) -> dict[str, int]:
    """Write the farm's records into a new folder, or a new file that ends in ``.zip``.

    Returns
    -------
    dict of str to int
        Rows by table.

    Raises
    ------
    StoreError
        If the target is there already, or cannot be written.
    """
    if target.exists() and (target.is_file() or any(target.iterdir())):
        raise StoreError(_("{target} is there already; give another name.").format(target=target))
    home = target.resolve().parent
    try:
        home.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryDirectory(prefix="unfinished-export-", dir=home) as scratch:
            folder = Path(scratch) / "export"
            folder.mkdir()
            counts = _fill(folder, now)
            if target.suffix.lower() == ".zip":
                packed = Path(scratch) / "export.zip"
                _pack(folder, packed)
                packed.replace(target)
            else:
                if target.exists():
                    target.rmdir()
                shutil.move(folder, target)
    except OSError as error:
        if isinstance(error, StoreError):
            raise
        raise StoreError(
            _("The export could not be written to {target} ({why}).").format(
                target=target, why=error.strerror or error
            )
        ) from error
    return counts


def _fill(folder: Path, now: dt.datetime) -> dict[str, int]:
    store = folder / STORE
    made = backup.take("by-hand", now=now, to=store)
    files: dict[str, str] = {}
    counts: dict[str, int] = {}
    (folder / "tables").mkdir()
    with second_store(store) as second:
        for model in tables.every_table():
            name = f"tables/{model._meta.db_table}.csv"
            counts[model._meta.db_table], files[name] = write_table(
                folder / name, model, using=second
            )
    words = (astuple(word) for word in dictionary.dictionary())
    _write(
        folder / "dictionary.csv",
        _lines([("table", "column", "meaning", "unit", "type"), *words]),
    )
    _write(
        folder / "read-me.txt",
        [
            _READ_ME.format(
                version=__version__,
                moment=now.isoformat(timespec="seconds"),
                entries=made.entries,
                head=made.head,
            ).encode()
        ],
    )
    for name in (STORE, "dictionary.csv", "read-me.txt"):
        files[name] = digest(folder / name)
    told = {
        "form": FORM,
        "program": f"pinfeather {__version__}",
        "written_at": now.isoformat(),
        "migrations": list(made.migrations),
        "entries": made.entries,
        "head": made.head,
        "rows": counts,
        "sha256": files,
    }
    _write(folder / CONTENTS, [json.dumps(told, indent=1, ensure_ascii=False).encode()])
    return counts


def _lines(rows_: Iterable[Iterable[str]]) -> Iterator[bytes]:
    """Return lines of a CSV file, one at a time."""
    buffer = io.StringIO(newline="")
    writer = csv.writer(buffer, lineterminator="\r\n")
    for row in rows_:
        writer.writerow(row)
        yield buffer.getvalue().encode("utf-8", "surrogatepass")
        buffer.seek(0)
        buffer.truncate()


def table_lines(model: type[models.Model], *, using: str) -> Iterator[bytes]:
    """Return a table as lines of a CSV file, the names of its columns first."""
    yield from _lines([rows.header(model)])
    yield from _lines(rows.cells(row) for row in tables.rows(model, using=using))


def write_table(path: Path, model: type[models.Model], *, using: str) -> tuple[int, str]:
    """Write a table; return how many rows it has, and the file's SHA-256."""
    return _write(path, table_lines(model, using=using))


def table_digest(model: type[models.Model], *, using: str) -> str:
    """Return the SHA-256 that the table's file would have."""
    whole = hashlib.sha256()
    for line in table_lines(model, using=using):
        whole.update(line)
    return whole.hexdigest()


def _write(path: Path, lines: Iterable[bytes]) -> tuple[int, str]:
    whole, count = hashlib.sha256(), -1
    with path.open("wb") as file:
        for line in lines:
            file.write(line)
            whole.update(line)
            count += 1
    return count, whole.hexdigest()


def digest(path: Path) -> str:
    """Return a file's SHA-256."""
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def _pack(folder: Path, target: Path) -> None:
    with zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED, compresslevel=6) as packed:
        for path in sorted(folder.rglob("*")):
            if path.is_file():
                packed.write(path, path.relative_to(folder).as_posix())


def contents(folder: Path) -> dict[str, Any]:
    """Read what an export says of itself.

    Raises
    ------
    StoreError
        If it is none, or written by a later way of writing.
    """
    try:
        told = json.loads((folder / CONTENTS).read_text(encoding="utf-8"))
        good = told["form"] == FORM and isinstance(told["rows"], dict)
    except (OSError, ValueError, KeyError, TypeError) as error:
        raise StoreError(_("There is no export of a farm's records here.")) from error
    if not good:
        raise StoreError(_("This export was written by a newer Pinfeather. Install that one."))
    return dict(told)
