"""What a page may load, who may send it anything, and text that would like to be a script."""

from __future__ import annotations

import json
import re
from urllib.parse import quote

import pytest
from django.test import Client

from pinfeather.actions import farm as farms
from pinfeather.actions.day import days, running
from pinfeather.actions.desk import packing
from pinfeather.actions.stock import book as stock_book
from pinfeather.actions.stock import counter, customers, orders
from pinfeather.records import models

WICKED = ("<script>alert(1)</script>", '"><img src=x onerror=alert(1)>', "{{ 7|add:7 }}' onload='x")
EVENT = re.compile(r"on[a-z]+")


def troubles(page) -> list[str]:
    """What the policy would block, or a page must not have."""
    found = []
    for e in page.elements:
        if "style" in e.attrs or e.tag == "style":
            found.append(f"style in <{e.tag}>")
        data = e.attrs.get("type") == "application/json"
        if e.tag == "script" and "src" not in e.attrs and not data:
            found.append("inline script")
        found += [f"{name} in <{e.tag}>" for name in e.attrs if EVENT.fullmatch(name)]
        for name in ("href", "src", "action", "hx-get", "formaction", "xlink:href"):
            link = e.attrs.get(name, "")
            if link and not link.startswith(("/", "#", "?", "data:image/svg")):
                found.append(f"{name}={link} in <{e.tag}>")
    return found


def test_no_page_has_anything_inline_or_from_elsewhere(answers, parse) -> None:
    found = {
        name: told for name, response in answers.items() if (told := troubles(parse(response)))
    }
    assert found == {}


def test_every_answer_carries_the_policy(demo_farm, answers, client) -> None:
    urls = ["/nowhere/", f"/days/{demo_farm['closed']}/plan.pdf",
            f"/api/days/{demo_farm['running']}/state", "/api/days/404/state"]  # fmt: skip
    for url, response in {**answers, **{url: client.get(url) for url in urls}}.items():
        headers = response.headers
        policy = headers["Content-Security-Policy"]
        assert "unsafe" not in policy, url
        rules = dict(rule.strip().split(" ", 1) for rule in policy.split(";"))
        assert rules["script-src"] == rules["style-src"] == rules["default-src"] == "'self'"
        assert rules["frame-ancestors"] in {"'self'", "'none'"}
        assert rules["form-action"] == "'self'"
        assert rules["base-uri"] == "'none'"
        assert headers["X-Content-Type-Options"] == "nosniff"
        assert headers["X-Frame-Options"] in {"SAMEORIGIN", "DENY"}
        assert headers["Referrer-Policy"] == "same-origin"


POSTS = ("/farm/", "/thermometers/", "/days/new/")
DAY_POSTS = ("at/pick/", "reading/", "explain/", "pack/", "close/", "change/", "correct/")


def test_no_form_is_taken_without_its_token(running_day, strict_client) -> None:
    before = models.Entry.objects.count()
    for url in (*POSTS, *(f"/days/{running_day}/{part}" for part in DAY_POSTS)):
        response = strict_client.post(url, {"act": "count", "birds": "1", "text": "x"})
        assert response.status_code == 403, url
    assert models.Entry.objects.count() == before


def test_a_form_with_its_token_is_taken(running_day, strict_client, parse) -> None:
    url = f"/days/{running_day}/at/pick/"
    token = parse(strict_client.get(url)).all("input", name="csrfmiddlewaretoken")[0]

    response = strict_client.post(
        url, {"act": "count", "birds": "1", "csrfmiddlewaretoken": token.attrs["value"]}
    )

    assert response.status_code == 302
    assert running.day_progress(running_day).count("pick") == 5


def test_every_form_on_every_page_has_its_token(answers, parse) -> None:
    for name, response in answers.items():
        page = parse(response)
        forms = [f for f in page.all("form") if f.attrs.get("method", "").lower() == "post"]
        tokens = page.all("input", name="csrfmiddlewaretoken")
        assert len(forms) == len(tokens), name


