import datetime as dt
import math
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pinfeather.errors import InputError
from pinfeather.flock.best_day import Costs, Room, SizeWanted, best_day
from pinfeather.flock.curves import reference_curve
from pinfeather.flock.dressing import published_dressing
from pinfeather.flock.forecast import Sample, Seen

HATCH = dt.date(2026, 5, 20)
TODAY = HATCH + dt.timedelta(days=35)
SEEN = Seen(reference_curve("nrc_1994"), (Sample(28, 1.05, 20, 0.13), Sample(35, 1.5, 20, 0.13)))
DAYS = [TODAY + dt.timedelta(days=d) for d in range(43)]
ANY = [SizeWanted(0.0, math.inf, Decimal(1000))]
COSTS = Costs(Decimal(70), Decimal(1000), 500, 400)


def run(classes=ANY, *, costs=COSTS, room=None, days=DAYS, birds=100):
    return best_day(
        SEEN,
        days,
        hatched_on=HATCH,
        today=TODAY,
        birds=birds,
        classes=classes,
        costs=costs,
        dressing=published_dressing("chicken"),
        room=room,
    )


def day(choice, on):
    return next(c for c in choice.choices if c.on == on)


def test_money_adds_up_on_every_day():
    for one in run().choices:
        assert one.margin_cents == one.income_cents - one.feed_cents - one.other_cents
        assert one.income_cents == pytest.approx(one.processed * one.dressed_kg * 1000, rel=2e-3)


def test_today_has_eaten_nothing_more():
    assert run().choices[0].feed_cents == 0


def test_dearer_feed_never_makes_the_best_day_later():
    ages = [
        run(costs=Costs(Decimal(price), Decimal(1000), 500, 400)).best.age_d
        for price in (20, 70, 150, 300)
    ]
    assert ages == sorted(ages, reverse=True)
    assert ages[0] > ages[-1]


def test_at_the_best_day_another_day_no_longer_pays():
    found = run(costs=Costs(Decimal(150), Decimal(1000), 500, 400))
    assert found.choices[0].on < found.best.on < found.choices[-1].on
    assert found.marginal_cents <= found.marginal_cost_cents


def test_a_week_either_way_costs_something():
    found = run(costs=Costs(Decimal(120), Decimal(1000), 500, 400))
    assert found.week_earlier_cents > 0
    assert found.week_later_cents > 0
    week = dt.timedelta(days=7)
    assert found.week_later_cents == (
        found.best.margin_cents - day(found, found.best.on + week).margin_cents
    )


def test_a_size_that_pays_moves_the_day_to_it():
    small = [SizeWanted(1.2, 1.7, Decimal(1500)), SizeWanted(1.7, 9.0, Decimal(700))]
    large = [SizeWanted(1.2, 2.2, Decimal(700)), SizeWanted(2.2, 9.0, Decimal(1500))]
    assert run(small).best.age_d < run(large).best.age_d


def test_birds_above_the_number_wanted_go_at_the_other_price():
    few = run([SizeWanted(0.0, math.inf, Decimal(1000), most=10)],
              costs=Costs(Decimal(70), Decimal(500)))  # fmt: skip
    for one in few.choices:
        assert one.by_class == (pytest.approx(10.0),)


def test_a_refused_day_is_never_the_best_and_is_told_when_better():
    best = run().best.on
    found = run(room=Room(refused={best: "Thunderstorms."}))
    assert found.best.on != best
    assert (
        "Thunderstorms" in next(f for f in found.findings if f.code == "best_day.refused").sentence
    )
    with pytest.raises(InputError):
        run(days=[best], room=Room(refused={best: "No crew."}))


def test_room_and_cap_limit_what_is_sold_and_say_so():
    capped = run(room=Room(most_birds=40))
    assert capped.best.processed == 40
    assert "best_day.room" in {f.code for f in capped.findings}
    chilled = run(room=Room(most_dressed_kg=50.0))
    for one in chilled.choices:
        assert one.processed * one.dressed_kg <= 50.0 + 1e-6


@settings(max_examples=25, deadline=None)
@given(st.floats(1.0, 2.5), st.integers(10, 300))
def test_classes_share_out_no_more_birds_than_there_are(edge, birds):
    found = run(
        [SizeWanted(0.0, edge, Decimal(900)), SizeWanted(edge, math.inf, Decimal(1100))],
        birds=birds,
        days=DAYS[::7],
    )
    for one in found.choices:
        assert sum(one.by_class) == pytest.approx(one.processed)


@pytest.mark.parametrize(
    ("classes", "days"),
    [
        (ANY, []),
        (ANY, [TODAY - dt.timedelta(days=1)]),
        ([SizeWanted(1.0, 2.0, Decimal(1)), SizeWanted(1.9, 3.0, Decimal(1))], DAYS),
        ([SizeWanted(2.0, 1.0, Decimal(1))], DAYS),
    ],
    ids=["none", "past", "overlap", "backwards"],
)
def test_questions_that_cannot_be_are_refused(classes, days):
    with pytest.raises(InputError):
        run(classes, days=days)


def test_the_edge_of_the_days_is_told():
    assert "best_day.edge" in {f.code for f in run(days=DAYS[:5]).findings}
