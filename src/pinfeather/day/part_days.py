"""Several part-days instead of one: which free windows, how many birds in each, what it costs."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Final

from pinfeather.day import cold
from pinfeather.day.flow import line_of
from pinfeather.day.request import (
    BIRDS_MAX,
    MASS_MAX_KG,
    DayRequest,
    spread_masses_kg,
)
from pinfeather.day.todo import set_up_before_s
from pinfeather.day.what_if import set_up
from pinfeather.errors import InputError, InputFaultsError
from pinfeather.estimate import Estimate
from pinfeather.line.curves import allowance_frac
from pinfeather.line.ready import clean_up_time_s, set_up_time_s
from pinfeather.line.windows import Split, Window, Work, split_birds, ways_to_split
from pinfeather.mapping import MappingReader
from pinfeather.words import gettext as _

REST_FRAC: Final = allowance_frac("standing", "bending")
"""Rest added to the line's time: personal, basic fatigue, standing, bending. International Labour
Office, Introduction to Work Study; second hand [1]."""
MOST_WINDOWS: Final = 40
_TRIED: Final = (8, 28)
"""Birds of the two days that tell the fixed time and the time for each further bird."""
_STAY_S: Final = 4 * 3600.0
"""How long ice has to last in the tanks on a part-day [s]. Assumed."""


@dataclass(frozen=True, slots=True)
class FreeWindow:
    """Free hours on one date.

    Parameters
    ----------
    date : date
        The day.
    begins, ends : time
        From the first hand to the last, set-up and clean-up included.
    freed_birds : int
        Birds that leave refrigerator and freezer just before, by pickup or sale.
    """

    date: dt.date
    begins: dt.time
    ends: dt.time
    freed_birds: int = 0

    @property
    def time_s(self) -> float:
        """How long it is [s]."""
        return _seconds(self.ends) - _seconds(self.begins)


@dataclass(frozen=True, slots=True)
class PartDaysRequest:
    """What is to be shared out among free windows.

    Parameters
    ----------
    birds : int
        How many.
    code : str
        Their lot.
    species, build : str
        Their kind.
    mean_kg, spread_kg : float
        Dressed mass and its standard deviation [kg].
    by : date
        All must be done on this day at the latest.
    windows : tuple of FreeWindow
        In order of time.
    light_from, light_to : time
        Nobody works before and after.
    store_birds : int or None
        Birds refrigerator and freezer take in all; None where they are no limit.
    fewest : int
        Below this many it is not worth setting up.
    longest_s : float
        Longest day anybody should have, set-up and clean-up included [s].
    """

    birds: int
    code: str
    species: str
    build: str
    mean_kg: float
    spread_kg: float
    by: dt.date
    windows: tuple[FreeWindow, ...]
    light_from: dt.time
    light_to: dt.time
    store_birds: int | None
    fewest: int
    longest_s: float


@dataclass(frozen=True, slots=True)
class WindowPlan:
    """One window: what fits, and what the chosen split puts in.

    Parameters
    ----------
    window : FreeWindow
        Clipped to the light.
    most_birds : int
        What time, ice, tanks and cold store allow in it alone.
    held_by : str
        ``"time"``, ``"ice"``, ``"tanks"``, ``"store"``: which of them binds.
    birds : int
        By the chosen split; 0 where it is not used.
    needed_s : float
        Time for these birds with the day played through, set-up and clean-up included; 0 where
        it is not used [s].
    fits : bool
        Whether that is within the window.
    """

    window: FreeWindow
    most_birds: int
    held_by: str
    birds: int
    needed_s: float
    fits: bool


@dataclass(frozen=True, slots=True)
class SplitCost:
    """One way to share the birds out, and what it costs.

    Parameters
    ----------
    split : Split
        Birds by window.
    set_up_s : float
        Time of setting up, heating and cleaning on all its days [s].
    rest_s : float
        Rest in the line's time [s].
    longest_s : float
        Its longest day [s].
    ice_kg : float
        Ice on all its days [kg].
    most_a_day : int
        Most birds that go into the cold store on one day.
    people_h : float
        Hours of all people together [h].
    """

    split: Split
    set_up_s: float
    rest_s: float
    longest_s: float
    ice_kg: float
    most_a_day: int
    people_h: float


@dataclass(frozen=True, slots=True)
class PartDays:
    """The answer.

    Parameters
    ----------
    work : Work
        Fixed time of a day and time for each further bird.
    windows : tuple of WindowPlan
        All windows, used or not.
    chosen : Split or None
        The fewest days; None where the birds do not fit.
    ways : tuple of SplitCost
        One for each number of days that is possible, few long ones first.
    most_birds : int
        What all windows take together, where the birds do not fit.
    set_up_s, clean_up_s : float
        Before the first bird and after the last package of each day [s].
    """

    work: Work
    windows: tuple[WindowPlan, ...]
    chosen: Split | None
    ways: tuple[SplitCost, ...]
    most_birds: int
    set_up_s: float
    clean_up_s: float


def _seconds(time: dt.time) -> float:
    return time.hour * 3600.0 + time.minute * 60.0


def part_days_from(mapping: Mapping[str, object]) -> PartDaysRequest:
    """Check what somebody wrote about part-days.

    Parameters
    ----------
    mapping : mapping
        Text by name; ``windows`` is a line for each: ``2026-09-12 09:00-13:00``, with
        ``pickup 12`` after it where birds leave the cold store just before.

    Returns
    -------
    PartDaysRequest
        In SI units, windows in order of time.

    Raises
    ------
    InputFaultsError
        With every fault found.

    References
    ----------
    Decision record 0004: one mapping for file, form and store.
    """
    read = MappingReader(mapping)
    birds = read.integer("birds", low=1, high=10 * BIRDS_MAX) or 1
    by = read.date("by")
    light_from, light_to = read.time("light_from"), read.time("light_to")
    if light_from and light_to and light_to <= light_from:
        read.fault("light_to", mapping.get("light_to"), _("The light must end after it begins."))
    mean_kg = read.quantity("mean", "mass", low=0.1, high=MASS_MAX_KG)
    spread_kg = read.quantity("spread", "mass", low=0, high=MASS_MAX_KG / 3, default="0 lb")
    store = None
    if read.has("store_birds"):
        store = read.integer("store_birds", low=0, high=10**6)
    windows = _windows(read, str(mapping.get("windows") or ""))
    request = PartDaysRequest(
        birds=birds,
        code=read.text("code", longest=5) or "",
        species=read.choice("species", ("chicken", "turkey", "duck", "goose"), default="chicken"),
        build=read.choice("build", ("lean", "broad"), default="broad"),
        mean_kg=mean_kg,
        spread_kg=spread_kg,
        by=by or dt.date.max,
        windows=tuple(w for w in windows if by is None or w.date <= by),
        light_from=light_from or dt.time(0, 0),
        light_to=light_to or dt.time(23, 59),
        store_birds=store,
        fewest=read.integer("fewest", low=1, high=BIRDS_MAX, default=1) or 1,
        longest_s=read.quantity("longest", "time", low=3600, high=24 * 3600.0, default="24 h"),
    )
    if windows and not request.windows:
        read.fault("by", mapping.get("by"), _("All windows are after this day."))
    read.raise_faults()
    return request


def _windows(read: MappingReader, text: str) -> list[FreeWindow]:
    found = []
    lines = [line.strip() for line in text.splitlines() if line.strip()]
    for line in lines[:MOST_WINDOWS]:
        try:
            found.append(_window(line))
        except ValueError:
            read.fault(
                "windows",
                line,
                _("“{line}” is not a window like 2026-09-12 09:00-13:00.").format(line=line[:60]),
            )
    if not lines:
        read.fault("windows", text, _("Give at least one window."))
    if len(lines) > MOST_WINDOWS:
        read.fault("windows", text[:60], _("At most {n} windows at once.").format(n=MOST_WINDOWS))
    found.sort(key=lambda w: (w.date, w.begins))
    for before, after in pairwise(found):
        if before.date == after.date and after.begins < before.ends:
            read.fault(
                "windows",
                None,
                _("Two windows on {date} overlap; join them.").format(date=before.date),
            )
            break
    return found


def _window(line: str) -> FreeWindow:
    words = line.replace("–", "-").split()
    date = dt.date.fromisoformat(words[0])
    begin, _dash, end = words[1].partition("-")
    begins, ends = (
        dt.time.fromisoformat(side.rjust(5, "0")).replace(tzinfo=None) for side in (begin, end)
    )
    if ends <= begins:
        raise ValueError
    freed = 0
    if len(words) > 2:  # noqa: PLR2004 - date, hours, pickup
        if words[2] != "pickup" or len(words) != 4:  # noqa: PLR2004
            raise ValueError
        freed = int(words[3])
        if freed < 0:
            raise ValueError
    return FreeWindow(date, begins, ends, freed)


def window_line(window: FreeWindow) -> str:
    """Write a window as the form reads it.

    Parameters
    ----------
    window : FreeWindow
        The window.

    Returns
    -------
    str
        One line.

    References
    ----------
    Derivation: ISO 8601 date, hours, pickup.
    """
    line = f"{window.date.isoformat()} {window.begins:%H:%M}-{window.ends:%H:%M}"
    return f"{line} pickup {window.freed_birds}" if window.freed_birds else line


def _with_birds(base: DayRequest, asked: PartDaysRequest, birds: int) -> DayRequest:
    """Return the shop's day with so many of these birds and nobody's hours in the way.

    Rest is added to the whole line's time; people's own allowances would count it twice.
    """
    lot = replace(
        base.lots[0],
        code=asked.code,
        species=asked.species,  # type: ignore[arg-type]
        build=asked.build,  # type: ignore[arg-type]
        masses_kg=spread_masses_kg(birds, asked.mean_kg, spread_kg=asked.spread_kg),
    )
    people = tuple(
        replace(one, begins=dt.time(0, 0), ends=dt.time(23, 59), breaks=(), allowance_frac=0.0)
        for one in base.people
    )
    return replace(base, lots=(lot,), people=people, start=dt.time(0, 0), deadline=None)


def _ice_kg(base: DayRequest, asked: PartDaysRequest, birds: int) -> float:
    request = _with_birds(base, asked, birds)
    masses = list(request.lots[0].masses_kg)
    tanks = cold.tank_plans(
        request,
        species=[asked.species] * birds,
        masses_kg=masses,
        places=cold.share_out(masses, request.equipment.tanks),
        stay_s=_STAY_S,
    )
    return sum(tank.ice_kg for tank in tanks)


def _most_by_ice(base: DayRequest, asked: PartDaysRequest, *, top: int) -> int:
    """Return the most birds a day's ice takes; ice grows with every bird."""
    low, high = 0, top
    while low < high:
        middle = (low + high + 1) // 2
        if _ice_kg(base, asked, middle) <= base.equipment.ice_kg:
            low = middle
        else:
            high = middle - 1
    return low


