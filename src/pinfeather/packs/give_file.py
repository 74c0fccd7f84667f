"""Packages and orders as a file says them, to be given out without the farm's store."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Final

from pinfeather import quantity
from pinfeather.errors import InputError
from pinfeather.mapping import MappingReader
from pinfeather.packs.allocate import Order, Package, Wish
from pinfeather.packs.net_weight import in_pounds
from pinfeather.words import gettext as _

_HEAVIEST_KG: Final = 40.0
_MOST_NUMBER: Final = 99_999
_MOST_BIRDS: Final = 200


@dataclass(frozen=True, slots=True)
class GiveFile:
    """What there is, and who wants what.

    Parameters
    ----------
    packages : tuple of Package
        The day's packages.
    orders : tuple of Order
        In the order they came.
    by_turns : bool
        Whether everybody's first bird comes before anybody's second.
    """

    packages: tuple[Package, ...]
    orders: tuple[Order, ...]
    by_turns: bool


def give_file(mapping: Mapping[str, object]) -> GiveFile:
    """Read packages and orders.

    Parameters
    ----------
    mapping : mapping
        As read from TOML: ``packages`` and ``orders``, each a list of tables.

    Returns
    -------
    GiveFile
        The same as plain values.

    Raises
    ------
    InputFaultsError
        With every fault.

    References
    ----------
    Derivation: one table for each package and each order.
    """
    reader = MappingReader(mapping)
    share = reader.choice("share", ("first come", "turns"), default="first come")
    packages = tuple(_package(table, n) for n, table in enumerate(reader.tables("packages")))
    orders = tuple(_order(table, n) for n, table in enumerate(reader.tables("orders")))
    _once(reader, "packages", [package.serial for package in packages])
    _once(reader, "orders", [order.order_id for order in orders])
    if not packages:
        reader.fault("packages", None, _("Write at least one package."))
    if not orders:
        reader.fault("orders", None, _("Write at least one order."))
    _pins(reader, packages, orders)
    reader.refuse_unknown()
    reader.raise_faults()
    lots = sorted({package.lot for package in packages})
    ranked = tuple(replace(one, age_rank=lots.index(one.lot)) for one in packages)
    return GiveFile(ranked, orders, share == "turns")


def _once(reader: MappingReader, name: str, values: Sequence[object]) -> None:
    twice = sorted({str(value) for value in values if values.count(value) > 1})
    if twice:
        sentence = _("These stand twice: {names}.").format(names=", ".join(twice))
        reader.fault(name, twice, sentence)


def _pins(reader: MappingReader, packages: Sequence[Package], orders: Sequence[Order]) -> None:
    pins = [wish.pin for order in orders for wish in order.wishes if wish.pin is not None]
    known = {package.serial for package in packages}
    for pin in dict.fromkeys(pins):
        if pin not in known or pins.count(pin) > 1:
            sentence = _("Package {pin} is pinned twice, or is not there.").format(pin=pin)
            reader.fault("orders", pin, sentence)


def _package(table: MappingReader, place: int) -> Package:
    return Package(
        serial=table.integer("number", low=0, high=_MOST_NUMBER, default=place + 1) or 0,
        product=table.text("product", default=_("Whole chicken")) or "",
        net_lb=_pounds(table, "net", needed=True) or Decimal(0),
        lot=table.text("lot", default="") or "",
    )


def _order(table: MappingReader, rank: int) -> Order:
    name = table.text("name") or ""
    wishes: list[Wish] = []
    for row in table.tables("birds"):
        count = row.integer("count", low=1, high=_MOST_BIRDS, default=1) or 1
        pin = row.integer("pin", low=0, high=_MOST_NUMBER, default=-1)
        low, high = _pounds(row, "from"), _pounds(row, "to")
        at = _pounds(row, "weight")
        if at is not None and (low is not None or high is not None):
            row.fault("weight", str(at), _("Write either a weight, or from and to."))
        if low is not None and high is not None and high < low:
            row.fault("to", str(high), _("This is lighter than the first weight."))
        if pin is not None and pin >= 0 and count > 1:
            row.fault("pin", pin, _("A pin is for one bird; leave the count out."))
        wish = Wish(
            row.text("product", default=_("Whole chicken")) or "",
            at if at is not None else (low if low is not None else high),
            at if at is not None else (high if high is not None else low),
            _pounds(row, "most"),
            None if pin is None or pin < 0 else pin,
        )
        wishes += [wish] * count
    if not wishes:
        table.fault("birds", None, _("Write at least one bird."))
    return Order(name, rank, tuple(wishes))


def _pounds(table: MappingReader, name: str, *, needed: bool = False) -> Decimal | None:
    """Read a weight as printed, to a hundredth of a pound."""
    if not needed and not table.has(name):
        return None
    before = len(table.faults)
    table.quantity(name, "mass", low=0.005, high=_HEAVIEST_KG)
    if len(table.faults) > before:
        return None
    try:
        return in_pounds(quantity.parse(str(table.raw(name)), "mass", name=name))
    except InputError as fault:
        table.fault(name, table.raw(name), fault.problem)
        return None
