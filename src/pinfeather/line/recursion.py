"""Fixed posts, computed bird by bird and for many days at once, without an event loop.

Every station has its own people, so a place is all that a bird waits for. The recursion is
exact for places side by side with birds overtaking, for waiting places and for blocking.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from pinfeather.errors import InputError
from pinfeather.words import gettext as _

Floats = NDArray[np.float64]
Order = NDArray[np.int64] | None
Who = NDArray[np.int64] | int


class Rule(Protocol):
    """A way to pass birds through stations: returns who comes on, in order, and when."""

    def __call__(  # noqa: D102 - see the class
        self, posts: Sequence[Post], times: Floats, ready: Floats, /, *, order: Order, out: Passage
    ) -> tuple[Floats, Order]: ...


@dataclass(frozen=True, slots=True)
class Post:
    """A station as the recursion sees it.

    Parameters
    ----------
    servers : int
        Places side by side.
    buffer : int or None
        Waiting places before it; None where there is always room.
    batch : int
        Birds in a load; more than one needs one server and unlimited room before it, and a
        load waits until it is full or no birds are left.
    """

    servers: int = 1
    buffer: int | None = None
    batch: int = 1

    def __post_init__(self) -> None:
        if self.servers < 1 or self.batch < 1 or (self.buffer is not None and self.buffer < 0):
            raise InputError("post", self, _("A station needs places; room cannot be negative."))
        if self.batch > 1 and (self.servers > 1 or self.buffer is not None):
            raise InputError("post", self, _("Loads need one place and unlimited room before it."))


@dataclass(frozen=True, slots=True)
class Passage:
    """When each bird started, was done and left, at every station.

    Parameters
    ----------
    start_s, finish_s, depart_s : ndarray
        Shape (birds, stations, days) [s].
    """

    start_s: Floats
    finish_s: Floats
    depart_s: Floats

    @property
    def end_s(self) -> Floats:
        """When the last bird left the last station, shape (days,) [s]."""
        latest: Floats = self.depart_s[:, -1].max(axis=0)
        return latest


def pass_through(
    posts: Sequence[Post], times_s: Floats, *, release_s: Floats | None = None
) -> Passage:
    """Pass birds through a line of fixed posts.

    Parameters
    ----------
    posts : sequence of Post
        The line.
    times_s : ndarray
        Time of each bird at each station, shape (birds, stations) or (birds, stations, days)
        [s].
    release_s : ndarray or None
        Earliest start of each bird, in order, shape (birds,) [s].

    Returns
    -------
    Passage
        By bird, whatever the order in which they passed.

    Raises
    ------
    InputError
        If the shapes do not fit or a time is negative.

    Notes
    -----
    First come, first served; blocking after service: a finished bird keeps its place until the
    next station has room, and rooms are given in the order of finishing.

    References
    ----------
    Buzacott and Shanthikumar 1993, Stochastic Models of Manufacturing Systems, on recursions
    for tandem queues with blocking. Derivation: with D_k(j) the j-th departure from station k
    and C_k(j) the j-th smallest finish there, the m-th start is the later of D_{k-1}(m) and
    D_k(m - c_k); D_k(j) is the later of C_k(j) and D_{k+1}(j - c_{k+1} - b_{k+1}). C_k(j) is
    the smallest finish among the at most c_k birds in the places, since every later start
    follows D_k(j).
    """
    times = np.asarray(times_s, dtype=float)
    if times.ndim == 2:  # noqa: PLR2004 - one day
        times = times[:, :, None]
    if times.ndim != 3 or times.shape[1] != len(posts) or not times.size:  # noqa: PLR2004
        raise InputError("times_s", np.shape(times_s), _("Give one time a bird and station."))
    if not (times >= 0).all():
        raise InputError("times_s", times_s, _("A time cannot be negative."))
    birds, _stations, days = times.shape
    ready = np.zeros((birds, days))
    if release_s is not None:
        ready += np.maximum.accumulate(np.asarray(release_s, float))[:, None]
    order: Order = None
    passage = Passage(np.empty_like(times), np.empty_like(times), np.empty_like(times))
    at = 0
    while at < len(posts):
        stop = at + 1
        while stop < len(posts) and _coupled(posts[stop], birds):
            stop += 1
        here = slice(at, stop)
        block = Passage(
            passage.start_s[:, here], passage.finish_s[:, here], passage.depart_s[:, here]
        )
        rule: Rule = _block
        if stop == at + 1 and posts[at].batch == 1:
            if posts[at].servers == 1 and order is None:
                rule = _one_by_one
            elif posts[at].servers >= birds:
                rule = _all_at_once
        ready, order = rule(posts[here], times[:, here], ready, order=order, out=block)
        at = stop
    return passage


def _coupled(post: Post, birds: int) -> bool:
    """Whether a full station can hold up the one before it."""
    return post.buffer is not None and post.buffer + post.servers < birds


def _one_by_one(
    _posts: Sequence[Post], times: Floats, ready: Floats, *, order: Order, out: Passage
) -> tuple[Floats, Order]:
    """Pass birds through one place with room around it: sums and a running maximum."""
    work = times[:, 0]
    done = np.cumsum(work, axis=0)
    latest = np.maximum.accumulate(ready - (done - work), axis=0)
    finish = done + latest
    out.finish_s[:, 0] = out.depart_s[:, 0] = finish
    out.start_s[:, 0] = finish - work
    return finish, order


def _all_at_once(
    _posts: Sequence[Post], times: Floats, ready: Floats, *, order: Order, out: Passage
) -> tuple[Floats, Order]:
    """Pass birds through a station with a place for each: the quicker overtake."""
    birds, _, days = times.shape
    who = np.arange(birds)[:, None].repeat(days, axis=1) if order is None else order
    arrive = np.empty((birds, days))
    np.put_along_axis(arrive, who, ready, axis=0)
    finish = arrive + times[:, 0]
    out.start_s[:, 0] = arrive
    out.finish_s[:, 0] = out.depart_s[:, 0] = finish
    in_order = np.take_along_axis(finish, who, axis=0)
    by_finish = np.argsort(in_order, axis=0, kind="stable")
    ready = np.take_along_axis(in_order, by_finish, axis=0)
    return ready, np.take_along_axis(who, by_finish, axis=0)


@dataclass(slots=True)
class _Places:
    """The birds in a station's places: when each is done, who it is, in which turn it came."""

    finish: Floats
    bird: NDArray[np.int64]
    turn: NDArray[np.int64]
    slot: NDArray[np.int64]

    @classmethod
    def empty(cls, places: int, days: int) -> _Places:
        """Return places with nobody in them."""
        shape = (places, days)
        turn = np.zeros(shape, np.int64)
        return cls(np.full(shape, np.inf), np.zeros_like(turn), turn, np.zeros(days, np.int64))

    def take(self, bird: Who, finish: Floats, *, turn: int, day: NDArray[np.int64]) -> None:
        """Put a bird into the place that came free last, or the next empty one at the start."""
        if turn < len(self.finish):
            self.finish[turn], self.bird[turn], self.turn[turn] = finish, bird, turn
            return
        self.finish[self.slot, day] = finish
        self.bird[self.slot, day] = bird
        self.turn[self.slot, day] = turn

    def first(self, day: NDArray[np.int64]) -> tuple[NDArray[np.int64], Floats]:
        """Take out the bird that is done first, in case of a tie the one that came first."""
        soonest = self.finish.min(axis=0)
        turn = np.where(self.finish == soonest, self.turn, np.iinfo(np.int64).max)
        self.slot = turn.argmin(axis=0)
        bird = self.bird[self.slot, day]
        self.finish[self.slot, day] = np.inf
        return bird, soonest


