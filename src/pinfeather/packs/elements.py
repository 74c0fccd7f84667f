"""GS1 element strings: what a scanner reads from a bag's code."""

from __future__ import annotations

import calendar
import datetime as dt
import re
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from pinfeather.errors import InputError
from pinfeather.packs.codes import is_right
from pinfeather.words import gettext as _

GROUP_SEPARATOR: Final = "\x1d"
"""Ends a field of open length where another follows."""

_DATES: Final = ("11", "13", "15", "16", "17")
_OPEN_LENGTH: Final = {"10": 20, "21": 20, "30": 8, "37": 8}
_FIXED_LENGTH: Final = {"00": 18, "01": 14, "02": 14, **dict.fromkeys(_DATES, 6)}
_MEASURES: Final = ("310", "320", "330", "340")
_PRICE: Final = "392"
_PRICE_CURRENCY: Final = "393"
_TEXT: Final = re.compile(r"[!\"%&'()*+,\-./0-9:;<=>?A-Z_a-z]+")
_CENTURY_WINDOW: Final = 50
_MEASURE_DIGITS: Final = 6
_PRICE_DIGITS: Final = 15


@dataclass(frozen=True, slots=True)
class Bag:
    """What a bag's code says.

    Parameters
    ----------
    gtin : str
        Fourteen digits.
    net_lb, net_kg : Decimal or None
        Net weight [lb, kg].
    price : Decimal or None
        Price in the currency of the place.
    packed_on, made_on, best_before, use_by : datetime.date or None
        Dates.
    lot, serial : str
        May be empty.
    """

    gtin: str
    net_lb: Decimal | None = None
    net_kg: Decimal | None = None
    price: Decimal | None = None
    packed_on: dt.date | None = None
    made_on: dt.date | None = None
    best_before: dt.date | None = None
    use_by: dt.date | None = None
    lot: str = ""
    serial: str = ""


def element_string(bag: Bag) -> str:
    """Write a bag's code.

    Parameters
    ----------
    bag : Bag
        What it says.

    Returns
    -------
    str
        Fields of fixed length first, then those of open length with separators between.

    Raises
    ------
    InputError
        If a field does not fit, or a price stands without a weight.

    References
    ----------
    GS1 General Specifications, sections 3 (application identifiers) and 7.8.

    Examples
    --------
    >>> element_string(Bag("99520123456781", net_lb=Decimal("4.23"), lot="L0712"))
    '0199520123456781320200042310L0712'
    """
    fields = fields_of(bag)
    fixed = [ai + value for ai, value in fields.items() if not is_open(ai)]
    open_ones = [ai + value for ai, value in fields.items() if is_open(ai)]
    return "".join(fixed) + GROUP_SEPARATOR.join(open_ones)


def fields_of(bag: Bag) -> dict[str, str]:
    """Return a bag's code field by field.

    Parameters
    ----------
    bag : Bag
        What it says.

    Returns
    -------
    dict of str to str
        Application identifier to value, in the order they are written.

    Raises
    ------
    InputError
        As :func:`element_string`.

    References
    ----------
    GS1 General Specifications, section 3.
    """
    fields = {"01": bag.gtin}
    for prefix, amount, digits in (("320", bag.net_lb, 2), ("310", bag.net_kg, 3)):
        if amount is not None:
            fields[f"{prefix}{digits}"] = _scaled("net", amount, digits).zfill(_MEASURE_DIGITS)
    for ai, date in (
        ("11", bag.made_on),
        ("13", bag.packed_on),
        ("15", bag.best_before),
        ("17", bag.use_by),
    ):
        if date is not None:
            fields[ai] = f"{date:%y%m%d}"
    if bag.price is not None:
        fields[f"{_PRICE}2"] = _scaled("price", bag.price, 2)
    fields |= {ai: text for ai, text in (("10", bag.lot), ("21", bag.serial)) if text}
    check_fields(fields)
    return fields


