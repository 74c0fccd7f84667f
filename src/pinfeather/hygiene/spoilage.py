"""How long raw birds keep, and how fast they age at one temperature against another."""

from __future__ import annotations

import math

import numpy as np
import numpy.typing as npt

from pinfeather.errors import InputError, OutOfRangeError
from pinfeather.estimate import Basis, Estimate, Origin
from pinfeather.hygiene.curve import Curve, accumulate
from pinfeather.hygiene.growth_models import growth_model
from pinfeather.hygiene.rates import FloatArray, Log10
from pinfeather.hygiene.tables import table
from pinfeather.words import gettext as _


def shelf_life(
    temp_degC: float, *, start: Log10 | None = None, spoiled: Log10 | None = None
) -> Estimate:
    """Estimate how long a raw bird keeps at a steady temperature.

    Parameters
    ----------
    temp_degC : float
        Temperature [degC].
    start, spoiled : Log10 or None
        Count at the start and when it smells [log10 per gram]; None takes 4 and 7.

    Returns
    -------
    Estimate
        Time to spoil [s]. The best number and the low end come from Pseudomonas in broth, the
        high end from total counts on chicken breast.

    Raises
    ------
    OutOfRangeError
        If the temperature is outside 0 to 30 degC.
    InputError
        If the start is not below the spoiled count.

    Notes
    -----
    Quality, not safety: a bird can be unsafe before it smells. The chicken-breast line was fitted
    from 4 to 15 degC; outside that it is carried on and only widens the band.

    References
    ----------
    Neumeyer, Ross and McMeekin (1997); Lytou, Panagou and Nychas (2016); spoiled count: Yimenu
    and others (2019), Poultry Science 98:6921.
    """
    row = table("growth")["spoilage"]
    first = row["start_log10"] if start is None else start
    last = row["spoiled_log10"] if spoiled is None else spoiled
    if not first < last:
        raise InputError("start", first, _("The count at the start must be below the spoiled one."))
    fast, slow = growth_model("pseudomonas_neumeyer_1997"), growth_model("pseudomonas_lytou_2016")
    low_degC, high_degC = fast.fitted_degC
    if not low_degC <= temp_degC <= high_degC:
        raise OutOfRangeError(
            "temp_degC", temp_degC, _("Keeping times are known from 32 °F to 86 °F only.")
        )
    times_s = sorted((last - first) / float(m.rate(temp_degC).per_s) for m in (fast, slow))
    best_s = (last - first) / float(fast.rate(temp_degC).per_s)
    basis = Basis(Origin.HANDBOOK, f"{fast.citation}; {slow.citation}", fast.status)
    return Estimate(best_s, times_s[0], times_s[1], basis)


def relative_rate(temp_degC: npt.ArrayLike) -> FloatArray:
    """Say how many times faster a bird ages than on ice.

    Parameters
    ----------
    temp_degC : array_like
        Temperatures [degC].

    Returns
    -------
    ndarray
        1 at 0 degC, 4 at 10 degC; 0 at and below -10 degC.

    Notes
    -----
    For chilled poultry, roughly -2 to 15 degC. **Unverified** formula.

    References
    ----------
    Daud HB, McMeekin TA, Olley J (1978), Applied and Environmental Microbiology 36:650-654.
    """
    slope = table("growth")["spoilage"]["relative_slope_per_K"]
    root = np.maximum(1 + slope * np.asarray(temp_degC, dtype=np.float64), 0.0)
    return np.asarray(root * root, dtype=np.float64)


def time_on_ice_s(curve: Curve) -> float:
    """Turn a logged history into the time on ice that would have aged the bird as much.

    Parameters
    ----------
    curve : Curve
        Cleaned readings.

    Returns
    -------
    float
        Equivalent time at 0 degC [s].

    References
    ----------
    Daud, McMeekin and Olley (1978). Derivation: integral of :func:`relative_rate`.
    """
    return float(accumulate(curve, relative_rate)[-1])


def time_left_s(curve: Curve, *, hold_degC: float, start: Log10 | None = None) -> float:
    """Estimate the keeping time left after a logged history.

    Parameters
    ----------
    curve : Curve
        Cleaned readings so far.
    hold_degC : float
        Temperature from now on [degC].
    start : Log10 or None
        Count at the first reading [log10 per gram].

    Returns
    -------
    float
        Time left, by the quicker model; 0 where it is used up [s].

    Raises
    ------
    OutOfRangeError
        If ``hold_degC`` is outside 0 to 30 degC.

    References
    ----------
    Neumeyer, Ross and McMeekin (1997). Derivation: growth so far is taken off the allowance.
    """
    row = table("growth")["spoilage"]
    model = growth_model("pseudomonas_neumeyer_1997")
    used = float(accumulate(curve, lambda temp_degC: model.rate(temp_degC).per_s)[-1])
    now = Log10((row["start_log10"] if start is None else start) + used)
    if now >= row["spoiled_log10"] or math.isclose(now, row["spoiled_log10"]):
        return 0.0
    return shelf_life(hold_degC, start=now).low
