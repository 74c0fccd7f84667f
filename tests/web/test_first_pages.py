"""The first hour: four questions, three answers, and what is assumed stands there."""

from __future__ import annotations

import datetime as dt
import io

import pypdf
import pytest

from pinfeather.actions import owner
from pinfeather.actions.day import days
from pinfeather.actions.farm import farm as the_farm
from pinfeather.actions.farm import people
from pinfeather.actions.first import first_day, places, pretend
from pinfeather.errors import InputFaultsError

SAID = {"name": "Alder Ford", "state": "vt", "zone": "", "units": "us"}
DAY = {"count": "40", "species": "chicken", "names": "Pia, Jon", "date": "2026-06-20"}


def text_of(answer) -> str:
    return answer.content.decode()


@pytest.fixture
def begun(store, frozen, client):
    client.post("/start/", SAID)
    return client


def test_the_first_page_of_an_empty_farm_leads_to_the_four_questions(store, frozen, client) -> None:
    text = text_of(client.get("/"))
    assert 'href="/start/"' in text
    assert "Try it with pretend birds first" in text
    assert text_of(client.get("/start/")).count("<select") == 3


def test_a_state_brings_its_rules_its_smallest_exemption_and_its_clock(begun) -> None:
    home = the_farm()
    assert (home.name, home.profile, home.tier) == ("Alder Ford", "us-vt", "producer_1000")
    assert home.zone == "America/New_York"
    assert "Vermont" in text_of(begun.get("/start/day/"))


@pytest.mark.parametrize("state", [*places.STATES, places.ELSEWHERE])
def test_every_state_has_rules_a_tier_and_a_clock(store, state) -> None:
    profile, tier = places.rules_of(state)
    assert tier in dict(places.tier_choices(profile))
    assert places.zone_of(state) in places.ZONES


def test_the_questions_are_asked_once(begun) -> None:
    assert begun.get("/start/").headers["Location"] == "/farm/"
    begun.post("/start/", {**SAID, "name": "Another"})
    assert the_farm().name == "Alder Ford"


def test_what_was_typed_stays_when_something_is_missing(store, frozen, client) -> None:
    answer = client.post("/start/", {**SAID, "state": ""})
    assert answer.status_code == 422
    assert 'value="Alder Ford"' in text_of(answer)
    assert not the_farm().ready


def test_birds_and_names_are_enough_for_a_plan(begun) -> None:
    answer = begun.post("/start/day/", DAY, follow=True)
    assert "40 birds" in text_of(answer)
    (line,) = days.open_days()
    assert line.date == dt.date(2026, 6, 20)
    assert {one.name for one in people()} == {"Pia", "Jon"}
    covered = {code for one in people() for code in one.stations}
    assert covered == set(first_day.PEOPLE_STATIONS)


@pytest.mark.parametrize("species", ["chicken", "turkey", "duck", "goose"])
def test_every_kind_of_bird_can_be_planned_first(begun, species) -> None:
    answer = begun.post("/start/day/", {**DAY, "species": species, "names": "Pia"}, follow=True)
    assert answer.status_code == 200
    assert "40 birds" in text_of(answer)


def test_every_fault_is_told_at_once_and_nothing_is_kept(begun) -> None:
    with pytest.raises(InputFaultsError) as caught:
        first_day.plan_first_day(
            {"date": "soon", "species": "emu", "count": "0", "names": " , "}, metric=False
        )
    assert {one.name for one in caught.value.faults} == {"date", "species", "count", "names"}
    answer = begun.post("/start/day/", {**DAY, "count": "many"})
    assert answer.status_code == 422
    assert 'value="Pia, Jon"' in text_of(answer)
    assert people() == ()


def test_what_the_plan_takes_for_granted_stands_there_with_its_basis(begun) -> None:
    text = text_of(begun.get("/start/day/"))
    assert "common practice, unverified" in text
    assert "200 lb" in text  # ice
    assert "60 gal" in text  # tank


