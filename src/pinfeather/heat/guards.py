"""Refuse a number that cannot be meant, with a sentence that says what to write instead."""

from __future__ import annotations

import math

from pinfeather.errors import InputError
from pinfeather.words import gettext as _


def finite(name: str, value: float) -> float:
    """Return the number if it is one.

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
        If it is infinite or not a number.

    References
    ----------
    Derivation: IEEE 754 has values that are not numbers; none of them is a measurement.
    """
    if not math.isfinite(value):
        raise InputError(name, value, _("This has to be a number."))
    return value


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
    Derivation: a mass, length or time that is used as a divisor.
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


def fraction(name: str, value: float) -> float:
    """Return the number if it is above zero and at most one.

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
        If it is not above zero, or is above one.

    References
    ----------
    Derivation: a share of something that is really there.
    """
    if not 0 < value <= 1:
        raise InputError(name, value, _("This has to be a share: above zero, at most one."))
    return value
