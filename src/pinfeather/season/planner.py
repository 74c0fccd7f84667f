"""A season's plan, from what is wanted to dates, purchases and what it rests on."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from pinfeather.finding import Finding, Severity, by_severity
from pinfeather.season.asked import SeasonRequest
from pinfeather.season.binding import binding_limits
from pinfeather.season.calendar import calendar_of
from pinfeather.season.cash import cash_of, purchases_of
from pinfeather.season.check import broken_limits
from pinfeather.season.headroom import headroom_of
from pinfeather.season.luck import SEASONS, try_luck
from pinfeather.season.plan import Compared, Luck, SeasonPlan
from pinfeather.season.relax import least_change
from pinfeather.season.solve import GAP, LIMIT_S, solve
from pinfeather.season.steps import MassUnit
from pinfeather.season.thumb import thumb_plan
from pinfeather.season.told import findings_of, numbers_of
from pinfeather.season.yields import Tables, tables_of
from pinfeather.words import gettext as _


def plan_season(
    request: SeasonRequest,
    *,
    seed: int = 1,
    seasons: int = SEASONS,
    mass_unit: MassUnit = "lb",
    limit_s: float = LIMIT_S,
    explain: bool = True,
) -> SeasonPlan:
    """Plan a season.

    Parameters
    ----------
    request : SeasonRequest
        What is wanted and what there is.
    seed : int
        For the random seasons: same seed, same luck.
    seasons : int
        How many of them.
    mass_unit : str
        What sentences weigh in, ``"lb"`` or ``"kg"``.
    limit_s : float
        Time for the solver [s].
    explain : bool
        Whether to find out what holds the plan back; takes as long again or longer.

    Returns
    -------
    SeasonPlan
        With ``found`` false, and what would make it possible, where nothing is.

    Notes
    -----
    Orders picked up before today are left out.

    References
    ----------
    Decision record 0016.
    """
    now = replace(request, orders=tuple(o for o in request.orders if o.on >= request.today))
    tables = tables_of(now)
    plan, _model, solved = solve(now, tables, gap_frac=GAP, limit_s=limit_s)
    if not plan.found:
        return impossible(now, tables, mass_unit=mass_unit, proven=solved.status == "none")
    done = finished(now, tables, plan, seed=seed, seasons=seasons)
    if not explain:
        return done
    held = binding_limits(now, tables, done, headroom=done.headroom, mass_unit=mass_unit)
    return replace(done, binding=held)


def finished(
    request: SeasonRequest,
    tables: Tables,
    plan: SeasonPlan,
    *,
    seed: int,
    seasons: int,
    bending: bool = False,
) -> SeasonPlan:
    """Add everything that follows from lots, days and orders.

    Parameters
    ----------
    request : SeasonRequest
        The season.
    tables : Tables
        What lots give.
    plan : SeasonPlan
        As solved.
    seed, seasons : int
        For the luck.
    bending : bool
        Planned anew, so that promises may be short; what is short is a change.

    Returns
    -------
    SeasonPlan
        With dates, purchases, cash, headroom, luck, the rule of thumb beside it, and findings; a
        limit the plan breaks is a finding at severity stop.

    References
    ----------
    Decision record 0016.
    """
    luck = try_luck(request, tables, plan, rng=np.random.default_rng(seed), seasons=seasons)
    done = replace(
        plan,
        cash=cash_of(request, tables, plan),
        purchases=purchases_of(request, tables, plan),
        calendar=calendar_of(request, plan),
        headroom=headroom_of(request, tables, plan),
        luck=luck,
        compared=compare(request, tables, luck, seed=seed),
        numbers=numbers_of(request),
    )
    found = (*broken_limits(request, tables, done, bending=bending), *findings_of(request, done))
    return replace(done, findings=by_severity(found))


def compare(request: SeasonRequest, tables: Tables, luck: Luck, *, seed: int) -> Compared | None:
    """Set a plan beside the rule of thumb, over the same number of random seasons.

    Parameters
    ----------
    request : SeasonRequest
        The season.
    tables : Tables
        What lots give.
    luck : Luck
        Of the plan.
    seed : int
        For the random seasons of the rule of thumb.

    Returns
    -------
    Compared or None
        None where the rule finds no lot.

    References
    ----------
    :func:`pinfeather.season.thumb.thumb_plan`.
    """
    thumb = thumb_plan(request, tables)
    if not thumb.lots:
        return None
    rng = np.random.default_rng(seed)
    other = try_luck(request, tables, thumb, rng=rng, seasons=luck.seasons)
    return Compared(
        other.profit_mean_cents,
        luck.profit_mean_cents,
        other.orders_met_frac,
        luck.orders_met_frac,
    )


def impossible(
    request: SeasonRequest, tables: Tables, *, mass_unit: MassUnit, proven: bool = True
) -> SeasonPlan:
    """Say that nothing is possible, and what would change that.

    Parameters
    ----------
    request : SeasonRequest
        The season.
    tables : Tables
        What lots give.
    mass_unit : str
        ``"lb"`` or ``"kg"``.
    proven : bool
        Whether it was ruled out, or only not found in the time allowed.

    Returns
    -------
    SeasonPlan
        With ``relaxations``.

    References
    ----------
    :func:`pinfeather.season.relax.least_change`.
    """
    changes, notes = least_change(request, tables, mass_unit=mass_unit)
    if proven:
        sentence = _("No plan can keep every promise within these limits.")
    else:
        sentence = _("No plan was found in the time allowed.")
    reason = " ".join(change.sentence for change in changes)
    if reason:
        reason = _("The least that would make it possible: {changes}").format(changes=reason)
    stop = Finding("season.impossible", Severity.STOP, sentence, reason)
    return SeasonPlan(
        False,
        math.inf,
        0,
        proven=False,
        relaxations=changes,
        numbers=numbers_of(request),
        findings=(stop, *notes),
    )
