"""Whether a freezer or refrigerator full of packages is as cold as it has to be."""

from __future__ import annotations

import math

from pinfeather.errors import InputError
from pinfeather.finding import Finding, Severity
from pinfeather.rules.model import Profile
from pinfeather.words import gettext as _


def storage_findings(
    profile: Profile, *, air_degC: float, uncertainty_K: float, frozen: bool, where: str
) -> tuple[Finding, ...]:
    """Judge a reading of the air in a freezer or refrigerator.

    Parameters
    ----------
    profile : Profile
        The rules in force.
    air_degC : float
        Reading, corrected by the instrument's ice check [degC].
    uncertainty_K : float
        How far it may be off [K].
    frozen : bool
        True for a freezer, False for a refrigerator.
    where : str
        The place's name.

    Returns
    -------
    tuple of Finding
        For a freezer: a stop above the limit for refrigerated poultry, a check above the
        temperature that frozen means. For a refrigerator: a stop above its limit.

    Raises
    ------
    InputError
        If a number is not one.

    Notes
    -----
    The uncertainty counts against the reading. The air of a freezer swings with its door and its
    defrosting; one warm reading is a reason to look at the packages, not yet a loss.

    References
    ----------
    9 CFR 381.129(b)(6) and 381.66(f) for frozen; the profile's limit for birds kept cold.
    """
    for name, value in (("air_degC", air_degC), ("uncertainty_K", uncertainty_K)):
        if not math.isfinite(value):
            raise InputError(name, value, _("Write a temperature."))
    worst = air_degC + abs(uncertainty_K)
    hold, target = profile.chill.hold, profile.freezing.frozen_at
    if worst > hold.si:
        limit, severity, code = hold, Severity.STOP, "storage.warm"
        sentence = _("{place} is warmer than {limit}.").format(place=where, limit=hold)
        reason = _("Look at the packages at once: what is soft and above the limit is not sold.")
    elif frozen and worst > target.si:
        limit, severity, code = target, Severity.CHECK, "storage.not_frozen"
        sentence = _("{place} is not surely at {limit} or colder.").format(
            place=where, limit=target
        )
        reason = _("Shut it, read it again in an hour, and look at frost, seal and load.")
    else:
        return ()
    return (
        Finding(
            code=code,
            severity=severity,
            sentence=sentence,
            reason=reason,
            where=where,
            measured=air_degC,
            limit=limit.si,
            unit="C",
            citation=limit.citation,
            status=limit.status,
        ),
    )