def _clipped(window: FreeWindow, asked: PartDaysRequest) -> FreeWindow | None:
    begins, ends = max(window.begins, asked.light_from), min(window.ends, asked.light_to)
    return replace(window, begins=begins, ends=ends) if begins < ends else None


def day_work(
    base: DayRequest,
    asked: PartDaysRequest,
    *,
    times: Mapping[tuple[str, str], Estimate] | None = None,
) -> Work:
    """Return a part-day's fixed time and the time of each further bird, from two days played.

    Parameters
    ----------
    base : DayRequest
        Crew and equipment.
    asked : PartDaysRequest
        The birds.
    times : mapping or None
        The farm's own station times, by (station, phase).

    Returns
    -------
    Work
        Set-up, clean-up and rest included.

    Raises
    ------
    InputFaultsError
        If the crew cannot finish such a day.

    References
    ----------
    Derivation: a straight line through the ends of a small and a larger day.
    """
    few, many = _TRIED
    ends = []
    for birds in (few, many):
        table = set_up(_with_birds(base, asked, birds), crosses=("seldom",), times=times).table
        ends.append((table.line_end_s * REST_FRAC + table.end_s, table.unfinished))
    if any(unfinished for _end, unfinished in ends):
        raise InputFaultsError(
            [InputError("birds", None, _("This crew cannot finish a day with these birds."))]
        )
    bird_s = max(0.0, (ends[1][0] - ends[0][0]) / (many - few))
    return Work(ends[0][0] - few * bird_s + sum(_ready_s(base, asked)), bird_s)


