"""What a family says about a season, as plain checked values."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Final, Literal

from pinfeather.flock.curves import Curve, Species
from pinfeather.flock.losses import Setting
from pinfeather.rules.limit import Limit

Aim = Literal["profit", "cost"]
Keep = Literal["fresh", "frozen", "either"]

SPECIES: Final[tuple[Species, ...]] = ("chicken", "turkey", "duck")


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of bird that can be hatched.

    Parameters
    ----------
    code : str
        One to five capital letters and digits.
    name : str
        For people.
    species : str
        ``"chicken"``, ``"turkey"`` or ``"duck"``.
    curve : Curve
        How it grows.
    dressing : tuple of str
        Kinds of dressing share; two for turkeys, toms and hens.
    growth_ratio, growth_sd_frac : float
        The farm's lots against the table, and how they differ, one standard deviation [1].
    share_male : float
        Males among the birds [1].
    setting : str
        Losses, ``"usual"`` or ``"pasture"``.
    arrival_loss_frac : float
        Dead on arrival or in the first day, as a share of those paid for [1].
    chick_cents : Decimal
        Price of a chick.
    hatch_on : tuple of datetime.date
        Possible hatch dates, rising.
    step, least, most : int
        Chicks are ordered by so many, at least and at most so many; ``most`` for one lot.
    ahead_d : int
        Days before the hatch on which the order must be in [d].
    travel_d : int
        Days from hatch to arrival [d].
    brooder_d : int
        Age at which they leave the brooder [d].
    from_d, until_d : int
        Youngest and oldest age at processing [d].
    pen_m2 : float
        Pen or pasture floor for each bird [m2].
    lot_cents : int
        Fixed cost of starting a lot.
    bird_cents : int
        Bags, ice and the like for each bird processed.
    """

    code: str
    name: str
    species: Species
    curve: Curve
    dressing: tuple[str, ...]
    growth_ratio: float
    growth_sd_frac: float
    share_male: float
    setting: Setting
    arrival_loss_frac: float
    chick_cents: Decimal
    hatch_on: tuple[dt.date, ...]
    step: int
    least: int
    most: int
    ahead_d: int
    travel_d: int
    brooder_d: int
    from_d: int
    until_d: int
    pen_m2: float
    lot_cents: int = 0
    bird_cents: int = 0


@dataclass(frozen=True, slots=True)
class Brooder:
    """A brooder; it holds one lot at a time.

    Parameters
    ----------
    name : str
        Its name.
    floor_m2 : float or None
        Floor; None where the number of chicks is given [m2].
    chicks : int or None
        Chicks of any kind at once; None where the floor is given.
    turn_round_d : int
        Days of cleaning and rest between two lots [d].
    """

    name: str
    floor_m2: float | None
    chicks: int | None
    turn_round_d: int


@dataclass(frozen=True, slots=True)
class Standing:
    """A lot that is already there, or ordered beyond recall.

    Parameters
    ----------
    code : str
        Its code.
    kind : str
        Code of its kind.
    hatched_on : datetime.date
        Day zero of its age; after today for chicks already ordered.
    heads : int
        Birds alive today, or chicks ordered.
    growth_ratio, growth_sd_frac : float
        Against the table, from its weighings, and how sure [1].
    brooder : str
        Name of the brooder it is in; may be empty.
    """

    code: str
    kind: str
    hatched_on: dt.date
    heads: int
    growth_ratio: float
    growth_sd_frac: float
    brooder: str = ""


@dataclass(frozen=True, slots=True)
class ProcessingDay:
    """A day on which birds can be processed.

    Parameters
    ----------
    on : datetime.date
        Which.
    crew_s : float
        Hours of all hands together [s].
    setup_s : float
        Of these, setting up and cleaning [s].
    most_birds : int or None
        Most birds whatever the crew; None sets no limit.
    cost_cents : int
        Fixed cost of the day.
    """

    on: dt.date
    crew_s: float
    setup_s: float
    most_birds: int | None
    cost_cents: int


@dataclass(frozen=True, slots=True)
class Order:
    """Birds or weight that somebody wants on a day.

    Parameters
    ----------
    key : str
        Names it for good: the name and the day.
    name : str
        Who or what for.
    kinds : tuple of str
        Codes of the kinds that will do.
    low_kg, high_kg : float
        Dressed weight of a bird from and below; infinite for no upper end [kg].
    birds : int or None
        How many; None where a weight is wanted.
    mass_kg : float or None
        Dressed weight wanted in all; None where birds are wanted [kg].
    on : datetime.date
        Pickup.
    keep : str
        ``"fresh"``, ``"frozen"`` or ``"either"``.
    cents_per_kg : Decimal
        Price by weight; zero where there is one for the bird.
    cents_per_bird : Decimal
        Price of a bird.
    firm : bool
        Promised: the plan must meet it.
    miss_cents : Decimal
        What each bird (or each kilogram, where a weight is wanted) not delivered costs besides its
        price.
    """

    key: str
    name: str
    kinds: tuple[str, ...]
    low_kg: float
    high_kg: float
    birds: int | None
    mass_kg: float | None
    on: dt.date
    keep: Keep
    cents_per_kg: Decimal
    cents_per_bird: Decimal
    firm: bool
    miss_cents: Decimal


