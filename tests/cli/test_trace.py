"""``pinfeather trace`` and ``pinfeather calc allocate``."""

from __future__ import annotations

import json
import sys
from pathlib import Path

import pytest

from pinfeather.cli.app import run

EXAMPLES = Path(__file__).parents[2] / "examples"


def answer(capsys, monkeypatch, *args: str) -> tuple[int, str, str]:
    monkeypatch.setattr(sys, "argv", ["pinfeather", *args])
    with pytest.raises(SystemExit) as ended:
        run()
    told = capsys.readouterr()
    return int(ended.value.code or 0), told.out, told.err


def test_the_allocation_of_the_guide(capsys, monkeypatch) -> None:
    code, out, _err = answer(
        capsys, monkeypatch, "calc", "allocate", str(EXAMPLES / "allocate.toml"), "--json"
    )
    found = json.loads(out)
    assert code == 1  # one bird too few
    assert {(g["order"], g["package"]) for g in found["given"]} == {
        ("Ruth", 1), ("Ruth", 2), ("Brandts", 4), ("Brandts", 3),
    }  # fmt: skip
    assert found["unserved"] == [{"order": "Joan", "bird": 1}]
    assert found["spare"] == []


def test_by_turns_everybody_gets_one(capsys, monkeypatch, tmp_path) -> None:
    text = (EXAMPLES / "allocate.toml").read_text()
    file = tmp_path / "turns.toml"
    file.write_text(text.replace('"first come"', '"turns"', 1))
    _code, out, _err = answer(capsys, monkeypatch, "calc", "allocate", str(file))
    assert "Joan, bird 1: package" in out
    assert "everybody was served one before anybody a second" in out


def test_every_fault_of_a_file_is_told_at_once(capsys, monkeypatch, tmp_path) -> None:
    file = tmp_path / "wrong.toml"
    file.write_text(
        'share = "by strength"\n'
        '[[packages]]\nnumber = 1\nnet = "4.5"\n[[packages]]\nnumber = 1\nnet = "4 lb"\n'
        '[[orders]]\nname = ""\nbirds = [{ from = "5 lb", to = "4 lb" }, { pin = 9, count = 2 }]\n'
        '[[orders]]\nname = "A"\nbrids = []\n'
    )
    code, out, _err = answer(capsys, monkeypatch, "calc", "allocate", str(file), "--json")
    assert code == 2
    where = {fault["where"] for fault in json.loads(out)["faults"]}
    assert where >= {
        "share", "packages[0].net", "packages", "orders[0].name", "orders[0].birds[0].to",
        "orders[0].birds[1].pin", "orders[1].birds", "orders[1].brids", "orders",
    }  # fmt: skip


def test_a_lot_is_traced_from_the_command_line(demo_farm, capsys, monkeypatch, tmp_path) -> None:
    monkeypatch.setattr("pinfeather.actions.store.open_store", lambda *_a, **_k: None)
    paper = tmp_path / "trace.pdf"
    code, out, _err = answer(
        capsys, monkeypatch, "trace", "B2", "--data", str(tmp_path), "--pdf", str(paper)
    )
    assert code == 0
    assert "Buyers: Joan Whitlock" in out
    assert paper.read_bytes().startswith(b"%PDF")

    code, out, _err = answer(capsys, monkeypatch, "trace", "B2", "--json", "--data", str(tmp_path))
    found = json.loads(out)
    assert found["packages"] == len(found["where"]) == 20
    assert found["found_frac"] == 1

    code, _out, err = answer(capsys, monkeypatch, "trace", "moon", "--data", str(tmp_path))
    assert code == 2
    assert "moon" in err
