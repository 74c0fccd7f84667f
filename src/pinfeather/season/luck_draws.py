"""Random seasons: how many birds of which weight each batch really has."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from pinfeather.flock.losses import CLUSTERING
from pinfeather.season.plan import BatchPlan, LotPlan
from pinfeather.season.usage import Usage
from pinfeather.season.yields import Batch, batch_at, growth_by_day

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

WAIT: Final = dt.timedelta(days=7)
"""Birds of a day that cannot be held wait so long."""
_WEEK_D: Final = 7
_EVENT: Final = (0.10, 0.50)
"""A bad night takes so much of a lot; unverified, as in the flock room's table of losses."""
_TINY: Final = 1e-9
_LEAST_FACTOR: Final = 0.3


@dataclass(frozen=True, slots=True)
class Planned:
    """One batch of the plan and its stand-in a week later.

    Parameters
    ----------
    lot : LotPlan
        The lot.
    plan : BatchPlan
        Day and birds.
    usual, late : Batch
        Forecast on the day and a week later.
    last : bool
        The lot's last: it takes all that is left.
    edges_kg : tuple of float
        Of its weight bands, shape (bands + 1,) [kg].
    """

    lot: LotPlan
    plan: BatchPlan
    usual: Batch
    late: Batch
    last: bool
    edges_kg: tuple[float, ...]


@dataclass(slots=True)
class Drawn:
    """One batch over n random seasons.

    Parameters
    ----------
    planned : Planned
        Which.
    late : ndarray
        Whether it was held a week later, shape (n,).
    birds : ndarray
        In each weight band, shape (n, bands).
    masses_kg : ndarray
        Dressed mass of a bird there, shape (n, bands) [kg].
    feed_cents : ndarray
        Feed for these birds, shape (n,).
    """

    planned: Planned
    late: Bools
    birds: Floats
    masses_kg: Floats
    feed_cents: Floats


@dataclass(slots=True)
class DrawnSeasons:
    """All batches over n random seasons.

    Parameters
    ----------
    batches : list of Drawn
        In order of the plan's lots.
    missed : mapping of str to ndarray
        By lot, hatches that did not come, shape (n,).
    """

    batches: list[Drawn]
    missed: dict[str, Bools]


def planned_batches(usage: Usage) -> list[Planned]:
    """Return the plan's batches with their forecasts.

    Parameters
    ----------
    usage : Usage
        The plan.

    Returns
    -------
    list of Planned
        Lot by lot, in order of days.

    References
    ----------
    Derivation: :func:`pinfeather.season.yields.batch_at` for the week after.
    """
    found = []
    for lot in usage.plan.lots:
        s = usage.source_of[lot.code]
        for i, batch in enumerate(lot.batches):
            late = batch_at(usage.request, usage.tables, s, on=batch.on + WAIT)
            found.append(
                Planned(
                    lot,
                    batch,
                    usage.batch(lot, batch.on),
                    late,
                    i == len(lot.batches) - 1,
                    usage.tables.bands[lot.kind],
                )
            )
    return found


