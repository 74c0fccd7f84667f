"""The desk's pages over HTTP, without script: weigh, label, cut, water, scale, set-up."""

from __future__ import annotations

import pytest

from pinfeather.actions.day import running
from pinfeather.actions.desk import cuttings, scales
from pinfeather.actions.desk import labels as package_labels
from pinfeather.actions.desk import setup as desk_setup

TYPED = {
    "lot": "K7", "tank": "North tank", "product": "Whole chicken", "gross": "4.55",
    "tare": "0.03", "price_per_lb": "5.50", "birds": "", "who": "Bram",
}  # fmt: skip


def packages(day_id: int):
    return running.day_progress(day_id).packages


@pytest.fixture
def desk(running_day, client):
    url = f"/days/{running_day}/pack/"

    def weigh(**changed):
        return client.post(url, {**TYPED, **changed})

    weigh.url = url
    weigh.day = running_day
    return weigh


def test_the_last_weight_stands_large_with_product_price_and_lot(desk, client, parse):
    assert desk().status_code == 302

    page = parse(client.get(desk.url))
    assert page.one("output").text == "4.52"
    text = page.one("main").text
    for words in ("$24.86", "package 1", "Whole chicken", "2026-06-17 K7 T1"):
        assert words in text


def test_sent_twice_by_a_trembling_hand_it_is_one_package(desk):
    desk(entry="e" * 32)
    desk(entry="e" * 32)
    assert len(packages(desk.day)) == 1


def test_the_same_weight_a_moment_later_is_asked_about(desk, client, parse):
    desk(entry="a" * 32)
    asked = desk(entry="b" * 32)
    page = parse(asked)
    assert asked.status_code == 422
    assert "weight of package 1" in page.fault("gross")
    assert len(packages(desk.day)) == 1

    assert desk(entry="b" * 32, again="1").status_code == 302
    assert len(packages(desk.day)) == 2


def test_a_package_is_weighed_again_from_its_page(desk, client, parse):
    desk()
    page = parse(client.get(f"{desk.url}?again=1"))
    assert "Package 1 is weighed again" in page.one("main").text
    assert page.fields()["number"] == "1"

    desk(gross="4.60", number="1")
    (package,) = packages(desk.day)
    assert (package.number, package.net_lb) == (1, "4.57")


def test_a_changed_product_takes_its_own_price_unless_one_was_typed(desk):
    desk_setup.save_product(name="Chicken wings", item="", reference="", price_per_lb="4.50")
    first = {"priced_for": "Whole chicken", "priced_at": "5.50", "product": "Chicken wings"}

    desk(**first, gross="1.03")
    desk(**first, gross="1.13", price_per_lb="3.99")

    assert [p.price_per_lb for p in packages(desk.day)] == ["4.50", "3.99"]


def test_a_package_has_its_page_its_preview_and_its_proofs(desk, client, parse):
    desk()
    page = parse(client.get(f"{desk.url}1/"))
    (preview,) = page.all("object")
    assert preview.attrs["data"].startswith(f"/days/{desk.day}/labels.pdf?size=4x3&number=1")
    assert "The label has what these rules ask for." in page.one("main").text
    for dots in ("203", "300"):
        proof = client.get(f"/days/{desk.day}/label.png?number=1&dots={dots}")
        assert proof.content.startswith(b"\x89PNG")
    assert client.get(f"{desk.url}9/").status_code == 404


def test_a_label_is_printed_noted_and_printed_again(desk, client):
    desk()
    for _ in range(2):
        sent = client.post(f"{desk.url}1/", {"act": "print"})
        assert sent.status_code == 302
        assert client.get(sent.url).content.startswith(b"%PDF")
        assert package_labels.waiting(desk.day) == ()
    assert len(packages(desk.day)) == 1


def test_labels_that_wait_are_printed_together_and_boxed(desk, client, parse):
    for gross in ("4.01", "4.02", "4.03"):
        desk(gross=gross)
    page = parse(client.get(f"{desk.url}labels/"))
    assert page.one("h1").text == "3 labels wait to be printed"

    sent = client.post(f"{desk.url}labels/", {"act": "print"})
    assert sent.url == f"/days/{desk.day}/labels.pdf?number=1&number=2&number=3"
    assert package_labels.waiting(desk.day) == ()
    box = client.post(f"{desk.url}labels/", {"act": "box", "numbers": "1-2"})
    assert box.url == f"/days/{desk.day}/box.pdf?number=1&number=2"
    assert client.get(box.url).content.startswith(b"%PDF")


