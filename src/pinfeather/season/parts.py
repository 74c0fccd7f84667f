"""What the model is made of: its columns, and the small sums that rows and answers share."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from dataclasses import dataclass, field
from typing import Final

from pinfeather.flock.room import floor_m2
from pinfeather.season.asked import Brooder, Kind, Order, SeasonRequest, Stock
from pinfeather.season.matrix import Program
from pinfeather.season.yields import Source, Tables

CENTS: Final = 100.0
_DAY: Final = dt.timedelta(days=1)
_WEEK_D: Final = 7.0


@dataclass(frozen=True, slots=True)
class Extra:
    """Room added to try what it is worth.

    Parameters
    ----------
    crew_s : float
        Hours of hands that may go to any days [s].
    days : frozenset of datetime.date
        Days of the request of which at most one may be used.
    frozen : tuple of (datetime.date, float)
        Birds frozen before today for orders still to be picked up: until when, how much [kg].
    bending : bool
        Promises may be broken, and may rest on more birds than are sure; whoever sets it counts it.
    elastic : bool
        Limits will be given slack: nothing may be concluded from them.
    """

    crew_s: float = 0.0
    days: frozenset[dt.date] = frozenset()
    frozen: tuple[tuple[dt.date, float], ...] = ()
    bending: bool = False
    elastic: bool = False


@dataclass(slots=True)
class Columns:
    """Where things stand among the columns."""

    starts: dict[int, int] = field(default_factory=dict)
    steps: dict[int, int] = field(default_factory=dict)
    opens: dict[int, int] = field(default_factory=dict)
    used: dict[int, int] = field(default_factory=dict)
    units: dict[int, int] = field(default_factory=dict)
    places: dict[tuple[int, int], int] = field(default_factory=dict)
    to_order: dict[tuple[int, int, int], int] = field(default_factory=dict)
    to_stock: dict[tuple[int, int, int], int] = field(default_factory=dict)
    rest: dict[tuple[int, int], int] = field(default_factory=dict)
    unsure: list[int] = field(default_factory=list)
    held: dict[tuple[int, int], int] = field(default_factory=dict)
    sold: dict[tuple[int, int], int] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class BrooderClass:
    """Brooders that are alike.

    Parameters
    ----------
    brooder : Brooder
        One of them.
    names : tuple of str
        All of them.
    """

    brooder: Brooder
    names: tuple[str, ...]


@dataclass(slots=True)
class Model:
    """A program with the tables it was made from."""

    request: SeasonRequest
    tables: Tables
    program: Program
    columns: Columns
    classes: tuple[BrooderClass, ...]
    by_source: dict[int, list[int]]
    extra: Extra = field(default_factory=Extra)


def fresh(order: Order, on: dt.date, fresh_d: int) -> bool | None:
    """Tell how a bird processed on a day is held for an order.

    Parameters
    ----------
    order : Order
        Who wants it.
    on : datetime.date
        Day of processing.
    fresh_d : int
        Days a fresh bird may be held [d].

    Returns
    -------
    bool or None
        True in the refrigerator, False in the freezer, None where it will not do.

    References
    ----------
    Derivation: after pickup is too late; a fresh bird is held so long at most; a frozen one needs
    a day to freeze.
    """
    waits = (order.on - on).days
    if waits < 0:
        return None
    if order.keep == "frozen":
        return False if waits >= 1 else None
    if waits <= fresh_d:
        return True
    return None if order.keep == "fresh" else False


def chicks_held(brooder: Brooder, kind: Kind) -> float:
    """Return how many chicks of a kind a brooder holds until they leave it.

    Parameters
    ----------
    brooder : Brooder
        Which.
    kind : Kind
        Of bird.

    Returns
    -------
    float
        Chicks [1].

    References
    ----------
    Derivation: floor over the floor each needs on its last day there.
    """
    if brooder.floor_m2 is None:
        return float(brooder.chicks or 0)
    each = floor_m2(1, max(kind.brooder_d - 1, 0), kind.species)
    room = brooder.floor_m2 / each
    return min(room, float(brooder.chicks)) if brooder.chicks else room


def bedding_dollars(request: SeasonRequest, brooder: Brooder) -> float:
    """Return the price of bedding for one lot in a brooder.

    Parameters
    ----------
    request : SeasonRequest
        With the price.
    brooder : Brooder
        Whose floor.

    Returns
    -------
    float
        Price; zero where the floor is not known [$].

    References
    ----------
    Derivation: floor times bedding times price.
    """
    mass = (brooder.floor_m2 or 0.0) * request.bedding_kg_per_m2
    return mass * float(request.bedding_cents_per_kg) / CENTS


def work_s(request: SeasonRequest, kind: Kind) -> float:
    """Return the work of all hands on a bird.

    Parameters
    ----------
    request : SeasonRequest
        With the farm's times.
    kind : Kind
        Of bird.

    Returns
    -------
    float
        Work [s].

    References
    ----------
    Derivation: by species.
    """
    return float(request.bird_s.get(kind.species, 0.0))


def lot_terms(model: Model, s: int) -> tuple[list[tuple[int, float]], float]:
    """Return chicks of a lot as terms and a constant.

    Parameters
    ----------
    model : Model
        Under way.
    s : int
        Index of the lot.

    Returns
    -------
    terms : list of (int, float)
        Columns and factors.
    constant : float
        Heads of a standing lot [1].

    References
    ----------
    Derivation: steps of the hatchery times the step.
    """
    source = model.tables.sources[s]
    if source.standing is not None:
        return [], float(source.standing.heads)
    return [(model.columns.steps[s], float(source.kind.step))], 0.0


def most_chicks(model: Model, source: Source) -> int:
    """Return the most chicks a lot could ever have.

    Parameters
    ----------
    model : Model
        Under way.
    source : Source
        A lot that can be started.

    Returns
    -------
    int
        In steps of the hatchery.

    References
    ----------
    Derivation: the most ordered, and all brooders together.
    """
    kind, most = source.kind, float(source.kind.most)
    if model.request.brooders and not model.extra.elastic:
        most = min(most, sum(chicks_held(b, kind) for b in model.request.brooders))
    return int(most + 1e-9) // kind.step * kind.step


def spans_of(tables: Tables, until_on: dt.date) -> list[tuple[dt.date, dt.date]]:
    """Return the stretches between processing days in which the shop sells.

    Parameters
    ----------
    tables : Tables
        With the days.
    until_on : datetime.date
        Last day of the season.

    Returns
    -------
    list of (datetime.date, datetime.date)
        From each day to the one before the next.

    References
    ----------
    Derivation: calendar.
    """
    starts = [day.on for day in tables.days]
    ends = [*(on - _DAY for on in starts[1:]), max(until_on, *starts[-1:])] if starts else []
    return list(zip(starts, ends, strict=True))


def span_kg(line: Stock, first: dt.date, last: dt.date) -> float:
    """Return the most a line sells in a stretch.

    Parameters
    ----------
    line : Stock
        Which.
    first, last : datetime.date
        The stretch, both days within.

    Returns
    -------
    float
        Mass [kg].

    References
    ----------
    Derivation: days in common, a seventh of a week each.
    """
    days = (min(last, line.until_on) - max(first, line.from_on)).days + 1
    return max(days, 0) * line.most_kg_per_week / _WEEK_D


def deliveries(request: SeasonRequest) -> list[tuple[dt.date, dt.date]]:
    """Return the stretches between feed deliveries.

    Parameters
    ----------
    request : SeasonRequest
        With the days between deliveries.

    Returns
    -------
    list of (datetime.date, datetime.date)
        First day and the day after the last.

    References
    ----------
    Derivation: calendar, from the start of the season or today.
    """
    step = dt.timedelta(days=request.feed.every_d)
    first, found = max(request.from_on, request.today), []
    while first <= request.until_on:
        found.append((first, first + step))
        first += step
    return found


def brooder_classes(request: SeasonRequest) -> tuple[BrooderClass, ...]:
    """Return the brooders, those alike together.

    Parameters
    ----------
    request : SeasonRequest
        With its brooders.

    Returns
    -------
    tuple of BrooderClass
        A brooder that a standing lot is in stands alone.

    References
    ----------
    Derivation: exchanging two alike brooders changes nothing.
    """
    named = {one.brooder for one in request.standing if one.brooder}
    alike: dict[tuple[object, ...], list[Brooder]] = defaultdict(list)
    for one in request.brooders:
        own = one.name if one.name in named else ""
        alike[one.floor_m2, one.chicks, one.turn_round_d, own].append(one)
    return tuple(BrooderClass(group[0], tuple(b.name for b in group)) for group in alike.values())
