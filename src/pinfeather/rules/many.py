"""A whole year of birds held against the rules at once."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields
from typing import Any

import numpy as np
from numpy.typing import NDArray

from pinfeather.errors import InputError
from pinfeather.rules.chill import chill_limit
from pinfeather.rules.count import tier_of, weighted
from pinfeather.rules.model import Profile
from pinfeather.rules.sale import sale_findings
from pinfeather.words import gettext as _

Numbers = NDArray[np.float64]
Flags = NDArray[np.bool_]
_MICROGRAM_DECIMALS = 9


@dataclass(frozen=True, slots=True)
class BirdTable:
    """Birds of one calendar year in the order they were slaughtered, one entry for each.

    Parameters
    ----------
    kind : ndarray of str
        Kind of bird.
    mass_kg : ndarray
        Ready-to-cook carcass weight [kg].
    carcass_degC, since_start_s : ndarray
        Reading of the carcass, and time since the clock of the profile started [degC] [s].
    giblets_degC, since_drawn_s : ndarray
        The same for the giblets, from drawing on [degC] [s].
    hold_degC, held_s : ndarray
        In the cooler: temperature, and time since slaughter [degC] [s].
    centre_degC, in_freezer_s : ndarray
        In the freezer: temperature at the centre, and time since it went in [degC] [s].
    buyer, venue, form : ndarray of str
        How it was sold, as in ``rules.build``.
    leaves_state : ndarray of bool
        Whether it left the state.
    """

    kind: NDArray[np.str_]
    mass_kg: Numbers
    carcass_degC: Numbers
    since_start_s: Numbers
    giblets_degC: Numbers
    since_drawn_s: Numbers
    hold_degC: Numbers
    held_s: Numbers
    centre_degC: Numbers
    in_freezer_s: Numbers
    buyer: NDArray[np.str_]
    venue: NDArray[np.str_]
    form: NDArray[np.str_]
    leaves_state: Flags


def judge_birds(profile: Profile, tier_code: str, birds: BirdTable) -> Mapping[str, Flags]:
    """Judge every bird by every rule that speaks about a bird.

    Parameters
    ----------
    profile : Profile
        The rules in force.
    tier_code : str
        The farm's tier.
    birds : BirdTable
        The birds of one calendar year.

    Returns
    -------
    mapping of str to ndarray of bool
        By the code of the finding, whether each bird has it; as the one-by-one functions of
        ``rules.count``, ``rules.chill``, ``rules.cold`` and ``rules.sale`` say.

    Raises
    ------
    InputError
        If a kind, a word or the tier is unknown, a number is not finite, a weight is not
        positive, or the entries do not have one length.

    References
    ----------
    As the one-by-one functions; their equality is tested.
    """
    _check(birds)
    chill, freezing, timing = profile.chill, profile.freezing, profile.timing
    within_s = _within_s(profile, birds.mass_kg)
    warm_giblets = birds.giblets_degC > chill.giblets_target.si
    late_s = min(chill.giblets_within.si, timing.giblets_to_cold.si)
    warmest_degC: Numbers | float = chill.hold.si
    if chill.long_hold and chill.long_hold_after:
        longer = birds.held_s > chill.long_hold_after.si
        warmest_degC = np.where(longer, chill.long_hold.si, chill.hold.si)
    longest_s = np.inf if chill.hold_hours is None else chill.hold_hours.si
    return {
        "count.over_cap": _over_cap(profile, tier_code, birds.kind),
        "chill.late": (birds.carcass_degC > chill.target.si) & (birds.since_start_s >= within_s),
        "chill.giblets_late": warm_giblets & (birds.since_drawn_s >= late_s),
        "hold.warm": birds.hold_degC > warmest_degC,
        "hold.long": birds.held_s > longest_s,
        "freeze.slow": (birds.centre_degC > freezing.target.si)
        & (birds.in_freezer_s >= freezing.within.si),
        **_sales(profile, tier_code, birds),
    }


def _check(birds: BirdTable) -> None:
    columns: dict[str, NDArray[Any]] = {one.name: getattr(birds, one.name) for one in fields(birds)}
    if len({column.shape for column in columns.values()}) != 1:
        raise InputError("birds", None, _("Every column needs one entry for each bird."))
    for name, column in columns.items():
        if column.dtype.kind != "f":
            continue
        if not np.isfinite(column).all() or (name.endswith("_s") and (column < 0).any()):
            raise InputError(name, None, _("Give a temperature and a time that has passed."))
    if not (birds.mass_kg > 0).all():
        raise InputError("mass_kg", None, _("A carcass weight must be more than zero."))


def _within_s(profile: Profile, mass_kg: Numbers) -> Numbers:
    """Return the time allowed for each carcass, each weight looked up once [s]."""
    edges = [
        round(band.below.si, _MICROGRAM_DECIMALS)
        for band in profile.chill.bands
        if band.below is not None
    ]
    mass = np.round(mass_kg, _MICROGRAM_DECIMALS)
    place = np.zeros(mass.shape, dtype=np.intp)
    for edge, band in zip(edges, profile.chill.bands, strict=False):
        place += (mass > edge) | ((mass == edge) & (not band.inclusive))
    limits = np.array([band.within.si for band in profile.chill.bands])
    if mass.size:
        chill_limit(profile, float(mass.max()))  # refuses a carcass that no class holds
    within_s: Numbers = limits[place]
    return within_s


def _over_cap(profile: Profile, tier_code: str, kind: NDArray[np.str_]) -> Flags:
    tier = tier_of(profile, tier_code)
    names, place = np.unique(kind, return_inverse=True)
    weight = np.array([weighted(tier, {str(name): 1}) for name in names], dtype=np.int64)
    counted = np.cumsum(weight[place]) if kind.size else np.zeros(0, dtype=np.int64)
    over: Flags = counted > (np.iinfo(np.int64).max if tier.most is None else tier.most)
    return over


def _sales(profile: Profile, tier_code: str, birds: BirdTable) -> dict[str, Flags]:
    """Judge each way of selling once, and give every bird its own."""
    found: dict[str, Flags] = {}
    ways = np.zeros(birds.buyer.shape, dtype=np.int64)
    for column in (birds.buyer, birds.venue, birds.form, birds.leaves_state):
        names, place = np.unique(column, return_inverse=True)
        ways = ways * (len(names) or 1) + place
    _each, first, way = np.unique(ways, return_index=True, return_inverse=True)
    for number, at in enumerate(first):
        judged = sale_findings(
            profile,
            tier_code,
            buyer=str(birds.buyer[at]),
            venue=str(birds.venue[at]),
            form=str(birds.form[at]),
            leaves_state=bool(birds.leaves_state[at]),
        )
        for finding in judged:
            flags = found.setdefault(finding.code, np.zeros(ways.shape, dtype=np.bool_))
            flags |= way == number
    return found
