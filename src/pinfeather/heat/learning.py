"""The farm's own birds and tank: thickness and surface coefficient from its probe readings.

The handbook's numbers are the starting belief. Each bird probed more than once pulls them towards
what this farm sees, the more readings the harder; the band narrows accordingly.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from pinfeather.errors import InputError
from pinfeather.estimate import Basis, Estimate, Origin
from pinfeather.heat.breast import (
    LIVE_BIRD_DEGC,
    MEAT_M2_PER_S,
    MEAT_W_PER_M_K,
    Bath,
    Build,
    breast_thickness,
    surface_coefficient,
)
from pinfeather.heat.conduction import centre_ratio
from pinfeather.heat.guards import finite, positive
from pinfeather.words import gettext as _

_NORMAL_90: Final = 1.2815515655446004  # ninetieth percentile of the normal distribution
_BIRD_TO_BIRD: Final = 0.08
"""Scatter of breast thickness between birds of one weight (log). Reproduces 43 +/- 8 min in the
published trial; independent computation."""
_READING_K: Final = 0.7
"""Scatter of a probe reading: thermometer and how near the middle its tip is [K]. Assumed."""
_BIRD_SHIFTS_PRIOR: Final = _BIRD_TO_BIRD


@dataclass(frozen=True, slots=True)
class Probed:
    """One bird with its readings.

    Parameters
    ----------
    mass_kg : float
        Dressed weight [kg].
    bath_degC : float
        Water while it was in [degC].
    times_s : ndarray, shape (n,)
        Times since it went in [s].
    degC : ndarray, shape (n,)
        Readings in the warmest place [degC].
    start_degC : float
        Temperature going in [degC].
    """

    mass_kg: float
    bath_degC: float
    times_s: NDArray[np.float64]
    degC: NDArray[np.float64]
    start_degC: float = LIVE_BIRD_DEGC


@dataclass(frozen=True, slots=True)
class Learned:
    """The farm's own numbers.

    Parameters
    ----------
    thickness_of_1_kg_m : Estimate
        Breast thickness of a 1 kg bird, for a bird not yet seen [m].
    surface_W_per_m2K : Estimate
        Surface coefficient of this tank [W/m2K].
    birds : int
        Birds learned from.
    readings : int
        Readings learned from.
    narrower_frac : float
        How much narrower the thickness band is than the handbook's, as a share of it [1].
    scatter_K : float
        How far readings lie from what was learned, root mean square [K].
    """

    thickness_of_1_kg_m: Estimate
    surface_W_per_m2K: Estimate
    birds: int
    readings: int
    narrower_frac: float
    scatter_K: float

    def thickness_m(self, mass_kg: float) -> Estimate:
        """Return the breast thickness to expect of a bird of this farm.

        Parameters
        ----------
        mass_kg : float
            Dressed weight [kg].

        Returns
        -------
        Estimate
            Thickness, to be given to :func:`pinfeather.heat.carcass.chill_time` [m].

        Raises
        ------
        InputError
            If the weight is not above zero.

        References
        ----------
        Derivation: cube root of the weight.
        """
        scale = positive("mass_kg", mass_kg) ** (1 / 3)
        one = self.thickness_of_1_kg_m
        return Estimate(one.value * scale, one.low * scale, one.high * scale, one.basis)


def learn(
    birds: list[Probed] | tuple[Probed, ...],
    *,
    build: Build,
    bath: Bath,
    reading_K: float = _READING_K,
) -> Learned:
    """Fit the farm's own thickness and surface coefficient to its probe readings.

    Parameters
    ----------
    birds : sequence of Probed
        Birds of one kind in one tank.
    build : str
        ``"lean"`` or ``"broad"``; the handbook's belief to start from.
    bath : str
        ``"still"`` or ``"stirred"`` slush, or ``"air"``.
    reading_K : float
        Scatter of a probe reading [K].

    Returns
    -------
    Learned
        The farm's own numbers with their bands; without birds, the handbook's.

    Raises
    ------
    InputError
        If a number cannot be meant.

    Notes
    -----
    Thickness and surface coefficient trade against each other in what a probe can see; the band of
    each says how well it is known. The thickness band is for a bird not yet seen: it never gets
    narrower than birds of one weight differ.

    References
    ----------
    Gelman et al., Bayesian Data Analysis (3rd ed., 2013), section 4.1: normal approximation at the
    mode; nonlinear least squares with log-normal priors, one shift per bird.
    """
    from scipy.optimize import least_squares  # slow to load

    positive("reading_K", reading_K)
    for k, bird in enumerate(birds):
        _check(bird, f"birds[{k}]")
    thickness = breast_thickness(1.0, build=build)
    surface = surface_coefficient(bath)
    middle = np.array([math.log(thickness.value), math.log(surface.value)])
    spread = np.array([_log_spread(thickness), _log_spread(surface)])

    def residuals(x: NDArray[np.float64]) -> NDArray[np.float64]:
        parts = [(x[:2] - middle) / spread, x[2:] / _BIRD_SHIFTS_PRIOR]
        for bird, shift in zip(birds, x[2:].tolist(), strict=True):
            parts.append(
                (_expected(bird, float(x[0]) + shift, float(x[1])) - bird.degC) / reading_K
            )
        return np.concatenate(parts)

    fit = least_squares(residuals, np.concatenate((middle, np.zeros(len(birds)))), x_scale="jac")
    slopes = np.asarray(fit.jac, dtype=np.float64)
    covariance = np.linalg.inv(slopes.T @ slopes)
    # the prior's spread already holds bird-to-bird scatter; without birds it must come back whole
    seen = math.sqrt(float(covariance[0, 0]))
    new_bird = min(math.hypot(seen, _BIRD_TO_BIRD), float(spread[0]))
    readings = sum(len(bird.degC) for bird in birds)
    misses = fit.fun[2 + len(birds) :] * reading_K
    if birds:
        basis = Basis(
            Origin.OWN,
            _("Your own probe readings: {readings} in {birds} birds").format(
                readings=readings, birds=len(birds)
            ),
            "measured",
        )
    else:
        basis = thickness.basis
    return Learned(
        _estimate(float(fit.x[0]), new_bird if birds else float(spread[0]), basis),
        _estimate(
            float(fit.x[1]),
            math.sqrt(float(covariance[1, 1])),
            basis if birds else surface.basis,
        ),
        len(birds),
        readings,
        1.0 - new_bird / float(spread[0]) if birds else 0.0,
        float(np.sqrt(np.mean(misses**2))) if readings else 0.0,
    )


def _expected(bird: Probed, log_thickness: float, log_surface: float) -> NDArray[np.float64]:
    """Return the readings expected of a bird."""
    half = math.exp(log_thickness) * bird.mass_kg ** (1 / 3) / 2
    left = centre_ratio(
        "slab",
        MEAT_M2_PER_S * bird.times_s / half**2,
        biot=math.exp(log_surface) * half / MEAT_W_PER_M_K,
    )
    return bird.bath_degC + (bird.start_degC - bird.bath_degC) * left


def _log_spread(estimate: Estimate) -> float:
    """Return the standard deviation of the logarithm that a band of eight in ten stands for."""
    return math.log(estimate.high / estimate.low) / (2 * _NORMAL_90)


def _estimate(log_value: float, spread: float, basis: Basis) -> Estimate:
    """Return a log-normal estimate with its band of eight in ten."""
    value, factor = math.exp(log_value), math.exp(_NORMAL_90 * spread)
    return Estimate(value, value / factor, value * factor, basis)


def _check(bird: Probed, where: str) -> None:
    """Refuse what cannot be meant."""
    positive(f"{where}.mass_kg", bird.mass_kg)
    finite(f"{where}.bath_degC", bird.bath_degC)
    if not bird.start_degC > bird.bath_degC:
        raise InputError(
            f"{where}.start_degC", bird.start_degC, _("It went in colder than the water.")
        )
    if np.shape(bird.times_s) != np.shape(bird.degC) or not np.all(np.asarray(bird.times_s) >= 0):
        raise InputError(f"{where}.times_s", None, _("There must be one time per reading."))
    if not np.all(np.isfinite(bird.degC)):
        raise InputError(f"{where}.degC", None, _("There is a gap among these readings."))
