"""Duties, their proofs, and keeping records, as a browser sees them."""

from __future__ import annotations

import io
import re

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image

from pinfeather.actions.duties import book, for_binder, view
from pinfeather.actions.farm import farm as farm_now
from pinfeather.records import models, proofs

PAGE = b"<html><script>alert(1)</script></html>"


def photo(*, size=(40, 30)) -> bytes:
    buffer = io.BytesIO()
    Image.effect_noise(size, 60).convert("RGB").save(buffer, "JPEG")
    return buffer.getvalue()


def sent(raw: bytes, name="IMG_1.jpg", kind="image/jpeg") -> SimpleUploadedFile:
    return SimpleUploadedFile(name, raw, kind)


def done(client, code="water-test", *, proof=None, **typed):
    values = {"act": "done", "on": "2026-06-15", "who": "Odile", "note": "kitchen tap", **typed}
    if proof is not None:
        values["proof"] = proof
    return client.post(f"/duties/{code}/", values)


@pytest.fixture
def farm_day(farm, frozen):
    return frozen


def test_a_duty_done_with_a_photo_is_on_its_page_with_the_photo(farm_day, client) -> None:
    raw = photo()
    assert done(client, proof=sent(raw)).status_code == 302

    one = view.duty("water-test")
    assert (one.standing.last_on.isoformat(), one.due_on.isoformat()) == (
        "2026-06-15", "2026-12-15",
    )  # fmt: skip
    assert one.proved
    (proof,) = one.history[0].proofs
    assert proofs.read(proof.sha256)[1] == raw
    page = client.get("/duties/water-test/").content.decode()
    assert f"/proofs/{proof.sha256}" in page
    assert "kitchen tap" in page


def test_a_water_test_done_is_the_farms_last_water_test_and_an_older_one_is_not(
    farm_day, client
) -> None:
    done(client)
    assert farm_now().water_test.isoformat() == "2026-06-15"
    done(client, on="2026-05-01")
    assert farm_now().water_test.isoformat() == "2026-06-15"


def test_every_fault_is_told_at_once_and_what_was_typed_stays(farm_day, client, parse) -> None:
    answer = done(
        client, "scale-seal", on="2026-07-01", until="2020-01-01", who="", note="Mine & yours",
        proof=sent(PAGE, "water.jpg"),
    )  # fmt: skip
    page = parse(answer)
    assert answer.status_code == 422
    assert "not come yet" in page.fault("on")
    assert "before it was done" in page.fault("until")
    assert "Say who" in page.fault("who")
    assert "no whole photo" in page.fault("proof")
    assert page.fields()["note"] == "Mine & yours"
    assert not models.Proof.objects.exists()
    assert not models.Entry.objects.filter(kind="duty").exists()


def test_a_right_photo_with_other_faults_is_asked_for_once_more(farm_day, client, parse) -> None:
    answer = done(client, on="", proof=sent(photo()))
    assert "once more" in parse(answer).fault("proof")
    assert not models.Proof.objects.exists()


@pytest.mark.parametrize(
    ("raw", "name", "kind"),
    [
        (PAGE, "x.jpg", "image/jpeg"),
        (b"<svg onload=alert(1)/>", "x.svg", "image/svg+xml"),
        (b"", "empty.png", "image/png"),
        (b"\xff\xd8\xff" + bytes(proofs.MOST_BYTES), "big.jpg", "image/jpeg"),
    ],
    ids=["page", "drawing", "empty", "too large"],
)
def test_what_is_no_photo_or_paper_is_refused_whatever_it_calls_itself(
    farm_day, client, raw, name, kind
) -> None:
    assert done(client, proof=sent(raw, name, kind)).status_code == 422
    assert not models.Proof.objects.exists()


def test_a_path_in_a_files_name_is_left_out(farm_day, client) -> None:
    done(client, proof=sent(photo(), "..\\..\\secret\\<b>tap</b>.jpg"))
    row = models.Proof.objects.get()
    assert "\\" not in row.name
    page = client.get("/duties/water-test/").content.decode()
    assert "<b>tap" not in page


