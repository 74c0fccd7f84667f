"""The pages about lots: the answer first, forms that keep what was typed, nothing lost."""

from __future__ import annotations

import re

import pytest

from pinfeather.actions.flock import books as flocks
from pinfeather.actions.flock import view as flock_view
from pinfeather.records import models

PAGES = {
    "lots": "/lots/",
    "standing": "/lots/B4/",
    "behind": "/lots/B5/",
    "chicks": "/lots/C1/",
    "ordered": "/lots/T2/",
    "finished": "/lots/B2/",
    "write": "/lots/B4/write/",
    "loss": "/lots/B4/write/?kind=lost",
    "weigh": "/lots/B4/weigh/",
    "when": "/lots/B4/when/",
    "when without": "/lots/B2/when/",
    "change": "/lots/B4/change/",
    "new": "/lots/new/",
    "numbers": "/lots/numbers/",
    "pens": "/lots/pens/",
    "curves": "/lots/curves/",
}


def words(response) -> str:
    text = re.sub(r"<[^>]+>", " ", response.content.decode())
    return re.sub(r"\s+", " ", text).replace("\u202f", " ")


@pytest.mark.parametrize("url", PAGES.values(), ids=list(PAGES))
def test_every_page_about_lots_answers_and_has_one_heading(demo_farm, client, parse, url) -> None:
    response = client.get(url)
    page = parse(response)
    assert response.status_code == 200
    assert len(page.all("h1")) == 1
    ids = [e.attrs["id"] for e in page.elements if "id" in e.attrs]
    assert len(set(ids)) == len(ids)


@pytest.mark.parametrize("kind", ["ordered", "arrived",
    "moved", "lost", "counted", "feed", "feed_left", "medicine", "signs", "sold", "processed",
    "note", "cleared"])  # fmt: skip
def test_each_kind_of_entry_has_its_form_and_keeps_what_was_typed(
    demo_farm, client, parse, kind
) -> None:
    url = f"/lots/B4/write/?kind={kind}"
    sent = parse(client.get(url)).fields() | {"event": kind, "on": "soon", "note": "by the gate"}

    response = client.post("/lots/B4/write/", sent)

    page = parse(response)
    assert response.status_code == 422
    assert page.fields()["on"] == "soon"
    assert page.fields()["note"] == "by the gate"
    assert page.fault("on") == "Give a date, such as 2026-06-17."


def test_the_list_puts_the_lot_that_needs_somebody_first(demo_farm, client) -> None:
    text = words(client.get("/lots/"))
    assert text.index("B5") < text.index("B4") < text.index("C1") < text.index("T2")
    assert "Growing" in text
    assert "19 % lighter at 28 days than earlier weighings say" in text


def test_a_lot_says_first_how_many_and_how_heavy(demo_farm, client) -> None:
    text = words(client.get("/lots/B4/"))
    assert text.index("Birds now 56") < text.index("Alive today") < text.index("not before")
    assert "8 birds in 10" in text
    assert "40 birds weighed, the last at 35 days" in text
    assert "61 birds came alive = 56 there now + 5 lost" in text
    assert "lb of nitrogen" in text


def test_another_day_and_other_classes_can_be_asked_for(demo_farm, client, parse) -> None:
    response = client.get("/lots/B4/?on=2026-07-10&classes=3 lb; 4 lb; 5 lb")
    assert response.status_code == 200
    assert "Fri 10 Jul" in words(response)
    assert "3.00 lb to 4.00 lb" in words(response)

    for query, field in (("classes=5 lb; 4 lb", "classes"), ("classes=5", "classes"),
                         ("on=never", "on")):  # fmt: skip
        wrong = client.get(f"/lots/B4/?{query}")
        assert wrong.status_code == 422
        assert parse(wrong).fault(field)
        assert parse(wrong).fields()[field] == query.partition("=")[2]


def test_a_loss_is_two_taps(demo_farm, client, parse) -> None:
    before = flock_view.lot_now("B4").heads
    page = parse(client.get("/lots/B4/write/?kind=lost"))
    (button,) = [b for b in page.all("button") if b.attrs.get("value") == "predator"]
    assert button.attrs["name"] == "cause"

    response = client.post("/lots/B4/write/", page.fields() | {"cause": "predator"})

    assert response.status_code == 302
    now = flock_view.lot_now("B4")
    assert now.heads == before - 1
    assert f"{before - 1} birds in lot B4 now" in words(client.get("/lots/B4/"))
    again = client.post("/lots/B4/write/", page.fields() | {"cause": "predator"})
    assert again.status_code == 302  # the same form once more, as after a lost answer
    assert flock_view.lot_now("B4").heads == before - 1


def test_weights_are_pasted_and_the_mean_comes_back(demo_farm, client, parse) -> None:
    sent = parse(client.get("/lots/B4/weigh/")).fields()
    wrong = client.post("/lots/B4/weigh/", sent | {"weights": "weight\n5.1\n5,2", "unit": "lb"})
    assert wrong.status_code == 422
    assert parse(wrong).fields()["weights"] == "weight\n5.1\n5,2"
    assert "comma" in parse(wrong).fault("weights")

    right = client.post("/lots/B4/weigh/", sent | {"weights": "weight\n5.1\n5.3", "unit": "lb"})
    assert right.status_code == 302
    assert "2 birds weighed, mean 5.20 lb." in words(client.get("/lots/B4/"))


