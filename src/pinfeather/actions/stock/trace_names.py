"""The things of a trace in words."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Final

from pinfeather import clock
from pinfeather.actions.farm import farm
from pinfeather.actions.stock import book as stock_book
from pinfeather.errors import RecordNotFoundError
from pinfeather.packs.trace import Thing
from pinfeather.records import models, personal
from pinfeather.words import gettext as _


@dataclass(frozen=True, slots=True)
class Named:
    """A thing in words, with a page to open where it has one."""

    thing: Thing
    words: str
    more: str = ""
    phone: str = ""

    @property
    def key(self) -> str:
        """How an address names it."""
        return f"{self.thing.kind}:{self.thing.id}"


def named(things: Sequence[Thing]) -> list[Named]:
    """Put things of one kind into words, in as few questions to the store as there are kinds.

    Raises
    ------
    RecordNotFoundError
        If one is not on record.
    """
    kind, ids = things[0].kind, [thing.id for thing in things]
    words = _NAMES[kind](ids)
    if any(thing.id not in words for thing in things):
        raise RecordNotFoundError(_("There is nothing of that name on record."))
    return [Named(thing, *words[thing.id]) for thing in things]


def _entry_names(ids: Sequence[str]) -> dict[str, tuple[str, str]]:
    zone = clock.zone(farm().zone)
    found = {}
    for row in models.Entry.objects.filter(client_id__in=ids):
        at = row.device_time.astimezone(zone)
        if row.kind == "flock":
            what = row.payload.get("feed") or row.payload.get("medicine") or _("Feed")
            written = row.payload.get("mass", "")
            words = _("{what}, {mass}").format(what=what, mass=written) if written else str(what)
            more = f"{row.payload.get('on', '')} · {row.payload.get('note', '')}".rstrip(" ·")
        elif row.kind == "sale":
            words = _("Sale {n}").format(n=row.payload["number"])
            name = personal.put_back([row.payload["buyer"]])[0]["name"]
            more = f"{at:%Y-%m-%d} · {name or _('no name')}"
        else:
            words = _("Mixed {date}, {time}").format(date=f"{at:%Y-%m-%d}", time=f"{at:%H:%M}")
            more = f"{row.who} {row.payload.get('note', '')}".strip()
        found[row.client_id] = (words, more)
    return found


def _day_names(ids: Sequence[str]) -> dict[str, tuple[str, str]]:
    rows = models.Day.objects.filter(pk__in=[int(i) for i in ids if i.isdecimal()])
    return {str(pk): (f"{date:%Y-%m-%d}", "") for pk, date in rows.values_list("pk", "date")}


def _batch_names(ids: Sequence[str]) -> dict[str, tuple[str, str]]:
    days = _day_names([one.partition("|")[0] for one in ids])
    found = {}
    for ident in ids:
        day, bar, tank = ident.partition("|")
        if bar and day in days:
            found[ident] = (f"{days[day][0]}, {tank or _('tank not said')}", "")
    return found


def _package_names(ids: Sequence[str]) -> dict[str, tuple[str, str]]:
    return {
        i: (
            _("Package {n} of {lot}").format(n=p.number, lot=p.lot_code),
            f"{p.product}, {p.net_lb} lb",
        )
        for i, p in stock_book.packages(ids).items()
    }


def _order_names(ids: Sequence[str]) -> dict[str, tuple[str, str]]:
    numbers = [int(one) for one in ids if one.isdecimal()]
    rows = models.CustomerOrder.objects.filter(pk__in=numbers).select_related("customer")
    return {
        str(row.pk): (_("Order {n}").format(n=row.pk), f"{row.customer} · {row.pickup_on}")
        for row in rows
    }


def _buyer_names(ids: Sequence[str]) -> dict[str, tuple[str, str, str]]:
    numbers = [int(one) for one in ids if one.isdecimal()]
    found = {
        str(row.pk): (row.name, row.address, row.phone)
        for row in models.Customer.objects.filter(pk__in=numbers)
    }
    return found | {one: (one[1:], "", "") for one in ids if one.startswith("=")}


def _flock_names(ids: Sequence[str]) -> dict[str, tuple[str, str]]:
    known = {
        row.code: (row.code, ", ".join(filter(None, (row.species, row.breed))))
        for row in models.Lot.objects.filter(code__in=ids)
    }
    lots = models.PackSource.objects.filter(lot__in=ids).values_list("lot", flat=True)
    return {lot: (lot, _("not on the farm's list of lots")) for lot in set(lots)} | known


def _lot_names(ids: Sequence[str]) -> dict[str, tuple[str, str]]:
    rows = models.Pack.objects.filter(lot_code__in=ids).values_list("lot_code", flat=True)
    return {code: (code, "") for code in set(rows)}


_NAMES: Final[dict[str, Any]] = {
    "feed": _entry_names,
    "sanitiser": _entry_names,
    "sale": _entry_names,
    "day": _day_names,
    "batch": _batch_names,
    "package": _package_names,
    "order": _order_names,
    "buyer": _buyer_names,
    "flock": _flock_names,
    "lot": _lot_names,
    "thermometer": lambda ids: {one: (one, "") for one in ids if _measured(one)},
    "place": lambda ids: {one: (one, "") for one in ids},
}


def _measured(name: str) -> bool:
    known = models.Instrument.objects.filter(name=name).exists()
    return known or models.Entry.objects.filter(payload__instrument=name).exists()
