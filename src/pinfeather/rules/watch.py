"""Watching what a farm does against its tier: each breach is a finding that names the rule."""

from __future__ import annotations

import re
from typing import Final

from pinfeather.finding import Finding, Severity
from pinfeather.rules.count import tier_of
from pinfeather.rules.model import Profile
from pinfeather.rules.which import FarmFacts, against
from pinfeather.words import gettext as _

_STATE_AND_ZIP: Final = re.compile(r"\b([A-Z]{2})\.?[ ,]+\d{5}(?:-\d{4})?\b")
_DELIVERED: Final = frozenset({"delivery"})
_COUNTRY_AND_STATE: Final = re.compile(r"US-([A-Z]{2})")


def facts_findings(profile: Profile, tier_code: str, facts: FarmFacts) -> tuple[Finding, ...]:
    """Hold what a farm does this year against the tier it sells under.

    Parameters
    ----------
    profile : Profile
        The rules in force.
    tier_code : str
        The farm's tier.
    facts : FarmFacts
        What the farm does this calendar year.

    Returns
    -------
    tuple of Finding
        A stop for each fact that the tier does not allow.

    Raises
    ------
    InputError
        If the tier or a kind of bird is unknown.

    References
    ----------
    9 CFR 381.10 (2015 edition); 21 U.S.C. 453(a) for the state line; the tier's own citation.
    """
    tier = tier_of(profile, tier_code)
    found = list(against(tier, facts))
    if tier.cap is None and facts.sells:
        found.append(("sells", _("birds are sold or given away.")))
    if facts.leaves_state:
        found.append(("leaves_state", _("product leaves the state.")))
    return tuple(
        Finding(
            code=f"tier.{code}",
            severity=Severity.STOP,
            sentence=_("Not under “{tier}”: {why}").format(tier=tier.name, why=why),
            reason=_("Ask your state which exemption or inspection fits."),
            where=tier.code,
            citation=tier.citation,
            status=tier.status,
        )
        for code, why in found
    )


def state_in(address: str) -> str:
    """Find the state of an address of the United States.

    Parameters
    ----------
    address : str
        As written on a letter, with two letters and a zip code.

    Returns
    -------
    str
        Two letters; empty where there are none.

    References
    ----------
    The two-letter codes of ISO 3166-2:US before a zip code of five or nine digits.

    Examples
    --------
    >>> state_in("7 Church Hill, Hollis Creek, MO 65000")
    'MO'
    """
    found = _STATE_AND_ZIP.findall(address)
    return str(found[-1]) if found else ""


def state_line_findings(
    profile: Profile, tier_code: str, *, farm_address: str, buyer_address: str, venue: str
) -> tuple[Finding, ...]:
    """Look at the address of a buyer before something is sold across the state line.

    Parameters
    ----------
    profile : Profile
        The rules in force; a state's own profile says which state the farm is in.
    tier_code : str
        The farm's tier.
    farm_address, buyer_address : str
        As written; where either shows no state, nothing is said.
    venue : str
        Where it is sold, as in ``rules.build.VENUES``.

    Returns
    -------
    tuple of Finding
        A stop where it is delivered into another state, a check where somebody from there picks
        it up.

    Raises
    ------
    InputError
        If the tier is unknown.

    Notes
    -----
    A customer who carries a bird home across a state line is a grey point; the state decides.

    References
    ----------
    21 U.S.C. 453(a): commerce is between a state and any place outside it; 9 CFR 381.10.
    """
    tier = tier_of(profile, tier_code)
    own = _COUNTRY_AND_STATE.fullmatch(profile.jurisdiction)
    here = own[1] if own else state_in(farm_address)
    there = state_in(buyer_address)
    if not here or not there or here == there:
        return ()
    if venue in _DELIVERED:
        return (
            Finding(
                code="sale.interstate",
                severity=Severity.STOP,
                sentence=_("The address is in {there}: nothing may be delivered there.").format(
                    there=there
                ),
                reason=_("Under “{tier}” everything stays in {here}.").format(
                    tier=tier.name, here=here
                ),
                where=tier.code,
                citation=_("{tier}; 21 U.S.C. 453(a)").format(tier=tier.citation),
                status=tier.status,
            ),
        )
    return (
        Finding(
            code="sale.state_line",
            severity=Severity.CHECK,
            sentence=_("This buyer lives in {there}.").format(there=there),
            reason=_("Carrying a bird home across the state line is a grey point: ask your state."),
            where=tier.code,
            citation=_("21 U.S.C. 453(a), our reading"),
            status="disputable",
        ),
    )
