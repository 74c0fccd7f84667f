"""The season's form: the same mapping as its file, section by section; nothing typed is lost."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any, Final

from django.http import QueryDict
from django.utils.translation import gettext_lazy as _

from pinfeather.errors import InputError
from pinfeather.web import words
from pinfeather.web.asking import Ask, Asked, asked, gathered
from pinfeather.words import date_text

MANY: Final = ("weekdays", "kinds")
WEEKDAYS: Final[words.Choices] = [
    ("mon", _("Monday")),
    ("tue", _("Tuesday")),
    ("wed", _("Wednesday")),
    ("thu", _("Thursday")),
    ("fri", _("Friday")),
    ("sat", _("Saturday")),
    ("sun", _("Sunday")),
]
SPECIES: Final = [one for one in words.SPECIES if one[0] in {"chicken", "turkey", "duck"}]
_FIRM: Final[words.Choices] = [("yes", _("Promised")), ("no", _("If it fits"))]
_KEEP: Final[words.Choices] = [
    ("either", _("Either")),
    ("fresh", _("Fresh")),
    ("frozen", _("Frozen")),
]
_LOSSES: Final[words.Choices] = [("pasture", _("As on grass")), ("usual", _("As indoors"))]

_AIMS: Final[words.Choices] = [
    ("profit", _("Earn most")),
    ("cost", _("Meet the orders at least cost")),
]

SEASON: Final = (
    Ask("name", _("Name")),
    Ask("from", _("From"), kind="date"),
    Ask("until", _("Until"), kind="date"),
)
SEASON_MORE: Final = (
    Ask("aim", _("Aim"), kind="choice", options=_AIMS),
    Ask("chance", _("How sure each order should be"), _("Such as 80 %.")),
    Ask("least_batch", _("Fewest birds of a lot worth catching"), kind="number"),
)
ORDER: Final = (
    Ask("name", _("For whom or what")),
    Ask("birds", _("Birds"), kind="number"),
    Ask("weight", _("Or dressed weight in all"), _("Such as 120 lb.")),
    Ask("date", _("Pickup"), kind="date"),
    Ask("price", _("Price"), _("Such as $5.50/lb or $24 each.")),
    Ask("firm", _("Promise"), kind="choice", options=_FIRM),
    Ask("keep", _("Kept"), kind="choice", options=_KEEP),
    Ask("kinds", _("Kinds that will do"), kind="ticks", wide=True),
)
ORDER_MORE: Final = (
    Ask("low", _("Lightest dressed bird"), _("Such as 3.5 lb.")),
    Ask("high", _("Heaviest")),
    Ask("miss", _("What missing one costs besides"), _("For each bird or kilogram: $5.")),
    Ask("weekdays", _("Again and again on"), kind="ticks", options=WEEKDAYS, wide=True),
    Ask("every", _("Every so many weeks"), kind="number"),
    Ask("from", _("From"), kind="date"),
    Ask("until", _("Until"), kind="date"),
)
STOCK: Final = (
    Ask("name", _("Line")),
    Ask("price", _("Price"), _("Such as $5.25/lb.")),
    Ask("most_a_week", _("Most you can sell in a week"), _("Such as 40 lb.")),
    Ask("have", _("In the freezer now"), _("Such as 60 lb.")),
    Ask("kinds", _("Kinds"), kind="ticks", wide=True),
)
STOCK_MORE: Final = (
    Ask("low", _("Lightest dressed bird")),
    Ask("high", _("Heaviest")),
    Ask("from", _("From"), kind="date"),
    Ask("until", _("Until"), kind="date"),
)
KIND: Final = (
    Ask("name", _("Kind")),
    Ask("code", _("Short code"), _("Letters for its lots, such as B.")),
    Ask("species", _("Bird"), kind="choice", options=SPECIES),
    Ask("chick_price", _("A chick costs"), _("Such as $2.50.")),
    Ask("age_from", _("Youngest to process"), _("Such as 49 d.")),
    Ask("age_until", _("Oldest"), _("Such as 70 d.")),
    Ask("order_ahead", _("Order so long before hatch"), _("Such as 28 d.")),
    Ask("order_most", _("Most in one lot"), kind="number"),
    Ask("hatch.weekdays", _("Hatches on"), kind="ticks", options=WEEKDAYS, wide=True),
)
KIND_MORE: Final = (
    Ask("hatch.every", _("Every so many weeks"), kind="number"),
    Ask("hatch.from", _("First hatch"), kind="date"),
    Ask("hatch.until", _("Last hatch"), kind="date"),
    Ask("order_by", _("Chicks come in steps of"), kind="number"),
    Ask("order_least", _("Fewest chicks"), kind="number"),
    Ask("growth", _("Growth against the table"), _("Such as 96 %.")),
    Ask("growth_spread", _("Give or take"), _("Such as 12 %.")),
    Ask("losses", _("Losses"), kind="choice", options=_LOSSES),
    Ask("males", _("Males"), _("Such as 50 %.")),
    Ask("lost_on_arrival", _("Dead on arrival"), _("Such as 2 %.")),
    Ask("travel", _("From hatch to here"), _("Such as 1 d.")),
    Ask("brooder_until", _("Leaves the brooder at"), _("Such as 21 d.")),
    Ask("pen_floor", _("Pen for each bird"), _("Such as 2 ft2.")),
    Ask("lot_cost", _("Cost of starting a lot"), _("Such as $30.")),
    Ask("bird_cost", _("Bags and ice for each bird"), _("Such as $0.80.")),
)
BROODER: Final = (
    Ask("name", _("Brooder")),
    Ask("floor", _("Floor"), _("Such as 60 ft2.")),
    Ask("chicks", _("Or chicks it holds"), kind="number"),
    Ask("turn_round", _("Cleaning between lots"), _("Such as 7 d.")),
)
ROOMS: Final = (
    Ask("pens.floor", _("Pens or pasture in use at once"), _("Empty for no limit.")),
    Ask("feed.store", _("Feed store holds"), _("Empty for no limit.")),
    Ask("feed.delivery_every", _("Feed comes every"), _("Such as 14 d.")),
    Ask("cold.chill", _("Chilled on one day"), _("Such as 400 lb.")),
    Ask("cold.refrigerator", _("Refrigerator holds"), _("Such as 140 lb.")),
    Ask("cold.freezer", _("Freezer holds"), _("Such as 600 lb.")),
    Ask("cold.fresh_for", _("Fresh birds kept"), _("Such as 3 d.")),
)
DAYS: Final = (
    Ask("days.crew", _("Hours of all hands on a day"), _("Such as 24 h.")),
    Ask("days.setup", _("Setting up and cleaning, of these"), _("Such as 3 h.")),
    Ask("days.cost", _("Fixed cost of a day"), _("Such as $40.")),
    Ask("days.not_on", _("Not on"), _("Dates, such as 2026-07-04.")),
    Ask("days.weekdays", _("Can be processed on"), kind="ticks", options=WEEKDAYS, wide=True),
)
DAYS_MORE: Final = (
    Ask("days.every", _("Every so many weeks"), kind="number"),
    Ask("days.from", _("From"), kind="date"),
    Ask("days.until", _("Until"), kind="date"),
    Ask("days.most_birds", _("Most birds on a day"), kind="number"),
    Ask("hands.chicken", _("All hands on a chicken"), _("Such as 6 min.")),
    Ask("hands.turkey", _("On a turkey")),
    Ask("hands.duck", _("On a duck")),
)
SPECIAL: Final = (
    Ask("date", _("Day"), kind="date"),
    Ask("crew", _("Hours of all hands")),
    Ask("most_birds", _("Most birds"), kind="number"),
    Ask("cost", _("Fixed cost")),
)
PRICE: Final = (
    Ask("species", _("Feed for"), kind="choice", options=SPECIES),
    Ask("price", _("Price"), _("Such as $0.35/lb.")),
)
MONEY: Final = (
    Ask("money.in_hand", _("Money in hand"), _("Such as $900.")),
    Ask("money.hour", _("Paid for an hour of a hand"), _("Such as $18/h; empty for family.")),
    Ask("money.rest", _("Birds outside every order bring"), _("Such as $2/lb; empty for nothing.")),
)
STANDING: Final = (
    Ask("code", _("Lot")),
    Ask("kind", _("Kind"), kind="choice"),
    Ask("hatched", _("Hatched"), kind="date"),
    Ask("heads", _("Birds today"), kind="number"),
)
STANDING_MORE: Final = (
    Ask("growth", _("Growth against the table")),
    Ask("growth_spread", _("Give or take")),
    Ask("brooder", _("In brooder"), _("Empty once it is out.")),
)
COUNTED: Final = (
    Ask("counted.chicken", _("Chickens"), kind="number"),
    Ask("counted.turkey", _("Turkeys"), kind="number"),
    Ask("counted.duck", _("Ducks"), kind="number"),
)
LUCK: Final = (
    Ask("luck.missed_hatch", _("A hatch does not come"), _("Assumed 2 %.")),
    Ask("luck.cancelled_day", _("A day cannot be held"), _("Assumed 3 %.")),
    Ask("luck.bad_night", _("A bad night for a lot"), _("Assumed 5 %.")),
    Ask("luck.slow_week", _("A week that holds growth back"), _("Assumed 10 %.")),
    Ask("luck.slow_by", _("Growth lost in it"), _("Assumed 20 %.")),
)
BEDDING: Final = (
    Ask("bedding.for_each_lot", _("Bedding for a lot"), _("Such as 60 lb.")),
    Ask("bedding.on_floor", _("On a floor of"), _("Such as 60 ft2.")),
    Ask("bedding.price", _("Price"), _("Such as $0.20/lb.")),
)


@dataclass(frozen=True, slots=True)
class Table:
    """A list of rows: what they ask, and what makes a row worth reading."""

    fields: tuple[Ask, ...]
    more: tuple[Ask, ...]
    counts: tuple[str, ...]
    """A row in which none of these is filled in is left out."""
    first: Mapping[str, Any]
    """How a new row begins."""
    told: tuple[str, ...]
    """What of a row is told where it is folded up."""


TABLES: Final[Mapping[str, Table]] = {
    "orders": Table(
        ORDER,
        ORDER_MORE,
        ("name", "birds", "weight", "date"),
        {"firm": "yes", "keep": "either"},
        ("name", "birds", "weight", "date", "weekdays"),
    ),
    "stock": Table(
        STOCK, STOCK_MORE, ("name", "price", "most_a_week"), {}, ("name", "price", "most_a_week")
    ),
    "kinds": Table(
        KIND,
        KIND_MORE,
        ("name", "code"),
        {"species": "chicken", "losses": "pasture", "hatch": {"weekdays": ["wed"]}},
        ("name", "chick_price"),
    ),
    "brooders": Table(
        BROODER,
        (),
        ("name", "floor", "chicks"),
        {"turn_round": "7 d"},
        ("name", "floor", "chicks"),
    ),
    "lots": Table(STANDING, STANDING_MORE, ("code", "heads", "hatched"), {}, ("code", "heads")),
    "special": Table(SPECIAL, (), ("date",), {}, ("date", "crew")),
    "prices": Table(PRICE, (), ("price",), {}, ("species", "price")),
}
_UNDER: Final = {"special": "days", "prices": "feed"}
"""Tables that stand one level down."""


@dataclass(frozen=True, slots=True)
class Row:
    """One row of a table on the form."""

    title: str
    fields: list[Asked]
    more: list[Asked]

    @property
    def more_open(self) -> bool:
        """Whether what is folded away within it must be seen."""
        return any(one.faults for one in self.more)

    @property
    def open(self) -> bool:
        """Whether it must be seen at once: nothing is written in it, or something is wrong."""
        return not self.title or any(one.faults for one in (*self.fields, *self.more))


def sent(post: QueryDict) -> dict[str, Any]:
    """Return the mapping a form was sent with; what is out of shape is left out."""
    return _in_shape(gathered(post, many=MANY))


def _in_shape(found: dict[str, Any]) -> dict[str, Any]:
    for name in ("feed", "days", "cold", "pens", "hands", "money", "counted", "luck", "bedding"):
        if name in found and not isinstance(found[name], dict):
            found.pop(name)
    for name in TABLES:
        place = found.get(_UNDER[name], {}) if name in _UNDER else found
        if name in place and not _is_rows(place[name]):
            place.pop(name)
    return found


def _is_rows(value: object) -> bool:
    return isinstance(value, list) and all(isinstance(one, dict) for one in value)


def rows_of(mapping: Mapping[str, Any], name: str) -> list[dict[str, Any]]:
    """Return the rows of a table, wherever it stands; empty where there is none."""
    place = mapping.get(_UNDER[name], {}) if name in _UNDER else mapping
    found = place.get(name, []) if isinstance(place, Mapping) else []
    return found if _is_rows(found) else []


def prefix_of(name: str) -> str:
    """Return the path before a table's name."""
    return f"{_UNDER[name]}.{name}" if name in _UNDER else name


