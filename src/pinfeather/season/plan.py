"""The answer: a season's plan as plain values."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Literal

from pinfeather.estimate import Basis
from pinfeather.finding import Finding

RoomCode = Literal[
    "brooder", "pens", "feed", "crew", "birds", "chill", "refrigerator", "freezer", "cap"
]


@dataclass(frozen=True, slots=True)
class BatchPlan:
    """Birds of one lot processed on one day.

    Parameters
    ----------
    lot : str
        Code of the lot.
    on : datetime.date
        The day.
    birds : int
        How many are expected, whole; the days of a lot add up to what lives.
    expected : float
        The same before rounding [1].
    age_d : int
        Age then [d].
    dressed_kg : float
        Dressed mass of all [kg].
    mean_kg : float
        Dressed mass of a bird [kg].
    """

    lot: str
    on: dt.date
    birds: int
    expected: float
    age_d: int
    dressed_kg: float
    mean_kg: float


@dataclass(frozen=True, slots=True)
class LotPlan:
    """One lot from the order to its last day.

    Parameters
    ----------
    code : str
        Of a standing lot its own, of a new one the kind's and a number.
    kind, name, species : str
        Code and name of its kind, and its species.
    standing : bool
        Already there or ordered beyond recall.
    heads : int
        Chicks to order; of a standing lot birds alive today.
    order_by, hatch_on, arrive_on, out_of_brooder_on, last_on : datetime.date
        When.
    brooders : tuple of str
        Where it is brooded; empty once it is out.
    processed : float
        Birds expected to be processed [1].
    chick_cents, feed_cents, lot_cents, bird_cents : int
        What it costs: chicks, feed from today on, starting it, bags and the like.
    batches : tuple of BatchPlan
        In order.
    """

    code: str
    kind: str
    name: str
    species: str
    standing: bool
    heads: int
    order_by: dt.date
    hatch_on: dt.date
    arrive_on: dt.date
    out_of_brooder_on: dt.date
    last_on: dt.date
    brooders: tuple[str, ...]
    processed: float
    chick_cents: int
    feed_cents: int
    lot_cents: int
    bird_cents: int
    batches: tuple[BatchPlan, ...]


@dataclass(frozen=True, slots=True)
class DayOfSeason:
    """One processing day of the plan.

    Parameters
    ----------
    on : datetime.date
        When.
    batches : tuple of BatchPlan
        What is processed.
    birds : int
        How many in all.
    dressed_kg : float
        Dressed mass [kg].
    work_s, crew_s : float
        Work of all hands, setting up with it, and what there is [s].
    cost_cents : int
        Fixed cost and hired hours.
    """

    on: dt.date
    batches: tuple[BatchPlan, ...]
    birds: int
    dressed_kg: float
    work_s: float
    crew_s: float
    cost_cents: int


@dataclass(frozen=True, slots=True)
class Given:
    """Birds of one batch that go to one order or one line of the shop.

    Parameters
    ----------
    lot : str
        Code of the lot.
    on : datetime.date
        Day of processing.
    low_kg, high_kg : float
        Dressed weight of these birds from and below [kg].
    birds : float
        Expected number [1].
    mass_kg : float
        Dressed mass [kg].
    fresh : bool
        Held in the refrigerator; otherwise frozen.
    """

    lot: str
    on: dt.date
    low_kg: float
    high_kg: float
    birds: float
    mass_kg: float
    fresh: bool


@dataclass(frozen=True, slots=True)
class OrderPlan:
    """What one order gets.

    Parameters
    ----------
    key, name : str
        Which.
    on : datetime.date
        Pickup.
    firm : bool
        Promised.
    wanted_birds, wanted_kg : float or None
        One of the two [1], [kg].
    given_birds, given_kg : float
        What the plan gives [1], [kg].
    met : bool
        Whether that is all that is wanted.
    income_cents : int
        What it brings.
    parts : tuple of Given
        From which batches.
    """

    key: str
    name: str
    on: dt.date
    firm: bool
    wanted_birds: int | None
    wanted_kg: float | None
    given_birds: float
    given_kg: float
    met: bool
    income_cents: int
    parts: tuple[Given, ...]


@dataclass(frozen=True, slots=True)
class StockPlan:
    """One line of the shop's freezer.

    Parameters
    ----------
    name : str
        Of the line.
    put_in_kg, sold_kg, left_kg : float
        From the batches; sold; still there at the end [kg].
    income_cents : int
        What it brings.
    sold : tuple of (datetime.date, float)
        Sold from that day to the next processing day [kg].
    parts : tuple of Given
        From which batches.
    """

    name: str
    put_in_kg: float
    sold_kg: float
    left_kg: float
    income_cents: int
    sold: tuple[tuple[dt.date, float], ...]
    parts: tuple[Given, ...]


@dataclass(frozen=True, slots=True)
class Sums:
    """The season's money, all in cents.

    Parameters
    ----------
    orders_cents, stock_cents, rest_cents : int
        Income: orders, shop, birds outside both.
    missed_cents : int
        What missing orders costs.
    chicks_cents, feed_cents, lots_cents, days_cents, hours_cents, birds_cents, bedding_cents : int
        Costs from today on.
    profit_cents : int
        Income less all costs.
    """

    orders_cents: int
    stock_cents: int
    rest_cents: int
    missed_cents: int
    chicks_cents: int
    feed_cents: int
    lots_cents: int
    days_cents: int
    hours_cents: int
    birds_cents: int
    bedding_cents: int
    profit_cents: int


@dataclass(frozen=True, slots=True)
class CashMonth:
    """Money of one calendar month.

    Parameters
    ----------
    month : datetime.date
        Its first day.
    in_cents, out_cents : int
        Received and paid.
    balance_cents : int
        In hand at its end.
    lowest_cents : int
        Least in hand on any day of it.
    """

    month: dt.date
    in_cents: int
    out_cents: int
    balance_cents: int
    lowest_cents: int


@dataclass(frozen=True, slots=True)
class Purchase:
    """Something to buy in a month.

    Parameters
    ----------
    month : datetime.date
        Its first day.
    what : str
        ``"chicks"``, ``"feed"`` or ``"bedding"``.
    name : str
        In words.
    birds : int or None
        How many chicks.
    mass_kg : float or None
        How much feed or bedding [kg].
    cents : int
        What it costs.
    """

    month: dt.date
    what: Literal["chicks", "feed", "bedding"]
    name: str
    birds: int | None
    mass_kg: float | None
    cents: int


@dataclass(frozen=True, slots=True)
class CalendarRow:
    """A date of the season.

    Parameters
    ----------
    key : str
        Names the row for good.
    on : datetime.date
        When.
    what : str
        ``"order"``, ``"hatch"``, ``"arrive"``, ``"out"``, ``"process"`` or ``"pickup"``.
    title, detail : str
        In words; the detail may be empty.
    lot : str
        Code of the lot it is about; may be empty.
    """

    key: str
    on: dt.date
    what: Literal["order", "hatch", "arrive", "out", "process", "pickup"]
    title: str
    detail: str = ""
    lot: str = ""


@dataclass(frozen=True, slots=True)
class RoomSeries:
    """What is used of one room, week by week.

    Parameters
    ----------
    code : str
        Which.
    name : str
        For people.
    unit : str
        ``"kg"``, ``"s"``, ``"m2"``, ``"birds"`` or ``"1"`` (share of the room).
    weeks : tuple of datetime.date
        First day of each week.
    used : tuple of float
        Most in use in that week [unit].
    limit : tuple of float
        What there is then; infinite where nothing limits it [unit].
    """

    code: RoomCode
    name: str
    unit: str
    weeks: tuple[dt.date, ...]
    used: tuple[float, ...]
    limit: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Binding:
    """A limit that holds the plan back, and what more of it would bring.

    Parameters
    ----------
    code : str
        Which limit.
    sentence : str
        What it is and where it is full.
    step : str
        The step tried, in words (``"50 more chicks of brooder room"``).
    gain_cents : int
        What the plan found with it brings more.
    most_cents : int
        What it can bring at most: neither plan is proven best to the last cent.
    method : str
        ``"solved again"``.
    """

    code: str
    sentence: str
    step: str
    gain_cents: int
    most_cents: int
    method: str


@dataclass(frozen=True, slots=True)
class OrderChance:
    """How often an order is met over the simulated seasons.

    Parameters
    ----------
    key : str
        Which.
    met_frac : float
        Seasons in which all of it is there [1].
    share_frac : float
        Share of it that is there on average [1].
    """

    key: str
    met_frac: float
    share_frac: float


@dataclass(frozen=True, slots=True)
class Luck:
    """The plan over many random seasons.

    Parameters
    ----------
    seasons : int
        How many.
    profit_low_cents, profit_middle_cents, profit_high_cents, profit_mean_cents : int
        One season in ten below the low, one in ten above the high.
    orders_met_frac : float
        Orders met, on average [1].
    firm_met_frac : float
        Seasons in which every promised order is met [1].
    loss_frac : float
        Seasons that end below nothing [1].
    over_cap_frac : float
        Seasons that would pass the yearly cap [1].
    over_hours_frac : float
        Processing days that take more hands than there are [1].
    chances : tuple of OrderChance
        Order by order.
    """

    seasons: int
    profit_low_cents: int
    profit_middle_cents: int
    profit_high_cents: int
    profit_mean_cents: int
    orders_met_frac: float
    firm_met_frac: float
    loss_frac: float
    over_cap_frac: float
    over_hours_frac: float
    chances: tuple[OrderChance, ...]


@dataclass(frozen=True, slots=True)
class Relaxation:
    """A change that would make a plan possible.

    Parameters
    ----------
    code : str
        Which limit.
    where : str
        A day, a brooder, an order; may be empty.
    amount : float
        How much more (or less) of it [unit].
    unit : str
        Of the amount.
    sentence : str
        In words.
    """

    code: str
    where: str
    amount: float
    unit: str
    sentence: str


@dataclass(frozen=True, slots=True)
class Change:
    """One thing that differs from the plan before.

    Parameters
    ----------
    what : str
        ``"order"``, ``"lot"``, ``"day"`` or ``"batch"``.
    where : str
        Which.
    promise : bool
        Whether somebody was told otherwise: a customer, the hatchery, the crew.
    sentence : str
        In words.
    """

    what: Literal["order", "lot", "day", "batch"]
    where: str
    promise: bool
    sentence: str


@dataclass(frozen=True, slots=True)
class Compared:
    """The plan beside the rule of thumb, over the same random seasons.

    Parameters
    ----------
    thumb_profit_cents, plan_profit_cents : int
        Mean profit.
    thumb_met_frac, plan_met_frac : float
        Orders met on average [1].
    """

    thumb_profit_cents: int
    plan_profit_cents: int
    thumb_met_frac: float
    plan_met_frac: float


@dataclass(frozen=True, slots=True)
class PlanningNumber:
    """A number the plan rests on.

    Parameters
    ----------
    name : str
        What it is.
    value : str
        With its unit.
    basis : Basis
        Where it comes from.
    """

    name: str
    value: str
    basis: Basis


@dataclass(frozen=True, slots=True)
class Decisions:
    """What was decided, enough to hold a later plan to it.

    Parameters
    ----------
    lots : mapping-like tuple of (str, datetime.date, int)
        Kind, hatch and chicks of each new lot.
    days : tuple of datetime.date
        Processing days announced.
    batches : tuple of (str, datetime.date, datetime.date, float)
        Kind, hatch, day, and birds expected.
    orders : tuple of (str, float, float)
        Key of each order, with birds and kilograms given [1], [kg].
    parts : tuple of (str, datetime.date, float, float)
        Key, day of processing, birds and kilograms of each part of an order [1], [kg].
    """

    lots: tuple[tuple[str, dt.date, int], ...]
    days: tuple[dt.date, ...]
    batches: tuple[tuple[str, dt.date, dt.date, float], ...]
    orders: tuple[tuple[str, float, float], ...]
    parts: tuple[tuple[str, dt.date, float, float], ...] = ()


@dataclass(frozen=True, slots=True)
class SeasonPlan:
    """Everything the plan says.

    Parameters
    ----------
    found : bool
        Whether there is a plan; if not, only ``relaxations`` and ``findings`` hold something.
    gap_frac : float
        How far at most the plan is from the best one, as a share of it [1].
    bound_cents : int
        No plan brings more than this.
    proven : bool
        Whether the gap is closed to a hundredth of a percent.
    lots, days, orders, stock : tuple
        What, when, for whom.
    spare_birds, spare_kg : float
        Birds outside every order and line [1], [kg].
    sums : Sums or None
        The money.
    cash, purchases, calendar, headroom : tuple
        Month by month, day by day, week by week.
    binding : tuple of Binding
        What holds it back; worth most first.
    luck : Luck or None
        Over random seasons.
    compared : Compared or None
        Beside the rule of thumb.
    relaxations : tuple of Relaxation
        Where nothing is possible, the least that would make it so.
    changes : tuple of Change
        Against the plan before, promises first.
    numbers : tuple of PlanningNumber
        What it rests on.
    findings : tuple of Finding
        Worst first.
    """

    found: bool
    gap_frac: float
    bound_cents: int
    proven: bool
    lots: tuple[LotPlan, ...] = ()
    days: tuple[DayOfSeason, ...] = ()
    orders: tuple[OrderPlan, ...] = ()
    stock: tuple[StockPlan, ...] = ()
    spare_birds: float = 0.0
    spare_kg: float = 0.0
    sums: Sums | None = None
    cash: tuple[CashMonth, ...] = ()
    purchases: tuple[Purchase, ...] = ()
    calendar: tuple[CalendarRow, ...] = ()
    headroom: tuple[RoomSeries, ...] = ()
    binding: tuple[Binding, ...] = ()
    luck: Luck | None = None
    compared: Compared | None = None
    relaxations: tuple[Relaxation, ...] = ()
    changes: tuple[Change, ...] = ()
    numbers: tuple[PlanningNumber, ...] = ()
    findings: tuple[Finding, ...] = ()


def decisions_of(plan: SeasonPlan) -> Decisions:
    """Return what a plan decides.

    Parameters
    ----------
    plan : SeasonPlan
        Earlier plan.

    Returns
    -------
    Decisions
        For :func:`pinfeather.season.replan.replan_season`.

    References
    ----------
    Decision record 0016.
    """
    return Decisions(
        tuple((lot.kind, lot.hatch_on, lot.heads) for lot in plan.lots if not lot.standing),
        tuple(day.on for day in plan.days),
        tuple(
            (lot.kind, lot.hatch_on, batch.on, batch.expected)
            for lot in plan.lots
            for batch in lot.batches
        ),
        tuple((order.key, order.given_birds, order.given_kg) for order in plan.orders),
        tuple(
            (order.key, part.on, part.birds, part.mass_kg)
            for order in plan.orders
            for part in order.parts
        ),
    )