def _block(
    posts: Sequence[Post], times: Floats, ready: Floats, *, order: Order, out: Passage
) -> tuple[Floats, Order]:
    """Pass birds through stations that hold each other up."""
    block = _Block(posts, times, ready, order=order, out=out)
    servers = block.servers
    shift = np.cumsum([c - 1 for c in servers]).tolist()
    for step in range(block.birds + shift[-1]):
        for k, ahead in enumerate(shift):
            if 0 <= step - ahead < block.birds:
                block.leave(k, step - ahead)
    who = block.who[-1]
    same = all(isinstance(bird, int) for bird in who)
    return np.stack(block.left[-1]), None if same else np.stack([np.asarray(b) for b in who])


class _Block:
    """Stations that can hold each other up, from one with unlimited room before it.

    ``left[k][j]`` is when the j-th bird left station k, ``who[k][j]`` which bird it was (a
    number, or one for each day), ``begun[k]`` how many have started there.
    """

    def __init__(
        self, posts: Sequence[Post], times: Floats, ready: Floats, *, order: Order, out: Passage
    ) -> None:
        self.posts, self.times, self.ready, self.order, self.out = posts, times, ready, order, out
        self.birds, _, self.days = times.shape
        self.day = np.arange(self.days)
        self.servers = [min(post.servers, self.birds) for post in posts]
        self.left: list[list[Floats]] = [[] for _ in posts]
        self.who: list[list[Who]] = [[] for _ in posts]
        self.begun = [0] * len(posts)
        self.places = [_Places.empty(c, self.days) for c in self.servers]
        self.load = (np.zeros(self.days), np.zeros(self.days))

    def comes(self, k: int, m: int) -> tuple[Who, Floats]:
        """Return the m-th bird to come to station k, and when."""
        if k:
            return self.who[k - 1][m], self.left[k - 1][m]
        return m if self.order is None else self.order[m], self.ready[m]

    def begin(self, k: int) -> tuple[Who, Floats]:
        """Start the next bird of station k; return it and when it is done."""
        m = self.begun[k]
        self.begun[k] += 1
        bird, start = self.comes(k, m)
        if self.posts[k].batch > 1:
            if m % self.posts[k].batch == 0:
                self.load = self.fill(k, m)
            start, finish = self.load
        else:
            if m >= self.servers[k]:
                start = np.maximum(start, self.left[k][m - self.servers[k]])
            finish = start + _at(self.times, bird, k, day=self.day)
        _put(self.out.start_s, bird, k, day=self.day, value=start)
        _put(self.out.finish_s, bird, k, day=self.day, value=finish)
        return bird, finish

    def fill(self, k: int, m: int) -> tuple[Floats, Floats]:
        """Return when the load that begins with the m-th bird starts and is done."""
        last = min(m + self.posts[k].batch, self.birds)
        start = self.comes(k, last - 1)[1]
        if m:
            start = np.maximum(start, self.left[k][m - 1])
        spent = [_at(self.times, self.comes(k, i)[0], k, day=self.day) for i in range(m, last)]
        return start, start + np.max(spent, axis=0)

    def leave(self, k: int, j: int) -> None:
        """Let the j-th bird leave station k; who it is follows from who is done first."""
        servers = self.servers[k]
        if servers == 1:
            bird, at = self.begin(k)
        else:
            while self.begun[k] < min(j + servers, self.birds):
                turn = self.begun[k]
                self.places[k].take(*self.begin(k), turn=turn, day=self.day)
            bird, at = self.places[k].first(self.day)
        if k + 1 < len(self.posts):
            behind = j - self.servers[k + 1] - (self.posts[k + 1].buffer or 0)
            if behind >= 0:
                at = np.maximum(at, self.left[k + 1][behind])
        self.left[k].append(at)
        self.who[k].append(bird)
        _put(self.out.depart_s, bird, k, day=self.day, value=at)


def _at(array: Floats, bird: Who, k: int, *, day: NDArray[np.int64]) -> Floats:
    """Return a station's entries for a bird, or for each day's own bird."""
    found: Floats = array[bird, k] if isinstance(bird, int) else array[bird, k, day]
    return found


def _put(array: Floats, bird: Who, k: int, *, day: NDArray[np.int64], value: Floats) -> None:
    """Set a station's entries for a bird, or for each day's own bird."""
    if isinstance(bird, int):
        array[bird, k] = value
    else:
        array[bird, k, day] = value
