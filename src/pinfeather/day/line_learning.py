"""What the taps of closed days say about the farm's own times, and where a plan was wrong.

A tap tells when a bird was counted, not how long somebody worked on it: between two taps people
rinse, carry and wait. So the same sum is done twice, on the taps and on the plan's own timetable
of that day, and the ratio of the two moves the planned time.
"""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

from pinfeather.day.due import shift
from pinfeather.day.events import Progress
from pinfeather.day.flow import line_of
from pinfeather.day.plan import DayPlan
from pinfeather.day.request import DayRequest, Species
from pinfeather.estimate import Estimate
from pinfeather.line.learning import (
    FEWEST,
    Learned,
    learn_paces,
    learn_rate,
    learn_time,
    robust_log,
    service_times_s,
)
from pinfeather.line.stations import DIRTY_SIDE, PACKING, Station, handbook_phase
from pinfeather.words import gettext as _

Floats = NDArray[np.float64]
GroupCode = Literal["dirty", "draw", "rinse", "pack"]
GROUPS: Final[tuple[GroupCode, ...]] = ("dirty", "draw", "rinse", "pack")
_COUNTED_AT: Final[Mapping[GroupCode, str]] = {
    "dirty": "pick",
    "draw": "draw",
    "rinse": "chill",
    "pack": "bag",
}
LAST_DAYS: Final = 12
"""Closed days that are learned from; older ones are forgotten."""
_STOP: Final = 3.0
"""A gap longer than so many usual ones is a stop: lunch, a broken belt, a phone call. Assumed."""
_LONG_STOP_S: Final = 300.0
_HELD: Final = 0.85
"""A drawing table busier than this holds the line [1]. Assumed."""
_MOST_FOR_CURVE: Final = 300
_SHARE: Final = 0.1
"""A pace within a tenth of the plan is called as planned. Assumed."""

_HANDS: Final[Mapping[GroupCode, tuple[tuple[str, str], ...]]] = {
    "dirty": (
        ("catch", "carry"),
        ("kill", "load and cut"),
        ("pick", "load"),
        ("pick", "unload"),
        ("pick", "by hand"),
    ),
    "draw": (("draw", "draw"),),
    "rinse": (("rinse", "rinse"),),
    "pack": (("bag", "bag"), ("weigh", "weigh and label"), ("store", "put away")),
}
"""What is learned from each kind of gap. The water sets the scald and the law the bleeding."""


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


@dataclass(frozen=True, slots=True)
class LearnedPhase:
    """One time before and after the farm's own days.

    Parameters
    ----------
    station, phase : str
        Of what.
    learned : Learned
        Prior, data and posterior.
    days : int
        Days it was learned from.
    """

    station: str
    phase: str
    learned: Learned
    days: int


@dataclass(frozen=True, slots=True)
class LineLearning:
    """What is known of one kind of bird on this farm.

    Parameters
    ----------
    species : str
        The kind.
    days : int
        Closed days of this kind alone.
    phases : tuple of LearnedPhase
        In the order of the line.
    paces : mapping of str to Estimate
        Who counted at the drawing table, and their pace against all; empty for one person [1].
    draw_rate : Estimate or None
        Drawing time with twice the practice over the time before [1].
    """

    species: str
    days: int
    phases: tuple[LearnedPhase, ...]
    paces: Mapping[str, Estimate]
    draw_rate: Estimate | None

    def times(self) -> dict[tuple[str, str], Estimate]:
        """Return what to plan with: only times the farm's own taps say something about."""
        return {
            (one.station, one.phase): one.learned.posterior
            for one in self.phases
            if one.learned.data is not None
        }


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


def _tapped(day: TappedDay, station: str, *, who: str | None = None) -> Floats:
    tallies = [t for t in day.done.tallies if t.station == station and who in (None, t.who)]
    moments = [((t.at - day.start).total_seconds(), t.birds) for t in tallies]
    if station == "bag":
        moments += [
            ((p.at - day.start).total_seconds(), p.birds) for p in day.done.packages if p.birds > 0
        ]
    return _spread(moments)


def _planned(day: TappedDay, station: str) -> Floats:
    """Return when the plan's own birds would have been counted."""
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
    span_s = float(np.minimum(steps, _STOP * np.median(steps)).sum())
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
    planned = {code: _planned(day, code) for code in codes}
    tapped = {code: _tapped(day, code) for code in codes}
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


