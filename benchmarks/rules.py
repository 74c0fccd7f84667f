"""All rules for a year of 20,000 birds at once, against the same rules bird by bird.

Run: python benchmarks/rules.py
"""

import sys
import time

import numpy as np

from pinfeather.rules.chill import chill_findings, giblet_findings
from pinfeather.rules.cold import freeze_findings, hold_findings
from pinfeather.rules.count import tier_of, weighted
from pinfeather.rules.many import BirdTable, judge_birds
from pinfeather.rules.profile import Profile, load
from pinfeather.rules.sale import sale_findings

BIRDS = 20_000
GOAL_S = 0.2
CODES = (
    "count.over_cap", "chill.late", "chill.giblets_late", "hold.warm", "hold.long", "freeze.slow",
    "sale.interstate", "sale.buyer", "sale.venue", "sale.form", "sale.delivery", "sale.none",
)  # fmt: skip


def made(rng: np.random.Generator) -> BirdTable:
    """Birds at random, on both sides of every limit."""

    def either(low: float, high: float) -> np.ndarray:
        return rng.uniform(low, high, BIRDS)

    return BirdTable(
        kind=rng.choice(["chicken", "turkey", "duck", "quail"], BIRDS),
        mass_kg=either(1.2, 5.5),
        carcass_degC=either(1, 9),
        since_start_s=either(0, 10 * 3600),
        giblets_degC=either(1, 9),
        since_drawn_s=either(0, 3 * 3600),
        hold_degC=either(0, 9),
        held_s=either(0, 4 * 86400),
        centre_degC=either(-25, -10),
        in_freezer_s=either(0, 5 * 86400),
        buyer=rng.choice(["household", "restaurant", "retail_store"], BIRDS),
        venue=rng.choice(["farm", "farmers_market", "delivery"], BIRDS),
        form=rng.choice(["whole", "parts", "further_processed"], BIRDS),
        leaves_state=rng.random(BIRDS) < 0.02,
    )


def one_by_one(profile: Profile, tier: str, birds: BirdTable) -> dict[str, np.ndarray]:
    """The same rules, one bird after the other, as the pages ask them."""
    found = {code: np.zeros(BIRDS, dtype=bool) for code in CODES}
    counted, most = 0, tier_of(profile, tier).most
    for n in range(BIRDS):
        counted += weighted(tier_of(profile, tier), {str(birds.kind[n]): 1})
        found["count.over_cap"][n] = most is not None and counted > most
        judged = (
            *chill_findings(
                profile, mass_kg=float(birds.mass_kg[n]),
                temperature_degC=float(birds.carcass_degC[n]),
                since_start_s=float(birds.since_start_s[n]),
            ),
            *giblet_findings(
                profile, temperature_degC=float(birds.giblets_degC[n]),
                since_drawn_s=float(birds.since_drawn_s[n]),
            ),
            *hold_findings(
                profile, temperature_degC=float(birds.hold_degC[n]), held_s=float(birds.held_s[n])
            ),
            *freeze_findings(
                profile, centre_degC=float(birds.centre_degC[n]),
                in_freezer_s=float(birds.in_freezer_s[n]),
            ),
            *sale_findings(
                profile, tier, buyer=str(birds.buyer[n]), venue=str(birds.venue[n]),
                form=str(birds.form[n]), leaves_state=bool(birds.leaves_state[n]),
            ),
        )  # fmt: skip
        for finding in judged:
            found[finding.code][n] = True
    return found


def main() -> None:
    """Print both times and their ratio for three profiles; fail where an answer differs."""
    birds, same = made(np.random.default_rng(11)), True
    for name, tier in (
        ("us-federal", "producer_20000"),
        ("us-co", "producer_1000"),
        ("us-wa", "producer_1000"),
    ):
        profile = load(name)
        begin = time.perf_counter()
        at_once = judge_birds(profile, tier, birds)
        at_once_s = time.perf_counter() - begin
        begin = time.perf_counter()
        singly = one_by_one(profile, tier, birds)
        singly_s = time.perf_counter() - begin
        nothing = np.zeros(BIRDS, dtype=bool)
        equal = all((at_once.get(code, nothing) == singly[code]).all() for code in CODES)
        equal = equal and set(at_once) <= set(CODES)
        same = same and equal
        print(
            f"{name}, {BIRDS} birds: at once {at_once_s:.3f} s (goal {GOAL_S} s),"
            f" one by one {singly_s:.2f} s, ratio {singly_s / at_once_s:.0f},"
            f" answers {'equal' if equal else 'DIFFERENT'},"
            f" {sum(int(flags.sum()) for flags in singly.values())} findings"
        )
    sys.exit(0 if same else 1)


if __name__ == "__main__":
    main()
