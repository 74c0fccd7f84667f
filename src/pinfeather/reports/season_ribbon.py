"""The season ribbon: lots as bands from egg to freezer, days, orders, and what fills each room.

Here the plan becomes what is drawn and told: steps of birds over dates, heights against limits,
one sentence, one table. :mod:`pinfeather.reports.season_ribbon_svg` draws it.
"""

from __future__ import annotations

import datetime as dt
import itertools
import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final, Literal

from pinfeather.season.plan import BatchPlan, LotPlan, RoomSeries, SeasonPlan, StockPlan
from pinfeather.units import SECONDS_PER_HOUR, from_si
from pinfeather.words import date_text, ngettext
from pinfeather.words import gettext as _

StageCode = Literal["egg", "brooder", "pasture", "freezer"]
MassUnit = Literal["lb", "kg"]

_EGG_D: Final = {"chicken": 21, "turkey": 28, "duck": 28}
"""Days in the shell. Ernst, Bradley, Abbott and Craig, *Egg Candling and Breakout Analysis*, Univ.
of California (2004), table 1 (unverified); only drawn, never computed with."""
_WEEK: Final = dt.timedelta(days=7)
_DAY: Final = dt.timedelta(days=1)
OVER: Final = 1.0005
"""Used beyond its limit by more than rounding [1]."""
_FEW: Final = 0.5


@dataclass(frozen=True, slots=True)
class Steps:
    """A number of birds that changes on dates.

    Parameters
    ----------
    dates : tuple of datetime.date
        Rising; the number holds from each date to the next.
    birds : tuple of float
        As many as dates; the last one is where the band ends, usually nought [1].
    """

    dates: tuple[dt.date, ...]
    birds: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class RibbonLot:
    """One band.

    Parameters
    ----------
    code, name : str
        Of the lot and its kind.
    heads : int
        Chicks ordered, or birds there.
    standing : bool
        Already there.
    order_by, egg_on, arrive_on, out_on : datetime.date
        Order in, eggs set, here, out of the brooder.
    alive : Steps
        Birds on the farm, from arrival on.
    frozen : Steps
        Birds in the freezer.
    batches : tuple of BatchPlan
        When it is processed.
    """

    code: str
    name: str
    heads: int
    standing: bool
    order_by: dt.date
    egg_on: dt.date
    arrive_on: dt.date
    out_on: dt.date
    alive: Steps
    frozen: Steps
    batches: tuple[BatchPlan, ...]

    @property
    def begins_on(self) -> dt.date:
        """Where its band begins."""
        return min(self.order_by, self.egg_on) if not self.standing else self.arrive_on

    @property
    def ends_on(self) -> dt.date:
        """Where its band ends."""
        return max((*self.alive.dates, *self.frozen.dates))


@dataclass(frozen=True, slots=True)
class RibbonMark:
    """A processing day or a pickup.

    Parameters
    ----------
    on : datetime.date
        When.
    words : str
        What, in full.
    short : str
        What stands beside the mark where there is room.
    fine : bool
        Whether all is well with it.
    """

    on: dt.date
    words: str
    short: str
    fine: bool = True


