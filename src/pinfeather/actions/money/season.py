"""A season in eleven numbers out of the records, and why one lot cost more than another."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Any, Final

import numpy as np

from pinfeather.actions.flock import books as flocks
from pinfeather.actions.money.view import USUAL_LOSS, YearView, farm_price, group_of
from pinfeather.errors import InputError, InputFaultsError
from pinfeather.flock.lot import Weighed
from pinfeather.money.cents import exact_cents, half_up
from pinfeather.money.costing import GroupCost
from pinfeather.money.entries import Kind
from pinfeather.money.uncertain import Range, Spread, cost_range
from pinfeather.money.variance import Difference, LotFigures, difference
from pinfeather.money.what_if import LEVERS, Season
from pinfeather.units import KG_PER_LB
from pinfeather.words import gettext as _

_LB: Final = Fraction(str(KG_PER_LB))
_LABOUR: Final = (Kind.OWN_LABOUR, Kind.PAID_LABOUR)
_FIXED: Final = frozenset(
    {Kind.LICENCE, Kind.INSURANCE, Kind.EQUIPMENT, Kind.OWN_LAND, Kind.LAND, Kind.REPAIR,
     Kind.INTEREST}
)  # fmt: skip
"""Kinds that stay when there are more or fewer birds, for a first look."""
SEED: Final = 1
_DOLLARS: Final = frozenset(
    {"price_cents_per_lb", "chick_cents", "feed_cents_per_lb", "other_bird_cents", "fixed_cents",
     "wage_cents_per_h"}
)  # fmt: skip
FIRST: Final[Mapping[str, str]] = {
    "price_cents_per_lb": "5.25", "placed": "100", "loss_frac": "8", "dressed_lb": "4.4",
    "chick_cents": "2.05", "feed_cents_per_lb": "0.37", "feed_lb": "15", "other_bird_cents": "1.90",
    "fixed_cents": "300", "labour_h_per_bird": "0.6", "wage_cents_per_h": "14",
}  # fmt: skip
"""A made-up season for a farm without records."""


@dataclass(frozen=True, slots=True)
class Own:
    """What the form holds first, and where that is from."""

    typed: Mapping[str, str]
    basis: str


def own_season(view: YearView) -> Own:
    """Return the farm's year in eleven numbers; a made-up one where nothing was dressed."""
    full = view.full
    if full is None or full.birds == 0 or full.dressed_lb <= 0:
        price = farm_price()
        typed = dict(FIRST)
        if price is not None:
            typed["price_cents_per_lb"] = _money(Fraction(price))
        return Own(typed, _("an example, until birds of your own are dressed"))
    birds = full.birds
    feed_lb = _feed_lb(view)
    hours = _hours(view, full, "all")
    by_kind = {line.kind: line.cents for line in full.lines}
    feed, chicks = by_kind.get(Kind.FEED, 0), by_kind.get(Kind.CHICKS, 0)
    labour = sum(by_kind.get(kind, 0) for kind in _LABOUR)
    fixed = sum(by_kind.get(kind, 0) for kind in _FIXED)
    other = full.total_cents - feed - chicks - labour - fixed
    values: dict[str, Fraction] = {
        "price_cents_per_lb": Fraction(view.price_cents or 0),
        "placed": Fraction(full.placed),
        "loss_frac": 1 - Fraction(birds, full.placed),
        "dressed_lb": full.dressed_lb / birds,
        "chick_cents": Fraction(chicks, full.placed),
        "feed_cents_per_lb": Fraction(feed) / feed_lb if feed_lb else Fraction(feed, birds),
        "feed_lb": feed_lb / birds if feed_lb else Fraction(1),
        "other_bird_cents": Fraction(other, birds),
        "fixed_cents": Fraction(fixed),
        "labour_h_per_bird": hours / birds,
        "wage_cents_per_h": labour / hours if hours else Fraction(0),
    }
    typed = {name: _typed(name, value) for name, value in values.items()}
    return Own(typed, _("your own {year}, {n} birds").format(year=view.report.year, n=birds))


def _typed(name: str, value: Fraction) -> str:
    if name in _DOLLARS:
        return _money(value)
    if name == "loss_frac":
        return f"{float(value * 100):.1f}"
    return f"{float(value):.2f}".rstrip("0").rstrip(".")


def _money(cents: Fraction) -> str:
    places = 4 if cents < 100 else 2  # noqa: PLR2004 - below a dollar the feed price needs them
    text = f"{float(cents / 100):.{places}f}"
    return text[:-2] if places > 2 and text.endswith("00") else text  # noqa: PLR2004


def read_season(typed: Mapping[str, str]) -> Season:
    """Read the eleven numbers as somebody wrote them.

    Raises
    ------
    InputFaultsError
        With every fault, each under its number's name.
    """
    faults: list[InputError] = []
    found: dict[str, Any] = {}
    for name in LEVERS:
        raw = str(typed.get(name, "")).strip().removesuffix("%").strip()
        try:
            if name in _DOLLARS:
                found[name] = Fraction(exact_cents(raw, name=name))
            else:
                found[name] = _number(name, raw) / (100 if name == "loss_frac" else 1)
        except InputError as fault:
            faults.append(fault)
            found[name] = Fraction(0)
    if faults:
        raise InputFaultsError(faults)
    return Season(**found)


def _number(name: str, raw: str) -> Fraction:
    if not raw.replace(".", "", 1).isdecimal() or len(raw) > 9:  # noqa: PLR2004 - nine figures
        raise InputError(name, raw, _("Write a number, such as 25 or 6.5."))
    return Fraction(raw)


