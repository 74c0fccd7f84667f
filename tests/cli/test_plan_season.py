"""``pinfeather plan-season``: words, one JSON object, exit codes."""

from __future__ import annotations

import json
import tomllib
from pathlib import Path

import pytest

from pinfeather.actions.season.from_file import season_from_mapping
from pinfeather.cli.planseason import season_file
from pinfeather.errors import InputError, InputFaultsError

EXAMPLE = Path(__file__).parents[2] / "examples" / "season.toml"


@pytest.fixture
def short(tmp_path: Path) -> Path:
    """The example without the kinds and orders that take time to solve."""
    text = EXAMPLE.read_text("utf-8")
    head, *parts = text.split("\n[[")
    kept = [p for p in parts if not any(w in p for w in ('"LN"\n', "Mill", "Harvest", '"DK"'))]
    body = "\n[[".join([head, *kept]).replace('kinds = ["BR", "LN"]', 'kinds = ["BR"]')
    body = body.replace("every = 2                   # weeks", "every = 4")
    file = tmp_path / "short.toml"
    file.write_text(body, encoding="utf-8")
    tomllib.loads(body)
    return file


def test_the_answer_comes_first_and_dates_follow(
    short: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    code = season_file(short, as_json=False, seed=1, quick=True, keep=None)

    out = capsys.readouterr().out
    assert code == 0
    assert "left if all goes as expected" in out.splitlines()[0]
    assert "Eight of ten seasons" in out.splitlines()[1]
    assert "2027-11-24  Pickup" in out


def test_json_is_one_object_that_a_later_plan_can_be_kept_to(
    short: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    season_file(short, as_json=True, seed=1, quick=True, keep=None)
    text = capsys.readouterr().out
    document = json.loads(text)
    before = tmp_path / "before.json"
    before.write_text(text, encoding="utf-8")

    assert document["sums"]["profit_cents"] > 0
    assert isinstance(document["findings"], list)
    assert "Infinity" not in text
    assert season_file(short, as_json=False, seed=1, quick=True, keep=before) == 0
    assert "Changed:" not in capsys.readouterr().out


def test_an_impossible_season_ends_with_one(
    short: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    text = short.read_text("utf-8").replace("birds = 16", "birds = 600")
    short.write_text(text, encoding="utf-8")

    code = season_file(short, as_json=False, seed=1, quick=True, keep=None)

    assert code == 1
    assert capsys.readouterr().out.startswith("No plan is possible.\n[stop]")


def test_files_that_are_not_what_they_should_be_are_refused(tmp_path: Path, short: Path) -> None:
    odd = tmp_path / "odd.json"
    odd.write_text("{}", encoding="utf-8")
    for file, keep in ((tmp_path / "none.toml", None), (short, odd), (short, short)):
        with pytest.raises(InputError):
            season_file(file, as_json=True, seed=1, quick=True, keep=keep)
    with pytest.raises(InputFaultsError):
        season_from_mapping({"from": "2027-01-01"}, seed=1)
