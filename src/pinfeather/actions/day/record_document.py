"""The day record on paper, from what was judged and kept when the day was closed."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from dataclasses import replace
from decimal import Decimal

from pinfeather import clock
from pinfeather.actions.day import closing, days, pictures, running, shopfloor
from pinfeather.actions.farm import farm
from pinfeather.actions.rules import kept as rules_kept
from pinfeather.day.chill_proof import ChillVerdict, Proof
from pinfeather.day.events import Package
from pinfeather.day.logged import logger_sentence
from pinfeather.day.progress import Progress
from pinfeather.finding import Finding, Severity
from pinfeather.packs.price import dollars
from pinfeather.quantity import show
from pinfeather.reports.day_record import (
    ActedFinding,
    ComparedRow,
    CountRow,
    DayRecordSheet,
    PackageRow,
    ReadingRow,
    Signature,
    Verdict,
    day_record_pdf,
)
from pinfeather.reports.sheet_parts import Answer
from pinfeather.rules.profile import Profile
from pinfeather.words import gettext as _
from pinfeather.words import ngettext


def record_pdf(day_id: int, *, now: dt.datetime, money: bool = True) -> bytes:
    """Return the record of a day as a PDF: sealed where the day is closed, else as it stands.

    Without ``money`` it names no amount: that is the copy for a visitor.

    Raises
    ------
    RecordNotFoundError
        If there is no such day.
    """
    day = days.day(day_id)
    zone = clock.zone(day.zone)
    judgement = closing.judge(day_id, now=day.sealed_at or now)
    floor = judgement.floor
    if day.record:
        record = dict(day.record)
        findings, chill = closing.record_findings(record), closing.record_chill(record)
    else:
        findings, chill = judgement.findings, judgement.chill
    home = farm()
    done = _as_sealed(judgement.done, day)
    sealed = {reading.id for reading in done.readings}
    loggers = {note.id for note in done.loggers}
    floor = replace(
        floor,
        readings=tuple(one for one in floor.readings if one.reading.id in sealed),
        logged=tuple(curve for curve in floor.logged if curve.note.id in loggers),
    )
    sheet = DayRecordSheet(
        farm=home.name,
        title=f"{day.date:%A} {day.date.day} {day.date:%B %Y}",
        subtitle=_("Lots {lots}. {people}. Rules: {profile}, {tier}.").format(
            lots=", ".join(lot.code for lot in day.request.lots),
            people=", ".join(person.name for person in day.request.people),
            profile=_rules(day, floor.profile),
            tier=floor.profile.tiers[day.request.tier].name,
        ),
        answers=_answers(done, chill, zone=zone),
        compared=_compared(day, done, zone=zone),
        strip=pictures.day_strip(day, done),
        counts=counts_rows(done, zone=zone),
        curves=pictures.cold_curves(floor, chill, now=None),
        verdicts=verdict_rows(chill, tuple(one.finding for one in findings)),
        findings=tuple(
            ActedFinding(
                one.finding,
                "" if one.action is None else f"{one.action.text} ({one.action.who})",
            )
            for one in findings
            if one.finding.severity > Severity.NOTE
        ),
        readings=_readings(floor, done, zone=zone),
        packages=package_rows(done.packages, money=money),
        notes=_notes(day, judgement.done, zone=zone),
        seal=day.seal,
        seal_entries=day.sealed_seq or 0,
        signatures=(
            Signature(str((day.record or {}).get("closed_by", "")), _("closed the day")),
            Signature("", _("second pair of eyes")),
        ),
        demo=home.demo,
    )
    return day_record_pdf(
        sheet,
        printed_at=(day.sealed_at or now).astimezone(zone),
        unit="C" if home.units == "metric" else "F",
        clock="24h",
    )


def _as_sealed(done: Progress, day: days.DayView) -> Progress:
    """Leave out what came after the seal; it is listed apart."""
    if day.sealed_seq is None:
        return done
    return closing.progress_until(day.id, day.sealed_seq)


def _rules(day: days.DayView, profile: Profile) -> str:
    """Name the rules a day was judged by: with their version, once it is closed."""
    stamp = rules_kept.read_stamp(day.record or {})
    return profile.name if stamp is None else stamp.words


def _answers(
    done: Progress, chill: tuple[ChillVerdict, ...], *, zone: dt.tzinfo
) -> tuple[Answer, ...]:
    proved = sum(v.batch.birds for v in chill if v.proof is Proof.PROVED)
    inside = done.count("chill")
    last = max((p.at for p in done.packages), default=None)
    first = min((t.at for t in done.tallies), default=None)
    off = sum(entry.birds for entry in done.explained)
    return (
        Answer(
            _("Birds in"),
            str(done.count("kill")),
            "",
            _("{n} caught").format(n=done.count("catch")),
        ),
        Answer(
            _("Packed"),
            str(done.count("bag")),
            "",
            _("{n} written off").format(n=off),
        ),
        Answer(
            _("Proved cold in time"),
            f"{proved}",
            _("of {n}").format(n=inside),
            _("by a probe, guard band taken off"),
        ),
        Answer(
            _("Last packed"),
            "" if last is None else f"{last.astimezone(zone):%H:%M}",
            "",
            ""
            if first is None
            else _("first bird at {time}").format(time=f"{first.astimezone(zone):%H:%M}"),
        ),
    )


def _compared(day: days.DayView, done: Progress, *, zone: dt.tzinfo) -> tuple[ComparedRow, ...]:
    rows = [
        ComparedRow(
            _("Birds"),
            str(day.plan.birds),
            str(done.count("kill")),
            f"{done.count('kill') - day.plan.birds:+d}",
        )
    ]
    for code, words in (
        ("kill", _("First bird cut")),
        ("draw", _("Last bird drawn")),
        ("bag", _("Last bird packed")),
    ):
        column = day.plan.stations.index(code)
        planned = [
            s
            for t in day.plan.threads
            if (s := (t.start_s if code == "kill" else t.finish_s)[column]) is not None
        ]
        times = done.times(code)
        if not planned or not times:
            continue
        plan_at = day.moment(min(planned) if code == "kill" else max(planned)).astimezone(zone)
        real_at = (times[0] if code == "kill" else times[-1]).astimezone(zone)
        minutes = round((real_at - plan_at).total_seconds() / 60)
        rows.append(
            ComparedRow(
                words,
                f"{plan_at:%H:%M}",
                f"{real_at:%H:%M}",
                _("{n:+d} min").format(n=minutes),
            )
        )
    return tuple(rows)


def counts_rows(done: Progress, *, zone: dt.tzinfo) -> tuple[CountRow, ...]:
    """Return what was counted at each station, and who left the line there and why."""
    rows = []
    for code in done.stations:
        times = done.times(code)
        off = [e for e in done.explained if e.after == code]
        rows.append(
            CountRow(
                station=_(pictures.STATION_WORDS[code]),
                counted=str(len(times)),
                set_aside=str(sum(e.birds for e in off)) if off else "",
                first=f"{times[0].astimezone(zone):%H:%M}" if times else "",
                last=f"{times[-1].astimezone(zone):%H:%M}" if times else "",
                note="; ".join(f"{_(e.cause)}: {e.note}" if e.note else _(e.cause) for e in off),
            )
        )
    return tuple(rows)


def verdict_rows(
    chill: tuple[ChillVerdict, ...], findings: tuple[Finding, ...]
) -> tuple[Verdict, ...]:
    """Return a day's verdicts as it was judged: each chill batch, then what else is watched."""
    rows = []
    for verdict in chill:
        by = verdict.by
        measured = _("no reading")
        if by is not None:
            unit = by.reading.unit
            measured = _("{written}, {corrected} corrected, ±{spread} ({instrument})").format(
                written=by.reading.written,
                corrected=show(by.corrected_degC, unit, "temperature", decimals=1),
                spread=show(by.uncertainty_K, unit, "temperature difference", decimals=1),
                instrument=by.reading.instrument,
            )
        rows.append(
            Verdict(
                what=_("Cold in time, {n}").format(
                    n=ngettext("{n} bird", "{n} birds", verdict.batch.birds).format(
                        n=verdict.batch.birds
                    )
                ),
                where=verdict.batch.tank,
                outcome={Proof.PROVED: "met", Proof.PENDING: "not known"}.get(  # type: ignore[arg-type]
                    verdict.proof, "not met"
                ),
                measured=measured,
                limit=_("{target} within {hours:g} h of the cut").format(
                    target=verdict.batch.limit.target, hours=verdict.batch.limit.hours
                ),
                citation=verdict.batch.limit.citation,
                status=verdict.batch.limit.status,
            )
        )
    for kind, words in (
        ("sanitiser", _("Sanitiser strength and renewal")),
        ("water", _("Water")),
        ("thermometer", _("Thermometers checked in ice")),
        ("wait", _("Waiting times")),
    ):
        bad = [f for f in findings if f.code.startswith(kind) and f.severity > Severity.NOTE]
        good = [f for f in findings if f.code.startswith(kind)]
        source = next((f for f in (*bad, *good) if f.citation), None)
        rows.append(
            Verdict(
                what=words,
                where="",
                outcome="not met" if bad else "met",
                measured="; ".join(f.sentence for f in bad) or _("nothing found wrong"),
                limit="",
                citation="" if source is None else source.citation,
                status="" if source is None else source.status,
            )
        )
    return tuple(rows)


