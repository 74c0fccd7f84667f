"""What led to what, read from the journal step by step, only as far as a trace asks."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any, Final, NamedTuple

from pinfeather.actions.stock import book as stock_book
from pinfeather.packs.trace import Direction, Link, Thing
from pinfeather.records import models, personal

_IN_TANK: Final = ("bird", "bath", "giblets")
"""Readings that are about one chill batch; others are about the whole day."""
_BLOCK: Final = 5000


class _Source(NamedTuple):
    """Where a package came from."""

    package: str
    day_id: int
    lot: str
    tank: str


class _Row(NamedTuple):
    """Where a package went."""

    package: str
    place: str
    order: str
    sale: str


def batch_id(day: int, tank: str) -> str:
    """Return a chill batch's id."""
    return f"{day}|{tank}"


def neighbours(things: Sequence[Thing], direction: Direction) -> Iterator[Link]:
    """Return the links that leave some things in one direction."""
    by_kind: dict[str, list[str]] = {}
    for thing in things:
        by_kind.setdefault(thing.kind, []).append(thing.id)
    table = _FORWARD if direction == "forward" else _BACK
    for kind, ids in by_kind.items():
        if kind in table:
            yield from table[kind](ids)


def _rows(**fields: Any) -> Iterator[_Row]:  # noqa: ANN401 - columns of the table
    rows = models.Pack.objects.filter(void=False, **fields)
    names = ("package", "place", "order", "sale")
    return (_Row(*row) for row in rows.values_list(*names).iterator())


def _blocks(ids: Sequence[str]) -> Iterator[Sequence[str]]:
    for start in range(0, len(ids), _BLOCK):
        yield ids[start : start + _BLOCK]


def _bag(row: _Row) -> Thing:
    return Thing("package", row.package)


def _feed_to_flock(ids: Sequence[str]) -> Iterator[Link]:
    for client_id, payload in models.Entry.objects.filter(client_id__in=ids).values_list(
        "client_id", "payload"
    ):
        yield Link(Thing("feed", client_id), Thing("flock", str(payload.get("lot", ""))))


def _sources(**fields: Any) -> Iterator[_Source]:  # noqa: ANN401 - columns of the table
    """Return where packages came from, those taken back left out."""
    void = set(models.Pack.objects.filter(void=True).values_list("pk", flat=True))
    names = ("package", "day_id", "lot", "tank")
    rows = models.PackSource.objects.filter(**fields).values_list(*names)
    return (_Source(*row) for row in rows.iterator() if row[0] not in void)


def _flock_to_package(ids: Sequence[str]) -> Iterator[Link]:
    for row in _sources(lot__in=ids):
        yield Link(Thing("flock", row.lot), Thing("package", row.package))


def _sanitiser_to_day(ids: Sequence[str]) -> Iterator[Link]:
    for client_id, day in models.Entry.objects.filter(client_id__in=ids).values_list(
        "client_id", "day_id"
    ):
        yield Link(Thing("sanitiser", client_id), Thing("day", str(day)))


def _readings(**fields: Any) -> Iterator[Link]:  # noqa: ANN401 - columns of the table
    """Return the links of thermometers to batches and days, each once."""
    found = models.Entry.objects.filter(kind="reading", day__isnull=False, **fields)
    seen: set[tuple[str, int, str]] = set()
    parts = ("payload__instrument", "payload__place", "payload__what")
    for day, instrument, where, what in found.values_list("day_id", *parts).distinct():
        name, place = str(instrument or ""), str(where or "")
        batch = place if place and what in _IN_TANK else ""
        key = (name, int(day or 0), batch)
        if not name or key in seen:
            continue
        seen.add(key)
        effect = Thing("batch", batch_id(key[1], batch)) if batch else Thing("day", str(day))
        yield Link(Thing("thermometer", name), effect)


def _thermometer_to(ids: Sequence[str]) -> Iterator[Link]:
    yield from _readings(payload__instrument__in=list(ids))


def _day_to_batch(ids: Sequence[str]) -> Iterator[Link]:
    found = _sources(day_id__in=[int(one) for one in ids if one.isdecimal()])
    pairs = {(row.day_id, row.tank) for row in found}
    for day, tank in sorted(pairs):
        yield Link(Thing("day", str(day)), Thing("batch", batch_id(day, tank)))


def _batch_to_package(ids: Sequence[str]) -> Iterator[Link]:
    days = {int(one.partition("|")[0]) for one in ids}
    wanted = set(ids)
    for row in _sources(day_id__in=sorted(days)):
        batch = batch_id(row.day_id, row.tank)
        if batch in wanted:
            yield Link(Thing("batch", batch), Thing("package", row.package))


def _package_forward(ids: Sequence[str]) -> Iterator[Link]:
    for block in _blocks(ids):
        for row in _rows(pk__in=block):
            for kind, ident in (("place", row.place), ("order", row.order), ("sale", row.sale)):
                if ident:
                    yield Link(_bag(row), Thing(kind, ident))