@dataclass(frozen=True, slots=True)
class RibbonRoom:
    """What fills one room, week by week, in the unit people read.

    Parameters
    ----------
    name, unit : str
        Which, and in what it is told.
    weeks : tuple of datetime.date
        First day of each week.
    used, limit : tuple of float
        Most in use, and what there is; infinite where nothing limits it [unit].
    """

    name: str
    unit: str
    weeks: tuple[dt.date, ...]
    used: tuple[float, ...]
    limit: tuple[float, ...]

    @property
    def over(self) -> tuple[int, ...]:
        """Weeks, by their place, in which more is used than there is."""
        pairs = enumerate(zip(self.used, self.limit, strict=True))
        return tuple(i for i, (used, limit) in pairs if used > limit * OVER)

    @property
    def fullest(self) -> int | None:
        """The week, by its place, with the least left under the limit, as a share of it."""
        shares = [
            used / limit
            if limit > 0 and math.isfinite(limit)
            else (math.inf if used > limit else 0)
            for used, limit in zip(self.used, self.limit, strict=True)
        ]
        return max(range(len(shares)), key=shares.__getitem__) if any(shares) else None

    @property
    def limited(self) -> bool:
        """Whether anything limits it at all."""
        return any(math.isfinite(limit) for limit in self.limit)

    def told(self) -> str:
        """Return how full it gets, in words."""
        if not self.weeks or not any(self.used):
            return _("not used")
        if not self.limited:
            most = max(self.used)
            return _("at most {most}; no limit is written").format(most=self.amount(most))
        at = self.fullest
        if at is None:
            return _("not used")
        week = date_text(self.weeks[at], year=False)
        if self.over:
            return _("{used} of {limit} in the week of {week}: over the limit").format(
                used=self.number(self.used[at]), limit=self.amount(self.limit[at]), week=week
            )
        left = self.limit[at] - self.used[at]
        if self.unit == "%":
            return _("fullest in the week of {week}: {used}").format(
                used=self.amount(self.used[at]), week=week
            )
        return _("fullest in the week of {week}: {used} of {limit}, {left} left").format(
            used=self.number(self.used[at]),
            limit=self.amount(self.limit[at]),
            left=self.number(left),
            week=week,
        )

    def number(self, value: float) -> str:
        """Return a number of this room, alone."""
        digits = 1 if self.unit == "h" and round(value, 1) % 1 else 0
        return f"{value:,.{digits}f}"

    def amount(self, value: float) -> str:
        """Return a number of this room with its unit."""
        number = self.number(value)
        if self.unit == "birds":
            return ngettext("{n} bird", "{n} birds", round(value)).format(n=number)
        return f"{number}\u202f{self.unit}" if self.unit else number


@dataclass(frozen=True, slots=True)
class Ribbon:
    """A season as it is drawn.

    Parameters
    ----------
    first, last : datetime.date
        A Monday and a Sunday.
    today : datetime.date or None
        Where the line for today stands; None draws none.
    lots : tuple of RibbonLot
        In the order of their bands.
    days, orders : tuple of RibbonMark
        Processing days and pickups.
    rooms : tuple of RibbonRoom
        Heights below.
    """

    first: dt.date
    last: dt.date
    today: dt.date | None
    lots: tuple[RibbonLot, ...]
    days: tuple[RibbonMark, ...]
    orders: tuple[RibbonMark, ...]
    rooms: tuple[RibbonRoom, ...]

    @property
    def weeks(self) -> int:
        """How many weeks it spans."""
        return ((self.last - self.first).days + 1) // 7


def ribbon_of(
    plan: SeasonPlan, *, today: dt.date | None, mass_unit: MassUnit = "lb"
) -> Ribbon | None:
    """Return a plan as a ribbon.

    Parameters
    ----------
    plan : SeasonPlan
        The plan.
    today : datetime.date or None
        For the line; None draws none.
    mass_unit : {"lb", "kg"}
        What people read.

    Returns
    -------
    Ribbon or None
        None where the plan has no lots to draw.

    References
    ----------
    Derivation: a bird is on the farm until its batch, then in the freezer until its pickup or
    sale, first in, first out; a fresh bird leaves with its batch.
    """
    if not plan.lots:
        return None
    lots = tuple(_lot(lot, plan) for lot in plan.lots)
    new = [lot.begins_on for lot in lots if not lot.standing]
    events = [day.on for day in plan.days] + [order.on for order in plan.orders]
    shown = [today - _WEEK] if today else []
    begin = min([*new, *shown, *events[:1]], default=lots[0].begins_on)
    end = max([lot.ends_on for lot in lots] + events)
    first = begin - dt.timedelta(days=begin.weekday())
    last = end + dt.timedelta(days=6 - end.weekday())
    return Ribbon(
        first,
        last,
        today,
        tuple(sorted(lots, key=lambda lot: (lot.begins_on, lot.code))),
        tuple(_day(plan)),
        tuple(_orders(plan)),
        tuple(_room(one, mass_unit) for one in plan.headroom),
    )


def window(ribbon: Ribbon, first: dt.date, last: dt.date) -> Ribbon:
    """Return a part of a ribbon; what lies wholly outside is left out.

    Parameters
    ----------
    ribbon : Ribbon
        The whole.
    first, last : datetime.date
        First and last day of the part.

    Returns
    -------
    Ribbon
        The part; rooms keep all their weeks, so that every part has the same scale.

    References
    ----------
    Derivation: by dates.
    """
    return Ribbon(
        first,
        last,
        ribbon.today,
        tuple(lot for lot in ribbon.lots if lot.begins_on <= last and lot.ends_on >= first),
        tuple(one for one in ribbon.days if first <= one.on <= last),
        tuple(one for one in ribbon.orders if first <= one.on <= last),
        ribbon.rooms,
    )


