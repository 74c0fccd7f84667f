"""A season on paper, in the calendar, and as tables."""

from __future__ import annotations

import datetime as dt
import math
from decimal import Decimal

from pinfeather import clock
from pinfeather.actions.farm import farm
from pinfeather.actions.season.store import version
from pinfeather.reports.season_calendar import season_ics
from pinfeather.reports.season_plan import PaperTable, SeasonSheet, season_plan_pdf
from pinfeather.reports.season_ribbon import MassUnit, lot_header, lot_table, ribbon_of
from pinfeather.reports.sheet_parts import Answer
from pinfeather.reports.tables import Cell, csv_bytes
from pinfeather.reports.typeset import Paper
from pinfeather.season.plan import Purchase, SeasonPlan
from pinfeather.units import from_si
from pinfeather.words import date_text, ngettext
from pinfeather.words import gettext as _


def _unit() -> MassUnit:
    return "kg" if farm().units == "metric" else "lb"


def _money(cents: int) -> str:
    return f"{'−' if cents < 0 else ''}${abs(cents) / 100:,.2f}"


def _whole(cents: int) -> str:
    return f"{'−' if cents < 0 else ''}${abs(round(cents / 100)):,}"


def _mass(value_kg: float, unit: MassUnit) -> str:
    return f"{from_si(value_kg, unit, 'mass'):,.0f}\u202f{unit}"


def _percent(share: float) -> str:
    return f"{round(100 * share)}\u202f%"


def season_pdf(
    season_id: int, number: int, *, printed_at: dt.datetime, paper: Paper = "us-letter"
) -> bytes:
    """Return a season's plan as a PDF.

    Raises
    ------
    RecordNotFoundError
        If there is no such plan.
    """
    view, home = version(season_id, number), farm()
    plan, unit = view.plan, _unit()
    sheet = SeasonSheet(
        farm=home.name,
        title=_title(plan),
        subtitle=_("{name}, worked out for {date}").format(
            name=view.season.name, date=date_text(view.asked_on)
        ),
        answers=_answers(plan, unit),
        findings=plan.findings,
        changes=tuple(change.sentence for change in plan.changes),
        ribbon=ribbon_of(plan, today=view.asked_on, mass_unit=unit),
        first=(_orders(plan, unit), _binding(plan)),
        tables=_tables(plan, unit),
        sentences=tuple(relaxation.sentence for relaxation in plan.relaxations),
        demo=home.demo,
    )
    local = printed_at.astimezone(clock.zone(home.zone))
    return season_plan_pdf(sheet, printed_at=local, paper=paper)


def _title(plan: SeasonPlan) -> str:
    if not plan.found:
        return _("Not possible as it is written")
    new = sum(1 for lot in plan.lots if not lot.standing)
    days = len(plan.days)
    return _("{lots}, {days}").format(
        lots=ngettext("{n} lot to order", "{n} lots to order", new).format(n=new),
        days=ngettext("{n} processing day", "{n} processing days", days).format(n=days),
    )


def _answers(plan: SeasonPlan, unit: MassUnit) -> tuple[Answer, ...]:
    if plan.sums is None:
        return ()
    luck = plan.luck
    dressed = sum(day.dressed_kg for day in plan.days)
    first = Answer(_("Left over"), _whole(plan.sums.profit_cents), "", _("as planned"))
    found = [first]
    if luck is not None:
        between = _("{low} to {high}, eight seasons in ten").format(
            low=_whole(luck.profit_low_cents), high=_whole(luck.profit_high_cents)
        )
        found = [Answer(_("Left over, expected"), _whole(luck.profit_mean_cents), "", between)]
        if any(order.firm for order in plan.orders):
            tried = _("of {n} seasons tried").format(n=luck.seasons)
            found.append(Answer(_("Every promise kept"), _percent(luck.firm_met_frac), "", tried))
    heads = sum(lot.heads for lot in plan.lots if not lot.standing)
    birds = sum(day.birds for day in plan.days)
    return (
        *found,
        Answer(_("Chicks to order"), f"{heads:,}"),
        Answer(_("To process"), f"{birds:,}", _("birds"), _mass(dressed, unit)),
    )


def _orders(plan: SeasonPlan, unit: MassUnit) -> PaperTable:
    chances = {one.key: _percent(one.met_frac) for one in plan.luck.chances} if plan.luck else {}
    return PaperTable(
        _("Orders"),
        (_("Order"), _("Pickup"), _("Wanted"), _("Gets"), _("Sure"), _("Promised")),
        tuple(
            (
                order.name,
                date_text(order.on, weekday=True),
                _wanted(order.wanted_birds, order.wanted_kg, unit),
                _wanted(
                    None if order.wanted_birds is None else round(order.given_birds),
                    order.given_kg,
                    unit,
                ),
                chances.get(order.key, ""),
                _("yes") if order.firm else _("no"),
            )
            for order in plan.orders
        ),
        right=(2, 3, 4),
        note=_("Sure: how many of the seasons tried, with bad luck and good, had all of it."),
    )


def _binding(plan: SeasonPlan) -> PaperTable:
    return PaperTable(
        _("What holds it back"),
        (_("Limit"), _("Tried"), _("Would bring")),
        tuple((one.sentence, one.step, _whole(one.gain_cents)) for one in plan.binding),
        right=(2,),
    )


def _tables(plan: SeasonPlan, unit: MassUnit) -> tuple[PaperTable, ...]:
    return (
        PaperTable(
            _("Calendar"),
            (_("Date"), _("What"), _("More")),
            tuple(
                (date_text(row.on, weekday=True), row.title, row.detail) for row in plan.calendar
            ),
            tick=True,
        ),
        PaperTable(_("Lots"), lot_header(), tuple(lot_table(plan)), right=(2,)),
        PaperTable(
            _("What to buy"),
            (_("Month"), _("What"), _("How much"), _("Cost")),
            tuple(
                (
                    _month(row.month),
                    row.name,
                    _wanted(row.birds, row.mass_kg, unit),
                    _money(row.cents),
                )
                for row in plan.purchases
            ),
            right=(2, 3),
            tick=True,
        ),
        PaperTable(
            _("Cash"),
            (_("Month"), _("In"), _("Out"), _("In hand at its end"), _("Lowest in it")),
            tuple(
                (
                    _month(row.month),
                    _money(row.in_cents),
                    _money(row.out_cents),
                    _money(row.balance_cents),
                    _money(row.lowest_cents)
                    + (f" ▲ {_('below nothing')}" if row.lowest_cents < 0 else ""),
                )
                for row in plan.cash
            ),
            right=(1, 2, 3, 4),
        ),
        PaperTable(
            _("What the plan rests on"),
            (_("Number"), _("Taken as"), _("Where it comes from"), _("How known")),
            tuple(
                (
                    one.name,
                    one.value,
                    one.basis.note,
                    _(one.basis.status) if one.basis.status else "",
                )
                for one in plan.numbers
            ),
            right=(1,),
        ),
    )


def _wanted(birds: int | None, mass_kg: float | None, unit: MassUnit) -> str:
    if birds is not None:
        return ngettext("{n} bird", "{n} birds", birds).format(n=f"{birds:,}")
    return "" if mass_kg is None else _mass(mass_kg, unit)


def _month(first: dt.date) -> str:
    return date_text(first).split(" ", 1)[1]


def calendar_file(season_id: int, number: int, *, stamp: dt.datetime) -> bytes:
    """Return a season's dates as a calendar file.

    Raises
    ------
    RecordNotFoundError
        If there is no such plan.
    """
    view = version(season_id, number)
    name = _("{farm}: {season}").format(farm=farm().name, season=view.season.name)
    return season_ics(view.plan.calendar, name=name, season=f"season {season_id}", stamp=stamp)


def purchases_csv(season_id: int, number: int) -> bytes:
    """Return what a season has to buy as a table for a spreadsheet.

    Raises
    ------
    RecordNotFoundError
        If there is no such plan.
    """
    view, unit = version(season_id, number), _unit()
    header = (
        _("Month"), _("What"), _("Name"), _("Birds"), _("Mass"), _("Unit"), _("Cost, dollars"),
    )  # fmt: skip
    return csv_bytes(header, (_purchase(row, unit) for row in view.plan.purchases))


def ribbon_csv(season_id: int, number: int) -> bytes:
    """Return the ribbon's points: each lot's days with its birds, each room week by week.

    Raises
    ------
    RecordNotFoundError
        If there is no such plan.
    """
    view = version(season_id, number)
    ribbon = ribbon_of(view.plan, today=view.asked_on, mass_unit=_unit())
    rows: list[tuple[Cell, ...]] = []
    for lot in view.plan.lots:
        steps = (
            ("hatch", lot.hatch_on, lot.heads),
            ("out of the brooder", lot.out_of_brooder_on, lot.heads),
            *(("processed", batch.on, batch.birds) for batch in lot.batches),
        )
        rows += [("lot", lot.code, what, on.isoformat(), n, None, "birds") for what, on, n in steps]
    for room in ribbon.rooms if ribbon else ():
        rows += [
            (
                "room",
                room.name,
                "in use",
                week.isoformat(),
                round(used, 2),
                round(limit, 2) if math.isfinite(limit) else None,
                room.unit,
            )
            for week, used, limit in zip(room.weeks, room.used, room.limit, strict=True)
        ]
    return csv_bytes(("kind", "name", "what", "date", "value", "limit", "unit"), rows)


def _purchase(row: Purchase, unit: MassUnit) -> tuple[Cell, ...]:
    mass_kg = row.mass_kg
    return (
        f"{row.month:%Y-%m}",
        _(row.what),
        row.name,
        row.birds,
        None if mass_kg is None else round(from_si(mass_kg, unit, "mass"), 1),
        "" if mass_kg is None else unit,
        Decimal(row.cents) / 100,
    )
