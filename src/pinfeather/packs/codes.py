"""Check digits and the store's own codes with a price or weight inside."""

from __future__ import annotations

from decimal import Decimal
from typing import Final

from pinfeather.errors import InputError
from pinfeather.words import gettext as _

_TWO_MINUS: Final = (0, 2, 4, 6, 8, 9, 1, 3, 5, 7)
_THREE: Final = (0, 3, 6, 9, 2, 5, 8, 1, 4, 7)
_FIVE_PLUS: Final = (0, 5, 1, 6, 2, 7, 3, 8, 4, 9)
_FIVE_MINUS: Final = (0, 5, 9, 4, 8, 3, 7, 2, 6, 1)
"""Weighted products of a digit, GS1 General Specifications 7.9.2."""

_FOUR_DIGITS: Final = (_TWO_MINUS, _TWO_MINUS, _THREE, _FIVE_MINUS)
_FIVE_DIGITS: Final = (_FIVE_PLUS, _TWO_MINUS, _FIVE_MINUS, _FIVE_PLUS, _TWO_MINUS)

ITEM: Final = "I"
VERIFIER: Final = "V"
PRICE: Final = "P"
CHECK: Final = "C"

US_PATTERNS: Final = ("2IIIIIVPPPPC", "2IIIIIIPPPPC", "2IIIIIPPPPPC")
"""Layouts of number system 2 that stores in the United States use; the store decides which.

I item, V verifier digit, P price in cents, C check digit. The last is common but unverified.
"""


def check_digit(payload: str) -> int:
    """Return the last digit of an article number.

    Parameters
    ----------
    payload : str
        All digits but the last: 7, 11, 12 or 13 for an article number, 17 for a shipping unit.

    Returns
    -------
    int
        The check digit.

    Raises
    ------
    InputError
        If there is anything but digits.

    References
    ----------
    GS1 General Specifications, section 7.9.1.

    Examples
    --------
    >>> check_digit("629104150021")
    3
    """
    _digits("payload", payload)
    total = sum(
        int(digit) * (3 if place % 2 == 0 else 1) for place, digit in enumerate(reversed(payload))
    )
    return -total % 10


def with_check_digit(payload: str) -> str:
    """Return an article number with its last digit.

    Parameters
    ----------
    payload : str
        All digits but the last.

    Returns
    -------
    str
        The whole number.

    Raises
    ------
    InputError
        If there is anything but digits.

    References
    ----------
    GS1 General Specifications, section 7.9.1.
    """
    return f"{payload}{check_digit(payload)}"


def is_right(number: str) -> bool:
    """Say whether the last digit of an article number fits.

    Parameters
    ----------
    number : str
        The whole number.

    Returns
    -------
    bool
        Whether it fits.

    Raises
    ------
    InputError
        If there is anything but digits, or fewer than two.

    References
    ----------
    GS1 General Specifications, section 7.9.1.
    """
    _digits("number", number, least=2)
    return check_digit(number[:-1]) == int(number[-1])


def verifier_digit(field: str) -> int:
    """Return the digit that guards a price or weight inside a code.

    Parameters
    ----------
    field : str
        The price or weight, four or five digits.

    Returns
    -------
    int
        The verifier digit.

    Raises
    ------
    InputError
        If there are not four or five digits.

    References
    ----------
    GS1 General Specifications, sections 7.9.2 to 7.9.4.

    Examples
    --------
    >>> verifier_digit("2875"), verifier_digit("14685")
    (9, 6)
    """
    _digits("field", field)
    if len(field) == len(_FOUR_DIGITS):
        total = sum(row[int(digit)] for row, digit in zip(_FOUR_DIGITS, field, strict=True))
        return 3 * total % 10
    if len(field) == len(_FIVE_DIGITS):
        total = sum(row[int(digit)] for row, digit in zip(_FIVE_DIGITS, field, strict=True))
        return _FIVE_MINUS.index(-total % 10)
    raise InputError("field", field, _("A verifier digit guards four or five digits."))


def store_code(item: int, price: Decimal, *, pattern: str = US_PATTERNS[0]) -> str:
    """Make a store's own code with the package's price inside.

    Parameters
    ----------
    item : int
        The store's number for the product.
    price : Decimal
        Price of the package [USD].
    pattern : str
        Layout: digits as they stand, I item, V verifier, P price in cents, C check digit.

    Returns
    -------
    str
        The whole code.

    Raises
    ------
    InputError
        If the price or the item does not fit the layout, or the layout makes no sense.

    Notes
    -----
    Good only in the store whose number it is: never send it to another buyer. A price that does
    not fit is refused; it never wraps.

    References
    ----------
    GS1 General Specifications, section 2.1.11 (restricted circulation numbers) and 7.9.

    Examples
    --------
    >>> store_code(12345, Decimal("28.75"))
    '212345928752'
    """
    _layout(pattern)
    cents = price * 100
    if cents != cents.to_integral_value() or price < 0:
        raise InputError("price", price, _("A price is in dollars and whole cents."))
    prices, items = pattern.count(PRICE), pattern.count(ITEM)
    if cents >= 10**prices:
        raise InputError(
            "price",
            price,
            _("${price} does not fit: this layout ends at ${most}.").format(
                price=price, most=Decimal(10**prices - 1) / 100
            ),
        )
    if not 0 <= item < 10**items:
        raise InputError(
            "item", item, _("The item number has {digits} digits here.").format(digits=items)
        )
    measure = f"{int(cents):0{prices}d}"
    return _filled(pattern, f"{item:0{items}d}", measure)


