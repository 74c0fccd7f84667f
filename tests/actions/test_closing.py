"""Closing a day: every finding answered, counts put right, the judgement sealed as it was."""

from __future__ import annotations

import datetime as dt

import pytest
from django.db import IntegrityError, connection

from pinfeather.actions import farm as farms
from pinfeather.actions.day import closing, days, running
from pinfeather.errors import InputError, InputFaultsError, RecordConflictError
from pinfeather.finding import Severity
from pinfeather.records import journal, models
from pinfeather.records.writing import writing

EVERY = {"catch": 6, "kill": 6, "pick": 6, "draw": 6, "chill": 6}


@pytest.fixture
def evening(now) -> dt.datetime:
    return now + dt.timedelta(hours=6)


@pytest.fixture
def whole_day(planned_day, count_birds, sent, now, evening) -> int:
    """A day without a fault: checked thermometer, every bird counted, proved cold, packed."""
    start = days.day(planned_day).start
    count_birds(planned_day, EVERY, first=start)
    entries = [
        sent("done", {"task": "sanitiser"}, client_id="s1", at=start - dt.timedelta(minutes=40)),
        sent(
            "reading",
            {"what": "strip", "written": "100 ppm"},
            client_id="s2",
            at=start - dt.timedelta(minutes=38),
        ),
        sent(
            "ice point",
            {"instrument": "Blue probe", "written": "32 F"},
            client_id="i1",
            at=start - dt.timedelta(minutes=30),
        ),
        sent(
            "reading",
            {
                "what": "bird",
                "place": "North tank",
                "written": "36.2 F",
                "instrument": "Blue probe",
            },
            client_id="p1",
            at=start + dt.timedelta(hours=3),
        ),
        *(
            sent(
                "package",
                {
                    "number": n,
                    "lot": "K7",
                    "tank": "North tank",
                    "product": "Whole chicken",
                    "gross": "4.55 lb",
                    "tare": "0.03 lb",
                    "net_lb": "4.52",
                    "total": "24.86",
                    "price_per_lb": "5.50",
                },
                client_id=f"pk{n}",
                at=start + dt.timedelta(hours=3, minutes=5 + n),
            )
            for n in range(1, 7)
        ),
    ]
    running.receive(planned_day, entries, device="phone", sent_at=now, now=now)
    return planned_day


def answer_all(day_id: int, now: dt.datetime) -> None:
    for one in closing.judge(day_id, now=now).unanswered:
        if one.finding.code != "count.gap":
            closing.answer(
                day_id,
                finding=one.finding.code,
                where=one.finding.where,
                text="seen to",
                who="Odile",
            )


def codes(found) -> set[str]:
    return {one.finding.code for one in found}


def test_a_day_without_fault_is_proved_and_can_be_closed(whole_day, evening) -> None:
    judgement = closing.judge(whole_day, now=evening)

    (verdict,) = judgement.chill
    assert verdict.proof == "proved"
    assert verdict.batch.birds == 6
    assert not any(one.finding.severity is Severity.STOP for one in judgement.findings)
    assert "count.gap" not in codes(judgement.findings)


def test_an_unanswered_finding_refuses_the_closing(running_day, evening) -> None:
    with pytest.raises(InputFaultsError) as told:
        closing.close(running_day, who="Odile", now=evening)

    sentences = [f.problem for f in told.value.faults]
    assert any("unaccounted for" in s for s in sentences)
    assert days.day(running_day).status == "running"
    assert days.day(running_day).record is None


def test_somebody_signs(whole_day, evening) -> None:
    answer_all(whole_day, evening)
    with pytest.raises(InputFaultsError) as told:
        closing.close(whole_day, who="", now=evening)

    assert [f.name for f in told.value.faults] == ["who"]


def test_a_day_on_which_nothing_was_counted_is_not_closed(planned_day, evening) -> None:
    with pytest.raises(InputFaultsError, match="Nothing has been counted"):
        closing.close(planned_day, who="Odile", now=evening)


