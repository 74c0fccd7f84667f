"""How soon a carcass must be cold."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from pinfeather.errors import InputError
from pinfeather.finding import Finding, Severity
from pinfeather.rules.limit import Limit
from pinfeather.rules.model import Profile
from pinfeather.units import SECONDS_PER_HOUR
from pinfeather.words import gettext as _

_MICROGRAM_DECIMALS: Final = 9
"""Masses are compared to the microgram, so that 64 oz, 4 lb and 1,814.36948 g are one weight."""


@dataclass(frozen=True, slots=True)
class ChillLimit:
    """The chill limit of one carcass.

    Parameters
    ----------
    target : Limit
        Temperature to reach.
    within_s : float
        Time allowed from the start of the clock [s].
    hours : float
        The same as published [h].
    class_label : str
        Weight class in words.
    clock_start : str
        Event the time runs from.
    citation, status : str
        Source of the time.
    """

    target: Limit
    within_s: float
    hours: float
    class_label: str
    clock_start: str
    citation: str
    status: str


def chill_limit(profile: Profile, mass_kg: float) -> ChillLimit:
    """Say how soon a carcass of this weight must be cold.

    Parameters
    ----------
    profile : Profile
        The rules in force.
    mass_kg : float
        Ready-to-cook carcass weight [kg].

    Returns
    -------
    ChillLimit
        Temperature, time and source.

    Raises
    ------
    InputError
        If the weight is not a positive number.

    Notes
    -----
    Weights are compared with the class boundaries as published, on the side the rule puts them.

    References
    ----------
    The profile's citation; for the federal profile the former 9 CFR 381.66(b)(2), carried in
    Colorado 8 CCR 1202-16, 3.9.
    """
    if not (math.isfinite(mass_kg) and mass_kg > 0):
        raise InputError("mass_kg", mass_kg, _("A carcass weight must be more than zero."))
    mass = round(mass_kg, _MICROGRAM_DECIMALS)
    for band in profile.chill.bands:
        edge = math.inf if band.below is None else round(band.below.si, _MICROGRAM_DECIMALS)
        if mass < edge or (band.inclusive and mass == edge):
            return ChillLimit(
                target=profile.chill.target,
                within_s=band.within.si,
                hours=band.within.si / SECONDS_PER_HOUR,
                class_label=band.label,
                clock_start=profile.chill.clock_start,
                citation=band.within.citation,
                status=band.within.status,
            )
    raise InputError(
        "mass_kg", mass_kg, _("These rules have no chill time for a carcass this heavy.")
    )


def chill_findings(
    profile: Profile,
    *,
    mass_kg: float,
    temperature_degC: float,
    since_start_s: float,
    where: str = "carcass",
) -> tuple[Finding, ...]:
    """Judge one reading of a carcass against its chill time.

    Parameters
    ----------
    profile : Profile
        The rules in force.
    mass_kg : float
        Ready-to-cook carcass weight [kg].
    temperature_degC : float
        Reading at the slowest point [degC].
    since_start_s : float
        Time since the clock of the profile started [s].
    where : str
        What it is about.

    Returns
    -------
    tuple of Finding
        Empty while there is time left or the bird is cold.

    Raises
    ------
    InputError
        If a number is not finite, the weight not positive or the time negative.

    Notes
    -----
    At the very end of the time allowed the bird must be at the target.

    References
    ----------
    As :func:`chill_limit`.
    """
    if not (math.isfinite(temperature_degC) and math.isfinite(since_start_s)) or since_start_s < 0:
        raise InputError(
            "since_start_s", since_start_s, _("Give a temperature and a time that has passed.")
        )
    limit = chill_limit(profile, mass_kg)
    if temperature_degC <= limit.target.si or since_start_s < limit.within_s:
        return ()
    return (
        Finding(
            code="chill.late",
            severity=Severity.STOP,
            sentence=_("A carcass {size} is not at {target} after {hours:g} h.").format(
                size=limit.class_label, target=limit.target, hours=limit.hours
            ),
            reason=_("Hold the batch, cool it, and write down what is done with it."),
            where=where,
            measured=temperature_degC,
            limit=limit.target.si,
            unit="degC",
            citation=limit.citation,
            status=limit.status,
        ),
    )


def giblet_findings(
    profile: Profile, *, temperature_degC: float, since_drawn_s: float, where: str = "giblets"
) -> tuple[Finding, ...]:
    """Judge one reading of giblets taken off the carcass.

    Parameters
    ----------
    profile : Profile
        The rules in force.
    temperature_degC : float
        Reading [degC].
    since_drawn_s : float
        Time since they left the viscera [s].
    where : str
        What it is about.

    Returns
    -------
    tuple of Finding
        Empty while there is time left or they are cold.

    Raises
    ------
    InputError
        If a number is not finite or the time is negative.

    Notes
    -----
    At the very end of the time allowed the giblets must be at the target.

    References
    ----------
    Former 9 CFR 381.66(c)(4); Malaysia DVS Code of Veterinary Practice for Poultry Processing
    Plant (2017), 7.3, as second yardstick.
    """
    if not (math.isfinite(temperature_degC) and math.isfinite(since_drawn_s)) or since_drawn_s < 0:
        raise InputError(
            "since_drawn_s", since_drawn_s, _("Give a temperature and a time that has passed.")
        )
    rule = profile.chill
    if temperature_degC <= rule.giblets_target.si:
        return ()
    stricter = profile.timing.giblets_to_cold
    for limit, severity in ((rule.giblets_within, Severity.STOP), (stricter, Severity.CHECK)):
        if since_drawn_s >= limit.si:
            return (
                Finding(
                    code="chill.giblets_late",
                    severity=severity,
                    sentence=_("Giblets are not yet at {target} {time} after drawing.").format(
                        target=rule.giblets_target, time=limit
                    ),
                    reason=_("Ice them now, or discard them if nobody can say why they are warm."),
                    where=where,
                    measured=temperature_degC,
                    limit=rule.giblets_target.si,
                    unit="degC",
                    citation=limit.citation,
                    status=limit.status,
                ),
            )
    return ()


def cutting_findings(
    profile: Profile, *, temperature_degC: float, where: str = "cutting"
) -> tuple[Finding, ...]:
    """Judge a reading of meat on the cutting table.

    Parameters
    ----------
    profile : Profile
        The rules in force.
    temperature_degC : float
        Reading [degC].
    where : str
        What it is about.

    Returns
    -------
    tuple of Finding
        A stop above the highest allowed, a note between the chill target and that.

    Raises
    ------
    InputError
        If the reading is not a number.

    Notes
    -----
    The rise is allowed only if the meat is promptly cooled again or frozen.

    References
    ----------
    Former 9 CFR 381.66, as quoted in FSIS questions and answers on poultry slaughter.
    """
    if not math.isfinite(temperature_degC):
        raise InputError("temperature_degC", temperature_degC, _("Give a temperature."))
    rise, target = profile.chill.cutting_rise, profile.chill.target
    if temperature_degC <= target.si:
        return ()
    over = temperature_degC > rise.si
    return (
        Finding(
            code="chill.cutting_warm",
            severity=Severity.STOP if over else Severity.NOTE,
            sentence=(
                _("Meat on the table is warmer than {limit}.").format(limit=rise)
                if over
                else _(
                    "Meat on the table is above {target}, which is allowed up to {limit}."
                ).format(target=target, limit=rise)
            ),
            reason=_("Cool it to {target} or freeze it promptly.").format(target=target),
            where=where,
            measured=temperature_degC,
            limit=rise.si,
            unit="degC",
            citation=rise.citation,
            status=rise.status,
        ),
    )
