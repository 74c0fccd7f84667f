from __future__ import annotations

import datetime as dt
import tomllib

import pytest

from pinfeather.actions.day import days
from pinfeather.actions.flock import books as flocks
from pinfeather.actions.season import documents as season_documents
from pinfeather.actions.season import draft as season_draft
from pinfeather.actions.season import files as season_files
from pinfeather.actions.season import season
from pinfeather.actions.season import store as season_store
from pinfeather.actions.season import work as season_work
from pinfeather.actions.season.store import CONVERTER, DONE, FAILED, WAITING, WORKING
from pinfeather.errors import (
    InputError,
    InputFaultsError,
    RecordConflictError,
    RecordNotFoundError,
)
from pinfeather.records import models
from pinfeather.season.plan import SeasonPlan
from pinfeather.season.request import request_from

TODAY = dt.date(2026, 6, 17)
NOW = dt.datetime(2026, 6, 17, 15, 40, tzinfo=dt.UTC)


@pytest.fixture
def at_once(monkeypatch, season_made):
    """Work seasons out at once, with the plan made by hand; collects what was asked."""
    asked = []

    def solve(found, before):
        asked.append((found, before))
        return season_made["plan"]()

    monkeypatch.setattr(season_work, "run", lambda job: job())
    monkeypatch.setattr(season_work, "solve", solve)
    return asked


@pytest.fixture
def planned(farm, frozen, at_once, season_made):
    season_id, number = season.save_and_ask(
        season_made["mapping"](), season_id=None, today=TODAY, now=NOW
    )
    season.begin(season_id, number)
    return season_id


def test_a_season_is_kept_as_written_and_its_plan_as_worked_out(planned, season_made) -> None:
    view = season.version(planned, 1)
    assert view.status == DONE
    assert view.plan == season_made["plan"]()
    assert view.mapping["orders"] == season_made["mapping"]()["orders"]
    assert view.mapping["today"] == "2026-06-17"
    assert view.mapping["profile"] == "us-federal"


def test_a_plan_comes_back_from_the_store_as_it_was(season_made) -> None:
    for made in (season_made["plan"](over=True), season_made["impossible"]()):
        assert CONVERTER.loads(CONVERTER.dumps(made), SeasonPlan) == made


def test_a_fault_is_told_and_what_was_written_is_kept(farm, frozen, season_made) -> None:
    wrong = season_made["mapping"](days={"weekdays": ["sat"], "crew": "24"})
    with pytest.raises(InputFaultsError) as caught:
        season.save_and_ask(wrong, season_id=None, today=TODAY, now=NOW)
    assert [fault.name for fault in caught.value.faults] == ["days.crew"]
    kept = season.current()
    assert kept.mapping["days"]["crew"] == "24"
    assert kept.versions == ()


def test_one_at_a_time(farm, frozen, season_made, monkeypatch) -> None:
    season_id, number = season.save_and_ask(
        season_made["mapping"](), season_id=None, today=TODAY, now=NOW
    )
    season.begin(season_id, number)
    assert season.is_alive(season_id, number)
    with pytest.raises(RecordConflictError):
        season.save_and_ask(
            season_made["mapping"](name="Another"), season_id=season_id, today=TODAY, now=NOW
        )
    assert season.current().name == "Another"  # kept all the same


def test_one_is_begun_once(farm, frozen, season_made, monkeypatch) -> None:
    jobs = []
    monkeypatch.setattr(season_work, "run", jobs.append)
    season_id, number = season.save_and_ask(
        season_made["mapping"](), season_id=None, today=TODAY, now=NOW
    )
    season.begin(season_id, number)
    season.begin(season_id, number)
    assert len(jobs) == 1


def test_one_that_was_cut_off_is_dead_and_can_be_started_again(
    farm, frozen, at_once, season_made, monkeypatch
) -> None:
    season_id, number = season.save_and_ask(
        season_made["mapping"](), season_id=None, today=TODAY, now=NOW
    )
    rows = models.SeasonVersion.objects.filter(season_id=season_id)
    rows.update(status=WORKING, worker="an earlier run")
    assert not season.is_alive(season_id, number)

    fresh = season.start_again(season_id, number, today=TODAY, now=NOW)

    assert season.version(season_id, fresh).status == WAITING
    season.begin(season_id, fresh)
    assert season.version(season_id, fresh).status == DONE


