"""The days of a binder: counts, temperatures, verdicts, people and seal, as they were kept."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence

from pinfeather.actions.binder.source import BinderDay, Source
from pinfeather.actions.day import closing
from pinfeather.actions.day.record_document import (
    counts_rows,
    package_rows,
    reading_place,
    verdict_rows,
)
from pinfeather.day.instruments import trusted
from pinfeather.finding import Severity
from pinfeather.quantity import show
from pinfeather.reports.binder import Block, Facts, Found, Leaf, Said, Seal, Section, Verdicts
from pinfeather.reports.day_record import ActedFinding
from pinfeather.reports.sheet_parts import Answer
from pinfeather.reports.table_sheet import SheetTable
from pinfeather.words import date_text
from pinfeather.words import gettext as _


def days_section(source: Source) -> Section:
    """Return every closed day of the period, and the days that are not closed."""
    still_open = [one for one in source.days if not one.closed]
    table = SheetTable(
        _("Days that are not closed"),
        (_("Date"), _("Lots"), _("How it stands")),
        tuple((date_text(one.date), ", ".join(one.lots), _(one.status)) for one in still_open),
        ("auto", "1", "auto"),
    )
    return Section(
        _("Day records"),
        _("Each closed day as it was judged and sealed that day; nothing is worked out again."),
        (table,) if still_open else (),
        tuple(_leaf(one, source) for one in source.closed),
    )


def _leaf(day: BinderDay, source: Source) -> Leaf:
    zone, done = source.zone, day.done
    findings = closing.record_findings(dict(day.record))
    chill = closing.record_chill(dict(day.record))
    acted = tuple(
        ActedFinding(
            one.finding, "" if one.action is None else f"{one.action.text} ({one.action.who})"
        )
        for one in findings
        if one.finding.severity > Severity.NOTE
    )
    species = ", ".join(f"{n} {_(kind)}" for kind, n in day.slaughtered().items())
    blocks: list[Block] = [
        Facts(
            (
                Answer(_("Birds in"), str(done.count("kill")), "", species),
                Answer(_("Packed"), str(done.count("bag"))),
                Answer(_("Off the line"), str(sum(one.birds for one in done.explained))),
                Answer(_("Findings answered"), str(len(acted))),
            )
        ),
        Said(
            _("Lots {lots}. People: {people}. Closed by {who}, {when}, under {rules}.").format(
                lots=", ".join(day.lots),
                people=", ".join(day.people),
                who=day.record.get("closed_by", ""),
                when=_moment(day.sealed_at, zone),
                rules=day.record.get("profile", ""),
            )
        ),
        SheetTable(
            _("Counts"),
            (_("Station"), _("Counted"), _("Set aside"), _("First"), _("Last"), _("Remark")),
            tuple(
                (row.station, row.counted, row.set_aside, row.first, row.last, row.note)
                for row in counts_rows(done, zone=zone)
            ),
            ("2", "auto", "auto", "auto", "auto", "4"),
            (1, 2, 3, 4),
        ),
        _readings(day, source),
        Verdicts(verdict_rows(chill, tuple(one.finding for one in findings))),
    ]
    if acted:
        blocks.append(Found(acted, _("Findings and what was done")))
    if done.packages:
        blocks.append(_packages(day))
    blocks.extend(_later(day, zone))
    blocks.append(Seal(day.seal, _seal_words(day)))
    return Leaf(date_text(day.date, weekday=True), tuple(blocks))


def _moment(at: dt.datetime | None, zone: dt.tzinfo) -> str:
    return "" if at is None else f"{at.astimezone(zone):%Y-%m-%d %H:%M}"


def _readings(day: BinderDay, source: Source) -> SheetTable:
    """Return every reading of a day in order of time, corrected by its thermometer's ice check."""
    zone = source.zone
    stated = {one.name: one.accuracy_K for one in source.instruments if one.kind == "thermometer"}
    corrected = {
        one.reading.id: one
        for one in trusted(day.done.readings, source.ice_points, accuracies_K=stated)
    }
    rows: list[tuple[dt.datetime, tuple[str, ...]]] = []
    for one in day.done.readings:
        true = corrected.get(one.id)
        rows.append(
            (
                one.at,
                (
                    reading_place(one.what, one.place),
                    one.written,
                    ""
                    if true is None
                    else show(true.corrected_degC, one.unit, "temperature", decimals=1),
                    one.instrument,
                    one.who,
                ),
            )
        )
    rows += [
        (one.at, (_("melting ice"), one.written, "", one.instrument, one.who))
        for one in day.done.ice_points
    ]
    rows += [
        (
            one.at,
            (
                reading_place(one.what, one.place),
                _("logger file"),
                "",
                one.instrument,
                one.who,
            ),
        )
        for one in day.done.loggers
    ]
    return SheetTable(
        _("Temperatures and strips"),
        (_("Time"), _("Where"), _("As written"), _("Corrected"), _("Instrument"), _("Who")),
        tuple(
            (f"{at.astimezone(zone):%H:%M}", *cells)
            for at, cells in sorted(rows, key=lambda row: row[0])
        ),
        ("auto", "3", "auto", "auto", "2", "1"),
        (0, 2, 3),
    )


def _packages(day: BinderDay) -> SheetTable:
    return SheetTable(
        _("Packages"),
        (_("Product"), _("Packages"), _("Net weight"), _("Lightest to heaviest")),
        tuple(
            (row.product, row.count, row.net_weight, row.range)
            for row in package_rows(day.done.packages)
        ),
        ("3", "auto", "auto", "2"),
        (1, 2, 3),
    )


def _later(day: BinderDay, zone: dt.tzinfo) -> Sequence[Block]:
    """Return what was written after the seal; the record leaves it out."""
    if not day.late:
        return ()
    rows = tuple(
        (
            _moment(one.at, zone),
            one.who,
            str(one.payload.get("reason") or one.payload.get("text") or _(one.kind)),
        )
        for one in day.late
    )
    return (
        SheetTable(
            _("Written after the day was sealed; not counted above"),
            (_("When"), _("Who"), _("What")),
            rows,
            ("auto", "auto", "1"),
        ),
    )


def _seal_words(day: BinderDay) -> str:
    return _(
        "Seal of the day: entry {n} of the journal, which covers this record and all entries "
        "before it. Judged by {method}."
    ).format(n=day.sealed_seq, method=day.record.get("method", ""))


def corrective_rows(source: Source) -> tuple[tuple[str, ...], ...]:
    """Return every finding that somebody answered on a closed day, in order of the days."""
    return tuple(
        (
            date_text(day.date),
            one.finding.sentence,
            one.action.text,
            one.action.who,
        )
        for day in source.closed
        for one in closing.record_findings(dict(day.record))
        if one.action is not None
    )
