"""Letting phones in, and ending them; what only the owner does."""

from __future__ import annotations

import datetime as dt
import json

import pytest

from pinfeather import clock
from pinfeather.actions import owner, phones
from pinfeather.actions.day import running
from pinfeather.records import models


def test_a_phone_asks_shows_the_words_and_is_let_in_at_its_station(
    running_day, client, at_the_lan, parse
) -> None:
    phone = at_the_lan()
    first = phone.get("/")
    assert (first.status_code, first.headers["Location"]) == (302, "/phones/ask/")
    assert "Ask to be let in" in phone.get("/phones/ask/").content.decode()

    asked = phone.post("/phones/ask/")
    waiting = phone.get("/phones/ask/")
    (device,) = phones.waiting(now=clock.now())

    assert asked.status_code == 302
    assert device.words in waiting.content.decode()
    assert len(set(device.words.split())) <= 3 == len(device.words.split())
    assert waiting.headers["Refresh"] == "2"
    assert device.words in client.get("/farm/phones/").content.decode()

    client.post(
        "/farm/phones/",
        {"act": "approve", "device": device.id, "name": "Draw table", "station": "draw"},
    )
    answer = phone.get("/phones/ask/")

    assert answer.headers["Location"] == f"/days/{running_day}/at/draw/"
    assert phone.get(answer.headers["Location"]).status_code == 200
    assert "Draw table" in client.get("/farm/phones/").content.decode()


def test_an_ended_phone_gets_a_plain_page_at_once(running_day, client, let_in) -> None:
    phone = let_in()
    assert phone.get(f"/days/{running_day}/").status_code == 200

    client.post("/farm/phones/", {"act": "end", "device": phone.device_id})

    assert phone.get(f"/days/{running_day}/").headers["Location"] == "/phones/ask/"
    told = phone.get("/phones/ask/").content.decode()
    assert "not let in any more" in told
    state = phone.get(f"/api/days/{running_day}/state")
    assert (state.status_code, state.json()["ask"]) == (401, "/phones/ask/")
    live = phone.get(f"/days/{running_day}/live/", headers={"HX-Request": "true"})
    assert (live.status_code, live.headers["HX-Redirect"]) == (401, "/phones/ask/")


def test_an_ended_or_refused_phone_may_ask_again_and_is_another_then(farm, client, let_in) -> None:
    phone = let_in()
    client.post("/farm/phones/", {"act": "end", "device": phone.device_id})

    assert phone.post("/phones/ask/").status_code == 302
    (device,) = phones.waiting(now=clock.now())
    client.post("/farm/phones/", {"act": "refuse", "device": device.id})

    assert device.id != phone.device_id
    assert "was refused" in phone.get("/phones/ask/").content.decode()
    assert phones.waiting(now=clock.now()) == ()


def test_what_a_phone_writes_carries_the_name_it_was_given(running_day, let_in, now) -> None:
    phone = let_in("Kill cone")
    entry = {"id": "a1", "kind": "tally", "payload": {"station": "pick"}, "at": now.isoformat()}

    phone.post(
        f"/api/days/{running_day}/entries",
        json.dumps({"device": "somebody else", "sent_at": now.isoformat(), "entries": [entry]}),
        content_type="application/json",
    )

    assert models.Entry.objects.get(client_id="a1").device == "Kill cone"


def test_a_phone_needs_a_name_and_a_name_is_given_once(farm, client, at_the_lan, let_in) -> None:
    let_in("Scale")
    at_the_lan().post("/phones/ask/")
    (device,) = phones.waiting(now=clock.now())

    for name, told in (("", "Give it a name"), ("Scale", "is taken")):
        answer = client.post("/farm/phones/", {"act": "approve", "device": device.id, "name": name})
        assert answer.status_code == 422
        assert told in answer.content.decode()
    assert len(phones.waiting(now=clock.now())) == 1


