"""Growth along a logger's curve: whole arrays against a plain loop, same arithmetic.

Run: python benchmarks/hygiene_growth.py
"""

import itertools
import math
import time

import numpy as np

from pinfeather.hygiene.curve import read_curve
from pinfeather.hygiene.growth import grow
from pinfeather.hygiene.growth_models import GrowthModel, growth_model

ROWS = 1_000_000
EVERY_S = 60.0


def plain(model: GrowthModel, temp_degC: list[float], every_s: float) -> float:
    """Simpson's rule from reading to reading, one at a time."""

    def rate(t: float) -> float:
        if not model.min_degC < t < model.max_degC:
            return 0.0
        bend = 1 - math.exp(model.shape * (t - model.max_degC))
        root = model.scale * (t - model.min_degC) * bend
        return root * root / 3600

    total, before = 0.0, rate(temp_degC[0])
    for a, b in itertools.pairwise(temp_degC):
        after = rate(b)
        total += every_s / 6 * (before + 4 * rate((a + b) / 2) + after)
        before = after
    return total


def main() -> None:
    """Print both times, their ratio and how far the sums differ."""
    rng = np.random.default_rng(7)
    t_s = np.arange(ROWS) * EVERY_S
    temp_degC = 15 + 12 * np.sin(t_s / 20_000) + rng.uniform(-0.3, 0.3, ROWS)
    model = growth_model("salmonella_oscar_2002")
    best = math.inf
    for _ in range(3):
        begin = time.perf_counter()
        found = grow(model, read_curve(t_s, temp_degC)).without_lag
        best = min(best, time.perf_counter() - begin)
    listed = temp_degC.tolist()
    begin = time.perf_counter()
    expected = plain(model, listed, EVERY_S)
    loop = time.perf_counter() - begin
    print(f"{ROWS} readings: arrays {best:.3f} s, plain loop {loop:.3f} s, ratio {loop / best:.1f}")
    print(f"relative difference of the sums {abs(found - expected) / expected:.1e}")


if __name__ == "__main__":
    main()
