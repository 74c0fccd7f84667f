"""The line's formulas, searches and recursions against published and independent values."""

import itertools
import tomllib
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from pinfeather.errors import InputError
from pinfeather.line import balance, capacity, curves, lots, queues, runs, tending
from pinfeather.line.assign import fixed_posts, moving_bound
from pinfeather.line.crew import Person
from pinfeather.line.findings import giblets_finding, line_findings
from pinfeather.line.recursion import Post, pass_through
from pinfeather.line.replicate import band
from pinfeather.line.sampling import sample_work
from pinfeather.line.simulate import planned_work, simulate
from pinfeather.line.stations import STATION_CODES, handbook_stations

DATA = Path(__file__).parent / "data"
FILES = sorted(DATA.glob("line_*.toml"))
SOURCES = {path.name: tomllib.loads(path.read_text("utf-8")) for path in FILES}
ROWS = [(name, row) for name, source in SOURCES.items() for row in source["rows"]]


def each(function, listed):
    """Call a function once for each value of a listed input, the others as they are."""

    def call(**inputs):
        values = inputs.get(listed)
        if isinstance(values, list) and (listed != "rates" or isinstance(values[0], list)):
            return [function(**(inputs | {listed: value})) for value in values]
        return function(**inputs)

    return call


def posts_of(servers, rooms):
    return [Post(c, None if b < 0 else b) for c, b in zip(servers, rooms, strict=True)]


def line_departures(times, servers, rooms):
    return pass_through(posts_of(servers, rooms), np.array(times, float)).depart_s[:, :, 0].T


def last_and_blocked(times, servers, rooms):
    passage = pass_through(posts_of(servers, rooms), np.array(times, float))
    blocked = (passage.depart_s - passage.finish_s).sum(axis=(0, 2))
    return [passage.depart_s[:, -1, 0], blocked]


def line_end(times, servers, rooms):
    return pass_through(posts_of(servers, rooms), np.array(times, float)).end_s[0]


def hand_table(gaps_s, services_s):
    arrive = np.cumsum(gaps_s).astype(float)
    work = np.array(services_s, float)[:, None]
    passage = pass_through([Post()], work, release_s=arrive)
    wait = passage.start_s[:, 0, 0] - arrive
    end = passage.end_s[0]
    stay = (passage.depart_s[:, 0, 0] - arrive).sum()
    return [wait.sum(), (wait > 0).sum(), end - work.sum(), end, stay]


def johnson_end(times):
    order = lots.johnson(times)
    tried = min(lots.in_order(times, p).end_s for p in itertools.permutations(range(len(times))))
    assert order.end_s == tried
    return [order.end_s, list(order.lots)]


def order_ends(times):
    return [lots.in_order(times, range(len(times))).end_s, lots.best_order(times).end_s]


def no_wait(times):
    given = lots.without_stop(times, range(len(times)))
    return [given.end_s, list(given.starts_s), lots.best_order(times, no_wait=True).end_s]


def graph(name):
    found = SOURCES["line_salbp.toml"]["graphs"][name]
    return found["times"], [(a - 1, b - 1) for a, b in found["pairs"]]


def stations_for(graph_name, cycles):
    times, pairs = graph(graph_name)
    found = [balance.fewest_posts(times, pairs, cycle_s=c) for c in cycles]
    for one, cycle in zip(found, cycles, strict=True):
        assert balance.is_sharing(one, times, pairs, cycle_s=cycle)
    return [len(one.posts) for one in found]


def cycles_for(graph_name, posts):
    times, pairs = graph(graph_name)
    found = [balance.shortest_cycle(times, pairs, posts=m) for m in posts]
    for one, most in zip(found, posts, strict=True):
        assert len(one.posts) <= most
        assert balance.is_sharing(one, times, pairs, cycle_s=one.cycle_s)
    return [one.cycle_s for one in found]


def is_solution(graph_name, posts, cycles):
    times, pairs = graph(graph_name)
    shared = balance.Posts(tuple(tuple(n - 1 for n in post) for post in posts), 0.0)
    return [int(balance.is_sharing(shared, times, pairs, cycle_s=c)) for c in cycles]


def quick_for(graph_name, cycles):
    times, pairs = graph(graph_name)
    return [len(balance.ranked_positional_weight(times, pairs, cycle_s=c).posts) for c in cycles]


