"""How a running day stands, as the working pages need it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, replace
from itertools import islice
from typing import Any, Final

from pinfeather import __version__, clock
from pinfeather.actions.day import days, logger_files, running
from pinfeather.actions.farm import instruments
from pinfeather.day.due import Due, due_list, shift
from pinfeather.day.events import COUNTED, IcePoint
from pinfeather.day.instruments import Trusted, disagreements, trusted
from pinfeather.day.logged import Logged
from pinfeather.day.progress import Progress
from pinfeather.day.reconcile import Gap, gap_findings, gaps
from pinfeather.finding import Finding, Severity, by_severity
from pinfeather.heat.thermometer import WORST_ACCURACY_K
from pinfeather.records import models
from pinfeather.rules.profile import Profile, load
from pinfeather.units import from_si
from pinfeather.words import gettext as _

_RECENT: Final = 12
_MOST_FINDINGS: Final = 3
_CHECKS_BACK: Final = dt.timedelta(days=60)
_MOST_CHECKS: Final = 120


@dataclass(frozen=True, slots=True)
class Floor:
    """A running day, put together once for a page."""

    day: days.DayView
    profile: Profile
    done: Progress
    readings: tuple[Trusted, ...]
    gaps: tuple[Gap, ...]
    due: tuple[Due, ...]
    findings: tuple[Finding, ...]
    behind: dt.timedelta
    logged: tuple[Logged, ...] = ()


def ice_points(
    before: dt.datetime, *, back: dt.timedelta = _CHECKS_BACK, most: int = _MOST_CHECKS
) -> tuple[IcePoint, ...]:
    """Return the ice checks of the last weeks, or further back, whatever day they were made on.

    Never more than the newest ``most``: what is older tells nothing of a thermometer today.
    """
    rows = list(
        models.Entry.objects.filter(
            kind="ice point", received_at__gte=before - back, received_at__lte=before
        ).order_by("-seq")[:most]
    )[::-1]
    taken_back = set(
        models.Entry.objects.filter(
            kind="correction",
            seq__gt=rows[0].seq if rows else 0,
            payload__of__in=[row.client_id for row in rows],
        ).values_list("payload__of", flat=True)
    )
    return tuple(
        IcePoint(
            id=row.client_id,
            instrument=str(row.payload["instrument"]),
            written=str(row.payload["written"]),
            reading_degC=float(row.payload["si"]),
            who=row.who,
            at=row.device_time + dt.timedelta(seconds=row.skew_s),
        )
        for row in rows
        if row.client_id not in taken_back
    )


def accuracies_K() -> dict[str, float]:
    """Return the stated accuracy of each thermometer [K]."""
    return {one.name: one.accuracy_K for one in instruments("thermometer")}


def floor(
    day_id: int,
    *,
    now: dt.datetime,
    under: str = "",
    stated_K: Mapping[str, float] | None = None,
) -> Floor:
    """Put a day together: plan, counts, corrected readings, what is due, what is wrong.

    Parameters
    ----------
    day_id : int
        The day's number.
    now : datetime
        The moment it is looked at.
    under : str
        Another profile to judge it by; empty takes the one it was planned under.
    stated_K : mapping of str to float or None
        Accuracies of the thermometers as they were; None takes today's [K].

    Raises
    ------
    RecordNotFoundError
        If there is no such day.
    """
    day = days.day(day_id)
    profile = load(under or day.request.profile)
    done = running.day_progress(day_id, sealed_seq=day.sealed_seq)
    stated = accuracies_K() if stated_K is None else stated_K
    checks = ice_points(now)
    readings = trusted(done.readings, checks, accuracies_K=stated)
    logged = logger_files.kept(
        done.loggers,
        day_id=day_id,
        ice_points=checks,
        accuracies_K=stated,
        worst_K=WORST_ACCURACY_K,
    )
    between = gaps(done, now=now, longest_s=day.plan.longest_s)
    that_day = tuple(  # a check made on the thermometers' own page is made for the day, too
        one for one in checks if one.at.astimezone(day.start.tzinfo).date() == day.start.date()
    )
    due = due_list(
        day.plan,
        replace(done, ice_points=(*done.ice_points, *that_day)),
        readings,
        start=day.start,
        target_degC=profile.chill.target.si,
        logged=logged,
        shop_tanks=day.request.equipment.tanks,
    )
    findings = (
        *gap_findings(between),
        *(
            _disagreement_finding(first, second, why=compared.why)
            for first, second, compared in disagreements(readings, accuracies_K=stated)
        ),
    )
    return Floor(
        day=day,
        profile=profile,
        done=done,
        readings=readings,
        gaps=between,
        due=due,
        findings=by_severity(findings),
        behind=shift(day.plan, done, start=day.start),
        logged=logged,
    )


def _disagreement_finding(first: Trusted, second: Trusted, *, why: str) -> Finding:
    unit = first.reading.unit
    apart_K = abs(first.corrected_degC - second.corrected_degC)
    apart = from_si(apart_K, unit, "temperature difference")
    where = first.reading.place or first.reading.what
    return Finding(
        code="thermometer.disagree",
        severity=Severity.CHECK,
        sentence=_("“{a}” and “{b}” disagree by {apart:.1f} °{unit} in {where}.").format(
            a=first.reading.instrument,
            b=second.reading.instrument,
            apart=apart,
            unit=unit,
            where=where,
        ),
        reason=why,
        where=where,
        measured=apart,
        unit=f"°{unit}",
    )


def mark(day_id: int, *, now: dt.datetime) -> str:
    """Return what changes when anything new is to be shown: an entry, or a quarter minute."""
    return f"{running.last_seq(day_id)}-{int(now.timestamp() // 15)}"


def state(day_id: int, *, station: str, now: dt.datetime) -> dict[str, Any]:
    """Return what one working page shows, as plain JSON values.

    Raises
    ------
    RecordNotFoundError
        If there is no such day.
    """
    here = floor(day_id, now=now)
    newest = (t for t in reversed(here.done.tallies) if t.station == station)
    tallies = [*islice(newest, _RECENT)][::-1]
    return {
        "seq": here.done.last_seq,
        "mark": f"{here.done.last_seq}-{int(now.timestamp() // 15)}",
        "version": __version__,
        "now": now.isoformat(),
        "status": here.day.status,
        "birds": here.day.plan.birds,
        "counts": {code: here.done.count(code) for code in COUNTED},
        "recent": [{"id": t.id, "birds": t.birds, "at": t.at.isoformat()} for t in tallies],
        "due": [
            {
                "task": due.task,
                "place": due.place,
                "words": due.words,
                "at": due.at.isoformat(),
                "clock": due.at.astimezone(clock.zone(here.day.zone)).strftime("%H:%M"),
                "done": not due.reading and due.task != "ice_check",
                "what": due.reading or ("ice" if due.task == "ice_check" else ""),
            }
            for due in here.due
            if not station or station in due.stations
        ],
        "findings": [
            {
                "severity": finding.severity.code,
                "sentence": finding.sentence,
                "reason": finding.reason,
            }
            for finding in here.findings[:_MOST_FINDINGS]
        ],
    }
