"""How weights spread between birds: bands, shares, size classes."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from pinfeather.errors import InputError
from pinfeather.flock.guards import heads, inside, positive, share
from pinfeather.words import gettext as _

Floats = NDArray[np.float64]

_UNIFORM_WITHIN: Final = 0.10
"""Uniformity counts birds within this share of the mean; trade convention."""
_NODES: Final = 21
_HALVINGS: Final = 60


@dataclass(frozen=True, slots=True)
class Weights:
    """Weights of the birds of one lot or many, males and females as two normals.

    Parameters
    ----------
    male_kg : ndarray
        Mean of the males, shape (n,) [kg].
    female_kg : ndarray
        Mean of the females, shape (n,) [kg].
    share_male : ndarray
        Males among the birds, shape (n,) [1].
    within_frac : ndarray
        Spread between birds of one sex as a share of their mean, shape (n,) [1].
    unsure_frac : ndarray
        How unsure the mean itself is, one standard deviation as a share, shape (n,) [1].
    """

    male_kg: Floats
    female_kg: Floats
    share_male: Floats
    within_frac: Floats
    unsure_frac: Floats

    @property
    def mean_kg(self) -> Floats:
        """Mean over both sexes."""
        found: Floats = self.share_male * self.male_kg + (1 - self.share_male) * self.female_kg
        return found

    @property
    def cv(self) -> Floats:
        """Spread of the birds of both sexes together, as a share of the mean."""
        p, w = self.share_male, self.within_frac
        gap = self.male_kg - self.female_kg
        inner = w**2 * (p * self.male_kg**2 + (1 - p) * self.female_kg**2)
        found: Floats = np.sqrt(inner + p * (1 - p) * gap**2) / self.mean_kg
        return found


@dataclass(frozen=True, slots=True)
class ClassCount:
    """How many birds fall in one size class.

    Parameters
    ----------
    low_kg, high_kg : float
        From and below [kg]; the ends may be zero and infinite.
    share : float
        Expected share of the birds [1].
    heads : float
        Expected number.
    low, high : int
        One in ten comes out below, one in ten above.
    """

    low_kg: float
    high_kg: float
    share: float
    heads: float
    low: int
    high: int


def weights_of(
    mean_kg: float,
    cv: float,
    *,
    sex_ratio: float = 1.0,
    share_male: float = 0.5,
    unsure_frac: float = 0.0,
) -> Weights:
    """Describe the weights of one lot from plain numbers.

    Parameters
    ----------
    mean_kg : float
        Mean over all birds [kg].
    cv : float
        Spread between birds of one sex as a share of their mean [1].
    sex_ratio : float
        Mean of males over mean of females [1].
    share_male : float
        Males among the birds [1].
    unsure_frac : float
        How unsure the mean is, one standard deviation as a share [1].

    Returns
    -------
    Weights
        Arrays of length one.

    Raises
    ------
    InputError
        If the mean, the spread or the ratio is not above zero, or the share is none.

    References
    ----------
    Derivation: two means with the given ratio and the given mean over both.
    """
    positive("mean_kg", mean_kg)
    positive("cv", cv)
    positive("sex_ratio", sex_ratio)
    share("share_male", share_male)
    female = mean_kg / (share_male * sex_ratio + 1 - share_male)
    row = [np.array([v]) for v in (female * sex_ratio, female, share_male, cv, unsure_frac)]
    return Weights(*row)


def share_below(weights: Weights, edge_kg: float | Floats) -> Floats:
    """Return the share of birds lighter than a weight.

    Parameters
    ----------
    weights : Weights
        Of n lots.
    edge_kg : float or ndarray
        One weight for all lots, or one for each [kg].

    Returns
    -------
    ndarray
        Shares [1].

    References
    ----------
    Derivation: mixture of two normals; the mean's own uncertainty widens both.
    """
    from scipy.special import ndtr

    sd = np.hypot(weights.within_frac, weights.unsure_frac)
    edge = np.asarray(edge_kg, dtype=float)
    male = ndtr((edge / weights.male_kg - 1) / sd)
    female = ndtr((edge / weights.female_kg - 1) / sd)
    found: Floats = weights.share_male * male + (1 - weights.share_male) * female
    return found


def share_between(weights: Weights, low_kg: float, high_kg: float) -> Floats:
    """Return the share of birds between two weights.

    Parameters
    ----------
    weights : Weights
        Of n lots.
    low_kg : float
        From [kg].
    high_kg : float
        Below; may be infinite [kg].

    Returns
    -------
    ndarray
        Shares, shape (n,) [1].

    References
    ----------
    Derivation: difference of :func:`share_below`.
    """
    found: Floats = share_below(weights, high_kg) - share_below(weights, low_kg)
    return np.maximum(found, 0.0)


def quantile_kg(weights: Weights, chance: float) -> Floats:
    """Return the weight that a given share of birds stays below.

    Parameters
    ----------
    weights : Weights
        Of n lots.
    chance : float
        That share [1].

    Returns
    -------
    ndarray
        Weights, shape (n,) [kg].

    Raises
    ------
    InputError
        If the share is not between zero and one.

    References
    ----------
    Derivation: :func:`share_below` inverted by halving between the quantiles of the two sexes.
    """
    from scipy.special import ndtri

    inside("chance", chance)
    sd = np.hypot(weights.within_frac, weights.unsure_frac)
    male = weights.male_kg * (1 + ndtri(chance) * sd)
    female = weights.female_kg * (1 + ndtri(chance) * sd)
    low, high = np.minimum(male, female), np.maximum(male, female)
    for _step in range(_HALVINGS):
        middle = (low + high) / 2
        under = share_below(weights, middle) < chance
        low, high = np.where(under, middle, low), np.where(under, high, middle)
    found: Floats = np.maximum((low + high) / 2, 0.0)
    return found


def band_kg(weights: Weights, holds: float = 0.80) -> tuple[Floats, Floats]:
    """Return the band that holds a share of the birds, as many below it as above.

    Parameters
    ----------
    weights : Weights
        Of n lots.
    holds : float
        Share of birds inside [1].

    Returns
    -------
    low_kg : ndarray
        Lower ends, shape (n,) [kg].
    high_kg : ndarray
        Upper ends, shape (n,) [kg].

    Raises
    ------
    InputError
        If the share is not between zero and one.

    References
    ----------
    Derivation: two quantiles.
    """
    inside("holds", holds)
    return quantile_kg(weights, (1 - holds) / 2), quantile_kg(weights, (1 + holds) / 2)


def size_classes(weights: Weights, edges_kg: Sequence[float], *, birds: int) -> list[ClassCount]:
    """Say how many birds of one lot fall in each size class.

    Parameters
    ----------
    weights : Weights
        Of one lot.
    edges_kg : sequence of float
        Weights between classes, rising; below the first and above the last are classes too [kg].
    birds : int
        How many birds there are.

    Returns
    -------
    list of ClassCount
        One more than there are edges.

    Raises
    ------
    InputError
        If the edges do not rise, or the weights are of several lots.

    Notes
    -----
    The band joins luck of the draw with not knowing the mean: all birds turn out lighter or
    heavier together.

    References
    ----------
    Golub and Welsch 1969, Mathematics of Computation 23:221-230 (the mean's uncertainty is
    integrated over at 21 points); binomial counts.
    """
    from scipy.stats import binom

    heads("birds", birds)
    edges = [0.0, *edges_kg, math.inf]
    if any(not b > a for a, b in itertools.pairwise(edges)):
        raise InputError("edges_kg", tuple(edges_kg), _("Class edges must rise, above zero."))
    if weights.mean_kg.shape != (1,):
        raise InputError("weights", weights.mean_kg.shape, _("Give the weights of one lot."))
    nodes, masses = np.polynomial.hermite_e.hermegauss(_NODES)
    masses = masses / masses.sum()
    shifted = 1 + nodes * float(weights.unsure_frac[0])
    known = Weights(
        weights.male_kg * np.maximum(shifted, 0.05),
        weights.female_kg * np.maximum(shifted, 0.05),
        np.broadcast_to(weights.share_male, (_NODES,)),
        np.broadcast_to(weights.within_frac, (_NODES,)),
        np.zeros(_NODES),
    )
    count = np.arange(birds + 1)
    found = []
    for low, high in itertools.pairwise(edges):
        # nobody weighs below nothing: the first class takes the whole lower tail
        each = share_between(known, -math.inf if low == 0 else low, high)
        reached = binom.cdf(count[:, None], birds, np.clip(each, 0, 1)) @ masses
        mean = float(each @ masses)
        lowest, highest = (int(np.searchsorted(reached, q)) for q in (0.1, 0.9))
        found.append(
            ClassCount(low, high, mean, mean * birds, min(lowest, birds), min(highest, birds))
        )
    return found


def uniformity(cv: float) -> float:
    """Return the share of birds within 10 % of the mean.

    Parameters
    ----------
    cv : float
        Spread between birds as a share of the mean [1].

    Returns
    -------
    float
        Share [1].

    Raises
    ------
    InputError
        If the spread is not above zero.

    References
    ----------
    Derivation: normal weights, 2 Φ(0.10 / CV) - 1.
    """
    return math.erf(_UNIFORM_WITHIN / positive("cv", cv) / math.sqrt(2))


def measured_uniformity(weights_kg: Sequence[float]) -> float:
    """Return the share of weighed birds within 10 % of their mean.

    Parameters
    ----------
    weights_kg : sequence of float
        Single birds, shape (n,) [kg].

    Returns
    -------
    float
        Share [1].

    Raises
    ------
    InputError
        If there are none.

    References
    ----------
    Trade convention: birds within ten percent of the mean.
    """
    if not weights_kg:
        raise InputError("weights_kg", (), _("Weigh at least one bird."))
    each = np.asarray(weights_kg, dtype=float)
    return float(np.mean(np.abs(each / each.mean() - 1) <= _UNIFORM_WITHIN))


def mixed_cv(within: float, sex_ratio: float, share_male: float = 0.5) -> float:
    """Return the spread of males and females together.

    Parameters
    ----------
    within : float
        Spread between birds of one sex as a share of their mean [1].
    sex_ratio : float
        Mean of males over mean of females [1].
    share_male : float
        Males among the birds [1].

    Returns
    -------
    float
        Spread as a share of the mean of all [1].

    References
    ----------
    Derivation: variance within plus variance between the sexes.
    """
    return float(weights_of(1.0, within, sex_ratio=sex_ratio, share_male=share_male).cv[0])
