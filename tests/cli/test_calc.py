"""``pinfeather calc``: every calculator as a command."""

from __future__ import annotations

import json
import shlex
import subprocess
import sys
from pathlib import Path

import pytest

from pinfeather.actions.calc.catalogue import calculations
from pinfeather.cli.calc import app as calc

LOG = "time,temp (F)\n" + "".join(
    f"2026-06-17 09:{m:02d},{34 + 66 * 0.96**m:.1f}\n" for m in range(0, 60, 5)
)
PROMISED = [
    'chill --mass "4 lb" --build broad --bath still --water "34 F" --start "100 F" --limit "40 F"',
    'boil --altitude "5000 ft"',
    "growth LOG.csv --organism salmonella",
    'dilute --bleach 8.25% --target "100 ppm" --volume "5 gal"',
]
EXAMPLES = list(
    dict.fromkeys([*PROMISED, *(f"{one.name} {one.example}" for one in calculations())])
)
NAMED = [words.split()[0] for words in EXAMPLES]


@pytest.fixture
def here(tmp_path, monkeypatch):
    (tmp_path / "LOG.csv").write_text(LOG, encoding="utf-8")
    for one in calculations():  # a file that an example names is the one its page begins with
        file = next((ask for ask in one.inputs if ask.kind == "file" and ask.default), None)
        path = tmp_path / shlex.split(one.example)[0]
        if file is not None and not path.name.startswith("--"):
            path.parent.mkdir(exist_ok=True)
            path.write_text(file.default, encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    return tmp_path


def in_process(words: str, capsys) -> tuple[int, str]:
    with pytest.raises(SystemExit) as done:
        calc(shlex.split(words))
    return int(done.value.code or 0), capsys.readouterr().out


def whole(*args: str, cwd: Path | None = None) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-c", "from pinfeather.cli import main; main()", "calc", *args],
        capture_output=True,
        text=True,
        check=False,
        cwd=cwd,
    )


@pytest.mark.parametrize("words", EXAMPLES, ids=NAMED)
def test_every_example_prints_an_answer_with_its_source(words, here, capsys):
    code, printed = in_process(words, capsys)

    assert code == 0
    assert ": " in printed.splitlines()[0]
    assert "Source: " in printed
    assert max(map(len, printed.splitlines())) <= 88


@pytest.mark.parametrize("words", EXAMPLES, ids=NAMED)
def test_every_example_prints_one_json_object(words, here, capsys):
    code, printed = in_process(f"{words} --json", capsys)

    document = json.loads(printed)
    assert code == 0
    assert document["calculation"] == words.split()[0]
    assert isinstance(document["findings"], list)


def test_every_calculator_has_a_command_and_no_other_has():
    commands = {name for name in calc if not name.startswith("-")}

    from_files = {"line", "crew", "windows", "allocate", "tier"}  # tested in files of their own
    assert commands == {one.name for one in calculations()} | from_files


def test_never_is_null_and_an_exit_code_of_one(capsys):
    code, printed = in_process('chill --water "45 F" --json', capsys)

    assert code == 1
    assert json.loads(printed)["time_s"] is None


def test_too_strong_a_mix_is_a_stop_and_shows_the_cautions(capsys):
    code, printed = in_process('dilute --target "250 ppm"', capsys)

    assert code == 1
    assert "[stop]" in printed
    assert printed.count("Caution: ") >= 5


def test_temperatures_below_zero_are_values_not_options(capsys):
    assert in_process('freeze --air "-10 F"', capsys)[0] == 0


def test_metric_answers_are_metric(capsys):
    _code, printed = in_process("ice --units metric", capsys)

    assert "kg" in printed
    assert " lb" not in printed.split("Source")[0]


def test_all_faults_are_told_at_once_with_exit_code_two():
    done = whole("chill", "--mass", "4", "--water", "cold", "--json")

    assert done.returncode == 2
    faults = json.loads(done.stdout)["faults"]
    assert [fault["where"] for fault in faults] == ["mass", "water"]


@pytest.mark.parametrize(
    "args", [["nosuch"], ["chill", "--color", "red"], ["growth"], ["growth", "missing.csv"]]
)
def test_wrong_usage_has_exit_code_two_and_says_why(args, tmp_path):
    done = whole(*args, cwd=tmp_path)

    assert done.returncode == 2
    assert done.stderr.strip()
    assert "Traceback" not in done.stderr


def test_asking_for_help_pulls_in_neither_numpy_nor_django():
    script = (
        "import sys\n"
        "from pinfeather.cli.app import app\n"
        "app(['--help'], result_action='return_value')\n"
        "print(sorted({m.partition('.')[0] for m in sys.modules} & {'numpy', 'scipy', 'django'}))"
    )

    done = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, check=True
    )

    assert "calc" in done.stdout
    assert done.stdout.strip().endswith("[]")


def test_a_calculator_needs_no_django():
    script = (
        "import sys\n"
        "from pinfeather.cli import calc\n"
        "print(sorted({m.partition('.')[0] for m in sys.modules} & {'scipy', 'django'}))"
    )

    done = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, check=True
    )

    assert done.stdout.strip() == "[]"
