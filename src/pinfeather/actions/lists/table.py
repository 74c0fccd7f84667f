"""A sent file as a table of texts: comma-separated text in any usual encoding, or a workbook."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from pinfeather.errors import InputError
from pinfeather.words import gettext as _

MOST_BYTES: Final = 5 * 1024 * 1024
MOST_ROWS: Final = 5000
MOST_COLUMNS: Final = 60
LONGEST_CELL: Final = 4000
_LOOKED_AT: Final = 40
_SEPARATORS: Final = {
    ";": "semicolons", "\t": "tabs", ",": "commas", "|": "bars",
}  # fmt: skip
_FIGURES: Final = re.compile(
    r"[\s$€£#]*[+\-−]?\d[\d.,/\- :]*\s*(?:lbs?|oz|kg|g)?\.?\s*", re.IGNORECASE
)
_OTHER_FILES: Final = (
    (b"\xd0\xcf\x11\xe0", "an old spreadsheet"),
    (b"%PDF", "a PDF"),
    (b"\x89PNG", "a picture"),
    (b"\xff\xd8\xff", "a picture"),
    (b"GIF8", "a picture"),
)


@dataclass(frozen=True, slots=True)
class Table:
    """What a file holds."""

    names: tuple[str, ...]
    """Headings, each of them once."""
    rows: tuple[tuple[int, tuple[str, ...]], ...]
    """Row number as a spreadsheet counts it, and the cells."""
    how: str
    """How it was read, in words."""

    def cell(self, cells: Sequence[str], name: str) -> str:
        """Return a row's cell under a heading; empty where there is none."""
        return cells[self.names.index(name)] if name in self.names else ""

    def under(self, name: str) -> tuple[str, ...]:
        """Return every cell under a heading that is not empty."""
        return tuple(c for _n, cells in self.rows if (c := self.cell(cells, name)))


def read_table(raw: bytes) -> Table:
    """Read a file.

    Raises
    ------
    InputError
        If it is too large, no table, damaged, or no text; the sentence says what to do.
    """
    if not raw.strip():
        raise InputError(
            "file", "", _("There is nothing in it. Choose the file, or paste the rows.")
        )
    if len(raw) > MOST_BYTES:
        raise InputError("file", len(raw), _("It is larger than 5 MB. Bring in a part at a time."))
    if raw.startswith(b"PK"):
        from pinfeather.actions.lists.workbook import read_workbook

        grid, how = read_workbook(raw)
    else:
        grid, how = _read_text(raw)
    return _table(grid, how)


def _read_text(raw: bytes) -> tuple[list[list[str]], str]:
    text, encoding = decoded(raw)
    csv.field_size_limit(MOST_BYTES)
    lines = text.replace("\r\n", "\n").replace("\r", "\n")
    separator = _separator(lines)
    try:
        grid = []
        for cells in csv.reader(io.StringIO(lines), delimiter=separator):
            grid.append([_plain(cell) for cell in cells])
            if len(grid) > MOST_ROWS + _LOOKED_AT:
                break
    except csv.Error as error:
        raise InputError(
            "file", "", _("The columns cannot be told apart ({why}).").format(why=error)
        ) from error
    how = _("{encoding}, columns apart by {separator}").format(
        encoding=encoding, separator=_(_SEPARATORS[separator])
    )
    return grid, how


def decoded(raw: bytes) -> tuple[str, str]:
    """Return the text and how it is written.

    Raises
    ------
    InputError
        If it is no text.
    """
    for magic, words in _OTHER_FILES:
        if raw.startswith(magic):
            raise InputError(
                "file",
                "",
                _("This is {what}. Save the table as CSV or as .xlsx, and choose that.").format(
                    what=_(words)
                ),
            )
    if raw[:2] in (b"\xff\xfe", b"\xfe\xff"):
        try:
            return _without_nulls(raw.decode("utf-16")), "UTF-16"
        except UnicodeDecodeError as error:
            raise InputError("file", "", _("The file is cut off. Save it once more.")) from error
    try:
        return _without_nulls(raw.decode("utf-8-sig")), "UTF-8"
    except UnicodeDecodeError:
        return _without_nulls(raw.decode("cp1252", errors="replace")), _("Western code page")


def _without_nulls(text: str) -> str:
    if "\0" in text:
        raise InputError(
            "file", "", _("This is not plain text. Save the table as CSV or as .xlsx.")
        )
    return text


def _separator(text: str) -> str:
    """Take what cuts the most of the first lines into the same number of columns, more than one."""
    lines = [line for line in text.split("\n") if line.strip()][:_LOOKED_AT]

    def fit(separator: str) -> tuple[int, int]:
        try:
            widths = [len(cells) for cells in csv.reader(lines, delimiter=separator)]
        except csv.Error:
            return 0, 0
        usual = max(set(widths), key=widths.count) if widths else 0
        return (widths.count(usual), usual) if usual > 1 else (0, 0)

    return max(_SEPARATORS, key=fit) if any(fit(one)[0] for one in _SEPARATORS) else ","


def _plain(cell: str) -> str:
    return " ".join("".join(c if c.isprintable() else " " for c in cell).split())


def _table(grid: Sequence[Sequence[str]], how: str) -> Table:
    """Find the headings and cut off what is empty."""
    numbered = [(n, list(cells)) for n, cells in enumerate(grid, start=1) if any(cells)]
    if not numbered:
        raise InputError("file", "", _("There is no row in it."))
    head = next((k for k, (_n, cells) in enumerate(numbered[:20]) if _is_heading(cells)), None)
    width = max(len(cells) for _n, cells in numbered)
    if width > MOST_COLUMNS:
        raise InputError("file", width, _("It has more than {n} columns.").format(n=MOST_COLUMNS))
    if head is None:
        names, body = [""] * width, numbered
    else:
        names, body = numbered[head][1], numbered[head + 1 :]
    names = _once([*names, *[""] * (width - len(names))])
    if len(body) > MOST_ROWS:
        raise InputError(
            "file",
            len(body),
            _("More than {n} rows. Bring in a part at a time.").format(n=MOST_ROWS),
        )
    if not body:
        raise InputError("file", "", _("There are headings, and no row under them."))
    rows = []
    for n, cells in body:
        long = next((cell for cell in cells if len(cell) > LONGEST_CELL), None)
        if long is not None:
            sentence = _("Row {n}: a cell has more than {m} letters.")
            raise InputError("file", n, sentence.format(n=n, m=LONGEST_CELL))
        rows.append((n, (*cells, *[""] * (width - len(cells)))))
    return Table(tuple(names), tuple(rows), how)


def _is_heading(cells: Sequence[str]) -> bool:
    filled = [cell for cell in cells if cell]
    return len(filled) > 1 and not any(_FIGURES.fullmatch(cell) for cell in filled)


def _once(names: Sequence[str]) -> list[str]:
    """Give columns without a heading a letter, and headings that stand twice a number."""
    found: list[str] = []
    for k, name in enumerate(names):
        plain = name[:80] or _("Column {letter}").format(letter=_letter(k))
        same = plain
        number = 2
        while same in found:
            same = f"{plain} ({number})"
            number += 1
        found.append(same)
    return found


def _letter(k: int) -> str:
    return (chr(64 + k // 26) if k >= 26 else "") + chr(65 + k % 26)  # noqa: PLR2004 - the alphabet
