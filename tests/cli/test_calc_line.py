"""Line, crew and windows from a file: the guide's examples, and what is wrong with others."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest

from pinfeather.cli import main

EXAMPLES = Path(__file__).parents[2] / "examples"


def run(capsys, monkeypatch, *args: str) -> tuple[int, str, str]:
    monkeypatch.setattr(sys, "argv", ["pinfeather", "calc", *args])
    code = 0
    try:
        main()
    except SystemExit as stop:
        code = int(stop.code or 0)
    told = capsys.readouterr()
    return code, told.out, told.err


def answer(capsys, monkeypatch, *args: str) -> dict:
    code, out, err = run(capsys, monkeypatch, *args, "--json")
    assert code == 0, err
    return json.loads(out)


def test_the_line_of_the_guide(capsys, monkeypatch) -> None:
    found = answer(capsys, monkeypatch, "line", str(EXAMPLES / "line_day.toml"))
    assert {"finish_s", "finish_low_s", "finish_high_s", "bottleneck", "utilisation", "waits"} <= (
        set(found)
    )
    assert found["finish_low_s"] < found["finish_s"] < found["finish_high_s"]
    assert found["line_end_s"] < found["finish_s"]
    assert 0 < found["bottleneck"]["utilisation"] <= 1
    assert found["waits"]["warm"]["mean_s"] <= found["waits"]["warm"]["longest_s"]
    assert found["waits"]["bleed"]["mean_s"] >= 180.0


def test_the_same_seed_gives_the_same_line(capsys, monkeypatch) -> None:
    path = str(EXAMPLES / "line_day.toml")
    one = answer(capsys, monkeypatch, "line", path, "--seed", "3")
    assert one == answer(capsys, monkeypatch, "line", path, "--seed", "3")
    assert one != answer(capsys, monkeypatch, "line", path, "--seed", "4")


def test_your_own_time_replaces_the_handbooks(capsys, monkeypatch, tmp_path) -> None:
    text = (EXAMPLES / "line_day.toml").read_text()
    slow = tmp_path / "slow.toml"
    slow.write_text(text.replace("3 min 20 s", "9 min").replace('"5 min"', '"12 min"'))
    found = answer(capsys, monkeypatch, "line", str(slow))
    usual = answer(capsys, monkeypatch, "line", str(EXAMPLES / "line_day.toml"))
    assert found["line_end_s"] > 1.5 * usual["line_end_s"]


def test_the_line_in_words(capsys, monkeypatch) -> None:
    code, out, _err = run(capsys, monkeypatch, "line", str(EXAMPLES / "line_day.toml"))
    assert code == 0
    assert "42 birds from 08:30" in out
    assert "Paced by" in out
    assert "simulated days" in out


def test_birds_left_over_are_told_with_the_exit_code(capsys, monkeypatch, tmp_path) -> None:
    short = tmp_path / "short.toml"
    text = (EXAMPLES / "line_day.toml").read_text()
    short.write_text(text.replace('to = "16:00"', 'to = "09:30"').replace('["12:00-12:30"]', "[]"))
    code, out, _err = run(capsys, monkeypatch, "line", str(short))
    assert code == 1
    assert "left over" in out


def test_the_crew_of_the_guide(capsys, monkeypatch) -> None:
    found = answer(capsys, monkeypatch, "crew", str(EXAMPLES / "crew_day.toml"))
    assert found["gap_frac"] == pytest.approx(0.0, abs=1e-6)
    assert found["fixed"]["birds_per_h"] < found["moving_birds_per_h"]
    assert found["birds"] >= found["birds_wanted"]
    for part in found["parts"]:
        for one in part["people"]:
            dirty = {"catch", "kill", "scald", "pick"} & set(one["time_s"])
            clean = {"draw", "rinse"} & set(one["time_s"])
            assert not (dirty and clean)
            assert sum(one["time_s"].values()) <= part["to_s"] - part["from_s"] + 1e-6


def test_the_crew_in_words(capsys, monkeypatch) -> None:
    code, out, _err = run(capsys, monkeypatch, "crew", str(EXAMPLES / "crew_day.toml"))
    assert code == 0
    assert "Best fixed posts" in out
    assert "Proved best." in out


def test_the_windows_of_the_guide(capsys, monkeypatch) -> None:
    found = answer(capsys, monkeypatch, "windows", str(EXAMPLES / "windows.toml"))
    assert found["fits"]
    assert found["chosen"]["days"] == 2
    assert sum(found["chosen"]["birds"].values()) == 70
    assert [way["days"] for way in found["ways"]] == [2, 3, 4]
    longest = [way["longest_s"] for way in found["ways"]]
    assert longest == sorted(longest, reverse=True)
    assert all(n == 0 or n >= 10 for way in found["ways"] for n in way["birds"].values())


def test_windows_that_do_not_take_the_birds(capsys, monkeypatch, tmp_path) -> None:
    many = tmp_path / "many.toml"
    many.write_text((EXAMPLES / "windows.toml").read_text().replace("birds = 70", "birds = 700", 1))
    code, out, _err = run(capsys, monkeypatch, "windows", str(many))
    assert code == 1
    assert "do not fit" in out


@pytest.mark.parametrize("command", ["line", "crew", "windows"])
def test_a_file_that_is_not_there_or_no_toml_is_told(
    capsys, monkeypatch, tmp_path, command
) -> None:
    bad = tmp_path / "bad.toml"
    bad.write_text("birds = = 3")
    for path in (tmp_path / "none.toml", bad):
        code, _out, err = run(capsys, monkeypatch, command, str(path))
        assert code == 2
        assert "FILE:" in err


@pytest.mark.parametrize(
    ("command", "text", "names"),
    [
        ("line", 'birds = 0\nspecies = "swan"\n', {"birds", "species", "start", "people"}),
        ("line", 'birds = 3\nstart = "9:00"\nequipment = 3\n', {"equipment", "people"}),
        (
            "crew",
            (
                'birds = 3\nstart = "9:00"\nuntil = "8:00"\n[[people]]\nname = "A"\n'
                'from = "6:00"\nto = "7:00"\nstations = ["dance"]\npace = 9\n'
            ),
            {"until", "people[0].to", "people[0].stations", "people[0].pace"},
        ),
        (
            "line",
            'birds = 3\nstart = "9:00"\n[[times]]\nstation = "draw"\ntime = "2"\n',
            {"times[0].time", "people"},
        ),
        (
            "windows",
            'birds = -1\n[work]\nfixed = "long"\n[[windows]]\nname = "a"\ntime = "0 s"\n',
            {"birds", "work.fixed", "work.bird", "windows[0].time"},
        ),
        ("windows", 'birds = 5\nwork = { fixed = "1 h", bird = "1 min" }\n', {"windows"}),
    ],
)
def test_every_fault_is_told_at_once(capsys, monkeypatch, tmp_path, command, text, names) -> None:
    file = tmp_path / "asked.toml"
    file.write_text(text)
    code, out, _err = run(capsys, monkeypatch, command, str(file), "--json")
    assert code == 2
    assert names <= {fault["where"] for fault in json.loads(out)["faults"]}


def test_the_commands_pull_in_no_numbers_and_no_django_before_they_run() -> None:
    script = (
        "import sys, pinfeather.cli.calc_line\n"
        "assert not {'numpy', 'scipy', 'django'} & set(sys.modules)"
    )
    done = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr
