"""What was written about money, in the journal: new lines, struck-out ones, and their order."""

from __future__ import annotations

import datetime as dt
import re
import uuid
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any, Final

from pinfeather import clock
from pinfeather.actions.farm import farm, lots
from pinfeather.actions.money.forms import (
    ACTS,
    RATES,
    Frame,
    cost_of,
    income_of,
    payload,
    seen_of,
    thing_of,
)
from pinfeather.errors import (
    InputError,
    InputFaultsError,
    RecordConflictError,
    RecordNotFoundError,
)
from pinfeather.money.cents import dollars
from pinfeather.money.entries import KIND_WORDS, CostEntry, Kind
from pinfeather.money.equipment import Equipment
from pinfeather.money.income import Income
from pinfeather.money.survey import Asked
from pinfeather.records import journal, models
from pinfeather.records.writing import writing
from pinfeather.words import gettext as _

ENTRY_KIND: Final = "money"
"""Kind of every journal line about money."""
_ID: Final = re.compile(r"[0-9A-Za-z]{1,40}")
_SPECIES: Final = frozenset({"chicken", "turkey", "duck", "goose"})


@dataclass(frozen=True, slots=True)
class MoneyLine:
    """One line as it was written; struck out or not."""

    id: str
    seq: int
    act: str
    kept: Mapping[str, Any]
    who: str
    at: dt.datetime
    struck: str = ""
    """Why it was struck out; empty where it stands."""
    struck_by: str = ""
    instead: str = ""
    """The line that was written in its place."""

    @property
    def on(self) -> dt.date:
        """The day it counts for."""
        return dt.date.fromisoformat(self.kept["on"])

    @property
    def words(self) -> str:
        """What it says, in one line."""
        return told(self.act, self.kept)


def told(act: str, kept: Mapping[str, Any]) -> str:
    """Return what a line says."""
    match act:
        case "cost":
            head = f"{_(KIND_WORDS[Kind(kept['kind'])])} {dollars(kept['cents'])}"
        case "hours":
            head = _("{kind}, {hours} h at {wage}: {sum}").format(
                kind=_(KIND_WORDS[Kind(kept["kind"])]),
                hours=kept["hours"],
                wage=dollars(kept["wage_cents"]),
                sum=dollars(kept["cents"]),
            )
        case "income":
            head = f"{_(kept['event']).capitalize()} {dollars(kept['cents'])}"
        case "rate":
            head = f"{_(RATES[kept['what']])} {price(Decimal(kept['cents']))}"
            return " ".join(part for part in (head, kept["feed"]) if part)
        case "seen":
            head = _("{where} asks {sum} a pound").format(
                where=kept["where"], sum=dollars(kept["cents"])
            )
        case _other:
            head = f"{kept['name']} {dollars(kept['price_cents'])}"
    return "; ".join(part for part in (head, kept.get("what", "")) if part)


def price(cents: Decimal) -> str:
    """Write a price that may be finer than a cent."""
    if cents == cents.to_integral_value():
        return dollars(int(cents))
    return f"${(cents / 100).normalize():f}"


@dataclass(frozen=True, slots=True)
class MoneyBook:
    """Everything written about money."""

    lines: tuple[MoneyLine, ...]
    """The newest day first, struck-out lines in their place."""

    def standing(self, *acts: str) -> tuple[MoneyLine, ...]:
        """Return the lines of some acts that were not struck out."""
        return tuple(one for one in self.lines if not one.struck and one.act in acts)

    @property
    def costs(self) -> tuple[CostEntry, ...]:
        """Costs and hours."""
        return tuple(cost_of(one.id, one.kept) for one in self.standing("cost", "hours"))

    @property
    def income(self) -> tuple[Income, ...]:
        """Income written by hand."""
        return tuple(income_of(one.id, one.kept) for one in self.standing("income"))

    @property
    def things(self) -> tuple[Equipment, ...]:
        """Equipment, the oldest first."""
        return tuple(thing_of(one.id, one.kept) for one in self.standing("thing"))[::-1]

    @property
    def seen(self) -> tuple[Asked, ...]:
        """Neighbours' prices."""
        return tuple(seen_of(one.kept) for one in self.standing("seen"))

    def rate(self, what: str, on: dt.date, *, feed: str = "") -> Decimal | None:
        """Return a price as it stood on a day; a feed's own goes before the price of any feed.

        A price counts from its day on; before the first one the first one counts.
        """
        rows = [one for one in self.standing("rate") if one.kept["what"] == what]
        own = [one for one in rows if one.kept["feed"].casefold() == feed.casefold()]
        known = own or [one for one in rows if not one.kept["feed"]]
        if not known:
            return None
        ordered = sorted(known, key=lambda one: (one.on, one.seq))
        before = [one for one in ordered if one.on <= on]
        return Decimal((before[-1] if before else ordered[0]).kept["cents"])