def strength(graph_name):
    times, pairs = graph(graph_name)
    return 100 * balance.order_strength(len(times), pairs)


def best_posts(times):
    found = fixed_posts(np.array(times))
    return [found.cycle_s, found.total_s]


def tended(**inputs):
    found = tending.tending(**inputs)
    return [*found.probabilities, found.stopped]


def late_draw(minutes):
    line = handbook_stations("chicken", cones=2)
    people = [Person("Wren", frozenset(STATION_CODES), 0.0, 86400.0)]
    day = simulate(line, people, work_s=planned_work(line, 1))
    finish = day.finish_s.copy()
    finish[0, 4] = day.phase_start_s[0, 1] + minutes * 60
    found = line_findings(replace(day, finish_s=finish), line, people=people)
    return int("line.late_draw" in {one.code for one in found})


FUNCTIONS = {
    "birds_per_person_hour": lambda birds, people, time_s: capacity.birds_per_person_hour(
        birds, people=people, time_s=time_s
    ),
    "batch_bph": capacity.batch_bph,
    "cones_needed": each(capacity.cones_needed, "birds_per_h"),
    "birds_under_way": lambda birds_per_h, time_s: capacity.birds_under_way(
        birds_per_h, time_s=time_s
    ),
    "cohort_pace": lambda birds, **more: [
        (c := capacity.cohort_pace(birds, **more)).interval_s,
        c.bph,
        c.kill_waits_s,
    ],
    "wright_unit_time": lambda first_s, unit, rate: (
        unit * curves.mean_time_s(first_s, unit, rate=rate)
        - (unit - 1) * curves.mean_time_s(first_s, unit - 1, rate=rate)
    ),
    "mean_time_s": curves.mean_time_s,
    "unit_time_s": each(curves.unit_time_s, "unit"),
    "exponent": each(curves.exponent, "rate"),
    "total_time_s": curves.total_time_s,
    "allowance_frac": lambda marks: curves.allowance_frac(*marks),
    "standard_time_s": curves.standard_time_s,
    "erlang_c": queues.erlang_c,
    "pollaczek_khinchine": queues.pollaczek_khinchine,
    "kingman_wait_s": queues.kingman_wait_s,
    "steady_arrivals_factor": queues.steady_arrivals_factor,
    "open_tandem": queues.open_tandem,
    "best_pace": queues.best_pace,
    "worst_pace": each(queues.worst_pace, "birds"),
    "two_stations": each(queues.two_stations, "places"),
    "random_line_pace": each(each(queues.random_line_pace, "rates"), "places"),
    "hand_table": hand_table,
    "line_departures": line_departures,
    "last_and_blocked": last_and_blocked,
    "line_end": line_end,
    "johnson_end": johnson_end,
    "order_ends": order_ends,
    "best_end": lambda times, servers: lots.best_order(times, servers=servers).end_s,
    "no_wait": no_wait,
    "order_strength": strength,
    "stations_for": stations_for,
    "cycles_for": cycles_for,
    "is_solution": is_solution,
    "quick_for": quick_for,
    "row_cycles": lambda times, people: [balance.stretches(times, posts=p).cycle_s for p in people],
    "free_cycles": lambda times, people: [
        balance.shortest_cycle(times, posts=p).cycle_s for p in people
    ],
    "best_posts": best_posts,
    "moving_rate": lambda times: moving_bound(np.array(times)).birds_per_h / 3600,
    "tending": tended,
    "stop_time": lambda **inputs: tending.tending(**inputs).stop_s,
    "machines_a_person": tending.machines_a_person,
    "brigade": lambda speeds, **more: tending.brigade(speeds, **more).handovers,
    "brigade_rate": lambda speeds: tending.brigade(speeds).rate,
    "days_for_width": each(runs.days_for_width, "half_width_s"),
    "days_by_ratio": each(runs.days_by_ratio, "half_width_s"),
    "days_for_share": runs.days_for_share,
    "most_after_none": runs.most_after_none,
    "half_widths": lambda days: [
        band(x := np.arange(float(n))).half_width_s * n**0.5 / x.std(ddof=1) for n in days
    ],
    "late_draw": each(late_draw, "minutes"),
    "late_giblets": each(lambda minutes: int(giblets_finding(minutes * 60) is not None), "minutes"),
}


