"""Taking entries from devices: every kind, good and bad; clocks; closed days."""

from __future__ import annotations

import datetime as dt

import pytest

from pinfeather.actions.day import days, running
from pinfeather.errors import InputError, RecordConflictError, RecordNotFoundError
from pinfeather.records import journal, models

PACKAGE = {
    "number": 1,
    "lot": "K7",
    "tank": "North tank",
    "product": "Whole chicken",
    "gross": "4.55 lb",
    "tare": "0.03 lb",
    "net_lb": "4.52",
    "price_per_lb": "5.50",
    "total": "24.86",
}
GOOD = [
    ("tally", {"station": "kill"}, {"birds": 1, "place": "", "lot": ""}),
    ("tally", {"station": "chill", "birds": 6, "place": "North tank", "lot": "K7"}, {"birds": 6}),
    ("tally", {"station": "catch", "birds": "4"}, {"birds": 4}),
    (
        "reading",
        {"what": "bird", "place": "North tank", "written": "38.4 f", "instrument": "Blue probe"},
        {"unit": "F", "written": "38.4 f", "si": pytest.approx(3.5556, abs=1e-4)},
    ),
    ("reading", {"what": "bath", "written": "1 C", "instrument": "Blue probe"}, {"si": 1.0}),
    ("reading", {"what": "scalder", "written": "146 F", "instrument": "Blue probe"}, {}),
    ("reading", {"what": "room", "written": "-4 F", "instrument": "Wall"}, {"si": -20.0}),
    (
        "reading",
        {"what": "strip", "written": "100 ppm"},
        {"si": pytest.approx(1e-4), "instrument": ""},
    ),
    ("ice point", {"instrument": "Blue probe", "written": "32.4 F"}, {"unit": "F"}),
    ("done", {"task": "sanitiser", "place": "table"}, {"note": ""}),
    ("explained", {"after": "pick", "cause": "condemned", "birds": 1}, {"note": ""}),
    ("explained", {"after": "kill", "cause": "lost", "birds": 2, "note": "under the table?"}, {}),
    ("package", {**PACKAGE, "birds": 1}, {"birds": 1}),
    ("package", {**PACKAGE, "birds": 0}, {"birds": 0}),
    ("action", {"finding": "chill.late", "where": "T", "text": "discarded"}, {}),
    ("correction", {"of": "abc123"}, {"reason": ""}),
    ("note", {"text": "  rain before noon  "}, {"text": "rain before noon"}),
]
BAD = [
    ("tally", {"station": "bag"}, "not counted at “bag”"),
    ("tally", {"station": "roof"}, "not counted"),
    ("tally", {}, "not counted"),
    ("tally", {"station": "kill", "birds": 0}, "Between 1 and 200"),
    ("tally", {"station": "kill", "birds": -3}, "Between 1 and 200"),
    ("tally", {"station": "kill", "birds": 201}, "Between 1 and 200"),
    ("tally", {"station": "kill", "birds": "a few"}, "whole number"),
    ("tally", {"station": "kill", "birds": 1.5}, "whole number"),
    ("tally", {"station": "kill", "birds": float("inf")}, "whole number"),
    ("tally", {"station": "kill", "birds": float("nan")}, "whole number"),
    ("tally", {"station": "kill", "birds": None}, "whole number"),
    ("tally", {"station": "kill", "birds": True}, "whole number"),
    ("tally", {"station": "kill", "birds": [1]}, "whole number"),
    ("tally", {"station": "kill", "birds": "9" * 5000}, "whole number"),
    ("tally", {"station": "kill", "place": {"a": 1}}, "plain text"),
    ("reading", {"what": "mood", "written": "38 F", "instrument": "x"}, "what was measured"),
    ("reading", {"what": "bird", "written": "38", "instrument": "x"}, "no unit"),
    ("reading", {"what": "bird", "written": "38,4 F", "instrument": "x"}, "comma"),
    ("reading", {"what": "bird", "written": "38 lb", "instrument": "x"}, "not a unit"),
    ("reading", {"what": "bird", "written": "", "instrument": "x"}, "Write a temperature"),
    ("reading", {"what": "bird", "instrument": "x"}, "Write a temperature"),
    ("reading", {"what": "bird", "written": "384 F", "instrument": "x"}, "cannot be right"),
    ("reading", {"what": "bird", "written": "38 F"}, "Write something"),
    ("reading", {"what": "strip", "written": "5 %"}, "cannot be right"),
    ("ice point", {"instrument": "Blue probe", "written": "70 F"}, "melting ice"),
    ("ice point", {"written": "32 F"}, "Write something"),
    ("done", {"task": " "}, "Write something"),
    ("explained", {"after": "bag", "cause": "lost", "note": "x"}, "after which station"),
    ("explained", {"after": "pick", "cause": "eaten"}, "Choose why"),
    ("explained", {"after": "pick", "cause": "lost"}, "Write something"),
    ("explained", {"after": "pick", "cause": "condemned", "birds": 0}, "Between 1"),
    ("package", {name: v for name, v in PACKAGE.items() if name != "number"}, "needs its number"),
    ("package", {**PACKAGE, "number": "first"}, "needs its number"),
    ("package", {**PACKAGE, "net_lb": "about four"}, "plain number"),
    ("package", {**PACKAGE, "net_lb": "NaN"}, "plain number"),
    ("package", {**PACKAGE, "total": "-1"}, "plain number"),
    ("package", {**PACKAGE, "price_per_lb": "1e9"}, "plain number"),
    ("package", {**PACKAGE, "product": ""}, "Write something"),
    ("action", {"finding": "chill.late", "text": ""}, "Write something"),
    ("correction", {}, "Write something"),
    ("note", {}, "Write something"),
    ("note", {"text": ["a"]}, "plain text"),
    ("gossip", {"text": "x"}, "“gossip” is not a kind"),
]


