"""A lot's cost written in one file, read with every fault at once, and worked out."""

from __future__ import annotations

import datetime as dt
import functools
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from importlib import resources
from typing import Final

import numpy as np

from pinfeather.errors import InputError
from pinfeather.mapping import MappingReader
from pinfeather.money.cents import cents_from, exact_cents, half_up
from pinfeather.money.costing import GroupCost, View, charge, cost
from pinfeather.money.entries import (
    KIND_WORDS,
    NOT_CASH,
    PHASES,
    Batch,
    CostEntry,
    Kind,
    Scope,
    labour_cents,
)
from pinfeather.money.equipment import LONGEST_LIFE_YEARS, annuity
from pinfeather.money.uncertain import Range, Spread, cost_range
from pinfeather.units import KG_PER_LB, SECONDS_PER_HOUR
from pinfeather.words import gettext as _

_DAY: Final = dt.date(2000, 1, 1)
_LOT: Final = "lot"
_MOST_KG: Final = 1e6
_MOST_S: Final = 1e8
_WRITTEN_KINDS: Final = (
    *(kind.value for kind in Kind if kind not in NOT_CASH),
    Kind.OWN_LAND.value,
)
_LB: Final = Decimal(str(KG_PER_LB))


@functools.cache
def example_text() -> str:
    """Return the packaged example file.

    Returns
    -------
    str
        As the guide shows it.

    References
    ----------
    All of it is made up.
    """
    return resources.files("pinfeather.money").joinpath("data/cost_example.toml").read_text("utf-8")


@dataclass(frozen=True, slots=True)
class CostFile:
    """A file, read.

    Parameters
    ----------
    name : str
        What the birds are called.
    entries : tuple of CostEntry
        Costs, hours and wear.
    spreads : tuple of Spread
        Each entry with the band it lies in [cents].
    batch : Batch
        The birds.
    loss : Spread
        Share of chicks never dressed [1].
    weight : Spread
        Dressed weight of a bird [lb].
    price_cents_per_lb : int or None
        What is asked for a pound [cents/lb].
    own_hours : Fraction
        Hours nobody is paid for [h].
    usual_loss_frac : Fraction
        Losses once one has learnt [1].
    """

    name: str
    entries: tuple[CostEntry, ...]
    spreads: tuple[Spread, ...]
    batch: Batch
    loss: Spread
    weight: Spread
    price_cents_per_lb: int | None
    own_hours: Fraction
    usual_loss_frac: Fraction


@dataclass(frozen=True, slots=True)
class CostAnswer:
    """What the birds of a file cost.

    Parameters
    ----------
    file : CostFile
        What was read.
    views : mapping of View to GroupCost
        Cash, full, and without learning.
    band : Range
        The cost of a pound with its band, and what matters most.
    """

    file: CostFile
    views: Mapping[View, GroupCost]
    band: Range


def cost_answer(file: CostFile, *, rng: np.random.Generator) -> CostAnswer:
    """Work a file out.

    Parameters
    ----------
    file : CostFile
        From :func:`read_cost_file`.
    rng : Generator
        Where luck comes from.

    Returns
    -------
    CostAnswer
        Exact to the cent, with a band from the stated spreads.

    References
    ----------
    Derivation: :func:`pinfeather.money.costing.cost` and
    :func:`pinfeather.money.uncertain.cost_range`.
    """
    charged = charge(file.entries, [file.batch])
    views = {
        view: cost(charged, view=view, usual_loss_frac=file.usual_loss_frac)[0] for view in View
    }
    band = cost_range(
        file.spreads, placed=file.batch.placed, loss=file.loss, dressed_lb=file.weight, rng=rng
    )
    return CostAnswer(file, views, band)


