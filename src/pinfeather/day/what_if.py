"""Two plans for one day side by side: what a change does to the line and to the evening."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

from pinfeather.day import cold
from pinfeather.day.flow import Flow, flow
from pinfeather.day.luck import drawn_work, gains_on
from pinfeather.day.request import DayRequest, LotRequest
from pinfeather.errors import InputError, InputFaultsError
from pinfeather.estimate import Basis, Estimate, Origin
from pinfeather.finding import Finding, Severity, by_severity
from pinfeather.heat.carcass import ChillTime
from pinfeather.line.choose import WaitLimits, choose_flow
from pinfeather.line.findings import LineLimits, line_findings
from pinfeather.line.posts import Team, team_times
from pinfeather.line.recursion import pass_through
from pinfeather.line.replicate import Gain, band
from pinfeather.line.simulate import Cross, FlowLimits, Timetable, simulate
from pinfeather.line.stations import PACKING
from pinfeather.rules.profile import load
from pinfeather.words import gettext as _

Floats = NDArray[np.float64]
Way = Literal["posts", "events"]

POST_DAYS: Final = 200
"""Simulated days where everybody keeps to a post."""
_BIRD_DAYS: Final = 1000
"""Birds times simulated days otherwise, so that 200 birds are answered within a second."""
_FEWEST_DAYS: Final = 4
_MOST_DAYS: Final = 24
_RANKED_BIRD_DAYS: Final = 200
"""Birds times simulated days for each entry of the changed plan's ranked list."""
_MOST_RANKED_DAYS: Final = 6
RANKED_AT_ONCE_BIRDS: Final = 100
"""Larger days are ranked only when somebody asks, so that the answer itself comes in a second."""
MOST_RANKED_BIRDS: Final = 500
"""Larger days are not ranked while somebody waits; a saved plan is."""
_AGREES_FRAC: Final = 0.02
"""How near fixed posts must come to the event simulation on the planned day to be used [1]."""


@dataclass(frozen=True, slots=True)
class Side:
    """One of the two plans, played through once by its own times.

    Parameters
    ----------
    request : DayRequest
        What was asked for.
    day : Flow
        Its line, people and birds.
    limits : FlowLimits
        How the flow is held back.
    table : Timetable
        The day by the planned times.
    start_s : float
        First bird after midnight [s].
    findings : tuple of Finding
        What is wrong on the line.
    """

    request: DayRequest
    day: Flow
    limits: FlowLimits
    table: Timetable
    start_s: float
    findings: tuple[Finding, ...]


@dataclass(frozen=True, slots=True)
class PlayedDays:
    """One plan played on days with luck.

    Parameters
    ----------
    side : Side
        The plan.
    seed : int
        Of the luck.
    luck : ndarray
        Each bird's time over the planned one, shape (days, birds, phases) [1].
    line_s, packed_s : ndarray
        Ends of each day; not-a-number where birds are left over [s].
    """

    side: Side
    seed: int
    luck: Floats
    line_s: Floats
    packed_s: Floats


@dataclass(frozen=True, slots=True)
class Difference:
    """How much sooner the changed day is done; below zero is later.

    Parameters
    ----------
    line_s, packed_s : Estimate or None
        Until the last bird is through the line, and until the last package is put away; half
        of the days and the middle eight in ten. None where no day of both gets all birds
        through [s].
    line_half_s, packed_half_s : float
        Half the width of the 95 % interval of the mean difference [s].
    days : int
        Pairs of simulated days with the same birds and times that count.
    left_out : int
        Pairs left out because birds were left over on one of the two days.
    way : str
        ``"posts"`` where nobody shares stations, ``"events"`` otherwise.
    """

    line_s: Estimate | None
    packed_s: Estimate | None
    line_half_s: float
    packed_half_s: float
    days: int
    left_out: int
    way: Way


@dataclass(frozen=True, slots=True)
class Ranked:
    """What one more of each would buy on a plan, worked out quickly.

    Parameters
    ----------
    gains : tuple of Gain
        Best first; empty where birds are left over, or there are too many birds to wait for.
    days : int
        Simulated days each was tried on; 0 is the planned day alone, without luck.
    """

    gains: tuple[Gain, ...]
    days: int


@lru_cache(maxsize=16)
def _chills(
    lots: tuple[LotRequest, ...], stirred: bool, profile: str
) -> tuple[tuple[ChillTime, ...], ...]:
    """Compute the birds' times in the tank; the same birds are asked about again and again."""
    rules = load(profile)
    return tuple(tuple(cold.bird_chill_times(one, stirred=stirred, profile=rules)) for one in lots)


