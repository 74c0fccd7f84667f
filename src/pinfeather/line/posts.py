"""Teams that keep to their stations: thousands of days at once, by the recursion."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from pinfeather.errors import InputError
from pinfeather.line.recursion import Passage, Post, day_ends, pass_through
from pinfeather.line.replicate import Band, Gain, band, gain
from pinfeather.line.sampling import sample_work
from pinfeather.line.stations import MANY, Station, phase_slices
from pinfeather.words import gettext as _

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Team:
    """People who keep to some stations and take each bird through all of them.

    Parameters
    ----------
    stations : tuple of str
        Codes of stations that follow one another.
    people : int
        People, or places for stations that need nobody.
    """

    stations: tuple[str, ...]
    people: int


@dataclass(frozen=True, slots=True)
class Posted:
    """Many days of teams that keep to their stations.

    Parameters
    ----------
    finish : Band
        When the last bird was put away.
    end_s : ndarray
        The finish of each day [s].
    passage : Passage
        Every bird at every team, shape (birds, teams, days).
    """

    finish: Band
    end_s: Floats
    passage: Passage


def _posts(
    stations: Sequence[Station], teams: Sequence[Team]
) -> tuple[list[Post], list[list[Station]]]:
    """Return the recursion's stations, one for each team, and what each is made of."""
    by_code = {station.code: station for station in stations}
    named = [code for team in teams for code in team.stations]
    if named != [station.code for station in stations]:
        raise InputError("teams", named, _("Every station needs one team, in the line's order."))
    posts, parts = [], []
    for number, team in enumerate(teams):
        mine = [by_code[code] for code in team.stations]
        places = min(MANY, *(station.servers * station.batch for station in mine))
        buffer = mine[0].buffer if number else None
        posts.append(Post(min(team.people, places), buffer))
        parts.append(mine)
    return posts, parts


def team_times(
    stations: Sequence[Station], teams: Sequence[Team], *, work_s: Floats
) -> tuple[list[Post], Floats]:
    """Return the recursion's stations and times for teams.

    Parameters
    ----------
    stations : sequence of Station
        The line.
    teams : sequence of Team
        Every station once, in order.
    work_s : ndarray
        Times of whole days, shape (days, birds, phases) [s].

    Returns
    -------
    tuple of (list of Post, ndarray)
        Times have the shape (birds, teams, days) [s].

    Raises
    ------
    InputError
        If the teams do not cover the line in order.

    Notes
    -----
    A team's member takes one bird at a time, so loads are not formed: a drum for four birds
    counts as four places with the load's time each.

    References
    ----------
    Derivation: sums of phases.
    """
    posts, parts = _posts(stations, teams)
    columns = dict(zip([s.code for s in stations], phase_slices(stations), strict=True))
    days, birds, _phases = work_s.shape
    times = np.empty((birds, len(teams), days))
    for number, mine in enumerate(parts):
        total = np.zeros((days, birds))
        for station in mine:
            total += work_s[:, :, columns[station.code]].sum(axis=2)
        times[:, number] = total.T
    return posts, times


def replicate_posts(
    stations: Sequence[Station],
    teams: Sequence[Team],
    *,
    birds: int,
    n: int,
    seed: int,
    sure: bool = False,
) -> Posted:
    """Play many days of teams that keep to their stations, with times drawn at random.

    Parameters
    ----------
    stations : sequence of Station
        The line.
    teams : sequence of Team
        Every station once, in order.
    birds : int
        Birds on the day.
    n : int
        Days.
    seed : int
        Same seed, same answer; the same times as :func:`.replicate.replicate` draws.
    sure : bool
        True takes the planned times as certain.

    Returns
    -------
    Posted
        Exact for places side by side, waiting places and blocking.

    Raises
    ------
    InputError
        If the teams do not cover the line in order, or a count is below one.

    References
    ----------
    Derivation: :func:`.recursion.pass_through`.
    """
    work = sample_work(stations, birds=birds, draws=n, seed=seed, sure=sure)
    posts, times = team_times(stations, teams, work_s=work)
    passage = pass_through(posts, times)
    return Posted(band(passage.end_s), passage.end_s, passage)


def what_if_posts(
    stations: Sequence[Station],
    teams: Sequence[Team],
    *,
    birds: int,
    n: int,
    seed: int,
    sure: bool = True,
) -> tuple[Gain, ...]:
    """Say what one more person or place in each team would save, best first.

    Parameters
    ----------
    stations : sequence of Station
        The line.
    teams : sequence of Team
        Every station once, in order.
    birds : int
        Birds on the day.
    n : int
        Days.
    seed : int
        Same seed, same answer.
    sure : bool
        True takes the planned times as certain.

    Returns
    -------
    tuple of Gain
        ``"person"`` where the team is short of people for its places, otherwise ``"place"``
        (with a person for it); the station named is the team's first.

    Raises
    ------
    InputError
        As :func:`replicate_posts`.

    References
    ----------
    Law, Simulation Modeling and Analysis, on common random numbers.
    """
    work = sample_work(stations, birds=birds, draws=n, seed=seed, sure=sure)
    posts, times = team_times(stations, teams, work_s=work)
    before = day_ends(posts, times)
    gains = []
    for number, team in enumerate(teams):
        post = posts[number]
        if post.servers >= birds:
            continue
        more = [*posts[:number], replace(post, servers=post.servers + 1), *posts[number + 1 :]]
        code = (
            "person" if post.servers < team.people + 1 and post.servers == team.people else "place"
        )
        saved = before - day_ends(more, times)
        gains.append(gain(code, team.stations[0], saved))
    return tuple(sorted(gains, key=lambda one: -one.minutes_saved_s.value))
