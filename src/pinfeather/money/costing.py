"""What a bird and a pound cost: every entry shared out to the birds it belongs to, to the cent."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from typing import Final, Literal

from pinfeather.errors import InputError
from pinfeather.money.cents import Exact, half_up, per, share_out
from pinfeather.money.entries import Batch, CostEntry, Driver, Kind, Scope
from pinfeather.words import gettext as _

By = Literal["all", "year", "species", "lot", "day", "batch"]


class View(StrEnum):
    """Which costs are counted."""

    CASH = "cash"
    """What was paid: no own labour, no wear of equipment, no charge for own land."""
    FULL = "full"
    """Everything."""
    WITHOUT_LEARNING = "without learning"
    """Everything but what the first time cost: entries marked so, and losses above the usual."""


VIEWS: Final = tuple(View)


@dataclass(frozen=True, slots=True)
class Charge:
    """The part of an entry that one batch carries.

    Parameters
    ----------
    entry : int
        Which entry, by its place.
    batch : int
        Which batch, by its place.
    cents : int
        How much [cents].
    """

    entry: int
    batch: int
    cents: int


@dataclass(frozen=True, slots=True)
class Charged:
    """All entries shared out.

    Parameters
    ----------
    entries : tuple of CostEntry
        What was shared out.
    batches : tuple of Batch
        Among whom.
    charges : tuple of Charge
        Who carries what.
    waiting : tuple of int
        Entries, by place, whose birds are not dressed yet: they are money in the birds outside.
    """

    entries: tuple[CostEntry, ...]
    batches: tuple[Batch, ...]
    charges: tuple[Charge, ...]
    waiting: tuple[int, ...]

    @property
    def waiting_cents(self) -> int:
        """What birds not dressed yet have cost so far [cents]."""
        return sum(self.entries[at].cents for at in self.waiting)


def charge(entries: Sequence[CostEntry], batches: Sequence[Batch]) -> Charged:
    """Share out every entry among the batches it belongs to.

    Parameters
    ----------
    entries : sequence of CostEntry
        In any order.
    batches : sequence of Batch
        In any order.

    Returns
    -------
    Charged
        The charges of an entry add up to it exactly; what finds no birds waits.

    Notes
    -----
    An entry for a lot is carried by the birds of the lot that were dressed, so that the dead are
    paid for by the living. An entry for a day is carried by all birds of the day; one for a species
    or for the farm by the birds dressed in the calendar year of the entry. Within a group it goes
    by birds or by pounds, as the entry says, by largest remainder.

    References
    ----------
    Horngren, Datar and Rajan, *Cost Accounting* (14th ed., 2012), chapter 4: cost objects, tracing
    and allocation (unverified).
    """
    groups: dict[tuple[Scope, str, int], list[int]] = defaultdict(list)
    for at, one in enumerate(batches):
        if one.birds == 0:
            continue
        groups[Scope.LOT, one.lot, 0].append(at)
        groups[Scope.DAY, one.day.isoformat(), 0].append(at)
        groups[Scope.SPECIES, one.species, one.day.year].append(at)
        groups[Scope.FARM, "", one.day.year].append(at)
    found: list[Charge] = []
    waiting: list[int] = []
    for at, entry in enumerate(entries):
        year = entry.on.year if entry.scope in (Scope.SPECIES, Scope.FARM) else 0
        members = groups.get((entry.scope, entry.of, year), [])
        if not members:
            waiting.append(at)
            continue
        shares = share_out(entry.cents, _weights(entry, [batches[i] for i in members]))
        found.extend(
            Charge(at, member, cents) for member, cents in zip(members, shares, strict=True)
        )
    return Charged(tuple(entries), tuple(batches), tuple(found), tuple(waiting))


def _weights(entry: CostEntry, members: Sequence[Batch]) -> list[Exact]:
    if entry.by is Driver.POUNDS and any(one.dressed_lb > 0 for one in members):
        return [one.dressed_lb for one in members]
    return [one.birds for one in members]


@dataclass(frozen=True, slots=True)
class Line:
    """One kind of cost of a group of birds.

    Parameters
    ----------
    kind : Kind
        What for.
    cents : int
        How much [cents].
    entries : tuple of int
        The entries in it, by place.
    """

    kind: Kind
    cents: int
    entries: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class GroupCost:
    """What a group of birds cost.

    Parameters
    ----------
    name : str
        The lot, day, species or year; empty for all.
    placed : int
        Chicks placed.
    birds : int
        Birds that carry the cost; without learning losses more than were dressed.
    dressed_lb : Fraction
        Their packed weight [lb].
    lines : tuple of Line
        In the order of a bird's life; none is left out for being small.
    total_cents : int
        The sum of the lines, exactly [cents].
    """

    name: str
    placed: int
    birds: int
    dressed_lb: Fraction
    lines: tuple[Line, ...]
    total_cents: int

    @property
    def per_bird_cents(self) -> int | None:
        """Cost of a bird, rounded once [cents]."""
        return per(self.total_cents, self.birds)

    @property
    def per_lb_cents(self) -> int | None:
        """Cost of a pound, rounded once [cents]."""
        return per(self.total_cents, self.dressed_lb)


def cost(
    charged: Charged,
    *,
    by: By = "all",
    view: View = View.FULL,
    usual_loss_frac: Exact = Fraction(1, 20),
) -> tuple[GroupCost, ...]:
    """Add the charges up by lot, day, species, year, or all together.

    Parameters
    ----------
    charged : Charged
        From :func:`charge`.
    by : str
        ``"all"``, ``"year"``, ``"species"``, ``"lot"``, ``"day"`` or ``"batch"``.
    view : View
        Which costs count.
    usual_loss_frac : Decimal or Fraction
        Share of chicks that is lost once one has learnt; only for the view without learning [1].

    Returns
    -------
    tuple of GroupCost
        One a group, in order of name. Lines of all groups together are the entries counted.

    Raises
    ------
    InputError
        If the usual loss is not between 0 and 1.

    References
    ----------
    Derivation: sums of whole cents.
    """
    if not 0 <= usual_loss_frac < 1:
        raise InputError("usual_loss_frac", usual_loss_frac, _("A share lies between 0 and 100 %."))
    names = [_name(one, by) for one in charged.batches]
    lines: dict[str, dict[Kind, list[int]]] = {name: {} for name in names}
    traced: dict[str, dict[Kind, dict[int, None]]] = {name: {} for name in names}
    counted = [_counts(entry, view) for entry in charged.entries]
    for one in charged.charges:
        if not counted[one.entry]:
            continue
        kind, name = charged.entries[one.entry].kind, names[one.batch]
        lines[name].setdefault(kind, [0])[0] += one.cents
        traced[name].setdefault(kind, {})[one.entry] = None
    found = []
    for name in sorted(lines):
        members = [b for b, mine in zip(charged.batches, names, strict=True) if mine == name]
        told = tuple(
            Line(kind, lines[name][kind][0], tuple(traced[name][kind]))
            for kind in Kind
            if kind in lines[name]
        )
        placed, birds = sum(b.placed for b in members), sum(b.birds for b in members)
        weight_lb = sum((Fraction(b.dressed_lb) for b in members), Fraction(0))
        if view is View.WITHOUT_LEARNING and birds:
            would = max(birds, half_up(placed * (1 - Fraction(usual_loss_frac))))
            birds, weight_lb = would, weight_lb * would / birds
        found.append(
            GroupCost(name, placed, birds, weight_lb, told, sum(line.cents for line in told))
        )
    return tuple(found)


def _counts(entry: CostEntry, view: View) -> bool:
    if view is View.CASH:
        return entry.is_cash
    return not (view is View.WITHOUT_LEARNING and entry.learning)


def _name(one: Batch, by: By) -> str:
    match by:
        case "all":
            return ""
        case "year":
            return str(one.day.year)
        case "species":
            return one.species
        case "lot":
            return one.lot
        case "day":
            return one.day.isoformat()
    return f"{one.lot} {one.day.isoformat()}"


@dataclass(frozen=True, slots=True)
class Carried:
    """What the dead cost the living.

    Parameters
    ----------
    dead : int
        Birds placed and never dressed.
    chicks_cents, feed_cents : int
        Bought for them, and eaten by them [cents].
    per_living_cents : int
        How much dearer that makes each living bird [cents].
    """

    dead: int
    chicks_cents: int
    feed_cents: int
    per_living_cents: int


def carried_by_living(
    chicks_cents: int, feed_cents: int, *, placed: int, living: int, eaten_frac: Exact
) -> Carried:
    """Say how much of a lot's cost was for birds that died.

    Parameters
    ----------
    chicks_cents, feed_cents : int
        What all chicks and all feed of the lot cost [cents].
    placed, living : int
        Chicks placed, and birds dressed.
    eaten_frac : Decimal or Fraction
        How much of a living bird's feed a dead one had eaten, on average [1].

    Returns
    -------
    Carried
        A part of the lot's cost that is already in it, shown apart.

    Raises
    ------
    InputError
        If nobody lived, more lived than were placed, or the share is not between 0 and 1.

    References
    ----------
    Derivation: cost for each survivor = cost / (1 - loss).
    """
    if not 0 < living <= placed:
        raise InputError("living", living, _("At least one bird and no more than were placed."))
    if not 0 <= eaten_frac <= 1:
        raise InputError("eaten_frac", eaten_frac, _("A share lies between 0 and 100 %."))
    dead = placed - living
    ate = dead * Fraction(eaten_frac)
    chicks = half_up(Fraction(chicks_cents * dead, placed))
    feed = half_up(feed_cents * ate / (living + ate))
    return Carried(dead, chicks, feed, half_up(Fraction(chicks + feed, living)))


def months(entries: Iterable[CostEntry], year: int) -> Mapping[int, int]:
    """Add up what was paid in each month of a year.

    Parameters
    ----------
    entries : iterable of CostEntry
        Costs; those that nobody was paid for are left out.
    year : int
        Which calendar year.

    Returns
    -------
    mapping of int to int
        Month, 1 to 12, to cents.

    References
    ----------
    Derivation: sums.
    """
    paid = dict.fromkeys(range(1, 13), 0)
    for entry in entries:
        if entry.is_cash and entry.on.year == year:
            paid[entry.on.month] += entry.cents
    return paid
