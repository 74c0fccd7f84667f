"""Days a second: the recursion for many days at once against SimPy, on the same day.

Run with ``python benchmarks/line_replications.py``. Prints the ratio, the time of a what-if for
200 birds, and how the event simulation's cost grows from 20 to 2,000 birds.
"""

import time
from collections.abc import Callable, Iterator
from functools import partial
from typing import Any

import numpy as np
import simpy
from numpy.typing import NDArray

from pinfeather.line.crew import Person
from pinfeather.line.posts import Team, team_times, what_if_posts
from pinfeather.line.recursion import Post, day_ends
from pinfeather.line.replicate import what_if
from pinfeather.line.sampling import sample_work
from pinfeather.line.simulate import FlowLimits, planned_work, simulate
from pinfeather.line.stations import STATION_CODES, handbook_stations

BIRDS = 200
DAYS = 4000
SIMPY_DAYS = 5


def nine_stations() -> list[Post]:
    """A 200-bird day at nine stations: four cones, two drawing places, waiting places."""
    return [
        Post(1, None), Post(4, 0), Post(1, 0), Post(1, 2), Post(2, 4),
        Post(1, None), Post(BIRDS, None), Post(1, None), Post(1, None),
    ]  # fmt: skip


def nine_times(days: int, rng: np.random.Generator) -> NDArray[np.float64]:
    mean_s = np.array([50.0, 190.0, 60.0, 45.0, 150.0, 20.0, 7200.0, 50.0, 45.0])
    return rng.gamma(9.0, 1 / 9, (BIRDS, 9, days)) * mean_s[:, None]


def simpy_end_s(posts: list[Post], times: NDArray[np.float64]) -> float:
    env = simpy.Environment()
    servers = [simpy.Resource(env, post.servers) for post in posts]
    places = [simpy.Resource(env, post.buffer) if post.buffer else None for post in posts]

    def bird(n: int) -> Iterator[Any]:
        behind = None
        for k, post in enumerate(posts):
            if places[k]:
                place = places[k].request()
                yield place
                behind[0].release(behind[1])
                behind = (places[k], place)
            elif post.buffer is None and behind:
                behind[0].release(behind[1])
                behind = None
            server = servers[k].request()
            yield server
            if behind:
                behind[0].release(behind[1])
            behind = (servers[k], server)
            yield env.timeout(times[n, k])
        behind[0].release(behind[1])

    for n in range(BIRDS):
        env.process(bird(n))
    env.run()
    return env.now


def clock(work: Callable[[], Any]) -> tuple[float, Any]:
    start = time.perf_counter()
    found = work()
    return time.perf_counter() - start, found


def ratio() -> None:
    posts = nine_stations()
    times = nine_times(DAYS, np.random.default_rng(1))
    fast_s = slow_s = float("inf")
    for _ in range(3):  # in turns, so that a busy machine slows both
        spent_s, fast_ends = clock(lambda: day_ends(posts, times))
        fast_s = min(fast_s, spent_s)
        spent_s, ends = clock(
            lambda: [simpy_end_s(posts, times[:, :, d]) for d in range(SIMPY_DAYS)]
        )
        slow_s = min(slow_s, spent_s)
    np.testing.assert_allclose(ends, fast_ends[:SIMPY_DAYS], rtol=1e-9)
    fast, slow = DAYS / fast_s, SIMPY_DAYS / slow_s
    print(f"recursion {fast:,.0f} days/s, SimPy {slow:,.1f} days/s, ratio {fast / slow:,.0f}")


def what_ifs() -> None:
    line = handbook_stations("chicken", cones=4, draw_places=3)
    teams = [
        Team(("catch",), 1), Team(("kill",), 4), Team(("scald",), 1), Team(("pick",), 1),
        Team(("draw",), 3), Team(("rinse",), 1), Team(("chill",), BIRDS),
        Team(("bag", "weigh", "store"), 2),
    ]  # fmt: skip
    spent_s, gains = clock(lambda: what_if_posts(line, teams, birds=BIRDS, n=50, seed=1))
    best = gains[0]
    print(
        f"what-if, teams at fixed posts, {BIRDS} birds, 50 days each: {spent_s:.2f} s; best: "
        f"{best.change_code} at {best.station}, {best.minutes_saved_s.value / 60:.0f} min"
    )
    people = [Person(f"p{i}", frozenset(STATION_CODES), 0.0, 24 * 3600.0) for i in range(4)]
    limits = FlowLimits(wip_limit=10, cross="freely")
    spent_s, gains = clock(lambda: what_if(line, people, birds=BIRDS, n=1, seed=1, limits=limits))
    print(
        f"what-if, shared people, {BIRDS} birds, 1 day each: {spent_s:.2f} s, {len(gains)} changes"
    )


def growth() -> None:
    line = handbook_stations("chicken", cones=4, draw_places=3)
    people = [Person(f"p{i}", frozenset(STATION_CODES), 0.0, 1e7) for i in range(4)]
    for birds in (20, 42, 63, 200, 632, 2000):
        work = planned_work(line, birds)
        spent_s = min(
            clock(partial(simulate, line, people, work_s=work, limits=FlowLimits(wip_limit=8)))[0]
            for _ in range(5 if birds < 700 else 2)
        )
        print(f"{birds:5d} birds: {spent_s * 1e3:8.2f} ms, {spent_s / birds * 1e6:6.1f} us a bird")


def sampling() -> None:
    line = handbook_stations("chicken", cones=4, draw_places=3)
    spent_s, work = clock(lambda: sample_work(line, birds=BIRDS, draws=1000, seed=1))
    print(f"sampling 1,000 days of {BIRDS} birds: {spent_s:.2f} s, {work.nbytes / 1e6:.0f} MB")
    team_times(line, [Team((s.code,), 1) for s in line], work_s=work)


if __name__ == "__main__":
    ratio()
    what_ifs()
    sampling()
    growth()
