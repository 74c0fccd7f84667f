"""The strip: a processing day as railways draw trains; its data, its table and its file.

Time runs across, stations run down, and each bird is a thread. The drawing itself is in
:mod:`pinfeather.reports.strip_svg`.
"""

from __future__ import annotations

import datetime as dt
import itertools
import math
from dataclasses import dataclass
from typing import Literal, NamedTuple

from pinfeather.errors import InputError
from pinfeather.reports.tables import csv_text
from pinfeather.reports.when import after, aware, clock_text, seconds_between
from pinfeather.words import gettext as _

State = Literal["planned", "waiting", "working", "done"]

_SECONDS_PER_MINUTE = 60.0


class StripPoint(NamedTuple):
    """A bird at one station; seconds after the strip's start, None where nobody knows.

    Parameters
    ----------
    station : int
        Index into the strip's stations.
    arrive_s : float or None
        When it came to the station, perhaps to wait [s].
    start_s : float or None
        When somebody, or the water, began on it [s].
    finish_s : float or None
        When that ended; where only a count was tapped, the time of the count [s].
    depart_s : float or None
        When it left the station [s].
    """

    station: int
    arrive_s: float | None
    start_s: float | None
    finish_s: float | None
    depart_s: float | None


@dataclass(frozen=True, slots=True)
class StripThread:
    """One bird on its way through the stations.

    Parameters
    ----------
    label : str
        The bird's number or tag; the planned and the actual thread of a bird share it.
    points : tuple of StripPoint
        In the order the bird passed, or passes, the stations.
    late : bool
        Whether it is overdue somewhere.
    """

    label: str
    points: tuple[StripPoint, ...]
    late: bool = False


@dataclass(frozen=True, slots=True)
class Strip:
    """A processing day, ready to draw.

    Parameters
    ----------
    stations : tuple of str
        The stations' names, from first to last.
    planned : tuple of StripThread
        The plan; may be empty.
    actual : tuple of StripThread
        What happened; may be empty.
    start : datetime
        The moment all seconds count from, in the farm's zone.
    now : datetime or None
        The moment of the drawing; None on a plan or on a day that is over.
    until : datetime
        Where the picture ends; threads that go on are cut there.
    deadline : datetime or None
        The moment the last bird has to be ready, if there is one.
    chill_station : int or None
        Index of the station where birds lie in cold water or air rather than being worked on.
    deadline_words : str
        What the deadline asks, for instance ``"cold by"``; the clock time is added.

    Raises
    ------
    InputError
        If a moment has no zone, the end is not after the start, a station index does not exist,
        or a thread runs backwards.
    """

    stations: tuple[str, ...]
    planned: tuple[StripThread, ...]
    actual: tuple[StripThread, ...]
    start: dt.datetime
    now: dt.datetime | None
    until: dt.datetime
    deadline: dt.datetime | None = None
    chill_station: int | None = None
    deadline_words: str = ""

    def __post_init__(self) -> None:
        aware("start", self.start)
        aware("until", self.until)
        if self.now is not None:
            aware("now", self.now)
        if self.deadline is not None:
            aware("deadline", self.deadline)
        if seconds_between(self.start, self.until) <= 0:
            raise InputError("until", self.until, _("The strip ends before it begins."))
        if not self.stations:
            raise InputError("stations", (), _("A strip needs at least one station."))
        if self.chill_station is not None and self.chill_station not in range(len(self.stations)):
            raise InputError("chill_station", self.chill_station, _("There is no such station."))
        for kind, threads in (("planned", self.planned), ("actual", self.actual)):
            for thread in threads:
                _check(thread, len(self.stations), where=f"{kind}[{thread.label}]")

    @property
    def now_s(self) -> float | None:
        """Seconds from the start to now [s]; None where there is no now."""
        return None if self.now is None else seconds_between(self.start, self.now)

    @property
    def until_s(self) -> float:
        """Seconds from the start to the end of the picture [s]."""
        return seconds_between(self.start, self.until)


def _check(thread: StripThread, stations: int, *, where: str) -> None:
    for point in thread.points:
        if point.station not in range(stations):
            raise InputError(where, point.station, _("There is no such station."))
    known = [time for point in thread.points for time in point[1:] if time is not None]
    if not all(map(math.isfinite, known)):
        raise InputError(where, known, _("A time on this thread is not a number."))
    if any(later < earlier for earlier, later in itertools.pairwise(known)):
        raise InputError(
            where,
            known,
            _("The times of “{bird}” run backwards.").format(bird=thread.label),
        )


