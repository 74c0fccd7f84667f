"""Trace and recall: from any one thing to all it came from and went into, and who has it now."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any, Final

from pinfeather.actions.stock import book as stock_book
from pinfeather.actions.stock import trace_links
from pinfeather.actions.stock.book import Pkg
from pinfeather.actions.stock.finding_packages import find
from pinfeather.actions.stock.trace_names import Named, named
from pinfeather.errors import InputError, InputFaultsError, RecordNotFoundError
from pinfeather.packs.trace import KINDS, Recall, Thing, Whereabouts, accounted, walk
from pinfeather.records import models, personal
from pinfeather.words import gettext as _
from pinfeather.words import gettext_noop

KIND_WORDS: Final = {
    "feed": gettext_noop("Feed and medicine"),
    "flock": gettext_noop("Flocks"),
    "sanitiser": gettext_noop("Sanitiser mixed"),
    "thermometer": gettext_noop("Thermometers"),
    "day": gettext_noop("Processing days"),
    "batch": gettext_noop("Chill batches"),
    "package": gettext_noop("Packages"),
    "place": gettext_noop("Places"),
    "order": gettext_noop("Orders"),
    "sale": gettext_noop("Sales"),
    "buyer": gettext_noop("Buyers"),
}
_BLOCK: Final = 5000
_MOST_NAMED: Final = 300
"""More things of one kind than anybody reads; buyers are always named, all of them."""
_STATE_WHERE: Final = {
    "stock": "here",
    "home": "own table",
    "given": "given",
    "wasted": "wasted",
    "missing": "missing",
}


@dataclass(frozen=True, slots=True)
class TracedPackage:
    """A package in a trace, and who has it."""

    package: Pkg
    where: str
    buyer: str = ""
    sale: str = ""


@dataclass(frozen=True, slots=True)
class Trace:
    """Everything one thing touched."""

    start: Named
    back: tuple[tuple[str, tuple[Named, ...]], ...]
    forward: tuple[tuple[str, tuple[Named, ...]], ...]
    packages: tuple[TracedPackage, ...]
    recall: Recall

    @property
    def here(self) -> tuple[TracedPackage, ...]:
        """Packages still in the shop."""
        return tuple(one for one in self.packages if one.where == "here")

    @property
    def buyers(self) -> tuple[Named, ...]:
        """Everybody to be told."""
        return next((things for kind, things in self.forward if kind == "buyer"), ())


def thing_from(text: str) -> Thing:
    """Return the thing meant by ``kind:id``, a lot code, a package, a flock or a thermometer.

    Raises
    ------
    RecordNotFoundError
        If nothing of that name is on record.
    """
    text = text.strip()
    kind, colon, ident = text.partition(":")
    if colon and kind in (*KINDS, "lot") and ident:
        thing = Thing(kind, ident)
        named([thing])
        return thing
    trace_links.caught_up()
    if lot := models.Lot.objects.filter(code__iexact=text, withdrawn=False).first():
        return Thing("flock", lot.code)
    if models.Instrument.objects.filter(name__iexact=text).exists():
        return Thing("thermometer", models.Instrument.objects.get(name__iexact=text).name)
    if models.Place.objects.filter(name__iexact=text).exists():
        return Thing("place", models.Place.objects.get(name__iexact=text).name)
    found = find(text)
    if len(found) == 1:
        return Thing("package", found[0].id)
    codes = {one.lot_code for one in found}
    if codes:
        code = next((one for one in sorted(codes) if text.upper() in one), min(codes))
        return Thing("lot", code)
    raise RecordNotFoundError(
        _("Nothing on record is called “{text}”. Scan a package, or write a lot code.").format(
            text=text
        )
    )


def trace(start: Thing) -> Trace:
    """Follow one thing to everything it came from and everything it went into.

    Raises
    ------
    RecordNotFoundError
        If there is no such thing.
    """
    trace_links.caught_up()
    (start_named,) = named([start])
    begin = [start]
    if start.kind == "lot":  # a printed lot code is the packages that bear it
        begin = [Thing("package", one.id) for one in stock_book.where(lot_code=start.id)]
    back = walk(begin, trace_links.neighbours, direction="back")
    forward = walk(begin, trace_links.neighbours, direction="forward")
    bags = [thing.id for thing in (*begin, *forward) if thing.kind == "package"]
    if not bags:  # a buyer, a sale, a place: what it is about lies behind it
        bags = [thing.id for thing in back if thing.kind == "package"]
    traced = traced_packages(bags)
    return Trace(
        start_named,
        _grouped(back),
        _grouped(forward),
        traced,
        accounted(Whereabouts(one.package.id, one.package.net_lb, one.where) for one in traced),
    )


def _grouped(things: Iterable[Thing]) -> tuple[tuple[str, tuple[Named, ...]], ...]:
    """Put things into words, kind by kind; packages have a table of their own."""
    by_kind: dict[str, list[Thing]] = {}
    for thing in things:
        by_kind.setdefault(thing.kind, []).append(thing)
    return tuple(
        (kind, _some(by_kind[kind], most=None if kind == "buyer" else _MOST_NAMED))
        for kind in KINDS
        if kind in by_kind and kind != "package"
    )


def _some(things: Sequence[Thing], *, most: int | None) -> tuple[Named, ...]:
    """Name things of one kind; of very many, the first, and how many more there are."""
    shown = named(things[:most])
    if most is not None and len(things) > most:
        more = _("and {n} more").format(n=len(things) - most)
        return (*sorted(shown, key=lambda one: one.words), Named(things[most], more))
    return tuple(sorted(shown, key=lambda one: one.words))


def traced_packages(ids: Sequence[str]) -> tuple[TracedPackage, ...]:
    """Return packages with where each one is, and who has it."""
    found = stock_book.packages(ids)
    sales = sorted({p.kept.sale for p in found.values() if p.kept.sale})
    buyers: dict[str, dict[str, Any]] = {}
    for start in range(0, len(sales), _BLOCK):
        rows = models.Entry.objects.filter(client_id__in=sales[start : start + _BLOCK])
        found_buyers = dict(rows.values_list("client_id", "payload__buyer"))
        named_buyers = personal.put_back(found_buyers.values())
        buyers.update(dict(zip(found_buyers, named_buyers, strict=True)))
    traced = []
    for package in found.values():
        told = buyers.get(package.kept.sale, {})
        buyer = str(told.get("name", ""))
        reached = buyer and not told.get("erased")
        where = _STATE_WHERE.get(package.kept.state, "buyer" if reached else "unnamed")
        traced.append(TracedPackage(package, where, buyer, package.kept.sale))
    return tuple(sorted(traced, key=lambda t: (t.package.packed_on, t.package.number)))


def hold(found: Trace, *, reason: str, who: str) -> int:
    """Put every package of a trace that is still here on hold; return how many.

    Raises
    ------
    InputFaultsError
        If no reason is given, or nothing is left to hold.
    """
    ids = [one.package.id for one in found.here if not one.package.kept.held]
    if not reason.strip():
        raise InputFaultsError([InputError("reason", reason, _("Write why it is on hold."))])
    if not ids:
        sentence = _("Nothing of it is in stock and free.")
        raise InputFaultsError([InputError("reason", reason, sentence)])
    payload = {"act": "hold", "packages": ids, "reason": reason.strip()[:400]}
    stock_book.write("stock", payload, who=who)
    return len(ids)


def release(found: Trace, *, reason: str, who: str) -> int:
    """Release every held package of a trace; return how many.

    Raises
    ------
    InputFaultsError
        If no reason is given, or nothing is held.
    """
    ids = [one.package.id for one in found.here if one.package.kept.held]
    if not reason.strip():
        sentence = _("Write why it may be sold again.")
        raise InputFaultsError([InputError("reason", reason, sentence)])
    if not ids:
        raise InputFaultsError([InputError("reason", reason, _("Nothing of it is on hold."))])
    payload = {"act": "release", "packages": ids, "reason": reason.strip()[:400]}
    stock_book.write("stock", payload, who=who)
    return len(ids)
