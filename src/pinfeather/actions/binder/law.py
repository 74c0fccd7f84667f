"""The rules in a binder: every number with its source, the tier, and the head count to date."""

from __future__ import annotations

from collections import Counter

from pinfeather.actions.binder.source import Source
from pinfeather.actions.rules.pages import in_rooms, profile_rows
from pinfeather.errors import InputError
from pinfeather.finding import Finding, Severity
from pinfeather.reports.binder import Block, Facts, Found, Leaf, Said, Section
from pinfeather.reports.day_record import ActedFinding
from pinfeather.reports.sheet_parts import Answer
from pinfeather.reports.table_sheet import SheetTable
from pinfeather.rules.count import Headroom, headroom
from pinfeather.rules.row_words import STATUS_TEXT
from pinfeather.words import date_text
from pinfeather.words import gettext as _


def rules_section(source: Source) -> Section:
    """Return the profile in force with the source and status of every number."""
    profile = source.profile
    rows = [one for one in profile_rows(profile) if _ours(one.path, source.home.tier)]
    return Section(
        _("Rules we work by"),
        _("{name}. {note} Other tiers and other sanitisers are left out here.").format(
            name=profile.name, note=profile.note
        ),
        (
            *(Said(one, _("Not read; ask the authority")) for one in profile.open_points),
            Said(
                "\n".join(f"{_(code)}: {_(words)}" for code, words in STATUS_TEXT.items()),
                _("How known"),
            ),
        ),
        tuple(
            Leaf(
                room.title,
                (
                    SheetTable(
                        "",
                        (_("What"), _("Value"), _("Source"), _("How known"), _("Text")),
                        tuple(
                            (row.name, row.value, row.citation, _(row.status), row.in_force)
                            for row in room.rows
                        ),
                        ("4", "4", "6", "auto", "auto"),
                    ),
                ),
            )
            for room in in_rooms(rows)
        ),
    )


def _ours(path: str, tier: str) -> bool:
    """Tell whether a number of the rules is about this farm: its tier, and what it mixes."""
    parts = path.split(".")
    if parts[0] == "tiers":
        return parts[1] == tier
    return "sanitisers" not in parts or "chlorine" in parts


def slaughtered(source: Source) -> Counter[str]:
    """Count head slaughtered in the calendar year of the period's last day, by species."""
    total = Counter[str]()
    for day in (*source.before, *source.days):
        if day.date.year == source.period.last.year:
            total += day.slaughtered()
    return total


def tier_name(source: Source) -> str:
    """Return the farm's tier for people."""
    return source.home.tier if source.tier is None else source.tier.name


def count_of(source: Source) -> Headroom | None:
    """Return the count against the yearly cap; None where the tier cannot be counted."""
    try:
        return headroom(
            source.profile, source.home.tier, counted=dict(slaughtered(source)), planned={}
        )
    except InputError:
        return None


def tier_section(source: Source) -> Section:
    """Return the tier, what it allows, and the head count to date."""
    tier, counted, found = source.tier, slaughtered(source), count_of(source)
    answers = [Answer(_("Birds this year"), str(counted.total()), "", str(source.period.last.year))]
    if found is not None and found.cap is not None:
        answers.append(Answer(_("Counted for the cap"), str(found.counted)))
        answers.append(Answer(_("Cap"), str(found.cap), "", _("a calendar year")))
        answers.append(Answer(_("Headroom"), str(found.left_after), "", _("left under it")))
    blocks: list[Block] = [
        Facts(tuple(answers)),
        SheetTable(
            _("Birds slaughtered, by kind"),
            (_("Kind"), _("Birds")),
            tuple((_(kind), str(n)) for kind, n in sorted(counted.items())),
            ("1", "auto"),
            (1,),
        ),
        SheetTable(
            _("Birds slaughtered, by day"),
            (_("Date"), _("Lots"), _("Birds"), _("This year so far")),
            _by_day(source),
            ("auto", "1", "auto", "auto"),
            (2, 3),
        ),
    ]
    if tier is not None:
        blocks += [
            Said(one.text, _("Condition"), _source(one.citation, one.status))
            for one in tier.conditions
        ]
        blocks.append(Said(tier.name, _("The tier itself"), _source(tier.citation, tier.status)))
    if found is not None and found.findings:
        blocks.insert(1, Found(tuple(ActedFinding(one) for one in found.findings)))
    return Section(
        _("Tier and head count"),
        _("{tier}. Counted to {date}.").format(
            tier=tier_name(source), date=date_text(source.period.last)
        ),
        tuple(blocks),
    )


def _by_day(source: Source) -> tuple[tuple[str, ...], ...]:
    rows, total = [], 0
    for day in (*source.before, *source.days):
        if day.date.year != source.period.last.year:
            continue
        birds = day.slaughtered().total()
        if not birds:
            continue
        total += birds
        rows.append((date_text(day.date), ", ".join(day.lots), str(birds), str(total)))
    return tuple(rows)


def _source(citation: str, status: str) -> str:
    return _("{citation}; how known: {status}").format(citation=citation, status=_(status))


def count_findings(source: Source) -> tuple[Finding, ...]:
    """Return what the count says that somebody must look at."""
    found = count_of(source)
    return (
        ()
        if found is None
        else tuple(one for one in found.findings if one.severity > Severity.NOTE)
    )