def parts_of(ribbon: Ribbon, weeks: int) -> tuple[Ribbon, ...]:
    """Return a ribbon in parts of so many weeks, for a narrow screen.

    Parameters
    ----------
    ribbon : Ribbon
        The whole.
    weeks : int
        Weeks in each part but the last, which has as many; at least one.

    Returns
    -------
    tuple of Ribbon
        In order of time.

    References
    ----------
    Derivation: by dates.
    """
    span = weeks * _WEEK
    starts = [ribbon.first + n * span for n in range(-(-ribbon.weeks // weeks))]
    return tuple(window(ribbon, start, start + span - _DAY) for start in starts)


def ribbon_sentence(ribbon: Ribbon) -> str:
    """Say what the ribbon shows, for whoever does not see it.

    Parameters
    ----------
    ribbon : Ribbon
        The season.

    Returns
    -------
    str
        Lots, days, and each room that is over its limit.

    References
    ----------
    W3C, Web Content Accessibility Guidelines 2.2, criterion 1.1.1.
    """
    lots = ngettext("{n} lot", "{n} lots", len(ribbon.lots)).format(n=len(ribbon.lots))
    days = ngettext("{n} processing day", "{n} processing days", len(ribbon.days)).format(
        n=len(ribbon.days)
    )
    over = [room.name for room in ribbon.rooms if room.over]
    words = _("{lots} and {days} from {first} to {last}.").format(
        lots=lots, days=days, first=date_text(ribbon.first), last=date_text(ribbon.last)
    )
    if over:
        words += " " + _("Over the limit: {rooms}.").format(rooms=", ".join(over))
    return words


def lot_header() -> tuple[str, ...]:
    """Return the names of the columns of :func:`lot_table`.

    Returns
    -------
    tuple of str
        In order.

    References
    ----------
    Derivation: choice.
    """
    return (
        _("Lot"), _("Kind"), _("Birds"), _("Order by"), _("Hatch"), _("Out of the brooder"),
        _("Processed"), _("In the freezer until"),
    )  # fmt: skip


def lot_table(plan: SeasonPlan) -> list[tuple[str, ...]]:
    """Return the bands of the ribbon as rows of text.

    Parameters
    ----------
    plan : SeasonPlan
        The plan.

    Returns
    -------
    list of tuple of str
        A row for each lot, as :func:`lot_header` names them.

    References
    ----------
    Derivation: the same dates as the drawing.
    """
    rows: list[tuple[str, ...]] = []
    for lot in sorted(plan.lots, key=lambda one: (one.hatch_on, one.code)):
        band = _lot(lot, plan)
        frozen = bool(band.frozen.dates)
        rows.append(
            (
                lot.code,
                lot.name,
                str(lot.heads),
                _("there already") if lot.standing else date_text(lot.order_by, year=False),
                date_text(lot.hatch_on, year=False),
                date_text(lot.out_of_brooder_on, year=False),
                "; ".join(f"{date_text(b.on, year=False)}: {b.birds}" for b in lot.batches),
                date_text(band.frozen.dates[-1], year=False) if frozen else _("not frozen"),
            )
        )
    return rows


def room_table(ribbon: Ribbon) -> list[tuple[str, str, str]]:
    """Return what fills each room as rows of text.

    Parameters
    ----------
    ribbon : Ribbon
        The season.

    Returns
    -------
    list of tuple of str
        Name, how full it gets, and the word for how that stands.

    References
    ----------
    Derivation: the same numbers as the drawing.
    """
    return [
        (room.name, room.told(), _("over") if room.over else _("within")) for room in ribbon.rooms
    ]


# ------------------------------------------------------------------------------------------ pieces


def _lot(lot: LotPlan, plan: SeasonPlan) -> RibbonLot:
    egg = lot.hatch_on - dt.timedelta(days=_EGG_D.get(lot.species, 21))
    return RibbonLot(
        code=lot.code,
        name=lot.name,
        heads=lot.heads,
        standing=lot.standing and lot.arrive_on <= lot.last_on,
        order_by=lot.order_by,
        egg_on=egg,
        arrive_on=lot.arrive_on,
        out_on=lot.out_of_brooder_on,
        alive=_alive(lot),
        frozen=_frozen(lot, plan),
        batches=lot.batches,
    )


def _alive(lot: LotPlan) -> Steps:
    left = float(sum(batch.birds for batch in lot.batches)) or float(lot.heads)
    dates, birds = [lot.arrive_on], [left]
    for batch in sorted(lot.batches, key=lambda one: one.on):
        left -= batch.birds
        dates.append(batch.on)
        birds.append(max(left, 0.0))
    if not lot.batches:
        dates.append(lot.last_on)
        birds.append(0.0)
    return Steps(tuple(dates), tuple(birds))


def _frozen(lot: LotPlan, plan: SeasonPlan) -> Steps:
    """Add up what goes into the freezer and comes out of it again."""
    moves: list[tuple[dt.date, float]] = []
    for order in plan.orders:
        for part in order.parts:
            if part.lot == lot.code and not part.fresh and order.on > part.on:
                moves += [(part.on, part.birds), (order.on, -part.birds)]
    for line in plan.stock:
        moves += _sold(line, lot.code)
    if not moves:
        return Steps((), ())
    dates, birds, level = [], [], 0.0
    for on, group in itertools.groupby(sorted(moves), key=lambda move: move[0]):
        level += sum(change for _on, change in group)
        dates.append(on)
        birds.append(level if level > _FEW else 0.0)
    return Steps(tuple(dates), tuple(birds))


def _sold(line: StockPlan, code: str) -> Iterable[tuple[dt.date, float]]:
    """Yield when birds of a lot enter a line of the shop and when they are sold, first in first."""
    parts, sold = line.parts, line.sold
    have_kg = max(line.left_kg + line.sold_kg - line.put_in_kg, 0.0)
    ends = [*(on for on, _kg in sold[1:]), None]
    before_kg = have_kg
    for part in sorted(parts, key=lambda one: (one.on, one.lot)):
        if part.lot == code and part.mass_kg > 0:
            yield part.on, part.birds
            cumulative = taken = 0.0
            last = part.on
            for (on, kg), end in zip(sold, ends, strict=bool(sold)):
                cumulative += kg
                gone = min(max(cumulative - before_kg, 0.0), part.mass_kg)
                last = max(end or on + _WEEK, part.on + _DAY)
                if gone > taken:
                    yield last, -part.birds * (gone - taken) / part.mass_kg
                    taken = gone
            left = 1 - taken / part.mass_kg
            if left > 1e-6:  # noqa: PLR2004 - rounding
                yield last + _DAY, -part.birds * left
        before_kg += part.mass_kg


def _day(plan: SeasonPlan) -> Iterable[RibbonMark]:
    for day in plan.days:
        lots = ", ".join(f"{batch.lot} {batch.birds}" for batch in day.batches)
        words = _("{date}: process {birds} ({lots})").format(
            date=date_text(day.on, weekday=True),
            birds=ngettext("{n} bird", "{n} birds", day.birds).format(n=day.birds),
            lots=lots,
        )
        yield RibbonMark(day.on, words, str(day.birds), fine=day.work_s <= day.crew_s * OVER)


def _orders(plan: SeasonPlan) -> Iterable[RibbonMark]:
    for order in plan.orders:
        words = f"{date_text(order.on, weekday=True)}: {order.name}"
        words += "" if order.met else " – " + _("not met in full")
        yield RibbonMark(order.on, words, order.name, fine=order.met)


def _room(room: RoomSeries, mass_unit: MassUnit) -> RibbonRoom:
    area = "ft2" if mass_unit == "lb" else "m2"
    words = {"kg": mass_unit, "s": "h", "birds": "birds", "1": "%", "m2": area.replace("2", "²")}
    unit = words.get(room.unit, room.unit)

    def shown(value: float) -> float:
        if room.unit == "kg":
            return from_si(value, mass_unit, "mass")
        if room.unit == "m2":
            return from_si(value, area, "area")
        if room.unit == "s":
            return value / SECONDS_PER_HOUR
        return 100 * value if room.unit == "1" else value

    return RibbonRoom(
        room.name,
        unit,
        room.weeks,
        tuple(shown(value) for value in room.used),
        tuple(shown(value) if math.isfinite(value) else math.inf for value in room.limit),
    )
