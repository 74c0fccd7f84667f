"""Orders: what customers asked for, when they come, and what they left as a deposit."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from itertools import groupby
from typing import Any

from pinfeather import clock
from pinfeather.actions.farm import farm
from pinfeather.actions.stock import book as stock_book
from pinfeather.actions.stock.book import Pkg
from pinfeather.actions.stock.customers import CustomerView, customer
from pinfeather.actions.stock.order_form import header, money, wishes_from
from pinfeather.errors import (
    InputError,
    InputFaultsError,
    RecordConflictError,
    RecordNotFoundError,
)
from pinfeather.packs.till import PAID_BY
from pinfeather.records import models
from pinfeather.records.writing import writing
from pinfeather.words import gettext as _


@dataclass(frozen=True, slots=True)
class WishView:
    """One bird somebody ordered."""

    number: int
    product: str
    from_lb: str
    to_lb: str
    most_lb: str
    giblets: bool
    pin: str
    """Id of the package pinned by hand."""
    given: str
    """Id of the package last given."""
    why: str

    @property
    def size(self) -> str:
        """The wished weight in words."""
        if self.from_lb and self.to_lb and self.from_lb != self.to_lb:
            words = _("{low} to {high} lb").format(low=self.from_lb, high=self.to_lb)
        elif self.from_lb or self.to_lb:
            words = _("{at} lb").format(at=self.from_lb or self.to_lb)
        else:
            words = _("any weight")
        if self.most_lb:
            words += _(", never over {most} lb").format(most=self.most_lb)
        return words


@dataclass(frozen=True, slots=True)
class OrderView:
    """An order as pages see one."""

    id: int
    customer: CustomerView
    status: str
    placed_at: dt.datetime
    pickup_on: dt.date
    pickup_from: dt.time | None
    pickup_until: dt.time | None
    venue: str
    wishes: tuple[WishView, ...]
    occasion: str
    every_weeks: int
    note: str
    version: int
    promised: tuple[Pkg, ...]
    deposit: Decimal

    @property
    def open(self) -> bool:
        """Whether it is still to be handed over."""
        return self.status == models.CustomerOrder.Status.OPEN

    @property
    def lines(self) -> tuple[tuple[int, WishView], ...]:
        """Equal wishes together, with how many of each."""
        groups = groupby(self.wishes, key=lambda w: (w.product, w.size, w.giblets))
        return tuple((len(found), found[0]) for _key, each in groups if (found := list(each)))

    @property
    def window(self) -> str:
        """When they come, in words; empty where no time was agreed."""
        if self.pickup_from and self.pickup_until:
            return f"{self.pickup_from:%H:%M}–{self.pickup_until:%H:%M}"
        return f"{self.pickup_from:%H:%M}" if self.pickup_from else ""

    @property
    def waiting(self) -> bool:
        """Whether packages promised to it are still here."""
        return any(package.kept.in_stock for package in self.promised)

    @property
    def lacks(self) -> int:
        """Birds still without a package."""
        return max(0, len(self.wishes) - len(self.promised))


def orders(*, status: str = "open", until: dt.date | None = None) -> tuple[OrderView, ...]:
    """Return the orders of a state, the next pickup first."""
    rows = models.CustomerOrder.objects.filter(status=status).select_related("customer")
    if until is not None:
        rows = rows.filter(pickup_on__lte=until)
    rows = rows.order_by("pickup_on", "pickup_from", "placed_at", "pk")[:500]
    by_order: dict[str, list[Pkg]] = {}
    if status == models.CustomerOrder.Status.OPEN:
        for package in stock_book.in_stock():
            if package.kept.order:
                by_order.setdefault(package.kept.order, []).append(package)
    balances = _deposits()
    return tuple(
        _view(row, by_order.get(str(row.pk), ()), balances.get(str(row.pk), Decimal(0)))
        for row in rows
    )


def order(order_id: int) -> OrderView:
    """Return one order.

    Raises
    ------
    RecordNotFoundError
        If there is none.
    """
    row = models.CustomerOrder.objects.filter(pk=order_id).select_related("customer").first()
    if row is None:
        raise RecordNotFoundError(_("There is no such order."))
    packages = stock_book.where(order=str(row.pk))
    if row.status == models.CustomerOrder.Status.OPEN:
        packages = tuple(one for one in packages if one.kept.in_stock)
    return _view(row, packages, _deposits(str(row.pk)).get(str(row.pk), Decimal(0)))


def _view(row: models.CustomerOrder, packages: Sequence[Pkg], deposit: Decimal) -> OrderView:
    return OrderView(
        id=row.pk,
        customer=customer(row.customer_id),
        status=row.status,
        placed_at=row.placed_at,
        pickup_on=row.pickup_on,
        pickup_from=row.pickup_from,
        pickup_until=row.pickup_until,
        venue=row.venue,
        wishes=tuple(
            WishView(
                n, w["product"], w["from"], w["to"], w["most"], bool(w["giblets"]),
                w.get("pin", ""), w.get("given", ""), w.get("why", ""),
            )
            for n, w in enumerate(row.wishes)
        ),
        occasion=row.occasion,
        every_weeks=row.every_weeks,
        note=row.note,
        version=row.version,
        promised=tuple(packages),
        deposit=deposit,
    )  # fmt: skip


def _deposits(order_id: str = "") -> dict[str, Decimal]:
    """Return what is left of the deposits, by order."""
    left: dict[str, Decimal] = {}
    entries = models.Entry.objects.filter(kind__in=("deposit", "sale")).order_by("seq")
    if order_id:
        entries = entries.filter(payload__order=order_id)
    for kind, payload in entries.values_list("kind", "payload"):
        ident = str(payload.get("order", ""))
        if not ident:
            continue
        amount = Decimal(str(payload.get("amount" if kind == "deposit" else "from_deposit", "0")))
        if kind == "sale":
            amount = -amount - Decimal(str(payload.get("deposit_back", "0")))
        elif payload.get("act") != "taken":
            amount = -amount
        left[ident] = left.get(ident, Decimal(0)) + amount
    return left


def save_order(typed: Mapping[str, str], *, order_id: int | None = None) -> int:
    """Take an order down, or change one; return its number.

    Raises
    ------
    InputFaultsError
        With every fault.
    RecordConflictError
        If somebody changed the order meanwhile, or it is no longer open.
    RecordNotFoundError
        If there is no such order to change.
    """
    faults: list[InputError] = []
    values = header(typed, faults)
    wishes = wishes_from(typed, faults)
    if faults:
        raise InputFaultsError(faults)
    with writing():
        if order_id is None:
            row = models.CustomerOrder(placed_at=clock.now())
        else:
            found = models.CustomerOrder.objects.filter(pk=order_id).first()
            if found is None:
                raise RecordNotFoundError(_("There is no such order."))
            row = found
            _same_version(row, typed.get("version", ""))
            wishes = _with_pins(row.wishes, wishes)
            row.version += 1
        for name, value in values.items():
            setattr(row, name, value)
        row.wishes = wishes
        row.save()
    return row.pk


def _same_version(row: models.CustomerOrder, version: str) -> None:
    if row.status != models.CustomerOrder.Status.OPEN:
        raise RecordConflictError(_("This order is no longer open."))
    if version and version != str(row.version):
        raise RecordConflictError(_("Somebody else changed this order meanwhile. Open it again."))


def _with_pins(old: Sequence[Mapping[str, Any]], new: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Carry pins over to wishes that stayed as they were."""
    for before, after in zip(old, new, strict=False):
        if all(before[name] == after[name] for name in ("product", "from", "to", "most")):
            after.update({n: before[n] for n in ("pin", "given", "why") if before.get(n)})
    return new