@pytest.mark.parametrize(("kind", "payload", "kept"), GOOD)
def test_every_kind_of_entry_is_taken(planned_day, sent, now, kind, payload, kept) -> None:
    (received,) = running.receive(
        planned_day,
        [sent(kind, payload, client_id="g1", at=now)],
        device="phone",
        sent_at=now,
        now=now,
    )

    assert (received.problem, received.known) == ("", False)
    (event,) = running.events(planned_day)
    assert (event.kind, event.who, event.at) == (kind, "Odile", now)
    assert {name: event.payload[name] for name in kept} == kept
    running.day_progress(planned_day)


@pytest.mark.parametrize(("kind", "payload", "sentence"), BAD)
def test_a_bad_value_is_refused_in_a_sentence(
    planned_day, sent, now, kind, payload, sentence
) -> None:
    good = sent("note", {"text": "kept"}, client_id="ok1", at=now)
    bad = sent(kind, payload, client_id="bad1", at=now)

    received = running.receive(planned_day, [bad, good], device="p", sent_at=now, now=now)

    told = {r.id: r for r in received}
    assert told["ok1"].problem == ""
    assert sentence in told["bad1"].problem
    assert told["bad1"].problem[0].isupper() or told["bad1"].problem[0] in "“-0123456789"
    assert told["bad1"].problem.endswith((".", "?"))
    assert told["bad1"].seq == 0
    assert [e.client_id for e in running.events(planned_day)] == ["ok1"]


@pytest.mark.parametrize(
    ("changed", "sentence"),
    [
        ({"id": ""}, "id of letters and digits"),
        ({"id": "x" * 41}, "id of letters and digits"),
        ({"id": "a-b"}, "id of letters and digits"),
        ({"payload": "text"}, "needs its content"),
        ({"payload": None}, "needs its content"),
        ({"at": "yesterday"}, "needs its time"),
        ({"at": None}, "needs its time"),
        ({"at": "2026-06-17T10:00:00"}, "needs its zone"),
        ({"at": "0001-01-01T00:00:00+00:00"}, "cannot be right"),
        ({"at": "9999-12-31T23:59:59+00:00"}, "cannot be right"),
    ],
)
def test_an_entry_without_its_parts_is_refused(planned_day, sent, now, changed, sentence) -> None:
    entry = {**sent("note", {"text": "x"}, client_id="n1", at=now), **changed}

    (received,) = running.receive(planned_day, [entry], device="p", sent_at=now, now=now)

    assert sentence in received.problem


def test_letters_no_store_can_keep_are_left_out_and_the_rest_is_kept(
    planned_day, sent, now
) -> None:
    entry = sent("note", {"text": "wind\ud800 from\x00 the west\nrain"}, client_id="n1", at=now)

    (received,) = running.receive(planned_day, [entry], device="p", sent_at=now, now=now)

    assert received.problem == ""
    assert running.events(planned_day)[0].payload["text"] == "wind from the west\nrain"
    assert journal.broken_at() is None


def test_long_text_is_cut_not_refused(planned_day, sent, now) -> None:
    entry = sent("note", {"text": "x" * 5000}, client_id="n1", at=now, who="y" * 100)
    running.receive(planned_day, [entry], device="z" * 100, sent_at=now, now=now)

    row = models.Entry.objects.get()
    assert (len(row.payload["text"]), len(row.who), len(row.device)) == (400, 40, 40)


@pytest.mark.parametrize("fast_s", [0, 95, -310, 3600 * 5, -86400 * 400])
def test_a_phones_wrong_clock_is_measured_and_taken_off(planned_day, sent, now, fast_s) -> None:
    phone = now + dt.timedelta(seconds=fast_s)
    entry = sent("tally", {"station": "kill"}, client_id="t1", at=phone - dt.timedelta(seconds=40))

    running.receive(planned_day, [entry], device="p", sent_at=phone, now=now)

    row = models.Entry.objects.get()
    assert row.skew_s == -fast_s
    assert row.device_time == phone - dt.timedelta(seconds=40)
    assert row.received_at == now
    assert running.day_progress(planned_day).times("kill") == (now - dt.timedelta(seconds=40),)


