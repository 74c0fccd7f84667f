"""A day's request as a line: its stations, its people, and the work each bird brings."""

from __future__ import annotations

import datetime as dt
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from pinfeather.day.request import DayRequest, LotRequest
from pinfeather.estimate import Basis, Estimate, Origin
from pinfeather.heat.carcass import ChillTime
from pinfeather.line.crew import Person
from pinfeather.line.stations import Station, handbook_stations, phase_slices
from pinfeather.words import gettext as _

NEVER_S: Final = 24 * 3600.0
"""Stands in for a bird that never gets cold, so that the rest of the day can still be planned."""


@dataclass(frozen=True, slots=True)
class Bird:
    """One bird on the day's list.

    Parameters
    ----------
    lot : str
        Its lot.
    species : str
        Its kind.
    mass_kg : float
        Dressed mass [kg].
    chill_s : float
        Expected time in the tank [s].
    chill_high_s : float or None
        The same at the slow end of the band; None where it may never get cold [s].
    """

    lot: str
    species: str
    mass_kg: float
    chill_s: float
    chill_high_s: float | None


@dataclass(frozen=True, slots=True)
class Flow:
    """What the simulation needs.

    Parameters
    ----------
    stations : tuple of Station
        The line, with the times of the commonest kind of bird.
    people : tuple of Person
        Times counted from the start of the day.
    birds : tuple of Bird
        In the order they are caught.
    work_s : ndarray
        Shape (birds, phases) [s].
    """

    stations: tuple[Station, ...]
    people: tuple[Person, ...]
    birds: tuple[Bird, ...]
    work_s: NDArray[np.float64]


def flow(
    request: DayRequest,
    chills: Sequence[Sequence[ChillTime]],
    *,
    times: Mapping[tuple[str, str], Estimate] | None = None,
) -> Flow:
    """Set up the line for a day.

    Parameters
    ----------
    request : DayRequest
        What was asked for.
    chills : sequence of sequence of ChillTime
        For each lot, for each of its birds.
    times : mapping or None
        The farm's own times that replace the handbook's, by (station, phase).

    Returns
    -------
    Flow
        Lots one after the other, in the order given.

    References
    ----------
    :func:`pinfeather.line.stations.handbook_stations`.
    """
    birds = tuple(
        Bird(
            lot=lot.code,
            species=lot.species,
            mass_kg=mass_kg,
            chill_s=NEVER_S if chill.time_s is None else chill.time_s,
            chill_high_s=chill.high_s,
        )
        for lot, lot_chills in zip(request.lots, chills, strict=True)
        for mass_kg, chill in zip(lot.masses_kg, lot_chills, strict=True)
    )
    times = {**(times or {}), ("chill", "chill"): _chill_estimate(chills)}
    commonest = Counter(bird.species for bird in birds).most_common(1)[0][0]
    lines: dict[str, tuple[Station, ...]] = {
        lot.species: _stations(request, lot, times=times) for lot in request.lots
    }
    stations = lines[commonest]
    by_species = {
        species: np.array([p.time_s.value for s in line for p in s.phases])
        for species, line in lines.items()
    }
    work_s = np.array([by_species[bird.species] for bird in birds])
    chill_at = phase_slices(stations)[[s.code for s in stations].index("chill")]
    work_s[:, chill_at] = np.array([[bird.chill_s] for bird in birds])
    return Flow(stations, _people(request), birds, work_s)


def _stations(
    request: DayRequest, lot: LotRequest, *, times: Mapping[tuple[str, str], Estimate] | None
) -> tuple[Station, ...]:
    kit = request.equipment
    return handbook_stations(
        lot.species,
        cones=kit.cones,
        scald_places=kit.scald_places,
        drum_birds=max(kit.drum_birds, 1),
        drum_cycle_s=kit.drum_cycle_s if kit.drum_birds else None,
        draw_places=kit.draw_places,
        hand_pick=not kit.drum_birds,
        times=times,
    )


def line_of(
    request: DayRequest, *, times: Mapping[tuple[str, str], Estimate] | None = None
) -> tuple[Station, ...]:
    """Return the line of a day's first lot, without its birds.

    Parameters
    ----------
    request : DayRequest
        What was asked for.
    times : mapping or None
        The farm's own times that replace the handbook's, by (station, phase).

    Returns
    -------
    tuple of Station
        The chill with the handbook's time.

    References
    ----------
    :func:`pinfeather.line.stations.handbook_stations`.
    """
    return _stations(request, request.lots[0], times=times)


def crew_of(request: DayRequest) -> tuple[Person, ...]:
    """Return a day's people, their times counted from the start of the day.

    Parameters
    ----------
    request : DayRequest
        What was asked for.

    Returns
    -------
    tuple of Person
        In the order given.

    References
    ----------
    Derivation: clock times less the start.
    """
    return _people(request)


def _people(request: DayRequest) -> tuple[Person, ...]:
    start_s = _seconds(request.start)
    return tuple(
        Person(
            name=person.name,
            stations=person.stations,
            from_s=max(0.0, _seconds(person.begins) - start_s),
            to_s=max(1.0, _seconds(person.ends) - start_s),
            pace=person.pace,
            breaks=tuple(
                (_seconds(begin) - start_s, _seconds(end) - start_s) for begin, end in person.breaks
            ),
            allowance_frac=person.allowance_frac,
        )
        for person in request.people
    )


def _seconds(time: dt.time) -> float:
    return time.hour * 3600.0 + time.minute * 60.0 + time.second


def _chill_estimate(chills: Sequence[Sequence[ChillTime]]) -> Estimate:
    """Take the middle bird's time in the tank with its band, for the days' common luck."""
    known = sorted(
        (chill.time_s, chill.low_s, chill.high_s)
        for lot in chills
        for chill in lot
        if chill.time_s is not None and chill.low_s is not None
    )
    basis = Basis(Origin.COMPUTED, _("breast slab in slush; see the chill page of the guide"))
    if not known:
        return Estimate(NEVER_S, NEVER_S, NEVER_S, basis)
    middle, low, high = known[len(known) // 2]
    return Estimate(middle, low, high if high is not None else 2 * middle, basis)
