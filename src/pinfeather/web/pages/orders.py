"""The orders' pages: who wants what, who gets what, who comes when."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from pinfeather import clock
from pinfeather.actions import farm as farms
from pinfeather.actions.stock import book as stock_book
from pinfeather.actions.stock import customers as people
from pinfeather.actions.stock import documents as stock_documents
from pinfeather.actions.stock import giving
from pinfeather.actions.stock import orders as book
from pinfeather.actions.stock.order_form import ROWS
from pinfeather.errors import InputError, InputFaultsError
from pinfeather.web.asking import asked
from pinfeather.web.pages.freezer import faults_of
from pinfeather.web.stock_words import CUSTOMER, ORDER, PAID_BY, WISH
from pinfeather.web.who import pick, who

_AHEAD = dt.timedelta(days=7)


def _until(request: HttpRequest) -> dt.date:
    """Return the pickup day asked for; the next week, or the next pickup where it is later."""
    text = request.POST.get("until") or request.GET.get("until", "")
    try:
        return dt.date.fromisoformat(text)
    except ValueError:
        coming = book.orders()
        week = book.today() + _AHEAD
        return max(week, coming[0].pickup_on) if coming else week


def orders(request: HttpRequest) -> HttpResponse:
    """List the open orders, the next pickup first."""
    found = book.orders()
    return render(
        request,
        "pinfeather/orders.html",
        {
            "orders": found,
            "birds": sum(len(one.wishes) for one in found),
            "lacking": sum(one.lacks for one in found),
            "past": [one for one in found if one.pickup_on < book.today()],
            "done": book.orders(status="picked up")[-10:],
            "until": _until(request),
        },
    )


def customers(request: HttpRequest) -> HttpResponse:
    """Add a customer, or change one."""
    typed: dict[str, Any] = {"kind": "household"}
    faults: Sequence[InputError] = ()
    number = request.GET.get("change", "")
    if number.isdecimal():
        one = people.customer(int(number))
        typed = {n: getattr(one, n) for n in ("name", "phone", "kind", "address", "note")}
    if request.method == "POST":
        typed = request.POST.dict()
        try:
            saved = people.save_customer(
                **{n: typed.get(n, "") for n in ("name", "phone", "kind", "address", "note")},
                customer_id=int(number) if number.isdecimal() else None,
            )
        except (InputError, InputFaultsError) as error:
            faults = faults_of(error)
        else:
            messages.success(request, _("Saved."))
            if typed.get("then") == "order":
                response = redirect("new_order")
                response.headers["Location"] += f"?customer={saved}"
                return response
            return redirect("customers")
    return render(
        request,
        "pinfeather/customers.html",
        {
            "customers": people.customers(),
            "fields": asked(CUSTOMER, typed, faults=faults),
            "changing": number,
        },
        status=422 if faults else 200,
    )


def new(request: HttpRequest) -> HttpResponse:
    """Take an order down."""
    typed: dict[str, Any] = {
        "pickup_on": (book.today() + _AHEAD).isoformat(),
        "venue": "farm",
        "every_weeks": "0",
        "customer": request.GET.get("customer", ""),
        "count_0": "1",
        "product_0": "Whole chicken",
    }
    return _form(request, typed, order_id=None)


def change(request: HttpRequest, order_id: int) -> HttpResponse:
    """Change an order."""
    one = book.order(order_id)
    typed: dict[str, Any] = {
        "customer": str(one.customer.id),
        "pickup_on": one.pickup_on.isoformat(),
        "pickup_from": f"{one.pickup_from:%H:%M}" if one.pickup_from else "",
        "pickup_until": f"{one.pickup_until:%H:%M}" if one.pickup_until else "",
        "venue": one.venue,
        "every_weeks": str(one.every_weeks),
        "occasion": one.occasion,
        "note": one.note,
        "version": str(one.version),
    }
    for row, (count, wish) in enumerate(one.lines):
        typed |= {
            f"count_{row}": str(count),
            f"product_{row}": wish.product,
            f"from_{row}": wish.from_lb,
            f"to_{row}": wish.to_lb,
            f"most_{row}": wish.most_lb,
            f"giblets_{row}": "on" if wish.giblets else "",
        }
    return _form(request, typed, order_id=order_id, rows=max(ROWS, len(one.lines)))


def _form(
    request: HttpRequest, typed: Mapping[str, Any], *, order_id: int | None, rows: int = ROWS
) -> HttpResponse:
    faults: Sequence[InputError] = ()
    if request.method == "POST":
        typed = request.POST.dict()
        pick(request, typed.get("who") or who(request))
        try:
            saved = book.save_order(typed, order_id=order_id)
        except (InputError, InputFaultsError) as error:
            faults = faults_of(error)
        else:
            messages.success(request, _("Saved."))
            return redirect("order", order_id=saved)
    by_row = []
    for row in range(rows):
        values = {ask.name: typed.get(f"{ask.name}_{row}", "") for ask in WISH}
        mine = [
            InputError(fault.name.removesuffix(f"_{row}"), fault.value, fault.problem)
            for fault in faults
            if fault.name.endswith(f"_{row}")
        ]
        by_row.append((row, asked(WISH, values, faults=mine), typed.get(f"giblets_{row}")))
    return render(
        request,
        "pinfeather/order_form.html",
        {
            "rows": by_row,
            "fields": asked(ORDER, typed, faults=faults),
            "customers": people.customers(),
            "typed": typed,
            "faults": {fault.name: fault.problem for fault in faults},
            "products": sorted({p.product for p in stock_book.in_stock()} | {"Whole chicken"}),
            "order_id": order_id,
            "more": any(typed.get(f"product_{row}") for row in range(1, rows)),
        },
        status=422 if faults else 200,
    )


def order(request: HttpRequest, order_id: int) -> HttpResponse:
    """Show one order: its birds and why they got what they got, deposit, handing over."""
    faults: Sequence[InputError] = ()
    typed: dict[str, Any] = {}
    if request.method == "POST":
        typed = request.POST.dict()
        pick(request, typed.get("who") or who(request))
        try:
            if typed.get("do") == "pin":
                wish = typed.get("wish", "")
                book.pin(
                    order_id,
                    int(wish) if wish.isdecimal() else -1,
                    typed.get("package", ""),
                    version=typed.get("version", ""),
                )
            elif typed.get("do") == "cancel":
                book.cancel(order_id, who=who(request))
                messages.success(request, _("Cancelled. Its packages are free again."))
            else:
                book.deposit(
                    order_id,
                    act=typed.get("act", ""),
                    amount=typed.get("amount", ""),
                    paid_by=typed.get("paid_by", ""),
                    who=who(request),
                )
                messages.success(request, _("Written down."))
        except (InputError, InputFaultsError) as error:
            faults = faults_of(error)
        else:
            return redirect("order", order_id=order_id)
    one = book.order(order_id)
    by_id = {p.id: p for p in one.promised}
    return render(
        request,
        "pinfeather/order.html",
        {
            "one": one,
            "birds": [(wish, by_id.get(wish.given)) for wish in one.wishes],
            "free": [p for p in stock_book.in_stock() if p.kept.free or p.id in by_id],
            "faults": {fault.name: fault.problem for fault in faults},
            "typed": typed,
            "paid_by": PAID_BY,
            "today": book.today(),
        },
        status=422 if faults else 200,
    )


def give(request: HttpRequest) -> HttpResponse:
    """Propose who gets which package, with the reason; keep it when somebody has looked."""
    until = _until(request)
    by_turns = (request.POST.get("share") or request.GET.get("share", "")) == "turns"
    faults: Sequence[InputError] = ()
    if request.method == "POST":
        pick(request, request.POST.get("who") or who(request))
        try:
            n = giving.keep(
                request.POST.getlist("give"), until=until, who=who(request), by_turns=by_turns
            )
        except (InputError, InputFaultsError) as error:
            faults = faults_of(error)
        else:
            told = ngettext("{n} package is promised.", "{n} packages are promised.", n)
            messages.success(request, told.format(n=n))
            return redirect("orders")
    found = giving.propose(until=until, by_turns=by_turns)
    return render(
        request,
        "pinfeather/give.html",
        {
            "found": found,
            "until": until,
            "faults": [fault.problem for fault in faults],
            "people": farms.people(),
            "who": who(request),
        },
        status=422 if faults else 200,
    )


def pdf(content: bytes, name: str) -> HttpResponse:
    """Answer with a document."""
    response = HttpResponse(content, content_type="application/pdf")
    response.headers["Content-Disposition"] = f'inline; filename="{name}.pdf"'
    return response


def pick_list(request: HttpRequest) -> HttpResponse:
    """Print what to take out of which place."""
    return pdf(stock_documents.pick_list_pdf(_until(request), now=clock.now()), "pick-list")


def pickup_sheet(request: HttpRequest) -> HttpResponse:
    """Print who comes when."""
    return pdf(stock_documents.pickup_sheet_pdf(_until(request), now=clock.now()), "pickups")


def cards(request: HttpRequest, order_id: int) -> HttpResponse:  # noqa: ARG001 - a view's signature
    """Print the cards that go with an order's birds."""
    return pdf(stock_documents.order_cards(order_id, now=clock.now()), f"birds-{order_id}")
