"""What can be written about a lot: read from a form into what the journal keeps."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, Final

from pinfeather import quantity
from pinfeather.errors import InputError, InputFaultsError
from pinfeather.flock.alerts import signs
from pinfeather.flock.weight_list import weights_kg
from pinfeather.words import gettext as _
from pinfeather.words import gettext_noop

KINDS: Final[Mapping[str, str]] = {
    "ordered": gettext_noop("Ordered"),
    "arrived": gettext_noop("Arrived"),
    "moved": gettext_noop("Moved"),
    "lost": gettext_noop("Loss"),
    "counted": gettext_noop("Counted"),
    "weighed": gettext_noop("Weighed"),
    "feed": gettext_noop("Feed in"),
    "feed_left": gettext_noop("Feed left"),
    "medicine": gettext_noop("Medicine"),
    "signs": gettext_noop("Signs of sickness"),
    "cleared": gettext_noop("Cleared by the veterinarian"),
    "sold": gettext_noop("Sold alive"),
    "processed": gettext_noop("Processed elsewhere"),
    "note": gettext_noop("Note"),
}
"""Kinds of entry a person writes, in the order of a lot's life."""
CAUSES: Final[Mapping[str, str]] = {
    "found dead": gettext_noop("Found dead"),
    "culled": gettext_noop("Culled"),
    "predator": gettext_noop("Predator"),
    "weather": gettext_noop("Heat, cold or storm"),
    "accident": gettext_noop("Accident"),
    "missing": gettext_noop("Missing"),
    "unknown": gettext_noop("Not known"),
}
_WHOLE: Final = re.compile(r"\d{1,7}")
_MOST_HEADS: Final = 1_000_000
_MOST_FEED_KG: Final = 1e6
_LONGEST_WITHDRAWAL_D: Final = 365
_LONGEST_TEXT: Final = 300
_LONGEST_PEN: Final = 40
_OLDEST: Final = dt.timedelta(days=3 * 365)

Typed = Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Frame:
    """What an entry has to fit: which lot, when it hatched, and what day it is."""

    code: str
    hatched: dt.date | None
    today: dt.date
    oldest: dt.timedelta = _OLDEST
    """How long ago it may have been; a list from paper goes back further than a page."""


class _Form:
    """Reads fields one after another and gathers what is wrong with them."""

    def __init__(self, typed: Typed, frame: Frame) -> None:
        self.typed, self.frame = typed, frame
        self.faults: list[InputError] = []

    def text(self, name: str, *, needed: str = "", longest: int = _LONGEST_TEXT) -> str:
        raw = "".join(c for c in str(self.typed.get(name, "")) if c >= " " or c == "\n")
        value = raw.strip()[:longest]
        if needed and not value:
            self.fault(name, value, needed)
        return value

    def fault(self, name: str, value: object, problem: str) -> None:
        self.faults.append(InputError(name, value, problem))

    def date(self, name: str, *, ahead: bool = False, needed: bool = True) -> dt.date:
        raw = self.text(name)
        frame = self.frame
        if not raw and not needed:
            return frame.today
        try:
            value = dt.date.fromisoformat(raw)
        except ValueError:
            self.fault(name, raw, _("Give a date, such as 2026-06-17."))
            return frame.today
        if value > frame.today and not ahead:
            self.fault(name, raw, _("This day has not come yet."))
        elif abs(frame.today - value) > frame.oldest:
            self.fault(name, raw, _("This is more than three years away. Is the year right?"))
        return value

    def whole(
        self, name: str, *, least: int = 1, most: int = _MOST_HEADS, empty: int | None = None
    ) -> int:
        raw = self.text(name)
        if not raw and empty is not None:
            return empty
        if not _WHOLE.fullmatch(raw) or not least <= int(raw) <= most:
            self.fault(
                name,
                raw,
                _("A whole number from {low} to {high}.").format(low=least, high=most),
            )
            return max(least, 1)
        return int(raw)

    def pen(self, name: str = "pen") -> str:
        other = self.text(f"{name}_other", longest=_LONGEST_PEN)
        return other or self.text(name, needed=_("Say which pen."), longest=_LONGEST_PEN)

    def mass(self, name: str) -> tuple[str, float]:
        raw = self.text(name)
        try:
            value = quantity.parse(raw, "mass", name=name)
        except InputError as fault:
            self.faults.append(fault)
            return raw, 0.0
        if not 0 <= value.si <= _MOST_FEED_KG:
            self.fault(name, raw, _("{value} cannot be right.").format(value=value.written))
        return value.written, value.si


def payload(kind: str, typed: Typed, frame: Frame) -> dict[str, Any]:
    """Turn what was typed into what the journal keeps.

    Raises
    ------
    InputFaultsError
        With every fault, each under its field's name.
    """
    read = _READ.get(kind)
    if read is None:
        raise InputFaultsError([InputError("event", kind, _("Choose what happened."))])
    form = _Form(typed, frame)
    found: dict[str, Any] = {"lot": frame.code, "event": kind}
    found["on"] = form.date("on").isoformat()
    found |= read(form)
    found["note"] = form.text("note", needed=_("Write something.") if kind == "note" else "")
    if form.faults:
        raise InputFaultsError(form.faults)
    return found


