"""Books balance, read back by a parser of the test's own; differences have parts that add up."""

import datetime as dt
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pinfeather.errors import InputError, InputFaultsError
from pinfeather.money.costing import View, charge
from pinfeather.money.entries import Batch, CostEntry, Kind, Scope
from pinfeather.money.equipment import Equipment, wear_entries
from pinfeather.money.income import Event, Income, deposits, sales_by_lot, stock_at_cost
from pinfeather.money.ledger import (
    HEADER,
    Transaction,
    balances,
    import_rows,
    plain_text,
    transactions,
)
from pinfeather.money.season_report import Books, cash_by_month, reports, year_report
from pinfeather.money.tax import farm_schedule, macrs
from pinfeather.money.variance import FACTORS, LotFigures, cost_of_pound, difference

DAY = dt.date(2026, 9, 12)


def parsed(text):
    """Read plain-text double entry: an independent reader, knowing only the plain rules."""
    found, current = [], None
    for line in text.split("\n"):
        if not line.strip():
            current = None
        elif not line[0].isspace():
            day, words = line.split(" ", 1)
            current = (dt.date.fromisoformat(day), words, [])
            found.append(current)
        else:
            name, amount = line.strip().rsplit("  ", 1)
            current[2].append((name.strip(), Decimal(amount.strip())))
    return found


words = st.text(st.characters(exclude_categories=["Cs"]), max_size=30)
days = st.dates(dt.date(2025, 1, 1), dt.date(2027, 12, 31))
costs_st = st.lists(
    st.builds(
        lambda n, on, kind, cents, what: CostEntry(f"c{n}", on, kind, cents, what=what),
        st.integers(0, 10**6), days, st.sampled_from(list(Kind)), st.integers(-999, 10**7), words,
    ),
    max_size=12,
)  # fmt: skip
income_st = st.lists(
    st.builds(
        lambda n, on, event, cents, used, what: Income(
            f"i{n}", on, event, cents, min(used, cents) if event is Event.SALE else 0, what=what
        ),
        st.integers(0, 10**6), days, st.sampled_from(list(Event)), st.integers(1, 10**6),
        st.integers(0, 10**6), words,
    ),
    max_size=12,
)  # fmt: skip
things_st = st.lists(
    st.builds(
        lambda n, on, price, life: Equipment(f"g{n}", "Plucker", on, price, 0, life),
        st.integers(0, 10**6), days, st.integers(0, 10**7), st.integers(1, 20),
    ),
    max_size=4,
)  # fmt: skip


@given(costs_st, income_st, things_st)
def test_the_text_read_back_by_another_reader_has_every_cent_and_balances(costs, income, things):
    books = transactions(costs, income, things)
    back = parsed(plain_text(books))
    assert len(back) == len(books)
    sums = {}
    for (day, _words, postings), one in zip(back, books, strict=True):
        assert day == one.on
        assert sum(amount for _n, amount in postings) == 0
        for name, amount in postings:
            sums[name] = sums.get(name, 0) + amount
    assert {n: int(a * 100) for n, a in sums.items()} == dict(balances(books))
    assert sum(balances(books).values()) == 0


@given(costs_st, income_st, things_st)
def test_the_cash_account_is_the_till_of_all_years(costs, income, things):
    books = Books(tuple(costs), (), tuple(things), tuple(income))
    till = cash_by_month(books, 2027)[11].balance_cents
    assert balances(transactions(costs, income, things)).get("assets:cash", 0) == till


@given(costs_st, income_st)
def test_rows_have_a_debit_or_a_credit_and_both_columns_are_equal(costs, income):
    rows = import_rows(transactions(costs, income, []))
    assert all(len(row) == len(HEADER) and bool(row[3]) != bool(row[4]) for row in rows)
    assert sum(Decimal(r[3] or 0) for r in rows) == sum(Decimal(r[4] or 0) for r in rows)


def test_a_cent_apart_is_refused():
    with pytest.raises(InputError):
        Transaction("x", DAY, "x", (("assets:cash", 1000), ("income:sales", -999)))
    with pytest.raises(InputError):
        Transaction("x", DAY, "x", (("cash", 1000), ("income:sales", -1000)))


def test_american_dates_on_request():
    books = transactions([CostEntry("c", DAY, Kind.ICE, 500)], [], [])
    assert import_rows(books, us_dates=True)[0][1] == "09/12/2026"