def frame(now: dt.datetime | None = None) -> Frame:
    """Return what an entry has to fit today, or at a moment."""
    home = farm()
    today = clock.today(home.zone) if now is None else now.astimezone(clock.zone(home.zone)).date()
    return Frame(
        today,
        frozenset(one.code for one in lots()),
        _SPECIES,
        home.units == "metric",
    )


def book() -> MoneyBook:
    """Return everything written about money."""
    rows = list(models.Entry.objects.filter(kind=ENTRY_KIND).order_by("seq"))
    strikes = {row.payload["of"]: row for row in rows if row.payload["act"] == "struck"}
    lines = []
    for row in rows:
        if row.payload["act"] not in ACTS:
            continue
        strike = strikes.get(row.client_id)
        lines.append(
            MoneyLine(
                row.client_id,
                row.seq,
                row.payload["act"],
                row.payload,
                row.who,
                row.device_time,
                struck=str(strike.payload["reason"]) if strike else "",
                struck_by=strike.who if strike else "",
                instead=str(strike.payload.get("instead", "")) if strike else "",
            )
        )
    lines.sort(key=lambda one: (one.on, one.seq), reverse=True)
    return MoneyBook(tuple(lines))


def line(ident: str) -> MoneyLine:
    """Return one line.

    Raises
    ------
    RecordNotFoundError
        If there is none.
    """
    for one in book().lines:
        if one.id == ident:
            return one
    raise RecordNotFoundError(_("There is no such line about money."))


def write(
    act: str,
    typed: Mapping[str, Any],
    *,
    who: str,
    client_id: str = "",
    now: dt.datetime | None = None,
) -> str:
    """Write something about money; return the line's id.

    The same ``client_id`` is written once, however often a form is sent.

    Raises
    ------
    InputFaultsError
        With every fault in what was typed.
    StoreError
        If the store cannot be written.
    """
    kept = payload(act, typed, frame(now))
    client_id = client_id if _ID.fullmatch(client_id) else uuid.uuid4().hex
    journal.append_from_page(ENTRY_KIND, kept, client_id=client_id, who=who, at=now or clock.now())
    return client_id


def strike_out(
    ident: str, *, reason: str, who: str, instead: str = "", now: dt.datetime | None = None
) -> None:
    """Strike out a line that was wrong; both stay in the journal.

    Raises
    ------
    InputFaultsError
        If no reason is given.
    RecordNotFoundError
        If there is no such line.
    RecordConflictError
        If it was struck out before.
    """
    with writing():
        found = line(ident)
        if found.struck:
            raise RecordConflictError(_("This line was struck out before."))
        if not reason.strip():
            raise InputFaultsError([InputError("reason", reason, _("Write what was wrong."))])
        kept = {"act": "struck", "of": ident, "reason": reason.strip()[:300], "instead": instead}
        journal.append_from_page(
            ENTRY_KIND, kept, client_id=uuid.uuid4().hex, who=who, at=now or clock.now()
        )


def correct(
    ident: str,
    typed: Mapping[str, Any],
    *,
    reason: str,
    who: str,
    client_id: str = "",
    now: dt.datetime | None = None,
) -> str:
    """Write the right line and strike out the wrong one, in one step; return the new id.

    Raises
    ------
    InputFaultsError
        With every fault, the reason's among them.
    RecordNotFoundError
        If there is no such line.
    RecordConflictError
        If it was struck out before.
    """
    found = line(ident)
    faults = [] if reason.strip() else [InputError("reason", reason, _("Write what was wrong."))]
    try:
        payload(found.act, typed, frame(now))
    except InputFaultsError as error:
        faults = [*error.faults, *faults]
    if faults:
        raise InputFaultsError(faults)
    new = client_id if _ID.fullmatch(client_id) else uuid.uuid4().hex
    with writing():
        strike_out(ident, reason=reason, who=who, instead=new, now=now)
        return write(found.act, typed, who=who, client_id=new, now=now)
