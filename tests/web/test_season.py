"""The season's pages: the form round trip, faults beside fields, waiting, the plan, taking over."""

from __future__ import annotations

import datetime as dt

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile

from pinfeather.actions.season import season
from pinfeather.actions.season import work as season_work
from pinfeather.records import models

TODAY = dt.date(2026, 6, 17)
NOW = dt.datetime(2026, 6, 17, 15, 40, tzinfo=dt.UTC)


@pytest.fixture
def at_once(monkeypatch, season_made):
    """Work seasons out at once, with the plan made by hand."""
    kept = {"plan": season_made["plan"]()}
    monkeypatch.setattr(season_work, "run", lambda job: job())
    monkeypatch.setattr(season_work, "solve", lambda found, before: kept["plan"])
    return kept


@pytest.fixture
def planned(farm, frozen, at_once, season_made):
    season_id, number = season.save_and_ask(
        season_made["mapping"](), season_id=None, today=TODAY, now=NOW
    )
    season.begin(season_id, number)
    return season_id


def text(response) -> str:
    return " ".join(response.content.decode().split())


def test_a_farm_without_a_season_is_told_how_to_begin(farm, client, parse) -> None:
    page = parse(client.get("/season/"))
    assert page.one("h1").text == "No season is planned yet"
    assert page.all("a", href="/season/write/", class_="btn")


def test_the_form_is_filled_in_and_a_first_plan_takes_an_order_and_a_tap(
    farm, frozen, at_once, client, parse
) -> None:
    fields = parse(client.get("/season/write/")).fields()
    assert fields["until"] == "2026-11-30"
    fields |= {
        "orders[0].name": "Harvest supper",
        "orders[0].birds": "20",
        "orders[0].date": "2026-09-19",
        "orders[0].price": "$5.50/lb",
        "do": "plan",
    }
    answer = client.post("/season/write/", fields)
    assert answer.status_code == 302, parse(answer).one("section", role="alert").text
    view = season.version(season.current().id, 1)
    assert view.request.orders[0].birds == 20
    assert view.request.orders[0].kinds == ("B",)


def test_everything_typed_comes_back_with_faults_beside_their_fields(
    farm, frozen, client, parse
) -> None:
    fields = parse(client.get("/season/write/")).fields()
    fields |= {"orders[0].name": "Supper", "orders[0].birds": "twenty", "days.crew": "24"}
    answer = client.post("/season/write/", {**fields, "do": "plan"})
    page = parse(answer)

    assert answer.status_code == 422
    assert "not a whole number" in page.fault("orders[0].birds")
    assert "unit" in page.fault("days.crew")
    assert page.fault("orders[0].date") == "Give the day of pickup, or weekdays below."
    sent = page.fields()
    assert (sent["orders[0].birds"], sent["days.crew"]) == ("twenty", "24")
    assert sent["season"] == str(season.current().id)  # kept: the next try changes this one
    assert season.current().mapping["days"]["crew"] == "24"


def test_rows_come_and_go_and_nothing_typed_is_lost(farm, frozen, client, parse) -> None:
    fields = parse(client.get("/season/write/")).fields()
    fields |= {"orders[0].name": "Supper", "orders[0].kinds": ["B"]}
    added = parse(client.post("/season/write/", {**fields, "do": "add orders"})).fields()
    assert added["orders[0].name"] == "Supper"
    assert added["orders[0].kinds"] == ["B"]
    assert added["orders[1].name"] == ""
    gone = parse(client.post("/season/write/", {**added, "do": "remove orders 0"})).fields()
    assert gone["orders[0].name"] == ""
    assert season.current() is None


def test_a_row_under_another_table_comes_and_goes_too(farm, frozen, client, parse) -> None:
    fields = parse(client.get("/season/write/")).fields()
    more = parse(client.post("/season/write/", {**fields, "do": "add special"})).fields()
    assert "days.special[0].date" in more
    less = parse(client.post("/season/write/", {**more, "do": "remove special 0"})).fields()
    assert "days.special[0].date" not in less


def test_a_season_can_be_kept_for_later_with_its_faults(farm, frozen, client, parse) -> None:
    fields = parse(client.get("/season/write/")).fields()
    client.post("/season/write/", {**fields, "days.crew": "many", "do": "keep"})
    assert parse(client.get("/season/write/")).fields()["days.crew"] == "many"
    assert season.current().versions == ()


