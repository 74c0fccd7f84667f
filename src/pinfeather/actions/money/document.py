"""The year in money on paper."""

from __future__ import annotations

import calendar
import datetime as dt
from collections.abc import Mapping, Sequence
from fractions import Fraction
from typing import Final

from pinfeather import clock
from pinfeather.actions.farm import farm
from pinfeather.actions.money.season import usual_loss_words
from pinfeather.actions.money.view import YearView, own_labour_cents, stack, year_view
from pinfeather.money.cents import dollars, half_up, per
from pinfeather.money.costing import GroupCost, View
from pinfeather.money.entries import KIND_WORDS
from pinfeather.money.equipment import book_value, straight_line
from pinfeather.reports.money_year import MoneyTable, MoneyYearSheet, money_year_pdf
from pinfeather.reports.sheet_parts import Answer
from pinfeather.units import KG_PER_LB
from pinfeather.words import gettext as _
from pinfeather.words import ngettext

_MOST_ROWS: Final = 9
_MOST_THINGS: Final = 10
_LB: Final = Fraction(str(KG_PER_LB))


def year_pdf(year: int, *, printed_at: dt.datetime) -> bytes:
    """Return a year on three sheets.

    Raises
    ------
    RecordNotFoundError
        If nothing was written in that year.
    """
    home = farm()
    return money_year_pdf(
        year_sheet(year_view(year), metric=home.units == "metric", name=home.name, demo=home.demo),
        printed_at=printed_at.astimezone(clock.zone(home.zone)),
        paper="a4" if home.units == "metric" else "us-letter",
    )


class _Units:
    """Writes prices of a pound and weights in the farm's units."""

    def __init__(self, metric: bool) -> None:
        self.metric = metric
        self.pound = _LB if metric else Fraction(1)

    def price(self, cents: int | None) -> str:
        return "–" if cents is None else dollars(cents / self.pound)

    def of_group(self, group: GroupCost) -> str:
        if group.dressed_lb <= 0:
            return "–"
        return dollars(group.total_cents / group.dressed_lb / self.pound)

    def price_of(self, cents: int, pounds: Fraction) -> str:
        return dollars(cents / pounds / self.pound) if pounds > 0 else "–"

    def weight(self, pounds: Fraction) -> str:
        unit = "kg" if self.metric else "lb"
        return f"{float(pounds * self.pound):,.1f}\u202f{unit}"

    @property
    def each(self) -> str:
        return _("A kilogram") if self.metric else _("A pound")


def year_sheet(view: YearView, *, metric: bool, name: str, demo: bool) -> MoneyYearSheet:
    """Put a year into the words of its sheets."""
    report, full, units = view.report, view.full, _Units(metric)
    birds = full.birds if full else 0
    weight = units.weight(full.dressed_lb) if full else units.weight(Fraction(0))
    subtitle = ngettext(
        "{n} bird dressed, {weight} packed", "{n} birds dressed, {weight} packed", birds
    ).format(n=birds, weight=weight)
    return MoneyYearSheet(
        name,
        _("The year {year} in money").format(year=report.year),
        subtitle,
        _answers(view, units),
        report.findings,
        stack(report.lots, view.price_cents, units.pound),
        (_groups(view, units),) if full else (),
        _where_from(view, units),
        _cash_and_left(view),
        _notes(view),
        demo,
    )


