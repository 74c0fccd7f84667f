"""Forecast of 1,000 lots in one call against one by one, same numbers.

Run: python benchmarks/flock_forecast.py
"""

import math
import time

import numpy as np

from pinfeather.flock.curves import curve_names, mean_kg, reference_curve
from pinfeather.flock.forecast import Sample, Seen, forecast
from pinfeather.flock.spread import band_kg

LOTS = 1000


def made(rng: np.random.Generator) -> list[Seen]:
    """Lots of every packaged kind, three weighings each, off their tables at random."""
    curves = [reference_curve(name) for name in curve_names()]
    found = []
    for i in range(LOTS):
        curve = curves[i % len(curves)]
        ratio = rng.normal(1.0, 0.08)
        rows = [
            Sample(age, float(mean_kg(curve, age)) * ratio * rng.normal(1, 0.03), 20, 0.12)
            for age in (14, 21, 28)
        ]
        found.append(Seen(curve, tuple(rows)))
    return found


def main() -> None:
    """Print both times, their ratio and how far the ends of the bands differ."""
    rng = np.random.default_rng(7)
    lots = made(rng)
    ages = rng.uniform(35, 80, LOTS)
    # tails past the tables are fitted once for each curve
    forecast(lots, ages)
    best = math.inf
    for _ in range(3):
        begin = time.perf_counter()
        low, high = band_kg(forecast(lots, ages))
        best = min(best, time.perf_counter() - begin)
    begin = time.perf_counter()
    each = [band_kg(forecast([lot], age)) for lot, age in zip(lots, ages, strict=True)]
    loop = time.perf_counter() - begin
    off = max(
        float(np.max(np.abs(np.array([e[k][0] for e in each]) - ends)))
        for k, ends in ((0, low), (1, high))
    )
    print(f"{LOTS} lots: one call {best:.3f} s, one by one {loop:.2f} s, ratio {loop / best:.0f}")
    print(f"largest difference of a band's end {off:.1e} kg")


if __name__ == "__main__":
    main()