def test_a_file_fills_in_the_form_and_keeps_what_the_form_does_not_ask(
    farm, frozen, client, parse
) -> None:
    raw = b"""
name = "By hand"
from = 2026-06-17
until = 2026-11-30
[[kinds]]
code = "B"
name = "Broiler"
dressing = ["chicken"]
chick_price = "$2"
age_from = "49 d"
age_until = "70 d"
hatch.dates = [2026-07-15, 2026-08-12]
weights = [
  {age = "14 d", weight = "1 lb"},
  {age = "42 d", weight = "5 lb"},
  {age = "63 d", weight = "8 lb"},
  {age = "77 d", weight = "9 lb"},
]
[days]
weekdays = ["sat"]
crew = "24 h"
"""
    file = SimpleUploadedFile("season.toml", raw)
    answer = client.post("/season/file/", {"file": file})
    fields = parse(answer).fields()
    assert answer.status_code == 422  # no order yet, no feed price
    assert fields["kinds[0].hatch.dates"] == "2026-07-15, 2026-08-12"
    assert fields["kinds[0].weights[2].weight"] == "8 lb"
    assert season.current() is None

    fields |= {
        "orders[0].name": "Supper", "orders[0].birds": "20", "orders[0].date": "2026-10-03",
        "feed.prices[0].price": "$0.35/lb", "brooders[0].name": "Shed", "brooders[0].chicks": "50",
    }  # fmt: skip
    answer = client.post("/season/write/", {**fields, "do": "plan"})
    assert answer.status_code == 302, parse(answer).one("section", role="alert").text
    (kind,) = season.version(season.current().id, 1).request.kinds
    assert kind.hatch_on == (dt.date(2026, 7, 15), dt.date(2026, 8, 12))


@pytest.mark.parametrize("raw", [b"", b"name = ", b"\xff"])
def test_a_file_that_is_no_season_is_refused_with_a_sentence(farm, client, parse, raw) -> None:
    answer = client.post("/season/file/", {"file": SimpleUploadedFile("s.toml", raw)}, follow=True)
    assert answer.status_code == 200
    assert parse(answer).all("p", role="status")


@pytest.mark.parametrize(
    "fields",
    [
        {"kinds": "x", "orders": "y", "days": "z", "feed": "w", "do": "plan"},
        {"orders[0].name": "a", "orders[0].kinds": ["Q"], "days.special": "x", "do": "plan"},
        {"do": "add nothing"},
        {"do": "remove orders 99"},
        {"hatch.x[3]": "1", "[[": "2", "kinds[999].name": "far", "do": "plan"},
        {"season": "77777", "do": "keep"},
    ],
)
def test_a_form_out_of_shape_never_breaks_the_page(farm, frozen, client, fields) -> None:
    assert client.post("/season/write/", fields).status_code in {200, 302, 404, 422}


def test_the_page_waits_without_blocking_and_works_without_script(
    farm, frozen, client, parse, season_made
) -> None:
    season_id, number = season.save_and_ask(
        season_made["mapping"](), season_id=None, today=TODAY, now=NOW
    )
    answer = client.get("/season/")
    page = parse(answer)
    assert page.one("h1").text == "The season is being worked out"
    assert '<noscript><meta http-equiv="refresh" content="3"></noscript>' in text(answer)
    part = client.get(f"/season/{season_id}/{number}/progress/")
    assert part.status_code == 200
    assert "HX-Redirect" not in part.headers
    assert client.get(f"/season/{season_id}/{number}/plan.pdf").status_code == 404


def test_the_part_that_waits_sends_on_when_it_is_done(planned, client) -> None:
    part = client.get(f"/season/{planned}/1/progress/")
    assert part.headers["HX-Redirect"] == f"/season/{planned}/1/"


def test_one_that_was_cut_off_says_so_and_starts_again(planned, client, parse) -> None:
    models.SeasonVersion.objects.update(status="working", worker="an earlier run")
    page = parse(client.get("/season/"))
    assert page.one("h1").text == "Not finished: start it again"
    client.post(f"/season/{planned}/1/again/")
    assert season.current().newest.number == 2
    assert season.current().newest.status == "done"


def test_one_that_failed_says_why(planned, client, parse) -> None:
    models.SeasonVersion.objects.update(status="failed", trouble="The barn is on the moon.")
    assert "The barn is on the moon." in text(client.get("/season/"))


def test_the_plan_says_the_answer_first_then_ribbon_dates_orders_and_limits(
    planned, client, parse
) -> None:
    answer = client.get("/season/")
    page = parse(answer)
    assert page.one("h1").text == "Yes: 2 lots to order, 4 processing days, $1,860 expected"
    titles = [h.text for h in page.all("h2")]
    order = ["The season ribbon", "What to do next", "Lots to order", "Processing days"]
    assert [title for title in titles if title in order] == order
    words = text(answer)
    for said in (
        "88 %", "between $1,200 and $2,400, eight seasons in ten", "Order 75 broiler chicks",
        "Harvest supper", "93 %", "13 of 14 birds", "20 more chicks of brooder room", "$125",
        "−$25", "below nothing", "Cash falls below nothing in August.",
    ):  # fmt: skip
        assert said in words, said
    assert len(page.all("svg", class_="ribbon")) == 3  # wide, and two quarters for a phone
    ids = [e.attrs["id"] for e in page.elements if "id" in e.attrs]
    assert len(ids) == len(set(ids))