def _answers(view: YearView, units: _Units) -> tuple[Answer, ...]:
    full, report = view.full, view.report
    if full is None:
        return ()
    cash = report.totals[View.CASH]
    return (
        Answer(
            _("{each} costs").format(each=units.each),
            units.of_group(full),
            "",
            _("{bird} a bird, all counted").format(bird=dollars(full.per_bird_cents or 0)),
        ),
        Answer(
            _("It brought") if view.price_is_sold else _("Asked"),
            units.price(view.price_cents),
            "",
            _("{sum} of sales").format(sum=dollars(report.sales_cents)),
        ),
        Answer(
            _("An own hour earns"),
            "–" if report.pay_cents_per_h is None else dollars(report.pay_cents_per_h),
            "",
            _("{n:.1f} hours; {sum} of it still in store").format(
                n=float(report.own_hours), sum=dollars(report.to_come_cents)
            )
            if report.to_come_cents
            else _("{n:.1f} hours").format(n=float(report.own_hours)),
        ),
        Answer(_("Paid out for it"), units.of_group(cash), "", _("hours and wear left out")),
    )


def _groups(view: YearView, units: _Units) -> MoneyTable:
    lots, more = view.report.lots[-_MOST_ROWS:], len(view.report.lots) - _MOST_ROWS
    rows = [_group(one, one.name, units) for one in lots]
    if view.full is not None:
        rows.append(_group(view.full, _("All birds"), units))
    note = (
        ngettext(
            "{n} earlier lot is in the sum only.", "{n} earlier lots are in the sum only.", more
        ).format(n=more)
        if more > 0
        else ""
    )
    header = (
        _("Lot"),
        _("Placed"),
        _("Dressed"),
        _("Weight"),
        _("A bird"),
        units.each,
        _("All"),
    )
    return MoneyTable(_("By lot"), header, tuple(rows), last_is_total=True, note=note)


def _group(one: GroupCost, name: str, units: _Units) -> tuple[str, ...]:
    return (
        name,
        str(one.placed),
        str(one.birds),
        units.weight(one.dressed_lb),
        dollars(one.per_bird_cents or 0),
        units.of_group(one),
        dollars(one.total_cents),
    )


def _where_from(view: YearView, units: _Units) -> tuple[MoneyTable, ...]:
    full, report = view.full, view.report
    found = []
    if full is not None:
        rows = [
            (
                _(KIND_WORDS[line.kind]),
                dollars(line.cents),
                dollars(per(line.cents, full.birds) or 0),
                units.price_of(line.cents, full.dressed_lb),
                f"{half_up(Fraction(100 * line.cents, full.total_cents or 1))}\u202f%",
            )
            for line in full.lines
        ]
        rows.append(
            (
                _("All"),
                dollars(full.total_cents),
                dollars(full.per_bird_cents or 0),
                units.of_group(full),
                "100\u202f%",
            )
        )
        found.append(
            MoneyTable(
                _("Where the cost comes from"),
                (_("What for"), _("Sum"), _("A bird"), units.each, _("Share")),
                tuple(rows),
                last_is_total=True,
                note=_(
                    "Each figure is its own sum divided once; rounded columns may be a cent off."
                ),
            )
        )
        found.append(_three_ways(view, units))
    if report.prices:
        found.append(
            MoneyTable(
                _("Break-even price"),
                (_("Pay of an own hour"), units.each, _("Ask at least")),
                tuple(
                    (
                        dollars(one.pay_cents_per_h),
                        units.price(one.price_cents),
                        units.price(one.asking_cents),
                    )
                    for one in report.prices
                ),
            )
        )
    if view.books.things:
        found.append(_equipment(view))
    return tuple(found)


def _three_ways(view: YearView, units: _Units) -> MoneyTable:
    words = {
        View.CASH: _("Cash cost: own hours and wear left out"),
        View.FULL: _("Full cost"),
        View.WITHOUT_LEARNING: _("Full cost without what the first time cost"),
    }
    rows = [
        (
            words[v],
            dollars(g.total_cents),
            dollars(g.per_bird_cents or 0),
            units.of_group(g),
        )
        for v, g in view.report.totals.items()
    ]
    first = view.report.first_year
    note = _(
        "With everything bought this year charged to this year’s birds at once the year would cost"
        " {at_once} instead of {over}."
    ).format(at_once=dollars(first.all_at_once_cents), over=dollars(first.over_its_life_cents))
    return MoneyTable(
        _("Three ways to count"),
        (_("Which"), _("Sum"), _("A bird"), units.each),
        tuple(rows),
        note=note if first.bought_cents else "",
    )