def test_a_farm_that_weighs_in_kilograms_is_offered_kilograms(store, frozen, client) -> None:
    client.post("/start/", {**SAID, "units": "metric"})
    assert "2.0 kg" in text_of(client.get("/start/day/"))
    assert client.post("/start/day/", DAY).status_code == 302


def test_names_are_told_apart_however_they_are_joined() -> None:
    assert first_day.names_in("Pia, Jon and Lev; Ada & Pia\n") == ["Pia", "Jon", "Lev", "Ada"]
    assert first_day.names_in("Sandy, Andrea") == ["Sandy", "Andrea"]


def test_the_computers_own_clock_is_offered_unless_it_says_nothing(tmp_path) -> None:
    zones = tmp_path / "zoneinfo"
    link = tmp_path / "localtime"
    for said, offered in (
        ("America/Denver", "America/Denver"),
        ("America/Boise", "America/Boise"),
        ("Etc/UTC", ""),
        ("No/Where", ""),
    ):
        (zones / said).parent.mkdir(parents=True, exist_ok=True)
        (zones / said).touch()
        link.unlink(missing_ok=True)
        link.symlink_to(zones / said)
        assert places.host_zone(file=link) == offered
    assert places.host_zone(file=tmp_path / "nothing") == ""


def test_the_owners_pin_stands_before_the_four_questions(store, frozen, client) -> None:
    owner.set_pin("4711", now=frozen)
    assert client.post("/start/", SAID).status_code == 403
    assert not the_farm().ready


# ---------------------------------------------------------------------------------- pretend birds


def test_nothing_in_the_pretend_process_leads_to_the_farms_records() -> None:
    told = pretend.surroundings(
        "http://127.0.0.1:8470/",
        {
            "PINFEATHER_DATA": "a",
            "PINFEATHER_DATABASE": "b",
            "PATH": "c",
            "PINFEATHER_LAN_URL": "d",
        },
    )
    assert told == {"PATH": "c", pretend.MARK: "1", pretend.BACK: "http://127.0.0.1:8470/"}


@pytest.mark.parametrize("said", ["javascript:alert(1)", "http" + "://elsewhere/", "//x", ""])
def test_the_way_back_leads_to_this_computer_and_nowhere_else(monkeypatch, said) -> None:
    monkeypatch.setenv(pretend.BACK, said)
    assert pretend.back_address() == ""


def test_pretend_birds_are_started_at_the_farm_computer_alone(farm, let_in, monkeypatch) -> None:
    started: list[str] = []
    monkeypatch.setattr(pretend, "start", started.append)
    phone = let_in()
    assert phone.post("/pretend/").status_code == 200
    assert "farm computer alone" in text_of(phone.get("/pretend/"))
    assert started == []


def test_one_tap_starts_the_pretend_farm_and_its_page_leads_there(
    store, frozen, client, monkeypatch
) -> None:
    started: list[str] = []
    monkeypatch.setattr(pretend, "start", started.append)
    assert client.post("/pretend/", {"do": "start"}).status_code == 302
    assert started == ["http://testserver/"]
    monkeypatch.setattr(pretend, "running", lambda: True)
    assert client.get("/pretend/").headers["Refresh"] == "1"
    monkeypatch.setattr(pretend, "address", lambda: "http://127.0.0.1:9/")
    assert client.get("/pretend/").headers["Refresh"] == "0; url=http://127.0.0.1:9/"


def test_every_page_of_the_demo_says_that_nothing_counts(demo_farm, client) -> None:
    for path in ("/", "/days/", "/import/", f"/days/{demo_farm['running']}/at/kill/"):
        text = text_of(client.get(path))
        assert "Pretend birds" in text
        assert "nothing here counts" in text


def test_a_label_of_pretend_birds_says_so(demo_farm, client) -> None:
    answer = client.get(f"/days/{demo_farm['closed']}/labels.pdf", {"size": "4x3"})
    pages = pypdf.PdfReader(io.BytesIO(answer.content)).pages
    assert pages
    assert all("pretend birds" in page.extract_text() for page in pages)