def _ordered(form: _Form) -> dict[str, Any]:
    return {
        "hatchery": form.text("hatchery"),
        "ordered": form.whole("ordered"),
        "spares": form.whole("spares", least=0, empty=0),
        "hatch_on": form.date("hatch_on", ahead=True).isoformat(),
        "arrive_on": form.date("arrive_on", ahead=True).isoformat(),
    }


def _arrived(form: _Form) -> dict[str, Any]:
    ordered, spares = form.whole("ordered"), form.whole("spares", least=0, empty=0)
    dead = form.whole("dead", least=0, empty=0)
    if dead > ordered + spares:
        form.fault("dead", dead, _("More were dead than were sent."))
    return {"pen": form.pen(), "ordered": ordered, "spares": spares, "dead": dead}


def _moved(form: _Form) -> dict[str, Any]:
    found = {"pen": form.pen(), "to": form.pen("to"), "heads": form.whole("heads")}
    if found["pen"] and found["pen"] == found["to"]:
        form.fault("to", found["to"], _("They are there already. Choose another pen."))
    return found


def _lost(form: _Form) -> dict[str, Any]:
    cause = form.text("cause")
    if cause not in CAUSES:
        form.fault("cause", cause, _("Choose why."))
    return {"pen": form.pen(), "heads": form.whole("heads", empty=1), "cause": cause}


def _heads(form: _Form) -> dict[str, Any]:
    return {"pen": form.pen(), "heads": form.whole("heads")}


def _counted(form: _Form) -> dict[str, Any]:
    return {"pen": form.pen(), "heads": form.whole("heads", least=0)}


def _weighed(form: _Form) -> dict[str, Any]:
    each = form.whole("birds_each", most=500, empty=1)
    unit = form.text("unit")
    text = str(form.typed.get("weights", "")).strip()
    found: dict[str, Any] = {"birds_each": each, "weights": text[:60_000], "unit": unit}
    try:
        gross = weights_kg(text, unit=unit, birds_each=each)
    except InputFaultsError as error:
        form.faults.extend(error.faults)
        return found
    tare = 0.0
    if form.text("tare"):
        found["tare"], tare = form.mass("tare")
    net = [round(w - tare, 6) for w in gross]
    if min(net) <= 0:
        form.fault("tare", found.get("tare"), _("The basket weighs more than basket and birds."))
    found["weights_kg"] = net
    if form.frame.hatched and form.text("on"):
        on = form.text("on")
        if on <= form.frame.hatched.isoformat():
            form.fault("on", on, _("Birds are weighed from the day after hatch on."))
    return found


def _feed(form: _Form) -> dict[str, Any]:
    written, kg = form.mass("mass")
    if kg <= 0 and not any(f.name == "mass" for f in form.faults):
        form.fault("mass", written, _("How much feed was it?"))
    return {"mass": written, "mass_kg": kg, "feed": form.text("feed", longest=60)}


def _feed_left(form: _Form) -> dict[str, Any]:
    written, kg = form.mass("mass")
    return {"mass": written, "mass_kg": kg}


def _medicine(form: _Form) -> dict[str, Any]:
    name = form.text("medicine", needed=_("Write its name, as on the label."), longest=80)
    last_on = form.date("last_on", ahead=True, needed=False).isoformat()
    if form.text("on") and last_on < form.text("on"):
        form.fault("last_on", last_on, _("The last day comes before the first."))
    return {
        "medicine": name,
        "last_on": last_on,
        "withdrawal_d": form.whole("withdrawal_d", least=0, most=_LONGEST_WITHDRAWAL_D),
        "by": form.text("by", longest=80),
    }


def _signs(form: _Form) -> dict[str, Any]:
    given = form.typed.get("signs", [])
    codes = [given] if isinstance(given, str) else list(given)
    chosen = [code for code in codes if code in signs()]
    if not chosen:
        form.fault("signs", codes, _("Tick what you see."))
    return {"signs": chosen}


def _cleared(form: _Form) -> dict[str, Any]:
    return {"by": form.text("by", needed=_("Write who said so."), longest=80)}


_READ: Final[Mapping[str, Callable[[_Form], dict[str, Any]]]] = {
    "ordered": _ordered,
    "arrived": _arrived,
    "moved": _moved,
    "lost": _lost,
    "counted": _counted,
    "weighed": _weighed,
    "feed": _feed,
    "feed_left": _feed_left,
    "medicine": _medicine,
    "signs": _signs,
    "cleared": _cleared,
    "sold": _heads,
    "processed": _heads,
    "note": lambda _form: {},
}