def _equipment(view: YearView) -> MoneyTable:
    year = view.report.year
    things = view.books.things
    rows = [
        (
            one.name,
            f"{one.bought:%Y-%m-%d}",
            dollars(one.price_cents),
            str(one.life_years),
            dollars(straight_line(one, year)),
            dollars(book_value(one, year)),
        )
        for one in things[-_MOST_THINGS:]
    ]
    more = len(things) - _MOST_THINGS
    note = _("{n} older things are in the sums only.").format(n=more) if more > 0 else ""
    header = (_("Equipment"), _("Bought"), _("Price"), _("Years"), _("Wear"), _("Book value"))
    return MoneyTable(_("Equipment"), header, tuple(rows), note=note)


def _cash_and_left(view: YearView) -> tuple[MoneyTable, ...]:
    report = view.report
    months: list[tuple[str, ...]] = [
        (
            _(calendar.month_name[one.month]),
            dollars(one.in_cents),
            dollars(one.out_cents),
            dollars(one.in_cents - one.out_cents),
            dollars(one.balance_cents),
        )
        for one in report.cash
    ]
    came, went = sum(m.in_cents for m in report.cash), sum(m.out_cents for m in report.cash)
    last = report.cash[-1].balance_cents
    months.append(
        (_("The year"), dollars(came), dollars(went), dollars(came - went), dollars(last))
    )
    found = [
        MoneyTable(
            _("Cash by month"),
            (_("Month"), _("In"), _("Out"), _("Alone"), _("Since the first line")),
            tuple(months),
            last_is_total=True,
            note=_("Equipment at its full price in the month it was bought."),
        )
    ]
    if report.sales_by_lot:
        found.append(_sales(report.sales_by_lot, report.lots))
    owed = report.deposits
    found.append(
        MoneyTable(
            _("What is there at the end of the year"),
            (_("What"), _("Sum")),
            (
                (_("Packages in store, at what those birds cost"), dollars(report.stock_cents)),
                (_("Spent on birds not dressed yet"), dollars(report.outside_cents)),
                (_("Equipment, in the books"), dollars(report.gear_cents)),
                (_("Owed to customers: deposits until pickup"), dollars(-owed.owed_cents)),
            ),
        )
    )
    return tuple(found)


def _sales(sales: Mapping[str, int], lots: Sequence[GroupCost]) -> MoneyTable:
    costs = {one.name: one.total_cents for one in lots}
    rows = [
        (
            name or "–",
            dollars(cents),
            dollars(costs[name]) if name in costs else "–",
            dollars(cents - costs[name]) if name in costs else "–",
        )
        for name, cents in sales.items()
    ]
    more = len(rows) - _MOST_ROWS
    return MoneyTable(
        _("Sales by lot"),
        (_("Lot"), _("Sold"), _("Cost in all"), _("Sold less cost")),
        tuple(rows[-_MOST_ROWS:]),
        note=_("{n} more lots are in the sums only.").format(n=more) if more > 0 else "",
    )


def _notes(view: YearView) -> tuple[str, ...]:
    own = own_labour_cents(view.full)
    return (
        _(
            "Worked out from what the family wrote down. It is not audited, and no tax or legal"
            " advice."
        ),
        _(
            "A lot’s cost is carried by its living birds; what belongs to a day or a year by all"
            " birds dressed then. Every cent is in exactly one line."
        ),
        _(
            "Own hours are charged at the pay the family states, {sum} in all; nobody was paid them"
            " in cash."
        ).format(sum=dollars(own)),
        _("Usual losses in the view without learning: {loss}.").format(loss=usual_loss_words()),
        _("A deposit counts as sold when the bird is picked up, and is owed until then."),
    )
