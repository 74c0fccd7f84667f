"""The page “Are our records safe?”: the answer, a backup, going back, and a broken store."""

from __future__ import annotations

import io
import sqlite3
import zipfile
from pathlib import Path

import pytest
from django.db import connection
from django.test import Client

from pinfeather.actions import farm as farms
from pinfeather.actions import safe
from pinfeather.actions.day import running
from pinfeather.records import backup, journal, restoring

pytestmark = pytest.mark.sqlite
PAGE = "/farm/safe/"


@pytest.fixture
def client() -> Client:
    return Client(raise_request_exception=False)


@pytest.fixture(autouse=True)
def untroubled():
    yield
    safe.Trouble.sentence = ""


def note(text: str) -> None:
    running.write("note", {"text": text}, day_id=1, who="Odile")


def test_a_new_farm_is_told_that_there_is_no_backup_yet(real_store, client) -> None:
    text = client.get(PAGE).content.decode()
    assert "There is no backup." in text
    assert "One is made each time a day is closed." in text
    assert str(real_store.parent / "backups") in text


def test_back_up_now_makes_one_and_the_page_says_yes(real_store, client, parse) -> None:
    note("rain")
    answer = client.post(PAGE, {"what": "backup"}, follow=True)

    text = answer.content.decode()
    assert "Every closed day is in a backup that was read back and is whole." in text
    assert "just now" in text
    assert "1 line of the journal, read back" in text
    assert len(backup.listed()) == 1
    assert parse(answer).all("button", value="backup")[0].text == "Back up now"


def test_the_page_says_how_far_the_records_have_gone_on_since(real_store, client) -> None:
    client.post(PAGE, {"what": "backup"})
    note("rain")
    note("more rain")
    assert "2 lines of the journal are newer than it." in client.get(PAGE).content.decode()


def test_a_backup_that_fails_is_told_in_a_sentence(real_store, client) -> None:
    (real_store.parent / "backups").write_text("in the way", encoding="ascii")
    answer = client.post(PAGE, {"what": "backup"})
    assert answer.status_code == 503
    assert "The backup could not be written to" in answer.content.decode()


def test_the_records_can_be_checked_on_the_page(real_store, client) -> None:
    note("rain")
    text = client.post(PAGE, {"what": "check"}).content.decode()
    assert "All 1 lines of the journal are as they were written" in text

    raw = sqlite3.connect(real_store)
    raw.execute("DROP TRIGGER entry_no_update")
    raw.execute("UPDATE records_entry SET who = 'x'")
    raw.commit()
    raw.close()
    text = client.post(PAGE, {"what": "check"}).content.decode()
    assert "Line 1 of the journal is not as it was written." in text
    assert "guard entry_no_update is missing" in text


def test_the_newest_backup_can_be_saved(real_store, client) -> None:
    client.post(PAGE, {"what": "backup"})
    answer = client.get(f"{PAGE}newest.sqlite3")
    assert b"".join(answer.streaming_content) == backup.listed()[0].path.read_bytes()
    assert "attachment" in answer.headers["Content-Disposition"]


def test_the_newest_cannot_be_saved_where_there_is_none(real_store, client) -> None:
    answer = client.get(f"{PAGE}newest.sqlite3")
    assert answer.status_code == 503
    assert "There is no backup yet." in answer.content.decode()


def test_everything_can_be_saved_as_a_zip(real_store, client) -> None:
    note("rain")
    answer = client.get(f"{PAGE}export.zip")
    content = b"".join(answer.streaming_content)
    with zipfile.ZipFile(io.BytesIO(content)) as packed:
        assert packed.testzip() is None
        assert b"rain" in packed.read("tables/records_entry.csv")
    assert "export-" not in "".join(one.name for one in real_store.parent.iterdir())


def test_going_back_asks_first_and_says_what_is_left_out(real_store, client) -> None:
    note("rain")
    client.post(PAGE, {"what": "backup"})
    note("sun")
    name = backup.listed()[0].path.name

    asked = client.get(f"{PAGE}{name}/").content.decode()
    assert "1 line of the journal was written after this backup. It will not be there." in asked
    assert journal.head()[0] == 2

    done = client.post(f"{PAGE}{name}/", follow=True).content.decode()
    assert "The backup is in place." in done
    assert "Set aside" in done
    assert journal.head()[0] == 1
    assert len(restoring.set_aside()) == 1


@pytest.mark.parametrize("name", ["nowhere.sqlite3", "farm.sqlite3", "..", "%2e%2e%2ffarm.sqlite3"])
def test_only_what_is_in_the_list_can_be_put_in_place(real_store, client, name) -> None:
    for answer in (client.get(f"{PAGE}{name}/"), client.post(f"{PAGE}{name}/")):
        assert answer.status_code in {404, 405}
    assert restoring.set_aside() == ()


def test_a_damaged_backup_is_refused_on_the_page(real_store, client) -> None:
    client.post(PAGE, {"what": "backup"})
    path = backup.listed()[0].path
    path.write_bytes(path.read_bytes()[:5000])
    answer = client.post(f"{PAGE}{path.name}/")
    assert answer.status_code == 503
    assert "damaged" in answer.content.decode()
    assert restoring.set_aside() == ()


def broken(path: Path) -> None:
    connection.close()
    for side in ("-wal", "-shm"):
        Path(f"{path}{side}").unlink(missing_ok=True)
    path.write_bytes(b"these are not the farm's records" * 400)


def test_a_damaged_store_is_told_on_every_page_and_mended_without_a_command(
    real_store, client
) -> None:
    note("rain")
    client.post(PAGE, {"what": "backup"})
    broken(real_store)

    for url in ("/", "/days/", "/days/1/", "/farm/", "/thermometers/"):
        answer = client.get(url)
        assert answer.status_code == 503, url
        assert "cannot be read just now" in answer.content.decode()
        assert PAGE in answer.content.decode()
    answer = client.get("/api/days/1/state")
    assert answer.status_code == 503
    assert "cannot be read just now" in answer.json()["sentence"]

    page = client.get(PAGE)
    assert "cannot be read" in page.content.decode()
    name = backup.listed()[0].path.name
    assert client.get(f"{PAGE}{name}/").status_code == 200
    done = client.post(f"{PAGE}{name}/", follow=True)
    assert "The backup is in place." in done.content.decode()
    assert farms.farm().name == "Sorrel Bank Farm"
    assert client.get("/days/1/").status_code == 200


def test_a_store_that_could_not_be_opened_at_the_start_leaves_one_page(real_store, client) -> None:
    client.post(PAGE, {"what": "backup"})
    safe.Trouble.sentence = "The farm's records cannot be opened."
    for url in ("/", "/days/1/"):
        answer = client.get(url)
        assert answer.status_code == 503
        assert "cannot be opened" in answer.content.decode()
    assert client.get("/api/days/1/state").json() == {"sentence": safe.Trouble.sentence}
    page = client.get(PAGE).content.decode()
    assert "Back up now" not in page
    client.post(f"{PAGE}{backup.listed()[0].path.name}/")
    assert client.get("/days/1/").status_code == 200


def test_a_phone_of_the_house_does_not_get_at_backups(real_store) -> None:
    phone = Client(REMOTE_ADDR="192.168.1.20", headers={"host": "192.168.1.5"})
    answer = phone.get(PAGE)
    assert answer.status_code in {302, 400, 403}


def test_no_form_of_the_page_is_taken_without_its_token(real_store, strict_client) -> None:
    assert strict_client.post(PAGE, {"what": "backup"}).status_code == 403
    assert backup.listed() == ()
