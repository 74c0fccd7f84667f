"""A workbook's first sheet as texts; refused before it is unpacked where it would not fit.

A workbook is a ZIP file of XML (ECMA-376). Its size unpacked is known from its directory, and is
held while it is read; no formula is worked out, no link is followed, no macro is looked at.
"""

from __future__ import annotations

import datetime as dt
import io
import re
import warnings
import zipfile
from typing import Any, Final

from pinfeather.actions.lists.table import MOST_COLUMNS, MOST_ROWS
from pinfeather.errors import InputError
from pinfeather.words import gettext as _

_MOST_UNPACKED: Final = 60 * 1024 * 1024
_MOST_PARTS: Final = 2000
_CHUNK: Final = 256 * 1024
_DOCTYPE: Final = re.compile(rb"<!\s*(?:DOCTYPE|ENTITY)", re.IGNORECASE)
_TEXTS: Final = (".xml", ".rels", ".vml")
_SPARE_ROWS: Final = 40


def read_workbook(raw: bytes) -> tuple[list[list[str]], str]:
    """Return the cells of the first sheet that has any, and how it was read.

    Raises
    ------
    InputError
        If it is no workbook, is damaged, or would unpack to more than fits.
    """
    _looked_through(raw)
    import openpyxl

    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # about styles and pictures that we do not read
            book = openpyxl.load_workbook(
                io.BytesIO(raw), read_only=True, data_only=True, keep_links=False
            )
            try:
                for sheet in book.worksheets:
                    grid = _grid(sheet)
                    if any(any(row) for row in grid):
                        return grid, _("workbook, sheet “{name}”").format(name=sheet.title)
            finally:
                book.close()
    except InputError:
        raise
    except Exception as error:  # the reader has no one kind of error for a damaged file
        raise _damaged() from error
    raise InputError("file", "", _("There is no row in it."))


def _looked_through(raw: bytes) -> None:
    """Unpack every part once, counting, and keep nothing; a directory may say less than is true."""
    try:
        with zipfile.ZipFile(io.BytesIO(raw)) as packed:
            fault = _fault_in(packed)
    except Exception as error:  # a part may be damaged in as many ways as there are packings
        raise _damaged() from error
    if fault is not None:
        raise fault


def _fault_in(packed: zipfile.ZipFile) -> InputError | None:
    parts = packed.infolist()
    if not any(one.filename.startswith("xl/") for one in parts):
        return InputError("file", "", _("This is no workbook. Save the table as CSV or as .xlsx."))
    if len(parts) > _MOST_PARTS or sum(one.file_size for one in parts) > _MOST_UNPACKED:
        return _too_large()
    left = _MOST_UNPACKED
    for one in parts:
        with packed.open(one) as part:
            before = b""
            while piece := part.read(_CHUNK):
                left -= len(piece)
                if left < 0:
                    return _too_large()
                if one.filename.endswith(_TEXTS) and _DOCTYPE.search(before + piece):
                    return _damaged()
                before = piece[-16:]
    return None


def _too_large() -> InputError:
    return InputError("file", "", _("The workbook is too large once unpacked. Save it as CSV."))


def _damaged() -> InputError:
    return InputError("file", "", _("The workbook cannot be read. Save the table as CSV instead."))


def _grid(sheet: Any) -> list[list[str]]:  # noqa: ANN401 - a sheet as the reader has it
    read = sheet.iter_rows(
        max_row=MOST_ROWS + _SPARE_ROWS, max_col=MOST_COLUMNS + 1, values_only=True
    )
    grid = [[_text(value) for value in row] for row in read]
    while grid and not any(grid[-1]):
        grid.pop()
    width = max((k + 1 for row in grid for k, cell in enumerate(row) if cell), default=0)
    return [row[:width] for row in grid]


def _text(value: object) -> str:
    """Return a cell as somebody would have typed it: dates as 2026-06-17, numbers with a point."""
    if value is None:
        return ""
    if isinstance(value, dt.datetime):
        return value.date().isoformat()
    if isinstance(value, dt.date):
        return value.isoformat()
    if isinstance(value, bool):
        return _("yes") if value else _("no")
    if isinstance(value, float):
        return str(int(value)) if value.is_integer() and abs(value) < 1e15 else f"{value:.10g}"  # noqa: PLR2004
    return " ".join("".join(c if c.isprintable() else " " for c in str(value)).split())
