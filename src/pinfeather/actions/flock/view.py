"""How a lot stands: heads, weight with bands, feed, room, alerts, and what needs doing."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final, Literal

import numpy as np

from pinfeather import clock
from pinfeather.actions.farm import LotView, farm
from pinfeather.actions.flock.books import LotBook, books
from pinfeather.actions.flock.learning import (
    OFF_FEED_S,
    FinishedLot,
    FlockNumbers,
    finished,
    lot_curve,
    numbers_for,
    setting_of,
    share_male,
)
from pinfeather.actions.flock.room import Ground, RoomNow, ground_now, room_now
from pinfeather.actions.flock.setup import PenView, pens
from pinfeather.errors import RecordNotFoundError
from pinfeather.estimate import Basis, Estimate, Origin
from pinfeather.finding import Finding, Severity, by_severity
from pinfeather.flock.alerts import alerts, withdrawal_alert, withdrawal_over_on
from pinfeather.flock.balance import Balance, head_balance, heads_on
from pinfeather.flock.curves import Curve, Species
from pinfeather.flock.dressing import dressed_weights
from pinfeather.flock.feed import FeedPlan, feed_plan
from pinfeather.flock.forecast import Sample, Seen, forecast, growth_path, samples_of
from pinfeather.flock.losses import survival
from pinfeather.flock.progress import FeedSoFar, feed_so_far, pens_now
from pinfeather.flock.spread import ClassCount, Weights, band_kg, size_classes
from pinfeather.flock.weigh_plan import Bought, WeighPlan, birds_to_weigh, what_weighing_buys
from pinfeather.records import models
from pinfeather.units import KG_PER_LB
from pinfeather.words import date_text, ngettext
from pinfeather.words import gettext as _

Stage = Literal["ordered", "standing", "finished"]

USUAL_AGE_D: Final = {
    ("chicken", "broad"): 56,
    ("chicken", "lean"): 84,
    ("turkey", "broad"): 126,
    ("turkey", "lean"): 168,
    ("duck", "broad"): 49,
    ("duck", "lean"): 56,
}
"""Age to think of where no day was chosen; our choice, shown as such."""
_OTHER_AGE_D: Final = 84
WEIGH_ERROR: Final = 0.05
"""Mean within this share, nineteen times in twenty; our choice."""
_WEIGH_FROM_D: Final = 18
_WEIGH_EVERY_D: Final = 10
_OLDEST_D: Final = 400
_SIGNS_LAST_D: Final = 400


@dataclass(frozen=True, slots=True)
class Outlook:
    """What the birds weigh, or will weigh, on a day."""

    on: dt.date
    age_d: int
    live: Weights
    dressed: Weights | None
    heads: float
    """Birds expected to be alive then."""
    live_kg: Estimate
    """Mean, with the band that eight birds in ten lie in [kg]."""
    live90_kg: tuple[float, float]
    dressed_kg: Estimate | None
    dressed90_kg: tuple[float, float] | None
    mean_off_frac: float
    """How far off the mean itself may be, eight times in ten [1]."""
    basis: Basis


@dataclass(frozen=True, slots=True)
class LotNow:
    """A lot as it stands on a day."""

    book: LotBook
    today: dt.date
    stage: Stage
    age_d: int | None
    balance: Balance
    heads: int
    pens: tuple[tuple[str, int], ...]
    curve: Curve | None
    seen: Seen | None
    samples: tuple[Sample, ...]
    numbers: FlockNumbers
    outlook: Outlook | None
    """Today."""
    target_on: dt.date | None
    target_basis: str
    planned: tuple[tuple[int, dt.date], ...]
    """Planned processing days with this lot: number and date."""
    withdrawal_on: dt.date | None
    signs: tuple[str, ...]
    findings: tuple[Finding, ...]
    todo: tuple[str, ...]

    @property
    def row(self) -> LotView:
        """What is said about the lot itself."""
        return self.book.row

    @property
    def worst(self) -> int:
        """How bad the worst finding is; 0 where there is none."""
        return max((int(f.severity) for f in self.findings), default=0)


@dataclass(frozen=True, slots=True)
class LotDetail:
    """What one lot's own page adds."""

    now: LotNow
    looks: tuple[Outlook, ...]
    """On the chosen dates."""
    classes: tuple[ClassCount, ...]
    edges_kg: tuple[float, ...]
    feed: FeedSoFar | None
    feed_to_come: FeedPlan | None
    water_today_m3: Estimate | None
    room: RoomNow
    ground: Ground | None
    weigh: WeighPlan | None
    bought: tuple[Bought, ...]


