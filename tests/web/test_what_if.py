"""The what-if page and the crew page: try, look, take; no script needed."""

from __future__ import annotations

from functools import partial

import pytest

from pinfeather.actions.day import days
from pinfeather.records import models


@pytest.fixture(autouse=True)
def quick(monkeypatch):
    """Plan with few simulated days."""
    monkeypatch.setattr(days, "save_plan", partial(days.save_plan, days=2, change_days=0))


@pytest.fixture
def url(planned_day) -> str:
    return f"/days/{planned_day}/what-if/"


@pytest.fixture
def form(client, parse, url):
    """What the page would send unchanged."""
    return parse(client.get(url)).fields()


def test_the_page_shows_the_plan_as_it_stands_and_asks_little(client, parse, url) -> None:
    page = parse(client.get(url))
    assert page.one("h1").text == "What if …?"
    assert len(page.all("svg")) == 2  # one strip, wide and narrow
    for name in ("start", "equipment.cones", "equipment.drum_birds", "equipment.draw_places"):
        assert page.one("input", name=name)
    assert "Take this into the plan" not in page.one("main").text


def test_a_third_cone_less_is_worked_out_and_nothing_is_saved(
    client, parse, url, form, planned_day
) -> None:
    before = models.Day.objects.get(pk=planned_day)
    answer = client.post(url, {**form, "equipment.cones": "1", "do": "try"})
    assert answer.status_code == 200
    page = parse(answer)
    text = page.one("main").text
    assert "The line is done" in text
    assert "later" in text
    assert "24 pairs of simulated days" in text
    assert "known to ±" in text
    assert "Kingman" in text
    assert "tried on 6 simulated days only" in text
    assert "One more cone" in text
    assert len(page.all("svg")) == 4  # two strips, one over the other
    after = models.Day.objects.get(pk=planned_day)
    assert (after.version, after.plan, after.request) == (
        before.version,
        before.plan,
        before.request,
    )


def test_the_changed_form_comes_back_as_it_was_sent(client, parse, url, form) -> None:
    sent = {**form, "equipment.cones": "2", "one_more.stations": ["draw", "rinse"],
            "one_more.name": "Jo", "people[1].to": "17:30"}  # fmt: skip
    page = parse(client.post(url, {**sent, "do": "try"}))
    back = page.fields()
    assert back["equipment.cones"] == "2"
    assert back["one_more.stations"] == ["draw", "rinse"]
    assert back["people[1].to"] == "17:30"


def test_both_strips_stand_on_the_same_hours(client, url, form) -> None:
    html = client.post(url, {**form, "start": "09:30", "do": "try"}).content.decode()
    boxes = html.split("<svg")[1:]
    ticks = [
        [part.split(">")[1].split("<")[0] for part in box.split('class="tick"')[1:]]
        for box in boxes
    ]
    assert ticks[0] == ticks[2]
    assert ticks[1] == ticks[3]


def test_taking_it_saves_the_plan_and_leads_to_the_day(client, url, form, planned_day) -> None:
    sent = {**form, "equipment.cones": "2", "one_more.stations": ["draw"], "one_more.name": "Jo"}
    answer = client.post(url, {**sent, "do": "take"})
    assert answer.status_code == 302
    assert answer.url == f"/days/{planned_day}/"
    view = days.day(planned_day)
    assert view.version == 2
    assert view.request.equipment.cones == 2
    assert [one.name for one in view.request.people] == ["Odile", "Bram", "Jo"]
    assert view.request.people[2].stations == frozenset({"draw"})


def test_somebody_taken_off_is_missed_at_their_stations(client, parse, url, form) -> None:
    sent = {name: value for name, value in form.items() if name != "people[1].there"}
    answer = client.post(url, {**sent, "do": "try"})
    assert answer.status_code == 422
    assert "Nobody can do" in parse(answer).one("section", role="alert").text


def test_a_change_that_leaves_birds_over_says_so(client, parse, url, form) -> None:
    sent = {**form, "people[0].to": "09:20", "people[1].to": "09:25"}
    answer = client.post(url, {**sent, "do": "try"})
    text = parse(answer).one("main").text
    assert answer.status_code == 200
    assert "Left over" in text
    assert "no difference" in text
    assert "not all" in text
    assert "Not worked out where birds are left over" in text


@pytest.mark.parametrize(
    ("name", "value", "says"),
    [
        ("equipment.cones", "many", "not a whole number"),
        ("equipment.cones", "0", "between"),
        ("people[0].to", "08:00", "later than the beginning"),
        ("one_more.pace", "fast", "not a number"),
    ],
)
def test_what_cannot_be_is_told_and_kept(client, parse, url, form, name, value, says) -> None:
    sent = {**form, "one_more.stations": ["draw"], name: value}
    answer = client.post(url, {**sent, "do": "try"})
    assert answer.status_code == 422
    page = parse(answer)
    assert says in page.one("section", role="alert").text
    assert page.fields()[name] == value


