"""The binder's page and the recall drill as a browser without script uses them."""

from __future__ import annotations

import pytest

from pinfeather.actions.binder import work
from pinfeather.actions.day.days import farm_today
from pinfeather.actions.stock import drill


@pytest.fixture(autouse=True)
def none_kept(monkeypatch):
    monkeypatch.setattr(work, "_JOBS", type(work._JOBS)())


@pytest.fixture
def at_once(monkeypatch):
    monkeypatch.setattr(work, "run", lambda job: job())


def test_the_page_says_what_is_in_it_and_what_is_missing_before_it_is_made(
    demo_farm, client, parse
) -> None:
    page = client.get("/binder/")
    html = page.content.decode()
    assert page.status_code == 200
    assert "Missing in this period" in html
    assert parse(page).fields()["to"] == farm_today()[1].isoformat()
    early = client.get("/binder/?from=2001-01-01&to=2001-12-31").content.decode()
    assert "No water test in this period." in early


def test_a_period_with_faults_keeps_what_was_typed(demo_farm, client, parse) -> None:
    answer = client.post("/binder/", {"from": "2026-13-01", "to": "2026-02-01"})
    page = parse(answer)
    assert answer.status_code == 422
    assert page.fields()["from"] == "2026-13-01"
    assert page.fault("from")
    assert client.get("/binder/binder.pdf?from=x&to=y").status_code == 302


def test_a_binder_is_made_and_opened(demo_farm, client, at_once) -> None:
    sent = {"from": "2026-01-01", "to": "2026-12-31", "paper": "a4"}
    answer = client.post("/binder/", {**sent, "do": "make"})
    assert answer.status_code == 302
    page = client.get(answer.headers["Location"]).content.decode()
    assert "Open the binder" in page
    pdf = client.get("/binder/binder.pdf", sent)
    assert pdf.headers["Content-Type"] == "application/pdf"
    assert pdf.content.startswith(b"%PDF-")
    assert (
        pdf.headers["Content-Disposition"] == 'inline; filename="binder-2026-01-01-2026-12-31.pdf"'
    )


def test_the_page_shows_how_far_it_is_and_can_stop_it(demo_farm, client, monkeypatch) -> None:
    waiting = []
    monkeypatch.setattr(work, "run", waiting.append)
    sent = {"from": "2026-01-01", "to": "2026-12-31"}
    assert client.get("/binder/binder.pdf", sent).status_code == 302  # begun, not waited for
    page = client.get("/binder/", sent).content.decode()
    assert "The binder is being made" in page
    part = client.get("/binder/progress/", sent)
    assert "Being made" in part.content.decode()
    client.post("/binder/", {**sent, "do": "cancel"})
    waiting.pop()()
    assert "Stopped." in client.get("/binder/", sent).content.decode()
    done = client.get("/binder/progress/", sent)
    assert done.headers["HX-Redirect"].startswith("/binder/?from=2026-01-01")


def test_a_drill_from_the_drawn_lot_to_the_journal(demo_farm, client, parse) -> None:
    page = parse(client.get("/trace/drill/"))
    lot = page.fields()["lot"]
    assert lot in drill.codes(today=farm_today()[1])
    refused = client.post("/trace/drill/", {"do": "begin", "lot": lot})
    assert refused.status_code == 422
    missing = client.post("/trace/drill/", {"do": "begin", "lot": "no such", "who": "Mae"})
    assert missing.status_code == 409
    assert (
        client.post("/trace/drill/", {"do": "begin", "lot": lot, "who": "Mae"}).status_code == 302
    )
    page = parse(client.get("/trace/drill/"))
    ident = page.fields()["drill"]
    wrong = client.post("/trace/drill/", {"do": "end", "drill": ident, "seen": "-1", "who": "Mae",
                                          "others": "Health office 555-0111"})  # fmt: skip
    page = parse(wrong)
    assert wrong.status_code == 422
    assert page.fault("seen")
    assert page.fields()["others"] == "Health office 555-0111"
    seen = drill.subject(lot).balance.in_shop
    client.post("/trace/drill/", {"do": "end", "drill": ident, "seen": str(seen), "who": "Mae",
                                  "explained": "A bird was eaten."})  # fmt: skip
    assert drill.drills()[0].ended is not None
    assert "of" in client.get("/trace/drill/").content.decode()


def test_a_farm_without_packages_has_nothing_to_drill(farm, client) -> None:
    assert "Nothing to find yet" in client.get("/trace/drill/").content.decode()
