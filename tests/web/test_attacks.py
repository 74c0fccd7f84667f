"""The attack list: what somebody on the same network, or a page elsewhere, may try.

Each case is a test of its own. What needs the real server (bodies of megabytes, requests that are
none, slow ones) is in ``tests/e2e/test_attacks_on_the_server.py``.
"""

from __future__ import annotations

import csv
import datetime as dt
import io
import json
import re
import zipfile

import pypdf
import pytest
from django.core import signing
from django.http.cookie import SimpleCookie
from django.test import Client

from pinfeather import clock
from pinfeather.actions import farm as farms
from pinfeather.actions import owner, phones
from pinfeather.actions.day import days, running
from pinfeather.errors import InputFaultsError, TooOftenError
from pinfeather.records import models
from pinfeather.web import door

LAN = "192.0.2.20"  # as in conftest.py
WICKED = ("<script>alert(1)</script>", '"><img src=x onerror=alert(1)>', "</script><svg onload=a>")
ASK = "/phones/ask/"
OURS = "pinfeather.device"


def signed(token: str, *, salt: str = OURS) -> str:
    """The cookie as Django signs it: the cookie's name belongs to the salt."""
    return signing.get_cookie_signer(salt="device" + salt).sign(token)


def turned_away(answer) -> bool:
    return answer.status_code == 302 and answer.headers["Location"] == ASK


# ---------------------------------------------------------------- who was not let in sees nothing


def test_nothing_is_shown_to_who_was_not_let_in(demo_farm, at_the_lan, pages) -> None:
    stranger = at_the_lan()
    urls = {
        **pages(demo_farm),
        **{name: f"/days/{demo_farm['closed']}/{name}" for name in (
            "record.pdf", "plan.pdf", "labels.pdf", "journal.csv", "strip.csv", "todo.ics",
            "what-if/", "crew.pdf", "wall.pdf", "live/")},
        "calculators": "/calculators/", "numbers": "/farm/numbers/", "nowhere": "/nowhere/",
    }  # fmt: skip

    assert [name for name, url in urls.items() if not turned_away(stranger.get(url))] == []
    assert [name for name, url in urls.items() if not turned_away(stranger.post(url))] == []


@pytest.mark.parametrize(
    "url", ["/api/days/1/state", "/api/days/1/entries", "/api/openapi.json", "/api/nothing"]
)
def test_the_phones_interface_answers_nobody_who_was_not_let_in(running_day, at_the_lan, url):
    for answer in (at_the_lan().get(url), at_the_lan().post(url)):
        assert answer.status_code == 401
        assert set(answer.json()) == {"sentence", "ask"}


@pytest.mark.parametrize("url", ["/farm/phones/", "/farm/phones/waiting/", "/farm/safe/",
                                 "/farm/safe/newest.sqlite3", "/farm/safe/export.zip"])  # fmt: skip
def test_a_phone_that_was_let_in_cannot_let_others_in_or_carry_the_records_away(
    farm, let_in, at_the_lan, url
) -> None:
    phone = let_in()
    at_the_lan("192.0.2.99").post(ASK)
    (device,) = phones.waiting(now=clock.now())

    assert phone.get(url).status_code == 403
    answer = phone.post(url, {"act": "approve", "device": device.id, "name": "friend"})
    assert answer.status_code == 403
    assert len(phones.waiting(now=clock.now())) == 1


# -------------------------------------------------------------------------- pretending to be here


@pytest.mark.parametrize(
    "headers",
    [
        {"X-Forwarded-For": "127.0.0.1"},
        {"X-Real-IP": "127.0.0.1"},
        {"Forwarded": "for=127.0.0.1"},
        {"Client-IP": "127.0.0.1"},
        {"pinfeather.door": "here"},
        {"Pinfeather-Door": "here"},
        {"X-Forwarded-Host": "127.0.0.1"},
        {"X-Original-URL": "/phones/ask/"},
        {"X-HTTP-Method-Override": "GET"},
    ],
    ids=lambda h: next(iter(h)),
)
def test_no_header_makes_a_stranger_the_farm_computer(farm, at_the_lan, headers) -> None:
    assert turned_away(at_the_lan().get("/", headers=headers))
    assert at_the_lan().get("/farm/phones/", headers=headers).status_code == 403