def pin(order_id: int, wish: int, ident: str, *, version: str = "") -> None:
    """Pin a package to a wish by hand, or take the pin out.

    Raises
    ------
    InputError
        If there is no such wish.
    RecordConflictError
        If somebody changed the order meanwhile.
    """
    with writing():
        row = models.CustomerOrder.objects.filter(pk=order_id).first()
        if row is None or not 0 <= wish < len(row.wishes):
            raise InputError("wish", wish, _("There is no such bird in this order."))
        _same_version(row, version)
        row.wishes = [{**w, "pin": ident} if n == wish else w for n, w in enumerate(row.wishes)]
        row.version += 1
        row.save()


def cancel(order_id: int, *, who: str) -> None:
    """Cancel an order and set its packages free.

    Raises
    ------
    RecordConflictError
        If it is no longer open.
    """
    with writing():
        found = order(order_id)
        if not found.open:
            raise RecordConflictError(_("This order is no longer open."))
        ids = [p.id for p in found.promised]
        if ids:
            stock_book.write("stock", {"act": "free", "packages": ids}, who=who)
        models.CustomerOrder.objects.filter(pk=order_id).update(status="cancelled")


def handed_over(order_id: int) -> int | None:
    """Close an order that was handed over; return the number of a standing order's next one."""
    with writing():
        row = models.CustomerOrder.objects.filter(pk=order_id, status="open").first()
        if row is None:
            return None
        row.status = models.CustomerOrder.Status.PICKED_UP
        row.save()
        if not row.every_weeks:
            return None
        following = models.CustomerOrder.objects.create(
            customer_id=row.customer_id,
            placed_at=clock.now(),
            pickup_on=row.pickup_on + dt.timedelta(weeks=row.every_weeks),
            pickup_from=row.pickup_from,
            pickup_until=row.pickup_until,
            venue=row.venue,
            wishes=[{n: w[n] for n in ("product", "from", "to", "most", "giblets")}
                    for w in row.wishes],
            occasion=row.occasion,
            every_weeks=row.every_weeks,
            note=row.note,
        )  # fmt: skip
    return following.pk


def deposit(
    order_id: int,
    *,
    act: str,
    amount: str,
    paid_by: str,
    who: str,
    at: dt.datetime | None = None,
) -> None:
    """Write down a deposit taken, given back or kept.

    Raises
    ------
    InputFaultsError
        With every fault.
    """
    faults = []
    value = Decimal(0)
    found = order(order_id)
    try:
        value = money("amount", amount)
    except InputError as fault:
        faults.append(fault)
    if act not in ("taken", "returned", "kept"):
        faults.append(InputError("act", act, _("Choose what was done.")))
    if paid_by not in PAID_BY:
        faults.append(InputError("paid_by", paid_by, _("Choose how it was paid.")))
    if not faults and act != "taken" and value > found.deposit:
        faults.append(InputError("amount", amount, _("There is not that much deposit left.")))
    if faults:
        raise InputFaultsError(faults)
    payload = {"order": str(order_id), "act": act, "amount": str(value), "paid_by": paid_by}
    stock_book.note("deposit", payload, who=who, at=at)


def today() -> dt.date:
    """Return the date on the farm's wall calendar."""
    return clock.today(farm().zone)