def test_entries_are_taken_only_from_our_own_pages(running_day, strict_client, parse, now) -> None:
    url = f"/api/days/{running_day}/entries"
    body = {
        "device": "p",
        "sent_at": now.isoformat(),
        "entries": [{"id": "x1", "kind": "note", "payload": {"text": "x"}, "at": now.isoformat()}],
    }

    def send(**headers):
        return strict_client.post(
            url, json.dumps(body), content_type="application/json", headers=headers
        )

    assert send().status_code in {401, 403}
    assert send(**{"X-CSRFToken": "a" * 64}).status_code in {401, 403}
    page = parse(strict_client.get(f"/days/{running_day}/at/pick/"))
    token = page.all("input", name="csrfmiddlewaretoken")[0].attrs["value"]
    assert send(**{"X-CSRFToken": token, "Origin": "http://evil.example"}).status_code in {401, 403}
    assert models.Entry.objects.filter(client_id="x1").count() == 0
    assert send(**{"X-CSRFToken": token}).status_code == 200
    assert models.Entry.objects.filter(client_id="x1").count() == 1


@pytest.mark.parametrize(
    "host", ["evil.example", "farm.evil.example:8470", "127.0.0.1.evil.example"]
)
@pytest.mark.parametrize("url", ["/", "/days/", "/api/days/1/state", "/farm/"])
def test_a_forged_host_is_refused(farm, client, host, url) -> None:
    response = client.get(url, headers={"Host": host})

    assert response.status_code == 400
    assert "evil" not in response.content.decode()


@pytest.mark.parametrize("host", ["localhost", "127.0.0.1:8470", "[::1]:8470"])
def test_the_farm_computers_own_names_are_let_in(farm, client, host) -> None:
    assert client.get("/", headers={"Host": host}).status_code == 200


@pytest.mark.parametrize(
    "url",
    [
        "/static/",
        "/static/pinfeather/",
        "/static/../secret-key",
        "/static/pinfeather/../../settings.py",
        "/static/%2e%2e/settings.py",
        "/static/pinfeather/%2e%2e/%2e%2e/%2e%2e/settings.py",
        "/static/..%2f..%2fsettings.py",
        "/static//etc/passwd",
        "/static/pinfeather/site.css/",
        "/secret-key",
        "/farm.sqlite3",
        "/api/docs",
        "/api/openapi.json",
        "/admin/",
    ],
)
def test_no_listing_and_no_way_out_of_the_static_folder(farm, client, url) -> None:
    response = client.get(url)

    body = b"".join(response.streaming_content) if response.streaming else response.content
    assert response.status_code == 404 or url == "/api/openapi.json"
    assert b"SECRET_KEY" not in body
    assert b"root:" not in body


@pytest.mark.parametrize("name", ["site.css", "strip.css", "station.js", "outbox.js", "icon.svg"])
def test_our_own_files_are_served_and_not_sniffed(farm, client, name) -> None:
    response = client.get(f"/static/pinfeather/{name}")

    assert response.status_code == 200
    assert response.headers["X-Content-Type-Options"] == "nosniff"
    assert b"".join(response.streaming_content)


def test_the_secret_key_is_readable_by_its_owner_only() -> None:
    from django.conf import settings

    path = settings.DATA_DIR / "secret-key"
    assert path.stat().st_mode & 0o077 == 0
    assert len(path.read_text()) >= 50
    assert settings.DEBUG is False


def test_the_screens_cookie_is_not_for_scripts_or_other_sites(running_day, client) -> None:
    client.post(f"/days/{running_day}/at/pick/", {"act": "count", "birds": "1", "who": "Odile"})

    cookie = client.cookies["sessionid"]
    assert cookie["httponly"]
    assert cookie["samesite"] == "Strict"


