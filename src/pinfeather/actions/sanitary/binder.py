"""What the sanitary plan gives to a binder for the inspector: plain text, nothing to work out."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from pinfeather import clock
from pinfeather.actions.farm import farm
from pinfeather.actions.sanitary.plan import plan
from pinfeather.actions.sanitary.sheet import sheet, sheet_days
from pinfeather.actions.sanitary.wording import (
    fix_words,
    setup_words,
    sheet_words,
    sourced,
    station_words,
)
from pinfeather.errors import InputError
from pinfeather.hygiene.corrective_action import yardstick_words
from pinfeather.hygiene.sanitary_plan import CAUTIONS, WHENS
from pinfeather.records import models
from pinfeather.words import gettext as _


@dataclass(frozen=True, slots=True)
class ProcedureText:
    """One written step."""

    when: str
    """Before the first bird, while working, or after the last bird."""
    what: str
    how: str
    who: str
    often: str
    strength: str
    """Sanitiser strength with its dose and contact time; empty where none is used."""
    left_out: str
    """Why this shop does not do it; empty where it does."""


@dataclass(frozen=True, slots=True)
class IntervalText:
    """How often surfaces are cleaned in a room of some temperature."""

    room: str
    every: str
    source: str


@dataclass(frozen=True, slots=True)
class HazardText:
    """One line of the hazard analysis."""

    step: str
    kind: str
    hazard: str
    likely: str
    why: str
    control: str
    limit: str
    source: str


@dataclass(frozen=True, slots=True)
class LineText:
    """One line of a filled sheet."""

    when: str
    what: str
    result: str
    note: str
    who: str
    at: str


@dataclass(frozen=True, slots=True)
class SheetText:
    """A day's sheet as filled."""

    on: dt.date
    lines: tuple[LineText, ...]
    signed: tuple[str, ...]
    findings: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class CorrectiveText:
    """A corrective action in its four parts."""

    on: dt.date
    what: str
    parts: tuple[tuple[str, str], ...]
    """Question and answer, in order."""
    who: str
    at: str


@dataclass(frozen=True, slots=True)
class SanitaryBinder:
    """Everything about cleaning between two days, both included."""

    setup: tuple[tuple[str, str], ...]
    procedures: tuple[ProcedureText, ...]
    intervals: tuple[IntervalText, ...]
    cautions: tuple[str, ...]
    hazards: tuple[HazardText, ...]
    sheets: tuple[SheetText, ...]
    corrective_actions: tuple[CorrectiveText, ...]
    days_without_sheet: tuple[dt.date, ...]
    """Processing days on which nothing was written on a sheet."""
    yardstick: str
    """What law these follow, and that an exempt shop uses it as a yardstick."""


def for_binder(from_date: dt.date, to_date: dt.date) -> SanitaryBinder:
    """Return the sanitary plan as it stands, and the sheets and actions between two days.

    Raises
    ------
    InputError
        If the second day comes before the first.
    """
    if to_date < from_date:
        raise InputError("to", to_date, _("The last day comes before the first."))
    view, now = plan(), clock.now()
    zone = clock.zone(farm().zone)
    kept = [on for on, _lines, _fixes in sheet_days() if from_date <= on <= to_date]
    filled = [sheet(on, now=now) for on in sorted(kept)]
    worked = models.Day.objects.filter(
        date__gte=from_date, date__lte=to_date, status=models.Day.Status.CLOSED
    ).values_list("date", flat=True)
    return SanitaryBinder(
        setup=setup_words(view),
        procedures=tuple(
            ProcedureText(
                _(WHENS[step.when]),
                step.what,
                step.how,
                step.who,
                step.often,
                step.strength,
                step.left_out,
            )
            for step in view.steps
        ),
        intervals=tuple(
            IntervalText(one.room, one.every, sourced(one.citation, one.status))
            for one in view.intervals
        ),
        cautions=tuple(_(words) for words in CAUTIONS.values()),
        hazards=tuple(
            HazardText(
                station_words(one.station),
                _(one.kind),
                one.hazard,
                _("yes") if one.likely else _("no"),
                one.why,
                one.control,
                one.limit,
                sourced(one.citation, one.status),
            )
            for one in view.hazards
        ),
        sheets=tuple(
            SheetText(
                found.on,
                tuple(LineText(*words) for words in sheet_words(found)),
                tuple(f"{one.who}, {one.at.astimezone(zone):%H:%M}" for one in found.signed),
                tuple(one.sentence for one in found.findings),
            )
            for found in filled
        ),
        corrective_actions=tuple(
            CorrectiveText(
                one.on,
                one.text("what"),
                fix_words(one),
                one.who,
                f"{one.at.astimezone(zone):%H:%M}",
            )
            for found in filled
            for one in found.fixes
        ),
        days_without_sheet=tuple(sorted(set(worked) - set(kept))),
        yardstick=yardstick_words(),
    )
