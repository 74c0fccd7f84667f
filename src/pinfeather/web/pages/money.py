"""What a pound costs, where every cent of it comes from, and the year."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Final

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _

from pinfeather import clock
from pinfeather.actions.farm import farm
from pinfeather.actions.money import view as money_view
from pinfeather.actions.money.season import usual_loss_words
from pinfeather.actions.money.view import YearView
from pinfeather.errors import RecordNotFoundError
from pinfeather.money.costing import GroupCost, View
from pinfeather.money.entries import STACKS
from pinfeather.money.tax import macrs_classes
from pinfeather.reports.cost_stack import stack_svg
from pinfeather.web.dayview import mass_unit
from pinfeather.web.templatetags.money import each, pound

_BY: Final = ("lot", "species", "day")
_NARROW_PX: Final = 340
_WIDE_PX: Final = 900


def asked_year(request: HttpRequest) -> int | None:
    """Return the year in the address, None where there is none or it is no year."""
    raw = request.GET.get("year", "")
    return int(raw) if raw.isdecimal() and len(raw) == 4 else None  # noqa: PLR2004


def year_or_404(year: int | None) -> YearView:
    """Return a year, or say that there is no such page.

    Raises
    ------
    Http404
        If nothing was written in it.
    """
    try:
        return money_view.year_view(year)
    except RecordNotFoundError as error:
        raise Http404(str(error)) from error


def _pictures(groups: Sequence[GroupCost], view: YearView) -> dict[str, str]:
    stack = money_view.stack(groups, view.price_cents, pound())
    if stack is None:
        return {}
    return {
        "narrow": stack_svg(stack, width=_NARROW_PX),
        "wide": stack_svg(stack, width=_WIDE_PX),
    }


def pound_csv(request: HttpRequest, year: int) -> HttpResponse:
    """Give the picture of what a pound cost as a table."""
    view = year_or_404(year)
    groups = _groups(view, request.GET.get("by", "lot"))[1]
    picture = money_view.stack(groups, view.price_cents, pound())
    if picture is None:
        raise Http404
    content = money_view.stack_csv(picture, mass_unit())
    response = HttpResponse(content, content_type="text/csv; charset=utf-8")
    response.headers["Content-Disposition"] = f'attachment; filename="cost-{year}.csv"'
    return response


def _groups(view: YearView, asked: str) -> tuple[str, Sequence[GroupCost]]:
    by = asked if asked in _BY else "lot"
    report = view.report
    return by, {"lot": report.lots, "day": report.days, "species": report.species}[by]


def money(request: HttpRequest) -> HttpResponse:
    """Show what a pound cost, and the price over it."""
    view = year_or_404(asked_year(request))
    by, groups = _groups(view, request.GET.get("by", "lot"))
    full, cash = view.full, view.report.totals.get(View.CASH)
    learnt = view.report.totals.get(View.WITHOUT_LEARNING)
    today = clock.today(farm().zone)
    return render(
        request,
        "pinfeather/money.html",
        {
            "view": view,
            "report": view.report,
            "full": full,
            "cash": cash,
            "learnt": learnt,
            "usual": usual_loss_words(),
            "by": by,
            "ways": _ways(by),
            "layers": [_(name) for name, _kinds in STACKS],
            "rows": [(one, money_view.layer_cents(one)) for one in groups],
            "svg": _pictures(groups, view),
            "each": each(),
            "metric": pound() != 1,
            "running": view.report.year == today.year,
            "seen": view.book.standing("seen"),
            "first": view.report.first_year,
        },
    )


def _ways(by: str) -> list[dict[str, Any]]:
    words = {"lot": _("By lot"), "species": _("By kind"), "day": _("By day")}
    return [{"code": code, "words": words[code], "here": code == by} for code in _BY]


def birds(request: HttpRequest, by: str, name: str) -> HttpResponse:
    """Open every line of a group of birds down to its entries."""
    view = year_or_404(asked_year(request))
    if by not in (*_BY, "all"):
        raise Http404
    try:
        group = money_view.group_of(view, by, name)
        lines = money_view.trace(view, by, name)
    except RecordNotFoundError as error:
        raise Http404(str(error)) from error
    return render(
        request,
        "pinfeather/money_birds.html",
        {
            "view": view,
            "by": by,
            "name": name,
            "group": group,
            "lines": lines,
            "each": each(),
            "carried": money_view.carried(group),
        },
    )


def year(request: HttpRequest) -> HttpResponse:
    """Show a year: cash by month, sales, deposits, stock, and the farm schedule's lines."""
    view = year_or_404(asked_year(request))
    report = view.report
    costs = {one.name: one for one in report.lots}
    return render(
        request,
        "pinfeather/money_year.html",
        {
            "view": view,
            "report": report,
            "months": [(month, month.in_cents - month.out_cents) for month in report.cash],
            "in_cents": sum(one.in_cents for one in report.cash),
            "out_cents": sum(one.out_cents for one in report.cash),
            "lots": [
                {
                    "name": name,
                    "sales": cents,
                    "cost": costs[name].total_cents if name in costs else None,
                    "left": cents - costs[name].total_cents if name in costs else None,
                }
                for name, cents in report.sales_by_lot.items()
            ],
            "full": view.full,
            "own": money_view.own_labour_cents(view.full),
            "each": each(),
            "classes": macrs_classes(),
        },
    )
