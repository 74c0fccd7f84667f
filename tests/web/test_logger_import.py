"""Bringing in a logger's file: chosen, looked at, kept; and everything that can go wrong."""

from __future__ import annotations

import math
from pathlib import Path

import pytest
from django.conf import settings
from django.core.files.uploadedfile import SimpleUploadedFile

from pinfeather.actions.day import logger_files, running
from pinfeather.records import models


def rows(*, bath=33.5, start=100.0, fall_min=40.0, minutes=90, step=1, first=0) -> str:
    """A bird that goes into the tank at nine and is read every minute."""
    lines = []
    for minute in range(0, minutes, step):
        value = bath + (start - bath) * math.exp(-minute / fall_min)
        hour, rest = divmod(9 * 60 + first + minute, 60)
        lines.append(f"06/17/2026 {hour:02d}:{rest:02d}:00,{value:.1f}")
    return "Date Time,Probe (°F)\n" + "\n".join(lines) + "\n"


@pytest.fixture
def page(running_day, frozen):
    return f"/days/{running_day}/logger/"


@pytest.fixture
def send(client, page, parse):
    def sent(text: str | bytes, *, name="stick 3.csv", follow=True):
        raw = text.encode() if isinstance(text, str) else text
        return client.post(
            page, {"act": "send", "file": SimpleUploadedFile(name, raw)}, follow=follow
        )

    return sent


@pytest.fixture
def look(client, page, parse, send):
    """Send a file and fill in what was not guessed."""

    def looked(text, *, name="stick 3.csv", **changed):
        form = parse(send(text, name=name)).fields()
        answers = {
            **form,
            "place": "North tank",
            "instrument": "Blue probe",
            "order": "mdy",
            **changed,
        }
        return client.post(page, answers)

    return looked


def test_sending_a_file_shows_its_first_rows_and_guesses_and_keeps_nothing(send, parse) -> None:
    response = send(rows())
    assert response.status_code == 200
    seen = parse(response)
    assert "06/17/2026 09:00:00" in response.content.decode()
    fields = seen.fields()
    assert (fields["time"], fields["value"], fields["unit"]) == ("Date Time", "Probe (°F)", "F")
    assert (fields["order"], fields["point"], fields["zone"]) == ("mdy", ".", "America/Chicago")
    assert fields["place"] == "North tank"  # the only tank
    assert fields["instrument"] == "Blue probe"  # the only thermometer
    assert models.LoggerFile.objects.count() == 0


def test_a_preview_counts_rows_and_says_what_it_saw(look) -> None:
    text = look(rows()).content.decode()
    assert "Logger stick 3.csv: never down to 40 °F" in text
    assert "of 90 in the file" in text
    assert "Keep it with the day" in text
    assert models.LoggerFile.objects.count() == 0


def test_gaps_doubles_and_a_clock_that_jumps_are_told(look) -> None:
    lines = rows().splitlines()
    broken = [*lines[:30], *lines[29:30], *lines[50:], lines[35], "06/17/2026 10:40:00,none", ""]
    text = look("\n".join(broken)).content.decode()
    assert "is there twice" in text
    assert "gap" in text
    assert "clock jumps back" in text
    assert "holds no reading" in text


def test_growth_is_shown_with_how_sure_it_is(look) -> None:
    text = look(rows(fall_min=4000.0)).content.decode()
    assert "log of Salmonella could have grown" in text
    assert "inspector may dispute" in text


def test_a_celsius_file_with_commas_reads_the_same(look) -> None:
    lines = [f"17.06.2026;09:{m:02d};{f'{38 - m / 2:.1f}'.replace('.', ',')}" for m in range(60)]
    text = "\n".join(["Datum;Uhrzeit;Temp °C", *lines])
    response = look(text.encode("cp1252"), order="dmy")
    assert response.status_code == 200
    assert "coldest 8.5" in response.content.decode().replace("\u202f", "")


def test_keeping_it_brings_the_curve_to_the_cold_page_and_the_journal(
    client, page, look, parse, running_day
) -> None:
    preview = parse(look(rows()))
    sent = {e.attrs["name"]: e.attrs.get("value", "") for e in preview.all("input", type="hidden")
            if "name" in e.attrs}  # fmt: skip
    keep_fields = {**preview.fields(), **sent, "act": "keep", "who": "Bram"}
    response = client.post(page, keep_fields, follow=True)
    assert response.redirect_chain[-1][0] == f"/days/{running_day}/cold/"
    text = response.content.decode()
    assert "Kept. Logger stick 3.csv" in text
    assert "Blue probe, logger in a bird" in text
    (entry,) = models.Entry.objects.filter(kind="logger")
    assert entry.who == "Bram"
    assert models.LoggerFile.objects.get().sha256 == entry.payload["sha256"]


