"""What each possible lot would give on each possible day: forecast tables for the plan."""

from __future__ import annotations

import datetime as dt
import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from pinfeather.flock.dressing import dressed_weights, published_dressing
from pinfeather.flock.feed import daily_feed_kg, usual_phases
from pinfeather.flock.forecast import Seen, forecast, growth_path
from pinfeather.flock.losses import CLUSTERING, survival
from pinfeather.flock.spread import Weights
from pinfeather.season.asked import Kind, ProcessingDay, SeasonRequest, Standing

Floats = NDArray[np.float64]

OFF_FEED_S: Final = 10 * 3600.0
"""Usual time off feed; common practice, 8 to 12 hours."""
USUAL_LOT: Final = 100
"""Lot a new one's luck is reckoned with before its size is known. Assumed."""
_NODES: Final = 41
_LOSS_NODES: Final = 15
_EVEN_CHANCE: Final = 0.5
_TINY: Final = 1e-9


@dataclass(frozen=True, slots=True)
class Source:
    """A lot that can be started, or one that is there.

    Parameters
    ----------
    kind : Kind
        Of which kind.
    hatch_on : datetime.date
        Day zero of its age.
    standing : Standing or None
        None for a lot that can be started.
    """

    kind: Kind
    hatch_on: dt.date
    standing: Standing | None = None

    @property
    def arrive_on(self) -> dt.date:
        """When it comes to the farm."""
        return self.hatch_on + dt.timedelta(days=self.kind.travel_d)

    @property
    def out_on(self) -> dt.date:
        """When it leaves the brooder."""
        return self.hatch_on + dt.timedelta(days=self.kind.brooder_d)

    @property
    def order_by(self) -> dt.date:
        """When the order must be in."""
        return self.hatch_on - dt.timedelta(days=self.kind.ahead_d)


@dataclass(frozen=True, slots=True)
class Batch:
    """What one lot gives on one day, for each chick ordered (each bird alive today).

    Parameters
    ----------
    source : int
        Index of the lot.
    day : int
        Index of the day.
    on : datetime.date
        The day.
    age_d : int
        Age then [d].
    alive, alive_most : float
        Expected to live, and not more than this with the chance wanted [1].
    shares : tuple of float
        Birds in each weight band of its kind, shape (bands,) [1].
    masses_kg : tuple of float
        Dressed mass of a bird in each band, shape (bands,) [kg].
    safe : tuple of float
        Part of the expected number in a band that is there with the chance wanted, shape
        (bands,) [1].
    feed_kg : tuple of float
        Feed by phase up to the day, shape (phases,) [kg].
    feed_cents : float
        What that costs.
    weights : Weights or None
        Dressed weights, for the luck; None where the table was made by hand.
    """

    source: int
    day: int
    on: dt.date
    age_d: int
    alive: float
    alive_most: float
    shares: tuple[float, ...]
    masses_kg: tuple[float, ...]
    safe: tuple[float, ...]
    feed_kg: tuple[float, ...]
    feed_cents: float
    weights: Weights | None = None

    @property
    def mean_kg(self) -> float:
        """Dressed mass of the mean bird [kg]."""
        return math.fsum(s * m for s, m in zip(self.shares, self.masses_kg, strict=True))


@dataclass(frozen=True, slots=True)
class Tables:
    """All tables of a season.

    Parameters
    ----------
    sources : tuple of Source
        Lots that can be started, then standing ones.
    days : tuple of ProcessingDay
        Rising.
    batches : tuple of Batch
        For each lot each day it has the age for.
    bands : mapping of str to tuple
        Edges of the weight bands, by kind, from zero to infinity [kg].
    alive : tuple of ndarray
        For each lot, share alive on each day from ``first_on``, shape (days,) [1].
    eaten_kg : tuple of ndarray
        For each lot, feed of each day from ``first_on`` for each chick ordered, shape (days,) [kg].
    first_on : datetime.date
        Day zero of those.
    """

    sources: tuple[Source, ...]
    days: tuple[ProcessingDay, ...]
    batches: tuple[Batch, ...]
    bands: dict[str, tuple[float, ...]]
    alive: tuple[Floats, ...]
    eaten_kg: tuple[Floats, ...]
    first_on: dt.date


