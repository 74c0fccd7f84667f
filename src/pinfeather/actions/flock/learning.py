"""What finished lots teach: growth against the table, survival, dressing; before and after."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, cast

from pinfeather.actions.farm import LotView
from pinfeather.actions.flock import days as flock_days
from pinfeather.actions.flock.books import LotBook
from pinfeather.actions.flock.lots import SEXES
from pinfeather.actions.flock.setup import curve_of
from pinfeather.actions.lists import past_days
from pinfeather.estimate import Basis, Estimate, Origin
from pinfeather.flock.balance import head_balance
from pinfeather.flock.curves import Curve
from pinfeather.flock.dressing import (
    Dressing,
    dressed_kg,
    published_dressing,
    shrink_frac,
    water_kept,
)
from pinfeather.flock.forecast import Seen, forecast, growth_ratio, samples_of
from pinfeather.flock.learning import LOT_SD, learn_dressing, learn_ratio, learn_survival
from pinfeather.flock.losses import Setting, survival
from pinfeather.flock.lot import Processed
from pinfeather.words import gettext as _

OFF_FEED_S: Final = 10 * 3600.0
"""Usual time off feed before slaughter; common practice, 8 to 12 hours."""
_RECENT_D: Final = 10
"""A dressing share is only believed where birds were weighed so shortly before. Our choice."""
_Z90: Final = 1.2815515655446004


@dataclass(frozen=True, slots=True)
class FinishedLot:
    """A lot whose birds are all gone, and what it says."""

    row: LotView
    curve: Curve | None
    on: dt.date
    """Last processing day."""
    age_d: int
    arrived: int
    processed: int
    usual_alive: float
    """Share that usually lives to that age [1]."""
    ratio: float | None
    """Growth against the table; None where nobody weighed [1]."""
    live_kg: float | None
    """Mean live weight on the day, full-fed [kg]."""
    dressed_kg: float | None
    """Mean of the packages without the water they carry [kg]."""
    dressing_frac: float | None
    """Dressed over live off feed [1]."""
    against_published: float | None
    """That share over the published one at this weight [1]."""

    @property
    def alive_frac(self) -> float:
        """Share of the birds that came alive and were processed [1]."""
        return self.processed / self.arrived if self.arrived else 0.0


@dataclass(frozen=True, slots=True)
class FlockNumbers:
    """What the next lot of a kind is planned with, and what it rests on."""

    ratio: Estimate
    ratio_sd: float
    """How unsure the next lot's ratio is [1]."""
    alive: Estimate
    """Share that lives to the age asked [1]."""
    dressing: Dressing | None
    growth_lots: tuple[FinishedLot, ...]
    alive_lots: tuple[FinishedLot, ...]
    dressing_lots: tuple[FinishedLot, ...]


def share_male(row: LotView) -> float:
    """Return the share of males by what the hatchery sold [1]."""
    return SEXES.get(row.sex, 0.5)


def dressing_kind(row: LotView) -> str:
    """Return the kind of bird with a published dressing share; empty where there is none."""
    if row.species == "turkey":
        return "hen_turkey" if row.sex == "females" else "tom_turkey"
    if row.species == "duck":
        return "duck"
    if row.species == "chicken":
        return "slow_chicken" if row.build == "lean" else "chicken"
    return ""


def setting_of(row: LotView) -> Setting:
    """Return which usual losses fit a lot."""
    return "pasture" if row.setting == "pasture" else "usual"


def lot_curve(row: LotView) -> Curve | None:
    """Return the curve a lot is compared with."""
    return curve_of(row.species, row.build, row.curve)


def finished(books: Sequence[LotBook]) -> tuple[FinishedLot, ...]:
    """Return the lots whose birds are all gone to processing, the latest first."""
    packed: dict[str, list[tuple[int, float]]] = {}
    for day in (*flock_days.taken(), *past_days.taken()):
        for code, part in day.packed.items():
            packed.setdefault(code, []).append(part)
    found = [one for one in (_finished(book, packed) for book in books) if one]
    return tuple(sorted(found, key=lambda one: (one.on, one.row.code), reverse=True))


def _finished(book: LotBook, packed: dict[str, list[tuple[int, float]]]) -> FinishedLot | None:
    row, life = book.row, book.life
    went = [e for e in life.events if isinstance(e, Processed) and e.heads > 0]
    balance = head_balance(life)
    if not went or balance.heads or not 0 < balance.processed <= balance.arrived:
        return None
    on = max(e.on for e in went)
    age = (on - life.hatched_on).days
    if age < 1:
        return None
    curve = lot_curve(row)
    samples = tuple(s for s in samples_of(life) if s.age_d > 0)
    ratio = live = None
    if curve is not None and samples:
        seen = Seen(curve, samples, share_male(row))
        ratio = growth_ratio(seen)
        live = float(forecast([seen], float(age)).mean_kg[0])
    birds = sum(n for n, _kg in packed.get(row.code, ()))
    kg = sum(kg for _n, kg in packed.get(row.code, ()))
    dressed = kg / birds / water_kept("after_a_night") if birds else None
    share = against = None
    kind = dressing_kind(row)
    recent = samples and age - samples[-1].age_d <= _RECENT_D
    if live and dressed and recent and kind:
        off_feed = live * (1 - shrink_frac(OFF_FEED_S))
        if dressed < off_feed:
            share = dressed / off_feed
            against = dressed / float(dressed_kg(off_feed, published_dressing(kind)))
    return FinishedLot(
        row,
        curve,
        on,
        age,
        balance.arrived,
        balance.processed,
        float(survival(age, setting_of(row))[-1]),
        ratio,
        live,
        dressed,
        share,
        against,
    )


