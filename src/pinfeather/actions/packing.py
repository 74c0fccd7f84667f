"""The weighing desk: net weight, price, lot code, label."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from typing import Final

from pinfeather import clock, quantity
from pinfeather.actions import days, running
from pinfeather.actions.farm import FarmView, farm
from pinfeather.day.events import Package
from pinfeather.errors import InputError, InputFaultsError, RecordNotFoundError
from pinfeather.finding import Finding
from pinfeather.packs.label import LabelContent, LabelFarm, LabelPackage, build_label, check_label
from pinfeather.packs.lot_code import LotCode
from pinfeather.packs.net_weight import DIVISION_LB, in_pounds, net_weight, round_tare
from pinfeather.packs.price import CENT, total_price
from pinfeather.records.writing import writing
from pinfeather.reports.labels import (
    ICONS,
    LabelSheetItem,
    LabelSize,
    SafeHandling,
    SafeHandlingLine,
    labels_pdf,
    trace_text,
)
from pinfeather.rules.label import label_elements
from pinfeather.rules.profile import load
from pinfeather.words import gettext as _

PRODUCTS: Final = (
    "Whole chicken",
    "Whole turkey",
    "Whole duck",
    "Half chicken",
    "Chicken breasts",
    "Chicken legs",
    "Chicken wings",
    "Livers, hearts and gizzards",
    "Necks and feet",
)
_FINE_LB: Final = Decimal("0.00001")
"""A tare is read this fine [lb], so that rounding it up loses nothing."""
_WHOLE: Final = {"chicken": PRODUCTS[0], "turkey": PRODUCTS[1], "duck": PRODUCTS[2]}
LABEL_SIZES: Final[tuple[LabelSize, ...]] = ("4x3", "4x6", "letter")


@dataclass(frozen=True, slots=True)
class Weighed:
    """A package as just weighed."""

    id: str
    number: int
    net_lb: str
    total: str


@dataclass(frozen=True, slots=True)
class DeskStart:
    """What the weighing desk's form starts with."""

    lot: str
    tank: str
    product: str
    tare: str
    price_per_lb: str


def tank_code(day: days.DayView, tank: str) -> str:
    """Return a tank's short name for lot codes: T1, T2, by its place in the plan."""
    names = [t.name for t in day.request.equipment.tanks]
    return f"T{names.index(tank) + 1}" if tank in names else "T0"


def flock_code(lot: str) -> str:
    """Return a lot's short name as lot codes can carry it."""
    return re.sub(r"[^A-Z0-9]", "", lot.upper())[:5] or "X"


def lot_code(day: days.DayView, package: Package) -> str:
    """Return the lot code of a package."""
    return str(LotCode(day.date, flock_code(package.lot), tank_code(day, package.tank)))


