"""Heating scald water, holding it, and what that burns."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

import numpy as np

from pinfeather.estimate import Basis, Estimate, Origin
from pinfeather.heat.guards import finite, fraction, not_negative, positive
from pinfeather.heat.hotwater import surface_loss_W_per_m2, wall_loss_W_per_m2
from pinfeather.heat.scald import (
    SCALD_BANDS,
    Kind,
    ScaldBand,
    over_scald_signs,
    scald_band,
    scald_test,
    under_scald_signs,
)
from pinfeather.heat.water import COLD_WATER_KG_PER_M3, WATER_J_PER_KG_K
from pinfeather.units import J_PER_BTU, KG_PER_LB, M3_PER_GALLON, SECONDS_PER_HOUR
from pinfeather.words import gettext as _

__all__ = [
    "OPEN_POT_EFFICIENCY",
    "PROPANE_BOILS_DEGC",
    "PROPANE_J_PER_KG",
    "PROPANE_J_PER_M3",
    "PROPANE_KG_PER_M3",
    "SCALD_BANDS",
    "Holding",
    "Kind",
    "ScaldBand",
    "WarmUp",
    "bird_heat_J",
    "heating_time_s",
    "holding",
    "over_scald_signs",
    "propane_cautions",
    "propane_kg",
    "scald_band",
    "scald_cautions",
    "scald_test",
    "surface_area_m2",
    "under_scald_signs",
    "wall_area_m2",
    "warm_up",
]

PROPANE_J_PER_M3: Final = 91502 * J_PER_BTU / M3_PER_GALLON
"""Heat in liquid propane, 91 502 Btu per US gallon [J/m3]. Common trade figure, read."""
PROPANE_KG_PER_M3: Final = 4.24 * KG_PER_LB / M3_PER_GALLON
"""Liquid propane, 4.24 lb per US gallon [kg/m3]. Common trade figure (4.23 to 4.24), read."""
PROPANE_J_PER_KG: Final = PROPANE_J_PER_M3 / PROPANE_KG_PER_M3
PROPANE_BOILS_DEGC: Final = -42.0
"""Boiling point at sea level, -44 degF [degC]. Read."""

OPEN_POT_EFFICIENCY: Final = Estimate(
    0.40,
    0.30,
    0.50,
    Basis(
        Origin.HANDBOOK,
        "Open pot on a burner, 30-45 %, with a wind skirt up to 55 %; weigh the cylinder before "
        "and after one warm-up to know your own",
        "unverified",
    ),
)
"""Share of the burner's heat that gets into the water [1]."""

# A 22.5 in drum holding 30 gal has 2.76 ft2 of open water and about 8.6 ft2 of wetted wall; other
# scalders are taken as its shape. Unverified.
_DRUM_M3: Final = 30 * M3_PER_GALLON
_DRUM_TOP_M2: Final = math.pi / 4 * (22.5 * 0.0254) ** 2
_DRUM_WALL_M2: Final = 4 * _DRUM_M3 / (22.5 * 0.0254)
_SHAPE_SPREAD: Final = 1.5

_LID_FRAC: Final = 0.5  # a floating lid or foam halves the loss; unverified
_WIND_FACTOR: Final = 2.0  # Department of Energy, Steam Tip Sheet 19: 3 mph more than doubles it

# What a bird takes out of the scald water: its skin and feathers warm up, and water goes out with
# it and is made up cold. 0.4 L for a 2.2 kg broiler is an estimate; weigh it. Unverified.
_BIRD_REFERENCE_KG: Final = 2.2
_BIRD_SKIN_M2: Final = 0.17
_BIRD_CARRIES_KG: Final = 0.4
_BIRD_SKIN_DEGC: Final = 42.0
_SKIN_W_PER_M_K: Final = 0.45
_SKIN_M2_PER_S: Final = 1.279e-7
_DIP_S: Final = 60.0


_NODES, _WEIGHTS = (tuple(map(float, row)) for row in np.polynomial.legendre.leggauss(24))
_LAST_PANEL_FRAC: Final = 0.1


@dataclass(frozen=True, slots=True)
class WarmUp:
    """Getting the scald water hot.

    Parameters
    ----------
    time_s : float or None
        Time needed; None if the burner cannot do it [s].
    heat_J : float
        Heat the water itself takes up [J].
    propane_kg : float or None
        Propane burned; None if the burner cannot do it [kg].
    low_s : float or None
        Time at the good end of the efficiency [s].
    high_s : float or None
        Time at the poor end; None if it cannot do it then [s].
    """

    time_s: float | None
    heat_J: float
    propane_kg: float | None
    low_s: float | None
    high_s: float | None


