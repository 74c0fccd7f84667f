"""What a planned or played-through day gets wrong: waits, gaps in the crew, missed deadlines."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from pinfeather.finding import Finding, Severity
from pinfeather.line.crew import Person, on_duty, uncovered
from pinfeather.line.replicate import Band
from pinfeather.line.simulate import Timetable
from pinfeather.line.stations import Station
from pinfeather.line.waits import waits
from pinfeather.words import gettext as _
from pinfeather.words import ngettext

Floats = NDArray[np.float64]

DVS: Final = (
    "Department of Veterinary Services Malaysia, Code of Veterinary Practice for Poultry "
    "Processing Plant (2017), 5.3"
)
CONE: Final = "Council Regulation (EC) 1099/2009 and codes of practice: no waiting in the cone"
BLEED: Final = "9 CFR 381.65(b): breathing has stopped before the scald; time: common practice"
ROUND_S: Final = 1e-6
"""Differences below this are rounding [s]."""


@dataclass(frozen=True, slots=True)
class LineLimits:
    """What a day on the line is held against.

    Parameters
    ----------
    caught_s : float
        From in the hand or the cone to the cut; about 10 seconds, from memory of welfare codes,
        so its status is unverified [s].
    soaked_s : float
        In the scald beyond its time; assumed [s].
    warm_s : float
        From picked to in the chill; 30 minutes assumed [s].
    drawn_s : float
        From the cut to drawn: 60 minutes, Malaysia DVS 2017, code 5.3 [s].
    deadline_s : float or None
        When the day must be over [s].
    without_break_s : float
        Longest stretch of duty without a break; 3 hours assumed [s].
    """

    caught_s: float = 10.0
    soaked_s: float = 30.0
    warm_s: float = 1800.0
    drawn_s: float = 3600.0
    deadline_s: float | None = None
    without_break_s: float = 3 * 3600.0


def line_findings(
    timetable: Timetable,
    stations: Sequence[Station],
    *,
    people: Sequence[Person],
    limits: LineLimits | None = None,
    finish: Band | None = None,
) -> tuple[Finding, ...]:
    """Say what is wrong with a day on the line.

    Parameters
    ----------
    timetable : Timetable
        The day played through.
    stations : sequence of Station
        Its line.
    people : sequence of Person
        Its crew.
    limits : LineLimits or None
        What it is held against; None takes the defaults.
    finish : Band or None
        When it ends, from many days; None judges the deadline by this one day.

    Returns
    -------
    tuple of Finding
        Empty where nothing is wrong. Measured and limit are in seconds.

    References
    ----------
    In the citation of each finding.
    """
    limits = limits or LineLimits()
    return (
        *_waiting(timetable, stations, limits),
        *_left_over(timetable),
        *_nobody(timetable, stations, people),
        *_no_break(people, limits),
        *_deadline(timetable, limits, finish),
    )


def _over(
    code: str,
    wait_s: Floats,
    limit_s: float,
    *,
    severity: Severity,
    sentence: str,
    reason: str,
    where: str,
    citation: str = "",
    status: str = "",
) -> list[Finding]:
    """Return a finding if any bird waits longer than the limit."""
    over = wait_s > limit_s + ROUND_S
    if not over.any():
        return []
    worst_s = float(np.nanmax(wait_s))
    told = sentence.format(
        birds=ngettext("{n} bird", "{n} birds", int(over.sum())).format(n=int(over.sum())),
        worst=minutes(worst_s),
        limit=minutes(limit_s),
    )
    return [Finding(code, severity, told, reason, where, worst_s, limit_s, "s", citation, status)]


def minutes(time_s: float) -> str:
    """Return a time for a sentence, in seconds below two minutes and in minutes above.

    Parameters
    ----------
    time_s : float
        The time [s].

    Returns
    -------
    str
        Number and unit.

    References
    ----------
    Derivation: rounding.

    Examples
    --------
    >>> minutes(90), minutes(600)
    ('90 s', '10 min')
    """
    if time_s < 120:  # noqa: PLR2004 - two minutes
        return f"{time_s:.0f} s"
    return f"{time_s / 60:.0f} min"


def _waiting(
    timetable: Timetable, stations: Sequence[Station], limits: LineLimits
) -> list[Finding]:
    found = waits(timetable, stations)
    least_s = {station.code: station.min_stay_s for station in stations}.get("kill", 0.0)
    short = found.bleed_s < least_s - ROUND_S
    findings = _over(
        "line.cone_wait",
        found.caught_s,
        limits.caught_s,
        severity=Severity.STOP,
        sentence=_("{birds} would wait up to {worst} in the hand or the cone before the cut."),
        reason=_("Put a bird in the cone only when the cut follows at once."),
        where="kill",
        citation=CONE,
        status="unverified",
    )
    if short.any():
        shortest_s = float(np.nanmin(found.bleed_s))
        sentence = _("{n} birds would be scalded {time} after the cut; {limit} is least.")
        findings.append(
            Finding(
                "line.short_bleed",
                Severity.STOP,
                sentence.format(
                    n=int(short.sum()), time=minutes(shortest_s), limit=minutes(least_s)
                ),
                _("Never scald a bird that breathes or blinks, whatever the clock says."),
                "kill",
                shortest_s,
                least_s,
                "s",
                BLEED,
                "common practice",
            )
        )
    findings += _over(
        "line.soaked",
        found.soaked_s,
        limits.soaked_s,
        severity=Severity.CHECK,
        sentence=_("{birds} would stay in the scald up to {worst} too long."),
        reason=_("Scald only what can be picked at once; too long cooks and tears the skin."),
        where="scald",
    )
    findings += _over(
        "line.warm",
        found.warm_s,
        limits.warm_s,
        severity=Severity.CHECK,
        sentence=_("{birds} would lie warm between picking and chill, up to {worst}."),
        reason=_("Cut fewer birds at a time, or put more hands to drawing."),
        where="draw",
        status="assumed",
    )
    findings += _over(
        "line.late_draw",
        found.drawn_s,
        limits.drawn_s,
        severity=Severity.STOP,
        sentence=_("{birds} would be drawn up to {worst} after the cut; the limit is {limit}."),
        reason=_("Cut fewer birds at a time, or put more hands to drawing."),
        where="draw",
        citation=DVS,
        status="read",
    )
    return findings


def _left_over(timetable: Timetable) -> list[Finding]:
    left = timetable.unfinished
    if not left:
        return []
    begun = left - timetable.untouched
    if begun:
        sentence = ngettext(
            "{n} bird would be begun and not put away before everybody has gone.",
            "{n} birds would be begun and not put away before everybody has gone.",
            begun,
        ).format(n=begun)
        untouched = timetable.untouched
        if untouched:
            sentence += " " + ngettext(
                "{n} more would not be reached.", "{n} more would not be reached.", untouched
            ).format(n=untouched)
    else:
        sentence = ngettext(
            "{n} bird would not be reached before everybody has gone.",
            "{n} birds would not be reached before everybody has gone.",
            left,
        ).format(n=left)
    reason = _("Plan fewer birds, start earlier, or ask for more hands.")
    return [
        Finding(
            "line.unfinished", Severity.STOP, sentence, reason, "line", float(left), 0.0, "birds"
        )
    ]


def _nobody(
    timetable: Timetable, stations: Sequence[Station], people: Sequence[Person]
) -> list[Finding]:
    findings = []
    for k, station in enumerate(stations):
        if station.hands_s <= 0 or not k:
            continue
        came = timetable.finish_s[:, k - 1]
        began = np.where(np.isnan(timetable.start_s[:, k]), np.inf, timetable.start_s[:, k])
        worst_s, birds = 0.0, 0
        for away, back in uncovered(people, station.code):
            waited = np.minimum(began, back) - np.maximum(came, away)
            waited = np.nan_to_num(waited, nan=0.0, posinf=np.inf)
            if waited.max(initial=0.0) > worst_s:
                worst_s, birds = float(waited.max()), int((waited > ROUND_S).sum())
        begun = ~np.isnan(timetable.start_s[:, k])
        stuck = int((begun & np.isnan(timetable.finish_s[:, k])).sum())
        if stuck or worst_s > ROUND_S:
            findings.append(_nobody_at(station.code, worst_s, max(birds, stuck), stuck=bool(stuck)))
    return findings


def _nobody_at(code: str, worst_s: float, birds: int, *, stuck: bool) -> Finding:
    counted = ngettext("{n} bird", "{n} birds", birds).format(n=birds)
    if stuck or not math.isfinite(worst_s):
        sentence = _("{birds} would wait with nobody there for “{station}” any more.")
    else:
        sentence = _("{birds} would wait up to {worst} because nobody is there for “{station}”.")
    return Finding(
        "line.nobody",
        Severity.STOP,
        sentence.format(birds=counted, worst=minutes(worst_s), station=code),
        _("Let somebody stay, or stop the kill early enough before they go."),
        code,
        worst_s if math.isfinite(worst_s) else None,
        0.0,
        "s",
    )


def _no_break(people: Sequence[Person], limits: LineLimits) -> list[Finding]:
    findings = []
    for i, who in enumerate(people):
        longest_s = max((end - start for start, end in on_duty(who)), default=0.0)
        if longest_s > limits.without_break_s + ROUND_S:
            findings.append(
                Finding(
                    "line.no_break",
                    Severity.CHECK,
                    _("{name} would work {hours:.1f} hours without a break.").format(
                        name=who.name, hours=longest_s / 3600
                    ),
                    _("Tired hands cut themselves and tear guts. Short breaks often do most."),
                    f"people[{i}]",
                    longest_s,
                    limits.without_break_s,
                    "s",
                    status="assumed",
                )
            )
    return findings


def _deadline(timetable: Timetable, limits: LineLimits, finish: Band | None) -> list[Finding]:
    if limits.deadline_s is None:
        return []
    risky = finish is not None and finish.n > 0
    end_s = finish.p90_s if finish is not None and risky else timetable.end_s
    if end_s <= limits.deadline_s + ROUND_S:
        return []
    sentence = _("By the plan the day ends {late} after it must.")
    if risky:
        sentence = _("One day in ten would end {late} or more after it must.")
    planned_late = timetable.end_s > limits.deadline_s + ROUND_S
    return [
        Finding(
            "line.deadline",
            Severity.STOP if planned_late else Severity.CHECK,
            sentence.format(late=minutes(end_s - limits.deadline_s)),
            _("Start earlier, plan fewer birds, or ask for more hands."),
            "line",
            end_s,
            limits.deadline_s,
            "s",
        )
    ]


def giblets_finding(drawn_to_cold_s: float, *, limit_s: float = 3600.0) -> Finding | None:
    """Say whether giblets were cold too late after drawing.

    Parameters
    ----------
    drawn_to_cold_s : float
        From drawn to 4 °C [s].
    limit_s : float
        The limit; 60 minutes [s].

    Returns
    -------
    Finding or None
        None within the limit.

    References
    ----------
    Malaysia DVS 2017, code 7.3.
    """
    if drawn_to_cold_s <= limit_s + ROUND_S:
        return None
    sentence = _("The giblets took {time} from drawing to 4 °C; the limit is {limit}.")
    return Finding(
        "line.giblets",
        Severity.STOP,
        sentence.format(time=minutes(drawn_to_cold_s), limit=minutes(limit_s)),
        _("Put giblets on ice as they are drawn, in a thin layer."),
        "draw",
        drawn_to_cold_s,
        limit_s,
        "s",
        DVS.replace("5.3", "7.3"),
        "read",
    )
