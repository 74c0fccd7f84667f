"""Giving packages to orders from a file, without the farm's store."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from pinfeather.packs.allocate import allocate
from pinfeather.packs.give_file import give_file
from pinfeather.packs.given import fairness
from pinfeather.units import KG_PER_LB


def give_answer(mapping: Mapping[str, object]) -> dict[str, Any]:
    """Say who gets which package, and why.

    Raises
    ------
    InputFaultsError
        With every fault in the file.
    """
    asked = give_file(mapping)
    found = allocate(asked.orders, asked.packages, by_turns=asked.by_turns)
    even = fairness(found.given) if found.given else None
    return {
        "wishes": sum(len(order.wishes) for order in asked.orders),
        "given": [
            {
                "order": one.order_id,
                "bird": one.wish_number + 1,
                "package": one.serial,
                "lot": one.lot,
                "net": f"{one.net_lb} lb",
                "net_kg": float(one.net_lb) * KG_PER_LB,
                "miss_kg": float(one.miss_lb) * KG_PER_LB,
                "pinned": one.pinned,
                "why": one.why,
            }
            for one in found.given
        ],
        "unserved": [{"order": order, "bird": bird + 1} for order, bird in found.unserved],
        "spare": list(found.spare),
        "worst_miss_kg": float(found.worst_miss_lb) * KG_PER_LB,
        "near_frac": None if even is None else even.near_frac,
        "findings": [
            {
                "code": one.code,
                "severity": one.severity.code,
                "sentence": one.sentence,
                "reason": one.reason,
                "where": one.where,
            }
            for one in found.findings
        ],
    }
