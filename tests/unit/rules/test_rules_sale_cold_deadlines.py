"""Sales, cold storage and dates."""

import datetime as dt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pinfeather.errors import InputError
from pinfeather.rules.chill import cutting_findings
from pinfeather.rules.cold import freeze_findings, hold_findings, warm_pack_findings
from pinfeather.rules.deadlines import add_months, keep_until, licence_deadlines
from pinfeather.rules.profile import load
from pinfeather.rules.sale import retail_dollar_limit, retail_quantity_findings, sale_findings

FEDERAL = load("us-federal")
SALE = {"buyer": "household", "venue": "farm", "form": "whole"}


def codes(findings):
    return [f.code for f in findings]


def test_an_ordinary_sale_is_no_finding():
    assert sale_findings(FEDERAL, "producer_1000", **SALE) == ()


def test_each_thing_a_tier_does_not_allow_is_named():
    found = sale_findings(
        FEDERAL,
        "pgop_20000",
        buyer="distributor",
        venue="shop",
        form="whole",
        leaves_state=True,
        delivered_by_self=False,
    )
    assert codes(found) == ["sale.interstate", "sale.buyer", "sale.delivery"]
    assert codes(sale_findings(FEDERAL, "personal", **SALE)) == ["sale.none"]


def test_unknown_words_are_refused():
    with pytest.raises(InputError, match="household"):
        sale_findings(FEDERAL, "producer_1000", **{**SALE, "buyer": "martian"})
    with pytest.raises(InputError):
        retail_quantity_findings(FEDERAL, mass_kg=0, household=True)
    with pytest.raises(InputError, match="2025"):
        retail_dollar_limit(FEDERAL, 1999)


def test_readings_that_are_none_are_refused():
    nan = float("nan")
    with pytest.raises(InputError):
        hold_findings(FEDERAL, temperature_degC=nan, held_s=1)
    with pytest.raises(InputError):
        freeze_findings(FEDERAL, centre_degC=1, in_freezer_s=-1)
    with pytest.raises(InputError):
        warm_pack_findings(FEDERAL, freezer_degC=nan, since_slaughter_s=1)
    with pytest.raises(InputError):
        cutting_findings(FEDERAL, temperature_degC=nan)


def test_a_late_bird_in_a_warm_freezer_is_two_findings():
    found = warm_pack_findings(FEDERAL, freezer_degC=-5, since_slaughter_s=10_000)
    assert codes(found) == ["freeze.warm_late", "freeze.warm_freezer"]


def test_meat_between_forty_and_fifty_five_is_a_note():
    (note,) = cutting_findings(FEDERAL, temperature_degC=8.0)
    assert note.severity.code == "note"
    assert cutting_findings(FEDERAL, temperature_degC=2.0) == ()


def test_only_a_licensed_tier_has_deadlines():
    day = dt.date(2026, 9, 12)
    assert licence_deadlines(FEDERAL, "producer_1000", day) == ()
    dates = [d.date for d in licence_deadlines(load("us-wa"), "producer_1000", day)]
    assert dates == [dt.date(2026, 8, 1), dt.date(2026, 9, 5)]


def test_a_rule_that_counts_from_the_permit_needs_the_permit():
    with pytest.raises(InputError, match="permit"):
        keep_until(load("us-wa"), dt.date(2026, 1, 1))


@given(st.dates(dt.date(1990, 1, 1), dt.date(2090, 1, 1)), st.integers(0, 60))
def test_months_later_is_the_same_day_or_the_end_of_a_shorter_month(date, months):
    later = add_months(date, months)
    assert (later.year - date.year) * 12 + later.month - date.month == months
    assert later.day == date.day or (later + dt.timedelta(days=1)).day == 1
