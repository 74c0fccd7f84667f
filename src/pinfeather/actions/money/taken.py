"""What the other records know about money, so that nobody types it twice.

Feed comes from the lots' feed books, ice and propane from the plans of closed days, own hours from
who was there until the journal's last line, bags from the packages, sales and deposits from the
store. Each is turned into a cost only where a price to reckon with was written, and gives way to a
cost of the same kind for the same birds that somebody wrote.
"""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable, Mapping
from decimal import Decimal
from fractions import Fraction
from typing import Any, Final

from django.db.models import Max

from pinfeather import clock
from pinfeather.actions.day import days
from pinfeather.actions.farm import farm
from pinfeather.actions.flock import books as flocks
from pinfeather.actions.flock import days as flock_days
from pinfeather.actions.money.book import MoneyBook, price
from pinfeather.actions.stock.tables import catch_up
from pinfeather.flock.balance import head_balance
from pinfeather.flock.lot import Arrived
from pinfeather.money.cents import half_up, share_out
from pinfeather.money.entries import Batch, CostEntry, Driver, Kind, Scope, labour_cents
from pinfeather.money.income import Event, Income
from pinfeather.packs.stock import IN_STOCK
from pinfeather.records import models
from pinfeather.units import KG_PER_LB
from pinfeather.words import gettext as _
from pinfeather.words import ngettext

_LB: Final = Decimal(str(KG_PER_LB))
_PHASES: Final = ("starter", "grower", "finisher")
_FAR: Final = dt.date(9999, 12, 31)
"""The day that birds still alive stand under."""


def _pounds(mass_kg: float) -> Decimal:
    return (Decimal(repr(mass_kg)) / _LB).quantize(Decimal("0.01"))


def batches(books: Iterable[flocks.LotBook]) -> tuple[Batch, ...]:
    """Return the birds dressed, by lot and day, and those of the same lots still alive.

    Birds are those that were packed; the lot's dead are carried by all its living, dressed or not.
    """
    packed = _packed()
    found = []
    for book in books:
        days_of = {on: got for (lot, on), got in packed.items() if lot == book.row.code}
        balance = head_balance(book.life)
        alive = max(balance.heads, 0)
        birds = [got[0] for got in days_of.values()]
        if not any(birds):
            continue
        started = sum(e.ordered + e.spares for e in book.life.events if isinstance(e, Arrived))
        sold = balance.sold
        dead = max(0, started - sold - alive - sum(birds))
        share = share_out(dead, [*birds, alive])
        for (on, (count, pounds)), lost in zip(days_of.items(), share, strict=False):
            found.append(Batch(book.row.code, book.row.species, on, count + lost, count, pounds))
        if alive:
            placed = alive + share[-1]
            found.append(
                Batch(book.row.code, book.row.species, _FAR, placed, alive, 0, outside=True)
            )
    return tuple(found)


def _packed() -> dict[tuple[str, dt.date], tuple[int, Decimal]]:
    """Add up the packages by lot and processing day."""
    catch_up()
    sums: dict[tuple[str, dt.date], list[Any]] = defaultdict(lambda: [0, Decimal(0)])
    rows = models.Pack.objects.filter(void=False).values_list("lot", "day__date", "birds", "net_lb")
    for lot, on, birds, net in rows:
        if lot:
            sums[lot, on][0] += birds
            sums[lot, on][1] += Decimal(net)
    return {key: (value[0], value[1]) for key, value in sorted(sums.items())}


def held_lb(by_hand: Iterable[Income] = ()) -> dict[tuple[str, dt.date], Decimal]:
    """Return the pounds in store, by lot and processing day.

    What somebody wrote down as sold without the store's book goes off the lot's oldest day first.
    """
    catch_up()
    found: dict[tuple[str, dt.date], Decimal] = defaultdict(Decimal)
    rows = models.Pack.objects.filter(void=False, state=IN_STOCK)
    for lot, on, net in rows.values_list("lot", "day__date", "net_lb"):
        if lot:
            found[lot, on] += Decimal(net)
    for one in by_hand:
        gone = Decimal(str(one.sold_lb)) * (-1 if one.event is Event.RETURN else 1)
        for key in sorted(key for key in found if key[0] == one.lot):
            part = max(min(gone, found[key]), Decimal(0))
            found[key] -= part
            gone -= part
    return dict(found)


