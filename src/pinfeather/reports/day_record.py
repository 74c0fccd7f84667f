"""The day record: what was planned, done, measured, found and packed, on two to four pages."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Final, Literal

from pinfeather.finding import Finding, Severity
from pinfeather.reports.cold_curve import cold_curve_svg
from pinfeather.reports.cold_curve_data import ColdCurve, TemperatureUnit, cold_curve_sentence
from pinfeather.reports.sheet_parts import STRIP_PX, Answer, head, said
from pinfeather.reports.strip import Strip, strip_sentence
from pinfeather.reports.strip_svg import strip_svg
from pinfeather.reports.typeset import Paper, typeset
from pinfeather.reports.when import Clock, clock_text
from pinfeather.words import gettext as _

Outcome = Literal["met", "not met", "not known"]

_HALF_PAGE_PX: Final = 400


@dataclass(frozen=True, slots=True)
class ComparedRow:
    """One thing as planned and as it came, as text.

    Parameters
    ----------
    what, plan, actual, difference, why : str
        The thing, both values, the difference, and a remark.
    """

    what: str
    plan: str
    actual: str
    difference: str = ""
    why: str = ""


@dataclass(frozen=True, slots=True)
class CountRow:
    """What was counted at one station, as text.

    Parameters
    ----------
    station : str
        Which.
    counted, set_aside : str
        Birds through, and birds taken out there.
    first, last : str
        Clock times.
    note : str
        A remark.
    """

    station: str
    counted: str
    set_aside: str = ""
    first: str = ""
    last: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True)
class ReadingRow:
    """One reading, as it was written down.

    Parameters
    ----------
    at : datetime
        When, in the farm's zone.
    place : str
        Where it was taken.
    written : str
        Value and unit as written.
    corrected : str
        After the instrument's correction; empty where there is none.
    instrument : str
        Its name.
    who : str
        Who read it.
    """

    at: dt.datetime
    place: str
    written: str
    corrected: str = ""
    instrument: str = ""
    who: str = ""


@dataclass(frozen=True, slots=True)
class Verdict:
    """A measured thing held against a rule: chilling, sanitiser, water, thermometer.

    Parameters
    ----------
    what : str
        What was judged.
    where : str
        Batch, station or instrument; may be empty.
    outcome : {"met", "not met", "not known"}
        The verdict.
    measured, limit : str
        Both with their units, the limit as published.
    citation : str
        The rule.
    status : str
        How the rule is known.
    """

    what: str
    where: str
    outcome: Outcome
    measured: str
    limit: str
    citation: str
    status: str = ""


@dataclass(frozen=True, slots=True)
class ActedFinding:
    """A finding with what somebody wrote that was done about it.

    Parameters
    ----------
    finding : Finding
        What was found.
    action : str
        As written; where it is empty the record says that nothing was written down.
    """

    finding: Finding
    action: str = ""


@dataclass(frozen=True, slots=True)
class PackageRow:
    """The packages of one product, as text.

    Parameters
    ----------
    product : str
        Which.
    count : str
        How many.
    net_weight : str
        Together, with unit.
    range : str
        Lightest and heaviest.
    amount : str
        Money, where it is known.
    """

    product: str
    count: str
    net_weight: str
    range: str = ""
    amount: str = ""


@dataclass(frozen=True, slots=True)
class Signature:
    """A line to sign on.

    Parameters
    ----------
    name, role : str
        Printed under the line.
    """

    name: str
    role: str = ""


@dataclass(frozen=True, slots=True)
class DayRecordSheet:
    """Everything a day record says.

    Parameters
    ----------
    farm, title, subtitle : str
        Whose record; the day; lots, people, tier.
    answers : tuple of Answer
        Birds in and out, done at, cold at.
    compared : tuple of ComparedRow
        Plan against actual.
    strip : Strip or None
        The day as it went.
    counts : tuple of CountRow
        By station, in order.
    curves : tuple of ColdCurve
        One per chill batch.
    verdicts : tuple of Verdict
        Chilling, sanitiser, water, thermometers.
    findings : tuple of ActedFinding
        Printed with the worst first.
    readings : tuple of ReadingRow
        Printed in order of time.
    packages : tuple of PackageRow
        By product.
    notes : tuple of str
        Further paragraphs.
    seal : str
        The journal's head when the record was made, in hexadecimal.
    seal_entries : int
        How many entries the journal then had.
    signatures : tuple of Signature
        Lines to sign on.
    demo : bool
        Whether the birds are pretended.
    """

    farm: str
    title: str
    subtitle: str = ""
    answers: tuple[Answer, ...] = ()
    compared: tuple[ComparedRow, ...] = ()
    strip: Strip | None = None
    counts: tuple[CountRow, ...] = ()
    curves: tuple[ColdCurve, ...] = ()
    verdicts: tuple[Verdict, ...] = ()
    findings: tuple[ActedFinding, ...] = ()
    readings: tuple[ReadingRow, ...] = ()
    packages: tuple[PackageRow, ...] = ()
    notes: tuple[str, ...] = ()
    seal: str = ""
    seal_entries: int = 0
    signatures: tuple[Signature, ...] = ()
    demo: bool = False


def day_record_pdf(
    record: DayRecordSheet,
    *,
    printed_at: dt.datetime,
    paper: Paper = "us-letter",
    unit: TemperatureUnit = "F",
    clock: Clock = "12h",
) -> bytes:
    """Set the record of a day for printing.

    Parameters
    ----------
    record : DayRecordSheet
        What it says.
    printed_at : datetime
        The moment of printing, in the farm's zone.
    paper : {"us-letter", "a4"}
        Paper size.
    unit : {"F", "C"}
        The unit of the cold curves' axis.
    clock : {"12h", "24h"}
        Which clock the farm reads.

    Returns
    -------
    bytes
        The PDF; the same record gives the same bytes.

    Raises
    ------
    InputError
        If the paper is unknown or the moment has no zone.

    References
    ----------
    Derivation: choice; the answer first, the reason under it.
    """
    findings = sorted(record.findings, key=lambda acted: -acted.finding.severity)
    data = {
        **head(
            farm=record.farm,
            title=record.title,
            subtitle=record.subtitle,
            kind=_("Day record"),
            paper=paper,
            demo=record.demo,
            printed_at=printed_at,
            clock=clock,
        ),
        "answers": record.answers,
        "compared": record.compared,
        "strip_words": "" if record.strip is None else strip_sentence(record.strip),
        "counts": record.counts,
        "curves": [cold_curve_sentence(c, unit=unit, clock=clock) for c in record.curves],
        "verdicts": [_judged(verdict) for verdict in record.verdicts],
        "findings": [said(acted.finding, action=_action(acted)) for acted in findings],
        "readings": [
            {
                "at": clock_text(reading.at, clock=clock),
                "place": reading.place,
                "written": reading.written,
                "corrected": reading.corrected,
                "instrument": reading.instrument,
                "who": reading.who,
            }
            for reading in sorted(record.readings, key=lambda reading: reading.at)
        ],
        "packages": record.packages,
        "notes": record.notes,
        "seal": record.seal,
        "seal_words": _seal_words(record),
        "signatures": record.signatures,
        "words": _headings(),
    }
    return typeset(
        "day_record",
        data,
        printed_at=printed_at,
        pictures=_pictures(record, unit=unit, clock=clock),
    )


def _pictures(record: DayRecordSheet, *, unit: TemperatureUnit, clock: Clock) -> dict[str, str]:
    pictures = {}
    if record.strip is not None:
        pictures["strip.svg"] = strip_svg(
            record.strip, palette="print", width=STRIP_PX, clock=clock
        )
    width = STRIP_PX if len(record.curves) == 1 else _HALF_PAGE_PX
    for number, curve in enumerate(record.curves):
        pictures[f"curve-{number}.svg"] = cold_curve_svg(
            curve, palette="print", width=width, unit=unit, clock=clock, ident=f"curve-{number}"
        )
    return pictures


def _judged(verdict: Verdict) -> dict[str, str]:
    words = {"met": _("met"), "not met": _("not met"), "not known": _("not known")}
    return {
        "what": verdict.what,
        "where": verdict.where,
        "outcome": verdict.outcome,
        "word": words[verdict.outcome],
        "measured": verdict.measured,
        "limit": verdict.limit,
        "citation": verdict.citation,
        "status": verdict.status,
    }


def _action(acted: ActedFinding) -> str:
    if acted.action or acted.finding.severity < Severity.CHECK:
        return acted.action
    return _("nothing was written down")


def _seal_words(record: DayRecordSheet) -> str:
    if not record.seal:
        return _("This record was printed without a seal of the journal.")
    return _(
        "The journal had {entries} entries when this was printed. Its seal, below, changes with "
        "any later change to any of them; compare it with what “pinfeather verify” shows."
    ).format(entries=record.seal_entries)


def _headings() -> dict[str, str]:
    return {
        "compared": _("Plan and what happened"),
        "what": _("What"),
        "plan": _("Plan"),
        "actual": _("Actual"),
        "difference": _("Difference"),
        "why": _("Remark"),
        "strip": _("The strip"),
        "counts": _("Counts"),
        "station": _("Station"),
        "counted": _("Counted"),
        "set_aside": _("Set aside"),
        "first": _("First"),
        "last": _("Last"),
        "note": _("Remark"),
        "curves": _("The cold curves"),
        "verdicts": _("Verdicts"),
        "verdict": _("Verdict"),
        "measured": _("Measured"),
        "limit": _("Limit"),
        "source": _("Rule and how it is known"),
        "findings": _("Findings and what was done"),
        "readings": _("Readings"),
        "time": _("Time"),
        "place": _("Where"),
        "written": _("As written"),
        "corrected": _("Corrected"),
        "instrument": _("Instrument"),
        "who": _("Who"),
        "packages": _("Packages"),
        "product": _("Product"),
        "count": _("Packages"),
        "net_weight": _("Net weight"),
        "range": _("Lightest to heaviest"),
        "amount": _("Amount"),
        "seal": _("Seal of the journal"),
        "signatures": _("Signed"),
    }
