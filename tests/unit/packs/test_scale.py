"""Scales and their daily check."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pinfeather.errors import InputError
from pinfeather.packs.scale import check_loads, daily_check, largest_division_lb, scale_findings
from pinfeather.packs.weigh_tables import strictest_variation

D = Decimal("0.01")


def test_the_daily_check_uses_the_acceptance_tolerance():
    assert daily_check(Decimal("20.01"), Decimal(20), division=D) == ()
    (off,) = daily_check(Decimal("20.02"), Decimal(20), division=D)
    assert off.code == "scale.off"
    assert off.status == "read"
    assert daily_check(Decimal("19.98"), Decimal(20), division=D)


@given(st.decimals(Decimal("0.1"), Decimal(30), places=2))
def test_the_coarsest_division_is_a_sixth_of_the_variation_or_just_less(label):
    step, most = largest_division_lb(label), strictest_variation(label).mav_lb / 6
    assert step <= most < step * Decimal("2.5")


def test_a_fine_scale_of_few_steps_will_do():
    fine = {"capacity_lb": Decimal(2), "division": Decimal("0.002"), "label_lb": Decimal("0.5")}
    assert scale_findings(**fine) == ()


def test_a_coarse_scale_is_told_what_is_wrong():
    found = scale_findings(capacity_lb=Decimal(10), division=Decimal("0.1"), label_lb=Decimal(4))
    assert [f.code for f in found] == ["scale.coarse", "scale.divisions"]


def test_check_loads_go_a_tenth_over_the_heaviest_package():
    loads = check_loads(Decimal(6))
    assert loads.loads_lb == (Decimal("2.2"), Decimal("4.4"), Decimal("6.6"))
    assert loads.shift_lb == Decimal("2.2")


def test_scales_of_nothing_are_refused():
    with pytest.raises(InputError):
        scale_findings(capacity_lb=Decimal(0), division=D, label_lb=Decimal(1))
    with pytest.raises(InputError):
        check_loads(Decimal(0))
