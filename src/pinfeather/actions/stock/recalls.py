"""Practising a recall: how long it takes, and how much can be accounted for."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from pinfeather.actions.stock import book as stock_book
from pinfeather.actions.stock.trace_names import named
from pinfeather.actions.stock.tracing import thing_from, trace
from pinfeather.errors import InputError, InputFaultsError, RecordNotFoundError
from pinfeather.packs.trace import Thing
from pinfeather.records import models
from pinfeather.words import gettext as _


@dataclass(frozen=True, slots=True)
class MockRecall:
    """A practised recall: how long it took, and how much was found."""

    id: str
    words: str
    began: dt.datetime
    ended: dt.datetime | None
    packages: int
    found: int
    who: str

    @property
    def took_s(self) -> float | None:
        """Time from beginning to end [s]; None while it runs."""
        return None if self.ended is None else (self.ended - self.began).total_seconds()

    @property
    def found_frac(self) -> float:
        """Share accounted for [1]."""
        return self.found / self.packages if self.packages else 1.0


def begin_recall(start: Thing, *, who: str) -> str:
    """Begin to practise a recall; return its id.

    Raises
    ------
    InputFaultsError
        If it would begin at a buyer: the journal holds no names, so that they can be erased.
    """
    if start.kind == "buyer":
        sentence = _("A recall begins at a lot, a day or a package, not at a buyer.")
        raise InputFaultsError([InputError("q", start.id, sentence)])
    (start_named,) = named([start])
    payload = {"act": "begin", "start": start_named.key, "words": start_named.words}
    return stock_book.note("mock recall", payload, who=who)


def end_recall(ident: str, *, who: str) -> None:
    """End a practised recall: the journal keeps the time and what was accounted for.

    Raises
    ------
    RecordNotFoundError
        If no such recall is running.
    """
    running = next((one for one in recalls() if one.id == ident and one.ended is None), None)
    if running is None:
        raise RecordNotFoundError(_("No such recall is running."))
    key = models.Entry.objects.get(client_id=ident).payload["start"]
    found = trace(thing_from(key)).recall
    payload = {
        "act": "end",
        "of": ident,
        "packages": found.packages,
        "found": found.found,
        "lost": list(found.lost),
    }
    stock_book.note("mock recall", payload, who=who)


def recalls() -> tuple[MockRecall, ...]:
    """Return the practised recalls, newest first."""
    rows = list(models.Entry.objects.filter(kind="mock recall").order_by("seq"))
    ends = {row.payload["of"]: row for row in rows if row.payload["act"] == "end"}
    found = []
    for row in rows:
        if row.payload["act"] != "begin":
            continue
        end = ends.get(row.client_id)
        found.append(
            MockRecall(
                row.client_id,
                str(row.payload["words"]),
                row.device_time,
                end.device_time if end else None,
                int(end.payload["packages"]) if end else 0,
                int(end.payload["found"]) if end else 0,
                row.who,
            )
        )
    return tuple(reversed(found))