def test_a_phone_offers_its_camera_and_is_not_forced_to_use_it(farm_day, client, parse) -> None:
    field = parse(client.get("/duties/water-test/")).one("input", type="file")
    assert field.attrs["accept"] == "image/jpeg,image/png,image/webp,application/pdf"
    assert "capture" not in field.attrs


@pytest.mark.parametrize("kind", ["jpeg", "pdf"])
def test_a_proof_is_served_so_that_no_browser_takes_it_for_a_page(
    farm_day, client, now, kind
) -> None:
    raw = photo() if kind == "jpeg" else b"%PDF-1.4\n<script>\nstartxref\n9\n%%EOF\n"
    kept = proofs.keep('a"\r\nSet-Cookie: x=1.html', raw, who="", now=now)
    answer = client.get(f"/proofs/{kept.sha256}")
    assert answer.content == raw
    assert answer.headers["Content-Type"] == proofs.KINDS[kind][0]
    assert answer.headers["X-Content-Type-Options"] == "nosniff"
    assert "sandbox" in answer.headers["Content-Security-Policy"]
    assert "default-src 'none'" in answer.headers["Content-Security-Policy"]
    way = "inline" if kind == "jpeg" else "attachment"
    assert re.fullmatch(
        way + r'; filename="proof-[0-9a-f]{12}\.(jpg|pdf)"', answer.headers["Content-Disposition"]
    )


@pytest.mark.parametrize("digest", ["0" * 64, "x", "0" * 63, "..%2f..%2fsecret-key", "A" * 64])
def test_a_proof_that_is_not_there_is_no_page(farm_day, client, digest) -> None:
    assert client.get(f"/proofs/{digest}").status_code == 404


def test_other_pages_keep_their_own_policy(farm_day, client) -> None:
    assert "script-src 'self'" in client.get("/duties/").headers["Content-Security-Policy"]


def test_what_is_overdue_stands_first_and_on_the_first_page(demo_farm, client) -> None:
    page = client.get("/duties/").content.decode()
    assert page.index("Have the scale tested") < page.index("Look through the papers")
    assert page.index("Look through the papers") < page.index("Have the well water tested")
    today = client.get("/").content.decode()
    assert "Have the scale tested and sealed" in today
    assert "9 days overdue" in today
    assert "9 days left" in today
    assert "Go through the work" not in today, "what has time is not spoken of"


def test_the_calendar_holds_every_duty_that_has_a_date(demo_farm, client) -> None:
    import icalendar

    answer = client.get("/duties/duties.ics")
    events = icalendar.Calendar.from_ical(answer.content).walk("VEVENT")
    dated = [one for one in view.duties() if one.due_on]
    assert sorted(str(e["SUMMARY"]) for e in events) == sorted(one.title for one in dated)
    assert answer.headers["Content-Type"].startswith("text/calendar")
    assert {e["DTSTART"].dt.date() for e in events} == {one.due_on for one in dated}


def test_the_farms_own_interval_needs_a_reason_and_shows_it(farm_day, client, parse) -> None:
    values = {"act": "set", "count": "24", "unit": "months", "notice_d": "10", "who": "Odile"}
    answer = client.post("/duties/training/", values)
    assert answer.status_code == 422
    assert "who says so" in parse(answer).fault("reason")
    client.post("/duties/training/", {**values, "reason": "Our insurer"})
    done(client, "training")
    assert view.duty("training").due_on.isoformat() == "2028-06-15"
    assert "Our insurer" in client.get("/duties/training/").content.decode()


def test_a_duty_that_is_not_the_farms_leaves_the_list_and_can_come_back(farm_day, client) -> None:
    client.post("/duties/training/", {"act": "set", "off": "1", "reason": "alone here"})
    assert "training" not in {one.code for one in view.duties()}
    assert "/duties/training/" in client.get("/duties/").content.decode()
    client.post("/duties/training/", {"act": "set", "reason": "no longer alone"})
    assert "training" in {one.code for one in view.duties()}


