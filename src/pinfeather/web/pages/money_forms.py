"""Writing about money: a cost, hours, money in, a price; correcting; equipment."""

from __future__ import annotations

import uuid
from collections.abc import Iterable, Mapping
from decimal import Decimal
from typing import Any, Final

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _now
from django.utils.translation import gettext_lazy as _

from pinfeather.actions import farm as farms
from pinfeather.actions.money import book as money_book
from pinfeather.actions.money.forms import ACTS, BY_WEIGHT, RATES, WRITTEN_KINDS, thing_of
from pinfeather.errors import (
    InputError,
    InputFaultsError,
    RecordConflictError,
    RecordNotFoundError,
)
from pinfeather.money.entries import KIND_WORDS, PHASES
from pinfeather.money.equipment import book_value, per_bird, straight_line
from pinfeather.money.income import Event
from pinfeather.money.ledger import signed
from pinfeather.money.tax import macrs, macrs_classes
from pinfeather.units import KG_PER_LB
from pinfeather.web.asking import Ask, asked
from pinfeather.web.dayview import mass_unit
from pinfeather.web.pages.money import year_or_404
from pinfeather.web.who import pick, who
from pinfeather.web.words import SPECIES, Choices

_SHOWN: Final = ("cost", "hours", "income", "rate", "seen")
_HINTS: Final[Mapping[str, Any]] = {
    "cost": _("Chicks, feed without a feed book, bedding, fees, insurance"),
    "hours": _("Your own at a stated wage, or a paid hand’s"),
    "income": _("A sale, a deposit, money given back"),
    "rate": _("Feed, ice, propane, bags, an own hour: reckoned from your records"),
    "seen": _("What others ask for a pound"),
}
_EVENTS: Final[Choices] = [
    (Event.SALE.value, _("Sale")),
    (Event.DEPOSIT.value, _("Deposit taken")),
    (Event.REFUND.value, _("Deposit given back")),
    (Event.KEPT.value, _("Deposit kept")),
    (Event.RETURN.value, _("Birds brought back")),
]
_ON: Final = Ask("on", _("Day"), kind="date")
_WHAT: Final = Ask("what", _("Note"), _("May be empty."), wide=True)
_LEARNING: Final = Ask(
    "learning",
    _("A loss of the learning time?"),
    kind="choice",
    options=[("", _("No")), ("yes", _("Yes, it will not come again"))],
    wide=True,
)


def _birds() -> Ask:
    """Ask which birds a cost is for."""
    lots = [(f"lot:{one.code}", _now("Lot {code}").format(code=one.code)) for one in farms.lots()]
    kinds = [
        (f"species:{code}", _now("All of a kind: {kind}").format(kind=words))
        for code, words in SPECIES
    ]
    options: Choices = [("farm", _("All birds of the year")), *lots, *kinds]
    return Ask("for", _("For which birds"), kind="choice", options=options, wide=True)


def _fields(act: str, typed: Mapping[str, Any]) -> list[Ask]:
    kilograms = mass_unit() == "kg"
    match act:
        case "cost":
            kinds: Choices = [(k.value, _now(KIND_WORDS[k])) for k in WRITTEN_KINDS]
            phases: Choices = [(p, _now(p) if p else _("Not told")) for p in PHASES]
            return [
                Ask("kind", _("What for"), kind="choice", options=kinds, wide=True),
                Ask("amount", _("How much"), _("In dollars, such as 38.40.")),
                _ON,
                _day_or_lot(typed),
                Ask("phase", _("If feed, which"), kind="choice", options=phases),
                _LEARNING,
                _WHAT,
            ]
        case "hours":
            return [
                Ask("hours", _("Hours, all people together"), _("Such as 3.5 or 3:30.")),
                Ask("wage", _("Pay of an hour"), _("Own hours: what they would earn elsewhere.")),
                Ask(
                    "paid", _("Whose"), kind="choice",
                    options=[("own", _("Our own")), ("paid", _("A paid hand’s"))],
                ),
                _ON,
                _day_or_lot(typed),
                _LEARNING,
                _WHAT,
            ]  # fmt: skip
        case "income":
            lots: Choices = [("", _("No lot")), *((one.code, one.code) for one in farms.lots())]
            return [
                Ask("event", _("What happened"), kind="choice", options=_EVENTS, wide=True),
                Ask("amount", _("How much"), _("The whole price, in dollars.")),
                Ask("from_deposit", _("Of it paid down before"), _("May be empty.")),
                _ON,
                Ask("lot", _("Lot"), kind="choice", options=lots),
                Ask(
                    "sold", _("Weight sold"),
                    _("Such as 12 kg.") if kilograms else _("Such as 25.5 lb."),
                ),
                _WHAT,
            ]  # fmt: skip
        case "rate":
            whats: Choices = [
                (code, _rate_words(code) if kilograms else _now(words))
                for code, words in RATES.items()
            ]
            return [
                Ask("what", _("Price of"), kind="choice", options=whats, wide=True),
                Ask("price", _("Dollars"), _("Such as 0.37.")),
                Ask("on", _("From this day on"), kind="date"),
                Ask("feed", _("If feed, its name"), _("As in the feed book; empty for any.")),
            ]
        case "seen":
            return [
                Ask("where", _("Where"), _("Such as Saturday market.")),
                Ask("amount", _("Dollars a kilogram") if kilograms else _("Dollars a pound")),
                _ON,
                Ask("what", _("What"), _("Such as whole chicken.")),
            ]
    return [
        Ask("name", _("What it is called")),
        Ask("on", _("Bought on"), kind="date"),
        Ask("price", _("Price")),
        Ask("salvage", _("Worth at the end"), _("May be empty.")),
        Ask("life", _("Years it serves"), kind="number"),
        Ask("use", _("Share of its use for birds"), _("Such as 40 %.")),
        Ask("repair", _("Repairs a year"), _("Expected; may be empty.")),
        _WHAT,
    ]