def test_a_phone_whose_clock_was_never_set_still_counts_at_the_right_time(
    planned_day, sent, now
) -> None:
    phone = dt.datetime(1970, 1, 1, 0, 7, tzinfo=dt.UTC)
    entry = sent("tally", {"station": "kill"}, client_id="t1", at=phone - dt.timedelta(seconds=9))

    (received,) = running.receive(planned_day, [entry], device="p", sent_at=phone, now=now)

    assert received.problem == ""
    assert running.day_progress(planned_day).times("kill") == (now - dt.timedelta(seconds=9),)


def test_a_device_that_sends_from_an_impossible_time_is_told(planned_day, sent, now) -> None:
    entry = sent("note", {"text": "x"}, client_id="n1", at=now)
    sent_at = dt.datetime(1, 1, 1, tzinfo=dt.UTC)

    (received,) = running.receive(planned_day, [entry], device="p", sent_at=sent_at, now=now)

    assert "cannot be right" in received.problem


def test_the_first_entry_starts_a_planned_day(planned_day, sent, now) -> None:
    assert days.day(planned_day).status == "planned"
    bad = sent("tally", {}, client_id="b1", at=now)
    running.receive(planned_day, [bad], device="p", sent_at=now, now=now)
    assert days.day(planned_day).status == "planned"

    running.write("tally", {"station": "catch"}, day_id=planned_day, who="Odile")

    assert days.day(planned_day).status == "running"


def test_sending_again_writes_nothing_new(running_day, sent, now) -> None:
    entry = sent("tally", {"station": "kill"}, client_id="again1", at=now)
    first = running.receive(running_day, [entry], device="p", sent_at=now, now=now)
    later = now + dt.timedelta(minutes=3)

    second = running.receive(running_day, [entry], device="p", sent_at=later, now=later)

    assert (first[0].known, second[0].known) == (False, True)
    assert first[0].seq == second[0].seq
    assert running.day_progress(running_day).count("kill") == 7


def test_an_undo_is_a_correction_and_the_entry_stays_on_record(running_day) -> None:
    done = running.day_progress(running_day)
    last = [t for t in done.tallies if t.station == "pick"][-1]

    running.write("correction", {"of": last.id, "reason": "doubled"}, day_id=running_day, who="B")

    after = running.day_progress(running_day)
    assert after.count("pick") == done.count("pick") - 1
    assert after.corrections[0].reason == "doubled"
    assert models.Entry.objects.filter(client_id=last.id).exists()


def test_late_entries_to_a_closed_day_are_kept_and_marked(running_day, sent, now) -> None:
    seq = running.last_seq(running_day)
    models.Day.objects.filter(pk=running_day).update(
        status="closed", seal="ab" * 32, sealed_seq=seq, sealed_at=now
    )
    entry = sent("tally", {"station": "pick"}, client_id="late1", at=now)

    (received,) = running.receive(running_day, [entry], device="p", sent_at=now, now=now)

    assert received.problem == ""
    events = running.events(running_day, sealed_seq=seq)
    assert [e.client_id for e in events if e.late] == ["late1"]
    assert days.day(running_day).status == "closed"


def test_a_page_may_only_correct_or_note_on_a_closed_day(running_day) -> None:
    models.Day.objects.filter(pk=running_day).update(status="closed", seal="ab" * 32)

    with pytest.raises(RecordConflictError, match="closed"):
        running.write("tally", {"station": "pick"}, day_id=running_day, who="Odile")
    for kind, payload in (("note", {"text": "x"}), ("correction", {"of": "day", "reason": "x"})):
        assert kind in running.AFTER_CLOSING
        running.write(kind, payload, day_id=running_day, who="Odile")


def test_nothing_is_written_to_a_day_that_is_not_there(farm, sent, now) -> None:
    entry = sent("note", {"text": "x"}, client_id="n1", at=now)
    with pytest.raises(RecordNotFoundError):
        running.receive(404, [entry], device="p", sent_at=now, now=now)
    with pytest.raises(RecordNotFoundError):
        running.write("note", {"text": "x"}, day_id=404, who="Odile")
    with pytest.raises(InputError):
        running.write("note", {}, day_id=None, who="Odile")
    assert models.Entry.objects.count() == 0


def test_the_journal_as_a_table_has_every_entry_as_written(running_day, sent, now) -> None:
    import csv
    import io

    wicked = sent("note", {"text": "=1+1"}, client_id="n1", at=now, who='=HYPERLINK("x")')
    running.receive(running_day, [wicked], device="p", sent_at=now, now=now)

    text = running.journal_csv(running_day).decode("utf-8-sig")

    rows = list(csv.DictReader(io.StringIO(text)))
    assert len(rows) == models.Entry.objects.filter(day=running_day).count()
    assert rows[0]["hash"] == models.Entry.objects.order_by("seq")[0].hash
    assert not rows[-1]["who"].startswith("=")