def test_a_fault_of_the_program_becomes_a_sentence(
    farm, frozen, season_made, monkeypatch, caplog
) -> None:
    def broken(found, before):
        raise ZeroDivisionError

    monkeypatch.setattr(season_work, "run", lambda job: job())
    monkeypatch.setattr(season_work, "solve", broken)
    season_id, number = season.save_and_ask(
        season_made["mapping"](), season_id=None, today=TODAY, now=NOW
    )
    season.begin(season_id, number)
    view = season.version(season_id, number)
    assert view.status == FAILED
    assert "What was written is kept." in view.trouble
    assert not season.is_alive(season_id, number)
    assert "ZeroDivisionError" in caplog.text
    with pytest.raises(RecordNotFoundError):
        _ = view.plan


def test_a_replan_adds_a_version_and_is_held_to_the_one_before(planned, at_once) -> None:
    number = season.replan(planned, today=TODAY + dt.timedelta(days=30), now=NOW)
    season.begin(planned, number)

    assert number == 2
    found, before = at_once[-1]
    assert found.replans == 1
    assert found.asked_on == dt.date(2026, 7, 17)
    assert before == season.version(planned, 1).plan
    assert [one.number for one in season.season(planned).versions] == [2, 1]


def test_a_replan_takes_the_birds_that_are_there(planned) -> None:
    models.Lot.objects.create(
        code="b-9", species="chicken", hatched=TODAY - dt.timedelta(days=20), head=44
    )
    number = season.replan(planned, today=TODAY, now=NOW)
    lots = {one["code"]: one for one in season.version(planned, number).mapping["lots"]}
    assert (lots["B9"]["kind"], lots["B9"]["heads"]) == ("B", "44")


def test_a_lot_keeps_the_kind_it_was_written_under(planned, season_made) -> None:
    models.Lot.objects.create(
        code="B9", species="chicken", hatched=TODAY - dt.timedelta(days=20), head=44
    )
    written = season_made["mapping"]()
    other = {**written["kinds"][0], "code": "S", "curve": "slow"}
    written |= {"kinds": [other, *written["kinds"]], "lots": [{"code": "B9", "kind": "S"}]}
    found = season_draft.again(written, TODAY)
    assert {one["code"]: one["kind"] for one in found["lots"]}["B9"] == "S"
    fresh = season_draft.again({**written, "lots": []}, TODAY)
    assert {one["code"]: one["kind"] for one in fresh["lots"]}["B9"] == "B"


def test_there_is_no_replan_without_a_plan(farm, frozen, season_made) -> None:
    season_id = season.save_draft(season_made["mapping"](), season_id=None, today=TODAY, now=NOW)
    with pytest.raises(RecordConflictError):
        season.replan(season_id, today=TODAY, now=NOW)


def test_the_next_task_is_the_next_date_and_a_late_order_stays(planned) -> None:
    assert season.next_task(TODAY).row.key == "order B5"
    late = season.next_task(TODAY + dt.timedelta(days=4))
    assert (late.row.key, late.days) == ("order B5", -4)
    season.take_lot(planned, 1, "B5", who="Odile", now=NOW)
    assert season.next_task(TODAY).row.key == "process 2026-07-04"


def test_nothing_is_due_without_a_season(farm, frozen) -> None:
    assert season.next_task(TODAY) is None


def test_a_planned_lot_goes_into_the_flock_records_once_as_ordered(planned) -> None:
    name = season.take_lot(planned, 1, "B5", who="Odile", now=NOW)

    book = flocks.book(name)
    assert (book.row.species, book.row.hatched) == ("chicken", dt.date(2026, 7, 15))
    (ordered,) = book.kept("ordered")
    assert ordered.kept["ordered"] == 75
    assert ordered.who == "Odile"
    found = season.season(planned)
    assert found.taken["lots"] == {"B 2026-07-15": name}
    with pytest.raises(RecordConflictError):
        season.take_lot(planned, 1, "B5", who="Odile", now=NOW)


def test_a_lot_whose_code_is_taken_gets_the_next_one(planned) -> None:
    models.Lot.objects.create(code="B5", species="chicken")
    assert season.take_lot(planned, 1, "B5", who="", now=NOW) == "B6"


