"""Refuse a number that cannot be meant, with a sentence that says what to write instead."""

from __future__ import annotations

import math

from pinfeather.errors import InputError
from pinfeather.words import gettext as _


def positive(name: str, value: float) -> float:
    """Return the number if it is above zero.

    Parameters
    ----------
    name : str
        The argument's name.
    value : float
        What was given [unit of the name].

    Returns
    -------
    float
        The same number [same].

    Raises
    ------
    InputError
        If it is zero, negative, infinite or not a number.

    References
    ----------
    Derivation: a weight, age or area that is used as a divisor.
    """
    if not value > 0 or not math.isfinite(value):
        raise InputError(name, value, _("This has to be a number above zero."))
    return value


def not_negative(name: str, value: float) -> float:
    """Return the number if it is zero or more.

    Parameters
    ----------
    name : str
        The argument's name.
    value : float
        What was given [unit of the name].

    Returns
    -------
    float
        The same number [same].

    Raises
    ------
    InputError
        If it is negative, infinite or not a number.

    References
    ----------
    Derivation: an amount can be nothing, but not less.
    """
    if not value >= 0 or not math.isfinite(value):
        raise InputError(name, value, _("This has to be zero or more."))
    return value


def share(name: str, value: float) -> float:
    """Return the number if it is from zero to one.

    Parameters
    ----------
    name : str
        The argument's name.
    value : float
        What was given [1].

    Returns
    -------
    float
        The same number [1].

    Raises
    ------
    InputError
        If it is below zero or above one.

    References
    ----------
    Derivation: a share of something.
    """
    if not 0 <= value <= 1:
        raise InputError(name, value, _("This has to be a share, from 0 to 100 %."))
    return value


def inside(name: str, value: float) -> float:
    """Return the number if it is between zero and one, neither of them.

    Parameters
    ----------
    name : str
        The argument's name.
    value : float
        What was given [1].

    Returns
    -------
    float
        The same number [1].

    Raises
    ------
    InputError
        If it is zero or less, or one or more.

    References
    ----------
    Derivation: a chance that is neither impossible nor certain.
    """
    if not 0 < value < 1:
        raise InputError(name, value, _("This has to lie between 0 and 100 %, neither of them."))
    return value


def heads(name: str, value: int, *, least: int = 0) -> int:
    """Return a number of birds if there can be so many.

    Parameters
    ----------
    name : str
        The argument's name.
    value : int
        What was given.
    least : int
        The fewest that make sense.

    Returns
    -------
    int
        The same number.

    Raises
    ------
    InputError
        If there are fewer.

    References
    ----------
    Derivation: birds are counted.
    """
    if value < least:
        raise InputError(
            name, value, _("This has to be a number of birds, {n} or more.").format(n=least)
        )
    return value