@dataclass(frozen=True, slots=True)
class Holding:
    """Keeping the scald water hot while birds go through.

    Parameters
    ----------
    power_W : float
        Burner power needed, on average [W].
    propane_kg_per_h : float
        Propane burned [kg/h].
    surface_W : float
        Lost from the open water [W].
    walls_W : float
        Lost through the walls [W].
    birds_W : float
        Taken out by the birds and the water they carry [W].
    """

    power_W: float
    propane_kg_per_h: float
    surface_W: float
    walls_W: float
    birds_W: float


def surface_area_m2(volume_m3: float) -> Estimate:
    """Return the open water surface to expect of a scalder.

    Parameters
    ----------
    volume_m3 : float
        Water it holds [m3].

    Returns
    -------
    Estimate
        Open surface [m2].

    Raises
    ------
    InputError
        If the volume is not above zero.

    References
    ----------
    Derivation: shape of a 22.5 in drum holding 30 gal, scaled; unverified.

    Examples
    --------
    >>> round(surface_area_m2(0.1135623).value, 3)
    0.257
    """
    value = _DRUM_TOP_M2 * (positive("volume_m3", volume_m3) / _DRUM_M3) ** (2 / 3)
    basis = Basis(Origin.HANDBOOK, _("Shape of a 30-gallon drum, scaled"), "unverified")
    return Estimate(value, value / _SHAPE_SPREAD, value * _SHAPE_SPREAD, basis)


def wall_area_m2(volume_m3: float) -> Estimate:
    """Return the wetted wall to expect of a scalder.

    Parameters
    ----------
    volume_m3 : float
        Water it holds [m3].

    Returns
    -------
    Estimate
        Wall, without the bottom [m2].

    Raises
    ------
    InputError
        If the volume is not above zero.

    References
    ----------
    Derivation: shape of a 22.5 in drum holding 30 gal, scaled; unverified.
    """
    value = _DRUM_WALL_M2 * (positive("volume_m3", volume_m3) / _DRUM_M3) ** (2 / 3)
    basis = Basis(Origin.HANDBOOK, _("Shape of a 30-gallon drum, scaled"), "unverified")
    return Estimate(value, value / _SHAPE_SPREAD, value * _SHAPE_SPREAD, basis)


def propane_kg(heat_J: float, *, efficiency_frac: float = 1.0) -> float:
    """Return the propane that gives an amount of heat.

    Parameters
    ----------
    heat_J : float
        Heat wanted [J].
    efficiency_frac : float
        Share of the flame's heat that counts [1].

    Returns
    -------
    float
        Propane [kg].

    Raises
    ------
    InputError
        If the heat is negative or the share not between 0 and 1.

    References
    ----------
    Derivation: 91 502 Btu and 4.24 lb per US gallon of liquid, common trade figures.
    """
    share = fraction("efficiency_frac", efficiency_frac)
    return not_negative("heat_J", heat_J) / share / PROPANE_J_PER_KG


def heating_time_s(
    capacity_J_per_K: float,
    loss_W: Callable[[float], float],
    *,
    from_degC: float,
    to_degC: float,
    useful_W: float,
) -> float | None:
    """Return how long something takes to heat up while it loses heat.

    Parameters
    ----------
    capacity_J_per_K : float
        Heat for one degree [J/K].
    loss_W : callable
        Loss at a temperature in degC [W]; never falling as it gets hotter.
    from_degC : float
        Temperature now [degC].
    to_degC : float
        Temperature wanted [degC].
    useful_W : float
        Heat going in [W].

    Returns
    -------
    float or None
        Time; None if losses use up the heat before it gets there [s].

    Raises
    ------
    InputError
        If there is nothing to heat.

    References
    ----------
    Derivation: integral of capacity / (heat in - loss) over temperature, by Gauss and Legendre's
    rule on two panels, the last one short because the curve is steepest there.
    """
    positive("capacity_J_per_K", capacity_J_per_K)
    if to_degC <= from_degC:
        return 0.0
    if loss_W(to_degC) >= useful_W:
        return None
    nearly_degC = to_degC - _LAST_PANEL_FRAC * (to_degC - from_degC)
    per_W = sum(
        (high - low) / 2 * weight / (useful_W - loss_W((low + high) / 2 + (high - low) / 2 * node))
        for low, high in ((from_degC, nearly_degC), (nearly_degC, to_degC))
        for node, weight in zip(_NODES, _WEIGHTS, strict=True)
    )
    return capacity_J_per_K * per_W


