"""Nitrogen and phosphorus that birds leave on the ground."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from pinfeather.finding import Finding, Severity
from pinfeather.flock.guards import not_negative, positive, share
from pinfeather.flock.tables import table
from pinfeather.units import KG_PER_LB, M_PER_FOOT
from pinfeather.words import gettext as _

M2_PER_ACRE: Final = 43560 * M_PER_FOOT**2  # exact by the international foot


@dataclass(frozen=True, slots=True)
class GroundLoad:
    """Nitrogen on a piece of ground.

    Parameters
    ----------
    nitrogen_kg : float
        Excreted there [kg].
    per_m2_kg : float
        Spread over it [kg/m2].
    most_birds : float
        Birds of this kind that the limit allows on that ground [1].
    findings : tuple of Finding
        Where it is too much.
    """

    nitrogen_kg: float
    per_m2_kg: float
    most_birds: float
    findings: tuple[Finding, ...]


def nitrogen_kg(feed_kg: float, crude_protein: float) -> float:
    """Return the nitrogen a bird leaves behind from its feed.

    Parameters
    ----------
    feed_kg : float
        Feed eaten [kg].
    crude_protein : float
        Crude protein as a share of it [1].

    Returns
    -------
    float
        Nitrogen excreted; on pasture all of it lands there, and part goes off into the air [kg].

    Raises
    ------
    InputError
        If the feed is below zero or the protein no share.

    References
    ----------
    Patterson et al. 1998, Journal of Applied Poultry Research 7:247-252 (51 % of the nitrogen stays
    in the bird); 6.25 kg of protein for each kg of nitrogen.
    """
    entry = table("room")["nitrogen"]
    eaten = not_negative("feed_kg", feed_kg) * share("crude_protein", crude_protein)
    return float((1 - entry["kept"]) * eaten / entry["protein_per_nitrogen"])


def ground_load(
    bird_nitrogen_kg: Sequence[float] | float,
    birds: int = 1,
    *,
    area_m2: float,
    limit_kg_per_m2: float,
) -> GroundLoad:
    """Compare the nitrogen of a lot with what its ground may take.

    Parameters
    ----------
    bird_nitrogen_kg : float or sequence of float
        Excreted by one bird on that ground, or by each bird [kg].
    birds : int
        How many, where one number is given.
    area_m2 : float
        Ground they cover in the season [m2].
    limit_kg_per_m2 : float
        Nitrogen allowed, from your nutrient plan or extension office [kg/m2].

    Returns
    -------
    GroundLoad
        With a finding where it is above the limit.

    Raises
    ------
    InputError
        If a number is not above zero.

    Notes
    -----
    On ground used year after year phosphorus usually binds first: test the soil.

    References
    ----------
    Derivation: mass over area.
    """
    positive("area_m2", area_m2)
    positive("limit_kg_per_m2", limit_kg_per_m2)
    if isinstance(bird_nitrogen_kg, float | int):
        total, number = bird_nitrogen_kg * birds, birds
    else:
        total, number = sum(bird_nitrogen_kg), len(bird_nitrogen_kg)
    positive("bird_nitrogen_kg", total)
    load = total / area_m2
    most = limit_kg_per_m2 * area_m2 / (total / number)
    findings: tuple[Finding, ...] = ()
    if load > limit_kg_per_m2:
        findings = (
            Finding(
                "land.nitrogen",
                Severity.CHECK,
                _("{found:.0f} lb of nitrogen an acre; your limit is {limit:.0f}.").format(
                    found=per_acre_lb(load), limit=per_acre_lb(limit_kg_per_m2)
                ),
                _("Use {times:.1f} times the ground, or {n:.0f} birds.").format(
                    times=load / limit_kg_per_m2, n=most
                ),
                measured=load,
                limit=limit_kg_per_m2,
                unit="kg/m2",
            ),
        )
    return GroundLoad(total, load, most, findings)


def per_acre_lb(per_m2_kg: float) -> float:
    """Return a load in pounds an acre.

    Parameters
    ----------
    per_m2_kg : float
        Load [kg/m2].

    Returns
    -------
    float
        Load [lb/acre].

    References
    ----------
    Derivation: exact factors of NIST Special Publication 811.
    """
    return per_m2_kg * M2_PER_ACRE / KG_PER_LB


def from_per_acre_lb(per_acre: float) -> float:
    """Return a load given in pounds an acre in SI.

    Parameters
    ----------
    per_acre : float
        Load [lb/acre].

    Returns
    -------
    float
        Load [kg/m2].

    References
    ----------
    Derivation: exact factors of NIST Special Publication 811.
    """
    return per_acre * KG_PER_LB / M2_PER_ACRE