def test_a_count_gap_cannot_be_talked_away(running_day, evening) -> None:
    gap = next(
        one
        for one in closing.judge(running_day, now=evening).unanswered
        if one.finding.code == "count.gap"
    )
    closing.answer(
        running_day, finding="count.gap", where=gap.finding.where, text="it is fine", who="Odile"
    )

    still = closing.judge(running_day, now=evening).unanswered

    assert gap.finding.where in {one.finding.where for one in still}
    with pytest.raises(InputFaultsError):
        closing.close(running_day, who="Odile", now=evening)


def test_a_gap_is_closed_by_saying_why_the_birds_left(running_day, evening) -> None:
    before = codes_where(running_day, evening)
    running.write(
        "explained",
        {"after": "kill", "cause": "condemned", "birds": 2, "note": "bruised"},
        day_id=running_day,
        who="Odile",
    )

    assert before - codes_where(running_day, evening) == {"kill-pick"}


def codes_where(day_id: int, now: dt.datetime) -> set[str]:
    found = closing.judge(day_id, now=now).unanswered
    return {one.finding.where for one in found if one.finding.code == "count.gap"}


def test_missed_taps_are_added_with_the_neighbours_times_and_say_so(running_day, evening) -> None:
    closing.add_missed(running_day, after="kill", before="pick", who="Bram", now=evening)

    done = running.day_progress(running_day)
    assert done.count("pick") == 6
    added = [t.at for t in done.tallies if t.station == "pick" and t.who == "Bram"]
    assert tuple(added) == done.times("kill")[-2:]
    notes = [e.payload["text"] for e in running.events(running_day) if e.kind == "note"]
    assert notes == ["2 missed taps added at pick"]
    assert "kill-pick" not in codes_where(running_day, evening)
    assert journal.broken_at() is None


def test_missed_taps_are_added_to_the_earlier_station_too(planned_day, count_birds, now) -> None:
    count_birds(planned_day, {"catch": 3, "kill": 5}, first=days.day(planned_day).start)

    closing.add_missed(planned_day, after="catch", before="kill", who="Bram", now=now)

    assert running.day_progress(planned_day).count("catch") == 5


def test_missed_taps_into_the_tank_name_the_tank(running_day, evening) -> None:
    closing.add_missed(running_day, after="draw", before="chill", who="Bram", now=evening)

    tallies = [t for t in running.day_progress(running_day).tallies if t.station == "chill"]
    assert {t.place for t in tallies} == {"North tank"}
    assert len(tallies) == 4


@pytest.mark.parametrize(
    ("after", "before", "sentence"),
    [
        ("catch", "kill", "agree"),
        ("kill", "draw", "agree"),
        ("roof", "kill", "agree"),
        ("chill", "bag", "weighing"),
    ],
)
def test_taps_are_not_invented_where_none_is_missing(
    running_day, evening, after, before, sentence
) -> None:
    seq = running.last_seq(running_day)

    with pytest.raises(InputError, match=sentence):
        closing.add_missed(running_day, after=after, before=before, who="Bram", now=evening)
    assert running.last_seq(running_day) == seq


def test_an_answer_needs_words(running_day) -> None:
    with pytest.raises(InputError, match="what was done"):
        closing.answer(running_day, finding="chill.warm", where="North tank", text="  ", who="B")


def test_the_seal_is_the_journals_last_hash(whole_day, evening) -> None:
    answer_all(whole_day, evening)
    before, _digest = journal.head()

    closing.close(whole_day, who="Odile", now=evening)

    day = days.day(whole_day)
    seq, digest = journal.head()
    last = models.Entry.objects.get(seq=seq)
    assert seq > before
    assert last.kind == "closed"
    assert last.payload["record"] == journal.fingerprint(models.Day.objects.get(pk=day.id).record)
    assert journal.broken_seals() == ()
    assert (day.status, day.seal, day.sealed_seq, day.sealed_at) == ("closed", digest, seq, evening)
    assert models.Entry.objects.get(seq=day.sealed_seq).hash == day.seal
    assert journal.broken_at() is None
    with pytest.raises(RecordConflictError, match="closed already"):
        closing.close(whole_day, who="Odile", now=evening)
    for act in (
        lambda: closing.answer(whole_day, finding="x", where="", text="y", who="B"),
        lambda: running.write("tally", {"station": "pick"}, day_id=whole_day, who="B"),
    ):
        with pytest.raises(RecordConflictError):
            act()


