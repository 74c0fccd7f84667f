"""How the farm labels: sizes, codes, product numbers, bags, promises."""

from __future__ import annotations

import datetime as dt
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _

from pinfeather.actions import farm as farms
from pinfeather.actions.desk import scales, setup
from pinfeather.errors import InputError, InputFaultsError
from pinfeather.packs.codes import US_PATTERNS
from pinfeather.packs.products import products
from pinfeather.web.words import SPECIES


def desk_setup(request: HttpRequest) -> HttpResponse:
    """Show and change how packages are labelled."""
    typed: dict[str, Any] = {}
    faults: dict[str, str] = {}
    what = ""
    if request.method == "POST":
        typed = request.POST.dict()
        what = typed.get("what", "")
        try:
            _save(what, typed)
        except InputFaultsError as error:
            faults = {fault.name: fault.problem for fault in error.faults}
        else:
            messages.success(request, _("Saved."))
            return redirect("desk_setup")
    now = setup.settings()
    settings = {
        "size": now.size,
        "dots_per_inch": str(now.dots_per_inch),
        "carrier": now.carrier,
        "pattern": now.pattern,
        "prefix": now.prefix,
        **(typed if what == "settings" else {}),
    }
    return render(
        request,
        "pinfeather/desk_setup.html",
        {
            "settings": settings,
            "sizes": setup.SIZES,
            "dots": [str(dots) for dots in setup.DOTS],
            "patterns": US_PATTERNS,
            "products": setup.product_numbers(),
            "names": [one.name for kind, _words in SPECIES for one in products(kind)],
            "bags": setup.bags(),
            "claims": setup.claims(),
            "lots": farms.lots(),
            "typed": typed,
            "what": what,
            "faults": faults,
        },
        status=422 if faults else 200,
    )


def _save(what: str, typed: dict[str, Any]) -> None:
    def text(name: str) -> str:
        return str(typed.get(name, ""))

    if what == "settings":
        setup.save_settings(
            size=text("size"),
            dots_per_inch=text("dots_per_inch"),
            carrier=text("carrier"),
            pattern=text("pattern"),
            prefix=text("prefix"),
        )
    elif what == "product":
        setup.save_product(
            name=text("name"),
            item=text("item"),
            reference=text("reference"),
            price_per_lb=text("price_per_lb"),
        )
    elif what == "bag":
        setup.save_bag(text("name"), text("weighed"), division_lb=scales.desk_division_lb())
    elif what == "claim":
        setup.save_claim(
            words=text("words"),
            paper=text("paper"),
            on_file=_date("on_file", text("on_file")),
            until=_date("until", text("until")),
            lot=text("lot"),
        )
    elif what in {"bag_out", "claim_out"} and text("of").isdecimal():
        setup.retire(what.removesuffix("_out"), int(text("of")))


def _date(name: str, text: str) -> dt.date | None:
    if not text.strip():
        return None
    try:
        return dt.date.fromisoformat(text.strip())
    except ValueError as error:
        sentence = _("Write a date such as 2026-09-12.")
        raise InputFaultsError([InputError(name, text, sentence)]) from error