def lots_now() -> tuple[LotNow, ...]:
    """Return every lot as it stands today: standing ones worst first, then ordered, finished."""
    today = clock.today(farm().zone)
    found = books()
    done = finished(found)
    planned = planned_days()
    rank = {"standing": 0, "ordered": 1, "finished": 2}
    rows = [stand(one, done, today=today, planned=planned) for one in found]
    return tuple(sorted(rows, key=lambda one: (rank[one.stage], -one.worst)))


def lot_now(code: str) -> LotNow:
    """Return one lot as it stands today.

    Raises
    ------
    RecordNotFoundError
        If there is no such lot.
    """
    found = books()
    one = next((book for book in found if book.row.code == code), None)
    if one is None:
        raise RecordNotFoundError(_("There is no lot called “{code}”.").format(code=code))
    today = clock.today(farm().zone)
    return stand(one, finished(found), today=today, planned=planned_days())


def planned_days() -> dict[str, list[tuple[int, dt.date]]]:
    """Return the processing days still to come, by lot."""
    found: dict[str, list[tuple[int, dt.date]]] = {}
    still = models.Day.objects.filter(sealed_seq=None).order_by("date")
    rows = still.values_list("pk", "date", "request")
    for pk, date, request in rows:
        for row in request.get("lots", []):
            found.setdefault(str(row.get("code", "")), []).append((pk, date))
    return found


def stand(
    book: LotBook,
    done: Sequence[FinishedLot],
    *,
    today: dt.date,
    planned: dict[str, list[tuple[int, dt.date]]],
) -> LotNow:
    """Say how one lot stands on a day."""
    row, life = book.row, book.life
    balance = head_balance(life)
    heads = heads_on(balance, today)
    age = (today - life.hatched_on).days if row.hatched or life.events else None
    days = tuple(planned.get(row.code, ()))
    target, target_basis = _target(row, days, today=today)
    stage: Stage = "standing"
    if balance.arrived <= 0:
        stage = "ordered"
    elif heads <= 0 and (balance.processed or balance.sold or balance.lost):
        stage, target, target_basis = "finished", None, ""
    at = (target - life.hatched_on).days if target else (age or 1)
    numbers = numbers_for(row, done, age_d=min(max(at, 1), _OLDEST_D))
    curve = lot_curve(row)
    samples = tuple(s for s in samples_of(life) if age is None or 0 < s.age_d <= age)
    seen = None
    if curve is not None:
        seen = Seen(curve, samples, share_male(row), numbers.ratio.value, numbers.ratio_sd)
    sick = open_signs(book, today=today)
    findings: tuple[Finding, ...] = balance.findings
    if stage == "standing":
        findings = alerts(
            life,
            today,
            seen=seen,
            setting=setting_of(row),
            seen_signs=sick,
            slaughter_dates=[date for _pk, date in days],
        )
        findings = (*findings, *_still_in_withdrawal(book, findings, today=today))
    now = LotNow(
        book=book,
        today=today,
        stage=stage,
        age_d=age,
        balance=balance,
        heads=heads,
        pens=pens_now(balance, today),
        curve=curve,
        seen=seen,
        samples=samples,
        numbers=numbers,
        outlook=None,
        target_on=target,
        target_basis=target_basis,
        planned=days,
        withdrawal_on=withdrawal_over_on(life),
        signs=sick,
        findings=by_severity(findings),
        todo=(),
    )
    if stage == "standing" and age is not None and age >= 1:
        now = replace(now, outlook=look(now, today))
    return replace(now, todo=_todo(now))


def _still_in_withdrawal(
    book: LotBook, findings: Sequence[Finding], *, today: dt.date
) -> tuple[Finding, ...]:
    """Say that a medicine is still in the birds, also where no day is planned yet."""
    if any(f.code == "lot.withdrawal" for f in findings):
        return ()
    found = withdrawal_alert(book.life, today)
    return tuple(replace(f, code="lot.withdrawal_runs", severity=Severity.CHECK) for f in found)