def _ready_s(base: DayRequest, asked: PartDaysRequest) -> tuple[float, float]:
    """Return the time before the first bird and after the last package, all people there."""
    stations, people = line_of(_with_birds(base, asked, 1)), len(base.people)
    return (
        set_up_before_s(set_up_time_s(stations, people=people).value),
        clean_up_time_s(stations, people=people).value,
    )


def plan_part_days(
    base: DayRequest,
    asked: PartDaysRequest,
    *,
    times: Mapping[tuple[str, str], Estimate] | None = None,
) -> PartDays:
    """Share birds out among free windows.

    Parameters
    ----------
    base : DayRequest
        Crew and equipment as on an ordinary day; its birds and hours do not matter.
    asked : PartDaysRequest
        Birds, windows and limits.
    times : mapping or None
        The farm's own station times, by (station, phase).

    Returns
    -------
    PartDays
        The fewest days first; every used window is checked by playing its day through.

    Raises
    ------
    InputFaultsError
        If the crew cannot do a day at all.

    Notes
    -----
    Rest is added to the line's time. How much slower tired hands get over a long day is not in
    the sums: no published number for this work was found.

    References
    ----------
    :mod:`pinfeather.line.windows`.
    """
    work = day_work(base, asked, times=times)
    ice_birds = _most_by_ice(base, asked, top=asked.birds)
    tank_birds = math.floor(
        sum(cold.capacity_kg(tank) for tank in base.equipment.tanks) / asked.mean_kg
    )
    store_a_day = math.floor(cold.store_room_kg(base) / asked.mean_kg) or asked.birds
    caps = {"ice": ice_birds, "tanks": tank_birds, "store": store_a_day}
    held, cap = min(caps.items(), key=lambda pair: pair[1])
    clipped = [_clipped(window, asked) for window in asked.windows]
    windows = [
        Window(
            str(number),
            0.0 if window is None else min(window.time_s, asked.longest_s),
            float(cap),
            asked.windows[number].freed_birds,
        )
        for number, window in enumerate(clipped)
    ]
    store = math.inf if asked.store_birds is None else float(asked.store_birds)
    chosen = split_birds(asked.birds, windows, work=work, store_birds=store, fewest=asked.fewest)
    ways = ways_to_split(asked.birds, windows, work=work, store_birds=store, fewest=asked.fewest)
    plans = []
    for number, (window, free) in enumerate(zip(windows, clipped, strict=True)):
        by_time = max(0, math.floor((window.time_s - work.fixed_s) / max(work.bird_s, 1.0) + 1e-9))
        birds = chosen.birds[number] if chosen else 0
        needed_s = _needed_s(base, asked, birds, times=times) if birds else 0.0
        plans.append(
            WindowPlan(
                asked.windows[number] if free is None else free,
                min(by_time, cap),
                "time" if by_time <= cap else held,
                birds,
                needed_s,
                needed_s <= window.time_s,
            )
        )
    return PartDays(
        work,
        tuple(plans),
        chosen,
        tuple(_cost(base, asked, way, work=work) for way in ways),
        sum(one.most_birds for one in plans if one.most_birds >= asked.fewest),
        *_ready_s(base, asked),
    )


def _needed_s(
    base: DayRequest,
    asked: PartDaysRequest,
    birds: int,
    *,
    times: Mapping[tuple[str, str], Estimate] | None,
) -> float:
    table = set_up(_with_birds(base, asked, birds), crosses=("seldom",), times=times).table
    return table.end_s + table.line_end_s * REST_FRAC + sum(_ready_s(base, asked))


def _cost(base: DayRequest, asked: PartDaysRequest, split: Split, *, work: Work) -> SplitCost:
    used = [birds for birds in split.birds if birds]
    return SplitCost(
        split,
        set_up_s=len(used) * sum(_ready_s(base, asked)),
        rest_s=REST_FRAC / (1 + REST_FRAC) * work.bird_s * sum(used),
        longest_s=split.longest_s,
        ice_kg=sum(_ice_kg(base, asked, birds) for birds in used),
        most_a_day=max(used),
        people_h=split.total_s / 3600 * len(base.people),
    )
