"""Every link in the documents leads somewhere, and the guide builds without a warning."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
LINK = re.compile(r"(?<!`)!?\[[^\]]*\]\(([^)\s]+)\)")
FETCHED = re.compile(
    r"""(?:src|href|action|data|poster)=["']((?:[a-z][a-z0-9+.-]*:)?//[^"']*)""", re.IGNORECASE
)
STYLE_FETCHED = re.compile(r"url\(\s*[\"']?(?:https?:)?//|@import", re.IGNORECASE)
PAGES = [
    *sorted((ROOT / "docs").rglob("*.md")),
    *(ROOT / name for name in ("README.md", "CHANGELOG.md", "CONTRIBUTING.md")),
]


@pytest.mark.parametrize("page", PAGES, ids=lambda p: p.relative_to(ROOT).as_posix())
def test_relative_links_lead_somewhere(page: Path):
    text = re.sub(r"^```.*?^```", "", page.read_text("utf-8"), flags=re.DOTALL | re.MULTILINE)
    targets = [target.partition("#")[0] for target in LINK.findall(text)]

    assert [t for t in targets if t and not (page.parent / t).resolve().exists()] == []


@pytest.fixture(scope="module")
def site(tmp_path_factory) -> Path:
    folder = tmp_path_factory.mktemp("site")
    done = subprocess.run(
        [sys.executable, "-m", "mkdocs", "build", "--strict", "-q", "-d", str(folder)],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stdout + done.stderr
    return folder


def test_the_guide_builds_with_every_page(site: Path):
    built = {p.relative_to(site).with_suffix(".md").as_posix() for p in site.rglob("*.html")}
    written = {p.relative_to(ROOT / "docs").as_posix() for p in (ROOT / "docs").rglob("*.md")}

    assert written <= built


def test_the_built_guide_asks_nothing_of_the_outside(site: Path):
    pages = list(site.rglob("*.html"))
    outside = {
        (page.name, found) for page in pages for found in FETCHED.findall(page.read_text("utf-8"))
    }
    styles = [p.name for p in site.rglob("*.css") if STYLE_FETCHED.search(p.read_text("utf-8"))]

    assert pages
    assert outside == set()
    assert styles == []
