"""The stations a bird passes, what is done at each, and how long it takes."""

from __future__ import annotations

import math
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache
from importlib import resources
from typing import Any, Final, Literal

from pinfeather.errors import InputError
from pinfeather.estimate import Basis, Estimate, Origin
from pinfeather.words import gettext as _

Species = Literal["chicken", "turkey", "duck", "goose"]

STATION_CODES: Final = (
    "catch", "kill", "scald", "pick", "draw", "rinse", "chill", "bag", "weigh", "store",
)  # fmt: skip
"""Every station, in the order a bird passes them."""
DIRTY_SIDE: Final = frozenset({"catch", "kill", "scald", "pick"})
"""Stations where birds are live, bloody or feathered; all others are the clean side."""
COUNTED: Final = frozenset({"catch", "kill", "pick", "draw", "chill", "bag"})
"""Stations where birds are tallied."""
PACKING: Final = frozenset({"bag", "weigh", "store"})
"""Stations after the chill; they wait for cold birds."""
MANY: Final = 1_000_000
"""Places at a station that never runs out of them, such as the chill tank's."""


@dataclass(frozen=True, slots=True)
class Phase:
    """One part of the work at a station.

    Parameters
    ----------
    name : str
        What is done, in one or two words.
    time_s : Estimate
        Time for one bird, or for one load where ``together`` [s].
    attended : bool
        True where somebody must stay with it from start to end.
    cv : float
        Spread of single times: standard deviation / mean [1].
    together : bool
        How a load of several birds is timed: True, all at once (the slowest bird's time);
        False, one bird after another (the sum).
    """

    name: str
    time_s: Estimate
    attended: bool
    cv: float = 0.0
    together: bool = True

    def __post_init__(self) -> None:
        if self.time_s.low < 0:
            raise InputError("time_s", self.time_s.low, _("A time cannot be negative."))
        if not 0 <= self.cv < math.inf:
            raise InputError("cv", self.cv, _("A spread is zero or more."))


NO_TIME: Final = Estimate(0.0, 0.0, 0.0, Basis(Origin.TYPED, ""))
"""Of a station that needs no setting up and no cleaning [s]."""


@dataclass(frozen=True, slots=True)
class Station:
    """One station of the line.

    Parameters
    ----------
    code : str
        Short name; the line's own are in ``STATION_CODES``.
    servers : int
        Places that work side by side: cones, drums, places at the drawing table.
    phases : tuple of Phase
        What happens there, in order.
    batch : int
        Most birds one place takes at once.
    buffer : int or None
        Waiting places before the station; None where there is always room. With 0 a bird stays
        where it was (in its cone, say) until work on it starts here.
    min_stay_s : float
        Shortest time between the end of the first phase and leaving; for the kill, the time
        between the cut and the scald [s].
    max_stay_s : float or None
        Longest time a bird should stay after its last phase; where it is given, no bird is
        started that the next station cannot take in time [s].
    wait_for_more_s : float
        How long a load that is not full waits for a bird already on its way; infinite waits
        until no more birds are left [s].
    set_up_s, clean_up_s : Estimate
        One person's time to make the whole station ready, and to clean it afterwards [s].
    """

    code: str
    servers: int
    phases: tuple[Phase, ...]
    batch: int = 1
    buffer: int | None = None
    min_stay_s: float = 0.0
    max_stay_s: float | None = None
    wait_for_more_s: float = 0.0
    set_up_s: Estimate = NO_TIME
    clean_up_s: Estimate = NO_TIME

    def __post_init__(self) -> None:
        if self.servers < 1 or self.batch < 1:
            raise InputError(
                self.code,
                (self.servers, self.batch),
                _("A station needs at least one place, and a place takes at least one bird."),
            )
        if self.buffer is not None and self.buffer < 0:
            raise InputError(self.code, self.buffer, _("Waiting places cannot be negative."))
        if not self.phases:
            raise InputError(self.code, self.phases, _("A station needs something to do."))
        least_s = min(self.set_up_s.low, self.clean_up_s.low)
        if least_s < 0:
            raise InputError(self.code, least_s, _("A time cannot be negative."))

    @property
    def time_s(self) -> float:
        """Time one bird alone takes here when nobody keeps it waiting [s]."""
        return sum(phase.time_s.value for phase in self.phases)

    @property
    def hands_s(self) -> float:
        """Time somebody spends on one bird here, a full load shared out [s]."""
        return sum(
            phase.time_s.value / (self.batch if phase.together else 1)
            for phase in self.phases
            if phase.attended
        )

    @property
    def load_s(self) -> float:
        """Time a full load takes here when nobody keeps it waiting [s]."""
        return sum(
            phase.time_s.value * (1 if phase.together else self.batch) for phase in self.phases
        )


