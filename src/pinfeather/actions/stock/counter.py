"""The store counter: a basket of packages, who buys it, what is paid, and what comes back."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any, Final

from pinfeather import clock
from pinfeather.actions.farm import FarmView, farm
from pinfeather.actions.rules import kept as rules_kept
from pinfeather.actions.stock import book as stock_book
from pinfeather.actions.stock import orders as order_book
from pinfeather.actions.stock.book import Pkg
from pinfeather.actions.stock.customers import CustomerView, customer
from pinfeather.actions.stock.freezer import species
from pinfeather.errors import InputError, InputFaultsError
from pinfeather.finding import Finding, Severity
from pinfeather.packs.price import CENT, total_price
from pinfeather.packs.shelf import form_of, species_of
from pinfeather.packs.till import PAID_BY, Due, due
from pinfeather.records import models, personal
from pinfeather.records.writing import writing
from pinfeather.rules.build import BUYERS, VENUES
from pinfeather.rules.profile import load
from pinfeather.rules.sale import sale_findings, sale_record_findings
from pinfeather.rules.watch import state_line_findings
from pinfeather.words import gettext as _

_LONGEST_REASON: Final = 400


@dataclass(frozen=True, slots=True)
class Buyer:
    """Who buys, as the record of the sale says it."""

    id: int | None = None
    name: str = ""
    address: str = ""
    kind: str = "household"


@dataclass(frozen=True, slots=True)
class Line:
    """A package in a basket with its price."""

    package: Pkg
    per_lb: str
    total: Decimal


@dataclass(frozen=True, slots=True)
class Basket:
    """What lies on the counter."""

    lines: tuple[Line, ...]
    due: Due
    findings: tuple[Finding, ...]

    @property
    def stops(self) -> tuple[Finding, ...]:
        """Findings that forbid the sale."""
        return tuple(f for f in self.findings if f.severity is Severity.STOP)

    @property
    def net_lb(self) -> Decimal:
        """Pounds in the basket [lb]."""
        return sum((line.package.net_lb for line in self.lines), Decimal(0))


def priced(package: Pkg, home: FarmView) -> Line:
    """Return a package with its price: as printed, or by the farm's price per pound.

    Raises
    ------
    InputError
        If neither the label nor the farm has a price.
    """
    if package.total:
        return Line(package, package.price_per_lb, Decimal(package.total))
    if not home.price_per_lb:
        sentence = _("{name} has no price, and the farm has none per pound.")
        raise InputError("packages", package.id, sentence.format(name=package.code))
    per_lb = Decimal(home.price_per_lb).quantize(CENT)
    return Line(package, str(per_lb), total_price(package.net_lb, per_lb))


def basket(
    ids: Sequence[str],
    *,
    buyer: Buyer,
    venue: str = "farm",
    leaves_state: bool = False,
    order: str = "",
) -> Basket:
    """Add up a basket and judge the sale before it is made.

    Raises
    ------
    InputFaultsError
        If a package is unknown or has no price.
    """
    home = farm()
    stock_book.catch_up()
    known = stock_book.packages(ids)
    lines, faults = [], []
    for ident in dict.fromkeys(ids):
        if ident not in known:
            faults.append(InputError("packages", ident, _("There is no such package.")))
            continue
        try:
            lines.append(priced(known[ident], home))
        except InputError as fault:
            faults.append(fault)
    if faults:
        raise InputFaultsError(faults)
    left = order_book.order(int(order)).deposit if order.isdecimal() else Decimal(0)
    return Basket(
        tuple(lines),
        due([line.total for line in lines], deposit=left if lines else Decimal(0)),
        _judged(lines, home, buyer=buyer, venue=venue, leaves_state=leaves_state),
    )


def _judged(
    lines: Sequence[Line], home: FarmView, *, buyer: Buyer, venue: str, leaves_state: bool
) -> tuple[Finding, ...]:
    """Hold the sale against the tier: buyer, place, form, and what its record has to say."""
    profile = load(home.profile)
    if buyer.kind not in BUYERS or venue not in VENUES:
        return ()
    found: dict[tuple[str, str], Finding] = {}
    for form in sorted({form_of(line.package.product) for line in lines}) or ["whole"]:
        for one in sale_findings(
            profile,
            home.tier,
            buyer=buyer.kind,
            venue=venue,
            form=form,
            leaves_state=leaves_state,
        ):
            found[one.code, form if one.code == "sale.form" else ""] = one
    for one in state_line_findings(
        profile, home.tier, farm_address=home.address, buyer_address=buyer.address, venue=venue
    ):
        found.setdefault((one.code, ""), one)
    said = {"sale_date", "slaughter_date", "quantity", "net_weight", "description", "sale_place"}
    if all(species_of(x.package.product) or species(x.package.lot) for x in lines):
        said.add("species")
    if home.name and home.address:
        said.add("producer")
    said |= {f"buyer_{name}" for name in ("name", "address") if getattr(buyer, name)}
    return (*found.values(), *sale_record_findings(profile, said=said))


def buyer_from(typed: Mapping[str, str]) -> Buyer:
    """Return who buys: somebody on the list, or what was typed."""
    chosen = typed.get("customer", "")
    if chosen.isdecimal():
        one: CustomerView = customer(int(chosen))
        return Buyer(one.id, one.name, one.address, one.kind)
    return Buyer(
        None,
        " ".join(typed.get("buyer_name", "").split())[:80],
        " ".join(typed.get("buyer_address", "").split())[:200],
        typed.get("buyer_kind", "household") or "household",
    )


def sell(
    ids: Sequence[str],
    typed: Mapping[str, str],
    *,
    who: str,
    client_id: str,
    at: dt.datetime | None = None,
) -> str:
    """Sell a basket; return the sale's id. The same id sent twice sells once.

    Raises
    ------
    InputFaultsError
        If a package is gone, on hold or promised to somebody else, a word is unknown, or the tier
        forbids the sale and nobody wrote why it was made all the same.
    """
    if models.Entry.objects.filter(client_id=client_id, kind="sale").exists():
        return client_id
    buyer, venue = buyer_from(typed), typed.get("venue", "farm") or "farm"
    order, reason = typed.get("order", ""), typed.get("reason", "").strip()[:_LONGEST_REASON]
    faults = [
        InputError(name, value, sentence)
        for name, value, known, sentence in (
            ("buyer_kind", buyer.kind, BUYERS, _("Choose what kind of buyer this is.")),
            ("venue", venue, VENUES, _("Choose where it is sold.")),
            ("paid_by", typed.get("paid_by", ""), PAID_BY, _("Choose how it was paid.")),
        )
        if value not in known
    ]
    if not ids:
        faults.append(InputError("text", "", _("Scan or choose at least one package.")))
    if faults:
        raise InputFaultsError(faults)
    with writing():
        found = basket(
            ids,
            buyer=buyer,
            venue=venue,
            leaves_state=bool(typed.get("leaves_state")),
            order=order,
        )
        if found.stops and not reason:
            sentence = _("These rules forbid it. If it was sold all the same, write why.")
            raise InputFaultsError([InputError("reason", "", sentence)])
        last = models.Entry.objects.filter(kind="sale").order_by("-seq").first()
        number = 1 + int(last.payload["number"]) if last else 1
        payload = _payload(found, buyer, typed, number=number)
        payload["buyer"] = personal.set_apart(payload["buyer"])
        payload |= {"venue": venue, "order": order, "reason": reason}
        payload["rules"] = rules_kept.keep(farm().profile, at=at or clock.now(), who=who)
        sale = stock_book.write("sale", payload, who=who, client_id=client_id, at=at)
        if order.isdecimal() and not order_book.order(int(order)).waiting:
            order_book.handed_over(int(order))
    return sale


def _payload(
    found: Basket, buyer: Buyer, typed: Mapping[str, str], *, number: int
) -> dict[str, Any]:
    home = farm()
    return {
        "number": number,
        "packages": [line.package.id for line in found.lines],
        "lines": [
            {
                "package": line.package.id,
                "code": line.package.code,
                "product": line.package.product,
                "species": species_of(line.package.product) or species(line.package.lot),
                "lot_code": line.package.lot_code,
                "number": line.package.number,
                "slaughtered_on": line.package.packed_on.isoformat(),
                "net_lb": str(line.package.net_lb),
                "price_per_lb": line.per_lb,
                "total": str(line.total),
            }
            for line in found.lines
        ],
        "buyer": {
            "id": buyer.id,
            "name": buyer.name,
            "address": buyer.address,
            "kind": buyer.kind,
        },
        "paid_by": typed.get("paid_by", ""),
        "leaves_state": bool(typed.get("leaves_state")),
        "total": str(found.due.total),
        "from_deposit": str(found.due.from_deposit),
        "to_pay": str(found.due.to_pay),
        "deposit_back": str(found.due.deposit_back),
        "stops": [
            {"code": f.code, "sentence": f.sentence, "citation": f.citation, "status": f.status}
            for f in found.stops
        ],
        "profile": home.profile,
        "tier": home.tier,
    }
