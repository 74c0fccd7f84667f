"""Learning curves, and what work needs on top: the textbook forms."""

from __future__ import annotations

import math
from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from pinfeather.errors import InputError
from pinfeather.words import gettext as _

ALLOWANCES: Final[Mapping[str, float]] = MappingProxyType(
    {
        # per cent of work time; International Labour Office, Introduction to Work Study,
        # as printed in work-measurement texts (status: second hand)
        "personal": 5, "basic fatigue": 4, "standing": 2,
        "bending": 2, "lying or stretching": 7,
        "lift 5 lb": 0, "lift 10 lb": 1, "lift 15 lb": 2, "lift 20 lb": 3, "lift 25 lb": 4,
        "lift 30 lb": 5, "lift 35 lb": 7, "lift 40 lb": 9, "lift 45 lb": 11, "lift 50 lb": 13,
        "lift 60 lb": 17, "lift 70 lb": 22,
        "light well below": 2, "light very inadequate": 5,
        "fine work": 2, "very exacting work": 5, "loud noise": 2, "very loud noise": 5,
        "monotony medium": 1, "monotony high": 4,
    }
)  # fmt: skip
"""Allowances for rest, by what the work is like [% of work time]."""


def exponent(rate: float) -> float:
    """Return the learning exponent of a rate.

    Parameters
    ----------
    rate : float
        Time with twice the practice over time before; 1 is no learning [1].

    Returns
    -------
    float
        Zero or below [1].

    Raises
    ------
    InputError
        If the rate is not between 0 and 1.

    References
    ----------
    Wright 1936, Journal of the Aeronautical Sciences 3, 122-128: b = log2(rate).
    """
    if not 0 < rate <= 1:
        raise InputError("rate", rate, _("A learning rate is above 0 and at most 1."))
    return math.log2(rate)


def unit_time_s(first_s: float, unit: float, *, rate: float, fixed_frac: float = 0.0) -> float:
    """Return the time of a later bird, after Crawford (each unit on the curve).

    Parameters
    ----------
    first_s : float
        Time of the first [s].
    unit : float
        Which one, from 1 [birds].
    rate : float
        Learning rate [1].
    fixed_frac : float
        Share of the first time that cannot be learned away (De Jong) [1].

    Returns
    -------
    float
        [s].

    Raises
    ------
    InputError
        If the rate is not between 0 and 1.

    References
    ----------
    Crawford 1944; De Jong 1957, Ergonomics 1, 51-60, for the fixed share.
    """
    return first_s * (fixed_frac + (1 - fixed_frac) * math.pow(unit, exponent(rate)))


def total_time_s(first_s: float, units: int, *, rate: float, fixed_frac: float = 0.0) -> float:
    """Return the time of all birds up to one, after Crawford.

    Parameters
    ----------
    first_s : float
        Time of the first [s].
    units : int
        How many.
    rate : float
        Learning rate [1].
    fixed_frac : float
        Share that cannot be learned away [1].

    Returns
    -------
    float
        [s].

    Raises
    ------
    InputError
        If the rate is not between 0 and 1.

    References
    ----------
    Derivation: sum of :func:`unit_time_s`.
    """
    each = (unit_time_s(first_s, n, rate=rate, fixed_frac=fixed_frac) for n in range(1, units + 1))
    return math.fsum(each)


def mean_time_s(first_s: float, units: float, *, rate: float) -> float:
    """Return the mean time of all birds up to one, after Wright (the mean on the curve).

    Parameters
    ----------
    first_s : float
        Time of the first [s].
    units : float
        How many [birds].
    rate : float
        Learning rate [1].

    Returns
    -------
    float
        [s]; the model must not be mixed with Crawford's.

    Raises
    ------
    InputError
        If the rate is not between 0 and 1.

    References
    ----------
    Wright 1936, Journal of the Aeronautical Sciences 3, 122-128.
    """
    return first_s * math.pow(units, exponent(rate))


def allowance_frac(*marks: str) -> float:
    """Return the allowance for rest that work of some kind needs, as a share of work time.

    Parameters
    ----------
    *marks : str
        What the work is like, from ``ALLOWANCES``; the two constant ones, personal and basic
        fatigue, are always in.

    Returns
    -------
    float
        [1].

    Raises
    ------
    InputError
        If a mark is unknown.

    References
    ----------
    International Labour Office, Introduction to Work Study; status second hand.
    """
    unknown = [mark for mark in marks if mark not in ALLOWANCES]
    if unknown:
        raise InputError("marks", unknown, _("There is no allowance of this name."))
    named = {"personal", "basic fatigue", *marks}
    return sum(ALLOWANCES[mark] for mark in named) / 100


def standard_time_s(normal_s: float, allowance: float, *, of_shift: bool = False) -> float:
    """Return the time to plan for work at a normal pace with its rests.

    Parameters
    ----------
    normal_s : float
        Time without rest [s].
    allowance : float
        Allowance as a share [1].
    of_shift : bool
        True where the share is of the whole shift, False where of the work.

    Returns
    -------
    float
        [s].

    Raises
    ------
    InputError
        If the share leaves no time to work.

    References
    ----------
    International Labour Office, Introduction to Work Study: normal (1 + A), or normal / (1 - A).
    """
    if not 0 <= allowance < 1:
        raise InputError("allowance", allowance, _("An allowance is zero or more and below 1."))
    return normal_s / (1 - allowance) if of_shift else normal_s * (1 + allowance)
