"""The farm's own chill numbers, learned from its closed days."""

from __future__ import annotations

import datetime as dt
from functools import lru_cache
from typing import Final

from pinfeather.actions.day import days, running, shopfloor
from pinfeather.day.chill_learning import ChillNumbers, ProbedBird, own_numbers, probed_birds
from pinfeather.day.chill_proof import batches
from pinfeather.day.instruments import trusted
from pinfeather.day.progress import progress
from pinfeather.records import models
from pinfeather.rules.profile import load

_MOST_DAYS: Final = 20


def own_chill_numbers(*, before: dt.date) -> ChillNumbers:
    """Learn from the last closed days before a date, so that a day never learns from itself."""
    rows = models.Day.objects.filter(status=models.Day.Status.CLOSED, date__lt=before)
    found: list[ProbedBird] = []
    for day_id, seal in rows.order_by("-date", "-id").values_list("id", "seal")[:_MOST_DAYS]:
        found.extend(_probed_on(day_id, seal))
    return own_numbers(found)


@lru_cache(maxsize=64)
def _probed_on(day_id: int, _seal: str) -> tuple[ProbedBird, ...]:
    """Return what a closed day has to teach; its seal says that it never changes."""
    day = days.day(day_id)
    done = progress(e for e in running.events(day_id) if e.seq <= (day.sealed_seq or 0))
    if day.sealed_at is None or not any(r.what == "bird" for r in done.readings):
        return ()
    readings = trusted(
        done.readings,
        shopfloor.ice_points(day.sealed_at),
        accuracies_K=shopfloor.accuracies_K(),
    )
    masses_kg = {lot.code: lot.masses_kg for lot in day.request.lots}
    held = batches(done, masses_kg=masses_kg, profile=load(day.request.profile))
    return probed_birds(day.request, held, readings)