def phase_slices(stations: Sequence[Station]) -> tuple[slice, ...]:
    """Return where each station's phases stand among all phases of the line.

    Parameters
    ----------
    stations : sequence of Station
        The line, in order.

    Returns
    -------
    tuple of slice
        One for each station, into the last axis of an array of shape (birds, phases).

    References
    ----------
    Derivation: running count.
    """
    at, slices = 0, []
    for station in stations:
        slices.append(slice(at, at + len(station.phases)))
        at += len(station.phases)
    return tuple(slices)


@cache
def _handbook() -> Mapping[str, Any]:
    text = resources.files(__package__ or "").joinpath("handbook.toml").read_text("utf-8")
    return tomllib.loads(text)


def handbook_phase(species: Species, station: str, name: str) -> Phase:
    """Return one phase as the handbook has it, with its source.

    Parameters
    ----------
    species : str
        Chicken, turkey, duck or goose.
    station : str
        One of ``STATION_CODES``.
    name : str
        The phase's name.

    Returns
    -------
    Phase
        Most times are assumptions, and their basis says so.

    Raises
    ------
    InputError
        If the handbook has no such phase.

    Notes
    -----
    For small shops with cones, a tub plucker and hand drawing. Two timings of your own beat
    every number here.

    References
    ----------
    In the basis of each time, from ``handbook.toml`` beside this module.
    """
    book = _handbook()
    try:
        row = book[species][station][name]
    except KeyError:
        raise InputError(
            "species", species, _("The handbook has no times for this kind of bird.")
        ) from None
    source = book["sources"][row["source"]]
    basis = Basis(Origin.HANDBOOK, source["note"], source["status"])
    time_s = Estimate(float(row["time_s"]), float(row["low_s"]), float(row["high_s"]), basis)
    return Phase(name, time_s, row["attended"], row["cv"], row.get("together", True))


def _ready_s(kind: Literal["set_up", "clean_up"], code: str) -> Estimate:
    """Return the handbook's time for setting up or cleaning a station; none where it has none."""
    book = _handbook()
    row = book[kind].get(code)
    if row is None:
        return NO_TIME
    source = book["sources"][row["source"]]
    basis = Basis(Origin.HANDBOOK, source["note"], source["status"])
    return Estimate(float(row["time_s"]), float(row["low_s"]), float(row["high_s"]), basis)


