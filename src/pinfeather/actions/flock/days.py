"""What closed processing days took out of the lots; read from the days, never typed twice."""

from __future__ import annotations

import datetime as dt
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from functools import lru_cache
from typing import Any

from pinfeather.actions.day.running import events
from pinfeather.day.progress import Progress, progress
from pinfeather.records import models
from pinfeather.units import KG_PER_LB


@dataclass(frozen=True, slots=True)
class DayTook:
    """Birds that a closed day took, by lot."""

    id: int
    on: dt.date
    closed_by: str
    birds: Mapping[str, int]
    """Caught; where nobody counted there, killed."""
    packed: Mapping[str, tuple[int, float]]
    """Birds in packages with whole birds only, and their net weight [kg]."""


def taken() -> tuple[DayTook, ...]:
    """Return what each closed day took, the oldest first."""
    closed = models.Day.objects.filter(sealed_seq__gt=0).order_by()  # all of it from an index
    rows = sorted(closed.values_list("date", "pk", "seal"))
    return tuple(_took(pk, seal) for _on, pk, seal in rows)


@lru_cache(maxsize=512)
def _took(day_id: int, seal: str) -> DayTook:  # noqa: ARG001 - tells a day of another store apart
    """Sum up one closed day as it stood when it was sealed."""
    row = models.Day.objects.defer("plan").get(pk=day_id)
    done = progress(e for e in events(day_id) if e.seq <= (row.sealed_seq or 0))
    lots = [lot for lot in row.request.get("lots", []) if lot.get("code")]
    closed_by = str((row.record or {}).get("closed_by", ""))
    return DayTook(day_id, row.date, closed_by, _birds(done, lots), _packed(done))


def _birds(done: Progress, lots: Sequence[Mapping[str, Any]]) -> dict[str, int]:
    """Count birds by lot; taps without a lot fill the lots in the order they were planned."""
    station = "catch" if done.count("catch") else "kill"
    found = Counter[str]()
    unnamed = 0
    for tally in done.tallies:
        if tally.station == station:
            if tally.lot:
                found[tally.lot] += tally.birds
            else:
                unnamed += tally.birds
    for number, row in enumerate(lots):
        code = str(row["code"])
        last = number == len(lots) - 1
        part = unnamed if last else min(unnamed, max(_planned(row) - found[code], 0))
        found[code] += part
        unnamed -= part
    return {code: birds for code, birds in found.items() if birds > 0}


def _planned(row: Mapping[str, Any]) -> int:
    weights = row.get("weights")
    if isinstance(weights, list) and weights:
        return len(weights)
    count = str(row.get("count", "")).strip()
    return int(count) if count.isdecimal() else 0


def _packed(done: Progress) -> dict[str, tuple[int, float]]:
    found: dict[str, tuple[int, float]] = {}
    for package in done.packages:
        if package.birds == 1 and package.lot:
            birds, kg = found.get(package.lot, (0, 0.0))
            found[package.lot] = birds + 1, kg + float(Decimal(package.net_lb)) * KG_PER_LB
    return found
