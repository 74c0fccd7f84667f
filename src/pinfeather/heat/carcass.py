"""How long a dressed bird takes to get cold in the chill tank.

The warmest point is the middle of the thickest breast muscle. That muscle is treated as a slab of
meat cooled on both faces: the skin outside and the open cavity inside. A solid ball of the bird's
weight would be about four times too slow in water, a rod of the breast's thickness twice too fast.
A computed time plans the day and says which bird to probe. Only a probe reading proves anything.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from pinfeather.errors import InputError
from pinfeather.estimate import Basis, Estimate, Origin
from pinfeather.finding import Finding, Severity
from pinfeather.heat.breast import (
    LIVE_BIRD_DEGC,
    MEASURED_SPREAD,
    MEAT_M2_PER_S,
    MEAT_W_PER_M_K,
    Bath,
    Build,
    breast_thickness,
    surface_coefficient,
)
from pinfeather.heat.conduction import centre_ratio, time_to_ratio
from pinfeather.heat.guards import finite, positive
from pinfeather.heat.readings import TwoReadings, never_cold, two_reading_time
from pinfeather.units import KG_PER_LB
from pinfeather.words import gettext as _

__all__ = [
    "LIVE_BIRD_DEGC",
    "Bath",
    "Build",
    "ChillCurve",
    "ChillTime",
    "TwoReadings",
    "breast_thickness",
    "chill_curve",
    "chill_time",
    "surface_coefficient",
    "two_reading_time",
]

_CLOSED_CAVITY: Final = (2.2, 2.35, 2.5)
"""Factor on the time when no water reaches the cavity. Published 109/43 (tied bag against none in
the same trial, read); a cross-section computed independently gave 2.1 to 2.3."""

TURKEY_EXTRAPOLATED_KG: Final = 4.0
"""Above this dressed weight no published slush curve was found [kg]."""
_THICKEST_M: Final = 0.25
_WARM_BATH_DEGC: Final = 2.0
_REFERENCE_RATIO: Final = 0.1
_FASTEST_W_PER_M2K: Final = 5000.0


@dataclass(frozen=True, slots=True)
class ChillTime:
    """When the warmest point of a carcass reaches the limit.

    Parameters
    ----------
    time_s : float or None
        Best guess; None if it never gets there [s].
    low_s : float or None
        One bird in ten is quicker than this [s].
    high_s : float or None
        One bird in ten is slower than this [s].
    thickness_m : Estimate
        Breast thickness, skin to ribs [m].
    surface_W_per_m2K : Estimate
        Surface coefficient, skin included [W/m2K].
    findings : tuple of Finding
        What to know before leaning on the number.
    """

    time_s: float | None
    low_s: float | None
    high_s: float | None
    thickness_m: Estimate
    surface_W_per_m2K: Estimate
    findings: tuple[Finding, ...]


@dataclass(frozen=True, slots=True)
class ChillCurve:
    """The warmest point of a carcass over time, with its band.

    Parameters
    ----------
    times_s : ndarray, shape (n,)
        Times since it went in [s].
    centre_degC : ndarray, shape (n,)
        Best guess [degC].
    low_degC : ndarray, shape (n,)
        The quick bird: one in ten is colder [degC].
    high_degC : ndarray, shape (n,)
        The slow bird: one in ten is warmer [degC].
    """

    times_s: NDArray[np.float64]
    centre_degC: NDArray[np.float64]
    low_degC: NDArray[np.float64]
    high_degC: NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class _Bird:
    """One scenario: a breast, a surface, and a factor on time."""

    half_m: float
    surface: float
    factor: float

    @property
    def biot(self) -> float:
        return self.surface * self.half_m / MEAT_W_PER_M_K

    def time_s(self, ratio: float) -> float:
        fourier = time_to_ratio("slab", ratio, biot=self.biot)
        return self.factor * fourier * self.half_m**2 / MEAT_M2_PER_S


def chill_time(
    mass_kg: float,
    *,
    build: Build,
    bath: Bath,
    bath_degC: float,
    limit_degC: float,
    start_degC: float = LIVE_BIRD_DEGC,
    thickness_m: float | Estimate | None = None,
    cavity_open: bool = True,
    surface_W_per_m2K: Estimate | None = None,
) -> ChillTime:
    """Return how long the warmest point of a carcass takes to reach the limit.

    Parameters
    ----------
    mass_kg : float
        Dressed weight [kg].
    build : str
        ``"broad"`` or ``"lean"``.
    bath : str
        ``"still"`` or ``"stirred"`` slush, or refrigerator ``"air"``.
    bath_degC : float
        Temperature of the water or air, steady [degC].
    limit_degC : float
        Temperature to reach [degC].
    start_degC : float
        Temperature of the breast when it goes in [degC].
    thickness_m : float, Estimate or None
        Measured breast thickness, or the farm's own estimate; None takes the handbook's [m].
    cavity_open : bool
        Whether water (or air) flows through the cavity.
    surface_W_per_m2K : Estimate or None
        The farm's own surface coefficient; None takes the handbook's [W/m2K].

    Returns
    -------
    ChillTime
        Best guess, a band for one bird in ten either side, and findings.

    Raises
    ------
    InputError
        If a number cannot be meant.
    OutOfRangeError
        If the bird is above 30 kg.

    Notes
    -----
    For planning. Published support: 0.9 to 1.6 kg in slush, one case in cold air. Time is zero if
    the breast starts at or below the limit, None if the bath is not colder than the limit. The
    band treats thickness and surface coefficient as independent and log-normal and follows the
    most likely unlucky pair.

    References
    ----------
    Carslaw and Jaeger (1959), section 3.11, for the slab. “Chilling of packaged poultry in ice
    water and glycol-water solutions”, Poultry Science, for the geometry and the closed cavity.

    Examples
    --------
    A 4 lb broad-breasted bird in stirred slush at 1 degC, down to 40 F:

    >>> found = chill_time(
    ...     1.81, build="broad", bath="stirred", bath_degC=1.0, limit_degC=4.444
    ... )
    >>> round(found.time_s / 60)
    98
    """
    finite("bath_degC", bath_degC)
    finite("limit_degC", limit_degC)
    finite("start_degC", start_degC)
    thickness, surface = _given(
        mass_kg, build=build, bath=bath, thickness_m=thickness_m, surface=surface_W_per_m2K
    )
    findings = _findings(
        mass_kg, bath=bath, bath_degC=bath_degC, limit_degC=limit_degC, cavity_open=cavity_open
    )
    if start_degC <= limit_degC:
        return ChillTime(0.0, 0.0, 0.0, thickness, surface, findings)
    if bath_degC >= limit_degC:
        return ChillTime(None, None, None, thickness, surface, findings)
    ratio = (limit_degC - bath_degC) / (start_degC - bath_degC)
    quick, usual, slow = _birds(thickness, surface, cavity_open=cavity_open)
    return ChillTime(
        usual.time_s(ratio), quick.time_s(ratio), slow.time_s(ratio), thickness, surface, findings
    )


def chill_curve(
    times_s: NDArray[np.float64],
    mass_kg: float,
    *,
    build: Build,
    bath: Bath,
    bath_degC: float,
    limit_degC: float | None = None,
    start_degC: float = LIVE_BIRD_DEGC,
    thickness_m: float | Estimate | None = None,
    cavity_open: bool = True,
    surface_W_per_m2K: Estimate | None = None,
) -> ChillCurve:
    """Return the temperature to expect at the warmest point of a carcass over time.

    Parameters
    ----------
    times_s : ndarray, shape (n,)
        Times since it went in, zero or more [s].
    mass_kg : float
        Dressed weight [kg].
    build : str
        ``"broad"`` or ``"lean"``.
    bath : str
        ``"still"`` or ``"stirred"`` slush, or refrigerator ``"air"``.
    bath_degC : float
        Temperature of the water or air, steady [degC].
    limit_degC : float or None
        Accepted so that both functions take the same keywords; the curve does not depend on it
        [degC].
    start_degC : float
        Temperature of the breast when it goes in [degC].
    thickness_m : float, Estimate or None
        Measured breast thickness, or the farm's own estimate; None takes the handbook's [m].
    cavity_open : bool
        Whether water (or air) flows through the cavity.
    surface_W_per_m2K : Estimate or None
        The farm's own surface coefficient; None takes the handbook's [W/m2K].

    Returns
    -------
    ChillCurve
        Best guess and band; the band crosses the limit where :func:`chill_time` says.

    Raises
    ------
    InputError
        If a number cannot be meant.
    OutOfRangeError
        If the bird is above 30 kg.

    Notes
    -----
    Range and band as for :func:`chill_time`.

    References
    ----------
    Carslaw and Jaeger (1959), section 3.11.
    """
    finite("bath_degC", bath_degC)
    finite("start_degC", start_degC)
    if limit_degC is not None:
        finite("limit_degC", limit_degC)
    times = np.asarray(times_s, dtype=np.float64)
    if not np.all(times >= 0):
        raise InputError("times_s", times_s, _("Times count from when the bird went in."))
    thickness, surface = _given(
        mass_kg, build=build, bath=bath, thickness_m=thickness_m, surface=surface_W_per_m2K
    )
    curves = [
        bath_degC
        + (start_degC - bath_degC)
        * centre_ratio(
            "slab",
            MEAT_M2_PER_S * times / (bird.factor * bird.half_m**2),
            biot=bird.biot,
        )
        for bird in _birds(thickness, surface, cavity_open=cavity_open)
    ]
    quick, usual, slow = curves
    # where the bath is warmer than the bird, the quick bird is the warmer one
    return ChillCurve(times, usual, np.minimum(quick, slow), np.maximum(quick, slow))


def _given(
    mass_kg: float,
    *,
    build: Build,
    bath: Bath,
    thickness_m: float | Estimate | None,
    surface: Estimate | None,
) -> tuple[Estimate, Estimate]:
    """Thickness and surface coefficient to use, with their bands."""
    thickness = breast_thickness(mass_kg, build=build)
    if isinstance(thickness_m, Estimate):
        thickness = thickness_m
        positive("thickness_m", thickness.low)
    elif thickness_m is not None:
        positive("thickness_m", thickness_m)
        thickness = Estimate(
            thickness_m,
            thickness_m / MEASURED_SPREAD,
            thickness_m * MEASURED_SPREAD,
            Basis(Origin.TYPED, _("Measured breast thickness"), "measured"),
        )
    if thickness.value > _THICKEST_M:
        raise InputError(
            "thickness_m", thickness.value, _("No breast is thicker than 25 cm (10 in).")
        )
    found = surface_coefficient(bath) if surface is None else surface
    positive("surface_W_per_m2K", found.low)
    if found.value > _FASTEST_W_PER_M2K:
        raise InputError("surface_W_per_m2K", found.value, _("Water does not cool that fast."))
    return thickness, found


def _birds(
    thickness: Estimate, surface: Estimate, *, cavity_open: bool
) -> tuple[_Bird, _Bird, _Bird]:
    """Return the quick, usual and slow bird: the likeliest pairs one tenth from either end."""
    factors = (1.0, 1.0, 1.0) if cavity_open else _CLOSED_CAVITY
    half, usual_surface = thickness.value / 2, surface.value
    usual = _Bird(half, usual_surface, factors[1])
    at = usual.time_s(_REFERENCE_RATIO)

    def towards(thickness_end: float, surface_end: float, factor: float) -> _Bird:
        # lean of log(time) when one of the two goes to its end alone
        by_thickness = math.log(
            _Bird(thickness_end / 2, usual_surface, factors[1]).time_s(_REFERENCE_RATIO) / at
        )
        by_surface = math.log(_Bird(half, surface_end, factors[1]).time_s(_REFERENCE_RATIO) / at)
        both = math.hypot(by_thickness, by_surface)
        if both == 0:
            return _Bird(half, usual_surface, factor)
        return _Bird(
            half * (thickness_end / thickness.value) ** (abs(by_thickness) / both),
            usual_surface * (surface_end / usual_surface) ** (abs(by_surface) / both),
            factor,
        )

    return (
        towards(thickness.low, surface.high, factors[0]),
        usual,
        towards(thickness.high, surface.low, factors[2]),
    )


def _findings(
    mass_kg: float, *, bath: Bath, bath_degC: float, limit_degC: float, cavity_open: bool
) -> tuple[Finding, ...]:
    """Return what to know before leaning on a chill time."""
    found: list[Finding] = []
    if bath_degC >= limit_degC:
        found.append(never_cold(bath_degC, limit_degC))
    elif bath != "air" and bath_degC > _WARM_BATH_DEGC:
        found.append(
            Finding(
                "chill.bath_warm",
                Severity.CHECK,
                _("The water is warmer than slush should be; chilling slows down steeply."),
                _("Add ice until some stays floating: 36 °F (2 °C) or colder."),
                measured=bath_degC,
                limit=_WARM_BATH_DEGC,
                unit="C",
                citation="Independent computation: 3 degC takes a third longer than 1 degC",
            )
        )
    if bath == "air":
        found.append(
            Finding(
                "chill.air",
                Severity.CHECK,
                _("Still refrigerator air takes several times as long as slush."),
                _("Chill in ice water first; use the refrigerator to hold birds already cold."),
                citation="Independent computation with 9 W/m2K",
                status="unverified",
            )
        )
    if not cavity_open:
        found.append(
            Finding(
                "chill.cavity_closed",
                Severity.CHECK,
                _("No water reaches the cavity: chilling takes 2.2 to 2.5 times as long."),
                _("Open the bag, take the giblets out, and let the water run through."),
                citation="“Chilling of packaged poultry in ice water and glycol-water solutions”, "
                "Poultry Science, abstract",
                status="read",
            )
        )
    if mass_kg > TURKEY_EXTRAPOLATED_KG:
        found.append(
            Finding(
                "chill.extrapolated",
                Severity.NOTE,
                _(
                    "No published slush curve was found for birds this heavy; "
                    "the time is stretched from smaller birds."
                ),
                _("Probe the heaviest bird early, twice, and use its own two readings."),
                measured=mass_kg / KG_PER_LB,
                limit=TURKEY_EXTRAPOLATED_KG / KG_PER_LB,
                unit="lb",
                status="unverified",
            )
        )
    return tuple(found)
