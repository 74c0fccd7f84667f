"""How a day stands: its journal entries summed up, and kept up as new ones come."""

from __future__ import annotations

import datetime as dt
from bisect import insort
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from operator import attrgetter
from typing import Any

from pinfeather.day.events import (
    COUNTED,
    READ,
    Action,
    Correction,
    Cutting,
    Done,
    Event,
    Explained,
    IcePoint,
    LoggerNote,
    MarkedBird,
    Package,
    Reading,
    Tally,
)


@dataclass(frozen=True, slots=True)
class Progress:
    """A day so far: what stands after all corrections."""

    tallies: tuple[Tally, ...] = ()
    readings: tuple[Reading, ...] = ()
    loggers: tuple[LoggerNote, ...] = ()
    ice_points: tuple[IcePoint, ...] = ()
    done: tuple[Done, ...] = ()
    explained: tuple[Explained, ...] = ()
    packages: tuple[Package, ...] = ()
    cuttings: tuple[Cutting, ...] = ()
    marked: tuple[MarkedBird, ...] = ()
    actions: tuple[Action, ...] = ()
    corrections: tuple[Correction, ...] = ()
    last_seq: int = 0
    _times: Mapping[str, tuple[dt.datetime, ...]] = field(default_factory=dict, repr=False)
    _at_places: Mapping[tuple[str, str], tuple[dt.datetime, ...]] = field(
        default_factory=dict, repr=False
    )

    def count(self, station: str) -> int:
        """Birds counted at a station."""
        return len(self.times(station))

    @property
    def stations(self) -> tuple[str, ...]:
        """Codes of the counted stations, in the order of the line."""
        return COUNTED

    def times(self, station: str) -> tuple[dt.datetime, ...]:
        """When each bird was counted at a station, in order; a basket counts for each bird."""
        return self._times.get(station, ())

    def times_at(self, station: str, place: str) -> tuple[dt.datetime, ...]:
        """When birds were counted at one place of a station, such as a tank: each tap, in order."""
        return self._at_places.get((station, place), ())

    def explained_after(self, station: str) -> int:
        """Birds that left the line between a station and the next counted one."""
        return sum(e.birds for e in self.explained if e.after == station)


class RunningSum:
    """A day's journal summed up as it comes in: what was read once is not read again.

    Only a correction makes it begin anew, since it can reach back to any entry.

    References
    ----------
    Decision record 0003: undo is a correction on the record, never a deletion.
    """

    def __init__(self) -> None:
        self._events: list[Event] = []
        self._clear()

    def take(self, events: Iterable[Event]) -> None:
        """Add the newest entries of the journal.

        Parameters
        ----------
        events : iterable of Event
            All of them later in the journal than those taken before.
        """
        new = sorted(events, key=attrgetter("seq"))
        self._events += new
        if any(event.kind == "correction" for event in new):
            self._clear()
            new = self._events
        for event in new:
            if event.client_id not in self._taken_back:
                self._add(event)

    def progress(self) -> Progress:
        """Return how the day stands now.

        Returns
        -------
        Progress
            With every corrected entry left out and the corrections listed.
        """
        found = {kind: tuple(read) for kind, read in self._read.items()}
        finished = {one.place for one in found["done"]}
        return Progress(
            tallies=found["tally"],
            readings=found["reading"],
            loggers=found["logger"],
            ice_points=found["ice point"],
            done=found["done"],
            explained=found["explained"],
            packages=found["package"],
            cuttings=tuple(replace(one, finished=one.id in finished) for one in found["cutting"]),
            marked=found["marked bird"],
            actions=found["action"],
            corrections=found["correction"],
            last_seq=self._events[-1].seq if self._events else 0,
            _times={station: tuple(moments) for station, moments in self._times.items()},
            _at_places={place: tuple(moments) for place, moments in self._at_places.items()},
        )

    def _clear(self) -> None:
        self._taken_back = _taken_back(self._events)
        self._read: dict[str, list[Any]] = {kind: [] for kind in READ}
        self._times: dict[str, list[dt.datetime]] = {code: [] for code in COUNTED}
        self._at_places: dict[tuple[str, str], list[dt.datetime]] = {}

    def _add(self, event: Event) -> None:
        if event.kind not in READ:
            return
        value = READ[event.kind](event)
        if event.kind == "tally":
            insort(self._read["tally"], value, key=attrgetter("at"))
            insort(self._at_places.setdefault((value.station, value.place), []), value.at)
        else:
            self._read[event.kind].append(value)
        station = value.station if event.kind == "tally" else "bag"
        if event.kind in {"tally", "package", "cutting"}:
            for _bird in range(value.birds):
                insort(self._times.setdefault(station, []), value.at)


def progress(events: Iterable[Event]) -> Progress:
    """Sum up the journal entries of one day.

    Parameters
    ----------
    events : iterable of Event
        In any order.

    Returns
    -------
    Progress
        With every corrected entry left out and the corrections listed.

    References
    ----------
    Decision record 0003: undo is a correction on the record, never a deletion.
    """
    whole = RunningSum()
    whole.take(events)
    return whole.progress()


def _taken_back(events: Sequence[Event]) -> set[str]:
    """Return the ids that no longer stand; a correction taken back takes nothing back."""
    found: set[str] = set()
    for event in reversed(events):
        if event.kind == "correction" and event.client_id not in found:
            found.add(str(event.payload.get("of")))
    return found
