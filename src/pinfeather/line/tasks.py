"""Each person's day, piece by piece."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from pinfeather.line.simulate import Timetable
from pinfeather.line.stations import Station


@dataclass(frozen=True, slots=True)
class Piece:
    """One piece of work.

    Parameters
    ----------
    station : str
        Where.
    phase : str
        What.
    from_s, to_s : float
        When [s].
    birds : tuple of int
        Which birds, from 0.
    """

    station: str
    phase: str
    from_s: float
    to_s: float
    birds: tuple[int, ...]


def pieces_of_work(
    timetable: Timetable, stations: Sequence[Station], *, person: int
) -> tuple[Piece, ...]:
    """List what somebody does, in order of time.

    Parameters
    ----------
    timetable : Timetable
        A day played through.
    stations : sequence of Station
        Its line.
    person : int
        Their place in the crew.

    Returns
    -------
    tuple of Piece
        A load of several birds is one piece; washing is not listed.

    References
    ----------
    Derivation: phases done by the person, those with the same phase and start joined.
    """
    names = [(s.code, phase.name) for s in stations for phase in s.phases]
    found: dict[tuple[float, int], list[int]] = {}
    for bird, phase in np.argwhere(timetable.phase_person == person).tolist():
        key = (float(timetable.phase_start_s[bird, phase]), phase)
        found.setdefault(key, []).append(bird)
    return tuple(
        Piece(*names[phase], at, float(timetable.phase_finish_s[birds[0], phase]), tuple(birds))
        for (at, phase), birds in sorted(found.items())
    )
