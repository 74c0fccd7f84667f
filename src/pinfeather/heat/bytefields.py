"""Columns of numbers and times out of the bytes of a file, a million rows at a time.

A text file is looked at as one long row of bytes. Where its line ends and separators are is found
for all rows together; a column is then a table of characters, one line of file per row, and its
numbers are built up character by character for all rows at once.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

Bytes = NDArray[np.uint8]
Array = NDArray[np.float64]

_ZERO, _NINE = ord("0"), ord("9")
_LONGEST_FIELD: Final = 40
_MOST_GROUPS: Final = 9
_MOST_PATTERNS: Final = 400


@dataclass(frozen=True, slots=True)
class Fields:
    """Where the fields of a file are.

    Parameters
    ----------
    data : ndarray, shape (bytes,)
        The file.
    starts : ndarray, shape (rows, columns)
        First byte of each field.
    ends : ndarray, shape (rows, columns)
        One past its last byte.
    lines : ndarray, shape (rows,)
        Line number of each row, counted from 0.
    ragged : ndarray
        Line numbers with another number of fields; left out of the rows.
    """

    data: Bytes
    starts: NDArray[np.int64]
    ends: NDArray[np.int64]
    lines: NDArray[np.int64]
    ragged: NDArray[np.int64]

    def column(self, k: int) -> Bytes:
        """Return the characters of a column, spaces after the end.

        Parameters
        ----------
        k : int
            Column.

        Returns
        -------
        ndarray, shape (rows, width)
            Characters; fields longer than 40 are cut.

        References
        ----------
        Derivation: the bytes from start to end.
        """
        starts, lengths = self.starts[:, k], self.ends[:, k] - self.starts[:, k]
        width = int(min(_LONGEST_FIELD, lengths.max(initial=0)))
        # one place of all rows after the other in memory: every reader goes place by place
        out = np.full((max(width, 1), len(starts)), ord(" "), dtype=np.uint8)
        last = len(self.data) - 1
        for j in range(width):
            inside = j < lengths
            out[j] = self.data[np.minimum(starts + j, last)]
            out[j, ~inside] = ord(" ")
        return out.T


def split(text: bytes, *, separator: str, columns: int, skip_lines: int = 0) -> Fields:
    """Find the fields of a separated text.

    Parameters
    ----------
    text : bytes
        The file; a separator inside quotes is not understood.
    separator : str
        One character.
    columns : int
        Fields in a good line.
    skip_lines : int
        Lines before the first row.

    Returns
    -------
    Fields
        Starts and ends of the fields of all good lines; empty lines are passed over.

    References
    ----------
    RFC 4180 (2005), without quoting.
    """
    data = np.frombuffer(text if text.endswith(b"\n") else text + b"\n", dtype=np.uint8)
    ends = np.flatnonzero(data == ord("\n"))
    starts = np.concatenate((np.zeros(1, dtype=np.int64), ends[:-1] + 1))
    lines = np.arange(len(ends))[skip_lines:]
    starts, ends = starts[skip_lines:], ends[skip_lines:].copy()
    full = ends > starts
    returns = np.zeros(len(ends), dtype=bool)
    returns[full] = data[ends[full] - 1] == ord("\r")
    ends -= returns
    full = ends > starts
    starts, ends, lines = starts[full], ends[full], lines[full]
    marks = np.flatnonzero(data == ord(separator))
    first = np.searchsorted(marks, starts)
    counts = np.searchsorted(marks, ends) - first
    good = counts == columns - 1
    where = first[good][:, None] + np.arange(columns - 1)
    inner = marks[where] if columns > 1 else np.empty((int(good.sum()), 0), dtype=np.int64)
    return Fields(
        data,
        np.concatenate((starts[good][:, None], inner + 1), axis=1),
        np.concatenate((inner, ends[good][:, None]), axis=1),
        lines[good],
        lines[~good],
    )


def numbers(characters: Bytes, *, point: str = ".") -> tuple[Array, NDArray[np.bool_]]:
    """Read a number from each line of characters.

    Parameters
    ----------
    characters : ndarray, shape (rows, width)
        From :meth:`Fields.column`.
    point : str
        Decimal sign.

    Returns
    -------
    tuple of ndarray, shape (rows,)
        Numbers, and which lines held one; letters, degree signs and quotes after it are passed
        over.

    References
    ----------
    Derivation: digit by digit, tens before the point and tenths after.
    """
    rows = len(characters)
    whole = np.zeros(rows)
    scale = np.ones(rows)
    negative = np.zeros(rows, dtype=bool)
    seen_point = np.zeros(rows, dtype=bool)
    started = np.zeros(rows, dtype=bool)
    ended = np.zeros(rows, dtype=bool)
    bad = np.zeros(rows, dtype=bool)
    for j in range(characters.shape[1]):
        c = characters[:, j]
        digit = (c >= _ZERO) & (c <= _NINE)
        counted = digit & ~ended
        bad |= digit & ended
        whole = np.where(counted, whole * 10.0 + (c - _ZERO), whole)
        scale = np.where(counted & seen_point, scale * 10.0, scale)
        started |= counted
        is_point = (c == ord(point)) & ~ended
        bad |= is_point & seen_point
        seen_point |= is_point
        minus = c == ord("-")
        bad |= minus & (started | negative | seen_point)
        negative |= minus
        other = ~(digit | is_point | minus | (c == ord("+")))
        blank = (c == ord(" ")) | (c == ord('"')) | (c == ord("\t"))
        ended |= other & (started | seen_point)
        bad |= other & ~blank & ~started
    value = whole / scale
    good = started & ~bad
    return np.where(good, np.where(negative, -value, value), np.nan), good


@dataclass(frozen=True, slots=True)
class Groups:
    """The whole numbers in each line of a column, such as a date and a time of day.

    Parameters
    ----------
    values : ndarray, shape (rows, 9)
        Numbers in order; 0 where there are fewer.
    digits : ndarray, shape (rows, 9)
        How many digits each has; 0 where there are fewer.
    before : ndarray, shape (rows, 9)
        Character in front of each; a space for the first.
    half : ndarray, shape (rows,)
        -1 where an A stands in the line (a.m.), 1 where a P does, else 0.
    zulu : ndarray, shape (rows,)
        Where a Z stands in the line.
    """

    values: NDArray[np.int64]
    digits: NDArray[np.int8]
    before: Bytes
    half: NDArray[np.int8]
    zulu: NDArray[np.bool_]


def groups(characters: Bytes) -> Groups:
    """Read the whole numbers in each line of characters, in order.

    Parameters
    ----------
    characters : ndarray, shape (rows, width)
        From :meth:`Fields.column`.

    Returns
    -------
    Groups
        Numbers, their lengths, and what stands before them.

    Notes
    -----
    Lines with digits in the same places are read together; a real file has a handful of such
    patterns. Lines of the rarest patterns beyond 400 are left empty.

    References
    ----------
    Derivation: digits times powers of ten.
    """
    rows, width = characters.shape
    found = Groups(
        np.zeros((_MOST_GROUPS, rows), dtype=np.int64).T,
        np.zeros((_MOST_GROUPS, rows), dtype=np.int8).T,
        np.full((_MOST_GROUPS, rows), ord(" "), dtype=np.uint8).T,
        np.zeros(rows, dtype=np.int8),
        np.zeros(rows, dtype=bool),
    )
    pattern = np.zeros(rows, dtype=np.int64)
    for j in range(width):
        c = characters[:, j]
        pattern |= ((c >= _ZERO) & (c <= _NINE)).astype(np.int64) << j
        letters = c >= ord("A")
        if np.any(letters):
            upper = c & 0xDF
            found.half[upper == ord("A")] = -1
            found.half[upper == ord("P")] = 1
            found.zulu[upper == ord("Z")] = True
    kinds, counts = np.unique(pattern, return_counts=True)
    for kind in kinds[np.argsort(-counts)][:_MOST_PATTERNS].tolist():
        whole = len(kinds) == 1
        same = np.empty(0, dtype=np.intp) if whole else np.flatnonzero(pattern == kind)
        part = characters if whole else characters[same]
        for g, (start, end) in enumerate(_runs(kind, width)[:_MOST_GROUPS]):
            value = np.zeros(len(part), dtype=np.int64)
            for j in range(start, end):
                value *= 10
                value += part[:, j] - np.uint8(_ZERO)
            before = part[:, start - 1] if start else np.uint8(ord(" "))
            if whole:
                found.values[:, g], found.digits[:, g] = value, end - start
                found.before[:, g] = before
            else:
                found.values[same, g], found.digits[same, g] = value, end - start
                found.before[same, g] = before
    return found


def _runs(pattern: int, width: int) -> list[tuple[int, int]]:
    """Return where digits start and end, for a pattern of bits."""
    runs: list[tuple[int, int]] = []
    start = None
    for j in range(width + 1):
        on = j < width and bool(pattern >> j & 1)
        if on and start is None:
            start = j
        if not on and start is not None:
            runs.append((start, j))
            start = None
    return runs
