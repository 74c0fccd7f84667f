"""What the weighing desk is set up with: labels, product numbers, bags, promises."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from typing import Final, cast

from pinfeather import quantity
from pinfeather.errors import InputError, InputFaultsError, RecordNotFoundError
from pinfeather.packs.bag_code import Carrier, CodeSettings
from pinfeather.packs.claims import Claim
from pinfeather.packs.codes import US_PATTERNS, store_code
from pinfeather.packs.lot_test import mean_tare
from pinfeather.packs.net_weight import in_pounds, round_tare
from pinfeather.packs.price import CENT, total_price
from pinfeather.records import models
from pinfeather.records.writing import writing
from pinfeather.reports.labels import LabelSize
from pinfeather.words import gettext as _

SIZES: Final[tuple[LabelSize, ...]] = ("4x3", "4x6", "4x8", "letter")
DOTS: Final = (203, 300)
CARRIERS: Final[tuple[Carrier, ...]] = ("none", "store", "gs1")
USUAL_TARE: Final = "0.03 lb"
_FINE_LB: Final = Decimal("0.000001")
"""A set of packaging is read this fine [lb]; rounding comes after the mean."""
_BASE_DIGITS: Final = 12
_PATTERN_DIGITS: Final = (12, 13)


@dataclass(frozen=True, slots=True)
class LabelSettings:
    """How the farm labels."""

    size: LabelSize = "4x3"
    dots_per_inch: int = DOTS[0]
    carrier: Carrier = "none"
    pattern: str = US_PATTERNS[0]
    prefix: str = ""

    @property
    def codes(self) -> CodeSettings:
        """What the packages' codes are made by."""
        return CodeSettings(self.carrier, self.pattern)


@dataclass(frozen=True, slots=True)
class ProductView:
    """A product's numbers and price."""

    id: int
    name: str
    item: int | None
    base: str
    price_per_lb: str


@dataclass(frozen=True, slots=True)
class BagView:
    """A kind of packaging."""

    id: int
    name: str
    weighed: tuple[str, ...]
    tare_lb: str


@dataclass(frozen=True, slots=True)
class ClaimView:
    """A promise and its paper."""

    id: int
    claim: Claim
    lot: str


def settings() -> LabelSettings:
    """Return how the farm labels."""
    row = models.LabelSetting.objects.first()
    if row is None:
        return LabelSettings()
    size = next((one for one in SIZES if one == row.size), SIZES[0])
    return LabelSettings(
        size, row.dots_per_inch, cast("Carrier", row.carrier), row.pattern, row.prefix
    )


def save_settings(
    *, size: str, dots_per_inch: str, carrier: str, pattern: str, prefix: str
) -> LabelSettings:
    """Save how the farm labels.

    Raises
    ------
    InputFaultsError
        With every fault.
    """
    faults = []
    if size not in SIZES:
        faults.append(InputError("size", size, _("Choose a size.")))
    if dots_per_inch not in {str(dots) for dots in DOTS}:
        faults.append(InputError("dots_per_inch", dots_per_inch, _("Choose the printer's dots.")))
    if carrier not in CARRIERS:
        faults.append(InputError("carrier", carrier, _("Choose a code.")))
    pattern, prefix = pattern.strip().upper(), prefix.strip()
    try:
        store_code(0, Decimal(0), pattern=pattern)
    except InputError as fault:
        faults.append(InputError("pattern", pattern, fault.problem))
    else:
        if len(pattern) not in _PATTERN_DIGITS:
            sentence = _("A shop's number has 12 or 13 digits in all.")
            faults.append(InputError("pattern", pattern, sentence))
    if prefix and not (prefix.isdecimal() and 6 <= len(prefix) <= _BASE_DIGITS - 1):  # noqa: PLR2004 - lengths GS1 licenses
        faults.append(
            InputError("prefix", prefix, _("A company prefix has 6 to 11 digits; empty for none."))
        )
    if carrier == "gs1" and not prefix:
        faults.append(
            InputError("prefix", prefix, _("This code needs your own licensed company prefix."))
        )
    if faults:
        raise InputFaultsError(faults)
    with writing():
        row = models.LabelSetting.objects.first() or models.LabelSetting()
        row.size, row.dots_per_inch = size, int(dots_per_inch)
        row.carrier, row.pattern, row.prefix = carrier, pattern, prefix
        row.save()
    return settings()


def product_numbers() -> tuple[ProductView, ...]:
    """Return the products that have numbers or a price of their own."""
    return tuple(
        ProductView(r.pk, r.name, r.item, r.base, r.price_per_lb)
        for r in models.ProductNumber.objects.all()
    )


def product_number(name: str) -> ProductView | None:
    """Return one product's numbers, or None."""
    row = models.ProductNumber.objects.filter(name=name).first()
    return (
        None if row is None else ProductView(row.pk, row.name, row.item, row.base, row.price_per_lb)
    )


def price_of(name: str) -> str:
    """Return a product's own price per pound; empty for none."""
    found = product_number(name)
    return found.price_per_lb if found else ""