def test_a_server_that_marks_no_door_takes_nobody_but_this_computer_for_here(farm, lan) -> None:
    for address in ("192.0.2.7", "", "::ffff:192.0.2.7", "nonsense"):
        answer = Client(REMOTE_ADDR=address, headers={"host": lan}).get("/")
        assert turned_away(answer), address


# ----------------------------------------------------------------------------- cookies and tokens


def with_cookie(browser: Client, value: str) -> Client:
    browser.cookies = SimpleCookie()
    browser.cookies["device"] = value
    return browser


@pytest.mark.parametrize(
    "value",
    [
        "",
        "x",
        "1",
        "let in",
        "a" * 5000,
        "../../secret-key",
        "' OR 1=1 --",
        ":::",
        "a:b:c",
        "\u2603",
    ],
)
def test_a_made_up_cookie_lets_nobody_in(farm, at_the_lan, value) -> None:
    browser = at_the_lan()
    answer = browser.get("/", headers={"Cookie": f"device={value}".encode().decode("latin-1")})
    assert turned_away(answer)


def test_a_token_without_our_signature_lets_nobody_in(farm, let_in, at_the_lan) -> None:
    token = let_in().cookies["device"].value.split(":")[0]

    assert turned_away(with_cookie(at_the_lan(), token).get("/"))
    assert turned_away(with_cookie(at_the_lan(), f"{token}:1:wrong").get("/"))


def test_a_signature_of_another_kind_lets_nobody_in(farm, let_in, at_the_lan) -> None:
    token = let_in().cookies["device"].value.split(":")[0]

    assert turned_away(with_cookie(at_the_lan(), signed(token, salt="sessions")).get("/"))
    assert (
        with_cookie(at_the_lan(), signed(token)).get("/").status_code == 200
    )  # the right one does


def test_our_signature_on_a_token_that_was_never_made_lets_nobody_in(farm, at_the_lan) -> None:
    assert turned_away(with_cookie(at_the_lan(), signed("a" * 43)).get("/"))


def test_a_copied_cookie_of_an_ended_phone_is_worth_nothing(farm, client, let_in, at_the_lan):
    phone = let_in()
    value = phone.cookies["device"].value
    client.post("/farm/phones/", {"act": "end", "device": phone.device_id})

    assert turned_away(with_cookie(at_the_lan(), value).get("/"))
    assert turned_away(with_cookie(at_the_lan(), value).post("/farm/", {"what": "farm"}))


@pytest.mark.parametrize("act", ["", "refuse"])
def test_who_waits_or_was_refused_sees_nothing(farm, client, at_the_lan, act) -> None:
    phone = at_the_lan()
    phone.post(ASK)
    (device,) = phones.waiting(now=clock.now())
    if act:
        client.post("/farm/phones/", {"act": act, "device": device.id})

    assert turned_away(phone.get("/"))
    assert phone.get("/api/days/1/state").status_code == 401


def test_a_cookie_planted_before_asking_is_not_the_one_let_in(farm, at_the_lan) -> None:
    """Session fixation: each asking makes a new token, whatever the phone had before."""
    planted = signed("b" * 43)
    victim = with_cookie(at_the_lan(), planted)
    victim.post(ASK)
    (device,) = phones.waiting(now=clock.now())
    phones.approve(device.id, name="Victim", station="", now=clock.now())

    assert victim.cookies["device"].value != planted
    assert victim.get("/").status_code == 200
    assert turned_away(with_cookie(at_the_lan(), planted).get("/"))


def test_an_instruments_token_opens_no_page_and_a_phones_cookie_no_instrument(
    running_day, let_in, at_the_lan
) -> None:
    token = phones.make_instrument("Logger", now=clock.now())
    assert turned_away(with_cookie(at_the_lan(), signed(token)).get("/"))
    assert turned_away(at_the_lan().get("/", headers={"Authorization": f"Bearer {token}"}))

    cookie = let_in().cookies["device"].value
    for bearer in (cookie, cookie.split(":")[0]):
        answer = at_the_lan().post(
            "/api/devices/readings", "{}", content_type="application/json",
            headers={"Authorization": f"Bearer {bearer}"},
        )  # fmt: skip
        assert answer.status_code == 401


