"""Freezer, orders, store and trace as a browser without script uses them."""

from __future__ import annotations

import re

import pytest

from pinfeather.actions.desk import packing
from pinfeather.actions.stock import book as stock_book
from pinfeather.actions.stock import customers, freezer, orders
from pinfeather.actions.stock import sales as sales_book
from pinfeather.records import models


@pytest.fixture
def birds(running_day, frozen) -> tuple[str, ...]:
    """Three birds in a freezer; their ids."""
    found = tuple(
        packing.weigh(
            running_day, lot="K7", tank="North tank", product="Whole chicken",
            gross=f"{net} lb", tare="0 lb", price_per_lb="5.00", birds=1, who="Bram",
        ).id
        for net in ("4.00", "4.50", "5.00")
    )  # fmt: skip
    freezer.save_place("Barn freezer", kind="freezer", volume="15 ft3")
    freezer.put(found, place_name="Barn freezer", who="Bram")
    return found


def code(ident):
    return stock_book.package(ident).code


def test_a_place_with_faults_keeps_what_was_typed(farm, client, parse) -> None:
    response = client.post(
        "/freezer/places/", {"name": "Barn", "kind": "barrel", "inside": "moon", "volume": "big"}
    )
    page = parse(response)
    assert response.status_code == 422
    assert page.fields()["name"] == "Barn"
    for name in ("kind", "inside", "volume"):
        assert page.fault(name), name
    assert models.Place.objects.count() == 0


def test_packages_are_put_away_by_tick_or_by_scan(birds, client, parse) -> None:
    freezer.save_place("Porch", kind="freezer")
    response = client.post(
        "/freezer/put/", {"place": "Porch", "seen": f"{code(birds[0])}\n{code(birds[1])}"}
    )
    assert response.status_code == 302
    assert stock_book.package(birds[1]).kept.place == "Porch"

    response = client.post("/freezer/put/", {"place": "Moon", "seen": "99-99", "package": birds[2]})
    page = parse(response)
    assert response.status_code == 422
    assert "99-99" in page.fault("seen")
    response = client.post("/freezer/put/", {"place": "Moon", "package": birds[2]})
    assert parse(response).fault("place")
    assert stock_book.package(birds[2]).kept.place == "Barn freezer"


def test_a_count_asks_what_became_of_the_missing_one_and_writes_it_down(
    birds, client, parse
) -> None:
    place = {"place": "Barn freezer"}
    page = parse(client.post("/freezer/count/", {**place, "package": birds[:2]}))
    assert f"fate_{birds[2]}" in page.fields()
    client.post(
        "/freezer/count/",
        {**place, "package": birds[:2], "do": "save", f"fate_{birds[2]}": "missing"},
    )
    assert stock_book.package(birds[2]).kept.state == "missing"
    refused = client.post("/freezer/count/", {**place, "seen": "no such"})
    assert refused.status_code == 422


def test_a_freezer_reading_without_a_unit_is_in_the_farms_unit(birds, client, parse) -> None:
    sent = {"place": "Barn freezer", "written": "-4", "instrument": "Blue probe"}
    assert client.post("/freezer/temperatures/", sent).status_code == 302
    entry = models.Entry.objects.get(kind="storage reading")
    assert entry.payload["written"] == "-4 F"
    response = client.post("/freezer/temperatures/", {**sent, "written": "cold"})
    assert parse(response).fault("written")


@pytest.mark.parametrize(("asked", "status"), [("full=80&gone=2", 200), ("full=a&gone=-1", 422)])
def test_the_power_cut_page_answers(farm, client, parse, asked, status) -> None:
    response = client.get(f"/freezer/power-cut/?{asked}")
    assert response.status_code == status
    if status == 422:
        assert parse(response).fault("full")
        assert parse(response).fault("gone")
    assert "second hand" in response.content.decode()


def test_a_package_is_held_and_cannot_be_sold_until_released(birds, client, parse) -> None:
    page = f"/packages/{birds[0]}/"
    refused = client.post(page, {"act": "hold", "reason": " "})
    assert refused.status_code == 422
    assert client.post(page, {"act": "hold", "reason": "torn bag"}).status_code == 302
    response = sell(client, parse, [birds[0]])
    assert response.status_code == 422
    assert "on hold" in response.content.decode()
    assert client.post(page, {"act": "release", "reason": "new bag"}).status_code == 302
    assert sell(client, parse, [birds[0]]).status_code == 302


