"""Sales as they were written: finding them, taking packages back, the till, the sales list."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any, Final

from pinfeather import clock
from pinfeather.actions.farm import farm
from pinfeather.actions.stock import book as stock_book
from pinfeather.errors import InputError, InputFaultsError, RecordNotFoundError
from pinfeather.packs.till import PAID_BY, Cash, till
from pinfeather.records import models, personal
from pinfeather.reports.tables import csv_bytes
from pinfeather.words import gettext as _

_LONGEST_REASON: Final = 400


@dataclass(frozen=True, slots=True)
class SaleView:
    """A sale as it was written."""

    id: str
    at: dt.datetime
    who: str
    payload: Mapping[str, Any]
    refunded: frozenset[str]

    @property
    def number(self) -> int:
        """Its number, counted from the first sale."""
        return int(self.payload["number"])

    @property
    def lines(self) -> list[dict[str, Any]]:
        """Its packages, those brought back marked."""
        return [{**row, "back": row["package"] in self.refunded} for row in self.payload["lines"]]


def sale(sale_id: str) -> SaleView:
    """Return one sale.

    Raises
    ------
    RecordNotFoundError
        If there is none.
    """
    row = models.Entry.objects.filter(client_id=sale_id, kind="sale").first()
    if row is None:
        raise RecordNotFoundError(_("There is no such sale."))
    return _sale(_named([row])[0], _refunded([sale_id]))


def sales(*, limit: int = 100) -> tuple[SaleView, ...]:
    """Return the newest sales."""
    rows = _named(list(models.Entry.objects.filter(kind="sale").order_by("-seq")[:limit]))
    back = _refunded([row.client_id for row in rows])
    return tuple(_sale(row, back) for row in rows)


def _named(rows: list[models.Entry]) -> list[models.Entry]:
    """Put the buyers' names back into sales; rows that are read, never written."""
    buyers = personal.put_back(row.payload["buyer"] for row in rows)
    for row, buyer in zip(rows, buyers, strict=True):
        row.payload = {**row.payload, "buyer": buyer}
    return rows


def _sale(row: models.Entry, back: Mapping[str, set[str]]) -> SaleView:
    refunded = frozenset(back.get(row.client_id, ()))
    return SaleView(row.client_id, row.device_time, row.who, row.payload, refunded)


def _refunded(ids: Sequence[str]) -> dict[str, set[str]]:
    found: dict[str, set[str]] = {}
    rows = models.Entry.objects.filter(kind="refund", payload__sale__in=list(ids))
    for payload in rows.values_list("payload", flat=True):
        found.setdefault(payload["sale"], set()).update(payload["packages"])
    return found


def refund(
    sale_id: str, ids: Sequence[str], typed: Mapping[str, str], *, who: str, client_id: str = ""
) -> str:
    """Take packages back and give the money back; return the entry's id.

    Raises
    ------
    InputFaultsError
        With every fault.
    """
    sold = sale(sale_id)
    lines = {row["package"]: row for row in sold.payload["lines"]}
    faults = []
    chosen = [ident for ident in dict.fromkeys(ids) if ident in lines]
    if not chosen:
        faults.append(InputError("packages", "", _("Tick what comes back.")))
    if not typed.get("reason", "").strip():
        faults.append(InputError("reason", "", _("Write why it comes back.")))
    if typed.get("paid_by", "") not in PAID_BY:
        faults.append(InputError("paid_by", "", _("Choose how the money went back.")))
    if typed.get("fate", "") not in ("stock", "bin"):
        faults.append(InputError("fate", "", _("Say whether it can be sold again.")))
    if faults:
        raise InputFaultsError(faults)
    amount = sum((Decimal(lines[ident]["total"]) for ident in chosen), Decimal(0))
    payload = {
        "sale": sale_id,
        "packages": chosen,
        "amount": str(amount),
        "paid_by": typed["paid_by"],
        "bin": typed["fate"] == "bin",
        "place": typed.get("place", "") if typed["fate"] == "stock" else "",
        "reason": typed["reason"].strip()[:_LONGEST_REASON],
    }
    return stock_book.write("refund", payload, who=who, client_id=client_id)


def till_of(day: dt.date) -> dict[str, Decimal]:
    """Return what should be in the till after a day, by how it was paid."""
    return till(_cash(day))


def _cash(day: dt.date) -> list[Cash]:
    zone = clock.zone(farm().zone)
    begin = dt.datetime.combine(day, dt.time(), tzinfo=zone)
    end = dt.datetime.combine(day + dt.timedelta(days=1), dt.time(), tzinfo=zone)
    rows = models.Entry.objects.filter(
        kind__in=("sale", "refund", "deposit"), device_time__gte=begin, device_time__lt=end
    )
    moves = []
    for kind, payload in rows.values_list("kind", "payload"):
        way = str(payload.get("paid_by", "other"))
        if kind == "sale":
            moves.append(Cash("sale", way, Decimal(payload["to_pay"])))
            moves.append(Cash("deposit back", way, Decimal(payload["deposit_back"])))
        elif kind == "refund":
            moves.append(Cash("refund", way, Decimal(payload["amount"])))
        elif payload["act"] != "kept":
            name = "deposit" if payload["act"] == "taken" else "deposit back"
            moves.append(Cash(name, way, Decimal(payload["amount"])))
    return [move for move in moves if move.amount]


def sales_csv() -> bytes:
    """Return every package sold with the fields the rules ask for, one a line."""
    home = farm()
    zone = clock.zone(home.zone)
    rows = _named(list(models.Entry.objects.filter(kind="sale").order_by("seq")))
    back = _refunded([row.client_id for row in rows])
    producer = ", ".join([home.name, *home.address.splitlines()])
    names = (
        "sale", "sold_on", "slaughtered_on", "species", "product", "packages", "net_lb",
        "price_per_lb", "total", "lot_code", "number", "buyer", "buyer_address", "buyer_kind",
        "place", "paid_by", "brought_back", "producer",
    )  # fmt: skip
    return csv_bytes(
        names,
        (
            (
                row.payload["number"],
                row.device_time.astimezone(zone).date().isoformat(),
                line["slaughtered_on"], line["species"], line["product"], 1, line["net_lb"],
                line["price_per_lb"], line["total"], line["lot_code"], line["number"],
                row.payload["buyer"]["name"], row.payload["buyer"]["address"],
                row.payload["buyer"]["kind"], row.payload["venue"], row.payload["paid_by"],
                "yes" if line["package"] in back.get(row.client_id, ()) else "", producer,
            )
            for row in rows
            for line in row.payload["lines"]
        ),
    )  # fmt: skip