def _filled(pattern: str, item: str, measure: str) -> str:
    rest = {ITEM: iter(item), PRICE: iter(measure)}
    body = "".join(
        str(verifier_digit(measure)) if sign == VERIFIER else next(rest[sign]) if sign in rest
        else sign
        for sign in pattern[:-1]
    )  # fmt: skip
    return with_check_digit(body)


def read_store_code(code: str, *, pattern: str) -> tuple[int, Decimal]:
    """Read the item and the price out of a store's own code.

    Parameters
    ----------
    code : str
        The digits.
    pattern : str
        Layout, as for :func:`store_code`.

    Returns
    -------
    item : int
        The store's number for the product.
    price : Decimal
        Price of the package [USD].

    Raises
    ------
    InputError
        If the digits do not fit the layout, its check digit or its verifier digit.

    References
    ----------
    GS1 General Specifications, sections 2.1.11 and 7.9.
    """
    _layout(pattern)
    item, measure = _parts(code, pattern)
    return int(item), Decimal(int(measure)) / 100


def _parts(code: str, pattern: str) -> tuple[str, str]:
    _digits("code", code)
    fixed = all(s == d for s, d in zip(pattern, code, strict=False) if s.isdigit())
    if len(code) != len(pattern) or not fixed:
        raise InputError(
            "code",
            code,
            _("“{code}” does not fit the layout {pattern}.").format(code=code, pattern=pattern),
        )
    if not is_right(code):
        raise InputError("code", code, _("The last digit of “{code}” is wrong.").format(code=code))
    pick = {
        kind: "".join(d for s, d in zip(pattern, code, strict=True) if s == kind)
        for kind in (ITEM, PRICE, VERIFIER)
    }
    if pick[VERIFIER] and verifier_digit(pick[PRICE]) != int(pick[VERIFIER]):
        raise InputError(
            "code",
            code,
            _("The verifier digit is {found}; it should be {right}.").format(
                found=pick[VERIFIER], right=verifier_digit(pick[PRICE])
            ),
        )
    return pick[ITEM], pick[PRICE]


def look_up_key(code: str, *, pattern: str) -> str:
    """Return a code with the price taken out, to look the product up by.

    Parameters
    ----------
    code : str
        The digits.
    pattern : str
        Layout, as for :func:`store_code`; P may stand for a weight or count as well.

    Returns
    -------
    str
        The same code with zeros for measure and verifier, and its check digit made anew.

    Raises
    ------
    InputError
        As :func:`read_store_code`.

    References
    ----------
    GS1 General Specifications, section 2.1.11.
    """
    _layout(pattern)
    _parts(code, pattern)
    emptied = "".join(
        "0" if sign in (PRICE, VERIFIER) else digit
        for sign, digit in zip(pattern, code, strict=True)
    )
    return with_check_digit(emptied[:-1])


def own_number(serial: int) -> str:
    """Make a 12-digit number for use inside one farm only.

    Parameters
    ----------
    serial : int
        The farm's own number for a package or product, up to ten digits.

    Returns
    -------
    str
        A number starting with 4, which no other company reads as theirs.

    Raises
    ------
    InputError
        If it does not fit.

    Notes
    -----
    A farm without a licensed company prefix has no article numbers of its own and must not make
    any up.

    References
    ----------
    GS1 General Specifications, section 2.1.11 (restricted circulation within a company).

    Examples
    --------
    >>> own_number(12345)
    '400000123455'
    """
    room = 10
    if not 0 <= serial < 10**room:
        raise InputError("serial", serial, _("The number has at most ten digits."))
    return with_check_digit(f"4{serial:0{room}d}")


def variable_gtin(base: str, *, indicator: int = 9) -> str:
    """Make the 14-digit number of a product whose packages differ in weight.

    Parameters
    ----------
    base : str
        The 12 digits before the check digit of the product's own number.
    indicator : int
        9 for variable weight (then a weight must travel with it), 1 to 8 for cases.

    Returns
    -------
    str
        Fourteen digits.

    Raises
    ------
    InputError
        If the base has not 12 digits or the indicator is not one digit.

    References
    ----------
    GS1 General Specifications, section 2.1.6.

    Examples
    --------
    >>> variable_gtin("952012345678")
    '99520123456781'
    """
    _digits("base", base)
    if len(base) != 12 or not 0 <= indicator <= 9:  # noqa: PLR2004 - digits of a GTIN
        raise InputError("base", base, _("Give the 12 digits before the check digit."))
    return with_check_digit(f"{indicator}{base}")


def _digits(name: str, text: str, *, least: int = 1) -> None:
    if not (text.isascii() and text.isdigit()) or len(text) < least:
        raise InputError(name, text, _("“{text}” is not a row of digits.").format(text=text))


def _layout(pattern: str) -> None:
    known = set("0123456789IVPC")
    ok = set(pattern) <= known and pattern.endswith(CHECK) and pattern.count(CHECK) == 1
    if not ok or not pattern.count(PRICE) or not pattern.count(ITEM):
        raise InputError(
            "pattern",
            pattern,
            _("A layout has digits, I, P, perhaps one V, and C at the end: {example}.").format(
                example=US_PATTERNS[0]
            ),
        )