def _phase_times(day: TappedDay, line: Sequence[Station], one: GroupTimes) -> dict[
    tuple[str, str], Floats
]:  # fmt: skip
    """Turn a group's gaps into times of each of its tasks, by that day's plan."""
    fixed_s = 0.0
    if one.code == "dirty":
        scald = next(station for station in line if station.code == "scald")
        hands = sum(1 for p in day.request.people if p.stations & {"kill", "scald", "pick"})
        fixed_s = min(scald.hands_s / max(1, hands), 0.8 * one.planned_s)
    ratio = np.maximum(one.actual_s - fixed_s, 0.0) / (one.planned_s - fixed_s)
    if one.code in ("draw", "rinse"):
        ratio /= _taken_quicker(day, one.code)
    known = {(s.code, phase.name): phase.time_s.value for s in line for phase in s.phases}
    return {name: ratio * known[name] for name in _HANDS[one.code] if name in known}


def _taken_quicker(day: TappedDay, station: str) -> float:
    """Return how much quicker the plan took beginners to be at a station, all together.

    What is learned is the time at the paces asked for; what practice adds is learned apart.
    """
    taken = {one.name: one.speed.value for one in day.plan.practised}
    people = [p for p in day.request.people if station in p.stations]
    usual = math.fsum(p.speed for p in people)
    return math.fsum(p.speed * taken.get(p.name, 1.0) for p in people) / usual if usual else 1.0


def learn_line(days: Sequence[TappedDay], *, species: Species) -> LineLearning:
    """Learn the farm's own times for one kind of bird.

    Parameters
    ----------
    days : sequence of TappedDay
        Closed days in order of time; days with other birds among them are left out.
    species : str
        The kind of bird.

    Returns
    -------
    LineLearning
        Nothing is learned where there are fewer than five gaps.

    Notes
    -----
    The handbook stays the prior, however many days there are. Catching to picking is learned
    only from days on which the drawing table was not what held the line. The scald is set by the
    water, the bleeding by the law, and the picker's run by its clock.

    References
    ----------
    :func:`pinfeather.line.learning.learn_time`; :func:`group_times`.
    """
    mine = [d for d in days if {lot.species for lot in d.request.lots} == {species}][-LAST_DAYS:]
    times: dict[tuple[str, str], list[Floats]] = {}
    for day in mine:
        own = {(t.station, t.phase): t.time_s for t in day.plan.own_times}
        line = line_of(day.request, times=own)
        for one in group_times(day):
            for name, found in _phase_times(day, line, one).items():
                times.setdefault(name, []).append(found)
    phases = []
    for code in GROUPS:
        for station, phase in _HANDS[code]:
            by_day = times.get((station, phase), [])
            if not by_day and phase == "by hand":
                continue
            prior = handbook_phase(species, station, phase).time_s
            phases.append(LearnedPhase(station, phase, learn_time(prior, by_day), len(by_day)))
    drawing = times.get(("draw", "draw"), [])
    joined = np.concatenate(drawing)[:_MOST_FOR_CURVE] if drawing else np.zeros(0)
    rate = learn_rate(joined) if len(joined) >= 2 * FEWEST else None
    return LineLearning(species, len(mine), tuple(phases), _paces(mine), rate)


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
    came = _tapped(day, "pick")
    found = {}
    for name in sorted(names):
        taps = _tapped(day, "draw", who=name)
        alone = len(names) == 1 and len(came) >= len(taps)
        gaps = service_times_s(taps, came_s=came) if alone else np.diff(taps)
        found[name] = (gaps, len(taps))
    return found


def _paces(days: Sequence[TappedDay]) -> dict[str, Estimate]:
    """Compare the people who counted their own birds at the drawing table."""
    times: dict[str, list[float]] = {}
    for day in days:
        for who in sorted({t.who for t in day.done.tallies if t.station == "draw" and t.who}):
            own = np.diff(_tapped(day, "draw", who=who))
            times.setdefault(who, []).extend(own.tolist())
    if len(times) < 2:  # noqa: PLR2004 - one person cannot be compared
        return {}
    return learn_paces(times)


@dataclass(frozen=True, slots=True)
class PaceRow:
    """One group of stations, planned against actual.

    Parameters
    ----------
    code : str
        The group.
    planned_s, actual_s : float
        Usual time for one bird [s].
    birds : float
        Birds it rests on.
    stops_s : float
        Time in stops at this count, beyond the usual gap [s].
    stops : int
        How many.
    """

    code: GroupCode
    planned_s: float
    actual_s: float
    birds: float
    stops_s: float
    stops: int

    @property
    def slower_frac(self) -> float:
        """How much slower than planned; below zero is faster [1]."""
        return self.actual_s / self.planned_s - 1


