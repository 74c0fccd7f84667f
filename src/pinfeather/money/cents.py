"""Whole cents: reading, writing, one way to round, one way to share out.

Money inside this room is a whole number of cents. A quotient is rounded once, at the end, to the
nearest cent with half a cent up (:func:`half_up`). A sum that is shared out is shared by largest
remainder (:func:`share_out`), so that the parts always add up to the cent.
"""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from decimal import Decimal
from fractions import Fraction
from typing import Final, TypeAlias

from pinfeather.errors import InputError
from pinfeather.words import gettext as _

Exact: TypeAlias = int | Decimal | Fraction
CENTS_PER_DOLLAR: Final = 100
MOST_CENTS: Final = 10**13
"""A hundred billion dollars; more is a slip of the pen."""
_SUM: Final = re.compile(r"\$?\s*(\d{1,9}|\d{1,3}(?:,\d{3})+)(\.\d{1,4})?\s*\$?")


def half_up(value: Exact) -> int:
    """Round to a whole number, half away from zero.

    Parameters
    ----------
    value : int, Decimal or Fraction
        An exact number; never a binary fraction.

    Returns
    -------
    int
        The nearest whole number; of two equally near the one farther from zero.

    References
    ----------
    Common practice for money; NIST Handbook 44, appendix A, rounds alike (unverified).

    Examples
    --------
    >>> half_up(Fraction(5, 2)), half_up(Fraction(-5, 2))
    (3, -3)
    """
    exact = Fraction(value)
    up = (2 * abs(exact.numerator) + exact.denominator) // (2 * exact.denominator)
    return up if exact >= 0 else -up


def per(total_cents: int, of: Exact) -> int | None:
    """Return a sum for each of so many, to the cent.

    Parameters
    ----------
    total_cents : int
        The whole sum [cents].
    of : int, Decimal or Fraction
        Birds, pounds or whatever it is divided by.

    Returns
    -------
    int or None
        Cents for each, rounded once; None where there is nothing to divide by.

    References
    ----------
    Derivation: the total is divided, rounded lines are never added.

    Examples
    --------
    >>> per(2310, Decimal("3.6"))
    642
    """
    return half_up(Fraction(total_cents) / Fraction(of)) if of > 0 else None


def share_out(total_cents: int, weights: Sequence[Exact]) -> tuple[int, ...]:
    """Share a sum in proportion to weights so that the parts add up to the cent.

    Parameters
    ----------
    total_cents : int
        What is shared; may be negative, as a refund is [cents].
    weights : sequence of int, Decimal or Fraction
        None negative, not all zero.

    Returns
    -------
    tuple of int
        As many parts as weights; no part is farther than a cent from its exact share.

    Raises
    ------
    InputError
        If a weight is negative or all are zero.

    Notes
    -----
    Every part gets its share rounded towards zero; the cents that are left go one each to the
    largest fractions dropped, of equal ones to the earlier.

    References
    ----------
    Hare's method of largest remainders (Balinski and Young, *Fair Representation*, 1982, chapter 3;
    unverified).

    Examples
    --------
    >>> share_out(10000, [1, 1, 1])
    (3334, 3333, 3333)
    """
    whole = _whole_weights(weights)
    base = sum(whole)
    if base <= 0 or min(whole) < 0:
        raise InputError(
            "weights", tuple(weights), _("Shares are none below zero and not all of them zero.")
        )
    size, sign = abs(total_cents), -1 if total_cents < 0 else 1
    parts, rests = zip(*(divmod(size * w, base) for w in whole), strict=True)
    left = size - sum(parts)
    shared = list(parts)
    for at in sorted(range(len(whole)), key=lambda i: -rests[i])[:left]:
        shared[at] += 1
    return tuple(sign * part for part in shared)


def to_the_cent(exact: Sequence[Fraction], total_cents: int) -> tuple[int, ...]:
    """Round exact parts, negative ones too, so that they add up to a total of whole cents.

    Parameters
    ----------
    exact : sequence of Fraction
        The parts, unrounded [cents].
    total_cents : int
        What they have to add up to, less than one cent a part from their exact sum [cents].

    Returns
    -------
    tuple of int
        Each rounded down, the cents left going to the largest remainders.

    Raises
    ------
    InputError
        If the parts do not nearly add up to the total.

    References
    ----------
    As :func:`share_out`.
    """
    whole = [part.numerator // part.denominator for part in exact]
    left = total_cents - sum(whole)
    if not 0 <= left <= len(whole):
        raise InputError("total_cents", total_cents, _("These parts do not add up to that."))
    for at in sorted(range(len(exact)), key=lambda i: -(exact[i] - whole[i]))[:left]:
        whole[at] += 1
    return tuple(whole)


def _whole_weights(weights: Sequence[Exact]) -> list[int]:
    if all(isinstance(w, int) for w in weights):
        return [int(w) for w in weights]
    exact = [Fraction(w) for w in weights]
    scale = math.lcm(*(one.denominator for one in exact))
    return [int(one * scale) for one in exact]


def cents_from(text: str, *, name: str = "amount") -> int:
    """Read a sum of money in dollars.

    Parameters
    ----------
    text : str
        Such as ``"$1,234.50"`` or ``"12"``.
    name : str
        Where it was written, for the fault.

    Returns
    -------
    int
        Whole cents.

    Raises
    ------
    InputError
        If it is no sum of money, is finer than a cent, or is beyond belief.

    References
    ----------
    Decision record 0002: nothing is guessed.
    """
    exact = exact_cents(text, name=name)
    if exact != exact.to_integral_value():
        raise InputError(name, text, _("“{text}” is finer than a cent.").format(text=text.strip()))
    return int(exact)


def exact_cents(text: str, *, name: str = "price") -> Decimal:
    """Read a price in dollars that may be finer than a cent, as a feed price is.

    Parameters
    ----------
    text : str
        Such as ``"$0.3125"``.
    name : str
        Where it was written, for the fault.

    Returns
    -------
    Decimal
        Cents, up to two more figures kept.

    Raises
    ------
    InputError
        If it is no sum of money.

    References
    ----------
    Decision record 0002: nothing is guessed.
    """
    match = _SUM.fullmatch(text.strip())
    if match is None:
        raise InputError(name, text, _("Write a sum in dollars, such as 12.50."))
    return Decimal(match[1].replace(",", "") + (match[2] or "")) * CENTS_PER_DOLLAR


def dollars(cents: Exact) -> str:
    """Write cents as dollars.

    Parameters
    ----------
    cents : int, Decimal or Fraction
        A sum; fractions of a cent are rounded half up [cents].

    Returns
    -------
    str
        With sign, dollar sign, thousands commas and two decimals.

    References
    ----------
    Derivation: format.

    Examples
    --------
    >>> dollars(-123456)
    '−$1,234.56'
    """
    whole = half_up(cents)
    sign = "−" if whole < 0 else ""
    return f"{sign}${abs(whole) // CENTS_PER_DOLLAR:,}.{abs(whole) % CENTS_PER_DOLLAR:02d}"