def test_a_token_in_an_address_is_no_token_and_no_page_makes_such_an_address(
    running_day, client, let_in, at_the_lan
) -> None:
    token = phones.make_instrument("Logger", now=clock.now())
    phone = let_in()
    ours = phone.cookies["device"].value
    for name in ("device", "token", "access_token", "api_key", "authorization"):
        assert turned_away(at_the_lan().get(f"/?{name}={ours}"))
        answer = at_the_lan().post(
            f"/api/devices/readings?{name}={token}", "{}", content_type="application/json"
        )
        assert answer.status_code == 401
    for url in ("/farm/phones/", "/", f"/days/{running_day}/at/pick/"):
        assert ours.split(":")[0] not in client.get(url).content.decode()
        if url != "/farm/phones/":
            assert ours.split(":")[0] not in phone.get(url).content.decode()


@pytest.mark.sqlite
def test_the_store_holds_no_token_and_no_pin(farm, let_in) -> None:
    from django.db import connection

    owner.set_pin("4071", now=clock.now())
    tokens = [let_in().cookies["device"].value.split(":")[0],
              phones.make_instrument("Logger", now=clock.now())]  # fmt: skip
    dump = "\n".join(connection.connection.iterdump())

    assert phones.hashed(tokens[0]) in dump
    assert not any(token in dump for token in tokens)
    assert not re.search(r"'4071'", dump)


def test_the_phones_cookie_is_out_of_reach_of_scripts_and_other_sites(farm, at_the_lan) -> None:
    phone = at_the_lan()
    answer = phone.post(ASK)
    cookie = answer.cookies["device"]

    assert cookie["httponly"]
    assert cookie["samesite"] == "Strict"
    assert not cookie["secure"]
    assert cookie["path"] == "/"
    assert not cookie["domain"]


def test_over_tls_every_cookie_is_for_tls_alone(farm, at_the_lan) -> None:
    answer = at_the_lan().post(ASK, secure=True)
    assert [c["secure"] for c in answer.cookies.values()] == [True] * len(answer.cookies)
    assert "device" in answer.cookies


def test_a_page_of_a_phone_is_not_kept_for_the_back_button(running_day, let_in) -> None:
    answer = let_in().get(f"/days/{running_day}/")
    assert answer.headers["Cache-Control"] == "no-store"


# ---------------------------------------------------------------- rebinding, origins, other sites


@pytest.mark.parametrize(
    "host",
    ["evil.example", "evil.example:8470", "192.0.2.20.evil.example", "localhost", "127.0.0.1",
     "127.0.0.1:8470", "192.0.2.21", "[::1]", "192.0.2.20@evil.example", "", "a b", "\x00"],
)  # fmt: skip
def test_a_name_bent_to_this_computer_is_refused_on_the_home_network(farm, let_in, host) -> None:
    phone = let_in()
    for url in ("/", "/phones/ask/", "/api/days/1/state", "/api/devices/openapi.json"):
        answer = phone.get(url, headers={"Host": host})
        assert answer.status_code == 400, url
        assert "evil" not in answer.content.decode()


@pytest.mark.parametrize(
    "origin",
    ["null", "http://evil.example", f"https://{LAN}:8470", f"http://{LAN}:9999",
     f"http://{LAN}", "http://127.0.0.1:8470", "file:" + "//", "chrome-extension:" + "//abc"],
)  # fmt: skip
def test_a_change_from_another_origin_is_refused_even_with_the_token(
    running_day, let_in, parse, origin
) -> None:
    phone = let_in(strict=True)
    url = f"/days/{running_day}/at/pick/"
    token = parse(phone.get(url)).all("input", name="csrfmiddlewaretoken")[0].attrs["value"]
    before = models.Entry.objects.count()
    typed = {"act": "count", "birds": "1", "csrfmiddlewaretoken": token}

    assert phone.post(url, typed, headers={"Origin": origin}).status_code == 403
    assert models.Entry.objects.count() == before
    assert phone.post(url, typed, headers={"Origin": f"http://{LAN}:8470"}).status_code == 302


@pytest.mark.parametrize("site", ["cross-site", "same-site", "nonsense"])
def test_a_change_that_a_browser_says_another_site_asked_for_is_refused(
    running_day, client, site
) -> None:
    before = models.Entry.objects.count()
    answer = client.post(
        f"/days/{running_day}/at/pick/", {"act": "count"}, headers={"Sec-Fetch-Site": site}
    )
    assert answer.status_code == 400
    assert models.Entry.objects.count() == before


