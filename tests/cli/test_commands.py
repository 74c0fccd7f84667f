"""The command line: what it prints, where, and with which exit code."""

from __future__ import annotations

import io
import json
import re
import subprocess
import sys
from contextlib import redirect_stderr, redirect_stdout
from dataclasses import dataclass
from pathlib import Path

import pytest

from pinfeather.cli import main

DAY = Path(__file__).parent.parent / "data" / "cli_day.toml"
SUFFIX = re.compile(
    r"_(kg|s|degC|K|W|J|m|m2|m3|ppm|frac|F)$"  # F only where a limit is published in it
)
COUNTS = frozenset(
    [
        "birds",
        "washes",
        "replications",
        "unfinished",
        "wip_limit",
        "cones_needed",
        "headroom_after",
        "counted_before",
        "measured",
        "limit",
        "draws",
    ]
)


@dataclass
class Done:
    """What a command left behind."""

    returncode: int
    stdout: str
    stderr: str


def alone(*args: str) -> Done:
    """Run a command in a process of its own."""
    done = subprocess.run(
        [sys.executable, "-c", "from pinfeather.cli import main; main()", *args],
        capture_output=True,
        text=True,
        check=False,
    )
    return Done(done.returncode, done.stdout, done.stderr)


def run(*args: str) -> Done:
    """Run a command here, its output caught."""
    out, err = io.StringIO(), io.StringIO()
    was, sys.argv = sys.argv, ["pinfeather", *args]
    try:
        with redirect_stdout(out), redirect_stderr(err):
            main()
    except SystemExit as ended:
        code = ended.code
    else:
        code = 0
    finally:
        sys.argv = was
    return Done(0 if code is None else int(code), out.getvalue(), err.getvalue())


@pytest.fixture(scope="session")
def planned() -> Done:
    return alone("plan-day", str(DAY), "--json")


def test_help_lists_the_commands() -> None:
    done = alone("--help")

    assert done.returncode == 0
    for command in ("serve", "demo", "plan-day", "verify"):
        assert command in done.stdout
    assert done.stderr == ""


def test_the_version_is_told() -> None:
    from pinfeather import __version__

    assert run("--version").stdout.strip() == __version__


def test_a_plan_is_one_json_object_with_findings(planned) -> None:
    assert planned.returncode in {0, 1}
    assert planned.stderr == ""
    document = json.loads(planned.stdout)
    assert document["date"] == "2026-10-03"
    assert document["birds"] == len(document["threads"]) == 5
    stops = [f for f in document["findings"] if f["severity"] == "stop"]
    assert planned.returncode == (1 if stops else 0)
    for finding in document["findings"]:
        assert {"code", "severity", "sentence", "reason", "where"} <= set(finding)
        assert finding["severity"] in {"note", "check", "stop"}
        assert finding["sentence"].endswith((".", "?"))


def numbers(value: object, path: tuple[str, ...] = ()):
    if isinstance(value, dict):
        for name, inner in value.items():
            yield from numbers(inner, (*path, name))
    elif isinstance(value, list):
        for inner in value:
            yield from numbers(inner, path)
    elif isinstance(value, float) or (isinstance(value, int) and not isinstance(value, bool)):
        yield path


def test_every_number_says_its_unit_in_its_name(planned) -> None:
    bare = {
        path
        for path in numbers(json.loads(planned.stdout))
        if path[-1] not in COUNTS and not any(SUFFIX.search(name) for name in path)
    }
    assert bare - {("bottleneck", "utilisation")} == set()


def test_the_same_seed_gives_the_same_plan_in_another_process(planned) -> None:
    assert run("plan-day", str(DAY), "--json").stdout == planned.stdout


def test_without_json_the_plan_is_told_in_words() -> None:
    done = run("plan-day", str(DAY))

    assert done.returncode in {0, 1}
    assert re.match(r"5 birds on 2026-10-03\. All packed by \d\d:\d\d, between", done.stdout)
    assert "Paced by " in done.stdout
    assert re.search(r"^\d\d:\d\d  \w", done.stdout, re.MULTILINE)
    assert done.stderr == ""


def test_a_day_that_must_not_begin_like_this_exits_with_one(tmp_path) -> None:
    file = tmp_path / "no-ice.toml"
    text = DAY.read_text(encoding="utf-8")
    assert 'ice = "150 lb"' in text
    file.write_text(text.replace('ice = "150 lb"', 'ice = "1 lb"'), encoding="utf-8")

    done = run("plan-day", str(file))

    assert done.returncode == 1
    assert "[stop]" in done.stdout


FAULTY = """
date = 2026-09-19
start = "early"
[[lots]]
code = "a7"
count = 0
mean = "4.5"
[[people]]
name = "Odile"
from = 08:00:00
to = 07:00:00
stations = ["kill", "roof"]
[equipment]
cones = 4
scalder = "25 lb"
"""