def _rate_words(code: str) -> str:
    words = {
        "feed": _now("Feed, a kilogram"),
        "ice": _now("Ice, a kilogram"),
        "propane": _now("Propane, a kilogram"),
    }
    return words.get(code, _now(RATES[code]))


def _day_or_lot(typed: Mapping[str, Any]) -> Ask:
    """Ask which birds; a processing day in the address stands first."""
    ask = _birds()
    chosen = str(typed.get("for", ""))
    if chosen.startswith("day:"):
        words = _now("Birds of {day}").format(day=chosen.removeprefix("day:"))
        ask = Ask(
            ask.name, ask.label, kind="choice", options=[(chosen, words), *ask.options], wide=True
        )
    return ask


def _first(act: str) -> dict[str, Any]:
    frame = money_book.frame()
    found: dict[str, Any] = {"on": frame.today.isoformat(), "for": "farm", "use": "100 %"}
    if act == "hours":
        wage = money_book.book().rate("wage", frame.today)
        found["wage"] = "" if wage is None else signed(int(wage))
    return found


def write(request: HttpRequest) -> HttpResponse:
    """Choose what to write down, or write it."""
    act = request.POST.get("act") or request.GET.get("act", "")
    if act not in _SHOWN:
        acts = [(code, _now(ACTS[code]), _HINTS[code]) for code in _SHOWN]
        return render(request, "pinfeather/money_write.html", {"acts": acts})
    typed: dict[str, Any] = {**_first(act), **{k: v for k, v in request.GET.items() if k != "act"}}
    faults: tuple[InputError, ...] = ()
    if request.method == "POST":
        typed = {name: request.POST.get(name, "").strip() for name in request.POST}
        name = typed.get("who") or who(request)
        pick(request, name)
        try:
            money_book.write(act, typed, who=name, client_id=typed.get("id", ""))
        except InputFaultsError as error:
            faults = error.faults
        else:
            messages.success(request, _now("Written down."))
            return redirect("money_lines")
    return _form(request, act, typed, faults=faults)


def _form(
    request: HttpRequest,
    act: str,
    typed: Mapping[str, Any],
    *,
    faults: Iterable[InputError] = (),
    line: money_book.MoneyLine | None = None,
) -> HttpResponse:
    faults = tuple(faults)
    fields = asked(_fields(act, typed), typed, faults=faults)
    shown = {field.name for field in fields} | {"reason"}
    sent = str(typed.get("id", ""))
    return render(
        request,
        "pinfeather/money_form.html",
        {
            "act": act,
            "title": _now(ACTS[act]),
            "fields": fields,
            "line": line,
            "reason": typed.get("reason", ""),
            "reason_fault": next((f.problem for f in faults if f.name == "reason"), ""),
            "general": [fault.problem for fault in faults if fault.name not in shown],
            "id": sent if sent.isalnum() else uuid.uuid4().hex,
            "people": farms.people(),
            "who": who(request),
            "of_records": act == "rate",
        },
        status=422 if faults else 200,
    )


def lines(request: HttpRequest) -> HttpResponse:
    """List everything written about money, what was struck out too."""
    return render(request, "pinfeather/money_lines.html", {"lines": money_book.book().lines})