def read_cost_file(mapping: Mapping[str, object]) -> CostFile:
    """Read a file's contents.

    Parameters
    ----------
    mapping : mapping
        Names to text, numbers, lists and tables.

    Returns
    -------
    CostFile
        Everything in cents and pounds.

    Raises
    ------
    InputFaultsError
        With every fault, each under its path.

    References
    ----------
    Decision records 0002 and 0004.
    """
    read = MappingReader(mapping)
    name = read.text("name", default=_("These birds")) or ""
    price = _sum(read, "price") if read.has("price") else None
    wage = _sum(read, "wage") if read.has("wage") else None
    usual = _share(read, "usual_loss", default="5 %")
    batch, loss, weight = _birds(read.table("birds"))
    found: list[tuple[CostEntry, Spread]] = []
    for at, one in enumerate(read.tables("costs")):
        found.append(_cost(one, at))
    hours = Fraction(0)
    for at, one in enumerate(read.tables("hours")):
        entry, spread = _hours(one, at, wage)
        hours += Fraction(entry.hours or 0) if entry.kind is Kind.OWN_LABOUR else 0
        found.append((entry, spread))
    for at, one in enumerate(read.tables("equipment")):
        found.append(_equipment(one, at))
    if not found and not read.faults:
        read.fault("costs", None, _("Write at least one cost."))
    read.refuse_unknown()
    read.raise_faults()
    entries, spreads = zip(*found, strict=True)
    return CostFile(
        name, entries, spreads, batch, loss, weight, price, hours, usual or Fraction(1, 20)
    )


def _sum(read: MappingReader, name: str, *, needed: bool = True) -> int:
    value = read.raw(name)
    if value is None and not needed:
        return 0
    try:
        return cents_from(value if isinstance(value, str) else "", name=name)
    except InputError as fault:
        read.fault(name, value, fault.problem)
        return 0


def _share(read: MappingReader, name: str, *, default: str) -> Fraction:
    value = read.raw(name) if read.has(name) else default
    text = value.strip() if isinstance(value, str) else ""
    number = text.removesuffix("%").strip()
    if number != text and number.replace(".", "", 1).isdigit() and Fraction(number) < 100:  # noqa: PLR2004
        return Fraction(number) / 100
    read.fault(name, value, _("Write it in percent below 100, such as “5 %”."))
    return Fraction(0)


def _birds(read: MappingReader) -> tuple[Batch, Spread, Spread]:
    species = read.choice("species", ("chicken", "turkey", "duck", "goose"), default="chicken")
    placed = read.integer("placed", low=1, high=1_000_000) or 1
    dressed = read.integer("dressed", low=1, high=1_000_000) or 1
    packed = _pounds(read, "packed")
    if dressed > placed:
        read.fault("dressed", dressed, _("More birds dressed than placed?"))
        placed = dressed
    lost = 1 - dressed / placed
    low = float(_share(read, "loss_low", default=f"{100 * lost:.9f} %"))
    high = float(_share(read, "loss_high", default=f"{100 * lost:.9f} %"))
    each = float(packed) / dressed
    light = float(_pounds(read, "weight_low")) if read.has("weight_low") else each
    heavy = float(_pounds(read, "weight_high")) if read.has("weight_high") else each
    if not packed:
        light = heavy = each = 1.0
    elif not light <= each <= heavy or light <= 0:
        read.fault(
            "weight_low",
            light,
            _("The band has to hold the mean, {mean:.2f} lb.").format(mean=each),
        )
        light = heavy = each = max(each, 1.0)
    if not low <= lost + 1e-9 or not lost <= high + 1e-9:
        read.fault(
            "loss_low", low, _("The band has to hold these losses, {lost:.1%}.").format(lost=lost)
        )
        low = high = lost
    return (
        Batch(_LOT, species, _DAY, placed, dressed, packed),
        Spread(_("Losses"), lost, min(low, lost), max(high, lost)),
        Spread(_("Weight of a bird"), each, light, heavy),
    )


def _pounds(read: MappingReader, name: str) -> Decimal:
    kg = read.quantity(name, "mass", low=1e-3, high=_MOST_KG)
    return (Decimal(repr(kg)) / _LB).quantize(Decimal("0.000001"))


