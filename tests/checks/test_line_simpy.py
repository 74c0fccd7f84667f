"""The event simulation and the recursion against a separate model written with SimPy.

SimPy knows nothing of our rules: here birds are processes that ask for waiting places, for
places at stations and for people, and hold on to what they have until they get what is next.
"""

import math

import numpy as np
import pytest
import simpy

from pinfeather.estimate import Basis, Estimate, Origin
from pinfeather.line.crew import Person
from pinfeather.line.recursion import Post, pass_through
from pinfeather.line.simulate import FlowLimits, simulate
from pinfeather.line.stations import Phase, Station

BASIS = Basis(Origin.TYPED, "test")


def phase(attended, name="work"):
    return Phase(name, Estimate(1.0, 1.0, 1.0, BASIS), attended)


def simpy_day(stations, work, release, *, people=0, pace=1.0, breaks=(), wip=None):
    """Return start and departure of every bird at every station."""
    env = simpy.Environment()
    birds = work.shape[0]
    start, depart = (np.full((birds, len(stations)), np.nan) for _ in range(2))
    servers = [simpy.Resource(env, s.servers) for s in stations]
    places = [simpy.Resource(env, s.buffer) if s.buffer else None for s in stations]
    crew = simpy.PriorityResource(env, people) if people else None
    tokens = simpy.Resource(env, wip) if wip else None
    first = np.cumsum([0] + [len(s.phases) for s in stations])

    def away(a, b):
        yield env.timeout(a)
        with crew.request(priority=-10_000) as leave:
            yield leave
            if env.now < b:
                yield env.timeout(b - env.now)

    def bird(n):
        yield env.timeout(release[n])
        token = tokens.request() if tokens else None
        if token:
            yield token
        behind = []  # what the bird holds in the station before
        hands = None
        for k, station in enumerate(stations):
            if places[k]:
                place = places[k].request()
                yield place
                depart_from(k - 1, n, behind)
                behind = [(places[k], place)]
            elif station.buffer is None:
                depart_from(k - 1, n, behind)
                behind = []
            server = servers[k].request()
            yield server
            if behind and behind[0][0] is not places[k]:
                depart_from(k - 1, n, behind)
            elif behind:
                behind[0][0].release(behind[0][1])
            behind = [(servers[k], server)]
            for i, part in enumerate(station.phases):
                p = first[k] + i
                if part.attended and hands is None:
                    hands = crew.request(priority=-k - (1000 if i else 0))
                    yield hands
                if i == 0:
                    start[n, k] = env.now
                yield env.timeout(work[n, p] / (pace if part.attended else 1.0))
                following = station.phases[i + 1] if i + 1 < len(station.phases) else None
                if hands is not None and (following is None or not following.attended):
                    env.process(give_back(hands))
                    hands = None
        depart_from(len(stations) - 1, n, behind)
        if token:
            tokens.release(token)

    def give_back(hands):
        # after all else of this instant, so that the bird can first ask for what comes next
        yield env.timeout(0)
        yield env.timeout(0)
        crew.release(hands)

    def depart_from(k, n, held):
        if k >= 0:
            depart[n, k] = env.now
            for resource, request in held:
                resource.release(request)

    for n in range(birds):
        env.process(bird(n))
    for a, b in breaks:
        for _ in range(people):
            env.process(away(a, b))
    env.run()
    return start, depart


def simpy_loads(stations, work, release):
    """The same for stations in loads, unlimited room everywhere, nobody needed."""
    env = simpy.Environment()
    birds = work.shape[0]
    start, depart = (np.full((birds, len(stations)), np.nan) for _ in range(2))
    doors = [simpy.Store(env) for _ in range(len(stations) + 1)]
    turn = [simpy.Resource(env, 1) for _ in stations]
    taken = [0] * len(stations)

    def feed():
        for n in range(birds):
            yield env.timeout(release[n] - env.now)
            yield doors[0].put(n)

    def worker(k):
        while True:
            with turn[k].request() as mine:
                yield mine
                size = min(stations[k].batch, birds - taken[k])
                taken[k] += size
                if not size:
                    return
                load = []
                for _ in range(size):
                    load.append((yield doors[k].get()))  # noqa: PERF401 - a process, not a list
            for n in load:
                start[n, k] = env.now
            yield env.timeout(max(work[n, k] for n in load))
            for n in load:
                depart[n, k] = env.now
                yield doors[k + 1].put(n)

    env.process(feed())
    for k, station in enumerate(stations):
        for _ in range(station.servers):
            env.process(worker(k))
    env.run()
    return start, depart


