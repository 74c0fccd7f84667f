"""Heat flowing out of a slab, a cylinder or a ball whose surface is cooled.

A body at one temperature is put into a bath of another. The temperature left over, as a share
of the first difference, is a sum of fading terms; each term fades at the rate of one root of an
equation in the Biot number ``Bi = surface coefficient x half thickness / conductivity``. Time is
counted as the Fourier number ``Fo = diffusivity x time / half thickness squared``.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray
from scipy.special import j0, j1, jn_zeros

from pinfeather.errors import InputError
from pinfeather.heat.guards import positive
from pinfeather.words import gettext as _

Shape = Literal["slab", "cylinder", "sphere"]

TERMS: Final = 40
"""Terms kept in a sum: enough for 1e-12 where Fo > 0.003, below which the centre has not moved."""
_EARLY_FO: Final = 0.003
_LATE_FO: Final = 2.0  # the second term is below 1e-8 of the first from here on
_SETTLED_FO: Final = 0.3
_SETTLED_TERMS: Final = 8  # the ninth is below exp(-60) from a third of that time on
_SMALL: Final = 0.2  # below this, differences of sines lose digits and a power series is used
_ROOT_TOLERANCE: Final = 1e-15


def _sin_minus_x_cos(x: float) -> float:
    """``sin x - x cos x``, without loss of digits near zero."""
    if abs(x) > _SMALL:
        return math.sin(x) - x * math.cos(x)
    y = x * x
    return x * y * (1 / 3 - y * (1 / 30 - y * (1 / 840 - y * (1 / 45360 - y / 3991680))))


def _x_minus_sin(x: float) -> float:
    """``x - sin x``, without loss of digits near zero."""
    if abs(x) > _SMALL:
        return x - math.sin(x)
    y = x * x
    return x * y * (1 / 6 - y * (1 / 120 - y * (1 / 5040 - y * (1 / 362880 - y / 39916800))))


def _balance(shape: Shape, mu: float, biot: float) -> float:
    """Equation whose zero is a root; negative at the lower end of the first bracket."""
    if shape == "slab":
        return mu * math.sin(mu) - biot * math.cos(mu)
    if shape == "cylinder":
        return float(mu * j1(mu) - biot * j0(mu))
    if mu == 0.0:
        return -biot
    return (_sin_minus_x_cos(mu) - biot * math.sin(mu)) / mu


def _brackets(shape: Shape, count: int) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Lower ends (roots for Bi = 0) and upper ends (roots for Bi = infinity)."""
    from scipy.optimize import brentq  # slow to load

    n = np.arange(count, dtype=np.float64)
    if shape == "slab":
        return n * math.pi, (n + 0.5) * math.pi
    if shape == "cylinder":
        lower = np.concatenate(([0.0], jn_zeros(1, count - 1))) if count > 1 else np.zeros(1)
        return lower, np.asarray(jn_zeros(0, count), dtype=np.float64)
    # the ball's roots without resistance inside are those of tan x = x
    lower = np.zeros(count)
    for i in range(1, count):
        lower[i] = brentq(lambda x: math.sin(x) - x * math.cos(x), i * math.pi, (i + 0.5) * math.pi)
    return lower, (n + 1.0) * math.pi


def roots(shape: Shape, biot: float, *, count: int = 1) -> NDArray[np.float64]:
    """Return the rates at which the temperature differences of a body fade, slowest first.

    Parameters
    ----------
    shape : str
        ``"slab"``, ``"cylinder"`` or ``"sphere"``.
    biot : float
        Biot number on the half thickness or radius; above zero, infinity allowed [1].
    count : int
        How many.

    Returns
    -------
    ndarray, shape (count,)
        Roots mu of ``mu tan mu = Bi``, ``mu J1(mu) = Bi J0(mu)`` or ``1 - mu cot mu = Bi`` [1].

    Raises
    ------
    InputError
        If the Biot number is not above zero, or the shape is not one of the three.

    Notes
    -----
    Each root lies between the roots for no and for endless surface cooling, so it is bracketed
    for any Biot number.

    References
    ----------
    Carslaw and Jaeger, Conduction of Heat in Solids (2nd ed., 1959), sections 3.11, 7.7 and 9.4.

    Examples
    --------
    >>> round(float(roots("slab", 1.0)[0]), 4)
    0.8603
    """
    from scipy.optimize import brentq  # slow to load

    if shape not in {"slab", "cylinder", "sphere"}:
        raise InputError("shape", shape, _("A body here is a slab, a cylinder or a sphere."))
    if not biot > 0:
        raise InputError("biot", biot, _("The surface must be cooled at least a little."))
    if count < 1:
        raise InputError("count", count, _("Ask for at least one root."))
    lower, upper = _brackets(shape, count)
    if math.isinf(biot):
        return upper
    found = np.empty(count)
    for i in range(count):
        low, high = float(lower[i]), float(upper[i])
        at_low, at_high = _balance(shape, low, biot), _balance(shape, high, biot)
        if at_low * at_high >= 0:
            # so much cooling, or so little, that the root is its end to the last digit
            found[i] = low if abs(at_low) < abs(at_high) and low > 0 else high
            continue
        found[i] = brentq(
            lambda mu: _balance(shape, mu, biot),
            low,
            high,
            xtol=_ROOT_TOLERANCE,
            rtol=8.9e-16,
            maxiter=500,
        )
    return found


