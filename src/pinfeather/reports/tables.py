"""Tables as CSV files that a spreadsheet opens as text and numbers, never as formulas."""

from __future__ import annotations

import csv
import datetime as dt
import io
from collections.abc import Iterable, Sequence
from decimal import Decimal
from typing import Final

from pinfeather.errors import InputError
from pinfeather.words import gettext as _

Cell = str | int | float | Decimal | bool | dt.date | None

_FORMULA_STARTS: Final = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")
_BYTE_ORDER_MARK: Final = "\ufeff"


def safe_cell(value: Cell) -> str | int | float | Decimal:
    """Return a value as it may stand in a file for a spreadsheet.

    Parameters
    ----------
    value : str, int, float, Decimal, bool, date, datetime or None
        Numbers pass as they are; a text that a spreadsheet would run as a formula gets an
        apostrophe in front; moments are written in ISO 8601 with their offset.

    Returns
    -------
    str, int, float or Decimal
        What goes into the file.

    Raises
    ------
    InputError
        If a text holds a zero byte, which no spreadsheet reads.

    References
    ----------
    OWASP, "CSV Injection": cells that begin with = + - @, tab, carriage return, line feed or
    their full-width forms.

    Examples
    --------
    >>> safe_cell("=1+1")
    "'=1+1"
    >>> safe_cell(-3)
    -3
    """
    if value is None:
        return ""
    if isinstance(value, bool):
        return _("yes") if value else _("no")
    if isinstance(value, (int, float, Decimal)):
        return value
    if isinstance(value, dt.datetime):
        return value.isoformat(timespec="seconds")
    if isinstance(value, dt.date):
        return value.isoformat()
    if "\0" in value:
        raise InputError("cell", value, _("This text holds a zero byte; type it again."))
    return f"'{value}" if value.startswith(_FORMULA_STARTS) else value


def csv_text(header: Sequence[str], rows: Iterable[Sequence[Cell]]) -> str:
    """Write a table as comma-separated text.

    Parameters
    ----------
    header : sequence of str
        The columns' names.
    rows : iterable of sequence
        Each as long as the header.

    Returns
    -------
    str
        Lines end in carriage return and line feed; a cell is quoted where it holds a comma, a
        quotation mark or a line end, and quotation marks are doubled.

    Raises
    ------
    InputError
        If a row is not as long as the header.

    References
    ----------
    IETF RFC 4180 (2005), section 2.
    """
    out = io.StringIO()
    writer = csv.writer(out, quoting=csv.QUOTE_MINIMAL, lineterminator="\r\n")
    writer.writerow([safe_cell(name) for name in header])
    for number, row in enumerate(rows):
        if len(row) != len(header):
            raise InputError(
                f"rows[{number}]",
                row,
                _("This row has {have} cells and the table {need} columns.").format(
                    have=len(row), need=len(header)
                ),
            )
        writer.writerow([safe_cell(cell) for cell in row])
    return out.getvalue()


def csv_bytes(header: Sequence[str], rows: Iterable[Sequence[Cell]]) -> bytes:
    """Write a table as a file to download.

    Parameters
    ----------
    header : sequence of str
        The columns' names.
    rows : iterable of sequence
        Each as long as the header.

    Returns
    -------
    bytes
        UTF-8 with a byte order mark, without which some spreadsheets garble “°”.

    Raises
    ------
    InputError
        As :func:`csv_text`.

    References
    ----------
    IETF RFC 4180 (2005); Unicode Standard 15.0, section 23.8, for the mark.
    """
    return (_BYTE_ORDER_MARK + csv_text(header, rows)).encode()
