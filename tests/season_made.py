"""A small invented season, asked for and answered by hand: what pages and pictures are tried on."""

from __future__ import annotations

import datetime as dt
from typing import Any

from pinfeather.estimate import Basis, Origin
from pinfeather.finding import Finding, Severity
from pinfeather.season.plan import (
    BatchPlan,
    Binding,
    CalendarRow,
    CashMonth,
    Change,
    Compared,
    DayOfSeason,
    Given,
    LotPlan,
    Luck,
    OrderChance,
    OrderPlan,
    PlanningNumber,
    Purchase,
    Relaxation,
    RoomSeries,
    SeasonPlan,
    StockPlan,
    Sums,
)

D = dt.date.fromisoformat
ONE_DAY = dt.timedelta(days=1)


def mapping(**changed: Any) -> dict[str, Any]:
    """One kind, one order, one Saturday a fortnight: as the form sends it."""
    return {
        "name": "Season 2026",
        "from": "2026-06-17",
        "until": "2026-11-30",
        "kinds": [
            {
                "code": "B", "name": "Broiler", "species": "chicken", "curve": "nrc_1994",
                "chick_price": "$2.50", "age_from": "49 d", "age_until": "70 d",
                "order_by": "5", "order_least": "15", "order_most": "100", "order_ahead": "14 d",
                "hatch": {"weekdays": ["wed"], "every": "2"},
            }
        ],
        "brooders": [{"name": "Back room", "floor": "60 ft2", "turn_round": "7 d"}],
        "orders": [
            {
                "name": "Harvest supper", "kinds": ["B"], "birds": "20", "date": "2026-09-19",
                "price": "$5.50/lb", "firm": "yes", "keep": "either",
            }
        ],
        "days": {"weekdays": ["sat"], "every": "2", "crew": "24 h", "setup": "3 h"},
        "feed": {"prices": [{"species": "chicken", "price": "$0.35/lb"}]},
        **changed,
    }  # fmt: skip


def _batch(lot: str, on: str, birds: int, *, hatch: str) -> BatchPlan:
    age = (D(on) - D(hatch)).days
    return BatchPlan(lot, D(on), birds, birds + 0.2, age, birds * 2.1, 2.1)


def _lot(code: str, hatch: str, heads: int, batches: list[BatchPlan], **kept: Any) -> LotPlan:
    born = D(hatch)
    return LotPlan(
        code=code,
        kind=kept.get("kind", "B"),
        name=kept.get("name", "Broiler"),
        species=kept.get("species", "chicken"),
        standing=kept.get("standing", False),
        heads=heads,
        order_by=born - 28 * ONE_DAY,
        hatch_on=born,
        arrive_on=born + ONE_DAY,
        out_of_brooder_on=born + 21 * ONE_DAY,
        last_on=batches[-1].on,
        brooders=("Back room",),
        processed=float(sum(b.birds for b in batches)),
        chick_cents=heads * 250,
        feed_cents=heads * 410,
        lot_cents=0,
        bird_cents=heads * 60,
        batches=tuple(batches),
    )