def correct(request: HttpRequest, ident: str) -> HttpResponse:
    """Put a wrong line right, or strike it out; it stays readable."""
    try:
        line = money_book.line(ident)
    except RecordNotFoundError as error:
        raise Http404(str(error)) from error
    typed = {**_as_typed(line), "id": uuid.uuid4().hex}
    faults: tuple[InputError, ...] = ()
    if request.method == "POST":
        typed = {name: request.POST.get(name, "").strip() for name in request.POST}
        name = typed.get("who") or who(request)
        pick(request, name)
        reason = typed.get("reason", "")
        try:
            if typed.get("do") == "strike":
                money_book.strike_out(ident, reason=reason, who=name)
            else:
                money_book.correct(ident, typed, reason=reason, who=name)
        except InputFaultsError as error:
            faults = error.faults
        except RecordConflictError as error:
            messages.error(request, str(error))
            return redirect("money_lines")
        else:
            messages.success(request, _now("Done. The old line stays readable."))
            return redirect("money_equipment" if line.act == "thing" else "money_lines")
    return _form(request, line.act, typed, faults=faults, line=line)


def _as_typed(line: money_book.MoneyLine) -> dict[str, str]:
    """Return a line as its form shows it."""
    kept = line.kept
    typed = {name: str(value) for name, value in kept.items()}
    for name, form in (
        ("cents", "amount"), ("wage_cents", "wage"), ("from_deposit_cents", "from_deposit"),
        ("price_cents", "price"), ("salvage_cents", "salvage"), ("repair_cents", "repair"),
    ):  # fmt: skip
        if name in kept and line.act != "rate":
            typed[form] = signed(int(kept[name]))
    kilograms = mass_unit() == "kg"
    per_kg = Decimal(str(KG_PER_LB)) if kilograms else Decimal(1)
    if line.act == "rate":
        by_weight = kept["what"] in BY_WEIGHT
        cents = Decimal(kept["cents"]) / (per_kg if by_weight else 1)
        typed["price"] = f"{(cents / 100).quantize(Decimal('0.000001')).normalize():f}"
    if line.act == "seen":
        typed["amount"] = signed(round(Decimal(kept["cents"]) / per_kg))
    if line.act == "thing":
        typed |= {
            "life": str(kept["life_years"]),
            "use": f"{(Decimal(kept['use']) * 100).normalize():f} %",
        }
    if "scope" in kept:
        typed["for"] = "farm" if kept["scope"] == "farm" else f"{kept['scope']}:{kept['of']}"
        typed["learning"] = "yes" if kept["learning"] else ""
    if line.act == "hours":
        typed["paid"] = "paid" if kept["kind"] == "paid labour" else "own"
    if line.act == "income":
        sold = Decimal(kept["sold_lb"]) * per_kg
        typed["sold"] = (
            f"{sold.quantize(Decimal('0.001')).normalize():f} {mass_unit()}" if sold else ""
        )
    return typed


def equipment(request: HttpRequest) -> HttpResponse:
    """Show what equipment costs a year and a bird; add some."""
    typed: dict[str, Any] = _first("thing")
    faults: tuple[InputError, ...] = ()
    if request.method == "POST":
        typed = {name: request.POST.get(name, "").strip() for name in request.POST}
        name = typed.get("who") or who(request)
        pick(request, name)
        try:
            money_book.write("thing", typed, who=name, client_id=typed.get("id", ""))
        except InputFaultsError as error:
            faults = error.faults
        else:
            messages.success(request, _now("Written down."))
            return redirect("money_equipment")
    view = year_or_404(None)
    birds = view.full.birds if view.full else 0
    year = view.report.year
    rows = []
    for line in view.book.standing("thing"):
        one = thing_of(line.id, line.kept)
        rows.append(
            {
                "line": line,
                "one": one,
                "wear": straight_line(one, year),
                "book": book_value(one, year),
                "bird": per_bird(one, birds_a_year=birds) if birds else None,
                "tax": [
                    {"what": what, "column": column, "years": macrs(one.price_cents, column)}
                    for what, column, _basis in macrs_classes()[:2]
                ],
            }
        )
    fields = asked(_fields("thing", typed), typed, faults=faults)
    sent = str(typed.get("id", ""))
    context = {
        "year": year,
        "birds": birds,
        "rows": rows,
        "report": view.report,
        "fields": fields,
        "general": [f.problem for f in faults if f.name not in {one.name for one in fields}],
        "id": sent if sent.isalnum() else uuid.uuid4().hex,
        "open": bool(faults) or not rows,
        "people": farms.people(),
        "who": who(request),
    }
    return render(
        request, "pinfeather/money_equipment.html", context, status=422 if faults else 200
    )
