"""The stock ledger over the journal: how packages stand, and who may write what about them."""

from __future__ import annotations

import datetime as dt
import uuid
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Any, Final

from pinfeather import clock
from pinfeather.actions.stock.tables import (
    LONGEST_ID,
    Pkg,
    as_event,
    catch_up,
    events_of,
    packages,
    rebuild,
    stock_events,
    taken_back,
    view,
)
from pinfeather.errors import InputError, InputFaultsError, RecordNotFoundError
from pinfeather.packs.stock import IN_STOCK, Balance, Born, StockEvent, balance, ledger, problem
from pinfeather.records import journal, models
from pinfeather.records.writing import writing
from pinfeather.words import gettext as _

__all__ = ["Pkg", "catch_up", "packages", "rebuild"]
_MOST_AT_ONCE: Final = 2000


def package(ident: str) -> Pkg:
    """Return one package.

    Raises
    ------
    RecordNotFoundError
        If there is none.
    """
    catch_up()
    found = packages([ident]).get(ident)
    if found is None:
        raise RecordNotFoundError(_("There is no such package."))
    return found


def where(**fields: Any) -> tuple[Pkg, ...]:  # noqa: ANN401 - columns of the table
    """Return the packages that have these columns, the oldest first."""
    catch_up()
    return tuple(view(row) for row in models.Pack.objects.filter(void=False, **fields))


def in_stock(*, place: str | None = None) -> tuple[Pkg, ...]:
    """Return what is in the shop, in one place or in all."""
    return where(state=IN_STOCK, **({} if place is None else {"place": place}))


def totals() -> Balance:
    """Return both sides of the ledger: what the journal weighed, and where the tables have it."""
    catch_up()
    rows = models.Pack.objects.filter(void=False)
    return balance([view(row).kept.born for row in rows], [view(row).kept for row in rows])


def nothing_packed() -> bool:
    """Tell whether no package was ever weighed."""
    catch_up()
    return not models.Pack.objects.exists()


def adrift() -> tuple[str, ...]:
    """Work the whole ledger out apart from the tables; return the packages that differ.

    An independent check for ``pinfeather verify``: every entry from the first on, in memory.
    """
    catch_up()
    gone = taken_back()
    born: list[Born] = []
    events: list[StockEvent] = []
    rows = {row.package: view(row) for row in models.Pack.objects.filter(void=False)}
    kinds = ("package", "stock", "sale", "refund")
    for entry in models.Entry.objects.filter(kind__in=kinds).order_by("seq").iterator():
        if entry.client_id in gone:
            continue
        if entry.kind != "package":
            events.extend(events_of(entry))
        elif entry.client_id in rows:
            written = Decimal(str(entry.payload["net_lb"]))
            born.append(replace(rows[entry.client_id].kept.born, net_lb=written))
    kept, _findings = ledger(born, events)
    both = set(rows) | set(kept)
    return tuple(
        sorted(i for i in both if i not in rows or i not in kept or kept[i] != rows[i].kept)
    )


@dataclass(frozen=True, slots=True)
class StockLine:
    """One thing that happened to a package, as its page tells it."""

    id: str
    seq: int
    kind: str
    act: str
    at: dt.datetime
    who: str
    payload: Mapping[str, Any]
    taken_back: bool


def history(ident: str) -> tuple[StockLine, ...]:
    """Return what happened to a package, in order, corrections marked."""
    catch_up()
    seqs = models.PackEvent.objects.filter(package=ident).values_list("seq", flat=True)
    gone = taken_back()
    return tuple(
        StockLine(
            e.client_id, e.seq, e.kind, str(e.payload.get("act", e.kind)), as_event(e).at, e.who,
            e.payload, e.client_id in gone,
        )
        for e in models.Entry.objects.filter(seq__in=list(seqs)).order_by("seq")
    )  # fmt: skip


def write(
    kind: str,
    payload: Mapping[str, Any],
    *,
    who: str,
    client_id: str = "",
    at: dt.datetime | None = None,
) -> str:
    """Write one entry about packages if it fits every one of them; return its id.

    The check and the writing are one step, so that of two phones only one sells a package. An
    entry that is there already is left as it is.

    Raises
    ------
    InputFaultsError
        With a fault for each package it does not fit.
    StoreError
        If the store cannot be written.
    """
    now = clock.now()
    client_id = client_id or uuid.uuid4().hex
    if not client_id.isalnum() or len(client_id) > LONGEST_ID:
        raise InputError("id", client_id, _("An entry needs an id of letters and digits."))
    with writing():
        if models.Entry.objects.filter(client_id=client_id).exists():
            return client_id
        catch_up()
        _check(stock_events(kind, payload, seq=0))
        journal.append_from_page(kind, payload, client_id=client_id, who=who, at=at or now)
        catch_up()
    return client_id


def _check(events: Sequence[StockEvent]) -> None:
    """Raise a fault for each package that the first event does not fit."""
    if not events or not events[0].packages:
        raise InputFaultsError([InputError("packages", (), _("Choose at least one package."))])
    event = events[0]
    if len(event.packages) > _MOST_AT_ONCE:
        raise InputFaultsError(
            [InputError("packages", len(event.packages), _("Too many packages at once."))]
        )
    known = packages(event.packages)
    faults = []
    for ident in event.packages:
        one = known.get(ident)
        why = problem(one.kept, event) if one else _("There is no such package.")
        if why:
            faults.append(InputError("packages", ident, why))
    if faults:
        raise InputFaultsError(faults)


def note(
    kind: str,
    payload: Mapping[str, Any],
    *,
    who: str,
    client_id: str = "",
    at: dt.datetime | None = None,
) -> str:
    """Write an entry that changes no package: a count, a deposit, a temperature; return its id."""
    now = clock.now()
    client_id = client_id or uuid.uuid4().hex
    journal.append_from_page(kind, payload, client_id=client_id, who=who, at=at or now)
    return client_id


def take_back(ident: str, *, reason: str, who: str) -> None:
    """Take a stock entry back; it stays on record with the reason.

    Raises
    ------
    InputError
        If there is no such entry, or no reason.
    """
    if not models.Entry.objects.filter(client_id=ident, kind__in=("stock", "refund")).exists():
        raise InputError("of", ident, _("There is no such entry to take back."))
    if not reason.strip():
        raise InputError("reason", reason, _("Write why it is taken back."))
    note("correction", {"of": ident, "reason": reason.strip()[:400]}, who=who)
    catch_up()
