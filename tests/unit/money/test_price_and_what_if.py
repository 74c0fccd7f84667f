"""Prices cover costs, parts pay for their labour or not, and bars are as wide as they should be."""

import datetime as dt
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from pinfeather.errors import InputError, InputFaultsError
from pinfeather.money.cut_up import Part, cut_up
from pinfeather.money.joint import Product, Way, share_joint
from pinfeather.money.price import (
    Costs,
    break_even,
    class_prices,
    margin_of_markup,
    markup_of_margin,
    pay_per_hour,
    price_from_margin,
    rounded_up,
    units_to_break_even,
)
from pinfeather.money.survey import Asked, survey
from pinfeather.money.uncertain import Spread, cost_range
from pinfeather.money.what_if import (
    LEVERS,
    Season,
    outcome,
    pay_of_hours,
    spread_ranges,
    tornado,
    two_way,
)

SEASON = Season(
    price_cents_per_lb=650,
    placed=200,
    loss_frac=Decimal("0.08"),
    dressed_lb=Decimal("4.2"),
    chick_cents=205,
    feed_cents_per_lb=Decimal("34.5"),
    feed_lb=Decimal("14.5"),
    other_bird_cents=210,
    fixed_cents=48000,
    labour_h_per_bird=Decimal("0.45"),
    wage_cents_per_h=1800,
)


@given(st.fractions(0, 5, max_denominator=1000))
def test_margin_and_markup_undo_each_other(markup):
    assert markup_of_margin(margin_of_markup(markup)) == markup


@given(st.integers(1, 10**6), st.fractions(0, Fraction(9, 10), max_denominator=100))
def test_the_price_leaves_the_margin_within_half_a_cent(cost, margin):
    price = price_from_margin(cost, margin)
    assert abs(price * (1 - margin) - cost) <= Fraction(1, 2)


@given(st.integers(0, 10**6), st.integers(1, 100))
def test_a_round_price_is_never_below_and_less_than_a_step_above(price, step):
    found = rounded_up(price, step)
    assert price <= found < price + step
    assert found % step == 0


@given(st.integers(0, 10**8), st.integers(1, 10**4), st.integers(0, 10**4))
def test_one_less_than_break_even_loses(fixed, price, variable):
    assume(price > variable)
    n = units_to_break_even(fixed, price_cents=price, variable_cents=variable)
    assert n * (price - variable) >= fixed
    assert n == 0 or (n - 1) * (price - variable) < fixed


def test_no_number_is_enough_below_variable_cost():
    with pytest.raises(InputError):
        units_to_break_even(1, price_cents=5, variable_cents=5)


def test_more_pay_needs_a_higher_price():
    found = break_even(170000, dressed_lb=Decimal(800), hours=90, pays_cents=[0, 1500, 3000])
    assert [one.price_cents for one in found] == [213, 381, 550]
    assert [one.asking_cents for one in found] == [215, 385, 550]


def test_pay_is_what_is_left_over_the_hours():
    assert pay_per_hour(500000, 170000, 90) == 3667
    assert pay_per_hour(1, 2, 0) is None


def test_a_small_bird_has_to_bring_more_a_pound():
    costs = Costs(fixed_cents=20000, bird_cents=700, lb_cents=190)
    small, large = class_prices(
        costs,
        [("small", Decimal("3.5"), 60), ("large", Decimal("5.5"), 40)],
        margin_frac=Decimal("0.2"),
    )
    assert small.price_cents > large.price_cents
    covered = 60 * 3.5 * small.cost_cents + 40 * 5.5 * large.cost_cents
    assert covered == pytest.approx(float(costs.total(100, Decimal(430))), rel=0.002)


PARTS = (
    Part("breast", Decimal("0.26"), 1300),
    Part("legs", Decimal("0.32"), 600),
    Part("wings", Decimal("0.11"), 700),
    Part("back", Decimal("0.22"), 200),
)


