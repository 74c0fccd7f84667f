"""The farm's own times, learned from days played with times that the plan did not know."""

from __future__ import annotations

import datetime as dt
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from pinfeather.day.events import Event
from pinfeather.day.hindsight import group_words, hindsight
from pinfeather.day.line_learning import learn_line
from pinfeather.day.luck import drawn_work
from pinfeather.day.planner import plan_day
from pinfeather.day.progress import progress
from pinfeather.day.request import request_from
from pinfeather.day.tapped import TappedDay, group_times
from pinfeather.day.what_if import set_up
from pinfeather.estimate import Basis, Estimate, Origin
from pinfeather.line.simulate import simulate

TAPPED = {"catch": "finish", "kill": "start", "pick": "finish", "draw": "finish", "chill": "start"}
ZONE = ZoneInfo("America/Chicago")


def sure(time_s: float) -> Estimate:
    return Estimate(time_s, time_s, time_s, Basis(Origin.TYPED, "the truth"))


@pytest.fixture
def asked(day_mapping):
    """Thirty birds, one on the dirty side, two on the clean."""
    mapping = day_mapping(
        lots=[{"code": "K7", "species": "chicken", "count": "30", "mean": "4.5 lb"}]
    )
    mapping["equipment"] |= {"draw_places": "2", "cones": "4"}
    clean = ["draw", "rinse", "bag", "weigh", "store"]
    hours = {"from": "08:30", "to": "19:00"}
    mapping["people"] = [
        {"name": "Odile", "stations": ["catch", "kill", "scald", "pick"], **hours},
        {"name": "Bram", "stations": clean, **hours},
        {"name": "Priya", "stations": clean, **hours},
    ]
    mapping |= {"profile": "us-federal", "tier": "producer_1000", "deadline": ""}
    return request_from(mapping)


class Shop:
    """Days of the same plan, played with times of their own and counted by somebody."""

    def __init__(self, asked):
        self.asked = asked
        self.plan = plan_day(asked, days=2, change_days=0)
        self.start = dt.datetime.combine(asked.date, asked.start, tzinfo=ZONE)

    def day(self, truth=None, *, seed=1, change=lambda taps: taps, who=lambda station, n: "Bram"):
        side = set_up(self.asked, crosses=("seldom",), times=truth or {})
        work = drawn_work(side.day, days=1, seed=seed, sure=True)[0]
        table = simulate(side.day.stations, side.day.people, work_s=work, limits=side.limits)
        taps = {
            code: sorted(
                float(t)
                for t in (table.start_s if when == "start" else table.finish_s)[:, table.at(code)]
                if not np.isnan(t)
            )
            for code, when in TAPPED.items()
        }
        taps = change(taps)
        moments = sorted((t, code, n) for code, ts in taps.items() for n, t in enumerate(ts))
        events = [
            Event(
                seq,
                f"t{seq}",
                "tally",
                {"station": code, "birds": 1, "place": ""},
                who(code, n),
                self.start + dt.timedelta(seconds=at_s),
            )
            for seq, (at_s, code, n) in enumerate(moments)
        ]
        return TappedDay(self.plan, self.asked, progress(events), self.start)


@pytest.fixture
def shop(asked):
    return Shop(asked)


def known(learning, station, phase):
    return next(
        one.learned for one in learning.phases if (one.station, one.phase) == (station, phase)
    )


@pytest.mark.parametrize("truth_s", [170.0, 320.0, 400.0])
def test_a_drawing_time_the_plan_did_not_know_is_found(shop, truth_s) -> None:
    days = [shop.day({("draw", "draw"): sure(truth_s)}, seed=n) for n in range(3)]
    drawing = known(learn_line(days, species="chicken"), "draw", "draw")
    assert drawing.posterior.low <= truth_s <= drawing.posterior.high
    assert drawing.posterior.value == pytest.approx(truth_s, rel=0.12)
    assert drawing.prior.value == 240.0
    assert "your last 3 days" in drawing.posterior.basis.note
    assert drawing.posterior.basis.origin is Origin.OWN