def _banded(read: MappingReader, label: str, cents: int) -> Spread:
    low = _sum(read, "low") if read.has("low") else cents
    high = _sum(read, "high") if read.has("high") else cents
    if not low <= cents <= high:
        read.fault("low", low, _("The band has to hold the sum itself."))
        low = high = cents
    return Spread(label, cents, low, high)


def _cost(read: MappingReader, at: int) -> tuple[CostEntry, Spread]:
    kind = Kind(read.choice("kind", _WRITTEN_KINDS, default="other"))
    phase = read.choice("phase", PHASES, default="")
    what = read.text("what", default="") or ""
    if read.has("price") or read.has("pounds"):
        price, value = Decimal(0), read.raw("price")
        try:
            price = exact_cents(value if isinstance(value, str) else "", name="price")
        except InputError as fault:
            read.fault("price", value, fault.problem)
        pounds = _pounds(read, "pounds")
        cents = half_up(price * pounds)
        basis = _("{pounds} lb").format(pounds=f"{pounds.normalize():f}")
    else:
        cents, basis = _sum(read, "amount"), ""
    label = _(KIND_WORDS[kind]) + (f", {_(phase)}" if phase else "") + (f": {what}" if what else "")
    entry = CostEntry(
        f"costs[{at}]", _DAY, kind, cents, Scope.LOT, _LOT, what=what, phase=phase,
        learning=read.raw("learning") is True, basis=basis,
    )  # fmt: skip
    return entry, _banded(read, label, cents)


def _hours(read: MappingReader, at: int, wage_cents: int | None) -> tuple[CostEntry, Spread]:
    what = read.text("what", default="") or ""
    paid = read.raw("paid") is True
    if read.has("wage"):
        wage_cents = _sum(read, "wage")
    if wage_cents is None:
        read.fault("wage", None, _("Say what an hour is worth: a wage here or at the top."))
    wage = wage_cents or 0

    def hours(name: str) -> Fraction:
        return Fraction(repr(read.quantity(name, "time", low=0, high=_MOST_S))) / round(
            SECONDS_PER_HOUR
        )

    worked = hours("hours")
    cents = labour_cents(worked, wage)
    low = labour_cents(hours("low"), wage) if read.has("low") else cents
    high = labour_cents(hours("high"), wage) if read.has("high") else cents
    if not low <= cents <= high:
        read.fault("low", None, _("The band has to hold the hours themselves."))
        low = high = cents
    kind = Kind.PAID_LABOUR if paid else Kind.OWN_LABOUR
    entry = CostEntry(
        f"hours[{at}]", _DAY, kind, cents, Scope.LOT, _LOT, what=what, hours=worked,
        learning=read.raw("learning") is True,
    )  # fmt: skip
    return entry, Spread(_(KIND_WORDS[kind]) + (f": {what}" if what else ""), cents, low, high)


def _equipment(read: MappingReader, at: int) -> tuple[CostEntry, Spread]:
    name = read.text("name", default=_("Equipment")) or ""
    price, salvage = _sum(read, "price"), _sum(read, "salvage", needed=False)
    life = read.integer("life", low=1, high=LONGEST_LIFE_YEARS) or 1
    use = _use(read)
    rate = _share(read, "interest", default="0 %")
    if salvage > price:
        read.fault("salvage", salvage, _("At the end it is worth no more than it cost."))
        salvage = price
    yearly = annuity(price, salvage_cents=salvage, rate_frac=rate, years=life)
    cents = half_up(yearly * use)
    entry = CostEntry(
        f"equipment[{at}]", _DAY, Kind.EQUIPMENT, cents, Scope.LOT, _LOT, what=name,
        basis=_("a year's share over {n} years").format(n=life),
    )  # fmt: skip
    return entry, _banded(read, f"{_(KIND_WORDS[Kind.EQUIPMENT])}: {name}", cents)


def _use(read: MappingReader) -> Fraction:
    return Fraction(1) if read.raw("use") in (None, "100 %") else _share(read, "use", default="0 %")
