"""What hot days take off growth and feed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from pinfeather.errors import InputError
from pinfeather.finding import Finding, Severity
from pinfeather.flock.curves import Curve, Shape, shape_kg
from pinfeather.flock.guards import not_negative
from pinfeather.words import gettext as _

Floats = NDArray[np.float64]

COMFORT_DEGC: Final = 20.0
GAIN_PER_K: Final = 0.023
"""Gain lost for each degree above comfort; one trial, 20 against 27.8 degC at 21 to 35 days."""
FEED_PER_K: Final = 0.016
"""Feed left for each degree above comfort; same trial."""
LAST_DEGC: Final = 28.0
"""The trial says nothing above about this."""
FROM_D: Final = 21
"""Younger birds want it warm; same trial."""
_SOURCE: Final = "Broilers at 20 and 27.8 degC, 21 to 35 days of age: gain 959 and 787 g"


@dataclass(frozen=True, slots=True)
class Hot:
    """A growth curve after hot days.

    Parameters
    ----------
    curve : Curve
        Usable wherever the other is.
    lost_kg : float
        Weight lost at the end of the hot days, mean of the sexes [kg].
    findings : tuple of Finding
        Where it was hotter than the source knows.
    """

    curve: Curve
    lost_kg: float
    findings: tuple[Finding, ...]


def gain_kept(air_degC: float | Floats) -> Floats:
    """Return the share of a day's gain that a bird still makes in the heat.

    Parameters
    ----------
    air_degC : float or ndarray
        Mean air temperature of the day where the birds are [degC].

    Returns
    -------
    ndarray
        1 up to 20 degC; held from 28 degC on [1].

    Notes
    -----
    For chickens older than three weeks. Above 28 degC the loss is greater than this.

    References
    ----------
    Broiler trial at 20 and 27.8 degC, 21 to 35 days of age, Table 2 (gain 959 and 787 g, feed
    1,851 and 1,624 g); linear between.
    """
    found: Floats = 1 - GAIN_PER_K * _above(air_degC)
    return found


def feed_kept(air_degC: float | Floats) -> Floats:
    """Return the share of a day's feed that a bird still eats in the heat.

    Parameters
    ----------
    air_degC : float or ndarray
        Mean air temperature of the day where the birds are [degC].

    Returns
    -------
    ndarray
        1 up to 20 degC; held from 28 degC on [1].

    References
    ----------
    As :func:`gain_kept`.
    """
    found: Floats = 1 - FEED_PER_K * _above(air_degC)
    return found


def hot_curve(curve: Curve, air_degC: Sequence[float], *, from_age_d: int) -> Hot:
    """Return a growth curve with hot days in it.

    Parameters
    ----------
    curve : Curve
        As in comfort.
    air_degC : sequence of float
        Mean air temperature of each day, shape (n,) [degC].
    from_age_d : int
        Age on the first of those days [d].

    Returns
    -------
    Hot
        The days after go on with the gains of the old curve; what was lost stays lost.

    Raises
    ------
    InputError
        If the age is below zero, or there is no day.

    References
    ----------
    Derivation: daily gains times :func:`gain_kept`, from three weeks of age.
    """
    not_negative("from_age_d", from_age_d)
    if not len(air_degC):
        raise InputError("air_degC", (), _("Give the temperature of at least one day."))
    kept = gain_kept(np.asarray(air_degC, dtype=float))
    end = from_age_d + len(kept)
    shapes = [None if s is None else _slowed(s, kept, from_age_d)
              for s in (curve.male, curve.female, curve.mixed)]  # fmt: skip
    pairs = zip((curve.male, curve.female, curve.mixed), shapes, strict=True)
    lost = [float(shape_kg(a, end) - shape_kg(b, end)) for a, b in pairs if a and b]
    male, female, mixed = shapes
    hottest = max(air_degC)
    findings: tuple[Finding, ...] = ()
    if hottest > LAST_DEGC:
        findings = (
            Finding(
                "growth.hotter",
                Severity.CHECK,
                _("Hotter than the trial behind this: growth may fall further back than shown."),
                _("Shade, wind and cool water. Do not catch or haul in the heat of the day."),
                measured=hottest,
                limit=LAST_DEGC,
                unit="degC",
                citation=_SOURCE,
                status="read",
            ),
        )
    slowed = replace(curve, male=male, female=female, mixed=mixed)
    return Hot(slowed, float(np.mean(lost)), findings)


def _above(air_degC: float | Floats) -> Floats:
    found: Floats = np.clip(np.asarray(air_degC, dtype=float), COMFORT_DEGC, LAST_DEGC)
    return found - COMFORT_DEGC


def _slowed(shape: Shape, kept: Floats, start: int) -> Shape:
    """Rows by day to the last row or the last hot day, whichever is later."""
    last = max(int(np.ceil(shape.ages_d[-1])), start + len(kept))
    path = shape_kg(shape, np.arange(last + 1.0))
    factor = np.ones(last)
    factor[start : start + len(kept)] = kept
    factor[:FROM_D] = 1.0
    grown = path[0] + np.cumsum(np.diff(path) * factor)
    return Shape(
        tuple(float(a) for a in range(1, last + 1)), tuple(map(float, grown)), shape.hatch_kg
    )
