"""How a running day stands, as the working pages are told."""

from __future__ import annotations

import datetime as dt
import json

import pytest

from pinfeather.actions.day import days, running, shopfloor
from pinfeather.errors import RecordNotFoundError


def reading(sent, what: str, written: str, at: dt.datetime, **more) -> dict:
    place = more.pop("place", "North tank")
    instrument = more.pop("instrument", "Blue probe")
    payload = {"what": what, "place": place, "written": written, "instrument": instrument}
    return sent("reading", payload, client_id=more["client_id"], at=at)


def test_the_state_is_plain_json_and_counts_what_was_tapped(running_day, now) -> None:
    state = shopfloor.state(running_day, station="pick", now=now)

    assert json.loads(json.dumps(state)) == state
    assert state["counts"] == {
        "catch": 6, "kill": 6, "pick": 4, "draw": 4, "chill": 3, "bag": 0
    }  # fmt: skip
    assert (state["birds"], state["status"]) == (6, "running")
    assert len(state["recent"]) == 4
    assert state["seq"] == running.last_seq(running_day)
    assert dt.datetime.fromisoformat(state["now"]) == now


def test_a_station_is_told_only_what_is_due_there(running_day, now) -> None:
    everywhere = shopfloor.state(running_day, station="", now=now)["due"]
    tanks = shopfloor.state(running_day, station="chill", now=now)["due"]
    cones = shopfloor.state(running_day, station="kill", now=now)["due"]

    assert {item["task"] for item in tanks} >= {"read_tank"}
    assert "read_tank" not in {item["task"] for item in cones}
    assert len(everywhere) >= len(tanks)
    assert all(item["what"] or item["done"] for item in everywhere)
    assert shopfloor.state(running_day, station="nowhere", now=now)["due"] == []


def test_only_the_last_dozen_taps_are_sent(planned_day, count_birds, now) -> None:
    count_birds(planned_day, {"catch": 20}, first=days.day(planned_day).start)

    recent = shopfloor.state(planned_day, station="catch", now=now)["recent"]

    assert [r["id"] for r in recent] == [f"c{planned_day}catch{n}" for n in range(8, 20)]


def test_a_bird_missing_for_too_long_is_told(running_day, now) -> None:
    soon = shopfloor.floor(running_day, now=days.day(running_day).start + dt.timedelta(minutes=7))
    later = shopfloor.floor(running_day, now=now + dt.timedelta(hours=3))

    assert "count.gap" not in {f.code for f in soon.findings}
    gaps = [f for f in later.findings if f.code == "count.gap"]
    assert {f.where for f in gaps} >= {"kill-pick", "draw-chill"}
    assert "2 birds are unaccounted for" in next(f.sentence for f in gaps if f.where == "kill-pick")


def test_a_reading_is_corrected_by_the_ice_check_before_it(running_day, sent, now) -> None:
    start = days.day(running_day).start
    checked = sent(
        "ice point", {"instrument": "Blue probe", "written": "33 F"}, client_id="i1", at=start
    )
    before = reading(sent, "bath", "35 F", start - dt.timedelta(minutes=9), client_id="r1")
    after = reading(sent, "bath", "35 F", start + dt.timedelta(minutes=9), client_id="r2")
    running.receive(running_day, [checked, before, after], device="p", sent_at=now, now=now)

    floor = shopfloor.floor(running_day, now=now)

    values = {one.reading.id: one.corrected_degC for one in floor.readings}
    assert values["r1"] == pytest.approx((35 - 32) / 1.8)
    assert values["r2"] == pytest.approx((34 - 32) / 1.8)


def test_an_ice_check_made_on_another_day_or_on_none_is_used(running_day, now) -> None:
    running.write(
        "ice point", {"instrument": "Blue probe", "written": "32 F"}, day_id=None, who="Odile",
        at=now - dt.timedelta(days=2),
    )  # fmt: skip

    assert [p.instrument for p in shopfloor.ice_points(now + dt.timedelta(days=365))] == []
    from pinfeather import clock

    (point,) = shopfloor.ice_points(clock.now() + dt.timedelta(minutes=1))
    assert point.at == now - dt.timedelta(days=2)


def test_an_ice_check_made_that_morning_outside_the_day_strikes_the_task(running_day, frozen):
    now = frozen

    def waits() -> bool:
        due = shopfloor.state(running_day, station="", now=now)["due"]
        return "ice_check" in {item["task"] for item in due}

    def check(at: dt.datetime) -> None:
        running.write(
            "ice point", {"instrument": "Blue probe", "written": "32 F"}, day_id=None, who="Odile",
            at=at,
        )  # fmt: skip

    assert waits()
    check(now - dt.timedelta(days=1))
    assert waits()
    check(now - dt.timedelta(minutes=30))
    assert not waits()


def test_an_ice_check_taken_back_is_not_used(running_day, sent, now) -> None:
    entries = [
        sent("ice point", {"instrument": "Blue probe", "written": "35 F"}, client_id="i1", at=now),
        sent("correction", {"of": "i1", "reason": "tip on the glass"}, client_id="x1", at=now),
    ]
    running.receive(running_day, entries, device="p", sent_at=now, now=now)

    assert shopfloor.ice_points(now) == ()


def test_what_arrived_after_a_moment_does_not_count_at_that_moment(running_day, sent, now) -> None:
    later = now + dt.timedelta(hours=2)
    entry = sent(
        "ice point", {"instrument": "Blue probe", "written": "33 F"}, client_id="i1", at=now
    )
    running.receive(running_day, [entry], device="p", sent_at=later, now=later)

    assert shopfloor.ice_points(now) == ()
    assert len(shopfloor.ice_points(later)) == 1


def test_two_thermometers_that_cannot_both_be_right_are_told(running_day, sent, now) -> None:
    entries = [
        reading(sent, "bath", "33 F", now, client_id="r1"),
        reading(sent, "bath", "41 F", now, client_id="r2", instrument="Barn dial"),
    ]
    running.receive(running_day, entries, device="p", sent_at=now, now=now)

    (found,) = (
        f
        for f in shopfloor.floor(running_day, now=now).findings
        if f.code == "thermometer.disagree"
    )
    assert "“Blue probe” and “Barn dial” disagree by 8.0 °F in North tank" in found.sentence


def test_a_clock_that_ran_wild_does_not_break_the_day(running_day, sent, now) -> None:
    entries = [
        sent("tally", {"station": "kill"}, client_id="w1", at=now - dt.timedelta(days=20000)),
        sent("tally", {"station": "kill"}, client_id="w2", at=now + dt.timedelta(days=20000)),
    ]
    running.receive(running_day, entries, device="p", sent_at=now, now=now)

    assert shopfloor.state(running_day, station="kill", now=now)["counts"]["kill"] == 8


def test_there_is_no_such_day(farm, now) -> None:
    with pytest.raises(RecordNotFoundError):
        shopfloor.state(404, station="kill", now=now)