def test_an_impossible_season_says_the_smallest_change(
    planned, at_once, client, parse, season_made
) -> None:
    at_once["plan"] = season_made["impossible"]()
    client.post(f"/season/{planned}/replan/")
    answer = client.get("/season/")
    assert parse(answer).one("h1").text == "Not possible as it is written"
    assert "Room for 12 more chicks in Back room." in text(answer)


def test_a_replan_adds_a_version_and_the_older_one_stays_readable(planned, client, parse) -> None:
    client.post(f"/season/{planned}/replan/")
    assert "somebody was told otherwise" in text(client.get("/season/"))
    old = client.get(f"/season/{planned}/1/")
    assert "An older plan, of Wednesday 17 June 2026." in text(old)
    assert not [b for b in parse(old).all("button") if "main" in b.inside]


def test_a_lot_is_taken_over_by_a_tap_and_the_page_then_links_to_it(planned, client) -> None:
    client.post(f"/season/{planned}/1/take-lot/", {"lot": "B5"})
    words = text(client.get("/season/"))
    assert 'href="/lots/B5/"' in words
    assert "In the flock records as B5" in words
    assert client.post(f"/season/{planned}/1/take-lot/", {"lot": "B5"}).status_code == 409


def test_a_day_of_the_plan_opens_the_form_of_a_processing_day(planned, client, parse) -> None:
    page = parse(client.get("/season/"))
    links = [
        a.attrs["href"] for a in page.all("a", class_="btn two") if "season=" in a.attrs["href"]
    ]
    assert len(links) == 4
    fields = parse(client.get(links[1])).fields()
    assert (fields["date"], fields["lots[0].code"], fields["lots[0].count"]) == (
        "2026-09-05", "B5", "40",
    )  # fmt: skip


@pytest.mark.parametrize("query", ["season=1-9&on=2026-09-05", "season=1-1&on=2026-09-06"])
def test_a_link_to_a_day_the_plan_does_not_have_is_not_found(planned, client, query) -> None:
    assert client.get(f"/days/new/?{query}").status_code == 404


@pytest.mark.parametrize("query", ["season=x&on=2026-09-05", "season=1-1&on=today", "season=&on="])
def test_a_link_that_says_nothing_opens_the_usual_form(planned, client, query) -> None:
    assert client.get(f"/days/new/?{query}").status_code == 200


def test_files_and_tables_come_with_their_names(planned, client) -> None:
    for path, kind in (
        ("plan.pdf", "application/pdf"),
        ("season.ics", "text/calendar"),
        ("purchases.csv", "text/csv"),
        ("season.toml", "application/toml"),
        ("ribbon/", "text/html"),
    ):
        answer = client.get(f"/season/{planned}/1/{path}")
        assert answer.status_code == 200
        assert answer.headers["Content-Type"].startswith(kind)
    assert client.get(f"/season/{planned}/season.toml").status_code == 200


def test_today_tells_the_next_task_of_the_season(planned, client) -> None:
    words = text(client.get("/"))
    assert "Due" in words
    assert "Order 75 broiler chicks" in words


def test_the_ribbon_is_there_as_a_file(planned, client) -> None:
    answer = client.get(f"/season/{planned}/1/ribbon.csv")
    lines = answer.content.decode("utf-8-sig").splitlines()
    assert lines[0] == "kind,name,what,date,value,limit,unit"
    assert {line.split(",")[0] for line in lines[1:]} == {"lot", "room"}
    assert f"/season/{planned}/1/ribbon.csv" in text(client.get(f"/season/{planned}/1/ribbon/"))


def test_the_bar_keeps_daily_pages_and_folds_the_others(farm, client, parse) -> None:
    page = parse(client.get("/season/"))
    nav = [a for a in page.all("a") if "nav" in a.inside]
    often = {a.text: a.attrs.get("class") for a in nav}
    assert [words for words, how in often.items() if how == "daily"] == [
        "Today",
        "Days",
        "Lots",
        "Season",
    ]
    assert {"Thermometers", "Farm"} <= {words for words, how in often.items() if how == "seldom"}
    folded = {a.text for a in nav if "details" in a.inside}
    assert folded == {words for words, how in often.items() if how != "daily"}


@pytest.mark.parametrize("path", ["season/9/9/", "season/9/9/plan.pdf", "season/9/9/ribbon/"])
def test_a_season_that_is_not_there_is_not_found(farm, client, path) -> None:
    assert client.get(f"/{path}").status_code == 404


def test_another_season_half_written_does_not_hide_the_plan(planned, client, parse) -> None:
    fields = parse(client.get("/season/write/?new=1")).fields()
    assert fields["season"] == ""
    client.post("/season/write/", {**fields, "name": "Next year", "do": "keep"})
    words = text(client.get("/season/"))
    assert "Yes: 2 lots to order" in words
    assert "“Next year” is written and not worked out yet." in words
    assert parse(client.get("/season/write/")).fields()["name"] == "Next year"
    assert "Order 75 broiler chicks" in text(client.get("/"))
