"""A cost as it was written down: what for, how much, and for which birds."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from typing import Final

from pinfeather.errors import InputError
from pinfeather.money.cents import MOST_CENTS, Exact, dollars, half_up
from pinfeather.words import gettext as _
from pinfeather.words import gettext_noop


class Kind(StrEnum):
    """What the money was for; the order is that of a bird's life."""

    CHICKS = "chicks"
    FEED = "feed"
    BEDDING = "bedding"
    HEAT = "brooder heat"
    MEDICINE = "medicine"
    LAND = "land"
    OWN_LAND = "own land"
    WATER = "water"
    ELECTRICITY = "electricity"
    FUEL = "fuel"
    PROPANE = "propane"
    ICE = "ice"
    PACKAGING = "packaging"
    SANITISER = "sanitiser"
    SUPPLIES = "supplies"
    CUSTOM = "custom work"
    LICENCE = "licences"
    INSURANCE = "insurance"
    REPAIR = "repairs"
    SELLING = "selling"
    INTEREST = "interest"
    PAID_LABOUR = "paid labour"
    OWN_LABOUR = "own labour"
    EQUIPMENT = "equipment"
    OTHER = "other"


KIND_WORDS: Final[Mapping[Kind, str]] = {
    Kind.CHICKS: gettext_noop("Chicks, poults, ducklings"),
    Kind.FEED: gettext_noop("Feed"),
    Kind.BEDDING: gettext_noop("Bedding"),
    Kind.HEAT: gettext_noop("Brooder heat"),
    Kind.MEDICINE: gettext_noop("Medicine and veterinarian"),
    Kind.LAND: gettext_noop("Rented land"),
    Kind.OWN_LAND: gettext_noop("Own land, charged"),
    Kind.WATER: gettext_noop("Water"),
    Kind.ELECTRICITY: gettext_noop("Electricity"),
    Kind.FUEL: gettext_noop("Fuel and driving"),
    Kind.PROPANE: gettext_noop("Propane for the scalder"),
    Kind.ICE: gettext_noop("Ice"),
    Kind.PACKAGING: gettext_noop("Bags and labels"),
    Kind.SANITISER: gettext_noop("Sanitiser"),
    Kind.SUPPLIES: gettext_noop("Processing supplies"),
    Kind.CUSTOM: gettext_noop("Custom processing"),
    Kind.LICENCE: gettext_noop("Licences and permits"),
    Kind.INSURANCE: gettext_noop("Insurance"),
    Kind.REPAIR: gettext_noop("Repairs"),
    Kind.SELLING: gettext_noop("Market and card fees"),
    Kind.INTEREST: gettext_noop("Interest paid"),
    Kind.PAID_LABOUR: gettext_noop("Paid labour"),
    Kind.OWN_LABOUR: gettext_noop("Own labour"),
    Kind.EQUIPMENT: gettext_noop("Equipment wear"),
    Kind.OTHER: gettext_noop("Other"),
}
NOT_CASH: Final = frozenset({Kind.OWN_LAND, Kind.OWN_LABOUR, Kind.EQUIPMENT})
"""Kinds that cost something although nothing is paid out when they are charged."""
STACKS: Final[tuple[tuple[str, tuple[Kind, ...]], ...]] = (
    (gettext_noop("Chicks"), (Kind.CHICKS,)),
    (gettext_noop("Feed"), (Kind.FEED,)),
    (
        gettext_noop("Raising"),
        (
            Kind.BEDDING, Kind.HEAT, Kind.MEDICINE, Kind.LAND, Kind.OWN_LAND, Kind.WATER,
            Kind.ELECTRICITY, Kind.FUEL,
        ),
    ),
    (
        gettext_noop("Processing"),
        (Kind.PROPANE, Kind.ICE, Kind.PACKAGING, Kind.SANITISER, Kind.SUPPLIES, Kind.CUSTOM),
    ),
    (gettext_noop("Equipment"), (Kind.EQUIPMENT, Kind.REPAIR)),
    (
        gettext_noop("Overhead"),
        (Kind.LICENCE, Kind.INSURANCE, Kind.SELLING, Kind.INTEREST, Kind.OTHER),
    ),
    (gettext_noop("Labour"), (Kind.PAID_LABOUR, Kind.OWN_LABOUR)),
)  # fmt: skip
"""The kinds in the seven layers of the picture, from the ground up."""
PHASES: Final = ("", "starter", "grower", "finisher")


