"""Budgets, capital cost, joint cost, prices and books against what others printed."""

import datetime as dt
import pathlib
import tomllib
from decimal import Decimal
from fractions import Fraction

import pytest

from pinfeather.money.cents import half_up, share_out
from pinfeather.money.costing import charge, cost
from pinfeather.money.entries import Batch, CostEntry, Kind, Scope
from pinfeather.money.equipment import annuity, payment, recovery_factor
from pinfeather.money.income import Event, Income, deposits
from pinfeather.money.joint import Product, Way, further_work, lost_value, share_joint
from pinfeather.money.ledger import Transaction, balances, transactions
from pinfeather.money.price import (
    break_even,
    margin_of_markup,
    markup_of_margin,
    price_from_margin,
    price_from_markup,
    units_to_break_even,
)
from pinfeather.money.survey import elasticity
from pinfeather.money.tax import macrs, macrs_columns

DATA = pathlib.Path(__file__).parent / "data"
DAY = dt.date(2026, 9, 12)
KINDS = list(Kind)


def source(name):
    return tomllib.loads((DATA / f"money_{name}.toml").read_text(encoding="utf-8"))


def rows(name, what=None, table="rows"):
    found = [r for r in source(name)[table] if what is None or r["what"] == what]
    assert found
    return found


def cents(dollars):
    exact = Decimal(dollars) * 100
    assert exact == int(exact)
    return int(exact)


def named(row):
    return row.get("variant") or row.get("name") or "-".join(str(v) for v in row.values())[:60]


def charged_lines(row):
    """A budget as entries of one lot, charged to its birds."""
    birds = row.get("birds", 1)
    entries = [
        CostEntry(name, DAY, KINDS[at], cents(amount), Scope.LOT, "X", what=name)
        for at, (name, amount) in enumerate(row["lines"].items())
    ]
    batch = Batch("X", "chicken", DAY, birds, birds, Decimal(row.get("pounds", "1")))
    (group,) = cost(charge(entries, [batch]))
    return group


@pytest.mark.parametrize("row", rows("budgets"), ids=named)
def test_a_published_budget_adds_up_to_what_was_printed(row):
    group = charged_lines(row)
    assert group.total_cents == cents(row.get("total", row.get("printed_total")))
    if "printed_per_lb" in row:
        assert group.per_lb_cents == cents(row.get("per_lb", row["printed_per_lb"]))
    if "per_bird" in row:
        assert group.per_bird_cents == cents(row["per_bird"])
    for name, parts in row.get("parts", {}).items():
        assert sum(cents(row["lines"][part]) for part in parts) == cents(row["printed_parts"][name])


@pytest.mark.parametrize(
    "row", [r for r in rows("budgets") if "printed_per_lb" in r and "lines" in r], ids=named
)
def test_the_break_even_price_is_the_printed_one(row):
    total = cents(row["printed_total"])
    (found,) = break_even(total, dressed_lb=Decimal(row["pounds"]), hours=0, pays_cents=[0])
    assert found.price_cents == cents(row.get("per_lb", row["printed_per_lb"]))
    if "price_times_weight" in row:
        back = half_up(found.price_cents * Fraction(row["pounds"]))
        assert back == cents(row["price_times_weight"])


@pytest.mark.parametrize("row", [r for r in rows("budgets") if "sold" in r], ids=named)
def test_the_printed_sale_of_1931_comes_out(row):
    sold = row["sold"]
    revenue = sold["birds"] * Fraction(sold["pounds_each"]) * cents(sold["price"])
    assert half_up(revenue) == cents(sold["revenue"])


@pytest.mark.parametrize("row", rows("budgets", table="survivors"), ids=named)
def test_the_living_carry_the_dead(row):
    living = row.get("living") or half_up(row["bought"] * (1 - Fraction(row["loss"])))
    entry = CostEntry("a", DAY, Kind.CHICKS, row["bought"] * cents(row["each"]), Scope.LOT, "X")
    batch = Batch("X", "turkey", DAY, row["bought"], living, Decimal(1))
    assert cost(charge([entry], [batch]))[0].per_bird_cents == cents(row["printed"])


@pytest.mark.parametrize("row", rows("budgets", table="feed"), ids=named)
def test_a_feed_price_rounded_early_loses_cents_and_ours_is_not(row):
    exact = Fraction(cents(row["bag"])) / Fraction(row["bag_lb"])
    assert half_up(exact * Fraction(row["eaten_lb"])) == cents(row["exact"])
    assert half_up(exact) * Fraction(row["eaten_lb"]) == cents(row["printed"])


@pytest.mark.parametrize("row", rows("budgets", table="margins"), ids=named)
def test_margin_and_markup_are_told_apart(row):
    cost_cents, price = cents(row["cost"]), cents(row["price"])
    margin, markup = Fraction(price - cost_cents, price), Fraction(price - cost_cents, cost_cents)
    assert round(float(margin) * 100, 1) == float(row["margin_percent"])
    assert round(float(markup) * 100, 1) == float(row["markup_percent"])
    assert margin_of_markup(markup) == margin
    assert markup_of_margin(margin) == markup
    assert price_from_margin(cost_cents, margin) == price
    assert price_from_markup(cost_cents, markup) == price


