"""Processing days before this program: birds that count, without a record that proves them."""

from __future__ import annotations

import datetime as dt
from collections import Counter
from dataclasses import dataclass
from typing import Any, Final

from pinfeather.actions.flock.days import DayTook
from pinfeather.records import models

ENTRY_KIND: Final = "past day"
"""Kind of the journal's lines about them."""


@dataclass(frozen=True, slots=True)
class PastDay:
    """A day as a list had it."""

    id: str
    on: dt.date
    species: str
    birds: int
    lot: str
    dressed_kg: float
    """Of all weighed birds together; zero where nothing was weighed [kg]."""
    weighed: int
    who: str


def past_days() -> tuple[PastDay, ...]:
    """Return the days that were not taken back, the newest first."""
    rows = list(models.Entry.objects.filter(kind=ENTRY_KIND).order_by("seq"))
    gone = {row.payload["of"] for row in rows if row.payload["act"] == "struck"}
    found = [
        _day(row.client_id, row.payload, who=row.who)
        for row in rows
        if row.payload["act"] == "day" and row.client_id not in gone
    ]
    return tuple(sorted(found, key=lambda one: one.on, reverse=True))


def _day(ident: str, kept: dict[str, Any], *, who: str) -> PastDay:
    weights = kept["weights_kg"]
    return PastDay(
        ident,
        dt.date.fromisoformat(kept["on"]),
        kept["species"],
        kept["birds"],
        kept["lot"],
        sum(weights) if weights else kept["total_kg"],
        len(weights) if weights else (kept["birds"] if kept["total_kg"] else 0),
        who,
    )


def counted(upto: dt.date) -> Counter[str]:
    """Count head in the calendar year of a day, up to it, by species."""
    total = Counter[str]()
    for one in past_days():
        if one.on.year == upto.year and one.on <= upto:
            total[one.species] += one.birds
    return total


def past_totals() -> dict[str, int]:
    """Return how many such days there are, and how many birds."""
    found = past_days()
    return {"days": len({one.on for one in found}), "birds": sum(one.birds for one in found)}


def taken() -> tuple[DayTook, ...]:
    """Return what these days took out of the lots, as closed days do; their number is 0."""
    return tuple(
        DayTook(
            0,
            one.on,
            one.who,
            {one.lot: one.birds},
            {one.lot: (one.weighed, one.dressed_kg)} if one.weighed else {},
        )
        for one in past_days()
        if one.lot
    )