def draw(
    usage: Usage, planned: list[Planned], seasons: int, *, rng: np.random.Generator
) -> DrawnSeasons:
    """Draw random seasons.

    Parameters
    ----------
    usage : Usage
        The plan.
    planned : list of Planned
        Its batches.
    seasons : int
        How many, n.
    rng : numpy.random.Generator
        Source of chance.

    Returns
    -------
    DrawnSeasons
        Birds by batch and weight band.

    Notes
    -----
    Losses come together (a lot's whole rate is drawn, then single birds); growth is drawn once for
    a lot; weeks of slow weather strike all lots on pasture alike, about the usual number of them,
    which the tables already hold; a bad night takes part of one lot; a day that cannot be held is
    held a week later; a hatch may not come at all.

    References
    ----------
    Skellam 1948, Journal of the Royal Statistical Society B 10:257-261 (deaths come together);
    chances: the request, assumed where it does not say.
    """
    chances, request = usage.request.chances, usage.request
    cancelled = {day.on: rng.random(seasons) < chances.cancelled_frac for day in usage.plan.days}
    weeks = ((request.until_on - usage.tables.first_on).days // _WEEK_D) + 6
    slow = rng.random((seasons, weeks)) < chances.slow_frac
    by_lot: dict[str, list[Planned]] = defaultdict(list)
    for one in planned:
        by_lot[one.lot.code].append(one)
    found, missed = [], {}
    for lot in usage.plan.lots:
        coming = lot.hatch_on > request.today
        missed[lot.code] = (rng.random(seasons) < chances.missed_hatch_frac) & coming
        found += _lot(
            usage, by_lot[lot.code], missed[lot.code], cancelled=cancelled, slow=slow, rng=rng
        )
    return DrawnSeasons(found, missed)


def _lot(  # noqa: PLR0917 - one lot's whole chance
    usage: Usage,
    planned: list[Planned],
    missed: Bools,
    cancelled: dict[dt.date, Bools],
    slow: Bools,
    rng: np.random.Generator,
) -> list[Drawn]:
    if not planned:
        return []
    n, lot, chances = len(missed), planned[0].lot, usage.request.chances
    source = usage.source(lot)
    path = growth_by_day(source, max(p.late.age_d for p in planned))
    z = rng.standard_normal(n)
    frailty = _frailty(planned[-1].usual, usage, n, rng=rng)
    struck_on = _days_in(usage, lot, n, rng=rng)
    loss = np.where(rng.random(n) < chances.event_frac, rng.uniform(*_EVENT, n), 0.0)
    there: Ints = np.where(missed, 0, lot.heads).astype(np.int64)
    before: Floats = np.ones(n)
    found = []
    for one in planned:
        assert one.usual.weights is not None  # noqa: S101 - forecast, not made by hand
        assert one.late.weights is not None  # noqa: S101
        late = cancelled[one.plan.on]
        alive = _alive(usage, one, late, frailty=frailty) * np.where(
            struck_on <= one.plan.on.toordinal(), 1 - loss, 1.0
        )
        alive = np.minimum(alive, before)
        ratio = np.clip(alive / np.maximum(before, _TINY), 0, 1)
        there = np.asarray(rng.binomial(there, ratio), dtype=np.int64)
        before = alive
        taken = there if one.last else np.minimum(there, one.plan.birds)
        there = there - taken
        unsure = np.where(late, one.late.weights.unsure_frac[0], one.usual.weights.unsure_frac[0])
        slowed = _slowed(usage, lot, one, path=path, slow=slow)
        factor: Floats = np.maximum(1 + unsure * z - slowed, _LEAST_FACTOR)
        shares, masses = _bands(one, late, factor)
        usual = np.where(late, one.late.feed_cents, one.usual.feed_cents)
        expected = np.where(late, one.late.alive, one.usual.alive)
        feed = usual * factor * (one.plan.expected / one.usual.alive + taken / expected) / 2
        found.append(
            Drawn(one, late, _share_out(taken, shares, rng), masses, np.where(missed, 0.0, feed))
        )
    return found


def _frailty(batch: Batch, usage: Usage, n: int, *, rng: np.random.Generator) -> Floats:
    """Power to which a lot's survival is taken: its own rate of loss over the usual one."""
    there = _there(usage, batch.source)
    kept = min(batch.alive / there, 1 - 1e-6)
    variance = (1 - kept) * CLUSTERING / (kept * np.log(kept) ** 2)
    found: Floats = rng.gamma(1 / variance, variance, n)
    return found


def _there(usage: Usage, s: int) -> float:
    """Share alive at the beginning: arrived, or alive today."""
    source = usage.tables.sources[s]
    if source.standing is not None and source.hatch_on <= usage.request.today:
        return 1.0
    return 1 - source.kind.arrival_loss_frac


def _alive(usage: Usage, one: Planned, late: Bools, *, frailty: Floats) -> Floats:
    there = _there(usage, one.usual.source)
    kept = np.where(late, one.late.alive, one.usual.alive) / there
    found: Floats = there * np.minimum(kept, 1.0) ** frailty
    return found


def _days_in(usage: Usage, lot: LotPlan, n: int, *, rng: np.random.Generator) -> Floats:
    first = max(lot.out_of_brooder_on, usage.request.today).toordinal()
    last = max(lot.last_on.toordinal(), first + 1)
    return rng.uniform(first, last, n)


def _slowed(usage: Usage, lot: LotPlan, one: Planned, *, path: Floats, slow: Bools) -> Floats:
    """Share of weight lost to slow weeks on pasture, beyond the usual number of them."""
    chances = usage.request.chances
    ages = np.arange(one.usual.age_d)
    out = max((lot.out_of_brooder_on - lot.hatch_on).days, 0)
    gains = np.where(ages >= out, np.diff(path[: one.usual.age_d + 1]), 0.0)
    offset = (lot.hatch_on - usage.tables.first_on).days
    week = np.clip((ages + offset) // _WEEK_D, 0, slow.shape[1] - 1)
    by_week = np.bincount(week, gains, slow.shape[1]) / path[one.usual.age_d]
    found: Floats = chances.slow_by_frac * ((slow - chances.slow_frac) @ by_week)
    return found


def _bands(one: Planned, late: Bools, factor: Floats) -> tuple[Floats, Floats]:
    """Share of birds in each weight band and mean weight there, shape (n, bands)."""
    from scipy.special import ndtr

    edges = np.array([-np.inf if e <= 0 else e for e in one.edges_kg])
    n, bands = len(factor), len(edges) - 1
    shares, kg = np.zeros((n, bands)), np.zeros((n, bands))
    usual, later = one.usual.weights, one.late.weights
    assert usual is not None  # noqa: S101 - forecast, not made by hand
    assert later is not None  # noqa: S101
    sd = np.where(late, later.within_frac[0], usual.within_frac[0])[:, None]
    male = float(usual.share_male[0])
    for part, a, b in (
        (male, usual.male_kg[0], later.male_kg[0]),
        (1 - male, usual.female_kg[0], later.female_kg[0]),
    ):
        mean = (np.where(late, b, a) * factor)[:, None]
        z = (edges[None, :] / mean - 1) / sd
        inside = np.diff(ndtr(z), axis=1)
        density = np.exp(-np.minimum(z * z, 1400.0) / 2) / np.sqrt(2 * np.pi)
        shares += part * inside
        kg += part * mean * (inside - sd * np.diff(density, axis=1))
    masses = np.where(shares > _TINY, kg / np.maximum(shares, _TINY), one.usual.masses_kg)
    return shares, np.clip(masses, one.edges_kg[:-1], one.edges_kg[1:])


def _share_out(taken: Ints, shares: Floats, rng: np.random.Generator) -> Floats:
    """Birds by weight band, one binomial draw after another."""
    found = np.zeros(shares.shape)
    left, rest = taken.copy(), np.ones(len(taken))
    last = shares.shape[1] - 1
    for g in range(last):
        part = np.clip(shares[:, g] / np.maximum(rest, _TINY), 0, 1)
        drawn = rng.binomial(left, part)
        found[:, g] = drawn
        left = left - drawn
        rest = rest - shares[:, g]
    found[:, last] = left
    return found
