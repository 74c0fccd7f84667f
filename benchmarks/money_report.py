"""Twenty years at 2,000 birds a year drawn up and set, and the spread of a cost by 10,000 draws.

Run: python benchmarks/money_report.py

The reference for the report is the sums of its charges alone, done in one plain loop; the one for
the draws is as many draws without ranks. All run in the same process; times are processor times, so
that other work on the machine does not count.
"""

import datetime as dt
import time
from decimal import Decimal

import numpy as np

from pinfeather.money.costing import View
from pinfeather.money.entries import Batch, CostEntry, Driver, Kind, Scope
from pinfeather.money.equipment import Equipment
from pinfeather.money.income import Event, Income
from pinfeather.money.season_report import Books, reports
from pinfeather.money.uncertain import Spread, cost_range
from pinfeather.reports.cost_stack import CostBar, CostStack
from pinfeather.reports.money_year import MoneyTable, MoneyYearSheet, money_year_pdf

YEARS = range(2007, 2027)
LOTS_A_YEAR = 20
BIRDS_A_LOT = 100


def made(rng: np.random.Generator) -> Books:
    """Lots of a hundred on a day each, their entries, a sale for every bird, some equipment."""
    costs, batches, income, things = [], [], [], []
    for year in YEARS:
        for number in range(LOTS_A_YEAR):
            lot, day = f"{year}-{number}", dt.date(year, 3 + number % 9, 1 + number)
            birds = BIRDS_A_LOT - int(rng.integers(0, 9))
            pounds = Decimal(int(rng.integers(400, 480) * birds)) / 100
            batches.append(Batch(lot, "chicken", day, BIRDS_A_LOT, birds, pounds))
            for at, kind in enumerate((Kind.CHICKS, *[Kind.FEED] * 6, Kind.BEDDING)):
                cents = int(rng.integers(2_000, 30_000))
                costs.append(CostEntry(f"{lot}:{at}", day, kind, cents, Scope.LOT, lot))
            for kind in (Kind.ICE, Kind.PROPANE, Kind.PACKAGING, Kind.OWN_LABOUR):
                cents = int(rng.integers(1_000, 60_000))
                by = Driver.POUNDS if kind is Kind.ICE else Driver.BIRDS
                hours = 30 if kind is Kind.OWN_LABOUR else None
                costs.append(
                    CostEntry(
                        f"{lot}:{kind}", day, kind, cents, Scope.DAY, day.isoformat(), by=by,
                        hours=hours,
                    )
                )  # fmt: skip
            for bird in range(birds):
                each = int(rng.integers(1_500, 3_500))
                income.append(
                    Income(f"{lot}s{bird}", day, Event.SALE, each, lot=lot, sold_lb=Decimal("4.4"))
                )
        for at, kind in enumerate((Kind.LICENCE, Kind.INSURANCE, Kind.FUEL, Kind.SUPPLIES)):
            on = dt.date(year, 1 + at, 2)
            costs.append(CostEntry(f"{year}:{at}", on, kind, int(rng.integers(5_000, 90_000))))
        things.append(Equipment(f"g{year}", "Pen", dt.date(year, 2, 1), 80_000, 5_000, 8))
    return Books(tuple(costs), tuple(batches), tuple(things), tuple(income))


def plain_sum(books: Books) -> int:
    """Only the sums by lot, kind and year, as a spreadsheet would hold them."""
    sums: dict[tuple[int, str, str], int] = {}
    for year in YEARS:
        for one in books.costs:
            if one.on.year == year:
                key = (year, one.of, one.kind)
                sums[key] = sums.get(key, 0) + one.cents
        for sale in books.income:
            if sale.on.year == year:
                key = (year, sale.lot, "sale")
                sums[key] = sums.get(key, 0) + sale.cents
    return sum(sums.values())


def sheet(lines: int) -> MoneyYearSheet:
    """Three sheets with about as much on them as a year has."""
    bars = tuple(CostBar(f"Lot {n}", (50.0,) * 7, 350) for n in range(12))
    table = MoneyTable("Lines", ("What", "Sum", "A bird"), (("Feed", "$1.00", "$1.00"),) * lines)
    return MoneyYearSheet(
        "Farm", "A year", "", (), (), CostStack(("a",) * 7, bars, 500), (table,), (table,),
        (table,), (),
    )  # fmt: skip


def main() -> None:
    """Print the times, their ratios, and fail where the books do not hold together."""
    books = made(np.random.default_rng(11))
    begin = time.process_time()
    found = reports(books, YEARS)
    report_s = time.process_time() - begin
    begin = time.process_time()
    whole = plain_sum(books)
    plain_s = time.process_time() - begin
    begin = time.process_time()
    pdf = money_year_pdf(sheet(22), printed_at=dt.datetime(2026, 12, 31, tzinfo=dt.UTC))
    set_s = time.process_time() - begin

    birds = sum(one.birds for one in books.batches)
    told = sum(one.totals[View.FULL].total_cents for one in found)
    wear = sum(line.cents for one in found for line in one.totals[View.FULL].lines
               if line.kind is Kind.EQUIPMENT)  # fmt: skip
    costs = sum(one.cents for one in books.costs)
    sales = sum(one.sales_cents for one in found)
    assert told - wear == costs, "a cent is lost"
    assert whole == costs + sales
    print(
        f"{len(YEARS)} years, {birds:,} birds, {len(books.costs):,} costs, {len(books.income):,}"
        f" sales: drawn up in {report_s:.2f} s, plain sums {plain_s:.2f} s,"
        f" ratio {report_s / plain_s:.1f}"
    )
    print(f"setting one year's three sheets: {set_s:.2f} s, {len(pdf):,} bytes")

    lines = [Spread(f"line {n}", 10_000.0 + n, 8_000.0, 13_000.0) for n in range(20)]
    loss, weight = Spread("loss", 0.06, 0.03, 0.12), Spread("weight", 4.4, 4.0, 4.8)
    begin = time.process_time()
    band = cost_range(lines, placed=100, loss=loss, dressed_lb=weight, rng=np.random.default_rng(1))
    range_s = time.process_time() - begin
    rng = np.random.default_rng(1)
    begin = time.process_time()
    total = sum(rng.triangular(s.low, s.value, s.high, band.draws) for s in lines)
    middle = float(np.median(total))
    bare_s = time.process_time() - begin
    print(
        f"{band.draws:,} draws of {len(lines)} lines with what matters: {range_s:.3f} s, bare draws"
        f" {bare_s:.3f} s, ratio {range_s / bare_s:.1f} (middle {middle / 100:,.0f} dollars)"
    )


if __name__ == "__main__":
    main()
