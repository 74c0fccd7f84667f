"""A planning number with its spread and where it came from."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum

from pinfeather.errors import InputError


class Origin(StrEnum):
    """Where a planning number comes from."""

    HANDBOOK = "handbook"
    """A published source, or common practice where the note says so."""
    OWN = "own"
    """The farm's own earlier days."""
    TYPED = "typed"
    """Somebody typed it in for this plan."""
    COMPUTED = "computed"
    """Computed from other planning numbers."""


@dataclass(frozen=True, slots=True)
class Basis:
    """Where a planning number comes from, in words a page can show.

    Parameters
    ----------
    origin : Origin
        Kind of source.
    note : str
        The source itself: a citation, or ``"your last 4 days, 63 birds"``.
    status : str
        ``"read"``, ``"second hand"``, ``"unverified"``, ``"assumed"``, ``"common practice"`` or
        ``"measured"``.
    """

    origin: Origin
    note: str
    status: str = ""


@dataclass(frozen=True, slots=True)
class Estimate:
    """A number with the band it is thought to lie in.

    Parameters
    ----------
    value : float
        Best single number [unit of the name that holds it].
    low : float
        Lower end of the band [same].
    high : float
        Upper end of the band [same].
    basis : Basis
        Where it comes from.

    Raises
    ------
    InputError
        If the three are not finite and in order.
    """

    value: float
    low: float
    high: float
    basis: Basis

    def __post_init__(self) -> None:
        ordered = self.low <= self.value <= self.high
        if not ordered or not all(map(math.isfinite, (self.low, self.value, self.high))):
            raise InputError(
                "estimate",
                (self.low, self.value, self.high),
                "An estimate needs finite low, value and high in that order.",
            )