def test_all_faults_are_sentences_on_stderr_with_their_paths(tmp_path) -> None:
    file = tmp_path / "faulty.toml"
    file.write_text(FAULTY, encoding="utf-8")

    done = run("plan-day", str(file))

    assert done.returncode == 2
    assert done.stdout == ""
    lines = done.stderr.splitlines()
    paths = {line.split(": ")[0] for line in lines}
    assert {
        "start",
        "lots[0].code",
        "lots[0].count",
        "lots[0].mean",
        "people[0].to",
        "people[0].stations",
        "equipment.scalder",
        "equipment.burner",
        "equipment.tanks",
    } <= paths
    assert all(line.endswith((".", "”.")) for line in lines)
    assert "Traceback" not in done.stderr


def test_faults_can_be_had_as_json(tmp_path) -> None:
    file = tmp_path / "faulty.toml"
    file.write_text(FAULTY, encoding="utf-8")

    done = run("plan-day", str(file), "--json")

    assert done.returncode == 2
    faults = json.loads(done.stdout)["faults"]
    assert {"where", "sentence"} == set(faults[0])
    assert "lots[0].mean" in {fault["where"] for fault in faults}


@pytest.mark.parametrize("json_", [(), ("--json",)])
@pytest.mark.parametrize(
    ("content", "words"),
    [
        (None, "cannot be read"),
        (b"date = [", "is not TOML"),
        (b"birds: 42\n", "is not TOML"),
        (b"\xff\xfe\x00", "is not TOML"),
        (b"\x89PNG\r\n", "is not TOML"),
    ],
)
def test_a_file_that_cannot_be_read_is_told_in_a_sentence(tmp_path, content, words, json_) -> None:
    file = tmp_path / "day.toml"
    if content is not None:
        file.write_bytes(content)

    done = run("plan-day", str(file), *json_)

    assert done.returncode == 2
    told = json.loads(done.stdout)["faults"][0]["sentence"] if json_ else done.stderr
    assert words in told
    assert "day.toml" in told
    assert "Traceback" not in done.stderr


def test_a_folder_is_no_file(tmp_path) -> None:
    done = run("plan-day", str(tmp_path))

    assert done.returncode == 2
    assert "cannot be read" in done.stderr


@pytest.mark.parametrize(
    "args",
    [("roof",), ("plan-day",), ("plan-day", "x.toml", "--sed", "3"), ("serve", "--port", "x")],
)
def test_a_command_nobody_knows_exits_with_two(args) -> None:
    done = run(*args)

    assert done.returncode == 2
    assert "Traceback" not in done.stdout + done.stderr


def test_a_fresh_store_verifies_and_a_changed_one_does_not(real_store, tmp_path) -> None:
    import sqlite3

    from pinfeather.actions.day import days, running

    running.write("note", {"text": "x"}, day_id=days.days()[0].id, who="Odile")
    running.write("note", {"text": "y"}, day_id=days.days()[0].id, who="Odile")
    folder = str(real_store.parent)

    fine = alone("verify", "--data", folder)
    assert fine.returncode == 0
    assert "2 entries" in fine.stdout

    raw = sqlite3.connect(real_store)
    raw.execute("DROP TRIGGER entry_no_update")
    raw.execute("UPDATE records_entry SET who = 'Bram' WHERE seq = 1")
    raw.commit()
    raw.close()
    wrong = alone("verify", "--data", folder)
    assert wrong.returncode == 1
    assert "Entry 1 is not as it was written." in wrong.stdout


def test_a_store_that_is_no_database_is_told_in_a_sentence(tmp_path) -> None:
    (tmp_path / "farm.sqlite3").write_bytes(b"these are not the farm's records" * 400)

    done = alone("verify", "--data", str(tmp_path))

    assert done.returncode == 2
    assert "Traceback" not in done.stderr
    assert done.stderr.strip().endswith(".")


def test_a_data_folder_that_is_a_file_is_told_in_a_sentence(tmp_path) -> None:
    (tmp_path / "taken").write_text("x", encoding="utf-8")

    done = alone("verify", "--data", str(tmp_path / "taken"))

    assert done.returncode == 2
    assert "Traceback" not in done.stderr


def test_a_store_from_a_newer_version_is_told_in_a_sentence(real_store) -> None:
    import sqlite3

    raw = sqlite3.connect(real_store)
    raw.execute(
        "INSERT INTO django_migrations (app, name, applied)"
        " VALUES ('records', '9999_from_the_future', '2030-01-01')"
    )
    raw.commit()
    raw.close()

    done = alone("verify", "--data", str(real_store.parent))

    assert done.returncode == 2
    assert "newer" in done.stderr
    assert "Traceback" not in done.stderr
