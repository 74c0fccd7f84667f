"""A season of 40 weeks, 3 species, 12 possible lots and 20 possible days: gap and time.

The reference is the same season with its whole numbers let go (a plain linear program): what the
whole numbers cost in time, and how near the plan comes to the best.

Run: python benchmarks/season_plan.py
"""

import datetime as dt
import sys
import time

from pinfeather.season.check import broken_limits
from pinfeather.season.model import season_model
from pinfeather.season.request import request_from
from pinfeather.season.solve import solve
from pinfeather.season.yields import tables_of

WEEKS, LIMIT_S, GAP = 40, 30.0, 0.01
START = dt.date(2027, 3, 1)


def on(week: float, weekday: int = 0) -> str:
    """A date of the season."""
    return (START + dt.timedelta(days=round(7 * week) + weekday)).isoformat()


def mapping() -> dict[str, object]:
    """The season, as a file would hold it."""
    days = [on(w, 5) for w in range(10, 40) if w % 3 != 1][:20]
    chicken, turkey, duck = (
        [on(w, 1) for w in weeks] for weeks in ((2, 6, 10, 14, 18, 22), (15, 18, 21), (5, 13, 21))
    )
    return {
        "name": "forty weeks",
        "today": "2027-02-01",
        "from": on(0),
        "until": on(WEEKS),
        "least_batch": 10,
        "money": {"in_hand": "$3000", "hour": "$6/h", "rest": "$1.20/lb"},
        "days": {"dates": days, "crew": "30 h", "setup": "5 h", "cost": "$60"},
        "cold": {
            "chill": "800 lb", "refrigerator": "600 lb", "freezer": "1000 lb", "fresh_for": "5 d",
        },
        "pens": {"floor": "1200 ft2"},
        "feed": {
            "store": "4000 lb",
            "prices": [
                {"species": s, "price": p}
                for s, p in (("chicken", "$0.45/lb"), ("turkey", "$0.5/lb"), ("duck", "$0.46/lb"))
            ],
        },
        "brooders": [{"name": "shed", "floor": "110 ft2"}, {"name": "lean-to", "floor": "70 ft2"}],
        "kinds": [
            {
                "code": "CH", "name": "Chicken", "species": "chicken", "growth_spread": "5 %",
                "chick_price": "$2.10", "order_by": 25, "order_least": 25, "order_most": 200,
                "age_from": "45 d", "age_until": "77 d", "lot_cost": "$35", "bird_cost": "$0.85",
                "hatch": {"dates": chicken},
            },
            {
                "code": "TK", "name": "Turkey", "species": "turkey", "growth_spread": "6 %",
                "chick_price": "$9", "order_by": 5, "order_least": 15, "order_most": 60,
                "age_from": "98 d", "age_until": "140 d", "lot_cost": "$35", "bird_cost": "$2.50",
                "hatch": {"dates": turkey},
            },
            {
                "code": "DK", "name": "Duck", "species": "duck", "growth_spread": "6 %",
                "chick_price": "$6", "order_by": 10, "order_least": 20, "order_most": 60,
                "age_from": "42 d", "age_until": "63 d", "lot_cost": "$35", "bird_cost": "$1.40",
                "hatch": {"dates": duck},
            },
        ],
        "orders": [
            {
                "name": "standing", "kinds": ["CH"], "low": "3.5 lb", "high": "6 lb", "birds": 12,
                "price": "$6.25/lb", "dates": [on(w, 5) for w in range(14, 38, 3)],
            },
            {
                "name": "kitchen", "kinds": ["CH"], "low": "3 lb", "weight": "60 lb",
                "price": "$6/lb", "dates": [on(w, 5) for w in range(16, 36, 4)],
            },
            {
                "name": "ducks", "kinds": ["DK"], "birds": 12, "price": "$34 each", "firm": "no",
                "dates": [on(w, 5) for w in (20, 30)],
            },
            {
                "name": "turkeys", "kinds": ["TK"], "low": "12 lb", "high": "19 lb", "birds": 16,
                "price": "$5.5/lb", "date": on(38, 2), "keep": "either",
            },
        ],
        "stock": [
            {
                "name": "freezer", "kinds": ["CH"], "low": "3 lb", "price": "$5.4/lb",
                "most_a_week": "60 lb", "from": on(10),
            },
            {
                "name": "freezer ducks", "kinds": ["DK"], "price": "$7.5/lb",
                "most_a_week": "10 lb", "from": on(12),
            },
        ],
    }  # fmt: skip


def main() -> int:
    """Print size, gap and seconds; fail if the plan breaks a limit or nothing is found."""
    request = request_from(mapping())
    begin = time.perf_counter()
    tables = tables_of(request)
    tables_s = time.perf_counter() - begin
    lots = [s for s in tables.sources if any(b.source == i for i, b in enumerate(tables.batches))]
    print(
        f"{WEEKS} weeks, {len(request.kinds)} species, {len(tables.sources)} lots,"
        f" {len(request.days)} days, {len(request.orders)} orders; tables {tables_s:.2f} s"
    )
    assert len(lots) <= len(tables.sources) == 12
    loose = season_model(request, tables).program
    whole = sum(loose.whole)
    print(f"{len(loose.low)} columns, {whole} whole, {len(loose.rows)} rows")
    loose.whole = [False] * len(loose.low)
    begin = time.perf_counter()
    loose.solve(gap_frac=0.0, limit_s=LIMIT_S)
    loose_s = time.perf_counter() - begin
    begin, busy = time.perf_counter(), time.process_time()
    plan, _model, _solved = solve(request, tables, gap_frac=GAP, limit_s=LIMIT_S)
    plan_s, busy_s = time.perf_counter() - begin, time.process_time() - busy
    if plan.sums is None:
        print("no plan found")
        return 1
    print(f"profit ${plan.sums.profit_cents / 100:,.0f}, at best ${plan.bound_cents / 100:,.0f}")
    print(
        f"gap {100 * plan.gap_frac:.2f} % in {plan_s:.1f} s, {busy_s:.1f} s of them at work"
        f" (aim: 1 % in 30 s); ratio to the linear program {plan_s / loose_s:.0f}"
    )
    broken = broken_limits(request, tables, plan)
    print(f"limits broken: {len(broken)}")
    return 1 if broken else 0


if __name__ == "__main__":
    sys.exit(main())
