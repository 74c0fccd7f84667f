"""The season's plan against a published lot-sizing example."""

import datetime as dt
import math
import pathlib
import tomllib
from decimal import Decimal

import numpy as np

from pinfeather.flock.curves import reference_curve
from pinfeather.season.asked import Cap, Cold, Kind, Order, ProcessingDay, SeasonRequest
from pinfeather.season.check import broken_limits
from pinfeather.season.solve import solve
from pinfeather.season.yields import Batch, Source, Tables

PATH = pathlib.Path(__file__).parent / "data" / "season_wagner_whitin_1958.toml"
KNOWN = tomllib.loads(PATH.read_text(encoding="utf-8"))["rows"][0]
START = dt.date(2027, 1, 1)


def month(i: int) -> dt.date:
    return START + dt.timedelta(days=30 * i)


def lot_of(i: int) -> Kind:
    """A lot that can be started in month i and be drawn from in any later one."""
    return Kind(
        code=f"M{i}", name="unit", species="chicken", curve=reference_curve("nrc_1984"),
        dressing=("chicken",), growth_ratio=1.0, growth_sd_frac=0.0, share_male=0.5,
        setting="usual", arrival_loss_frac=0.0, chick_cents=Decimal(0), hatch_on=(month(i),),
        step=1, least=1, most=sum(KNOWN["demand"]), ahead_d=0, travel_d=0, brooder_d=0,
        from_d=0, until_d=400, pen_m2=0.0, lot_cents=100 * KNOWN["setup"][i],
    )  # fmt: skip


def test_twelve_months_of_wagner_and_whitin_cost_what_they_published() -> None:
    n = len(KNOWN["demand"])
    kinds = tuple(lot_of(i) for i in range(n))
    days = tuple(ProcessingDay(month(i), 1.0, 0.0, None, 0) for i in range(n))
    orders = tuple(
        Order(f"o{i}", f"o{i}", tuple(k.code for k in kinds), 0.0, math.inf, demand, None,
              month(i), "fresh", Decimal(0), Decimal(0), firm=True, miss_cents=Decimal(0))
        for i, demand in enumerate(KNOWN["demand"])
    )  # fmt: skip
    request = SeasonRequest(
        name="", today=START, from_on=START, until_on=month(n), aim="cost", chance_frac=0.5,
        profile="", tier="", cap=Cap(None, None, {}, 0), kinds=kinds, brooders=(), days=days,
        orders=orders, stock=(), standing=(), feed_prices=(), cold=Cold(fresh_d=0),
    )  # fmt: skip
    batches = tuple(
        Batch(i, k, month(k), 30 * (k - i), 1.0, 1.0, (1.0,), (1.0,), (1.0,), (0.0,),
              100.0 * KNOWN["holding"] * (k - i))
        for i in range(n)
        for k in range(i, n)
    )  # fmt: skip
    nothing = np.zeros(800)
    tables = Tables(
        tuple(Source(kind, kind.hatch_on[0]) for kind in kinds), days, batches,
        {kind.code: (0.0, math.inf) for kind in kinds}, (nothing,) * n, (nothing,) * n, START,
    )  # fmt: skip

    plan, _model, _solved = solve(request, tables, gap_frac=0.0)

    assert plan.sums is not None
    assert plan.proven
    assert -plan.sums.profit_cents == 100 * KNOWN["answer"]
    assert broken_limits(request, tables, plan) == ()
