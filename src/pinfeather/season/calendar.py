"""The dates of a season's plan, in order."""

from __future__ import annotations

from collections import defaultdict

from pinfeather.season.asked import SeasonRequest
from pinfeather.season.plan import CalendarRow, LotPlan, SeasonPlan
from pinfeather.words import date_text
from pinfeather.words import gettext as _


def calendar_of(request: SeasonRequest, plan: SeasonPlan) -> tuple[CalendarRow, ...]:
    """List what has to happen when.

    Parameters
    ----------
    request : SeasonRequest
        The season.
    plan : SeasonPlan
        With lots, days and orders.

    Returns
    -------
    tuple of CalendarRow
        From today on, by date.

    References
    ----------
    Derivation: dates of the plan.
    """
    rows = [row for lot in plan.lots for row in _lot(lot)]
    names = {lot.code: lot.name for lot in plan.lots}
    for day in plan.days:
        detail = ", ".join(
            _("{birds} of {lot} ({name})").format(
                birds=batch.birds, lot=batch.lot, name=names[batch.lot]
            )
            for batch in day.batches
        )
        rows.append(
            CalendarRow(
                f"season/process/{day.on}",
                day.on,
                "process",
                _("Process {birds} birds").format(birds=day.birds),
                detail,
            )
        )
    pickups = defaultdict(list)
    for order in plan.orders:
        if order.given_birds > 0:
            pickups[order.on].append(
                _("{name}: {birds:.0f} birds").format(name=order.name, birds=order.given_birds)
            )
    rows += [
        CalendarRow(f"season/pickup/{on}", on, "pickup", _("Pickup"), "; ".join(names_))
        for on, names_ in pickups.items()
    ]
    rank = ("order", "hatch", "arrive", "out", "process", "pickup")
    return tuple(
        sorted(
            (row for row in rows if row.on >= request.today),
            key=lambda row: (row.on, rank.index(row.what), row.key),
        )
    )


def _lot(lot: LotPlan) -> list[CalendarRow]:
    key = f"{lot.kind} {lot.hatch_on}"
    values = {"lot": lot.code, "name": lot.name, "heads": lot.heads}
    rows = []
    if not lot.standing:
        rows.append(
            CalendarRow(
                f"season/order/{key}",
                lot.order_by,
                "order",
                _("Order {heads} chicks of {name} by today").format(**values),
                _("For lot {lot}, to hatch on {date}").format(
                    lot=lot.code, date=date_text(lot.hatch_on)
                ),
                lot.code,
            )
        )
    where = ", ".join(lot.brooders)
    rows += [
        CalendarRow(
            f"season/hatch/{key}",
            lot.hatch_on,
            "hatch",
            _("Lot {lot} hatches").format(**values),
            lot.name,
            lot.code,
        ),
        CalendarRow(
            f"season/arrive/{key}",
            lot.arrive_on,
            "arrive",
            _("{heads} chicks of lot {lot} arrive").format(**values),
            _("Warm the brooder ({where}) the day before").format(where=where) if where else "",
            lot.code,
        ),
        CalendarRow(
            f"season/out/{key}",
            lot.out_of_brooder_on,
            "out",
            _("Lot {lot} leaves the brooder").format(**values),
            where,
            lot.code,
        ),
    ]
    return rows