@pytest.mark.parametrize("row", rows("capital", "recovery"), ids=named)
def test_capital_recovery_is_the_printed_one(row):
    found = annuity(
        cents(row["price"]),
        salvage_cents=cents(row["salvage"]),
        rate_frac=Decimal(row["rate"]),
        years=row["years"],
    )
    assert abs(Decimal(found) / 100 - Decimal(row["answer"])) <= Decimal(row["tolerance"])


@pytest.mark.parametrize("row", rows("capital", "factor"), ids=named)
def test_recovery_factors_are_the_printed_ones(row):
    found = recovery_factor(Decimal(row["rate"]), row["years"])
    assert abs(found - Decimal(row["answer"])) <= Decimal(row["tolerance"])


@pytest.mark.parametrize("row", rows("capital", "payment"), ids=named)
def test_a_loan_payment_is_the_printed_one(row):
    found = payment(cents(row["sum"]), rate_frac=Decimal(row["rate"]), periods=row["periods"])
    assert abs(float(found) / 100 - float(row["answer"])) <= float(row["tolerance"])


@pytest.mark.parametrize("row", rows("capital", "macrs"), ids=named)
def test_depreciation_tables_are_the_printed_ones(row):
    found = macrs(cents(row["cost"]), row["column"])
    assert [str(one.dollars) for one in found][: len(row["answer"])] == row["answer"]


@pytest.mark.parametrize("column", macrs_columns())
def test_each_depreciation_column_adds_up_to_a_hundred(column):
    assert sum(one.percent for one in macrs(0, column)) == 100


def products(row):
    return [
        Product(
            one["name"],
            Decimal(one["weight"]),
            cents(one["sales"]) if "sales" in one else None,
            cents(one.get("final", one.get("sales"))),
            cents(one.get("further", "0")),
        )
        for one in row["products"]
    ]


@pytest.mark.parametrize("row", rows("joint"), ids=named)
def test_a_joint_cost_is_shared_as_printed(row):
    made = products(row)
    found = share_joint(cents(row["joint"]), made)
    allowed = Decimal(row.get("tolerance", "0"))
    for way, answer in row["answers"].items():
        shares = found[Way(way)]
        assert sum(shares.cents) == cents(row["joint"])
        for mine, printed in zip(shares.cents, answer, strict=True):
            assert abs(Decimal(mine) / 100 - Decimal(printed)) <= allowed, (way, shares.cents)
    if "margin" in row:
        assert found[Way.MARGIN].margin_frac == Fraction(row["margin"])
    for way, printed in row.get("lost_value", {}).items():
        value = lost_value(found[Way(way)], made, [Decimal(x) for x in row["lost"]])
        assert abs(Decimal(value) / 100 - Decimal(printed)) <= Decimal(row["lost_tolerance"])
    for name, gain in row.get("further_gain", {}).items():
        (one,) = [f for f in further_work(made) if f.name == name]
        assert one.gain_cents == cents(gain)


@pytest.mark.parametrize("row", rows("price", "break-even units"), ids=named)
def test_units_to_break_even_are_rounded_up(row):
    found = units_to_break_even(
        cents(row["fixed"]), price_cents=cents(row["price"]), variable_cents=cents(row["variable"])
    )
    assert found == row["answer"]


@pytest.mark.parametrize("row", rows("price", "elasticity"), ids=named)
def test_elasticity_is_the_printed_one(row):
    found = elasticity(tuple(cents(p) for p in row["prices"]), tuple(row["sold"]))
    assert abs(float(found) - float(row["answer"])) <= float(row["tolerance"])


@pytest.mark.parametrize("row", rows("price", "pack"), ids=named)
def test_a_pack_is_rounded_half_up(row):
    assert half_up(Fraction(row["pounds"]) * cents(row["price"])) == cents(row["answer"])


@pytest.mark.parametrize("row", rows("price", "share"), ids=named)
def test_a_sum_is_shared_out_to_the_cent(row):
    assert share_out(cents(row["total"]), row["weights"]) == tuple(map(cents, row["answer"]))


@pytest.mark.parametrize("row", rows("price", "markup"), ids=named)
def test_markup_to_margin(row):
    assert margin_of_markup(Fraction(row["markup"])) == Fraction(row["margin"])


@pytest.mark.parametrize("row", rows("price", "books"), ids=named)
def test_the_books_of_a_documented_example(row):
    made = [
        Transaction(str(n), DAY, "x", ((to, cents(sum_)), (from_, -cents(sum_))))
        for n, (to, sum_, from_) in enumerate(row["postings"])
    ]
    found = balances(made)
    assert found == {name: cents(amount) for name, amount in row["answer"].items()}
    assert sum(found.values()) == 0


@pytest.mark.parametrize("row", rows("price", "deposits"), ids=named)
def test_a_deposit_is_owed_until_the_bird_is_picked_up(row):
    events = [Income(f"d{n}", DAY, Event.DEPOSIT, cents(row["each"])) for n in range(row["number"])]
    sale = Income("s", DAY, Event.SALE, cents(row["bird"]), from_deposit_cents=cents(row["each"]))
    assert sale.cash_cents == cents(row["cash"])
    found = deposits([*events, sale], first=DAY, last=DAY)
    assert found.owed_cents == cents(row["owed"])
    books = balances(transactions([], [*events, sale], []))
    assert books["liabilities:customer deposits"] == -cents(row["owed"])
    assert books["income:sales"] == -cents(row["bird"])