def sources_of(request: SeasonRequest) -> tuple[Source, ...]:
    """List the lots that can still be started, and those there are.

    Parameters
    ----------
    request : SeasonRequest
        The season.

    Returns
    -------
    tuple of Source
        New ones by kind and date, then standing ones.

    References
    ----------
    Derivation: a lot whose order should have been in before today cannot be started; a standing
    lot takes the place of a new one of its kind and day.
    """
    taken = {(one.kind, one.hatched_on) for one in request.standing}
    new = [
        source
        for kind in request.kinds
        for hatch in kind.hatch_on
        if (source := Source(kind, hatch)).order_by >= request.today
        and (kind.code, hatch) not in taken
    ]
    there = [
        Source(
            replace(
                request.kind(one.kind),
                growth_ratio=one.growth_ratio,
                growth_sd_frac=one.growth_sd_frac,
            ),
            one.hatched_on,
            one,
        )
        for one in request.standing
        if one.heads > 0
    ]
    return (*new, *there)


def bands_of(request: SeasonRequest) -> dict[str, tuple[float, ...]]:
    """Return the edges of the weight bands that somebody tells apart, by kind.

    Parameters
    ----------
    request : SeasonRequest
        The season.

    Returns
    -------
    dict of str to tuple of float
        From zero to infinity, rising [kg].

    References
    ----------
    Derivation: every lower and upper end of an order or line that takes the kind.
    """
    found = {}
    for kind in request.kinds:
        edges = {0.0, math.inf}
        for order in request.orders:
            if kind.code in order.kinds:
                edges |= {order.low_kg, order.high_kg}
        for line in request.stock:
            if kind.code in line.kinds:
                edges |= {line.low_kg, line.high_kg}
        found[kind.code] = tuple(sorted(edges))
    return found


def tables_of(request: SeasonRequest) -> Tables:
    """Forecast what each possible lot gives on each possible day.

    Parameters
    ----------
    request : SeasonRequest
        The season.

    Returns
    -------
    Tables
    ------
        Expected numbers, with a safe part for promises.

    References
    ----------
    Derivation: survival, growth and dressing of the flock room for each age; the safe part is the
    quantile of birds in the band over the lot's growth and losses, with the luck of single birds
    in a lot of 100 (a standing lot: its heads) joined to it.
    """
    sources, bands = sources_of(request), bands_of(request)
    days = tuple(day for day in request.days if day.on >= request.today)
    first = min([request.from_on, request.today, *(s.hatch_on for s in sources)])
    batches, alive, eaten = [], [], []
    for index, source in enumerate(sources):
        table = _Table(request, source, first=first)
        alive.append(table.alive)
        eaten.append(table.eaten_kg)
        batches += table.batches(index, days, bands[source.kind.code])
    return Tables(sources, days, tuple(batches), bands, tuple(alive), tuple(eaten), first)


def batch_at(request: SeasonRequest, tables: Tables, source: int, *, on: dt.date) -> Batch:
    """Forecast one lot for any day, even one it is too old for.

    Parameters
    ----------
    request : SeasonRequest
        The season.
    tables : Tables
        With the lot.
    source : int
        Its index.
    on : datetime.date
        The day.

    Returns
    -------
    Batch
        As for a day of the plan; its ``day`` is -1.

    References
    ----------
    Derivation: as :func:`tables_of`.
    """
    asked = tables.sources[source]
    age = (on - asked.hatch_on).days
    kind = replace(asked.kind, from_d=age, until_d=age)
    table = _Table(request, replace(asked, kind=kind), first=tables.first_on)
    day = ProcessingDay(on, 0.0, 0.0, None, 0)
    return replace(table.batches(source, [day], tables.bands[kind.code])[0], day=-1)


def growth_by_day(source: Source, last_d: int) -> Floats:
    """Return the forecast mean weight of a lot by day of age.

    Parameters
    ----------
    source : Source
        The lot.
    last_d : int
        Last day [d].

    Returns
    -------
    ndarray
        Weight at age 0, 1, …, shape (last_d + 1,) [kg].

    References
    ----------
    :func:`pinfeather.flock.forecast.growth_path`.
    """
    return growth_path(_seen(source.kind), last_d)