def test_who_waits_ten_minutes_has_to_ask_again(farm, at_the_lan, client, monkeypatch) -> None:
    phone = at_the_lan()
    phone.post("/phones/ask/")
    (device,) = phones.waiting(now=clock.now())
    later = clock.now() + phones.WAITS_FOR + dt.timedelta(seconds=1)
    monkeypatch.setattr("pinfeather.clock.now", lambda: later)

    answer = client.post(
        "/farm/phones/", {"act": "approve", "device": device.id, "name": "x"}, follow=True
    )

    assert "does not wait any more" in answer.content.decode()
    assert "Ask to be let in" in phone.get("/phones/ask/").content.decode()


def test_the_list_of_those_who_ask_is_sent_only_when_it_changed(farm, client, at_the_lan) -> None:
    page = client.get("/farm/phones/waiting/")
    mark = page.content.decode().split("mark=")[1].split('"')[0]

    assert client.get(f"/farm/phones/waiting/?mark={mark}").status_code == 204
    at_the_lan().post("/phones/ask/")
    assert client.get(f"/farm/phones/waiting/?mark={mark}").status_code == 200


def test_the_page_has_a_code_that_leads_to_the_address(farm, lan, client, parse) -> None:
    import io

    import vl_convert
    import zxingcpp
    from PIL import Image

    source = parse(client.get("/farm/phones/")).all("img")[0].attrs["src"]
    from urllib.parse import unquote_to_bytes

    svg = unquote_to_bytes(source.partition(",")[2]).decode()
    if not svg.startswith("<?xml"):
        svg = f'<?xml version="1.0"?>{svg}'
    png = vl_convert.svg_to_png(svg, scale=1)
    (found,) = zxingcpp.read_barcodes(Image.open(io.BytesIO(png)).convert("L"))

    assert found.text == f"http://{lan}/"


def test_without_the_home_network_the_page_says_how_to_open_it(farm, client) -> None:
    assert "pinfeather serve --lan" in client.get("/farm/phones/").content.decode()


def test_the_farm_computer_itself_is_asked_for_nothing(farm, client) -> None:
    assert client.get("/").status_code == 200
    assert client.get("/phones/ask/").headers["Location"] == "/farm/phones/"


# ------------------------------------------------------------------------------ the owner's PIN

PIN = "4071"


@pytest.fixture
def with_pin(demo_farm) -> dict[str, int]:
    owner.set_pin(PIN, now=clock.now())
    return demo_farm


OWNERS = [
    ("/days/{running}/close/", {}),
    ("/days/{closed}/correct/", {"text": "one bird was counted twice"}),
    ("/farm/", {"what": "person", "name": "Nobody", "stations": ["draw"], "pace": "1"}),
    ("/farm/phones/", {"act": "instrument", "name": "Logger"}),
    ("/farm/safe/nothing.sqlite3/", {}),
]


@pytest.mark.parametrize(("url", "typed"), OWNERS)
def test_the_owners_pages_ask_for_the_pin_and_change_nothing_without(
    with_pin, client, url, typed
) -> None:
    before = models.Entry.objects.count(), models.Person.objects.count()

    answer = client.post(url.format(**with_pin), typed)

    assert answer.status_code == 403
    assert "This is for the owner" in answer.content.decode()
    assert (models.Entry.objects.count(), models.Person.objects.count()) == before
    assert phones.let_in(kind="instrument") == ()


def test_with_the_pin_it_goes_on_as_it_was_sent(with_pin, client, parse) -> None:
    url = f"/days/{with_pin['closed']}/correct/"
    page = parse(client.post(url, {"text": "counted <twice>", "who": "Ines"}))

    sent = page.fields()
    assert sent["text"] == "counted <twice>"
    answer = client.post(url, {**sent, "owner_pin": PIN})

    assert answer.status_code == 302
    last = models.Entry.objects.order_by("-seq").first()
    assert last.payload == {"of": "day", "reason": "counted <twice>"}
    assert PIN not in json.dumps(last.payload)
    assert client.post(url, {"text": "again"}).status_code == 302  # open for ten minutes


