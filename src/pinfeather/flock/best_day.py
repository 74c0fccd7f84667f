"""Which day to process: what another day adds, and what it eats."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from decimal import ROUND_HALF_UP, Decimal
from typing import Final

import numpy as np
from numpy.typing import NDArray

from pinfeather.errors import InputError
from pinfeather.finding import Finding, Severity
from pinfeather.flock.dressing import Dressing, dressed_weights
from pinfeather.flock.feed import daily_feed_kg
from pinfeather.flock.forecast import Seen, forecast, growth_path
from pinfeather.flock.guards import heads, positive
from pinfeather.flock.losses import Setting, survival
from pinfeather.flock.spread import Weights
from pinfeather.words import date_text
from pinfeather.words import gettext as _

Floats = NDArray[np.float64]

_NODES: Final = 41
_WEEK: Final = dt.timedelta(days=7)
_OFF_FEED_S: Final = 10 * 3600.0
"""Usual time off feed; common practice, 8 to 12 hours."""


@dataclass(frozen=True, slots=True)
class SizeWanted:
    """A size class somebody pays for.

    Parameters
    ----------
    low_kg, high_kg : float
        Dressed weight from and below [kg].
    cents_per_kg : Decimal
        Price.
    most : int or None
        Birds wanted; None takes any number.
    """

    low_kg: float
    high_kg: float
    cents_per_kg: Decimal
    most: int | None = None


@dataclass(frozen=True, slots=True)
class Costs:
    """What another day costs, and what does not fit a class earns.

    Parameters
    ----------
    feed_cents_per_kg : Decimal
        Price of feed.
    other_cents_per_kg : Decimal
        For birds outside every class or above its number.
    day_cents : int
        Chores, bedding and fuel for a day, whole lot.
    bird_cents : int
        Processing and packing of one bird.
    """

    feed_cents_per_kg: Decimal
    other_cents_per_kg: Decimal
    day_cents: int = 0
    bird_cents: int = 0


@dataclass(frozen=True, slots=True)
class Room:
    """What a processing day can take.

    Parameters
    ----------
    most_birds : int or None
        Crew, or what is left of the yearly cap.
    most_dressed_kg : float or None
        Chill tanks and freezer [kg].
    refused : mapping of datetime.date to str
        Days that are out, each with its reason: heat, storm, no crew, medicine.
    """

    most_birds: int | None = None
    most_dressed_kg: float | None = None
    refused: Mapping[dt.date, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class DayChoice:
    """One day and what it would bring.

    Parameters
    ----------
    on : datetime.date
        Which.
    age_d : int
        Age of the birds [d].
    live_kg, dressed_kg : float
        Mean weight of a bird [kg].
    birds : float
        Birds alive then.
    processed : float
        Of these, what room and cap allow.
    by_class : tuple of float
        Expected birds sold in each class.
    income_cents, feed_cents, other_cents, margin_cents : int
        From today on: sales; feed; chores and processing; sales less the rest.
    refused : str
        Why the day is out; empty where it is not.
    """

    on: dt.date
    age_d: int
    live_kg: float
    dressed_kg: float
    birds: float
    processed: float
    by_class: tuple[float, ...]
    income_cents: int
    feed_cents: int
    other_cents: int
    margin_cents: int
    refused: str = ""


@dataclass(frozen=True, slots=True)
class BestDay:
    """The best day and its neighbours.

    Parameters
    ----------
    best : DayChoice
        Highest margin of the days that are not refused.
    choices : tuple of DayChoice
        Every day, in order.
    week_earlier_cents, week_later_cents : int or None
        What going a week earlier or later would lose, refused or not; None where that day was not
        looked at.
    marginal_cents : int or None
        Sales that one day more than the best adds.
    marginal_cost_cents : int or None
        Feed, chores and processing that it costs.
    findings : tuple of Finding
        What to know.
    """

    best: DayChoice
    choices: tuple[DayChoice, ...]
    week_earlier_cents: int | None
    week_later_cents: int | None
    marginal_cents: int | None
    marginal_cost_cents: int | None
    findings: tuple[Finding, ...]


def best_day(
    seen: Seen,
    days: Sequence[dt.date],
    *,
    hatched_on: dt.date,
    today: dt.date,
    birds: int,
    classes: Sequence[SizeWanted],
    costs: Costs,
    dressing: Dressing,
    room: Room | None = None,
    setting: Setting = "usual",
) -> BestDay:
    """Return the day that brings most, and what other days cost.

    Parameters
    ----------
    seen : Seen
        Curve and weighings of the lot.
    days : sequence of datetime.date
        Days to look at, today or later.
    hatched_on : datetime.date
        Day zero of its age.
    today : datetime.date
        Feed and losses before it are spent in any case.
    birds : int
        Alive today.
    classes : sequence of SizeWanted
        Sizes wanted; they may not overlap.
    costs : Costs
        Feed and the rest.
    dressing : Dressing
        Dressed share.
    room : Room or None
        What a day can take; None sets no limit.
    setting : str
        Usual losses: ``"usual"`` or ``"pasture"``.

    Returns
    -------
    BestDay
        Expected money; margins of neighbouring days often differ by less than the forecast knows.

    Raises
    ------
    InputError
        If there is no day, all are refused, classes overlap, or a day is before today.

    Notes
    -----
    The lot goes on one day. Birds beyond room or cap earn nothing in the sum, and a finding says
    so.

    References
    ----------
    Derivation: expected sales by size class over the forecast weights (mean's uncertainty at 41
    points), less feed, chores and processing from today on.
    """
    chosen = sorted(set(days))
    _check(chosen, classes, today=today, hatched_on=hatched_on)
    heads("birds", birds, least=1)
    limits = room or Room()
    start = (today - hatched_on).days
    ages = np.array([(d - hatched_on).days for d in chosen])
    path = growth_path(seen, int(ages.max()))
    alive = survival(int(ages.max()), setting)
    left = birds * alive[start:] / alive[start]
    species = seen.curve.species if seen.curve is not None else "chicken"
    eaten = daily_feed_kg(path, species)[start:] * left[:-1]
    feed_kg = np.concatenate([[0.0], np.cumsum(eaten)])
    live = forecast([seen] * len(ages), ages.astype(float))
    dressed = dressed_weights(live, dressing, off_feed_s=_OFF_FEED_S)
    ordered = sorted(classes, key=lambda c: c.low_kg)
    choices = []
    for i, day in enumerate(chosen):
        there = float(left[ages[i] - start])
        mean = float(dressed.mean_kg[i])
        fits = there
        if limits.most_birds is not None:
            fits = min(fits, float(limits.most_birds))
        if limits.most_dressed_kg is not None:
            fits = min(fits, limits.most_dressed_kg / mean)
        sold, cents = _sales(dressed, i, fits, classes=ordered, costs=costs)
        feed = _cents(Decimal(repr(float(feed_kg[ages[i] - start]))) * costs.feed_cents_per_kg)
        rest = _cents(
            Decimal(costs.day_cents * int(ages[i] - start))
            + Decimal(costs.bird_cents) * Decimal(repr(fits))
        )
        choices.append(
            DayChoice(
                day,
                int(ages[i]),
                float(live.mean_kg[i]),
                mean,
                there,
                fits,
                sold,
                cents,
                feed,
                rest,
                cents - feed - rest,
                limits.refused.get(day, ""),
            )
        )
    open_days = [c for c in choices if not c.refused]
    if not open_days:
        raise InputError("days", tuple(chosen), _("Every day is refused; allow one more."))
    best = max(open_days, key=lambda c: c.margin_cents)
    by_day = {c.on: c for c in choices}
    after = by_day.get(best.on + dt.timedelta(days=1))
    return BestDay(
        best,
        tuple(choices),
        _loses(best, by_day.get(best.on - _WEEK)),
        _loses(best, by_day.get(best.on + _WEEK)),
        after.income_cents - best.income_cents if after else None,
        after.feed_cents + after.other_cents - best.feed_cents - best.other_cents
        if after
        else None,
        tuple(_findings(best, choices)),
    )


def _sales(
    dressed: Weights, i: int, birds: float, *, classes: Sequence[SizeWanted], costs: Costs
) -> tuple[tuple[float, ...], int]:
    """Birds sold in each class and all the money, averaged over what the mean may be."""
    nodes, masses = np.polynomial.hermite_e.hermegauss(_NODES)
    masses = masses / masses.sum()
    shift = np.maximum(1 + nodes * dressed.unsure_frac[i], 0.05)
    sold, money = np.zeros(len(classes)), Decimal(0)
    all_kg = birds * float(dressed.mean_kg[i])
    in_class_kg = 0.0
    for k, wanted in enumerate(classes):
        share, kg = _part(dressed, i, shift, low=wanted.low_kg, high=wanted.high_kg)
        there = birds * share
        taken = there if wanted.most is None else np.minimum(there, wanted.most)
        part = np.divide(taken, there, out=np.zeros_like(there), where=there > 0)
        class_kg = float((birds * kg * part) @ masses)
        sold[k] = float(taken @ masses)
        in_class_kg += class_kg
        money += Decimal(repr(class_kg)) * wanted.cents_per_kg
    money += Decimal(repr(max(all_kg - in_class_kg, 0.0))) * costs.other_cents_per_kg
    return tuple(float(s) for s in sold), _cents(money)


def _part(
    dressed: Weights, i: int, shift: Floats, *, low: float, high: float
) -> tuple[Floats, Floats]:
    """Share of birds in a class, and its weight for each bird of the lot, by shift of the mean."""
    from scipy.special import ndtr

    share, kg = np.zeros_like(shift), np.zeros_like(shift)
    p = float(dressed.share_male[i])
    for weight, mean in ((p, dressed.male_kg[i]), (1 - p, dressed.female_kg[i])):
        mu = mean * shift
        sd = mu * dressed.within_frac[i]
        a, b = ((edge - mu) / sd for edge in (-math.inf if low <= 0 else low, high))
        inside = ndtr(b) - ndtr(a)
        density = [np.exp(-np.minimum(z * z, 1400) / 2) / math.sqrt(2 * math.pi) for z in (a, b)]
        share += weight * inside
        kg += weight * (mu * inside + sd * (density[0] - density[1]))
    return share, np.maximum(kg, 0.0)


def _findings(best: DayChoice, choices: Sequence[DayChoice]) -> list[Finding]:
    found = []
    if best.processed < best.birds - 0.5:
        found.append(
            Finding(
                "best_day.room",
                Severity.CHECK,
                _(
                    "Room or cap stops {n:.0f} birds on {day}; the sum counts them as nothing."
                ).format(n=best.birds - best.processed, day=date_text(best.on)),
                _("Plan a second day for them, or sell them alive before."),
                measured=best.birds,
                limit=best.processed,
                unit="birds",
            )
        )
    better = max(choices, key=lambda c: c.margin_cents)
    if better.refused and better.margin_cents > best.margin_cents:
        found.append(
            Finding(
                "best_day.refused",
                Severity.NOTE,
                _("{day} would bring ${more:.2f} more, but: {why}").format(
                    day=date_text(better.on),
                    more=Decimal(better.margin_cents - best.margin_cents) / 100,
                    why=better.refused,
                ),
                where=better.on.isoformat(),
            )
        )
    if len(choices) > 1 and best in {choices[0], choices[-1]}:
        found.append(
            Finding(
                "best_day.edge",
                Severity.NOTE,
                _("The best day is the first or last one looked at; look further."),
                where=best.on.isoformat(),
            )
        )
    return found


def _loses(best: DayChoice, other: DayChoice | None) -> int | None:
    return None if other is None else best.margin_cents - other.margin_cents


def _cents(amount: Decimal) -> int:
    return int(amount.quantize(Decimal(1), rounding=ROUND_HALF_UP))


def _check(
    days: Sequence[dt.date],
    classes: Sequence[SizeWanted],
    *,
    today: dt.date,
    hatched_on: dt.date,
) -> None:
    if not days:
        raise InputError("days", (), _("Name at least one day to look at."))
    if days[0] < today or days[0] <= hatched_on:
        raise InputError("days", days[0], _("A day to process is today or later."))
    if today < hatched_on:
        raise InputError("today", today, _("The lot is not hatched yet."))
    ordered = sorted(classes, key=lambda c: c.low_kg)
    for i, one in enumerate(ordered):
        positive(f"classes[{i}]", one.high_kg - one.low_kg if math.isfinite(one.high_kg) else 1.0)
        if i and one.low_kg < ordered[i - 1].high_kg - 1e-9:
            raise InputError(f"classes[{i}]", one.low_kg, _("Size classes may not overlap."))