@pytest.mark.parametrize(
    ("url", "typed"),
    [
        (ASK, {}),
        ("/farm/phones/", {"act": "approve", "device": "1", "name": "x"}),
        ("/farm/phones/", {"act": "end", "device": "1"}),
        ("/farm/phones/", {"act": "instrument", "name": "x"}),
        ("/farm/phones/", {"act": "set pin", "pin": "4071"}),
    ],
)
def test_letting_in_and_ending_need_the_forms_own_token(
    farm, at_the_lan, strict_client, url, typed
) -> None:
    browser = at_the_lan(strict=True) if url == ASK else strict_client
    assert browser.post(url, typed).status_code == 403
    assert models.Device.objects.count() == 0
    assert not owner.pin_is_set()


def test_no_answer_allows_another_site_to_read_it(running_day, client, let_in) -> None:
    for browser in (client, let_in()):
        for url in ("/", f"/api/days/{running_day}/state", "/api/devices/openapi.json"):
            answer = browser.get(url, headers={"Origin": "http://evil.example"})
            assert not [
                name for name in answer.headers if name.lower().startswith("access-control")
            ]
        preflight = browser.options(
            "/api/devices/readings", headers={"Origin": "http://evil.example",
                                              "Access-Control-Request-Headers": "authorization"}
        )  # fmt: skip
        assert "Access-Control-Allow-Headers" not in preflight.headers


def test_the_page_to_ask_may_not_be_framed_by_another_site(farm, at_the_lan) -> None:
    answer = at_the_lan().get(ASK)
    assert answer.headers["X-Frame-Options"] == "SAMEORIGIN"
    assert "frame-ancestors 'self'" in answer.headers["Content-Security-Policy"]


# ---------------------------------------------------------------------------- too many, too often


def test_one_address_cannot_ask_without_end(farm, at_the_lan) -> None:
    answers = [at_the_lan("192.0.2.66").post(ASK).status_code for _n in range(9)]
    assert answers == [302] * 5 + [429] * 4


def test_many_addresses_cannot_fill_the_store_or_the_screen(farm, at_the_lan) -> None:
    answers = [at_the_lan(f"192.0.2.{n}").post(ASK).status_code for n in range(100, 140)]
    assert answers.count(302) == phones.MOST_WAITING
    assert models.Device.objects.count() == phones.MOST_WAITING


def test_refused_ones_still_count_for_an_address(farm, client, at_the_lan) -> None:
    for _n in range(5):
        at_the_lan("192.0.2.66").post(ASK)
        (device,) = phones.waiting(now=clock.now())
        client.post("/farm/phones/", {"act": "refuse", "device": device.id})
    assert at_the_lan("192.0.2.66").post(ASK).status_code == 429


def test_a_phone_that_waits_cannot_ask_again_and_again(farm, at_the_lan) -> None:
    phone = at_the_lan()
    for _n in range(5):
        phone.post(ASK)
    assert models.Device.objects.count() == 1


def test_the_pin_cannot_be_tried_out(demo_farm, let_in) -> None:
    owner.set_pin("4071", now=clock.now())
    phone = let_in()
    url = f"/days/{demo_farm['closed']}/correct/"

    def tried(pin: str) -> int:
        return phone.post(url, {"text": "x", "owner_pin": pin}).status_code

    assert [tried(f"{n:04}") for n in range(owner.TRIES)] == [403] * owner.TRIES
    assert tried("4071") == 429  # not even the right one, until the time is over
    assert [tried("0000") for _n in range(3)] == [429] * 3


def test_each_further_wrong_pin_takes_twice_as_long(farm, now) -> None:
    owner.set_pin("4071", now=now)
    for _n in range(owner.TRIES):
        assert not owner.check("0000", device_id=None, now=now)
    for wait_s in (30, 60, 120, 240, 480, 900, 900):
        with pytest.raises(TooOftenError):
            owner.check("4071", device_id=None, now=now + dt.timedelta(seconds=wait_s - 1))
        now += dt.timedelta(seconds=wait_s)
        assert not owner.check("0000", device_id=None, now=now)