def set_up(
    request: DayRequest,
    *,
    limits: FlowLimits | None = None,
    crosses: tuple[Cross, ...] = ("seldom", "freely"),
    times: Mapping[tuple[str, str], Estimate] | None = None,
) -> Side:
    """Play one plan through by its own times.

    Parameters
    ----------
    request : DayRequest
        What is asked for.
    limits : FlowLimits or None
        How the flow is held back; None chooses it anew.
    crosses : tuple of str
        Ways of changing sides to choose among.
    times : mapping or None
        The farm's own station times, by (station, phase).

    Returns
    -------
    Side
        With what is wrong on its line.

    Raises
    ------
    InputFaultsError
        If nobody is there to begin with the first bird.

    References
    ----------
    :func:`pinfeather.line.choose.choose_flow`.
    """
    profile = load(request.profile)
    stirred = all(tank.stirred for tank in request.equipment.tanks)
    day = flow(request, _chills(request.lots, stirred, request.profile), times=times)
    allowed = WaitLimits(
        warm_s=profile.timing.pick_to_chill.si, drawn_s=profile.timing.cut_to_drawn.si
    )
    if limits is None:
        limits = choose_flow(
            day.stations, day.people, work_s=day.work_s, allowed=allowed, crosses=crosses
        ).limits
    table = simulate(day.stations, day.people, work_s=day.work_s, limits=limits)
    if np.isnan(table.phase_start_s).all():
        nobody = _("Nobody is there long enough to begin with the first bird. Check the hours.")
        raise InputFaultsError([InputError("people", None, nobody)])
    start_s = _clock_s(request.start.hour, request.start.minute)
    deadline_s = None
    if request.deadline is not None:
        deadline_s = _clock_s(request.deadline.hour, request.deadline.minute) - start_s
    found = line_findings(
        table,
        day.stations,
        people=day.people,
        limits=LineLimits(warm_s=allowed.warm_s, drawn_s=allowed.drawn_s, deadline_s=deadline_s),
    )
    kept = (f for f in found if f.severity is not Severity.NOTE and f.code != "line.no_break")
    return Side(request, day, limits, table, start_s, by_severity(tuple(kept)))


def _clock_s(hour: int, minute: int) -> float:
    return hour * 3600.0 + minute * 60.0