class Scope(StrEnum):
    """Which birds a cost belongs to."""

    LOT = "lot"
    DAY = "day"
    SPECIES = "species"
    FARM = "farm"


class Driver(StrEnum):
    """By what a cost is shared out among the birds it belongs to."""

    BIRDS = "birds"
    POUNDS = "pounds"


@dataclass(frozen=True, slots=True)
class CostEntry:
    """One cost.

    Parameters
    ----------
    id : str
        What it is found by again.
    on : date
        The day it was paid or counts for.
    kind : Kind
        What for.
    cents : int
        How much; below zero for a refund [cents].
    scope : Scope
        Which birds it belongs to.
    of : str
        The lot's code, the day as ``2026-09-12`` or the species; empty for the whole farm.
    what : str
        In somebody's own words.
    phase : str
        Of feed: ``"starter"``, ``"grower"``, ``"finisher"`` or empty.
    hours : Decimal or None
        Of labour, how many hours it stands for [h].
    learning : bool
        Whether it is a loss of the learning time that will not come again.
    by : Driver
        By what it is shared out.
    basis : str
        Where it comes from, in words.

    Raises
    ------
    InputError
        If the sum is beyond belief, or what it belongs to is missing.
    """

    id: str
    on: dt.date
    kind: Kind
    cents: int
    scope: Scope = Scope.FARM
    of: str = ""
    what: str = ""
    phase: str = ""
    hours: Exact | None = None
    learning: bool = False
    by: Driver = Driver.BIRDS
    basis: str = ""

    def __post_init__(self) -> None:
        if abs(self.cents) > MOST_CENTS:
            raise InputError(
                "cents", self.cents, _("{sum} cannot be right.").format(sum=dollars(self.cents))
            )
        if (self.scope is Scope.FARM) == bool(self.of):
            raise InputError("of", self.of, _("Say which birds it is for, or that it is for all."))
        if self.phase not in PHASES:
            raise InputError("phase", self.phase, _("Feed is starter, grower or finisher."))

    @property
    def is_cash(self) -> bool:
        """Whether somebody was paid."""
        return self.kind not in NOT_CASH


def labour_cents(hours: Exact, wage_cents_per_h: int) -> int:
    """Return what hours cost at a stated wage.

    Parameters
    ----------
    hours : int, Decimal or Fraction
        Hours worked [h].
    wage_cents_per_h : int
        The wage; for own hours what they would earn elsewhere or what a hand would cost [cents/h].

    Returns
    -------
    int
        Rounded half up [cents].

    Raises
    ------
    InputError
        If either is below zero.

    References
    ----------
    Opportunity cost of own labour: common practice of extension budgets (unverified).
    """
    if hours < 0 or wage_cents_per_h < 0:
        raise InputError("hours", hours, _("Hours and wage are zero or more."))
    return half_up(Fraction(hours) * wage_cents_per_h)


@dataclass(frozen=True, slots=True)
class Batch:
    """Birds of one lot dressed on one day: the smallest group a cost is told for.

    Parameters
    ----------
    lot : str
        The lot's code.
    species : str
        Its kind.
    day : date
        The processing day.
    placed : int
        Chicks placed that were to become these birds.
    birds : int
        Birds dressed, that have to carry the cost.
    dressed_lb : Decimal
        Packed weight [lb].
    outside : bool
        Whether they are still alive: then they only hold their part of the lot's cost.

    Raises
    ------
    InputError
        If more birds were dressed than placed, or a number is below zero.
    """

    lot: str
    species: str
    day: dt.date
    placed: int
    birds: int
    dressed_lb: Exact
    outside: bool = False

    def __post_init__(self) -> None:
        if self.birds < 0 or self.dressed_lb < 0 or self.placed < self.birds:
            raise InputError(
                "birds",
                self.birds,
                _("Lot {lot} cannot have dressed more birds than were placed.").format(
                    lot=self.lot
                ),
            )