def test_what_is_not_the_owners_never_asks(with_pin, client) -> None:
    day = f"/days/{with_pin['running']}"
    assert client.post(f"{day}/at/pick/", {"act": "count"}).status_code == 302
    answer = client.post(f"{day}/close/", {"act": "answer", "finding": "x", "text": ""})
    assert answer.status_code != 403


def test_the_pin_is_open_for_ten_minutes_and_no_longer(with_pin, client, monkeypatch) -> None:
    url = f"/days/{with_pin['closed']}/correct/"
    client.post(url, {"text": "a", "owner_pin": PIN})
    later = clock.now() + dt.timedelta(minutes=10, seconds=1)
    monkeypatch.setattr("pinfeather.clock.now", lambda: later)

    assert client.post(url, {"text": "b"}).status_code == 403


@pytest.mark.parametrize("pin", ["", "123", "1111", "1234", "987654", "12a4", "٤٠٧١", "1" * 13])
def test_a_poor_pin_is_not_taken(farm, client, pin) -> None:
    answer = client.post("/farm/phones/", {"act": "set pin", "pin": pin})

    assert answer.status_code == 422
    assert not owner.pin_is_set()
    assert f'value="{pin}"' not in answer.content.decode() or not pin


def test_the_pin_is_changed_and_taken_off_with_the_pin(farm, client) -> None:
    client.post("/farm/phones/", {"act": "set pin", "pin": PIN})
    assert client.post("/farm/phones/", {"act": "forget pin"}).status_code == 403
    client.post("/farm/phones/", {"act": "set pin", "pin": "5082", "owner_pin": PIN})
    assert client.post("/farm/phones/", {"act": "forget pin"}).status_code == 403  # locked again
    client.post("/farm/phones/", {"act": "forget pin", "owner_pin": "5082"})
    assert not owner.pin_is_set()


# ------------------------------------------------------------- state, marks and a wrong clock


def test_a_page_that_knows_everything_is_told_nothing_new(running_day, client, frozen) -> None:
    state = client.get(f"/api/days/{running_day}/state", {"station": "pick"}).json()
    again = client.get(f"/api/days/{running_day}/state", {"mark": state["mark"]})
    assert (again.status_code, again.content) == (204, b"")

    running.write("tally", {"station": "pick"}, day_id=running_day, who="")

    assert client.get(f"/api/days/{running_day}/state", {"mark": state["mark"]}).status_code == 200


def test_the_clock_error_a_phone_knew_when_it_counted_goes_before_the_one_when_it_sent(
    running_day, client, now
) -> None:
    counted = now - dt.timedelta(hours=1)  # then the phone's clock was two hours slow
    entry = {
        "id": "s1", "kind": "tally", "payload": {"station": "pick"}, "skew_s": 7200.0,
        "at": (counted - dt.timedelta(hours=2)).isoformat(),
    }  # fmt: skip
    client.post(
        f"/api/days/{running_day}/entries",
        json.dumps({"device": "p", "sent_at": now.isoformat(), "entries": [entry]}),
        content_type="application/json",
    )

    kept = models.Entry.objects.get(client_id="s1")
    assert kept.skew_s == 7200.0
    (event,) = [e for e in running.events(running_day) if e.client_id == "s1"]
    assert event.at == counted


def test_the_journal_read_bit_by_bit_is_the_journal_read_whole(running_day) -> None:
    first = running.events(running_day)
    running.write("note", {"text": "x"}, day_id=running_day, who="")
    bit_by_bit = running.events(running_day)
    running._KEPT.clear()

    assert bit_by_bit[:-1] == first
    assert running.events(running_day) == bit_by_bit


def test_a_journal_put_back_to_before_is_read_anew(real_store) -> None:
    from django.db import transaction

    day_id = models.Day.objects.get().pk
    with transaction.atomic():
        running.write("note", {"text": "never was"}, day_id=day_id, who="")
        assert running.events(day_id)[-1].payload["text"] == "never was"
        transaction.set_rollback(True)
    running.write("note", {"text": "is"}, day_id=day_id, who="")

    assert [e.payload.get("text") for e in running.events(day_id)] == ["is"]