def _scaled(name: str, amount: Decimal, digits: int) -> str:
    scaled = amount.scaleb(digits)
    if scaled != scaled.to_integral_value() or scaled < 0:
        raise InputError(
            name,
            amount,
            _("{amount} has more than {digits} figures after the point.").format(
                amount=amount, digits=digits
            ),
        )
    return str(int(scaled))


def is_open(ai: str) -> bool:
    """Say whether a field's length is open.

    Parameters
    ----------
    ai : str
        Application identifier.

    Returns
    -------
    bool
        Whether a separator must end it.

    References
    ----------
    GS1 General Specifications, section 7.8.4 (identifiers with predefined length).
    """
    return ai in _OPEN_LENGTH or ai[:3] in (_PRICE, _PRICE_CURRENCY)


def read_elements(data: str) -> dict[str, str]:
    """Split a scanned code into its fields.

    Parameters
    ----------
    data : str
        As the scanner sends it, with group separators.

    Returns
    -------
    dict of str to str
        Application identifier to value.

    Raises
    ------
    InputError
        If an identifier is unknown or a value does not fit it.

    Notes
    -----
    Without the separator a field of open length swallows what follows; nobody can tell.

    References
    ----------
    GS1 General Specifications, section 7.8.
    """
    fields: dict[str, str] = {}
    rest = data.removeprefix(GROUP_SEPARATOR)
    while rest:
        ai = _identifier(rest)
        rest = rest[len(ai) :]
        if is_open(ai):
            value, _sep, rest = rest.partition(GROUP_SEPARATOR)
        else:
            length = _FIXED_LENGTH.get(ai, _MEASURE_DIGITS)
            value, rest = rest[:length], rest[length:].removeprefix(GROUP_SEPARATOR)
        if ai in fields and fields[ai] != value:
            raise InputError(ai, value, _("The code says ({ai}) twice.").format(ai=ai))
        fields[ai] = value
    check_fields(fields)
    return fields


def _identifier(rest: str) -> str:
    for ai in (*_FIXED_LENGTH, *_OPEN_LENGTH):
        if rest.startswith(ai):
            return ai
    if rest[:3] in (*_MEASURES, _PRICE, _PRICE_CURRENCY) and rest[3:4].isdigit():
        return rest[:4]
    raise InputError(
        "data",
        rest,
        _("“{start}…” does not begin with a field this program reads.").format(start=rest[:4]),
    )


def check_fields(fields: Mapping[str, str]) -> None:
    """Refuse fields that are wrong by themselves or together.

    Parameters
    ----------
    fields : mapping of str to str
        Application identifier to value.

    Raises
    ------
    InputError
        With the identifier as name.

    References
    ----------
    GS1 General Specifications, sections 3 and 4.14 (mandatory and invalid pairs).
    """
    for ai, value in fields.items():
        _check_value(ai, value)
    prefixes = {ai[:3] for ai in fields}
    measured = prefixes & {"310", "320"} or "30" in fields
    if _PRICE in prefixes and _PRICE_CURRENCY in prefixes:
        raise InputError(_PRICE, dict(fields), _("A code gives the price once, not twice."))
    if prefixes & {_PRICE, _PRICE_CURRENCY} and not measured:
        raise InputError(_PRICE, dict(fields), _("A price in a code needs a weight beside it."))
    alone = fields.keys() & {"10", "21", "11", "13", "15", "16", "17"}
    if (alone or prefixes & {"310", "320"}) and not fields.keys() & {"01", "02"}:
        raise InputError("01", dict(fields), _("These fields need the article number (01)."))


