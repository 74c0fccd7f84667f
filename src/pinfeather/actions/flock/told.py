"""Entries about a lot: as the domain reads them, and in one line of words."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Mapping
from typing import Any, Final

from pinfeather.actions.flock.events import CAUSES, Typed
from pinfeather.flock.alerts import signs
from pinfeather.flock.lot import (
    Arrived,
    Cause,
    Counted,
    Event,
    FeedDelivered,
    FeedLeft,
    Lost,
    Medicated,
    Moved,
    Processed,
    SoldLive,
    Weighed,
)
from pinfeather.words import date_text
from pinfeather.words import gettext as _

_Make = Callable[[dt.date, Typed], Event]
_DOMAIN: Final[Mapping[str, _Make]] = {
    "arrived": lambda on, k: Arrived(on, k["pen"], k["ordered"], k["spares"], k["dead"]),
    "moved": lambda on, k: Moved(on, k["pen"], k["to"], k["heads"]),
    "lost": lambda on, k: Lost(on, k["pen"], k["heads"], Cause(k["cause"])),
    "counted": lambda on, k: Counted(on, k["pen"], k["heads"]),
    "processed": lambda on, k: Processed(on, k["pen"], k["heads"]),
    "sold": lambda on, k: SoldLive(on, k["pen"], k["heads"]),
    "weighed": lambda on, k: Weighed(on, tuple(k["weights_kg"]), k["birds_each"]),
    "feed": lambda on, k: FeedDelivered(on, k["mass_kg"], k["feed"]),
    "feed_left": lambda on, k: FeedLeft(on, k["mass_kg"]),
    "medicine": lambda on, k: Medicated(
        on, dt.date.fromisoformat(k["last_on"]), k["medicine"], k["withdrawal_d"]
    ),
}


def domain_event(kept: Typed) -> Event | None:
    """Return an entry as the domain reads it, or None where it says nothing about birds or feed."""
    make = _DOMAIN.get(kept["event"])
    return None if make is None else make(dt.date.fromisoformat(kept["on"]), kept)


def told(kept: Typed) -> str:
    """Return what an entry says, in one line of words."""
    make = _TOLD.get(kept["event"])
    text = make(kept) if make else ""
    return "; ".join(part for part in (text, kept.get("note", "")) if part)


def _told_order(kept: Typed) -> str:
    return _("{n} chicks from {where}, hatch {hatch}, here {here}").format(
        n=kept["ordered"] + kept["spares"],
        where=kept["hatchery"] or _("the hatchery"),
        hatch=date_text(dt.date.fromisoformat(kept["hatch_on"])),
        here=date_text(dt.date.fromisoformat(kept["arrive_on"])),
    )


def _told_arrival(kept: Typed) -> str:
    return _("{n} alive into {pen}; {ordered} ordered, {spares} spare, {dead} dead").format(
        n=kept["ordered"] + kept["spares"] - kept["dead"], **_only(kept)
    )


def _told_loss(kept: Typed) -> str:
    return _("{heads} in {pen}: {cause}").format(
        heads=kept["heads"], pen=kept["pen"], cause=_(CAUSES[kept["cause"]]).lower()
    )


def _told_weights(kept: Typed) -> str:
    each, number = kept["birds_each"], len(kept["weights_kg"])
    if each > 1:
        return _("{baskets} baskets of {each}").format(baskets=number, each=each)
    return _("{n} birds one by one").format(n=number)


def _told_medicine(kept: Typed) -> str:
    return _("{medicine} until {last_on}, {withdrawal_d} days of withdrawal").format(**_only(kept))


def _told_heads(kept: Typed) -> str:
    return _("{heads} from {pen}").format(**_only(kept))


_TOLD: Final[Mapping[str, Callable[[Typed], str]]] = {
    "ordered": _told_order,
    "arrived": _told_arrival,
    "moved": lambda k: _("{heads} from {pen} to {to}").format(**_only(k)),
    "lost": _told_loss,
    "counted": lambda k: _("{heads} in {pen}").format(**_only(k)),
    "sold": _told_heads,
    "processed": _told_heads,
    "weighed": _told_weights,
    "feed": lambda k: " ".join(part for part in (k["mass"], k["feed"]) if part),
    "feed_left": lambda k: str(k["mass"]),
    "medicine": _told_medicine,
    "signs": lambda k: ", ".join(signs().get(code, code) for code in k["signs"]),
    "cleared": lambda k: _("by {who}").format(who=k["by"]),
}
_WORDS: Final = (
    "pen", "to", "heads", "ordered", "spares", "dead", "medicine", "last_on", "withdrawal_d",
)  # fmt: skip


def _only(kept: Typed) -> dict[str, Any]:
    return {name: kept[name] for name in _WORDS if name in kept}
