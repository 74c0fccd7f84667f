"""Closing a day: everything judged, every finding answered, the journal sealed."""

from __future__ import annotations

import datetime as dt
import uuid
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final

from cattrs.preconf.json import make_converter

from pinfeather import __version__, clock
from pinfeather.actions import safe
from pinfeather.actions.day import days, running, shopfloor
from pinfeather.actions.farm import farm
from pinfeather.actions.rules import kept as rules_kept
from pinfeather.actions.sanitary import sheet as sheets
from pinfeather.day.chill_proof import ChillVerdict, Proof, batches, chill_verdict
from pinfeather.day.events import Action, Event
from pinfeather.day.instruments import check_findings
from pinfeather.day.logged import growth_findings
from pinfeather.day.progress import Progress, progress
from pinfeather.day.reconcile import gap_findings, gaps
from pinfeather.day.sanitation import sanitiser_findings, water_findings
from pinfeather.day.waits import wait_findings
from pinfeather.errors import InputError, InputFaultsError, RecordConflictError
from pinfeather.finding import Finding, Severity, by_severity
from pinfeather.line.stations import handbook_phase
from pinfeather.records import models
from pinfeather.records.journal import append_from_page, fingerprint, head, storable
from pinfeather.records.writing import writing
from pinfeather.rules.count import headroom
from pinfeather.rules.profile import Profile
from pinfeather.words import gettext as _

_CONVERTER: Final = make_converter()


@dataclass(frozen=True, slots=True)
class OpenFinding:
    """A finding with what was done about it, if anything."""

    finding: Finding
    action: Action | None

    @property
    def answered(self) -> bool:
        """Whether it needs nothing more before closing."""
        if self.finding.code == "count.gap":
            return False  # a count is put right or explained, never talked away
        return self.finding.severity is Severity.NOTE or self.action is not None


@dataclass(frozen=True, slots=True)
class Judgement:
    """A whole day, judged."""

    day: days.DayView
    done: Progress
    floor: shopfloor.Floor
    chill: tuple[ChillVerdict, ...]
    findings: tuple[OpenFinding, ...]
    judged_at: dt.datetime
    inputs: Inputs

    @property
    def unanswered(self) -> tuple[OpenFinding, ...]:
        """Findings that still need a written action."""
        return tuple(one for one in self.findings if not one.answered)


@dataclass(frozen=True, slots=True)
class Inputs:
    """What a judgement rests on besides the day's own plan and journal."""

    water_source: str
    water_test: dt.date | None
    accuracies_K: Mapping[str, float]
    counted: Mapping[str, int]
    """Head slaughtered on the year's other days before, by kind."""


def _inputs(day: days.DayView) -> Inputs:
    """Return the inputs kept with a closed day, or what holds now."""
    kept = (day.record or {}).get("inputs")
    if kept is not None:
        return _CONVERTER.structure(kept, Inputs)
    home = farm()
    return Inputs(
        home.water_source,
        home.water_test,
        shopfloor.accuracies_K(),
        days.counted_before(day.date, skip=day.id),
    )


def judge(day_id: int, *, now: dt.datetime, under: str = "") -> Judgement:
    """Judge a day by its readings and counts, as it stands.

    Parameters
    ----------
    day_id : int
        The day's number.
    now : datetime
        The moment it is judged at.
    under : str
        Another profile to judge it by; empty takes the one it was planned under.

    Raises
    ------
    RecordNotFoundError
        If there is no such day.
    """
    given = _inputs(days.day(day_id))
    floor = shopfloor.floor(day_id, now=now, under=under, stated_K=given.accuracies_K)
    day, done, profile = floor.day, floor.done, floor.profile
    zone = clock.zone(day.zone)
    chill = tuple(
        chill_verdict(batch, floor.readings, now=now, logged=floor.logged)
        for batch in batches(
            done, masses_kg={lot.code: lot.masses_kg for lot in day.request.lots}, profile=profile
        )
    )
    bleed = handbook_phase(day.request.lots[0].species, "kill", "bleed").time_s
    moments = [t.at for t in done.tallies] or [day.start]
    findings = (
        *gap_findings(gaps(done, now=now, longest_s={}, final=True)),
        *(verdict.finding for verdict in chill),
        *_pending(chill),
        *(
            finding
            for curve in floor.logged
            for finding in growth_findings(curve)
            if finding.severity is Severity.STOP
        ),
        *wait_findings(
            done,
            profile,
            bleed_s=bleed.low,
            bleed_citation=_("9 CFR 381.65(b): breathing has stopped before the scald"),
        ),
        *_cleaning_findings(
            day,
            done,
            profile,
            now=now,
            begin=min(moments),
            end=max([*moments, *(p.at for p in done.packages)]),
        ),
        *water_findings(profile, source=given.water_source, tested=given.water_test, date=day.date),
        *_headroom_findings(day, done, profile, given=given),
        *check_findings(floor.readings, date=day.date, zone=zone),
        *(f for f in floor.findings if f.code == "thermometer.disagree"),
    )
    actions = {(a.finding, a.where): a for a in done.actions}
    return Judgement(
        day=day,
        done=done,
        floor=floor,
        chill=chill,
        findings=tuple(
            OpenFinding(f, actions.get((f.code, f.where))) for f in by_severity(findings)
        ),
        judged_at=now,
        inputs=given,
    )


