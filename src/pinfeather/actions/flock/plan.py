"""Standing lots for a processing day: what to write into the plan, and what stops it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any, Final

from pinfeather import clock
from pinfeather.actions.farm import farm
from pinfeather.actions.flock.books import book
from pinfeather.actions.flock.view import LotNow, look, lots_now, open_signs
from pinfeather.day.plan import DayPlan
from pinfeather.day.request import BIRDS_MAX, DayRequest
from pinfeather.errors import RecordNotFoundError
from pinfeather.finding import Finding, Severity, by_severity
from pinfeather.flock.alerts import loss_alerts, withdrawal_alert
from pinfeather.flock.balance import head_balance, heads_on
from pinfeather.quantity import show
from pinfeather.words import gettext as _
from pinfeather.words import ngettext

CODES: Final = frozenset({"lot.withdrawal", "lot.sick", "lot.more_than_there", "lot.below_nothing"})
"""Findings about the lots of a plan; they are made afresh when a plan is looked at."""


@dataclass(frozen=True, slots=True)
class Offer:
    """A standing lot as a plan may take it."""

    code: str
    heads: int
    age_d: int
    row: dict[str, Any]
    """Fields of the plan's form."""
    words: str
    """What the weights rest on, and their band."""
    ready: bool
    """Whether its own day is not far after the one asked."""
    refused_until: dt.date | None
    """First day it may be slaughtered after its medicines, where that is later."""


def offers(on: dt.date) -> tuple[Offer, ...]:
    """Return the standing lots with what they are expected to weigh on a day, oldest first."""
    found = [offer(now, on) for now in lots_now() if now.stage == "standing" and now.heads > 0]
    return tuple(sorted(found, key=lambda one: (-one.age_d, one.code)))


def offer(now: LotNow, on: dt.date) -> Offer:
    """Return one standing lot as a plan for a day may take it."""
    metric = farm().units == "metric"
    unit = "kg" if metric else "lb"
    row: dict[str, Any] = {
        "code": now.row.code,
        "species": now.row.species,
        "build": now.row.build,
        "count": str(min(now.heads, BIRDS_MAX)),
        "hatched": now.row.hatched.isoformat() if now.row.hatched else "",
    }
    words = _("Nobody weighed them and there is no growth table; write mean and spread yourself.")
    ahead = look(now, max(on, now.today))
    age = (on - now.book.life.hatched_on).days
    if ahead is not None and ahead.dressed is not None and ahead.dressed_kg is not None:
        mean = ahead.dressed_kg.value
        spread = mean * float(ahead.dressed.cv[0])
        row["count"] = str(min(round(ahead.heads), BIRDS_MAX))
        row["mean"] = show(mean, unit, "mass", decimals=2).replace("\u202f", " ")
        row["spread"] = show(spread, unit, "mass", decimals=2).replace("\u202f", " ")
        words = _(
            "{mean} dressed at {age} days; eight birds in ten {low} to {high}. From {basis}."
        ).format(
            mean=show(mean, unit, "mass", decimals=2),
            age=ahead.age_d,
            low=show(ahead.dressed_kg.low, unit, "mass", decimals=2),
            high=show(ahead.dressed_kg.high, unit, "mass", decimals=2),
            basis=ahead.basis.note,
        )
    free = now.withdrawal_on if now.withdrawal_on and now.withdrawal_on > on else None
    ready = not _too_young(now, on)
    return Offer(now.row.code, now.heads, age, row, words, ready, free)


def first_offer(on: dt.date) -> Offer | None:
    """Return the standing lot to think of first: the one meant for that day, or the oldest."""
    found = [now for now in lots_now() if now.stage == "standing" and now.heads > 0]
    free = [now for now in found if not now.planned and not _too_young(now, on)]
    if not free:
        return None
    meant = [now for now in free if now.row.plan_on == on]
    chosen = (meant or sorted(free, key=lambda now: -(now.age_d or 0)))[0]
    return offer(chosen, on)


def _too_young(now: LotNow, on: dt.date) -> bool:
    return now.target_on is not None and (now.target_on - on).days > 14  # noqa: PLR2004 - two weeks


def with_lot_findings(plan: DayPlan, request: DayRequest) -> DayPlan:
    """Return a plan with what its lots' lives say about it, as they stand now."""
    kept = tuple(f for f in plan.findings if f.code not in CODES)
    return replace(plan, findings=by_severity((*kept, *lot_findings(request))))


def lot_findings(request: DayRequest) -> tuple[Finding, ...]:
    """Say what in the lives of a day's lots speaks against processing them on it."""
    found: list[Finding] = []
    wanted: dict[str, int] = {}
    for lot in request.lots:
        wanted[lot.code] = wanted.get(lot.code, 0) + lot.count
    for code, birds in wanted.items():
        found += _against(code, birds, on=request.date)
    return tuple(found)


def _against(code: str, birds: int, *, on: dt.date) -> Sequence[Finding]:
    try:
        one = book(code)
    except RecordNotFoundError:
        return ()
    if not one.life.events:
        return ()
    today = clock.today(farm().zone)
    found = list(withdrawal_alert(one.life, on))
    sick = open_signs(one, today=today)
    if sick:
        found += [f for f in loss_alerts(one.life, today, seen_signs=sick) if f.code == "lot.sick"]
    balance = head_balance(one.life)
    there = heads_on(balance, min(on, today))
    if balance.arrived > 0 and birds > there >= 0 and on >= today:
        found.append(
            Finding(
                "lot.more_than_there",
                Severity.CHECK,
                ngettext(
                    "{lot}: {birds} planned, but the book has {n} bird.",
                    "{lot}: {birds} planned, but the book has {n} birds.",
                    there,
                ).format(lot=code, birds=birds, n=there),
                _("Count the pen, or put the number of birds right."),
                where=code,
                measured=birds,
                limit=there,
                unit="birds",
            )
        )
    return found