def test_text_that_looks_like_a_script_comes_out_as_text(
    farm, client, pages, parse, day_mapping, sent, now, frozen
) -> None:
    """Write it into every field there is, then look at every page and picture."""
    script, image, other = WICKED
    farms.save_farm(
        {
            "name": f"{script}{image}",
            "address": f"{image}\n{script}",
            "phone": image,
            "zone": farm.zone,
            "altitude": "700 ft",
        }
    )
    farms.save_person(f"{image}", ["catch", "draw"])
    farms.save_instrument(f"{script}", kind="thermometer", accuracy="1 F")
    farms.save_lot(image[:20], species="chicken", build="broad", hatched=None, head=1, note=script)
    mapping = day_mapping(deadline_reason=f"{script}{image}{other}")
    mapping["people"][0]["name"] = script
    mapping["people"][1]["name"] = image
    mapping["equipment"]["tanks"][0]["name"] = f"{image}"
    tank = image
    ids = {}
    for state in ("planned", "running", "closed"):
        day_id = ids[state] = days.save_plan(mapping, days=2, change_days=0)
        if state == "planned":
            continue
        entries = [
            sent(kind, payload, client_id=f"w{day_id}n{n}", at=now, who=script)
            for n, (kind, payload) in enumerate(
                [
                    *(("tally", {"station": s, "lot": image, "place": tank if s == "chill" else ""})
                      for s in ("catch", "kill", "pick", "draw", "chill", "chill")),
                    ("reading", {"what": "bird", "place": tank, "written": "34 F",
                                 "instrument": script, "note": image}),
                    ("reading", {"what": "bath", "place": tank, "written": "33 F",
                                 "instrument": script}),
                    ("reading", {"what": "bath", "place": tank, "written": "44 F",
                                 "instrument": image}),
                    ("ice point", {"instrument": script, "written": "32.4 F"}),
                    ("done", {"task": script, "place": image, "note": other}),
                    ("explained", {"after": "draw", "cause": "lost", "note": f"{script}{image}"}),
                    ("package", {"number": 1, "lot": image, "tank": tank, "product": script,
                                 "gross": image, "tare": script, "net_lb": "4.50"}),
                    ("action", {"finding": script, "where": image, "text": f"{script}{image}"}),
                    ("note", {"text": script}),
                    ("correction", {"of": image, "reason": f"{script}{image}"}),
                ]
            )
        ]  # fmt: skip
        received = running.receive(day_id, entries, device=script, sent_at=now, now=now)
        assert [r.problem for r in received if r.problem] == []
    from pinfeather.actions.day import closing

    judgement = closing.judge(ids["closed"], now=now)
    record = closing._record(judgement, who=script)
    models.Day.objects.filter(pk=ids["closed"]).update(
        status="closed", seal="ab" * 32, sealed_at=now, sealed_seq=models.Entry.objects.count(),
        record=record,
    )  # fmt: skip
    running.write("correction", {"of": "day", "reason": f"{script}{image}"}, day_id=ids["closed"],
                  who=image)  # fmt: skip

    customer = customers.save_customer(name=script, address=image, phone=image, kind="household")
    ordered = orders.save_order(
        {"customer": str(customer), "pickup_on": now.date().isoformat(), "count_0": "1",
         "product_0": image[:40], "occasion": script, "note": f"{script}{image}"}
    )  # fmt: skip
    orders.deposit(ordered, act="taken", amount="20.00", paid_by="cash", who=script, at=now)
    counter.sell(
        [stock_book.in_stock()[0].id],
        {"paid_by": "cash", "customer": str(customer), "venue": "farm", "reason": image},
        who=script, client_id="demosale1", at=now,
    )  # fmt: skip

    lot = quote(image[:20], safe="")
    found = pages(ids) | {"lot": f"/lots/{lot}/", "trace a flock": f"/trace/?q={lot}"}
    seen = 0
    for name, url in found.items():
        response = client.get(url)
        assert response.status_code in {200, 409}, name
        text = response.content.decode()
        assert "<script>alert" not in text, name
        assert "<img" not in text, name
        assert troubles(parse(response)) == [], name
        assert "14' onload" not in text, name
        assert "14&#x27; onload" not in text, name
        seen += "&lt;script&gt;alert" in text
    assert seen > 10
    for url in ("plan.pdf", "record.pdf", "strip.csv", "journal.csv", "todo.ics"):
        response = client.get(f"/days/{ids['closed']}/{url}")
        assert response.status_code == 200, url
        assert "html" not in response.headers["Content-Type"]