def plan(*, over: bool = False) -> SeasonPlan:
    """Three lots, four days, three orders, one line of the shop."""
    lots = (
        _lot("B4", "2026-05-06", 38, [_batch("B4", "2026-07-04", 36, hatch="2026-05-06")],
             standing=True),
        _lot("B5", "2026-07-15", 75,
             [_batch("B5", "2026-09-05", 40, hatch="2026-07-15"),
              _batch("B5", "2026-09-19", 31, hatch="2026-07-15")]),
        _lot("T1", "2026-07-22", 15, [_batch("T1", "2026-11-21", 13, hatch="2026-07-22")],
             kind="T", name="Turkey", species="turkey"),
    )  # fmt: skip
    days = tuple(
        DayOfSeason(
            batch.on, (batch,), batch.birds, batch.dressed_kg, 6 * 3600.0, 24 * 3600.0, 2000
        )
        for lot in lots
        for batch in lot.batches
    )
    orders = (
        _order("Harvest supper", "2026-09-19", 20, ("B5", "2026-09-19", 20.0, True), met=True),
        _order("Co-op boxes", "2026-10-10", 30, ("B5", "2026-09-05", 30.0, False), met=True),
        _order("Thanksgiving", "2026-11-24", 14, ("T1", "2026-11-21", 13.0, True), met=False,
               firm=False),
    )  # fmt: skip
    stock = StockPlan(
        "Whole birds in the shop", 97.0, 90.0, 7.0, 99000,
        ((D("2026-07-04"), 50.0), (D("2026-09-05"), 15.0), (D("2026-09-19"), 25.0),
         (D("2026-11-21"), 0.0)),
        (Given("B4", D("2026-07-04"), 0.0, 9.0, 36.0, 75.6, False),
         Given("B5", D("2026-09-19"), 0.0, 9.0, 11.0, 23.1, False)),
    )  # fmt: skip
    weeks = tuple(D("2026-06-15") + 7 * n * ONE_DAY for n in range(24))
    return SeasonPlan(
        found=True,
        gap_frac=0.004,
        bound_cents=196000,
        proven=False,
        lots=lots,
        days=tuple(sorted(days, key=lambda day: day.on)),
        orders=orders,
        stock=(stock,),
        spare_birds=4.0,
        spare_kg=8.4,
        sums=Sums(260000, 99000, 0, 0, 33000, 82000, 0, 8000, 0, 7800, 0, 195200),
        cash=(
            CashMonth(D("2026-06-01"), 0, 12000, 88000, 88000),
            CashMonth(D("2026-07-01"), 48000, 31000, 105000, 71000),
            CashMonth(D("2026-08-01"), 21000, 39000, 87000, -2500),
        ),
        purchases=(
            Purchase(D("2026-06-01"), "chicks", "Broiler chicks", 75, None, 18750),
            Purchase(D("2026-06-01"), "feed", "Feed for broilers", None, 250.0, 19290),
        ),
        calendar=(
            CalendarRow("order B5", D("2026-06-17"), "order", "Order 75 broiler chicks", "", "B5"),
            CalendarRow("hatch B5", D("2026-07-15"), "hatch", "B5 hatches", "", "B5"),
            CalendarRow("process 2026-07-04", D("2026-07-04"), "process", "Process 36 birds",
                        "36 of B4"),
            CalendarRow("pickup Harvest supper", D("2026-09-19"), "pickup", "Harvest supper",
                        "20 birds"),
        ),
        headroom=(
            RoomSeries("brooder", "Brooders", "1", weeks,
                       (0,) * 4 + (0.9, 0.9, 0.95, 0.3) + (0,) * 16, (1.0,) * 24),
            RoomSeries("freezer", "Freezer", "kg", weeks,
                       (0, 0, 75, 70, 60, 50, 40, 30, 25, 20, 18, 90, 85, 110 if over else 80)
                       + (60,) * 6 + (20,) * 4, (100.0,) * 24),
            RoomSeries("crew", "Hands", "s", weeks,
                       (0, 0, 6 * 3600) + (0,) * 8 + (6 * 3600, 0, 6 * 3600) + (0,) * 8
                       + (6 * 3600, 0), (24 * 3600.0,) * 24),
            RoomSeries("feed", "Feed store", "kg", weeks, (120.0,) * 24, (float("inf"),) * 24),
            RoomSeries("cap", "Yearly cap", "birds", weeks,
                       (60.0,) * 3 + (96.0,) * 9 + (136.0, 167.0) + (180.0,) * 10,
                       (1000.0,) * 24),
        ),
        binding=(
            Binding("brooder", "The brooder is full from 15 July to 5 August.",
                    "20 more chicks of brooder room", 12500, 14100, "solved again"),
        ),
        luck=Luck(
            400, 120000, 190000, 240000, 186000, 0.91, 0.88, 0.01, 0.0, 0.02,
            tuple(
                OrderChance(one.key, share, share + 0.03)
                for one, share in zip(orders, (0.93, 0.88, 0.41), strict=True)
            ),
        ),
        compared=Compared(150000, 186000, 0.72, 0.91),
        changes=(Change("day", "2026-09-05", True, "5 September: 40 birds instead of 34."),),
        numbers=(
            PlanningNumber("Broiler: growth against the table", "96 %",
                           Basis(Origin.OWN, "your last 2 lots", "measured")),
        ),
        findings=(
            Finding("season.cash_low", Severity.CHECK, "Cash falls below nothing in August.",
                    "The feed is paid before the birds are sold."),
        ),
    )  # fmt: skip


def _order(
    name: str, on: str, birds: int, part: tuple[str, str, float, bool], *, met: bool,
    firm: bool = True,
) -> OrderPlan:  # fmt: skip
    lot, day, given, fresh = part
    return OrderPlan(
        key=f"{name} {on}",
        name=name,
        on=D(on),
        firm=firm,
        wanted_birds=birds,
        wanted_kg=None,
        given_birds=given,
        given_kg=given * 2.1,
        met=met,
        income_cents=round(given * 2300),
        parts=(Given(lot, D(day), 1.5, 3.0, given, given * 2.1, fresh),),
    )


def impossible() -> SeasonPlan:
    """No plan; what would make one."""
    return SeasonPlan(
        found=False,
        gap_frac=0.0,
        bound_cents=0,
        proven=False,
        relaxations=(
            Relaxation("brooder", "Back room", 12.0, "birds",
                       "Room for 12 more chicks in Back room."),
        ),
        findings=(
            Finding("season.none", Severity.STOP, "No plan meets every promised order.",
                    "Harvest supper needs 20 birds by 19 September."),
        ),
    )  # fmt: skip