def test_a_judgement_changed_after_closing_is_found(whole_day, evening) -> None:
    answer_all(whole_day, evening)
    closing.close(whole_day, who="Odile", now=evening)
    row = models.Day.objects.get(pk=whole_day)

    row.record["counts"]["bag"] += 1
    with pytest.raises(IntegrityError, match="append-only"), writing():
        row.save()
    with connection.cursor() as cursor:
        cursor.execute("DROP TRIGGER day_sealed_no_update")
    row.save()

    assert journal.broken_seals() == (row.date.isoformat(),)


@pytest.fixture
def closed_day(whole_day, evening) -> int:
    answer_all(whole_day, evening)
    closing.close(whole_day, who="Odile", now=evening)
    return whole_day


def test_the_record_says_how_and_by_what_it_was_judged(closed_day, evening) -> None:
    record = days.day(closed_day).record

    assert record["closed_by"] == "Odile"
    assert record["method"].startswith("pinfeather ")
    assert record["profile"] == "us-federal"
    assert record["counts"] == {**EVERY, "bag": 6}
    assert dt.datetime.fromisoformat(record["judged_at"]) == evening
    findings = closing.record_findings(record)
    assert all(one.answered for one in findings)
    assert {one.finding.code for one in findings}
    (verdict,) = closing.record_chill(record)
    assert verdict.proof == "proved"


def test_the_record_keeps_its_judgement_whatever_changes_later(closed_day, sent, evening) -> None:
    kept = days.day(closed_day).record
    later = evening + dt.timedelta(days=1)
    late = [
        sent(
            "reading",
            {"what": "bird", "place": "North tank", "written": "55 F", "instrument": "Blue probe"},
            client_id="late1",
            at=evening - dt.timedelta(hours=1),
        ),
        sent("correction", {"of": "p1", "reason": "wrong bird"}, client_id="late2", at=later),
    ]
    running.receive(closed_day, late, device="phone", sent_at=later, now=later)
    farms.save_instrument("Blue probe", kind="thermometer", accuracy="5 F")
    models.Farm.objects.update(profile="us-vt", water_test=None)

    day = days.day(closed_day)
    assert day.record == kept
    assert closing.record_chill(day.record)[0].proof == "proved"
    assert closing.judge(closed_day, now=later).chill[0].proof != "proved"
    assert day.seal == models.Entry.objects.get(seq=day.sealed_seq).hash
    assert journal.broken_at() is None


def test_progress_as_sealed_leaves_out_what_came_later(closed_day, sent, evening) -> None:
    day = days.day(closed_day)
    before = closing.progress_until(closed_day, day.sealed_seq)
    undo = sent("correction", {"of": "p1", "reason": "x"}, client_id="late1", at=evening)
    running.receive(closed_day, [undo], device="phone", sent_at=evening, now=evening)

    assert closing.progress_until(closed_day, day.sealed_seq) == before
    assert len(running.day_progress(closed_day).readings) == len(before.readings) - 1


def test_nothing_slips_in_between_judgement_and_seal(
    real_store, in_threads, count_birds, sent, now, evening
) -> None:
    """Whatever a phone sends while a day is being closed is either judged, or marked as later."""
    day_id = days.days()[0].id
    count_birds(day_id, {"catch": 2, "kill": 2}, first=days.day(day_id).start)
    for after, before in (("kill", "pick"),):
        running.write(
            "explained",
            {"after": after, "cause": "home use", "birds": 2},
            day_id=day_id,
            who="Odile",
        )
        assert before == "pick"
    answer_all(day_id, evening)

    def close() -> None:
        closing.close(day_id, who="Odile", now=evening)

    def phone() -> None:
        for n in range(40):
            entry = sent("note", {"text": "x"}, client_id=f"n{n}", at=now)
            running.receive(day_id, [entry], device="p", sent_at=now, now=now)

    assert in_threads([close, phone]) == [None, None]

    day = days.day(day_id)
    assert models.Entry.objects.get(seq=day.sealed_seq).hash == day.seal
    assert models.Entry.objects.filter(kind="note").count() == 40
    assert journal.broken_at() is None
