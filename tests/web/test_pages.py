"""Every page answers, and is built so that everybody can find their way on it."""

from __future__ import annotations

import pytest

from pinfeather.actions.day import days, running
from pinfeather.actions.desk import labels as package_labels
from pinfeather.records import models

FILES = {
    "plan.pdf": "application/pdf",
    "record.pdf": "application/pdf",
    "todo.ics": "text/calendar; charset=utf-8",
    "strip.csv": "text/csv; charset=utf-8",
    "journal.csv": "text/csv; charset=utf-8",
}


def test_every_page_answers_and_has_its_landmarks(answers, parse) -> None:
    problems = []
    for name, response in answers.items():
        if response.status_code != 200:
            problems.append(f"{name}: {response.status_code}")
            continue
        page = parse(response)
        headings = page.all("h1")
        if len(headings) != 1 or not headings[0].text.strip():
            problems.append(f"{name}: {len(headings)} main headings")
        (title,) = (e for e in page.all("title") if e.inside[-1] == "head")
        if len(title.text.strip(" ·")) <= len("Pinfeather"):
            problems.append(f"{name}: no title of its own")
        if page.one("html").attrs.get("lang") not in {"en", "en-us"}:
            problems.append(f"{name}: no language")
        if page.one("main").attrs.get("id") != "main":
            problems.append(f"{name}: no main part")
        first_link = page.all("a")[0]
        if first_link.attrs.get("href") != "#main":
            problems.append(f"{name}: no way past the head")
        if "width=device-width" not in page.one("meta", name="viewport").attrs["content"]:
            problems.append(f"{name}: not made for phones")
        unlabelled = [e.attrs for e in page.elements if _asks(e) and not _labelled(e, page)]
        if unlabelled:
            problems.append(f"{name}: no label: {unlabelled[0]}")
    assert problems == []


def test_no_page_gives_one_id_twice(answers, parse) -> None:
    doubled = {}
    for name, response in answers.items():
        ids = [e.attrs["id"] for e in parse(response).elements if e.attrs.get("id")]
        if twice := {one for one in ids if ids.count(one) > 1}:
            doubled[name] = sorted(twice)
    assert doubled == {}


def _asks(element) -> bool:
    kind = element.attrs.get("type", "text")
    return element.tag in {"input", "select", "textarea"} and kind != "hidden"


def _labelled(element, page) -> bool:
    if "label" in element.inside or "aria-label" in element.attrs:
        return True
    return any(e.tag == "label" and e.attrs.get("for") == element.attrs.get("id", "?")
               for e in page.elements)  # fmt: skip


def test_every_link_on_every_page_leads_somewhere(demo_farm, answers, client, pages, parse) -> None:
    links = set()
    for response in answers.values():
        page = parse(response)
        links |= {e.attrs.get("href", "") for e in page.all("a")}
        links |= {e.attrs.get("src", "") for e in page.all("script")}
        links |= {e.attrs.get("href", "") for e in page.all("link")}
    local = {link.split("#")[0] for link in links} - {""}
    assert all(link.startswith("/") for link in local)
    dead = {}
    for link in local - set(pages(demo_farm).values()):
        response = client.get(link)
        if response.streaming:
            assert b"".join(response.streaming_content)
        if response.status_code not in {200, 302}:
            dead[link] = response.status_code
    assert dead == {}


@pytest.mark.parametrize("name", FILES)
def test_every_file_can_be_had(demo_farm, client, name) -> None:
    for day_id in demo_farm.values():
        response = client.get(f"/days/{day_id}/{name}")
        assert response.status_code == 200
        assert response.headers["Content-Type"] == FILES[name]
        assert name.rsplit(".")[-1] in response.headers["Content-Disposition"]
        assert response.content


def test_labels_can_be_had_in_every_size(demo_farm, client) -> None:
    for size in (*package_labels.LABEL_SIZES, "poster"):
        response = client.get(f"/days/{demo_farm['closed']}/labels.pdf", {"size": size})
        assert response.status_code == 200
        assert response.content.startswith(b"%PDF")
    assert client.get(f"/days/{demo_farm['planned']}/labels.pdf").status_code == 404


def test_an_empty_store_welcomes(store, client, frozen, parse) -> None:
    for url in ("/", "/farm/", "/thermometers/", "/days/", "/days/new/"):
        response = client.get(url)
        assert response.status_code == 200, url
    links = {e.attrs["href"] for e in parse(client.get("/")).all("a", class_="btn")}
    assert "/start/" in links


def test_the_moving_part_of_a_day_is_sent_only_when_something_moved(
    demo_farm, client, parse
) -> None:
    url = f"/days/{demo_farm['running']}/live/"
    page = parse(client.get(url))
    again = page.one("div", id="live").attrs["hx-get"]

    assert client.get(again).status_code == 204
    running.write("tally", {"station": "pick"}, day_id=demo_farm["running"], who="Ines")
    assert client.get(again).status_code == 200