def test_many_guesses_at_once_are_counted_one_by_one(real_store, in_threads, now) -> None:
    owner.set_pin("4071", now=now)
    guesses = [lambda n=n: owner.check(f"{n:04}", device_id=None, now=now) for n in range(12)]

    results = in_threads(guesses)

    assert results.count(False) == owner.TRIES
    assert sum(isinstance(result, TooOftenError) for result in results) == 12 - owner.TRIES


def test_a_phones_wrong_pins_do_not_lock_the_farm_computer(demo_farm, client, let_in) -> None:
    owner.set_pin("4071", now=clock.now())
    url, phone = f"/days/{demo_farm['closed']}/correct/", let_in()
    for n in range(owner.TRIES + 2):
        phone.post(url, {"text": "x", "owner_pin": f"{n:04}"})

    assert client.post(url, {"text": "x", "owner_pin": "4071"}).status_code == 302


def test_what_was_unlocked_on_one_screen_is_not_unlocked_on_another(demo_farm, client, let_in):
    owner.set_pin("4071", now=clock.now())
    url, phone = f"/days/{demo_farm['closed']}/correct/", let_in()
    client.post(url, {"text": "x", "owner_pin": "4071"})
    phone.cookies["sessionid"] = client.cookies["sessionid"].value

    assert phone.post(url, {"text": "y"}).status_code == 403


def test_a_new_pin_locks_what_the_old_one_had_unlocked(demo_farm, client, let_in) -> None:
    owner.set_pin("4071", now=clock.now())
    url, phone = f"/days/{demo_farm['closed']}/correct/", let_in()
    assert phone.post(url, {"text": "x", "owner_pin": "4071"}).status_code == 302
    owner.set_pin("5082", now=clock.now() + dt.timedelta(seconds=1))

    assert phone.post(url, {"text": "y"}).status_code == 403


def test_a_changed_session_cookie_is_thrown_away(demo_farm, let_in) -> None:
    owner.set_pin("4071", now=clock.now())
    phone = let_in()
    forged = signing.dumps({"owner": [owner.generation(), phone.device_id, 9e12]}, key="guessed")
    phone.cookies["sessionid"] = forged

    answer = phone.post(f"/days/{demo_farm['closed']}/correct/", {"text": "y"})
    assert answer.status_code == 403


# ------------------------------------------------------------------------------- replays and lies


def test_a_batch_sent_again_by_somebody_else_changes_nothing(running_day, let_in, now) -> None:
    first, second = let_in("First"), let_in("Second")
    entry = {"id": "r1", "kind": "tally", "payload": {"station": "pick"}, "at": now.isoformat()}

    def send(phone, **changed):
        body = {"device": "x", "sent_at": now.isoformat(), "entries": [{**entry, **changed}]}
        return phone.post(f"/api/days/{running_day}/entries", json.dumps(body),
                          content_type="application/json")  # fmt: skip

    send(first)
    told = send(second, payload={"station": "kill"}, who="Somebody").json()["received"][0]

    assert told["known"] is True
    kept = models.Entry.objects.get(client_id="r1")
    assert (kept.device, kept.payload["station"], kept.who) == ("First", "pick", "")


@pytest.mark.parametrize("skew", [1e300, -1e300, 1e12, "NaN", "Infinity"])
def test_an_absurd_clock_error_is_refused(running_day, client, now, skew) -> None:
    entry = {"id": "k1", "kind": "tally", "payload": {"station": "pick"}, "at": now.isoformat(),
             "skew_s": skew}  # fmt: skip
    body = {"device": "x", "sent_at": now.isoformat(), "entries": [entry]}
    answer = client.post(
        f"/api/days/{running_day}/entries", json.dumps(body), content_type="application/json"
    )
    assert answer.status_code in {200, 422}
    assert models.Entry.objects.filter(client_id="k1").count() == 0


@pytest.mark.sqlite
def test_looking_never_changes_anything(demo_farm, client, pages) -> None:
    from django.db import connection

    before = "\n".join(connection.connection.iterdump())
    for url in pages(demo_farm).values():
        client.get(url, {"act": "count", "birds": "1", "do": "save", "what": "farm", "name": "x"})
        client.head(url)
    for device in ("1", "2"):
        client.get("/farm/phones/", {"act": "approve", "device": device, "name": "x"})
    assert "\n".join(connection.connection.iterdump()) == before