def test_a_wrong_line_is_struck_out_on_its_page(demo_farm, client, parse) -> None:
    line = flocks.book("B4").kept("lost")[0]
    url = f"/lots/B4/strike/{line.id}/"
    refused = client.post(url, {"reason": " "})
    assert refused.status_code == 422
    assert parse(refused).fault("reason") == "Write what was wrong."

    assert client.post(url, {"reason": "Counted twice.", "who": "Mae"}).status_code == 302

    page = client.get("/lots/B4/")
    assert "Struck out: Counted twice. (Mae)" in words(page)
    assert any("found dead" in e.text for e in parse(page).all("del"))
    assert client.get("/lots/B4/strike/nothing/").status_code == 302


def test_a_lot_is_ordered_with_advice_and_nothing_typed_is_lost(demo_farm, client, parse) -> None:
    typed = parse(client.get("/lots/new/")).fields() | {
        "code": "N1", "wanted": "80", "plan_on": "2026-10-01", "hatchery": "Fernbank",
    }  # fmt: skip
    page = client.post("/lots/new/", typed | {"do": "advice"})
    assert page.status_code == 200
    assert "enough in" in words(page)
    kept = parse(page).fields()
    assert {name: kept[name] for name in typed if name != "do"} == {
        name: value for name, value in typed.items() if name != "do"
    }

    order = {"ordered": "90", "hatched": "2026-08-06", "arrive_on": "2026-08-08"}
    assert client.post("/lots/new/", typed | order | {"do": "save"}).status_code == 302
    assert flock_view.lot_now("N1").stage == "ordered"


def test_the_faults_of_a_new_lot_stand_beside_its_fields(demo_farm, client, parse) -> None:
    typed = parse(client.get("/lots/new/")).fields()
    page = parse(client.post("/lots/new/", typed | {"code": "B4", "ordered": "x", "do": "save"}))
    assert page.fault("code") == "There is a lot with this code already."
    assert page.fault("ordered")
    assert page.fault("arrive_on")


def test_a_plan_takes_a_standing_lot_with_its_expected_weights(demo_farm, client, parse) -> None:
    page = parse(client.get("/days/new/?lot=B4&date=2026-06-29"))
    fields = page.fields()
    assert (fields["lots[0].code"], fields["lots[0].count"]) == ("B4", "55")
    assert fields["date"] == "2026-06-29"
    assert "From 40 birds weighed" in page.one("main").text

    early = client.get("/days/new/?lot=B4&date=2026-06-19")
    assert "A medicine must leave the birds first" in words(early)

    more = parse(client.post("/days/new/", fields | {"do": "take B5"})).fields()
    assert (more["lots[0].code"], more["lots[1].code"]) == ("B4", "B5")
    assert more["lots[1].mean"].endswith(" lb")


def test_the_plan_of_a_treated_lot_says_stop(demo_farm, client, parse) -> None:
    fields = parse(client.get("/days/new/?lot=B4&date=2026-06-19")).fields()
    ticks = {"people[0].stations": ["catch", "kill", "scald", "pick", "draw", "rinse", "bag",
             "weigh", "store"]}  # fmt: skip
    saved = client.post("/days/new/", fields | ticks | {"do": "save"})
    assert saved.status_code == 302
    text = words(client.get(saved.url))
    assert "B4: not before 22 June 2026" in text


def test_the_farm_page_leads_to_the_lots_and_asks_for_none(demo_farm, client, parse) -> None:
    page = parse(client.get("/farm/"))
    assert [a for a in page.all("a") if a.attrs.get("href") == "/lots/"]
    assert not [e for e in page.elements if e.attrs.get("name") == "head"]


def test_pens_and_booklets_are_kept_and_faults_stand_beside(demo_farm, client, parse) -> None:
    wrong = client.post("/lots/pens/", {"name": "", "kind": "pasture", "area": "9", "move_d": "x"})
    page = parse(wrong)
    assert wrong.status_code == 422
    assert all(page.fault(name) for name in ("name", "area", "move_d"))
    pen = {"name": "Creek pen", "kind": "pasture", "area": "100 ft2", "move_d": "1"}
    assert client.post("/lots/pens/", pen).status_code == 302
    assert "Creek pen" in words(client.get("/lots/pens/"))

    bad = {"title": "Creek cross", "species": "chicken", "rows": "7: 3"}
    assert parse(client.post("/lots/curves/", bad)).fields()["rows"] == "7: 3"
    good = bad | {"rows": "7: 0.3 lb\n21: 1.4 lb\n42: 3.9 lb", "source": "Booklet 2026"}
    assert client.post("/lots/curves/", good).status_code == 302
    assert "Creek cross" in words(client.get("/lots/B4/change/"))


def test_what_lots_taught_shows_before_data_and_after(demo_farm, client) -> None:
    text = words(client.get("/lots/numbers/"))
    assert "Growth against the table 1.00 0.86–1.17 B2 0.9" in text
    assert "Dressed over live weight" in text
    assert "your last lot (measured)" in text


def test_an_unknown_lot_is_a_page_that_is_not_there(demo_farm, client) -> None:
    for url in ("/lots/ZZ/", "/lots/ZZ/write/", "/lots/ZZ/weigh/", "/lots/ZZ/lot.pdf"):
        assert client.get(url).status_code == 404


def test_text_that_looks_like_markup_comes_out_as_text(farm, client, frozen) -> None:
    script = "<script>alert(1)</script>"
    models.Lot.objects.create(code="<b>&/x", species="chicken", head=3, breed=script)
    flocks.add_event("<b>&/x", "note", {"on": "2026-06-10", "note": script}, who=script)
    for url in ("/lots/", "/lots/%3Cb%3E&/x/"):
        response = client.get(url)
        assert response.status_code == 200
        assert script not in response.content.decode()


def test_a_farm_without_lots_is_told_what_one_is(store, client) -> None:
    assert "None yet. A lot is birds hatched and raised together" in words(client.get("/lots/"))
    assert "Nothing learned yet" in words(client.get("/lots/numbers/"))
