"""Who takes what, and the event loop; :mod:`.simulate` prepares and reads it."""

from __future__ import annotations

import math
from bisect import insort
from dataclasses import dataclass
from heapq import heappop

from pinfeather.line.floor import (
    BIRD_COMES,
    LOOK_AGAIN,
    PERSON_COMES,
    PERSON_GOES,
    WASHED,
    Floor,
    Line,
    Log,
    new_log,
)

NOTHING, WASH = -1, -2


@dataclass(slots=True)
class Crew:
    """The people as plain lists, one entry a person."""

    can: list[frozenset[int]]
    pace: list[float]
    spans: list[tuple[tuple[float, float], ...]]
    side: list[bool | None]
    change_s: float
    cross: str


class Hands:
    """Where every person is, and what each takes next.

    Parameters
    ----------
    floor : Floor
        The birds and places.
    crew : Crew
        The people.
    """

    __slots__ = (
        "at_work", "cover", "crew", "everyone", "floor", "free", "in_hand", "jobs", "known",
        "on_duty", "order", "packs", "rank", "reach", "relaxed", "side", "unloads",
    )  # fmt: skip

    def __init__(self, floor: Floor, crew: Crew) -> None:
        line = floor.line
        self.floor, self.crew = floor, crew
        self.everyone = range(len(crew.can))
        self.side = list(crew.side)
        self.on_duty = [False] * len(crew.can)
        self.at_work = [False] * len(crew.can)
        # by side and station: people there, on duty, who can serve it
        self.cover = [[0] * (floor.final + 1), [0] * (floor.final + 1)]
        # those who can do least choose first
        by_skill = sorted(self.everyone, key=lambda i: (len(crew.can[i]), i))
        self.rank = [by_skill.index(i) for i in self.everyone]
        self.free: list[tuple[int, int]] = []
        self.known: dict[int, bool] = {}  # what could start, until something changes
        self.relaxed = False  # whether the rules give way
        down = range(floor.final, -1, -1)
        self.order = sorted((k for k in down if floor.by_hand[k]), key=lambda k: line.packing[k])
        # a bird in the hand goes before all else
        self.in_hand = [
            k for k in self.order if k and line.max_stay_s[k - 1] == 0 and floor.plain[k]
        ]
        self.unloads = [k for k in down if any(line.attended[line.first[k] + 1 : line.end[k]])]
        self.jobs = [
            [
                [k for k in self.order if k in can and line.dirty[k] is side
                 and not line.packing[k]]
                for side in (False, True)
            ]
            for can in crew.can
        ]  # fmt: skip
        self.reach: list[list[int]] = [[] for _ in self.everyone]
        self.packs = [[k for k in self.order if k in can and line.packing[k]] for can in crew.can]

    def stand(self, i: int, side: bool | None, *, on_duty: bool) -> None:
        """Note which side person i is on, and whether they are there at all."""
        for step, was, there in ((-1, self.side[i], self.on_duty[i]), (1, side, on_duty)):
            if there and was is not None:
                cover = self.cover[was]
                for k in self.crew.can[i]:
                    cover[k] += step
        self.side[i], self.on_duty[i] = side, on_duty
        self.reach = [self.over(j) for j in self.everyone]

    def over(self, i: int) -> list[int]:
        """Return the stations of the line for which person i may go over to the other side."""
        here = self.side[i]
        if here is None or self.crew.cross == "never":
            return []
        jobs = self.jobs[i][not here]
        if self.crew.cross == "freely" and (here or self.spare(i)):
            return jobs
        cover = self.cover[not here]
        return [k for k in jobs if not cover[k]]

    def spare(self, i: int) -> bool:
        """Whether others on the clean side can do all that person i does there on the line."""
        return all(self.someone_else(i, k, dirty=False) for k in self.jobs[i][False])

    def someone_else(self, i: int, k: int, *, dirty: bool) -> bool:
        """Whether another person on that side and on duty can serve station k."""
        mine = self.on_duty[i] and self.side[i] is dirty and k in self.crew.can[i]
        return self.cover[dirty][k] > mine

    def leaves_birds(self, i: int) -> bool:
        """Whether birds under way on the dirty side would have nobody if person i left it."""
        floor, line, can = self.floor, self.floor.line, self.crew.can[i]
        for k in range(floor.final):
            if not line.dirty[k] or not floor.active[k]:
                continue
            needs = [k + 1] if line.dirty[k + 1] else []
            if k in self.unloads:
                needs.append(k)
            if any(n in can and not self.someone_else(i, n, dirty=True) for n in needs):
                return True
        return False

    def over_there(self) -> bool:
        """Whether the dirty side has nothing more to begin."""
        floor = self.floor
        return floor.begun[0] == floor.birds and not any(
            floor.at_door[k] for k in range(floor.final) if floor.line.dirty[k]
        )

    def opens(self, k: int, now: float) -> bool:
        """Return whether somebody could start something at station k now."""
        floor = self.floor
        if not floor.at_door[k] or not floor.idle[k]:
            return False
        if floor.plain[k]:
            return True
        known = self.known.get(k)
        if known is None:
            known = self.known[k] = bool(floor.how_many(k, now, self.relaxed))
        return known

    def choose(self, i: int, now: float) -> int:
        """Return the station person i serves now where they stand, or NOTHING."""
        floor, here, can = self.floor, self.side[i], self.crew.can[i]
        idle, at_door, plain = floor.idle, floor.at_door, floor.plain
        for k in self.in_hand:
            if at_door[k] and idle[k] and k in can:
                return k
        if floor.held_count:
            dirty = floor.line.dirty
            for k in self.unloads:
                if floor.held[k] and k in can and (
                    here is None or dirty[k] is here
                    or (not here and not self.someone_else(i, k, dirty=True))
                ):  # fmt: skip
                    return k
        for k in self.order if here is None else self.jobs[i][here]:
            if at_door[k] and idle[k] and (plain[k] or self.opens(k, now)) and k in can:
                return k
        return NOTHING

    def elsewhere(self, i: int, now: float) -> int:
        """Return what person i does whom the line does not need on their own side."""
        here = self.side[i]
        if here is None:
            return NOTHING
        if here:
            return self.leave_dirty(i, now)
        for k in self.jobs[i][True] if self.relaxed else self.reach[i]:
            if self.opens(k, now):
                return k
        at_door = self.floor.at_door
        for k in self.packs[i]:
            if at_door[k] and self.opens(k, now):
                return k
        return NOTHING

    def leave_dirty(self, i: int, now: float) -> int:
        """Return WASH if person i should go over to the clean side, or NOTHING."""
        floor = self.floor
        over = self.relaxed or self.over_there()
        jobs = self.jobs[i][False] + self.packs[i] if over else self.reach[i]
        jobs = [k for k in jobs if self.opens(k, now)]
        if not jobs or (not self.relaxed and self.leaves_birds(i)):
            return NOTHING
        if over or not all(self.cover[False][k] for k in jobs):
            return WASH
        # the others there will have done their part of the work before the wash is over
        clean = sum(a and b is False for a, b in zip(self.on_duty, self.side, strict=True))
        ahead_s = sum(floor.at_door[k] * floor.line.time_s[k] for k in jobs)
        return WASH if ahead_s >= self.crew.change_s * (1 + clean) else NOTHING

    def dispatch(self, now: float) -> None:
        """Give free people work until nobody takes any: first where they stand, then elsewhere."""
        free, floor = self.free, self.floor
        self.known.clear()
        at, everywhere = 0, False
        while at < len(free):
            i = free[at][1]
            k = self.elsewhere(i, now) if everywhere else self.choose(i, now)
            if k == NOTHING:
                at += 1
                if at == len(free) and not everywhere:
                    at, everywhere = 0, True
                continue
            del free[at]
            floor.opened = everywhere
            self.take(i, k, now)
            if not free:
                return
            self.known.clear()
            if floor.opened:  # what one has begun may make work for those who found none
                at, everywhere = 0, False
            elif at == len(free):
                at, everywhere = 0, True

    def give_way(self, now: float) -> bool:
        """Give one free person one piece of work, whatever holds it up; True if there was one."""
        self.known.clear()
        self.relaxed = True
        try:
            for choice in (self.choose, self.elsewhere):
                for at, (_, i) in enumerate(self.free):
                    k = choice(i, now)
                    if k != NOTHING:
                        del self.free[at]
                        self.take(i, k, now)
                        return True
        finally:
            self.relaxed = False
        return False

    def take(self, i: int, k: int, now: float) -> None:
        """Let person i begin at station k, or wash."""
        floor = self.floor
        self.at_work[i] = True
        if k == WASH:
            self.wash(i, now)
            return
        dirty = floor.line.dirty[k]
        if self.side[i] is not dirty:
            self.stand(i, dirty, on_duty=self.on_duty[i])
        hand = k in self.in_hand and floor.at_door[k] and floor.idle[k]
        if floor.held[k] and not hand:
            load = floor.held[k].popleft()
            floor.held_count -= 1
        else:
            count = 1 if floor.plain[k] else floor.how_many(k, now, self.relaxed)
            load = floor.begin(k, count, now)
        floor.go(load, i, now)

    def wash(self, i: int, now: float) -> None:
        """Send person i from the dirty to the clean side."""
        self.stand(i, side=False, on_duty=self.on_duty[i])
        self.floor.log.washes[i] += 1
        self.floor.log.person_busy[i] += self.crew.change_s
        self.floor.running += 1
        self.floor.push(now + self.crew.change_s, WASHED, i)

    def event(self, kind: int, who: int, now: float) -> None:
        """Take note of something other than the end of a phase."""
        floor = self.floor
        if kind == BIRD_COMES:
            floor.log.arrive[0][who] = now
            floor.queue[0].append(who)
            floor.at_door[0] += 1
            floor.to_come -= 1
        elif kind == PERSON_COMES:
            self.stand(who, self.side[who], on_duty=True)
            self.rest(who)
        elif kind == PERSON_GOES:
            self.stand(who, self.side[who], on_duty=False)
            if not self.at_work[who]:
                self.free.remove((self.rank[who], who))
        elif kind == WASHED:
            floor.running -= 1
            self.back(who)
        else:
            floor.forget_gaps(now)

    def goes_on(self, i: int, k: int, now: float) -> bool:
        """Let person i carry the bird in their hand on to station k, if that is how it goes."""
        floor = self.floor
        if k not in self.crew.can[i] or not floor.at_door[k] or not floor.idle[k]:
            return False
        self.take(i, k, now)
        return True

    def back(self, i: int) -> None:
        """Person i has finished something; what was begun in time may end after hours."""
        self.at_work[i] = False
        if self.on_duty[i]:
            insort(self.free, (self.rank[i], i))

    def rest(self, i: int) -> None:
        """Person i is free, unless still at work."""
        if not self.at_work[i]:
            insort(self.free, (self.rank[i], i))