def _target(
    row: LotView, days: Sequence[tuple[int, dt.date]], *, today: dt.date
) -> tuple[dt.date | None, str]:
    if days:
        return days[0][1], _("the day planned")
    if row.plan_on:
        return row.plan_on, _("the day you have in mind")
    if row.hatched is None:
        return None, ""
    age = USUAL_AGE_D.get((row.species, row.build), _OTHER_AGE_D)
    usual = row.hatched + dt.timedelta(days=age)
    return max(usual, today), _("{n} days old, where you chose no day").format(n=age)


def open_signs(book: LotBook, *, today: dt.date) -> tuple[str, ...]:
    """Return signs of sickness written down and not cleared since."""
    found: dict[str, None] = {}
    for one in book.standing:
        if one.kind == "cleared":
            found.clear()
        elif one.kind == "signs" and (today - one.on).days <= _SIGNS_LAST_D:
            found.update(dict.fromkeys(one.kept["signs"]))
    return tuple(found)


def look(now: LotNow, on: dt.date) -> Outlook | None:
    """Say what a lot weighs on a day, today or later; None for a kind without a curve."""
    if now.seen is None or now.age_d is None:
        return None
    age = (on - now.book.life.hatched_on).days
    if not 1 <= age <= _OLDEST_D:
        return None
    live = forecast([now.seen], float(age))
    basis = weight_basis(now)
    dressed = dressed_kg = dressed90 = None
    dressing = now.numbers.dressing
    if dressing is not None:
        dressed = dressed_weights(live, dressing, off_feed_s=OFF_FEED_S)
        dressed_kg = _birds(dressed, dressing.basis)
        dressed90 = _ends(dressed, 0.90)
    alive = survival(max(age, now.age_d), setting_of(now.row))
    heads = now.heads * float(alive[age] / alive[now.age_d]) if age > now.age_d else now.heads
    return Outlook(
        on,
        age,
        live,
        dressed,
        float(heads),
        _birds(live, basis),
        _ends(live, 0.90),
        dressed_kg,
        dressed90,
        1.2815515655446004 * float(live.unsure_frac[0]),
        basis,
    )


def _ends(weights: Weights, holds: float) -> tuple[float, float]:
    low, high = band_kg(weights, holds)
    return float(low[0]), float(high[0])


def _birds(weights: Weights, basis: Basis) -> Estimate:
    low, high = _ends(weights, 0.80)
    mean = float(weights.mean_kg[0])
    return Estimate(mean, min(low, mean), max(high, mean), basis)


def weight_basis(now: LotNow) -> Basis:
    """Say in words what a lot's weights rest on."""
    table = now.curve.title if now.curve else ""
    if now.samples:
        last = now.samples[-1]
        birds = sum(s.birds for s in now.samples)
        note = ngettext(
            "{n} bird weighed, the last at {age} days, and the table “{table}”",
            "{n} birds weighed, the last at {age} days, and the table “{table}”",
            birds,
        ).format(n=birds, age=round(last.age_d), table=table)
        return Basis(Origin.OWN, note, "measured")
    if now.numbers.growth_lots:
        note = _("{lots}, and the table “{table}”; not weighed yet").format(
            lots=now.numbers.ratio.basis.note, table=table
        )
        return Basis(Origin.OWN, note, "measured")
    note = _("only the table “{table}”; not weighed yet").format(table=table)
    return Basis(Origin.HANDBOOK, note, now.curve.basis.status if now.curve else "")


def detail(
    code: str,
    *,
    dates: Sequence[dt.date] = (),
    edges_kg: Sequence[float] | None = None,
) -> LotDetail:
    """Return one lot with everything its page shows.

    Raises
    ------
    RecordNotFoundError
        If there is no such lot.
    InputError
        If size classes do not rise.
    """
    now = lot_now(code)
    known = pens()
    chosen = sorted({*dates, *([now.target_on] if now.target_on else [])})
    looks = tuple(one for one in (look(now, on) for on in chosen if on >= now.today) if one)
    edges: tuple[float, ...] = ()
    classes: tuple[ClassCount, ...] = ()
    last = looks[-1] if looks else now.outlook
    if last is not None and last.dressed is not None and now.heads > 0:
        middle = float(last.dressed.mean_kg[0])
        edges = usual_edges(middle) if edges_kg is None else tuple(edges_kg)
        classes = tuple(size_classes(last.dressed, edges, birds=max(round(last.heads), 1)))
    standing = now.stage == "standing" and now.age_d is not None and now.heads > 0
    feed = feed_so_far(now.book.life, now.seen, now.today) if now.seen else None
    weigh, bought = _weighing(now) if standing else (None, ())
    return LotDetail(
        now,
        looks,
        classes,
        edges,
        feed if feed and feed.delivered_kg > 0 else None,
        feed_ahead(now) if standing else None,
        _water_today(now) if standing else None,
        _room(now, known),
        ground_now(now.book.life, now.seen, known, today=now.today) if standing else None,
        weigh,
        bought,
    )