def test_cutting_up_pays_when_the_parts_bring_more_than_whole_bird_and_work():
    found = cut_up(PARTS, bird_lb=Decimal("4.2"), whole_cents_per_lb=550, hours=Decimal("0.15"),
                   pay_cents_per_h=1800, bags_cents=60)  # fmt: skip
    assert found.whole_cents == 2310
    assert found.parts_cents == 2734
    assert found.work_cents == 330
    assert found.gain_cents == 94
    assert found.left_frac == Fraction(9, 100)


def test_raising_the_parts_as_told_makes_cutting_up_pay():
    found = cut_up(PARTS, bird_lb=Decimal("4.2"), whole_cents_per_lb=750, hours=Decimal("0.25"),
                   pay_cents_per_h=2500, bags_cents=60)  # fmt: skip
    assert found.gain_cents < 0
    raised = [
        replace(p, price_cents_per_lb=c)
        for p, (_n, c) in zip(PARTS, found.needed_cents, strict=True)
    ]
    again = cut_up(raised, bird_lb=Decimal("4.2"), whole_cents_per_lb=750, hours=Decimal("0.25"),
                   pay_cents_per_h=2500, bags_cents=60)  # fmt: skip
    assert again.gain_cents >= 0


def test_parts_larger_than_the_bird_are_refused():
    with pytest.raises(InputFaultsError):
        cut_up([Part("a", 1, 1), Part("b", Decimal("0.1"), 1)], bird_lb=4, whole_cents_per_lb=1,
               hours=0, pay_cents_per_h=0)  # fmt: skip


def test_neighbours_prices_have_a_spread_and_an_age():
    today = dt.date(2026, 6, 1)
    prices = [Asked("market", today, c) for c in (450, 500, 550, 600, 700)]
    found = survey(prices, own_cents=525, cost_cents=610, today=today)
    assert (found.lowest_cents, found.quarter_cents, found.middle_cents) == (450, 500, 550)
    assert (found.upper_cents, found.highest_cents, found.above) == (600, 700, 3)
    assert found.findings == ()
    old = [replace(prices[0], on=dt.date(2024, 1, 1))]
    codes = {f.code for f in survey(old, own_cents=1, cost_cents=900, today=today).findings}
    assert codes == {"money.few_prices", "money.old_prices", "money.market_below_cost"}


def test_a_season_adds_up():
    found = outcome(SEASON)
    assert found.birds == 184
    assert found.sold_lb == Fraction("772.8")
    assert found.sales_cents == 502320
    # chicks 41000, feed 92046, other 38640, fixed 48000, labour 149040
    assert found.cost_cents == 368726
    assert found.cost_cents_per_lb == 477
    assert pay_of_hours(SEASON) == 3413


@given(st.sampled_from(sorted(LEVERS)), st.fractions(Fraction(1, 2), 1, max_denominator=20))
def test_a_bar_is_as_wide_as_its_two_outcomes(name, factor):
    low = Fraction(getattr(SEASON, name)) * factor
    (bar,) = tornado(SEASON, {name: (low, getattr(SEASON, name))})
    assert bar.at_low_cents == outcome(replace(SEASON, **{name: low})).profit_cents
    assert bar.at_high_cents == outcome(SEASON).profit_cents


def test_bars_are_widest_first_and_price_matters_most_here():
    bars = tornado(SEASON, spread_ranges(SEASON))
    widths = [bar.width_cents for bar in bars]
    assert widths == sorted(widths, reverse=True)
    assert bars[0].name in {"price_cents_per_lb", "dressed_lb"}


def test_a_two_way_table_holds_the_base_where_both_are_as_they_are():
    table = two_way(
        SEASON, ("price_cents_per_lb", [600, 650]), ("feed_cents_per_lb", [Decimal("34.5"), 40])
    )
    assert table[1][0] == outcome(SEASON).profit_cents
    assert table[0][0] < table[1][0] > table[1][1]


