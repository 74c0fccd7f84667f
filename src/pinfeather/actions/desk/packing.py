"""The weighing desk: net weight, price, lot code."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from decimal import Decimal, InvalidOperation
from typing import Any, Final

from pinfeather import clock, quantity
from pinfeather.actions.day import days, running
from pinfeather.actions.desk import scales
from pinfeather.actions.desk import setup as desk_setup
from pinfeather.actions.farm import farm
from pinfeather.day.events import Cutting, Package
from pinfeather.day.progress import Progress
from pinfeather.errors import InputError, InputFaultsError, RecordNotFoundError
from pinfeather.packs.lot_code import LotCode
from pinfeather.packs.net_weight import in_pounds, net_weight, round_tare
from pinfeather.packs.price import CENT, total_price
from pinfeather.packs.products import Product, birds_counted, product, products
from pinfeather.records.writing import writing
from pinfeather.words import gettext as _

PRODUCTS: Final = tuple(one.name for one in products("chicken"))
_FINE_LB: Final = Decimal("0.00001")
"""A tare is read this fine [lb], so that rounding it up loses nothing."""
CUTTING_PREFIX: Final = "cutting:"
"""Before the id of a cutting, where the desk asks what a package comes from."""
_AGAIN_S: Final = 3.0
"""Nobody changes bags faster: the same weight within this time is one bag sent twice [s]."""
_CODE_SEPARATOR: Final = ", "


@dataclass(frozen=True, slots=True)
class Weighed:
    """A package as just weighed."""

    id: str
    number: int
    net_lb: str
    total: str


@dataclass(frozen=True, slots=True)
class Particulars:
    """What a package may carry besides its weight."""

    client_id: str = ""
    """Made where the weight came from, so that sending it twice writes it once."""
    class_name: str = ""
    frozen: bool = False
    fixed: str = ""
    """The weight every package of its kind declares, such as 8 oz; empty for its own weight."""
    number: int = 0
    """Of the package that is weighed again; 0 for a new one."""


@dataclass(frozen=True, slots=True)
class DeskStart:
    """What the weighing desk's form starts with."""

    lot: str
    tank: str
    product: str
    tare: str
    price_per_lb: str
    class_name: str = ""
    frozen: bool = False
    fixed: str = ""


@dataclass(slots=True)
class _Read:
    """What was typed at the desk, read; its faults gathered."""

    gross_lb: Decimal = Decimal(0)
    tare_lb: Decimal = Decimal(0)
    net_lb: Decimal = Decimal(0)
    declared_lb: Decimal | None = None
    price: Decimal | None = None
    total: str = ""
    faults: list[InputError] = field(default_factory=list)


def tank_code(day: days.DayView, tank: str) -> str:
    """Return a tank's short name for lot codes: T1, T2, by its place in the plan."""
    names = [t.name for t in day.request.equipment.tanks]
    return f"T{names.index(tank) + 1}" if tank in names else "T0"


def flock_code(lot: str) -> str:
    """Return a lot's short name as lot codes can carry it."""
    return re.sub(r"[^A-Z0-9]", "", lot.upper())[:5] or "X"


def lot_codes(day: days.DayView, package: Package) -> tuple[LotCode, ...]:
    """Return every lot a package came from, each with its tank."""
    pairs = [(package.lot, package.tank), *((s.lot, s.tank) for s in package.sources)]
    return tuple(
        LotCode(day.date, flock_code(lot), tank_code(day, tank))
        for lot, tank in dict.fromkeys(pairs)
    )


def lot_code(day: days.DayView, package: Package) -> str:
    """Return the lot code of a package as printed; several where parts come from several lots."""
    return _CODE_SEPARATOR.join(str(code) for code in lot_codes(day, package))


def desk_products(day: days.DayView) -> tuple[str, ...]:
    """Return what the day's birds can be packed as."""
    species = dict.fromkeys(lot.species for lot in day.request.lots)
    return tuple(one.name for kind in species for one in products(kind))


