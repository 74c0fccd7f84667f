"""Amprolium in feed: how much that is, and what the rule says of it."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from pinfeather.errors import InputError
from pinfeather.finding import Finding, Severity
from pinfeather.flock.tables import table
from pinfeather.units import KG_PER_LB
from pinfeather.words import gettext as _

_SHORT_TON_KG: Final = 2000 * KG_PER_LB


@dataclass(frozen=True, slots=True)
class Amprolium:
    """What a feed's amprolium comes to.

    Parameters
    ----------
    share_frac : float
        Of the feed by weight [fraction].
    withdrawal_d : int
        Days that the rule states before slaughter [d].
    findings : tuple of Finding
        What stands against it.
    citation, status : str
        Where the numbers stand, and how they are known.
    """

    share_frac: float
    withdrawal_d: int
    findings: tuple[Finding, ...]
    citation: str
    status: str


def amprolium(share_frac: float, *, species: str, bentonite: bool) -> Amprolium:
    """Hold amprolium in a complete feed against the rule.

    Parameters
    ----------
    share_frac : float
        Of the feed by weight [fraction].
    species : str
        Kind of bird.
    bentonite : bool
        Whether bentonite is in the feed.

    Returns
    -------
    Amprolium
        With findings where the rule has no such feed.

    Raises
    ------
    InputError
        If the share is not between nothing and one.

    References
    ----------
    21 CFR 558.55, 2015 edition: grams to the short ton of complete feed.
    """
    if not (math.isfinite(share_frac) and 0 < share_frac <= 1):
        raise InputError("share_frac", share_frac, _("A share lies between 0 and 1."))
    row = table("medicated_feed")
    low, high = (share_of(row[f"{end}_g_per_ton"]) for end in ("lowest", "highest"))
    found = []
    if not low <= share_frac <= high * (1 + 1e-9):
        found.append(_against(row, _("The rule has no such share in complete feed for broilers.")))
    if species not in row["kinds"]:
        found.append(_against(row, _("The rule names no such birds: ask before it is fed.")))
    if bentonite:
        found.append(_against(row, _("No bentonite may be in feed with amprolium.")))
    return Amprolium(
        share_frac, int(row["withdrawal_d"]), tuple(found), row["citation"], row["status"]
    )


def share_of(grams_per_ton: float) -> float:
    """Return grams to the short ton as a share by weight.

    Parameters
    ----------
    grams_per_ton : float
        As the label says [g/short ton].

    Returns
    -------
    float
        Of the feed by weight [fraction].

    References
    ----------
    A short ton is 2,000 lb; NIST Handbook 44, appendix C.
    """
    return grams_per_ton / 1000 / _SHORT_TON_KG


def _against(row: dict[str, str], sentence: str) -> Finding:
    return Finding(
        code="feed.amprolium",
        severity=Severity.STOP,
        sentence=sentence,
        reason=_("The label on the bag governs; a veterinarian may order otherwise."),
        citation=row["citation"],
        status=row["status"],
    )
