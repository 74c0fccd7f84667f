"""Growth in three units that must never be mixed: natural logs, log10, and doublings.

One tenfold is 2.303 natural logs and 3.32 doublings. A published rate is in one of the three;
here each has its own type, and only the methods and functions below go from one to another.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final, NewType

import numpy as np
import numpy.typing as npt

from pinfeather.units import SECONDS_PER_HOUR

FloatArray = npt.NDArray[np.float64]

LN_10: Final = math.log(10)
LOG10_2: Final = math.log10(2)

Ln = NewType("Ln", float)
"""An amount of growth in natural logs."""
Log10 = NewType("Log10", float)
"""An amount of growth in tenfolds."""
Generations = NewType("Generations", float)
"""An amount of growth in doublings."""


@dataclass(frozen=True, slots=True, eq=False)
class LnRate:
    """Growth rate in natural logs.

    Parameters
    ----------
    per_s : ndarray
        Rate, any shape [ln units per second].
    """

    per_s: FloatArray

    @property
    def per_h(self) -> FloatArray:
        """The rate per hour."""
        return self.per_s * SECONDS_PER_HOUR

    def as_log10(self) -> Log10Rate:
        """Count in tenfolds instead."""
        return Log10Rate(self.per_s / LN_10)


@dataclass(frozen=True, slots=True, eq=False)
class Log10Rate:
    """Growth rate in tenfolds.

    Parameters
    ----------
    per_s : ndarray
        Rate, any shape [log10 units per second].
    """

    per_s: FloatArray

    @property
    def per_h(self) -> FloatArray:
        """The rate per hour."""
        return self.per_s * SECONDS_PER_HOUR

    def as_ln(self) -> LnRate:
        """Count in natural logs instead."""
        return LnRate(self.per_s * LN_10)

    def as_generations(self) -> GenerationRate:
        """Count in doublings instead."""
        return GenerationRate(self.per_s / LOG10_2)


@dataclass(frozen=True, slots=True, eq=False)
class GenerationRate:
    """Growth rate in doublings.

    Parameters
    ----------
    per_s : ndarray
        Rate, any shape [doublings per second].
    """

    per_s: FloatArray

    @property
    def per_h(self) -> FloatArray:
        """The rate per hour."""
        return self.per_s * SECONDS_PER_HOUR

    def as_log10(self) -> Log10Rate:
        """Count in tenfolds instead."""
        return Log10Rate(self.per_s * LOG10_2)


def ln_to_log10(amount: Ln) -> Log10:
    """Count an amount of growth in tenfolds.

    Parameters
    ----------
    amount : Ln
        Growth [ln units].

    Returns
    -------
    Log10
        The same growth [log10 units].

    References
    ----------
    Derivation: log10 x = ln x / ln 10.
    """
    return Log10(amount / LN_10)


def log10_to_ln(amount: Log10) -> Ln:
    """Count an amount of growth in natural logs.

    Parameters
    ----------
    amount : Log10
        Growth [log10 units].

    Returns
    -------
    Ln
        The same growth [ln units].

    References
    ----------
    Derivation: ln x = log10 x · ln 10.
    """
    return Ln(amount * LN_10)


def log10_to_generations(amount: Log10) -> Generations:
    """Count an amount of growth in doublings.

    Parameters
    ----------
    amount : Log10
        Growth [log10 units].

    Returns
    -------
    Generations
        The same growth [doublings].

    References
    ----------
    Derivation: log2 x = log10 x / log10 2.
    """
    return Generations(amount / LOG10_2)


def generations_to_log10(amount: Generations) -> Log10:
    """Count an amount of growth in tenfolds.

    Parameters
    ----------
    amount : Generations
        Growth [doublings].

    Returns
    -------
    Log10
        The same growth [log10 units].

    References
    ----------
    Derivation: log10 x = log2 x · log10 2.

    Examples
    --------
    >>> round(generations_to_log10(Generations(5)), 5)
    1.50515
    """
    return Log10(amount * LOG10_2)
