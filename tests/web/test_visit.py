"""The visitor's view: what a code opens, and everything it does not."""

from __future__ import annotations

import datetime as dt
import io

import pypdf
import pytest
from django.core import signing
from django.urls import get_resolver
from PIL import Image

from pinfeather import clock
from pinfeather.actions import owner
from pinfeather.actions.inspection import codes
from pinfeather.errors import InputError
from pinfeather.records import models, proofs, rows, tables
from pinfeather.web.pages import visit

MONEY = ("$", "5.25", "price")
CUSTOMERS = ("Whitlock", "Brandt", "Samir", "Ruth")


@pytest.fixture
def code(demo_farm, frozen) -> str:
    return codes.make("2 hours", label="State office", who="Ines", now=frozen)


@pytest.fixture
def visitor(code, at_the_lan):
    """A visitor's own phone that was never let in, the code typed."""
    phone = at_the_lan()
    assert phone.post("/visit/", {"code": code}).headers["Location"] == "/visit/"
    return phone


def forged(value: str, *, salt: str = "visit" + visit.SALT, key: str | None = None) -> str:
    return (
        signing.TimestampSigner(key=key, salt=salt).sign(value)
        if key
        else (signing.get_cookie_signer(salt=salt).sign(value))
    )


def shut(answer) -> bool:
    """Asked for the code, and nothing of the farm's records shown."""
    text = answer.content.decode()
    return "Which code were you given?" in text and "Well water tested" not in text


def test_a_code_opens_the_visits_page_on_a_phone_that_was_never_let_in(visitor) -> None:
    page = visitor.get("/visit/").content.decode()
    assert "Well water tested" in page
    assert "of 1000 at most" in page
    assert "Red probe" in page
    assert page.count("<form") == 0, "there is nothing to send"


def test_the_code_may_be_typed_small_and_with_other_gaps(code, at_the_lan) -> None:
    typed = code.lower().replace(" ", "-")
    assert at_the_lan().post("/visit/", {"code": f" {typed} "}).status_code == 302


def test_a_visitor_sees_no_customer_and_no_money(visitor, demo_farm) -> None:
    page = visitor.get("/visit/").content.decode()
    assert [word for word in (*CUSTOMERS, *MONEY) if word in page] == []
    record = visitor.get(f"/visit/days/{demo_farm['closed']}/record.pdf")
    assert record.headers["Content-Type"] == "application/pdf"
    text = "".join(p.extract_text() for p in pypdf.PdfReader(io.BytesIO(record.content)).pages)
    assert [word for word in (*CUSTOMERS, "$") if word in text] == []
    assert "Proved cold" in text


def test_the_farms_own_record_still_has_its_amounts(demo_farm, client) -> None:
    found = client.get(f"/days/{demo_farm['closed']}/record.pdf")
    text = "".join(p.extract_text() for p in pypdf.PdfReader(io.BytesIO(found.content)).pages)
    assert "$" in text


def every_address(demo_farm) -> list[str]:
    """Every address of the program with something put in for each part."""
    found = []
    for pattern in get_resolver().url_patterns:
        route = str(pattern.pattern)
        if route.startswith(("visit/", "favicon", "phones/ask", "api/")):
            continue
        for part, value in (
            ("<int:day_id>", str(demo_farm["closed"])), ("<int:order_id>", "1"),
            ("<int:season_id>", "1"), ("<int:number>", "1"), ("<str:code>", "draw"),
            ("<slug:code>", "water-test"), ("<str:digest>", "0" * 64), ("<str:name>", "x"),
        ):  # fmt: skip
            route = route.replace(part, value)
        found.append("/" + route.split("<")[0])
    return found


def test_every_other_page_is_refused_to_a_visitor(visitor, demo_farm) -> None:
    addresses = every_address(demo_farm)
    assert len(addresses) > 80
    for url in addresses:
        for ask in (visitor.get, visitor.post):
            answer = ask(url)
            assert answer.status_code in (302, 401, 403), url
            if answer.status_code == 302:
                assert answer.headers["Location"] == "/phones/ask/", url
    assert visitor.get(f"/api/days/{demo_farm['closed']}/state").status_code == 401


@pytest.mark.parametrize("method", ["post", "put", "patch", "delete"])
def test_nothing_can_be_sent_to_the_visits_papers(visitor, demo_farm, method) -> None:
    before = models.Entry.objects.count()
    for url in (f"/visit/days/{demo_farm['closed']}/record.pdf", "/visit/proofs/" + "0" * 64):
        assert getattr(visitor, method)(url).status_code == 405
    if method != "post":
        assert getattr(visitor, method)("/visit/").status_code == 405
    assert models.Entry.objects.count() == before


def test_without_a_code_there_is_one_page_that_asks(demo_farm, at_the_lan) -> None:
    stranger = at_the_lan()
    for url in ("/visit/", f"/visit/days/{demo_farm['closed']}/record.pdf",
                "/visit/proofs/" + "0" * 64):  # fmt: skip
        assert shut(stranger.get(url)), url


