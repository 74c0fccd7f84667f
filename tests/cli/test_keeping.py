"""backup, restore, export, import and verify by command, the program in a process of its own."""

from __future__ import annotations

import json
import re
import signal
import sqlite3
import subprocess
import sys
from pathlib import Path

import pytest
from django.db import connection

from pinfeather.actions.day import running

COMMAND = [sys.executable, "-c", "from pinfeather.cli import main; main()"]


def alone(*args: object) -> subprocess.CompletedProcess[str]:
    return subprocess.run([*COMMAND, *map(str, args)], capture_output=True, text=True, check=False)


@pytest.fixture
def folder(real_store) -> Path:
    running.write("note", {"text": "rain"}, day_id=1, who="Odile")
    connection.close()
    return real_store.parent


def test_out_and_back_again(folder, tmp_path) -> None:
    made = alone("backup", "--data", folder, "--to", tmp_path / "stick.sqlite3")
    assert (made.returncode, made.stderr) == (0, "")
    assert "1 lines of the journal, read back and whole" in made.stdout

    out = alone("export", tmp_path / "all.zip", "--data", folder)
    assert out.returncode == 0
    for source, new in ((tmp_path / "all.zip", "n1"), (tmp_path / "stick.sqlite3", "n2")):
        back = alone("import", source, "--data", tmp_path / new)
        assert (back.returncode, back.stderr) == (0, "")
        assert "each equal to the source" in back.stdout
        fine = alone("verify", "--data", tmp_path / new, "--json")
        told = json.loads(fine.stdout)
        assert told["whole"]
        assert told["entries"] == 1
    again = alone("import", tmp_path / "all.zip", "--data", tmp_path / "n1")
    assert again.returncode == 2
    assert "records here already" in again.stderr


def test_a_damaged_store_is_put_right_on_the_command_line(folder, tmp_path) -> None:
    alone("backup", "--data", folder, "--to", tmp_path / "stick.sqlite3")
    (folder / "farm.sqlite3").write_bytes(b"not the farm's records" * 500)
    assert alone("verify", "--data", folder).returncode == 2

    done = alone("restore", tmp_path / "stick.sqlite3", "--data", folder)

    assert done.returncode == 0
    assert "The records from before are in" in done.stdout
    assert alone("verify", "--data", folder).returncode == 0


def test_what_is_refused_is_refused_in_one_sentence(folder, tmp_path) -> None:
    text = tmp_path / "list.txt"
    text.write_text("eggs", encoding="ascii")
    for args in (
        ("restore", text),
        ("restore", tmp_path / "nowhere"),
        ("import", text),
        ("export", text),
        ("backup", "--to", text),
    ):
        done = alone(*args, "--data", folder)
        assert done.returncode == 2, args
        assert done.stderr.strip().endswith("."), args
        assert "Traceback" not in done.stderr


@pytest.mark.parametrize(
    ("scheme", "rest"),
    [
        ("", "farm"),
        ("mysql", "localhost/farm"),
        ("postgresql", "localhost"),
        ("postgresql", "[::1/x"),
    ],
)
def test_an_address_that_is_none_is_told_without_repeating_a_password(
    tmp_path, scheme, rest
) -> None:
    address = f"{scheme}://{rest}" if scheme else rest
    done = alone("verify", "--data", tmp_path, "--database", address)
    assert done.returncode == 2
    assert "no address of a PostgreSQL database" in done.stderr
    assert "Traceback" not in done.stderr
    assert "localhost" not in done.stderr


def serve(folder: Path) -> tuple[subprocess.Popen[str], str]:
    program = subprocess.Popen(
        [*COMMAND, "serve", "--no-browser", "--port", "0", "--data", str(folder)],
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
    )
    assert program.stdout is not None
    for line in program.stdout:
        if found := re.search(r"http://127\.0\.0\.1:\d+", line):
            return program, found[0]
    raise AssertionError("the program did not start")


def ended(program: subprocess.Popen[str]) -> None:
    program.send_signal(signal.SIGTERM)
    program.communicate(timeout=10)


def test_while_the_program_runs_nothing_else_restores_or_serves(folder, tmp_path) -> None:
    alone("backup", "--data", folder, "--to", tmp_path / "stick.sqlite3")
    program, _address = serve(folder)
    try:
        for args in (("restore", tmp_path / "stick.sqlite3"), ("serve", "--port", "0")):
            done = alone(*args, "--data", folder)
            assert done.returncode == 2
            assert "running on the records" in done.stderr
        assert alone("backup", "--data", folder).returncode == 0
    finally:
        ended(program)


def test_a_program_on_a_damaged_store_starts_and_offers_the_way_back(folder) -> None:
    import urllib.error
    import urllib.request
    from http.cookiejar import CookieJar
    from urllib.parse import urlencode

    alone("backup", "--data", folder)
    store = folder / "farm.sqlite3"
    store.write_bytes(b"not the farm's records" * 500)
    program, address = serve(folder)
    browser = urllib.request.build_opener(urllib.request.HTTPCookieProcessor(CookieJar()))

    def ask(path: str, data: bytes | None = None) -> tuple[int, str]:
        request = urllib.request.Request(address + path, data, {"Origin": address})
        try:
            with browser.open(request, timeout=20) as answer:
                return answer.status, answer.read().decode()
        except urllib.error.HTTPError as error:
            with error:
                return error.code, error.read().decode()

    try:
        status, text = ask("/")
        assert status == 503
        assert "cannot be opened" in text
        status, text = ask("/farm/safe/")
        (link,) = re.findall(r'href="(/farm/safe/farm-[^"]*)"', text)
        status, text = ask(link)
        token = re.search(r'name="csrfmiddlewaretoken" value="(\w+)"', text)[1]
        status, text = ask(link, urlencode({"csrfmiddlewaretoken": token}).encode())
        assert status == 200
        assert "The backup is in place." in text
        assert ask("/days/1/")[0] == 200
    finally:
        ended(program)
    assert sqlite3.connect(store).execute("SELECT count(*) FROM records_entry").fetchone() == (1,)