def change_rows(mapping: dict[str, Any], do: str) -> None:
    """Add or take off a row: ``add orders``, ``remove orders 2``."""
    what, _space, rest = do.partition(" ")
    name, _space, index = rest.partition(" ")
    if name not in TABLES:
        return
    place = mapping.setdefault(_UNDER[name], {}) if name in _UNDER else mapping
    rows = place.setdefault(name, [])
    if what == "add" and len(rows) < 60:  # noqa: PLR2004 - as many as are read
        rows.append(dict(TABLES[name].first))
    elif what == "remove" and index.isdecimal() and int(index) < len(rows):
        rows.pop(int(index))


def to_read(mapping: dict[str, Any]) -> dict[str, Any]:
    """Return a mapping without rows nobody filled in, the only kind of bird taken as meant."""
    found = {**mapping}
    for name, table in TABLES.items():
        kept = [row for row in rows_of(found, name) if any(row.get(one) for one in table.counts)]
        if name in _UNDER:
            found[_UNDER[name]] = {**found.get(_UNDER[name], {}), name: kept}
        else:
            found[name] = kept
    kinds = [str(row["code"]) for row in found["kinds"] if row.get("code")]
    if len(kinds) == 1:
        for name in ("orders", "stock"):
            found[name] = [{**row, "kinds": row.get("kinds") or kinds} for row in found[name]]
    return found


