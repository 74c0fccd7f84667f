"""Putting a binder together, section by section."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Final

from pinfeather.actions.binder import cleaning, flock_leaves, law, papers, shop, stock
from pinfeather.actions.binder.day_leaves import days_section
from pinfeather.actions.binder.missing import missing
from pinfeather.actions.binder.period import Period
from pinfeather.actions.binder.source import Source, read
from pinfeather.actions.duties.binder import BinderPapers
from pinfeather.actions.duties.binder import for_binder as duty_papers
from pinfeather.actions.sanitary.binder import SanitaryBinder
from pinfeather.actions.sanitary.binder import for_binder as sanitary_plan
from pinfeather.actions.stock import drill
from pinfeather.finding import Finding
from pinfeather.reports.binder import Binder, Seal, Section, binder_pdf
from pinfeather.reports.sheet_parts import Answer
from pinfeather.reports.typeset import Paper
from pinfeather.words import gettext as _

Tell = Callable[[str], None]
STEPS: Final = 5
"""How many times :data:`Tell` is told something while a binder is made."""
_ALWAYS: Final = 20
"""Pages of a binder of a period in which little happened."""


@dataclass(frozen=True, slots=True)
class Preview:
    """What a binder of a period will hold, before it is made."""

    period: Period
    closed_days: int
    open_days: int
    birds: int
    lots: int
    sales: int
    drills: int
    pages: int
    """About so many."""
    missing: tuple[Finding, ...]


def preview(period: Period) -> Preview:
    """Look what there is for a period, and what is missing; nothing is typeset."""
    source, plan, duties, drills = _parts(period)
    sales = stock.sold(source)
    return Preview(
        period=period,
        closed_days=len(source.closed),
        open_days=len(source.days) - len(source.closed),
        birds=sum(one.slaughtered().total() for one in source.closed),
        lots=len(flock_leaves.lots_of(source)),
        sales=len(sales),
        drills=sum(one.ended is not None for one in drills),
        pages=_about(source, plan, sales=len(sales)),
        missing=missing(source, plan=plan, papers=duties, drills=drills),
    )


def _about(source: Source, plan: SanitaryBinder, *, sales: int) -> int:
    """Estimate the pages: what every binder has, and what days, sheets, lots and sales add."""
    readings = sum(len(one.done.readings) for one in source.closed)
    lots = len(flock_leaves.lots_of(source))
    added = 0.7 * len(source.closed) + readings / 55 + lots / 4 + len(plan.sheets) + sales / 55
    return _ALWAYS + round(added)


def _parts(period: Period) -> tuple[Source, SanitaryBinder, BinderPapers, Sequence[drill.Drill]]:
    source = read(period)
    return (
        source,
        sanitary_plan(period.first, period.last),
        duty_papers(period.first, period.last),
        drill.drills(period.moments(source.zone)),
    )


def binder(period: Period, *, now: dt.datetime, tell: Tell = lambda _words: None) -> Binder:
    """Gather a binder from what was kept; no plan is worked out again."""
    tell(_("Reading the journal"))
    source, plan, duties, drills = _parts(period)
    tell(_("Days, flocks and sales"))
    parts: list[Section | None] = [
        law.tier_section(source),
        shop.plan_section(source),
        cleaning.procedures_section(plan),
        cleaning.sheets_section(plan),
        cleaning.corrective_section(source, plan),
        days_section(source),
        shop.instruments_section(source),
        shop.water_section(source, duties.water_tests),
        shop.chemicals_section(source),
        flock_leaves.flocks_section(source),
    ]
    tell(_("Labels"))
    parts += [
        stock.labels_section(stock.specimens(source, now=now)),
        stock.sales_section(source),
        papers.drills_section(source, drills),
        papers.duties_section(duties),
        law.rules_section(source),
    ]
    home = source.home
    birds = sum(one.slaughtered().total() for one in source.closed)
    seq, digest = source.journal
    return Binder(
        farm=home.name or _("Farm without a name"),
        address=tuple(home.address.splitlines()),
        phone=home.phone,
        period=period.words,
        rules=_("Rules: {profile}. Tier: {tier}.").format(
            profile=source.profile.name, tier=law.tier_name(source)
        ),
        answers=(
            Answer(_("Closed days"), str(len(source.closed))),
            Answer(_("Birds"), str(birds), "", _("on closed days")),
            Answer(_("Lots"), str(len(flock_leaves.lots_of(source)))),
            Answer(_("Sales"), str(len(stock.sold(source)))),
        ),
        seal=Seal(
            digest,
            _(
                "The journal had {n} entries when this binder was made. Its seal, below, changes "
                "with any later change to any of them; compare it with what “pinfeather verify” "
                "shows."
            ).format(n=seq),
        ),
        missing=missing(source, plan=plan, papers=duties, drills=drills),
        sections=tuple(one for one in parts if one is not None),
        demo=home.demo,
    )


def make(
    period: Period,
    *,
    now: dt.datetime,
    paper: Paper = "us-letter",
    tell: Tell = lambda _words: None,
) -> bytes:
    """Gather and typeset a binder.

    Raises
    ------
    InputError
        If something cannot be typeset.
    """
    from pinfeather import clock
    from pinfeather.actions.farm import farm

    found = binder(period, now=now, tell=tell)
    tell(_("Setting the pages"))
    made = binder_pdf(found, printed_at=now.astimezone(clock.zone(farm().zone)), paper=paper)
    tell(_("Done"))
    return made
