"""Net weight tests of a lot."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pinfeather.errors import InputError
from pinfeather.packs.lot_test import (
    correction_factor,
    judge_lot,
    mean_tare,
    moisture_allowance_lb,
)
from pinfeather.packs.weigh_tables import (
    sample_plan,
    strictest_variation,
    tolerance_lb,
    variation_2_5,
    variation_2_9,
)

LABEL = Decimal("4.50")
WEIGHTS = st.decimals(Decimal("0.05"), Decimal(60), places=2)


def judge(errors, **how):
    nets = [LABEL + Decimal(str(e)) for e in errors]
    return judge_lot(nets, [LABEL] * len(nets), **({"lot": len(nets)} | how))


@pytest.mark.parametrize(
    ("lot", "category", "sample", "over"),
    [
        (1, "A", 1, 0),
        (11, "A", 11, 0),
        (12, "A", 12, 0),
        (250, "A", 12, 0),
        (251, "A", 24, 0),
        (3200, "A", 24, 0),
        (3201, "A", 48, 1),
        (250, "B", 10, 0),
        (251, "B", 30, 0),
        (4, "B", 4, 0),
    ],
)
def test_sample_sizes_step_with_the_lot(lot, category, sample, over):
    plan = sample_plan(lot, category)
    assert (plan.sample, plan.over_mav_allowed) == (sample, over)
    assert plan.status == "unverified"


def test_full_packages_pass():
    verdict = judge([0.01] * 12)
    assert verdict.passes
    assert verdict.findings == ()


def test_a_mean_of_exactly_nothing_passes_even_in_category_b():
    assert judge([0.01, -0.01] * 5, category="B").passes


def test_equal_shortage_everywhere_fails():
    assert not judge([-0.01] * 12).passes


def test_one_package_too_short_fails_the_lot():
    verdict = judge([0.05] * 11 + [-0.10])
    assert not verdict.passes
    assert verdict.short == (11,)
    assert [f.code for f in verdict.findings] == ["lot.package_short"]


def test_a_lot_of_one_is_judged_by_its_own_shortage():
    assert judge([-0.09]).passes
    assert not judge([-0.10]).passes


def test_packages_with_labels_of_their_own():
    labels = [Decimal("4.00"), Decimal("6.00"), Decimal("0.50")]
    nets = [Decimal("4.01"), Decimal("6.00"), Decimal("0.45")]
    assert judge_lot(nets, labels, lot=3).short == (2,)


def test_too_small_a_sample_is_refused():
    with pytest.raises(InputError, match="12"):
        judge([0.01] * 5, lot=100)
    with pytest.raises(InputError):
        judge_lot([LABEL], [LABEL, LABEL], lot=1)
    with pytest.raises(InputError):
        sample_plan(0, "A")
    with pytest.raises(InputError):
        sample_plan(5, "C")
    with pytest.raises(InputError):
        correction_factor(1)


@given(st.lists(st.integers(-80, 80), min_size=12, max_size=30))
def test_heavier_packages_never_turn_a_pass_into_a_fail(errors):
    thousandths = [Decimal(e) / 1000 for e in errors]
    if judge(thousandths, lot=200).passes:
        assert judge([e + Decimal("0.01") for e in thousandths], lot=200).passes


@given(WEIGHTS)
def test_the_strictest_variation_is_the_smaller_of_both(label):
    both = {variation_2_5(label).mav_lb, variation_2_9(label).mav_lb}
    assert strictest_variation(label).mav_lb == min(both)


@given(WEIGHTS, WEIGHTS)
def test_a_heavier_package_may_never_be_short_by_less(one, two):
    light, heavy = sorted((one, two))
    assert variation_2_5(light).mav_lb <= variation_2_5(heavy).mav_lb


def test_a_label_of_nothing_has_no_variation():
    with pytest.raises(InputError):
        variation_2_5(Decimal(0))


def test_two_equal_tares_are_enough_and_two_different_ones_are_not():
    same, other = Decimal("0.03"), Decimal("0.04")
    assert mean_tare([same, same]) == same
    with pytest.raises(InputError, match="3 more"):
        mean_tare([same, other])
    assert mean_tare([same, other, same, same, same]) == Decimal("0.032")
    with pytest.raises(InputError):
        mean_tare([same])


def test_only_wet_tare_of_fresh_birds_has_an_allowance():
    assert moisture_allowance_lb(Decimal(5), wet_tare=True, coldest_degC=1.0) == Decimal("0.15")
    assert moisture_allowance_lb(Decimal(5), wet_tare=False, coldest_degC=1.0) == 0
    assert moisture_allowance_lb(Decimal(5), wet_tare=True, coldest_degC=-5.0) == 0


def test_a_class_without_a_column_is_refused():
    with pytest.raises(InputError):
        tolerance_lb(Decimal(5), Decimal("0.01"), scale_class="II", column="maintenance")
    with pytest.raises(InputError):
        tolerance_lb(Decimal(0), Decimal("0.01"))