@dataclass(frozen=True, slots=True)
class Stock:
    """A line of the shop's freezer.

    Parameters
    ----------
    name : str
        Of the line.
    kinds : tuple of str
        Codes of the kinds that will do.
    low_kg, high_kg : float
        Dressed weight of a bird from and below [kg].
    cents_per_kg : Decimal
        Price.
    most_kg_per_week : float
        Most that can be sold [kg a week].
    from_on, until_on : datetime.date
        First and last day it sells.
    have_kg : float
        In the freezer at the start [kg].
    """

    name: str
    kinds: tuple[str, ...]
    low_kg: float
    high_kg: float
    cents_per_kg: Decimal
    most_kg_per_week: float
    from_on: dt.date
    until_on: dt.date
    have_kg: float = 0.0


@dataclass(frozen=True, slots=True)
class FeedPrice:
    """What one feed costs.

    Parameters
    ----------
    species, phase : str
        Which; an empty phase stands for all.
    cents_per_kg : Decimal
        Price.
    """

    species: Species
    phase: str
    cents_per_kg: Decimal


@dataclass(frozen=True, slots=True)
class FeedRoom:
    """Feed store and deliveries.

    Parameters
    ----------
    store_kg : float
        What the store holds; infinite where it is no limit [kg].
    every_d : int
        Days between deliveries [d].
    extra_frac : float
        The farm's spilling, cold and foraging on top [1].
    """

    store_kg: float = math.inf
    every_d: int = 14
    extra_frac: float = 0.0


@dataclass(frozen=True, slots=True)
class Cold:
    """Room for dressed birds; infinite where it is no limit.

    Parameters
    ----------
    chill_kg : float
        What can be chilled on one day [kg].
    refrigerator_kg : float
        Fresh birds held for pickup [kg].
    freezer_kg : float
        Frozen birds [kg].
    fresh_d : int
        Days a fresh bird may be held before pickup [d].
    """

    chill_kg: float = math.inf
    refrigerator_kg: float = math.inf
    freezer_kg: float = math.inf
    fresh_d: int = 3


@dataclass(frozen=True, slots=True)
class Cap:
    """The yearly cap of the farm's tier.

    Parameters
    ----------
    limit : Limit or None
        As published; None where there is none.
    most : int or None
        Greatest count.
    weights : mapping of str to int
        What a head of each species counts.
    counted : int
        Counted already in the year of today.
    """

    limit: Limit | None
    most: int | None
    weights: Mapping[str, int]
    counted: int


@dataclass(frozen=True, slots=True)
class Chances:
    """What can go wrong; assumed where nothing is written.

    Parameters
    ----------
    missed_hatch_frac : float
        A hatch that does not come [1].
    cancelled_frac : float
        A processing day that cannot be held; its birds wait a week [1].
    event_frac : float
        A predator, storm or chill that takes 10 to 50 % of a lot [1].
    slow_frac : float
        A week of weather that holds growth back [1].
    slow_by_frac : float
        Growth lost in such a week [1].
    """

    missed_hatch_frac: float = 0.02
    cancelled_frac: float = 0.03
    event_frac: float = 0.05
    slow_frac: float = 0.10
    slow_by_frac: float = 0.20


@dataclass(frozen=True, slots=True)
class SeasonRequest:
    """A season as asked for.

    Parameters
    ----------
    name : str
        For people.
    today : datetime.date
        Nothing before it can be changed.
    from_on, until_on : datetime.date
        First and last day of the season.
    aim : str
        ``"profit"``, or ``"cost"``: the orders at least cost.
    chance_frac : float
        How sure each batch's share of the orders is to be there [1].
    profile, tier : str
        Rules the yearly cap comes from.
    cap : Cap
        The yearly cap.
    kinds, brooders, days, orders, stock, standing, feed_prices : tuple
        As their classes say.
    least_batch : int
        Fewest birds of a lot worth catching on a day.
    pens_m2 : float
        Pens or pasture in use at once; infinite where it is no limit [m2].
    feed : FeedRoom
        Store and deliveries.
    cold : Cold
        Room for dressed birds.
    bird_s : mapping of str to float
        Work of all hands on one bird, by species [s].
    crew_cents_per_h : Decimal
        Price of an hour of a hand; zero for the family.
    rest_cents_per_kg : Decimal
        What birds outside every order and line bring.
    bedding_kg_per_m2, bedding_cents_per_kg : float, Decimal
        Bedding for each lot's brooder floor; zero leaves it out.
    cash_cents : int
        In hand at the start.
    chances : Chances
        What can go wrong.
    """

    name: str
    today: dt.date
    from_on: dt.date
    until_on: dt.date
    aim: Aim
    chance_frac: float
    profile: str
    tier: str
    cap: Cap
    kinds: tuple[Kind, ...]
    brooders: tuple[Brooder, ...]
    days: tuple[ProcessingDay, ...]
    orders: tuple[Order, ...]
    stock: tuple[Stock, ...]
    standing: tuple[Standing, ...]
    feed_prices: tuple[FeedPrice, ...]
    least_batch: int = 1
    pens_m2: float = math.inf
    feed: FeedRoom = field(default_factory=FeedRoom)
    cold: Cold = field(default_factory=Cold)
    bird_s: Mapping[str, float] = field(default_factory=dict)
    crew_cents_per_h: Decimal = Decimal(0)
    rest_cents_per_kg: Decimal = Decimal(0)
    bedding_kg_per_m2: float = 0.0
    bedding_cents_per_kg: Decimal = Decimal(0)
    cash_cents: int = 0
    chances: Chances = field(default_factory=Chances)

    def kind(self, code: str) -> Kind:
        """Return the kind with a code."""
        return next(kind for kind in self.kinds if kind.code == code)
