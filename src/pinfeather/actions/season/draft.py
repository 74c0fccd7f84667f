"""A first season from what the farm knows, each number with its basis: a plan takes minutes.

What nobody wrote down yet is assumed, and said to be. The mapping is the one a file would hold.
"""

from __future__ import annotations

import datetime as dt
import math
import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any, Final

from pinfeather.actions.day import days
from pinfeather.actions.farm import FarmView, LotView, farm
from pinfeather.actions.flock.books import LotBook, books
from pinfeather.actions.flock.learning import (
    FinishedLot,
    finished,
    lot_curve,
    numbers_for,
    setting_of,
    share_male,
)
from pinfeather.actions.flock.setup import PenView, pens
from pinfeather.day.cold import capacity_kg
from pinfeather.day.request import request_from as day_request_from
from pinfeather.errors import PinfeatherError
from pinfeather.estimate import Basis, Estimate, Origin
from pinfeather.flock.balance import head_balance
from pinfeather.flock.curves import Curve, curve_names
from pinfeather.flock.forecast import Seen, growth_ratio, samples_of
from pinfeather.records import models
from pinfeather.season.asked import SPECIES
from pinfeather.season.plan import PlanningNumber
from pinfeather.units import SECONDS_PER_HOUR, SECONDS_PER_MINUTE, from_si
from pinfeather.words import gettext as _
from pinfeather.words import gettext_noop

_NAMES: Final[Mapping[str, str]] = {
    "chicken": gettext_noop("Broiler"),
    "turkey": gettext_noop("Turkey"),
    "duck": gettext_noop("Duck"),
}
_CODES: Final[Mapping[str, str]] = {"chicken": "B", "turkey": "T", "duck": "D"}
_AGES: Final[Mapping[str, tuple[str, str]]] = {
    "chicken": ("49 d", "70 d"),
    "lean": ("84 d", "112 d"),
    "turkey": ("112 d", "147 d"),
    "duck": ("49 d", "63 d"),
}
_CHICK: Final[Mapping[str, str]] = {"chicken": "$2.50", "turkey": "$9.00", "duck": "$6.00"}
_FEED: Final = "$0.35/lb"
_PRICE: Final = "$5.00/lb"
_LATEST_START: Final = 9
"""From September on the season that is planned ends in the next year."""
_END: Final = (11, 30)
_CREW_H, _SETUP_H = 20.0, 3.0
_FRIDGE_KG_PER_M3: Final = 125.0
_FREEZER_KG_PER_M3: Final = 30 * 0.45359237 / 0.028316846592
"""Packed whole birds: 30 lb for each cubic foot. Assumed; between the 35 to 40 of solid packs and
what whole birds leave between them."""
_OLD_D: Final = 60
"""Age at which survival is asked for; growth, which is what is taken, does not depend on it."""
_CODE: Final = re.compile(r"[^A-Z0-9]")


@dataclass(frozen=True, slots=True)
class Draft:
    """A season to start from."""

    mapping: dict[str, Any]
    numbers: tuple[PlanningNumber, ...]
    """What is already filled in, and where it comes from."""


def draft(today: dt.date) -> Draft:
    """Return a season filled in from flock records, last plans and closed days."""
    home = farm()
    there = [(book, heads) for book in books() if (heads := heads_of(book))]
    end = dt.date(today.year + (today.month >= _LATEST_START), *_END)
    kinds = _kinds([book for book, _heads_ in there], home)
    room = _rooms(home)
    crew = _crew()
    counted = days.counted_before(today)
    mapping: dict[str, Any] = {
        "name": _("Season {year}").format(year=end.year),
        "from": today.isoformat(),
        "until": end.isoformat(),
        "kinds": [one.entry for one in kinds],
        "orders": [{"keep": "either", "firm": "yes"}],
        "stock": [_shop(home, [str(one.entry["code"]) for one in kinds])],
        "lots": list(_standing(there, kinds)),
        **room.tables,
        "days": {
            "weekdays": ["sat"],
            "crew": crew.hours,
            "setup": f"{_SETUP_H:g} h",
            "special": _planned_days(today, end),
        },
        "feed": {
            "delivery_every": "14 d",
            "prices": [
                {"species": one, "price": _FEED}
                for one in SPECIES
                if any(k.entry["species"] == one for k in kinds)
            ],
        },
        "hands": crew.each,
        "counted": {one: counted[one] for one in SPECIES if counted.get(one)},
    }
    numbers = [*crew.numbers, *room.numbers]
    for kind in kinds:
        numbers += kind.numbers
    if counted:
        basis = Basis(Origin.OWN, _("your closed and running days this year"), "measured")
        numbers.append(
            PlanningNumber(_("Counted this calendar year"), str(sum(counted.values())), basis)
        )
    numbers.append(PlanningNumber(_("Feed"), _FEED, _assumed(_("put your own price in"))))
    return Draft(mapping, tuple(numbers))


