"""What is wrong with a standing lot: weight, feed, losses, medicine."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Collection, Sequence
from dataclasses import replace
from typing import Final

import numpy as np

from pinfeather.errors import InputError
from pinfeather.finding import Finding, Severity, by_severity
from pinfeather.flock.balance import head_balance, heads_on
from pinfeather.flock.feed import daily_feed_kg
from pinfeather.flock.forecast import Seen, forecast, growth_path, samples_of
from pinfeather.flock.losses import Setting, loss_band
from pinfeather.flock.lot import Life, Lost, Medicated, daily_losses, feed_eaten_kg
from pinfeather.flock.tables import table
from pinfeather.words import date_text
from pinfeather.words import gettext as _

_Z90: Final = 1.645
_BEHIND_TABLE: Final = 0.15
"""Below the table by this much counts without earlier weighings. Assumed: breeds differ too."""
_FEED_OFF: Final = (0.85, 1.20)
"""Feed over what the weights explain. Assumed: twice the error of the intake formula."""
_DAY_SHARE: Final = 0.01
_USUAL_CV: Final = 0.12
_HOTLINE: Final = "1-866-536-7593"


def stop_text() -> str:
    """Return what to do when birds may have a disease that must be reported.

    Returns
    -------
    str
        In words.

    References
    ----------
    USDA Animal and Plant Health Inspection Service: report to the state veterinarian or
    1-866-536-7593.
    """
    return _(
        "Stop. Move no birds, people, crates or vehicles off the farm, slaughter nothing, and call"
        " the state veterinarian or USDA at {phone} now."
    ).format(phone=_HOTLINE)


def signs() -> dict[str, str]:
    """Return the signs of sickness to ask for, by code.

    Returns
    -------
    dict of str to str
        In words.

    References
    ----------
    USDA Animal and Plant Health Inspection Service, signs of highly pathogenic avian influenza.
    """
    return {code: _(words) for code, words in table("losses")["signs"]["words"].items()}


def loss_alerts(
    life: Life, on: dt.date, *, setting: Setting = "usual", seen_signs: Collection[str] = ()
) -> tuple[Finding, ...]:
    """Compare the losses of a lot with what is usual, and say when to call.

    Parameters
    ----------
    life : Life
        The lot.
    on : datetime.date
        Today.
    setting : str
        ``"usual"`` or ``"pasture"``.
    seen_signs : collection of str
        Codes from :func:`signs` seen on any bird.

    Returns
    -------
    tuple of Finding
        STOP where signs fit, or more than 1 % and at least two birds died in a day; CHECK where
        losses are above the band.

    Raises
    ------
    InputError
        If a sign is unknown.

    References
    ----------
    USDA APHIS signs; Michigan trigger (two or more dead within 24 hours with others ill); expected
    losses as in :func:`pinfeather.flock.losses.loss_band`.
    """
    known = signs()
    for sign in seen_signs:
        if sign not in known:
            raise InputError("seen_signs", sign, _("Choose one of: {names}.").format(
                names=", ".join(known)))  # fmt: skip
    balance = head_balance(life)
    before = heads_on(balance, on - dt.timedelta(days=1))
    # taken by a predator or in an accident is explained; everything else is not
    explained = {"predator", "accident", "weather", "culled", "missing"}
    today = sum(
        e.heads for e in life.events
        if isinstance(e, Lost) and e.on == on and e.cause.value not in explained
    )  # fmt: skip
    found = []
    trigger = table("losses")["trigger"]
    share = today / before if before else 0.0
    early = (on - life.hatched_on).days <= 7 and not seen_signs  # noqa: PLR2004 - first week
    if seen_signs or (today >= trigger["deaths"] and share > _DAY_SHARE and not early):
        what = [known[s] for s in seen_signs]
        if today >= trigger["deaths"]:
            what.insert(0, _("{n} dead today").format(n=today))
        found.append(
            Finding(
                "lot.sick",
                Severity.STOP,
                _("{lot}: {what}.").format(lot=life.name, what=", ".join(what)),
                stop_text(),
                where=life.name,
                measured=share,
                limit=_DAY_SHARE,
                unit="1",
                citation=table("losses")["signs"]["citation"],
                status="read",
            )
        )
    age = (on - life.hatched_on).days
    if age >= 1 and balance.arrived > 0:
        first = balance.days[0].on
        start = max((first - life.hatched_on).days, 0)
        lost = sum(daily_losses(life, on))
        band = loss_band(balance.arrived, max(age, start), setting, from_d=start)
        if lost > band.high:
            found.append(
                Finding(
                    "lot.losses",
                    Severity.STOP if lost > band.alarm and not early else Severity.CHECK,
                    _("{lot}: {n} lost by day {age}; {low} to {high} would be usual.").format(
                        lot=life.name, n=lost, age=age, low=band.low, high=band.high
                    ),
                    _(
                        "Find the cause: heat under the hover, water, feed, draught, predators. If"
                        " you cannot name it, call your veterinarian; do not slaughter a sick lot."
                    ),
                    where=life.name,
                    measured=lost,
                    limit=band.high,
                    unit="birds",
                    citation=band.basis.note,
                    status=band.basis.status,
                )
            )
    return tuple(found)


def weight_alert(seen: Seen, name: str = "") -> tuple[Finding, ...]:
    """Say whether the latest weighing is behind what was to be expected.

    Parameters
    ----------
    seen : Seen
        What is known of the lot, with its weighings.
    name : str
        The lot.

    Returns
    -------
    tuple of Finding
        CHECK where the mean is below the forecast from earlier weighings by more than its 90 %
        band, or without those 15 % below the table.

    References
    ----------
    Derivation: :func:`pinfeather.flock.forecast.forecast` from all but the last weighing.
    """
    ordered = sorted(seen.samples, key=lambda s: s.age_d)
    if not ordered or (seen.curve is None and len(ordered) == 1):
        return ()
    last, earlier = ordered[-1], tuple(ordered[:-1])
    expected = forecast([replace(seen, samples=earlier)], last.age_d)
    mean = float(expected.mean_kg[0])
    drawn = (last.cv or _USUAL_CV) / math.sqrt(last.birds)
    allowed = _BEHIND_TABLE
    if earlier:
        allowed = _Z90 * math.hypot(float(expected.unsure_frac[0]), drawn)
    short = 1 - last.mean_kg / mean
    if short <= allowed:
        return ()
    basis = _("earlier weighings") if earlier else _("the table")
    return (
        Finding(
            "lot.behind",
            Severity.CHECK,
            _("{lot}: {short:.0f} % lighter at {age:.0f} days than {basis} say.").format(
                lot=name or _("The lot"), short=100 * short, age=last.age_d, basis=basis
            ),
            _("Look at feed and water space, heat, crowding and health, and weigh again."),
            where=name,
            measured=last.mean_kg,
            limit=mean * (1 - allowed),
            unit="kg",
        ),
    )


def feed_alert(life: Life, seen: Seen, on: dt.date) -> tuple[Finding, ...]:
    """Say whether a lot ate much more or less than its growth explains.

    Parameters
    ----------
    life : Life
        The lot, with feed and what was left.
    seen : Seen
        With a curve; its weighings make it sharper.
    on : datetime.date
        Day of the last note of feed left, or today.

    Returns
    -------
    tuple of Finding
        CHECK where feed is below 85 % or above 120 % of the formula.

    References
    ----------
    Derivation: :func:`pinfeather.flock.feed.daily_feed_kg` along the lot's growth, times the birds
    there were.
    """
    age = (on - life.hatched_on).days
    eaten = feed_eaten_kg(life, on)
    if age < 7 or eaten <= 0 or seen.curve is None:  # noqa: PLR2004 - too early to tell
        return ()
    balance = head_balance(life)
    birds = np.array(
        [heads_on(balance, life.hatched_on + dt.timedelta(days=d)) for d in range(age)]
    )
    expected = float(daily_feed_kg(growth_path(seen, age), seen.curve.species) @ birds)
    if expected <= 0:
        return ()
    ratio = eaten / expected
    low, high = _FEED_OFF
    if low <= ratio <= high:
        return ()
    why = (
        _("Spilled, wet or stolen feed, rats, cold birds, or feed on hand not counted.")
        if ratio > high
        else _("Empty feeders, sick birds, or a delivery not written down.")
    )
    return (
        Finding(
            "lot.feed",
            Severity.CHECK,
            _("{lot}: feed is {ratio:.2f} times what this growth explains.").format(
                lot=life.name, ratio=ratio
            ),
            why,
            where=life.name,
            measured=eaten,
            limit=expected * (high if ratio > high else low),
            unit="kg",
        ),
    )


def withdrawal_over_on(life: Life) -> dt.date | None:
    """Return the first day a lot may be slaughtered after its medicines.

    Parameters
    ----------
    life : Life
        The lot.

    Returns
    -------
    datetime.date or None
        None where no medicine was given.

    References
    ----------
    The withdrawal period counts whole days after the last dose; the label or the veterinarian
    gives it (21 CFR 558 for feeds).
    """
    ends = [
        e.last_on + dt.timedelta(days=e.withdrawal_d + (1 if e.withdrawal_d else 0))
        for e in life.events
        if isinstance(e, Medicated)
    ]
    return max(ends, default=None)


def withdrawal_alert(life: Life, slaughter_on: dt.date) -> tuple[Finding, ...]:
    """Say whether a lot may be slaughtered on a day after its medicines.

    Parameters
    ----------
    life : Life
        The lot.
    slaughter_on : datetime.date
        The day planned.

    Returns
    -------
    tuple of Finding
        STOP where a withdrawal period has not run out.

    References
    ----------
    21 CFR 558 (medicated feeds); the label or the veterinarian gives the days.
    """
    free = withdrawal_over_on(life)
    if free is None or slaughter_on >= free:
        return ()
    names = sorted({e.medicine for e in life.events if isinstance(e, Medicated)})
    return (
        Finding(
            "lot.withdrawal",
            Severity.STOP,
            _("{lot}: not before {day}; {names} must leave the birds first.").format(
                lot=life.name, day=date_text(free), names=", ".join(names)
            ),
            _("Meat with drug residues may not be sold or eaten. Move the day or ask the vet."),
            where=life.name,
            measured=float((slaughter_on - free).days),
            limit=0,
            unit="d",
            citation="Label of the medicine; 21 CFR 558",
            status="read",
        ),
    )


def alerts(
    life: Life,
    on: dt.date,
    *,
    seen: Seen | None = None,
    setting: Setting = "usual",
    seen_signs: Collection[str] = (),
    slaughter_dates: Sequence[dt.date] = (),
) -> tuple[Finding, ...]:
    """Say everything that is wrong with a standing lot today.

    Parameters
    ----------
    life : Life
        The lot.
    on : datetime.date
        Today.
    seen : Seen or None
        Curve and sexes; its weighings are taken from the life. None leaves weight and feed out.
    setting : str
        ``"usual"`` or ``"pasture"``.
    seen_signs : collection of str
        Codes from :func:`signs` seen on any bird.
    slaughter_dates : sequence of datetime.date
        Days planned.

    Returns
    -------
    tuple of Finding
        The worst first.

    References
    ----------
    Derivation: the alerts above and the balance of heads.
    """
    found = list(head_balance(life).findings)
    found += loss_alerts(life, on, setting=setting, seen_signs=seen_signs)
    if seen is not None:
        upto = tuple(s for s in samples_of(life) if s.age_d <= (on - life.hatched_on).days)
        known = replace(seen, samples=upto)
        found += weight_alert(known, life.name)
        found += feed_alert(life, known, on)
    for day in slaughter_dates:
        found += withdrawal_alert(life, day)
    return by_severity(found)