@pytest.mark.parametrize(
    "bad", [{"loss_frac": 1}, {"placed": 0}, {"dressed_lb": 0}, {"feed_lb": -1}]
)
def test_a_season_that_cannot_be_is_refused(bad):
    with pytest.raises(InputFaultsError):
        replace(SEASON, **bad)


def test_an_unknown_lever_is_refused():
    with pytest.raises(InputError):
        tornado(SEASON, {"weather": (0, 1)})


def draw(seed=1, feed=(30000, 36000, 45000)):
    low, value, high = feed
    return cost_range(
        [Spread("feed", value, low, high), Spread("chicks", 20000, 19800, 20200)],
        placed=100,
        loss=Spread("losses", 0.06, 0.04, 0.1),
        dressed_lb=Spread("weight", 4.2, 4.1, 4.3),
        rng=np.random.default_rng(seed),
    )


def test_the_band_is_around_the_sum_and_the_same_luck_gives_the_same_answer():
    found = draw()
    assert found.low_cents < found.middle_cents < found.high_cents
    assert found.middle_cents == pytest.approx(56000 / (94 * 4.2), rel=0.05)
    assert draw() == found


def test_the_widest_entry_matters_most_and_shares_add_up():
    found = draw()
    assert found.matters[0].name == "feed"
    assert sum(m.share_frac for m in found.matters) == pytest.approx(1)


def test_what_is_certain_does_not_matter():
    found = draw(feed=(36000, 36000, 36000))
    assert {m.name: m.share_frac for m in found.matters}["feed"] == 0


def test_the_mean_is_that_of_the_triangle():
    # mean of a triangular draw is the third of its three numbers; nothing else is unsure here
    found = cost_range(
        [Spread("feed", 36000, 30000, 45000)],
        placed=100, loss=Spread("l", 0, 0, 0), dressed_lb=Spread("w", 4, 4, 4),
        rng=np.random.default_rng(3), draws=200_000,
    )  # fmt: skip
    assert found.mean_cents == pytest.approx((30000 + 36000 + 45000) / 3 / 400, rel=0.001)


def test_spreads_out_of_order_are_refused():
    with pytest.raises(InputError):
        Spread("x", 1, 2, 3)
    with pytest.raises(InputFaultsError):
        cost_range([], placed=0, loss=Spread("l", 1, 1, 1), dressed_lb=Spread("w", 0, 0, 0),
                   rng=np.random.default_rng(1), draws=1)  # fmt: skip


products_st = st.lists(
    st.builds(
        lambda n, lb, sale, more, work: Product(str(n), lb, sale, sale + more, work),
        st.integers(0, 9),
        st.integers(1, 500),
        st.integers(1, 10**6),
        st.integers(0, 10**6),
        st.integers(0, 10**5),
    ),
    min_size=1,
    max_size=6,
)


@given(st.integers(0, 10**7), products_st)
def test_every_way_of_sharing_adds_up_to_the_joint_cost(joint, products):
    for way, shares in share_joint(joint, products).items():
        assert sum(shares.cents) == joint, way


@given(st.integers(0, 10**7), products_st)
def test_with_a_constant_margin_all_earn_the_same(joint, products):
    shares = share_joint(joint, products)[Way.MARGIN]
    for cents, one in zip(shares.cents, products, strict=True):
        exact = one.final_cents * (1 - shares.margin_frac) - one.further_cents
        assert abs(cents - exact) < 1


def test_a_by_product_is_taken_off_first():
    made = [Product("bird", 100, 500, 500), Product("feet", 3, 20, 20, by_product=True)]
    shares = share_joint(300, made)[Way.WEIGHT]
    assert (shares.joint_cents, shares.cents) == (280, (280, 0))


def test_only_by_products_are_refused():
    with pytest.raises(InputFaultsError):
        share_joint(1, [Product("feet", 1, 1, 1, by_product=True)])