def warm_up(
    *,
    volume_m3: float,
    from_degC: float,
    to_degC: float,
    burner_W: float,
    efficiency_frac: Estimate | float = OPEN_POT_EFFICIENCY,
    surface_m2: float | None = None,
    air_degC: float = 15.0,
    covered: bool = False,
    sheltered: bool = True,
) -> WarmUp:
    """Return how long the scald water takes to get hot, and the propane it burns.

    Parameters
    ----------
    volume_m3 : float
        Water [m3].
    from_degC : float
        Its temperature now [degC].
    to_degC : float
        Temperature wanted [degC].
    burner_W : float
        Burner power as rated [W].
    efficiency_frac : Estimate or float
        Share of it that gets into the water [1].
    surface_m2 : float or None
        Open water surface; None takes a drum's [m2].
    air_degC : float
        Air temperature [degC].
    covered : bool
        With a lid on while heating.
    sheltered : bool
        Out of the wind.

    Returns
    -------
    WarmUp
        Time with its band, heat and propane.

    Raises
    ------
    InputError
        If a number cannot be meant.
    OutOfRangeError
        If the air or water is outside the tables.

    Notes
    -----
    Losses from the tables are within about 20 %; efficiency is the larger doubt.

    References
    ----------
    Derivation: heat balance with the losses of :mod:`pinfeather.heat.hotwater`.
    """
    capacity = positive("volume_m3", volume_m3) * COLD_WATER_KG_PER_M3 * WATER_J_PER_KG_K
    finite("from_degC", from_degC)
    finite("to_degC", to_degC)
    positive("burner_W", burner_W)
    top_m2 = surface_area_m2(volume_m3).value
    if surface_m2 is not None:
        top_m2 = not_negative("surface_m2", surface_m2)
    walls_m2 = wall_area_m2(volume_m3).value
    share = _top_factor(covered=covered, sheltered=sheltered)

    def loss_W(water_degC: float) -> float:
        return share * top_m2 * surface_loss_W_per_m2(
            water_degC, air_degC=air_degC
        ) + walls_m2 * wall_loss_W_per_m2(water_degC, air_degC=air_degC)

    good, usual, poor = _efficiencies(efficiency_frac)
    heat_J = capacity * max(0.0, to_degC - from_degC)
    low_s, time_s, high_s = (
        heating_time_s(
            capacity,
            loss_W,
            from_degC=from_degC,
            to_degC=to_degC,
            useful_W=burner_W * efficiency,
        )
        for efficiency in (good, usual, poor)
    )
    burned = None if time_s is None else propane_kg(burner_W * time_s)
    return WarmUp(time_s, heat_J, burned, low_s, high_s)


def bird_heat_J(
    mass_kg: float, *, water_degC: float, makeup_degC: float = 15.0, dip_s: float = _DIP_S
) -> float:
    """Return the heat one bird takes out of the scald water.

    Parameters
    ----------
    mass_kg : float
        Dressed weight [kg].
    water_degC : float
        Scald water [degC].
    makeup_degC : float
        Water added to make up what birds carry out [degC].
    dip_s : float
        Time in the water [s].

    Returns
    -------
    float
        Heat into skin and feathers, and into the water made up [J].

    Raises
    ------
    InputError
        If a number cannot be meant.

    Notes
    -----
    Skin and carried water grow with the two-thirds power of weight from a 2.2 kg broiler's.

    References
    ----------
    Carslaw and Jaeger (1959), section 2.5: uptake of a half-space, 2 k dT sqrt(t / pi alpha). The
    0.4 kg carried out is an estimate.
    """
    scale = float((positive("mass_kg", mass_kg) / _BIRD_REFERENCE_KG) ** (2 / 3))
    rise_K = max(0.0, finite("water_degC", water_degC) - _BIRD_SKIN_DEGC)
    root_s = math.sqrt(not_negative("dip_s", dip_s) / (math.pi * _SKIN_M2_PER_S))
    skin_J = 2 * _SKIN_W_PER_M_K * rise_K * root_s * _BIRD_SKIN_M2 * scale
    made_up_K = max(0.0, water_degC - finite("makeup_degC", makeup_degC))
    return skin_J + _BIRD_CARRIES_KG * scale * WATER_J_PER_KG_K * made_up_K


