"""A day's cleaning sheet: what was looked at, what the strips and the room showed, who signed."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Final

from pinfeather import clock
from pinfeather.actions.day import days, running
from pinfeather.actions.farm import farm
from pinfeather.actions.sanitary.entries import (
    DONE,
    ENTRY_KIND,
    NOT_RIGHT,
    SHEET_ACTS,
    Line,
    lines,
)
from pinfeather.actions.sanitary.plan import PlanView, plan
from pinfeather.day.events import Done
from pinfeather.day.progress import Progress
from pinfeather.finding import Finding, Severity, by_severity
from pinfeather.hygiene.cleaning_times import (
    NextCleaning,
    RoomReading,
    next_cleaning,
    overdue_finding,
)
from pinfeather.hygiene.sanitary_plan import WHENS, Step
from pinfeather.records import models
from pinfeather.rules.model import Profile
from pinfeather.rules.sanitiser import Surface, strength_verdict
from pinfeather.units import from_si
from pinfeather.words import gettext as _
from pinfeather.words import ngettext

CLEANED: Final = ("tools", "clean", "sanitise")
"""Steps after which surfaces are clean."""
STRENGTH_CODES: Final = frozenset({"sanitiser.weak", "sanitiser.strong", "sanitiser.ask_label"})
STRIP_STEP: Final = "strip"
"""The step that a strip on the sheet does."""
_NAMED: Final = 3


@dataclass(frozen=True, slots=True)
class Mark:
    """One tap: done, or not right."""

    line: Line
    fix: Line | None = None
    """The corrective action, where one was written."""

    @property
    def wrong(self) -> bool:
        """Whether it was not right."""
        return self.line.text("result") == NOT_RIGHT


@dataclass(frozen=True, slots=True)
class Row:
    """A step with its marks, the oldest first."""

    step: Step
    marks: tuple[Mark, ...]
    read: int = 0
    """Strips read, where the step is to read one."""

    @property
    def state(self) -> str:
        """``open``, ``done``, ``not right`` or ``put right``."""
        if not self.marks:
            return "done" if self.read else "open"
        last = self.marks[-1]
        if not last.wrong:
            return "done"
        return "put right" if last.fix else "not right"


@dataclass(frozen=True, slots=True)
class Strip:
    """A strip read, on the sheet or at the line."""

    written: str
    ppm: float
    chemical: str
    surface: Surface
    who: str
    at: dt.datetime
    line: Line | None
    """None where it was written at the line."""


@dataclass(frozen=True, slots=True)
class Sheet:
    """A day's sheet."""

    on: dt.date
    plan: PlanView
    rows: tuple[Row, ...]
    strips: tuple[Strip, ...]
    rooms: tuple[Line, ...]
    signed: tuple[Line, ...]
    fixes: tuple[Line, ...]
    due: NextCleaning | None
    findings: tuple[Finding, ...]
    days: tuple[days.DayView, ...]
    written: tuple[Line, ...]
    """Every line, struck out or not."""

    @property
    def groups(self) -> tuple[tuple[str, tuple[Row, ...]], ...]:
        """The rows under their headings."""
        return tuple(
            (_(words), tuple(row for row in self.rows if row.step.when == when))
            for when, words in WHENS.items()
        )

    def open(self, when: str) -> int:
        """Return how many steps of a part are still to do."""
        return sum(1 for row in self.rows if row.step.when == when and row.state == "open")


def sheet(on: dt.date, *, now: dt.datetime, until_seq: int | None = None) -> Sheet:
    """Put a day's sheet together; with ``until_seq`` as it stood at that place of the journal."""
    view = plan()
    written = lines(on=on, acts=SHEET_ACTS, until_seq=until_seq)
    standing = [one for one in written if not one.struck]
    fixes = {one.text("of"): one for one in standing if one.act == "fix"}
    rows = tuple(Row(step, _marks(step.code, standing, fixes)) for step in _steps(view, standing))
    keys = models.Day.objects.filter(date=on).order_by("pk").values_list("pk", flat=True)
    found = tuple(days.day(pk) for pk in keys)
    progresses = [running.day_progress(one.id) for one in found]
    strips = _strips(standing, progresses)
    rows = tuple(
        Row(
            step,
            _marks(step.code, standing, fixes),
            len(strips) if step.code == STRIP_STEP else 0,
        )
        for step in _steps(view, standing)
    )
    rooms = tuple(one for one in standing if one.act == "room")
    made = Sheet(
        on,
        view,
        rows,
        strips,
        rooms,
        tuple(one for one in standing if one.act == "sign"),
        tuple(one for one in standing if one.act == "fix"),
        _due(view.profile, rows, rooms, progresses=progresses),
        (),
        found,
        written,
    )
    return replace(
        made,
        findings=by_severity(
            (
                *(finding for done in progresses for finding in before_findings(made, done)),
                *overdue_findings(made, now=now),
                *strip_findings(view.profile, made.strips),
                *open_findings(made),
                *view.findings,
            )
        ),
    )


