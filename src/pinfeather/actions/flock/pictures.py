"""A lot's growth as a picture: bands, weighings and the table."""

from __future__ import annotations

from typing import Final

import numpy as np

from pinfeather.actions.flock.view import LotNow
from pinfeather.flock.curves import mean_kg
from pinfeather.flock.forecast import forecast
from pinfeather.flock.lot import Weighed
from pinfeather.flock.spread import band_kg
from pinfeather.reports.growth_curve import GrowthCurve, GrowthPoint, WeighedMean

_AFTER_D: Final = 14
_FIRST_D: Final = 1
_OLDEST_D: Final = 300


def growth_picture(now: LotNow) -> GrowthCurve | None:
    """Return the picture of a lot's growth; None where there is no table for its kind."""
    seen = now.seen
    if seen is None or seen.curve is None or now.age_d is None or now.stage == "ordered":
        return None
    hatched = now.book.life.hatched_on
    target = (now.target_on - hatched).days if now.target_on else None
    shown = now.age_d
    if now.stage == "finished":
        shown = max(
            ((e.on - hatched).days for e in now.book.standing if e.kind == "processed"),
            default=shown,
        )
    last = min(max(shown + _AFTER_D if target is None else target + 7, shown + 7, 21), _OLDEST_D)
    if now.stage == "finished":
        last = min(max(shown, 14), _OLDEST_D)
    ages = np.arange(float(_FIRST_D), last + 1.0)
    weights = forecast([seen] * len(ages), ages)
    low80, high80 = band_kg(weights, 0.80)
    low90, high90 = band_kg(weights, 0.90)
    table = mean_kg(seen.curve, ages, seen.share_male)
    points = tuple(
        GrowthPoint(float(age), *(float(column[i]) for column in columns))
        for columns in [(weights.mean_kg, low80, high80, low90, high90, table)]
        for i, age in enumerate(ages)
    )
    weighed = []
    for event in now.book.life.events:
        age = (event.on - hatched).days
        if isinstance(event, Weighed) and 0 < age <= last:
            each = np.array(event.weights_kg) / event.birds_each
            single = event.birds_each == 1
            mean = float(each.mean())
            weighed.append(
                WeighedMean(
                    float(age),
                    mean,
                    len(each) * event.birds_each,
                    float(each.min()) if single else mean,
                    float(each.max()) if single else mean,
                )
            )
    weighed.sort(key=lambda one: one.age_d)
    return GrowthCurve(
        now.row.code,
        points,
        tuple(weighed),
        float(shown),
        None if target is None else float(target),
    )