def holding(
    *,
    volume_m3: float,
    water_degC: float,
    birds_per_h: float,
    air_degC: float = 15.0,
    mass_kg: float = _BIRD_REFERENCE_KG,
    efficiency_frac: Estimate | float = OPEN_POT_EFFICIENCY,
    surface_m2: float | None = None,
    covered: bool = False,
    sheltered: bool = True,
    insulated: bool = False,
) -> Holding:
    """Return the burner power that keeps the scald water at its temperature.

    Parameters
    ----------
    volume_m3 : float
        Water [m3].
    water_degC : float
        Temperature to hold [degC].
    birds_per_h : float
        Birds scalded in an hour [1/h].
    air_degC : float
        Air temperature [degC].
    mass_kg : float
        Dressed weight of a bird [kg].
    efficiency_frac : Estimate or float
        Share of the burner's heat that gets into the water [1].
    surface_m2 : float or None
        Open water surface; None takes a drum's [m2].
    covered : bool
        With a lid or floating cover.
    sheltered : bool
        Out of the wind.
    insulated : bool
        With an inch of insulation round the wall.

    Returns
    -------
    Holding
        Burner power, propane, and where the heat goes.

    Raises
    ------
    InputError
        If a number cannot be meant.
    OutOfRangeError
        If the air or water is outside the tables.

    Notes
    -----
    Planning quality: the tables are within about 20 %.

    References
    ----------
    Derivation: heat balance with the losses of :mod:`pinfeather.heat.hotwater`.
    """
    not_negative("birds_per_h", birds_per_h)
    top_m2 = surface_area_m2(volume_m3).value
    if surface_m2 is not None:
        top_m2 = not_negative("surface_m2", surface_m2)
    surface_W = (
        _top_factor(covered=covered, sheltered=sheltered)
        * top_m2
        * surface_loss_W_per_m2(water_degC, air_degC=air_degC)
    )
    walls_W = wall_area_m2(volume_m3).value * wall_loss_W_per_m2(
        water_degC, air_degC=air_degC, insulated=insulated
    )
    birds_W = birds_per_h / SECONDS_PER_HOUR * bird_heat_J(mass_kg, water_degC=water_degC)
    power_W = (surface_W + walls_W + birds_W) / _efficiencies(efficiency_frac)[1]
    return Holding(power_W, propane_kg(power_W * SECONDS_PER_HOUR), surface_W, walls_W, birds_W)


def _top_factor(*, covered: bool, sheltered: bool) -> float:
    return (_LID_FRAC if covered else 1.0) * (1.0 if sheltered else _WIND_FACTOR)


def _efficiencies(given: Estimate | float) -> tuple[float, float, float]:
    """Good, usual and poor."""
    if isinstance(given, Estimate):
        return (
            fraction("efficiency_frac", given.high),
            fraction("efficiency_frac", given.value),
            fraction("efficiency_frac", given.low),
        )
    share = fraction("efficiency_frac", given)
    return share, share, share


def scald_cautions() -> tuple[str, ...]:
    """Return the cautions to show wherever scald water is planned or logged.

    Returns
    -------
    tuple of str
        Sentences.

    References
    ----------
    Common practice; burn times after Moritz and Henriques (1947), unverified.
    """
    return (
        _("Scald water burns skin deeply within seconds. Keep children and pets well away."),
        _("Set the scalder level and low, where nobody has to carry hot water or lean over it."),
        _("Wear boots, a waterproof apron and long gloves. Lower birds in slowly, on a hook."),
        _("Never lift or move a pot of hot water. Let it cool before emptying it."),
    )


def propane_cautions() -> tuple[str, ...]:
    """Return the cautions to show wherever a propane burner is planned.

    Returns
    -------
    tuple of str
        Sentences.

    References
    ----------
    Common practice; local fire codes and the burner's instructions come first.
    """
    return (
        _("Burn propane in the open air only: indoors it makes carbon monoxide, which kills."),
        _("Keep the cylinder upright, away from the flame and from where people walk."),
        _("Check hose joints with soapy water before lighting. If you smell gas, shut the valve."),
        _("Never leave a lit burner alone. Keep a fire extinguisher within reach."),
        _("Your local fire code and the burner’s own instructions come first."),
    )