def test_own_hours_are_not_booked_and_wear_goes_against_the_equipment():
    gear = Equipment("g", "Plucker", DAY, 90000, 0, 5)
    entries = [CostEntry("h", DAY, Kind.OWN_LABOUR, 777), *wear_entries([gear], 2026)]
    found = balances(transactions(entries, [], [gear]))
    assert "expenses:own labour" not in found
    assert found["assets:equipment"] == 90000 - found["expenses:equipment"]


def test_a_deposit_is_a_debt_and_using_more_than_was_paid_down_is_told():
    events = [
        Income("a", DAY, Event.DEPOSIT, 1000),
        Income("b", DAY, Event.SALE, 2550, 1000),
        Income("c", DAY, Event.DEPOSIT, 2000),
        Income("d", DAY, Event.REFUND, 500),
        Income("e", DAY, Event.KEPT, 300),
    ]
    found = deposits(events, first=DAY, last=DAY)
    assert (found.received_cents, found.applied_cents, found.owed_cents) == (3000, 1000, 1200)
    assert deposits(events[1:2], first=DAY, last=DAY).owed_cents == -1000
    short = year_report(replace(BOOKS, income=tuple(events[1:2])), 2026)
    assert "money.deposits_below" in {f.code for f in short.findings}
    with pytest.raises(InputError):
        Income("f", DAY, Event.SALE, 500, 600)


@given(st.integers(0, 5000), st.integers(0, 40000))
def test_stock_and_what_left_it_add_up_to_the_batch(hundredths, cost):
    batch = Batch("A", "chicken", DAY, 10, 10, Decimal("50.00"))
    charged = charge([CostEntry("a", DAY, Kind.FEED, cost, Scope.LOT, "A")], [batch])
    (held,) = stock_at_cost(charged, {("A", DAY): Decimal(hundredths) / 100})
    exact = Fraction(cost * hundredths, 5000)
    assert abs(held.cents - exact) < 1


def test_more_in_store_than_packed_is_refused():
    batch = Batch("A", "chicken", DAY, 10, 10, Decimal(50))
    with pytest.raises(InputError):
        stock_at_cost(charge([], [batch]), {("A", DAY): Decimal(51)})
    with pytest.raises(InputError):
        stock_at_cost(charge([], [batch]), {("B", DAY): Decimal(1)})


BOOKS = Books(
    costs=(
        CostEntry("c1", dt.date(2026, 6, 1), Kind.CHICKS, 20500, Scope.LOT, "A"),
        CostEntry("c2", dt.date(2026, 7, 1), Kind.FEED, 46000, Scope.LOT, "A"),
        CostEntry("c3", DAY, Kind.OWN_LABOUR, 36000, Scope.DAY, DAY.isoformat(), hours=Decimal(20)),
        CostEntry("c4", DAY, Kind.LICENCE, 9000),
        CostEntry("c5", dt.date(2026, 11, 1), Kind.CHICKS, 10000, Scope.LOT, "W"),
    ),
    batches=(Batch("A", "chicken", DAY, 100, 92, Decimal(380)),),
    things=(Equipment("g", "Plucker", dt.date(2026, 5, 1), 96000, 0, 8),),
    income=(
        Income("s1", DAY, Event.SALE, 165000, 0, "A", sold_lb=Decimal(300)),
        Income("d1", DAY, Event.DEPOSIT, 5000),
    ),
    held_lb={("A", DAY): Decimal(80)},
)


def test_a_year_holds_together():
    found = year_report(BOOKS, 2026)
    full = found.totals[View.FULL]
    assert full.total_cents == 20500 + 46000 + 36000 + 9000 + 8000
    assert found.outside_cents == 10000
    assert found.own_hours == 20
    assert found.to_come_cents == 80 * 550
    assert found.pay_cents_per_h == (165000 + 44000 - 83500) // 20
    assert found.stock_cents == (119500 * 80 + 190) // 380
    assert found.gear_cents == 88000
    assert found.deposits.owed_cents == 5000
    assert found.cash[11].balance_cents == 165000 + 5000 - 85500 - 96000
    assert found.first_year.all_at_once_cents - found.first_year.over_its_life_cents == 88000
    assert found.schedule.left_out_cents == 36000
    assert found.schedule.net_cents == 165000 - 85500
    assert found.prices[0].price_cents == 220
    assert sales_by_lot(BOOKS.income, year=2026) == {"A": 165000}
    assert {f.code for f in found.findings} == {"money.deposits_owed", "money.unsold"}