def test_unchanged_is_said_to_be_unchanged(client, parse, url, form) -> None:
    page = parse(client.post(url, {**form, "do": "try"}))
    assert "Nothing is changed yet" in page.one("main").text


def test_a_plan_changed_meanwhile_is_not_overwritten(client, parse, url, form, planned_day) -> None:
    days.save_plan(days.day(planned_day).mapping, day_id=planned_day)
    answer = client.post(url, {**form, "equipment.cones": "2", "do": "take"})
    assert answer.status_code == 422
    assert "changed this plan meanwhile" in parse(answer).one("section", role="alert").text
    assert days.day(planned_day).request.equipment.cones == 3


def test_a_day_that_has_begun_is_only_looked_at(client, parse, running_day) -> None:
    url = f"/days/{running_day}/what-if/"
    form = parse(client.get(url)).fields()
    answer = client.post(url, {**form, "equipment.cones": "2", "do": "take"})
    assert answer.status_code == 422
    assert "has begun" in parse(answer).one("section", role="alert").text


@pytest.mark.parametrize("page", ["what-if", "crew", "hindsight"])
def test_a_day_that_is_not_there_is_not_there(client, farm, page) -> None:
    assert client.get(f"/days/999/{page}/").status_code == 404


def test_odd_names_do_not_break_the_form(client, url, form) -> None:
    odd = {"people": "x", "equipment": "x", "one_more": "x", "people[7].to": "10:00",
           "people[x].to": "1", "one_more.stations": ["nowhere"]}  # fmt: skip
    for name, value in odd.items():
        answer = client.post(url, {**form, name: value, "do": "try"})
        assert answer.status_code in (200, 422), name


def test_crew_ways_are_shown_with_hours_and_the_gap(client, parse, planned_day) -> None:
    text = parse(client.get(f"/days/{planned_day}/crew/")).one("main").text
    for words in ("As the plan has it", "Everybody at fixed posts", "Moving about", "Switching",
                  "soonest", "birds an hour", "Part by part"):  # fmt: skip
        assert words in text
    assert "Proved best" in text or "could be up to" in text


def test_taking_a_way_sets_peoples_stations(client, parse, planned_day) -> None:
    url = f"/days/{planned_day}/crew/"
    page = parse(client.get(url))
    sent = {"option": "fixed", "version": page.all("input", name="version")[0].attrs["value"]}
    answer = client.post(url, sent)
    assert answer.status_code == 302
    people = days.day(planned_day).request.people
    assert {code for one in people for code in one.stations} >= {"catch", "draw", "store"}
    assert days.day(planned_day).version == 2


def test_a_way_that_is_not_there_cannot_be_taken(client, planned_day) -> None:
    answer = client.post(f"/days/{planned_day}/crew/", {"option": "flying"})
    assert answer.status_code == 422
    assert days.day(planned_day).version == 1


def test_a_way_for_a_plan_changed_meanwhile_is_not_taken(client, planned_day) -> None:
    answer = client.post(f"/days/{planned_day}/crew/", {"option": "fixed", "version": "7"})
    assert answer.status_code == 409


def test_the_planned_day_leads_to_what_if_crew_and_paper(client, parse, planned_day) -> None:
    links = {a.attrs["href"] for a in parse(client.get(f"/days/{planned_day}/")).all("a")}
    for place in ("what-if/", "crew/", "crew.pdf", "wall.pdf"):
        assert f"/days/{planned_day}/{place}" in links


def test_a_large_changed_day_is_ranked_when_asked(client, parse, farm, day_mapping) -> None:
    mapping = day_mapping(
        lots=[{"code": "K7", "species": "chicken", "count": "110", "mean": "4.5 lb"}]
    )
    for person in mapping["people"]:
        person |= {"from": "06:00", "to": "23:59", "pace": "2"}
    saved = days.save_plan({**mapping, "start": "06:00", "deadline": ""})
    url = f"/days/{saved}/what-if/"
    sent = {**parse(client.get(url)).fields(), "equipment.draw_places": "3"}
    first = parse(client.post(url, {**sent, "do": "try"})).one("main").text
    assert "worked out when you ask" in first
    assert "One more cone" not in first
    asked = parse(client.post(url, {**sent, "do": "rank"})).one("main").text
    assert "on the planned day alone" in asked
    assert "One more cone" in asked