def again(mapping: Mapping[str, Any], today: dt.date) -> dict[str, Any]:
    """Return a season with what changes by itself brought up to today: lots and head counted.

    A lot keeps the kind it was written under; a new one gets the kind of its species that grows
    by the same table, else the first of its species. Lots of other species are left out.
    """
    fresh = draft(today).mapping
    written = {str(one.get("code")): str(one.get("kind")) for one in mapping.get("lots", [])}
    drafted = {one["code"]: one for one in fresh["kinds"]}
    lots = []
    for lot in fresh["lots"]:
        kind = written.get(lot["code"]) or _like(drafted[lot["kind"]], mapping.get("kinds", []))
        if kind:
            lots.append({**lot, "kind": kind})
    return {**mapping, "lots": lots, "counted": fresh["counted"]}


def _like(kind: Mapping[str, Any], kinds: Iterable[Mapping[str, Any]]) -> str:
    same = [one for one in kinds if (one.get("species") or "chicken") == kind["species"]]
    same.sort(key=lambda one: one.get("curve") != kind.get("curve"))
    return str(same[0].get("code", "")) if same else ""


def _assumed(note: str) -> Basis:
    return Basis(Origin.HANDBOOK, note, "assumed")


# ---------------------------------------------------------------------------- kinds and lots


@dataclass(frozen=True, slots=True)
class _Kind:
    entry: dict[str, Any]
    numbers: tuple[PlanningNumber, ...]
    same: tuple[str, str, str, str]
    """What lots of this kind share: species, build, curve, setting."""


def _same(row: LotView) -> tuple[str, str, str, str]:
    return row.species, row.build, row.curve, row.setting


def _kinds(there: list[LotBook], home: FarmView) -> list[_Kind]:
    """Return a kind for each sort of lot there is or was; a broiler where there is none."""
    listed = books()
    done = finished(listed)
    rows = [book.row for book in there] or [book.row for book in listed]
    rows = [row for row in rows if row.species in SPECIES]
    firsts: dict[tuple[str, str, str, str], LotView] = {}
    for row in rows:
        firsts.setdefault(_same(row), row)
    if not firsts:
        row = LotView(0, "", "chicken", "broad", None, 0, "", setting="pasture")
        firsts[_same(row)] = row
    found: list[_Kind] = []
    for row in firsts.values():
        code, n = _CODES[row.species], 1
        while any(one.entry["code"] == code for one in found):
            n += 1
            code = f"{_CODES[row.species]}{n}"
        found.append(_kind(row, code, home=home, done=done))
    return found


def _kind(row: LotView, code: str, *, home: FarmView, done: tuple[FinishedLot, ...]) -> _Kind:
    own = numbers_for(row, done, age_d=_OLD_D)
    lean = row.build == "lean" and row.species == "chicken"
    name = row.breed or (_("Slow broiler") if lean else _(_NAMES[row.species]))
    ages = _AGES["lean" if lean else row.species]
    ratio = f"{100 * own.ratio.value:.1f} %"
    entry: dict[str, Any] = {
        "code": code,
        "name": name,
        "species": row.species,
        **_growth(lot_curve(row), home),
        "growth": ratio,
        "growth_spread": f"{100 * own.ratio_sd:.1f} %",
        "losses": setting_of(row),
        "chick_price": _CHICK[row.species],
        "age_from": ages[0],
        "age_until": ages[1],
        "order_by": "5",
        "order_least": "15",
        "order_most": "200",
        "hatch": {"weekdays": ["wed"], "every": "1"},
    }
    chick = PlanningNumber(
        _("{name}: a chick").format(name=name),
        _CHICK[row.species],
        _assumed(_("put your hatchery's price in")),
    )
    growth = PlanningNumber(
        _("{name}: growth against the table").format(name=name), ratio, own.ratio.basis
    )
    return _Kind(entry, (growth, chick), _same(row))


