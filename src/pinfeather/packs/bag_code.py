"""Which code stands on a package, and what it says."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from decimal import Decimal
from typing import Final, Literal

from pinfeather.errors import InputError
from pinfeather.packs.codes import US_PATTERNS, store_code, variable_gtin
from pinfeather.packs.elements import Bag, element_string, fields_of, is_open
from pinfeather.words import gettext as _

Carrier = Literal["none", "store", "gs1"]
Symbol = Literal["upc", "ean", "datamatrix"]
_UPC_DIGITS: Final = 12
_EAN_DIGITS: Final = 13


@dataclass(frozen=True, slots=True)
class CodeSettings:
    """How a farm marks its packages.

    Parameters
    ----------
    carrier : str
        ``"none"``; ``"store"`` a shop's own number with the price inside; ``"gs1"`` an element
        string with weight, date, price and lot.
    pattern : str
        Layout of the shop's number.
    """

    carrier: Carrier = "none"
    pattern: str = US_PATTERNS[0]


@dataclass(frozen=True, slots=True)
class CodeContent:
    """A code ready to be drawn.

    Parameters
    ----------
    symbol : str
        ``"upc"``, ``"ean"`` or ``"datamatrix"``.
    data : str
        As a scanner sends it: digits, or an element string with group separators.
    bracketed : str
        As people write it: digits, or identifiers in brackets.
    """

    symbol: Symbol
    data: str
    bracketed: str


def package_code(
    settings: CodeSettings,
    *,
    item: int | None,
    base: str,
    net_lb: Decimal,
    total: Decimal | None,
    packed_on: dt.date,
    lot: str,
    serial: int,
    use_by: dt.date | None = None,
) -> CodeContent | None:
    """Say what a package's code holds.

    Parameters
    ----------
    settings : CodeSettings
        The farm's.
    item : int or None
        The shop's number for the product.
    base : str
        Twelve digits of the product's own article number, before the check digit; may be empty.
    net_lb : Decimal
        Net weight as printed [lb].
    total : Decimal or None
        Price of the package [USD].
    packed_on : datetime.date
        Day of packing.
    lot : str
        Lot in at most 20 plain characters, without spaces; the first where there are several.
    serial : int
        Number of the package that day.
    use_by : datetime.date or None
        Last day to use it; None for none.

    Returns
    -------
    CodeContent or None
        None where the farm prints none, or has no number for this product.

    Raises
    ------
    InputError
        If a number does not fit its place.

    Notes
    -----
    Weights differ from bag to bag, so the article number gets indicator 9 and the weight stands
    beside it. A farm without a licensed prefix has no article numbers; nothing is made up.

    References
    ----------
    GS1 General Specifications, sections 2.1.11 (numbers inside one shop) and 3 (identifiers).

    Examples
    --------
    >>> package_code(
    ...     CodeSettings("store"), item=12345, base="", net_lb=Decimal("5.75"),
    ...     total=Decimal("28.75"), packed_on=dt.date(2025, 7, 12), lot="L", serial=1,
    ... ).data
    '212345928752'
    """
    if settings.carrier == "store":
        if item is None or total is None:
            return None
        digits = store_code(item, total, pattern=settings.pattern)
        if len(digits) not in (_UPC_DIGITS, _EAN_DIGITS):
            raise InputError(
                "pattern", settings.pattern, _("A shop's number has 12 or 13 digits in all.")
            )
        return CodeContent("upc" if len(digits) == _UPC_DIGITS else "ean", digits, digits)
    if settings.carrier == "gs1" and base:
        bag = Bag(
            gtin=variable_gtin(base),
            net_lb=net_lb,
            price=total,
            packed_on=packed_on,
            use_by=use_by,
            lot=lot,
            serial=f"{serial:04d}",
        )
        bracketed = "".join(f"({ai}){value}" for ai, value in _in_order(fields_of(bag)))
        return CodeContent("datamatrix", element_string(bag), bracketed)
    return None


def _in_order(fields: dict[str, str]) -> list[tuple[str, str]]:
    """Put fixed lengths first, as they are written."""
    return sorted(fields.items(), key=lambda field: is_open(field[0]))
