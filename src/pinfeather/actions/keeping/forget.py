"""A customer asks for name, address and phone to be removed: what goes, what stays, and doing it.

Sales stay as they are: dates, weights, lots and prices are what rules and recalls need. Decision
record 0017 says why this leaves the journal's chain whole.
"""

from __future__ import annotations

import datetime as dt
import json
import uuid
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from django.db import transaction

from pinfeather import clock
from pinfeather.actions.farm import farm
from pinfeather.actions.keeping.classes import permit_until, profile_of
from pinfeather.errors import InputError, RecordConflictError, RecordNotFoundError
from pinfeather.records import backup, journal, models, personal, restoring, rows, tables
from pinfeather.records.writing import writing
from pinfeather.rules.retention import NameAnswer, name_may_go
from pinfeather.words import gettext as _

KIND: Final = "erasure"
SHORTEST: Final = 2
"""Letters of a name that are looked for, at least."""
_MOST_FOUND: Final = 20
_APART: Final = (models.Customer, models.CustomerOrder, models.Personal)


@dataclass(frozen=True, slots=True)
class Somebody:
    """Whose data it is: a customer on the list, or a name typed at the counter."""

    key: str
    """``c3`` for a customer, ``p`` and a key for a typed name."""
    name: str
    address: str
    phone: str
    sales: int


@dataclass(frozen=True, slots=True)
class Forgetting:
    """What removing somebody's data would do."""

    somebody: Somebody
    answer: NameAnswer
    orders: int
    open_orders: tuple[int, ...]
    stays: tuple[tuple[str, int], ...]
    """Where the name stands in free text, and how often: it stays there."""
    backups: int
    last_gone: str
    """When the backups that hold the name are gone, in words."""
    aside: int

    @property
    def allowed(self) -> bool:
        """Whether it can be done now."""
        return self.answer.allowed and not self.open_orders


@dataclass(frozen=True, slots=True)
class Forgot:
    """What was done: sales that lost the name, and whether the file itself let go of it."""

    sales: int
    wiped: bool


def find(name: str) -> tuple[Somebody, ...]:
    """Return customers and typed names that hold some letters."""
    wanted = " ".join(name.split()).casefold()
    if len(wanted) < SHORTEST:
        return ()
    found = [
        _customer(row)
        for row in models.Customer.objects.all()
        if wanted in row.name.casefold() and not _gone(row)
    ]
    seen: set[tuple[str, str]] = set()
    for key, told in _typed():
        who = (told["name"], told["address"])
        if wanted in told["name"].casefold() and who not in seen:
            seen.add(who)
            found.append(_one_typed(key))
    return tuple(found[:_MOST_FOUND])


def _gone(row: models.Customer) -> bool:
    return models.Entry.objects.filter(kind=KIND, payload__customer=row.pk).exists()


def _typed() -> Iterator[tuple[str, dict[str, str]]]:
    kept = models.Personal.objects.filter(customer=None).exclude(text="")
    for key, text in kept.order_by("key").values_list("key", "text"):
        yield key, json.loads(text)


def _customer(row: models.Customer) -> Somebody:
    sales = models.Entry.objects.filter(kind="sale", payload__buyer__id=row.pk).count()
    return Somebody(f"c{row.pk}", row.name, row.address, row.phone, sales)


def _one_typed(key: str) -> Somebody:
    row = models.Personal.objects.filter(pk=key, customer=None).exclude(text="").first()
    if row is None:
        raise RecordNotFoundError(_("There is nobody of that name any more."))
    told = json.loads(row.text)
    return Somebody(f"p{key}", told["name"], told["address"], "", len(_same(told)))


def _same(told: dict[str, str]) -> list[str]:
    return [key for key, other in _typed() if other == told]


def somebody(key: str) -> Somebody:
    """Return whose data a key means.

    Raises
    ------
    RecordNotFoundError
        If there is nobody, or the data has been removed already.
    """
    if key[:1] == "c" and key[1:].isdecimal() and len(key) < 16:  # noqa: PLR2004 - a row's number
        row = models.Customer.objects.filter(pk=int(key[1:])).first()
        if row is not None and not _gone(row):
            return _customer(row)
    elif key[:1] == "p":
        return _one_typed(key[1:])
    raise RecordNotFoundError(_("There is nobody of that name any more."))


