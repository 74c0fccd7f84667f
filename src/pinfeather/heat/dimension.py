"""Cooling time of a lump that is neither slab, rod nor ball: Lin's equivalent dimension.

A slab cools in one dimension, a long rod in two, a ball in three. An egg-shaped lump lies between;
its number of dimensions follows from two ratios of its size.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final, Literal

from pinfeather.errors import InputError
from pinfeather.heat.conduction import roots
from pinfeather.heat.guards import positive
from pinfeather.words import gettext as _

Lump = Literal["slab", "cylinder", "sphere", "ellipsoid", "ellipse", "squat cylinder", "brick"]

_WHOLE: Final[dict[Lump, float]] = {"slab": 1.0, "cylinder": 2.0, "sphere": 3.0}
# p1, p2, p3 of Lin et al. (1996), table 4; unverified, but the limits agree with exact roots
_P: Final[dict[Lump, tuple[float, float, float]]] = {
    "slab": (0.0, 0.0, 0.0),
    "cylinder": (1.01, 0.0, 0.0),
    "ellipse": (1.01, 0.0, 1.0),
    "squat cylinder": (1.01, 0.75, -1.0),
    "sphere": (1.01, 1.24, 0.0),
    "ellipsoid": (1.01, 1.24, 1.0),
    "brick": (0.75, 0.75, -1.0),
}


@dataclass(frozen=True, slots=True)
class Equivalent:
    """A lump's number of dimensions and its lag.

    Parameters
    ----------
    dimensions : float
        1 for a slab, 2 for a rod, 3 for a ball [1].
    lag : float
        Where its cooling line starts, as a multiple of the first difference [1].
    root : float
        First root of a ball at the same Biot number [1].
    """

    dimensions: float
    lag: float
    root: float


def _at_little_cooling(lump: Lump, b1: float, b2: float) -> float:
    """Return the dimensions when the surface limits."""
    if lump in _WHOLE:
        return _WHOLE[lump]
    if lump == "ellipse":
        return float((1 + 1 / b1) * (1 + ((1 - b1) / (2 + 2 * b1)) ** 2))
    if lump == "ellipsoid":
        top = b1 + b2 + b1**2 * (1 + b2) + b2**2 * (1 + b1)
        return float(1.5 * top / (b1 * b2 * (1 + b1 + b2)) - ((b1 - b2) ** 2) ** 0.4 / 15)
    return 1 + 1 / b1 + 1 / b2


def _at_much_cooling(lump: Lump, b1: float, b2: float) -> float:
    """Return the dimensions when the inside limits."""
    p1, p2, p3 = _P[lump]

    def part(b: float) -> float:
        return 0.0 if math.isinf(b) else 1 / b**2 + 0.01 * p3 * math.exp(b - b**2 / 6)

    return 0.75 + p1 * part(b1) + p2 * part(b2)


def _gammas(lump: Lump, b1: float, b2: float) -> tuple[float, float, float]:
    """Return the two shape numbers of the lag, and its scale."""
    table: dict[Lump, tuple[float, float, float]] = {
        "slab": (math.inf, math.inf, 1.0),
        "cylinder": (1.0, math.inf, 1.0),
        "sphere": (1.0, 1.0, 1.0),
        "ellipse": (b1, math.inf, b1),
        "ellipsoid": (b1, b2, b1),
        "squat cylinder": (1.225 * b1, 1.225 * b2, 1.225 * b1),
        "brick": (4 * b1 / math.pi, 1.5 * b2, 4 * b1 / math.pi),
    }
    return table[lump]


def equivalent(lump: Lump, biot: float, *, b1: float = 1.0, b2: float = 1.0) -> Equivalent:
    """Return how many dimensions a lump cools in, and its lag.

    Parameters
    ----------
    lump : str
        ``"ellipsoid"``, ``"ellipse"``, ``"squat cylinder"``, ``"brick"``, ``"slab"``,
        ``"cylinder"`` or ``"sphere"``.
    biot : float
        Biot number on the shortest way from centre to surface [1].
    b1 : float
        Smallest cross-section through that way over a circle's on it; 1 or more [1].
    b2 : float
        Volume over (4/3 pi L^3 b1); 1 or more [1].

    Returns
    -------
    Equivalent
        Dimensions, lag and the ball's root.

    Raises
    ------
    InputError
        If the Biot number is not above zero or a ratio is below 1.

    Notes
    -----
    Against exact slabs, cylinders and balls, and against finite volumes of a long ellipsoid,
    within 2 % for Biot numbers from 0.1 to 100.

    References
    ----------
    Lin, Cleland, Cleland and Serrallach (1996), International Journal of Refrigeration 19, 95, in
    ASHRAE Handbook Refrigeration (2010), equations 18 to 24 of Cooling and freezing times.
    """
    if lump not in _P:
        raise InputError("lump", lump, _("Choose one of: {known}.").format(known=", ".join(_P)))
    positive("biot", biot)
    if b1 < 1 or b2 < 1:
        raise InputError("b1", b1, _("The shortest way must be the shortest: ratios 1 or more."))
    root = float(roots("sphere", biot)[0])
    little, much = _at_little_cooling(lump, b1, b2), _at_much_cooling(lump, b1, b2)
    power = biot ** (4 / 3)
    dimensions = (power + 1.85) / (power / much + 1.85 / little)
    g1, g2, scale = _gammas(lump, b1, b2)
    first = 0.0 if math.isinf(g1) else 0.305 * math.exp(0.172 * g1 - 0.115 * g1**2)
    second = 0.0 if math.isinf(g2) else 0.425 * math.exp(0.09 * g2 - 0.128 * g2**2)
    end = 1.271 + first + second
    power = biot**1.35
    lag = (power + 1 / scale) / (power / end + 1 / scale)
    return Equivalent(dimensions, lag, root)


def cooling_time_s(
    lump: Lump,
    *,
    ratio: float,
    half_m: float,
    surface_W_per_m2K: float,
    conductivity_W_per_mK: float,
    diffusivity_m2_per_s: float,
    b1: float = 1.0,
    b2: float = 1.0,
) -> float:
    """Return the time until a lump's centre has only so much of its difference left.

    Parameters
    ----------
    lump : str
        As in :func:`equivalent`.
    ratio : float
        Share left [1].
    half_m : float
        Shortest way from centre to surface [m].
    surface_W_per_m2K : float
        Surface coefficient [W/m2K].
    conductivity_W_per_mK : float
        Conductivity [W/mK].
    diffusivity_m2_per_s : float
        Conductivity over density and specific heat [m2/s].
    b1 : float
        As in :func:`equivalent` [1].
    b2 : float
        As in :func:`equivalent` [1].

    Returns
    -------
    float
        Time, never below zero [s].

    Raises
    ------
    InputError
        If a number is not above zero or a ratio is below 1.

    References
    ----------
    Lin et al. (1996), in ASHRAE Handbook Refrigeration (2010).
    """
    positive("ratio", ratio)
    positive("half_m", half_m)
    biot = positive("surface_W_per_m2K", surface_W_per_m2K) * half_m
    found = equivalent(lump, biot / positive("k", conductivity_W_per_mK), b1=b1, b2=b2)
    scale_s = 3 * half_m**2 / (positive("alpha", diffusivity_m2_per_s) * found.root**2)
    return max(0.0, scale_s / found.dimensions * math.log(found.lag / ratio))