def placed(faults: Iterable[InputError], mapping: Mapping[str, Any]) -> list[InputError]:
    """Move what is said about an order without a date to its pickup, which is in sight."""
    found = []
    orders = rows_of(mapping, "orders")
    for fault in faults:
        match = re.fullmatch(r"orders\[(\d+)\]\.weekdays", fault.name)
        place = int(match[1]) if match else len(orders)
        if place < len(orders) and not orders[place].get("weekdays"):
            sentence = str(_("Give the day of pickup, or weekdays below."))
            found.append(InputError(f"orders[{place}].date", None, sentence))
        else:
            found.append(fault)
    return found


def fields(
    asks: Iterable[Ask],
    mapping: Mapping[str, Any],
    faults: Iterable[InputError],
    *,
    prefix: str = "",
) -> list[Asked]:
    """Put what was typed and what is wrong beside each field; dots go one level down."""
    values = {ask.name: _at(mapping, ask) for ask in asks}
    return asked(asks, values, prefix=prefix, faults=faults)


def _at(mapping: Mapping[str, Any], ask: Ask) -> Any:  # noqa: ANN401 - whatever was typed
    here: Any = mapping
    for part in ask.name.split("."):
        here = here.get(part, "") if isinstance(here, Mapping) else ""
    if ask.kind == "ticks":
        return here.replace(",", " ").split() if isinstance(here, str) else list(here)
    if isinstance(here, list):
        return ", ".join(str(one) for one in here)
    return here


