"""Cells to dates and numbers, as somebody said they are written; nothing is guessed from size."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Collection, Iterable
from typing import Final

from pinfeather.errors import InputError
from pinfeather.words import gettext as _

ORDERS: Final = ("mdy", "dmy", "ymd")
POINTS: Final = (".", ",")
_ISO: Final = re.compile(r"(\d{4})-(\d{1,2})-(\d{1,2})(?:[T ].*)?", re.ASCII)
_THREE: Final = re.compile(r"(\d{1,4})[-/. ](\d{1,2})[-/. ](\d{1,4})(?:[ T]+\d{1,2}:.*)?", re.ASCII)
_NAMED: Final = re.compile(
    r"(?:[a-z]{3,9}\.?,?\s+)??(?:(?P<d1>\d{1,2})(?:st|nd|rd|th)?\.?[\s-]+(?P<m1>[a-z]{3,9})\.?"
    r"|(?P<m2>[a-z]{3,9})\.?[\s-]+(?P<d2>\d{1,2})(?:st|nd|rd|th)?)"
    r",?[\s-]+(?P<y>\d{4}|\d{2})",
    re.IGNORECASE | re.ASCII,
)
_MONTHS: Final = (
    "january", "february", "march", "april", "may", "june", "july", "august", "september",
    "october", "november", "december",
)  # fmt: skip
_CENTURY: Final = 100
_MONTH_LETTERS: Final = 3
_FULL_YEAR: Final = 4
_LAST_MONTH: Final = 12
_SIGNS: Final = re.compile(r"^[\s$€£]+|[\s$€£]+$")
_NUMBER: Final = re.compile(r"-?\d+(?:\.\d+)?|-?\.\d+", re.ASCII)


def order_of(cells: Collection[str]) -> str:
    """Tell the order of day and month from the cells; empty where it cannot be told."""
    found = [m.groups() for cell in cells if (m := _THREE.fullmatch(cell)) and not _ISO.match(cell)]
    if not found:
        return "ymd" if any(_ISO.fullmatch(cell) for cell in cells) else ""
    if all(len(first) == _FULL_YEAR for first, _second, _third in found):
        return "ymd"
    day_first = any(int(first) > _LAST_MONTH for first, _s, _t in found if len(first) < _FULL_YEAR)
    month_first = any(int(second) > _LAST_MONTH for _f, second, _t in found)
    if day_first == month_first:
        return ""
    return "dmy" if day_first else "mdy"


def point_of(cells: Iterable[str]) -> str:
    """Tell the decimal sign from the cells: a comma only where it can be nothing else."""
    commas = points = 0
    for cell in cells:
        points += bool(re.search(r"\d\.\d", cell))
        commas += bool(re.search(r"\d,\d{1,2}(?!\d)", cell))
    return "," if commas and not points else "."


def date_in(text: str, *, order: str) -> dt.date:
    """Read a date.

    Raises
    ------
    InputError
        If it is none, in that order.
    """
    cell = text.strip()
    iso = _ISO.fullmatch(cell)
    named = _NAMED.fullmatch(cell)
    three = _THREE.fullmatch(cell)
    try:
        if iso:
            return dt.date(int(iso[1]), int(iso[2]), int(iso[3]))
        if named:
            month = _month((named["m1"] or named["m2"]).lower())
            return dt.date(_year(named["y"]), month, int(named["d1"] or named["d2"]))
        if three:
            parts = three.groups()
            use = "ymd" if len(parts[0]) == _FULL_YEAR else order
            by = dict(zip(use, parts, strict=True))
            return dt.date(_year(by["y"]), int(by["m"]), int(by["d"]))
    except ValueError as error:
        sentence = _("“{text}” is no date in the order chosen.")
        raise InputError("date", text, sentence.format(text=cell[:40])) from error
    if not cell:
        raise InputError("date", text, _("There is no date."))
    raise InputError("date", text, _("“{text}” is no date.").format(text=cell[:40]))


def _month(word: str) -> int:
    for number, name in enumerate(_MONTHS, start=1):
        if len(word) >= _MONTH_LETTERS and name.startswith("sep" if word == "sept" else word):
            return number
    raise ValueError(word)


def _year(text: str) -> int:
    year = int(text)
    if len(text) == _FULL_YEAR:
        return year
    if len(text) == 2:  # noqa: PLR2004 - a year without its century
        return 20 * _CENTURY + year
    raise ValueError(text)


def plain_number(text: str, *, point: str) -> str:
    """Return a number with a point and without signs of money or thousands.

    Raises
    ------
    InputError
        If it is no number.
    """
    bare = _SIGNS.sub("", text).replace("\u00a0", "").replace("\u202f", "").replace("−", "-")
    group = "," if point == "." else "."
    if re.fullmatch(rf"-?\d{{1,3}}(?:\{group}\d{{3}})+(?:\{point}\d+)?", bare):
        bare = bare.replace(group, "")
    bare = bare.replace(point, ".", 1) if point == "," and group not in bare else bare
    if not _NUMBER.fullmatch(bare):
        if not bare:
            raise InputError("number", text, _("There is no number."))
        raise InputError("number", text, _("“{text}” is no number.").format(text=text[:40]))
    return bare


def whole_in(text: str, *, point: str, least: int, most: int) -> int:
    """Read a number of birds.

    Raises
    ------
    InputError
        If it is no whole number, or out of bounds.
    """
    bare = plain_number(text, point=point)
    whole = bare.removesuffix(".0")
    if not whole.isdecimal() or not least <= int(whole) <= most:
        sentence = _("“{text}” is not a whole number from {low} to {high}.")
        raise InputError("number", text, sentence.format(text=text[:40], low=least, high=most))
    return int(whole)


def weights_in(text: str, *, point: str) -> str:
    """Return weights as the program reads them: a point, and semicolons between."""
    parts = [part.strip() for part in re.split(r"[;|\n]+", text) if part.strip()]
    return "; ".join(_weight(part, point=point) for part in parts)


def _weight(part: str, *, point: str) -> str:
    if point == ",":
        part = re.sub(r"(?<=\d),(?=\d)", ".", part.replace(".", ""))
    return part
