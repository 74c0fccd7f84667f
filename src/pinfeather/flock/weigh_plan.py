"""How many birds to weigh, and what weighing more of them buys."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from pinfeather.errors import InputError
from pinfeather.flock.forecast import MODEL_SD
from pinfeather.flock.guards import heads, inside, not_negative, positive
from pinfeather.words import gettext as _

_AHEAD_D: Final = 14.0
COUNTS: Final = (5, 10, 20, 30, 50, 100)


@dataclass(frozen=True, slots=True)
class WeighPlan:
    """How many birds to weigh, one by one, taken from all over the pen.

    Parameters
    ----------
    birds : int
        For the wanted error.
    error_frac : float
        Half the width of the band of the mean that so many give, as a share [1].
    """

    birds: int
    error_frac: float


@dataclass(frozen=True, slots=True)
class Bought:
    """What weighing a number of birds gives.

    Parameters
    ----------
    birds : int
        Weighed.
    today_frac : float
        Half width of the 90 % band of the mean today, as a share [1].
    then_frac : float
        The same for the mean on the day asked [1].
    """

    birds: int
    today_frac: float
    then_frac: float


def birds_to_weigh(
    cv: float, error_frac: float, *, flock: int | None = None, sure: float = 0.95
) -> WeighPlan:
    """Say how many birds to weigh to know the mean well enough.

    Parameters
    ----------
    cv : float
        Spread between birds as a share of the mean, 0.10 to 0.15 for straight run [1].
    error_frac : float
        How far off the mean may be, as a share [1].
    flock : int or None
        Birds in the pen; None for many.
    sure : float
        How sure [1].

    Returns
    -------
    WeighPlan
        Weigh every bird of the last catch, large or small, or the mean is wrong.

    Raises
    ------
    InputError
        If a number is not above zero.

    References
    ----------
    Cochran 1977, Sampling Techniques, section 4.6: n = (z CV / E)^2, with n / (1 + (n - 1) / N) in
    a flock of N.
    """
    positive("cv", cv)
    positive("error_frac", error_frac)
    z = _z(inside("sure", sure))
    needed = (z * cv / error_frac) ** 2
    if flock is not None:
        needed /= 1 + (needed - 1) / heads("flock", flock, least=1) if needed > 1 else 1.0
    birds = max(math.ceil(needed - 1e-9), 1)
    left = 1.0
    if flock is not None:
        birds = min(birds, flock)
        left = math.sqrt(max(flock - birds, 0) / max(flock - 1, 1))
    return WeighPlan(birds, z * cv / math.sqrt(birds) * left)


def what_weighing_buys(
    cv: float, *, ahead_d: float, counts: Sequence[int] = COUNTS, sure: float = 0.90
) -> tuple[Bought, ...]:
    """Say how sure the mean weight gets, today and on the day asked, with more birds weighed.

    Parameters
    ----------
    cv : float
        Spread between birds as a share of the mean [1].
    ahead_d : float
        Days from the weighing to the day asked [d].
    counts : sequence of int
        Numbers of birds to compare.
    sure : float
        How sure the band is [1].

    Returns
    -------
    tuple of Bought
        Beyond about 20 birds the forecast hardly gets surer; a second weighing later does more.

    Raises
    ------
    InputError
        If a number is not above zero.

    References
    ----------
    Derivation: the uncertainty of :func:`pinfeather.flock.forecast.forecast` for one weighing.
    """
    positive("cv", cv)
    not_negative("ahead_d", ahead_d)
    if not counts:
        raise InputError("counts", tuple(counts), _("Give at least one number of birds."))
    z = _z(inside("sure", sure))
    model = MODEL_SD**2 * max(ahead_d / _AHEAD_D, 1.0)
    found = []
    for birds in counts:
        drawn = cv**2 / heads("counts", birds, least=1)
        found.append(Bought(birds, z * math.sqrt(drawn), z * math.sqrt(model + drawn)))
    return tuple(found)


def _z(sure: float) -> float:
    from scipy.special import ndtri

    return float(ndtri((1 + sure) / 2))
