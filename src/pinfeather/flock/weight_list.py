"""Weights of many birds, pasted or typed as one text: a column of a table or a list."""

from __future__ import annotations

import re
import statistics
from typing import Final

from pinfeather import quantity
from pinfeather.errors import InputError, InputFaultsError
from pinfeather.words import gettext as _

_SPLIT: Final = re.compile(r"[\n\r;\t|]+")
_BARE: Final = re.compile(r"\d+(?:\.\d+)?|\.\d+")
_SEVERAL: Final = re.compile(r"(?:\d+(?:\.\d+)?|\.\d+)(?:\s+(?:\d+(?:\.\d+)?|\.\d+))+")
_LETTERS: Final = re.compile(r"[a-z#]+", re.IGNORECASE)
_UNITS: Final = {
    "kg": "kg", "kilogram": "kg", "kilograms": "kg", "g": "g", "gram": "g", "grams": "g",
    "lb": "lb", "lbs": "lb", "pound": "lb", "pounds": "lb", "oz": "oz", "ounce": "oz",
    "ounces": "oz",
}  # fmt: skip
UNIT_CHOICES: Final = ("lb", "oz", "kg", "g")
"""Units that numbers without one may be said to have."""
_MOST: Final = 5000
_LIGHTEST_KG: Final = 0.02
_HEAVIEST_KG: Final = 25.0
_OUT_OF_LINE: Final = 4.0
"""A bird so many times as heavy or as light as the middle one is a slip of the unit. Assumed."""


def weights_kg(text: str, *, unit: str = "", birds_each: int = 1) -> tuple[float, ...]:
    """Read the weights of many birds from one text.

    Parameters
    ----------
    text : str
        A weight on each line, or with semicolons or tabs between; ``"4 lb 3 oz; 1.9 kg"``. A first
        line of words is a heading; a unit in it (``weight_kg``, ``Weight (lb)``) goes for the
        numbers below.
    unit : str
        For numbers without one; empty refuses them, unless the heading has one.
    birds_each : int
        Birds in each weighing.

    Returns
    -------
    tuple of float
        In the order written [kg].

    Raises
    ------
    InputFaultsError
        With every weight that cannot be read, or cannot be a bird.

    References
    ----------
    Decision record 0002: nothing is guessed from the magnitude of a number. A comma is refused: it
    may stand for a point or between two numbers.
    """
    if unit and unit not in UNIT_CHOICES:
        raise InputFaultsError([InputError("unit", unit, _("Choose lb, oz, kg or g."))])
    parts = [part.strip().strip('"').strip() for part in _SPLIT.split(text)]
    parts = [part for part in parts if part]
    if parts and not any(c.isdigit() for c in parts[0]):
        unit = _heading_unit(parts.pop(0)) or unit
    if not parts:
        raise InputFaultsError([InputError("weights", text, _("Write at least one weight."))])
    if unit:
        parts = [
            p for part in parts for p in (part.split() if _SEVERAL.fullmatch(part) else [part])
        ]
    if len(parts) > _MOST:
        problem = _("{n} weights at once are too many.").format(n=len(parts))
        raise InputFaultsError([InputError("weights", None, problem)])
    found, faults = [], []
    for part in parts:
        try:
            found.append(_one(part, unit=unit, birds_each=birds_each))
        except InputError as fault:
            faults.append(fault)
    faults += _out_of_line(found, parts) if not faults else []
    if faults:
        raise InputFaultsError(faults)
    return tuple(found)


def _single(part: str) -> list[str]:
    return part.split() if _SEVERAL.fullmatch(part) else [part]


def _heading_unit(words: str) -> str:
    return next((_UNITS[w] for w in _LETTERS.findall(words.lower()) if w in _UNITS), "")


def _one(part: str, *, unit: str, birds_each: int) -> float:
    bare = _BARE.fullmatch(part) is not None
    if bare and not unit:
        raise InputError(
            "weights",
            part,
            _("“{part}” has no unit. Write it with each weight, or choose one for all.").format(
                part=part
            ),
        )
    value_kg = quantity.parse(f"{part} {unit}" if bare else part, "mass", name="weights").si
    if not _LIGHTEST_KG <= value_kg / max(birds_each, 1) <= _HEAVIEST_KG:
        raise InputError("weights", part, _("{part} cannot be a bird.").format(part=part))
    return value_kg


def _out_of_line(found: list[float], parts: list[str]) -> list[InputError]:
    middle = statistics.median(found)
    return [
        InputError(
            "weights",
            part,
            _("{part} is far from all the others. Is the unit right?").format(part=part),
        )
        for value, part in zip(found, parts, strict=True)
        if not middle / _OUT_OF_LINE <= value <= middle * _OUT_OF_LINE
    ]