def flat(value):
    if isinstance(value, (list, tuple, np.ndarray)):
        return [leaf for part in value for leaf in flat(part)]
    return [float(value)]


@pytest.mark.parametrize(("name", "row"), ROWS, ids=[f"{n}: {r['name']}" for n, r in ROWS])
def test_the_program_gives_the_known_value(name, row):
    inputs = dict(row["inputs"])
    if "graph" in inputs:
        inputs["graph_name"] = inputs.pop("graph")
    found = FUNCTIONS[row["function"]](**inputs)
    if "fields" in row:
        many = found if isinstance(found, (list, tuple)) else [found]
        found = [getattr(one, field) for one in many for field in row["fields"]]
    answer = flat(row["answer"])
    np.testing.assert_allclose(flat(found), answer, rtol=0, atol=max(row["tolerance"], 1e-12))


@pytest.mark.parametrize("name", SOURCES)
def test_every_source_says_who_when_where_and_how_it_is_known(name):
    source = SOURCES[name]
    for field in ("title", "author", "year", "edition", "place", "status", "note"):
        assert source[field]
    for row in source["rows"]:
        assert row["reason"]
        assert row["tolerance"] >= 0


@pytest.mark.parametrize("servers", [1, 3])
@pytest.mark.parametrize("rate", [1.0, 1.5])
def test_more_than_can_be_done_is_refused_and_never_a_negative_wait(servers, rate):
    with pytest.raises(InputError):
        queues.erlang_c(rate * servers, service_rate=1.0, servers=servers)
    with pytest.raises(InputError):
        queues.pollaczek_khinchine(rate, time_s=1.0, sd_s=0.1)
    with pytest.raises(InputError):
        queues.kingman_wait_s(
            rate * servers, time_s=1.0, arrival_cv2=1.0, work_cv2=1.0, servers=servers
        )


def test_the_rule_of_thumb_is_too_long_for_steady_lines():
    # independent computation: simulated 1.260 with a 95 % half-width of 0.015
    rule = queues.kingman_wait_s(0.5, time_s=3.0, arrival_cv2=0.5, work_cv2=0.25, servers=2)
    assert rule > 1.05 * 1.260


def test_the_recursion_with_random_times_comes_to_the_chains_pace():
    rng = np.random.default_rng(11)
    birds = 4000
    times = rng.exponential(1.0, (birds, 3, 40))
    posts = [Post(), Post(1, 0), Post(1, 0)]
    left = pass_through(posts, times).depart_s[:, -1]
    pace = (birds / 2) / (left[-1] - left[birds // 2 - 1])
    chain = queues.random_line_pace([1.0, 1.0, 1.0])
    assert pace.mean() == pytest.approx(chain, rel=0.01)


def test_the_same_random_numbers_make_differences_sharper():
    rng = np.random.default_rng(7)
    birds, pairs = 40, 400

    def ends(gaps, work, mean):
        arrive = np.cumsum(gaps, axis=0)
        posts = [Post(), Post()]  # the first only brings the birds
        times = np.stack([np.diff(arrive, axis=0, prepend=0), work * mean], axis=1)
        return pass_through(posts, times).end_s

    draws = [rng.exponential(1.0, (birds, pairs)) for _ in range(4)]
    common = ends(2 * draws[0], draws[1], 1.6) - ends(2 * draws[0], draws[1], 1.8)
    apart = ends(2 * draws[0], draws[1], 1.6) - ends(2 * draws[2], draws[3], 1.8)
    assert apart.var(ddof=1) > 10 * common.var(ddof=1)
    error = (apart.var(ddof=1) / pairs + common.var(ddof=1) / pairs) ** 0.5
    assert abs(apart.mean() - common.mean()) < 3 * error


def test_two_days_from_one_seed_are_the_same_log():
    line = handbook_stations("chicken", cones=4)
    people = [Person(n, frozenset(STATION_CODES), 0.0, 86400.0) for n in ("Wren", "Ash")]
    work = [sample_work(line, birds=12, draws=1, seed=3)[0] for _ in range(2)]
    one, two = (simulate(line, people, work_s=w) for w in work)
    np.testing.assert_array_equal(one.phase_start_s, two.phase_start_s)
    np.testing.assert_array_equal(one.phase_person, two.phase_person)
