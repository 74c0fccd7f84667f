"""The made-up farm: three finished days, one under way, one planned, whatever the hour."""

from __future__ import annotations

import datetime as dt
from functools import partial

import pytest

from pinfeather import clock
from pinfeather.actions import farm as farms
from pinfeather.actions.day import closing, days, running, shopfloor
from pinfeather.actions.demo import farm as demo
from pinfeather.records import journal, models


def test_there_are_three_finished_days_one_under_way_and_one_planned(demo_farm) -> None:
    assert sorted(line.status for line in days.days()) == ["closed"] * 3 + ["planned", "running"]
    assert farms.farm().demo


def test_every_closed_days_chain_holds(demo_farm) -> None:
    assert journal.broken_at() is None
    for line in days.days():
        day = days.day(line.id)
        if day.status == "closed":
            assert models.Entry.objects.get(seq=day.sealed_seq).hash == day.seal
            assert all(one.answered for one in closing.record_findings(day.record))


def test_the_closed_days_count_the_same_birds_at_every_station_but_for_one_story(
    demo_farm,
) -> None:
    for line in days.days():
        if line.status != "closed":
            continue
        done = running.day_progress(line.id)
        explained = sum(e.birds for e in done.explained)
        assert done.count("catch") == line.birds
        assert done.count("bag") == line.birds - explained


def test_the_demo_tells_its_stories(demo_farm, now) -> None:
    found = {
        one.finding.code
        for line in days.days()
        if line.status == "closed"
        for one in closing.record_findings(days.day(line.id).record)
    }
    assert "chill.proved" in found
    assert any(running.day_progress(line.id).explained for line in days.days())
    under_way = shopfloor.floor(demo_farm["running"], now=now)
    assert "thermometer.disagree" in {f.code for f in under_way.findings}


def test_nothing_in_the_demo_lies_in_the_future(demo_farm, now) -> None:
    for entry in models.Entry.objects.all():
        assert entry.received_at <= now
        assert entry.device_time <= now


@pytest.mark.parametrize(
    "moment",
    [
        "2026-06-17T05:35:00+00:00",  # soon after midnight on the farm
        "2026-06-18T04:50:00+00:00",  # just before midnight
        "2026-03-08T08:30:00+00:00",  # the night clocks go forward
        "2026-11-01T07:10:00+00:00",  # the night they go back
        "2026-01-03T15:00:00+00:00",  # the closed days lie in last year
    ],
)
def test_the_demo_can_be_made_at_any_hour(store, monkeypatch, moment) -> None:
    at = dt.datetime.fromisoformat(moment)
    quick = partial(days.save_plan)
    monkeypatch.setattr(
        days, "save_plan", lambda mapping, **_more: quick(mapping, days=1, change_days=0)
    )

    demo.make(now=at)

    assert sorted(line.status for line in days.days()) == ["closed"] * 3 + ["planned", "running"]
    assert journal.broken_at() is None
    under_way = next(line for line in days.days() if line.status == "running")
    if at.astimezone(clock.zone(demo.ZONE)).hour:
        assert running.day_progress(under_way.id).count("catch") > 0
    shopfloor.state(under_way.id, station="pick", now=at)


def test_the_same_moment_makes_the_same_farm(store, monkeypatch, now) -> None:
    quick = partial(days.save_plan)
    monkeypatch.setattr(
        days, "save_plan", lambda mapping, **_more: quick(mapping, days=1, change_days=0)
    )
    from django.db import transaction

    def made() -> list[tuple]:
        with transaction.atomic():
            demo.make(now=now)
            first = models.Entry.objects.order_by("seq").values_list("kind", "payload", "who")
            rows = list(first)
            transaction.set_rollback(True)
        for _kind, payload, _who in rows:  # a buyer's key and salt are drawn anew each time
            if isinstance(payload.get("buyer"), dict):
                payload["buyer"] = {"id": payload["buyer"]["id"]}
        return rows

    assert made() == made()
