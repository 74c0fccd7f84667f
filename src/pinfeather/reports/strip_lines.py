"""Which line of its station each bird of a strip occupies, and from when to when."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from heapq import heappop, heappush
from operator import itemgetter

from pinfeather.reports.strip import Strip, StripPoint, StripThread


@dataclass(slots=True)
class Leg:
    """A bird's stay at one station, with the lines it occupies.

    Parameters
    ----------
    station : int
        Index of the station.
    arrive_s, finish_s, depart_s : float
        When it came, was finished, and left; the last known moment where it is still there [s].
    start_s : float or None
        When it was begun; None where it waits to the end of the leg [s].
    counted : bool
        Whether only the finish was tapped.
    wait_line, work_line : int
        Which line of the station it occupies while it waits and while it is worked on.
    """

    station: int
    arrive_s: float
    start_s: float | None
    finish_s: float
    depart_s: float
    counted: bool
    wait_line: int = 0
    work_line: int = 0

    @property
    def waits(self) -> bool:
        """Whether the bird waits before it is begun."""
        return self.start_s is None or self.start_s > self.arrive_s


def legs_of(strip: Strip, thread: StripThread, *, end_s: float, route: Sequence[int]) -> list[Leg]:
    """Close the gaps of a thread: what is not known counts as waiting.

    Parameters
    ----------
    strip : Strip
        The day the thread belongs to.
    thread : StripThread
        One bird.
    end_s : float
        Up to when anything is known: now, or the end of the picture [s].
    route : sequence of int
        Stations in the order the bird should pass them; a bird that has left one and was not
        seen again is put in the queue of the next. Empty: it is not.

    Returns
    -------
    list of Leg
        In order of time.

    References
    ----------
    Derivation: a bird is somewhere at every moment between its first and its last time.
    """
    legs: list[Leg] = []
    left_s: float | None = None
    for number, point in enumerate(thread.points):
        known = [t for t in point[1:] if t is not None]
        if not known:
            continue
        following = next(
            (t for later in thread.points[number + 1 :] for t in later[1:] if t is not None), None
        )
        leg = _leg(point, left_s=left_s, end_s=end_s if following is None else following)
        if point.station == 0 and leg.start_s is not None:
            leg.arrive_s = leg.start_s  # every bird waits for its turn at the first station
        legs.append(leg)
        left_s = leg.depart_s
        chills = point.station == strip.chill_station
        if following is None and point.finish_s is not None and not chills:
            legs.extend(_queued(point, route=route, end_s=end_s))
    return legs


def _leg(point: StripPoint, *, left_s: float | None, end_s: float) -> Leg:
    counted = point.start_s is None and point.finish_s is not None
    first_s = next(t for t in point[1:] if t is not None)
    arrive_s = point.arrive_s if point.arrive_s is not None else first_s
    if counted and point.arrive_s is None and left_s is not None:
        arrive_s = left_s
    finish_s = point.finish_s if point.finish_s is not None else point.depart_s
    if finish_s is None:
        finish_s = max(end_s, arrive_s)
    depart_s = point.depart_s if point.depart_s is not None else finish_s
    start_s = finish_s if counted else point.start_s
    return Leg(point.station, arrive_s, start_s, finish_s, depart_s, counted)


def _queued(point: StripPoint, *, route: Sequence[int], end_s: float) -> list[Leg]:
    """Put a bird that has left one station and is not seen again into the next queue."""
    left_s = point.depart_s if point.depart_s is not None else point.finish_s
    here = route.index(point.station) if point.station in route else len(route)
    if left_s is None or here + 1 >= len(route) or left_s >= end_s:
        return []
    return [Leg(route[here + 1], left_s, None, end_s, end_s, counted=False)]


def share_lines(legs: Iterable[Leg], *, chill_station: int | None) -> dict[int, tuple[int, int]]:
    """Give each leg the first free line of its station.

    Parameters
    ----------
    legs : iterable of Leg
        Of all birds; their ``wait_line`` and ``work_line`` are set.
    chill_station : int or None
        The station where nobody waits.

    Returns
    -------
    dict of int to (int, int)
        For each station how many lines for waiting and for work are needed.

    References
    ----------
    J. Kleinberg, É. Tardos, *Algorithm Design* (2005), section 4.1: the first free line needs
    as many lines as there are birds at once (interval partitioning).
    """
    by_station: dict[int, list[Leg]] = {}
    for leg in legs:
        by_station.setdefault(leg.station, []).append(leg)
    needs: dict[int, tuple[int, int]] = {}
    for station, stays in by_station.items():
        chills = station == chill_station
        waiting = sorted(
            ((leg.arrive_s, leg.finish_s if leg.start_s is None else leg.start_s, leg)
             for leg in stays if leg.waits and not chills),
            key=itemgetter(0),
        )  # fmt: skip
        working = sorted(
            ((leg.arrive_s if leg.start_s is None else leg.start_s, leg.depart_s, leg)
             for leg in stays if leg.start_s is not None or chills),
            key=itemgetter(0),
        )  # fmt: skip
        wait_lines = _first_free(waiting)
        work_lines = _first_free(working)
        for (_from, _to, leg), line in zip(waiting, wait_lines, strict=True):
            leg.wait_line = line
        for (_from, _to, leg), line in zip(working, work_lines, strict=True):
            leg.work_line = line
        needs[station] = (max(wait_lines, default=-1) + 1, max(work_lines, default=-1) + 1)
    return needs


def _first_free(spans: Sequence[tuple[float, float, Leg]]) -> list[int]:
    """Return for each span, sorted by start, the lowest line no earlier span still holds."""
    busy: list[tuple[float, int]] = []
    free: list[int] = []
    lines: list[int] = []
    for begin_s, end_s, _ in spans:
        while busy and busy[0][0] <= begin_s:
            heappush(free, heappop(busy)[1])
        line = heappop(free) if free else len(busy)
        heappush(busy, (max(end_s, begin_s), line))
        lines.append(line)
    return lines