def test_slow_drawing_is_not_blamed_on_the_dirty_side(shop) -> None:
    days = [shop.day({("draw", "draw"): sure(480.0)}, seed=n) for n in range(3)]
    learning = learn_line(days, species="chicken")
    cut = known(learning, "kill", "load and cut")
    assert cut.data is None or cut.posterior.value == pytest.approx(cut.prior.value, rel=0.25)


def test_a_slow_dirty_side_is_found_where_the_table_waited(shop) -> None:
    truth = {("kill", "load and cut"): sure(70.0), ("pick", "unload"): sure(40.0),
             ("catch", "carry"): sure(40.0), ("pick", "load"): sure(10.0)}  # fmt: skip
    days = [shop.day(truth, seed=n) for n in range(4)]
    learning = learn_line(days, species="chicken")
    cut = known(learning, "kill", "load and cut")
    assert cut.data is not None
    assert cut.posterior.value == pytest.approx(70.0, rel=0.2)
    drawing = known(learning, "draw", "draw")
    assert drawing.posterior.value == pytest.approx(240.0, rel=0.15)


def test_as_planned_nothing_moves(shop) -> None:
    days = [shop.day(seed=n) for n in range(4)]
    learning = learn_line(days, species="chicken")
    for station, phase in (("draw", "draw"), ("rinse", "rinse")):
        one = known(learning, station, phase)
        assert one.posterior.value == pytest.approx(one.prior.value, rel=0.12)


def lunch(taps):
    """Everybody stops for forty minutes after the middle of the day."""
    middle = np.median([t for ts in taps.values() for t in ts])
    return {code: [t + 2400.0 * (t > middle) for t in ts] for code, ts in taps.items()}


def doubled(taps):
    """Two birds are tapped twice at the drawing table."""
    return {**taps, "draw": sorted([*taps["draw"], taps["draw"][8] + 1, taps["draw"][15] + 1.5])}


def missed(taps):
    """Three birds are not tapped at the drawing table."""
    return {**taps, "draw": [t for n, t in enumerate(taps["draw"]) if n not in (5, 6, 20)]}


@pytest.mark.parametrize("change", [lunch, doubled, missed])
def test_lunch_and_missed_and_doubled_taps_do_not_spoil_it(shop, change) -> None:
    truth = {("draw", "draw"): sure(320.0)}
    days = [shop.day(truth, seed=n, change=change) for n in range(3)]
    drawing = known(learn_line(days, species="chicken"), "draw", "draw")
    assert drawing.posterior.value == pytest.approx(320.0, rel=0.15)


def test_more_days_make_it_surer_and_take_it_further_from_the_handbook(shop) -> None:
    truth = {("draw", "draw"): sure(320.0)}
    days = [shop.day(truth, seed=n) for n in range(6)]
    one = known(learn_line(days[:1], species="chicken"), "draw", "draw").posterior
    six = known(learn_line(days, species="chicken"), "draw", "draw").posterior
    assert six.high - six.low < one.high - one.low


def test_without_days_the_handbook_stays_and_nothing_is_given_to_the_plan(shop) -> None:
    nothing = learn_line([], species="chicken")
    assert nothing.times() == {}
    assert all(one.learned.posterior == one.learned.prior for one in nothing.phases)
    turkeys = learn_line([shop.day()], species="turkey")
    assert turkeys.days == 0


def test_only_what_the_taps_say_is_given_to_the_plan(shop) -> None:
    times = learn_line([shop.day(seed=n) for n in range(2)], species="chicken").times()
    assert ("draw", "draw") in times
    assert not {("kill", "bleed"), ("scald", "scald"), ("pick", "run"), ("bag", "bag")} & set(times)


def test_the_next_plan_says_which_days_its_times_rest_on(shop, asked) -> None:
    truth = {("draw", "draw"): sure(400.0)}
    times = learn_line([shop.day(truth, seed=n) for n in range(3)], species="chicken").times()
    plan = plan_day(asked, days=2, change_days=0, times=times)
    own = {(one.station, one.phase): one.time_s for one in plan.own_times}
    assert own == times
    assert plan.line_end_s > 1.2 * shop.plan.line_end_s
    assert any("your last 3 days" in number.basis.note for number in plan.numbers)


