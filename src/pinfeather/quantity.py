"""Text to numbers with units and back, strictly, at the edge only.

A bare number is refused: nobody should have to guess whether 40 is Fahrenheit or Celsius.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from typing import Final

from pinfeather.errors import InputError
from pinfeather.units import UNITS, Dimension, from_si, to_si
from pinfeather.words import gettext as _

_NUMBER: Final = r"[+\-−]?(?:\d{1,3}(?: \d{3})+|\d+)(?:\.\d+)?|[+\-−]?\.\d+"
_UNIT: Final = r"(?:ft|in|m)[23](?!\d)|[^\d\s+\-−.,;]+(?:\s?[^\d\s.,;]+)*"
_PART: Final = re.compile(rf"\s*(?P<number>{_NUMBER})\s*(?:(?P<unit>{_UNIT})(?:\.(?=\s|$))?)?\s*")
_COMPOUNDS: Final = {"lb": "oz", "ft": "in", "h": "min", "min": "s"}
_SPELLINGS: Final[dict[str, str]] = {
    "°f": "F", "f": "F", "degf": "F", "fahrenheit": "F", "deg f": "F", "degrees f": "F",
    "°c": "C", "c": "C", "degc": "C", "celsius": "C", "deg c": "C", "degrees c": "C",
    "k": "K",
    "lbs": "lb", "lb": "lb", "pound": "lb", "pounds": "lb", "#": "lb",
    "oz": "oz", "ounce": "oz", "ounces": "oz",
    "kg": "kg", "kilogram": "kg", "kilograms": "kg", "g": "g", "gram": "g", "grams": "g",
    "m": "m", "cm": "cm", "mm": "mm", "ft": "ft", "foot": "ft", "feet": "ft", "'": "ft",
    "in": "in", "inch": "in", "inches": "in", '"': "in",
    "m2": "m2", "m²": "m2", "ft2": "ft2", "ft²": "ft2", "sq ft": "ft2",
    "in2": "in2", "in²": "in2", "sq in": "in2",
    "m3": "m3", "m³": "m3", "ft3": "ft3", "ft³": "ft3", "cu ft": "ft3",
    "l": "L", "liter": "L", "liters": "L", "litre": "L", "litres": "L", "ml": "mL",
    "gal": "gal", "gallon": "gal", "gallons": "gal", "qt": "qt", "quart": "qt", "quarts": "qt",
    "cup": "cup", "cups": "cup", "fl oz": "floz", "floz": "floz",
    "tbsp": "tbsp", "tsp": "tsp",
    "s": "s", "sec": "s", "second": "s", "seconds": "s",
    "min": "min", "mins": "min", "minute": "min", "minutes": "min",
    "h": "h", "hr": "h", "hrs": "h", "hour": "h", "hours": "h",
    "d": "d", "day": "d", "days": "d",
    "w": "W", "kw": "kW", "btu/h": "Btu/h", "btu/hr": "Btu/h", "btuh": "Btu/h",
    "j": "J", "kj": "kJ", "mj": "MJ", "btu": "Btu",
    "pa": "Pa", "kpa": "kPa", "hpa": "hPa", "mbar": "hPa", "inhg": "inHg", "in hg": "inHg",
    "ppm": "ppm", "%": "%", "percent": "%",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Quantity:
    """A measured value as it was written, with its SI value.

    Parameters
    ----------
    value : float
        The number as written; for ``"4 lb 3 oz"`` the whole in the first unit [unit].
    unit : str
        The plain spelling of the unit.
    si : float
        The SI value; temperatures in degrees Celsius [SI].
    written : str
        The text itself.
    """

    value: float
    unit: str
    si: float
    written: str


def parse(text: str, dimension: Dimension, *, name: str = "value") -> Quantity:
    """Read a quantity that somebody wrote.

    Parameters
    ----------
    text : str
        For instance ``"4 lb 3 oz"``, ``"39.2 F"``, ``"1.8 kg"``.
    dimension : str
        What is to be measured; other units are refused.
    name : str
        Where it was written, for the fault.

    Returns
    -------
    Quantity
        The value as written and in SI.

    Raises
    ------
    InputError
        If there is no unit, a unit of something else, a comma, or no number.

    References
    ----------
    Decision record 0002: nothing is guessed from the magnitude of a number.

    Examples
    --------
    >>> parse("4 lb 3 oz", "mass").value
    4.1875
    """
    written = " ".join(text.split())
    if not written:
        raise InputError(
            name,
            text,
            _("Write a {what} here, such as {example}.").format(
                what=_(dimension), example=_example(dimension)
            ),
        )
    if "," in written:
        raise InputError(
            name,
            text,
            _("“{written}” has a comma. Write the number with a point: {example}.").format(
                written=written, example=_example(dimension)
            ),
        )
    parts: list[tuple[float, str]] = []
    position = 0
    while position < len(written):
        match = _PART.match(written, position)
        if match is None or match.end() == position:
            raise InputError(
                name,
                text,
                _("“{written}” is not a {what}. Write it like {example}.").format(
                    written=written, what=_(dimension), example=_example(dimension)
                ),
            )
        number = float(match["number"].replace("−", "-").replace(" ", ""))
        if match["unit"] is None:
            raise InputError(
                name,
                text,
                _("“{written}” has no unit. Add one of: {units}.").format(
                    written=written, units=", ".join(UNITS[dimension])
                ),
            )
        parts.append((number, _spelled(match["unit"], dimension, written=written, name=name)))
        position = match.end()
    value, unit = parts[0]
    if len(parts) > 1:
        value = _joined(parts, dimension, written=written, name=name)
    si = to_si(value, unit, dimension)
    if not math.isfinite(si):
        raise InputError(
            name,
            text,
            _("“{written}” is too large to be a {what}.").format(
                written=written, what=_(dimension)
            ),
        )
    return Quantity(value, unit, si, written)


def _spelled(raw: str, dimension: Dimension, *, written: str, name: str) -> str:
    unit = _SPELLINGS.get(raw.strip().lower())
    if raw.strip() in UNITS[dimension]:
        unit = raw.strip()
    if unit is None or unit not in UNITS[dimension]:
        raise InputError(
            name,
            written,
            _("“{unit}” is not a unit of {what}. Use one of: {units}.").format(
                unit=raw.strip(), what=_(dimension), units=", ".join(UNITS[dimension])
            ),
        )
    return unit


def _joined(
    parts: list[tuple[float, str]], dimension: Dimension, *, written: str, name: str
) -> float:
    """Add the parts of ``4 lb 3 oz``; each part must be the next smaller unit and below one."""
    (first, unit), rest = parts[0], parts[1:]
    total, previous = abs(first), unit
    for number, smaller in rest:
        in_previous = UNITS[dimension][previous].factor / UNITS[dimension][smaller].factor
        if _COMPOUNDS.get(previous) != smaller or not 0 <= number < in_previous or first < 0:
            raise InputError(
                name,
                written,
                _("“{written}” does not add up. Write it like {example}.").format(
                    written=written, example=_example(dimension)
                ),
            )
        total += number * UNITS[dimension][smaller].factor / UNITS[dimension][unit].factor
        previous = smaller
    return total


_EXAMPLES: Final[dict[Dimension, str]] = {
    "mass": "“4 lb 3 oz” or “1.9 kg”",
    "temperature": "“39.2 F” or “4 C”",
    "temperature difference": "“2 F” or “1 C”",
    "length": "“900 ft” or “45 mm”",
    "area": "“2.8 ft2” or “0.26 m2”",
    "volume": "“30 gal” or “110 L”",
    "time": "“90 s” or “2 min 30 s”",
    "power": "“50000 Btu/h” or “15 kW”",
    "energy": "“20000 Btu” or “21 MJ”",
    "pressure": "“29.5 inHg” or “998 hPa”",
    "strength": "“100 ppm” or “8.25 %”",
}


def _example(dimension: Dimension) -> str:
    return _EXAMPLES[dimension]


def show(value_si: float, unit: str, dimension: Dimension, *, decimals: int | None = None) -> str:
    r"""Write an SI number in a unit for people to read.

    Parameters
    ----------
    value_si : float
        The SI value; temperatures in degrees Celsius [SI].
    unit : str
        One of the spellings in ``UNITS[dimension]``.
    dimension : str
        What is measured.
    decimals : int or None
        Digits after the point; None gives three significant figures.

    Returns
    -------
    str
        Number, narrow no-break space, symbol.

    Raises
    ------
    KeyError
        If the unit does not measure that dimension.

    References
    ----------
    SI Brochure (9th ed., 2019), section 5.4.3: a space stands between number and unit.

    Examples
    --------
    >>> show(0.0, "F", "temperature", decimals=1)
    '32.0\u202f°F'
    """
    value = from_si(value_si, unit, dimension)
    if decimals is None:
        size = abs(value)
        decimals = 0 if size >= 100 else 1 if size >= 10 else 2  # noqa: PLR2004 - three figures
    text = f"{value:.{decimals}f}"
    if float(text) == 0:
        text = text.lstrip("-")
    return f"{text}\u202f{UNITS[dimension][unit].symbol}"