def lag_factors(shape: Shape, mu: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return how much of each fading term there is in the centre.

    Parameters
    ----------
    shape : str
        ``"slab"``, ``"cylinder"`` or ``"sphere"``.
    mu : ndarray, shape (n,)
        Roots from :func:`roots` [1].

    Returns
    -------
    ndarray, shape (n,)
        The first is the lag factor j of cooling tables [1].

    References
    ----------
    Carslaw and Jaeger (1959), sections 3.11, 7.7 and 9.4.
    """
    if shape == "slab":
        return np.asarray(2 * np.sin(mu) / (mu + np.sin(mu) * np.cos(mu)), dtype=np.float64)
    if shape == "cylinder":
        return np.asarray(2 * j1(mu) / (mu * (j0(mu) ** 2 + j1(mu) ** 2)), dtype=np.float64)
    return np.array([4 * _sin_minus_x_cos(x) / _x_minus_sin(2 * x) for x in mu.tolist()])


def mean_factors(shape: Shape, mu: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return, for each fading term, its average over the body as a share of its centre value.

    Parameters
    ----------
    shape : str
        ``"slab"``, ``"cylinder"`` or ``"sphere"``.
    mu : ndarray, shape (n,)
        Roots from :func:`roots` [1].

    Returns
    -------
    ndarray, shape (n,)
        Averages by volume [1].

    References
    ----------
    Derivation: integrals of cos(mu x), J0(mu r) r and sin(mu r) r over the body.
    """
    if shape == "slab":
        return np.asarray(np.sin(mu) / mu, dtype=np.float64)
    if shape == "cylinder":
        return np.asarray(2 * j1(mu) / mu, dtype=np.float64)
    return np.array([3 * _sin_minus_x_cos(x) / x**3 for x in mu.tolist()])


def ratio_at(
    shape: Shape,
    fourier: NDArray[np.float64],
    *,
    biot: float,
    position_frac: float,
    terms: int = TERMS,
) -> NDArray[np.float64]:
    """Return the temperature difference left at one place in the body.

    Parameters
    ----------
    shape : str
        ``"slab"``, ``"cylinder"`` or ``"sphere"``.
    fourier : ndarray, shape (n,)
        Times as Fourier numbers, zero or more [1].
    biot : float
        Biot number on the half thickness or radius [1].
    position_frac : float
        0 in the centre, 1 at the surface [1].
    terms : int
        Terms kept.

    Returns
    -------
    ndarray, shape (n,)
        Share of the first difference between body and bath, 0 to 1 [1].

    Raises
    ------
    InputError
        If the Biot number is not above zero.

    Notes
    -----
    Near the surface the sum needs ``Fo > 0.003``; earlier values are good to about 1 %.

    References
    ----------
    Carslaw and Jaeger (1959), sections 3.11, 7.7 and 9.4.
    """
    mu = roots(shape, biot, count=terms)
    inside = mu * position_frac
    if shape == "slab":
        there = np.cos(inside)
    elif shape == "cylinder":
        there = j0(inside)
    else:
        there = np.sinc(inside / math.pi)
    fading = np.exp(-np.outer(np.asarray(fourier, dtype=np.float64), mu**2))
    return np.clip(fading @ (lag_factors(shape, mu) * there), 0.0, 1.0)


def centre_ratio(
    shape: Shape, fourier: NDArray[np.float64], *, biot: float, terms: int = TERMS
) -> NDArray[np.float64]:
    """Return the temperature difference left in the centre.

    Parameters
    ----------
    shape : str
        ``"slab"``, ``"cylinder"`` or ``"sphere"``.
    fourier : ndarray, shape (n,)
        Times as Fourier numbers, zero or more [1].
    biot : float
        Biot number on the half thickness or radius [1].
    terms : int
        Terms kept.

    Returns
    -------
    ndarray, shape (n,)
        Share of the first difference between body and bath, 0 to 1 [1].

    Raises
    ------
    InputError
        If the Biot number is not above zero.

    References
    ----------
    Carslaw and Jaeger (1959), sections 3.11, 7.7 and 9.4.
    """
    fourier = np.asarray(fourier, dtype=np.float64)
    left = ratio_at(shape, fourier, biot=biot, position_frac=0.0, terms=terms)
    return np.where(fourier < _EARLY_FO, 1.0, left)


def mean_ratio(
    shape: Shape, fourier: NDArray[np.float64], *, biot: float, terms: int = TERMS
) -> NDArray[np.float64]:
    """Return the temperature difference left on average over the body.

    Parameters
    ----------
    shape : str
        ``"slab"``, ``"cylinder"`` or ``"sphere"``.
    fourier : ndarray, shape (n,)
        Times as Fourier numbers, zero or more [1].
    biot : float
        Biot number on the half thickness or radius [1].
    terms : int
        Terms kept.

    Returns
    -------
    ndarray, shape (n,)
        Share of the heat still to be given off, 0 to 1 [1].

    Raises
    ------
    InputError
        If the Biot number is not above zero.

    References
    ----------
    Carslaw and Jaeger (1959), sections 3.11, 7.7 and 9.4.
    """
    mu = roots(shape, biot, count=terms)
    weights = lag_factors(shape, mu) * mean_factors(shape, mu)
    fading = np.exp(-np.outer(np.asarray(fourier, dtype=np.float64), mu**2))
    return np.clip(fading @ weights, 0.0, 1.0)


def time_to_ratio(shape: Shape, ratio: float, *, biot: float) -> float:
    """Return the time until the centre has only so much of its difference left.

    Parameters
    ----------
    shape : str
        ``"slab"``, ``"cylinder"`` or ``"sphere"``.
    ratio : float
        Share left, above 0; 1 or more is reached at once [1].
    biot : float
        Biot number on the half thickness or radius [1].

    Returns
    -------
    float
        Time as a Fourier number [1].

    Raises
    ------
    InputError
        If the ratio or the Biot number is not above zero.

    References
    ----------
    Derivation: the series of :func:`centre_ratio`, solved by a bracketed root search; its first
    term alone where the rest is below 1e-8.
    """
    from scipy.optimize import brentq  # slow to load

    positive("ratio", ratio)
    if ratio >= 1:
        return 0.0
    first = roots(shape, biot)
    late = math.log(float(lag_factors(shape, first)[0]) / ratio) / float(first[0]) ** 2
    if late >= _LATE_FO:
        return late
    settled = late > _SETTLED_FO
    mu = roots(shape, biot, count=_SETTLED_TERMS if settled else TERMS)
    lag = lag_factors(shape, mu)

    def above(fourier: float) -> float:
        return float(lag @ np.exp(-(mu**2) * fourier)) - ratio

    if above(_EARLY_FO) <= 0:
        return _EARLY_FO
    return float(brentq(above, _SETTLED_FO / 3 if settled else _EARLY_FO, 2 * _LATE_FO, xtol=1e-13))


@dataclass(frozen=True, slots=True)
class Fade:
    """How a body's centre cools once it has settled: a straight line on log paper.

    Parameters
    ----------
    f_s : float
        Time for the difference to fall to a tenth [s].
    j : float
        Where the line starts, as a multiple of the first difference [1].
    """

    f_s: float
    j: float

    def time_s(self, ratio: float) -> float:
        """Return the time until only so much of the difference is left.

        Parameters
        ----------
        ratio : float
            Share left, above 0 [1].

        Returns
        -------
        float
            Never below zero [s].

        References
        ----------
        Derivation: t = f log10(j / ratio).
        """
        return max(0.0, self.f_s * math.log10(self.j / ratio))


def fade(
    shape: Shape,
    *,
    half_thickness_m: float,
    surface_W_per_m2K: float,
    conductivity_W_per_mK: float,
    diffusivity_m2_per_s: float,
) -> Fade:
    """Return the cooling line (f and j) of a body's centre.

    Parameters
    ----------
    shape : str
        ``"slab"``, ``"cylinder"`` or ``"sphere"``.
    half_thickness_m : float
        Half thickness or radius [m].
    surface_W_per_m2K : float
        Surface coefficient [W/m2K].
    conductivity_W_per_mK : float
        Conductivity of the body [W/mK].
    diffusivity_m2_per_s : float
        Conductivity over density and specific heat [m2/s].

    Returns
    -------
    Fade
        f and j.

    Raises
    ------
    InputError
        If a number is not above zero.

    Notes
    -----
    Good once ``Fo > 0.2``, when less than about 85 % of the first difference is left.

    References
    ----------
    Derivation: first term of the series, f = ln(10) L^2 / (alpha mu^2).
    """
    positive("half_thickness_m", half_thickness_m)
    positive("conductivity_W_per_mK", conductivity_W_per_mK)
    positive("diffusivity_m2_per_s", diffusivity_m2_per_s)
    biot = positive("surface_W_per_m2K", surface_W_per_m2K) * half_thickness_m
    mu = roots(shape, biot / conductivity_W_per_mK)
    f_s = math.log(10) * half_thickness_m**2 / (diffusivity_m2_per_s * float(mu[0]) ** 2)
    return Fade(f_s=f_s, j=float(lag_factors(shape, mu)[0]))


def together(fades: list[Fade] | tuple[Fade, ...]) -> Fade:
    """Return the cooling line of a body cut out by several shapes, such as a brick or a short rod.

    Parameters
    ----------
    fades : sequence of Fade
        One for each slab or cylinder whose overlap is the body.

    Returns
    -------
    Fade
        The overlap's f and j.

    References
    ----------
    Newman (1936), Industrial and Engineering Chemistry 28, 545: the solutions multiply.
    """
    return Fade(f_s=1 / sum(1 / f.f_s for f in fades), j=math.prod(f.j for f in fades))
