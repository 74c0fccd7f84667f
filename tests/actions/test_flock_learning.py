"""What finished lots teach, how a new one is ordered, and its best day."""

from __future__ import annotations

import datetime as dt

import pytest

from pinfeather import clock
from pinfeather.actions.demo.farm import ZONE
from pinfeather.actions.flock import best as flock_best
from pinfeather.actions.flock import books as flocks
from pinfeather.actions.flock import learning as flock_learning
from pinfeather.actions.flock import order as flock_order
from pinfeather.actions.flock import view as flock_view
from pinfeather.errors import InputFaultsError
from pinfeather.estimate import Origin


@pytest.fixture
def done(demo_farm) -> dict[str, flock_learning.FinishedLot]:
    return {one.row.code: one for one in flock_learning.finished(flocks.books())}


def test_only_lots_whose_birds_are_all_gone_teach(done) -> None:
    assert set(done) == {"T1", "R2", "B2"}
    assert (done["B2"].arrived, done["B2"].processed) == (22, 20)


def test_a_finished_lot_says_growth_survival_and_dressing(done) -> None:
    one = done["B2"]
    assert one.ratio == pytest.approx(0.93, abs=0.06)
    assert one.alive_frac == pytest.approx(20 / 22)
    assert one.dressing_frac == pytest.approx(0.72, abs=0.05)


def test_the_next_lot_is_planned_between_the_usual_and_what_the_last_one_did(done) -> None:
    b4 = flocks.lot("B4")
    before = flock_learning.numbers_for(b4, [], age_d=56)
    after = flock_learning.numbers_for(b4, list(done.values()), age_d=56)

    assert done["B2"].ratio < after.ratio.value < before.ratio.value == 1.0
    assert after.ratio.basis.origin is Origin.OWN
    assert [one.row.code for one in after.growth_lots] == ["B2"]
    assert after.ratio_sd < before.ratio_sd
    assert after.dressing is not None
    assert after.dressing.unsure_frac < before.dressing.unsure_frac


def test_a_lot_never_teaches_itself(done) -> None:
    numbers = flock_learning.numbers_for(flocks.lot("B2"), list(done.values()), age_d=56)
    assert numbers.growth_lots == ()
    assert numbers.ratio.value == 1.0


def test_an_unweighed_lot_is_forecast_with_the_farms_own_ratio(demo_farm) -> None:
    now = flock_view.lot_now("C1")
    assert not now.samples
    assert now.seen is not None
    assert now.seen.farm_ratio == now.numbers.ratio.value < 1.0
    assert "your last lot" in flock_view.weight_basis(now).note


def test_each_lesson_shows_before_data_and_after(done) -> None:
    for kind in flock_learning.lessons(list(done.values())):
        assert [one.what for one in kind.lessons] == [
            "Growth against the table", "Birds that live to the day", "Dressed over live weight",
        ]  # fmt: skip
        for one in kind.lessons:
            ((_code, data),) = one.lots
            low, high = sorted((one.prior.value, data))
            assert low - 1e-9 <= one.posterior.value <= high + 1e-9
            assert one.posterior.high - one.posterior.low <= one.prior.high - one.prior.low


def test_the_demo_has_one_treated_one_behind_and_one_on_order(demo_farm) -> None:
    lots = {now.row.code: now for now in flock_view.lots_now()}
    assert {f.code for f in lots["B5"].findings} >= {"lot.behind", "lot.feed", "lot.losses"}
    assert {f.code for f in lots["B4"].findings} == {"lot.withdrawal_runs"}
    assert lots["T2"].stage == "ordered"
    assert lots["B3"].findings == lots["C1"].findings == lots["D1"].findings == ()
    standing = [now for now in lots.values() if now.stage == "standing"]
    assert [now.worst for now in standing] == sorted((n.worst for n in standing), reverse=True)


def test_the_best_day_leaves_out_days_on_which_a_medicine_is_in_the_birds(demo_farm) -> None:
    when = flock_best.when("B4", flock_best.first_values())
    assert when.found is not None
    free = when.now.withdrawal_on
    assert free is not None
    for choice in when.found.choices:
        assert bool(choice.refused) == (choice.on < free)
    assert when.found.week_later_cents is not None
    assert when.found.best.on >= free


def test_a_lot_without_birds_has_no_best_day(demo_farm) -> None:
    assert flock_best.when("B2", flock_best.first_values()).found is None


def test_what_cannot_be_a_price_is_refused_beside_its_field(demo_farm) -> None:
    values = flock_best.first_values() | {"look": "900", "feed-price": "cheap"}
    with pytest.raises(InputFaultsError) as caught:
        flock_best.when("B4", values)
    assert {f.name for f in caught.value.faults} == {"feed-price"}
    with pytest.raises(InputFaultsError) as caught:
        flock_best.when("B4", flock_best.first_values() | {"look": "900"})
    assert [f.name for f in caught.value.faults] == ["look"]


NEW = {
    "code": "N1", "species": "chicken", "build": "broad", "sex": "straight run", "curve": "",
    "setting": "usual", "hatched": "", "plan_on": "2026-10-03",
}  # fmt: skip


def test_the_advice_orders_more_than_the_naive_number(demo_farm) -> None:
    found = flock_order.advice(
        {**NEW, "setting": "pasture", "wanted": "100", "hatch_days": "Mon, Wed"}
    )

    assert found.size.ordered > found.size.naive > 100
    assert found.size.chance >= 0.90 > found.size.naive_chance
    assert found.alive.basis.origin is Origin.OWN
    assert {d.hatch_on.weekday() for d in found.dates} <= {0, 2}


def test_the_faults_of_the_advice_are_told_at_once(demo_farm) -> None:
    with pytest.raises(InputFaultsError) as caught:
        flock_order.advice({**NEW, "wanted": "", "chance": "sure", "lot_of": "0"})
    assert {f.name for f in caught.value.faults} == {"wanted", "chance", "lot_of"}


def test_a_lot_starts_with_its_order_or_not_at_all(demo_farm) -> None:
    order = {"hatchery": "Fernbank", "ordered": "110", "spares": "2"}
    with pytest.raises(InputFaultsError) as caught:
        flock_order.start({**NEW, **order, "arrive_on": ""}, who="Ines")
    assert {f.name for f in caught.value.faults} == {"hatched", "arrive_on"}
    assert not [one for one in flock_view.lots_now() if one.row.code == "N1"]

    dates = {"hatched": "2026-08-08", "arrive_on": "2026-08-10"}
    assert flock_order.start({**NEW, **order, **dates}, who="Ines") == "N1"

    now = flock_view.lot_now("N1")
    assert now.stage == "ordered"
    assert "Chicks come on 10 August 2026" in now.todo[0]


def test_the_demos_lines_lie_in_the_past(demo_farm, now) -> None:
    today = now.astimezone(clock.zone(ZONE)).date()
    for book in flocks.books():
        assert all(one.on <= today for one in book.entries)
        for one in book.entries:
            assert one.on >= dt.date(2025, 10, 1)