@dataclass(frozen=True, slots=True)
class Hindsight:
    """Where the plan was wrong.

    Parameters
    ----------
    rows : tuple of PaceRow
        By group of stations.
    late_start_s : float
        How much later than planned the day began [s].
    line_late_s : float or None
        How much later than planned the last bird went into the chill [s].
    sentences : tuple of str
        The same in words, largest cause first.
    """

    rows: tuple[PaceRow, ...]
    late_start_s: float
    line_late_s: float | None
    sentences: tuple[str, ...]


_GROUP_WORDS: Final[Mapping[GroupCode, str]] = {
    "dirty": "Catch to pick",
    "draw": "Drawing",
    "rinse": "Rinsing",
    "pack": "Packing",
}


def group_words(code: GroupCode) -> str:
    """Return what a group of stations is called.

    Parameters
    ----------
    code : str
        The group.

    Returns
    -------
    str
        In words.

    References
    ----------
    Derivation: choice.
    """
    return _(_GROUP_WORDS[code])


def hindsight(day: TappedDay) -> Hindsight:
    """Say where the plan of a closed day was wrong and why.

    Parameters
    ----------
    day : TappedDay
        The day.

    Returns
    -------
    Hindsight
        Pace, stops and a late start, each in minutes.

    References
    ----------
    Derivation: :func:`group_times`; the late finish split into late start, stops and pace.
    """
    rows = tuple(_row(one) for one in group_times(day))
    begun = any(t.station in ("catch", "kill") for t in day.done.tallies)
    late_start_s = shift(day.plan, day.done, start=day.start).total_seconds() if begun else 0.0
    into, planned = _tapped(day, "chill"), _planned(day, "chill")
    line_late_s = None
    if len(into) and len(planned):
        line_late_s = float(into[min(len(into), len(planned)) - 1]) - float(
            planned[min(len(into), len(planned)) - 1]
        )
    return Hindsight(rows, late_start_s, line_late_s, _sentences(rows, late_start_s, line_late_s))


def _row(one: GroupTimes) -> PaceRow:
    known = robust_log(one.actual_s)
    assert known is not None  # noqa: S101 - group_times leaves the others out
    usual_s = math.exp(known.log_mean + known.log_sd**2 / 2)
    steps = np.diff(one.taps_s)
    usual_step_s = float(np.median(steps))
    long = steps > max(_STOP * usual_step_s, _LONG_STOP_S)
    lost_s = float((steps[long] - usual_step_s).sum())
    return PaceRow(one.code, one.planned_s, usual_s, known.used, lost_s, int(long.sum()))


def _sentences(
    rows: Sequence[PaceRow], late_start_s: float, line_late_s: float | None
) -> tuple[str, ...]:
    found: list[tuple[float, str]] = []
    if abs(late_start_s) >= 60:  # noqa: PLR2004 - a minute
        words = _("The day began {n} min late.") if late_start_s > 0 else _(
            "The day began {n} min early."
        )  # fmt: skip
        found.append((abs(late_start_s), words.format(n=round(abs(late_start_s) / 60))))
    for row in rows:
        lost_s = (row.actual_s - row.planned_s) * row.birds
        if abs(row.slower_frac) > _SHARE:
            words = (
                _("{group}: {actual} a bird where the plan had {planned}, {n} % slower.")
                if row.slower_frac > 0
                else _("{group}: {actual} a bird where the plan had {planned}, {n} % faster.")
            )
            found.append(
                (
                    abs(lost_s),
                    words.format(
                        group=group_words(row.code),
                        actual=_short(row.actual_s),
                        planned=_short(row.planned_s),
                        n=round(100 * abs(row.slower_frac)),
                    ),
                )
            )
        if row.stops and row.code != "pack":
            words = _(
                "{group}: {n} min in stops of more than three usual gaps; not counted as pace."
            )
            found.append(
                (row.stops_s, words.format(group=group_words(row.code), n=round(row.stops_s / 60)))
            )
    found.sort(key=lambda one: -one[0])
    sentences = [words for _size, words in found]
    if line_late_s is not None:
        whole = round(abs(line_late_s) / 60)
        if whole == 0:
            first = _("The last bird went into the chill when the plan said.")
        elif line_late_s > 0:
            first = _("The last bird went into the chill {n} min after the plan.").format(n=whole)
        else:
            first = _("The last bird went into the chill {n} min before the plan.").format(n=whole)
        sentences.insert(0, first)
    if rows and not found:
        sentences.append(_("Every station kept within a tenth of its planned pace."))
    return tuple(sentences)


def _short(time_s: float) -> str:
    if time_s < 120:  # noqa: PLR2004 - seconds read better below two minutes
        return _("{n:.0f} s").format(n=time_s)
    return _("{m} min {s:02d} s").format(m=round(time_s) // 60, s=round(time_s) % 60)
