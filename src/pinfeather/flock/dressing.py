"""From live weight to dressed weight and back."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from pinfeather.errors import InputError
from pinfeather.estimate import Basis, Origin
from pinfeather.flock.guards import not_negative, positive
from pinfeather.flock.spread import Weights
from pinfeather.flock.tables import basis_of, table
from pinfeather.units import SECONDS_PER_HOUR
from pinfeather.words import gettext as _

Floats = NDArray[np.float64]

_PERCENT: Final = 100.0
_KINDS: Final = ("chicken", "slow_chicken", "tom_turkey", "hen_turkey", "duck")
_UNSURE: Final = 0.02
"""How far a farm's own share strays from a published one, one standard deviation. Assumed."""
_OWN_UNSURE: Final = 0.01
"""The same for a share measured on the farm. Assumed."""
_ABOUT: Final = 0.15
"""The share's slope is taken over about one standard deviation of weights either way."""
_LONGEST_OFF_FEED_S: Final = 24 * SECONDS_PER_HOUR


@dataclass(frozen=True, slots=True)
class Dressing:
    """Dressed weight as a share of live weight, by live weight.

    Parameters
    ----------
    live_kg : tuple of float
        Live weights, rising [kg].
    share : tuple of float
        Share at each; held at the ends [1].
    unsure_frac : float
        How unsure it is, one standard deviation as a share of it [1].
    basis : Basis
        Where it comes from.
    """

    live_kg: tuple[float, ...]
    share: tuple[float, ...]
    unsure_frac: float
    basis: Basis


def dressing_kinds() -> tuple[str, ...]:
    """Return the kinds of bird with a published dressing share.

    Returns
    -------
    tuple of str
        For :func:`published_dressing`.

    References
    ----------
    The packaged table ``dressing.toml``, each entry with its source.
    """
    return _KINDS


def published_dressing(kind: str) -> Dressing:
    """Return the published dressing share of a kind of bird.

    Parameters
    ----------
    kind : str
        One of :func:`dressing_kinds`.

    Returns
    -------
    Dressing
        With its source and how sure it is.

    Raises
    ------
    InputError
        If there is no such kind.

    References
    ----------
    The packaged table ``dressing.toml``, each entry with its source.
    """
    if kind not in _KINDS:
        raise InputError("kind", kind, _("Choose one of: {names}.").format(names=", ".join(_KINDS)))
    entry = table("dressing")[kind]
    live, percent = zip(*entry["points"], strict=True)
    return Dressing(live, tuple(p / _PERCENT for p in percent), _UNSURE, basis_of(entry))


def own_dressing(live_kg: Sequence[float], dressed_kg: Sequence[float]) -> Dressing:
    """Return the dressing share of the farm's own earlier lots.

    Parameters
    ----------
    live_kg : sequence of float
        Live weight of each lot or bird, shape (n,) [kg].
    dressed_kg : sequence of float
        Dressed weight of the same, shape (n,) [kg].

    Returns
    -------
    Dressing
        One share for all weights.

    Raises
    ------
    InputError
        If lengths differ, or a dressed weight is not between zero and the live weight.

    References
    ----------
    Derivation: total dressed over total live.
    """
    if not live_kg or len(live_kg) != len(dressed_kg):
        raise InputError("dressed_kg", tuple(dressed_kg), _("Give a dressed for each live weight."))
    if any(not 0 < d < w for w, d in zip(live_kg, dressed_kg, strict=True)):
        raise InputError(
            "dressed_kg", tuple(dressed_kg), _("A dressed bird weighs less than it did alive.")
        )
    whole = math.fsum(live_kg)
    basis = Basis(Origin.OWN, _("your last {n} lots").format(n=len(live_kg)), "measured")
    return Dressing((whole / len(live_kg),), (math.fsum(dressed_kg) / whole,), _OWN_UNSURE, basis)


