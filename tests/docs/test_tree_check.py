"""The tree check finds what must not stand in the project, and nothing else."""

from __future__ import annotations

import importlib.util
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
SCHEME = "https:" + "//"


@pytest.fixture(scope="module")
def check():
    spec = importlib.util.spec_from_file_location("tree_check", ROOT / ".ci" / "tree_check.py")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.mark.parametrize(
    ("name", "line"),
    [
        ("docs/a.md", f"see {SCHEME}somewhere.invalid/page"),
        ("a.toml", "note = 'found at newfarm" + ".org'"),
        ("a.py", "URL = 'files.pythonhosted" + ".org'"),
        ("a.sh", "cd /wo" + "rk/main"),
        ("a.py", "open('/tm" + "p/x')"),
        ("a.py", "# the tran" + "script says"),
        ("a.md", "as in the seed " + "document"),
        ("a.md", "see ../sha" + "red/notes"),
        ("a.js", "x" * 6000),
    ],
)
def test_what_must_not_stand_there_is_found(check, name, line):
    assert list(check.faults(name, line.encode()))


@pytest.mark.parametrize(
    "name",
    ["poetry.lock", "web/htmx.min.js", "web/house.woff2", "package-lock.json", "big.js"],
)
def test_lock_files_fonts_and_bundles_are_found(check, name):
    content = b"x\n" * 150_000 if name == "big.js" else b"x"

    assert list(check.faults(name, content))


@pytest.mark.parametrize(
    ("name", "line"),
    [
        ("a.md", "http:" + "//127.0.0.1:8471/"),
        ("a.svg", 'xmlns="http:' + '//www.w3.org/2000/svg"'),
        ("a.py", "return package.net"),
        ("a.md", "See docs/guide/start.md and examples/plan_day.toml."),
        ("a.py", 'path("farm/", farm.farm)'),
    ],
)
def test_what_may_stand_there_is_let_be(check, name, line):
    assert list(check.faults(name, line.encode())) == []


def test_each_exception_has_its_reason(check):
    assert all(len(why) > 20 for _pattern, why in check.ALLOWED)
