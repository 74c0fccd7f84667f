"""Room, brooder heat and daylight for a lot."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from pinfeather.errors import InputError
from pinfeather.estimate import Basis
from pinfeather.flock.curves import Species
from pinfeather.flock.guards import heads, not_negative, positive
from pinfeather.flock.tables import basis_of, table
from pinfeather.units import SECONDS_PER_DAY, SECONDS_PER_HOUR, to_si
from pinfeather.words import gettext as _

_WEEK_D: Final = 7.0
_J_PER_KCAL: Final = 4184.0  # thermochemical calorie, exact
_HORIZON_DEG: Final = 0.8333
"""Sun below the horizon at sunrise as seen: refraction and half its width."""


@dataclass(frozen=True, slots=True)
class BrooderHeat:
    """How warm a brooder is to be.

    Parameters
    ----------
    low_degC, high_degC : float
        At the hover edge, a few inches above the floor [degC].
    lamps : int
        Lamps of 250 W, on the safe side; two at least, so that one can fail.
    power_W : float
        All of them [W].
    basis : Basis
        Where it comes from.
    """

    low_degC: float
    high_degC: float
    lamps: int
    power_W: float
    basis: Basis


@dataclass(frozen=True, slots=True)
class Pasture:
    """Ground that a lot in moved pens covers.

    Parameters
    ----------
    pens : int
        Pens needed.
    area_m2 : float
        Ground covered over the time on pasture [m2].
    birds_per_m2 : float
        Over the ground covered [1/m2].
    """

    pens: int
    area_m2: float
    birds_per_m2: float


def floor_m2(birds: int, age_d: float, species: Species = "chicken") -> float:
    """Return the floor a lot needs indoors at an age.

    Parameters
    ----------
    birds : int
        How many.
    age_d : float
        Age [d].
    species : str
        ``"chicken"``, ``"turkey"`` or ``"duck"``.

    Returns
    -------
    float
        Floor; past the last row of the table the last one holds [m2].

    Raises
    ------
    InputError
        If a number is below zero.

    References
    ----------
    Hatchery rearing sheet (chickens); planning figures, unverified (turkeys, ducks).
    """
    heads("birds", birds)
    not_negative("age_d", age_d)
    rows = table("room")["floor"][species]
    row = next((r for r in rows if age_d < r["to_week"] * _WEEK_D), rows[-1])
    return birds * to_si(row["ft2"], "ft2", "area")


def floor_basis(species: Species) -> Basis:
    """Say where the floor of a kind of bird comes from.

    Parameters
    ----------
    species : str
        ``"chicken"``, ``"turkey"`` or ``"duck"``.

    Returns
    -------
    Basis
        Source and status.

    References
    ----------
    The packaged table ``room.toml``.
    """
    citation, status = table("room")["floor_sources"][species]
    return basis_of({"citation": citation, "status": status})


def brooder_heat(birds: int, age_d: float, species: Species = "chicken") -> BrooderHeat:
    """Return how warm a brooder is to be at an age, and how many lamps that takes.

    Parameters
    ----------
    birds : int
        How many chicks.
    age_d : float
        Age [d].
    species : str
        ``"chicken"``, ``"turkey"`` or ``"duck"``.

    Returns
    -------
    BrooderHeat
        Watch the chicks first: crowded under the lamp they are cold, away from it too warm.

    Raises
    ------
    InputError
        If a number is below zero.

    Notes
    -----
    Heat lamps start fires: hang them from a chain, not by the cord, clear of litter.

    References
    ----------
    Enos, Colorado State University Extension 2.502, rev. 2018; lamps by a hatchery's rearing sheet;
    poults and ducklings unverified.
    """
    heads("birds", birds)
    not_negative("age_d", age_d)
    entry = table("room")["heat"]
    week = int(age_d // _WEEK_D)
    low, high = entry["weeks"][min(week, len(entry["weeks"]) - 1)]
    status = entry["status"]
    if species == "turkey":
        more = max(entry["poult_more_F"] - week, 0)
        low, high, status = low + more, high + more, entry["others_status"]
    elif species == "duck":
        start, less = entry["duck_start_F"], entry["duck_less_F"] * min(week, entry["duck_weeks"])
        low, high, status = start[0] - less, start[1] - less, entry["others_status"]
    lamps = max(2, math.ceil(birds / entry["chicks_per_lamp"][0])) if birds else 0
    basis = basis_of({"citation": entry["citation"], "status": status})
    coldest, warmest = (to_si(t, "F", "temperature") for t in (low, high))
    return BrooderHeat(coldest, warmest, lamps, float(lamps * entry["lamp_W"]), basis)


def pasture(birds: int, *, pen_m2: float, moves: int, per_bird_m2: float | None = None) -> Pasture:
    """Return the pens and the ground that a lot on pasture takes.

    Parameters
    ----------
    birds : int
        How many.
    pen_m2 : float
        Floor of one pen [m2].
    moves : int
        Moves to fresh ground while on pasture.
    per_bird_m2 : float or None
        Pen floor for each bird; None takes the 2 square feet of penned birds moved daily [m2].

    Returns
    -------
    Pasture
        Every pen covers its floor once for each move.

    Raises
    ------
    InputError
        If a number is not above zero.

    References
    ----------
    Certified Naturally Grown (2 square feet); derivation: floor times moves.
    """
    heads("birds", birds, least=1)
    heads("moves", moves, least=1)
    positive("pen_m2", pen_m2)
    each = per_bird_m2 or to_si(table("room")["pasture"]["penned_ft2"], "ft2", "area")
    pens = math.ceil(birds * positive("per_bird_m2", each) / pen_m2 - 1e-9)
    area = pens * pen_m2 * moves
    return Pasture(pens, area, birds / area)


def chick_energy_W(air_degC: float) -> float:
    """Return the energy that a week-old chick takes up at a temperature.

    Parameters
    ----------
    air_degC : float
        Air at the chick, 20 to 35 degC [degC].

    Returns
    -------
    float
        Metabolisable energy; greatest near 27.5 degC [W].

    Raises
    ------
    InputError
        If the temperature is outside 20 to 35 degC.

    References
    ----------
    Abstract of the IMAS proceedings on seven-day chicks: -68.72 + 9.569 T - 0.1743 T^2 kcal a day.
    """
    if not 20 <= air_degC <= 35:  # noqa: PLR2004 - range of the trial
        raise InputError("air_degC", air_degC, _("This is known from 20 to 35 °C only."))
    kcal = -68.72 + 9.569 * air_degC - 0.1743 * air_degC**2
    return kcal * _J_PER_KCAL / SECONDS_PER_DAY


def daylight_s(day_of_year: int, latitude_deg: float) -> float:
    """Return how long the sun is up.

    Parameters
    ----------
    day_of_year : int
        1 for the first of January.
    latitude_deg : float
        North above zero [deg].

    Returns
    -------
    float
        From sunrise to sunset, a whole day or none near the poles [s].

    Raises
    ------
    InputError
        If the day or the latitude does not exist.

    References
    ----------
    Forsythe et al. 1995, Ecological Modelling 80:87-95 (CBM model), with the sun's edge at the
    horizon as seen.
    """
    if not 1 <= day_of_year <= 366:  # noqa: PLR2004 - days of a leap year
        raise InputError("day_of_year", day_of_year, _("A day of the year is 1 to 366."))
    if not -90 <= latitude_deg <= 90:  # noqa: PLR2004 - the poles
        raise InputError("latitude_deg", latitude_deg, _("A latitude is -90 to 90."))
    turn = 0.2163108 + 2 * math.atan(0.9671396 * math.tan(0.00860 * (day_of_year - 186)))
    tilt = math.asin(0.39795 * math.cos(turn))
    latitude = math.radians(latitude_deg)
    below = math.sin(math.radians(_HORIZON_DEG))
    across = math.cos(latitude) * math.cos(tilt)
    ratio = (below + math.sin(latitude) * math.sin(tilt)) / max(across, 1e-12)
    hours = 24 - 24 / math.pi * math.acos(min(max(ratio, -1.0), 1.0))
    return hours * SECONDS_PER_HOUR
