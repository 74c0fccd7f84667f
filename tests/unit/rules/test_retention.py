"""How long records are kept, and when a buyer's name may go."""

import datetime as dt

from hypothesis import given
from hypothesis import strategies as st

from pinfeather.rules.profile import load
from pinfeather.rules.retention import keep_row, name_may_go

FEDERAL, COLORADO, WASHINGTON = (load(name) for name in ("us-federal", "us-co", "us-wa"))
OREGON = load("us-or")
SOLD = dt.date(2024, 3, 15)
DATES = st.dates(dt.date(2020, 1, 1), dt.date(2030, 12, 31))


def row(profile, first, last=None, **more):
    return keep_row(
        profile, "sales", "Sales", tier_code="producer_1000", count=2, oldest_on=first,
        newest_on=last or first, **more,
    )  # fmt: skip


def test_federal_records_stay_two_years_after_their_years_end():
    found = row(FEDERAL, SOLD, dt.date(2026, 1, 1))
    assert (found.oldest_until, found.newest_until) == (
        dt.date(2026, 12, 31), dt.date(2028, 12, 31),
    )  # fmt: skip
    assert "381.177" in found.citation


def test_a_kind_without_records_has_no_day_and_no_problem():
    found = keep_row(
        FEDERAL, "proofs", "Proofs", tier_code="producer_1000", count=0, oldest_on=None,
        newest_on=None,
    )  # fmt: skip
    assert (found.oldest_until, found.problem) == (None, "")


def test_a_permit_that_lapses_at_new_year_starts_the_clock_there():
    assert row(WASHINGTON, SOLD).newest_until == dt.date(2025, 6, 30)


def test_a_name_the_rules_demand_stays_until_the_last_sale_need_not_be_kept():
    asked = {"tier_code": "producer_1000", "sold_on": (dt.date(2024, 1, 5), SOLD)}
    before = name_may_go(COLORADO, dt.date(2026, 3, 15), **asked)
    after = name_may_go(COLORADO, dt.date(2026, 3, 16), **asked)
    assert (before.allowed, before.until) == (False, dt.date(2026, 3, 15))
    assert "8 CCR 1202-16" in before.sentence
    assert "2026-03-15" in before.sentence
    assert after.allowed


def test_a_name_the_rules_only_advise_may_go_and_the_answer_says_so():
    found = name_may_go(FEDERAL, SOLD, tier_code="producer_1000", sold_on=(SOLD,))
    assert found.allowed
    assert "advise" in found.sentence
    assert found.status == "disputable"


def test_a_name_the_rules_do_not_ask_for_may_go():
    found = name_may_go(OREGON, SOLD, tier_code="producer_1000", sold_on=(SOLD,))
    assert found.allowed
    assert "do not ask" in found.sentence


def test_somebody_who_never_bought_may_go_anywhere():
    assert name_may_go(COLORADO, SOLD, tier_code="producer_1000", sold_on=()).allowed


@given(sold=st.lists(DATES, min_size=1, max_size=6), today=DATES)
def test_what_may_go_today_may_go_on_every_later_day(sold, today):
    asked = {"tier_code": "producer_1000", "sold_on": tuple(sold)}
    if name_may_go(COLORADO, today, **asked).allowed:
        assert name_may_go(COLORADO, today + dt.timedelta(days=1), **asked).allowed
        assert today > max(sold)