def dressed_kg(live_kg: float | Floats, dressing: Dressing) -> Floats:
    """Return what a live bird weighs dressed.

    Parameters
    ----------
    live_kg : float or ndarray
        Live weights after feed withdrawal [kg].
    dressing : Dressing
        Share by live weight.

    Returns
    -------
    ndarray
        Dressed weights, before water is picked up [kg].

    References
    ----------
    Derivation: weight times share, linear between the given weights.
    """
    live = np.asarray(live_kg, dtype=float)
    found: Floats = live * np.interp(live, dressing.live_kg, dressing.share)
    return found


def dressed_weights(live: Weights, dressing: Dressing, *, off_feed_s: float = 0.0) -> Weights:
    """Return the spread of dressed weights from that of live weights.

    Parameters
    ----------
    live : Weights
        Full-fed live weights of n lots.
    dressing : Dressing
        Share by live weight.
    off_feed_s : float
        Time off feed before slaughter [s].

    Returns
    -------
    Weights
        Of the same lots, dressed.

    Raises
    ------
    InputError
        If the time off feed is below zero or above a day.

    References
    ----------
    Derivation: means of the sexes taken through the share; spreads by its slope there; the share's
    own uncertainty joined to that of the mean.
    """
    kept = 1 - shrink_frac(off_feed_s)
    male, female = live.male_kg * kept, live.female_kg * kept
    up, down = (dressed_kg(live.mean_kg * kept * (1 + s), dressing) for s in (_ABOUT, -_ABOUT))
    steep = (np.log(up) - np.log(down)) / math.log((1 + _ABOUT) / (1 - _ABOUT))
    return replace(
        live,
        male_kg=dressed_kg(male, dressing),
        female_kg=dressed_kg(female, dressing),
        within_frac=live.within_frac * steep,
        unsure_frac=np.hypot(live.unsure_frac * steep, dressing.unsure_frac),
    )


def shrink_frac(off_feed_s: float) -> float:
    """Return the share of live weight lost off feed.

    Parameters
    ----------
    off_feed_s : float
        Time off feed, water left in [s].

    Returns
    -------
    float
        Share of the full-fed weight [1].

    Raises
    ------
    InputError
        If the time is below zero or above a day.

    Notes
    -----
    At the low published rate, which fits a small farm without a long haul. The carcass itself
    loses nothing before about 12 hours.

    References
    ----------
    Wabeck 1972, Poultry Science 51:1119 (linear in time); rates second hand.
    """
    not_negative("off_feed_s", off_feed_s)
    if off_feed_s > _LONGEST_OFF_FEED_S:
        raise InputError("off_feed_s", off_feed_s, _("Birds are off feed for a day at most."))
    return float(table("dressing")["withdrawal"]["low"]) / _PERCENT * off_feed_s / SECONDS_PER_HOUR


def live_for(carcass_kg: float, *, dressing_share: float, shrink: float = 0.0) -> float:
    """Return the full-fed live weight that gives a wanted carcass.

    Parameters
    ----------
    carcass_kg : float
        Wanted dressed weight [kg].
    dressing_share : float
        Dressed over live weight at slaughter [1].
    shrink : float
        Share lost off feed before [1].

    Returns
    -------
    float
        Full-fed live weight [kg].

    Raises
    ------
    InputError
        If a number is not above zero, or the shrink is all.

    References
    ----------
    Derivation: carcass / share / (1 - shrink).
    """
    positive("carcass_kg", carcass_kg)
    positive("dressing_share", dressing_share)
    positive("shrink", 1 - shrink)
    return carcass_kg / dressing_share / (1 - shrink)


def water_kept(when: str) -> float:
    """Return the weight of a carcass over that after slaughter.

    Parameters
    ----------
    when : str
        ``"after_chill"``, ``"after_a_night"``, ``"after_cutting"`` or ``"a_day_after_cutting"`` of
        water-chilled birds; ``"air_chilled"``.

    Returns
    -------
    float
        Factor [1].

    Raises
    ------
    InputError
        If there is no such moment.

    References
    ----------
    Young and Smith 2004, Poultry Science 83:119-122.
    """
    entry = table("dressing")["water"]
    if not isinstance(entry.get(when), float):
        raise InputError("when", when, _("There is no published weight for that moment."))
    return 1 + float(entry[when]) / _PERCENT