def taken_costs(book: MoneyBook, books: Iterable[flocks.LotBook]) -> tuple[CostEntry, ...]:
    """Return the costs that other records know, each with how it was reckoned."""
    made = [*_feed(book, books), *_days(book), *_bags(book)]
    typed = {(one.kind, one.scope, one.of) for one in book.costs}
    return tuple(one for one in made if (one.kind, one.scope, one.of) not in typed)


def _feed(book: MoneyBook, books: Iterable[flocks.LotBook]) -> list[CostEntry]:
    found = []
    for lot in books:
        for one in lot.kept("feed"):
            name = str(one.kept.get("feed", ""))
            rate = book.rate("feed", one.on, feed=name)
            if rate is None:
                continue
            pounds = _pounds(one.kept["mass_kg"])
            phase = next((p for p in _PHASES if p in name.casefold()), "")
            found.append(
                CostEntry(
                    f"feed:{one.id}",
                    one.on,
                    Kind.FEED,
                    half_up(pounds * rate),
                    Scope.LOT,
                    lot.row.code,
                    what=name,
                    phase=phase,
                    basis=_("the lot’s feed book: {amount} at {price} a pound").format(
                        amount=one.kept["mass"], price=price(rate)
                    ),
                )
            )
    return found


def _days(book: MoneyBook) -> list[CostEntry]:
    """Return ice, propane and own hours of closed days."""
    found = []
    zone = clock.zone(farm().zone)
    last = dict(
        models.Entry.objects.filter(day__isnull=False)
        .exclude(kind__in=("close", "correction"))
        .values_list("day")
        .annotate(Max("device_time"))
    )
    for took in flock_days.taken():
        view = days.day(took.id)
        of = took.on.isoformat()
        for what, kind, kg in (
            ("ice", Kind.ICE, view.plan.ice_kg),
            ("propane", Kind.PROPANE, view.plan.scald.propane_kg),
        ):
            rate = book.rate(what, took.on)
            if rate is None or kg <= 0:
                continue
            pounds = _pounds(kg)
            found.append(
                CostEntry(
                    f"{what}:{took.id}",
                    took.on,
                    kind,
                    half_up(pounds * rate),
                    Scope.DAY,
                    of,
                    by=Driver.POUNDS if what == "ice" else Driver.BIRDS,
                    basis=_("the day’s plan: {amount:.0f} lb at {price} a pound").format(
                        amount=pounds, price=price(rate)
                    ),
                )
            )
        wage = book.rate("wage", took.on)
        ended = last.get(took.id)
        if wage is not None and ended is not None:
            hours = _hours(view.request.people, ended.astimezone(zone), took.on)
            people = len(view.request.people)
            found.append(
                CostEntry(
                    f"hours:{took.id}",
                    took.on,
                    Kind.OWN_LABOUR,
                    labour_cents(hours, half_up(wage)),
                    Scope.DAY,
                    of,
                    hours=hours,
                    basis=ngettext(
                        "{n} person from the plan’s beginning to the journal’s last line:"
                        " {hours} h at {wage}",
                        "{n} people from the plan’s beginning to the journal’s last line:"
                        " {hours} h at {wage}",
                        people,
                    ).format(n=people, hours=round(float(hours), 1), wage=price(wage)),
                )
            )
    return found


def _hours(people: Iterable[Any], ended: dt.datetime, on: dt.date) -> Fraction:
    """Add up who was there, until the last line of the journal, breaks left out."""
    last = ended.hour * 60 + ended.minute if ended.date() == on else 24 * 60
    total = 0
    for one in people:
        begin, end = _minutes(one.begins), min(_minutes(one.ends), last)
        breaks = sum(max(0, min(_minutes(b), end) - max(_minutes(a), begin)) for a, b in one.breaks)
        total += max(0, end - begin - breaks)
    return Fraction(total, 60)


def _minutes(time: dt.time) -> int:
    return time.hour * 60 + time.minute