def _keys(one: Somebody) -> list[str]:
    """Return the keys of the texts apart from the journal that are about somebody."""
    if one.key.startswith("c"):
        kept = models.Personal.objects.filter(customer_id=int(one.key[1:])).exclude(text="")
        return sorted(kept.values_list("key", flat=True))
    return _same({"name": one.name, "address": one.address})


def look(key: str) -> Forgetting:
    """Say what removing somebody's data would do, before anything is done.

    Raises
    ------
    RecordNotFoundError
        If there is nobody.
    """
    home, one = farm(), somebody(key)
    zone = clock.zone(home.zone)
    keys = _keys(one)
    bought = models.Entry.objects.filter(kind="sale", payload__buyer__person__in=keys)
    answer = name_may_go(
        profile_of(home),
        clock.today(home.zone),
        tier_code=home.tier,
        sold_on=tuple(
            at.astimezone(zone).date() for at in bought.values_list("device_time", flat=True)
        ),
        permit_until=permit_until(),
    )
    orders = (
        models.CustomerOrder.objects.filter(customer_id=int(key[1:])) if key[0] == "c" else None
    )
    still_open = [] if orders is None else list(orders.filter(status="open"))
    kept = backup.listed()
    return Forgetting(
        one,
        answer,
        0 if orders is None else orders.count(),
        tuple(row.pk for row in still_open),
        tuple(_elsewhere(one.name)),
        len(kept),
        when_rotated(),
        len(restoring.set_aside()),
    )


def when_rotated() -> str:
    """Say when backups made until now are gone."""
    return _(
        "The newest {n} backups stay, and the last one of each of {months} months; an older one "
        "goes when a newer one takes its place."
    ).format(n=backup.KEEP_LAST, months=backup.KEEP_MONTHS)


def _elsewhere(name: str) -> Iterator[tuple[str, int]]:
    """Return the tables where a name stands in free text, and in how many rows."""
    wanted = name.casefold()
    for model in tables.every_table():
        if model in _APART or model in (models.Proof, models.LoggerFile):
            continue
        spelled = (" ".join(rows.cells(row)) for row in tables.rows(model, using="default"))
        count = sum(wanted in line.casefold() for line in spelled)
        if count:
            yield model._meta.db_table.removeprefix("records_"), count


def forget(key: str, *, reason: str, who: str, now: dt.datetime) -> Forgot:
    """Remove somebody's name, address, phone and notes, out of the file itself, too.

    The journal keeps that it was done, for which rows and why, and not for whom.

    Raises
    ------
    InputError
        If no reason is given.
    RecordConflictError
        If the rules demand the name still, or an order is open.
    RecordNotFoundError
        If there is nobody.
    StoreError
        If the store cannot be written.
    """
    found = look(key)
    if not found.answer.allowed:
        raise RecordConflictError(found.answer.sentence)
    if found.open_orders:
        raise RecordConflictError(_("An order is still open. Hand it over or cancel it first."))
    one = found.somebody
    if not reason.strip():
        raise InputError("reason", reason, _("Write when and how they asked."))
    if one.name.casefold() in reason.casefold():
        raise InputError("reason", reason, _("Leave the name out: this line stays for good."))
    on = clock.today(farm().zone)
    keys = _keys(one)
    number = int(key[1:]) if key[0] == "c" else None
    wiped: list[bool] = []
    with writing():
        erased = personal.erase(keys, on=on)
        if number is not None:
            models.Customer.objects.filter(pk=number).update(
                name=personal.removed(on), address="", phone="", note="", active=False
            )
            models.CustomerOrder.objects.filter(customer_id=number).update(note="", occasion="")
        payload = {
            "customer": number,
            "keys": keys,
            "reason": reason.strip()[:400],
            "on": on.isoformat(),
        }
        journal.append_from_page(KIND, payload, client_id=uuid.uuid4().hex, who=who, at=now)
        transaction.on_commit(lambda: wiped.append(personal.wipe()))
    return Forgot(erased, all(wiped))


def erasures() -> int:
    """Return how often somebody's data was removed on request."""
    return models.Entry.objects.filter(kind=KIND).count()


def last_erasure() -> dt.datetime | None:
    """Return when somebody's data was last removed; None where nobody asked yet."""
    newest = models.Entry.objects.filter(kind=KIND).order_by("-seq").first()
    return None if newest is None else newest.received_at


def backups_with_names() -> int:
    """Return how many backups are older than the last removal and may still hold the name."""
    at = last_erasure()
    if at is None:
        return 0
    return sum(one.taken_at is None or one.taken_at <= at for one in backup.listed())