@pytest.mark.parametrize("method", ["put", "patch", "delete", "trace"])
def test_other_methods_change_nothing(demo_farm, client, method) -> None:
    before = models.Entry.objects.count(), models.Farm.objects.get().name
    for url in ("/", "/farm/", f"/days/{demo_farm['running']}/", "/farm/phones/"):
        getattr(client, method)(url)
    assert (models.Entry.objects.count(), models.Farm.objects.get().name) == before


# ----------------------------------------------------------------------------------- files, paths


@pytest.mark.parametrize(
    "url",
    [
        "/../../../../etc/passwd",
        "/days/../../etc/passwd",
        "/calculators/..%2f..%2f..%2fetc%2fpasswd/",
        "/calculators/....//....//etc/passwd/",
        "/days/1/at/..%2f..%2fsecret-key/",
        "/farm/safe/..%2f..%2fsecret-key/",
        "/farm/safe/..%5c..%5csecret-key/",
        "/farm/safe/%2fetc%2fpasswd/",
        "/farm/safe/secret-key/",
        "/lots/..%2f..%2fsecret-key/",
        "/static/%2e%2e%2f%2e%2e%2fsecret-key",
        "/static/pinfeather/%00/etc/passwd",
        "/media/farm.sqlite3",
        "/.git/config",
        "/pinfeather/web/settings.py",
    ],
)
def test_no_file_beyond_the_program_is_read(farm, client, let_in, url) -> None:
    from django.conf import settings

    secret = (settings.DATA_DIR / "secret-key").read_text()
    for browser in (client, let_in(url[-12:] or "x")):
        for answer in (browser.get(url), browser.post(url)):
            body = b"".join(answer.streaming_content) if answer.streaming else answer.content
            assert answer.status_code in {400, 403, 404}, url
            assert b"root:" not in body
            assert secret.encode() not in body
            assert b"SQLite format" not in body


@pytest.mark.parametrize("number", ["-1", "0", "9" * 30, "1e9", "0x1", "1 OR 1=1", "٣", "1;drop"])
def test_odd_numbers_are_answered_in_a_sentence(farm, client, number) -> None:
    for url in (f"/days/{number}/", f"/api/days/{number}/state"):
        assert client.get(url).status_code == 404
    client.post("/farm/phones/", {"act": "end", "device": number})
    answer = client.post("/farm/phones/", {"act": "approve", "device": number, "name": "x"})
    assert answer.status_code == 302


@pytest.mark.parametrize(
    "text", ["x\r\nSet-Cookie: device=evil", "x\r\n\r\n<html>", "x\nLocation: y"]
)
def test_line_ends_in_what_is_typed_make_no_headers(running_day, client, let_in, text) -> None:
    day = f"/days/{running_day}"
    answers = [
        client.get(f"{day}/reading/", {"back": text, "what": text, "place": text}),
        client.post(f"{day}/at/pick/", {"act": "count", "who": text}),
        client.post(f"{day}/reading/", {"what": "bird", "written": text, "back": text}),
        client.get(f"{day}/labels.pdf", {"size": text, "number": text}),
        client.get("/farm/phones/waiting/", {"mark": text}),
        let_in("x").get("/", headers={"Accept-Language": text.replace("\r", "").replace("\n", "")}),
    ]
    for answer in answers:
        assert "evil" not in str(answer.headers)
        assert not any("\n" in value or "\r" in value for _name, value in answer.items())
        assert "device" not in answer.cookies


@pytest.mark.parametrize("back", ["//evil.example", "http://evil.example", "/\\evil.example",
                                  "javascript:alert(1)", "pick/../../x"])  # fmt: skip
def test_no_page_sends_a_browser_elsewhere(demo_farm, client, back) -> None:
    day = f"/days/{demo_farm['running']}"
    answer = client.post(
        f"{day}/reading/",
        {"what": "bath", "written": "34 F", "instrument": "Red probe", "place": "Blue tank",
         "back": back, "next": back},
    )  # fmt: skip
    assert answer.status_code in {302, 422}
    assert answer.headers.get("Location", "/").startswith("/days/")
    assert "evil" not in answer.headers.get("Location", "")


