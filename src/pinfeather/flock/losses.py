"""Losses: what is usual by age, the band around it, and the usual yardsticks."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

from pinfeather.errors import InputError
from pinfeather.estimate import Basis
from pinfeather.flock.guards import heads, inside, positive, share
from pinfeather.flock.tables import basis_of, table
from pinfeather.words import gettext as _

Floats = NDArray[np.float64]
Setting = Literal["usual", "pasture"]

_PERCENT: Final = 100.0
_WEEK_D: Final = 7
CLUSTERING: Final = 0.01
"""How much deaths come together, as the correlation between birds. Assumed: deaths of a lot then
spread about as farms differ."""
_AFTER_EVENT: Final = 9
"""Sizes of a bad event tried between the least and the most."""


@dataclass(frozen=True, slots=True)
class LossBand:
    """Losses up to an age.

    Parameters
    ----------
    expected : float
        Usual number of birds.
    low, high : int
        One lot in ten loses fewer, one in ten more.
    alarm : int
        One lot in fifty loses more than this.
    basis : Basis
        Where the usual losses come from.
    """

    expected: float
    low: int
    high: int
    alarm: int
    basis: Basis


def survival(last_d: int, setting: Setting = "usual") -> Floats:
    """Return the share of birds usually alive on each day of age.

    Parameters
    ----------
    last_d : int
        Last day [d].
    setting : str
        ``"usual"`` or ``"pasture"``.

    Returns
    -------
    ndarray
        At age 0, 1, …, ``last_d``, shape (last_d + 1,) [1].

    Raises
    ------
    InputError
        If the last day is below zero, or there is no such setting.

    Notes
    -----
    Without dead on arrival and without predators, storms or heat.

    References
    ----------
    Planning figures by week, unverified; shape as in Tabler, Berry and Mendenhall 2004 (peak on
    days 3 and 4, flat to day 30, rising after 40).
    """
    heads("last_d", last_d)
    if setting not in {"usual", "pasture"}:
        raise InputError("setting", setting, _("Choose one of: usual, pasture."))
    weeks = table("losses")[setting]["weeks"]
    lost = np.array([(low + high) / 2 / _PERCENT for low, high in weeks])
    week = np.minimum(np.arange(last_d) // _WEEK_D, len(lost) - 1)
    kept = (1 - lost[week]) ** (1 / _WEEK_D)
    found: Floats = np.concatenate([[1.0], np.cumprod(kept)])
    return found


def loss_band(birds: int, age_d: int, setting: Setting = "usual", *, from_d: int = 0) -> LossBand:
    """Say how many birds of a lot are usually lost up to an age.

    Parameters
    ----------
    birds : int
        Birds alive on the first day.
    age_d : int
        Age now [d].
    setting : str
        ``"usual"`` or ``"pasture"``.
    from_d : int
        Age on the first day [d].

    Returns
    -------
    LossBand
        The band and the number above which something is wrong.

    Raises
    ------
    InputError
        If there are no birds, or the ages are out of order.

    References
    ----------
    Skellam 1948, Journal of the Royal Statistical Society B 10:257-261 (beta-binomial counts:
    deaths come together).
    """
    from scipy.stats import betabinom

    heads("birds", birds, least=1)
    if age_d < from_d:
        raise InputError("age_d", age_d, _("The age now is below that on the first day."))
    alive = survival(age_d, setting)
    lost = 1 - float(alive[-1] / alive[from_d])
    basis = basis_of(table("losses")[setting])
    if lost <= 0:
        return LossBand(0.0, 0, 0, 0, basis)
    worth = (1 - CLUSTERING) / CLUSTERING
    drawn = betabinom(birds, lost * worth, (1 - lost) * worth)
    low, high, alarm = (int(drawn.ppf(q)) for q in (0.1, 0.9, 0.98))
    return LossBand(lost * birds, low, high, alarm, basis)


def daily_mortality(deaths: Sequence[int], birds: int, *, removed: Sequence[int] = ()) -> float:
    """Return the cumulative daily mortality rate.

    Parameters
    ----------
    deaths : sequence of int
        Dead and culled on each day, shape (n,).
    birds : int
        Birds at the start of the first day.
    removed : sequence of int
        Birds taken out alive at the end of each day, shape (n,); empty for none.

    Returns
    -------
    float
        Sum of the daily shares [1].

    Raises
    ------
    InputError
        If more birds die than there are, or lengths differ.

    References
    ----------
    Council Directive 2007/43/EC, Annex I and III: daily deaths over birds present that day, added
    up.
    """
    taken = list(removed) or [0] * len(deaths)
    if len(taken) != len(deaths):
        raise InputError("removed", tuple(removed), _("Give one number for each day."))
    there, rate = heads("birds", birds), 0.0
    for i, (dead, out) in enumerate(zip(deaths, taken, strict=True)):
        if not 0 <= dead <= there or not 0 <= out <= there - dead:
            raise InputError(f"deaths[{i}]", dead, _("More birds went than there were."))
        rate += dead / there if there else 0.0
        there -= dead + out
    return rate


def mortality_limit(age_d: float) -> float:
    """Return the cumulative daily mortality allowed in the EU at the highest stocking density.

    Parameters
    ----------
    age_d : float
        Age at slaughter [d].

    Returns
    -------
    float
        1 % and 0.06 % for each day of age [1].

    Raises
    ------
    InputError
        If the age is not above zero.

    Notes
    -----
    A yardstick; no rule for farms outside the EU.

    References
    ----------
    Council Directive 2007/43/EC, Annex V; unverified.
    """
    limit = table("losses")["density_limit"]
    return float(limit["base"] + limit["per_day"] * positive("age_d", age_d)) / _PERCENT


def production_index(
    *, alive_share: float, mass_kg: float, age_d: float, feed_ratio: float
) -> float:
    """Return the production index growers compare lots by.

    Parameters
    ----------
    alive_share : float
        Birds brought to slaughter over birds placed [1].
    mass_kg : float
        Mean live weight [kg].
    age_d : float
        Age at slaughter [d].
    feed_ratio : float
        Feed over live weight [1].

    Returns
    -------
    float
        Index; higher is better [1].

    Raises
    ------
    InputError
        If a number is not above zero.

    References
    ----------
    Trade convention (EPEF): 100 x livability in percent x kg / (days x feed ratio), over 100.
    """
    share("alive_share", alive_share)
    positive("age_d", age_d)
    return (
        alive_share
        * _PERCENT
        * positive("mass_kg", mass_kg)
        / (age_d * positive("feed_ratio", feed_ratio))
        * _PERCENT
    )


def chance_of_enough(ordered: int, wanted: int, *, alive_share: float, event: float = 0.0) -> float:
    """Return the chance that at least the wanted number lives.

    Parameters
    ----------
    ordered : int
        Birds started.
    wanted : int
        Birds needed.
    alive_share : float
        Share that usually lives to that age [1].
    event : float
        Chance of a predator, storm or chill that takes 10 to 50 % at once [1].

    Returns
    -------
    float
        Chance [1].

    Raises
    ------
    InputError
        If a share or chance is not one.

    References
    ----------
    Derivation: binomial survivors; with the chance of an event, each size of it alike likely.
    """
    from scipy.stats import binom

    inside("alive_share", alive_share)
    share("event", event)
    calm = float(binom.sf(wanted - 1, heads("ordered", ordered), alive_share))
    if event == 0:
        return calm
    size = table("losses")["event"]
    edges = np.linspace(size["least"], size["most"], _AFTER_EVENT + 1)
    left = alive_share * (1 - (edges[1:] + edges[:-1]) / 2)
    struck = float(np.mean(binom.sf(wanted - 1, ordered, left)))
    return (1 - event) * calm + event * struck
