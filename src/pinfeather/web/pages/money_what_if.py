"""What if price, volume, losses or feed were otherwise; and why one lot cost more than another."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from typing import Any, Final

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _now
from django.utils.translation import gettext_lazy as _

from pinfeather.actions.money import season as money_season
from pinfeather.actions.money.view import YearView
from pinfeather.errors import InputError, InputFaultsError, RecordNotFoundError
from pinfeather.money.price import rounded_up
from pinfeather.money.variance import FACTORS
from pinfeather.money.what_if import (
    LEVERS,
    Season,
    outcome,
    pay_of_hours,
    spread_ranges,
    tornado,
    two_way,
)
from pinfeather.reports.tornado import Bar, Tornado, tornado_svg
from pinfeather.web.asking import Ask, asked
from pinfeather.web.pages.money import asked_year, year_or_404
from pinfeather.web.templatetags.money import dollars

_HINTS: Final[Mapping[str, Any]] = {
    "price_cents_per_lb": _("Dollars."),
    "loss_frac": _("Percent of the chicks."),
    "dressed_lb": _("Pounds."),
    "feed_lb": _("Pounds, what the dead ate included."),
    "other_bird_cents": _("Bags, ice, propane and so on; hours left out."),
    "fixed_cents": _("There whatever the number: fees, insurance, wear."),
    "labour_h_per_bird": _("Own and paid, chores and processing."),
}
_STEPS: Final = (Fraction(-1, 10), Fraction(0), Fraction(1, 10))
_NARROW_PX: Final = 340
_WIDE_PX: Final = 900


def what_if(request: HttpRequest) -> HttpResponse:
    """Work a season out, and say which number matters most."""
    view = year_or_404(None)
    own = money_season.own_season(view)
    given = {name: request.GET[name].strip() for name in (*LEVERS, "unsure") if name in request.GET}
    typed = {**own.typed, "unsure": "10 %", **given}
    faults: tuple[InputError, ...] = ()
    found: dict[str, Any] = {}
    try:
        season = money_season.read_season(typed)
        unsure = money_season.decimal_share(typed["unsure"])
        found = _found(season, Fraction(unsure))
        if given:
            before = outcome(money_season.read_season(own.typed)).profit_cents
            found["change"] = found["outcome"].profit_cents - before
    except InputFaultsError as error:
        faults = error.faults
    except InputError as fault:
        faults = (fault,)
    fields = asked(_asks(), typed, faults=faults)
    return render(
        request,
        "pinfeather/money_what_if.html",
        {
            "fields": fields,
            "faults": faults,
            "general": [f.problem for f in faults if f.name not in {x.name for x in fields}],
            "basis": own.basis,
            "given": bool(given),
            "year": view.report.year,
            **found,
        },
        status=422 if faults else 200,
    )


def _asks() -> list[Ask]:
    asks = [Ask(name, _now(words), _HINTS.get(name, "")) for name, words in LEVERS.items()]
    unsure = Ask("unsure", _("How unsure each is"), _("Both ways; a stated guess, such as 10 %."))
    return [*asks, unsure]


def _found(season: Season, unsure: Fraction) -> dict[str, Any]:
    result = outcome(season)
    bars = tornado(season, spread_ranges(season, unsure or Fraction(1, 10)))
    drawing = Tornado(
        tuple(Bar(_now(LEVERS[b.name]), b.at_low_cents, b.at_high_cents) for b in bars),
        result.profit_cents,
    )
    price, feed = Fraction(season.price_cents_per_lb), Fraction(season.feed_cents_per_lb)
    prices, feeds = [price * (1 + s) for s in _STEPS], [feed * (1 + s) for s in _STEPS]
    table = two_way(season, ("price_cents_per_lb", prices), ("feed_cents_per_lb", feeds))
    return {
        "season": season,
        "outcome": result,
        "pay": pay_of_hours(season),
        "asking": rounded_up(result.cost_cents_per_lb, 5),
        "range": money_season.season_range(season, float(unsure)) if unsure else None,
        "bars": [
            {"words": _now(LEVERS[b.name]), "low": b.at_low_cents, "high": b.at_high_cents}
            for b in bars
        ],
        "svg": {
            "narrow": tornado_svg(drawing, width=_NARROW_PX),
            "wide": tornado_svg(drawing, width=_WIDE_PX),
        },
        "feeds": feeds,
        "table": list(zip(prices, table, strict=True)),
    }


def compare(request: HttpRequest) -> HttpResponse:
    """Say why one lot's pound cost more than another's."""
    view = year_or_404(asked_year(request))
    lots = [one.name for one in view.report.lots]
    first = _alike(view)
    before, after = (request.GET.get(n, v) for n, v in zip(("before", "after"), first, strict=True))
    found, problem = _compared(view, before, after)
    options = [(name, name) for name in lots]
    fields = asked(
        [
            Ask("before", _("From lot"), kind="choice", options=list(options)),
            Ask("after", _("To lot"), kind="choice", options=list(options)),
        ],
        {"before": before, "after": after},
    )
    return render(
        request,
        "pinfeather/money_compare.html",
        {
            "view": view,
            "fields": fields,
            "before": before,
            "after": after,
            "few": len(lots) < 2,  # noqa: PLR2004 - two to compare
            "problem": problem,
            **found,
        },
    )


def _alike(view: YearView) -> tuple[str, str]:
    """Return the last two lots of the same kind, in the order they were dressed."""
    by_kind: dict[str, list[str]] = {}
    for one in sorted(view.report.charged.batches, key=lambda b: b.day):
        names = by_kind.setdefault(one.species, [])
        if one.lot not in names:
            names.append(one.lot)
    most = max(by_kind.values(), key=len, default=[])
    return (most[-2], most[-1]) if len(most) > 1 else ("", "")


def _compared(view: YearView, before: str, after: str) -> tuple[dict[str, Any], str]:
    if not before or before == after:
        return {}, ""
    try:
        figures = [money_season.lot_figures(view, name) for name in (before, after)]
        found = money_season.compare(view, before, after)
    except (InputError, RecordNotFoundError) as error:
        return {}, error.problem if isinstance(error, InputError) else str(error)
    rows = [
        {
            "words": _now(FACTORS[name]),
            "before": _shown(name, getattr(figures[0], name)),
            "after": _shown(name, getattr(figures[1], name)),
            "cents": cents,
        }
        for name, _part, cents in found.parts
    ]
    return {"found": found, "rows": rows}, ""


def _shown(name: str, value: Fraction) -> str:
    if name.endswith("_cents") or "cents_per" in name:
        return dollars(value)
    if name in ("loss_frac", "yield_frac"):
        return f"{float(value * 100):.1f}\u202f%"
    unit = {"live_lb": "\u202flb", "labour_h_per_bird": "\u202fh"}.get(name, "")
    return f"{float(value):.2f}{unit}"