@pytest.mark.parametrize(
    "url",
    [
        "/nowhere/",
        "/days/99999/",
        "/days/99999999999999999999999999/",
        "/days/-1/",
        "/days/99999/at/pick/",
        "/days/99999/reading/",
        "/days/99999/explain/",
        "/days/99999/pack/",
        "/days/99999/close/",
        "/days/99999/change/",
        "/days/99999/numbers/",
        "/days/99999/cold/",
        "/days/99999/live/",
        "/days/99999/plan.pdf",
        "/days/99999/record.pdf",
        "/days/99999/labels.pdf",
        "/days/99999/todo.ics",
        "/days/99999/strip.csv",
    ],
)
def test_what_is_not_there_is_told_in_a_sentence(demo_farm, client, parse, url) -> None:
    response = client.get(url)

    assert response.status_code == 404
    page = parse(response)
    assert page.one("h1").text.endswith(".")
    assert page.one("html").attrs["lang"]


def test_a_station_there_is_not_is_told(demo_farm, client) -> None:
    assert client.get(f"/days/{demo_farm['running']}/at/roof/").status_code == 404
    assert client.get(f"/days/{demo_farm['running']}/at/bag/").status_code == 404


def test_a_mistake_of_the_program_is_told_in_a_sentence(demo_farm, client, parse, monkeypatch):
    def fails(*_args, **_named):
        raise RuntimeError("boom")

    monkeypatch.setattr("pinfeather.actions.day.days.days", fails)
    client.raise_request_exception = False

    response = client.get("/days/")

    assert response.status_code == 500
    assert "boom" not in response.content.decode()
    assert parse(response).one("h1").text.endswith("safe.")


def test_a_store_that_cannot_be_written_is_told_in_a_sentence(
    demo_farm, client, parse, monkeypatch
) -> None:
    from pinfeather.errors import StoreError

    def fails(*_args, **_named):
        raise StoreError("The farm's records could not be written.")

    monkeypatch.setattr("pinfeather.records.journal.append", fails)

    response = client.post(
        f"/days/{demo_farm['running']}/explain/",
        {"after": "pick", "cause": "condemned", "birds": "1"},
    )

    assert response.status_code == 503
    assert "could not be written" in parse(response).one("h1").text


# ---- working without script -----------------------------------------------------------------


def test_a_tap_counts_a_bird_and_undo_takes_it_back(running_day, client, frozen) -> None:
    url = f"/days/{running_day}/at/pick/"

    assert client.post(url, {"act": "count", "birds": "1", "who": "Odile"}).status_code == 302
    done = running.day_progress(running_day)
    assert done.count("pick") == 5
    assert done.tallies[-1].who == "Odile"
    client.post(url, {"act": "count", "birds": "3"})
    assert running.day_progress(running_day).tallies[-1].who == "Odile"
    client.post(url, {"act": "back"})
    assert running.day_progress(running_day).count("pick") == 5


def test_a_bad_tap_is_told_on_the_page(running_day, client, parse) -> None:
    response = client.post(
        f"/days/{running_day}/at/pick/", {"act": "count", "birds": "999"}, follow=True
    )

    assert response.status_code == 200
    assert running.day_progress(running_day).count("pick") == 4


def test_a_task_is_ticked_off(running_day, client) -> None:
    client.post(
        f"/days/{running_day}/at/pick/", {"act": "done", "task": "sanitiser", "place": "table"}
    )

    (task,) = running.day_progress(running_day).done
    assert (task.task, task.place) == ("sanitiser", "table")


def test_a_reading_is_written_down(running_day, client, parse) -> None:
    url = f"/days/{running_day}/reading/"
    typed = {"what": "bath", "place": "North tank", "written": "34.2 F", "instrument": "Blue probe"}

    response = client.post(url, typed, follow=True)

    assert response.status_code == 200
    assert "34.2 F written down" in parse(response).one("main").text
    (reading,) = running.day_progress(running_day).readings
    assert (reading.written, reading.place) == ("34.2 F", "North tank")


def test_a_faulty_reading_keeps_what_was_typed_and_says_why(running_day, client, parse) -> None:
    url = f"/days/{running_day}/reading/"
    typed = {
        "what": "bird", "place": "North tank", "written": "38", "instrument": "", "note": "x",
        "who": "Bram", "back": "chill",
    }  # fmt: skip

    response = client.post(url, typed)

    page = parse(response)
    assert response.status_code == 422
    assert "no unit" in page.fault("written")
    kept = page.fields()
    assert {name: kept.get(name) for name in typed} == typed
    assert running.day_progress(running_day).readings == ()


def test_a_bird_that_left_the_line_is_explained(running_day, client, parse) -> None:
    url = f"/days/{running_day}/explain/"
    bad = client.post(url, {"after": "kill", "cause": "lost", "birds": "1", "note": ""})
    assert bad.status_code == 422
    assert "Write something here." in parse(bad).one("main").text

    good = client.post(url, {"after": "kill", "cause": "lost", "birds": "1", "note": "looked"})
    assert good.status_code == 302
    assert running.day_progress(running_day).explained_after("kill") == 1


