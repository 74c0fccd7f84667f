"""A line, a crew or free windows as a file says them, without a whole day around."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import get_args

from pinfeather.day.request import BIRDS_MAX, PEOPLE_STATIONS, STATIONS, Species
from pinfeather.estimate import Basis, Estimate, Origin
from pinfeather.line.crew import Person
from pinfeather.line.stations import Station, handbook_stations
from pinfeather.line.windows import Window, Work
from pinfeather.mapping import MappingReader
from pinfeather.words import gettext as _

_DAY_S = 24 * 3600.0


@dataclass(frozen=True, slots=True)
class LineFile:
    """A line with its crew.

    Parameters
    ----------
    birds : int
        How many.
    start : time
        First bird.
    stations : tuple of Station
        The line.
    people : tuple of Person
        Times counted from the first bird.
    until_s : float or None
        When the line must be through, from the first bird [s].
    """

    birds: int
    start: dt.time
    stations: tuple[Station, ...]
    people: tuple[Person, ...]
    until_s: float | None


@dataclass(frozen=True, slots=True)
class WindowsFile:
    """Birds and the windows they are to be shared out among.

    Parameters
    ----------
    birds : int
        How many.
    work : Work
        A day's fixed time and each bird's.
    windows : tuple of Window
        In order of time.
    store_birds : float
        What the cold store takes; infinite where it is no limit [birds].
    fewest : int
        Fewest birds worth setting up for.
    longest_s : float
        Longest day [s].
    """

    birds: int
    work: Work
    windows: tuple[Window, ...]
    store_birds: float
    fewest: int
    longest_s: float


def line_file(mapping: Mapping[str, object]) -> LineFile:
    """Read a line and its crew.

    Parameters
    ----------
    mapping : mapping
        ``birds``, ``species``, ``start``, ``until``, ``[equipment]``, ``[[people]]`` and, for
        times of your own, ``[[times]]``.

    Returns
    -------
    LineFile
        In SI units.

    Raises
    ------
    InputFaultsError
        With every fault found.

    References
    ----------
    Decision record 0004: quantities are text with their unit, faults are gathered.
    """
    read = MappingReader(mapping)
    birds = read.integer("birds", low=1, high=BIRDS_MAX) or 1
    species = read.choice("species", get_args(Species), default="chicken")
    start = read.time("start") or dt.time(9, 0)
    until = read.time("until", required=False)
    if until and until <= start:
        read.fault("until", mapping.get("until"), _("The line must be through after it starts."))
    people = tuple(
        who for entry in read.tables("people") if (who := _person(entry, start)) is not None
    )
    if not people and not read.faults_under("people"):
        read.fault("people", None, _("Add at least one person."))
    times = dict(found for entry in read.tables("times") if (found := _time(entry)) is not None)
    kit = read.table("equipment")
    drum = kit.integer("drum_birds", low=0, high=50, default=2) or 0
    cycle_s = kit.optional_quantity("drum_cycle", "time", low=1, high=1800)
    chill_s = kit.optional_quantity("chill", "time", low=60, high=2 * _DAY_S)
    cones = kit.integer("cones", low=1, high=100) or 1
    scald_places = kit.integer("scald_places", low=1, high=50, default=1) or 1
    draw_places = kit.integer("draw_places", low=1, high=50) or 1
    read.refuse_unknown()
    read.raise_faults()
    stations = handbook_stations(
        species,  # type: ignore[arg-type]
        cones=cones,
        scald_places=scald_places,
        drum_birds=max(drum, 1),
        drum_cycle_s=cycle_s if drum else None,
        draw_places=draw_places,
        hand_pick=not drum,
        chill_s=chill_s,
        times=times,
    )
    until_s = None if until is None else _seconds(until) - _seconds(start)
    return LineFile(birds, start, stations, people, until_s)


def _seconds(time: dt.time) -> float:
    return time.hour * 3600.0 + time.minute * 60.0 + time.second


def _person(read: MappingReader, start: dt.time) -> Person | None:
    name = read.text("name")
    begins, ends = read.time("from"), read.time("to")
    if begins and ends and ends <= begins:
        read.fault("to", read.raw("to"), _("The end must be later than the beginning."))
    elif ends and ends <= start:
        read.fault("to", read.raw("to"), _("This person is gone before the first bird."))
    stations = read.words("stations", PEOPLE_STATIONS)
    pace = read.number("pace", low=0.2, high=3.0, default=1.0)
    allowance_frac = read.quantity("allowance", "strength", low=0, high=0.5, default="0 %")
    breaks = read.spans("breaks")
    if read.faults or begins is None or ends is None:
        return None
    zero_s = _seconds(start)
    return Person(
        name or "",
        frozenset(stations),
        max(0.0, _seconds(begins) - zero_s),
        _seconds(ends) - zero_s,
        pace,
        tuple((_seconds(a) - zero_s, _seconds(b) - zero_s) for a, b in breaks),
        allowance_frac,
    )


def _time(read: MappingReader) -> tuple[tuple[str, str], Estimate] | None:
    station = read.choice("station", STATIONS, default="")
    phase = read.text("phase", default=station) or station
    value_s = read.quantity("time", "time", low=1, high=_DAY_S)
    low_s = read.optional_quantity("low", "time", low=0, high=_DAY_S)
    high_s = read.optional_quantity("high", "time", low=1, high=_DAY_S)
    low_s = value_s if low_s is None else low_s
    high_s = value_s if high_s is None else high_s
    if not low_s <= value_s <= high_s:
        read.fault("time", read.raw("time"), _("The time must lie between low and high."))
    if read.faults:
        return None
    basis = Basis(Origin.TYPED, _("given in the file"), "measured")
    return (station, phase), Estimate(value_s, low_s, high_s, basis)


def windows_file(mapping: Mapping[str, object]) -> WindowsFile:
    """Read birds and windows.

    Parameters
    ----------
    mapping : mapping
        ``birds``, ``[work]`` with ``fixed`` and ``bird``, ``[[windows]]`` with ``name``,
        ``time`` and, where they bind, ``ice_birds`` and ``freed_birds``.

    Returns
    -------
    WindowsFile
        In SI units.

    Raises
    ------
    InputFaultsError
        With every fault found.

    References
    ----------
    Decision record 0004: quantities are text with their unit, faults are gathered.
    """
    read = MappingReader(mapping)
    work = read.table("work")
    fixed_s = work.quantity("fixed", "time", low=0, high=_DAY_S)
    bird_s = work.quantity("bird", "time", low=1, high=_DAY_S)
    windows = []
    for entry in read.tables("windows"):
        ice = entry.integer("ice_birds", low=0, high=10**6) if entry.has("ice_birds") else None
        windows.append(
            Window(
                entry.text("name") or "",
                entry.quantity("time", "time", low=60, high=_DAY_S),
                math.inf if ice is None else float(ice),
                entry.integer("freed_birds", low=0, high=10**6, default=0) or 0,
            )
        )
    if not windows and not read.faults_under("windows"):
        read.fault("windows", None, _("Give at least one window."))
    store = read.integer("store_birds", low=0, high=10**6) if read.has("store_birds") else None
    found = WindowsFile(
        read.integer("birds", low=1, high=10**5) or 1,
        Work(fixed_s, bird_s),
        tuple(windows),
        math.inf if store is None else float(store),
        read.integer("fewest", low=1, high=BIRDS_MAX, default=1) or 1,
        read.quantity("longest", "time", low=60, high=_DAY_S, default="24 h"),
    )
    read.refuse_unknown()
    read.raise_faults()
    return found
