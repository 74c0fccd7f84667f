"""Sharing tasks out among fixed posts as evenly as can be, exactly."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from pinfeather.errors import InputError
from pinfeather.words import gettext as _

MOST_SETS: Final = 200_000
"""Sets of tasks the exact search looks at before it gives up."""
ROUND_S: Final = 1e-9
"""Loads that differ by less are equal [s]."""

Pair = tuple[int, int]


@dataclass(frozen=True, slots=True)
class Posts:
    """Tasks shared out among posts.

    Parameters
    ----------
    posts : tuple of tuple of int
        The tasks of each post, from 0, in the order of the line.
    cycle_s : float
        The heaviest post's load, and so the time between two birds [s].
    """

    posts: tuple[tuple[int, ...], ...]
    cycle_s: float


def _before(count: int, pairs: Sequence[Pair]) -> list[int]:
    """Return, by task, the set (as bits) of the tasks that come directly before it."""
    before = [0] * count
    for a, b in pairs:
        if not (0 <= a < count and 0 <= b < count) or a == b:
            raise InputError("pairs", (a, b), _("A pair names two different tasks of the list."))
        before[b] |= 1 << a
    return before


def order_strength(count: int, pairs: Sequence[Pair]) -> float:
    """Return how much of the order of the tasks is fixed.

    Parameters
    ----------
    count : int
        Tasks.
    pairs : sequence of (int, int)
        First before second, from 0.

    Returns
    -------
    float
        Ordered pairs, direct or not, over all pairs [1].

    Raises
    ------
    InputError
        If a pair is no pair of tasks, or tasks come before themselves.

    References
    ----------
    Scholl 1999, Balancing and Sequencing of Assembly Lines, section 2.2.1.5.
    """
    above = _before(count, pairs)
    for middle in range(count):
        for task in range(count):
            if above[task] >> middle & 1:
                above[task] |= above[middle]
    if any(above[task] >> task & 1 for task in range(count)):
        raise InputError("pairs", pairs, _("These tasks come before themselves."))
    return sum(bits.bit_count() for bits in above) / (count * (count - 1) / 2)


def _fill(
    times_s: Sequence[float], pairs: Sequence[Pair], cycle_s: float
) -> tuple[Posts | None, float]:
    """Return the fewest posts for a cycle, and the next longer cycle that could change it.

    Sets of done tasks that hold all their predecessors are visited by size; for each the best
    is the fewest posts and among these the least load in the last. That is enough: whatever
    follows, it follows at least as well from there.
    """
    count = len(times_s)
    before = _before(count, pairs)
    if max(times_s) > cycle_s + ROUND_S:
        return None, max(times_s)
    longer = math.inf
    layer: dict[int, tuple[int, float]] = {0: (1, 0.0)}
    came: dict[int, int] = {}
    visited = 0
    for _size in range(count):
        following: dict[int, tuple[int, float]] = {}
        for done, (posts, load) in layer.items():
            for task in range(count):
                if done >> task & 1 or before[task] & ~done:
                    continue
                heavier = load + times_s[task]
                if heavier <= cycle_s + ROUND_S:
                    option = (posts, heavier)
                else:
                    option = (posts + 1, times_s[task])
                    longer = min(longer, heavier)
                more = done | 1 << task
                if more not in following or option < following[more]:
                    following[more] = option
                    came[more] = task
            if visited + len(following) > MOST_SETS:
                raise InputError("times_s", count, _("Too many tasks in too free an order."))
        layer = following
        visited += len(layer)
    if not layer:
        raise InputError("pairs", pairs, _("These tasks come before themselves."))
    return _walk_back(times_s, came, cycle_s), longer


def _walk_back(times_s: Sequence[float], came: dict[int, int], cycle_s: float) -> Posts:
    """Return the posts that the search found, from the last task back to the first."""
    done, tasks = (1 << len(times_s)) - 1, []
    while done:
        tasks.append(came[done])
        done ^= 1 << came[done]
    posts: list[list[int]] = [[]]
    load = 0.0
    for task in reversed(tasks):
        if load + times_s[task] > cycle_s + ROUND_S:
            posts.append([])
            load = 0.0
        posts[-1].append(task)
        load += times_s[task]
    loads = [sum(times_s[task] for task in post) for post in posts]
    return Posts(tuple(tuple(post) for post in posts), max(loads))


def fewest_posts(
    times_s: Sequence[float], pairs: Sequence[Pair] = (), *, cycle_s: float
) -> Posts | None:
    """Return the fewest posts that keep a time between birds.

    Parameters
    ----------
    times_s : sequence of float
        Time of each task [s].
    pairs : sequence of (int, int)
        First before second, from 0.
    cycle_s : float
        Longest load of a post [s].

    Returns
    -------
    Posts or None
        None where one task alone is too long.

    Raises
    ------
    InputError
        If there are too many tasks, or they come before themselves.

    Notes
    -----
    Exact, for some 20 to 30 tasks with a line's usual order among them.

    References
    ----------
    Held, Karp and Shareshian 1963, Operations Research 11, 442-459 (dynamic programme over
    sets of tasks). Scholl 1999 for the problem (SALBP-1).
    """
    return _fill(times_s, pairs, cycle_s)[0]


def shortest_cycle(times_s: Sequence[float], pairs: Sequence[Pair] = (), *, posts: int) -> Posts:
    """Return the most even sharing out among a number of posts.

    Parameters
    ----------
    times_s : sequence of float
        Time of each task [s].
    pairs : sequence of (int, int)
        First before second, from 0.
    posts : int
        Posts.

    Returns
    -------
    Posts
        With the shortest possible time between birds.

    Raises
    ------
    InputError
        If there are no posts, too many tasks, or they come before themselves.

    References
    ----------
    Scholl 1999 (SALBP-2). Derivation: between two cycles that are sums of tasks nothing
    changes, so the search steps from each to the next longer one that it met.
    """
    if posts < 1:
        raise InputError("posts", posts, _("At least one post is needed."))
    cycle_s = max(*times_s, sum(times_s) / posts)
    while True:
        found, longer = _fill(times_s, pairs, cycle_s)
        if found is not None and len(found.posts) <= posts:
            return found
        cycle_s = longer


def stretches(times_s: Sequence[float], *, posts: int) -> Posts:
    """Return the most even division of a row of tasks into stretches, one for each post.

    Parameters
    ----------
    times_s : sequence of float
        Time of each task, in the order of the line [s].
    posts : int
        Posts.

    Returns
    -------
    Posts
        With the shortest possible time between birds.

    Raises
    ------
    InputError
        If there are no posts.

    References
    ----------
    Derivation: every task after the one before it, then :func:`shortest_cycle`.
    """
    chain = [(task, task + 1) for task in range(len(times_s) - 1)]
    return shortest_cycle(times_s, chain, posts=posts)


def is_sharing(
    found: Posts, times_s: Sequence[float], pairs: Sequence[Pair] = (), *, cycle_s: float
) -> bool:
    """Return whether a sharing out does every task once, in order and in time.

    Parameters
    ----------
    found : Posts
        The sharing out.
    times_s : sequence of float
        Time of each task [s].
    pairs : sequence of (int, int)
        First before second, from 0.
    cycle_s : float
        Longest load of a post [s].

    Returns
    -------
    bool
        False where anything is wrong with it.

    References
    ----------
    Derivation: the conditions of the problem, one by one.
    """
    place = {task: at for at, post in enumerate(found.posts) for task in post}
    once = sorted(task for post in found.posts for task in post) == list(range(len(times_s)))
    loads = [sum(times_s[task] for task in post) for post in found.posts]
    ordered = once and all(place[a] <= place[b] for a, b in pairs)
    return once and ordered and max(loads) <= cycle_s + ROUND_S


def ranked_positional_weight(
    times_s: Sequence[float], pairs: Sequence[Pair] = (), *, cycle_s: float
) -> Posts | None:
    """Return a quick sharing out that need not be the best.

    Parameters
    ----------
    times_s : sequence of float
        Time of each task [s].
    pairs : sequence of (int, int)
        First before second, from 0.
    cycle_s : float
        Longest load of a post [s].

    Returns
    -------
    Posts or None
        None where one task alone is too long.

    Raises
    ------
    InputError
        If a pair is no pair of tasks.

    References
    ----------
    Helgeson and Birnie 1961, Journal of Industrial Engineering 12, 394-398.
    """
    count = len(times_s)
    if max(times_s) > cycle_s + ROUND_S:
        return None
    before = _before(count, pairs)
    after = [{task} for task in range(count)]
    for _pass in range(count):
        for a, b in pairs:
            after[a] |= after[b]
    weight = [sum(times_s[task] for task in after[n]) for n in range(count)]
    left = sorted(range(count), key=lambda n: -weight[n])
    posts: list[list[int]] = [[]]
    done, load = 0, 0.0
    while left:
        fits = [
            task
            for task in left
            if not before[task] & ~done and load + times_s[task] <= cycle_s + ROUND_S
        ]
        if not fits:
            posts.append([])
            load = 0.0
            continue
        task = fits[0]
        left.remove(task)
        posts[-1].append(task)
        done |= 1 << task
        load += times_s[task]
    loads = [sum(times_s[task] for task in post) for post in posts]
    return Posts(tuple(tuple(post) for post in posts), max(loads))
