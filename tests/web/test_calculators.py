"""The calculators' pages: an address that can be sent, the answer first, everything typed kept."""

from __future__ import annotations

from urllib.parse import parse_qs, urlsplit

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile

from pinfeather.actions.calc.catalogue import calculation, calculations

LOG = "time,temp (F)\n" + "".join(
    f"2026-06-17 09:{m:02d},{34 + 66 * 0.96**m:.1f}\n" for m in range(0, 60, 5)
)
NAMES = [one.name for one in calculations()]


def text(response) -> str:
    return " ".join(response.content.decode().split())


def test_the_list_asks_every_question(farm, client, parse):
    page = parse(client.get("/calculators/"))

    links = {e.attrs["href"]: e.text for e in page.all("a")}
    for one in calculations():
        assert links[f"/calculators/{one.name}/"] == one.question


def test_today_and_farm_lead_to_the_list(farm, client, parse, frozen):
    for address in ("/", "/farm/"):
        assert parse(client.get(address)).all("a", href="/calculators/")


@pytest.mark.parametrize("name", NAMES)
def test_every_calculator_has_a_page_that_shows_what_it_rests_on(name, farm, client, parse):
    one = calculation(name)
    response = client.get(f"/calculators/{name}/")
    page = parse(response)

    assert response.status_code == 200
    assert page.one("h1").text == one.question
    told = [e.text for e in page.all("dd")]
    assert one.formula in told
    assert one.valid_range in told
    for source in one.sources:
        assert any(line.startswith(source.citation) and "·" in line for line in told)
    asked = {e.attrs.get("name") for e in page.elements} - {None}
    assert {ask.name for ask in one.inputs} <= asked
    cautions = [e.text for e in page.all("li")]
    assert set(one.cautions) <= set(cautions)


@pytest.mark.parametrize("name", sorted(set(NAMES) - {"growth", "index"}))
def test_a_page_opens_with_an_answer_before_the_form(name, farm, client):
    html = client.get(f"/calculators/{name}/").content.decode()

    assert html.index('class="facts one"') < html.index("<form")
    assert "aria-invalid" not in html


@pytest.mark.parametrize("name", ["growth", "index"])
def test_what_needs_a_file_opens_without_a_fault_and_without_an_answer(name, farm, client):
    response = client.get(f"/calculators/{name}/")

    assert response.status_code == 200
    assert b"facts one" not in response.content
    assert b"aria-invalid" not in response.content


def test_the_address_gives_the_same_answer_and_keeps_what_was_typed(farm, client, parse):
    typed = {"mass": "4 lb", "bath": "stirred", "water": "35 F", "thickness": "2 in"}
    page = parse(client.get("/calculators/chill/", typed))

    assert {n: page.fields()[n] for n in typed} == typed
    assert page.all("dd", class_="big")[0].text.endswith("min")


def test_each_fault_stands_beside_its_field_and_nothing_typed_is_lost(farm, client, parse):
    typed = {"mass": "four", "water": "34", "build": "lean"}
    response = client.get("/calculators/chill/", typed)
    page = parse(response)

    assert response.status_code == 422
    assert "four" in page.fault("mass")
    assert "no unit" in page.fault("water")
    assert {n: page.fields()[n] for n in typed} == typed
    assert page.all("section", role="alert")
    assert not page.all("dl", class_="facts one")


@pytest.mark.parametrize("typed", [{}, {"target": "300 ppm"}, {"bleach": "strong"}])
def test_the_mixing_page_always_shows_the_cautions(typed, farm, client, parse):
    page = parse(client.get("/calculators/dilute/", typed))

    (box,) = (e for e in page.all("section") if "caution" in e.attrs.get("class", ""))
    for caution in calculation("dilute").cautions:
        assert caution in box.text


@pytest.mark.parametrize("typed", [{}, {"strength": "300 ppm"}, {"strength": "strong"}])
@pytest.mark.parametrize("name", ["rinse", "strip"])
def test_rinse_and_sanitiser_pages_always_show_the_cautions(name, typed, farm, client, parse):
    page = parse(client.get(f"/calculators/{name}/", typed))

    (box,) = (e for e in page.all("section") if "caution" in e.attrs.get("class", ""))
    assert "Never mix with acid" in box.text
    for caution in calculation(name).cautions:
        assert caution in box.text


def test_the_farms_last_water_test_and_today_stand_in_the_form(farm, client, parse, frozen):
    from pinfeather.records import models

    models.Farm.objects.update(water_test="2026-04-02")
    fields = parse(client.get("/calculators/water/")).fields()

    assert fields["coliform-tested"] == "2026-04-02"
    assert len(fields["today"]) == 10


def test_too_strong_a_mix_is_a_stop_on_the_page(farm, client):
    assert "finding stop" in text(client.get("/calculators/dilute/", {"target": "300 ppm"}))


def test_markup_that_is_typed_stays_text(farm, client):
    response = client.get("/calculators/chill/", {"mass": "<script>alert(1)</script>"})

    assert b"<script>alert" not in response.content


def test_rows_that_were_pasted_become_an_address(farm, client):
    response = client.post("/calculators/growth/", {"log": LOG, "organism": "ecoli"})

    assert response.status_code == 302
    address = urlsplit(response["Location"])
    assert parse_qs(address.query)["organism"] == ["ecoli"]
    assert b"facts one" in client.get(response["Location"]).content


def test_a_file_that_was_sent_is_answered_and_stands_in_the_form(farm, client, parse):
    rows = LOG + "".join(f"2026-06-17 1{h}:{m:02d},38.0\n" for h in range(4) for m in range(60))
    file = SimpleUploadedFile("probe.csv", rows.encode())

    response = client.post("/calculators/growth/", {"log_file": file, "log": "", "limit": "41 F"})

    assert response.status_code == 200
    assert b"facts one" in response.content
    fields = parse(response).fields()
    assert fields["limit"] == "41 F"
    assert fields["log"].split() == rows.split()


def test_a_file_that_is_no_log_is_told_beside_its_field(farm, client, parse):
    file = SimpleUploadedFile("photo.jpg", b"\xff\xd8\xff\xe0" + bytes(9000))

    response = client.post("/calculators/growth/", {"log_file": file})

    assert response.status_code == 422
    assert parse(response).fault("log")


def test_a_form_that_is_sent_needs_its_token(farm, strict_client):
    assert strict_client.post("/calculators/growth/", {"log": LOG}).status_code == 403


def test_a_metric_farm_is_asked_and_answered_in_metric(farm, client, parse):
    from pinfeather.records import models

    models.Farm.objects.update(units="metric")
    page = parse(client.get("/calculators/ice/"))

    assert page.fields()["mass"].endswith("kg")
    assert page.all("dd", class_="big")[0].text.endswith("kg")


def test_the_farms_own_altitude_stands_in_the_form(farm, client, parse):
    assert parse(client.get("/calculators/boil/")).fields()["altitude"] == "700 ft"


def test_what_an_address_adds_on_its_own_is_left_alone(farm, client):
    assert client.get("/calculators/thaw/", {"utm": "x", "mass": "6 lb"}).status_code == 200


def test_an_unknown_calculator_is_not_found(farm, client):
    assert client.get("/calculators/weather/").status_code == 404