def _readings(floor: shopfloor.Floor, done: Progress, *, zone: dt.tzinfo) -> tuple[ReadingRow, ...]:
    corrected = {one.reading.id: one for one in floor.readings}
    rows = [
        ReadingRow(
            at=reading.at.astimezone(zone),
            place=reading_place(reading.what, reading.place),
            written=reading.written,
            corrected=show(
                corrected[reading.id].corrected_degC, reading.unit, "temperature", decimals=1
            )
            if reading.id in corrected
            else "",
            instrument=reading.instrument,
            who=reading.who,
        )
        for reading in done.readings
    ]
    rows += [
        ReadingRow(
            at=point.at.astimezone(zone),
            place=_("melting ice"),
            written=point.written,
            instrument=point.instrument,
            who=point.who,
        )
        for point in done.ice_points
    ]
    target = floor.profile.chill.target
    rows += [
        ReadingRow(
            at=curve.at(0).astimezone(zone),
            place=". ".join(
                (
                    reading_place(curve.note.what, curve.note.place),
                    logger_sentence(curve, limit=str(target), limit_degC=target.si, zone=zone),
                )
            ),
            written=ngettext("{n} reading", "{n} readings", len(curve.times_s)).format(
                n=len(curve.times_s)
            ),
            instrument=curve.note.instrument,
            who=curve.note.who,
        )
        for curve in floor.logged
    ]
    return tuple(rows)


