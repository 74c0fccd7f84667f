"""How every package stands, worked out from the journal entry by entry.

The journal is the truth. The tables behind :class:`Pkg` can be worked out again from nothing; they
only make the answer quick after twenty years.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any, Final

from django.db import connection

from pinfeather.actions.day import days
from pinfeather.actions.desk import packing
from pinfeather.day.events import Event
from pinfeather.day.progress import progress
from pinfeather.finding import Finding
from pinfeather.packs.stock import IN_STOCK, Born, Kept, StockEvent, step
from pinfeather.records import models
from pinfeather.records.writing import writing

KINDS: Final = ("package", "stock", "sale", "refund", "correction")
"""Kinds of journal entry the ledger is made of."""
LONGEST_ID: Final = 40
_MARK: Final = "stock"


@dataclass(frozen=True, slots=True)
class Pkg:
    """A package as pages see it."""

    id: str
    day: int
    price_per_lb: str
    total: str
    birds: int
    lot: str
    tank: str
    void: bool
    kept: Kept

    @property
    def number(self) -> int:
        """Its number on its day."""
        return self.kept.born.number

    @property
    def code(self) -> str:
        """Day and number, short enough to type: ``12-7``."""
        return f"{self.day}-{self.kept.born.number}"

    @property
    def product(self) -> str:
        """What is in it."""
        return self.kept.born.product

    @property
    def net_lb(self) -> Decimal:
        """Printed net weight [lb]."""
        return self.kept.born.net_lb

    @property
    def lot_code(self) -> str:
        """As printed."""
        return self.kept.born.lot_code

    @property
    def packed_on(self) -> dt.date:
        """Day of packing."""
        return self.kept.born.packed_on


def stock_events(kind: str, payload: Mapping[str, Any], **stamp: Any) -> tuple[StockEvent, ...]:  # noqa: ANN401 - seq, who, at
    """Return what a journal entry does to packages; a refund may do two things."""
    ids = tuple(str(one) for one in payload.get("packages", ()))
    common: dict[str, Any] = {
        "packages": ids,
        "place": str(payload.get("place", "")),
        "order": str(payload.get("order", "")),
        "sale": str(payload.get("sale", "")),
        "reason": str(payload.get("reason", "")),
        **stamp,
    }
    if kind == "sale":
        return (StockEvent(act="sold", **common),)
    if kind == "refund":
        back = StockEvent(act="returned", **common)
        return (back, StockEvent(act="wasted", **common)) if payload.get("bin") else (back,)
    return (StockEvent(act=str(payload.get("act", "")), **common),) if kind == "stock" else ()


def catch_up() -> tuple[Finding, ...]:
    """Work the tables out as far as the journal goes; return what did not fit."""
    mark = _seq()
    newer = models.Entry.objects.filter(seq__gt=mark, kind__in=KINDS)
    if not newer.exists():
        return ()
    found: list[Finding] = []
    with writing():
        mark = _seq()
        views: dict[int, days.DayView] = {}
        again: set[str] = set()
        last = mark
        block: list[models.Entry] = []
        for entry in newer.filter(seq__gt=mark).order_by("seq").iterator():
            last = entry.seq
            if entry.kind == "correction":
                again |= _touched(str(entry.payload.get("of", "")))
            else:
                block.append(entry)
        _write_born(block, views)
        found.extend(_write_events(block))
        for package in sorted(again):
            found.extend(_work_out_again(package))
        models.WorkedOut.objects.update_or_create(name=_MARK, defaults={"seq": last})
    return tuple(found)


def _seq() -> int:
    row = models.WorkedOut.objects.filter(name=_MARK).values_list("seq", flat=True).first()
    return row or 0


def _write_born(entries: Sequence[models.Entry], views: dict[int, days.DayView]) -> None:
    rows, sources = [], []
    for entry in entries:
        if entry.kind != "package" or entry.day_id is None:
            continue
        day = views.get(entry.day_id) or days.day(entry.day_id)
        views[entry.day_id] = day
        (package,) = progress([as_event(entry)]).packages
        rows.append(
            models.Pack(
                package=entry.client_id,
                seq=entry.seq,
                day_id=entry.day_id,
                number=package.number,
                product=package.product[:80],
                net_lb=package.net_lb,
                price_per_lb=package.price_per_lb,
                total=package.total,
                birds=package.birds,
                lot=package.lot[:40],
                tank=package.tank[:40],
                lot_code=packing.lot_code(day, package)[:500],
                packed_on=day.date,
            )
        )
        pairs = [(package.lot, package.tank), *((s.lot, s.tank) for s in package.sources)]
        sources += [
            models.PackSource(
                package=entry.client_id, day_id=entry.day_id, lot=lot[:40], tank=tank[:40]
            )
            for lot, tank in dict.fromkeys(pairs)
        ]
    models.Pack.objects.bulk_create(rows, batch_size=500)
    models.PackSource.objects.bulk_create(sources, batch_size=500)


def as_event(entry: models.Entry) -> Event:
    """Return a journal entry as the day reads it, its time on the farm computer's clock."""
    at = entry.device_time + dt.timedelta(seconds=entry.skew_s)
    return Event(entry.seq, entry.client_id, entry.kind, entry.payload, entry.who, at)