def test_the_last_entry_of_a_package_can_be_taken_back_with_a_reason(birds, client) -> None:
    page = f"/packages/{birds[0]}/"
    client.post(page, {"act": "home"})
    (line,) = [x for x in stock_book.history(birds[0]) if x.act == "home"]
    assert client.post(page, {"act": "back", "of": line.id, "reason": ""}).status_code == 422
    client.post(page, {"act": "back", "of": line.id, "reason": "wrong one"})
    assert stock_book.package(birds[0]).kept.in_stock


def sell(client, parse, ids, **typed):
    token = parse(client.get("/store/")).fields()["token"]
    sent = {"do": "sell", "token": token, "package": ids, "paid_by": "cash", "venue": "farm",
            "buyer_kind": "household", **typed}  # fmt: skip
    return client.post("/store/", sent)


def test_scanning_puts_one_package_after_the_other_on_the_counter(birds, client, parse) -> None:
    first = client.post("/store/", {"do": "add", "text": code(birds[0])})
    assert parse(first).fields()["package"] == birds[0]
    both = client.post("/store/", {"do": "add", "text": code(birds[1]), "package": birds[0]})
    assert "$42.50" in both.content.decode()
    less = client.post("/store/", {"do": f"remove {birds[0]}", "package": list(birds[:2])})
    assert "$22.50" in less.content.decode()


def test_a_scan_that_means_nothing_or_a_sold_package_is_told_beside_the_field(
    birds, client, parse
) -> None:
    sell(client, parse, [birds[0]])
    for text, said in (("junk", "No package"), (code(birds[0]), "no longer in stock")):
        response = client.post("/store/", {"do": "add", "text": text})
        assert response.status_code == 422
        assert said in parse(response).fault("text")
        assert parse(response).fields()["text"] == text


def test_a_lot_code_on_the_counter_asks_which_package(birds, client, parse) -> None:
    response = client.post("/store/", {"text": stock_book.package(birds[0]).lot_code})
    buttons = [e for e in parse(response).all("button") if "take " in e.attrs.get("value", "")]
    assert len(buttons) == 3


def test_two_phones_with_the_same_basket_sell_it_once(birds, client, parse) -> None:
    first = sell(client, parse, [birds[0]])
    second = sell(client, parse, [birds[0], birds[1]])
    assert (first.status_code, second.status_code) == (302, 422)
    assert "is sold" in second.content.decode()
    assert len(sales_book.sales()) == 1
    assert stock_book.package(birds[1]).kept.in_stock


def test_a_double_tap_is_one_sale(birds, client, parse) -> None:
    token = parse(client.get("/store/")).fields()["token"]
    sent = {"do": "sell", "token": token, "package": birds[0], "paid_by": "cash"}
    assert client.post("/store/", sent).url == client.post("/store/", sent).url
    assert len(sales_book.sales()) == 1


def test_a_forbidden_buyer_is_a_stop_and_the_sale_waits_for_a_written_reason(
    birds, client, parse
) -> None:
    models.Farm.objects.update(profile="us-co", tier="producer_1000")
    who = {"buyer_name": "The Lantern Kitchen", "buyer_address": "2 Market Square",
           "buyer_kind": "restaurant"}  # fmt: skip
    response = sell(client, parse, [birds[0]], **who)
    assert response.status_code == 422
    text = response.content.decode()
    assert 'class="finding stop"' in text
    assert "does not allow this buyer" in text
    assert parse(response).fault("reason")
    assert parse(response).fields()["buyer_name"] == "The Lantern Kitchen"
    assert stock_book.package(birds[0]).kept.in_stock

    written = sell(client, parse, [birds[0]], reason="sold before we knew", **who)
    assert written.status_code == 302
    assert "does not allow this buyer" in client.get(written.url).content.decode()


def test_a_refund_asks_for_everything_it_needs(birds, client, parse) -> None:
    sale = sell(client, parse, [birds[0]]).url
    response = client.post(sale, {"paid_by": "cash", "fate": "bin"})
    assert response.status_code == 422
    assert parse(response).fault("reason")
    token = parse(client.get(sale)).fields()["token"]
    sent = {"package": birds[0], "reason": "freezer burn", "paid_by": "cash", "fate": "bin",
            "token": token}  # fmt: skip
    assert client.post(sale, sent).status_code == 302
    assert stock_book.package(birds[0]).kept.state == "wasted"