def numbers_for(row: LotView, done: Sequence[FinishedLot], *, age_d: int) -> FlockNumbers:
    """Return what a lot is planned with: the usual, moved by the farm's own finished lots.

    Only lots of the same table teach growth, of the same kind and setting survival, of the same
    kind dressing; a lot never teaches itself.
    """
    others = [one for one in done if one.row.code != row.code]
    curve = lot_curve(row)
    growth = [
        one
        for one in others
        if one.ratio and curve and one.curve and one.curve.title == curve.title
    ]
    ratio = learn_ratio([one.ratio for one in growth if one.ratio])
    sd = math.log(ratio.high / ratio.value) / _Z90
    alive = [
        one for one in others
        if (one.row.species, one.row.setting) == (row.species, row.setting)
    ]  # fmt: skip
    usual = float(survival(max(age_d, 1), setting_of(row))[-1])
    kind = dressing_kind(row)
    dressing = None
    dressed = [one for one in others if one.against_published and dressing_kind(one.row) == kind]
    if kind:
        dressing = learn_dressing(
            [one.against_published for one in dressed if one.against_published],
            published=published_dressing(kind),
        )
    survived = learn_survival(
        [(one.arrived, one.processed) for one in alive], usual=min(usual, 0.999)
    )
    return FlockNumbers(
        ratio,
        math.hypot(sd, LOT_SD) if growth else sd,
        survived,
        dressing,
        tuple(growth),
        tuple(alive),
        tuple(dressed),
    )


@dataclass(frozen=True, slots=True)
class Lesson:
    """One number of the farm: before, what the lots say, and after."""

    what: str
    prior: Estimate
    posterior: Estimate
    lots: tuple[tuple[str, float], ...]
    """Each finished lot with its own number."""


@dataclass(frozen=True, slots=True)
class KindLessons:
    """What one kind of lot has taught."""

    title: str
    lessons: tuple[Lesson, ...]
    lots: tuple[FinishedLot, ...]


def lessons(done: Sequence[FinishedLot]) -> tuple[KindLessons, ...]:
    """Return prior, data and posterior for each kind of lot there has been, the latest first."""
    groups: dict[tuple[str, str, str], list[FinishedLot]] = {}
    for one in done:
        table = one.curve.title if one.curve else ""
        groups.setdefault((one.row.species, table, one.row.setting), []).append(one)
    return tuple(_kind(lots) for lots in groups.values())


def _kind(lots: Sequence[FinishedLot]) -> KindLessons:
    first = lots[0]
    found: list[Lesson] = []
    weighed = [one for one in lots if one.ratio is not None]
    if first.curve is not None:
        found.append(
            Lesson(
                _("Growth against the table"),
                learn_ratio([]),
                learn_ratio([cast("float", one.ratio) for one in weighed]),
                tuple((one.row.code, cast("float", one.ratio)) for one in weighed),
            )
        )
    usual = sum(one.usual_alive for one in lots) / len(lots)
    found.append(
        Lesson(
            _("Birds that live to the day"),
            learn_survival([], usual=min(usual, 0.999)),
            learn_survival([(one.arrived, one.processed) for one in lots], usual=min(usual, 0.999)),
            tuple((one.row.code, one.alive_frac) for one in lots),
        )
    )
    packed = [one for one in lots if one.against_published is not None]
    kind = dressing_kind(first.row)
    at = [one.live_kg for one in lots if one.live_kg is not None]
    if kind and at:
        published = published_dressing(kind)
        moved = learn_dressing(
            [cast("float", one.against_published) for one in packed], published=published
        )
        live = sum(at) / len(at)
        found.append(
            Lesson(
                _("Dressed over live weight"),
                _share(published, live),
                _share(moved, live),
                tuple((one.row.code, cast("float", one.dressing_frac)) for one in packed),
            )
        )
    title = first.curve.title if first.curve else ""
    return KindLessons(title, tuple(found), tuple(lots))


def _share(dressing: Dressing, live_kg: float) -> Estimate:
    """Return a dressing share at a live weight as an estimate."""
    off_feed = live_kg * (1 - shrink_frac(OFF_FEED_S))
    value = float(dressed_kg(off_feed, dressing)) / off_feed
    off = _Z90 * dressing.unsure_frac
    basis = dressing.basis or Basis(Origin.HANDBOOK, "", "")
    return Estimate(value, value * (1 - off), min(value * (1 + off), 1.0), basis)