def events_of(entry: models.Entry) -> tuple[StockEvent, ...]:
    """Return what a journal entry does to packages, with who and when."""
    stamp = {"seq": entry.seq, "who": entry.who, "at": as_event(entry).at}
    payload = entry.payload
    if entry.kind == "sale":
        payload = {**payload, "sale": entry.client_id}
    return stock_events(entry.kind, payload, **stamp)


def _write_events(entries: Sequence[models.Entry]) -> list[Finding]:
    told = [(entry, event) for entry in entries for event in events_of(entry)]
    ids = {ident for _entry, event in told for ident in event.packages}
    kept = {ident: package.kept for ident, package in packages(ids).items()}
    before = dict(kept)
    found: list[Finding] = []
    links = {}
    for entry, event in told:
        found.extend(step(kept, event))
        links.update(
            {
                (ident, entry.seq): models.PackEvent(package=ident[:LONGEST_ID], seq=entry.seq)
                for ident in event.packages
            }
        )
    models.PackEvent.objects.bulk_create(links.values(), batch_size=500, ignore_conflicts=True)
    _save({ident: one for ident, one in kept.items() if one != before[ident]})
    return found


def _save(kept: Mapping[str, Kept]) -> None:
    """Write how packages stand; one statement for each, which is quickest for many."""
    rows = [
        (one.state, one.place[:40], one.order[:20], one.sale[:40], one.held[:400], ident)
        for ident, one in kept.items()
    ]
    if not rows:
        return
    table = connection.ops.quote_name(models.Pack._meta.db_table)
    names = ("state", "place", "order", "sale", "held")
    columns = ", ".join(f"{connection.ops.quote_name(name)} = %s" for name in names)
    with connection.cursor() as cursor:
        cursor.executemany(f"UPDATE {table} SET {columns} WHERE package = %s", rows)  # noqa: S608 - names of ours


def _touched(ident: str) -> set[str]:
    """Return the packages a corrected entry was about; a corrected correction, its target's."""
    for _round in range(20):
        entry = models.Entry.objects.filter(client_id=ident, kind__in=KINDS).first()
        if entry is None:
            return set()
        if entry.kind == "package":
            return {entry.client_id}
        if entry.kind != "correction":
            return set(map(str, entry.payload.get("packages", ())))
        ident = str(entry.payload.get("of", ""))
    return set()


def _work_out_again(ident: str) -> list[Finding]:
    """Tell one package's story from its birth, without what was taken back."""
    row = models.Pack.objects.filter(pk=ident).first()
    if row is None:
        return []
    seqs = models.PackEvent.objects.filter(package=ident).values_list("seq", flat=True)
    entries = list(models.Entry.objects.filter(seq__in=[row.seq, *seqs]).order_by("seq"))
    gone = taken_back()
    row.void = row.package in gone
    row.state, row.place, row.order, row.sale, row.held = IN_STOCK, "", "", "", ""
    row.save()
    kept = {ident: view(row).kept}
    found: list[Finding] = []
    for entry in entries:
        if entry.client_id not in gone:
            for event in events_of(entry):
                found.extend(step(kept, _only(event, ident)))
    _save(kept)
    return found


def _only(event: StockEvent, ident: str) -> StockEvent:
    return StockEvent(
        event.seq, event.act, (ident,), place=event.place, order=event.order, sale=event.sale,
        reason=event.reason, who=event.who, at=event.at,
    )  # fmt: skip


def taken_back() -> set[str]:
    """Return every entry that no longer stands; a correction taken back takes nothing back."""
    found: set[str] = set()
    corrections = models.Entry.objects.filter(kind="correction").order_by("-seq")
    for client_id, payload in corrections.values_list("client_id", "payload"):
        if client_id not in found:
            found.add(str(payload.get("of")))
    return found


def rebuild() -> tuple[Finding, ...]:
    """Throw the worked-out tables away and work them out again from the journal."""
    with writing():
        models.PackEvent.objects.all().delete()
        models.PackSource.objects.all().delete()
        models.Pack.objects.all().delete()
        models.WorkedOut.objects.filter(name=_MARK).delete()
        return catch_up()


def view(row: models.Pack) -> Pkg:
    """Return a row of the table as a package."""
    born = Born(
        row.package, row.number, row.product, Decimal(row.net_lb), row.lot_code, row.packed_on
    )
    kept = Kept(
        born, state=row.state, place=row.place, order=row.order, sale=row.sale, held=row.held
    )
    return Pkg(
        row.package, row.day_id, row.price_per_lb, row.total, row.birds, row.lot, row.tank,
        row.void, kept,
    )  # fmt: skip


def packages(ids: Iterable[str]) -> dict[str, Pkg]:
    """Return packages by their ids, those that were taken back left out."""
    found: dict[str, Pkg] = {}
    wanted = sorted(set(ids))
    for start in range(0, len(wanted), 5000):
        rows = models.Pack.objects.filter(pk__in=wanted[start : start + 5000], void=False)
        found.update({row.package: view(row) for row in rows})
    return found