def test_a_code_that_was_ended_shuts_at_once_whoever_is_reading(visitor, code, client) -> None:
    assert not shut(visitor.get("/visit/"))
    assert client.post("/inspection/", {"act": "end"}).status_code == 302
    assert shut(visitor.get("/visit/"))
    assert visitor.post("/visit/", {"code": code}).status_code == 403, "nor opens again"
    assert shut(visitor.get("/visit/"))


@pytest.mark.parametrize(
    ("span", "good", "bad"),
    [
        ("2 hours", dt.timedelta(hours=1, minutes=59), dt.timedelta(hours=2)),
        ("3 days", dt.timedelta(days=2, hours=23), dt.timedelta(days=3)),
        ("today", dt.timedelta(hours=13), dt.timedelta(hours=13, minutes=20)),
    ],
)
def test_a_code_expires(demo_farm, at_the_lan, frozen, monkeypatch, span, good, bad) -> None:
    made = codes.make(span, label="", who="", now=frozen)
    phone = at_the_lan()
    phone.post("/visit/", {"code": made})
    monkeypatch.setattr(clock, "now", lambda: frozen + good)
    kept = phone.cookies[visit.COOKIE].value
    assert not shut(phone.get("/visit/"))
    monkeypatch.setattr(clock, "now", lambda: frozen + bad)
    phone.cookies[visit.COOKIE] = kept  # whatever the browser made of its age
    assert shut(phone.get("/visit/"))
    assert phone.post("/visit/", {"code": made}).status_code == 403


def test_a_new_code_ends_the_one_before(visitor, client) -> None:
    client.post("/inspection/", {"act": "make", "span": "today", "label": "Another"})
    assert shut(visitor.get("/visit/"))
    assert models.VisitCode.objects.filter(ended_at=None).count() == 1


def test_guessing_is_slowed_down_and_ends_the_code(code, at_the_lan, frozen, monkeypatch) -> None:
    moments = [frozen]
    monkeypatch.setattr(clock, "now", lambda: moments[0])
    guess = at_the_lan("192.0.2.99")
    answers = [guess.post("/visit/", {"code": f"WRONG{n:03d}"}).status_code for n in range(8)]
    assert answers == [403] * 5 + [429] * 3
    assert at_the_lan().post("/visit/", {"code": code}).status_code == 429, "the right one waits"
    tries = 5
    while codes.current(now=moments[0]) and tries < 100:
        moments[0] += dt.timedelta(seconds=901)
        if moments[0] > frozen + dt.timedelta(hours=2):
            break
        guess.post("/visit/", {"code": "WRONGONE"})
        tries += 1
    assert tries < codes.MOST_TRIES + 1, "in two hours not even forty tries are to be had"


def test_after_too_many_wrong_codes_in_all_the_code_is_ended(
    demo_farm, at_the_lan, frozen, monkeypatch
) -> None:
    made = codes.make("3 days", label="", who="", now=frozen)
    moments = [frozen]
    monkeypatch.setattr(clock, "now", lambda: moments[0])
    guess = at_the_lan()
    for _n in range(codes.MOST_TRIES + 1):
        guess.post("/visit/", {"code": "WRONGONE"})
        moments[0] += dt.timedelta(seconds=901)
    assert codes.current(now=moments[0]) is None
    assert guess.post("/visit/", {"code": made}).status_code == 403


def test_a_right_code_takes_the_wrong_tries_away(code, at_the_lan) -> None:
    phone = at_the_lan()
    for _n in range(3):
        phone.post("/visit/", {"code": "WRONGONE"})
    phone.post("/visit/", {"code": code})
    assert models.VisitCode.objects.get().wrong_tries == 0


@pytest.mark.parametrize(
    "typed", ["", " ", "A" * 8, "A" * 5000, "\0", "ÄÖÜ", "'; DROP TABLE records_entry;--"]
)
def test_what_is_no_code_is_refused_in_the_same_words(code, at_the_lan, typed) -> None:
    answer = at_the_lan().post("/visit/", {"code": typed})
    assert answer.status_code == 403
    assert "That code does not open anything" in answer.content.decode()


def test_with_no_code_made_the_answer_is_the_same(demo_farm, at_the_lan) -> None:
    answer = at_the_lan().post("/visit/", {"code": "ABCDEFGH"})
    assert answer.status_code == 403
    assert "That code does not open anything" in answer.content.decode()


def test_a_cookie_that_was_forged_opens_nothing(code, at_the_lan) -> None:
    row = models.VisitCode.objects.get()
    right = f"{row.pk}:{codes._mark(row)}"
    phone = at_the_lan()
    for value in (
        right,
        forged(right, key="another key"),
        forged(right, salt="device" + "pinfeather.device"),
        forged(f"{row.pk}:"),
        forged(f"{row.pk}:{'0' * 64}"),
        forged(f"{row.pk + 1}:{codes._mark(row)}"),
        forged("x"),
        forged("9" * 40 + ":a"),
    ):
        phone.cookies[visit.COOKIE] = value
        assert shut(phone.get("/visit/")), value
    phone.cookies[visit.COOKIE] = forged(right)
    assert not shut(phone.get("/visit/")), "the check itself can fail"


