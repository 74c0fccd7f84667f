"""Wear adds up over a life, an annuity is the same by years, a purchase is worth what it saves."""

import datetime as dt
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pinfeather.errors import InputError, InputFaultsError
from pinfeather.money.equipment import (
    Equipment,
    annuity,
    book_value,
    first_year,
    per_bird,
    recovery_factor,
    straight_line,
    wear_entries,
)
from pinfeather.money.worth import present_value, worth

rates = st.fractions(0, Fraction(1, 4), max_denominator=200)


def thing(price=90000, salvage=10000, life=8, bought=dt.date(2026, 3, 14), **more):
    return Equipment("g1", "Plucker", bought, price, salvage, life, **more)


@given(
    st.integers(0, 10**7), st.integers(0, 10**7), st.integers(1, 20),
    st.dates(dt.date(2020, 1, 1), dt.date(2030, 12, 31)),
)  # fmt: skip
def test_the_wear_of_all_years_is_what_it_lost(a, b, life, bought):
    one = thing(max(a, b), min(a, b), life, bought)
    years = range(bought.year - 1, bought.year + life + 2)
    wear = [straight_line(one, year) for year in years]
    assert sum(wear) == one.wear_cents
    assert min(wear) >= 0
    assert book_value(one, bought.year + life + 1) == one.salvage_cents
    assert book_value(one, bought.year - 1) == 0


def test_the_first_year_counts_from_the_month_it_was_bought():
    assert straight_line(thing(96000, 0, 8), 2026) == 10000
    assert straight_line(thing(96000, 0, 8), 2034) == 2000


@given(st.integers(0, 10**7), st.integers(0, 10**7), st.integers(1, 30), rates)
def test_an_annuity_is_straight_line_and_the_interest_on_what_is_left(a, b, years, rate):
    price, salvage = max(a, b), min(a, b)
    yearly = annuity(price, salvage_cents=salvage, rate_frac=rate, years=years)
    # independent: what is left each year, with interest, paid off by the same sum
    left = Fraction(price)
    for _year in range(years):
        left = left * (1 + rate) - yearly
    drift = sum(((1 + rate) ** n for n in range(years)), Fraction(0))
    assert abs(left - salvage) <= drift / 2


@given(st.integers(1, 40), rates)
def test_a_recovery_factor_pays_one_back(years, rate):
    factor = Fraction(recovery_factor(rate, years))
    back = sum((factor / (1 + rate) ** n for n in range(1, years + 1)), Fraction(0))
    assert abs(back - 1) < Fraction(1, 10**9)


def test_wear_is_charged_by_its_share_and_only_while_it_serves():
    one = thing(96000, 0, 8, use_frac=Decimal("0.5"))
    assert [e.cents for e in wear_entries([one], 2027)] == [6000]
    assert wear_entries([one], 2025) == ()
    assert wear_entries([one], 2035) == ()
    assert wear_entries([thing(bought=dt.date(2026, 1, 1), life=2)], 2028) == ()


@given(st.integers(1, 10), st.dates(dt.date(2020, 1, 1), dt.date(2022, 12, 31)))
def test_an_annuity_is_charged_for_as_many_months_as_it_serves(life, bought):
    one = thing(120000, 0, life, bought)
    years = range(2019, 2035)
    entries = [e for y in years for e in wear_entries([one], y, method="annuity", rate_frac=0)]
    assert abs(sum(e.cents for e in entries) - 120000) <= life + 1


def test_a_bird_carries_its_part_of_price_and_repairs():
    one = thing(80000, 0, 8, repair_cents=2000)
    assert per_bird(one, birds_a_year=100) == Fraction(96000, 800)


def test_the_first_year_is_shown_both_ways():
    found = first_year([thing(96000, 0, 8)], 2026, other_cents=100000)
    assert (found.all_at_once_cents, found.over_its_life_cents) == (196000, 110000)


def test_every_fault_of_a_thing_is_told_at_once():
    with pytest.raises(InputFaultsError) as told:
        thing(price=5, salvage=9, life=0, use_frac=2, repair_cents=-1)
    assert {f.name for f in told.value.faults} == {"salvage", "life", "use", "repair"}


def test_paid_back_within_a_year_and_with_interest_later():
    found = worth(100000, saves_cents=40000, years=5, rate_frac=Decimal("0.10"))
    assert found.payback_years == Fraction(5, 2)
    assert found.discounted_years > found.payback_years
    assert found.present_cents == present_value([-100000, *[40000] * 5], Decimal("0.10"))


def test_never_paid_back_is_said():
    found = worth(100000, saves_cents=1000, years=5, rate_frac=0)
    assert found.payback_years is None
    assert found.present_cents == -95000


@given(st.integers(1, 10**6), st.integers(-(10**6), 10**6), st.integers(1, 30), rates)
def test_it_is_paid_back_with_interest_just_where_its_present_value_is_not_below_zero(
    price, saves, years, rate
):
    found = worth(price, saves_cents=saves, years=years, rate_frac=rate)
    exact = sum((saves / (1 + rate) ** n for n in range(1, years + 1)), Fraction(0)) - price
    assert (found.discounted_years is not None) == (exact >= 0)


@pytest.mark.parametrize("bad", [{"years": 0}, {"rate_frac": 2}, {"salvage_cents": 200}])
def test_what_cannot_be_is_refused(bad):
    with pytest.raises(InputFaultsError):
        worth(100, **({"saves_cents": 10, "years": 5, "rate_frac": 0} | bad))


def test_no_rate_below_minus_all():
    with pytest.raises(InputError):
        present_value([1], -1)