def desk_start(day: days.DayView) -> DeskStart:
    """Return a form that already says what the last package said."""
    done = running.day_progress(day.id)
    last = done.packages[-1] if done.packages else None
    first_lot = day.request.lots[0]
    if last is None:
        whole = products(first_lot.species)
        name = whole[0].name if whole else PRODUCTS[0]
        return DeskStart(
            lot=first_lot.code,
            tank=day.request.equipment.tanks[0].name,
            product=name,
            tare=desk_setup.usual_tare(),
            price_per_lb=desk_setup.price_of(name) or farm().price_per_lb,
        )
    open_cuttings = {one.id for one in done.cuttings if not one.finished}
    return DeskStart(
        lot=CUTTING_PREFIX + last.cutting if last.cutting in open_cuttings else last.lot,
        tank=last.tank,
        product=last.product,
        tare=last.tare,
        price_per_lb=last.price_per_lb,
        class_name=last.class_name,
        frozen=last.frozen,
        fixed=last.fixed,
    )


def weigh(
    day_id: int,
    *,
    lot: str,
    tank: str,
    product: str,
    gross: str,
    tare: str,
    price_per_lb: str,
    birds: int | None,
    who: str,
    more: Particulars = Particulars(),
) -> Weighed:
    """Write a package into the journal.

    Parameters
    ----------
    day_id : int
        The day.
    lot, tank : str
        Where it comes from; a lot that begins with ``cutting:`` names a cutting, whose lots and
        tanks the package then carries.
    product, gross, tare, price_per_lb, who : str
        As written.
    birds : int or None
        Birds it adds to the count; None for what the product usually counts as.
    more : Particulars
        Class, frozen, declared weight, the id it was sent under, the number it had before.

    Raises
    ------
    InputFaultsError
        With every fault.
    RecordConflictError
        If the day is closed.
    """
    read = _read(gross, tare, price_per_lb=price_per_lb, fixed=more.fixed)
    if not product.strip():
        read.faults.append(InputError("product", product, _("Say what is in the bag.")))
    cutting = _cutting(day_id, lot, read.faults)
    if read.faults:
        raise InputFaultsError(read.faults)
    with writing():
        events = running.events(day_id)
        known = next((e for e in events if more.client_id and e.client_id == more.client_id), None)
        if known is not None:
            p = known.payload
            return Weighed(known.client_id, int(p["number"]), str(p["net_lb"]), str(p["total"]))
        done = running.day_progress(day_id)
        used = [int(e.payload["number"]) for e in events if e.kind == "package"]
        number = more.number or 1 + max(used, default=0)
        payload: dict[str, Any] = {
            "number": number,
            "lot": lot,
            "tank": tank,
            "product": product.strip(),
            "gross": gross.strip(),
            "tare": f"{read.tare_lb} lb",
            "net_lb": str(read.net_lb),
            "price_per_lb": "" if read.price is None else str(read.price),
            "total": read.total,
            "birds": _birds(birds, product, lot=lot, done=done, cutting=cutting),
            "class_name": more.class_name,
            "frozen": more.frozen,
            "fixed": more.fixed.strip(),
        }
        if cutting is not None:
            payload |= {
                "lot": cutting.sources[0].lot,
                "tank": cutting.sources[0].tank,
                "cutting": cutting.id,
                "sources": [{"lot": s.lot, "tank": s.tank} for s in cutting.sources],
            }
        if more.number:
            _take_back(done, more.number, day_id=day_id, who=who)
        client_id = running.write(
            "package", payload, day_id=day_id, who=who, client_id=more.client_id
        )
    return Weighed(client_id, number, str(read.net_lb), read.total)


