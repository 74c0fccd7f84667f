"""Whether a sale fits the tier: to whom, where, in what form."""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping
from decimal import Decimal
from typing import Final

from pinfeather.errors import InputError
from pinfeather.finding import Finding, Severity
from pinfeather.rules.build import BUYERS, FORMS, VENUES
from pinfeather.rules.count import tier_of
from pinfeather.rules.limit import Limit
from pinfeather.rules.model import Profile
from pinfeather.words import gettext as _
from pinfeather.words import gettext_noop

FIELD_WORDS: Final[Mapping[str, str]] = {
    "buyer_name": gettext_noop("the buyer's name"),
    "buyer_address": gettext_noop("the buyer's address"),
    "sale_date": gettext_noop("the date of the sale"),
    "slaughter_date": gettext_noop("the date of slaughter"),
    "species": gettext_noop("the kind of bird"),
    "quantity": gettext_noop("how many packages"),
    "net_weight": gettext_noop("the net weight"),
    "description": gettext_noop("what was sold"),
    "sale_place": gettext_noop("where it was sold"),
    "producer": gettext_noop("the producer's name and address"),
}
"""What the record of a sale can say, in words."""


def sale_findings(
    profile: Profile,
    tier_code: str,
    *,
    buyer: str,
    venue: str,
    form: str,
    leaves_state: bool = False,
    delivered_by_self: bool = True,
) -> tuple[Finding, ...]:
    """Judge one kind of sale.

    Parameters
    ----------
    profile : Profile
        The rules in force.
    tier_code : str
        The farm's tier.
    buyer : str
        ``"household"``, ``"restaurant"``, ``"hotel"``, ``"boardinghouse"``, ``"retail_store"``,
        ``"distributor"`` or ``"institution"``.
    venue : str
        ``"farm"``, ``"farmers_market"``, ``"csa"``, ``"delivery"``, ``"shop"`` or
        ``"restaurant"``.
    form : str
        ``"whole"``, ``"parts"``, ``"giblets"`` or ``"further_processed"``.
    leaves_state : bool
        Whether it is delivered or shipped across the state line.
    delivered_by_self : bool
        Whether the producer hands it over himself.

    Returns
    -------
    tuple of Finding
        What the tier does not allow.

    Raises
    ------
    InputError
        If the tier or a word is unknown.

    Notes
    -----
    Where a rule names no buyers, venues or forms, none is refused.

    References
    ----------
    9 CFR 381.10; 21 U.S.C. 453(a); the state's rule in the profile.
    """
    tier = tier_of(profile, tier_code)
    for name, word, known in (
        ("buyer", buyer, BUYERS),
        ("venue", venue, VENUES),
        ("form", form, FORMS),
    ):
        if word not in known:
            raise InputError(
                name,
                word,
                _("“{word}” is not one of: {known}.").format(word=word, known=", ".join(known)),
            )
    found: list[tuple[str, str]] = []
    if tier.cap is None:
        found.append(("sale.none", _("Nothing may be sold under “{tier}”.")))
    if leaves_state:
        found.append(("sale.interstate", _("Nothing sold under “{tier}” may leave the state.")))
    if tier.buyers and buyer not in tier.buyers:
        found.append(("sale.buyer", _("“{tier}” does not allow this buyer.")))
    if tier.venues and venue not in tier.venues:
        found.append(("sale.venue", _("“{tier}” does not allow this place of sale.")))
    if tier.forms and form not in tier.forms:
        found.append(("sale.form", _("“{tier}” does not allow this form.")))
    if tier.self_distribution_required and not delivered_by_self:
        found.append(("sale.delivery", _("Under “{tier}” you must deliver yourself.")))
    return tuple(
        Finding(
            code=code,
            severity=Severity.STOP,
            sentence=sentence.format(tier=tier.name),
            where=tier.code,
            citation=tier.citation,
            status=tier.status,
        )
        for code, sentence in found
    )