def handbook_stations(
    species: Species,
    *,
    cones: int,
    scald_places: int = 2,
    drum_birds: int = 2,
    drum_cycle_s: float | None = None,
    draw_places: int = 2,
    hand_pick: bool = False,
    scald_by_hand: bool = True,
    chill_s: float | None = None,
    times: Mapping[tuple[str, str], Estimate] | None = None,
) -> tuple[Station, ...]:
    """Return the whole line for one kind of bird, with the handbook's times.

    Parameters
    ----------
    species : str
        Chicken, turkey, duck or goose.
    cones : int
        Killing cones.
    scald_places : int
        Birds scalded at once.
    drum_birds : int
        Birds the plucker takes at once; with ``hand_pick``, birds picked side by side.
    drum_cycle_s : float or None
        How long the plucker runs for one load, if you know it [s].
    draw_places : int
        Places at the drawing table.
    hand_pick : bool
        True where there is no plucker.
    scald_by_hand : bool
        True where somebody holds the birds in the water; False for a machine that dips them.
    chill_s : float or None
        Time in the chill, from a cooling calculation or your own readings [s].
    times : mapping or None
        Times that replace the handbook's, by (station, phase); ``"set up"`` and ``"clean up"``
        stand for a whole station's [s].

    Returns
    -------
    tuple of Station
        In the order of ``STATION_CODES``.

    Raises
    ------
    InputError
        If the kind of bird is unknown or a count is below one.

    Notes
    -----
    The cone is held until its bird goes to the scald (no waiting place before the scald), and
    loading and cutting are one task of one person, so no live bird hangs waiting. Between scald
    and plucker there is table room for one scald load; between plucker and drawing table, for
    two birds a drawing place, or one plucker load if that is more.

    References
    ----------
    In the basis of each time; the shape of the line is a design choice of this program.
    """
    own = times or {}

    def phases(code: str, *names: str) -> tuple[Phase, ...]:
        found = []
        for name in names:
            phase = handbook_phase(species, code, name)
            time_s = own.get((code, name), phase.time_s)
            found.append(Phase(name, time_s, phase.attended, phase.cv, phase.together))
        return tuple(found)

    def ready(station: Station) -> Station:
        code = station.code
        row = "pick by hand" if hand_pick and code == "pick" else code
        return replace(
            station,
            set_up_s=own.get((code, "set up"), _ready_s("set_up", row)),
            clean_up_s=own.get((code, "clean up"), _ready_s("clean_up", row)),
        )

    def typed(phase: Phase, value_s: float | None) -> Phase:
        if value_s is None or (code := (phase.name)) is None:
            return phase
        basis = Basis(Origin.TYPED, _("given for this plan"), "measured")
        time_s = Estimate(value_s, value_s, value_s, basis)
        return Phase(code, time_s, phase.attended, phase.cv, phase.together)

    bleed_s = handbook_phase(species, "kill", "bleed").time_s.low
    scald = (
        phases("scald", "scald") if scald_by_hand else phases("scald", "load", "dip", "lift out")
    )
    if hand_pick:
        pick = Station("pick", drum_birds, phases("pick", "by hand"), buffer=scald_places)
    else:
        load, run, unload = phases("pick", "load", "run", "unload")
        pick = Station(
            "pick",
            1,
            (load, typed(run, drum_cycle_s), unload),
            batch=drum_birds,
            buffer=scald_places,
            wait_for_more_s=run.time_s.value,
        )
    (chill,) = phases("chill", "chill")
    kill = phases("kill", "load and cut", "bleed")
    line = (
        Station("catch", MANY, phases("catch", "carry"), max_stay_s=0.0),
        Station("kill", cones, kill, buffer=0, min_stay_s=bleed_s),
        Station(
            "scald",
            1,
            scald,
            batch=scald_places,
            buffer=0,
            max_stay_s=15.0,  # assumed: longer loosens and cooks the skin
            wait_for_more_s=kill[0].time_s.value,
        ),
        pick,
        Station(
            "draw",
            draw_places,
            phases("draw", "draw"),
            buffer=max(2 * draw_places, 1 if hand_pick else drum_birds),
        ),
        Station("rinse", 1, phases("rinse", "rinse"), buffer=None),
        Station("chill", MANY, (typed(chill, chill_s),), buffer=None),
        Station("bag", MANY, phases("bag", "bag"), buffer=None),
        Station("weigh", 1, phases("weigh", "weigh and label"), buffer=None),
        Station("store", MANY, phases("store", "put away"), buffer=None),
    )
    return tuple(ready(station) for station in line)
