"""The store counter: scan or tap, add up, sell; sales, refunds and the till."""

from __future__ import annotations

import datetime as dt
import uuid
from collections.abc import Sequence
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _

from pinfeather import clock
from pinfeather.actions import farm as farms
from pinfeather.actions.stock import book as stock_book
from pinfeather.actions.stock import counter as store
from pinfeather.actions.stock import customers as people
from pinfeather.actions.stock import documents as stock_documents
from pinfeather.actions.stock import finding_packages, freezer, orders
from pinfeather.actions.stock import sales as sales_book
from pinfeather.actions.stock.book import Pkg
from pinfeather.errors import InputError, InputFaultsError
from pinfeather.web.pages.freezer import faults_of
from pinfeather.web.pages.orders import pdf
from pinfeather.web.stock_words import BUYERS, PAID_BY, VENUES
from pinfeather.web.who import pick, who

_TAPS = 8


def counter(request: HttpRequest) -> HttpResponse:
    """Put packages on the counter one by one, then sell them together."""
    sent = request.POST if request.method == "POST" else request.GET
    typed: dict[str, Any] = {"venue": "farm", "paid_by": "cash", "buyer_kind": "household"}
    typed |= {name: value for name, value in sent.items() if name != "package"}
    ids = list(dict.fromkeys(sent.getlist("package")))
    faults: list[InputError] = []
    choices: tuple[Pkg, ...] = ()
    number = str(typed.get("order", ""))
    order = orders.order(int(number)) if number.isdecimal() else None
    if request.method == "GET" and order is not None:
        ids = [p.id for p in order.promised if p.kept.in_stock]
        typed["customer"] = str(order.customer.id)
        typed["venue"] = order.venue
    if request.method == "POST":
        pick(request, str(typed.get("who") or who(request)))
        do = str(typed.get("do", "add"))
        if do.startswith("remove "):
            ids = [one for one in ids if one != do.removeprefix("remove ")]
        elif do.startswith("take "):
            ids = list(dict.fromkeys([*ids, do.removeprefix("take ")]))
            typed["text"] = ""
        elif do == "sell" and not str(typed.get("text", "")).strip():
            try:
                token = str(typed.get("token", ""))
                sale = store.sell(ids, typed, who=who(request), client_id=token)
            except (InputError, InputFaultsError) as error:
                faults.extend(faults_of(error))
            else:
                return redirect("sale", sale_id=sale)
        else:
            ids, choices = _added(ids, typed, faults)
    return _page(request, ids, typed, faults=faults, choices=choices, order=order)


def _added(
    ids: list[str], typed: dict[str, Any], faults: list[InputError]
) -> tuple[list[str], tuple[Pkg, ...]]:
    """Put what was scanned on the counter, or give the packages it can mean."""
    text = str(typed.get("text", ""))
    found = finding_packages.find(text, only_stock=True)
    found = tuple(p for p in found if p.id not in ids)
    if len(found) == 1:
        typed["text"] = ""
        return [*ids, found[0].id], ()
    if not found:
        gone = finding_packages.find(text)
        if any(p.id in ids for p in gone):
            sentence = _("That package lies on the counter already.")
        elif gone:
            sentence = _("That package is no longer in stock.")
        else:
            sentence = _("No package of that code. Scan again, or write day and number: 12-7.")
        faults.append(InputError("text", text, sentence))
    return ids, found


def _page(
    request: HttpRequest,
    ids: Sequence[str],
    typed: dict[str, Any],
    *,
    faults: Sequence[InputError],
    choices: tuple[Pkg, ...],
    order: orders.OrderView | None,
) -> HttpResponse:
    home = farms.farm()
    try:
        basket = store.basket(
            ids,
            buyer=store.buyer_from(typed),
            venue=str(typed.get("venue", "farm")),
            leaves_state=bool(typed.get("leaves_state")),
            order=str(typed.get("order", "")),
        )
    except InputFaultsError as error:
        faults = [*faults, *error.faults]
        basket = store.basket((), buyer=store.Buyer())
    taps = [p for p in freezer.first_out(limit=_TAPS + len(ids)) if p.id not in ids][:_TAPS]
    return render(
        request,
        "pinfeather/counter.html",
        {
            "basket": basket,
            "typed": typed,
            "token": typed.get("token") or uuid.uuid4().hex,
            "faults": {f.name: f.problem for f in faults},
            "listed": [f.problem for f in faults if f.name == "packages"],
            "choices": choices,
            "taps": [] if choices else taps,
            "order": order,
            "customers": people.customers(),
            "buyers": BUYERS,
            "venues": VENUES,
            "paid_by": PAID_BY,
            "people": farms.people(),
            "who": who(request),
            "home": home,
            "nothing_here": stock_book.nothing_packed(),
        },
        status=422 if faults else 200,
    )


def sales(request: HttpRequest) -> HttpResponse:
    """List the newest sales and what should be in the till."""
    home = farms.farm()
    try:
        day = dt.date.fromisoformat(request.GET.get("day", ""))
    except ValueError:
        day = clock.today(home.zone)
    till = sales_book.till_of(day)
    return render(
        request,
        "pinfeather/sales.html",
        {
            "sales": sales_book.sales(),
            "till": [(dict(PAID_BY).get(way, way), amount) for way, amount in till.items()],
            "total": sum(till.values()),
            "day": day,
            "zone": home.zone,
        },
    )


def sale(request: HttpRequest, sale_id: str) -> HttpResponse:
    """Show a sale; take packages back."""
    faults: Sequence[InputError] = ()
    typed: dict[str, Any] = {}
    if request.method == "POST":
        typed = request.POST.dict()
        pick(request, typed.get("who") or who(request))
        try:
            sales_book.refund(
                sale_id,
                request.POST.getlist("package"),
                typed,
                who=who(request),
                client_id=typed.get("token", ""),
            )
        except (InputError, InputFaultsError) as error:
            faults = faults_of(error)
        else:
            messages.success(request, _("Taken back, and the money with it."))
            return redirect("sale", sale_id=sale_id)
    found = sales_book.sale(sale_id)
    return render(
        request,
        "pinfeather/sale.html",
        {
            "sale": found,
            "paper": found.payload,
            "venue": dict(VENUES).get(found.payload["venue"], ""),
            "kind": dict(BUYERS).get(found.payload["buyer"]["kind"], ""),
            "way": dict(PAID_BY).get(found.payload["paid_by"], ""),
            "left": [row for row in found.lines if not row["back"]],
            "paid_by": PAID_BY,
            "places": freezer.places(),
            "typed": typed,
            "ticked": request.POST.getlist("package"),
            "token": typed.get("token") or uuid.uuid4().hex,
            "faults": {f.name: f.problem for f in faults},
            "zone": farms.farm().zone,
        },
        status=422 if faults else 200,
    )


def receipt(request: HttpRequest, sale_id: str) -> HttpResponse:  # noqa: ARG001 - a view's signature
    """Print a receipt."""
    return pdf(stock_documents.receipt_pdf(sale_id, now=clock.now()), "receipt")


def sale_cards(request: HttpRequest, sale_id: str) -> HttpResponse:  # noqa: ARG001 - a view's signature
    """Print the cards that go with the birds of a sale."""
    return pdf(stock_documents.sale_cards(sale_id, now=clock.now()), "birds")


def sales_csv(request: HttpRequest) -> HttpResponse:  # noqa: ARG001 - a view's signature
    """Give the sales as a table."""
    response = HttpResponse(sales_book.sales_csv(), content_type="text/csv; charset=utf-8")
    response.headers["Content-Disposition"] = 'attachment; filename="sales.csv"'
    return response