class StripRow(NamedTuple):
    """One bird at one station, in numbers.

    Parameters
    ----------
    bird, station : str
        Their names.
    planned_start, planned_finish : datetime or None
        From the plan.
    arrived, started, finished : datetime or None
        What happened.
    behind_min : float or None
        Actual less planned finish [min]; negative when ahead.
    state : str
        ``"planned"``, ``"waiting"``, ``"working"`` or ``"done"``.
    late : bool
        Whether the bird is overdue.
    """

    bird: str
    station: str
    planned_start: dt.datetime | None
    planned_finish: dt.datetime | None
    arrived: dt.datetime | None
    started: dt.datetime | None
    finished: dt.datetime | None
    behind_min: float | None
    state: State
    late: bool


def strip_table(strip: Strip) -> list[StripRow]:
    """Give what the strip shows as rows, bird by bird.

    Parameters
    ----------
    strip : Strip
        The day.

    Returns
    -------
    list of StripRow
        In the order of the plan, then birds that were not planned; within a bird by station.

    References
    ----------
    Derivation: planned and actual threads are joined on the bird's label and the station.
    """
    planned = {thread.label: thread for thread in strip.planned}
    actual = {thread.label: thread for thread in strip.actual}
    rows: list[StripRow] = []
    for label in dict.fromkeys((*planned, *actual)):
        plan = {p.station: p for p in planned[label].points} if label in planned else {}
        real = {p.station: p for p in actual[label].points} if label in actual else {}
        late = any(threads[label].late for threads in (planned, actual) if label in threads)
        rows.extend(
            _row(strip, label, station=station, plan=plan.get(station), real=real.get(station))
            ._replace(late=late)
            for station in sorted(plan.keys() | real.keys())
        )  # fmt: skip
    return rows


def _row(
    strip: Strip, label: str, *, station: int, plan: StripPoint | None, real: StripPoint | None
) -> StripRow:
    def moment(point: StripPoint | None, seconds_s: float | None) -> dt.datetime | None:
        return None if point is None or seconds_s is None else after(strip.start, seconds_s)

    plan_finish_s = plan.finish_s if plan else None
    real_finish_s = real.finish_s if real else None
    behind_min = None
    if plan_finish_s is not None and real_finish_s is not None:
        behind_min = round((real_finish_s - plan_finish_s) / _SECONDS_PER_MINUTE, 1)
    state: State = "planned"
    if real is not None:
        state = "waiting" if real.start_s is None else "working"
        if real_finish_s is not None:
            state = "done"
    return StripRow(
        bird=label,
        station=strip.stations[station],
        planned_start=moment(plan, plan.start_s if plan else None),
        planned_finish=moment(plan, plan_finish_s),
        arrived=moment(real, real.arrive_s if real else None),
        started=moment(real, real.start_s if real else None),
        finished=moment(real, real_finish_s),
        behind_min=behind_min,
        state=state,
        late=False,
    )


def strip_header() -> tuple[str, ...]:
    """Return the column names that go with the rows of a strip.

    Returns
    -------
    tuple of str
        In the order of :class:`StripRow`.

    References
    ----------
    Derivation: the fields of StripRow in words.
    """
    return (
        _("Bird"),
        _("Station"),
        _("Planned start"),
        _("Planned finish"),
        _("Arrived"),
        _("Started"),
        _("Finished"),
        _("Minutes behind"),
        _("State"),
        _("Overdue"),
    )


def strip_csv(strip: Strip) -> str:
    """Write what the strip shows as comma-separated text.

    Parameters
    ----------
    strip : Strip
        The day.

    Returns
    -------
    str
        One line per bird and station, moments in ISO 8601 with their offset.

    References
    ----------
    IETF RFC 4180 (2005), section 2.
    """
    return csv_text(
        strip_header(), [(*row[:8], _(row.state), row.late) for row in strip_table(strip)]
    )


def strip_sentence(strip: Strip) -> str:
    """Say in one sentence or two what the strip shows.

    Parameters
    ----------
    strip : Strip
        The day.

    Returns
    -------
    str
        Birds planned, how many are through, how many overdue, and the time.

    References
    ----------
    Derivation: counts over the threads.
    """
    last = len(strip.stations) - 1
    through = sum(
        any(p.station == last and any(t is not None for t in p[1:]) for p in thread.points)
        for thread in strip.actual
    )
    late = sum(thread.late for thread in strip.actual)
    parts = [_("{birds} birds planned.").format(birds=len(strip.planned))] if strip.planned else []
    if strip.actual:
        parts.append(
            _("{begun} begun, {through} have reached {station}, {late} overdue.").format(
                begun=len(strip.actual), through=through, station=strip.stations[last], late=late
            )
        )
    if strip.now is not None:
        parts.append(_("Drawn at {time}.").format(time=clock_text(strip.now)))
    return " ".join(parts)
