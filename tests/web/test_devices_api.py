"""What instruments send by themselves: their tokens, their numbers, and whatever else comes."""

from __future__ import annotations

import datetime as dt
import json
from itertools import product

import pytest
import schemathesis
from django.core.wsgi import get_wsgi_application
from django.test import Client
from hypothesis import HealthCheck, given, settings
from schemathesis import GenerationMode

from pinfeather import clock
from pinfeather.actions import phones
from pinfeather.actions.day import running
from pinfeather.cli.server import marked
from pinfeather.records import journal, models


@pytest.fixture
def token(running_day) -> str:
    return phones.make_instrument("Tank logger", now=clock.now())


@pytest.fixture
def send(token, client):
    """Send as an instrument does."""

    def sender(kind: str, *things, with_token: str = token, browser: Client = client, **more):
        return browser.post(
            f"/api/devices/{kind}",
            json.dumps({kind: list(things), **more}),
            content_type="application/json",
            headers={"Authorization": f"Bearer {with_token}"},
        )

    return sender


def reading(number: str = "1", **changed) -> dict:
    return {"id": number, "what": "bath", "place": "North tank", "written": "34.2 F", **changed}


def test_a_reading_is_written_once_with_the_instruments_name(running_day, send) -> None:
    first, again = send("readings", reading()), send("readings", reading())

    assert (first.status_code, again.status_code) == (200, 200)
    (told,), (told_again,) = first.json()["received"], again.json()["received"]
    assert (told["id"], told["known"], told["problem"]) == ("1", False, "")
    assert told_again == {**told, "known": True}
    (kept,) = running.day_progress(running_day).readings
    assert (kept.instrument, kept.written, kept.place) == ("Tank logger", "34.2 F", "North tank")
    assert models.Entry.objects.order_by("-seq").first().device == "Tank logger"


def test_a_weight_is_kept_as_written_and_in_kilograms(running_day, send) -> None:
    answer = send("weights", {"id": "w1", "written": "4 lb 8 oz"})

    assert answer.json()["received"][0]["problem"] == ""
    kept = models.Entry.objects.order_by("-seq").first()
    assert kept.kind == "weight"
    assert kept.payload["written"] == "4 lb 8 oz"
    assert kept.payload["mass_kg"] == pytest.approx(2.0411657, abs=1e-6)  # 4.5 × 0.45359237


def test_two_instruments_with_the_same_numbers_do_not_hide_each_other(running_day, send) -> None:
    other = phones.make_instrument("Other logger", now=clock.now())

    send("readings", reading("7", written="34 F"))
    told = send("readings", reading("7", written="35 F"), with_token=other).json()["received"]

    assert told[0]["known"] is False
    written = [r.written for r in running.day_progress(running_day).readings]
    assert written == ["34 F", "35 F"]


def test_the_instruments_clock_is_put_right(running_day, send, frozen, now) -> None:
    ahead = now + dt.timedelta(hours=3)
    at = ahead - dt.timedelta(minutes=10)

    send("readings", reading(at=at.isoformat()), sent_at=ahead.isoformat())

    (kept,) = running.day_progress(running_day).readings
    assert kept.at == now - dt.timedelta(minutes=10)


def test_one_that_makes_no_sense_does_not_stop_the_others(running_day, send) -> None:
    answer = send("readings", reading("1", written="34.2"), reading("2", written="900 F"),
                  reading("3"))  # fmt: skip

    told = {one["id"]: one["problem"] for one in answer.json()["received"]}
    assert "unit" in told["1"].lower() or told["1"]
    assert "cannot be right" in told["2"]
    assert told["3"] == ""


def test_where_no_day_runs_it_is_told_to_wait(planned_day, client) -> None:
    token = phones.make_instrument("Tank logger", now=clock.now())

    answer = client.post(
        "/api/devices/readings",
        json.dumps({"readings": [reading()]}),
        content_type="application/json",
        headers={"Authorization": f"Bearer {token}"},
    )

    assert answer.status_code == 409
    assert "No day runs" in answer.json()["sentence"]


def test_an_ended_instrument_is_turned_away_at_once(running_day, send, client) -> None:
    assert send("readings", reading()).status_code == 200
    (one,) = phones.let_in(kind=phones.INSTRUMENT)
    client.post("/farm/phones/", {"act": "end", "device": one.id})

    answer = send("readings", reading("2"))

    assert answer.status_code == 401
    assert answer.json() == {"sentence": "This token is not let in."}
    assert answer.headers["WWW-Authenticate"] == "Bearer"


def test_it_sends_from_the_home_network_without_a_cookie(running_day, send, at_the_lan) -> None:
    assert send("readings", reading(), browser=at_the_lan(strict=True)).status_code == 200


def test_the_token_is_shown_once_and_kept_as_a_hash(farm, client) -> None:
    page = client.post("/farm/phones/", {"act": "instrument", "name": "Scale"}).content.decode()
    token = page.split('class="token">')[1].split("<")[0]

    assert len(token) == 64
    assert token not in client.get("/farm/phones/").content.decode()
    kept = models.Device.objects.get()
    assert kept.token_hash == phones.hashed(token) != token


# ------------------------------------------------------ whatever fits the description, or not


def test_every_request_the_description_allows_is_answered_as_it_says(real_store) -> None:
    """Schemathesis makes requests from the OpenAPI description, right and wrong ones."""
    token = phones.make_instrument("Tank logger", now=clock.now())
    running.write("note", {"text": "begun"}, day_id=models.Day.objects.get().pk, who="")
    program = marked(get_wsgi_application(), "here")
    schema = schemathesis.openapi.from_wsgi("/api/devices/openapi.json", program)
    operations = [result.ok() for result in schema.get_all_operations()]
    assert {operation.path for operation in operations} == {
        "/api/devices/readings",
        "/api/devices/weights",
    }
    for operation, mode in product(operations, GenerationMode):

        @settings(
            max_examples=30, deadline=None, derandomize=True, database=None,
            suppress_health_check=list(HealthCheck),
        )  # fmt: skip
        @given(case=operation.as_strategy(generation_mode=mode))
        def whatever(case) -> None:
            case.call_and_validate(headers={"Authorization": f"Bearer {token}"})

        whatever()
    assert journal.broken_at() is None
    kinds = set(models.Entry.objects.values_list("kind", flat=True))
    assert kinds >= {"note"}