def test_learning_goes_on_from_a_plan_that_was_made_with_own_times(shop, asked) -> None:
    truth = {("draw", "draw"): sure(320.0)}
    times = learn_line([shop.day(truth, seed=n) for n in range(2)], species="chicken").times()
    shop.plan = plan_day(asked, days=2, change_days=0, times=times)
    later = known(learn_line([shop.day(truth, seed=9)], species="chicken"), "draw", "draw")
    assert later.data is not None
    assert later.data.value == pytest.approx(320.0, rel=0.15)


def test_who_is_slower_at_the_table_is_seen(shop) -> None:
    def two(taps):
        # Bram taps every third bird, Priya the others
        return taps

    days = [
        shop.day(seed=n, change=two, who=lambda station, n: "Bram" if n % 3 == 0 else "Priya")
        for n in range(3)
    ]
    paces = learn_line(days, species="chicken").paces
    assert set(paces) == {"Bram", "Priya"}
    assert paces["Priya"].value > 1.1
    assert paces["Bram"].value < 0.95


def test_hindsight_names_slow_drawing_first_and_gives_minutes(shop) -> None:
    found = hindsight(shop.day({("draw", "draw"): sure(400.0)}, seed=3))
    assert found.line_late_s is not None
    assert found.line_late_s > 900
    row = next(one for one in found.rows if one.code == "draw")
    assert row.slower_frac > 0.3
    assert "after the plan" in found.sentences[0]
    assert any(words.startswith("Drawing:") and "slower" in words for words in found.sentences)


def test_hindsight_tells_a_late_start_and_lunch_apart_from_pace(shop) -> None:
    def late(taps):
        return {code: [t + 1200.0 for t in ts] for code, ts in lunch(taps).items()}

    found = hindsight(shop.day(seed=2, change=late))
    assert found.late_start_s == pytest.approx(1200.0, abs=60.0)
    row = next(one for one in found.rows if one.code == "draw")
    assert row.slower_frac == pytest.approx(0.0, abs=0.12)
    assert row.stops >= 1
    assert row.stops_s == pytest.approx(2400.0, rel=0.3)
    assert any("20 min late" in words for words in found.sentences)
    assert any("in stops" in words for words in found.sentences)


def test_a_day_as_planned_has_nothing_to_explain(shop) -> None:
    found = hindsight(shop.day(seed=4))
    assert found.line_late_s is not None
    assert abs(found.line_late_s) < 900


def test_a_day_with_hardly_a_tap_says_nothing(shop) -> None:
    def few(taps):
        return {code: ts[:3] for code, ts in taps.items()}

    day = shop.day(change=few)
    assert group_times(day) == ()
    assert learn_line([day], species="chicken").times() == {}
    assert hindsight(day).rows == ()


def test_a_basket_counts_like_its_birds_one_by_one(shop) -> None:
    single = shop.day(seed=5)
    drawn = [t for t in single.done.tallies if t.station == "draw"]
    others = [t for t in single.done.tallies if t.station != "draw"]
    pairs = [
        Event(
            1000 + n, f"b{n}", "tally", {"station": "draw", "birds": 2, "place": ""}, "Bram", b.at
        )
        for n, (_a, b) in enumerate(zip(drawn[::2], drawn[1::2], strict=False))
    ]
    events = [
        Event(n, t.id, "tally", {"station": t.station, "birds": 1, "place": ""}, t.who, t.at)
        for n, t in enumerate(others)
    ] + pairs
    basket = TappedDay(shop.plan, shop.asked, progress(events), shop.start)
    a = known(learn_line([single], species="chicken"), "draw", "draw").data
    b = known(learn_line([basket], species="chicken"), "draw", "draw").data
    assert a is not None
    assert b is not None
    assert b.value == pytest.approx(a.value, rel=0.15)


def test_every_group_has_a_name() -> None:
    assert group_words("dirty") == "Catch to pick"