def save_product(*, name: str, item: str, reference: str, price_per_lb: str) -> None:
    """Give a product numbers and a price.

    Parameters
    ----------
    name : str
        The product.
    item : str
        The shop's own number for it; may be empty.
    reference : str
        The farm's item reference, which fills the company prefix up to twelve digits; may be
        empty.
    price_per_lb : str
        Dollars; may be empty.

    Raises
    ------
    InputFaultsError
        With every fault.
    """
    faults = []
    name, item, reference = name.strip(), item.strip(), reference.strip()
    price_per_lb = price_per_lb.strip().lstrip("$")
    if not name:
        faults.append(InputError("name", name, _("Say which product.")))
    if item and not (item.isdecimal() and len(item) <= 6):  # noqa: PLR2004 - the longest layout's item number
        faults.append(InputError("item", item, _("The shop's number has at most 6 digits.")))
    base = ""
    if reference:
        prefix = settings().prefix
        base = prefix + reference
        if not prefix:
            faults.append(InputError("reference", reference, _("Write your company prefix first.")))
        elif not reference.isdecimal() or len(base) != _BASE_DIGITS:
            faults.append(
                InputError(
                    "reference",
                    reference,
                    _(
                        "Prefix and this number have 12 digits together; {n} are wanted here."
                    ).format(n=_BASE_DIGITS - len(prefix)),
                )
            )
    if price_per_lb:
        try:
            total_price(Decimal(1), Decimal(price_per_lb))
            price_per_lb = str(Decimal(price_per_lb).quantize(CENT))
        except (InvalidOperation, InputError):
            faults.append(
                InputError("price_per_lb", price_per_lb, _("Write dollars, such as 5.25."))
            )
    if faults:
        raise InputFaultsError(faults)
    with writing():
        models.ProductNumber.objects.update_or_create(
            name=name,
            defaults={
                "item": int(item) if item else None,
                "base": base,
                "price_per_lb": price_per_lb,
            },
        )


def bags() -> tuple[BagView, ...]:
    """Return the kinds of packaging in use."""
    return tuple(
        BagView(r.pk, r.name, tuple(r.weighed), r.tare_lb)
        for r in models.Bag.objects.filter(active=True)
    )


def usual_tare() -> str:
    """Return the tare the desk starts with."""
    known = bags()
    return f"{known[0].tare_lb} lb" if known else USUAL_TARE


def save_bag(name: str, weighed: str, *, division_lb: Decimal) -> BagView:
    """Weigh a kind of packaging: two empty sets, or five where the two differ.

    Raises
    ------
    InputFaultsError
        With every fault.
    """
    faults, tares = [], []
    name = name.strip()
    if not name:
        faults.append(InputError("name", name, _("Say what it is, such as Large bag and clip.")))
    rows = [row.strip() for row in weighed.replace(";", "\n").splitlines() if row.strip()]
    for row in rows:
        try:
            tares.append(in_pounds(quantity.parse(row, "mass", name="weighed"), division=_FINE_LB))
        except InputError as fault:
            faults.append(InputError("weighed", row, f"{row}: {fault.problem}"))
    tare = Decimal(0)
    if not faults:
        try:
            tare = round_tare(mean_tare(tares), division=division_lb)
        except InputError as fault:
            faults.append(InputError("weighed", weighed, fault.problem))
    if faults:
        raise InputFaultsError(faults)
    with writing():
        made, _new = models.Bag.objects.update_or_create(
            name=name, defaults={"weighed": rows, "tare_lb": str(tare), "active": True}
        )
    return BagView(made.pk, made.name, tuple(made.weighed), made.tare_lb)


def claims(lot: str = "") -> tuple[ClaimView, ...]:
    """Return the promises on file: all, or those that hold for a lot."""
    rows = models.LabelClaim.objects.filter(active=True)
    return tuple(
        ClaimView(r.pk, Claim(r.words, r.paper, r.on_file, r.until), r.lot)
        for r in rows
        if not lot or r.lot in ("", lot)
    )


def save_claim(
    *, words: str, paper: str, on_file: dt.date | None, until: dt.date | None, lot: str
) -> None:
    """Put a promise on file with its paper.

    Raises
    ------
    InputFaultsError
        With every fault.
    """
    faults = []
    if not words.strip():
        faults.append(InputError("words", words, _("Write the words as they stand on the label.")))
    if not paper.strip():
        faults.append(InputError("paper", paper, _("Say which paper shows that it is true.")))
    if on_file is None:
        faults.append(InputError("on_file", "", _("Write the date of the paper.")))
    elif until is not None and until < on_file:
        faults.append(InputError("until", until, _("It ends before it begins.")))
    if faults or on_file is None:
        raise InputFaultsError(faults)
    with writing():
        models.LabelClaim.objects.create(
            words=words.strip(), paper=paper.strip(), on_file=on_file, until=until, lot=lot.strip()
        )


def retire(kind: str, row_id: int) -> None:
    """Take a bag or a promise out of use; it stays on record.

    Raises
    ------
    RecordNotFoundError
        If there is none.
    """
    rows = models.Bag.objects.all() if kind == "bag" else models.LabelClaim.objects.all()
    with writing():
        found = rows.filter(pk=row_id).update(active=False)
    if not found:
        raise RecordNotFoundError(_("There is no such entry."))