def _seen(kind: Kind) -> Seen:
    return Seen(
        kind.curve,
        share_male=kind.share_male,
        farm_ratio=kind.growth_ratio,
        farm_sd=max(kind.growth_sd_frac, _TINY),
    )


class _Table:
    """The numbers of one lot by age, and its batches."""

    def __init__(self, request: SeasonRequest, source: Source, *, first: dt.date) -> None:
        kind = source.kind
        self.request, self.source = request, source
        self.seen = _seen(kind)
        last = kind.until_d
        self.start_d = 0
        lives = survival(last, kind.setting)
        there = 1 - kind.arrival_loss_frac
        if source.standing is not None and source.hatch_on <= request.today:
            self.start_d = min((request.today - source.hatch_on).days, last)
            there = 1 / float(lives[self.start_d])
        self.by_age = lives * there
        path = growth_path(self.seen, last)
        daily = daily_feed_kg(path, kind.species, extra_frac=request.feed.extra_frac)
        self.daily_kg = np.where(np.arange(last) >= self.start_d, daily * self.by_age[:-1], 0.0)
        span = (max(request.until_on, source.hatch_on + dt.timedelta(days=last)) - first).days + 1
        offset = (source.hatch_on - first).days
        self.alive = np.zeros(span)
        self.alive[offset : offset + last + 1] = self.by_age
        self.alive[offset : offset + self.start_d] = 0.0
        self.eaten_kg = np.zeros(span)
        self.eaten_kg[offset : offset + last] = self.daily_kg
        self.phases = usual_phases(kind.species)

    def batches(
        self, index: int, days: Sequence[ProcessingDay], edges: Sequence[float]
    ) -> list[Batch]:
        kind, hatch = self.source.kind, self.source.hatch_on
        ages = [(day.on - hatch).days for day in days]
        at = [i for i, age in enumerate(ages) if kind.from_d <= age <= kind.until_d]
        if not at:
            return []
        live = forecast([self.seen] * len(at), [float(ages[i]) for i in at])
        dressed = _dressed(live, kind)
        worth = (1 - CLUSTERING) / CLUSTERING
        found = []
        for row, i in enumerate(at):
            age = ages[i]
            weights = _row(dressed, row)
            alive = float(self.by_age[age])
            low, high = self._survivals(age, worth)
            shares, masses = band_parts(weights, edges)
            feed = self._feed(age)
            found.append(
                Batch(
                    index,
                    i,
                    days[i].on,
                    age,
                    alive,
                    high,
                    tuple(shares),
                    tuple(masses),
                    self._safe(weights, edges, shares=shares, survivals=low, alive=alive),
                    tuple(feed),
                    sum(
                        kg * float(feed_cents_per_kg(self.request, kind, phase.name))
                        for kg, phase in zip(feed, self.phases, strict=True)
                    ),
                    weights,
                )
            )
        return found

    def _feed(self, age: int) -> list[float]:
        starts = [phase.from_d for phase in self.phases] + [10**6]
        return [
            float(self.daily_kg[min(a, age) : min(b, age)].sum())
            for a, b in itertools.pairwise(starts)
        ]

    def _survivals(self, age: int, worth: float) -> tuple[Floats, float]:
        """Shares alive at evenly spaced chances, and the most with the chance wanted."""
        from scipy.special import betaincinv

        there = float(self.by_age[self.start_d])
        kept = float(self.by_age[age]) / there
        if kept >= 1 - _TINY:
            return np.full(_LOSS_NODES, there), there
        a, b = kept * worth, (1 - kept) * worth
        chances = (np.arange(_LOSS_NODES) + 0.5) / _LOSS_NODES
        most = float(betaincinv(a, b, self.request.chance_frac))
        return there * betaincinv(a, b, chances), there * most

    def _safe(
        self,
        weights: Weights,
        edges: Sequence[float],
        *,
        shares: Floats,
        survivals: Floats,
        alive: float,
    ) -> tuple[float, ...]:
        from scipy.special import ndtri

        chance = self.request.chance_frac
        if chance <= _EVEN_CHANCE:
            return (1.0,) * len(shares)
        shifts = 1 + float(weights.unsure_frac[0]) * ndtri((np.arange(_NODES) + 0.5) / _NODES)
        by_shift = np.stack([band_parts(shifted(weights, f), edges)[0] for f in shifts])
        there = by_shift[:, None, :] * survivals[None, :, None]
        low = np.quantile(there.reshape(-1, len(shares)), 1 - chance, axis=0)
        heads = self.source.standing.heads if self.source.standing else USUAL_LOT
        found = []
        for share, floor in zip(shares, low, strict=True):
            expected = min(max(share * alive, _TINY), 1.0)
            slow = max(1 - floor / expected, 0.0)
            single = float(ndtri(chance)) * math.sqrt((1 - expected) / (heads * expected))
            found.append(max(1 - math.hypot(slow, single), 0.0))
        return tuple(found)


