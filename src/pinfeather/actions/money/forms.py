"""What can be written about money: read from a form, kept in the journal, told to the domain."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Any, Final

from pinfeather.errors import InputError, InputFaultsError
from pinfeather.money.cents import cents_from, exact_cents
from pinfeather.money.entries import PHASES, CostEntry, Driver, Kind, Scope, labour_cents
from pinfeather.money.equipment import LONGEST_LIFE_YEARS, Equipment
from pinfeather.money.income import Event, Income
from pinfeather.money.survey import Asked
from pinfeather.units import KG_PER_LB
from pinfeather.words import gettext as _
from pinfeather.words import gettext_noop

ACTS: Final[Mapping[str, str]] = {
    "cost": gettext_noop("A cost"),
    "hours": gettext_noop("Hours worked"),
    "income": gettext_noop("Money that came in"),
    "rate": gettext_noop("A price to reckon with"),
    "seen": gettext_noop("A neighbor’s price"),
    "thing": gettext_noop("Equipment"),
}
"""What a person writes."""
RATES: Final[Mapping[str, str]] = {
    "feed": gettext_noop("Feed, a pound"),
    "ice": gettext_noop("Ice, a pound"),
    "propane": gettext_noop("Propane, a pound"),
    "bag": gettext_noop("Bag and label, a package"),
    "wage": gettext_noop("Own hour"),
}
"""Prices that turn what the flock's and the day's records say into costs."""
BY_WEIGHT: Final = frozenset({"feed", "ice", "propane"})
WRITTEN_KINDS: Final = tuple(
    kind for kind in Kind if kind not in (Kind.EQUIPMENT, Kind.OWN_LABOUR, Kind.PAID_LABOUR)
)
_HOURS: Final = re.compile(r"(\d{1,5}(?:\.\d{1,2})?)\s*h?|(\d{1,4}):(\d{2})")
_WEIGHT: Final = re.compile(r"(\d{1,6}(?:\.\d{1,3})?)\s*(lb|kg)?")
_PERCENT: Final = re.compile(r"(\d{1,3}(?:\.\d{1,2})?)\s*%?")
_LONGEST: Final = 120
_OLDEST_YEARS: Final = 40

Typed = Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Frame:
    """What an entry has to fit."""

    today: dt.date
    lots: frozenset[str]
    species: frozenset[str]
    metric: bool = False


class _Form:
    """Reads fields one after another and gathers what is wrong with them."""

    def __init__(self, typed: Typed, frame: Frame) -> None:
        self.typed, self.frame = typed, frame
        self.faults: list[InputError] = []

    def fault(self, name: str, value: object, problem: str) -> None:
        self.faults.append(InputError(name, value, problem))

    def text(self, name: str, *, needed: str = "", longest: int = _LONGEST) -> str:
        raw = "".join(c if c.isprintable() else " " for c in str(self.typed.get(name, "")))
        value = " ".join(raw.split())[:longest]
        if needed and not value:
            self.fault(name, value, needed)
        return value

    def date(self, name: str, *, ahead: bool = False) -> dt.date:
        raw, today = self.text(name), self.frame.today
        try:
            value = dt.date.fromisoformat(raw)
        except ValueError:
            self.fault(name, raw, _("Give a date, such as 2026-06-17."))
            return today
        if value > today and not ahead:
            self.fault(name, raw, _("This day has not come yet."))
        elif value.year < today.year - _OLDEST_YEARS:
            self.fault(name, raw, _("Is the year right?"))
        return value

    def cents(self, name: str, *, empty: int | None = None, least: int = 0) -> int:
        raw = self.text(name)
        if not raw and empty is not None:
            return empty
        try:
            value = cents_from(raw, name=name)
        except InputError as fault:
            self.faults.append(fault)
            return least
        if value < least:
            self.fault(name, raw, _("A sum is more than zero."))
        return value

    def choice(self, name: str, options: Iterable[str]) -> str:
        value = self.text(name)
        known = list(options)
        if value not in known:
            self.fault(name, value, _("Choose one from the list."))
            return known[0]
        return value

    def hours(self, name: str) -> Decimal:
        raw = self.text(name)
        match = _HOURS.fullmatch(raw)
        if match is None or (match[3] and int(match[3]) > 59):  # noqa: PLR2004 - minutes
            self.fault(name, raw, _("Write hours, such as 3.5 or 3:30."))
            return Decimal(0)
        if match[1]:
            return Decimal(match[1])
        return (Decimal(match[2]) + Decimal(match[3]) / 60).quantize(Decimal("0.0001"))

    def whole(self, name: str, *, low: int, high: int) -> int:
        raw = self.text(name)
        if not raw.isdecimal() or not low <= int(raw) <= high:
            self.fault(
                name, raw, _("A whole number from {low} to {high}.").format(low=low, high=high)
            )
            return low
        return int(raw)

    def share(self, name: str) -> str:
        raw = self.text(name) or "100 %"
        match = _PERCENT.fullmatch(raw)
        if match is None or not 0 < Decimal(match[1]) <= 100:  # noqa: PLR2004 - percent
            self.fault(name, raw, _("Write it in percent, such as “40 %”."))
            return "1"
        return str(Decimal(match[1]) / 100)

    def pounds(self, name: str) -> str:
        raw = self.text(name)
        if not raw:
            return "0"
        match = _WEIGHT.fullmatch(raw)
        if match is None:
            self.fault(name, raw, _("Write a weight, such as 25.5 lb."))
            return "0"
        unit = match[2] or ("kg" if self.frame.metric else "lb")
        pounds = Decimal(match[1]) / (Decimal(str(KG_PER_LB)) if unit == "kg" else 1)
        return str(pounds.quantize(Decimal("0.001")).normalize())

    def birds(self) -> dict[str, str]:
        """Read which birds a cost belongs to, as one choice such as ``lot:B3``."""
        raw = self.text("for") or "farm"
        scope, _colon, of = raw.partition(":")
        fine = {
            "farm": not of,
            "lot": of in self.frame.lots,
            "species": of in self.frame.species,
            "day": bool(re.fullmatch(r"\d{4}-\d{2}-\d{2}", of)),
        }.get(scope, False)
        if not fine:
            self.fault("for", raw, _("Choose which birds it is for."))
            return {"scope": "farm", "of": ""}
        return {"scope": scope, "of": of}


def payload(act: str, typed: Typed, frame: Frame) -> dict[str, Any]:
    """Turn what was typed into what the journal keeps.

    Raises
    ------
    InputFaultsError
        With every fault, each under its field's name.
    """
    read = _READ.get(act)
    if read is None:
        raise InputFaultsError([InputError("act", act, _("Choose what to write down."))])
    form = _Form(typed, frame)
    found = {"act": act, **read(form)}
    if not form.faults:
        try:
            _checked(found)
        except InputFaultsError as error:
            form.faults.extend(error.faults)
        except InputError as fault:
            form.faults.append(fault)
    if form.faults:
        raise InputFaultsError(form.faults)
    return found


def _checked(found: dict[str, Any]) -> None:
    """Let the domain look at it once before it is kept."""
    if found["act"] in ("cost", "hours"):
        cost_of("x", found)
    elif found["act"] == "income":
        income_of("x", found)
    elif found["act"] == "thing":
        thing_of("x", found)


def _cost(form: _Form) -> dict[str, Any]:
    kind = form.choice("kind", [one.value for one in WRITTEN_KINDS])
    return {
        "on": form.date("on").isoformat(),
        "kind": kind,
        "cents": form.cents("amount", least=1),
        **form.birds(),
        "phase": form.choice("phase", PHASES) if kind == "feed" else "",
        "by": form.choice("by", [one.value for one in Driver]) if form.text("by") else "birds",
        "learning": bool(form.text("learning")),
        "what": form.text("what"),
    }


def _hours(form: _Form) -> dict[str, Any]:
    paid = form.choice("paid", ("own", "paid")) == "paid"
    hours = form.hours("hours")
    wage = form.cents("wage")
    if hours <= 0 and not any(fault.name == "hours" for fault in form.faults):
        form.fault("hours", "", _("How many hours?"))
    return {
        "on": form.date("on").isoformat(),
        "kind": "paid labour" if paid else "own labour",
        "cents": labour_cents(hours, wage),
        "hours": str(hours),
        "wage_cents": wage,
        **form.birds(),
        "by": "birds",
        "learning": bool(form.text("learning")),
        "what": form.text("what"),
    }


def _income(form: _Form) -> dict[str, Any]:
    lot = form.text("lot")
    if lot and lot not in form.frame.lots:
        form.fault("lot", lot, _("Choose one from the list."))
    event = form.choice("event", [one.value for one in Event])
    return {
        "on": form.date("on").isoformat(),
        "event": event,
        "cents": form.cents("amount", least=1),
        "from_deposit_cents": form.cents("from_deposit", empty=0) if event == "sale" else 0,
        "lot": lot if event in ("sale", "brought back") else "",
        "sold_lb": form.pounds("sold") if event in ("sale", "brought back") else "0",
        "what": form.text("what"),
    }


def _rate(form: _Form) -> dict[str, Any]:
    what = form.choice("what", RATES)
    raw = form.text("price")
    cents = Decimal(0)
    try:
        cents = exact_cents(raw, name="price")
    except InputError as fault:
        form.faults.append(fault)
    if form.frame.metric and what in BY_WEIGHT:
        cents = (cents * Decimal(str(KG_PER_LB))).quantize(Decimal("0.000001"))
    return {
        "on": form.date("on").isoformat(),
        "what": what,
        "feed": form.text("feed", longest=60) if what == "feed" else "",
        "cents": str(cents.normalize()) if cents else "0",
    }


def _seen(form: _Form) -> dict[str, Any]:
    cents = form.cents("amount", least=1)
    if form.frame.metric:
        cents = round(cents * Decimal(str(KG_PER_LB)))
    return {
        "on": form.date("on").isoformat(),
        "where": form.text("where", needed=_("Say where, such as “Saturday market”.")),
        "cents": cents,
        "what": form.text("what"),
    }


def _thing(form: _Form) -> dict[str, Any]:
    return {
        "on": form.date("on").isoformat(),
        "name": form.text("name", needed=_("Write what it is called."), longest=60),
        "price_cents": form.cents("price"),
        "salvage_cents": form.cents("salvage", empty=0),
        "life_years": form.whole("life", low=1, high=LONGEST_LIFE_YEARS),
        "use": form.share("use"),
        "repair_cents": form.cents("repair", empty=0),
        "what": form.text("what"),
    }


_READ: Final[Mapping[str, Callable[[_Form], dict[str, Any]]]] = {
    "cost": _cost,
    "hours": _hours,
    "income": _income,
    "rate": _rate,
    "seen": _seen,
    "thing": _thing,
}


def cost_of(ident: str, kept: Typed) -> CostEntry:
    """Return a kept cost, or hours, as the domain reads it.

    Raises
    ------
    InputError
        If it cannot be.
    """
    hours = kept.get("hours")
    return CostEntry(
        ident,
        dt.date.fromisoformat(kept["on"]),
        Kind(kept["kind"]),
        int(kept["cents"]),
        Scope(kept["scope"]),
        kept["of"],
        what=kept["what"],
        phase=kept.get("phase", ""),
        hours=None if hours is None else Fraction(hours),
        learning=bool(kept["learning"]),
        by=Driver(kept["by"]),
        basis=_("written down"),
    )


def income_of(ident: str, kept: Typed) -> Income:
    """Return kept income as the domain reads it.

    Raises
    ------
    InputError
        If it cannot be.
    """
    try:
        return Income(
            ident,
            dt.date.fromisoformat(kept["on"]),
            Event(kept["event"]),
            int(kept["cents"]),
            int(kept["from_deposit_cents"]),
            lot=kept["lot"],
            what=kept["what"],
            sold_lb=Decimal(kept["sold_lb"]),
            basis=_("written down"),
        )
    except InputError as fault:
        name = {"cents": "amount"}.get(fault.name, fault.name)
        raise InputError(name, fault.value, fault.problem) from fault


def thing_of(ident: str, kept: Typed) -> Equipment:
    """Return kept equipment as the domain reads it.

    Raises
    ------
    InputFaultsError
        With every fault.
    """
    return Equipment(
        ident,
        kept["name"],
        dt.date.fromisoformat(kept["on"]),
        int(kept["price_cents"]),
        int(kept["salvage_cents"]),
        int(kept["life_years"]),
        Fraction(kept["use"]),
        int(kept["repair_cents"]),
        kept["what"],
    )


def seen_of(kept: Typed) -> Asked:
    """Return a neighbour's price as the domain reads it."""
    on = dt.date.fromisoformat(kept["on"])
    return Asked(kept["where"], on, int(kept["cents"]), kept["what"])