def _growth(curve: Curve | None, home: FarmView) -> dict[str, Any]:
    """Return the table a kind grows by: a packaged one by its name, one's own row by row."""
    if curve is None:
        return {}
    if curve.name in curve_names():
        return {"curve": curve.name}
    unit = "kg" if home.units == "metric" else "lb"
    return {
        "weights": [
            {"age": f"{age:g} d", "weight": f"{from_si(mass_kg, unit, 'mass'):.3f} {unit}"}
            for age, mass_kg in _rows(curve)
        ]
    }


def _rows(curve: Curve) -> Iterator[tuple[float, float]]:
    row = models.BreedCurve.objects.filter(title=curve.title).first()
    for age, mass_kg in row.rows if row else ():
        yield float(age), float(mass_kg)


def heads_of(book: LotBook) -> int:
    """Return how many birds of a lot there are, or were ordered and have not come."""
    balance = head_balance(book.life)
    if balance.arrived:
        return max(balance.heads, 0)
    ordered = book.kept("ordered")
    return int(ordered[-1].kept["ordered"]) if ordered else 0


def _standing(there: list[tuple[LotBook, int]], kinds: list[_Kind]) -> Iterator[dict[str, Any]]:
    taken: set[str] = set()
    done = finished(books())
    brooders = {one.name for one in pens() if one.kind == "brooder"}
    for book, heads in there:
        kind = next((one for one in kinds if one.same == _same(book.row)), None)
        if kind is None or book.row.hatched is None:
            continue
        own = numbers_for(book.row, done, age_d=_OLD_D)
        ratio, sd = _own_ratio(book, own.ratio, own.ratio_sd)
        where = head_balance(book.life).days
        inside = [pen for pen, birds in (where[-1].pens if where else ()) if birds > 0]
        yield {
            "code": short_code(book.row.code, taken),
            "kind": kind.entry["code"],
            "hatched": book.row.hatched.isoformat(),
            "heads": str(heads),
            "growth": f"{100 * ratio:.1f} %",
            "growth_spread": f"{100 * sd:.1f} %",
            "brooder": next((pen for pen in inside if pen in brooders), ""),
        }


def _own_ratio(book: LotBook, usual: Estimate, sd: float) -> tuple[float, float]:
    """Return a lot's own growth where it was weighed, else what is usual here."""
    curve = lot_curve(book.row)
    samples = tuple(s for s in samples_of(book.life) if s.age_d > 0)
    if curve is None or not samples:
        return usual.value, sd
    found = growth_ratio(Seen(curve, samples, share_male(book.row)))
    return found, sd / math.sqrt(1 + len(samples))


def short_code(code: str, taken: set[str]) -> str:
    """Return a lot's code as a season writes it: up to five capital letters and digits, once."""
    short = _CODE.sub("", code.upper())[:5] or "L"
    n = 1
    while short in taken:
        n += 1
        short = f"{short[:4]}{n}" if n < 10 else f"{short[:3]}{n}"  # noqa: PLR2004 - two digits
    taken.add(short)
    return short


# ------------------------------------------------------------------------------ rooms, hands, days


@dataclass(frozen=True, slots=True)
class _Rooms:
    tables: dict[str, Any]
    numbers: tuple[PlanningNumber, ...]