def run(line: Line, crew: Crew, *, work: list[list[float]], release: list[float]) -> Log:
    """Play the day through, event by event.

    Parameters
    ----------
    line : Line
        The stations.
    crew : Crew
        The people.
    work : list of list of float
        Time of each phase for each bird, shape (phases, birds) [s].
    release : list of float
        Earliest start of each bird [s].

    Returns
    -------
    Log
        Not-a-number where something never happened.

    References
    ----------
    Derivation: next-event simulation; the rules are in the notes of
    :func:`pinfeather.line.simulate.simulate`.
    """
    log = new_log(len(line.servers), phases=len(work), birds=len(release), people=len(crew.can))
    floor = Floor(line, work, pace=crew.pace, log=log)
    hands = Hands(floor, crew)
    _announce(floor, crew, release)
    unattended = [k for k in range(floor.final + 1) if not floor.by_hand[k]]
    watched = [k for k in unattended if not floor.plain[k]]
    carries = [k + 1 in hands.in_hand for k in range(floor.final + 1)]
    heap = floor.heap
    while heap:
        now = heap[0][0]
        while heap and heap[0][0] == now:
            _, _, kind, load, who = heappop(heap)
            if load is None:
                hands.event(kind, who, now)
                continue
            floor.running -= 1
            floor.phase_ends(load, now)
            if who >= 0 and not (
                carries[load.station] and hands.goes_on(who, load.station + 1, now)
            ):
                hands.back(who)
        for k in watched:
            floor.automatic(k, now)
        if hands.free:
            hands.dispatch(now)
        if not floor.running:
            _give_way(floor, hands, unattended, now=now)
    return log


def _announce(floor: Floor, crew: Crew, release: list[float]) -> None:
    """Put all that is known beforehand on the heap."""
    for i, spans in enumerate(crew.spans):
        for start, end in spans:
            floor.push(end, PERSON_GOES, i)
            floor.push(start, PERSON_COMES, i)
    for bird, when in enumerate(release):
        floor.push(when, BIRD_COMES, bird)
    for lead, _stay, _away, back in floor.line.gaps:
        if math.isfinite(back):
            floor.push(back - lead, LOOK_AGAIN, -1)


def _give_way(floor: Floor, hands: Hands, unattended: list[int], *, now: float) -> None:
    """Begin something although the rules hold it up: nothing is under way otherwise."""
    while not floor.running:
        if any(floor.automatic(k, now, flush=True) for k in unattended):
            continue
        if not hands.give_way(now):
            return
        hands.dispatch(now)
