"""What a period lacks, said before anybody else finds it."""

from __future__ import annotations

from collections.abc import Sequence

from pinfeather.actions.binder import flock_leaves, law, stock
from pinfeather.actions.binder.source import Source
from pinfeather.actions.day import closing
from pinfeather.actions.duties.binder import BinderPapers
from pinfeather.actions.sanitary.binder import SanitaryBinder
from pinfeather.actions.stock.drill import Drill
from pinfeather.finding import Finding, Severity, by_severity
from pinfeather.words import date_text, ngettext
from pinfeather.words import gettext as _

_MOST_NAMED = 8


def missing(
    source: Source, *, plan: SanitaryBinder, papers: BinderPapers, drills: Sequence[Drill]
) -> tuple[Finding, ...]:
    """Return what is missing in the period, the worst first."""
    return by_severity(
        [
            *_farm(source),
            *_days(source),
            *_water(source, papers),
            *_thermometers(source),
            *_cleaning(plan),
            *_flocks(source),
            *_sales(source),
            *_drills(drills),
            *_licence(source, papers),
            *law.count_findings(source),
        ]
    )


def _listed(names: Sequence[str]) -> str:
    """Return names, the first few, and how many more there are."""
    shown = ", ".join(names[:_MOST_NAMED])
    more = len(names) - _MOST_NAMED
    return shown if more <= 0 else _("{names} and {n} more").format(names=shown, n=more)


def _farm(source: Source) -> list[Finding]:
    if source.home.name and source.home.address:
        return []
    sentence = _("The farm’s name or address is not written.")
    return [Finding("binder.farm", Severity.CHECK, sentence, _("Write it on the farm’s page."))]


def _days(source: Source) -> list[Finding]:
    if not source.closed:
        sentence = _("No processing day was closed in this period.")
        return [Finding("binder.no_day", Severity.NOTE, sentence)]
    waiting = [one for one in source.days if not one.closed and one.done.tallies]
    if not waiting:
        return []
    sentence = ngettext(
        "{n} day was begun and is not closed: {days}.",
        "{n} days were begun and are not closed: {days}.",
        len(waiting),
    ).format(n=len(waiting), days=_listed([date_text(one.date) for one in waiting]))
    reason = _("An open day has no record here; close it first.")
    return [Finding("binder.open_day", Severity.CHECK, sentence, reason)]


def _water(source: Source, papers: BinderPapers) -> list[Finding]:
    tested = source.home.water_test
    if source.home.water_source != "well" or papers.water_tests:
        return []
    if tested is not None and source.period.holds(tested):
        return []
    limit = source.profile.sanitation.well_test_months
    reason = _("A private well is tested every {limit}.").format(limit=limit)
    sentence = _("No water test in this period.")
    return [
        Finding("binder.water", Severity.CHECK, sentence, reason, "", None, None, "",
                limit.citation, limit.status)
    ]  # fmt: skip


def _thermometers(source: Source) -> list[Finding]:
    days: dict[str, list[str]] = {}
    for day in source.closed:
        for one in closing.record_findings(dict(day.record)):
            if one.finding.code == "thermometer.unchecked":
                days.setdefault(one.finding.where, []).append(date_text(day.date))
    return [
        Finding(
            "binder.thermometer",
            Severity.CHECK,
            _("“{name}” was used without an ice check on {days}.").format(
                name=name, days=_listed(dates)
            ),
            where=name,
            citation=_("Common guidance: check once a day in use"),
            status="common practice",
        )
        for name, dates in days.items()
    ]


def _cleaning(plan: SanitaryBinder) -> list[Finding]:
    if not plan.days_without_sheet:
        return []
    days = [date_text(day) for day in plan.days_without_sheet]
    sentence = _("No sanitation sheet was filled on {days}.").format(days=_listed(days))
    return [Finding("binder.sheet", Severity.CHECK, sentence, plan.yardstick)]


def _flocks(source: Source) -> list[Finding]:
    found = [
        Finding(
            "binder.withdrawal",
            Severity.STOP,
            _("Lot {lot} was slaughtered on {day}; its withdrawal is over on {clear}.").format(
                lot=lot, day=date_text(day), clear=date_text(clear)
            ),
            _("Hold the birds and ask your veterinarian and your inspector."),
            lot,
        )
        for lot, day, clear in flock_leaves.too_early(source)
    ]
    bare = (*flock_leaves.unknown_lots(source), *flock_leaves.without_source(source))
    if bare:
        sentence = _("Where the birds came from is not written for lots {lots}.").format(
            lots=_listed(sorted(bare))
        )
        reason = _("Write the hatchery on the lot’s page.")
        found.append(Finding("binder.source", Severity.CHECK, sentence, reason))
    return found


def _sales(source: Source) -> list[Finding]:
    many, fields = stock.lacking(source)
    if not many:
        return []
    rules = source.profile.records
    sentence = ngettext("{n} sale lacks {fields}.", "{n} sales lack {fields}.", many).format(
        n=many, fields=", ".join(fields)
    )
    severity = Severity.CHECK if rules.sale_required else Severity.NOTE
    return [
        Finding("binder.sales", severity, sentence, rules.sale_duty.text, "", None, None, "",
                rules.sale_duty.citation, rules.sale_duty.status)
    ]  # fmt: skip


def _drills(drills: Sequence[Drill]) -> list[Finding]:
    if any(one.ended for one in drills):
        return []
    return [
        Finding(
            "binder.drill",
            Severity.NOTE,
            _("No recall drill in this period."),
            _("Once a year is common practice; it takes ten minutes."),
            citation=_("Common practice; no rule for a small exempt shop names it"),
            status="common practice",
        )
    ]


def _licence(source: Source, papers: BinderPapers) -> list[Finding]:
    licence = papers.licence
    if licence is None:
        return []
    if licence.got_on is not None and (
        licence.until is None or licence.until >= source.period.last
    ):
        return []
    sentence = (
        _("No licence is on record.")
        if licence.got_on is None
        else _("The licence on record ends before the period does.")
    )
    return [
        Finding("binder.licence", Severity.STOP, sentence, licence.duty, "", None, None, "",
                licence.citation, licence.status)
    ]  # fmt: skip