def _check_value(ai: str, value: str) -> None:
    digits = value.isascii() and value.isdigit()
    problem = ""
    if ai in _FIXED_LENGTH or ai[:3] in _MEASURES:
        length = _FIXED_LENGTH.get(ai, _MEASURE_DIGITS)
        if not digits or len(value) != length:
            problem = _("({ai}) needs {length} digits.").format(ai=ai, length=length)
        elif ai in ("00", "01", "02") and not is_right(value):
            problem = _("The last digit of ({ai}) is wrong.").format(ai=ai)
        elif ai in _DATES:
            _date(ai, value, near=None)
    elif ai in _OPEN_LENGTH:
        most = _OPEN_LENGTH[ai]
        if len(value) > most or not _TEXT.fullmatch(value):
            problem = _("({ai}) has 1 to {most} plain characters without spaces.").format(
                ai=ai, most=most
            )
    elif not digits or len(value) > _PRICE_DIGITS + (3 if ai[:3] == _PRICE_CURRENCY else 0):
        problem = _("({ai}) is a row of digits.").format(ai=ai)
    if problem:
        raise InputError(ai, value, problem)


def amount(ai: str, value: str) -> Decimal:
    """Return the number in a weight or price field.

    Parameters
    ----------
    ai : str
        Identifier, whose last digit says how many figures stand after the point.
    value : str
        The digits.

    Returns
    -------
    Decimal
        The number, in the unit of the identifier.

    References
    ----------
    GS1 General Specifications, section 3.6.

    Examples
    --------
    >>> amount("3202", "000423")
    Decimal('4.23')
    """
    return Decimal(int(value)).scaleb(-int(ai[3]))


def date_of(ai: str, value: str, *, near: dt.date) -> dt.date:
    """Return the date in a date field.

    Parameters
    ----------
    ai : str
        Identifier.
    value : str
        Six digits, year month day; day 00 is the end of the month.
    near : datetime.date
        A date the code belongs near, for the century.

    Returns
    -------
    datetime.date
        The date.

    Raises
    ------
    InputError
        If there is no such day.

    References
    ----------
    GS1 General Specifications, section 7.12 (determination of century), unverified.
    """
    return _date(ai, value, near=near)


def _date(ai: str, value: str, *, near: dt.date | None) -> dt.date:
    year, month, day = int(value[:2]), int(value[2:4]), int(value[4:])
    base = near.year if near is not None else 2000
    full = base - base % 100 + year
    if full - base > _CENTURY_WINDOW:
        full -= 100
    elif full - base < -(_CENTURY_WINDOW - 1):
        full += 100
    try:
        last = calendar.monthrange(full, month)[1]
        return dt.date(full, month, day or last)
    except (ValueError, calendar.IllegalMonthError) as error:
        raise InputError(ai, value, _("({ai}) has no such day.").format(ai=ai)) from error


def read_bag(data: str, *, near: dt.date) -> Bag:
    """Read a bag's code.

    Parameters
    ----------
    data : str
        As the scanner sends it.
    near : datetime.date
        Today, for the century of dates.

    Returns
    -------
    Bag
        What it says.

    Raises
    ------
    InputError
        If it is not the code of a bag.

    References
    ----------
    GS1 General Specifications, sections 3 and 7.8.
    """
    return bag_of(read_elements(data), near=near)


def bag_of(fields: Mapping[str, str], *, near: dt.date) -> Bag:
    """Return what the fields of a code say about a bag.

    Parameters
    ----------
    fields : mapping of str to str
        Application identifier to value.
    near : datetime.date
        Today, for the century of dates.

    Returns
    -------
    Bag
        What they say.

    Raises
    ------
    InputError
        If there is no article number.

    References
    ----------
    GS1 General Specifications, section 3.
    """
    if "01" not in fields:
        raise InputError("01", dict(fields), _("The code has no article number (01)."))
    by_prefix = {ai[:3]: amount(ai, value) for ai, value in fields.items() if len(ai) > 3}  # noqa: PLR2004 - the fourth digit places the point
    dates = {ai: date_of(ai, fields[ai], near=near) for ai in _DATES if ai in fields}
    return Bag(
        gtin=fields["01"],
        net_lb=by_prefix.get("320"),
        net_kg=by_prefix.get("310"),
        price=by_prefix.get(_PRICE),
        packed_on=dates.get("13"),
        made_on=dates.get("11"),
        best_before=dates.get("15"),
        use_by=dates.get("17"),
        lot=fields.get("10", ""),
        serial=fields.get("21", ""),
    )