def in_use(on: dt.date) -> bool:
    """Say whether the farm kept sheets by that day; where none are kept, none is asked for."""
    return models.Entry.objects.filter(
        kind=ENTRY_KIND, payload__act__in=list(SHEET_ACTS), payload__on__lte=on.isoformat()
    ).exists()


def kept_on(on: dt.date) -> bool:
    """Say whether anything was written on a day's sheet."""
    return models.Entry.objects.filter(
        kind=ENTRY_KIND, payload__act__in=list(SHEET_ACTS), payload__on=on.isoformat()
    ).exists()


def day_findings(
    day: days.DayView, done: Progress, profile: Profile, *, now: dt.datetime
) -> tuple[Finding, ...]:
    """Return what the cleaning sheet says against a processing day; nothing if none are kept.

    A closed day is judged by the sheet as it stood when the day was sealed. Strips read at the
    line and the times between cleanings are judged with the day itself.
    """
    if not in_use(day.date):
        return ()
    found = sheet(day.date, now=now, until_seq=day.sealed_seq)
    return (
        *before_findings(found, done),
        *strip_findings(profile, [one for one in found.strips if one.line is not None]),
        *open_findings(found),
    )


def running_findings(
    day: days.DayView, done: Progress, profile: Profile, *, now: dt.datetime
) -> tuple[Finding, ...]:
    """Return what a running day's page says about cleaning: what asks for something to be done."""
    if not in_use(day.date):
        return ()
    found = (
        *day_findings(day, done, profile, now=now),
        *overdue_findings(sheet(day.date, now=now), now=now),
    )
    return tuple(one for one in by_severity(found) if one.severity > Severity.NOTE)


def with_cleanings(done: Progress, day: days.DayView) -> Progress:
    """Add the cleanings of the sheet to those tapped at the line."""
    taps = [
        Done(one.id, "sanitiser", "", one.who, one.at)
        for one in lines(on=day.date, acts=("check",), until_seq=day.sealed_seq)
        if not one.struck and one.text("step") in CLEANED and one.text("result") == DONE
    ]
    return replace(done, done=(*done.done, *taps))


def has_strip(day: days.DayView) -> bool:
    """Say whether a strip stands on a day's sheet."""
    found = lines(on=day.date, acts=("strip",), until_seq=day.sealed_seq)
    return any(not one.struck for one in found)


def overdue_findings(found: Sheet, *, now: dt.datetime) -> tuple[Finding, ...]:
    """Say that surfaces should have been cleaned again, while a day is under way."""
    if found.due is None or not any(one.status == models.Day.Status.RUNNING for one in found.days):
        return ()
    late = overdue_finding(found.due, now=now)
    return () if late is None else (late,)


def before_findings(found: Sheet, done: Progress) -> tuple[Finding, ...]:
    """Say which steps were not done before the first bird."""
    moments = [t.at for t in done.tallies]
    if not moments or not in_use(found.on):
        return ()
    first = min(moments)
    late = [
        row.step.what
        for row in found.rows
        if row.step.when == "before"
        and not any(not mark.wrong and mark.line.at <= first for mark in row.marks)
    ]
    if not late:
        return ()
    zone = clock.zone(farm().zone)
    named = "; ".join(late[:_NAMED]) + (" …" if len(late) > _NAMED else "")
    return (
        Finding(
            code="sanitary.not_before",
            severity=Severity.CHECK,
            sentence=ngettext(
                "{n} cleaning check was not done before the first bird.",
                "{n} cleaning checks were not done before the first bird.",
                len(late),
            ).format(n=len(late)),
            reason=_("First bird at {time}. Missing: {steps}.").format(
                time=f"{first.astimezone(zone):%H:%M}", steps=named
            ),
            where="cleaning sheet",
            measured=float(len(late)),
            limit=0.0,
            citation="9 CFR 416.13(a)",
            status="read",
        ),
    )