def usual_edges(middle_kg: float) -> tuple[float, ...]:
    """Return round edges between three size classes about a mean: half a pound either way."""
    half = round(middle_kg / KG_PER_LB * 2) / 2
    low, high = max(half - 0.5, 0.5), half + 0.5
    return low * KG_PER_LB, high * KG_PER_LB


def _species(now: LotNow) -> Species:
    return now.curve.species if now.curve else "chicken"


def feed_ahead(now: LotNow) -> FeedPlan | None:
    """Return the feed still needed until the target day, by phase."""
    if now.seen is None or now.age_d is None or now.target_on is None or now.age_d < 0:
        return None
    last = (now.target_on - now.book.life.hatched_on).days
    if not now.age_d < last <= _OLDEST_D or last < 1:
        return None
    alive = survival(last, setting_of(now.row))
    birds = np.zeros(last)
    birds[now.age_d :] = now.heads * alive[now.age_d : last] / alive[now.age_d]
    return feed_plan(growth_path(now.seen, last), birds, _species(now), from_d=now.age_d)


def _water_today(now: LotNow) -> Estimate | None:
    if now.seen is None or now.age_d is None or now.age_d < 1:
        return None
    path = growth_path(now.seen, now.age_d + 1)[now.age_d :]
    return feed_plan(path, [float(now.heads)], _species(now)).water_total_m3


def _weighing(now: LotNow) -> tuple[WeighPlan | None, tuple[Bought, ...]]:
    if now.outlook is None:
        return None, ()
    cv = float(now.outlook.live.cv[0])
    ahead = max((now.target_on - now.today).days, 0) if now.target_on else 14
    plan = birds_to_weigh(cv, WEIGH_ERROR, flock=now.heads)
    return plan, what_weighing_buys(cv, ahead_d=float(ahead))


def _todo(now: LotNow) -> tuple[str, ...]:
    """List what this lot needs from somebody, the most pressing first."""
    found = [f.sentence for f in now.findings if f.severity is Severity.STOP]
    if now.stage == "ordered":
        orders = now.book.kept("ordered")
        if orders:
            found.append(_("Chicks come on {day}: warm the brooder the day before.").format(
                day=date_text(dt.date.fromisoformat(orders[-1].kept["arrive_on"]))))  # fmt: skip
        return tuple(found)
    if now.stage == "finished" or now.age_d is None:
        return tuple(found)
    found += [f.sentence for f in now.findings if f.severity is Severity.CHECK]
    since = now.age_d - (now.samples[-1].age_d if now.samples else 0)
    if now.age_d >= _WEIGH_FROM_D and since >= _WEIGH_EVERY_D and now.seen is not None:
        plan, _bought = _weighing(now)
        if plan is not None:
            found.append(
                ngettext("Weigh {n} bird.", "Weigh {n} birds.", plan.birds).format(n=plan.birds)
            )
    kinds = {pen.name: pen for pen in pens()}
    found += _room_todo(now, kinds)
    if not now.planned and now.target_on and (now.target_on - now.today).days <= 14:  # noqa: PLR2004 - two weeks
        found.append(_("Plan a processing day."))
    return tuple(found)


def _room(now: LotNow, known: Sequence[PenView]) -> RoomNow:
    hatched = now.book.life.hatched_on
    return room_now(now.row, now.pens, known, age_d=now.age_d, hatched_on=hatched)


def _room_todo(now: LotNow, kinds: dict[str, PenView]) -> list[str]:
    room = _room(now, tuple(kinds.values()))
    if room.brooder_out_on and room.brooder_out_on <= now.today and room.in_brooder:
        return [_("Move them out of the brooder.")]
    return [
        _("{pen} is too small for them now.").format(pen=pen.name) for pen in room.pens if pen.short
    ]
