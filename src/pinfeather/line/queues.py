"""Formulas for waiting lines, to explain and to check; the plan itself is simulated."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from pinfeather.errors import InputError
from pinfeather.words import gettext as _


@dataclass(frozen=True, slots=True)
class Queue:
    """A waiting line in its steady state.

    Parameters
    ----------
    utilisation : float
        Share of time a place is busy [1].
    waiting : float
        Birds waiting on average.
    inside : float
        Birds waiting or in work on average.
    wait_s : float
        Wait on average, in the unit of time of the rates.
    stay_s : float
        Wait and work on average, in the same unit.
    empty_frac : float
        Share of time nobody is there; not-a-number where the formula does not give it [1].
    delayed_frac : float
        Share of birds that wait; not-a-number where the formula does not give it [1].
    """

    utilisation: float
    waiting: float
    inside: float
    wait_s: float
    stay_s: float
    empty_frac: float = math.nan
    delayed_frac: float = math.nan


def _stable(rate: float, service_rate: float, servers: int) -> float:
    if rate <= 0 or service_rate <= 0 or servers < 1:
        raise InputError("rate", (rate, service_rate, servers), _("Rates are above zero."))
    use = rate / (servers * service_rate)
    if use >= 1:
        raise InputError(
            "rate", rate, _("More birds come than can be done: the line of waiting birds grows.")
        )
    return use


def erlang_c(rate: float, *, service_rate: float, servers: int = 1) -> Queue:
    """Return the waiting line with random arrivals and random work (M/M/c).

    Parameters
    ----------
    rate : float
        Birds that come in a unit of time [1/unit].
    service_rate : float
        Birds one place does in a unit of time [1/unit].
    servers : int
        Places.

    Returns
    -------
    Queue
        Times in the unit of the rates.

    Raises
    ------
    InputError
        If as many birds come as can be done, or more.

    Notes
    -----
    Exponential times are more uneven than hand work, so this errs on the long side.

    References
    ----------
    Erlang 1917; Kleinrock 1975, Queueing Systems 1, section 3.5.
    """
    use = _stable(rate, service_rate, servers)
    load = rate / service_rate
    term = total = 1.0
    for k in range(1, servers):
        term *= load / k
        total += term
    last = term * load / servers / (1 - use)
    empty = 1 / (total + last)
    delayed = last * empty
    waiting = delayed * use / (1 - use)
    wait = waiting / rate
    stay = wait + 1 / service_rate
    return Queue(use, waiting, rate * stay, wait, stay, empty, delayed)


def pollaczek_khinchine(rate: float, *, time_s: float, sd_s: float) -> Queue:
    """Return the waiting line with random arrivals and any work, one place (M/G/1).

    Parameters
    ----------
    rate : float
        Birds that come in a unit of time [1/unit].
    time_s : float
        Work on average [that unit].
    sd_s : float
        Its standard deviation [that unit].

    Returns
    -------
    Queue
        Times in the same unit.

    Raises
    ------
    InputError
        If as many birds come as can be done, or more.

    References
    ----------
    Pollaczek 1930; Khinchine 1932; Kleinrock 1975, Queueing Systems 1, section 5.6.
    """
    use = _stable(rate, 1 / time_s if time_s > 0 else 0.0, 1)
    waiting = rate**2 * (sd_s**2 + time_s**2) / (2 * (1 - use))
    wait = waiting / rate
    return Queue(use, waiting, waiting + use, wait, wait + time_s, 1 - use, use)


def kingman_wait_s(
    rate: float, *, time_s: float, arrival_cv2: float, work_cv2: float, servers: int = 1
) -> float:
    """Return the rule-of-thumb wait with any arrivals and work: spread, use and time.

    Parameters
    ----------
    rate : float
        Birds that come in a unit of time [1/unit].
    time_s : float
        Work on average [that unit].
    arrival_cv2, work_cv2 : float
        Squared spreads of the gaps between arrivals and of the work [1].
    servers : int
        Places.

    Returns
    -------
    float
        Wait on average [that unit].

    Raises
    ------
    InputError
        If as many birds come as can be done, or more.

    Notes
    -----
    For explaining only. With steady arrivals and steady work it is 9 to 25 % too long.

    References
    ----------
    Kingman 1961, Mathematical Proceedings of the Cambridge Philosophical Society 57, 902-904;
    for several places Allen 1990, Probability, Statistics, and Queueing Theory (the
    Allen-Cunneen approximation).
    """
    random = erlang_c(rate, service_rate=1 / time_s, servers=servers).wait_s
    return random * (arrival_cv2 + work_cv2) / 2


def steady_arrivals_factor(utilisation: float, *, arrival_cv2: float, work_cv2: float) -> float:
    """Return the correction of the rule of thumb for arrivals steadier than random.

    Parameters
    ----------
    utilisation : float
        Share of time the place is busy, below 1 [1].
    arrival_cv2, work_cv2 : float
        Squared spreads [1].

    Returns
    -------
    float
        Factor of one or less [1].

    References
    ----------
    Kraemer and Langenbach-Belz 1976, 8th International Teletraffic Congress.
    """
    if arrival_cv2 >= 1 or arrival_cv2 + work_cv2 <= 0:
        return 1.0
    power = 2 * (1 - utilisation) * (1 - arrival_cv2) ** 2
    return math.exp(-power / (3 * utilisation * (arrival_cv2 + work_cv2)))


def open_tandem(rate: float, service_rates: Sequence[float]) -> tuple[Queue, ...]:
    """Return each waiting line of stations one after another, all random, room enough.

    Parameters
    ----------
    rate : float
        Birds that come in a unit of time [1/unit].
    service_rates : sequence of float
        Birds each station does in that unit [1/unit].

    Returns
    -------
    tuple of Queue
        One for each station.

    Raises
    ------
    InputError
        If as many birds come as a station can do, or more.

    References
    ----------
    Jackson 1957, Operations Research 5, 518-521.
    """
    return tuple(erlang_c(rate, service_rate=one) for one in service_rates)


@dataclass(frozen=True, slots=True)
class Pace:
    """What a line does with a given number of birds under way.

    Parameters
    ----------
    rate : float
        Birds in a unit of time [1/unit].
    stay_s : float
        Time of a bird in the line, in that unit.
    """

    rate: float
    stay_s: float


def best_pace(birds: int, *, bottleneck_rate: float, time_s: float) -> Pace:
    """Return what a line without any unevenness does with some birds under way.

    Parameters
    ----------
    birds : int
        Birds under way.
    bottleneck_rate : float
        Birds the slowest station does in a unit of time [1/unit].
    time_s : float
        Work on one bird in all [that unit].

    Returns
    -------
    Pace
        The best there can be.

    References
    ----------
    Hopp and Spearman, Factory Physics, section 7.3 (best case).
    """
    return Pace(min(birds / time_s, bottleneck_rate), max(time_s, birds / bottleneck_rate))


def worst_pace(birds: int, *, bottleneck_rate: float, time_s: float) -> Pace:
    """Return what a line does at the worst that is still managed sensibly.

    Parameters
    ----------
    birds : int
        Birds under way.
    bottleneck_rate : float
        Birds the slowest station does in a unit of time [1/unit].
    time_s : float
        Work on one bird in all [that unit].

    Returns
    -------
    Pace
        All stations alike and all times random.

    References
    ----------
    Hopp and Spearman, Factory Physics, section 7.3 (practical worst case).
    """
    critical = bottleneck_rate * time_s
    rate = bottleneck_rate * birds / (critical + birds - 1)
    return Pace(rate, time_s + (birds - 1) / bottleneck_rate)


def two_stations(first_rate: float, second_rate: float, *, places: int) -> float:
    """Return the pace of two stations with random times and some places between.

    Parameters
    ----------
    first_rate, second_rate : float
        Birds each does in a unit of time when it has one [1/unit].
    places : int
        Waiting places between them.

    Returns
    -------
    float
        Birds in a unit of time, with birds always waiting for the first [1/unit].

    Raises
    ------
    InputError
        If a rate or the places are out of range.

    References
    ----------
    Buzacott and Shanthikumar 1993, Stochastic Models of Manufacturing Systems, section 5.2
    (blocking after service).
    """
    if first_rate <= 0 or second_rate <= 0 or places < 0:
        raise InputError("places", places, _("Rates are above zero, places zero or more."))
    ratio = first_rate / second_rate
    states = places + 3
    if math.isclose(ratio, 1.0, rel_tol=1e-12):
        return second_rate * (places + 2) / states
    return second_rate * (1 - (1 - ratio) / (1 - ratio**states))


def random_line_pace(rates: Sequence[float], *, places: int = 0) -> float:
    """Return the pace of a line with random times and equally many places between stations.

    Parameters
    ----------
    rates : sequence of float
        Birds each station does in a unit of time [1/unit].
    places : int
        Waiting places before each station but the first.

    Returns
    -------
    float
        Birds in a unit of time, with birds always waiting for the first [1/unit].

    Raises
    ------
    InputError
        If there is no station, or too many for the chain of states.

    Notes
    -----
    Solves the Markov chain of all states, so for a handful of stations only.

    References
    ----------
    Hillier and Boling 1967, Operations Research 15, 286-303.
    """
    import numpy as np
    from scipy.sparse import csr_array
    from scipy.sparse.linalg import spsolve

    count, most = len(rates), 6
    if not 1 <= count <= most + (places == 0) * 2 or min(rates) <= 0:
        raise InputError("rates", rates, _("Give one to six stations with rates above zero."))
    # A station is idle, at work or blocked; waiting counts the birds in the places before it.
    start = (("work", *["idle"] * (count - 1)), (0,) * count)
    index, todo = {start: 0}, [start]
    moves: list[tuple[int, int, float]] = []
    done_rate: list[float] = [0.0]
    while todo:
        state = todo.pop()
        here = index[state]
        for k in range(count):
            if state[0][k] != "work":
                continue
            after = _complete(state, k, places=places)
            if after not in index:
                index[after] = len(index)
                done_rate.append(0.0)
                todo.append(after)
            moves.append((here, index[after], rates[k]))
            if k == count - 1:
                done_rate[here] += rates[k]
    size = len(index)
    rows = [b for _, b, _ in moves] + [a for a, _, _ in moves]
    columns = [a for a, _, _ in moves] * 2
    values = [r for *_, r in moves] + [-r for *_, r in moves]
    balance = csr_array((values, (rows, columns)), shape=(size, size)).tolil()
    balance[0, :] = 1.0  # the shares add up to one, in place of one redundant row
    share = spsolve(balance.tocsr(), np.eye(size)[0])
    return float(share @ np.array(done_rate))


def _complete(
    state: tuple[tuple[str, ...], tuple[int, ...]], k: int, *, places: int
) -> tuple[tuple[str, ...], tuple[int, ...]]:
    """Return the state after station k has finished a bird; unblocking runs up the line."""
    doing, waiting = list(state[0]), list(state[1])
    last = len(doing) - 1

    def free(n: int) -> None:
        """Station n has got rid of its bird: it takes another, and lets the one before move."""
        if n == 0:
            doing[0] = "work"
            return
        if waiting[n]:
            waiting[n] -= 1
            doing[n] = "work"
            if doing[n - 1] == "blocked":
                waiting[n] += 1
                free(n - 1)
        elif doing[n - 1] == "blocked":
            doing[n] = "work"
            free(n - 1)
        else:
            doing[n] = "idle"

    if k == last:
        free(k)
    elif doing[k + 1] == "idle":
        doing[k + 1] = "work"
        free(k)
    elif waiting[k + 1] < places:
        waiting[k + 1] += 1
        free(k)
    else:
        doing[k] = "blocked"
    return tuple(doing), tuple(waiting)