@pytest.mark.parametrize("code", ["B4", "nowhere"])
def test_a_lot_that_is_there_already_cannot_be_ordered(planned, code) -> None:
    with pytest.raises(RecordNotFoundError):
        season.take_lot(planned, 1, code, who="", now=NOW)


def test_a_day_of_the_plan_fills_in_the_form_of_a_processing_day(planned) -> None:
    found = season.day_draft(planned, 1, dt.date(2026, 9, 5))
    assert found["date"] == "2026-09-05"
    assert found["lots"] == [
        {
            "code": "B5", "species": "chicken", "build": "broad", "count": "40",
            "mean": "4.6 lb", "spread": "0.5 lb",
        }
    ]  # fmt: skip
    with pytest.raises(RecordNotFoundError):
        season.day_draft(planned, 1, dt.date(2026, 9, 6))


def test_a_first_season_is_filled_in_from_the_records_and_can_be_planned(demo_farm) -> None:
    found = season_draft.draft(TODAY)
    request = request_from(season_work.as_planned(found.mapping | {"orders": []}, today=TODAY))

    there = {book.row.code for book in flocks.books() if season_draft.heads_of(book)}
    assert there
    assert {lot.code for lot in request.standing} == there
    assert request.cap.counted == sum(days.counted_before(TODAY).values())
    assert request.cold.freezer_kg < 1e4
    assert {one.basis.origin for one in found.numbers} >= {"own", "handbook"}
    assert all(one.basis.note for one in found.numbers)


def test_an_empty_farm_still_gets_a_season_to_start_from(store) -> None:
    found = season_draft.draft(TODAY)
    request_from(season_work.as_planned(found.mapping | {"orders": []}, today=TODAY))
    assert [kind["code"] for kind in found.mapping["kinds"]] == ["B"]


@pytest.mark.parametrize(
    ("code", "taken", "short"),
    [
        ("B3", set(), "B3"),
        ("b-3", set(), "B3"),
        ("Spring two", set(), "SPRIN"),
        ("B3", {"B3"}, "B32"),
        ("–", set(), "L"),
    ],
)
def test_a_lot_is_called_by_up_to_five_capitals_and_digits(code, taken, short) -> None:
    assert season_draft.short_code(code, taken) == short


def test_a_season_as_a_file_reads_back_as_it_was(season_made) -> None:
    mapping = season_made["mapping"](name='Say "hens"\\ & \x7f')
    text = season_files.toml_text(mapping)
    assert tomllib.loads(text) == mapping
    assert season_files.mapping_from_toml(text.encode()) == mapping


def test_a_file_that_is_no_season_is_refused_with_a_sentence() -> None:
    for raw in (b"name = ", b"\xff\xfe", b"a = 1\n" * 60_000):
        with pytest.raises(InputError):
            season_files.mapping_from_toml(raw)


def test_what_is_to_be_bought_opens_in_a_spreadsheet(planned) -> None:
    text = season_documents.purchases_csv(planned, 1).decode("utf-8-sig").splitlines()
    assert text[1] == "2026-06,chicks,Broiler chicks,75,,,187.5"
    assert text[2] == "2026-06,feed,Feed for broilers,,551.2,lb,192.9"


def test_the_dates_go_into_a_calendar(planned) -> None:
    made = season_documents.calendar_file(planned, 1, stamp=NOW)
    assert made.count(b"BEGIN:VEVENT") == 4
    assert made == season_documents.calendar_file(planned, 1, stamp=NOW)


def test_the_real_solver_answers_a_small_season(farm, frozen, season_made, monkeypatch) -> None:
    monkeypatch.setattr(season_work, "run", lambda job: job())
    season_id, number = season.save_and_ask(
        season_made["mapping"](), season_id=None, today=TODAY, now=NOW
    )
    season.begin(season_id, number)
    view = season.version(season_id, number)
    assert view.status == DONE, view.trouble
    assert view.plan.found
    assert all(order.met for order in view.plan.orders)


def test_a_season_that_is_not_there_is_said_to_be_missing(farm) -> None:
    assert season.current() is None
    for call in (lambda: season.season(7), lambda: season_store.version(7, 1)):
        with pytest.raises(RecordNotFoundError):
            call()
