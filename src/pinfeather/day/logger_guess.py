"""Guessing what the columns of a logger's file are, for somebody to look over.

A guess comes from words and patterns, never from how large a number is; what cannot be told is left
open for the page to ask.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final, Literal, cast

from pinfeather.errors import InputError
from pinfeather.heat.logger import Mapping as Columns
from pinfeather.heat.logger import headings
from pinfeather.heat.logtimes import DateOrder
from pinfeather.words import gettext as _

_SHOWN: Final = 8
_LOOKED_AT: Final = 400
_HEAD_BYTES: Final = 60_000
_BOMS: Final = (b"\xff\xfe", b"\xfe\xff")
_TIME_WORDS: Final = re.compile(
    r"date|time|stamp|datum|zeit|fecha|hora|heure|data|ora\b", re.IGNORECASE
)
_CLOCK_WORDS: Final = re.compile(r"^(time|zeit|hora|heure|ora|clock)\b", re.IGNORECASE)
_VALUE_WORDS: Final = re.compile(
    r"temp|°|celsius|fahrenheit|probe|sensor|value|wert|ch ?\d", re.IGNORECASE
)
_HUMIDITY: Final = re.compile(r"humid|%|\brh\b|dew|feucht", re.IGNORECASE)
_FAHRENHEIT: Final = re.compile(r"°\s?F|℉|fahrenheit|deg\.?\s?F\b|[\(\[]F[\)\]]|\bF$")
_CELSIUS: Final = re.compile(r"°\s?C|℃|celsius|deg\.?\s?C\b|[\(\[]C[\)\]]|\bC$", re.IGNORECASE)
_UTC: Final = re.compile(r"\b(?:UTC|GMT|Z)\b\s*(?:(?P<sign>[+\-−])0?(?P<hours>\d{1,2})(?::?00)?)?")
_MOST_HOURS: Final = 12
_DATE: Final = re.compile(r"^\D{0,4}(\d{1,4})[-/. ](\d{1,2})[-/. ](\d{1,4})")
_HOUR: Final = re.compile(r"\d{1,2}:\d{2}")
_NUMBER: Final = re.compile(r"^[+\-−]?\d+(?:[.,]\d+)?\s*(?:°?\s?[CF])?$", re.IGNORECASE)
_LAST_MONTH: Final = 12


@dataclass(frozen=True, slots=True)
class Guess:
    """What a file looks like.

    Parameters
    ----------
    names : tuple of str
        Headings.
    rows : tuple of tuple of str
        The first rows, cut into cells.
    encoding : str
        How the text is written, in words.
    time, clock, value : str
        Headings of the columns; ``clock`` is empty where date and time stand in one.
    unit : str
        ``"F"``, ``"C"``, or empty where it cannot be told.
    zone : str
        Time zone of the logger's clock.
    order : str
        ``"ymd"``, ``"mdy"``, ``"dmy"``, or empty where it cannot be told.
    separator, point : str
        Between columns, and the decimal sign.
    """

    names: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    encoding: str
    time: str
    clock: str
    value: str
    unit: str
    zone: str
    order: str
    separator: str
    point: str


def guess(data: bytes, *, zone: str) -> Guess:
    """Look at the first rows of a logger's file and guess what is what.

    Parameters
    ----------
    data : bytes
        The file.
    zone : str
        The farm's time zone, taken unless the file says UTC.

    Returns
    -------
    Guess
        To be looked over by somebody.

    Raises
    ------
    InputError
        If it is not text, or has no columns.

    References
    ----------
    RFC 4180 (2005); Unicode byte order marks.
    """
    names = headings(data)
    text, encoding = _text(data)
    lines = text.replace("\r\n", "\n").replace("\r", "\n").split("\n")[:_LOOKED_AT]
    row, separator = _heading(lines, names)
    cells = [_cells(line, separator) for line in lines[row + 1 :] if line.strip()]
    cells = [one for one in cells if len(one) == len(names)]
    columns = {name: [one[k] for one in cells] for k, name in enumerate(names)}
    time = _time_column(names, columns)
    clock = _clock_column(names, columns, time=time)
    value = _value_column(names, columns, taken={time, clock})
    preamble = " ".join(lines[:row])
    return Guess(
        names=names,
        rows=tuple(tuple(one) for one in cells[:_SHOWN]),
        encoding=encoding,
        time=time,
        clock=clock,
        value=value,
        unit=_unit(value, columns.get(value, ()), preamble),
        zone=_zone(f"{time} {clock}") or zone,
        order=_order(columns.get(time, ())),
        separator=separator,
        point=_point(columns.get(value, ()), separator=separator),
    )


def mapping_from(answers: Mapping[str, str]) -> Columns:
    """Turn what somebody chose into a mapping.

    Parameters
    ----------
    answers : mapping
        ``time``, ``value``, ``unit``, ``zone`` and perhaps ``clock``, ``order``, ``separator``,
        ``point``.

    Returns
    -------
    Mapping
        For :func:`pinfeather.heat.logger.read_log`.

    Raises
    ------
    InputError
        If a choice is missing or none of those offered.

    References
    ----------
    Decision record 0002: nothing is guessed from the magnitude of a number.
    """
    for name, problem in (
        ("time", _("Choose the column with the time.")),
        ("value", _("Choose the column with the temperature.")),
    ):
        if not answers.get(name):
            raise InputError(name, answers.get(name), problem)
    if answers.get("unit") not in {"F", "C"}:
        raise InputError(
            "unit", answers.get("unit"), _("Say whether the file is in °F or °C. It does not say.")
        )
    order, point = answers.get("order", ""), answers.get("point", "")
    if order not in {"", "ymd", "mdy", "dmy"}:
        raise InputError("order", order, _("Choose one of the orders offered."))
    if point not in {"", ".", ","}:
        raise InputError("point", point, _("The decimal sign is a point or a comma."))
    return Columns(
        time=answers["time"],
        value=answers["value"],
        unit=cast("Literal['C', 'F']", answers["unit"]),
        zone=answers.get("zone") or "",
        order=cast("DateOrder | None", order or None),
        clock=answers.get("clock") or None,
        separator=answers.get("separator") or None,
        point=point or None,
    )


def _text(data: bytes) -> tuple[str, str]:
    """Return the beginning of the text, and how it is written."""
    head = data[:_HEAD_BYTES]
    if head[:2] in _BOMS:
        return head[: len(head) // 2 * 2].decode("utf-16", errors="ignore"), "UTF-16"
    try:
        data.decode("utf-8")
    except UnicodeDecodeError:
        return head.decode("cp1252", errors="replace"), _("Western code page (cp1252)")
    return head.decode("utf-8-sig", errors="ignore"), "UTF-8"


def _cells(line: str, separator: str) -> list[str]:
    return [cell.strip().strip('"').strip() for cell in line.split(separator)]


def _heading(lines: Sequence[str], names: tuple[str, ...]) -> tuple[int, str]:
    """Find the line of the headings again, and what stands between them."""
    for separator in ("\t", ";", ",", "|"):
        for row, line in enumerate(lines):
            if tuple(_cells(line, separator)) == names:
                return row, separator
    raise InputError("data", len(lines), _("The file has no columns. Export it as CSV."))


def _share(cells: Sequence[str], pattern: re.Pattern[str]) -> float:
    return sum(bool(pattern.search(cell)) for cell in cells) / len(cells) if cells else 0.0


def _time_column(names: Sequence[str], columns: Mapping[str, Sequence[str]]) -> str:
    """Take the column that holds dates; among several, the one whose heading says so."""

    def fit(name: str) -> tuple[float, bool]:
        return _share(columns[name], _DATE), bool(_TIME_WORDS.search(name))

    best = max(names, key=fit)
    return best if fit(best)[0] > 0 else ""


def _clock_column(names: Sequence[str], columns: Mapping[str, Sequence[str]], *, time: str) -> str:
    """Take a separate column of times of day, where the dates have none."""
    if not time or _share(columns[time], _HOUR):
        return ""
    found = [n for n in names if n != time and _share(columns[n], _HOUR)]
    return max(found, key=lambda n: bool(_CLOCK_WORDS.search(n)), default="")


def _value_column(
    names: Sequence[str], columns: Mapping[str, Sequence[str]], *, taken: set[str]
) -> str:
    """Take the column of numbers whose heading sounds most like a temperature."""
    numeric = [n for n in names if n not in taken and _share(columns[n], _NUMBER)]

    def fit(name: str) -> tuple[bool, bool, float]:
        said = bool(_FAHRENHEIT.search(name) or _CELSIUS.search(name))
        return said, bool(_VALUE_WORDS.search(name)), _share(columns[name], _NUMBER)

    numeric = [n for n in numeric if not _HUMIDITY.search(n)] or numeric
    if len(numeric) > 1 and not any(fit(n)[0] or fit(n)[1] for n in numeric):
        return numeric[-1]  # a running number stands first
    return max(numeric, key=fit, default="")


def _zone(headings_of_time: str) -> str:
    """Return a zone that the headings name, as an IANA name; its sign is turned round there."""
    found = _UTC.search(headings_of_time)
    if found is None:
        return ""
    hours = int(found["hours"] or 0)
    if not 0 < hours <= _MOST_HOURS:
        return "" if hours else "UTC"
    return f"Etc/GMT{'-' if found['sign'] == '+' else '+'}{hours}"


def _unit(value: str, cells: Sequence[str], preamble: str) -> str:
    for text in (value, " ".join(cells[:3]), preamble):
        fahrenheit, celsius = _FAHRENHEIT.search(text), _CELSIUS.search(text)
        if bool(fahrenheit) != bool(celsius):
            return "F" if fahrenheit else "C"
    return ""


def _order(cells: Sequence[str]) -> str:
    """Tell the order of day and month from the numbers, or leave it open."""
    found = [match.groups() for cell in cells if (match := _DATE.search(cell))]
    if not found:
        return ""
    if any(len(first) == 4 for first, _second, _third in found):  # noqa: PLR2004 - a full year
        return "ymd"
    day_first = any(int(first) > _LAST_MONTH for first, _second, _third in found)
    month_first = any(int(second) > _LAST_MONTH for _first, second, _third in found)
    if day_first == month_first:
        return ""
    return "dmy" if day_first else "mdy"


def _point(cells: Sequence[str], *, separator: str) -> str:
    commas = separator != "," and any(re.search(r"\d,\d", cell) for cell in cells)
    points = any(re.search(r"\d\.\d", cell) for cell in cells)
    return "," if commas and not points else "."
