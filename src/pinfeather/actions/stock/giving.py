"""Giving real packages to orders: a proposal with reasons, looked at, then kept."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from pinfeather.actions.stock import book as stock_book
from pinfeather.actions.stock import orders as order_book
from pinfeather.actions.stock.book import Pkg
from pinfeather.actions.stock.orders import OrderView, WishView
from pinfeather.errors import InputError, InputFaultsError
from pinfeather.finding import Finding, Severity
from pinfeather.packs.allocate import Order, Package, Wish, allocate
from pinfeather.packs.given import Fairness, fairness
from pinfeather.records import models
from pinfeather.records.writing import writing
from pinfeather.words import gettext as _


@dataclass(frozen=True, slots=True)
class GivenBird:
    """One wish and the package it gets, or none."""

    order: OrderView
    wish: WishView
    package: Pkg | None
    miss_lb: Decimal
    why: str
    pinned: bool

    @property
    def key(self) -> str:
        """What the form sends back: order, wish and package."""
        return f"{self.order.id}:{self.wish.number}:{self.package.id if self.package else ''}"


@dataclass(frozen=True, slots=True)
class Proposal:
    """Who gets what."""

    birds: tuple[GivenBird, ...]
    spare: tuple[Pkg, ...]
    short: int
    fairness: Fairness | None
    findings: tuple[Finding, ...]
    by_turns: bool

    @property
    def served(self) -> int:
        """Wishes that get a package."""
        return sum(1 for bird in self.birds if bird.package)


def propose(*, until: dt.date, by_turns: bool = False) -> Proposal:
    """Work out who gets which package, for all open orders up to a pickup day."""
    open_orders = order_book.orders(until=until)
    ids = {str(one.id) for one in open_orders}
    packages = [p for p in stock_book.in_stock() if not p.kept.held and p.kept.order in ("", *ids)]
    dates = sorted({p.packed_on for p in packages})
    serials = {p.id: n for n, p in enumerate(packages)}
    by_serial = dict(enumerate(packages))
    gone: list[Finding] = []
    asked = _asked(open_orders, serials, gone)
    stock = [
        Package(n, p.product, p.net_lb, p.lot_code, dates.index(p.packed_on))
        for n, p in by_serial.items()
    ]
    found = allocate(asked, stock, by_turns=by_turns)
    given = {(g.order_id, g.wish_number): g for g in found.given}
    birds = []
    for one in open_orders:
        for wish in one.wishes:
            got = given.get((_named(one), wish.number))
            birds.append(
                GivenBird(
                    one, wish, by_serial[got.serial] if got else None,
                    got.miss_lb if got else Decimal(0), got.why if got else "",
                    bool(got and got.pinned),
                )
            )  # fmt: skip
    return Proposal(
        tuple(birds),
        tuple(by_serial[n] for n in found.spare),
        len(found.unserved),
        fairness(found.given) if found.given else None,
        (*gone, *(f for f in found.findings if f.code != "allocate.miss")),
        by_turns,
    )


def _asked(
    found: Sequence[OrderView], serials: Mapping[str, int], gone: list[Finding]
) -> list[Order]:
    """Turn orders into the plain wishes of the allocation; name pins to packages that left."""
    queue = sorted(found, key=lambda one: (one.placed_at, one.id))
    pinned: set[str] = set()
    asked = []
    for rank, one in enumerate(queue):
        wishes = []
        for wish in one.wishes:
            here = wish.pin in serials and wish.pin not in pinned
            if wish.pin and not here:
                gone.append(
                    Finding(
                        "allocate.pin_gone",
                        Severity.CHECK,
                        _("The package pinned for {name} is not there to give.").format(
                            name=one.customer.name
                        ),
                        _("It was sold, put on hold or pinned twice; the pin is left aside."),
                        where=str(one.id),
                    )
                )
            if here:
                pinned.add(wish.pin)
            wishes.append(
                Wish(
                    wish.product,
                    _lb(wish.from_lb) or _lb(wish.to_lb),
                    _lb(wish.to_lb) or _lb(wish.from_lb),
                    _lb(wish.most_lb),
                    serials[wish.pin] if here else None,
                )
            )
        asked.append(Order(_named(one), rank, tuple(wishes)))
    return asked


def _lb(text: str) -> Decimal | None:
    return Decimal(text) if text else None


def _named(one: OrderView) -> str:
    """Return an order's number with the customer's name, as findings show it."""
    return f"{one.id} · {one.customer.name}"


def keep(
    pairs: Sequence[str],
    *,
    until: dt.date,
    who: str,
    by_turns: bool = False,
    at: dt.datetime | None = None,
) -> int:
    """Promise the packages of a proposal to their orders; return how many.

    Parameters
    ----------
    pairs : sequence of str
        Each ``order:wish:package`` as the proposal showed it.
    until : datetime.date
        The pickup day it was worked out for; older promises of those orders are taken back.
    who : str
        Who decided.
    by_turns : bool
        How the proposal was worked out.
    at : datetime or None
        When; None is now.

    Raises
    ------
    InputFaultsError
        If a package has meanwhile gone elsewhere; then nothing is promised.
    """
    wanted = [tuple(pair.split(":")) for pair in pairs if pair.count(":") == 2]  # noqa: PLR2004
    with writing():
        open_orders = {str(one.id): one for one in order_book.orders(until=until)}
        for one in open_orders.values():
            ids = [p.id for p in one.promised]
            if ids:
                payload = {"act": "free", "packages": ids, "order": str(one.id)}
                stock_book.write("stock", payload, who=who, at=at)
        by_order: dict[str, dict[int, str]] = {}
        for order_id, wish, ident in wanted:
            if order_id in open_orders and wish.isdecimal() and ident:
                by_order.setdefault(order_id, {})[int(wish)] = ident
        if not by_order:
            raise InputFaultsError([InputError("give", "", _("There is nothing to promise."))])
        again = propose(until=until, by_turns=by_turns)
        why = {bird.key: bird.why for bird in again.birds if bird.package}
        for order_id, given in by_order.items():
            payload = {"act": "promise", "packages": list(given.values()), "order": order_id}
            stock_book.write("stock", payload, who=who, at=at)
            row = models.CustomerOrder.objects.get(pk=int(order_id))
            row.wishes = [
                {
                    **w,
                    "given": given.get(n, ""),
                    "why": why.get(f"{order_id}:{n}:{given.get(n, '')}", w.get("why", "")),
                }
                for n, w in enumerate(row.wishes)
            ]
            row.save()
    return sum(len(given) for given in by_order.values())