def test_a_duty_of_the_farms_own_is_added_with_its_date(farm_day, client, parse) -> None:
    answer = client.post("/duties/new/", {"title": "", "first_on": "", "count": "x", "unit": "d"})
    page = parse(answer)
    assert answer.status_code == 422
    assert page.fault("title")
    assert page.fault("first_on")
    assert page.fault("count")
    values = {"title": "Fire extinguisher", "first_on": "2026-06-20", "count": "12",
              "unit": "months", "notice_d": "14"}  # fmt: skip
    assert client.post("/duties/new/", values).status_code == 302
    (one,) = [one for one in view.pressing() if one.title == "Fire extinguisher"]
    done(client, one.code)
    assert view.duty(one.code).due_on.isoformat() == "2027-06-15"


def test_a_line_taken_back_counts_no_more_and_stays_on_record(farm_day, client, parse) -> None:
    done(client, "training")
    (line,) = view.duty("training").history
    back = {"act": "back", "of": line.id, "reason_back": ""}
    answer = client.post("/duties/training/", back)
    assert "taken back" in parse(answer).fault("reason_back")
    client.post("/duties/training/", {**back, "reason_back": "wrong year"})
    assert view.duty("training").history == ()
    assert models.Entry.objects.filter(kind="duty").count() == 1


def test_the_thermometers_own_page_does_that_duty(demo_farm, client) -> None:
    assert view.duty("thermometer-check").standing.last_on is None
    client.post("/thermometers/", {"what": "check", "instrument": "Barn dial", "written": "32.2 F"})
    assert view.duty("thermometer-check").standing.last_on is not None


def test_a_licence_that_covers_no_planned_day_asks_for_the_application(
    planned_day, frozen, client
) -> None:
    models.Farm.objects.update(profile="us-wa")
    (one,) = [one for one in view.duties() if one.code == "licence-application"]
    assert one.due_on.isoformat() == "2026-05-06"  # six weeks before 17 June
    assert one.state == "overdue"
    done(client, "licence", on="2026-02-01")
    assert "licence-application" not in {one.code for one in view.duties()}
    assert view.duty("licence").due_on.isoformat() == "2026-12-31"


@pytest.mark.parametrize("code", ["no-such", "licence", "licence-application", "own-0000000000"])
def test_a_duty_there_is_not_is_no_page(farm_day, client, code) -> None:
    assert client.get(f"/duties/{code}/").status_code == 404
    assert done(client, code).status_code == 404


def test_the_binder_gets_what_was_done_in_its_time(farm_day, client) -> None:
    import datetime as dt

    done(client, proof=sent(photo()))
    done(client, "training", on="2025-12-31")
    papers = for_binder(dt.date(2026, 1, 1), dt.date(2026, 12, 31))
    assert [(one.code, len(one.proofs)) for one in papers.done] == [("water-test", 1)]
    assert papers.water_tests == papers.done
    assert papers.licence is None
    assert {row.code for row in papers.keeping} >= {"days", "sales", "proofs"}


def test_the_same_form_sent_twice_is_written_once(farm_day, client) -> None:
    for _n in range(2):
        done(client, "training", id="form1")
    assert len(book.read().of("training")) == 1


def test_the_keeping_page_names_the_rule_and_the_days(demo_farm, client) -> None:
    page = client.get("/farm/keeping/").content.decode()
    assert "9 CFR 381.177" in page
    assert "until 31 Dec 2028" in page
    assert "the database itself refuses" in page


def test_rules_that_count_from_a_permit_nobody_wrote_down_say_so(farm_day, client) -> None:
    models.Farm.objects.update(profile="us-wa", tier="producer_20000")
    done(client, "training")
    page = client.get("/farm/keeping/").content.decode()
    assert "count from the end of the permit" in page


