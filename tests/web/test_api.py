"""What phones send and are told, as JSON."""

from __future__ import annotations

import datetime as dt
import json

import pytest

from pinfeather.actions.day import running
from pinfeather.records import journal, models


@pytest.fixture
def send(running_day, client, frozen, now):
    """Send entries as a phone does."""

    def sender(*entries, day_id=None, raw=None, **changed):
        body = {"device": "phone1", "sent_at": now.isoformat(), "station": "pick",
                "entries": list(entries), **changed}  # fmt: skip
        return client.post(
            f"/api/days/{day_id or running_day}/entries",
            json.dumps(body) if raw is None else raw,
            content_type="application/json",
        )

    return sender


def entry(now: dt.datetime, n: int = 1, **changed) -> dict:
    return {
        "id": f"e{n:05d}",
        "kind": "tally",
        "payload": {"station": "pick", "birds": 1},
        "who": "Odile",
        "at": now.isoformat(),
        **changed,
    }


def test_entries_are_written_and_the_state_comes_back(running_day, send, now) -> None:
    response = send(entry(now, 1), entry(now, 2))

    assert response.status_code == 200
    answer = response.json()
    assert [(r["id"], r["known"], r["problem"]) for r in answer["received"]] == [
        ("e00001", False, ""),
        ("e00002", False, ""),
    ]
    assert answer["state"]["counts"]["pick"] == 6
    assert answer["state"]["seq"] == running.last_seq(running_day)
    assert [r["id"] for r in answer["state"]["recent"]][-2:] == ["e00001", "e00002"]


def test_the_same_request_twice_writes_once(running_day, send, now) -> None:
    first, second = send(entry(now)).json(), send(entry(now), entry(now, 2)).json()

    assert second["received"][0] == {**first["received"][0], "known": True}
    assert running.day_progress(running_day).count("pick") == 6
    assert journal.broken_at() is None


def test_a_good_entry_is_kept_beside_a_bad_one(running_day, send, now) -> None:
    bad = entry(now, 2, payload={"station": "roof"})

    answer = send(entry(now, 1), bad).json()

    told = {r["id"]: r for r in answer["received"]}
    assert told["e00001"]["seq"] > 0
    assert "not counted at “roof”" in told["e00002"]["problem"]
    assert set(told) == {"e00001", "e00002"}


@pytest.mark.parametrize(
    "payload",
    [
        {"station": "pick", "birds": 1e999},
        {"station": "pick", "birds": "1e5"},
        {"station": ["pick"]},
        {"station": {"a": {"b": []}}},
        {},
    ],
)
def test_any_payload_is_answered_never_a_crash(send, now, payload) -> None:
    for kind in ("tally", "reading", "ice point", "done", "explained", "package", "action",
                 "correction", "note", "logger", "gossip"):  # fmt: skip
        response = send(entry(now, kind=kind, payload=payload))
        assert response.status_code == 200, kind
        (told,) = response.json()["received"]
        assert told["problem"], kind


def test_half_letters_in_a_note_do_not_stop_a_phone(running_day, send, now) -> None:
    raw = json.dumps(
        {
            "device": "p",
            "sent_at": now.isoformat(),
            "entries": [entry(now, kind="note", payload={"text": "a\ud83d b\u0000"})],
        }
    )

    response = send(raw=raw)

    assert response.status_code == 200
    assert response.json()["received"][0]["problem"] == ""
    assert journal.broken_at() is None


@pytest.mark.parametrize(
    "changed",
    [
        {"device": "x" * 41},
        {"device": None},
        {"sent_at": "noon"},
        {"sent_at": "2026-06-17T10:00:00"},
        {"entries": "none"},
        {"entries": [{"id": "a"}]},
        {"entries": [{"id": "", "kind": "note", "payload": {}, "at": "2026-06-17T10:00:00Z"}]},
        {"entries": [{"id": "a-b", "kind": "note", "payload": {}, "at": "2026-06-17T10:00:00Z"}]},
        {"entries": [{"id": "a", "kind": "note", "payload": [], "at": "2026-06-17T10:00:00Z"}]},
        {"entries": [{"id": "a", "kind": "note", "payload": {}, "at": "2026-06-17T10:00:00"}]},
        {"station": "x" * 21},
    ],
)
def test_what_does_not_fit_the_form_of_a_request_is_answered_422(
    running_day, send, changed
) -> None:
    before = models.Entry.objects.count()

    response = send(**changed)

    assert response.status_code == 422
    assert response.headers["Content-Type"].startswith("application/json")
    assert response.json()["detail"]
    assert models.Entry.objects.count() == before


@pytest.mark.parametrize("raw", ["", "{", "[]", "null", '"x"', "\x00", "{}"])
def test_what_is_no_request_at_all_is_answered_in_json(send, raw) -> None:
    response = send(raw=raw)

    assert response.status_code in {400, 422}
    assert response.headers["Content-Type"].startswith("application/json")


def test_too_many_entries_at_once_are_refused(running_day, send, now) -> None:
    before = models.Entry.objects.count()

    response = send(*(entry(now, n) for n in range(501)))

    assert response.status_code == 422
    assert models.Entry.objects.count() == before
    assert send(*(entry(now, n) for n in range(500))).status_code == 200
    assert models.Entry.objects.count() == before + 500


def test_a_request_of_megabytes_is_refused(running_day, send, now) -> None:
    before = models.Entry.objects.count()
    big = entry(now, kind="note", payload={"text": "x" * 3_000_000})

    response = send(big)

    assert response.status_code in {400, 413}
    assert models.Entry.objects.count() == before


def test_a_day_that_is_not_there_is_answered_404_in_json(send, client, now) -> None:
    for response in (
        send(entry(now), day_id=404),
        client.get("/api/days/404/state"),
        client.get("/api/days/99999999999999999999999/state"),
    ):
        assert response.status_code == 404
        assert response.json()["sentence"] == "There is no such day."


def test_a_store_that_cannot_be_written_is_answered_503_in_json(send, now, monkeypatch) -> None:
    from pinfeather.errors import StoreError

    def fails(*_args, **_named):
        raise StoreError("The farm's records could not be written.")

    monkeypatch.setattr("pinfeather.records.journal.append", fails)

    response = send(entry(now))

    assert response.status_code == 503
    assert response.json() == {"sentence": "The farm's records could not be written."}


def test_the_state_is_given_to_any_station(running_day, client, frozen) -> None:
    for station in ("", "pick", "chill", "nowhere"):
        response = client.get(f"/api/days/{running_day}/state", {"station": station})
        assert response.status_code == 200
        assert response.json()["counts"]["kill"] == 6


def test_a_phones_clock_is_measured_when_it_sends(running_day, send, now) -> None:
    phone = now + dt.timedelta(hours=2)

    send(entry(phone - dt.timedelta(seconds=5)), sent_at=phone.isoformat())

    assert running.day_progress(running_day).times("pick")[-1] == now - dt.timedelta(seconds=5)


def test_other_ways_of_asking_are_refused(running_day, client) -> None:
    assert client.get(f"/api/days/{running_day}/entries").status_code == 405
    assert client.delete(f"/api/days/{running_day}/entries").status_code == 405
    assert client.post(f"/api/days/{running_day}/state").status_code == 405