def _bags(book: MoneyBook) -> list[CostEntry]:
    catch_up()
    counts: dict[dt.date, int] = defaultdict(int)
    for on in models.Pack.objects.filter(void=False).values_list("day__date", flat=True):
        counts[on] += 1
    found = []
    for on, number in sorted(counts.items()):
        rate = book.rate("bag", on)
        if rate is not None:
            found.append(
                CostEntry(
                    f"bags:{on.isoformat()}",
                    on,
                    Kind.PACKAGING,
                    half_up(number * rate),
                    Scope.DAY,
                    on.isoformat(),
                    basis=_("{n} packages at {price}").format(n=number, price=price(rate)),
                )
            )
    return found


def taken_income() -> tuple[Income, ...]:
    """Return sales, what was brought back, and deposits, as the store wrote them."""
    zone = clock.zone(farm().zone)
    lot_of = dict(models.Pack.objects.values_list("package", "lot"))
    rows = list(models.Entry.objects.filter(kind__in=("sale", "refund", "deposit")).order_by("seq"))
    sold: dict[str, Mapping[str, Mapping[str, Any]]] = {}
    found: list[Income] = []
    for row in rows:
        on = row.device_time.astimezone(zone).date()
        kept = row.payload
        if row.kind == "sale":
            lines = {one["package"]: one for one in kept["lines"]}
            sold[row.client_id] = lines
            found.extend(_sale(row.client_id, on, kept, lot_of=lot_of))
        elif row.kind == "refund":
            back = [sold.get(kept["sale"], {}).get(ident) for ident in kept["packages"]]
            found.extend(_brought_back(row.client_id, on, back, lot_of=lot_of))
        else:
            event = {"taken": Event.DEPOSIT, "kept": Event.KEPT}.get(kept["act"], Event.REFUND)
            found += _one(row.client_id, on, event, cents=_cents(kept["amount"]))
    return tuple(found)


def _cents(amount: object) -> int:
    return half_up(Decimal(str(amount)) * 100)


def _one(ident: str, on: dt.date, event: Event, *, cents: int) -> list[Income]:
    if cents <= 0:
        return []
    return [Income(ident, on, event, cents, basis=_("the store’s book"))]


def _by_lot(
    lines: Iterable[Mapping[str, Any]], lot_of: Mapping[str, str]
) -> dict[str, tuple[int, Decimal]]:
    sums: dict[str, tuple[int, Decimal]] = {}
    for one in lines:
        lot = lot_of.get(one["package"], "")
        cents, pounds = sums.get(lot, (0, Decimal(0)))
        sums[lot] = (cents + _cents(one["total"]), pounds + Decimal(one["net_lb"]))
    return {lot: both for lot, both in sums.items() if both[0] > 0}


def _sale(
    ident: str, on: dt.date, kept: Mapping[str, Any], *, lot_of: Mapping[str, str]
) -> list[Income]:
    lots = _by_lot(kept["lines"], lot_of)
    if not lots:
        return []
    from_deposit = min(_cents(kept.get("from_deposit", "0")), sum(c for c, _lb in lots.values()))
    shares = share_out(from_deposit, [cents for cents, _pounds in lots.values()])
    found = [
        Income(
            f"{ident}:{lot}",
            on,
            Event.SALE,
            cents,
            min(part, cents),
            lot=lot,
            what=_("sale {n}").format(n=kept["number"]),
            sold_lb=pounds,
            basis=_("the store’s book"),
        )
        for (lot, (cents, pounds)), part in zip(lots.items(), shares, strict=True)
    ]
    return found + _one(
        f"{ident}:back", on, Event.REFUND, cents=_cents(kept.get("deposit_back", "0"))
    )


def _brought_back(
    ident: str, on: dt.date, lines: Iterable[Mapping[str, Any] | None], *, lot_of: Mapping[str, str]
) -> list[Income]:
    lots = _by_lot([one for one in lines if one is not None], lot_of)
    return [
        Income(
            f"{ident}:{lot}", on, Event.RETURN, cents, lot=lot, sold_lb=pounds,
            basis=_("the store’s book"),
        )
        for lot, (cents, pounds) in lots.items()
    ]  # fmt: skip