def test_what_was_just_typed_comes_back_as_text(running_day, client, parse) -> None:
    day = f"/days/{running_day}"
    script, image, _other = WICKED
    sends = [
        ("/farm/", {"what": "farm", "name": image, "altitude": script, "zone": image}),
        ("/farm/", {"what": "person", "name": image, "pace": script}),
        ("/farm/", {"what": "lot", "code": image, "head": script}),
        ("/thermometers/", {"name": image, "accuracy": script}),
        ("/thermometers/", {"what": "check", "instrument": image, "written": script}),
        ("/days/new/", {"date": script, "start": image, "lots[0].code": script, "air": image,
                        "people[0].name": image, "equipment.tanks[0].name": script}),
        (f"{day}/reading/", {"what": "bird", "written": script, "note": image, "place": image}),
        (f"{day}/reading/?what={image}&place={script}&back={image}", {}),
        (f"{day}/explain/", {"after": script, "cause": image, "birds": script, "note": image}),
        (f"{day}/pack/", {"gross": script, "tare": image, "product": image, "lot": script}),
        (f"{day}/close/", {"act": "answer", "finding": script, "where": image, "text": ""}),
        (f"{day}/at/pick/", {"act": "count", "birds": script, "who": image}),
    ]  # fmt: skip
    for url, typed in sends:
        for response in (client.post(url, typed, follow=True), client.get(url)):
            text = response.content.decode()
            assert response.status_code in {200, 422}, url
            assert "<script>alert" not in text, url
            assert "<img" not in text, url
            assert troubles(parse(response)) == [], url


def test_the_pictures_label_wicked_tank_names_as_text(demo_farm) -> None:
    from pinfeather.actions.day import closing, pictures
    from pinfeather.reports.cold_curve import cold_curve_svg

    judgement = closing.judge(demo_farm["closed"], now=days.day(demo_farm["closed"]).sealed_at)
    (curve, *_rest) = pictures.cold_curves(judgement.floor, judgement.chill, now=None)
    from dataclasses import replace

    svg = cold_curve_svg(
        replace(curve, batch=WICKED[0], place=WICKED[1]),
        unit="F",
        clock="24h",
        width=900,
        ident="c",
    )

    assert "<script" not in svg
    assert "<img" not in svg


def test_labels_of_wicked_packages_are_printed_not_run(running_day, client, now) -> None:
    packing.weigh(
        running_day,
        lot="K7",
        tank="North tank",
        product='#panic("x") <b>',
        gross="4.55 lb",
        tare="0.03 lb",
        price_per_lb="5",
        birds=1,
        who="Bram",
    )

    assert client.get(f"/days/{running_day}/labels.pdf").status_code == 200


def test_a_browser_that_lost_its_token_is_told_in_a_sentence(farm, parse) -> None:
    response = Client(enforce_csrf_checks=True).post("/farm/", {"what": "farm"})

    page = parse(response)
    assert response.status_code == 403
    assert troubles(page) == []
    assert page.one("main")


def test_a_page_of_the_store_out_of_reach_is_still_a_page(farm, client, parse, monkeypatch) -> None:
    from django.db import OperationalError

    def fails(*_args, **_named):
        raise OperationalError("unable to open database file")

    monkeypatch.setattr(models.Farm.objects, "first", fails)
    client.raise_request_exception = False

    response = client.get("/")

    assert response.status_code in {500, 503}
    assert parse(response).one("h1").text.endswith(".")