def desk_start(day: days.DayView) -> DeskStart:
    """Return a form that already says what the last package said."""
    done = running.day_progress(day.id)
    last = done.packages[-1] if done.packages else None
    first_lot = day.request.lots[0]
    return DeskStart(
        lot=last.lot if last else first_lot.code,
        tank=last.tank if last else day.request.equipment.tanks[0].name,
        product=last.product if last else _WHOLE.get(first_lot.species, PRODUCTS[0]),
        tare=last.tare if last else "0.03 lb",
        price_per_lb=last.price_per_lb if last else farm().price_per_lb,
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
    birds: int,
    who: str,
) -> Weighed:
    """Write a package into the journal.

    Raises
    ------
    InputFaultsError
        With every fault.
    RecordConflictError
        If the day is closed.
    """
    faults: list[InputError] = []

    def pounds(name: str, text: str, division: Decimal = DIVISION_LB) -> Decimal:
        try:
            weight = quantity.parse(text, "mass", name=name)
            if name == "tare" and weight.si == 0:  # the bag was on the scale when it was zeroed
                return Decimal(0)
            return in_pounds(weight, division=division)
        except InputError as fault:
            faults.append(InputError(name, text, fault.problem))
            return Decimal(0)

    gross_lb, tare_lb = pounds("gross", gross), pounds("tare", tare, _FINE_LB)
    net_lb, total, price = Decimal(0), "", None
    if not faults:
        try:
            net_lb = net_weight(gross_lb, tare_lb)
        except InputError as fault:
            faults.append(InputError("gross", gross, fault.problem))
    if price_per_lb.strip():
        try:
            price = Decimal(price_per_lb.strip().lstrip("$"))
            worth = total_price(Decimal(1) if faults else net_lb, price)
            price = price.quantize(CENT)
            total = "" if faults else str(worth)
        except (InvalidOperation, InputError):
            faults.append(
                InputError("price_per_lb", price_per_lb, _("Write dollars, such as 5.25."))
            )
    if not product.strip():
        faults.append(InputError("product", product, _("Say what is in the bag.")))
    if faults:
        raise InputFaultsError(faults)
    with writing():
        done = running.day_progress(day_id)
        number = 1 + max((p.number for p in done.packages), default=0)
        client_id = running.write(
            "package",
            {
                "number": number,
                "lot": lot,
                "tank": tank,
                "product": product.strip(),
                "gross": gross.strip(),
                "tare": str(round_tare(tare_lb)) + " lb",
                "net_lb": str(net_lb),
                "price_per_lb": "" if price is None else str(price),
                "total": total,
                "birds": birds,
            },
            day_id=day_id,
            who=who,
        )
    return Weighed(client_id, number, str(net_lb), total)


def label_content(day: days.DayView, package: Package, *, home: FarmView) -> LabelContent:
    """Return a package's label in words."""
    return build_label(
        load(day.request.profile),
        day.request.tier,
        LabelPackage(
            product_name=package.product,
            net=Decimal(package.net_lb),
            packed_on=day.date,
            lot_code=lot_code(day, package),
            per_lb=Decimal(package.price_per_lb) if package.price_per_lb else None,
        ),
        farm=LabelFarm(name=home.name, person="", address=tuple(home.address.splitlines())),
    )


def label_findings(day: days.DayView, package: Package) -> tuple[Finding, ...]:
    """Judge a package's label before it is printed."""
    return check_label(
        label_content(day, package, home=farm()), load(day.request.profile), day.request.tier
    )


def labels(
    day_id: int,
    *,
    size: LabelSize,
    numbers: Sequence[int] = (),
    printed_at: dt.datetime | None = None,
) -> bytes:
    """Print the labels of a day's packages, of all or of some.

    Raises
    ------
    RecordNotFoundError
        If there is no such package.
    InputError
        If a text does not fit on the label.
    """
    day = days.day(day_id)
    home = farm()
    packages = [
        p for p in running.day_progress(day_id).packages if not numbers or p.number in set(numbers)
    ]
    if not packages:
        raise RecordNotFoundError(_("There is no such package."))
    items = [_item(day, package, home=home) for package in packages]
    return labels_pdf(items, size, printed_at=printed_at or clock.now())


def _item(day: days.DayView, package: Package, *, home: FarmView) -> LabelSheetItem:
    profile = load(day.request.profile)
    words = label_content(day, package, home=home)
    block = label_elements(profile, day.request.tier).safe_handling
    return LabelSheetItem(
        product=package.product,
        net_weight_lb=Decimal(package.net_lb),
        packed_on=day.date,
        lot=words.lot_code,
        producer=home.name,
        address=tuple(home.address.splitlines()),
        handling=words.handling,
        price_per_lb=Decimal(package.price_per_lb) if package.price_per_lb else None,
        total=Decimal(package.total) if package.total else None,
        safe_handling=SafeHandling(
            heading=block.heading.text,
            rationale=block.rationale.text,
            statements=tuple(
                SafeHandlingLine(icon, statement.text)
                for icon, statement in zip(ICONS, block.statements, strict=True)
            ),
        ),
        exempt_statement=words.exempt_statement,
        further=tuple(filter(None, (words.not_inspected_statement, *words.statements))),
        trace=trace_text(lot=words.lot_code, packed_on=day.date, farm=home.name, phone=home.phone),
    )
