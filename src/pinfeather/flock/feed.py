"""Feed by phase, and water."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from pinfeather.errors import InputError
from pinfeather.estimate import Estimate
from pinfeather.flock.curves import Species
from pinfeather.flock.guards import not_negative, positive
from pinfeather.flock.tables import basis_of, table
from pinfeather.units import to_si
from pinfeather.words import gettext as _

Floats = NDArray[np.float64]

J_PER_KCAL: Final = 4184.0  # thermochemical calorie, exact
TABLE_ENERGY_J_PER_KG: Final = 3200 * J_PER_KCAL
"""Of the feed in the tables behind the intake coefficients."""
_SHAPE: Final = 0.75
_PERCENT: Final = 100.0
_M3_PER_ML: Final = 1e-6
_M3_PER_KG: Final = 1e-3
_WEEK: Final = 7
_BAND: Final = 0.10
"""Farms differ by about so much in feed for the same growth; errors of the tables are within it
(chickens). Assumed."""
_BAND_OTHERS: Final = 0.16


@dataclass(frozen=True, slots=True)
class Phase:
    """One kind of feed and when it is given.

    Parameters
    ----------
    name : str
        As the farm calls it.
    from_d : int
        First day of age [d].
    crude_protein : float
        Share of the feed [1].
    """

    name: str
    from_d: int
    crude_protein: float


@dataclass(frozen=True, slots=True)
class PhaseFeed:
    """How much of one feed is needed.

    Parameters
    ----------
    phase : Phase
        Which.
    to_d : int
        First day of age on which it is no longer given [d].
    per_bird_kg : float
        For a bird that lives through it [kg].
    total : Estimate
        For all birds there are [kg].
    protein_kg : float
        Crude protein in the middle value of the total [kg].
    """

    phase: Phase
    to_d: int
    per_bird_kg: float
    total: Estimate
    protein_kg: float


@dataclass(frozen=True, slots=True)
class FeedPlan:
    """Feed and water of a lot from one day of age to another.

    Parameters
    ----------
    phases : tuple of PhaseFeed
        In order; a phase the lot does not reach is left out.
    total : Estimate
        All phases [kg].
    per_bird_kg : float
        For a bird that lives to the end [kg].
    feed_per_gain : float
        Of that bird [1].
    busiest_week_kg : float
        Most feed in any seven days in a row [kg].
    water_busiest_day_m3 : Estimate
        Most water in a day [m3].
    water_total_m3 : Estimate
        All of it [m3].
    """

    phases: tuple[PhaseFeed, ...]
    total: Estimate
    per_bird_kg: float
    feed_per_gain: float
    busiest_week_kg: float
    water_busiest_day_m3: Estimate
    water_total_m3: Estimate


def usual_phases(species: Species) -> tuple[Phase, ...]:
    """Return the usual feeds of a kind of bird.

    Parameters
    ----------
    species : str
        ``"chicken"``, ``"turkey"`` or ``"duck"``.

    Returns
    -------
    tuple of Phase
        In order of age.

    References
    ----------
    National Research Council 1994, Nutrient Requirements of Poultry, 9th edition; the packaged
    table ``feed.toml`` says how each is known.
    """
    rows = table("feed")["phases"][species]
    return tuple(Phase(r["name"], r["from_d"], r["crude_protein"] / _PERCENT) for r in rows)


def daily_feed_kg(
    path_kg: Sequence[float] | Floats,
    species: Species = "chicken",
    *,
    energy_J_per_kg: float = TABLE_ENERGY_J_PER_KG,
    extra_frac: float = 0.0,
) -> Floats:
    """Return what a bird eats each day along its growth.

    Parameters
    ----------
    path_kg : sequence of float
        Weight at the start of day 0, 1, …, shape (n + 1,) [kg].
    species : str
        ``"chicken"``, ``"turkey"`` or ``"duck"``.
    energy_J_per_kg : float
        Metabolisable energy of the feed; leaner feed is eaten more [J/kg].
    extra_frac : float
        The farm's spilling, cold and foraging on top, as a share; may be below zero [1].

    Returns
    -------
    ndarray
        Feed of each day, shape (n,) [kg].

    Raises
    ------
    InputError
        If there is no day, or a number is not above zero.

    Notes
    -----
    Within 5 % of the tables it was fitted to; 8 % below to 2 % above trials with later strains.

    References
    ----------
    F = (3200 / ME) (m W^0.75 + g dW), m and g fitted to National Research Council 1984 and 1994
    (independent computation); the packaged table ``feed.toml`` has both with their status.
    """
    path = np.asarray(path_kg, dtype=float)
    if len(path) < 2 or not np.all(path > 0):  # noqa: PLR2004 - one day
        raise InputError("path_kg", len(path), _("Feed needs weights over at least one day."))
    positive("energy_J_per_kg", energy_J_per_kg)
    positive("extra_frac", 1 + extra_frac)
    intake = table("feed")["intake"][species]
    middle = (path[1:] + path[:-1]) / 2
    eaten = intake["keep"] * middle**_SHAPE + intake["gain"] * np.maximum(np.diff(path), 0.0)
    found: Floats = (1 + extra_frac) * TABLE_ENERGY_J_PER_KG / energy_J_per_kg * eaten
    return found


def feed_plan(
    path_kg: Sequence[float] | Floats,
    heads_by_day: Sequence[float] | Floats,
    species: Species = "chicken",
    *,
    phases: Sequence[Phase] | None = None,
    from_d: int = 0,
    energy_J_per_kg: float = TABLE_ENERGY_J_PER_KG,
    extra_frac: float = 0.0,
    air_degC: float | None = None,
) -> FeedPlan:
    """Say how much of each feed, and how much water, a lot needs.

    Parameters
    ----------
    path_kg : sequence of float
        Weight at the start of day 0, 1, …, shape (n + 1,) [kg].
    heads_by_day : sequence of float
        Birds alive on each of those days, shape (n,) [1].
    species : str
        ``"chicken"``, ``"turkey"`` or ``"duck"``.
    phases : sequence of Phase or None
        None takes the usual ones.
    from_d : int
        Days before it are not counted: what is still to be bought for a standing lot [d].
    energy_J_per_kg : float
        Metabolisable energy of the feed [J/kg].
    extra_frac : float
        Spilling, cold and foraging on top, as a share [1].
    air_degC : float or None
        Usual air temperature at the birds, for the water [degC].

    Returns
    -------
    FeedPlan
        By phase and in all.

    Raises
    ------
    InputError
        If lengths differ, or a number of birds is below zero.

    References
    ----------
    Derivation: daily feed of a bird times the birds there are, summed by phase.
    """
    each = daily_feed_kg(path_kg, species, energy_J_per_kg=energy_J_per_kg, extra_frac=extra_frac)
    birds = np.asarray(heads_by_day, dtype=float)
    if len(birds) != len(each):
        raise InputError("heads_by_day", len(birds), _("Give a number of birds for each day."))
    if not np.all(birds >= 0):
        raise InputError("heads_by_day", float(birds.min()), _("Birds are zero or more."))
    day = np.arange(len(each))
    counted = day >= from_d
    all_kg = np.where(counted, each * birds, 0.0)
    basis = basis_of(table("feed")["intake"][species])
    wide = _BAND if species == "chicken" else _BAND_OTHERS
    ordered = sorted(usual_phases(species) if phases is None else phases, key=lambda p: p.from_d)
    found = []
    for i, phase in enumerate(ordered):
        to_d = ordered[i + 1].from_d if i + 1 < len(ordered) else len(each)
        within = counted & (day >= phase.from_d) & (day < to_d)
        if within.any():
            kg = float(all_kg[within].sum())
            total = Estimate(kg, kg * (1 - wide), kg * (1 + wide), basis)
            found.append(
                PhaseFeed(
                    phase,
                    min(to_d, len(each)),
                    float(each[within].sum()),
                    total,
                    kg * phase.crude_protein,
                )
            )
    whole = float(all_kg.sum())
    week = np.convolve(all_kg, np.ones(min(_WEEK, len(each))), mode="valid")
    water = _water_m3(species, each, birds, air_degC=air_degC)
    water_basis = table("feed")["water_by_feed"]
    path = np.asarray(path_kg, dtype=float)
    return FeedPlan(
        tuple(found),
        Estimate(whole, whole * (1 - wide), whole * (1 + wide), basis),
        float(each[counted].sum()),
        float(each.sum() / (path[-1] - path[0])) if path[-1] > path[0] else math.inf,
        float(week.max()),
        _band([float(w[counted].max(initial=0.0)) for w in water], water_basis),
        _band([float(w[counted].sum()) for w in water], water_basis),
    )


def water_per_bird_m3(age_d: float, season: str = "usual") -> float:
    """Return what a meat chicken drinks in a day.

    Parameters
    ----------
    age_d : float
        Age, to 56 days [d].
    season : str
        ``"usual"``, ``"cool"`` or ``"warm"``.

    Returns
    -------
    float
        Water [m3].

    Raises
    ------
    InputError
        If the age is below zero, or there is no such season.

    References
    ----------
    Pesti et al. 1985, Poultry Science 64:803-808: 5.28 mL for each day of age (5.1 cool, 5.7
    warm).
    """
    not_negative("age_d", age_d)
    entry = table("feed")["water"]
    if season not in {"usual", "cool", "warm"}:
        raise InputError("season", season, _("Choose one of: usual, cool, warm."))
    return float(entry[season]) * age_d * _M3_PER_ML


def bin_m3(mass_kg: float) -> float:
    """Return the room that loose feed takes.

    Parameters
    ----------
    mass_kg : float
        Feed [kg].

    Returns
    -------
    float
        Volume, without headspace [m3].

    Raises
    ------
    InputError
        If it is below zero.

    References
    ----------
    Bulk density of mash and crumble of 34 to 38 lb per cubic foot; unverified.
    """
    return not_negative("mass_kg", mass_kg) / float(table("feed")["bin"]["density_kg_per_m3"])


def _band(ends: Sequence[float], source: dict[str, Any]) -> Estimate:
    value, low, high = ends
    return Estimate(value, low, high, basis_of(source))


def _water_m3(
    species: Species, each: Floats, birds: Floats, *, air_degC: float | None
) -> tuple[Floats, Floats, Floats]:
    """Middle, low and high water of each day."""
    feed = table("feed")
    low, middle, high = (
        float(r) * each * birds * _M3_PER_KG for r in feed["water_by_feed"][species]
    )
    heat = feed["water_in_heat"]
    if air_degC is not None and air_degC > to_si(heat["above_F"], "F", "temperature"):
        more = heat["low"], (heat["low"] + heat["high"]) / 2, heat["high"]
        low, middle, high = (w * (1 + m) for w, m in zip((low, middle, high), more, strict=True))
    return middle, low, high