def test_a_curve_checked_in_ice_proves_the_batch(client, page, look, running_day) -> None:
    running.write(
        "ice point",
        {"instrument": "Blue probe", "written": "32.4 F"},
        day_id=None,
        who="Odile",
        at=running.day_progress(running_day).tallies[0].at.replace(hour=12),
    )
    # put into the last bird, which went in at 9:22, and cold before now
    response = look(rows(fall_min=15.0, first=20, minutes=75))
    assert "down to 40 °F at" in response.content.decode()
    token = response.context["token"]
    client.post(page, {**response.context["typed"], "file": token, "act": "keep", "who": "Bram"})
    text = client.get(f"/days/{running_day}/cold/").content.decode()
    assert "Proved" in text
    assert "Blue probe read" in text


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"place": ""}, "place"),
        ({"place": "../../etc"}, "place"),
        ({"instrument": "None such"}, "instrument"),
        ({"unit": ""}, "unit"),
        ({"time": ""}, "time"),
        ({"value": "Humidity"}, "value"),
        ({"zone": "Mars/Base"}, "zone"),
        ({"zone": "../../etc/passwd"}, "zone"),
        ({"since": "25:61"}, "since"),
        ({"what": "soup"}, "what"),
    ],
)
def test_a_wrong_choice_is_told_and_nothing_typed_is_lost(look, change, field) -> None:
    response = look(rows(), **change)
    assert response.status_code == 422
    assert list(response.context["fault"]) == [field]
    assert response.context["typed"]["order"] == "mdy"
    assert 'class="fault"' in response.content.decode()


def test_a_time_in_place_without_readings_is_told(look) -> None:
    response = look(rows(), since="20:00", until="21:00")
    assert response.status_code == 422
    assert "in that time" in response.content.decode()


def test_readings_from_the_future_are_shown_but_not_kept(client, page, look) -> None:
    response = look(rows(), zone="Pacific/Honolulu")
    text = response.content.decode()
    assert "has not come yet" in text
    assert "Keep it with the day" not in text
    forced = {**response.context["typed"], "file": response.context["token"], "act": "keep"}
    assert client.post(page, forced).status_code == 422
    assert models.LoggerFile.objects.count() == 0


@pytest.mark.parametrize(
    ("raw", "told"),
    [
        (b"PK\x03\x04\x00\x00\x00\x00", "CSV"),
        (b"just words and nothing else", "no columns"),
        (b"\xff\xfe", "no columns"),
    ],
)
def test_a_file_that_is_no_table_is_refused_with_a_sentence(send, raw, told) -> None:
    response = send(raw)
    assert response.status_code == 422
    assert told in response.content.decode()


def test_no_file_is_asked_for_again(client, page) -> None:
    response = client.post(page, {"act": "send"})
    assert response.status_code == 422
    assert "Choose the logger" in response.content.decode()


def test_more_than_20_mb_is_refused(send) -> None:
    line = b"06/17/2026 09:00:00,40.0\n"
    response = send(b"Date Time,Probe (F)\n" + line * (logger_files.MOST_BYTES // len(line) + 1))
    assert response.status_code == 422
    assert "20 MB" in response.content.decode()


def test_a_file_too_large_for_memory_is_refused_too(send) -> None:
    response = send(b"0" * (settings.FILE_UPLOAD_MAX_MEMORY_SIZE + 1))
    assert response.status_code == 422
    assert "20 MB" in response.content.decode()


def test_a_file_that_waited_too_long_is_asked_for_again(client, page) -> None:
    for method in (client.get(f"{page}?file={'0' * 32}"), client.post(page, {"act": "look"})):
        assert method.status_code == 422
        assert "Choose it again" in method.content.decode()


def test_the_files_name_is_words_only(look) -> None:
    text = look(rows(), name="..\\..\\<b>stick<script>.csv").content.decode()
    assert "<script>.csv" not in text
    assert "&lt;b&gt;stick&lt;script&gt;.csv" in text


def test_nothing_is_written_outside_the_store(send, tmp_path, monkeypatch) -> None:
    monkeypatch.setattr("tempfile.tempdir", str(tmp_path))
    before = {p for p in Path(settings.DATA_DIR).rglob("*") if p.is_file()}
    send(rows(minutes=600) * 300)
    after = {p for p in Path(settings.DATA_DIR).rglob("*") if p.is_file()}
    assert list(tmp_path.iterdir()) == []
    assert {p.name for p in after - before} <= {p.name for p in after if "sqlite3" in p.name}


def test_a_kept_file_can_be_taken_back_with_a_reason(client, page, look, running_day) -> None:
    response = look(rows())
    kept = {**response.context["typed"], "file": response.context["token"], "act": "keep"}
    client.post(page, kept)
    (note,) = running.day_progress(running_day).loggers
    client.post(page, {"act": "back", "of": note.id, "reason": "wrong bird"}, follow=True)
    assert running.day_progress(running_day).loggers == ()
    assert "never down to" not in client.get(f"/days/{running_day}/cold/").content.decode()


def test_a_closed_day_takes_no_file(client, demo_farm) -> None:
    response = client.get(f"/days/{demo_farm['closed']}/logger/")
    assert response.status_code == 409


def test_the_record_sums_the_curve_up(client, page, look, running_day) -> None:
    import io

    import pypdf

    response = look(rows())
    client.post(
        page, {**response.context["typed"], "file": response.context["token"], "act": "keep"}
    )
    pdf = client.get(f"/days/{running_day}/record.pdf")
    text = " ".join(
        "".join(p.extract_text() for p in pypdf.PdfReader(io.BytesIO(pdf.content)).pages).split()
    )
    assert "Logger stick 3.csv: never down to 40" in text