def test_a_package_is_weighed_and_taken_back(running_day, client, parse) -> None:
    url = f"/days/{running_day}/pack/"
    typed = {
        "lot": "K7", "tank": "North tank", "product": "Whole chicken", "gross": "4.55",
        "tare": "0.03", "price_per_lb": "5.50", "birds": "1", "who": "Bram",
    }  # fmt: skip
    assert client.post(url, typed).status_code == 302
    (package,) = running.day_progress(running_day).packages
    assert (package.net_lb, package.total) == ("4.52", "24.86")

    client.post(f"{url}1/", {"act": "void", "reason": ""})
    assert len(running.day_progress(running_day).packages) == 1
    client.post(f"{url}1/", {"act": "void", "reason": "bag tore"})
    assert running.day_progress(running_day).packages == ()

    faulty = client.post(url, {**typed, "gross": "a lot", "product": ""})
    page = parse(faulty)
    assert faulty.status_code == 422
    assert page.fault("gross")
    assert page.fields()["gross"] == "a lot"


def test_a_thermometer_is_added_and_checked_in_ice(farm, client, parse, frozen) -> None:
    url = "/thermometers/"
    assert client.post(url, {"name": "Dial", "accuracy": "2"}).status_code == 422
    assert client.post(url, {"name": "Dial", "accuracy": "2 F"}).status_code == 302
    check = {"what": "check", "instrument": "Dial", "written": "33 F"}
    assert client.post(url, {**check, "written": "70 F"}).status_code == 422
    assert client.post(url, check).status_code == 302

    text = parse(client.get(url)).one("main").text
    assert "Showed 33 F in ice, off by +1.0 °F." in text
    assert "Checked today" in text
    assert "in boiling water it should show 210.7\u202f°F here, at 700 ft" in text


def test_the_farm_and_its_people_are_saved(store, client, parse) -> None:
    farm = {
        "what": "farm", "name": "Sorrel Bank", "address": "1 Ferry Lane", "phone": "",
        "zone": "America/Denver", "profile": "us-federal", "tier": "producer_1000",
        "altitude": "5200 ft", "price_per_lb": "5.5", "water_source": "well",
        "water_test": "2026-04-02", "units": "us",
    }  # fmt: skip
    assert client.post("/farm/", farm).status_code == 302
    person = {"what": "person", "name": "Bram", "stations": ["draw", "bag"], "pace": "0.8"}
    assert client.post("/farm/", person).status_code == 302

    page = parse(client.get("/farm/"))
    text = page.one("main").text
    assert "drain and bag" in text
    assert page.fields()["altitude"] == "5200 ft"
    assert models.Farm.objects.get().price_per_lb == "5.50"

    faulty = client.post("/farm/", {**farm, "zone": "Middle/Nowhere", "altitude": "high"})
    assert faulty.status_code == 422
    text = parse(faulty).one("main").text
    assert "not a time zone name" in text
    assert "“high” is not a length" in text


def test_a_day_is_closed_over_its_pages(running_day, client, parse, frozen) -> None:
    url = f"/days/{running_day}/close/"
    refused = client.post(url, {"act": "close", "who": "Odile"})
    assert refused.status_code == 422
    assert "unaccounted for" in parse(refused).one("main").text

    for after, birds in (("kill", 2), ("draw", 1), ("chill", 3)):
        client.post(
            f"/days/{running_day}/explain/",
            {"after": after, "cause": "home use", "birds": str(birds), "note": "supper"},
        )
    empty = client.post(url, {"act": "answer", "finding": "chill.unproved", "where": "x"})
    assert empty.status_code == 422
    for _round in range(12):
        page = parse(client.get(url))
        open_forms = page.all("input", name="finding")
        if not open_forms:
            break
        place = page.elements.index(open_forms[0])
        where = next(e for e in page.elements[place:] if e.attrs.get("name") == "where")
        answer = {
            "act": "answer",
            "finding": open_forms[0].attrs["value"],
            "where": where.attrs["value"],
            "text": "seen to",
            "who": "Odile",
        }
        assert client.post(url, answer).status_code == 302
    closed = client.post(url, {"act": "close", "who": "Odile"}, follow=True)

    assert closed.status_code == 200
    assert days.day(running_day).status == "closed"
    assert days.day(running_day).seal in parse(closed).one("main").text
    again = client.post(url, {"act": "close", "who": "Odile"})
    assert again.status_code == 409
    client.post(f"/days/{running_day}/correct/", {"text": "it was a duck", "who": "Bram"})
    assert "it was a duck" in parse(client.get(f"/days/{running_day}/")).one("main").text


def test_a_correction_to_a_day_that_is_not_there_is_told(farm, client) -> None:
    assert client.post("/days/404/correct/", {"text": "x"}).status_code == 404


def test_a_missed_tap_is_added_from_the_closing_page(running_day, client, frozen) -> None:
    client.post(
        f"/days/{running_day}/close/",
        {"act": "missed", "after": "kill", "before": "pick", "who": "Bram"},
    )

    assert running.day_progress(running_day).count("pick") == 6
