"""A mixed-integer program put together row by row, each row with the limit it stands for."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Final

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

SLACK_MOST: Final = 1e6


@dataclass(frozen=True, slots=True)
class Row:
    """What a row stands for.

    Parameters
    ----------
    code : str
        Which limit; empty for bookkeeping that nothing can relax.
    where : str
        A day, a brooder, an order.
    """

    code: str = ""
    where: str = ""


@dataclass(frozen=True, slots=True)
class Solved:
    """What the solver found.

    Parameters
    ----------
    status : str
        ``"best"``, ``"good"`` (stopped at the time or gap allowed), ``"none"`` (proven impossible)
        or ``"unknown"`` (nothing found in the time allowed).
    x : ndarray or None
        Values of the columns.
    value, bound : float
        Objective found, and the least it can be.
    """

    status: str
    x: Floats | None
    value: float
    bound: float


@dataclass(slots=True)
class Program:
    """Columns and rows under way; the objective is made as small as can be."""

    low: list[float] = field(default_factory=list)
    high: list[float] = field(default_factory=list)
    cost: list[float] = field(default_factory=list)
    whole: list[bool] = field(default_factory=list)
    rows: list[Row] = field(default_factory=list)
    row_low: list[float] = field(default_factory=list)
    row_high: list[float] = field(default_factory=list)
    at_row: list[int] = field(default_factory=list)
    at_column: list[int] = field(default_factory=list)
    value: list[float] = field(default_factory=list)

    def column(
        self, *, low: float = 0.0, high: float = math.inf, cost: float = 0.0, whole: bool = False
    ) -> int:
        """Add a column and return its index."""
        self.low.append(low)
        self.high.append(high)
        self.cost.append(cost)
        self.whole.append(whole)
        return len(self.low) - 1

    def row(
        self,
        terms: Iterable[tuple[int, float]],
        *,
        low: float = -math.inf,
        high: float = math.inf,
        stands: Row | None = None,
    ) -> int:
        """Add a row; terms of one column are added up."""
        index = len(self.rows)
        together: dict[int, float] = {}
        for column, factor in terms:
            together[column] = together.get(column, 0.0) + factor
        for column, factor in together.items():
            if factor:
                self.at_row.append(index)
                self.at_column.append(column)
                self.value.append(factor)
        self.rows.append(stands or Row())
        self.row_low.append(low)
        self.row_high.append(high)
        return index

    def put(self, row: int, column: int, factor: float) -> None:
        """Add one more entry to a row."""
        self.at_row.append(row)
        self.at_column.append(column)
        self.value.append(factor)

    def solve(self, *, gap_frac: float, limit_s: float) -> Solved:
        """Hand it to the solver.

        Parameters
        ----------
        gap_frac : float
            Stop when this near to the best [1].
        limit_s : float
            Stop after this long [s].

        Returns
        -------
        Solved
            The best found, and how good it can get.

        References
        ----------
        Huangfu and Hall 2018, Mathematical Programming Computation 10:119-142 (HiGHS).
        """
        from scipy.optimize import Bounds, LinearConstraint, milp
        from scipy.sparse import coo_array

        n, m = len(self.low), len(self.rows)
        constraints = []
        if m:
            matrix = coo_array((self.value, (self.at_row, self.at_column)), shape=(m, n)).tocsr()
            constraints = [LinearConstraint(matrix, self.row_low, self.row_high)]
        found = milp(
            np.array(self.cost),
            integrality=np.array(self.whole, dtype=int),
            bounds=Bounds(np.array(self.low), np.array(self.high)),
            constraints=constraints,
            options={"mip_rel_gap": gap_frac, "time_limit": limit_s},
        )
        if found.x is None:
            return Solved("none" if found.status == 2 else "unknown", None, math.inf, -math.inf)  # noqa: PLR2004 - HiGHS says infeasible
        x: Floats = np.asarray(found.x, dtype=float)
        x = np.where(self.whole, np.round(x), x)
        bound = getattr(found, "mip_dual_bound", None)
        return Solved(
            "best" if found.status == 0 else "good",
            np.clip(x, self.low, self.high),
            float(found.fun),
            float(found.fun if bound is None else bound),
        )