def _cleaning_findings(
    day: days.DayView,
    done: Progress,
    profile: Profile,
    *,
    now: dt.datetime,
    begin: dt.datetime,
    end: dt.datetime,
) -> tuple[Finding, ...]:
    """Judge strips and cleanings, those of the cleaning sheet with those tapped at the line."""
    at_the_line = sanitiser_findings(
        sheets.with_cleanings(done, day),
        profile,
        room_degC=day.request.air_degC,
        begin=begin,
        end=end,
    )
    on_sheet = sheets.has_strip(day)
    return (
        *(f for f in at_the_line if not (on_sheet and f.code == "sanitiser.no_strip")),
        *sheets.day_findings(day, done, profile, now=now),
    )


def _headroom_findings(
    day: days.DayView, done: Progress, profile: Profile, *, given: Inputs
) -> tuple[Finding, ...]:
    """Hold the birds of the day against the yearly cap, those of earlier days counted."""
    kinds = {lot.code: lot.species for lot in day.request.lots}
    first = day.request.lots[0].species
    killed = Counter[str]()
    for tally in done.tallies:
        if tally.station == "kill":
            killed[kinds.get(tally.lot, first)] += tally.birds
    tier = profile.tiers.get(day.request.tier)
    if tier is None or not tier.allowed:
        return (
            Finding(
                code="tier.closed",
                severity=Severity.STOP,
                sentence=_("These rules do not have the exemption this day was planned under."),
                where=day.request.tier,
            ),
        )
    return headroom(profile, day.request.tier, counted=given.counted, planned=killed).findings


def _pending(chill: tuple[ChillVerdict, ...]) -> tuple[Finding, ...]:
    return tuple(
        Finding(
            code="chill.unproved",
            severity=Severity.STOP,
            sentence=_("{tank} is not proved cold yet.").format(tank=verdict.batch.tank),
            reason=_("Probe its largest bird before the day is closed."),
            where=verdict.batch.tank,
        )
        for verdict in chill
        if verdict.proof is Proof.PENDING
    )


def progress_until(day_id: int, seq: int) -> Progress:
    """Return a day as it stood at a place in the journal."""
    return progress(e for e in running.events(day_id) if e.seq <= seq)


def answer(day_id: int, *, finding: str, where: str, text: str, who: str) -> None:
    """Write what was done about a finding.

    Raises
    ------
    InputError
        If the text is empty.
    RecordConflictError
        If the day is closed.
    """
    if not text.strip():
        raise InputError("text", text, _("Write what was done."))
    running.write(
        "action",
        {"finding": finding, "where": where, "text": text},
        day_id=day_id,
        who=who,
    )


def add_missed(day_id: int, *, after: str, before: str, who: str, now: dt.datetime) -> None:
    """Add the taps that were missed at the station that counted fewer birds.

    They get the time of the same birds at the neighbouring station, and say that they were added.

    Raises
    ------
    InputError
        If the two stations are not neighbours or agree.
    RecordConflictError
        If the day is closed.
    """
    with writing():
        _add_missed(day_id, after=after, before=before, who=who, now=now)


