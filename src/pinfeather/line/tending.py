"""One person at several machines, people in a row handing birds on: the textbook forms."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from pinfeather.errors import InputError
from pinfeather.words import gettext as _


@dataclass(frozen=True, slots=True)
class Tending:
    """Machines that stop for attention, and the people who give it.

    Parameters
    ----------
    probabilities : tuple of float
        Share of time with 0, 1, 2, … machines stopped [1].
    stopped : float
        Machines stopped on average.
    busy_frac : float
        Share of time each person is busy [1].
    stop_s : float
        How long a stop lasts on average, waiting included, in the unit of the times.
    """

    probabilities: tuple[float, ...]
    stopped: float
    busy_frac: float
    stop_s: float


def tending(machines: int, *, run_s: float, serve_s: float, people: int = 1) -> Tending:
    """Return how machines that stop at random share people who put them right.

    Parameters
    ----------
    machines : int
        Machines, or cones.
    run_s : float
        Time a machine runs by itself on average [any unit].
    serve_s : float
        Time it takes one person on average [the same unit].
    people : int
        People.

    Returns
    -------
    Tending
        In the steady state, all times random.

    Raises
    ------
    InputError
        If a count or time is not above zero.

    References
    ----------
    Palm 1943; Hillier and Lieberman, Introduction to Operations Research, on the finite
    calling population (M/M/s with N sources).
    """
    if machines < 1 or people < 1 or run_s <= 0 or serve_s <= 0:
        raise InputError("machines", machines, _("Counts and times are above zero."))
    weight = [1.0]
    for n in range(machines):
        weight.append(weight[-1] * (machines - n) / run_s / (min(n + 1, people) / serve_s))
    share = [w / sum(weight) for w in weight]
    stopped = sum(n * p for n, p in enumerate(share))
    busy = sum(min(n, people) * p for n, p in enumerate(share))
    return Tending(tuple(share), stopped, busy / people, stopped * run_s / (machines - stopped))


def machines_a_person(*, together_s: float, machine_s: float, person_s: float) -> float:
    """Return how many machines one person keeps going in a fixed round.

    Parameters
    ----------
    together_s : float
        Person and machine together, loading [s].
    machine_s : float
        Machine alone [s].
    person_s : float
        Person alone, walking and laying ready [s].

    Returns
    -------
    float
        Round down and the person waits, round up and machines wait [machines].

    Raises
    ------
    InputError
        If a time is negative or the person is never needed.

    References
    ----------
    Niebel, Motion and Time Study, on synchronous servicing; status unverified:
    (together + machine) / (together + person).
    """
    if min(together_s, machine_s, person_s) < 0 or together_s + person_s <= 0:
        raise InputError("together_s", together_s, _("Times are zero or more, not all zero."))
    return (together_s + machine_s) / (together_s + person_s)


@dataclass(frozen=True, slots=True)
class Brigade:
    """People in a row who each take over from the one before.

    Parameters
    ----------
    rate : float
        Birds in a unit of time [1/unit].
    handovers : tuple of float
        Where on the line each hands on, as a share of the work [1].
    """

    rate: float
    handovers: tuple[float, ...]


def brigade(
    speeds: Sequence[float], *, handovers: Sequence[float] | None = None, rounds: int = 1200
) -> Brigade:
    """Return the pace of people in a row who walk back and take over when the last is done.

    Parameters
    ----------
    speeds : sequence of float
        Birds each alone would do in a unit of time, in the order of the row [1/unit].
    handovers : sequence of float or None
        Where they stand at the start, rising from 0; None spreads them evenly [1].
    rounds : int
        How many times the last one finishes a bird.

    Returns
    -------
    Brigade
        Pace of the last half of the rounds, and where they hand on at the end.

    Raises
    ------
    InputError
        If a speed is not above zero, or the places do not fit.

    Notes
    -----
    Work can be handed on anywhere and walking takes no time; nobody can pass another. From the
    slowest to the fastest it settles by itself and nobody waits; the other way about all are
    held to the slowest. Nobody goes from the dirty to the clean side without washing, so make
    two rows with a wall between.

    References
    ----------
    Bartholdi and Eisenstein 1996, Operations Research 44, 34-44.
    """
    count = len(speeds)
    if not count or min(speeds) <= 0 or rounds < 1:
        raise InputError("speeds", speeds, _("Everybody needs a speed above zero."))
    at = list(handovers) if handovers is not None else [n / count for n in range(count)]
    if len(at) != count or at != sorted(at) or at[0] < 0 or at[-1] >= 1:
        raise InputError("handovers", handovers, _("Give rising places from 0 to below 1."))
    passed: list[float] = []
    for _round in range(rounds):
        spent = _until_last_is_done(at, speeds)
        passed.append(spent)
        at = [0.0, *at[:-1]]
    half = passed[rounds // 2 :]
    return Brigade(len(half) / sum(half), tuple(at[1:]))


def _until_last_is_done(at: list[float], speeds: Sequence[float]) -> float:
    """Move everybody on until the last is done; nobody passes the one ahead of them."""
    last = len(at) - 1
    spent = 0.0
    while True:
        # those who have caught up go at the pace of the one ahead
        going = list(speeds)
        for n in range(last - 1, -1, -1):
            if at[n] >= at[n + 1] - 1e-12:
                going[n] = min(going[n], going[n + 1])
        finish = max(1 - at[last], 0.0) / going[last]
        meets = [
            (at[n + 1] - at[n]) / (going[n] - going[n + 1])
            for n in range(last)
            if going[n] > going[n + 1] and at[n] < at[n + 1] - 1e-12
        ]
        step = min([finish, *meets])
        spent += step
        ahead = 1.0
        for n in range(last, -1, -1):  # rounding must not push anybody past the one ahead
            ahead = at[n] = min(at[n] + going[n] * step, ahead)
        if step == finish:
            return spent
