"""Bringing in a list through its pages: looked at, brought in, seen everywhere, taken back."""

from __future__ import annotations

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile

from pinfeather.actions import owner
from pinfeather.actions.money import book as money_book
from pinfeather.records import models

LOTS = "Lot,Hatched,Kind,Chicks,Hatchery\nK1,4/1/2026,chicken,50,Cold Creek\n"
WICKED = "<script>alert(1)</script>"


@pytest.fixture
def send(client, farm, frozen):
    def sent(kind: str, text: str | bytes = "", *, name="flock book.csv", pasted=""):
        raw = text.encode() if isinstance(text, str) else text
        form = {"kind": kind, "pasted": pasted}
        if raw:
            form["file"] = SimpleUploadedFile(name, raw)
        return client.post("/import/", form, follow=True)

    return sent


@pytest.fixture
def bring(client, send, parse):
    def brought(kind: str, text: str, **changed: str):
        fields = parse(send(kind, text)).fields()
        return client.post("/import/look/", {**fields, "act": "bring", **changed}, follow=True)

    return brought


def text_of(answer) -> str:
    return answer.content.decode()


def test_a_sent_list_is_shown_as_it_would_be_read_and_kept_nowhere(send) -> None:
    before = models.Entry.objects.count()
    text = text_of(send("lots", LOTS))
    assert "Is this what your list says?" in text
    assert "1 April 2026" in text
    assert "Cold Creek" in text
    assert models.Entry.objects.count() == before


def test_pasted_rows_do_as_well_as_a_file(send) -> None:
    assert "Is this what your list says?" in text_of(
        send("lots", pasted="Lot\tHatched\tChicks\nK1\t4/1/2026\t50\n")
    )


def test_a_column_chosen_by_hand_is_taken(client, send, parse) -> None:
    answer = send("lots", "A,B,C\nK1,4/1/2026,50\n")
    assert "Say what the columns are" in text_of(answer)
    fields = parse(answer).fields()
    chosen = {"column_code": "A", "column_hatched": "B", "column_count": "C"}
    text = text_of(client.post("/import/look/", {**fields, **chosen}))
    assert "Is this what your list says?" in text
    assert '<option value="B" selected>' in text


def test_each_bad_row_is_told_and_the_button_is_not_there(send, bring) -> None:
    bad = LOTS + "K2,31/31/2026,chicken,5,\nK3,4/1/2026,chicken,many,\n"
    text = text_of(send("lots", bad))
    assert "2 rows cannot be read" in text
    assert "Row 3, Hatched" in text
    assert "Row 4, Chicks" in text
    assert "Bring in" not in text.split("<main", 1)[1].split("</h1>")[1]
    before = models.Entry.objects.count()
    bring("lots", bad)
    assert models.Entry.objects.count() == before


def test_a_list_is_brought_in_seen_together_and_taken_back_in_one_tap(client, bring) -> None:
    answer = bring("lots", LOTS)
    page = answer.redirect_chain[-1][0]
    assert "Everything that came from it" in text_of(answer)
    assert "50 alive" in text_of(client.get("/lots/K1/"))
    assert "K1" in text_of(client.get("/lots/"))
    back = client.post(page, follow=True)
    assert "Taken back" in text_of(back)
    assert "K1" not in text_of(client.get("/lots/"))
    assert "struck out" in text_of(client.get(page))


def test_the_same_file_again_is_recognised(bring, send) -> None:
    bring("lots", LOTS)
    text = text_of(send("lots", LOTS))
    assert "This list is in already" in text
    assert "Bring in the row" not in text


def test_past_days_stand_under_the_days_and_sales_under_money(client, bring) -> None:
    bring("days", "Date,Kind,Birds\n3/2/2026,turkey,9\n3/9/2026,turkey,4\n")
    assert "2 days, 13 birds, from lists" in text_of(client.get("/days/"))
    bring("sales", "Date,Customer,Item,Paid\n5/30/2026,Noor,Wings,12.50\n")
    assert [one.cents for one in money_book.book().income] == [1250]
    assert client.get("/money/").status_code == 200
    assert "Wings" in text_of(client.get("/money/lines/"))


def test_what_a_list_says_is_text_and_never_markup_or_a_formula(client, bring, send) -> None:
    rows = f"Date,Customer,Item,Paid\n5/30/2026,{WICKED},=cmd|calc!A1,12\n"
    for answer in (send("sales", rows), bring("sales", rows)):
        assert WICKED not in text_of(answer)
        assert "&lt;script&gt;" in text_of(answer)
    assert WICKED not in text_of(client.get("/money/lines/"))


@pytest.mark.parametrize(
    ("raw", "words"),
    [
        (b"", "Choose the file, or paste the rows"),
        (b"B\x00,1\n", "not plain text"),
        (b"PK\x03\x04junk", "cannot be read"),
        (b"%PDF-1.4", "PDF"),
        (b"a,b\n" * 6000, "5000 rows"),
    ],
)
def test_what_is_no_list_is_refused_with_a_sentence_and_the_kind_stays_chosen(
    send, raw, words
) -> None:
    answer = send("days", raw)
    assert answer.status_code == 422
    assert words in text_of(answer)
    assert 'value="days" checked' in text_of(answer)


def test_a_kind_nobody_offers_a_lost_list_and_a_strange_address_are_answered(client, send) -> None:
    assert send("secrets", LOTS).status_code == 422
    assert client.get("/import/look/?list=none&kind=lots").status_code == 422
    assert client.post("/import/look/", {"act": "bring", "list": "../x"}).status_code == 422
    assert client.get("/import/nothing/").status_code == 404
    assert client.post("/import/nothing/").status_code == 404


def test_a_name_of_a_file_is_words_never_a_path(send) -> None:
    text = text_of(send("lots", LOTS, name=f"../../etc/{WICKED}.csv"))
    assert "../" not in text.split("<main", 1)[1].split("<h2", 1)[0]
    assert WICKED not in text


def test_the_owners_pin_stands_before_bringing_in_and_taking_back(client, bring, frozen) -> None:
    page = bring("lots", LOTS).redirect_chain[-1][0]
    owner.set_pin("4711", now=frozen)
    assert client.post(page).status_code == 403
    assert "K1" in text_of(client.get("/lots/"))
    answer = bring("lots", LOTS.replace("K1", "K9"))
    assert answer.status_code == 403
