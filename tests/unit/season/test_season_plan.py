"""A whole plan: luck, what holds it back, what would make it possible, planning anew."""

from __future__ import annotations

import datetime as dt
import math
import tomllib
from dataclasses import replace
from decimal import Decimal
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from pinfeather.flock.spread import weights_of
from pinfeather.season.asked import SeasonRequest
from pinfeather.season.calendar import calendar_of
from pinfeather.season.cash import cash_of, purchases_of
from pinfeather.season.check import broken_limits
from pinfeather.season.headroom import headroom_of
from pinfeather.season.luck import try_luck
from pinfeather.season.plan import SeasonPlan, decisions_of
from pinfeather.season.planner import plan_season
from pinfeather.season.relax import least_change
from pinfeather.season.replan import held_fixed, replan_season
from pinfeather.season.request import request_from
from pinfeather.season.solve import solve
from pinfeather.season.steps import in_words, steps
from pinfeather.season.thumb import thumb_plan
from pinfeather.season.yields import Tables, band_parts, bands_of, sources_of, tables_of

EXAMPLE = Path(__file__).parents[3] / "examples" / "season.toml"


def mapping() -> dict[str, Any]:
    """The example with fewer hatches, so that it is quickly solved."""
    asked = tomllib.loads(EXAMPLE.read_text("utf-8"))
    asked["kinds"] = [asked["kinds"][0], asked["kinds"][2]]
    asked["kinds"][0]["hatch"]["every"] = 4
    asked["orders"] = [o for o in asked["orders"] if o["name"] != "Mill kitchen"]
    asked["orders"] = [o for o in asked["orders"] if o["name"] != "Harvest supper"]
    asked["stock"] = [asked["stock"][0] | {"kinds": ["BR"]}]
    asked["days"]["every"] = 4
    asked["days"]["from"] = "2027-05-08"
    return asked


@pytest.fixture(scope="module")
def request_() -> SeasonRequest:
    return request_from(mapping(), spelled=True)


@pytest.fixture(scope="module")
def tables(request_: SeasonRequest) -> Tables:
    return tables_of(request_)


@pytest.fixture(scope="module")
def plan(request_: SeasonRequest, tables: Tables) -> SeasonPlan:
    found, _model, _solved = solve(request_, tables, gap_frac=0.01)
    assert found.found
    assert broken_limits(request_, tables, found) == ()
    return found


def luck(request_: SeasonRequest, tables: Tables, plan: SeasonPlan, **changed: float) -> Any:
    calm = replace(request_.chances, **changed)
    return try_luck(
        replace(request_, chances=calm), tables, plan, rng=np.random.default_rng(3), seasons=600
    )


NO_TROUBLE = {
    "missed_hatch_frac": 0.0, "cancelled_frac": 0.0, "event_frac": 0.0, "slow_frac": 0.0,
}  # fmt: skip


def test_shares_of_the_weight_bands_add_up_and_hold_the_mean() -> None:
    weights = weights_of(2.0, 0.1, sex_ratio=1.2, unsure_frac=0.05)

    shares, masses = band_parts(weights, (0.0, 1.6, 2.0, 2.4, math.inf))

    assert shares.sum() == pytest.approx(1)
    assert shares @ masses == pytest.approx(2.0)
    assert all(
        a <= m <= b for a, m, b in zip((0, 1.6, 2.0, 2.4), masses, (1.6, 2, 2.4, 9), strict=True)
    )


def test_a_promise_rests_on_fewer_birds_the_surer_it_is_to_be(request_: SeasonRequest) -> None:
    safe = [
        np.concatenate([b.safe for b in tables_of(replace(request_, chance_frac=c)).batches])
        for c in (0.5, 0.8, 0.95)
    ]

    assert (safe[0] == 1).all()
    assert (safe[1] <= 1).all()
    assert (safe[2] <= safe[1] + 1e-9).all()


def test_every_promise_is_kept_about_as_often_as_asked(
    request_: SeasonRequest, tables: Tables, plan: SeasonPlan
) -> None:
    found = luck(request_, tables, plan, **NO_TROUBLE)

    assert min(c.met_frac for c in found.chances) >= request_.chance_frac - 0.05