def random_release(rng, birds):
    if rng.random() < 0.5:
        return np.zeros(birds)
    return np.cumsum(rng.exponential(30.0, birds))


@pytest.mark.parametrize("seed", range(80))
def test_a_line_without_people_agrees_bird_by_bird_in_all_three_models(seed):
    rng = np.random.default_rng(seed)
    birds, count = int(rng.integers(3, 30)), int(rng.integers(1, 6))
    buffers = [None, *(None if rng.random() < 0.25 else int(rng.integers(0, 4)) for _ in range(4))]
    stations = [
        Station(f"s{k}", int(rng.integers(1, 5)), (phase(attended=False),), buffer=buffers[k])
        for k in range(count)
    ]
    work = rng.gamma(2.0, 30.0, (birds, count))
    release = random_release(rng, birds)
    start, depart = simpy_day(stations, work, release)
    day = simulate(stations, [], work_s=work, release_s=release)
    posts = [Post(s.servers, s.buffer) for s in stations]
    passage = pass_through(posts, work, release_s=release)
    np.testing.assert_allclose(day.start_s, start, rtol=1e-9)
    np.testing.assert_allclose(day.depart_s, depart, rtol=1e-9)
    np.testing.assert_allclose(passage.start_s[:, :, 0], start, rtol=1e-9)
    np.testing.assert_allclose(passage.depart_s[:, :, 0], depart, rtol=1e-9)


@pytest.mark.parametrize("seed", range(50))
def test_stations_that_work_in_loads_agree(seed):
    rng = np.random.default_rng(1000 + seed)
    birds, count = int(rng.integers(3, 30)), int(rng.integers(1, 5))
    single = bool(rng.random() < 0.5)
    stations = [
        Station(
            f"s{k}",
            1 if single else int(rng.integers(1, 4)),
            (phase(attended=False),),
            batch=int(rng.integers(1, 5)),
            wait_for_more_s=math.inf,
        )
        for k in range(count)
    ]
    work = rng.gamma(2.0, 30.0, (birds, count))
    release = random_release(rng, birds)
    start, depart = simpy_loads(stations, work, release)
    day = simulate(stations, [], work_s=work, release_s=release)
    np.testing.assert_allclose(day.start_s, start, rtol=1e-9)
    np.testing.assert_allclose(day.depart_s, depart, rtol=1e-9)
    if single:
        posts = [Post(batch=s.batch) for s in stations]
        passage = pass_through(posts, work, release_s=release)
        np.testing.assert_allclose(passage.depart_s[:, :, 0], depart, rtol=1e-9)


@pytest.mark.parametrize("seed", range(100))
def test_a_line_with_shared_people_breaks_and_a_limit_on_birds_agrees(seed):
    rng = np.random.default_rng(2000 + seed)
    birds, count = int(rng.integers(3, 25)), int(rng.integers(1, 6))
    kinds = [(True,), (False,), (True, False), (True, False, True), (False, True), (True, True)]
    stations = []
    for k in range(count):
        kind = kinds[rng.integers(len(kinds))]
        buffer = None if k == 0 or kind[0] or rng.random() < 0.3 else int(rng.integers(0, 4))
        parts = tuple(phase(attended=a, name=f"p{i}") for i, a in enumerate(kind))
        stations.append(Station(f"s{k}", int(rng.integers(1, 5)), parts, buffer=buffer))
    work = rng.gamma(2.0, 30.0, (birds, sum(len(s.phases) for s in stations)))
    release = random_release(rng, birds)
    people = int(rng.integers(1, 5))
    pace = float(rng.choice([0.7, 1.0, 1.3]))
    breaks = ((200.0, 500.0), (900.0, 1000.0)) if rng.random() < 0.5 else ()
    wip = int(rng.integers(1, 8)) if rng.random() < 0.5 else None
    codes = frozenset(s.code for s in stations)
    crew = [Person(f"p{i}", codes, 0.0, 1e9, pace, breaks) for i in range(people)]
    start, depart = simpy_day(
        stations, work, release, people=people, pace=pace, breaks=breaks, wip=wip
    )
    day = simulate(stations, crew, work_s=work, release_s=release, limits=FlowLimits(wip_limit=wip))
    np.testing.assert_allclose(day.start_s, start, rtol=1e-9)
    np.testing.assert_allclose(day.depart_s, depart, rtol=1e-9)
    assert day.unfinished == 0
