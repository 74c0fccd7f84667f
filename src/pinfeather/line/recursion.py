"""Fixed posts, computed bird by bird and for many days at once, without an event loop.

Every station has its own people, so a place is all that a bird waits for. The recursion is
exact for places side by side with birds overtaking, for waiting places and for blocking.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from pinfeather.errors import InputError
from pinfeather.words import gettext as _

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Who = Ints | int
"""A bird: its row, or for each day where in the flattened (birds, days) array it stands."""

CHUNK_DAYS: Final = 1024
"""Days computed at once where only their ends are wanted, so that they stay in fast memory."""


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
    times = _checked(posts, times_s)
    birds, count, days = times.shape
    ready = _ready(birds, days, release_s)
    out = [_Record.empty(birds, days) for _ in posts]
    _run(posts, [np.ascontiguousarray(times[:, k]) for k in range(count)], ready, out=out)
    return Passage(
        np.stack([one.start for one in out], axis=1),
        np.stack([one.finish for one in out], axis=1),
        np.stack([one.depart for one in out], axis=1),
    )


def day_ends(posts: Sequence[Post], times_s: Floats, *, release_s: Floats | None = None) -> Floats:
    """Return only when each day's last bird left the last station; quicker for many days.

    Parameters
    ----------
    posts : sequence of Post
        The line.
    times_s : ndarray
        Time of each bird at each station, shape (birds, stations, days) [s].
    release_s : ndarray or None
        Earliest start of each bird, in order, shape (birds,) [s].

    Returns
    -------
    ndarray
        The same as ``pass_through(…).end_s``, shape (days,) [s].

    Raises
    ------
    InputError
        As :func:`pass_through`.

    References
    ----------
    Derivation: :func:`pass_through`, a thousand days at a time.
    """
    times = _checked(posts, times_s)
    birds, count, days = times.shape
    ends = []
    for at in range(0, days, CHUNK_DAYS):
        part = times[:, :, at : at + CHUNK_DAYS]
        columns = [np.ascontiguousarray(part[:, k]) for k in range(count)]
        ready = _ready(birds, part.shape[2], release_s)
        ends.append(_run(posts, columns, ready, out=None).max(axis=0))
    return np.concatenate(ends)


def _checked(posts: Sequence[Post], times_s: Floats) -> Floats:
    times = np.asarray(times_s, dtype=float)
    if times.ndim == 2:  # noqa: PLR2004 - one day
        times = times[:, :, None]
    if times.ndim != 3 or times.shape[1] != len(posts) or not times.size:  # noqa: PLR2004
        raise InputError("times_s", np.shape(times_s), _("Give one time a bird and station."))
    if not (times >= 0).all():
        raise InputError("times_s", times_s, _("A time cannot be negative."))
    return times


def _ready(birds: int, days: int, release_s: Floats | None) -> Floats:
    ready = np.zeros((birds, days))
    if release_s is not None:
        ready += np.maximum.accumulate(np.asarray(release_s, float))[:, None]
    return ready


@dataclass(slots=True)
class _Record:
    """Times of one station by bird and day."""

    start: Floats
    finish: Floats
    depart: Floats

    @classmethod
    def empty(cls, birds: int, days: int) -> _Record:
        """Return a record to be filled in."""
        return cls(*(np.empty((birds, days)) for _ in range(3)))


def _run(
    posts: Sequence[Post], times: list[Floats], ready: Floats, *, out: list[_Record] | None
) -> Floats:
    """Pass birds through the whole line; return when they leave it, in that order."""
    birds = len(ready)
    order: Ints | None = None
    at = 0
    while at < len(posts):
        stop = at + 1
        while stop < len(posts) and _coupled(posts[stop], birds):
            stop += 1
        post = posts[at]
        record = None if out is None else out[at]
        if stop == at + 1 and post.batch == post.servers == 1:
            ready = _one_by_one(times[at], ready, order=order, out=record)
        elif stop == at + 1 and post.batch == 1 and post.servers >= birds:
            ready, order = _all_at_once(times[at], ready, order=order, out=record)
        else:
            block = _Block(posts[at:stop], times[at:stop], ready, order=order)
            ready, order = block.run(None if out is None else out[at:stop])
        at = stop
    return ready


def _coupled(post: Post, birds: int) -> bool:
    """Whether a full station can hold up the one before it."""
    return post.buffer is not None and post.buffer + post.servers < birds


def _one_by_one(times: Floats, ready: Floats, *, order: Ints | None, out: _Record | None) -> Floats:
    """Pass birds through one place with room around it: sums and a running maximum."""
    work = times if order is None else times.take(order)
    done = np.cumsum(work, axis=0)
    finish = np.maximum.accumulate(ready - (done - work), axis=0)
    finish += done
    if out is not None:
        _put(out.start, order, finish - work)
        _put(out.finish, order, finish)
        _put(out.depart, order, finish)
    return finish


def _all_at_once(
    times: Floats, ready: Floats, *, order: Ints | None, out: _Record | None
) -> tuple[Floats, Ints]:
    """Pass birds through a station with a place for each: the quicker overtake."""
    if order is None:
        order = np.arange(ready.size).reshape(ready.shape)
    finish = ready + times.take(order)
    if out is not None:
        _put(out.start, order, ready)
        _put(out.finish, order, finish)
        _put(out.depart, order, finish)
    by_finish = np.argsort(finish, axis=0, kind="stable")
    return (
        np.take_along_axis(finish, by_finish, axis=0),
        np.take_along_axis(order, by_finish, axis=0),
    )


class _Block:
    """Stations that can hold each other up, from one with unlimited room before it.

    ``left[k][j]`` is when the j-th bird left station k, ``who[k][j]`` which bird it was,
    ``begun[k]`` how many have started there, ``inside[k]`` the birds in its places by when they
    will be done, those equally late in the turn they came.
    """

    def __init__(
        self, posts: Sequence[Post], times: list[Floats], ready: Floats, *, order: Ints | None
    ) -> None:
        self.posts, self.times, self.ready, self.order = posts, times, ready, order
        self.birds, self.days = ready.shape
        self.day = np.arange(self.days)
        self.servers = [min(post.servers, self.birds) for post in posts]
        self.left: list[list[Floats]] = [[] for _ in posts]
        self.who: list[list[Who]] = [[] for _ in posts]
        self.begun = [0] * len(posts)
        self.inside: list[list[tuple[Floats, Ints]]] = [[] for _ in posts]
        self.load = (np.zeros(self.days), np.zeros(self.days))
        self.out: list[_Record] | None = None

    def run(self, out: list[_Record] | None) -> tuple[Floats, Ints | None]:
        """Pass all birds; return when they leave the last station and who they are."""
        self.out = out
        # station k runs ahead of the next by the birds its places can hold besides one
        shift = np.cumsum([c - 1 for c in self.servers]).tolist()
        for step in range(self.birds + shift[-1]):
            for k, ahead in enumerate(shift):
                if 0 <= step - ahead < self.birds:
                    self.leave(k, step - ahead)
        who = self.who[-1]
        if all(isinstance(bird, int) for bird in who):
            return np.stack(self.left[-1]), None
        return np.stack(self.left[-1]), np.stack([self.row(bird) for bird in who])

    def row(self, bird: Who) -> Ints:
        """Return where a bird stands in the flattened array, for each day."""
        return bird * self.days + self.day if isinstance(bird, int) else bird

    def comes(self, k: int, m: int) -> tuple[Who, Floats]:
        """Return the m-th bird to come to station k, and when."""
        if k:
            return self.who[k - 1][m], self.left[k - 1][m]
        return m if self.order is None else self.order[m], self.ready[m]

    def spends(self, k: int, bird: Who) -> Floats:
        """Return a bird's time at station k."""
        return self.times[k][bird] if isinstance(bird, int) else self.times[k].take(bird)

    def begin(self, k: int) -> tuple[Floats, Who]:
        """Start the next bird of station k; return when it is done and who it is."""
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
            finish = start + self.spends(k, bird)
        if self.out is not None:
            _put(self.out[k].start, bird, start)
            _put(self.out[k].finish, bird, finish)
        return finish, bird

    def fill(self, k: int, m: int) -> tuple[Floats, Floats]:
        """Return when the load that begins with the m-th bird starts and is done."""
        last = min(m + self.posts[k].batch, self.birds)
        start = self.comes(k, last - 1)[1]
        if m:
            start = np.maximum(start, self.left[k][m - 1])
        spent = [self.spends(k, self.comes(k, i)[0]) for i in range(m, last)]
        longest: Floats = np.max(spent, axis=0)
        return start, start + longest

    def leave(self, k: int, j: int) -> None:
        """Let the j-th bird leave station k; who it is follows from who is done first."""
        servers = self.servers[k]
        bird: Who
        if servers == 1:
            at, bird = self.begin(k)
        else:
            while self.begun[k] < min(j + servers, self.birds):
                finish, bird = self.begin(k)
                _sort_in(self.inside[k], finish, self.row(bird))
            at, bird = self.inside[k].pop(0)
        if k + 1 < len(self.posts):
            behind = j - self.servers[k + 1] - (self.posts[k + 1].buffer or 0)
            if behind >= 0:
                at = np.maximum(at, self.left[k + 1][behind])
        self.left[k].append(at)
        self.who[k].append(bird)
        if self.out is not None:
            _put(self.out[k].depart, bird, at)


def _sort_in(inside: list[tuple[Floats, Ints]], finish: Floats, bird: Ints) -> None:
    """Put a bird among those in the places, by day, behind all that are done no later."""
    for n, (other, who) in enumerate(inside):
        sooner = finish < other
        inside[n] = (np.minimum(finish, other), np.where(sooner, bird, who))
        finish, bird = np.maximum(finish, other), np.where(sooner, who, bird)
    inside.append((finish, bird))


def _put(array: Floats, bird: Who | None, value: Floats) -> None:
    """Set the entries of a bird, or of all in their order."""
    if bird is None:
        array[:] = value
    elif isinstance(bird, int):
        array[bird] = value
    else:
        array.reshape(-1)[bird] = value
