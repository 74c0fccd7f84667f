"""How the chill batches of a day stand: what is proved, what is expected, what to do now."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence

from pinfeather import clock
from pinfeather.actions.day.chill_numbers import own_chill_numbers
from pinfeather.actions.day.shopfloor import Floor
from pinfeather.actions.farm import farm
from pinfeather.day.chill_proof import ChillVerdict
from pinfeather.day.cold_now import BatchNow, Shop, cold_now


def standing(
    floor: Floor, verdicts: Sequence[ChillVerdict], *, now: dt.datetime
) -> tuple[BatchNow, ...]:
    """Say how each batch stands and what to do now, the batches at risk first."""
    metric = farm().units == "metric"
    shop = Shop(
        request=floor.day.request,
        done=floor.done,
        readings=floor.readings,
        logged=floor.logged,
        zone=clock.zone(floor.day.zone),
        own=own_chill_numbers(before=floor.day.date),
        temp_unit="C" if metric else "F",
        mass_unit="kg" if metric else "lb",
    )
    return cold_now(shop, verdicts, now=now)
