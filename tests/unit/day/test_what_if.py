"""A change against the plan: paired days, fixed posts where they hold, words with bands."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

import pytest

from pinfeather.day.luck import gains
from pinfeather.day.what_if import (
    Difference,
    difference,
    difference_words,
    new_findings,
    paired_days,
    ranked,
    set_up,
    teams_at_posts,
)
from pinfeather.errors import InputError, InputFaultsError
from pinfeather.estimate import Basis, Estimate, Origin
from pinfeather.line.simulate import FlowLimits
from pinfeather.line.stations import PACKING


@pytest.fixture(scope="module")
def base(request_with):
    return request_with(lambda m: m.pop("deadline"))


@pytest.fixture(scope="module")
def now(base):
    return set_up(base)


def with_kit(request, **kit):
    return replace(request, equipment=replace(request.equipment, **kit))


def seconds(minutes: float, low: float, high: float) -> Estimate:
    return Estimate(60 * minutes, 60 * low, 60 * high, Basis(Origin.COMPUTED, "days"))


def test_the_same_plan_twice_differs_by_nothing(now) -> None:
    found = difference(now, now)
    assert found.line_s is not None
    assert found.packed_s is not None
    assert (found.line_s.low, found.line_s.high) == (0.0, 0.0)
    assert found.packed_s.value == 0.0
    assert found.line_half_s == 0.0
    assert difference_words(found) == (
        "The line is done at the same time, all packed at the same time."
    )


def test_taking_the_change_back_turns_the_difference_round(now, base) -> None:
    more = set_up(with_kit(base, draw_places=3), limits=now.limits)
    there, back = difference(now, more), difference(more, now)
    assert there.line_s is not None
    assert back.line_s is not None
    assert there.line_s.value == pytest.approx(-back.line_s.value)
    assert there.line_half_s == pytest.approx(back.line_half_s)


def test_one_more_at_the_bottleneck_is_sooner_and_one_less_is_later(now, base) -> None:
    helper = replace(base.people[0], name="Jo", stations=base.people[0].stations)
    more = set_up(replace(base, people=(*base.people, helper)), crosses=("seldom",))
    less = set_up(replace(base, people=base.people[:2]), crosses=("seldom",))
    sooner, later = difference(now, more).line_s, difference(now, less).line_s
    assert sooner is not None
    assert later is not None
    assert sooner.value > 60.0
    assert later.value < -600.0


def test_a_later_start_is_later_by_as_much(now, base) -> None:
    start = dt.time(base.start.hour + 1, base.start.minute)
    people = tuple(
        replace(
            one,
            begins=dt.time(one.begins.hour + 1, one.begins.minute),
            ends=dt.time(one.ends.hour + 1, one.ends.minute),
            breaks=tuple((dt.time(a.hour + 1, a.minute), dt.time(b.hour + 1, b.minute))
                         for a, b in one.breaks),
        )
        for one in base.people
    )  # fmt: skip
    later = set_up(replace(base, start=start, people=people), limits=now.limits)
    found = difference(now, later)
    assert found.line_s is not None
    assert found.line_s.value == pytest.approx(-3600.0)
    assert found.line_half_s == pytest.approx(0.0, abs=1e-6)


def test_common_luck_leaves_less_scatter_than_luck_of_ones_own(now, base) -> None:
    more = set_up(with_kit(base, cones=3), limits=now.limits)
    paired = difference(now, more, days=12)
    own = [difference(now, now, seed=1, days=12), difference(more, more, seed=2, days=12)]
    assert paired.days == 12
    assert all(one.line_half_s == 0.0 for one in own)
    assert paired.line_half_s < 300.0


def test_it_says_how_many_days_and_fewer_for_more_birds(now) -> None:
    assert [paired_days(n) for n in (1, 42, 200, 2000)] == [24, 23, 5, 4]
    found = difference(now, now, days=7)
    assert found.days == 7
    assert found.line_s is not None
    assert "7 pairs" in found.line_s.basis.note


def test_other_birds_cannot_be_compared(now, base) -> None:
    fewer = set_up(replace(base, lots=base.lots[:1]))
    with pytest.raises(InputError, match="same birds"):
        difference(now, fewer)


def test_days_with_birds_left_over_are_left_out_and_counted(now, base) -> None:
    short = tuple(replace(one, ends=dt.time(10, 0), breaks=()) for one in base.people)
    found = difference(now, set_up(replace(base, people=short)))
    assert found.days == 0
    assert found.left_out == paired_days(42)
    assert "no difference" in difference_words(found)


def test_nobody_there_is_told_in_a_sentence(base) -> None:
    late = tuple(
        replace(one, begins=dt.time(23, 58), ends=dt.time(23, 59), breaks=()) for one in base.people
    )
    with pytest.raises(InputFaultsError, match="Check the hours"):
        set_up(replace(base, people=late, start=dt.time(23, 58)))


def test_what_the_change_makes_wrong_is_told_and_the_rest_is_not(now, base) -> None:
    short = tuple(replace(one, ends=dt.time(10, 0), breaks=()) for one in base.people)
    then = set_up(replace(base, people=short))
    assert any(f.code.startswith("line.") for f in new_findings(now, then))
    assert new_findings(then, then) == ()


@pytest.mark.parametrize(
    ("line", "packed", "words"),
    [
        ((28, 21, 33), (19, 12, 25),
         "The line is done 28 min sooner (21–33), all packed 19 min sooner (12–25)."),
        ((-8, -12, -5), (0, 0, 0),
         "The line is done 8 min later (5–12), all packed at the same time."),
        ((4, -3, 9), (5, 5, 5),
         "The line is done 4 min sooner (-3 to 9), all packed 5 min sooner."),
    ],
)  # fmt: skip
def test_the_difference_in_words(line, packed, words) -> None:
    found = Difference(seconds(*line), seconds(*packed), 60.0, 60.0, 6, 0, "events")
    assert difference_words(found) == words


@pytest.fixture
def at_posts(base):
    """Everybody at a post of their own, all day, nobody sharing."""
    posts = [["catch"], ["kill"], ["scald"], ["pick"], ["draw"], ["draw"], ["rinse"],
             ["bag", "weigh", "store"]]  # fmt: skip
    people = tuple(
        replace(base.people[0], name=f"p{n}", stations=frozenset(codes), pace=1.0, breaks=(),
                begins=dt.time(8, 0), ends=dt.time(23, 30))
        for n, codes in enumerate(posts)
    )  # fmt: skip
    return replace(base, people=people)


def test_people_who_share_no_stations_are_teams(at_posts) -> None:
    side = set_up(at_posts)
    teams = teams_at_posts(side.day, until_s=side.table.end_s)
    assert teams is not None
    named = [code for team in teams for code in team.stations]
    assert named == [station.code for station in side.day.stations]
    assert next(t.people for t in teams if t.stations == ("draw",)) == 2
    assert teams[-1].stations == tuple(c for c in named if c in PACKING)


def test_whoever_shares_goes_or_rests_is_no_team(now, at_posts) -> None:
    limits = FlowLimits(wip_limit=6)
    assert teams_at_posts(now.day, until_s=1.0) is None
    first, *others = at_posts.people
    for changed in (
        replace(first, stations=frozenset({"catch", "kill"})),
        replace(first, breaks=((dt.time(10), dt.time(11)),)),
        replace(first, ends=dt.time(9, 30)),
        replace(first, begins=dt.time(9, 0)),
        replace(first, pace=0.8),
        replace(first, stations=frozenset({"catch", "rinse"})),
    ):
        side = set_up(replace(at_posts, people=(changed, *others)), limits=limits)
        assert teams_at_posts(side.day, until_s=4 * 3600.0) is None


def test_fixed_posts_give_hundreds_of_days_and_agree_with_the_few(at_posts) -> None:
    now = set_up(at_posts)
    then = set_up(with_kit(at_posts, draw_places=1))
    quick = difference(now, then)
    assert quick.way == "posts"
    assert quick.days == 200
    few = difference(
        replace(now, day=replace(now.day, people=(*now.day.people, now.day.people[0]))),
        replace(then, day=replace(then.day, people=(*then.day.people, then.day.people[0]))),
        days=12,
    )
    assert quick.line_s is not None
    assert few.line_s is not None
    assert few.line_s.value == pytest.approx(quick.line_s.value, rel=0.1)
    assert quick.line_half_s < few.line_half_s * 1.5


def test_fixed_posts_are_not_used_where_they_are_off_the_played_day(at_posts) -> None:
    side = set_up(at_posts)
    off = replace(side, table=replace(side.table, line_end_s=side.table.line_end_s * 1.1))
    assert difference(off, off).way == "events"


def test_the_changed_plan_is_ranked_on_few_days_as_a_saved_one_would_be(base, now) -> None:
    more = set_up(with_kit(base, cones=1), crosses=(now.limits.cross,))
    found = ranked(more)
    assert 2 <= found.days <= 6
    assert found.gains == gains(more.day, limits=more.limits, seed=1, days=found.days)
    assert (found.gains[0].change_code, found.gains[0].station) == ("place", "kill")
    assert ranked(now).gains[0].station != "kill"


def test_a_large_day_is_ranked_on_the_planned_day_alone(request_with) -> None:
    def large(written):
        written.pop("deadline")
        written["lots"] = [{**written["lots"][0], "count": 120}]
        for one in written["people"]:
            one["to"] = "23:00"

    side = set_up(request_with(large), crosses=("seldom",))
    assert side.table.unfinished == 0
    found = ranked(side)
    assert found.days == 0
    assert all(one.minutes_saved_s.low == one.minutes_saved_s.high for one in found.gains)


def test_where_birds_are_left_over_nothing_is_ranked(base) -> None:
    people = tuple(replace(one, ends=dt.time(10, 0)) for one in base.people)
    assert ranked(set_up(replace(base, people=people))).gains == ()
