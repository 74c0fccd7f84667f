"""The plan and the record on paper: what they say, how long they are, always the same bytes."""

from __future__ import annotations

import datetime as dt
import io

import pytest
from icalendar import Calendar
from pypdf import PdfReader

from pinfeather.actions.day import closing, days, running
from pinfeather.actions.day.plan_document import plan_pdf, todo_ics
from pinfeather.actions.day.record_document import record_pdf
from pinfeather.errors import RecordNotFoundError
from pinfeather.records import models


def text_of(content: bytes) -> str:
    reader = PdfReader(io.BytesIO(content))
    return " ".join(" ".join(page.extract_text().split()) for page in reader.pages)


def pages_of(content: bytes) -> int:
    return len(PdfReader(io.BytesIO(content)).pages)


def test_the_plan_says_who_does_what_and_when(planned_day, now) -> None:
    content = plan_pdf(planned_day, printed_at=now)

    text = text_of(content)
    plan = days.day(planned_day).plan
    for words in (
        "Sorrel Bank Farm", "Wednesday 17 June 2026", "6 birds", "Odile", "Bram", "K7",
        "First bird at 09:00", "All packed by", "eight days in ten", "propane", "North tank",
    ):  # fmt: skip
        assert words in text, words
    assert f"{round(plan.ice_kg / 0.45359237)}" in text
    for finding in plan.findings:
        if finding.severity >= 2:
            assert finding.sentence.split(".")[0][:40] in text
    assert "pretend birds" not in text
    assert 2 <= pages_of(content) <= 4


def test_the_plan_warns_of_what_can_hurt_somebody(planned_day, now) -> None:
    text = text_of(plan_pdf(planned_day, printed_at=now)).lower()

    for word in ("scald", "propane", "bleach", "knives"):
        assert word in text, word


def test_the_same_plan_gives_the_same_bytes(planned_day, now) -> None:
    assert plan_pdf(planned_day, printed_at=now) == plan_pdf(planned_day, printed_at=now)


def test_the_plan_is_printed_in_the_farms_units(planned_day, now) -> None:
    models.Farm.objects.update(units="metric")

    assert "kg" in text_of(plan_pdf(planned_day, printed_at=now))


def test_text_that_looks_like_markup_is_printed_as_it_is(planned_day, day_mapping, now) -> None:
    name = '#panic("x") *b* $y$ <z> @r'
    models.Farm.objects.update(name=name)
    people = day_mapping()["people"]
    people[0]["name"] = "_Od_ #1 [x]"
    days.save_plan(day_mapping(people=people), day_id=planned_day, days=2, change_days=0)

    text = text_of(plan_pdf(planned_day, printed_at=now)).replace("“", '"').replace("”", '"')

    assert name in text
    assert "_Od_ #1 [x]" in text
    assert name in text_of(record_pdf(planned_day, now=now)).replace("“", '"').replace("”", '"')


def test_the_to_do_list_goes_into_a_calendar(planned_day, now) -> None:
    content = todo_ics(planned_day, stamp=now)

    calendar = Calendar.from_ical(content)
    events = list(calendar.walk("VEVENT"))
    plan = days.day(planned_day).plan
    assert len(events) == len(plan.todo)
    assert [str(e["SUMMARY"]) for e in events] == [todo.words for todo in plan.todo]
    first = min(todo.at_s for todo in plan.todo)
    starts = [e["DTSTART"].dt for e in events]
    assert min(starts) == days.day(planned_day).moment(first).replace(microsecond=0)
    assert len({str(e["UID"]) for e in events}) == len(events)
    assert todo_ics(planned_day, stamp=now) == content


def test_a_running_day_is_printed_as_it_stands(running_day, now) -> None:
    text = text_of(record_pdf(running_day, now=now))

    assert "the program as it stands" in text
    assert "unaccounted for between the cones and picking" in text


def test_there_is_no_such_day(farm, now) -> None:
    with pytest.raises(RecordNotFoundError):
        plan_pdf(404, printed_at=now)
    with pytest.raises(RecordNotFoundError):
        record_pdf(404, now=now)
    with pytest.raises(RecordNotFoundError):
        todo_ics(404, stamp=now)


def closed_days() -> list[int]:
    return [line.id for line in days.days() if line.status == "closed"]


def test_the_record_of_a_closed_day_says_how_it_went(demo_farm, now) -> None:
    day_id = demo_farm["closed"]
    day = days.day(day_id)

    content = record_pdf(day_id, now=now)

    text = text_of(content)
    for words in (
        "Juniper Hollow Farm", "Ines", "Blue tank", "Red probe", "40", "Proved cold in time",
        "melting ice", "Whole", "closed the day", "Judged by pinfeather",
    ):  # fmt: skip
        assert words in text, words
    assert day.seal in text.replace(" ", "")
    assert "pretend birds" in text
    assert 2 <= pages_of(content) <= 4


def test_a_closed_days_record_is_the_same_bytes_whenever_it_is_printed(demo_farm, now) -> None:
    for day_id in closed_days():
        first = record_pdf(day_id, now=now)

        assert record_pdf(day_id, now=now + dt.timedelta(days=300)) == first
        assert 2 <= pages_of(first) <= 4


def test_what_comes_after_the_seal_changes_nothing_but_the_notes(demo_farm, sent, now) -> None:
    day_id = demo_farm["closed"]
    before = text_of(record_pdf(day_id, now=now))
    late = [
        sent("tally", {"station": "pick", "birds": 3}, client_id="late1", at=now),
        sent(
            "reading",
            {"what": "bird", "place": "Blue tank", "written": "77.7 F", "instrument": "Red probe"},
            client_id="late2",
            at=days.day(day_id).sealed_at - dt.timedelta(minutes=30),
        ),
    ]
    running.receive(day_id, late, device="phone", sent_at=now, now=now)
    running.write(
        "correction", {"of": "day", "reason": "one hen was a duck"}, day_id=day_id, who="Ines"
    )

    after = text_of(record_pdf(day_id, now=now))

    assert "one hen was a duck" in after
    assert "77.7" not in after
    assert "2 other entries arrived after closing" in after
    for words in ("Proved cold in time", "Packed"):
        start = before.index(words)
        assert before[start : start + 60] in after


def test_a_later_ice_check_does_not_rewrite_the_corrected_readings(demo_farm, sent, now) -> None:
    day_id = demo_farm["closed"]
    before = record_pdf(day_id, now=now)
    day = days.day(day_id)
    check = sent(
        "ice point",
        {"instrument": "Red probe", "written": "36 F"},
        client_id="i1",
        at=day.start - dt.timedelta(minutes=1),
    )
    running.receive(demo_farm["running"], [check], device="p", sent_at=now, now=now)

    assert record_pdf(day_id, now=now) == before


def test_every_closed_day_of_the_demo_is_judged_again_to_the_same_verdicts(demo_farm) -> None:
    for day_id in closed_days():
        day = days.day(day_id)
        again = closing.judge(day_id, now=day.sealed_at)
        kept = closing.record_chill(day.record)

        assert [v.proof for v in again.chill] == [v.proof for v in kept]
        assert [f.finding for f in again.findings] == [
            f.finding for f in closing.record_findings(day.record)
        ]