def test_a_visitors_cookie_is_no_phones_cookie_and_the_other_way_round(visitor, let_in) -> None:
    value = visitor.cookies[visit.COOKIE].value
    visitor.cookies["device"] = value
    assert visitor.get("/").headers["Location"] == "/phones/ask/"
    phone = let_in()
    phone.cookies[visit.COOKIE] = phone.cookies["device"].value
    assert shut(phone.get("/visit/"))


def test_a_cookie_of_an_ended_code_cannot_be_played_again_with_a_new_one(
    visitor, client, frozen
) -> None:
    old = visitor.cookies[visit.COOKIE].value
    codes.end(who="", now=frozen)
    models.VisitCode.objects.all().delete()  # as after going back to a backup
    codes.make("today", label="", who="", now=frozen)
    visitor.cookies[visit.COOKIE] = old
    assert shut(visitor.get("/visit/"))


def test_the_cookie_is_out_of_reach_of_scripts_and_of_other_pages(code, at_the_lan) -> None:
    phone = at_the_lan()
    phone.post("/visit/", {"code": code})
    cookie = phone.cookies[visit.COOKIE]
    assert (cookie["httponly"], cookie["samesite"], cookie["path"]) == (True, "Strict", "/visit/")
    assert 0 < cookie["max-age"] <= 2 * 3600


def test_the_code_is_nowhere_on_record(code, demo_farm) -> None:
    plain = code.replace(" ", "")
    for model in tables.every_table():
        for row in tables.rows(model, using="default"):
            line = " ".join(rows.cells(row))
            assert code not in line
            assert plain not in line


def test_each_opening_and_each_paper_is_a_line_of_the_journal(visitor, demo_farm, client) -> None:
    visitor.get(f"/visit/days/{demo_farm['closed']}/record.pdf")
    acts = [one.payload["act"] for one in models.Entry.objects.filter(kind="visit").order_by("seq")]
    assert acts == ["made", "opened", "took"]
    page = client.get("/inspection/").content.decode()
    assert "192.0.2.55" in page
    assert "record of" in page


def test_a_visitor_gets_only_the_papers_that_stand_on_the_page(visitor, client, now) -> None:
    buffer = io.BytesIO()
    Image.effect_noise((40, 30), 60).convert("RGB").save(buffer, "JPEG")
    hidden = proofs.keep("tax.jpg", buffer.getvalue(), who="", now=now)
    shown = models.Proof.objects.exclude(sha256=hidden.sha256).get()
    assert visitor.get(f"/visit/proofs/{shown.sha256}").status_code == 200
    assert visitor.get(f"/visit/proofs/{hidden.sha256}").status_code == 404
    assert client.get(f"/proofs/{hidden.sha256}").status_code == 200


def test_a_day_that_is_only_planned_has_no_record_for_a_visitor(visitor, demo_farm) -> None:
    assert visitor.get(f"/visit/days/{demo_farm['planned']}/record.pdf").status_code == 404
    assert visitor.get("/visit/days/999/record.pdf").status_code == 404


def test_another_site_cannot_send_the_form(code, at_the_lan) -> None:
    phone = at_the_lan(strict=True)
    assert phone.post("/visit/", {"code": code}).status_code == 403
    answer = phone.post("/visit/", {"code": code}, headers={"sec-fetch-site": "cross-site"})
    assert answer.status_code == 400


def test_the_code_is_shown_once_and_its_time_is_one_of_three(demo_farm, client, frozen) -> None:
    page = client.post("/inspection/", {"act": "make", "span": "today", "label": "Office"})
    assert 'class="token words"' in page.content.decode()
    assert 'class="token words"' not in client.get("/inspection/").content.decode()
    with pytest.raises(InputError):
        codes.make("for ever", label="", who="", now=frozen)
    assert client.post("/inspection/", {"act": "make", "span": "for ever"}).status_code == 422


def test_making_a_code_asks_for_the_owners_pin_where_one_is_set(demo_farm, client, frozen) -> None:
    owner.set_pin("4072", now=frozen)
    assert client.post("/inspection/", {"act": "make", "span": "today"}).status_code == 403
    assert client.post("/farm/keeping/remove/", {"who_is": "c1"}).status_code == 403
    assert models.VisitCode.objects.count() == 0


def test_all_answers_stay_out_of_the_browsers_store(visitor, demo_farm) -> None:
    for url in ("/visit/", f"/visit/days/{demo_farm['closed']}/record.pdf"):
        assert visitor.get(url).headers["Cache-Control"] == "no-store"
