"""What a plan of one processing day says, as plain values."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from pinfeather.day.cold import TankPlan
from pinfeather.day.hot import ScaldPlan
from pinfeather.day.supplies import Supply
from pinfeather.day.todo import TankTimes, Todo
from pinfeather.estimate import Basis, Estimate
from pinfeather.finding import Finding
from pinfeather.line.replicate import Bottleneck, Gain
from pinfeather.line.simulate import Cross
from pinfeather.words import ngettext


@dataclass(frozen=True, slots=True)
class Thread:
    """One bird through the day; ``None`` where something never happens.

    Parameters
    ----------
    lot, tank : str
        Its lot, and the tank it goes into.
    mass_kg : float
        Dressed mass [kg].
    arrive_s, start_s, finish_s, depart_s : tuple of float or None
        At each station, from the start of the day [s].
    """

    lot: str
    tank: str
    mass_kg: float
    arrive_s: tuple[float | None, ...]
    start_s: tuple[float | None, ...]
    finish_s: tuple[float | None, ...]
    depart_s: tuple[float | None, ...]


@dataclass(frozen=True, slots=True)
class SizeClassPlan:
    """When the birds of one lot and weight class are cold.

    Parameters
    ----------
    lot, label : str
        Lot and class in words.
    birds : int
        How many.
    lightest_kg, heaviest_kg : float
        Range of dressed mass [kg].
    stay_s, stay_low_s, stay_high_s : float or None
        Time in the tank for the heaviest, with band [s].
    cold_s, cold_high_s : float or None
        When the last of them is expected cold [s].
    due_s : float
        When the time allowed for the first of them is over [s].
    limit_words, citation, status : str
        The limit as published, and its source.
    """

    lot: str
    label: str
    birds: int
    lightest_kg: float
    heaviest_kg: float
    stay_s: float | None
    stay_low_s: float | None
    stay_high_s: float | None
    cold_s: float | None
    cold_high_s: float | None
    due_s: float
    limit_words: str
    citation: str
    status: str


@dataclass(frozen=True, slots=True)
class StationPlan:
    """One station's day.

    Parameters
    ----------
    code : str
        Which.
    busy_frac : float
        Share of the line's time its places are in use [1].
    work_s : float
        Time the middle bird is worked on [s].
    wait_mean_s, wait_longest_s : float
        Waiting before it, the mean and the longest bird [s].
    first_s, last_s : float
        First bird begun, last one done [s].
    """

    code: str
    busy_frac: float
    work_s: float
    wait_mean_s: float
    wait_longest_s: float
    first_s: float
    last_s: float


@dataclass(frozen=True, slots=True)
class Stretch:
    """A time one person spends on one side of the shop.

    Parameters
    ----------
    stations : tuple of str
        What they do there, in the order of the line.
    from_s, until_s : float
        From and to [s].
    """

    stations: tuple[str, ...]
    from_s: float
    until_s: float


@dataclass(frozen=True, slots=True)
class PersonPlan:
    """One person's day.

    Parameters
    ----------
    name : str
        Who.
    busy_s, line_busy_s : float
        At work or washing in all; at work while the line runs [s].
    washes : int
        Changes from the dirty to the clean side.
    stretches : tuple of Stretch
        In order, short gaps joined.
    """

    name: str
    busy_s: float
    line_busy_s: float
    washes: int
    stretches: tuple[Stretch, ...]


@dataclass(frozen=True, slots=True)
class Number:
    """A planning number with where it comes from.

    Parameters
    ----------
    name : str
        What it is.
    value : str
        With its unit.
    band : str
        The band it is thought to lie in; may be empty.
    basis : Basis
        Where it comes from.
    """

    name: str
    value: str
    band: str
    basis: Basis


@dataclass(frozen=True, slots=True)
class OwnTime:
    """A time of the farm's own that the plan was made with.

    Parameters
    ----------
    station, phase : str
        Of what.
    time_s : Estimate
        With the days and birds it was learned from [s].
    """

    station: str
    phase: str
    time_s: Estimate


@dataclass(frozen=True, slots=True)
class Practised:
    """Somebody who is still learning, and how much quicker this plan takes them.

    Parameters
    ----------
    name : str
        Who.
    speed : Estimate
        Pace on this day over the pace on their days so far [1].
    """

    name: str
    speed: Estimate


@dataclass(frozen=True, slots=True)
class SanitiserPlan:
    """What to mix and when.

    Parameters
    ----------
    stock_m3 : float
        Bleach for one mix [m3].
    measures : tuple of str
        The same as a kitchen measures it.
    mixed_ppm : Estimate
        Strength expected on the strip [ppm].
    renew_s : tuple of float
        When it is renewed [s].
    every_s : float
        The interval [s].
    citation, status : str
        Where the interval comes from.
    """

    stock_m3: float
    measures: tuple[str, ...]
    mixed_ppm: Estimate
    renew_s: tuple[float, ...]
    every_s: float
    citation: str
    status: str


@dataclass(frozen=True, slots=True)
class DayPlan:
    """Everything the plan says.

    Parameters
    ----------
    birds : int
        How many.
    stations : tuple of str
        Codes, in order.
    threads : tuple of Thread
        Bird by bird.
    end_s, line_end_s : float
        Last package put away; last bird through the line, by the plan's own times [s].
    finish_s : Estimate
        Last package put away, middle and 10 to 90 % [s]. Where ``unfinished`` is not zero it is
        the end of the birds that get through, not of the day's work.
    half_width_s : float
        How well the mean of that is known from so many simulated days [s].
    replications : int
        Simulated days.
    unfinished : int
        Birds left over when everybody has gone.
    bottleneck : Bottleneck
        What holds the line to its pace.
    station_plans : tuple of StationPlan
        Use, work and waiting, station by station.
    longest_s : mapping
        For each counted station, the longest a bird may reasonably take to the next [s].
    gains : tuple of Gain
        What one more of each would save, best first.
    wip_limit : int or None
        Most birds between cone and table at once.
    cones_needed : int
        Cones that keep up with the line.
    scald : ScaldPlan
        Water, burner, propane.
    classes : tuple of SizeClassPlan
        When each lot and weight class is cold.
    tanks : tuple of TankPlan
        Birds and ice by tank.
    tank_times : tuple of TankTimes
        When each is filled, cold and due.
    ice_kg : float
        All ice [kg].
    birds_kg, store_room_kg : float
        Dressed mass of the day, and what refrigerator and freezer take of it [kg].
    sanitiser : SanitiserPlan
        Amounts and times.
    cap_words : str
        The year's cap as published.
    headroom_after, counted_before : int
        Left under the cap after this day, and counted before it.
    supplies, todo, people, numbers, findings : tuple
        Lists.
    cross : str
        When people change sides of their own accord.
    own_times : tuple of OwnTime
        Times of the farm's own in place of the handbook's.
    practised : tuple of Practised
        People who are still learning, and how much quicker they are taken to be.
    """

    birds: int
    stations: tuple[str, ...]
    threads: tuple[Thread, ...]
    end_s: float
    line_end_s: float
    finish_s: Estimate
    half_width_s: float
    replications: int
    unfinished: int
    bottleneck: Bottleneck
    station_plans: tuple[StationPlan, ...]
    longest_s: Mapping[str, float]
    gains: tuple[Gain, ...]
    wip_limit: int | None
    cones_needed: int
    scald: ScaldPlan
    classes: tuple[SizeClassPlan, ...]
    tanks: tuple[TankPlan, ...]
    tank_times: tuple[TankTimes, ...]
    ice_kg: float
    birds_kg: float
    store_room_kg: float
    sanitiser: SanitiserPlan
    cap_words: str
    headroom_after: int | None
    counted_before: int
    supplies: tuple[Supply, ...]
    todo: tuple[Todo, ...]
    people: tuple[PersonPlan, ...]
    numbers: tuple[Number, ...]
    findings: tuple[Finding, ...]
    cross: Cross = "seldom"
    own_times: tuple[OwnTime, ...] = ()
    practised: tuple[Practised, ...] = ()


def left_over_words(plan: DayPlan) -> str:
    """Say how many birds are left over.

    Parameters
    ----------
    plan : DayPlan
        The plan.

    Returns
    -------
    str
        Empty where all get through.

    References
    ----------
    Derivation: count.
    """
    if not plan.unfinished:
        return ""
    return ngettext(
        "{n} of {birds} is left over when everybody has gone",
        "{n} of {birds} are left over when everybody has gone",
        plan.unfinished,
    ).format(n=plan.unfinished, birds=plan.birds)
