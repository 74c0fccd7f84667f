"""How sure a cost is: every entry drawn within its stated spread, ten thousand times."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from pinfeather.errors import InputError, InputFaultsError
from pinfeather.words import gettext as _

DRAWS: Final = 10_000
Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Spread:
    """A number that is not known exactly.

    Parameters
    ----------
    name : str
        What it is, in words.
    value, low, high : float
        Most likely, lowest and highest believable [cents, or 1 for the loss, or lb].

    Raises
    ------
    InputError
        If the three are not in order or one is below zero.
    """

    name: str
    value: float
    low: float
    high: float

    def __post_init__(self) -> None:
        if not 0 <= self.low <= self.value <= self.high or not np.isfinite(self.high):
            raise InputError(
                self.name,
                (self.low, self.value, self.high),
                _("Low, likely and high are zero or more and in that order."),
            )


@dataclass(frozen=True, slots=True)
class Matter:
    """How much one number matters for how unsure the cost is.

    Parameters
    ----------
    name : str
        Which.
    share_frac : float
        Its share of the spread: squared rank correlation over the sum of all [1].
    """

    name: str
    share_frac: float


@dataclass(frozen=True, slots=True)
class Range:
    """The cost of a pound with its band.

    Parameters
    ----------
    middle_cents, low_cents, high_cents : int
        Median, and the band eight of ten draws lie in [cents].
    mean_cents : float
        Mean of all draws [cents].
    matters : tuple of Matter
        The largest first.
    draws : int
        How many.
    """

    middle_cents: int
    low_cents: int
    high_cents: int
    mean_cents: float
    matters: tuple[Matter, ...]
    draws: int


def cost_range(
    lines: Sequence[Spread],
    *,
    placed: float,
    loss: Spread,
    dressed_lb: Spread,
    rng: np.random.Generator,
    draws: int = DRAWS,
) -> Range:
    """Draw the cost of a pound.

    Parameters
    ----------
    lines : sequence of Spread
        Cost of the whole group of birds, line by line [cents].
    placed : float
        Chicks placed [birds].
    loss : Spread
        Share of chicks never dressed [1].
    dressed_lb : Spread
        Weight of one dressed bird [lb].
    rng : Generator
        Where luck comes from; the same one, the same answer.
    draws : int
        How many.

    Returns
    -------
    Range
        Triangular between low and high with its peak at the likely value; lines independent.

    Raises
    ------
    InputFaultsError
        If nothing can be drawn: no lines, no birds, all lost, no weight, too few draws.

    Notes
    -----
    Independence is an assumption: where feed and chicks get dear together the true band is wider.

    References
    ----------
    Saltelli and others, *Global Sensitivity Analysis: The Primer* (2008), chapter 1, for rank
    correlation as a measure (unverified).
    """
    faults = []
    if not lines:
        faults.append(InputError("lines", None, _("There is no cost to draw.")))
    if placed <= 0:
        faults.append(InputError("placed", placed, _("At least one chick.")))
    if loss.high >= 1:
        faults.append(InputError("loss", loss.high, _("Some have to live.")))
    if dressed_lb.low <= 0:
        faults.append(InputError("dressed_lb", dressed_lb.low, _("A bird weighs something.")))
    if draws < 100:  # noqa: PLR2004 - fewer give no band
        faults.append(InputError("draws", draws, _("At least a hundred draws.")))
    if faults:
        raise InputFaultsError(faults)
    asked = [*lines, loss, dressed_lb]
    drawn = np.stack([_draw(one, rng, draws) for one in asked])
    total = drawn[: len(lines)].sum(axis=0)
    per_lb = total / (placed * (1 - drawn[-2]) * drawn[-1])
    low, middle, high = np.quantile(per_lb, [0.1, 0.5, 0.9])
    return Range(
        round(float(middle)), round(float(low)), round(float(high)), float(per_lb.mean()),
        _matters(asked, drawn, per_lb), draws,
    )  # fmt: skip


def _draw(one: Spread, rng: np.random.Generator, draws: int) -> Floats:
    if one.low == one.high:
        return np.full(draws, one.value)
    return rng.triangular(one.low, one.value, one.high, draws)


def _matters(asked: Sequence[Spread], drawn: Floats, answer: Floats) -> tuple[Matter, ...]:
    target = _ranks(answer)
    squares = np.array(
        [
            0.0 if one.low == one.high else float(np.corrcoef(_ranks(mine), target)[0, 1]) ** 2
            for one, mine in zip(asked, drawn, strict=True)
        ]
    )
    whole = squares.sum()
    shares = squares / whole if whole > 0 else squares
    found = [Matter(one.name, float(share)) for one, share in zip(asked, shares, strict=True)]
    return tuple(sorted(found, key=lambda m: (-m.share_frac, m.name)))


def _ranks(values: Floats) -> Floats:
    ranks = np.empty(len(values))
    ranks[np.argsort(values, kind="stable")] = np.arange(len(values), dtype=np.float64)
    return ranks
