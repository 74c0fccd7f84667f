"""Which tier fits what a farm does."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from pinfeather.rules.count import Headroom, headroom, weighted
from pinfeather.rules.limit import Wording
from pinfeather.rules.model import Profile
from pinfeather.rules.tier import Tier
from pinfeather.words import gettext as _


@dataclass(frozen=True, slots=True)
class FarmFacts:
    """What the farm does this calendar year.

    Parameters
    ----------
    year_birds : mapping of str to int
        All birds slaughtered or to be slaughtered this year, by kind.
    sells : bool
        Whether anything is sold, bartered or given to the public.
    only_owners_birds : bool
        Whether every bird is somebody else's and goes back to that household.
    leaves_state : bool
        Whether any product leaves the state.
    all_own_raised, own_premises : bool
        Whether all birds are raised, and slaughtered, by the farm on its own place.
    other_products : bool
        Whether dressed birds of other farms are bought or sold.
    other_poultry : bool
        Whether any other poultry, live or dead, is bought or sold.
    facility_shared : bool
        Whether anybody else slaughters or processes poultry in the same facility.
    sharing_granted : bool
        Whether a written grant for that is on file.
    direct_only : bool
        Whether the farm itself delivers, only to households, restaurants, hotels and
        boardinghouses.
    only_slaughter_and_cut : bool
        Whether nothing is cooked, smoked or marinated.
    """

    year_birds: Mapping[str, int] = field(default_factory=dict)
    sells: bool = True
    only_owners_birds: bool = False
    leaves_state: bool = False
    all_own_raised: bool = True
    own_premises: bool = True
    other_products: bool = False
    other_poultry: bool = False
    facility_shared: bool = False
    sharing_granted: bool = False
    direct_only: bool = True
    only_slaughter_and_cut: bool = True


@dataclass(frozen=True, slots=True)
class TierAnswer:
    """The tier that fits, and why.

    Parameters
    ----------
    tier : str or None
        Its code; None where none fits.
    reasons : tuple of str
        Why, step by step.
    headroom : Headroom or None
        What is left under its cap.
    blocking : tuple of str
        Facts that shut out a tier.
    open_conditions : tuple of Wording
        What the tier still asks for.
    """

    tier: str | None
    reasons: tuple[str, ...]
    headroom: Headroom | None
    blocking: tuple[str, ...]
    open_conditions: tuple[Wording, ...]


def which_tier(profile: Profile, facts: FarmFacts) -> TierAnswer:
    """Find the tier that fits what a farm does.

    Parameters
    ----------
    profile : Profile
        The rules in force.
    facts : FarmFacts
        What the farm does this calendar year.

    Returns
    -------
    TierAnswer
        The tier with reasons, or what stands in the way.

    Raises
    ------
    InputError
        If a kind of bird is unknown.

    Notes
    -----
    A guide to the question to ask your state, not legal advice.

    References
    ----------
    21 U.S.C. 464; 9 CFR 381.10 (2015 edition), asked in the order of the text.
    """
    blocking: list[str] = []
    if not facts.sells:
        return _answer(profile, facts, "personal", reasons=[_("Nothing is sold or given away.")])
    if facts.only_owners_birds:
        if not (facts.other_products or facts.other_poultry):
            why = _("All birds go back to the owners who brought them.")
            return _answer(profile, facts, "custom", reasons=[why])
        blocking.append(
            _("Custom slaughter is closed to a person who buys or sells poultry products.")
        )
    if facts.leaves_state:
        blocking.append(
            _("Product leaves the state: inspection is needed, or a state programme for it.")
        )
        return TierAnswer(None, (), None, tuple(blocking), ())
    for code in _order(profile):
        tier = profile.tiers[code]
        shut_out = against(tier, facts)
        if not shut_out:
            return _answer(profile, facts, code, reasons=_for(tier), blocking=blocking)
        blocking.extend(
            _("{tier}: {why}").format(tier=tier.name, why=why) for _code, why in shut_out
        )
    blocking.append(_("No tier fits: ask your state about inspection."))
    return TierAnswer(None, (), None, tuple(blocking), ())


def _order(profile: Profile) -> tuple[str, ...]:
    """Selling tiers open in this place: the smallest cap first, then in the order of the text."""
    selling = [
        code
        for code, tier in profile.tiers.items()
        if tier.allowed and tier.cap is not None and code not in ("personal", "custom")
    ]
    return tuple(sorted(selling, key=lambda code: profile.tiers[code].most or 0))


def against(tier: Tier, facts: FarmFacts) -> tuple[tuple[str, str], ...]:
    """Return the facts that shut a farm out of one tier.

    Parameters
    ----------
    tier : Tier
        The class to hold them against.
    facts : FarmFacts
        What the farm does this calendar year.

    Returns
    -------
    tuple of (str, str)
        A stable word for each and its sentence: ``"cap"``, ``"own_raised"``, ``"own_premises"``,
        ``"shared"``, ``"other_trade"``, ``"self_distribution"``, ``"processing"``.

    Raises
    ------
    InputError
        If a kind of bird is unknown.

    References
    ----------
    9 CFR 381.10 (2015 edition); the tier's own citation.
    """
    why = []
    count = weighted(tier, facts.year_birds, name="year_birds")
    if tier.most is not None and count > tier.most:
        sentence = _("{count:,} birds this year, at most {most:,}.")
        why.append(("cap", sentence.format(count=count, most=tier.most)))
    if tier.own_raised_required and not facts.all_own_raised:
        why.append(("own_raised", _("not all birds are your own raising.")))
    if tier.own_premises_required and not facts.own_premises:
        why.append(("own_premises", _("not all birds are slaughtered on your own place.")))
    if facts.facility_shared and not (tier.shared_facility_allowed or facts.sharing_granted):
        sentence = _("somebody else uses the facility for poultry, with no written grant.")
        why.append(("shared", sentence))
    if tier.other_trade == "none" and (facts.other_products or facts.other_poultry):
        sentence = _("other poultry or poultry products are bought or sold this year.")
        why.append(("other_trade", sentence))
    if tier.other_trade == "own birds only" and facts.other_products:
        sentence = _("poultry products from other farms are bought or sold this year.")
        why.append(("other_trade", sentence))
    if tier.self_distribution_required and not facts.direct_only:
        sentence = _("not everything is delivered by you straight to those who eat it.")
        why.append(("self_distribution", sentence))
    if tier.code == "small_enterprise" and not facts.only_slaughter_and_cut:
        why.append(("processing", _("more than slaughter and cutting up is done.")))
    return tuple(why)


def _for(tier: Tier) -> list[str]:
    why = []
    if tier.most is not None:
        why.append(_("At most {most:,} birds this year.").format(most=tier.most))
    if tier.own_raised_required:
        why.append(_("All birds are your own raising."))
    if tier.own_premises_required:
        why.append(_("All are slaughtered on your own place."))
    if tier.self_distribution_required:
        why.append(_("You deliver everything yourself, straight to those who eat it."))
    why.append(_("Everything stays in the state."))
    return why


def _answer(
    profile: Profile,
    facts: FarmFacts,
    code: str,
    *,
    reasons: list[str],
    blocking: Sequence[str] = (),
) -> TierAnswer:
    tier = profile.tiers[code]
    conditions = tier.conditions
    if tier.licence is not None:
        conditions = (tier.licence.duty, *conditions)
    return TierAnswer(
        tier=code,
        reasons=tuple(reasons),
        headroom=headroom(profile, code, counted=facts.year_birds, planned={}),
        blocking=tuple(blocking),
        open_conditions=conditions,
    )