# -------------------------------------------------------------- text that would be something else


@pytest.mark.parametrize("text", WICKED)
def test_a_phones_browser_name_and_given_name_come_out_as_text(
    farm, client, at_the_lan, parse, text
) -> None:
    phone = at_the_lan()
    phone.post(ASK, headers={"User-Agent": text})
    (device,) = phones.waiting(now=clock.now())
    fault = client.post("/farm/phones/", {"act": "approve", "device": device.id + 1, "name": text})
    phones.approve(device.id, name=text[:40], station=text[:20], now=clock.now())
    client.post("/farm/phones/", {"act": "instrument", "name": text})

    for answer in (fault, client.get("/farm/phones/"), phone.get(ASK), phone.get("/")):
        page = answer.content.decode()
        assert "<script>alert" not in page
        assert "<img src=x" not in page
        assert "<svg onload" not in page


def test_a_name_of_unseen_letters_is_no_name(farm, at_the_lan, client) -> None:
    at_the_lan().post(ASK)
    (device,) = phones.waiting(now=clock.now())
    for name in ("\u202e\u200b", "\x00\x07", "\r\n"):
        client.post("/farm/phones/", {"act": "approve", "device": device.id, "name": name})
    assert phones.let_in(kind="phone") == ()


def test_what_was_typed_before_the_pin_comes_back_as_text(demo_farm, client, parse) -> None:
    owner.set_pin("4071", now=clock.now())
    for text in WICKED:
        page = client.post("/farm/", {"what": "farm", "name": text, text: text}).content.decode()
        assert "<script>alert" not in page
        assert "<img src=x" not in page
        assert "<svg onload" not in page


def test_text_cannot_leave_the_data_of_a_working_page(
    running_day, client, sent, now, parse
) -> None:
    end = "</script><script>alert(1)</script>"
    running.receive(
        running_day,
        [sent("tally", {"station": "pick", "place": end, "lot": end}, client_id="j1", at=now)],
        device=end, sent_at=now, now=now,
    )  # fmt: skip
    page = parse(client.get(f"/days/{running_day}/at/pick/"))
    assert [s for s in page.all("script") if "alert(1)" in s.text and "src" not in s.attrs
            and s.attrs.get("type") != "application/json"] == []  # fmt: skip


FORMULAS = ("=1+1", "+1", "-1+1|x", "@SUM(A1)", "=HYPERLINK(0)", "\t=1", "＝1+1")


@pytest.fixture
def full_of_formulas(farm, day_mapping, sent, now) -> int:
    mapping = day_mapping(deadline_reason=FORMULAS[0])
    mapping["people"][0]["name"] = FORMULAS[1]
    mapping["equipment"]["tanks"][0]["name"] = FORMULAS[2]
    farms.save_farm({"name": FORMULAS[0], "address": FORMULAS[4], "zone": farm.zone,
                     "altitude": "700 ft"})  # fmt: skip
    farms.save_person(FORMULAS[0], ["draw"])
    farms.save_instrument(FORMULAS[4], kind="thermometer", accuracy="1 F")
    day_id = days.save_plan(mapping, days=2, change_days=0)
    running.receive(
        day_id,
        [sent("note", {"text": text}, client_id=f"f{n}", at=now, who=text)
         for n, text in enumerate(FORMULAS)],
        device=FORMULAS[0], sent_at=now, now=now,
    )  # fmt: skip
    return day_id


def cells(content: bytes) -> list[str]:
    rows = csv.reader(io.StringIO(content.decode("utf-8-sig")))
    return [cell for row in rows for cell in row]


def is_formula(cell: str) -> bool:
    number = re.fullmatch(r"[+-]?\d+(\.\d+)?([eE][+-]?\d+)?", cell)
    return cell.startswith(("=", "+", "-", "@", "\t", "\r", "＝")) and not number


@pytest.mark.parametrize("part", ["journal.csv", "strip.csv"])
def test_no_spreadsheet_of_a_day_runs_a_formula(full_of_formulas, client, part) -> None:
    found = cells(client.get(f"/days/{full_of_formulas}/{part}").content)

    assert len(found) > 10
    assert [cell for cell in found if is_formula(cell)] == []