def test_a_lot_dressed_in_two_years_is_charged_once():
    later = Batch("A", "chicken", dt.date(2027, 1, 9), 30, 30, Decimal(120))
    books = replace(BOOKS, batches=(*BOOKS.batches, later), things=())
    both = [y.totals[View.FULL].total_cents for y in reports(books, [2026, 2027])]
    outside = reports(books, [2026, 2027])[1].outside_cents
    assert sum(both) + 10000 == sum(c.cents for c in books.costs)
    assert outside == 10000


def test_birds_still_alive_hold_their_part_of_the_lot():
    alive = Batch("A", "chicken", DAY, 46, 46, Decimal(0), outside=True)
    found = year_report(replace(BOOKS, batches=(*BOOKS.batches, alive), things=()), 2026)
    part = (20500 + 46000) * 46 // 138
    assert abs(found.outside_cents - part - 10000) <= 1
    full = found.totals[View.FULL].total_cents
    assert full + found.outside_cents == sum(c.cents for c in BOOKS.costs)


def test_what_is_brought_back_is_no_sale():
    back = Income("r1", DAY, Event.RETURN, 5000, 0, "A", sold_lb=Decimal(10))
    found = year_report(replace(BOOKS, income=(*BOOKS.income, back)), 2026)
    assert (found.sales_cents, found.sold_lb) == (160000, 290)
    assert found.sales_by_lot == {"A": 160000}


def test_an_empty_year_says_so():
    found = year_report(BOOKS, 2031)
    assert found.totals == {}
    assert found.findings[0].code == "money.no_birds"
    with pytest.raises(InputError):
        year_report(BOOKS, 26)


def test_a_kind_without_a_line_is_refused():
    with pytest.raises(InputError):
        farm_schedule({"yachts": 1}, not_deducted=frozenset())
    with pytest.raises(InputError):
        macrs(1, "3-year")


def test_every_kind_that_is_paid_has_a_line():
    from pinfeather.money.entries import NOT_CASH

    sums = {kind.value: 100 for kind in Kind}
    found = farm_schedule(sums, not_deducted=frozenset(k.value for k in NOT_CASH))
    assert -found.net_cents + found.left_out_cents == 100 * len(Kind)


LOT = LotFigures(
    feed_cents_per_lb=Decimal(34),
    feed_per_gain=Decimal("2.4"),
    loss_frac=Decimal("0.06"),
    yield_frac=Decimal("0.72"),
    labour_h_per_bird=Decimal("0.4"),
    wage_cents_per_h=1800,
    chick_cents=205,
    live_lb=Decimal("5.9"),
    other_cents=300,
)
small = st.fractions(Fraction(1, 100), Fraction(9, 10), max_denominator=100)
figures = st.builds(LotFigures, small, small, small, small, small, small, small, small, small)


@settings(max_examples=25, deadline=None)
@given(figures, figures)
def test_the_parts_of_a_difference_add_up_exactly(before, after):
    found = difference(before, after)
    assert sum(part for _n, part, _c in found.parts) == cost_of_pound(after) - cost_of_pound(before)
    assert sum(cents for _n, _p, cents in found.parts) == found.difference_cents
    for name, part, cents in found.parts:
        assert getattr(before, name) != getattr(after, name) or (part, cents) == (0, 0)


@settings(max_examples=25, deadline=None)
@given(figures, figures)
def test_the_way_back_has_the_same_parts_with_the_other_sign(before, after):
    there, back = difference(before, after), difference(after, before)
    assert [p for _n, p, _c in there.parts] == [-p for _n, p, _c in back.parts]


@pytest.mark.parametrize("name", sorted(FACTORS))
def test_one_change_alone_is_the_whole_difference(name):
    worse = replace(LOT, **{name: Fraction(getattr(LOT, name)) * Fraction(9, 10)})
    found = {n: p for n, p, _c in difference(LOT, worse).parts}
    assert found[name] == cost_of_pound(worse) - cost_of_pound(LOT)


def test_dearer_feed_costs_what_it_weighs():
    dear = replace(LOT, feed_cents_per_lb=39)
    assert cost_of_pound(dear) - cost_of_pound(LOT) == 5 * Fraction("2.4") / Fraction("0.72")


def test_a_lot_that_cannot_be_is_refused():
    with pytest.raises(InputFaultsError):
        replace(LOT, yield_frac=0, chick_cents=-1)
