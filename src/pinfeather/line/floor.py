"""Birds and places while the day is played through; :mod:`.events` adds the people."""

from __future__ import annotations

import math
from collections import deque
from dataclasses import dataclass
from heapq import heappush
from typing import Final

PHASE_ENDS: Final = 0
PERSON_COMES: Final = 1
BIRD_COMES: Final = 2
WASHED: Final = 3
LOOK_AGAIN: Final = 4
PERSON_GOES: Final = 5


@dataclass(slots=True)
class Line:
    """The stations as plain lists: one entry a station, or a phase where the comment says so."""

    servers: list[int]
    batch: list[int]
    room: list[float]
    patience_s: list[float]
    max_stay_s: list[float | None]
    time_s: list[float]
    first: list[int]
    end: list[int]
    run_to: list[int]  # a phase: where the phases after it that go on without a break end
    dirty: list[bool]
    packing: list[bool]
    attended: list[bool]  # a phase
    together: list[bool]  # a phase
    rest_s: list[float]  # a phase: planned time from its end to the station's end
    wip_until: int
    wip_limit: float
    cycle_s: float  # planned time between birds, for judging how long a queue takes
    gaps: list[tuple[float, float, float, float]]  # lead, stay, from, to: nobody is there


@dataclass(slots=True)
class Log:
    """What happened: times by phase and bird, or by station and bird, and sums."""

    phase_start: list[list[float]]
    phase_finish: list[list[float]]
    phase_person: list[list[int]]
    arrive: list[list[float]]
    depart: list[list[float]]
    busy: list[float]
    blocked: list[float]
    person_busy: list[float]
    washes: list[int]


def new_log(stations: int, *, phases: int, birds: int, people: int) -> Log:
    """Return an empty log: not-a-number and -1 for all that has not happened."""

    def times(rows: int) -> list[list[float]]:
        return [[math.nan] * birds for _ in range(rows)]

    return Log(
        times(phases),
        times(phases),
        [[-1] * birds for _ in range(phases)],
        times(stations),
        times(stations),
        [0.0] * stations,
        [0.0] * stations,
        [0.0] * people,
        [0] * people,
    )


@dataclass(slots=True, eq=False)
class Load:
    """Birds that go through one place of a station together."""

    station: int
    birds: list[int]
    phase: int
    left: int
    since: float
    eta: float = math.inf


