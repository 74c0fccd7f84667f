"""The day's pictures: the strip and the cold curves, from plan and journal."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from typing import Final, Literal

import numpy as np

from pinfeather import clock
from pinfeather.actions.days import DayView
from pinfeather.actions.shopfloor import Floor
from pinfeather.day.chill_proof import ChillVerdict
from pinfeather.day.cold import SLUSH_DEGC
from pinfeather.day.events import COUNTED, Progress
from pinfeather.day.reconcile import Gap
from pinfeather.heat.carcass import chill_curve, chill_time
from pinfeather.reports.cold_curve import BandPoint, ColdCurve, MetTime, ProbeReading
from pinfeather.reports.strip import Strip, StripPoint, StripThread
from pinfeather.words import gettext as _

STATION_WORDS: Final[Mapping[str, str]] = {
    "catch": "Catch",
    "kill": "Cone",
    "scald": "Scald",
    "pick": "Pick",
    "draw": "Draw",
    "rinse": "Rinse",
    "chill": "Chill",
    "bag": "Bag",
    "weigh": "Weigh",
    "store": "Store",
}
_SHOWN: Final = ("catch", "kill", "scald", "pick", "draw", "rinse", "chill", "bag")
_TAIL: Final = dt.timedelta(minutes=10)
_CURVE_POINTS: Final = 60


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
        ends.append(
            max(*(t.at for t in done.tallies), *(p.at for p in done.packages), day.start) + _TAIL
        )
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
    floor: Floor, verdicts: Sequence[ChillVerdict], *, now: dt.datetime | None
) -> tuple[ColdCurve, ...]:
    """Draw each chill batch: the band of its largest bird, the readings, the limit, the clock."""
    day = floor.day
    zone = clock.zone(day.zone)
    tanks = {tank.name: tank for tank in day.request.equipment.tanks}
    curves = []
    for verdict in verdicts:
        batch = verdict.batch
        lots = [lot for lot in day.request.lots if lot.code in batch.lots] or list(day.request.lots)
        lot = max(lots, key=lambda one: max(one.masses_kg))
        mass_kg = max(lot.masses_kg)
        tank = tanks.get(batch.tank)
        bath: Literal["still", "stirred"] = "stirred" if tank and tank.stirred else "still"
        limit = batch.limit.target
        start = batch.last_in.astimezone(zone)
        met = chill_time(
            mass_kg, build=lot.build, bath=bath, bath_degC=SLUSH_DEGC, limit_degC=limit.si
        )
        readings = [
            one
            for one in floor.readings
            if one.reading.what == "bird" and one.reading.place == batch.tank
        ]
        due_s = (batch.due - batch.last_in).total_seconds()
        last = max(((r.reading.at - batch.last_in).total_seconds() for r in readings), default=0.0)
        length_s = max(due_s * 1.05, (met.high_s or 0.0) * 1.05, last * 1.1, 3600.0)
        times_s = np.linspace(0.0, length_s, _CURVE_POINTS)
        band = chill_curve(times_s, mass_kg, build=lot.build, bath=bath, bath_degC=SLUSH_DEGC)
        curves.append(
            ColdCurve(
                batch=batch.tank,
                place=_("deep breast of the largest bird"),
                start=start,
                length_s=length_s,
                limit=limit.value,
                limit_unit="F" if limit.unit == "F" else "C",
                expected=tuple(
                    BandPoint(*map(float, row))
                    for row in zip(
                        times_s, band.low_degC, band.centre_degC, band.high_degC, strict=True
                    )
                ),
                readings=tuple(
                    ProbeReading(
                        (one.reading.at - batch.last_in).total_seconds(),
                        one.corrected_degC,
                        one.reading.instrument,
                    )
                    for one in readings
                ),
                clock_limit_s=due_s if due_s > 0 else None,
                met=None
                if met.time_s is None or met.low_s is None
                else MetTime(met.low_s, met.time_s, met.high_s or met.time_s),
                now=None if now is None else now.astimezone(zone),
            )
        )
    return tuple(curves)
