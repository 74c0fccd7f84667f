"""Orders of a big day given out exactly, against giving each wish the nearest bird left.

Run: python benchmarks/packs_allocate.py
"""

import time
from decimal import Decimal

import numpy as np

from pinfeather.packs.allocate import Order, Package, Wish, allocate, miss_lb

PACKAGES = 500
ORDERS = 200


def made(rng: np.random.Generator) -> tuple[list[Order], list[Package]]:
    """Weights and wishes at random; three wishes in ten have an upper end."""
    weights = np.round(rng.normal(4.5, 0.7, PACKAGES), 2)
    packages = [
        Package(i, "whole", Decimal(f"{w:.2f}"), f"L{i % 4}", i % 4) for i, w in enumerate(weights)
    ]
    orders = []
    for rank in range(ORDERS):
        at = Decimal(f"{rng.normal(4.5, 0.7):.2f}")
        wish = Wish("whole", at, at, at + 1 if rng.random() < 0.3 else None)
        orders.append(Order(f"o{rank:03}", rank, (wish,) * int(rng.integers(1, 5))))
    return orders, packages


def nearest(orders: list[Order], packages: list[Package]) -> list[Decimal]:
    """Misses when each wish in turn takes the nearest bird left, as by hand."""
    left, missed = list(packages), []
    for order in orders:
        for wish in order.wishes:
            fits = [p for p in left if wish.most_lb is None or p.net_lb <= wish.most_lb]
            if fits:
                bird = min(fits, key=lambda p: (miss_lb(wish, p.net_lb), p.serial))
                left.remove(bird)
                missed.append(miss_lb(wish, bird.net_lb))
    return missed


def main() -> None:
    """Print both times, their ratio, and how many wishes and how large a miss each leaves."""
    orders, packages = made(np.random.default_rng(7))
    begin = time.perf_counter()
    result = allocate(orders, packages)
    exact_s = time.perf_counter() - begin
    begin = time.perf_counter()
    by_hand = nearest(orders, packages)
    hand_s = time.perf_counter() - begin
    print(
        f"{ORDERS} orders, {PACKAGES} packages: exact {exact_s:.2f} s,"
        f" nearest first {hand_s:.2f} s, ratio {exact_s / hand_s:.1f}"
    )
    misses = [one.miss_lb for one in result.given]
    print(f"wishes served: exact {len(misses)}, nearest first {len(by_hand)}")
    print(f"largest miss: exact {max(misses)} lb, nearest first {max(by_hand)} lb")


if __name__ == "__main__":
    main()
