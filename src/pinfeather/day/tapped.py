"""What was tapped on a closed day, group by group, beside the plan's own birds."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

from pinfeather.day.flow import line_of
from pinfeather.day.plan import DayPlan
from pinfeather.day.progress import Progress
from pinfeather.day.request import DayRequest
from pinfeather.line.learning import robust_log, service_times_s
from pinfeather.line.stations import DIRTY_SIDE, PACKING

Floats = NDArray[np.float64]
GroupCode = Literal["dirty", "draw", "rinse", "pack"]
GROUPS: Final[tuple[GroupCode, ...]] = ("dirty", "draw", "rinse", "pack")
_COUNTED_AT: Final[Mapping[GroupCode, str]] = {
    "dirty": "pick",
    "draw": "draw",
    "rinse": "chill",
    "pack": "bag",
}
STOP: Final = 3.0
"""A gap longer than so many usual ones is a stop: lunch, a broken belt, a phone call. Assumed."""
_HELD: Final = 0.85
"""A drawing table busier than this holds the line [1]. Assumed."""


@dataclass(frozen=True, slots=True)
class TappedDay:
    """One closed day: its plan and its taps.

    Parameters
    ----------
    plan : DayPlan
        As it was.
    request : DayRequest
        What had been asked for.
    done : Progress
        What was counted.
    start : datetime
        Planned first bird.
    """

    plan: DayPlan
    request: DayRequest
    done: Progress
    start: dt.datetime


@dataclass(frozen=True, slots=True)
class GroupTimes:
    """The gaps of one day that say how fast a group of stations worked.

    Parameters
    ----------
    code : str
        ``"dirty"`` (catch to pick), ``"draw"``, ``"rinse"`` or ``"pack"``.
    planned_s : float
        The usual gap on the plan's own timetable [s].
    actual_s : ndarray
        Gaps of the day, odd ones among them [s].
    taps_s : ndarray
        The group's own counts [s].
    """

    code: GroupCode
    planned_s: float
    actual_s: Floats
    taps_s: Floats


def _spread(moments_s: Sequence[tuple[float, int]]) -> Floats:
    """Spread birds counted together evenly over the time since the count before."""
    found: list[float] = []
    last_s: float | None = None
    for at_s, birds in sorted(moments_s):
        if last_s is None or birds == 1:
            found.extend([at_s] * birds)
        else:
            found.extend(last_s + (at_s - last_s) * (n + 1) / birds for n in range(birds))
        last_s = at_s
    return np.sort(np.array(found, float))


def tapped_at_s(day: TappedDay, station: str, *, who: str | None = None) -> Floats:
    """Return when birds were counted at a station.

    Parameters
    ----------
    day : TappedDay
        A closed day.
    station : str
        Code of the station; at ``"bag"`` the packages count, too.
    who : str or None
        Only what this person counted; None takes everybody.

    Returns
    -------
    ndarray
        After the planned first bird, rising, shape (birds,) [s].

    References
    ----------
    Derivation: birds counted together are spread evenly over the time since the count before.
    """
    tallies = [t for t in day.done.tallies if t.station == station and who in (None, t.who)]
    moments = [((t.at - day.start).total_seconds(), t.birds) for t in tallies]
    if station == "bag":
        moments += [
            ((p.at - day.start).total_seconds(), p.birds) for p in day.done.packages if p.birds > 0
        ]
    return _spread(moments)


def planned_at_s(day: TappedDay, station: str) -> Floats:
    """Return when the plan's own birds would have been counted at a station.

    Parameters
    ----------
    day : TappedDay
        A closed day.
    station : str
        Code of the station.

    Returns
    -------
    ndarray
        After the planned first bird, rising, shape (birds,) [s].

    References
    ----------
    Derivation: going in at the cone and the chill, coming out elsewhere.
    """
    at = day.plan.stations.index("weigh" if station == "bag" else station)
    entering = station in ("kill", "chill")
    times = ((t.start_s if entering else t.finish_s)[at] for t in day.plan.threads)
    return np.sort(np.array([t for t in times if t is not None], float))


def _gaps(taps: Mapping[str, Floats], code: GroupCode, *, servers: int, load: int) -> Floats:
    """Return the times between counts that show how fast the group worked."""
    if code == "draw":
        done, came = taps["draw"], taps["pick"]
    elif code == "rinse":
        done, came = taps["chill"], taps["draw"]
        servers = 1
    elif code == "pack":
        return np.diff(taps["bag"])
    else:
        gaps: Floats = np.diff(taps["pick"][load - 1 :: load]) / load
        return gaps
    done = _without_doubled(done, surplus=len(done) - len(came))
    spent: Floats = service_times_s(done, came_s=came, servers=servers) if len(done) else done
    return spent


def _without_doubled(taps_s: Floats, *, surplus: int) -> Floats:
    """Leave out, of more birds done than came, those tapped right after another."""
    if surplus <= 0:
        return taps_s
    nearest = np.argsort(np.diff(taps_s, prepend=-np.inf), kind="stable")[:surplus]
    kept: Floats = np.delete(taps_s, nearest)
    return kept


def _table_use(taps: Mapping[str, Floats], *, servers: int, load: int) -> float:
    """Return the share of time the drawing table was at work; 1 where nothing is known."""
    known = robust_log(_gaps(taps, "draw", servers=servers, load=load))
    if known is None:
        return 1.0
    usual_s = math.exp(known.log_mean + known.log_sd**2 / 2)
    steps = np.diff(taps["draw"])
    span_s = float(np.minimum(steps, STOP * np.median(steps)).sum())
    return usual_s * len(steps) / (servers * span_s) if span_s > 0 else 1.0


def group_times(day: TappedDay) -> tuple[GroupTimes, ...]:
    """Return, for each group of stations, the plan's usual gap and the day's gaps.

    Parameters
    ----------
    day : TappedDay
        A closed day.

    Returns
    -------
    tuple of GroupTimes
        Only groups that plan and taps both say something about.

    References
    ----------
    Gourieroux, Monfort and Renault 1993, Journal of Applied Econometrics 8, S85-S118: the same
    simple estimate on data and on the model, compared (indirect inference).
    """
    codes = ("kill", "pick", "draw", "chill", "bag")
    planned = {code: planned_at_s(day, code) for code in codes}
    tapped = {code: tapped_at_s(day, code) for code in codes}
    drawers = sum(1 for p in day.request.people if "draw" in p.stations)
    servers = max(1, min(day.request.equipment.draw_places, drawers))
    load = max(1, day.request.equipment.drum_birds)
    found = []
    for code in GROUPS:
        actual = _gaps(tapped, code, servers=servers, load=load)
        planned_s = _usual_s(_gaps(planned, code, servers=servers, load=load))
        if code == "pack":
            planned_s = _hands_s(day, PACKING, {p.who for p in day.done.packages} - {""})
        elif code == "dirty":
            if _table_use(tapped, servers=servers, load=load) > _HELD:
                continue  # the table held the line, and these gaps are the table's
            if _table_use(planned, servers=servers, load=load) > _HELD:
                planned_s = _hands_s(day, DIRTY_SIDE, _dirty_people(day))
        if planned_s is not None and robust_log(actual) is not None:
            found.append(GroupTimes(code, planned_s, actual, tapped[_COUNTED_AT[code]]))
    return tuple(found)


def _usual_s(gaps_s: Floats) -> float | None:
    known = robust_log(gaps_s)
    return None if known is None else math.exp(known.log_mean + known.log_sd**2 / 2)


def _dirty_people(day: TappedDay) -> set[str]:
    """Return who works on the dirty side by the plan."""
    return {
        one.name
        for one in day.plan.people
        if any(set(stretch.stations) & DIRTY_SIDE for stretch in one.stretches)
    }


def _hands_s(day: TappedDay, codes: frozenset[str], people: set[str]) -> float | None:
    """Return the planned time of some stations' hands for one bird, shared among some people.

    Packing is planned bird by bird as each gets cold, but done together once all are proved, so
    the plan's own timetable is no guide to it.
    """
    own = {(t.station, t.phase): t.time_s for t in day.plan.own_times}
    line = line_of(day.request, times=own)
    hands_s = sum(station.hands_s for station in line if station.code in codes)
    paces = [p.speed for p in day.request.people if p.name in people] or [1.0]
    return hands_s / sum(paces) if hands_s > 0 else None


def own_gaps(day: TappedDay) -> dict[str, tuple[Floats, int]]:
    """Return, for those who counted their own birds at the drawing table, their times in order.

    Parameters
    ----------
    day : TappedDay
        A closed day.

    Returns
    -------
    dict of str to (ndarray, int)
        Times between a person's birds [s], and how many birds they drew. Empty where somebody
        who could draw did not count, since then one may have counted for all.

    References
    ----------
    :func:`pinfeather.line.learning.service_times_s` for one person alone; for several, who drew
    which bird is not known, and the plain gaps are taken.
    """
    names = {t.who for t in day.done.tallies if t.station == "draw"}
    drawers = {p.name for p in day.request.people if "draw" in p.stations}
    if not names or names != drawers:
        return {}
    came = tapped_at_s(day, "pick")
    found = {}
    for name in sorted(names):
        taps = tapped_at_s(day, "draw", who=name)
        alone = len(names) == 1 and len(came) >= len(taps)
        gaps = service_times_s(taps, came_s=came) if alone else np.diff(taps)
        found[name] = (gaps, len(taps))
    return found
