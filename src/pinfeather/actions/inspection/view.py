"""What an inspector tends to ask for, gathered once: nothing about money, no customer's name."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from pinfeather import clock
from pinfeather.actions.day import closing, days, shopfloor
from pinfeather.actions.day import record_document as documents
from pinfeather.actions.day.running import day_progress
from pinfeather.actions.desk import scales
from pinfeather.actions.duties import view as duty_views
from pinfeather.actions.duties.binder import ScaleTest, scale_tests
from pinfeather.actions.duties.view import DutyView
from pinfeather.actions.farm import FarmView, farm, instruments
from pinfeather.actions.keeping.classes import profile_of
from pinfeather.errors import InputError, RecordNotFoundError
from pinfeather.finding import Finding, Severity
from pinfeather.records import models
from pinfeather.records.proofs import ProofView
from pinfeather.reports.day_record import CountRow, ReadingRow, Verdict
from pinfeather.rules.count import Headroom, headroom
from pinfeather.rules.model import Profile
from pinfeather.words import gettext as _

_CHECKS_BACK = dt.timedelta(days=400)
_LAST_DAYS = 40
_SHOWN = ("water-test", "scale-seal", "chemical-papers", "training")


@dataclass(frozen=True, slots=True)
class Checked:
    """A thermometer and its newest ice check."""

    name: str
    accuracy: str
    on: dt.date | None
    written: str


@dataclass(frozen=True, slots=True)
class DaySheet:
    """A processing day as an inspector reads it."""

    id: int
    date: dt.date
    status: str
    seal: str
    birds: int
    counts: tuple[CountRow, ...]
    verdicts: tuple[Verdict, ...]
    readings: tuple[ReadingRow, ...]
    findings: tuple[Finding, ...]


@dataclass(frozen=True, slots=True)
class Inspection:
    """Everything on the visit's page."""

    home: FarmView
    today: dt.date
    profile: Profile
    tier: str
    count: Headroom | None
    licence: DutyView | None
    papers: tuple[DutyView, ...]
    thermometers: tuple[Checked, ...]
    scale: ScaleTest | None
    seals: tuple[tuple[str, str], ...]
    day: DaySheet | None
    days: tuple[tuple[days.DayLine, int], ...]
    """Closed days, each with the birds slaughtered on it."""


def inspection(*, now: dt.datetime) -> Inspection:
    """Gather what the visit asks for."""
    home = farm()
    today = clock.today(home.zone)
    profile = profile_of(home)
    duties = {one.code: one for one in duty_views.duties()}
    lines = tuple(one for one in days.days(limit=_LAST_DAYS) if one.status != "planned")
    tier = profile.tiers.get(home.tier)
    return Inspection(
        home=home,
        today=today,
        profile=profile,
        tier=home.tier if tier is None else tier.name,
        count=_count(profile, home, today),
        licence=duties.get("licence"),
        papers=tuple(duties[code] for code in _SHOWN if code in duties),
        thermometers=_thermometers(home, now),
        scale=next(iter(scale_tests(most=1)), None),
        seals=tuple((one.name, one.seal) for one in scales.scales()),
        day=_sheet(lines[0].id, now=now) if lines else None,
        days=tuple((one, _slaughtered(one.id)) for one in lines if one.status == "closed"),
    )


def _count(profile: Profile, home: FarmView, today: dt.date) -> Headroom | None:
    try:
        return headroom(profile, home.tier, counted=days.counted_before(today), planned={})
    except InputError:  # a tier or kind of bird that these rules do not know
        return None


def _slaughtered(day_id: int) -> int:
    return day_progress(day_id).count("kill")


def _thermometers(home: FarmView, now: dt.datetime) -> tuple[Checked, ...]:
    zone = clock.zone(home.zone)
    newest = {one.instrument: one for one in shopfloor.ice_points(now, back=_CHECKS_BACK)}
    found = []
    for one in instruments("thermometer"):
        check = newest.get(one.name)
        on = None if check is None else check.at.astimezone(zone).date()
        found.append(Checked(one.name, one.accuracy, on, "" if check is None else check.written))
    return tuple(found)


def _sheet(day_id: int, *, now: dt.datetime) -> DaySheet:
    day = days.day(day_id)
    judged = closing.judge(day_id, now=day.sealed_at or now)
    zone = clock.zone(day.zone)
    if day.record:
        record = dict(day.record)
        chill = closing.record_chill(record)
        findings = tuple(one.finding for one in closing.record_findings(record))
    else:
        chill, findings = judged.chill, tuple(one.finding for one in judged.findings)
    done = judged.done
    if day.sealed_seq is not None:
        done = closing.progress_until(day.id, day.sealed_seq)
    return DaySheet(
        id=day.id,
        date=day.date,
        status=day.status,
        seal=day.seal,
        birds=done.count("kill"),
        counts=documents.counts_rows(done, zone=zone),
        verdicts=documents.verdict_rows(chill, findings),
        readings=tuple(
            ReadingRow(
                at=one.at.astimezone(zone),
                place=documents.reading_place(one.what, one.place),
                written=one.written,
                instrument=one.instrument,
                who=one.who,
            )
            for one in done.readings
        ),
        findings=tuple(one for one in findings if one.severity > Severity.NOTE),
    )


def visitors_record(day_id: int, *, now: dt.datetime) -> tuple[bytes, dt.date]:
    """Return a day's record for a visitor, without any amount of money, and its date.

    Raises
    ------
    RecordNotFoundError
        If there is no such day, or it has not begun.
    """
    day = days.day(day_id)
    if day.status == models.Day.Status.PLANNED:
        raise RecordNotFoundError(_("There is no such day."))
    return documents.record_pdf(day_id, now=now, money=False), day.date


def visitors_proof(digest: str) -> ProofView:
    """Return a proof a visitor may see: one that hangs on a duty shown on the visit's page.

    Raises
    ------
    RecordNotFoundError
        If there is none of these.
    """
    for one in duty_views.duties():
        if one.code in (*_SHOWN, "licence"):
            for done in one.history[:1]:
                for proof in done.proofs:
                    if proof.sha256 == digest:
                        return proof
    raise RecordNotFoundError(_("There is no such proof."))
