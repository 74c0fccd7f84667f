"""The rules as a browser without script sees them."""

from __future__ import annotations

import re

import pytest

from pinfeather.actions import farm as farms
from pinfeather.actions.rules import own, tier_form
from pinfeather.records import models
from pinfeather.rules.profile import available
from pinfeather.rules.rows import rows_of

SENTENCE = "not legal advice"
GOOD = {
    "path": "chill.target",
    "written": "38",
    "unit": "F",
    "why": "county rule",
    "source": "county code 7",
    "status": "read",
    "in_force": "2026-05",
    "who": "Odile",
}


@pytest.mark.parametrize(
    "url",
    [
        "/rules/",
        "/rules/tier/",
        "/rules/changes/",
        "/rules/us-federal/",
        "/rules/change/?path=chill.target",
    ],
)
def test_every_page_says_what_it_is_and_who_decides(farm, client, url) -> None:
    text = client.get(url).content.decode()
    assert SENTENCE in text
    assert "department of agriculture" in text
    assert not re.search(r"\(?\d{3}\)?[ -]\d{3}-\d{4}(?!\d)", text)


@pytest.mark.parametrize("profile_id", [one.profile_id for one in available()])
def test_the_list_shows_every_number_with_citation_date_and_status_in_words(
    farm, client, parse, profile_id
) -> None:
    page = parse(client.get(f"/rules/{profile_id}/"))
    text = " ".join(page.one("main").text.split())
    for row in rows_of(profile_id):
        for words in (row.value, row.citation, row.status_words, row.in_force_words):
            assert " ".join(words.split()) in text, row.path


def test_the_first_page_names_rules_exemption_and_what_is_left(running_day, client, frozen) -> None:
    text = client.get("/rules/").content.decode()
    for words in ("United States, federal exemptions", "Own birds, up to 1,000 a year", "994"):
        assert words in text


def test_a_change_is_made_from_its_page_marked_and_taken_back(farm, client, parse, frozen) -> None:
    page = parse(client.get("/rules/change/?path=chill.target"))
    assert page.fields()["written"] == "40"
    response = client.post("/rules/change/", GOOD)
    assert response.status_code == 302
    profile_id = farms.farm().profile
    assert response.headers["Location"] == f"/rules/{profile_id}/"
    text = client.get(f"/rules/{profile_id}/").content.decode()
    assert "Your own change (Odile, 2026-06-17): county code 7" in text
    assert "38 °F" in text
    assert client.get("/rules/").content.decode().count("1 change of your own") == 1

    (one,) = own.changes("us-federal")
    assert (
        client.post("/rules/undo/", {"of": one.id, "reason": "", "who": "Odile"}).status_code == 302
    )
    assert farms.farm().profile == profile_id
    client.post("/rules/undo/", {"of": one.id, "reason": "misread", "who": "Odile"})
    assert farms.farm().profile == "us-federal"
    assert "misread" in client.get("/rules/change/?path=chill.target").content.decode()


def test_a_wrong_change_keeps_what_was_typed_and_says_why_beside_each_field(
    farm, client, parse
) -> None:
    wrong = {**GOOD, "written": "cold", "why": "", "in_force": "May", "status": ""}
    response = client.post("/rules/change/", wrong)
    page = parse(response)
    assert response.status_code == 422
    assert page.fields()["written"] == "cold"
    assert page.fields()["source"] == "county code 7"
    for name in ("written", "why", "in_force", "status"):
        assert page.fault(name), name
    assert models.Entry.objects.count() == 0


def test_the_farms_form_offers_its_own_rules(farm, client, parse) -> None:
    client.post("/rules/change/", GOOD)
    page = parse(client.get("/farm/"))
    assert page.fields()["profile"] == farms.farm().profile


def test_the_interview_is_filled_in_answers_and_is_kept(running_day, client, parse, frozen) -> None:
    page = parse(client.get("/rules/tier/"))
    assert page.fields()["birds_chicken"] == "6"
    answers = dict.fromkeys(tier_form.QUESTIONS, "no")
    answers |= dict.fromkeys(
        ("sells", "all_own_raised", "own_premises", "direct_only", "only_slaughter_and_cut"), "yes"
    )
    told = client.post("/rules/tier/", {**answers, "birds_chicken": "1001", "act": "work"})
    text = " ".join(told.content.decode().split())
    assert told.status_code == 200
    assert "Own birds, up to 20,000 a year" in text
    assert "one bird fewer" in text
    assert tier_form.last() is None
    kept = client.post(
        "/rules/tier/", {**answers, "birds_chicken": "1001", "act": "set", "who": "Odile"}
    )
    assert kept.status_code == 302
    assert farms.farm().tier == "producer_20000"
    assert tier_form.last().facts.year_birds["chicken"] == 1001


def test_an_interview_with_faults_keeps_its_answers(farm, client, parse) -> None:
    response = client.post("/rules/tier/", {"birds_chicken": "many", "sells": "yes", "act": "work"})
    page = parse(response)
    assert response.status_code == 422
    assert page.fault("birds_chicken")
    assert "Choose yes or no." in page.one("main").text
    chosen = [
        e.attrs["value"]
        for e in page.all("input", type="radio", name="sells")
        if "checked" in e.attrs
    ]
    assert chosen == ["yes"]


def test_other_rules_can_be_put_in_force_and_unknown_ones_not(farm, client) -> None:
    assert client.post("/rules/", {"profile": "us-co"}).status_code == 302
    assert farms.farm().profile == "us-co"
    assert client.post("/rules/", {"profile": "us-zz"}).status_code == 422
    assert client.get("/rules/us-zz/").status_code == 404
    assert client.get("/rules/change/?path=no.thing").status_code == 404
    assert client.get(f"/rules/kept/{'0' * 64}/").status_code == 404


def test_today_shows_what_stands_against_the_exemption(farm, client, frozen) -> None:
    assert "is not open under" not in client.get("/").content.decode()
    models.Farm.objects.update(profile="us-wi", tier="small_enterprise")
    assert "is not open under" in client.get("/").content.decode()


def test_old_verdicts_under_new_rules_have_a_page_and_their_rules_another(
    demo_farm, client
) -> None:
    assert "come out the same" in client.get("/rules/changes/").content.decode()
    client.post("/rules/change/", {**GOOD, "written": "30", "who": "Ines"})
    text = client.get("/rules/changes/").content.decode()
    assert f"/days/{demo_farm['closed']}/" in text
    link = re.search(r"/rules/kept/[0-9a-f]+/", text)
    assert link is not None
    kept = " ".join(client.get(link[0]).content.decode().split())
    assert "40 °F → <b>30 °F</b>" in kept


def test_a_name_with_marks_in_it_stays_text(farm, client) -> None:
    wicked = "<script>alert(1)</script>"
    client.post("/rules/change/", {**GOOD, "why": wicked, "source": wicked})
    profile_id = farms.farm().profile
    for url in (f"/rules/{profile_id}/", "/rules/change/?path=chill.target", "/rules/"):
        assert wicked not in client.get(url).content.decode()
