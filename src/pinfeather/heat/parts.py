"""Chilling what is not a whole bird in slush: giblets, packed parts, bagged birds, cold air."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from pinfeather.errors import OutOfRangeError
from pinfeather.estimate import Basis, Estimate, Origin
from pinfeather.finding import Finding, Severity
from pinfeather.heat.boiling import boiling_degC
from pinfeather.heat.breast import (
    LIVE_BIRD_DEGC,
    MEAT_M2_PER_S,
    MEAT_W_PER_M_K,
    Build,
    surface_coefficient,
)
from pinfeather.heat.carcass import ChillTime, chill_time
from pinfeather.heat.conduction import Shape, time_to_ratio
from pinfeather.heat.guards import finite, not_negative, positive
from pinfeather.units import SECONDS_PER_HOUR
from pinfeather.words import gettext as _

# Sphere of 15 cm in moving air (Whitaker 1972), independent computation; evaporation from wet skin
# adds 2 to 4 W/m2K, of which 2 are counted. Unverified.
_AIR_SPEEDS_M_PER_S: Final = (0.0, 0.5, 1.0, 2.0, 3.5, 6.3)
_AIR_W_PER_M2K: Final = (7.0, 9.0, 13.0, 18.0, 23.0, 32.0)
_GIBLET_LIMIT_S: Final = 2 * SECONDS_PER_HOUR
_DIP_J_PER_M2: Final = 15e3 / 0.09  # 2 s at 88 degC, independent computation (upper bound)
_SHRINK_COOLEST_DEGC: Final = 76.7  # 170 degF, bag makers' range 170-200 degF; second hand
_SHRINK_HOTTEST_DEGC: Final = 93.3  # 200 degF


@dataclass(frozen=True, slots=True)
class Chill:
    """How long a lump of meat takes to get cold.

    Parameters
    ----------
    time_s : float or None
        Time; None if it never gets there [s].
    findings : tuple of Finding
        What to know about it.
    """

    time_s: float | None
    findings: tuple[Finding, ...] = ()


def lump_chill_time(
    shape: Shape,
    *,
    half_m: float,
    surface_W_per_m2K: float,
    bath_degC: float,
    limit_degC: float,
    start_degC: float = LIVE_BIRD_DEGC,
) -> Chill:
    """Return how long the middle of a lump of meat takes to get cold.

    Parameters
    ----------
    shape : str
        ``"slab"`` for a flat bag or a box, ``"cylinder"`` for a bucket, ``"sphere"`` for a heap.
    half_m : float
        Half thickness or radius [m].
    surface_W_per_m2K : float
        Surface coefficient [W/m2K].
    bath_degC : float
        Water or air [degC].
    limit_degC : float
        Temperature to reach [degC].
    start_degC : float
        Temperature at the start [degC].

    Returns
    -------
    Chill
        Time to the limit.

    Raises
    ------
    InputError
        If a number cannot be meant.

    References
    ----------
    Carslaw and Jaeger (1959), sections 3.11, 7.7 and 9.4.
    """
    positive("half_m", half_m)
    biot = positive("surface_W_per_m2K", surface_W_per_m2K) * half_m / MEAT_W_PER_M_K
    finite("bath_degC", bath_degC)
    finite("limit_degC", limit_degC)
    if finite("start_degC", start_degC) <= limit_degC:
        return Chill(0.0)
    if bath_degC >= limit_degC:
        return Chill(None)
    ratio = (limit_degC - bath_degC) / (start_degC - bath_degC)
    return Chill(time_to_ratio(shape, ratio, biot=biot) * half_m**2 / MEAT_M2_PER_S)


def giblet_chill_time(
    *,
    half_m: float,
    bath_degC: float,
    limit_degC: float,
    shape: Shape = "cylinder",
    surface_W_per_m2K: float = 100.0,
    start_degC: float = LIVE_BIRD_DEGC,
) -> Chill:
    """Return how long giblets take to get cold, heaped in a bag or bucket that nobody stirs.

    Parameters
    ----------
    half_m : float
        Half the thickness of the bag, or the radius of the bucket [m].
    bath_degC : float
        Slush around it [degC].
    limit_degC : float
        Temperature to reach [degC].
    shape : str
        ``"cylinder"`` for a bucket, ``"slab"`` for a flat bag.
    surface_W_per_m2K : float
        Surface coefficient [W/m2K].
    start_degC : float
        Temperature at the start [degC].

    Returns
    -------
    Chill
        Time, and a finding if it is longer than two hours.

    Raises
    ------
    InputError
        If a number cannot be meant.

    Notes
    -----
    Loose giblets stirred in slush take half an hour.

    References
    ----------
    Former 9 CFR 381.66(c)(4), as quoted by FSIS: giblets at 40 degF within 2 hours of removal.
    """
    found = lump_chill_time(
        shape,
        half_m=half_m,
        surface_W_per_m2K=surface_W_per_m2K,
        bath_degC=bath_degC,
        limit_degC=limit_degC,
        start_degC=start_degC,
    )
    if found.time_s is not None and found.time_s <= _GIBLET_LIMIT_S:
        return found
    slow = Finding(
        "chill.giblets_slow",
        Severity.CHECK,
        _("Giblets heaped like this do not get cold within 2 hours."),
        _("Spread them in slush and stir, or use smaller bags."),
        measured=None if found.time_s is None else found.time_s / SECONDS_PER_HOUR,
        limit=_GIBLET_LIMIT_S / SECONDS_PER_HOUR,
        unit="h",
        citation="9 CFR 381.66(c)(4), as quoted by FSIS",
        status="read",
    )
    return Chill(found.time_s, (slow,))


def packed_parts_chill_time(
    *,
    thickness_m: float,
    bath_degC: float,
    limit_degC: float,
    in_slush: bool,
    start_degC: float = 10.0,
) -> Chill:
    """Return how long a flat pack of parts takes to get cold.

    Parameters
    ----------
    thickness_m : float
        Thickness of the pack, or of the stack if packs touch [m].
    bath_degC : float
        Slush or air [degC].
    limit_degC : float
        Temperature to reach [degC].
    in_slush : bool
        In slush, or in refrigerator air.
    start_degC : float
        Temperature at the start [degC].

    Returns
    -------
    Chill
        Time to the limit.

    Raises
    ------
    InputError
        If a number cannot be meant.

    References
    ----------
    Carslaw and Jaeger (1959), section 3.11, with the bag's coefficient of
    :func:`pinfeather.heat.breast.surface_coefficient`.
    """
    surface = surface_coefficient("still" if in_slush else "air", bagged=True)
    return lump_chill_time(
        "slab",
        half_m=positive("thickness_m", thickness_m) / 2,
        surface_W_per_m2K=surface.value,
        bath_degC=bath_degC,
        limit_degC=limit_degC,
        start_degC=start_degC,
    )


def bagged_chill_time(
    mass_kg: float,
    *,
    build: Build,
    bath_degC: float,
    limit_degC: float,
    tight: bool,
    start_degC: float = LIVE_BIRD_DEGC,
) -> ChillTime:
    """Return how long a bird chilled in its bag takes.

    Parameters
    ----------
    mass_kg : float
        Dressed weight [kg].
    build : str
        ``"lean"`` or ``"broad"``.
    bath_degC : float
        Slush [degC].
    limit_degC : float
        Temperature to reach [degC].
    tight : bool
        Drawn into the cavity by vacuum; a bag merely tied keeps water out of the cavity.
    start_degC : float
        Temperature at the start [degC].

    Returns
    -------
    ChillTime
        As from :func:`pinfeather.heat.carcass.chill_time`.

    Raises
    ------
    InputError
        If a number cannot be meant.

    References
    ----------
    “Chilling of packaged poultry in ice water and glycol-water solutions”, Poultry Science:
    vacuum 62 min, tied 109 min, unbagged 43 min.
    """
    return chill_time(
        mass_kg,
        build=build,
        bath="stirred",
        bath_degC=bath_degC,
        limit_degC=limit_degC,
        start_degC=start_degC,
        cavity_open=tight,
        surface_W_per_m2K=surface_coefficient("stirred", bagged=tight),
    )


def air_coefficient(speed_m_per_s: float) -> Estimate:
    """Return how readily heat leaves a bird hung in moving cold air.

    Parameters
    ----------
    speed_m_per_s : float
        Air speed at the birds, up to 6.3 [m/s].

    Returns
    -------
    Estimate
        Overall coefficient, evaporation included [W/m2K].

    Raises
    ------
    OutOfRangeError
        If the air is faster than 6.3 m/s.

    References
    ----------
    Whitaker (1972), AIChE Journal 18, 361, for a 15 cm ball; unverified.
    """
    not_negative("speed_m_per_s", speed_m_per_s)
    if speed_m_per_s > _AIR_SPEEDS_M_PER_S[-1]:
        raise OutOfRangeError("speed_m_per_s", speed_m_per_s, _("That is a gale. Up to 6.3 m/s."))
    value = float(np.interp(speed_m_per_s, _AIR_SPEEDS_M_PER_S, _AIR_W_PER_M2K))
    basis = Basis(Origin.HANDBOOK, _("Ball of 15 cm in moving air, wet skin"), "unverified")
    return Estimate(value, value * 0.75, value * 1.3, basis)


@dataclass(frozen=True, slots=True)
class ShrinkPot:
    """Whether a shrink pot can get hot enough here, and what a dip does to the bird.

    Parameters
    ----------
    boils_degC : float
        Boiling point at this height [degC].
    reachable : bool
        Whether the water can be as hot as wanted.
    warms_K : float
        How much a 2-second dip can warm the average bird, at most [K].
    findings : tuple of Finding
        What to know about it.
    """

    boils_degC: float
    reachable: bool
    warms_K: float
    findings: tuple[Finding, ...]


def shrink_pot(*, wanted_degC: float, altitude_m: float, mass_kg: float = 1.8) -> ShrinkPot:
    """Return whether the shrink pot can get as hot as the bags want it at this height.

    Parameters
    ----------
    wanted_degC : float
        Water temperature the bag maker asks for [degC].
    altitude_m : float
        Height above sea level [m].
    mass_kg : float
        Weight of a bird [kg].

    Returns
    -------
    ShrinkPot
        Boiling point, verdict and warming.

    Raises
    ------
    InputError
        If a number cannot be meant.
    OutOfRangeError
        If the height is outside the atmosphere's table.

    Notes
    -----
    Bag only birds at 38 degF (3 degC) or colder, and probe one again in the cooler.

    References
    ----------
    Bag makers' instructions: 170 to 200 degF, 1 to 3 s; second hand.
    """
    finite("wanted_degC", wanted_degC)
    positive("mass_kg", mass_kg)
    boils = boiling_degC(altitude_m=altitude_m)
    area_m2 = 0.09 * (mass_kg / 1.8) ** (2 / 3)
    warms = _DIP_J_PER_M2 * area_m2 / (mass_kg * 3420.0)
    findings: list[Finding] = []
    if wanted_degC >= boils:
        findings.append(
            Finding(
                "shrink.boils_first",
                Severity.CHECK,
                _("Water boils here before it gets that hot."),
                _("Use bags that shrink at 180 °F (82 °C), or dip a second longer."),
                measured=boils,
                limit=wanted_degC,
                unit="C",
            )
        )
    elif not _SHRINK_COOLEST_DEGC <= wanted_degC <= _SHRINK_HOTTEST_DEGC + 0.05:
        findings.append(
            Finding(
                "shrink.unusual",
                Severity.NOTE,
                _("Bag makers ask for 170 to 200 °F (77 to 93 °C)."),
                measured=wanted_degC,
                unit="C",
                status="second hand",
            )
        )
    return ShrinkPot(boils, wanted_degC < boils, float(warms), tuple(findings))
