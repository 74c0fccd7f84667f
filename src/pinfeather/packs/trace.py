"""Following a trace: from one thing to everything it came from and everything it went into."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Final, Literal

from pinfeather.errors import InputError
from pinfeather.words import gettext as _

Direction = Literal["back", "forward"]
KINDS: Final = (
    "feed", "flock", "sanitiser", "thermometer", "day", "batch", "package", "place", "order",
    "sale", "buyer",
)  # fmt: skip
"""What a trace can pass through, from the farthest cause to the last hand."""

_MOST_STEPS: Final = len(KINDS) + 1


@dataclass(frozen=True, slots=True, order=True)
class Thing:
    """One thing in a trace.

    Parameters
    ----------
    kind : str
        One of :data:`KINDS`.
    id : str
        Its own id among its kind.
    """

    kind: str
    id: str


@dataclass(frozen=True, slots=True)
class Link:
    """One thing went into, or touched, another.

    Parameters
    ----------
    cause, effect : Thing
        From the earlier to the later.
    """

    cause: Thing
    effect: Thing


Neighbours = Callable[[Sequence[Thing], Direction], Iterable[Link]]
"""Gives the links that leave a set of things in one direction."""


def walk(start: Iterable[Thing], neighbours: Neighbours, *, direction: Direction) -> list[Thing]:
    """Follow the links from some things to all they reach.

    Parameters
    ----------
    start : iterable of Thing
        Where to begin.
    neighbours : callable
        Asked once for each step, with every thing newly reached.
    direction : {"back", "forward"}
        To causes, or to effects.

    Returns
    -------
    list of Thing
        In the order reached, the start left out, each once.

    Raises
    ------
    InputError
        If the links run in a circle longer than a trace can be.

    References
    ----------
    Breadth-first search: Moore (1959), The shortest path through a maze.

    Examples
    --------
    >>> day, bag = Thing("day", "1"), Thing("package", "7")
    >>> walk([day], lambda things, way: [Link(day, bag)] if day in things else [],
    ...      direction="forward")
    [Thing(kind='package', id='7')]
    """
    frontier = list(dict.fromkeys(start))
    seen = dict.fromkeys(frontier)
    first = len(frontier)
    for _step in range(_MOST_STEPS):
        if not frontier:
            return list(seen)[first:]
        reached = {
            (link.effect if direction == "forward" else link.cause): None
            for link in neighbours(frontier, direction)
        }
        frontier = [thing for thing in reached if thing not in seen]
        seen.update(dict.fromkeys(frontier))
    if frontier:
        raise InputError("neighbours", len(seen), _("The links run in a circle."))
    return list(seen)[first:]


@dataclass(frozen=True, slots=True)
class Whereabouts:
    """Where one package is, as a recall asks.

    Parameters
    ----------
    package : str
        Its id.
    net_lb : Decimal
        Printed weight [lb].
    where : str
        ``"here"`` (in the shop), ``"buyer"`` (sold to somebody who can be told), ``"unnamed"``
        (sold, nobody knows to whom), ``"own table"``, ``"given"``, ``"wasted"`` or ``"missing"``.
    """

    package: str
    net_lb: Decimal
    where: str


FOUND: Final = ("here", "buyer", "own table", "given", "wasted")
"""Where a recall can act or need not."""


@dataclass(frozen=True, slots=True)
class Recall:
    """How much of what is called back can be accounted for.

    Parameters
    ----------
    packages, found : int
        Called back; of these, known where.
    packed_lb, found_lb : Decimal
        The same in pounds [lb].
    lost : tuple of str
        Packages nobody can reach.
    """

    packages: int
    found: int
    packed_lb: Decimal
    found_lb: Decimal
    lost: tuple[str, ...]

    @property
    def found_frac(self) -> float:
        """Share of packages accounted for [1]; one where nothing was called back."""
        return self.found / self.packages if self.packages else 1.0


def accounted(packages: Iterable[Whereabouts]) -> Recall:
    """Add up a recall.

    Parameters
    ----------
    packages : iterable of Whereabouts
        Every package called back.

    Returns
    -------
    Recall
        What is found and what is lost.

    References
    ----------
    Derivation: counts and sums.
    """
    listed = list(packages)
    found = [one for one in listed if one.where in FOUND]
    return Recall(
        len(listed),
        len(found),
        sum((one.net_lb for one in listed), Decimal(0)),
        sum((one.net_lb for one in found), Decimal(0)),
        tuple(one.package for one in listed if one.where not in FOUND),
    )
