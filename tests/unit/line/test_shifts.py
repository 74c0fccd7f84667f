import itertools

import numpy as np
import pytest

from pinfeather.errors import InputError
from pinfeather.line.assign import hand_times
from pinfeather.line.crew import Person
from pinfeather.line.shifts import plan_crew
from pinfeather.line.stations import DIRTY_SIDE, STATION_CODES, handbook_stations

ALL = frozenset(STATION_CODES)
LINE = handbook_stations("chicken", cones=6, draw_places=4)
HOUR = 3600.0


def crew(*more):
    return [Person(f"p{i}", ALL, 0.0, 4 * HOUR, **kind) for i, kind in enumerate(more)]


def most_birds(people, part, here, side, spare):
    """One part of the day with everybody's side and time given: a small linear programme."""
    from scipy.optimize import linprog

    times, codes = hand_times(LINE, people)
    dirty = [code in DIRTY_SIDE for code in codes]
    slowest = max(s.load_s / (s.batch * s.servers) for s in LINE if s.code != "chill")
    length, count = part[1] - part[0], len(codes)
    able = [
        [dirty[k] == side[n] and np.isfinite(times[i, k]) for k in range(count)]
        for n, i in enumerate(here)
    ]
    rows, top = [], []
    for k in range(count):
        row = np.zeros(len(here) * count + 1)
        for n, i in enumerate(here):
            row[n * count + k] = -1 / times[i, k] if able[n][k] else 0
        row[-1] = 1
        rows.append(row)
        top.append(0.0)
    for n in range(len(here)):
        row = np.zeros(len(here) * count + 1)
        row[n * count : (n + 1) * count] = 1
        rows.append(row)
        top.append(max(spare[n], 0.0))
    bounds = [(0, length if can else 0) for mine in able for can in mine]
    cost = np.zeros(len(here) * count + 1)
    cost[-1] = -1
    bounds.append((0, length / slowest))
    return -linprog(cost, np.array(rows), top, bounds=bounds).fun


def by_all_sides(people, parts, change_s=240.0):
    """Try every side of everybody in every part."""
    known = {}
    best = 0.0
    slots = [(p, i) for p, (_, _, here) in enumerate(parts) for i in here]
    for sides in itertools.product([True, False], repeat=len(slots)):
        side = dict(zip(slots, sides, strict=True))
        total, last = 0.0, {}
        for p, (from_s, to_s, here) in enumerate(parts):
            mine = tuple(side[p, i] for i in here)
            washes = tuple(last.get(i) is True and not s for i, s in zip(here, mine, strict=True))
            last.update(zip(here, mine, strict=True))
            if (p, mine, washes) not in known:
                spare = [to_s - from_s - (change_s if w else 0.0) for w in washes]
                known[p, mine, washes] = most_birds(people, (from_s, to_s), here, mine, spare)
            total += known[p, mine, washes]
        best = max(best, total)
    return best


def test_the_plan_is_that_of_trying_all_sides_in_all_parts():
    people = [
        Person("Wren", ALL, 0.0, 4 * HOUR, breaks=((1.5 * HOUR, 1.75 * HOUR),)),
        Person("Ash", ALL, 0.0, 4 * HOUR, 1.2),
        Person("Jay", ALL, 0.0, 2.5 * HOUR, 0.8),
    ]
    parts = [
        (0.0, 1.5 * HOUR, (0, 1, 2)),
        (1.5 * HOUR, 1.75 * HOUR, (1, 2)),
        (1.75 * HOUR, 2.5 * HOUR, (0, 1, 2)),
        (2.5 * HOUR, 4 * HOUR, (0, 1)),
    ]
    found = plan_crew(LINE, people)
    assert found.gap_frac == 0
    assert [(part.from_s, part.to_s) for part in found.parts] == [(a, b) for a, b, _ in parts]
    assert found.birds == pytest.approx(by_all_sides(people, parts), rel=1e-6)


def test_everybody_keeps_to_one_side_skill_and_time_in_each_part():
    people = crew({}, {"breaks": ((HOUR, 1.5 * HOUR),)}, {"pace": 0.7})
    found = plan_crew(LINE, people)
    dirty = np.array([code in DIRTY_SIDE for code in found.codes])
    for part in found.parts:
        for i, side in enumerate(part.dirty):
            spent = part.time_s[i]
            assert spent.sum() <= part.to_s - part.from_s + 1e-6
            if side is None:
                assert spent.sum() == 0
            else:
                assert spent[dirty != side].sum() < 1e-6


def test_a_wash_is_taken_off_the_time():
    people = crew({}, {"breaks": ((HOUR, 1.5 * HOUR),)}, {"pace": 0.7})
    free = plan_crew(LINE, people, change_s=0.0)
    dear = plan_crew(LINE, people, change_s=1800.0)
    assert dear.birds <= free.birds + 1e-6


def test_an_earlier_end_gives_fewer_birds():
    people = crew({}, {})
    whole = plan_crew(LINE, people)
    half = plan_crew(LINE, people, until_s=2 * HOUR)
    assert half.birds == pytest.approx(whole.birds / 2)


def test_nobody_is_refused():
    with pytest.raises(InputError):
        plan_crew(LINE, [])