def test_trouble_costs_money_and_promises(
    request_: SeasonRequest, tables: Tables, plan: SeasonPlan
) -> None:
    calm = luck(request_, tables, plan, **NO_TROUBLE)
    hard = luck(request_, tables, plan, missed_hatch_frac=0.3, event_frac=0.3)

    assert hard.profit_mean_cents < calm.profit_mean_cents
    assert hard.orders_met_frac < calm.orders_met_frac
    assert calm.profit_low_cents <= calm.profit_middle_cents <= calm.profit_high_cents


def test_a_hatch_that_never_comes_serves_nobody(
    request_: SeasonRequest, tables: Tables, plan: SeasonPlan
) -> None:
    found = luck(request_, tables, plan, missed_hatch_frac=1.0)

    assert found.orders_met_frac == 0


def test_the_same_seed_gives_the_same_seasons(
    request_: SeasonRequest, tables: Tables, plan: SeasonPlan
) -> None:
    one, two = (luck(request_, tables, plan) for _time in range(2))

    assert one == two


def test_expected_profit_is_near_the_mean_of_quiet_seasons(
    request_: SeasonRequest, tables: Tables, plan: SeasonPlan
) -> None:
    found = luck(request_, tables, plan, **NO_TROUBLE)

    assert plan.sums is not None
    assert found.profit_mean_cents == pytest.approx(plan.sums.profit_cents, rel=0.06)


def test_the_rule_of_thumb_brings_less(
    request_: SeasonRequest, tables: Tables, plan: SeasonPlan
) -> None:
    thumb = thumb_plan(request_, tables)

    assert thumb.lots
    ours, theirs = (luck(request_, tables, one) for one in (plan, thumb))
    assert ours.profit_mean_cents > theirs.profit_mean_cents


def test_the_calendar_runs_from_the_order_to_the_pickup(
    request_: SeasonRequest, plan: SeasonPlan
) -> None:
    rows = calendar_of(request_, plan)

    assert [r.on for r in rows] == sorted(r.on for r in rows)
    assert {r.what for r in rows} == {"order", "hatch", "arrive", "out", "process", "pickup"}
    assert len({r.key for r in rows}) == len(rows)
    for lot in plan.lots:
        on = {r.what: r.on for r in rows if r.lot == lot.code}
        assert on["order"] < on["hatch"] < on["arrive"] < on["out"]


def test_money_and_feed_of_the_months_add_up_to_the_season(
    request_: SeasonRequest, tables: Tables, plan: SeasonPlan
) -> None:
    months, bought = cash_of(request_, tables, plan), purchases_of(request_, tables, plan)
    sums = plan.sums
    assert sums is not None

    assert months[-1].balance_cents - request_.cash_cents == pytest.approx(
        sums.profit_cents + sums.missed_cents, abs=200
    )
    feed = sum(p.cents for p in bought if p.what == "feed")
    assert feed == pytest.approx(sums.feed_cents, abs=200)
    assert sum(p.birds or 0 for p in bought) == sum(lot.heads for lot in plan.lots)
    assert all(m.lowest_cents <= m.balance_cents for m in months)


def test_no_room_is_fuller_than_full(
    request_: SeasonRequest, tables: Tables, plan: SeasonPlan
) -> None:
    for series in headroom_of(request_, tables, plan):
        assert len(series.weeks) == len(series.used) == len(series.limit)
        assert all(u <= m * (1 + 1e-5) for u, m in zip(series.used, series.limit, strict=True))
        assert max(series.used) > 0


def test_the_whole_answer_says_what_holds_it_back_and_what_it_rests_on() -> None:
    found = plan_season(request_from(mapping()), seasons=200, limit_s=10)

    assert found.found
    assert found.binding
    assert all(0 < b.gain_cents <= b.most_cents for b in found.binding)
    assert [b.gain_cents for b in found.binding] == sorted(
        (b.gain_cents for b in found.binding), reverse=True
    )
    assert all(n.basis.note for n in found.numbers)
    assert found.compared is not None


def test_more_crew_is_the_least_change_where_hands_are_short(small: SimpleNamespace) -> None:
    asked = small.request(
        orders=(small.order("one", 60, 8, firm=True, keep="fresh"),),
        days=(small.day(60, crew_s=3600 + 6 * 360.0),),
    )
    made = small.tables(asked)

    found, _notes = least_change(asked, made, mass_unit="lb")

    assert [one.code for one in found] == ["crew"]
    assert found[0].amount == pytest.approx(2 * 360.0, rel=1e-3)
    more = replace(asked, days=(small.day(60, crew_s=3600 + 8 * 360.0),))
    assert solve(more, replace(made, days=more.days))[0].found


