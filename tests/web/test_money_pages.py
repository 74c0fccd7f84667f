"""The pages about money: the answer first, everything typed kept, wrong lines readable."""

from __future__ import annotations

import re

import pytest

from pinfeather.actions.money import book as money_book
from pinfeather.actions.money import view as money_view

PAGES = (
    "/money/", "/money/?by=day", "/money/?by=species", "/money/write/", "/money/lines/",
    "/money/equipment/", "/money/what-if/", "/money/compare/", "/money/year/",
    "/money/birds/lot/B2/", "/money/birds/all/year/", "/money/birds/species/turkey/",
    *(f"/money/write/?act={act}" for act in ("cost", "hours", "income", "rate", "seen")),
)  # fmt: skip


def text(response) -> str:
    return " ".join(re.sub(r"<[^>]+>", " ", response.content.decode()).split())


@pytest.mark.parametrize("url", PAGES)
def test_every_page_of_the_demo_opens(demo_farm, client, parse, url):
    response = client.get(url)
    assert response.status_code == 200
    page = parse(response)
    assert len(page.all("h1")) == 1
    assert "None" not in text(response)


@pytest.mark.parametrize("url", [u for u in PAGES if "birds" not in u])
def test_every_page_of_an_empty_farm_opens(farm, client, url):
    assert client.get(url).status_code == 200


@pytest.mark.parametrize(
    "url", ["/money/?year=1999", "/money/birds/lot/Z9/", "/money/birds/moon/x/",
            "/money/lines/nothing/", "/money/1999/report.pdf", "/money/1999/ledger.csv"]
)  # fmt: skip
def test_what_is_not_there_is_not_found(demo_farm, client, url):
    assert client.get(url).status_code == 404


def test_the_answer_is_the_sum_of_the_lines(demo_farm, client):
    view = money_view.year_view()
    shown = text(client.get("/money/"))
    assert f"${view.full.per_lb_cents / 100:.2f}" in shown
    assert f"${view.full.total_cents / 100:,.2f}" in shown
    for group in view.report.lots:
        assert f"${group.total_cents / 100:,.2f}" in shown


def test_a_picture_has_its_table_and_words(demo_farm, client, parse):
    page = parse(client.get("/money/"))
    titles = [e.text for e in page.all("title") if "Cost of a pound" in e.text]
    assert len(titles) == 2
    assert "B2" in titles[0]
    assert page.all("a", href="/money/birds/lot/B2/?year=2026")


def test_a_line_opens_its_entries_with_their_basis(demo_farm, client):
    shown = text(client.get("/money/birds/lot/B2/"))
    assert "the lot’s feed book: 100 lb at $0.44 a pound" in shown
    assert "the day’s plan" in shown
    assert "bleach and strips" in shown


def test_a_cost_is_written_and_stands_in_the_list(farm, client, parse, frozen):
    page = parse(client.get("/money/write/?act=cost"))
    sent = page.fields() | {"kind": "ice", "amount": "12.40", "what": "eight bags"}
    response = client.post("/money/write/", sent)

    assert response["Location"] == "/money/lines/"
    assert "Ice $12.40; eight bags" in text(client.get("/money/lines/"))
    client.post("/money/write/", sent)
    assert len(money_book.book().lines) == 1


def test_each_fault_stands_beside_its_field_and_nothing_typed_is_lost(farm, client, parse, frozen):
    page = parse(client.get("/money/write/?act=cost"))
    typed = page.fields() | {"amount": "a lot", "on": "2099-01-01", "what": "kept <b>words</b>"}
    response = client.post("/money/write/", typed)
    page = parse(response)

    assert response.status_code == 422
    assert "dollars" in page.fault("amount")
    assert "not come yet" in page.fault("on")
    again = page.fields()
    assert {n: again[n] for n in ("amount", "on", "what")} == {
        n: typed[n] for n in ("amount", "on", "what")
    }


def test_a_wrong_line_is_put_right_and_both_stay(farm, client, parse, frozen):
    ident = money_book.write(
        "cost", {"on": "2026-06-01", "kind": "fuel", "amount": "38.20", "for": "farm"}, who="Ines"
    )
    page = parse(client.get(f"/money/lines/{ident}/"))
    fields = page.fields()
    assert (fields["amount"], fields["kind"], fields["on"]) == ("38.20", "fuel", "2026-06-01")

    refused = client.post(f"/money/lines/{ident}/", fields | {"amount": "32.80"})
    assert refused.status_code == 422
    assert parse(refused).fault("reason")
    sent = fields | {"amount": "32.80", "reason": "turned round"}
    assert client.post(f"/money/lines/{ident}/", sent).status_code == 302
    html = client.get("/money/lines/").content.decode()
    assert "<s>Fuel and driving $38.20</s>" in html
    assert "Struck out: turned round" in html
    assert "Fuel and driving $32.80" in html


