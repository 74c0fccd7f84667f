"""What differs between two plans, in words, promises first."""

from __future__ import annotations

from typing import Final

from pinfeather.season.asked import SeasonRequest
from pinfeather.season.plan import Change, Decisions, SeasonPlan
from pinfeather.words import date_text
from pinfeather.words import gettext as _

_BIRDS: Final = 5.0
_SHARE: Final = 0.1
_LESS, _MORE = 0.05, 1.0
"""Birds or kilograms fewer or more that somebody is told of."""


def changes_between(
    request: SeasonRequest, before: Decisions, after: SeasonPlan
) -> tuple[Change, ...]:
    """List what a new plan changes.

    Parameters
    ----------
    request : SeasonRequest
        As of today.
    before : Decisions
        The plan before.
    after : SeasonPlan
        The new one.

    Returns
    -------
    tuple of Change
        Orders, days, lots, batches; only from today on.

    References
    ----------
    Derivation: comparison.
    """
    found = [
        *_orders(request, before, after),
        *_days(request, before, after),
        *_lots(request, before, after),
        *_batches(request, before, after),
    ]
    return tuple(sorted(found, key=lambda change: not change.promise))


def _orders(request: SeasonRequest, before: Decisions, after: SeasonPlan) -> list[Change]:
    given = {key: (birds, mass) for key, birds, mass in before.orders}
    found = []
    for order in after.orders:
        if order.key not in given:
            continue
        birds = order.wanted_birds is not None
        done = sum(
            n if birds else kg
            for key, on, n, kg in before.parts
            if key == order.key and on < request.today
        )
        was = given[order.key][0 if birds else 1] - done
        now = order.given_birds if birds else order.given_kg
        if was - now > _LESS:
            sentence = _("{name}, {date}: {less:.0f} % less than promised. Tell them.").format(
                name=order.name, date=date_text(order.on), less=100 * (was - now) / was
            )
            found.append(Change("order", order.key, promise=True, sentence=sentence))
        elif now - was >= _MORE:
            sentence = _("{name}, {date}: can have more than planned before.").format(
                name=order.name, date=date_text(order.on)
            )
            found.append(Change("order", order.key, promise=False, sentence=sentence))
    return found


def _days(request: SeasonRequest, before: Decisions, after: SeasonPlan) -> list[Change]:
    was, now = {on for on in before.days if on >= request.today}, {day.on for day in after.days}
    called_off = [
        Change(
            "day",
            on.isoformat(),
            promise=True,
            sentence=_("No processing on {date}. Tell the crew.").format(date=date_text(on)),
        )
        for on in sorted(was - now)
    ]
    added = [
        Change(
            "day",
            on.isoformat(),
            promise=True,
            sentence=_("Processing on {date} as well. Ask the crew.").format(date=date_text(on)),
        )
        for on in sorted(now - was)
    ]
    return called_off + added


def _lots(request: SeasonRequest, before: Decisions, after: SeasonPlan) -> list[Change]:
    was = {(kind, hatch): heads for kind, hatch, heads in before.lots}
    now = {(lot.kind, lot.hatch_on): lot for lot in after.lots}
    found = []
    for (kind, hatch), heads in was.items():
        lot = now.get((kind, hatch))
        name = request.kind(kind).name
        date = date_text(hatch)
        if lot is None and hatch >= request.today:
            sentence = _("Do not order the {n} {name} for {date}.").format(
                n=heads, name=name, date=date
            )
            found.append(Change("lot", f"{kind} {date}", promise=False, sentence=sentence))
        elif lot is not None and not lot.standing and lot.heads != heads:
            sentence = _("Order {now} {name} for {date} in place of {was}.").format(
                now=lot.heads, name=name, date=date, was=heads
            )
            found.append(Change("lot", f"{kind} {date}", promise=False, sentence=sentence))
    for (kind, hatch), lot in now.items():
        if (kind, hatch) not in was and not lot.standing:
            sentence = _("Order {n} {name} for {date}.").format(
                n=lot.heads, name=lot.name, date=date_text(hatch)
            )
            found.append(Change("lot", f"{kind} {hatch}", promise=False, sentence=sentence))
    return found


def _batches(request: SeasonRequest, before: Decisions, after: SeasonPlan) -> list[Change]:
    was = {
        (kind, hatch, on): birds for kind, hatch, on, birds in before.batches if on >= request.today
    }
    now = {
        (lot.kind, lot.hatch_on, batch.on): batch.expected
        for lot in after.lots
        for batch in lot.batches
    }
    codes = {(lot.kind, lot.hatch_on): lot.code for lot in after.lots}
    found = []
    for at in sorted(set(was) | set(now), key=lambda key: (key[2], key[1], key[0])):
        a, b = was.get(at, 0.0), now.get(at, 0.0)
        if abs(a - b) < max(_BIRDS, _SHARE * max(a, b)):
            continue
        kind, hatch, on = at
        sentence = _("{date}: {now:.0f} birds of {lot}, not {was:.0f}.").format(
            date=date_text(on),
            now=b,
            was=a,
            lot=codes.get((kind, hatch), f"{request.kind(kind).name} {date_text(hatch)}"),
        )
        found.append(Change("batch", f"{kind} {hatch} {on}", promise=False, sentence=sentence))
    return found