def test_no_table_of_the_export_runs_a_formula_or_holds_a_secret(full_of_formulas, client) -> None:
    owner.set_pin("4071", now=clock.now())
    token = phones.make_instrument("Logger", now=clock.now())
    answer = client.get("/farm/safe/export.zip")
    content = b"".join(answer.streaming_content) if answer.streaming else answer.content
    with zipfile.ZipFile(io.BytesIO(content)) as archive:
        tables = {name: archive.read(name) for name in archive.namelist() if name.endswith(".csv")}

    assert tables
    for name, table in tables.items():
        assert [cell for cell in cells(table) if is_formula(cell)] == [], name
        assert token.encode() not in table, name


@pytest.mark.parametrize(
    "markup", ['#panic("x")', '#read("/etc/passwd")', '#include "secret-key"', "*#sys.version*",
               '#link("file:///etc/passwd")[x]', "`#{}`", "\\u{41}"]
)  # fmt: skip
def test_markup_in_text_is_printed_not_run(running_day, client, now, sent, markup) -> None:
    """A document takes text as data: it stands there as it was typed."""
    running.receive(
        running_day,
        [sent("explained", {"after": "draw", "cause": "lost", "note": markup}, client_id="t1",
              at=now, who=markup),
         sent("note", {"text": markup}, client_id="t2", at=now)],
        device="p", sent_at=now, now=now,
    )  # fmt: skip
    answer = client.get(f"/days/{running_day}/record.pdf")

    assert answer.status_code == 200
    text = "".join(
        page.extract_text() for page in pypdf.PdfReader(io.BytesIO(answer.content)).pages
    )
    plain = re.sub(r"\s+", "", text)
    assert "root:" not in text
    assert re.sub(r"\s+", "", markup) in plain or markup == "\\u{41}"


def test_a_calendar_gets_no_entries_from_a_tanks_name(farm, client, day_mapping) -> None:
    mapping = day_mapping()
    mapping["equipment"]["tanks"][0]["name"] = "A\r\nEND:VEVENT\r\nBEGIN:VEVENT\r\nSUMMARY:evil"
    try:
        day_id = days.save_plan(mapping, days=2, change_days=0)
    except InputFaultsError:
        return  # refused is as good
    text = client.get(f"/days/{day_id}/todo.ics").content.decode()
    assert not re.search(r"^SUMMARY:evil", text, re.MULTILINE)
    assert text.count("BEGIN:VEVENT") == text.count("\r\nEND:VEVENT")


# -------------------------------------------------------------------------------------- too large


def test_a_form_of_megabytes_is_refused(running_day, client) -> None:
    before = models.Entry.objects.count()
    answer = client.post(f"/days/{running_day}/reading/", {"note": "x" * 3_000_000})
    assert answer.status_code in {400, 413}
    assert models.Entry.objects.count() == before


def test_a_form_of_ten_thousand_fields_is_refused(farm, client) -> None:
    assert client.post("/farm/", {f"f{n}": "x" for n in range(10_000)}).status_code == 400


def test_an_instrument_cannot_send_without_measure(running_day, client) -> None:
    token = phones.make_instrument("Logger", now=clock.now())
    one = {"id": "a", "what": "bath", "written": "34 F"}
    for things in ([one] * 501, [{**one, "written": "9" * 41}], [{**one, "id": "x" * 25}], []):
        answer = client.post(
            "/api/devices/readings", json.dumps({"readings": things}),
            content_type="application/json", headers={"Authorization": f"Bearer {token}"},
        )  # fmt: skip
        assert answer.status_code == 422


def test_deeply_nested_json_is_refused(running_day, client) -> None:
    token = phones.make_instrument("Logger", now=clock.now())
    for url in (f"/api/days/{running_day}/entries", "/api/devices/readings"):
        answer = client.post(
            url, "[" * 100_000, content_type="application/json",
            headers={"Authorization": f"Bearer {token}"},
        )  # fmt: skip
        assert answer.status_code in {400, 422}


def test_the_door_stands_before_everything_that_reads_the_store() -> None:
    from django.conf import settings

    order = settings.MIDDLEWARE
    assert order.index("pinfeather.web.door.Door") < order.index(
        "django.middleware.csrf.CsrfViewMiddleware"
    ) < order.index("pinfeather.web.owner.OwnerPin")  # fmt: skip
    assert door.COOKIE == "device"