def test_removing_a_name_shows_what_goes_and_asks_for_the_reason(demo_farm, client) -> None:
    page = client.get("/farm/keeping/?name=whitlock").content.decode()
    key = re.search(r"remove/\?who=(c\d+)", page)[1]
    look = client.get(f"/farm/keeping/remove/?who={key}").content.decode()
    assert "Joan Whitlock" in look
    assert "An order is still open" in look
    assert client.post("/farm/keeping/remove/", {"who_is": key, "reason": "x"}).status_code == 422


def test_a_removed_customer_is_on_no_page_any_more(demo_farm, client) -> None:
    models.CustomerOrder.objects.update(status="cancelled")
    customer = models.Customer.objects.get(name="Joan Whitlock")
    answer = client.post(
        "/farm/keeping/remove/", {"who_is": f"c{customer.pk}", "reason": "letter of 3 June"}
    )
    assert answer.status_code == 302
    for url in ("/store/sales/", "/orders/", "/orders/customers/", "/farm/keeping/?name=a",
                "/trace/?q=B2", "/store/sales.csv", f"/trace/?q=buyer:{customer.pk}"):  # fmt: skip
        assert "Whitlock" not in client.get(url).content.decode(), url
    assert "name removed on request" in client.get("/store/sales/").content.decode()


def test_files_too_large_to_look_at_are_told_and_nothing_is_written_without_them(
    farm_day, client, parse
) -> None:
    answer = done(client, proof=sent(b"\xff\xd8\xff" + bytes(22 * 1024**2)))
    assert answer.status_code == 422
    assert "too much at once" in parse(answer).fault("proof")
    assert not models.Entry.objects.filter(kind="duty").exists()


def test_more_files_than_six_are_refused(farm_day, client) -> None:
    answer = done(client, proof=[sent(photo(size=(20 + n, 20))) for n in range(7)])
    assert answer.status_code == 422
    assert not models.Proof.objects.exists()


def test_two_photos_hang_on_one_line(farm_day, client) -> None:
    done(client, proof=[sent(photo(size=(20, 20))), sent(photo(size=(30, 20)), "b.jpg")])
    assert len(view.duty("water-test").history[0].proofs) == 2


@pytest.mark.parametrize("text", ["<script>alert(1)</script>", '"><img src=x onerror=alert(1)>'])
def test_what_is_typed_comes_out_as_text(farm_day, client, text) -> None:
    first = {"title": text, "first_on": "2026-06-18", "count": "1", "unit": "days"}
    client.post("/duties/new/", first)
    (own,) = [one for one in view.duties() if one.code.startswith("own-")]
    done(client, own.code, note=text, proof=sent(photo(), f"{text}.jpg"))
    client.post("/inspection/", {"act": "make", "span": "today", "label": text})
    for url in ("/", "/duties/", f"/duties/{own.code}/", "/inspection/",
                "/farm/keeping/", f"/farm/keeping/?name={text}"):  # fmt: skip
        assert text not in client.get(url).content.decode(), url
    answer = client.post(f"/duties/{own.code}/", {"act": "set", "count": text, "reason": text})
    assert text not in answer.content.decode()


def test_a_calendar_gets_no_entries_from_a_duties_name(farm_day, client) -> None:
    import icalendar

    title = "x\r\nEND:VEVENT\r\nBEGIN:VEVENT\r\nSUMMARY:y"
    client.post(
        "/duties/new/", {"title": title, "first_on": "2026-06-18", "count": "1", "unit": "days"}
    )
    events = icalendar.Calendar.from_ical(client.get("/duties/duties.ics").content).walk("VEVENT")
    assert len(events) == len([one for one in view.duties() if one.due_on])


@pytest.mark.parametrize(
    "typed",
    [
        {"on": "not a day"},
        {"on": "2026-13-01"},
        {"on": "0001-01-01"},
        {"until": "9999-12-31"},
        {"on": "\0"},
    ],
)
def test_a_date_that_is_none_is_told(farm_day, client, typed) -> None:
    assert done(client, "scale-seal", **typed).status_code == 422
