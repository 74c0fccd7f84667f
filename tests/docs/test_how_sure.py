"""Everything that was not read in its own source is on the page, and the pages are fresh."""

from __future__ import annotations

import importlib.util
import sys
import tomllib
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
PACKAGE = ROOT / "src" / "pinfeather"


@pytest.fixture(scope="module")
def sources():
    spec = importlib.util.spec_from_file_location("sources", ROOT / ".ci" / "sources.py")
    module = importlib.util.module_from_spec(spec)
    sys.modules["sources"] = module
    spec.loader.exec_module(module)
    yield module
    del sys.modules["sources"]


def statuses(node) -> list[str]:
    """Every status word in a TOML file, found another way than the page's script does."""
    if isinstance(node, dict):
        own = [v for k, v in node.items() if k == "status" or k.endswith("_status")]
        return own + [s for value in node.values() for s in statuses(value)]
    if isinstance(node, list):
        return [s for value in node for s in statuses(value)]
    return []


@pytest.mark.parametrize("name", ["index.md", "how-sure.md", "checks.md"])
def test_the_page_says_what_the_data_says_now(sources, name):
    path = sources.PAGES / name

    assert path.read_text("utf-8") == sources.pages()[path], "run python3 .ci/sources.py"


@pytest.mark.parametrize(
    "path", sorted(PACKAGE.rglob("*.toml")), ids=lambda p: p.relative_to(PACKAGE).as_posix()
)
def test_every_value_not_read_stands_on_the_page(sources, path):
    file = path.relative_to(PACKAGE).as_posix()
    if file in sources.NOT_OURS:
        return
    unsure = [s for s in statuses(tomllib.loads(path.read_text("utf-8"))) if s != "read"]
    page = (sources.PAGES / "how-sure.md").read_text("utf-8")
    _before, _title, rest = page.partition(f"## `{file}`\n")
    rows = [line for line in rest.split("\n## ")[0].splitlines() if line.startswith("| ")][1:]

    assert sorted(row.split(" | ")[1] for row in rows) == sorted(unsure)


def test_every_status_word_is_explained(sources):
    assert {one.status for one in sources.cited()} <= sources.STATUSES.keys()


def test_everything_with_a_status_names_its_source_or_reason(sources):
    assert [one for one in sources.cited() if not one.source] == []


def test_numbers_written_in_the_program_that_are_guesses_are_found(sources):
    found = {one.name for one in sources.written()}

    assert {"SLUSH_DEGC", "LIVE_BIRD_DEGC", "CHANGE_SIDE_S"} <= found