def _place_to(ids: Sequence[str]) -> Iterator[Link]:
    for row in _rows(place__in=ids):
        yield Link(_bag(row), Thing("place", row.place))


def _order_to_buyer(ids: Sequence[str]) -> Iterator[Link]:
    numbers = [int(one) for one in ids if one.isdecimal()]
    for pk, customer in models.CustomerOrder.objects.filter(pk__in=numbers).values_list(
        "pk", "customer_id"
    ):
        yield Link(Thing("order", str(pk)), Thing("buyer", str(customer)))


def buyer_thing(buyer: Mapping[str, Any]) -> Thing | None:
    """Return who bought, by number where they are on the list, else by name.

    Nobody where no name was taken, or it was removed on request.
    """
    if buyer["id"] is not None:
        return Thing("buyer", str(buyer["id"]))
    if not buyer["name"] or buyer.get("erased"):
        return None
    return Thing("buyer", f"={buyer['name']}")


def _sale_to_buyer(ids: Sequence[str]) -> Iterator[Link]:
    for block in _blocks(ids):
        rows = models.Entry.objects.filter(client_id__in=block)
        found = list(rows.values_list("client_id", "payload__buyer"))
        whole = personal.put_back(buyer for _id, buyer in found)
        for (client_id, _told), one in zip(found, whole, strict=True):
            buyer = buyer_thing(one)
            if buyer:
                yield Link(Thing("sale", client_id), buyer)


def _package_back(ids: Sequence[str]) -> Iterator[Link]:
    for block in _blocks(ids):
        for row in _sources(package__in=block):
            bag = Thing("package", row.package)
            yield Link(Thing("batch", batch_id(row.day_id, row.tank)), bag)
            yield Link(Thing("flock", row.lot), bag)


def _batch_back(ids: Sequence[str]) -> Iterator[Link]:
    wanted, days = set(ids), sorted({int(one.partition("|")[0]) for one in ids})
    for ident in ids:
        yield Link(Thing("day", ident.partition("|")[0]), Thing("batch", ident))
    for link in _readings(day_id__in=days):
        if link.effect.kind == "batch" and link.effect.id in wanted:
            yield link


def _day_back(ids: Sequence[str]) -> Iterator[Link]:
    days = [int(one) for one in ids if one.isdecimal()]
    for link in _readings(day_id__in=days):
        if link.effect.kind == "day":
            yield link
    done = models.Entry.objects.filter(kind="done", day_id__in=days)
    for client_id, day, payload in done.values_list("client_id", "day_id", "payload"):
        if payload.get("task") == "sanitiser":
            yield Link(Thing("sanitiser", client_id), Thing("day", str(day)))


def _flock_back(ids: Sequence[str]) -> Iterator[Link]:
    rows = models.Entry.objects.filter(kind="flock", payload__lot__in=list(ids))
    lines = list(rows.values_list("client_id", "payload"))
    struck = {payload.get("of") for _id, payload in lines if payload.get("event") == "struck"}
    for client_id, payload in lines:
        if payload.get("event") in ("feed", "medicine") and client_id not in struck:
            yield Link(Thing("feed", client_id), Thing("flock", str(payload.get("lot", ""))))


def _sale_back(ids: Sequence[str]) -> Iterator[Link]:
    for block in _blocks(ids):
        for row in _rows(sale__in=block):
            yield Link(_bag(row), Thing("sale", row.sale))


def _order_back(ids: Sequence[str]) -> Iterator[Link]:
    for row in _rows(order__in=ids):
        yield Link(_bag(row), Thing("order", row.order))


def _buyer_back(ids: Sequence[str]) -> Iterator[Link]:
    numbers = [int(one) for one in ids if one.isdecimal()]
    names = [one[1:] for one in ids if one.startswith("=")]
    rows = models.Entry.objects.filter(kind="sale")
    found = list(rows.filter(payload__buyer__id__in=numbers)) if numbers else []
    if names:
        keys = [key for some in personal.keys_named(names).values() for key in some]
        for block in _blocks(keys):
            found += rows.filter(payload__buyer__person__in=block)
        found += rows.filter(payload__buyer__name__in=names)  # of before they were kept apart
    buyers = personal.put_back(row.payload["buyer"] for row in found)
    for row, one in zip(found, buyers, strict=True):
        buyer = buyer_thing(one)
        if buyer:
            yield Link(Thing("sale", row.client_id), buyer)


_FORWARD: Final = {
    "feed": _feed_to_flock,
    "flock": _flock_to_package,
    "sanitiser": _sanitiser_to_day,
    "thermometer": _thermometer_to,
    "day": _day_to_batch,
    "batch": _batch_to_package,
    "package": _package_forward,
    "order": _order_to_buyer,
    "sale": _sale_to_buyer,
}
_BACK: Final = {
    "flock": _flock_back,
    "day": _day_back,
    "batch": _batch_back,
    "package": _package_back,
    "place": _place_to,
    "order": _order_back,
    "sale": _sale_back,
    "buyer": _buyer_back,
}


def caught_up() -> None:
    """Work the stock tables out as far as the journal goes, before a trace reads them."""
    stock_book.catch_up()