def season_range(season: Season, share_frac: float) -> Range:
    """Return the cost of a pound with every number as unsure as a share says.

    Raises
    ------
    InputFaultsError
        If nothing can be drawn.
    """
    birds = Fraction(season.placed) * (1 - Fraction(season.loss_frac))
    parts = {
        "chick_cents": Fraction(season.placed) * Fraction(season.chick_cents),
        "feed_cents_per_lb": birds * Fraction(season.feed_lb) * Fraction(season.feed_cents_per_lb),
        "other_bird_cents": birds * Fraction(season.other_bird_cents),
        "fixed_cents": Fraction(season.fixed_cents),
        "labour_h_per_bird": birds
        * Fraction(season.labour_h_per_bird)
        * Fraction(season.wage_cents_per_h),
    }

    def spread(name: str, value: float, most: float = float("inf")) -> Spread:
        return Spread(
            _(LEVERS[name]), value, value * (1 - share_frac), min(value * (1 + share_frac), most)
        )

    loss = float(season.loss_frac)
    return cost_range(
        [spread(name, float(cents)) for name, cents in parts.items() if cents],
        placed=float(season.placed),
        loss=spread("loss_frac", loss, (1 + loss) / 2),
        dressed_lb=spread("dressed_lb", float(season.dressed_lb)),
        rng=np.random.default_rng(SEED),
    )


def _feed_lb(view: YearView, lot: str = "") -> Fraction:
    """Return the feed in the feed books of the year's lots, by the part that was dressed."""
    total = Fraction(0)
    batches = view.report.charged.batches
    for book in flocks.books():
        code = book.row.code
        if lot and code != lot:
            continue
        mine = [one for one in batches if one.lot == code]
        every = [one for one in view.books.batches if one.lot == code]
        if mine:
            kg = sum(Fraction(repr(float(one.kept["mass_kg"]))) for one in book.kept("feed"))
            share = Fraction(sum(b.birds for b in mine), sum(b.birds for b in every))
            total += kg / _LB * share
    return total


def _hours(view: YearView, group: GroupCost, lot: str) -> Fraction:
    """Return the hours a group carries, each entry's in the proportion of its cents."""
    charged = view.report.charged
    wanted = {at for line in group.lines if line.kind in _LABOUR for at in line.entries}
    total = Fraction(0)
    for one in charged.charges:
        entry = charged.entries[one.entry]
        mine = lot == "all" or charged.batches[one.batch].lot == lot
        if one.entry in wanted and mine and entry.hours and entry.cents:
            total += Fraction(entry.hours) * one.cents / entry.cents
    return total


def lot_figures(view: YearView, code: str) -> LotFigures:
    """Return a lot in nine numbers; its cost of a pound is exactly that of the records.

    Raises
    ------
    InputError
        If the lot was never weighed alive, or has no feed in its feed book.
    RecordNotFoundError
        If no bird of it was dressed in the year.
    """
    group = group_of(view, "lot", code)
    if group.birds == 0 or group.dressed_lb <= 0:
        raise InputError("lot", code, _("Of lot {lot} nothing was packed.").format(lot=code))
    feed_lb, live_lb = _feed_lb(view, code), _live_lb(code)
    if not live_lb:
        raise InputError("lot", code, _("Lot {lot} was never weighed alive.").format(lot=code))
    by_kind = {line.kind: line.cents for line in group.lines}
    feed, chicks = by_kind.get(Kind.FEED, 0), by_kind.get(Kind.CHICKS, 0)
    if not feed_lb or not feed:
        raise InputError(
            "lot",
            code,
            _("Lot {lot} has no feed in its feed book, or it has no price.").format(lot=code),
        )
    hours = _hours(view, group, code)
    labour = sum(by_kind.get(kind, 0) for kind in _LABOUR)
    counted = labour if hours else 0
    birds = group.birds
    return LotFigures(
        feed_cents_per_lb=feed / feed_lb,
        feed_per_gain=feed_lb / (birds * live_lb),
        loss_frac=1 - Fraction(birds, group.placed),
        yield_frac=group.dressed_lb / (birds * live_lb),
        labour_h_per_bird=hours / birds,
        wage_cents_per_h=counted / hours if hours else Fraction(0),
        chick_cents=Fraction(chicks, group.placed),
        live_lb=live_lb,
        other_cents=Fraction(group.total_cents - feed - chicks - counted, birds),
    )


def _live_lb(code: str) -> Fraction:
    """Return the mean of a lot's last weighing."""
    weighed = [e for e in flocks.book(code).life.events if isinstance(e, Weighed)]
    if not weighed:
        return Fraction(0)
    last = max(weighed, key=lambda e: e.on)
    birds = len(last.weights_kg) * last.birds_each
    kg = sum((Fraction(repr(float(w))) for w in last.weights_kg), Fraction(0))
    return kg / birds / _LB


def compare(view: YearView, before: str, after: str) -> Difference:
    """Split the difference between two lots of a year.

    Raises
    ------
    InputError
        If one of them cannot be compared.
    RecordNotFoundError
        If one of them is not there.
    """
    return difference(lot_figures(view, before), lot_figures(view, after))


def usual_loss_words() -> str:
    """Say what losses count as usual, and how that is known."""
    return _("{n} % (assumed)").format(n=half_up(USUAL_LOSS * 100))


def decimal_share(text: str) -> Decimal:
    """Read a percentage between 0 and 90.

    Raises
    ------
    InputError
        If it is none.
    """
    raw = text.strip().removesuffix("%").strip()
    if not raw.replace(".", "", 1).isdecimal() or Decimal(raw) > 90:  # noqa: PLR2004
        raise InputError("unsure", text, _("Write it in percent up to 90, such as “10 %”."))
    return Decimal(raw) / 100
