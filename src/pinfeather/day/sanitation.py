"""Sanitiser strength, how often it was renewed, and the water it was mixed with."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from itertools import pairwise
from typing import Final

from pinfeather.day.progress import Progress
from pinfeather.finding import Finding, Severity
from pinfeather.rules.model import Profile
from pinfeather.rules.sanitiser import renew_interval_s, strength_verdict
from pinfeather.words import gettext as _

_PPM: Final = 1e6
_MONTH_DAYS: Final = 365.25 / 12


def sanitiser_findings(
    done: Progress,
    profile: Profile,
    *,
    room_degC: float,
    begin: dt.datetime,
    end: dt.datetime,
) -> tuple[Finding, ...]:
    """Judge the day's sanitiser: strip readings, and the time between renewals.

    Parameters
    ----------
    done : Progress
        The day so far.
    profile : Profile
        The rules in force.
    room_degC : float
        Air temperature in the room [degC].
    begin, end : datetime
        First and last work with birds.

    Returns
    -------
    tuple of Finding
        What is not right; empty where all is.

    References
    ----------
    The profile's limits, each with its own citation.
    """
    findings: list[Finding] = []
    strips = [r for r in done.readings if r.what == "strip"]
    if not strips:
        findings.append(
            Finding(
                code="sanitiser.no_strip",
                severity=Severity.CHECK,
                sentence=_("No sanitiser strip was read."),
                reason=_("Dip a strip in each fresh mix and write down the number, not “OK”."),
                where="sanitiser",
            )
        )
    for strip in strips:
        judged = strength_verdict(profile, "chlorine", strip.si * _PPM)
        unmeasured = [f for f in judged if f.code == "sanitiser.measure"]
        findings.extend(
            replace(f, where=f"strip {strip.written} {strip.id[-6:]}")
            for f in judged
            if f.code not in {"sanitiser.measure", "sanitiser.right"}
        )
        if not unmeasured or len(judged) > len(unmeasured):
            continue
        findings.append(
            replace(
                unmeasured[0],
                severity=Severity.NOTE,
                sentence=_(
                    "The strip read {value}; the warmth of the mix was not measured."
                ).format(value=strip.written),
                reason=" ".join(f"{f.sentence} {f.reason}" for f in unmeasured[:1]),
                where=f"strip {strip.id[-6:]}",
            )
        )
    every = renew_interval_s(profile, room_degC)
    between = sorted(d.at for d in done.done if d.task == "sanitiser" and begin < d.at < end)
    renewed = [begin, *between, end]
    longest = max((b - a).total_seconds() for a, b in pairwise(renewed))
    if longest > every.interval_s:
        findings.append(
            Finding(
                code="sanitiser.interval",
                severity=Severity.CHECK,
                sentence=_("Surfaces went {n:.1f} h without being cleaned and sanitised.").format(
                    n=longest / 3600
                ),
                reason=_("In a room this warm the interval is {n:.0f} h.").format(
                    n=every.interval_s / 3600
                ),
                where="sanitiser",
                measured=longest / 3600,
                limit=every.interval_s / 3600,
                unit="h",
                citation=every.citation,
                status=every.status,
            )
        )
    return tuple(findings)


def water_findings(
    profile: Profile, *, source: str, tested: dt.date | None, date: dt.date
) -> tuple[Finding, ...]:
    """Judge whether the water's proof is young enough.

    Parameters
    ----------
    profile : Profile
        The rules in force.
    source : str
        ``"well"`` or ``"town"``.
    tested : date or None
        Last test of a well.
    date : date
        The day of work.

    Returns
    -------
    tuple of Finding
        Empty where all is well.

    References
    ----------
    The profile's limit; for the federal profile 9 CFR 416.2(g)(1).
    """
    if source != "well":
        return ()
    limit = profile.sanitation.well_test_months
    months = None if tested is None else (date - tested).days / _MONTH_DAYS
    if months is not None and months <= limit.value:
        return ()
    return (
        Finding(
            code="water.test",
            severity=Severity.CHECK,
            sentence=_("The well has no test younger than {limit}.").format(limit=limit),
            reason=_("Have the water tested and write the date on the farm page."),
            where="water",
            measured=months,
            limit=limit.value,
            unit="months",
            citation=limit.citation,
            status=limit.status,
        ),
    )