class Floor:
    """Where every bird is, and what may start.

    Parameters
    ----------
    line : Line
        The stations.
    work : list of list of float
        Time of each phase for each bird, shape (phases, birds) [s].
    pace : list of float
        How fast each person works [1].
    log : Log
        Filled in as things happen.
    """

    __slots__ = (
        "active", "at_door", "begun", "birds", "by_hand", "done", "final", "first_away", "gaps",
        "gated", "heap", "held", "held_count", "idle", "line", "log", "longest_s", "number",
        "opened", "pace", "plain", "queue", "running", "to_come", "tracked", "wip", "work",
    )  # fmt: skip

    def __init__(self, line: Line, work: list[list[float]], *, pace: list[float], log: Log) -> None:
        count = len(line.servers)
        self.line, self.work, self.pace, self.log = line, work, pace, log
        self.birds = len(work[0])
        self.final = count - 1
        self.idle = list(line.servers)
        self.queue: list[deque[int]] = [deque() for _ in range(count)]
        self.done: list[deque[tuple[int, Load]]] = [deque() for _ in range(count)]
        self.at_door = [0] * (count + 1)  # birds that could start: queue and done before it
        self.held: list[deque[Load]] = [deque() for _ in range(count)]
        self.held_count = 0
        self.active: list[list[Load]] = [[] for _ in range(count)]
        self.begun = [0] * count
        self.wip = 0
        self.running = 0
        self.to_come = self.birds  # not released yet
        self.opened = False  # whether a place came free since somebody last looked
        self.heap: list[tuple[float, int, int, Load | None, int]] = []
        self.number = 0
        self.by_hand = [line.attended[p] for p in line.first]
        self.gated = [line.max_stay_s[k] is not None for k in range(count)]
        self.gaps = line.gaps
        self.first_away = 0.0
        self.longest_s = max((stay for _, stay, _, _ in line.gaps), default=0.0)
        self.forget_gaps(0.0)
        self.plain = [k > 0 and line.batch[k] == 1 and not self.gated[k] for k in range(count)]
        self.tracked = [
            line.dirty[k] or self.gated[k] or (k > 0 and self.gated[k - 1])
            or (k < count - 1 and line.batch[k + 1] > 1)
            for k in range(count)
        ]  # fmt: skip

    def push(self, when: float, kind: int, who: int) -> None:
        """Put an event on the heap; equal times keep the order they were put in."""
        self.number += 1
        heappush(self.heap, (when, self.number, kind, None, who))

    def space(self, k: int, now: float) -> float:
        """Birds that could leave station k without waiting, besides those already there."""
        line, after = self.line, k + 1
        if after > self.final:
            return math.inf
        places = line.room[after] - len(self.queue[after]) + line.batch[after] * self.idle[after]
        if line.max_stay_s[k]:
            by = now + line.time_s[k]
            places += sum(line.batch[after] for load in self.active[after] if now <= load.eta <= by)
        return places - len(self.done[k]) - sum(len(load.birds) for load in self.active[k])

    def how_many(self, k: int, now: float, flush: bool) -> int:
        """Birds that may start together at station k now; 0 if it should not start."""
        door = self.at_door[k]
        if not self.idle[k] or not door or (k == 0 and self.wip >= self.line.wip_limit):
            return 0
        line = self.line
        most = line.batch[k]
        count: float = min(most, door)
        if k == 0:
            count = min(count, line.wip_limit - self.wip)
            if self.gaps and not self.clear(now):
                return 0
        if line.max_stay_s[k] is not None:
            count = min(count, self.space(k, now))
        if (
            0 < count < most
            and door < most
            and not (flush and not self.to_come)
            and self.more_coming(k, now)
        ):
            return 0
        return int(count) if count > 0 else 0

    def more_coming(self, k: int, now: float) -> bool:
        """Whether a load that is not full should wait for another bird."""
        patience_s = self.line.patience_s[k]
        if patience_s == math.inf:
            return self.begun[k] + self.at_door[k] < self.birds
        by = now + patience_s
        return k > 0 and any(now <= load.eta <= by for load in self.active[k - 1])

    def clear(self, now: float) -> bool:
        """Whether a bird that starts now is through before somebody it needs is away."""
        queue_s = self.wip * self.line.cycle_s
        if now + self.longest_s + queue_s <= self.first_away:
            return True
        return not any(
            now + lead < back and now + stay + queue_s > away
            for lead, stay, away, back in self.gaps
        )

    def forget_gaps(self, now: float) -> None:
        """Drop the times with nobody there that no later bird can meet."""
        self.gaps = [gap for gap in self.gaps if now + gap[0] < gap[3]]
        self.first_away = min((gap[2] for gap in self.gaps), default=math.inf)

    def begin(self, k: int, count: int, now: float) -> Load:
        """Take birds into one place of station k."""
        self.idle[k] -= 1
        self.at_door[k] -= count
        self.begun[k] += count
        waits = self.queue[k]
        if count == 1 and waits:
            birds = [waits.popleft()]
        else:
            birds = []
            for _ in range(count):
                if waits:
                    birds.append(waits.popleft())
                else:
                    bird, before = self.done[k - 1].popleft()
                    birds.append(bird)
                    self.move(bird, before, now)
        load = Load(k, birds, self.line.first[k], count, now)
        if self.tracked[k]:
            self.active[k].append(load)
        if k == 0:
            self.wip += count
        else:
            if self.done[k - 1]:
                self.fill(k, now)
            if self.gated[k - 1]:
                self.opened = True
        return load

    def move(self, bird: int, load: Load, now: float) -> None:
        """Let one finished bird leave its place for the next station."""
        k = load.station
        self.log.depart[k][bird] = now
        self.log.arrive[k + 1][bird] = now
        load.left -= 1
        if not load.left:
            self.idle[k] += 1
            self.opened = True
            self.log.blocked[k] += now - load.since
            if not self.by_hand[k]:
                self.automatic(k, now)

    def fill(self, k: int, now: float) -> None:
        """Let finished birds move up into the waiting places before station k."""
        waits, behind, room = self.queue[k], self.done[k - 1], self.line.room[k]
        while behind and len(waits) < room:
            bird, load = behind.popleft()
            waits.append(bird)
            self.move(bird, load, now)

    def automatic(self, k: int, now: float, *, flush: bool = False) -> bool:
        """Start all that needs nobody at station k; True if something started."""
        started = False
        while count := self.how_many(k, now, flush):
            self.go(self.begin(k, count, now), -1, now)
            started = True
        return started

    def go(self, load: Load, person: int, now: float) -> None:
        """Do the next phases of a load, as long as the same somebody, or nobody, does them."""
        line, log, birds, phase = self.line, self.log, load.birds, load.phase
        until, attended = line.run_to[phase], line.attended[phase]
        pace = self.pace[person] if attended else 1.0
        at = now
        single = len(birds) == 1
        bird = birds[0]
        while phase < until:
            times, start = self.work[phase], at
            if single:
                at += times[bird] / pace
                log.phase_start[phase][bird] = start
                log.phase_finish[phase][bird] = at
                log.phase_person[phase][bird] = person
            else:
                spent = [times[bird] for bird in birds]
                at += (max(spent) if line.together[phase] else sum(spent)) / pace
                for bird in birds:
                    log.phase_start[phase][bird] = start
                    log.phase_finish[phase][bird] = at
                    log.phase_person[phase][bird] = person
            phase += 1
        load.phase = phase
        load.eta = at + line.rest_s[phase - 1]
        if attended:
            log.person_busy[person] += at - now
        self.running += 1
        self.number += 1
        heappush(self.heap, (at, self.number, PHASE_ENDS, load, person))

    def phase_ends(self, load: Load, now: float) -> None:
        """Carry on with a load whose phase is over: the next phase, a person, or the way out."""
        line, k = self.line, load.station
        if load.phase < line.end[k]:
            if line.attended[load.phase]:
                load.eta = -math.inf  # it waits for somebody; nobody knows how long
                self.held[k].append(load)
                self.held_count += 1
            else:
                self.go(load, -1, now)
            return
        if self.tracked[k]:
            self.active[k].remove(load)
        self.log.busy[k] += now - load.since
        load.since = now
        if k == line.wip_until:
            self.wip -= load.left
        after = k + 1
        if k == self.final:
            self.out(load, now)
            return
        self.at_door[after] += load.left
        if load.left == 1 and not self.done[k] and len(self.queue[after]) < line.room[after]:
            # the everyday case: one bird, room for it
            bird = load.birds[0]
            self.queue[after].append(bird)
            self.log.depart[k][bird] = self.log.arrive[after][bird] = now
            self.idle[k] += 1
            if not self.by_hand[k]:
                self.automatic(k, now)
        else:
            for bird in load.birds:
                self.done[k].append((bird, load))
            self.fill(after, now)
        if not self.by_hand[after]:
            self.automatic(after, now)

    def out(self, load: Load, now: float) -> None:
        """Let a load leave the last station."""
        k = self.final
        for bird in load.birds:
            self.log.depart[k][bird] = now
        self.idle[k] += 1
        if not self.by_hand[k]:
            self.automatic(k, now)
