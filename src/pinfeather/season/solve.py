"""Solving a season, and saying how good the plan is."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Final

from pinfeather.season.answer import answer
from pinfeather.season.asked import SeasonRequest
from pinfeather.season.matrix import Solved
from pinfeather.season.model import season_model
from pinfeather.season.parts import CENTS, Extra, Model
from pinfeather.season.plan import SeasonPlan
from pinfeather.season.yields import Tables

GAP: Final = 0.002
"""Stop when no plan can be better by more than this. Chosen: below what any forecast knows."""
LIMIT_S: Final = 30.0
PROVEN: Final = 1e-4


def solve(
    request: SeasonRequest,
    tables: Tables,
    *,
    extra: Extra | None = None,
    gap_frac: float = GAP,
    limit_s: float = LIMIT_S,
) -> tuple[SeasonPlan, Model, Solved]:
    """Find the plan that brings most (or costs least).

    Parameters
    ----------
    request : SeasonRequest
        What is wanted and what there is.
    tables : Tables
        What lots give.
    extra : Extra or None
        Room added to try what it is worth.
    gap_frac : float
        Stop when this near to the best [1].
    limit_s : float
        Stop after this long [s].

    Returns
    -------
    plan : SeasonPlan
        With ``found`` false where there is none.
    model : Model
        What was solved.
    solved : Solved
        The solver's own answer.

    References
    ----------
    Decision record 0016.
    """
    model = season_model(request, tables, extra)
    solved = model.program.solve(gap_frac=gap_frac, limit_s=limit_s)
    if solved.x is None:
        return SeasonPlan(False, math.inf, 0, proven=False), model, solved
    plan = answer(model, solved.x)
    fixed = fixed_dollars(request)
    found, bound = -(solved.value + fixed), -(solved.bound + fixed)
    gap = gap_between(found, bound)
    return (
        replace(
            plan,
            gap_frac=gap,
            bound_cents=round(bound * CENTS),
            proven=solved.status == "best" and gap <= PROVEN,
        ),
        model,
        solved,
    )


def fixed_dollars(request: SeasonRequest) -> float:
    """Return the part of the cost that no plan changes: every order missed.

    Parameters
    ----------
    request : SeasonRequest
        With its orders.

    Returns
    -------
    float
        Cost; the model counts what is delivered against it [$].

    References
    ----------
    Derivation: birds or kilograms wanted times the price of missing one.
    """
    return math.fsum(
        float(o.miss_cents) * (o.birds if o.birds is not None else o.mass_kg or 0.0) / CENTS
        for o in request.orders
    )


def gap_between(found: float, bound: float) -> float:
    """Return how far a plan may be from the best.

    Parameters
    ----------
    found, bound : float
        What it brings and what none can exceed [$].

    Returns
    -------
    float
        Share of what it brings, at least of one dollar [1].

    References
    ----------
    Derivation: difference over size.
    """
    return max(bound - found, 0.0) / max(abs(found), 1.0)
