"""Planning days: saving, changing, and the head counted before them."""

from __future__ import annotations

import datetime as dt

import pytest

from pinfeather.actions.day import days, running
from pinfeather.errors import InputFaultsError, RecordConflictError, RecordNotFoundError
from pinfeather.records import models


def plan(mapping, **more) -> int:
    return days.save_plan(mapping, days=2, change_days=0, **more)


def kill(day_id: int, birds: int, *, at: dt.datetime, name: str = "k", lot: str = "") -> str:
    client_id = f"{name}{day_id}"
    payload = {"station": "kill", "birds": birds, "lot": lot}
    entry = {
        "id": client_id,
        "kind": "tally",
        "payload": payload,
        "who": "Odile",
        "at": at.isoformat(),
    }
    (received,) = running.receive(day_id, [entry], device="phone", sent_at=at, now=at)
    assert not received.problem
    return client_id


def test_a_saved_plan_is_read_back_whole(planned_day, day_mapping) -> None:
    view = days.day(planned_day)

    assert view.status == "planned"
    assert view.version == 1
    assert view.plan.birds == len(view.plan.threads) == 6
    assert view.request.profile == "us-federal"
    assert view.mapping["lots"] == day_mapping()["lots"]
    assert view.start == dt.datetime(2026, 6, 17, 14, 0, tzinfo=dt.UTC)
    (line,) = days.days()
    assert (line.birds, line.lots, line.people) == (6, "K7", 2)


def test_there_is_no_such_day(farm, day_mapping) -> None:
    with pytest.raises(RecordNotFoundError):
        days.day(404)
    with pytest.raises(RecordNotFoundError):
        days.day(10**30)
    with pytest.raises(RecordNotFoundError):
        plan(day_mapping(), day_id=404)


def test_all_faults_are_told_at_once_and_nothing_is_saved(farm, day_mapping) -> None:
    bad = day_mapping(start="9 o'clock", lots=[{"code": "k7", "count": "six", "mean": "4.5"}])

    with pytest.raises(InputFaultsError) as told:
        plan(bad)

    assert {f.name for f in told.value.faults} >= {
        "start",
        "lots[0].code",
        "lots[0].count",
        "lots[0].mean",
    }
    assert days.days() == ()


def test_a_change_raises_the_version(planned_day, day_mapping) -> None:
    plan(day_mapping(start="10:00"), day_id=planned_day, version=1)

    view = days.day(planned_day)
    assert view.version == 2
    assert view.request.start == dt.time(10)
    assert len(days.days()) == 1


def test_of_two_who_change_the_same_plan_the_second_is_told(planned_day, day_mapping) -> None:
    plan(day_mapping(start="10:00"), day_id=planned_day, version=1)

    with pytest.raises(RecordConflictError, match="Somebody else changed this plan"):
        plan(day_mapping(start="11:00"), day_id=planned_day, version=1)
    assert days.day(planned_day).request.start == dt.time(10)


def test_a_closed_day_refuses_a_new_plan(planned_day, day_mapping) -> None:
    models.Day.objects.filter(pk=planned_day).update(status="closed", seal="ab" * 32)

    with pytest.raises(RecordConflictError, match="closed"):
        plan(day_mapping(), day_id=planned_day, version=1)


def test_the_farms_rules_apply_whatever_the_form_says(farm, day_mapping) -> None:
    view = days.day(plan(day_mapping(profile="us-vt", tier="nonsense", counted={"chicken": 5})))

    assert (view.request.profile, view.request.tier) == (farm.profile, farm.tier)
    assert view.request.counted == {}


def test_an_unknown_rule_profile_is_told_in_a_sentence(farm, day_mapping) -> None:
    models.Farm.objects.update(profile="nowhere")

    with pytest.raises((InputFaultsError, ValueError), match="nowhere"):
        plan(day_mapping())


YEARS = [
    # the day planned, the days before it and the head killed on each, what counts
    ("2026-06-17", [("2026-06-16", 7)], 7),
    ("2026-06-17", [("2026-01-01", 7)], 7),
    ("2026-06-17", [("2025-12-31", 7)], 0),
    ("2026-01-01", [("2025-12-31", 7)], 0),
    ("2026-12-31", [("2026-01-01", 7), ("2026-12-30", 5)], 12),
    ("2026-06-17", [("2026-06-18", 7)], 0),
    ("2026-06-17", [("2026-06-17", 7)], 7),
]


