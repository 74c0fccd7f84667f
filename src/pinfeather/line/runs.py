"""How many simulated days are enough."""

from __future__ import annotations

import math

from pinfeather.errors import InputError
from pinfeather.words import gettext as _

CONFIDENCE = 0.95


def days_for_width(sd_s: float, half_width_s: float, *, pilot: int | None = None) -> int:
    """Return how many days give a mean to within a half-width, at 95 %.

    Parameters
    ----------
    sd_s : float
        Standard deviation of single days, from a few of them [s].
    half_width_s : float
        Half the width of the interval wanted [s].
    pilot : int or None
        Days the standard deviation came from; None uses the normal distribution, which is a
        little short. With a number, Student's t is iterated.

    Returns
    -------
    int
        Days in all.

    Raises
    ------
    InputError
        If the width is not above zero.

    References
    ----------
    Banks, Carson, Nelson and Nicol, Discrete-Event System Simulation, on output analysis.
    """
    from scipy.special import ndtri, stdtrit

    if half_width_s <= 0 or sd_s < 0:
        raise InputError("half_width_s", half_width_s, _("A width is above zero."))
    ratio = sd_s / half_width_s
    upper = (1 + CONFIDENCE) / 2
    days = max(math.ceil((float(ndtri(upper)) * ratio) ** 2), 1)
    if pilot is None:
        return days
    days = max(days, 2)
    while days < (float(stdtrit(days - 1, upper)) * ratio) ** 2:
        days += 1
    return days


def days_by_ratio(pilot: int, pilot_half_width_s: float, *, half_width_s: float) -> int:
    """Return how many days give a half-width, from the half-width a few days gave.

    Parameters
    ----------
    pilot : int
        Days so far.
    pilot_half_width_s : float
        Half-width so far [s].
    half_width_s : float
        Half-width wanted [s].

    Returns
    -------
    int
        Days in all, on the long side.

    Raises
    ------
    InputError
        If the width is not above zero.

    References
    ----------
    Banks, Carson, Nelson and Nicol: widths go with one over the root of the days.
    """
    if half_width_s <= 0:
        raise InputError("half_width_s", half_width_s, _("A width is above zero."))
    return math.ceil(pilot * (pilot_half_width_s / half_width_s) ** 2)


def days_for_share(share_frac: float, half_width_frac: float) -> int:
    """Return how many days give the chance of something to within a half-width, at 95 %.

    Parameters
    ----------
    share_frac : float
        The chance, roughly [1].
    half_width_frac : float
        Half-width wanted [1].

    Returns
    -------
    int
        Days in all.

    Raises
    ------
    InputError
        If the width is not above zero or the share not between 0 and 1.

    References
    ----------
    Derivation: normal approximation of the binomial.
    """
    from scipy.special import ndtri

    if half_width_frac <= 0 or not 0 <= share_frac <= 1:
        raise InputError("share_frac", share_frac, _("A share lies between 0 and 1."))
    z = float(ndtri((1 + CONFIDENCE) / 2))
    return math.ceil(z**2 * share_frac * (1 - share_frac) / half_width_frac**2)


def most_after_none(days: int) -> float:
    """Return the highest chance of something that never happened in some days, at 95 %.

    Parameters
    ----------
    days : int
        Days without it.

    Returns
    -------
    float
        [1].

    Raises
    ------
    InputError
        If there are no days.

    References
    ----------
    Derivation: the chance p with (1 - p)^days = 0.05.
    """
    if days < 1:
        raise InputError("days", days, _("At least one day is needed."))
    return float(1 - (1 - CONFIDENCE) ** (1 / days))
