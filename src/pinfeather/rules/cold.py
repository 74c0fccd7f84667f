"""Keeping cold and freezing."""

from __future__ import annotations

import math

from pinfeather.errors import InputError
from pinfeather.finding import Finding, Severity
from pinfeather.rules.limit import Limit
from pinfeather.rules.model import Profile
from pinfeather.words import gettext as _


def hold_findings(
    profile: Profile, *, temperature_degC: float, held_s: float, where: str = "cooler"
) -> tuple[Finding, ...]:
    """Judge a reading of birds kept cold before sale.

    Parameters
    ----------
    profile : Profile
        The rules in force.
    temperature_degC : float
        Reading [degC].
    held_s : float
        Time since slaughter [s].
    where : str
        What it is about.

    Returns
    -------
    tuple of Finding
        Too warm, or kept too long.

    Raises
    ------
    InputError
        If a number is not finite or the time is negative.

    Notes
    -----
    Frozen product is judged by :func:`freeze_findings`.

    References
    ----------
    The profile's ``chill.hold``, ``hold_hours`` and ``long_hold``.
    """
    _check(temperature_degC, held_s)
    rules, found = profile.chill, []
    warmest = rules.hold
    if rules.long_hold and rules.long_hold_after and held_s > rules.long_hold_after.si:
        warmest = rules.long_hold
    if temperature_degC > warmest.si:
        found.append(
            _finding(
                "hold.warm",
                _("The birds are warmer than {limit}.").format(limit=warmest),
                reason=_("Ice them or move them to a colder place."),
                measured=temperature_degC,
                limit=warmest,
                unit="degC",
                where=where,
            )
        )
    longest = rules.hold_hours
    if longest is not None and held_s > longest.si:
        found.append(
            _finding(
                "hold.long",
                _("The birds have been kept longer than {limit}.").format(limit=longest),
                reason=_("These rules want them sold or frozen by then."),
                measured=held_s,
                limit=longest,
                unit="s",
                where=where,
            )
        )
    return tuple(found)


def freeze_findings(
    profile: Profile, *, centre_degC: float, in_freezer_s: float, where: str = "freezer"
) -> tuple[Finding, ...]:
    """Judge how far a package is frozen.

    Parameters
    ----------
    profile : Profile
        The rules in force.
    centre_degC : float
        Temperature at the centre of the package [degC].
    in_freezer_s : float
        Time since it entered the freezer [s].
    where : str
        What it is about.

    Returns
    -------
    tuple of Finding
        Empty while there is time left or it is frozen.

    Raises
    ------
    InputError
        If a number is not finite or the time is negative.

    Notes
    -----
    At the very end of the time allowed the centre must be at the target.

    References
    ----------
    9 CFR 381.66(f)(2).
    """
    _check(centre_degC, in_freezer_s)
    rules = profile.freezing
    if centre_degC <= rules.target.si or in_freezer_s < rules.within.si:
        return ()
    return (
        _finding(
            "freeze.slow",
            _("The centre is not at {target} after {time}.").format(
                target=rules.target, time=rules.within
            ),
            reason=_("Spread the packages in one layer until they are hard, then stack them."),
            measured=centre_degC,
            limit=rules.target,
            unit="degC",
            where=where,
        ),
    )


def warm_pack_findings(
    profile: Profile, *, freezer_degC: float, since_slaughter_s: float, where: str = "freezer"
) -> tuple[Finding, ...]:
    """Judge a bird put into the freezer without chilling first.

    Parameters
    ----------
    profile : Profile
        The rules in force.
    freezer_degC : float
        Air or plate temperature [degC].
    since_slaughter_s : float
        Time from slaughter to the freezer [s].
    where : str
        What it is about.

    Returns
    -------
    tuple of Finding
        Too late, or the freezer too warm.

    Raises
    ------
    InputError
        If a number is not finite or the time is negative.

    Notes
    -----
    A plate freezer or one with moving air is meant.

    References
    ----------
    9 CFR 381.66(f)(4).
    """
    _check(freezer_degC, since_slaughter_s)
    rules, found = profile.freezing, []
    if since_slaughter_s > rules.warm_within.si:
        found.append(
            _finding(
                "freeze.warm_late",
                _("Warm birds go into the freezer within {limit} of slaughter.").format(
                    limit=rules.warm_within
                ),
                reason=_("Chill this one first."),
                measured=since_slaughter_s,
                limit=rules.warm_within,
                unit="s",
                where=where,
            )
        )
    if freezer_degC > rules.warm_freezer.si:
        found.append(
            _finding(
                "freeze.warm_freezer",
                _("A freezer for warm birds is at {limit} or colder.").format(
                    limit=rules.warm_freezer
                ),
                reason=_("Chill the birds first."),
                measured=freezer_degC,
                limit=rules.warm_freezer,
                unit="degC",
                where=where,
            )
        )
    return tuple(found)


def _check(temperature_degC: float, time_s: float) -> None:
    if not (math.isfinite(temperature_degC) and math.isfinite(time_s)) or time_s < 0:
        raise InputError("time", time_s, _("Give a temperature and a time that has passed."))


def _finding(
    code: str,
    sentence: str,
    *,
    reason: str,
    measured: float,
    limit: Limit,
    unit: str,
    where: str,
) -> Finding:
    return Finding(
        code=code,
        severity=Severity.STOP,
        sentence=sentence,
        reason=reason,
        where=where,
        measured=measured,
        limit=limit.si,
        unit=unit,
        citation=limit.citation,
        status=limit.status,
    )