def test_a_promise_no_lot_can_meet_is_named(small: SimpleNamespace) -> None:
    asked = small.request(orders=(small.order("early", 20, 3, firm=True),))

    found, _notes = least_change(asked, small.tables(asked), mass_unit="lb")

    assert [(one.code, round(one.amount)) for one in found] == [("order", 3)]
    assert "early" in found[0].sentence
    assert "3 birds" in found[0].sentence


def test_nothing_possible_is_said_with_what_would_help() -> None:
    asked = mapping()
    asked["orders"][0] |= {"birds": 400}

    found = plan_season(request_from(asked), limit_s=10)

    assert not found.found
    assert found.relaxations
    assert found.findings[0].severity.code == "stop"
    assert found.relaxations[0].sentence in found.findings[0].reason


def test_planning_anew_with_nothing_new_changes_no_promise(
    request_: SeasonRequest, plan: SeasonPlan
) -> None:
    later = replace(request_, today=dt.date(2027, 5, 20))

    found = replan_season(later, decisions_of(plan), seasons=100, limit_s=10)

    assert found.found
    assert [c for c in found.changes if c.promise] == []
    assert not [f for f in found.findings if f.severity.code == "stop"]


def test_a_day_that_falls_out_moves_its_birds_and_says_whom_to_tell(
    request_: SeasonRequest, plan: SeasonPlan
) -> None:
    today = dt.date(2027, 5, 20)
    gone = next(d.on for d in plan.days if d.on > today)
    left = tuple(d for d in request_.days if d.on != gone)
    wider = tuple(
        replace(k, until_d=k.until_d + 40) if k.code == "BR" else k for k in request_.kinds
    )
    later = replace(request_, today=today, days=left, kinds=wider)

    found = replan_season(later, decisions_of(plan), seasons=100, limit_s=10)

    assert found.found
    told = [c for c in found.changes if c.promise]
    assert any(c.what == "day" and c.where == gone.isoformat() for c in told)
    promises = [c.promise for c in found.changes]
    assert promises == sorted(promises, reverse=True)


def test_chicks_already_ordered_are_held_fixed(request_: SeasonRequest, plan: SeasonPlan) -> None:
    first = min(plan.lots, key=lambda lot: lot.hatch_on)
    today = first.order_by + dt.timedelta(days=1)

    held, _frozen = held_fixed(replace(request_, today=today), decisions_of(plan))

    assert [(s.kind, s.heads) for s in held.standing if s.hatched_on == first.hatch_on] == [
        (first.kind, first.heads)
    ]
    starts = {(s.kind.code, s.hatch_on) for s in sources_of(held) if s.standing is None}
    assert (first.kind, first.hatch_on) not in starts


def test_bands_are_told_apart_only_where_somebody_does(request_: SeasonRequest) -> None:
    bands = bands_of(request_)

    assert len(bands["TK"]) == 4
    assert bands["BR"][0] == 0
    assert math.isinf(bands["BR"][-1])


@pytest.mark.parametrize(
    ("code", "amount", "unit", "words"),
    [
        ("crew", 3600.0, "lb", "1 hour"),
        ("crew", 3630.0 * 2, "lb", "3 hours"),
        ("freezer", 45.359237, "lb", "100 lb"),
        ("freezer", 49.2, "kg", "50 kg"),
        ("cap", 12.0, "lb", "12 birds"),
        ("brooder", 0.4, "kg", "1 chick"),
        ("pens", 9.290304, "lb", "100 square feet"),
    ],
)
def test_amounts_are_said_in_the_farms_units(
    code: str, amount: float, unit: Any, words: str
) -> None:
    assert in_words(code, amount, unit) == words


def test_every_step_has_words_in_both_units() -> None:
    for unit in ("lb", "kg"):
        assert all(step.words and step.amount > 0 for step in steps(unit).values())  # type: ignore[arg-type]


def test_least_cost_leaves_prices_out(small: SimpleNamespace) -> None:
    asked = small.request(
        aim="cost",
        orders=(small.order("one", 62, 3, firm=True), small.order("wish", 62, 3)),
    )
    dear = replace(
        asked, orders=tuple(replace(o, cents_per_bird=Decimal(9999)) for o in asked.orders)
    )

    one, two = (solve(a, small.tables(a), gap_frac=0.0)[0] for a in (asked, dear))

    assert [lot.heads for lot in one.lots] == [lot.heads for lot in two.lots] == [4]
