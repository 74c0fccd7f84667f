"""Times drawn at random, the same for the same bird, station and phase whatever else changes."""

from __future__ import annotations

import math
import zlib
from collections.abc import Sequence
from typing import Final

import numpy as np
from numpy.typing import NDArray

from pinfeather.errors import InputError
from pinfeather.line.stations import Station
from pinfeather.words import gettext as _

Floats = NDArray[np.float64]

Z90: Final = 1.2815515655446004
"""90th percentile of the standard normal distribution."""
_MEAN: Final = 0xFFFFFFFF  # the "bird" whose draws move a phase's mean from day to day


def _normals(seed: int, name: str, *, bird: int, draws: int) -> Floats:
    """Return standard normal numbers from the substream of a phase and bird."""
    stream = (zlib.crc32(name.encode()) << 32) | bird
    key = np.array([seed, stream], dtype=np.uint64)
    return np.random.Generator(np.random.Philox(key=key)).standard_normal(draws)


def sample_work(
    stations: Sequence[Station],
    *,
    birds: int,
    draws: int,
    seed: int,
    sure: bool = False,
) -> Floats:
    """Draw the times of whole days.

    Parameters
    ----------
    stations : sequence of Station
        The line.
    birds : int
        Birds a day.
    draws : int
        Days.
    seed : int
        Same seed, same times; 0 or more.
    sure : bool
        True takes each phase's planned time as certain; False draws it anew each day from its
        band, low and high as the 10th and 90th percentile.

    Returns
    -------
    ndarray
        Shape (draws, birds, phases) [s].

    Raises
    ------
    InputError
        If a count or the seed is out of range.

    Notes
    -----
    Single times are lognormal about the day's mean with the phase's ``cv``. Each station,
    phase and bird has its own stream (a counter-based generator keyed by them), so another
    cone, another person or another bird shifts nobody's draws, and more days only add to them.

    References
    ----------
    Law, Simulation Modeling and Analysis, on common random numbers and skewed task times.
    Salmon, Moraes, Dror and Shaw 2011 (SC11), for the generator (Philox).
    """
    if birds < 1 or draws < 1 or not 0 <= seed < 1 << 63:
        raise InputError("draws", (birds, draws, seed), _("Counts are one or more, seeds zero."))
    columns = []
    for station in stations:
        for phase in station.phases:
            name = f"{station.code}/{phase.name}"
            time = phase.time_s
            mean = np.full(draws, time.value)
            if not sure and time.low < time.high:
                z = _normals(seed, name, bird=_MEAN, draws=draws) / Z90
                up = _stretch(time.value, time.high)
                down = _stretch(time.value, time.low)
                mean = np.where(z > 0, time.value * up ** np.abs(z), time.value * down ** np.abs(z))
            if phase.cv > 0:
                sigma = math.sqrt(math.log1p(phase.cv**2))
                z = np.stack([_normals(seed, name, bird=b, draws=draws) for b in range(birds)], 1)
                columns.append(mean[:, None] * np.exp(sigma * z - sigma**2 / 2))
            else:
                columns.append(np.repeat(mean[:, None], birds, axis=1))
    return np.stack(columns, axis=2)


def _stretch(value: float, edge: float) -> float:
    """Return the factor from a value to an edge of its band, kept between 1/20 and 20."""
    if value <= 0:
        return 1.0
    return min(max(edge / value, 0.05), 20.0)
