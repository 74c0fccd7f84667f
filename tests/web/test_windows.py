"""Part-days: typed or imported hours, the answer, and the planned days made of it."""

from __future__ import annotations

import io
from functools import partial

import pytest

from pinfeather.actions.day import days

CALENDAR = b"""BEGIN:VCALENDAR\r
VERSION:2.0\r
PRODID:-//made up//EN\r
BEGIN:VEVENT\r
UID:1@example.org\r
DTSTAMP:20260601T000000Z\r
DTSTART;TZID=America/Chicago:20260618T070000\r
DTEND;TZID=America/Chicago:20260618T120000\r
SUMMARY:Milking\r
RRULE:FREQ=DAILY;COUNT=30\r
END:VEVENT\r
END:VCALENDAR\r
"""


@pytest.fixture(autouse=True)
def quick(monkeypatch):
    """Plan with few simulated days."""
    monkeypatch.setattr(days, "save_plan", partial(days.save_plan, days=2, change_days=0))


@pytest.fixture
def form(planned_day, frozen, client, parse):
    fields = parse(client.get("/days/windows/")).fields()
    fields.pop("calendar", None)
    return {
        **fields,
        "birds": "26",
        "mean": "4.5 lb",
        "by": "2026-06-30",
        "windows": "2026-06-20 08:00-15:00\n2026-06-27 08:00-16:00",
    }


def test_the_form_begins_with_the_youngest_lot(client, parse, planned_day, frozen) -> None:
    fields = parse(client.get("/days/windows/")).fields()
    assert fields["code"] == "K7"
    assert fields["birds"] == "30"
    assert fields["by"] > "2026-06-17"


def test_birds_are_shared_out_and_nothing_is_saved(client, parse, form) -> None:
    answer = client.post("/days/windows/", {**form, "do": "answer"})
    assert answer.status_code == 200
    text = parse(answer).one("main").text
    assert "Fewest days" in text
    assert "played through" in text
    assert "Few long days or many short ones" in text
    assert "no published number" in text
    assert len(days.days()) == 1


def test_the_planned_days_are_made(client, form) -> None:
    answer = client.post("/days/windows/", {**form, "do": "make 2"})
    assert answer.status_code == 302
    made = [days.day(line.id) for line in days.days() if line.date.isoformat() != "2026-06-17"]
    assert {view.date.isoformat() for view in made} == {"2026-06-20", "2026-06-27"}
    assert sum(view.plan.birds for view in made) == 26
    for view in made:
        assert view.request.start.isoformat() == "09:00:00"  # an hour to set up
        assert {one.begins.isoformat() for one in view.request.people} == {"08:00:00"}
        assert view.request.deadline is not None
        assert view.plan.unfinished == 0


def test_birds_that_do_not_fit_are_told_and_no_day_is_made(client, parse, form) -> None:
    text = (
        parse(client.post("/days/windows/", {**form, "birds": "900", "do": "answer"}))
        .one("main")
        .text
    )
    assert "Does not fit" in text
    answer = client.post("/days/windows/", {**form, "birds": "900", "do": "make"})
    assert answer.status_code == 422
    assert len(days.days()) == 1


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("birds", "lots"),
        ("mean", "4.5"),
        ("by", ""),
        ("windows", "Saturday"),
        ("windows", ""),
        ("windows", "2026-06-16 08:00-12:00"),
        ("longest", "a while"),
        ("species", "swan"),
        ("code", "far too long"),
    ],
)
def test_faults_stand_beside_their_fields(client, parse, form, name, value) -> None:
    answer = client.post("/days/windows/", {**form, name: value, "do": "answer"})
    assert answer.status_code == 422
    page = parse(answer)
    assert page.fault(name)
    assert page.fields()["birds"] == ("lots" if name == "birds" else "26")


def upload(content: bytes) -> io.BytesIO:
    file = io.BytesIO(content)
    file.name = "home.ics"
    return file


def test_a_calendar_fills_in_the_free_hours(client, parse, form) -> None:
    sent = {**form, "by": "2026-06-20", "windows": "", "calendar": upload(CALENDAR), "do": "import"}
    answer = client.post("/days/windows/", sent)
    assert answer.status_code == 200
    assert parse(answer).fields()["windows"].splitlines() == [
        "2026-06-18 12:00-19:00",
        "2026-06-19 12:00-19:00",
        "2026-06-20 12:00-19:00",
    ]


@pytest.mark.parametrize(
    ("content", "says"),
    [
        (b"not a calendar", "not a calendar"),
        (b"", "not a calendar"),
        (CALENDAR + b" " * 1_100_000, "1 MB"),
        (CALENDAR.replace(b"DAILY;COUNT=30", b"NEVER"), "cannot be read"),
    ],
)
def test_a_file_that_is_no_calendar_is_refused_in_a_sentence(
    client, parse, form, content, says
) -> None:
    sent = {**form, "windows": "", "calendar": upload(content), "do": "import"}
    answer = client.post("/days/windows/", sent)
    assert answer.status_code == 422
    assert says in parse(answer).one("section", role="alert").text


def test_without_a_file_it_asks_for_one(client, parse, form) -> None:
    answer = client.post("/days/windows/", {**form, "do": "import"})
    assert answer.status_code == 422
    assert "Choose a calendar file" in parse(answer).one("section", role="alert").text


def test_the_list_of_days_leads_here(client, parse, planned_day) -> None:
    links = {a.attrs["href"] for a in parse(client.get("/days/")).all("a")}
    assert "/days/windows/" in links