def sale_record_findings(profile: Profile, *, said: Collection[str]) -> tuple[Finding, ...]:
    """Point at what the record of a sale does not say and the rules ask for.

    Parameters
    ----------
    profile : Profile
        The rules in force.
    said : collection of str
        Fields that are filled in, by their names in ``rules.build.SALE_FIELDS``.

    Returns
    -------
    tuple of Finding
        One for all that is missing: a stop where the rule demands it, a note where it is advised.

    References
    ----------
    9 CFR 381.175(b)(1); the state's rule in the profile.
    """
    rules = profile.records
    missing = [name for name in rules.sale_fields if name not in said]
    if not missing:
        return ()
    words = ", ".join(_(FIELD_WORDS[name]) for name in missing)
    return (
        Finding(
            code="sale.record",
            severity=Severity.STOP if rules.sale_required else Severity.NOTE,
            sentence=_("The record of this sale lacks {what}.").format(what=words),
            reason=rules.sale_duty.text,
            where="buyer",
            citation=rules.sale_duty.citation,
            status=rules.sale_duty.status,
        ),
    )


def retail_quantity_findings(
    profile: Profile, *, mass_kg: float, household: bool
) -> tuple[Finding, ...]:
    """Judge the size of one sale under the retail-store exemption.

    Parameters
    ----------
    profile : Profile
        The rules in force.
    mass_kg : float
        Poultry sold at once [kg].
    household : bool
        Whether the buyer is a household.

    Returns
    -------
    tuple of Finding
        A stop when it is more than a normal retail quantity.

    Raises
    ------
    InputError
        If the weight is not a positive number.

    References
    ----------
    9 CFR 381.10(d)(2)(ii).
    """
    if not (math.isfinite(mass_kg) and mass_kg > 0):
        raise InputError("mass_kg", mass_kg, _("A weight must be more than zero."))
    rules = profile.retail
    most = rules.household_quantity if household else rules.other_quantity
    if mass_kg <= most.si:
        return ()
    return (
        Finding(
            code="retail.quantity",
            severity=Severity.STOP,
            sentence=_("More than {limit} at once is not a normal retail quantity.").format(
                limit=most
            ),
            where="retail",
            measured=mass_kg,
            limit=most.si,
            unit="kg",
            citation=most.citation,
            status=most.status,
        ),
    )


def retail_dollar_limit(profile: Profile, year: int) -> Limit:
    """Return the yearly dollar limit on sales to others than households.

    Parameters
    ----------
    profile : Profile
        The rules in force.
    year : int
        Calendar year.

    Returns
    -------
    Limit
        As published for that year.

    Raises
    ------
    InputError
        If the profile has no figure for that year.

    References
    ----------
    9 CFR 381.10(d)(2)(iii); the year's Federal Register notice in the profile.
    """
    known = profile.retail.dollars_by_year
    if year not in known:
        raise InputError(
            "year",
            year,
            _("These rules have no dollar limit for {year}. Known years: {known}.").format(
                year=year, known=", ".join(str(y) for y in sorted(known))
            ),
        )
    return known[year]


def adjusted_dollar_limit(profile: Profile, last: Decimal, *, index_change: Decimal) -> Decimal:
    """Carry a retail dollar limit to the next year by the price index.

    Parameters
    ----------
    profile : Profile
        The rules in force.
    last : Decimal
        Limit of the year before [USD].
    index_change : Decimal
        Change of the index as a fraction, such as 0.0083.

    Returns
    -------
    Decimal
        Rounded as the rule says, or the old limit where the change is too small [USD].

    References
    ----------
    90 FR 11699 (11 March 2025), as summarised.
    """
    step = Decimal(profile.retail.adjust_to.value)
    new = last * (1 + index_change)
    if abs(new - last) <= Decimal(profile.retail.adjust_when_over.value):
        return last
    return (new / step).quantize(Decimal(1)) * step