def _read(gross: str, tare: str, *, price_per_lb: str, fixed: str) -> _Read:
    division = scales.desk_division_lb()
    read = _Read()

    def pounds(name: str, text: str, step: Decimal) -> Decimal:
        try:
            weight = quantity.parse(text, "mass", name=name)
            if name == "tare" and weight.si == 0:  # the bag was on the scale when it was zeroed
                return Decimal(0)
            return in_pounds(weight, division=step)
        except InputError as fault:
            read.faults.append(InputError(name, text, fault.problem))
            return Decimal(0)

    read.gross_lb = pounds("gross", gross, division)
    read.tare_lb = pounds("tare", tare, _FINE_LB)
    if fixed.strip():
        read.declared_lb = pounds("fixed", fixed, _FINE_LB)
    if not read.faults:
        read.tare_lb = round_tare(read.tare_lb, division=division)
        try:
            read.net_lb = net_weight(read.gross_lb, read.tare_lb, division=division)
        except InputError as fault:
            read.faults.append(InputError("gross", gross, fault.problem))
    if price_per_lb.strip():
        try:
            price = Decimal(price_per_lb.strip().lstrip("$"))
            printed_lb = read.declared_lb or read.net_lb
            worth = total_price(Decimal(1) if read.faults else printed_lb, price)
            read.price = price.quantize(CENT)
            read.total = "" if read.faults else str(worth)
        except (InvalidOperation, InputError):
            read.faults.append(
                InputError("price_per_lb", price_per_lb, _("Write dollars, such as 5.25."))
            )
    return read


def _cutting(day_id: int, lot: str, faults: list[InputError]) -> Cutting | None:
    if not lot.startswith(CUTTING_PREFIX):
        return None
    wanted = lot.removeprefix(CUTTING_PREFIX)
    for one in running.day_progress(day_id).cuttings:
        if one.id == wanted and not one.finished:
            return one
    faults.append(InputError("lot", lot, _("That cutting is not open any more.")))
    return None


def _birds(
    birds: int | None, name: str, *, lot: str, done: Progress, cutting: Cutting | None
) -> int:
    """Say how many birds a package adds; parts of a cutting add none."""
    if cutting is not None:
        return 0
    if birds is not None:
        return birds
    kind: Product = product(name)
    halves = sum(1 for p in done.packages if p.lot == lot and product(p.product).counts == "half")
    return birds_counted(kind.counts, halves)


def _take_back(done: Progress, number: int, *, day_id: int, who: str) -> None:
    for package in done.packages:
        if package.number == number:
            running.write(
                "correction",
                {"of": package.id, "reason": _("weighed again")},
                day_id=day_id,
                who=who,
            )
            return
    raise RecordNotFoundError(_("There is no such package."))


def take_back(day_id: int, package_id: str, reason: str, *, who: str) -> None:
    """Take a package back for a reason; its number is not given again.

    Raises
    ------
    InputError
        If there is no reason.
    RecordNotFoundError
        If there is no such package.
    """
    if not reason.strip():
        raise InputError("reason", reason, _("Write why the package is taken back."))
    if all(p.id != package_id for p in running.day_progress(day_id).packages):
        raise RecordNotFoundError(_("There is no such package."))
    running.write(
        "correction", {"of": package_id, "reason": reason.strip()}, day_id=day_id, who=who
    )


def just_weighed(day_id: int, *, gross: str, product: str) -> Package | None:
    """Return the last package if it is this one, sent twice within a moment."""
    packages = running.day_progress(day_id).packages
    last = packages[-1] if packages else None
    if last is None or last.product != product.strip() or last.gross != gross.strip():
        return None
    return last if (clock.now() - last.at).total_seconds() < _AGAIN_S else None


def numbered(day_id: int, numbers: Sequence[int] = ()) -> tuple[Package, ...]:
    """Return a day's packages, all or some, in the order of their numbers.

    Raises
    ------
    RecordNotFoundError
        If there is none.
    """
    wanted = set(numbers)
    found = [p for p in running.day_progress(day_id).packages if not wanted or p.number in wanted]
    if not found:
        raise RecordNotFoundError(_("There is no such package."))
    return tuple(sorted(found, key=lambda p: p.number))