def paired_days(birds: int) -> int:
    """Return how many pairs of days the event simulation plays within about a second.

    Parameters
    ----------
    birds : int
        Birds on the day.

    Returns
    -------
    int
        From 4 to 24.

    References
    ----------
    Derivation: 1,000 birds' days, measured.
    """
    return max(_FEWEST_DAYS, min(_MOST_DAYS, _BIRD_DAYS // max(1, birds)))


def teams_at_posts(day: Flow, *, until_s: float) -> tuple[Team, ...] | None:
    """Return the teams where nobody shares stations with another team, otherwise None.

    Parameters
    ----------
    day : Flow
        Its line and people.
    until_s : float
        Everybody must be there to this moment without a break [s].

    Returns
    -------
    tuple of Team or None
        In the line's order; stations that need nobody have a team of their own.

    Notes
    -----
    Whoever serves several stations must follow one another along the line and stay with each
    bird, so none of their stations may take loads or run by itself.

    References
    ----------
    Derivation: the skills must fall apart into groups without anything in common.
    """
    if any(who.breaks or who.from_s > 0 or who.to_s < until_s for who in day.people):
        return None
    groups: dict[frozenset[str], int] = {}
    hands = {station.code for station in day.stations if station.hands_s > 0}
    for who in day.people:
        mine = who.stations & hands
        groups[mine] = groups.get(mine, 0) + 1
        if who.speed != 1.0:
            return None
    if sum(len(mine) for mine in groups) != len(hands):
        return None
    teams: list[Team] = []
    for station in day.stations:
        mine = next((group for group in groups if station.code in group), frozenset())
        if teams and station.code in mine and teams[-1].stations[-1] in mine:
            teams[-1] = Team((*teams[-1].stations, station.code), teams[-1].people)
            continue
        if not mine:
            teams.append(Team((station.code,), len(day.birds)))
            continue
        alone = all(phase.attended for phase in station.phases) and station.batch == 1
        if len(mine) > 1 and not alone:
            return None
        people = groups[mine]
        teams.append(Team((station.code,), people if alone else station.servers * station.batch))
    split = [code for team in teams for code in team.stations]
    whole = len({team.stations[0] for team in teams}) == len(teams)
    joined = sum(1 for team in teams if set(team.stations) & hands) == len(groups)
    return tuple(teams) if whole and joined and len(split) == len(day.stations) else None


def played_days(side: Side, *, seed: int = 1, days: int | None = None) -> PlayedDays:
    """Play a plan on days with luck, so that several changes can be set against them.

    Parameters
    ----------
    side : Side
        The plan as it stands.
    seed : int
        Same seed, same days.
    days : int or None
        How many; None takes what can be answered in about a second.

    Returns
    -------
    PlayedDays
        For :func:`difference`.

    References
    ----------
    Law, Simulation Modeling and Analysis: independent replications of a terminating run.
    """
    count = days or paired_days(len(side.day.birds))
    work = drawn_work(side.day, days=count, seed=seed, sure=True)
    luck = np.divide(work, side.day.work_s, out=np.ones_like(work), where=side.day.work_s > 0)
    return PlayedDays(side, seed, luck, *_event_ends(side, work_s=work))


def difference(
    now: Side,
    then: Side,
    *,
    seed: int = 1,
    days: int | None = None,
    before: PlayedDays | None = None,
) -> Difference:
    """Say how much sooner the changed day is done, on days with the same birds and luck.

    Parameters
    ----------
    now, then : Side
        The plan as it stands and the changed one, with the same birds.
    seed : int
        Same seed, same answer.
    days : int or None
        Pairs of days; None takes what can be answered in about a second.
    before : PlayedDays or None
        The plan as it stands, if it has been played on days with luck already; gives seed and
        number of days where they are played event by event.

    Returns
    -------
    Difference
        With the number of days and the half-width.

    Raises
    ------
    InputError
        If the two days have different birds.

    Notes
    -----
    The plan's times are taken as certain; only single birds differ. Where everybody keeps to a
    post, and fixed posts agree with the event simulation on the planned day to two in a
    hundred, hundreds of days are computed at once; otherwise a few are played event by event.

    References
    ----------
    Law, Simulation Modeling and Analysis, on common random numbers and paired differences.
    """
    if now.day.birds != then.day.birds:
        raise InputError("birds", None, _("The two days must have the same birds."))
    shift_s = now.start_s - then.start_s
    quick = _posts(now), _posts(then)
    if quick[0] is not None and quick[1] is not None:
        first = drawn_work(now.day, days=days or POST_DAYS, seed=seed, sure=True)
        ratio = np.divide(first, now.day.work_s, out=np.ones_like(first), where=now.day.work_s > 0)
        return _difference(
            _post_ends(now, quick[0], work_s=first),
            _post_ends(then, quick[1], work_s=_again(now, then, ratio, seed=seed)),
            shift_s=shift_s,
            way="posts",
        )
    before = before or played_days(now, seed=seed, days=days)
    work = _again(now, then, before.luck, seed=before.seed)
    ends = _event_ends(then, work_s=work)
    return _difference((before.line_s, before.packed_s), ends, shift_s=shift_s, way="events")


def _again(now: Side, then: Side, luck: Floats, *, seed: int) -> Floats:
    """Return the changed day's work with the same luck."""
    if _tasks(now) == _tasks(then):
        same: Floats = luck * then.day.work_s
        return same
    return drawn_work(then.day, days=len(luck), seed=seed, sure=True)


def _tasks(side: Side) -> list[tuple[str, str, float]]:
    return [(s.code, phase.name, phase.cv) for s in side.day.stations for phase in s.phases]


def _posts(side: Side) -> tuple[Team, ...] | None:
    teams = teams_at_posts(side.day, until_s=side.table.end_s * 1.5)
    if teams is None or side.table.unfinished:
        return None
    line_s, packed_s = _post_ends(side, teams, work_s=side.day.work_s[None])
    near = (
        abs(line_s[0] / side.table.line_end_s - 1) <= _AGREES_FRAC
        and abs(packed_s[0] / side.table.end_s - 1) <= _AGREES_FRAC
    )
    return teams if near else None


def _post_ends(side: Side, teams: Sequence[Team], *, work_s: Floats) -> tuple[Floats, Floats]:
    """Return when the line and the packing end on each day, everybody at their post."""
    posts, times = team_times(side.day.stations, teams, work_s=work_s)
    passage = pass_through(posts, times)
    last = max(n for n, team in enumerate(teams) if not set(team.stations) & {"chill", *PACKING})
    line_s: Floats = passage.depart_s[:, last].max(axis=0)
    return line_s, passage.end_s


def _event_ends(side: Side, *, work_s: Floats) -> tuple[Floats, Floats]:
    """Return the same, played event by event; not-a-number where birds are left over."""
    line_s, packed_s = [], []
    for one in work_s:
        run = simulate(side.day.stations, side.day.people, work_s=one, limits=side.limits)
        whole = not run.unfinished
        line_s.append(run.line_end_s if whole else np.nan)
        packed_s.append(run.end_s if whole else np.nan)
    return np.array(line_s), np.array(packed_s)


def _difference(
    now: tuple[Floats, Floats], then: tuple[Floats, Floats], *, shift_s: float, way: Way
) -> Difference:
    saved = [before - after + shift_s for before, after in zip(now, then, strict=True)]
    good = np.isfinite(saved[0]) & np.isfinite(saved[1])
    kept = [one[good] for one in saved]
    count, left_out = int(good.sum()), int((~good).sum())
    if not count:
        return Difference(None, None, np.inf, np.inf, 0, left_out, way)
    note = _("{n} pairs of simulated days with the same birds and times").format(n=count)
    basis = Basis(Origin.COMPUTED, note)
    found = []
    for one in kept:
        low, middle, high = (float(p) for p in np.percentile(one, (10, 50, 90)))
        found.append(Estimate(middle, low, high, basis))
    halves = [band(one).half_width_s for one in kept]
    return Difference(found[0], found[1], halves[0], halves[1], count, left_out, way)


def ranked(side: Side, *, seed: int = 1) -> Ranked:
    """Say quickly what one more of each would buy on a plan.

    Parameters
    ----------
    side : Side
        The plan, such as one with a change that is not saved.
    seed : int
        Same seed, same days.

    Returns
    -------
    Ranked
        On a few simulated days; above a hundred birds on the planned day alone.

    References
    ----------
    :func:`pinfeather.day.luck.gains`.
    """
    birds = len(side.day.birds)
    if side.table.unfinished or birds > MOST_RANKED_BIRDS:
        return Ranked((), 0)
    days = min(_MOST_RANKED_DAYS, _RANKED_BIRD_DAYS // birds)
    if days < 2:  # noqa: PLR2004 - one day with luck says less than the planned one
        return Ranked(gains_on(side.day, limits=side.limits, work_s=side.day.work_s[None]), 0)
    work_s = drawn_work(side.day, days=days, seed=seed, sure=True)
    return Ranked(gains_on(side.day, limits=side.limits, work_s=work_s), days)


def new_findings(now: Side, then: Side) -> tuple[Finding, ...]:
    """Return what the changed plan has wrong that the plan as it stands has not.

    Parameters
    ----------
    now, then : Side
        The two plans.

    Returns
    -------
    tuple of Finding
        By code and place; worst first.

    References
    ----------
    Derivation: set difference.
    """
    known = {(f.code, f.where) for f in now.findings}
    return tuple(f for f in then.findings if (f.code, f.where) not in known)


def difference_words(found: Difference) -> str:
    """Say the difference in one sentence.

    Parameters
    ----------
    found : Difference
        The difference.

    Returns
    -------
    str
        In minutes, with the middle eight days in ten.

    References
    ----------
    Derivation: seconds rounded to minutes.
    """
    if found.line_s is None or found.packed_s is None:
        return _("Not all birds get through on these days, so there is no difference to give.")
    return _("The line is done {line}, all packed {packed}.").format(
        line=_sooner(found.line_s), packed=_sooner(found.packed_s)
    )


def _sooner(saved_s: Estimate) -> str:
    low, middle, high = (round(s / 60) for s in (saved_s.low, saved_s.value, saved_s.high))
    if middle == 0 and max(abs(low), abs(high)) <= 1:
        return _("at the same time")
    if middle < 0:
        low, middle, high = -high, -middle, -low
        words = _("{n} min later")
    else:
        words = _("{n} min sooner")
    words = words.format(n=middle)
    if low == high:
        return words
    if low < 0:  # the band reaches to the other side
        return _("{words} ({low} to {high})").format(words=words, low=low, high=high)
    return _("{words} ({low}–{high})").format(words=words, low=low, high=high)
