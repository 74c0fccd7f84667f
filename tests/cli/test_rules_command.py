"""Rules and tier on the command line: lists, every number, a checked file, and what is wrong."""

from __future__ import annotations

import json
import sys
from pathlib import Path

import pytest

from pinfeather.cli import main
from pinfeather.rules.profile import available, template

EXAMPLE = Path(__file__).parents[2] / "examples" / "tier.toml"


@pytest.fixture
def run(capsys, monkeypatch):
    def told(*args: str) -> tuple[int, str, str]:
        monkeypatch.setattr(sys, "argv", ["pinfeather", *args])
        code = 0
        try:
            main()
        except SystemExit as stop:
            code = int(stop.code or 0)
        said = capsys.readouterr()
        return code, said.out, said.err

    return told


def test_the_example_file_gives_its_tier_headroom_and_what_would_change(run) -> None:
    code, out, err = run("calc", "tier", str(EXAMPLE), "--json")
    found = json.loads(out)
    assert code == 0, err
    assert (found["tier"], found["counted_birds"], found["left_birds"]) == (
        "producer_1000",
        940,
        60,
    )
    assert any("61 birds more" in one["condition"] for one in found["what_would_change"])
    assert [one["code"] for one in found["findings"]] == ["count.toward_cap"]
    assert found["rules"]["version"]
    assert "not legal advice" in found["notice"]
    code, out, _err = run("calc", "tier", str(EXAMPLE))
    assert code == 0
    assert "60 of 1,000 birds left" in out
    assert "not legal advice" in out


def test_where_no_tier_fits_the_command_ends_with_one(run, tmp_path) -> None:
    file = tmp_path / "tier.toml"
    file.write_text("[birds]\nchicken = 20001\n", encoding="utf-8")
    code, out, _err = run("calc", "tier", str(file), "--json")
    assert code == 1
    assert json.loads(out)["tier"] is None


def test_every_fault_of_a_tier_file_is_told_at_once(run, tmp_path) -> None:
    file = tmp_path / "tier.toml"
    file.write_text(
        'profile = "us-zz"\nextra = 1\n[birds]\nchicken = "many"\nduck = -1\n[facts]\n'
        'sells = "yes"\nsingle = true\n',
        encoding="utf-8",
    )
    code, _out, err = run("calc", "tier", str(file))
    assert code == 2
    for name in ("profile", "extra", "birds.chicken", "birds.duck", "facts.sells", "facts.single"):
        assert f"{name}: " in err
    file.write_text("birds = 3\nfacts = 4\n", encoding="utf-8")
    code, _out, err = run("calc", "tier", str(file))
    assert code == 2
    assert "birds: " in err
    assert "facts: " in err


def test_an_unknown_kind_of_bird_is_refused(run, tmp_path) -> None:
    file = tmp_path / "tier.toml"
    file.write_text("[birds]\ndragon = 3\n", encoding="utf-8")
    code, _out, err = run("calc", "tier", str(file))
    assert code == 2
    assert "dragon" in err


def test_the_list_names_every_profile(run) -> None:
    code, out, _err = run("rules", "list")
    assert code == 0
    assert all(one.profile_id in out and one.name in out for one in available())
    code, out, _err = run("rules", "list", "--json")
    assert {one["profile_id"] for one in json.loads(out)["profiles"]} == {
        one.profile_id for one in available()
    }


def test_a_profile_is_shown_with_every_source(run) -> None:
    code, out, _err = run("rules", "show", "us-wa")
    assert code == 0
    for words in ("45 °F", "WAC 16-170-175", "read in the source", "not legal advice"):
        assert words in out
    code, out, _err = run("rules", "show", "us-wa", "--json")
    rows = json.loads(out)["rows"]
    assert len(rows) > 150
    assert all(row["citation"] and row["status"] and row["in_force"] for row in rows)
    code, _out, err = run("rules", "show", "us-zz")
    assert code == 2
    assert "us-federal" in err


def test_a_profile_file_is_checked_with_all_its_faults(run, tmp_path) -> None:
    file = tmp_path / "mine.toml"
    file.write_text(template(), encoding="utf-8")
    assert run("rules", "check", str(file))[0] == 0
    assert json.loads(run("rules", "check", str(file), "--json")[1])["faults"] == []
    file.write_text(
        template().replace('unit = "birds"', 'unit = "h"').replace("[timing]", "[timming]"),
        encoding="utf-8",
    )
    code, _out, err = run("rules", "check", str(file))
    assert code == 2
    assert "mine.tiers.small.cap.unit: " in err
    assert "mine.timing: " in err
    code, _out, err = run("rules", "check", str(tmp_path / "nowhere.toml"))
    assert code == 2
    assert "cannot be read" in err
