"""Every worked example in the documents gives what it says, and the example file is complete."""

from __future__ import annotations

import ast
import doctest
import re
import tomllib
from pathlib import Path

import pytest

from pinfeather.actions.day.planfile import plan_from_mapping
from pinfeather.cli.app import app
from pinfeather.day.planner import plan_day
from pinfeather.day.request import request_from
from pinfeather.season.request import request_from as season_from

ROOT = Path(__file__).parents[2]
EXAMPLE = ROOT / "examples" / "plan_day.toml"
GUIDE = ROOT / "docs" / "guide" / "plan-a-day.md"
SEASON = ROOT / "examples" / "season.toml"
SEASON_GUIDE = ROOT / "docs" / "guide" / "season-file.md"
BLOCK = re.compile(r"^```pycon\n(.*?)^```", re.DOTALL | re.MULTILINE)
WITH_EXAMPLES = [
    p for p in sorted((ROOT / "docs").rglob("*.md")) if BLOCK.search(p.read_text("utf-8"))
]


@pytest.mark.parametrize("page", WITH_EXAMPLES, ids=lambda p: p.relative_to(ROOT).as_posix())
def test_the_worked_examples_give_what_the_page_says(page: Path, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.chdir(ROOT)
    blocks = "\n".join(BLOCK.findall(page.read_text("utf-8")))
    test = doctest.DocTestParser().get_doctest(blocks, {}, page.name, str(page), 0)
    said: list[str] = []

    failed, tried = doctest.DocTestRunner(optionflags=doctest.NORMALIZE_WHITESPACE).run(
        test, out=said.append
    )

    assert tried > 0
    assert failed == 0, "".join(said)


def test_every_calculation_page_has_a_worked_example_and_says_how_sure_it_is():
    for page in sorted((ROOT / "docs" / "guide" / "calculations").glob("*.md")):
        assert page in WITH_EXAMPLES, page.name
        text = page.read_text("utf-8")
        for title in (
            "How it is worked out",
            "Worked example",
            "Where it holds",
            "Source",
            "How sure",
        ):
            assert f"\n## {title}\n" in text, (page.name, title)
        assert "**What it answers.**" in text, page.name


def asked() -> dict:
    return tomllib.loads(EXAMPLE.read_text("utf-8"))


def test_the_example_file_stands_in_the_guide_word_for_word():
    assert f"```toml\n{EXAMPLE.read_text('utf-8')}```" in GUIDE.read_text("utf-8")


def test_the_example_file_makes_a_plan_for_its_thirty_birds():
    plan = plan_day(request_from(asked()), days=8, change_days=1)

    assert plan.birds == 30
    assert plan.unfinished == 0
    assert [f for f in plan.findings if f.severity.code == "stop"] == []


def test_the_example_file_gives_one_json_object():
    _request, plan, document = plan_from_mapping(asked(), seed=1)

    assert document["date"] == "2026-09-12"
    assert document["birds"] == plan.birds


def test_the_season_stands_in_the_guide_word_for_word_and_is_read_whole():
    text = SEASON.read_text("utf-8")

    assert f"```toml\n{text}```" in SEASON_GUIDE.read_text("utf-8")
    request = season_from(tomllib.loads(text), spelled=True)
    assert {kind.species for kind in request.kinds} == {"chicken", "turkey", "duck"}


def keys_read() -> set[str]:
    """Every key that the request's reader asks for, taken from its source."""
    source = (ROOT / "src" / "pinfeather" / "day" / "request.py").read_text("utf-8")
    asks = {"text", "date", "time", "quantity", "optional_quantity", "quantities", "integer"}
    asks |= {"number", "choice", "words", "spans", "table", "tables"}
    return {
        node.args[0].value
        for node in ast.walk(ast.parse(source))
        if isinstance(node, ast.Call)
        and isinstance(node.func, ast.Attribute)
        and node.func.attr in asks
        and node.args
        and isinstance(node.args[0], ast.Constant)
    }


def keys_written(node: object) -> set[str]:
    if isinstance(node, dict):
        return set(node) | {k for value in node.values() for k in keys_written(value)}
    if isinstance(node, list):
        return {k for value in node for k in keys_written(value)}
    return set()


def test_the_example_file_uses_every_key_there_is():
    assert len(keys_read()) > 40
    assert keys_read() - keys_written(asked()) == set()


def test_the_guide_explains_every_key():
    tables = GUIDE.read_text("utf-8").partition("## Key by key")[2]

    assert {key for key in keys_read() if f"`{key}`" not in tables} == set()


def test_every_command_is_on_the_page_of_commands():
    page = (GUIDE.parent / "commands.md").read_text("utf-8")
    commands = [name for name in app if not name.startswith("-")]

    assert "plan-day" in commands
    assert [name for name in commands if f"| `pinfeather {name}" not in page] == []


def test_the_cost_example_is_the_same_in_guide_folder_and_package():
    from pinfeather.money.cost_file import example_text

    text = (ROOT / "examples" / "cost.toml").read_text("utf-8")
    assert text == example_text()
    assert f"```toml\n{text}```" in (ROOT / "docs" / "guide" / "money.md").read_text("utf-8")
