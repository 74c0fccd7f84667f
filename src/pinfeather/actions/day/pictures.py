"""The day's pictures: the strip and the cold curves, from plan and journal."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from typing import Final

import numpy as np

from pinfeather import clock
from pinfeather.actions.day.days import DayView
from pinfeather.actions.day.shopfloor import Floor
from pinfeather.actions.day.standing import standing
from pinfeather.day.chill_proof import ChillVerdict
from pinfeather.day.cold_now import BatchNow
from pinfeather.day.events import COUNTED
from pinfeather.day.progress import Progress
from pinfeather.day.reconcile import Gap
from pinfeather.heat.carcass import chill_curve
from pinfeather.reports.cold_curve import BandPoint, ColdCurve, LoggerLine, MetTime, ProbeReading
from pinfeather.reports.strip import Strip, StripPoint, StripThread
from pinfeather.words import gettext as _
from pinfeather.words import gettext_noop

STATION_WORDS: Final[Mapping[str, str]] = {
    "catch": gettext_noop("Catch"),
    "kill": gettext_noop("Cone"),
    "scald": gettext_noop("Scald"),
    "pick": gettext_noop("Pick"),
    "draw": gettext_noop("Draw"),
    "rinse": gettext_noop("Rinse"),
    "chill": gettext_noop("Chill"),
    "bag": gettext_noop("Bag"),
    "weigh": gettext_noop("Weigh"),
    "store": gettext_noop("Put away"),
}
_SHOWN: Final = ("catch", "kill", "scald", "pick", "draw", "rinse", "chill", "bag")
_TAIL: Final = dt.timedelta(minutes=10)
_CURVE_POINTS: Final = 60
_LOGGER_POINTS: Final = 300
_LONGEST_CURVE_S: Final = 24 * 3600.0


def day_strip(
    day: DayView,
    done: Progress | None = None,
    *,
    now: dt.datetime | None = None,
    gaps: Sequence[Gap] = (),
) -> Strip:
    """Put plan and counts together as the strip.

    Parameters
    ----------
    day : DayView
        With its plan.
    done : Progress or None
        The counts; None for a plan alone.
    now : datetime or None
        Where "now" is drawn.
    gaps : sequence of Gap
        Birds unaccounted for are drawn as late.
    """
    codes = [code for code in _SHOWN if code in day.plan.stations]
    columns = [day.plan.stations.index(code) for code in codes]
    planned = tuple(
        StripThread(
            str(number + 1),
            tuple(
                StripPoint(
                    place,
                    thread.arrive_s[column],
                    thread.start_s[column],
                    thread.finish_s[column],
                    thread.depart_s[column],
                )
                for place, column in enumerate(columns)
                if thread.start_s[column] is not None
            ),
        )
        for number, thread in enumerate(day.plan.threads)
    )
    actual = () if done is None else _actual(day, done, codes, gaps=gaps)
    ends = [day.moment(min(day.plan.end_s, 24 * 3600.0)) + _TAIL]
    if now is not None and now > day.start:
        ends.append(min(now, day.start + dt.timedelta(hours=24)) + _TAIL)
    if done is not None and done.tallies:
        last = max(*(t.at for t in done.tallies), *(p.at for p in done.packages), day.start)
        ends.append(min(last, day.start + dt.timedelta(hours=24)) + _TAIL)
    deadline = day.request.deadline
    zone = clock.zone(day.zone)
    return Strip(
        stations=tuple(_(STATION_WORDS[code]) for code in codes),
        planned=planned,
        actual=actual,
        start=day.start,
        now=None if now is None else now.astimezone(zone),
        until=max(end.astimezone(zone) for end in ends),
        deadline=None if deadline is None else dt.datetime.combine(day.date, deadline, tzinfo=zone),
        chill_station=codes.index("chill") if "chill" in codes else None,
        deadline_words=day.request.deadline_reason,
    )


def _actual(
    day: DayView, done: Progress, codes: Sequence[str], *, gaps: Sequence[Gap]
) -> tuple[StripThread, ...]:
    """Thread the counts: the n-th count at each station is the n-th bird still on the line.

    A tap says when a bird was done (or cut, or put on ice); how long it was worked on is taken
    from the plan.
    """
    work_s = {one.code: one.work_s for one in day.plan.station_plans}
    times = {
        code: [(t - day.start).total_seconds() for t in done.times(code)]
        for code in COUNTED
        if code in codes
    }
    missing = {gap.after: gap.unaccounted for gap in gaps if gap.unaccounted > 0}
    birds = max((len(moments) for moments in times.values()), default=0)
    threads = []
    for bird in range(birds):
        points: list[StripPoint] = []
        late, floor = False, float("-inf")
        for code, moments in times.items():
            if bird >= len(moments):
                break
            moment = max(moments[bird], floor)
            floor = moment
            following = times.get(_next(code), [])
            reached_next = bird < len(following)
            begun = moment
            ended: float | None = moment
            if code == "chill":
                ended = max(following[bird], moment) if reached_next else None
            elif code == "kill":
                until = following[bird] if reached_next else float("inf")
                ended = max(moment, min(moment + work_s.get(code, 0.0), until))
            elif points:
                begun = max(points[-1].finish_s or moment, moment - work_s.get(code, 0.0))
            points.append(StripPoint(codes.index(code), None, min(begun, moment), ended, None))
            late = late or (not reached_next and missing.get(code, 0) > 0)
        if points:
            threads.append(StripThread(str(bird + 1), tuple(points), late=late))
    return tuple(threads)


def _next(code: str) -> str:
    at = COUNTED.index(code) + 1
    return COUNTED[at] if at < len(COUNTED) else ""


def cold_curves(
    floor: Floor,
    verdicts: Sequence[ChillVerdict],
    *,
    now: dt.datetime | None,
    batches: Sequence[BatchNow] | None = None,
) -> tuple[ColdCurve, ...]:
    """Draw each chill batch: band of its largest bird, readings, loggers, the limit, the clock.

    Parameters
    ----------
    floor : Floor
        The day.
    verdicts : sequence of ChillVerdict
        The batches, in the order wanted.
    now : datetime or None
        Where "now" is drawn; None for a day that is over.
    batches : sequence of BatchNow or None
        How they stand, where that is known already.
    """
    day = floor.day
    if batches is None:
        moments = [one.reading.at for one in floor.readings] or [day.start]
        batches = standing(floor, verdicts, now=now or day.sealed_at or max(moments))
    of_tank = {one.verdict.batch.tank: one for one in batches}
    return tuple(_cold_curve(floor, of_tank[verdict.batch.tank], now=now) for verdict in verdicts)


def _cold_curve(floor: Floor, one: BatchNow, *, now: dt.datetime | None) -> ColdCurve:
    batch, zone = one.verdict.batch, clock.zone(floor.day.zone)
    curves = [c for c in floor.logged if c.note.place == batch.tank]
    # a logger may have seen its bird before the last one went in
    begins = [max(batch.first_cut, c.at(0)) for c in curves]
    start = min([batch.last_in, *begins]).astimezone(zone)
    in_s = (batch.last_in - start).total_seconds()

    def since(moment: dt.datetime) -> float:
        return (moment - start).total_seconds()

    readings = [
        ProbeReading(since(r.reading.at), r.corrected_degC, r.reading.instrument)
        for r in floor.readings
        if r.reading.what == "bird" and r.reading.place == batch.tank
    ]
    loggers = tuple(
        LoggerLine(
            _("{name}, {what}").format(
                name=curve.note.instrument,
                what=_("logger in a bird")
                if curve.note.what == "bird"
                else _("logger in the water"),
            ),
            tuple(
                (
                    float(curve.times_s[k]) - start.timestamp(),
                    float(curve.corrected_degC[k]),
                )
                for k in _thin(len(curve.times_s))
            ),
        )
        for curve in curves
    )
    due_s = since(batch.due)
    low, value, high = (
        None if m is None else since(m)
        for m in (one.expected.low, one.expected.value, one.expected.high)
    )
    last = max(
        [
            *(r.t_s for r in readings),
            *(line.points[-1][0] for line in loggers if one.verdict.by is None),
            0.0 if one.verdict.by is None else since(one.verdict.by.reading.at),
        ]
    )
    length_s = min(
        max(due_s * 1.05, (high or value or 0.0) * 1.05, last * 1.1, 3600.0), _LONGEST_CURVE_S
    )
    times_s = np.linspace(0.0, max(length_s - in_s, 60.0), _CURVE_POINTS)
    band = chill_curve(
        times_s,
        one.mass_kg,
        build=one.lot.build,
        bath=one.bath,
        bath_degC=one.bath_degC,
        thickness_m=one.thickness_m,
        surface_W_per_m2K=one.surface_W_per_m2K,
    )
    limit = batch.limit.target
    return ColdCurve(
        batch=batch.tank,
        place=_("deep breast of the largest bird"),
        start=start,
        length_s=length_s,
        limit=limit.value,
        limit_unit="F" if limit.unit == "F" else "C",
        expected=tuple(
            BandPoint(*map(float, row))
            for row in zip(
                times_s + in_s, band.low_degC, band.centre_degC, band.high_degC, strict=True
            )
        ),
        readings=tuple(readings),
        clock_limit_s=due_s if due_s > 0 else None,
        met=None if value is None or low is None else MetTime(low, value, high or length_s),
        now=None if now is None else now.astimezone(zone),
        loggers=loggers,
    )


def _thin(count: int) -> list[int]:
    """Choose readings of a long curve, the last one among them."""
    step = max(1, count // _LOGGER_POINTS)
    return [*range(0, count - 1, step), count - 1]
