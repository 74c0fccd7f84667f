"""Thirty seasons at random: the plan against the rule of thumb, both under the same luck.

The rule: equal lots, evenly spaced, n over s chicks for n birds, each processed at once.

Run: python benchmarks/season_thumb.py
"""

import datetime as dt
import sys
import time

import numpy as np

from pinfeather.season.luck import try_luck
from pinfeather.season.request import request_from
from pinfeather.season.solve import solve
from pinfeather.season.thumb import thumb_plan
from pinfeather.season.yields import tables_of

SEASONS, LUCK, GAP, LIMIT_S = 30, 300, 0.01, 1.4
START = dt.date(2027, 3, 1)


def on(day: int) -> str:
    """A date of the season."""
    return (START + dt.timedelta(days=day)).isoformat()


def mapping(seed: int) -> dict[str, object]:
    """A farm at random: one or two kinds of chicken and holiday turkeys."""
    rng = np.random.default_rng(seed)
    every = int(rng.choice([3, 4]))
    first = 75 + int(rng.integers(0, 10))
    orders: list[dict[str, object]] = [
        {
            "name": f"standing {i}", "kinds": ["CH"], "low": f"{rng.uniform(3, 3.8):.1f} lb",
            "birds": int(rng.integers(8, 24)), "price": f"${rng.uniform(5.5, 6.8):.2f}/lb",
            "firm": "no", "miss": "$4",
            "dates": [on(d) for d in range(first + 7 * i, 260, int(rng.choice([21, 28])))],
        }
        for i in range(int(rng.integers(1, 3)))
    ]  # fmt: skip
    orders.append(
        {
            "name": "turkeys", "kinds": ["TK"], "low": f"{rng.uniform(11, 14):.1f} lb",
            "birds": int(rng.integers(12, 30)), "price": "$5.4/lb", "date": on(268),
            "firm": "no", "miss": "$10",
        }
    )  # fmt: skip
    return {
        "name": f"season {seed}", "today": "2027-02-01", "from": on(0), "until": on(285),
        "money": {"rest": "$1.20/lb"},
        "least_batch": 10,
        "days": {
            "weekdays": ["sat"], "every": every, "from": on(60), "until": on(275),
            "crew": f"{int(rng.integers(18, 32))} h", "setup": "5 h", "cost": "$60",
        },
        "cold": {"freezer": f"{int(rng.integers(500, 1200))} lb", "fresh_for": "5 d"},
        "feed": {"prices": [{"species": "chicken", "price": f"${rng.uniform(0.4, 0.52):.2f}/lb"},
                            {"species": "turkey", "price": "$0.5/lb"}]},
        "brooders": [{"name": "shed", "floor": f"{int(rng.integers(50, 110))} ft2"},
                     {"name": "lean-to", "floor": "60 ft2"}],
        "kinds": [
            {
                "code": "CH", "name": "Chicken", "species": "chicken", "growth_spread": "5 %",
                "growth": f"{int(rng.integers(92, 108))} %", "chick_price": "$2.10",
                "order_by": 25, "order_least": 50, "order_most": 200, "age_from": "45 d",
                "age_until": "77 d", "lot_cost": "$35", "bird_cost": "$0.85",
                "hatch": {"weekdays": ["tue"], "every": 4, "from": on(7), "until": on(200)},
            },
            {
                "code": "TK", "name": "Turkey", "species": "turkey", "growth_spread": "6 %",
                "chick_price": "$9", "order_by": 5, "order_least": 15, "order_most": 60,
                "age_from": "98 d", "age_until": "140 d", "lot_cost": "$35", "bird_cost": "$2.50",
                "hatch": {"dates": [on(120), on(134), on(148)]},
            },
        ],
        "orders": orders,
        "stock": [{"name": "freezer", "kinds": ["CH"], "low": "3 lb",
                   "price": f"${rng.uniform(4.8, 5.6):.2f}/lb",
                   "most_a_week": f"{int(rng.integers(20, 70))} lb", "from": on(80)}],
    }  # fmt: skip


def main() -> int:
    """Print profit and orders met by both, season by season in short, and the margin."""
    begin, rows = time.perf_counter(), []
    for seed in range(SEASONS):
        request = request_from(mapping(seed))
        tables = tables_of(request)
        plan, _model, _solved = solve(request, tables, gap_frac=GAP, limit_s=LIMIT_S)
        if not plan.found:
            print(f"season {seed}: nothing found in {LIMIT_S} s")
            return 1
        ours, theirs = (
            try_luck(request, tables, one, rng=np.random.default_rng(seed), seasons=LUCK)
            for one in (plan, thumb_plan(request, tables))
        )
        rows.append(
            (
                ours.profit_mean_cents / 100,
                theirs.profit_mean_cents / 100,
                100 * ours.orders_met_frac,
                100 * theirs.orders_met_frac,
                100 * plan.gap_frac,
            )
        )
    plan_usd, thumb_usd, plan_met, thumb_met, gap = np.array(rows).T
    better = int((plan_usd > thumb_usd).sum())
    print(f"{SEASONS} seasons, {LUCK} random courses each, {time.perf_counter() - begin:.0f} s")
    print(f"profit: plan ${plan_usd.mean():,.0f}, rule of thumb ${thumb_usd.mean():,.0f}")
    print(
        f"margin ${(plan_usd - thumb_usd).mean():,.0f} a season"
        f" ({100 * (plan_usd.mean() / thumb_usd.mean() - 1):.0f} %),"
        f" better in {better} of {SEASONS}"
    )
    print(f"orders met: plan {plan_met.mean():.1f} %, rule of thumb {thumb_met.mean():.1f} %")
    print(f"gap of the plans: {gap.mean():.1f} % on average, {gap.max():.1f} % at most")
    return 0


if __name__ == "__main__":
    sys.exit(main())
