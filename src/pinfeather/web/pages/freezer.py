"""The freezer's pages: what is where, putting away, counting, temperatures, a power cut."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from pinfeather import clock
from pinfeather.actions import farm as farms
from pinfeather.actions.day import shopfloor
from pinfeather.actions.stock import book as stock_book
from pinfeather.actions.stock import counting
from pinfeather.actions.stock import freezer as store
from pinfeather.errors import InputError, InputFaultsError
from pinfeather.heat.power_cut import power_cut as advice_for
from pinfeather.web.asking import Ask, asked
from pinfeather.web.stock_words import FATES, PLACE_KINDS
from pinfeather.web.who import pick, who

_SHOWN = 12
_PERCENT = 100.0


def faults_of(error: InputError | InputFaultsError) -> tuple[InputError, ...]:
    """Return the faults of an error, one or many."""
    return error.faults if isinstance(error, InputFaultsError) else (error,)


def freezer(request: HttpRequest) -> HttpResponse:
    """Show what is in stock, where, and what to take first."""
    now, date = clock.now(), store.today()
    shelves = store.shelves()
    loads = store.loads(now=now)
    return render(
        request,
        "pinfeather/freezer.html",
        {
            "shelves": [one for one in shelves if one.place.id],
            "loose": next((one for one in shelves if not one.place.id), None),
            "balance": stock_book.totals(),
            "first_out": store.first_out(limit=_SHOWN),
            "today": date,
            "loads": [(name, load) for name, load in loads.items()],
            "findings": [
                *store.cold_findings(store.temperatures(now=now), now=now),
                *(finding for load in loads.values() for finding in load.findings),
            ],
        },
    )


def places(request: HttpRequest) -> HttpResponse:
    """Add a place, or change one."""
    typed: dict[str, Any] = {"kind": "freezer"}
    faults: Sequence[InputError] = ()
    if request.method == "POST":
        typed = request.POST.dict()
        try:
            store.save_place(
                typed.get("name", ""),
                kind=typed.get("kind", ""),
                inside=typed.get("inside", ""),
                volume=typed.get("volume", ""),
            )
        except (InputError, InputFaultsError) as error:
            faults = faults_of(error)
        else:
            messages.success(request, _("Saved."))
            return redirect("places")
    known = store.places()
    fields = (
        Ask("name", _("Name"), _("Such as Barn freezer, or Basket 2.")),
        Ask("kind", _("What it is"), kind="choice", options=PLACE_KINDS),
        Ask(
            "inside",
            _("Inside of"),
            kind="choice",
            options=[("", _("stands alone")), *((one.name, one.name) for one in known)],
        ),
        Ask("volume", _("Room inside"), _("Such as 15 ft3; may be empty.")),
    )
    return render(
        request,
        "pinfeather/places.html",
        {
            "places": [(one, dict(PLACE_KINDS).get(one.kind, one.kind)) for one in known],
            "fields": asked(fields, typed, faults=faults),
        },
        status=422 if faults else 200,
    )


def put(request: HttpRequest) -> HttpResponse:
    """Put packages into a place: ticked from the list, or scanned."""
    typed: dict[str, Any] = {}
    chosen: list[str] = []
    faults: Sequence[InputError] = ()
    if request.method == "POST":
        typed = request.POST.dict()
        chosen = request.POST.getlist("package")
        pick(request, typed.get("who") or who(request))
        scanned, problems = counting.read_seen(typed.get("seen", ""))
        ids = list(dict.fromkeys([*chosen, *scanned]))
        faults = problems
        try:
            if not problems:
                store.put(ids, place_name=typed.get("place", ""), who=who(request))
        except (InputError, InputFaultsError) as error:
            faults = faults_of(error)
        if not faults:
            messages.success(
                request,
                ngettext("{n} package is in {place}.", "{n} packages are in {place}.", len(ids))
                .format(n=len(ids), place=typed["place"]),
            )  # fmt: skip
            return redirect("put")
    return render(
        request,
        "pinfeather/put.html",
        {
            "loose": stock_book.in_stock(place=""),
            "places": store.places(),
            "typed": typed,
            "chosen": chosen,
            "faults": {f.name: f.problem for f in faults},
            "listed": [f.problem for f in faults if f.name == "packages"],
            "people": farms.people(),
            "who": who(request),
        },
        status=422 if faults else 200,
    )


def count(request: HttpRequest) -> HttpResponse:
    """Count a place, then say what became of every package that is not as it should be."""
    known = store.places()
    asked_for = request.POST.get("place") or request.GET.get("place", "")
    here = next((one for one in known if one.name == asked_for), None)
    context: dict[str, Any] = {
        "places": known,
        "here": here,
        "people": farms.people(),
        "who": who(request),
        "fates": FATES,
    }
    status = 200
    if here is not None:
        context["packages"] = stock_book.in_stock(place=here.name)
        seen = request.POST.getlist("package")
        scanned, problems = counting.read_seen(request.POST.get("seen", ""))
        seen = list(dict.fromkeys([*seen, *scanned]))
        context |= {"seen": seen, "typed": request.POST.dict(), "faults": problems}
        if problems:
            status = 422
        elif request.method == "POST":
            pick(request, request.POST.get("who") or who(request))
            if request.POST.get("do") == "save":
                return _save_count(request, here.name, seen)
            context["result"] = counting.compare(here.name, seen)
    return render(request, "pinfeather/count.html", context, status=status)


def _save_count(request: HttpRequest, place: str, seen: Sequence[str]) -> HttpResponse:
    sent = request.POST
    fates = {n.removeprefix("fate_"): v for n, v in sent.items() if n.startswith("fate_") and v}
    reasons = {n.removeprefix("why_"): str(v) for n, v in sent.items() if n.startswith("why_")}
    after = counting.save(
        place,
        seen,
        fates={ident: str(fate) for ident, fate in fates.items()},
        reasons=reasons,
        here=sent.getlist("here"),
        who=who(request),
    )
    if after.counted.agrees:
        messages.success(request, _("Counted. The shelf is as the ledger says."))
    else:
        messages.success(request, _("Counted. What was left open stays to be found."))
    return redirect("freezer")


def temperatures(request: HttpRequest) -> HttpResponse:
    """Write down how cold the freezers are, and see the last readings."""
    typed: dict[str, Any] = {}
    faults: Sequence[InputError] = ()
    now = clock.now()
    cold = [one for one in store.places() if one.kind in ("freezer", "refrigerator")]
    probes = list(shopfloor.accuracies_K())
    if request.method == "POST":
        typed = request.POST.dict()
        pick(request, typed.get("who") or who(request))
        written = typed.get("written", "").strip()
        bare = written.lstrip("+-−").replace(".", "", 1).isdigit()
        unit = "C" if farms.farm().units == "metric" else "F"
        try:
            store.save_temperature(
                typed.get("place", ""),
                written=f"{written} {unit}".replace("−", "-") if bare else written,
                instrument=typed.get("instrument", ""),
                who=who(request),
            )
        except (InputError, InputFaultsError) as error:
            faults = faults_of(error)
        else:
            messages.success(request, _("Written down."))
            return redirect("temperatures")
    fields = (
        Ask("place", _("Place"), kind="choice", options=[(p.name, p.name) for p in cold]),
        Ask("written", _("Thermometer shows"), _("°F, or with its unit: -18 C.")),
        Ask("instrument", _("Thermometer"), kind="choice", options=[(p, p) for p in probes]),
    )
    lines = store.temperatures(now=now)
    return render(
        request,
        "pinfeather/temperatures.html",
        {
            "fields": asked(fields, typed, faults=faults),
            "ready": bool(cold and probes),
            "lines": lines,
            "findings": store.cold_findings(lines, now=now),
            "people": farms.people(),
            "who": who(request),
            "zone": farms.farm().zone,
        },
        status=422 if faults else 200,
    )


def power_cut(request: HttpRequest) -> HttpResponse:
    """Say how long a shut freezer holds, what to keep and what to throw out."""
    typed = {"full": "50", "gone": "0", **request.GET.dict()}
    faults: list[InputError] = []
    numbers: dict[str, float] = {"full": 50.0, "gone": 0.0}
    for name, low, high, sentence in (
        ("full", 0, 100, _("How full it is, 0 to 100 percent.")),
        ("gone", 0, 1000, _("Hours since the power went, such as 3.5.")),
    ):
        try:
            value = float(typed[name].strip().rstrip("%"))
            if not low <= value <= high:
                raise ValueError  # noqa: TRY301 - turned into a sentence right below
        except ValueError:
            faults.append(InputError(name, typed[name], sentence))
        else:
            numbers[name] = value
    fields = (
        Ask("full", _("How full, in percent"), kind="number"),
        Ask("gone", _("Hours without power"), kind="number"),
    )
    found = advice_for(full_frac=numbers["full"] / _PERCENT, gone_s=numbers["gone"] * 3600.0)
    return render(
        request,
        "pinfeather/power_cut.html",
        {"advice": found, "fields": asked(fields, typed, faults=faults)},
        status=422 if faults else 200,
    )


def package(request: HttpRequest, ident: str) -> HttpResponse:
    """Show one package: where it is, what happened to it, and what can happen now."""
    faults: Sequence[InputError] = ()
    typed: dict[str, Any] = {}
    one = stock_book.package(ident)
    if request.method == "POST":
        typed = request.POST.dict()
        pick(request, typed.get("who") or who(request))
        act = typed.get("act", "")
        try:
            if act == "back":
                stock_book.take_back(
                    typed.get("of", ""), reason=typed.get("reason", ""), who=who(request)
                )
            elif act in ("put", "home", "given", "wasted", "hold", "release", "free"):
                payload = {
                    "act": act,
                    "packages": [ident],
                    "place": typed.get("place", "") if act == "put" else "",
                    "reason": typed.get("reason", "").strip()[:400],
                }
                stock_book.write("stock", payload, who=who(request))
            else:
                raise InputError("act", act, _("Choose what happens."))  # noqa: TRY301
        except (InputError, InputFaultsError) as error:
            faults = faults_of(error)
        else:
            return redirect("package", ident=ident)
    known = store.places()
    return render(
        request,
        "pinfeather/package.html",
        {
            "one": one,
            "keeps": store.keeps_until(one, known),
            "today": store.today(),
            "lines": tuple(reversed(stock_book.history(ident))),
            "places": known,
            "faults": {f.name: f.problem for f in faults},
            "typed": typed,
            "people": farms.people(),
            "who": who(request),
            "zone": farms.farm().zone,
        },
        status=422 if faults else 200,
    )