def test_birds_are_cut_up_packed_and_compared(desk, client, parse):
    url = f"/days/{desk.day}/cuttings/"
    bad = client.post(url, {"birds_0": "two", "written": "9"})
    assert bad.status_code == 422

    made = client.post(url, {"birds_0": "2", "tank_0": "North tank", "written": "9.00"})
    assert made.status_code == 302
    (view,) = cuttings.cuttings(desk.day)
    code = f"cutting:{view.cutting.id}"
    page = parse(client.get(f"{desk.url}?from={code}"))
    assert page.fields()["lot"] == code

    desk(lot=code, product="Chicken breasts", gross="3.13")
    client.post(url, {"act": "finish", "of": view.cutting.id})
    text = parse(client.get(url)).one("main").text
    assert "34.4 %" in text
    assert "33–36 %" in text


def test_marked_birds_give_the_water_taken_up(desk, client, parse):
    url = f"/days/{desk.day}/water/"
    for stage, weight in (("before", "4.00"), ("after", "4.22")):
        sent = {"mark": "7", "stage": stage, "written": weight, "lot": "K7", "tank": "North tank"}
        assert client.post(url, sent).status_code == 302
    assert client.post(url, {"mark": "", "stage": "after", "written": "4"}).status_code == 422

    page = parse(client.get(url))
    assert page.one("h1").text == "At most 5.5 % water taken up"
    assert "up to 6% retained water" in page.one("main").text


def test_the_scale_is_written_down_checked_and_judged(farm, client, parse, frozen):
    new = {"what": "scale", "name": "Big scale", "capacity": "30 lb", "division": "0.01 lb",
           "scale_class": "III", "test": "10 lb", "seal": "until May"}  # fmt: skip
    assert client.post("/scale/", {**new, "division": "x"}).status_code == 422
    assert client.post("/scale/", new).status_code == 302
    assert "Never checked" in parse(client.get("/scale/")).one("main").text

    check = {"what": "check", "scale": "Big scale"}
    assert client.post("/scale/", {**check, "reading": "ten"}).status_code == 422
    client.post("/scale/", {**check, "reading": "10.01"})
    assert "Checked today" in parse(client.get("/scale/")).one("main").text
    client.post("/scale/", {**check, "reading": "10.03"})
    assert "Do not sell by it" in parse(client.get("/scale/")).one("main").text

    (one,) = scales.scales()
    client.post("/scale/", {"what": "retire", "scale": str(one.id)})
    assert scales.scales() == ()


def test_labels_products_bags_and_promises_are_set_up(farm, client, parse):
    url = "/farm/labels/"
    good = [
        {"what": "settings", "size": "4x6", "dots_per_inch": "300", "carrier": "store",
         "pattern": "2IIIIIVPPPPC", "prefix": ""},
        {"what": "product", "name": "Whole chicken", "item": "12", "price_per_lb": "5.25"},
        {"what": "bag", "name": "Large bag", "weighed": "13 g\n13 g"},
        {"what": "claim", "words": "No antibiotics", "paper": "feed tags",
         "on_file": "2026-05-01"},
    ]  # fmt: skip
    for sent in good:
        assert client.post(url, sent).status_code == 302, sent
    bad = [
        ({**good[0], "carrier": "gs1"}, "prefix"),
        ({**good[1], "item": "x"}, "item"),
        ({**good[2], "weighed": "13 g"}, "weighed"),
        ({**good[3], "on_file": "soon"}, "on_file"),
    ]
    for sent, field in bad:
        answer = client.post(url, sent)
        assert answer.status_code == 422
        assert parse(answer).fields()[field] == sent[field]

    text = parse(client.get(url)).one("main").text
    for words in ("Whole chicken", "Large bag", "0.03 lb", "No antibiotics", "feed tags"):
        assert words in text
    assert client.get(f"{url}test.pdf").content.startswith(b"%PDF")
    client.post(url, {"what": "claim_out", "of": str(desk_setup.claims()[0].id)})
    assert desk_setup.claims() == ()


def test_the_desk_shows_a_scale_that_was_not_checked(desk, client, parse):
    scales.save_scale(name="Big scale", capacity="30 lb", division="0.01 lb", scale_class="III",
                      test="10 lb", seal="")  # fmt: skip

    assert "has not been checked on this day" in parse(client.get(desk.url)).one("main").text


def test_what_the_scale_shows_is_told_live(desk, client, frozen):
    from decimal import Decimal

    from pinfeather.packs.scale_reports import Shown

    scales.save_scale(name="Big scale", capacity="30 lb", division="0.01 lb", scale_class="III",
                      test="", seal="")  # fmt: skip
    still = Shown("stable", Decimal("4.52"), "lb")
    scales.show("", still, still, now=frozen)

    told = client.get(f"{desk.url}live/").json()

    assert (told["shown"], told["state"], told["stable"]) == ("4.52 lb", "stable", "4.52 lb")
    desk(gross=told["stable"], entry=told["entry"])
    desk(gross=told["stable"], entry=told["entry"])
    assert len(packages(desk.day)) == 1
    assert client.get(f"{desk.url}live/").json()["entry"] == ""