@pytest.mark.parametrize("act", ["hours", "income", "rate", "seen", "thing"])
def test_every_kind_of_line_comes_back_into_its_form_as_it_was(farm, client, parse, frozen, act):
    typed = {
        "hours": {"hours": "3.5", "wage": "18.00", "paid": "paid", "for": "species:duck"},
        "income": {"event": "sale", "amount": "61.20", "from_deposit": "10.00", "sold": "9.5 lb"},
        "rate": {"what": "feed", "price": "0.3625", "feed": "Starter"},
        "seen": {"where": "market", "amount": "5.95", "what": "whole"},
        "thing": {"name": "Plucker", "price": "890.00", "salvage": "200.00", "life": "10",
                  "use": "60 %", "repair": "40.00"},
    }[act] | {"on": "2026-06-01"}  # fmt: skip
    ident = money_book.write(act, typed, who="")
    fields = parse(client.get(f"/money/lines/{ident}/")).fields()
    assert {name: fields[name] for name in typed} == typed
    sent = fields | {"reason": "again"}
    assert client.post(f"/money/lines/{ident}/", sent).status_code == 302
    first, second = (dict(one.kept) for one in money_book.book().lines)
    assert first == second


def test_a_line_may_only_be_struck_out(farm, client, frozen):
    ident = money_book.write(
        "cost", {"on": "2026-06-01", "kind": "ice", "amount": "5", "for": "farm"}, who=""
    )
    client.post(f"/money/lines/{ident}/", {"do": "strike", "reason": "twice"})
    assert money_book.book().costs == ()
    again = client.post(f"/money/lines/{ident}/", {"do": "strike", "reason": "twice"}, follow=True)
    assert "struck out before" in text(again)


def test_equipment_is_added_on_its_page_and_tax_is_information(farm, client, parse, frozen):
    page = parse(client.get("/money/equipment/"))
    sent = page.fields() | {"name": "Plucker", "price": "890", "life": "10", "on": "2026-03-04"}
    assert client.post("/money/equipment/", sent).status_code == 302
    shown = text(client.get("/money/equipment/"))
    assert "Plucker" in shown
    assert "$74.17" in shown  # ten months of 89 a year
    assert "Not tax advice" in shown
    bad = client.post("/money/equipment/", sent | {"id": "b", "life": "0", "salvage": "900"})
    assert bad.status_code == 422
    assert parse(bad).fault("life")


def test_what_if_answers_from_the_farms_own_year_and_keeps_what_is_turned(demo_farm, client, parse):
    page = parse(client.get("/money/what-if/"))
    fields = page.fields()
    response = client.get("/money/what-if/", fields | {"price_cents_per_lb": "7.25"})
    assert response.status_code == 200
    assert parse(response).fields()["price_cents_per_lb"] == "7.25"
    assert "against where it began" in text(response)


def test_what_if_tells_its_faults_beside_the_numbers(demo_farm, client, parse):
    fields = parse(client.get("/money/what-if/")).fields()
    response = client.get("/money/what-if/", fields | {"placed": "many", "unsure": "all"})
    page = parse(response)
    assert response.status_code == 422
    assert page.fault("placed")
    assert parse(client.get("/money/what-if/", fields | {"unsure": "all"})).fault("unsure")
    lost = parse(client.get("/money/what-if/", fields | {"loss_frac": "100"}))
    assert lost.fault("loss_frac")


def test_two_lots_are_compared_and_the_parts_add_up(demo_farm, client):
    shown = text(client.get("/money/compare/?before=B2&after=R2"))
    assert "of lot R2 cost" in shown
    assert "Feed for a pound of gain" in shown
    assert "Together" in shown


def test_the_year_says_what_it_is_not(demo_farm, client):
    shown = text(client.get("/money/year/"))
    assert "Not tax advice" in shown
    assert "Schedule F as of 2019" in shown
    assert "second hand" in shown


def test_the_papers_of_a_year(demo_farm, client):
    pdf = client.get("/money/2026/report.pdf")
    assert pdf["Content-Type"] == "application/pdf"
    assert pdf.content.startswith(b"%PDF")
    rows = client.get("/money/2026/ledger.csv?dates=us")
    assert b"06/" in rows.content
    assert rows["Content-Disposition"].startswith("attachment")
    assert client.get("/money/2026/ledger.txt").content.startswith(b"2026-")


def test_a_metric_farm_reads_kilograms(demo_farm, client):
    from pinfeather.records import models

    full = money_view.year_view().full
    kilogram = round(float(full.total_cents / full.dressed_lb) / 0.45359237)
    models.Farm.objects.update(units="metric")
    shown = text(client.get("/money/"))
    assert "What does a kilogram cost?" in shown
    assert f"It costs, a kilogram ${kilogram / 100:.2f}" in shown


def test_money_is_in_the_bar_and_on_the_farms_page(farm, client, parse):
    page = parse(client.get("/farm/"))
    assert len(page.all("a", href="/money/")) >= 2