@pytest.mark.parametrize(("date", "before", "counted"), YEARS)
def test_only_birds_slaughtered_this_calendar_year_before_the_day_count(
    farm, day_mapping, date, before, counted
) -> None:
    for number, (other, birds) in enumerate(before):
        day_id = plan(day_mapping(date=other))
        at = days.day(day_id).start
        kill(day_id, birds, at=at, name=f"k{number}")

    assert days.counted_before(dt.date.fromisoformat(date)).get("chicken", 0) == counted


def test_birds_only_planned_or_caught_or_taken_back_do_not_count(farm, day_mapping, sent) -> None:
    day_id = plan(day_mapping(date="2026-06-10"))
    june = dt.date(2026, 6, 17)
    assert days.counted_before(june) == {}

    at = days.day(day_id).start
    entries = [
        sent("tally", {"station": "catch", "birds": 6}, client_id="a1", at=at),
        sent("tally", {"station": "kill", "birds": 6}, client_id="a2", at=at),
        sent("tally", {"station": "pick", "birds": 6}, client_id="a3", at=at),
    ]
    running.receive(day_id, entries, device="phone", sent_at=at, now=at)
    assert days.counted_before(june) == {"chicken": 6}

    running.write("correction", {"of": "a2", "reason": "doubled"}, day_id=day_id, who="Odile")
    assert days.counted_before(june) == {}


def test_head_is_counted_by_species_of_its_lot(farm, day_mapping) -> None:
    lots = [
        {"code": "C1", "species": "chicken", "count": "3", "mean": "4 lb"},
        {"code": "T1", "species": "turkey", "count": "2", "mean": "12 lb"},
    ]
    day_id = plan(day_mapping(date="2026-06-10", lots=lots))
    at = days.day(day_id).start
    kill(day_id, 3, at=at, name="c", lot="C1")
    kill(day_id, 2, at=at, name="t", lot="T1")
    kill(day_id, 1, at=at, name="u")

    assert days.counted_before(dt.date(2026, 6, 17)) == {"chicken": 4, "turkey": 2}


def test_a_day_does_not_count_its_own_birds_before_itself(running_day, day_mapping) -> None:
    assert days.counted_before(dt.date(2026, 6, 17)) == {"chicken": 6}
    plan(day_mapping(), day_id=running_day)

    assert days.day(running_day).plan.counted_before == 0


def test_what_was_killed_before_stands_in_the_next_plan(running_day, day_mapping) -> None:
    view = days.day(plan(day_mapping(date="2026-06-24")))

    assert view.request.counted == {"chicken": 6}
    assert view.plan.counted_before == 6


SPRING, AUTUMN = dt.date(2026, 3, 8), dt.date(2026, 11, 1)
"""Nights on which clocks in New York are put forward and back."""


@pytest.mark.parametrize(
    ("date", "utc_start", "three_hours_on"),
    [
        (SPRING, "06:00", "05:00"),
        (AUTUMN, "05:00", "03:00"),
        (dt.date(2026, 6, 17), "05:00", "04:00"),
    ],
)
def test_hours_are_real_hours_when_the_clocks_change(
    store, make_farm, day_mapping, date, utc_start, three_hours_on
) -> None:
    make_farm(zone="America/New_York")
    people = [{**person, "from": "00:30", "to": "18:00"} for person in day_mapping()["people"]]

    view = days.day(plan(day_mapping(date=date.isoformat(), start="01:00", people=people)))

    assert f"{view.start.astimezone(dt.UTC):%H:%M}" == utc_start
    later = view.moment(3 * 3600.0)
    assert (later - view.start.astimezone(dt.UTC)).total_seconds() == 3 * 3600
    assert f"{later:%H:%M}" == three_hours_on


def test_a_draft_takes_over_the_last_days_equipment_and_crew(planned_day, day_mapping) -> None:
    draft = days.draft(dt.date(2026, 6, 24))

    assert draft["equipment"] == day_mapping()["equipment"]
    assert [p["name"] for p in draft["people"]] == ["Odile", "Bram"]
    assert "code" not in draft["lots"][0]  # K7 is in a day that is still to come


def test_a_draft_offers_a_standing_lot_with_what_it_is_expected_to_weigh(farm, frozen) -> None:
    (lot,) = days.draft(dt.date(2026, 6, 24))["lots"]

    assert (lot["code"], lot["species"], lot["build"]) == ("K7", "chicken", "broad")
    assert int(lot["count"]) in {29, 30}
    assert lot["mean"].endswith(" lb")
    assert lot["spread"].endswith(" lb")


def test_a_draft_with_nothing_on_record_still_has_every_part(store) -> None:
    draft = days.draft(dt.date(2026, 6, 24))

    assert draft["date"] == "2026-06-24"
    assert draft["equipment"]["tanks"]
    assert draft["lots"]
    assert draft["people"]