def strip_findings(profile: Profile, strips: Sequence[Strip]) -> tuple[Finding, ...]:
    """Judge the strips; one that was put right by a later strip is only noted."""
    found: list[Finding] = []
    judged = [
        (strip, _against(profile, strip))
        for strip in strips
        if strip.chemical in profile.sanitation.sanitisers
    ]
    for number, (strip, against) in enumerate(judged):
        right = next(
            (
                later
                for later, wrong in judged[number + 1 :]
                if not wrong and later.surface == strip.surface
            ),
            None,
        )
        for finding in against:
            where = f"strip {strip.line.id[-6:]}" if strip.line else f"strip {strip.written}"
            if right is None:
                found.append(replace(finding, where=where))
            else:
                found.append(
                    replace(
                        finding,
                        where=where,
                        severity=Severity.NOTE,
                        reason=_("Put right: the next strip read {value}.").format(
                            value=right.written
                        ),
                    )
                )
    return tuple(found)


def _against(profile: Profile, strip: Strip) -> list[Finding]:
    """Return what stands against a strip's strength, the gravest of each sort."""
    found: dict[str, Finding] = {}
    verdict = strength_verdict(profile, strip.chemical, strip.ppm, surface=strip.surface)
    for finding in by_severity(verdict):
        if finding.code in STRENGTH_CODES:
            found.setdefault(finding.code, finding)
    return list(found.values())


def open_findings(found: Sheet) -> tuple[Finding, ...]:
    """Say where something was not right and its corrective action is not written."""
    return tuple(
        Finding(
            code="sanitary.not_right",
            severity=Severity.CHECK,
            sentence=_("Not right, and no corrective action is written: {what}").format(
                what=row.step.what
            ),
            reason=_("Write its four parts on the cleaning sheet."),
            where=f"cleaning {mark.line.id[-6:]}",
            citation="9 CFR 417.3(a)",
            status="read",
        )
        for row in found.rows
        for mark in row.marks
        if mark.wrong and mark.fix is None
    )


def sheet_days(*, limit: int = 400) -> tuple[tuple[dt.date, int, int], ...]:
    """Return the days with a sheet, newest first: lines, and corrective actions on each."""
    counted: dict[dt.date, list[int]] = {}
    for one in lines(acts=SHEET_ACTS):
        if one.struck:
            continue
        row = counted.setdefault(one.on, [0, 0])
        row[0] += 1
        row[1] += one.act == "fix"
    return tuple((on, row[0], row[1]) for on, row in sorted(counted.items(), reverse=True)[:limit])


def _steps(view: PlanView, standing: Iterable[Line]) -> tuple[Step, ...]:
    """Return the steps of a sheet; one left out since then stays where it was marked."""
    marked = {one.text("step") for one in standing if one.act == "check"}
    return tuple(step for step in view.steps if not step.left_out or step.code in marked)


def _marks(code: str, standing: Iterable[Line], fixes: dict[str, Line]) -> tuple[Mark, ...]:
    mine = [one for one in standing if one.act == "check" and one.text("step") == code]
    return tuple(
        Mark(one, fixes.get(one.id)) for one in sorted(mine, key=lambda one: (one.at, one.seq))
    )


def _strips(standing: Iterable[Line], progresses: Iterable[Progress]) -> tuple[Strip, ...]:
    found = [
        Strip(
            one.text("written"),
            from_si(float(one.kept["si"]), "ppm", "strength"),
            one.text("chemical"),
            "fixed" if one.text("surface") == "fixed" else "dipped",
            one.who,
            one.at,
            one,
        )
        for one in standing
        if one.act == "strip"
    ]
    found += [
        Strip(r.written, from_si(r.si, "ppm", "strength"), "chlorine", "dipped", r.who, r.at, None)
        for done in progresses
        for r in done.readings
        if r.what == "strip"
    ]
    return tuple(sorted(found, key=lambda one: one.at))


def _due(
    profile: Profile,
    rows: Sequence[Row],
    rooms: Iterable[Line],
    *,
    progresses: Iterable[Progress],
) -> NextCleaning | None:
    cleaned = [
        mark.line.at
        for row in rows
        if row.step.code in CLEANED
        for mark in row.marks
        if not mark.wrong
    ]
    readings = [RoomReading(one.at, float(one.kept["si"])) for one in rooms]
    for done in progresses:
        cleaned += [d.at for d in done.done if d.task == "sanitiser"]
        readings += [RoomReading(r.at, r.si) for r in done.readings if r.what == "room"]
    return next_cleaning(profile, max(cleaned), readings) if cleaned else None
