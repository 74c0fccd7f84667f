"""The breast of a carcass and the water or air around it: the numbers chilling depends on.

The middle of the thickest breast muscle is the warmest point. That muscle is treated as a slab of
meat cooled on both faces: the skin outside and the open cavity inside.
"""

from __future__ import annotations

from typing import Final, Literal

from pinfeather.errors import InputError, OutOfRangeError
from pinfeather.estimate import Basis, Estimate, Origin
from pinfeather.heat.conduction import fade
from pinfeather.heat.guards import positive
from pinfeather.words import gettext as _

Build = Literal["lean", "broad"]
Bath = Literal["still", "stirred", "air"]

LIVE_BIRD_DEGC: Final = 38.0
"""Breast temperature when the bird goes into the tank [degC]. Assumed: a live bird is near 41, and
bleeding, plucking and drawing take a little off. From 30 to 40 degC the chill time changes by -9 to
+2 % only (independent computation)."""

START_BASIS: Final = Basis(
    Origin.HANDBOOK, "Between live warmth and plucked, planning value", "assumed"
)

MEAT_W_PER_M_K: Final = 0.47
"""Conductivity of breast meat [W/mK]. Sweat, Haugh and Stadelman (1973): 0.479 at 4.4 degC; Chang,
Carpenter and Toledo (1998): 0.464. Read (abstracts)."""
MEAT_KG_PER_M3: Final = 1050.0
"""Density [kg/m3]. Choi and Okos (1986) equations give 1029-1060. Second hand."""
MEAT_J_PER_KG_K: Final = 3500.0
"""Specific heat [J/kgK]. Published values run from 3310 to 3540. Read."""
MEAT_M2_PER_S: Final = MEAT_W_PER_M_K / (MEAT_KG_PER_M3 * MEAT_J_PER_KG_K)

_BREAST_M_PER_CUBE_ROOT_KG: Final[dict[Build, float]] = {"lean": 0.031, "broad": 0.040}
_BREAST_NOTE: Final[dict[Build, tuple[str, str]]] = {
    "lean": (
        (
            "31 mm for a 1 kg bird, growing with the cube root of the weight; fitted to 43 min for "
            "0.9-1.6 kg in “Chilling of packaged poultry in ice water and glycol-water solutions”, "
            "Poultry Science"
        ),
        "read",
    ),
    "broad": (
        (
            "40 mm for a 1 kg bird, growing with the cube root of the weight; from fillet "
            "thicknesses of market-age broilers plus tender and skin"
        ),
        "assumed",
    ),
}
# Ten-to-ninety-percent factors. They carry the error of the slab picture as well as that of the
# thickness: together about 40 % (one standard deviation) of the time with a default thickness and
# about 22 % with a measured one. A judgement from four published cases; unverified.
_DEFAULT_SPREAD: Final = 1.28
MEASURED_SPREAD: Final = 1.15

_HEAVIEST_KG: Final = 30.0

_BAG_M2K_PER_W: Final = 0.0080
"""Film and 0.2 mm of trapped air: reproduces 62 min against 43 min unbagged. Read (same trial)."""
# The coefficients hold 0.003 m2K/W for wet skin and its fat over muscle (unverified).
_SURFACE: Final[dict[Bath, tuple[float, float, float, str]]] = {
    "still": (100.0, 70.0, 140.0, "Still slush: about 130 W/m2K at the wet surface, and skin"),
    "stirred": (200.0, 140.0, 260.0, "Stirred slush: about 500 W/m2K at the surface, and skin"),
    "air": (9.0, 6.5, 12.0, "Still air in a refrigerator, wet skin"),
}


def breast_thickness(mass_kg: float, *, build: Build) -> Estimate:
    """Return the breast thickness to expect, from skin to ribs at the thickest place.

    Parameters
    ----------
    mass_kg : float
        Dressed weight [kg].
    build : str
        ``"broad"`` for Cornish-cross and broad-breasted turkeys, ``"lean"`` for the rest.

    Returns
    -------
    Estimate
        Thickness with a band for one bird in ten either side; the band also carries the error of
        treating the breast as a slab [m].

    Raises
    ------
    InputError
        If the weight is not above zero.
    OutOfRangeError
        If it is above 30 kg.

    Notes
    -----
    Published support for 0.9 to 1.6 kg only. ``"broad"`` is the safe side for planning.

    References
    ----------
    “Chilling of packaged poultry in ice water and glycol-water solutions”, Poultry Science,
    abstract, for the lean constant. The broad constant is an assumption.
    """
    positive("mass_kg", mass_kg)
    if mass_kg > _HEAVIEST_KG:
        raise OutOfRangeError("mass_kg", mass_kg, _("No bird dresses out that heavy."))
    if build not in _BREAST_M_PER_CUBE_ROOT_KG:
        raise InputError("build", build, _("Say “lean” or “broad”."))
    value = _BREAST_M_PER_CUBE_ROOT_KG[build] * mass_kg ** (1 / 3)
    note, status = _BREAST_NOTE[build]
    return Estimate(
        value,
        value / _DEFAULT_SPREAD,
        value * _DEFAULT_SPREAD,
        Basis(Origin.HANDBOOK, _(note), status),
    )


def surface_coefficient(bath: Bath, *, bagged: bool = False) -> Estimate:
    """Return how readily heat leaves the bird for the water or air around it.

    Parameters
    ----------
    bath : str
        ``"still"`` or ``"stirred"`` slush, or refrigerator ``"air"``.
    bagged : bool
        In a bag drawn tight to the bird.

    Returns
    -------
    Estimate
        Overall coefficient, skin and bag included [W/m2K].

    Raises
    ------
    InputError
        If the bath is none of the three.

    Notes
    -----
    Bagging takes more from stirring than the table shows for loose bags.

    References
    ----------
    Churchill (1983) for a sphere in still water and Whitaker (1972) in moving water, computed
    independently for a 15 cm body; status unverified. Bag: “Chilling of packaged poultry in ice
    water and glycol-water solutions”, Poultry Science, abstract.
    """
    if bath not in _SURFACE:
        raise InputError("bath", bath, _("Say “still”, “stirred” or “air”."))
    value, low, high, note = _SURFACE[bath]
    note = _(note)
    if bagged:
        value, low, high = (1 / (1 / u + _BAG_M2K_PER_W) for u in (value, low, high))
        note = _("{bath}; tight bag").format(bath=note)
    return Estimate(value, low, high, Basis(Origin.HANDBOOK, note, "unverified"))


def settled_fade(thickness_m: float, *, surface_W_per_m2K: float) -> tuple[float, float]:
    """Return the cooling line of a breast: its f and its j.

    Parameters
    ----------
    thickness_m : float
        Breast thickness [m].
    surface_W_per_m2K : float
        Surface coefficient [W/m2K].

    Returns
    -------
    tuple of float
        f, the time to lose nine tenths of the difference [s], and j [1].

    Raises
    ------
    InputError
        If a number is not above zero.

    References
    ----------
    Derivation: first term of the slab series.
    """
    line = fade(
        "slab",
        half_thickness_m=thickness_m / 2,
        surface_W_per_m2K=surface_W_per_m2K,
        conductivity_W_per_mK=MEAT_W_PER_M_K,
        diffusivity_m2_per_s=MEAT_M2_PER_S,
    )
    return line.f_s, line.j