def reading_place(what: str, place: str) -> str:
    """Return where a reading was taken, in words."""
    words = {
        "bath": _("water in {place}"),
        "bird": _("bird in {place}"),
        "scalder": _("scald water"),
        "strip": _("sanitiser strip"),
        "giblets": _("giblets"),
        "room": _("room"),
        "refrigerator": _("refrigerator"),
    }
    return words.get(what, what).format(place=place)


def package_rows(packages: tuple[Package, ...], *, money: bool = True) -> tuple[PackageRow, ...]:
    """Return the packages by product."""
    grouped: dict[str, list[Package]] = defaultdict(list)
    for package in packages:
        grouped[package.product].append(package)
    rows = []
    for product, group in grouped.items():
        nets = [Decimal(p.net_lb) for p in group]
        amount = sum((Decimal(p.total) for p in group if p.total), Decimal(0))
        rows.append(
            PackageRow(
                product=product,
                count=str(len(group)),
                net_weight=f"{sum(nets)} lb",
                range=f"{min(nets)}–{max(nets)} lb",
                amount=dollars(amount) if amount and money else "",
            )
        )
    return tuple(rows)


def _notes(day: days.DayView, done: Progress, *, zone: dt.tzinfo) -> tuple[str, ...]:
    notes = [
        _("Judged by {method}. A modelled time proves nothing; only the readings do.").format(
            method=str((day.record or {}).get("method", _("the program as it stands")))
        )
    ]
    back = [c for c in done.corrections if not c.late]
    if back:
        notes.append(
            ngettext(
                "One entry was taken back during the day.",
                "{n} entries were taken back during the day.",
                len(back),
            ).format(n=len(back))
        )
    notes.extend(
        _("Later correction, {when}, {who}: {text}").format(
            when=f"{c.at.astimezone(zone):%Y-%m-%d %H:%M}", who=c.who or "–", text=c.reason
        )
        for c in done.corrections
        if c.late
    )
    others = [
        event
        for event in running.events(day.id, sealed_seq=day.sealed_seq)
        if event.late and event.kind != "correction"
    ]
    if others:
        notes.append(
            ngettext(
                "One other entry arrived after closing; the journal keeps it, this record leaves "
                "it out.",
                "{n} other entries arrived after closing; the journal keeps them, this record "
                "leaves them out.",
                len(others),
            ).format(n=len(others))
        )
    return tuple(notes)