def feed_cents_per_kg(request: SeasonRequest, kind: Kind, phase: str) -> float:
    """Return what a feed costs.

    Parameters
    ----------
    request : SeasonRequest
        With its prices.
    kind : Kind
        Who eats it.
    phase : str
        Its name.

    Returns
    -------
    float
        Price [cents/kg].

    References
    ----------
    Derivation: the price of the phase; else the one without a phase; else the dearest.
    """
    prices = [p for p in request.feed_prices if p.species == kind.species]
    for wanted in (phase, ""):
        for price in prices:
            if price.phase == wanted:
                return float(price.cents_per_kg)
    return max((float(p.cents_per_kg) for p in prices), default=0.0)


def band_parts(weights: Weights, edges: Sequence[float]) -> tuple[Floats, Floats]:
    """Return the share of birds in each weight band, and the mean weight there.

    Parameters
    ----------
    weights : Weights
        Of one lot.
    edges : sequence of float
        Rising, from zero to infinity, shape (bands + 1,) [kg].

    Returns
    -------
    shares : ndarray
        They add up to one, shape (bands,) [1].
    masses_kg : ndarray
        Mean weight in each, shape (bands,) [kg].

    References
    ----------
    Derivation: mixture of two normals, cut at the edges; the mean's own uncertainty widens both.
    """
    from scipy.special import ndtr

    sd = max(math.hypot(float(weights.within_frac[0]), float(weights.unsure_frac[0])), _TINY)
    cut = np.array([-np.inf if e <= 0 else e for e in edges])
    shares, kg = np.zeros(len(edges) - 1), np.zeros(len(edges) - 1)
    male = float(weights.share_male[0])
    for part, mean in ((male, weights.male_kg[0]), (1 - male, weights.female_kg[0])):
        z = (cut / mean - 1) / sd
        inside = np.diff(ndtr(z))
        density = np.exp(-np.minimum(z * z, 1400.0) / 2) / math.sqrt(2 * math.pi)
        shares += part * inside
        kg += part * mean * (inside - sd * np.diff(density))
    finite = [(a if math.isinf(b) else b) or 1.0 for a, b in itertools.pairwise(edges)]
    masses = np.where(shares > _TINY, kg / np.maximum(shares, _TINY), finite)
    return shares, np.clip(masses, list(edges[:-1]), edges[1:])


def shifted(weights: Weights, factor: float) -> Weights:
    """Return the weights of a lot that grew so much better, its mean now known.

    Parameters
    ----------
    weights : Weights
        As forecast.
    factor : float
        Against the forecast [1].

    Returns
    -------
    Weights
        Without uncertainty of the mean.

    References
    ----------
    Derivation: both sexes by the same factor.
    """
    keep = max(factor, 0.05)
    return replace(
        weights,
        male_kg=weights.male_kg * keep,
        female_kg=weights.female_kg * keep,
        unsure_frac=np.zeros_like(weights.unsure_frac),
    )


def _dressed(live: Weights, kind: Kind) -> Weights:
    parts = [
        dressed_weights(live, published_dressing(n), off_feed_s=OFF_FEED_S) for n in kind.dressing
    ]
    return replace(parts[0], female_kg=parts[-1].female_kg)


def _row(weights: Weights, i: int) -> Weights:
    at = slice(i, i + 1)
    return Weights(
        weights.male_kg[at],
        weights.female_kg[at],
        weights.share_male[at],
        weights.within_frac[at],
        weights.unsure_frac[at],
    )
