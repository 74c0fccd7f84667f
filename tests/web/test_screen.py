"""Each screen has a language and units of its own; the farm's, and its labels, stay as they are."""

from __future__ import annotations

import io

import pytest
from django.conf import settings
from django.utils import translation
from pypdf import PdfReader

from pinfeather.actions import farm as farms
from pinfeather.records.models import Entry


@pytest.fixture(autouse=True)
def _english_again():
    """The program answers each request in a language of its own; a test's thread keeps the last."""
    yield
    translation.deactivate()


def test_units_chosen_at_one_screen_hold_there_alone(demo_farm, client):
    other = type(client)(headers={"host": "127.0.0.1"})
    client.post("/screen/", {"units": "metric", "language": "en"})
    assert "°C" in client.get("/thermometers/").content.decode()
    assert "°F" in other.get("/thermometers/").content.decode()
    with farms.reading_in("metric"):
        assert farms.farm().units == "metric"
        assert farms.farm_as_kept().units == "us"
    assert farms.farm().units == "us"


def test_saving_the_farm_never_saves_the_readers_units(demo_farm, client):
    client.post("/screen/", {"units": "metric", "language": "en"})
    page = client.get("/farm/").content.decode()
    assert '<option value="us" selected>' in page


def test_unknown_choices_change_nothing(farm, client):
    client.post("/screen/", {"units": "stone", "language": "tlh"})
    assert client.session.get("units", "") == ""
    assert settings.LANGUAGE_COOKIE_NAME not in client.cookies


def test_a_language_a_machine_made_says_so_on_every_page(demo_farm, client):
    client.post("/screen/", {"units": "", "language": "es"})
    page = client.get("/").content.decode()
    assert '<html lang="es"' in page
    assert "read the English" in page or "lea también el inglés" in page


def test_labels_stay_in_english(demo_farm, client):
    package = Entry.objects.filter(kind="package").first()
    assert package is not None
    client.post("/screen/", {"units": "metric", "language": "es"})
    answer = client.get(f"/days/{package.day_id}/labels.pdf?number={package.payload['number']}")
    assert answer.status_code == 200
    text = PdfReader(io.BytesIO(answer.content)).pages[0].extract_text()
    assert "Net Wt." in text
    assert "Packing date" in text
