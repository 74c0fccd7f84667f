"""Each calculator has its page in the guide, and the page says what the calculator says today."""

from __future__ import annotations

import importlib.util
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
_spec = importlib.util.spec_from_file_location("guide_pages", ROOT / ".ci" / "guide.py")
assert _spec is not None
assert _spec.loader is not None
guide = importlib.util.module_from_spec(_spec)
sys.modules["guide_pages"] = guide
_spec.loader.exec_module(guide)
MADE = guide.pages()


@pytest.mark.parametrize("path", MADE, ids=lambda path: path.name)
def test_the_page_is_as_the_program_would_write_it_now(path: Path) -> None:
    assert path.read_text(encoding="utf-8") == MADE[path], "run .ci/guide.py"


def test_no_page_is_left_of_a_calculator_that_is_gone() -> None:
    assert {path.name for path in guide.PAGES.glob("*.md")} == {
        path.name for path in MADE if path.parent == guide.PAGES
    }