def _add_missed(day_id: int, *, after: str, before: str, who: str, now: dt.datetime) -> None:
    done = running.day_progress(day_id)
    gap = next(
        (
            g
            for g in gaps(done, now=now, longest_s={}, final=True)
            if (g.after, g.before) == (after, before)
        ),
        None,
    )
    if gap is None or gap.unaccounted == 0:
        raise InputError("after", after, _("These two stations agree."))
    short, other = (before, after) if gap.unaccounted > 0 else (after, before)
    if short == "bag":
        raise InputError("before", before, _("A package is added by weighing it."))
    moments = done.times(other)[-abs(gap.unaccounted) :]
    tank = next((t.place for t in reversed(done.tallies) if t.place), "")
    for moment in moments:
        running.write(
            "tally",
            {"station": short, "birds": 1, "place": tank if short == "chill" else "", "lot": ""},
            day_id=day_id,
            who=who,
            at=moment,
        )
    running.write(
        "note",
        {"text": _("{n} missed taps added at {station}").format(n=len(moments), station=short)},
        day_id=day_id,
        who=who,
    )


def close(day_id: int, *, who: str, now: dt.datetime) -> None:
    """Seal a day: its judgement is kept as it is now, with the journal's last hash.

    The last entry of the day holds the judgement's fingerprint, so the seal covers both.

    Raises
    ------
    InputFaultsError
        If a finding has no written action yet, or nobody signs.
    RecordConflictError
        If it is closed already.
    """
    with writing():  # nothing may arrive between the judgement and the seal
        judgement = judge(day_id, now=now)
        row = models.Day.objects.get(pk=day_id)
        if row.seal:
            raise RecordConflictError(_("This day is closed already."))
        faults = [
            InputError("findings", one.finding.code, one.finding.sentence)
            for one in judgement.unanswered
        ]
        if not judgement.done.tallies:
            faults.append(InputError("findings", None, _("Nothing has been counted on this day.")))
        if not who:
            faults.append(InputError("who", who, _("Choose who closes the day.")))
        if faults:
            raise InputFaultsError(faults)
        rules = rules_kept.keep(judgement.day.request.profile, at=now, who=who)
        record = storable({**_record(judgement, who=who), "rules": rules})
        append_from_page(
            "closed",
            {"record": fingerprint(record)},
            client_id=uuid.uuid4().hex,
            who=who,
            at=now,
            day_id=day_id,
        )
        seq, digest = head()
        row.status = models.Day.Status.CLOSED
        row.sealed_at = now
        row.sealed_seq = seq
        row.seal = digest
        row.record = record
        row.save()
        safe.after_closing()


def _record(judgement: Judgement, *, who: str) -> dict[str, Any]:
    """Keep the judgement with its inputs, limits and method, as it was made."""
    record: dict[str, Any] = {
        "method": f"pinfeather {__version__}",
        "profile": judgement.day.request.profile,
        "tier": judgement.day.request.tier,
        "inputs": _CONVERTER.unstructure(judgement.inputs),
        "judged_at": judgement.judged_at.isoformat(),
        "closed_by": who,
        "counts": {code: judgement.done.count(code) for code in judgement.done.stations},
        "chill": _CONVERTER.unstructure(judgement.chill),
        "findings": _CONVERTER.unstructure(judgement.findings),
    }
    return record


@dataclass(frozen=True, slots=True)
class Later:
    """Something written into the journal after a day was sealed."""

    at: dt.datetime
    who: str
    words: str


def later(day: days.DayView) -> tuple[Later, ...]:
    """Return what came after the seal: corrections in words, and what a phone had kept."""
    if day.sealed_seq is None:
        return ()
    return tuple(
        Later(event.at, event.who, _later_words(event))
        for event in running.events(day.id, sealed_seq=day.sealed_seq)
        if event.late
    )


def _later_words(event: Event) -> str:
    if event.kind in {"correction", "note"}:
        return str(event.payload.get("reason") or event.payload.get("text") or "")
    what = event.payload.get("station") or event.payload.get("written") or event.kind
    return _("Arrived from a phone after closing, not counted: {kind}, {what}").format(
        kind=_(event.kind), what=what
    )


def record_findings(record: dict[str, Any]) -> tuple[OpenFinding, ...]:
    """Return the findings of a closed day as they were judged then."""
    return tuple(_CONVERTER.structure(record["findings"], tuple[OpenFinding, ...]))


def record_chill(record: dict[str, Any]) -> tuple[ChillVerdict, ...]:
    """Return the chill verdicts of a closed day as they were judged then."""
    return tuple(_CONVERTER.structure(record["chill"], tuple[ChillVerdict, ...]))
