"""What cutting up a bird is expected to give."""

from __future__ import annotations

import functools
import math
import statistics
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from importlib import resources
from typing import Any, Final

from pinfeather.errors import InputError
from pinfeather.estimate import Basis, Estimate, Origin
from pinfeather.words import gettext as _

_PERCENT: Final = 100.0


@dataclass(frozen=True, slots=True)
class CutUp:
    """Expected weights of the parts of one carcass.

    Parameters
    ----------
    parts_kg : mapping of str to Estimate
        Weight of each part [kg].
    unaccounted_kg : float
        What the middle values leave over [kg].
    """

    parts_kg: Mapping[str, Estimate]
    unaccounted_kg: float


@functools.cache
def _tables() -> dict[str, Any]:
    text = resources.files("pinfeather.packs").joinpath("yields.toml").read_text("utf-8")
    return tomllib.loads(text)


def handbook_shares() -> dict[str, Estimate]:
    """Return published shares of a chicken carcass by part.

    Returns
    -------
    dict of str to Estimate
        Share of the carcass without giblets; the band is the planning range [fraction].

    Notes
    -----
    Fast-growing crosses; a slow-growing bird has less breast and more leg and wing.

    References
    ----------
    Planning ranges, unverified; compare :func:`measured_shares`.
    """
    table = _tables()["planning_chicken"]
    basis = Basis(Origin.HANDBOOK, table["citation"], table["status"])
    return {
        part: Estimate((low + high) / 2 / _PERCENT, low / _PERCENT, high / _PERCENT, basis)
        for part, (low, high) in table["parts"].items()
    }


def measured_shares() -> dict[str, Estimate]:
    """Return the shares measured on ten carcasses cut without leaving a back.

    Returns
    -------
    dict of str to Estimate
        Share of the carcass by part [fraction].

    References
    ----------
    Australian Government Analytical Laboratories for the Australian Chicken Meat Federation (1998).
    """
    table = _tables()["acmf_1998"]
    total = sum(table["grams"].values())
    basis = Basis(Origin.HANDBOOK, table["citation"], table["status"])
    return {
        part: Estimate(grams / total, grams / total, grams / total, basis)
        for part, grams in table["grams"].items()
    }


def lean_shares() -> dict[str, float]:
    """Return how much of each part is lean meat.

    Returns
    -------
    dict of str to float
        Lean as a share of the part [fraction].

    References
    ----------
    Australian Government Analytical Laboratories for the Australian Chicken Meat Federation (1998).
    """
    table = _tables()["acmf_1998"]
    return {part: lean / table["grams"][part] for part, lean in table["lean_grams"].items()}


def own_shares(
    parts_kg: Mapping[str, Sequence[float]], carcass_kg: Sequence[float]
) -> dict[str, Estimate]:
    """Return shares from the farm's own cutting days.

    Parameters
    ----------
    parts_kg : mapping of str to sequence of float
        Weight of each part per day or per bird, shape (n,) [kg].
    carcass_kg : sequence of float
        Carcass weight it was cut from, shape (n,) [kg].

    Returns
    -------
    dict of str to Estimate
        Share by part; the band is the smallest and largest seen [fraction].

    Raises
    ------
    InputError
        If lengths differ, a carcass weighs nothing, or parts weigh more than the carcass.

    References
    ----------
    Derivation: total of the part over total of the carcasses.
    """
    if not carcass_kg or not all(math.isfinite(c) and c > 0 for c in carcass_kg):
        raise InputError("carcass_kg", tuple(carcass_kg), _("Give carcass weights above zero."))
    for part, weights in parts_kg.items():
        if len(weights) != len(carcass_kg) or any(not w >= 0 for w in weights):
            raise InputError(
                f"parts_kg[{part}]", tuple(weights), _("Give one weight per carcass weight.")
            )
    for i, carcass in enumerate(carcass_kg):
        total = math.fsum(weights[i] for weights in parts_kg.values())
        if total > carcass * (1 + 1e-9):
            raise InputError(
                f"carcass_kg[{i}]", carcass, _("The parts weigh more than the carcass.")
            )
    note = _("your last {n} cuttings").format(n=len(carcass_kg))
    basis = Basis(Origin.OWN, note, "measured")
    whole = math.fsum(carcass_kg)
    shares = {}
    for part, weights in parts_kg.items():
        each = [w / c for w, c in zip(weights, carcass_kg, strict=True)]
        mean = statistics.fmean(each) if len(each) == 1 else math.fsum(weights) / whole
        shares[part] = Estimate(mean, min(*each, mean), max(*each, mean), basis)
    return shares


def cut_up(carcass_kg: float, shares: Mapping[str, Estimate] | None = None) -> CutUp:
    """Say what cutting up a carcass is expected to give.

    Parameters
    ----------
    carcass_kg : float
        Weight of the carcass without giblets, one bird or a whole batch [kg].
    shares : mapping of str to Estimate or None
        Share by part; None takes the published ones [fraction].

    Returns
    -------
    CutUp
        Weights by part and what is left over.

    Raises
    ------
    InputError
        If the carcass weighs nothing, or the shares add up to more than one.

    Notes
    -----
    Published shares hold for chickens of about 1.5 to 3 kg.

    References
    ----------
    Derivation: share times weight.
    """
    if not (math.isfinite(carcass_kg) and carcass_kg > 0):
        raise InputError("carcass_kg", carcass_kg, _("A carcass weight must be more than zero."))
    used = handbook_shares() if shares is None else shares
    total = math.fsum(share.value for share in used.values())
    if total > 1 + 1e-9:
        raise InputError("shares", total, _("The shares add up to more than the whole bird."))
    parts = {
        part: Estimate(
            share.value * carcass_kg, share.low * carcass_kg, share.high * carcass_kg, share.basis
        )
        for part, share in used.items()
    }
    return CutUp(parts, max(0.0, carcass_kg * (1 - total)))