def test_an_order_with_faults_keeps_what_was_typed_and_says_what_is_wrong_where(
    birds, client, parse
) -> None:
    response = client.post(
        "/orders/new/",
        {"customer": "", "pickup_on": "", "pickup_until": "18:00", "count_0": "0",
         "product_0": "Whole chicken", "from_0": "5", "to_0": "4", "product_1": "", "count_1": "2",
         "every_weeks": "x", "venue": "farm"},
    )  # fmt: skip
    page = parse(response)
    assert response.status_code == 422
    for name in (
        "customer", "pickup_on", "pickup_until", "count_0", "to_0", "product_1", "every_weeks",
    ):  # fmt: skip
        assert page.fault(name), name
    assert page.fields()["from_0"] == "5"


def test_from_order_to_promise_to_pickup(birds, client, parse) -> None:
    response = client.post(
        "/orders/customers/",
        {"name": "Nell Ashby", "kind": "household", "address": "3 Mill Row", "then": "order"},
    )
    nell = re.search(r"customer=(\d+)", response.url)[1]
    order = client.post(
        "/orders/new/",
        {"customer": nell, "pickup_on": "2026-06-18", "count_0": "1", "venue": "farm",
         "product_0": "Whole chicken", "from_0": "4", "to_0": "4.2", "giblets_0": "on"},
    ).url  # fmt: skip
    number = re.search(r"(\d+)", order)[1]
    page = parse(client.get("/orders/give/"))
    assert page.fields()["give"].endswith(birds[0])
    client.post("/orders/give/", page.fields())
    assert [p.id for p in orders.order(int(number)).promised] == [birds[0]]
    client.post(order, {"act": "taken", "amount": "8", "paid_by": "cash"})
    response = client.post(order, {"act": "taken", "amount": "no", "paid_by": "cash"})
    assert parse(response).fault("amount")

    counter = parse(client.get(f"/store/?order={number}"))
    assert counter.fields()["package"] == birds[0]
    assert counter.fields()["customer"] == nell
    sale = client.post("/store/", {**counter.fields(), "do": "sell", "paid_by": "cash"})
    assert sale.status_code == 302
    assert "$12.00" in client.get(sale.url).content.decode()
    assert orders.order(int(number)).status == "picked up"


def test_the_trace_page_holds_releases_and_practises(birds, client, parse) -> None:
    sell(client, parse, [birds[0]], buyer_name="Nell Ashby")
    page = client.get("/trace/?q=K7").content.decode()
    assert "Nell Ashby" in page
    assert "100\u202f%" in page
    assert client.get("/trace/?q=nothing").status_code == 404
    refused = client.post("/trace/", {"q": "flock:K7", "do": "hold", "reason": ""})
    assert parse(refused).fault("reason")
    client.post("/trace/", {"q": "flock:K7", "do": "hold", "reason": "warm tank"})
    assert stock_book.package(birds[1]).kept.held == "warm tank"
    client.post("/trace/", {"q": "flock:K7", "do": "begin"})
    running = parse(client.get("/trace/?q=K7")).fields()["recall"]
    client.post("/trace/", {"q": "flock:K7", "do": "end", "recall": running})
    assert "3 of 3 found" in client.get("/trace/").content.decode()


def test_every_document_is_a_pdf_and_the_sales_are_a_table(birds, client, parse) -> None:
    sale = sell(client, parse, [birds[0]], buyer_name="Nell Ashby").url
    customers.save_customer(name="Nell Ashby")
    for url in (
        f"{sale}receipt.pdf", f"{sale}cards.pdf", "/orders/pick-list.pdf", "/orders/pickups.pdf",
        "/trace/trace.pdf?q=K7",
    ):  # fmt: skip
        response = client.get(url)
        assert response.content.startswith(b"%PDF"), url
    table = client.get("/store/sales/list.csv").content.decode()
    assert "Nell Ashby" in table
    assert table.count("\n") == 2


def test_strange_addresses_are_answered_with_a_sentence(birds, client) -> None:
    for url in ("/packages/nope/", "/orders/99/", "/store/sales/nope/", "/orders/99/cards.pdf",
                "/trace/trace.pdf?q=nope", "/store/?order=99"):  # fmt: skip
        assert client.get(url).status_code == 404, url
    assert client.get("/store/?package=nope").status_code == 422
