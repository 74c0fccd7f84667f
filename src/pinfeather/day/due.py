"""What is due next, from the plan's list and what has been done so far."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from pinfeather.day.chill_proof import proving_reading
from pinfeather.day.instruments import Trusted
from pinfeather.day.logged import Logged
from pinfeather.day.plan import DayPlan
from pinfeather.day.progress import Progress
from pinfeather.day.request import TankRequest
from pinfeather.day.todo import TankTimes, Todo, tank_todo
from pinfeather.words import gettext as _

_STATIONS: Final[Mapping[str, frozenset[str]]] = {
    "sanitiser": frozenset({"kill", "pick", "draw", "bag"}),
    "read_scalder": frozenset({"catch", "kill", "pick"}),
    "read_tank": frozenset({"chill", "draw"}),
    "stir": frozenset({"chill", "draw"}),
    "ice_more": frozenset({"chill", "draw"}),
    "probe": frozenset({"chill", "bag"}),
    "burner": frozenset({"catch", "kill", "pick"}),
    "ice_check": frozenset({"catch", "kill", "pick", "draw", "chill", "bag"}),
    "setup": frozenset({"catch", "kill", "draw"}),
    "ice": frozenset({"chill", "draw"}),
}
_READINGS: Final[Mapping[str, str]] = {
    "read_scalder": "scalder",
    "read_tank": "bath",
    "probe": "bird",
}
_NONE: Final = dt.timedelta(0)
WARM_TANK_DEGC: Final = 2.0
"""Above this a tank wants more ice [degC]. At 3 degC birds take a third longer, computed
independently with a breast slab."""


@dataclass(frozen=True, slots=True)
class Due:
    """One thing that is due.

    Parameters
    ----------
    task : str
        Code of the task.
    place : str
        Tank or station; may be empty.
    words : str
        What to do.
    at : datetime
        When.
    reading : str
        Kind of reading that does it; empty where a tap does.
    stations : frozenset of str
        Working pages it belongs on.
    caution : str
        What can hurt somebody; may be empty.
    """

    task: str
    place: str
    words: str
    at: dt.datetime
    reading: str
    stations: frozenset[str]
    caution: str


def shift(plan: DayPlan, done: Progress, *, start: dt.datetime) -> dt.timedelta:
    """Return how much later than planned the day began; zero until it has begun.

    Parameters
    ----------
    plan : DayPlan
        The plan.
    done : Progress
        The day so far.
    start : datetime
        Planned first bird.

    Returns
    -------
    timedelta
        Negative where it began early.

    References
    ----------
    Derivation: first count against the same count in the plan.
    """
    for station in ("catch", "kill"):
        times = done.times(station)
        if times:
            at = plan.stations.index(station)
            planned = [
                moment
                for thread in plan.threads
                for moment in [(thread.finish_s if station == "catch" else thread.start_s)[at]]
                if moment is not None
            ]
            return times[0] - (start + dt.timedelta(seconds=min(planned, default=0.0)))
    return dt.timedelta(0)


def due_list(
    plan: DayPlan,
    done: Progress,
    readings: Sequence[Trusted],
    *,
    start: dt.datetime,
    target_degC: float,
    logged: Sequence[Logged] = (),
    shop_tanks: Sequence[TankRequest] = (),
) -> tuple[Due, ...]:
    """List what is due, each task once with its next time.

    Parameters
    ----------
    plan : DayPlan
        With the to-do list.
    done : Progress
        The day so far.
    readings : sequence of Trusted
        Corrected readings.
    start : datetime
        Planned first bird.
    target_degC : float
        Temperature that proves a bird cold [degC].
    logged : sequence of Logged
        Kept logger curves.
    shop_tanks : sequence of TankRequest
        All tanks of the shop: one the plan left empty wants its tasks once it holds birds.

    Returns
    -------
    tuple of Due
        Soonest first.

    References
    ----------
    Derivation: a repeated task is next due one interval after it was last done.
    """
    late = shift(plan, done, start=start)
    left = plan.birds - sum(entry.birds for entry in done.explained)
    found: dict[tuple[str, str], Due] = {}
    others = _unplanned(plan, done, shop_tanks, start=start)
    tanks = {tank.name: tank for tank in (*plan.tank_times, *others)}
    for todo in (*plan.todo, *(task for tank in others for task in tank_todo(tank))):
        stations = _STATIONS.get(todo.code)
        if stations is None or (todo.code, todo.place) in found or _past(todo, done, left=left):
            continue
        if todo.place in tanks and (
            not _holds_birds(todo.place, done)
            or _proved(todo.place, done, readings, target_degC=target_degC, logged=logged)
        ):
            continue
        planned = start + dt.timedelta(seconds=todo.at_s) + (late if todo.at_s >= 0 else _NONE)
        if todo.place in tanks:
            planned = _tank_time(todo, tanks[todo.place], done)
        at = _next_time(todo, _last_done(todo, done), planned=planned, plan=plan)
        if at is not None:
            found[todo.code, todo.place] = Due(
                task=todo.code,
                place=todo.place,
                words=_words(plan, todo, again=_last_done(todo, done) is not None),
                at=at,
                reading=_READINGS.get(todo.code, ""),
                stations=stations,
                caution=todo.caution,
            )
    for warm in _warm_tanks(tanks, done, readings):
        found["ice_more", warm.reading.place] = Due(
            "ice_more",
            warm.reading.place,
            _("Add ice to {tank} now: its water is too warm.").format(tank=warm.reading.place),
            warm.reading.at,
            "",
            _STATIONS["ice_more"],
            "",
        )
    return tuple(sorted(found.values(), key=lambda due: due.at))


def _unplanned(
    plan: DayPlan, done: Progress, shop_tanks: Sequence[TankRequest], *, start: dt.datetime
) -> list[TankTimes]:
    """Return the tanks the plan left empty that hold birds, as slow as its slowest tank."""
    known = plan.tank_times
    stays_s = [tank.cold_s - tank.last_in_s for tank in known]
    stay_s = max(stays_s or [one.stay_s or 0.0 for one in plan.classes], default=0.0)
    limits_s = [tank.due_s - tank.first_in_s for tank in known]
    limit_s = min(limits_s or [one.due_s for one in plan.classes], default=0.0)
    found = []
    for tank in shop_tanks:
        if any(one.name == tank.name for one in known) or not _holds_birds(tank.name, done):
            continue
        moments = done.times_at("chill", tank.name)
        first_s, last_s = ((at - start).total_seconds() for at in (moments[0], moments[-1]))
        found.append(
            TankTimes(tank.name, first_s, last_s, last_s + stay_s, first_s + limit_s, tank.stirred)
        )
    return found


def _words(plan: DayPlan, todo: Todo, *, again: bool) -> str:
    """Return what a task says; the second time round it may read differently."""
    if not again:
        return todo.words
    later = [
        other.words for other in plan.todo if other.code == todo.code and other.at_s > todo.at_s
    ]
    return later[0] if later else todo.words


def _past(todo: Todo, done: Progress, *, left: int) -> bool:
    """Tell whether a task has no point any more."""
    if done.count("bag") >= left > 0:
        return True
    if todo.code == "read_scalder" and done.count("pick") >= left > 0:
        return True
    before_work = todo.at_s < 0 and todo.code not in {"sanitiser", "ice_check"}
    return before_work and bool(done.tallies)


def _next_time(
    todo: Todo, last: dt.datetime | None, *, planned: dt.datetime, plan: DayPlan
) -> dt.datetime | None:
    """Return when a task is next due, None where it was done for good."""
    if last is None:
        return planned
    if todo.code == "sanitiser":
        return last + dt.timedelta(seconds=plan.sanitiser.every_s)
    return last + dt.timedelta(seconds=todo.every_s) if todo.every_s else None


def _last_done(todo: Todo, done: Progress) -> dt.datetime | None:
    times = [d.at for d in done.done if d.task == todo.code and d.place in {todo.place, ""}]
    what = _READINGS.get(todo.code)
    if what == "bird":
        return None
    if what:
        times += [r.at for r in done.readings if r.what == what and r.place in {todo.place, ""}]
    if todo.code == "ice_check":
        times += [point.at for point in done.ice_points]
    return max(times, default=None)


def _tank_time(todo: Todo, tank: TankTimes, done: Progress) -> dt.datetime:
    """Count a tank's tasks from its real birds, not from the planned ones; it holds some."""
    real = done.times_at("chill", tank.name)
    if todo.code == "probe":
        # as long after the last bird as planned: half an hour before the limit at the latest
        return real[-1] + dt.timedelta(seconds=todo.at_s - tank.last_in_s)
    return real[0] + dt.timedelta(seconds=todo.at_s - tank.first_in_s)


def _holds_birds(tank: str, done: Progress) -> bool:
    return bool(done.times_at("chill", tank))


def _proved(
    tank: str,
    done: Progress,
    readings: Sequence[Trusted],
    *,
    target_degC: float,
    logged: Sequence[Logged],
) -> bool:
    last_in = done.times_at("chill", tank)[-1]
    found = proving_reading(
        readings, tank=tank, last_in=last_in, target_degC=target_degC, logged=logged
    )
    return found is not None


def _warm_tanks(
    tanks: Mapping[str, TankTimes], done: Progress, readings: Sequence[Trusted]
) -> list[Trusted]:
    """Return the newest reading of each tank whose water is too warm and got no ice since."""
    newest: dict[str, Trusted] = {}
    for one in sorted(readings, key=lambda one: one.reading.at):
        if one.reading.what == "bath" and one.reading.place in tanks:
            newest[one.reading.place] = one
    return [
        one
        for one in newest.values()
        if one.corrected_degC > WARM_TANK_DEGC
        and not any(
            d.task == "ice_more" and d.place == one.reading.place and d.at > one.reading.at
            for d in done.done
        )
    ]