def table(
    name: str, mapping: Mapping[str, Any], faults: Iterable[InputError], *, kinds: words.Choices
) -> list[Row]:
    """Return the rows of a table with their fields."""
    made, spec = [], TABLES[name]

    def ready(asks: Iterable[Ask]) -> list[Ask]:
        return [replace(a, options=kinds) if a.name in {"kinds", "kind"} else a for a in asks]

    for i, row in enumerate(rows_of(mapping, name)):
        prefix = f"{prefix_of(name)}[{i}]."
        title = _told(row, spec.told)
        made.append(
            Row(
                title,
                fields(ready(spec.fields), row, faults, prefix=prefix),
                fields(ready(spec.more), row, faults, prefix=prefix),
            )
        )
    return made


def _told(row: Mapping[str, Any], names: Iterable[str]) -> str:
    """Return a row in a few words."""
    parts = []
    for name in names:
        value = row.get(name) or ""
        if name in {"birds", "heads"} and value:
            value = _("{n} birds").format(n=value)
        parts.append(", ".join(value) if isinstance(value, list) else _dated(str(value)))
    return ", ".join(part for part in parts if part)


def _dated(text: str) -> str:
    """Return a date in words, and anything else as it was typed."""
    if not re.fullmatch(r"\d{4}-\d\d-\d\d", text):
        return text
    try:
        return date_text(dt.date.fromisoformat(text))
    except ValueError:  # no such day; the form says so beside the field
        return text


def leftovers(mapping: Mapping[str, Any], shown: set[str]) -> Iterator[tuple[str, str]]:
    """Yield what a file said that the form does not ask, so that it goes along unseen."""
    for path, value in _flat(mapping, ""):
        if path not in shown:
            yield path, value


def _flat(value: Any, path: str) -> Iterator[tuple[str, str]]:  # noqa: ANN401 - any part of a mapping
    if isinstance(value, Mapping):
        for name, inner in value.items():
            yield from _flat(inner, f"{path}.{name}" if path else str(name))
    elif isinstance(value, list) and any(isinstance(one, Mapping) for one in value):
        for i, inner in enumerate(value):
            yield from _flat(inner, f"{path}[{i}]")
    elif isinstance(value, list):
        yield path, ", ".join(str(one) for one in value)
    elif path:
        yield path, str(value)