def _rooms(home: FarmView) -> _Rooms:
    mass = "kg" if home.units == "metric" else "lb"
    area = "m2" if home.units == "metric" else "ft2"
    listed = pens()
    brooders = [_brooder(one) for one in listed if one.kind == "brooder"]
    numbers: list[PlanningNumber] = []
    if not brooders:
        floor = "4 m2" if home.units == "metric" else "40 ft2"
        brooders = [{"name": _("Brooder"), "floor": floor, "turn_round": "7 d"}]
        numbers.append(PlanningNumber(_("Brooder"), floor, _assumed(_("no brooder is on record"))))
    outside_m2 = sum(one.area_m2 or 0.0 for one in listed if one.kind != "brooder")
    tables: dict[str, Any] = {"brooders": brooders}
    if outside_m2:
        tables["pens"] = {"floor": f"{from_si(outside_m2, area, 'area'):.0f} {area}"}
    last = models.Day.objects.first()
    cold: dict[str, str] = {"fresh_for": "3 d"}
    if last is not None:
        try:
            shop = day_request_from(last.request).equipment
        except PinfeatherError:  # an old plan that a newer reader refuses: nothing is prefilled
            shop = None
        if shop is not None:
            basis = Basis(Origin.OWN, _("your last plan of a day"), "assumed")
            for name, words, room_kg in (
                ("chill", _("Chill room"), sum(capacity_kg(tank) for tank in shop.tanks)),
                ("refrigerator", _("Refrigerator"), shop.refrigerator_m3 * _FRIDGE_KG_PER_M3),
                ("freezer", _("Freezer"), shop.freezer_m3 * _FREEZER_KG_PER_M3),
            ):
                if room_kg > 0:
                    cold[name] = f"{from_si(room_kg, mass, 'mass'):.0f} {mass}"
                    numbers.append(PlanningNumber(words, cold[name], basis))
    tables["cold"] = cold
    return _Rooms(tables, tuple(numbers))


def _brooder(pen: PenView) -> dict[str, str]:
    return {"name": pen.name, "floor": pen.area or "40 ft2", "turn_round": "7 d"}


@dataclass(frozen=True, slots=True)
class _Crew:
    hours: str
    each: dict[str, str]
    numbers: tuple[PlanningNumber, ...]


def _crew() -> _Crew:
    """Return the hours of all hands on a day, and of all hands on one bird, from the last plans."""
    rows = models.Day.objects.exclude(plan="")[:12]
    hours = _CREW_H
    each: dict[str, str] = {}
    numbers: list[PlanningNumber] = []
    for row in rows:
        try:
            view = days.day(row.pk)
        except PinfeatherError:
            continue
        if not numbers:
            hours = sum(_span_h(p.begins, p.ends) for p in view.request.people)
            basis = Basis(Origin.OWN, _("everybody on your last plan of a day"), "measured")
            numbers.append(
                PlanningNumber(_("Hands on a day"), _("{n:.0f} h").format(n=hours), basis)
            )
        kinds = {lot.species for lot in view.request.lots}
        species = str(kinds.pop()) if len(kinds) == 1 else ""
        if species in SPECIES and species not in each:
            work_s = sum(s.work_s for s in view.plan.station_plans if s.code != "chill")
            each[species] = f"{work_s / SECONDS_PER_MINUTE:.1f} min"
            basis = Basis(
                Origin.OWN,
                _("your plan of {date}, with the times it was made with").format(date=row.date),
                "measured",
            )
            words = _("All hands on one {bird}").format(bird=_(species))
            numbers.append(PlanningNumber(words, each[species], basis))
    return _Crew(f"{hours:.0f} h", each, tuple(numbers))


def _span_h(begin: dt.time, end: dt.time) -> float:
    seconds_s = (end.hour - begin.hour) * SECONDS_PER_HOUR + (end.minute - begin.minute) * 60.0
    return max(seconds_s, 0.0) / SECONDS_PER_HOUR


def _planned_days(today: dt.date, end: dt.date) -> list[dict[str, str]]:
    """Return the days already planned with birds, as days of the season with their own hands."""
    planned = models.Day.objects.filter(
        status=models.Day.Status.PLANNED, date__gte=today, date__lte=end
    ).order_by("date")
    found: dict[str, dict[str, str]] = {}
    for row in planned:
        try:
            request = day_request_from(row.request)
        except PinfeatherError:
            continue
        hours = sum(_span_h(p.begins, p.ends) for p in request.people)
        found[row.date.isoformat()] = {"date": row.date.isoformat(), "crew": f"{hours:.0f} h"}
    return list(found.values())


def _shop(home: FarmView, codes: list[str]) -> dict[str, Any]:
    price = f"${home.price_per_lb}/lb" if home.price_per_lb else _PRICE
    return {
        "name": _("Whole birds in the shop"),
        "kinds": codes,
        "price": price,
        "most_a_week": "40 lb",
    }
