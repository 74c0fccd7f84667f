"""Birds counted against the yearly cap."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from pinfeather.errors import InputError
from pinfeather.finding import Finding, Severity
from pinfeather.rules.limit import Limit
from pinfeather.rules.model import Profile
from pinfeather.rules.tier import Tier
from pinfeather.words import gettext as _

_SHARE_DECIMALS: Final = 9


@dataclass(frozen=True, slots=True)
class Headroom:
    """What is left under the yearly cap.

    Parameters
    ----------
    cap : Limit or None
        As published; None where the tier has no cap.
    most : int or None
        Greatest count that keeps the tier.
    counted : int
        Birds slaughtered so far this calendar year, weighted as the rule says.
    planned : int
        Birds of the day being planned, weighted.
    left_after : int or None
        ``most`` less both; negative when the plan passes the cap.
    findings : tuple of Finding
        Warnings.
    """

    cap: Limit | None
    most: int | None
    counted: int
    planned: int
    left_after: int | None
    findings: tuple[Finding, ...]


def tier_of(profile: Profile, tier_code: str) -> Tier:
    """Return a tier of a profile.

    Parameters
    ----------
    profile : Profile
        The rules in force.
    tier_code : str
        Its name in files.

    Returns
    -------
    Tier
        The tier.

    Raises
    ------
    InputError
        If the profile has no such tier, or the place does not allow it.

    References
    ----------
    Derivation: lookup.
    """
    open_tiers = {code: tier for code, tier in profile.tiers.items() if tier.allowed}
    if tier_code not in open_tiers:
        raise InputError(
            "tier",
            tier_code,
            _("“{tier}” is not open under {profile}. Open: {known}.").format(
                tier=tier_code, profile=profile.name, known=", ".join(open_tiers)
            ),
        )
    return open_tiers[tier_code]


def weighted(tier: Tier, birds: Mapping[str, int], *, name: str = "birds") -> int:
    """Count birds the way the cap counts them.

    Parameters
    ----------
    tier : Tier
        Whose weights to use.
    birds : mapping of str to int
        Head by kind.
    name : str
        Where they were given, for a fault.

    Returns
    -------
    int
        Weighted count; kinds that are not poultry under the rule count nothing.

    Raises
    ------
    InputError
        If a kind is unknown or a number is negative.

    References
    ----------
    9 CFR 381.1 for the kinds; the tier's citation for the weights.
    """
    total = 0
    for kind, head in birds.items():
        if head < 0:
            raise InputError(f"{name}.{kind}", head, _("A count of birds cannot be negative."))
        if kind in tier.not_counted:
            continue
        if kind not in tier.count_weight:
            raise InputError(
                f"{name}.{kind}",
                kind,
                _("“{kind}” is not a kind these rules know. Known: {known}.").format(
                    kind=kind, known=", ".join([*tier.count_weight, *tier.not_counted])
                ),
            )
        total += head * tier.count_weight[kind]
    return total


def headroom(
    profile: Profile,
    tier_code: str,
    *,
    counted: Mapping[str, int],
    planned: Mapping[str, int],
) -> Headroom:
    """Say how many birds are left under the yearly cap.

    Parameters
    ----------
    profile : Profile
        The rules in force.
    tier_code : str
        The farm's tier.
    counted : mapping of str to int
        Head slaughtered so far this calendar year, by kind; birds condemned after slaughter
        included, birds that died before it not.
    planned : mapping of str to int
        Head of the day being planned, by kind.

    Returns
    -------
    Headroom
        The count and its warnings.

    Raises
    ------
    InputError
        If the tier or a kind is unknown, or a number is negative.

    Notes
    -----
    A new calendar year starts at zero; the caller passes one year's birds.

    References
    ----------
    9 CFR 381.10(b)(1) and (c)(1): "in the current calendar year"; 9 CFR 381.1, "slaughter".
    """
    tier = tier_of(profile, tier_code)
    before = weighted(tier, counted, name="counted")
    today = weighted(tier, planned, name="planned")
    left = None if tier.most is None else tier.most - before - today
    return Headroom(
        cap=tier.cap,
        most=tier.most,
        counted=before,
        planned=today,
        left_after=left,
        findings=_warnings(profile, tier, before=before, today=today),
    )


def _reaches(count: int, share: Limit, *, of: int) -> bool:
    """Compare a count with a share of the cap, free of the noise of binary fractions."""
    return round(count / of, _SHARE_DECIMALS) >= round(share.si, _SHARE_DECIMALS)


def _warnings(profile: Profile, tier: Tier, *, before: int, today: int) -> tuple[Finding, ...]:
    if tier.cap is None or tier.most is None:
        return ()
    after = before + today
    lost = _("Past the cap the whole calendar year is no longer under this tier.")
    if before > tier.most:
        code, severity = "count.over_cap", Severity.STOP
        sentence = _("{counted:,} birds counted this year, more than the {most:,} allowed.").format(
            counted=before, most=tier.most
        )
        reason = lost
    elif after > tier.most:
        code, severity = "count.passes_cap", Severity.STOP
        sentence = _(
            "This day would bring the year to {after:,} birds; at most {most:,} are allowed."
        ).format(after=after, most=tier.most)
        reason = _("Leave out {over:,} or choose another tier first. {lost}").format(
            over=after - tier.most, lost=lost
        )
    elif _reaches(after, profile.count.urge_at, of=tier.most):
        code, severity = "count.near_cap", Severity.CHECK
        sentence = _("{after:,} of {most:,} birds used this year; {left:,} left.").format(
            after=after, most=tier.most, left=tier.most - after
        )
        reason = _("The next day may pass the cap. {lost}").format(lost=lost)
    elif _reaches(after, profile.count.warn_at, of=tier.most):
        code, severity = "count.toward_cap", Severity.NOTE
        sentence = _("{after:,} of {most:,} birds used this year; {left:,} left.").format(
            after=after, most=tier.most, left=tier.most - after
        )
        reason = _("Plan the rest of the year with the cap in mind.")
    else:
        return ()
    return (
        Finding(
            code=code,
            severity=severity,
            sentence=sentence,
            reason=reason,
            where=tier.code,
            measured=float(after),
            limit=float(tier.most),
            unit="birds",
            citation=tier.cap.citation,
            status=tier.cap.status,
        ),
    )
