"""The stock ledger: where every weighed package is, told by what happened to it.

A package is born at the scale. From then on it is always in exactly one state: in stock, sold, on
the family's own table, given away, thrown out, or missing at a count. Nothing changes a state but
an event, and an event that does not fit is refused, so that

    pounds weighed = in stock + sold + home + given + wasted + missing

holds at every moment, whatever two phones do at once.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Final

from pinfeather.finding import Finding, Severity
from pinfeather.words import gettext as _
from pinfeather.words import gettext_noop

IN_STOCK: Final = "stock"
STATES: Final = (IN_STOCK, "sold", "home", "given", "wasted", "missing")
"""Where a package can be; always exactly one."""

STATE_WORDS: Final[Mapping[str, str]] = {
    "stock": gettext_noop("in stock"),
    "sold": gettext_noop("sold"),
    "home": gettext_noop("taken home"),
    "given": gettext_noop("given away"),
    "wasted": gettext_noop("thrown out"),
    "missing": gettext_noop("missing at a count"),
}
ACTS: Final = (
    "put", "promise", "free", "hold", "release",
    "sold", "returned", "home", "given", "wasted", "missing", "found",
)  # fmt: skip
"""What can happen to a package."""

_LEAVES: Final = {"sold", "home", "given", "wasted", "missing"}
_BACK: Final = {"returned": "sold", "found": "missing"}
"""What brings a package back into stock, and out of which state."""
_NEVER_HELD: Final = {"sold", "home", "given"}
"""Ways out that are shut for a package on hold."""


@dataclass(frozen=True, slots=True)
class Born:
    """A package as it was weighed.

    Parameters
    ----------
    id : str
        Its own id, never used twice.
    number : int
        Its number on its day.
    product : str
        What is in it.
    net_lb : Decimal
        Printed net weight [lb].
    lot_code : str
        As printed.
    packed_on : datetime.date
        Day of packing.
    """

    id: str
    number: int
    product: str
    net_lb: Decimal
    lot_code: str
    packed_on: dt.date


@dataclass(frozen=True, slots=True)
class StockEvent:
    """Something that happened to packages.

    Parameters
    ----------
    seq : int
        Its place in the journal.
    act : str
        One of :data:`ACTS`.
    packages : tuple of str
        Ids of the packages.
    place : str
        Where they are from now on; empty leaves them where they are.
    order : str
        The order they are promised or handed to.
    sale : str
        The sale that took them or brings them back.
    reason : str
        Why, in somebody's own words.
    who : str
        Who did it.
    at : datetime or None
        When.
    """

    seq: int
    act: str
    packages: tuple[str, ...]
    place: str = ""
    order: str = ""
    sale: str = ""
    reason: str = ""
    who: str = ""
    at: dt.datetime | None = None


@dataclass(frozen=True, slots=True)
class Kept:
    """A package and how it stands.

    Parameters
    ----------
    born : Born
        The package.
    state : str
        One of :data:`STATES`.
    place : str
        Freezer, shelf or box; empty where it was never put anywhere.
    order : str
        The order it is promised to; empty where it is free.
    sale : str
        The sale it went with.
    held : str
        Why it is on hold; empty where it is not.
    """

    born: Born
    state: str = IN_STOCK
    place: str = ""
    order: str = ""
    sale: str = ""
    held: str = ""

    @property
    def in_stock(self) -> bool:
        """Whether it is still in the shop."""
        return self.state == IN_STOCK

    @property
    def free(self) -> bool:
        """Whether anybody may have it: in stock, not on hold, not promised."""
        return self.in_stock and not self.held and not self.order


def problem(kept: Kept, event: StockEvent) -> str:
    """Say why an event cannot happen to a package.

    Parameters
    ----------
    kept : Kept
        How the package stands.
    event : StockEvent
        What is to happen.

    Returns
    -------
    str
        One sentence; empty where it can happen.

    References
    ----------
    Derivation: a package is in one state; only stock can leave, only what left can come back.
    """
    name = _("Package {number} of {lot}").format(number=kept.born.number, lot=kept.born.lot_code)
    if event.act not in ACTS:
        return _("“{act}” is nothing that happens to a package.").format(act=event.act)
    if event.act in _BACK:
        wrong = kept.state != _BACK[event.act] or (
            event.act == "returned" and event.sale not in ("", kept.sale)
        )
    else:
        wrong = not kept.in_stock
    if wrong:
        return _("{name} is {state}.").format(name=name, state=_(STATE_WORDS[kept.state]))
    if kept.held and event.act in (*_NEVER_HELD, "promise"):
        return _("{name} is on hold: {reason}").format(name=name, reason=kept.held)
    spoken_for = kept.order and kept.order != event.order
    if spoken_for and event.act in (*_NEVER_HELD, "promise"):
        return _("{name} is promised to order {order}.").format(name=name, order=kept.order)
    if event.act == "hold" and not event.reason.strip():
        return _("Write why it is on hold.")
    return ""


def after(kept: Kept, event: StockEvent) -> Kept:
    """Return how a package stands after an event that fits it.

    Parameters
    ----------
    kept : Kept
        How it stands.
    event : StockEvent
        What happens; :func:`problem` must have found none.

    Returns
    -------
    Kept
        How it stands now.

    References
    ----------
    Derivation: one case for each act.
    """
    act, place = event.act, event.place or kept.place
    if act == "put":
        return replace(kept, place=place)
    if act in ("promise", "free"):
        return replace(kept, order=event.order if act == "promise" else "")
    if act in ("hold", "release"):
        return replace(kept, held=event.reason.strip() if act == "hold" else "")
    if act in _BACK:
        return replace(kept, state=IN_STOCK, place=place, order="", sale="")
    return replace(kept, state=act, place="", held="", sale=event.sale if act == "sold" else "")


def step(kept: dict[str, Kept], event: StockEvent) -> tuple[Finding, ...]:
    """Let one event happen to all its packages; those it does not fit stay as they are.

    Parameters
    ----------
    kept : dict of str to Kept
        Packages by id; changed in place.
    event : StockEvent
        What happens.

    Returns
    -------
    tuple of Finding
        One for each package it does not fit.

    References
    ----------
    Derivation: :func:`problem` and :func:`after`, package by package.
    """
    found = []
    for ident in dict.fromkeys(event.packages):
        package = kept.get(ident)
        if package is None:
            why = _("There is no such package: {id}.").format(id=ident)
        else:
            why = problem(package, event)
        if not why and package is not None:
            kept[ident] = after(package, event)
            continue
        found.append(
            Finding(
                code="stock.refused",
                severity=Severity.STOP,
                sentence=why,
                reason=_("Somebody wrote “{act}” for it; find out what is true.").format(
                    act=event.act
                ),
                where=ident,
            )
        )
    return tuple(found)


def ledger(
    born: Iterable[Born], events: Iterable[StockEvent]
) -> tuple[dict[str, Kept], tuple[Finding, ...]]:
    """Tell where every package is.

    Parameters
    ----------
    born : iterable of Born
        All packages weighed.
    events : iterable of StockEvent
        In any order; they happen by their place in the journal.

    Returns
    -------
    dict of str to Kept
        Packages by id.
    tuple of Finding
        What did not fit.

    References
    ----------
    Derivation: :func:`step`, event by event.
    """
    kept = {package.id: Kept(package) for package in born}
    findings: list[Finding] = []
    for event in sorted(events, key=lambda e: e.seq):
        findings.extend(step(kept, event))
    return kept, tuple(findings)


@dataclass(frozen=True, slots=True)
class Balance:
    """Pounds and packages, by where they are.

    Parameters
    ----------
    weighed_lb : Decimal
        All that was ever weighed [lb].
    weighed : int
        Packages ever weighed.
    by_state_lb : mapping of str to Decimal
        Pounds in each state [lb].
    by_state : mapping of str to int
        Packages in each state.
    """

    weighed_lb: Decimal
    weighed: int
    by_state_lb: Mapping[str, Decimal]
    by_state: Mapping[str, int]

    @property
    def lost_lb(self) -> Decimal:
        """Pounds that no state accounts for; anything but zero is a fault."""
        return self.weighed_lb - sum(self.by_state_lb.values(), Decimal(0))

    @property
    def accounted_frac(self) -> float:
        """Share of the weighed pounds whose whereabouts are known; missing ones are not."""
        if not self.weighed_lb:
            return 1.0
        known = self.weighed_lb - self.by_state_lb["missing"] - self.lost_lb
        return float(known / self.weighed_lb)


def balance(born: Iterable[Born], kept: Iterable[Kept]) -> Balance:
    """Add up both sides of the ledger, each on its own.

    Parameters
    ----------
    born : iterable of Born
        All packages weighed.
    kept : iterable of Kept
        How they stand.

    Returns
    -------
    Balance
        Pounds and packages.

    References
    ----------
    Derivation: sums; conservation of pounds.
    """
    weighed = [package.net_lb for package in born]
    pounds, count = dict.fromkeys(STATES, Decimal(0)), dict.fromkeys(STATES, 0)
    for package in kept:
        pounds[package.state] += package.born.net_lb
        count[package.state] += 1
    return Balance(sum(weighed, Decimal(0)), len(weighed), pounds, count)
