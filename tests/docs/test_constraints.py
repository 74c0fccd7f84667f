"""What is installed is pinned, by name and version alone."""

from __future__ import annotations

import ast
import re
import sys
import tomllib
from importlib import metadata
from pathlib import Path

import pytest
from packaging.requirements import Requirement

ROOT = Path(__file__).parents[2]
PIN = re.compile(r"[a-z0-9]+(?:-[a-z0-9]+)*==[A-Za-z0-9][A-Za-z0-9.+]*")
NAME = re.compile(r"[A-Za-z0-9][A-Za-z0-9._-]*")
BROUGHT = {"packaging", "pydantic"}
"""Imported, and brought by something named that cannot do without: pytest, django-ninja."""


def plain(name: str) -> str:
    return re.sub(r"[-_.]+", "-", name).lower()


def project() -> dict:
    return tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]


def named() -> set[str]:
    table = project()
    lines = [*table["dependencies"], *table["optional-dependencies"]["dev"]]
    return {plain(NAME.match(line)[0]) for line in lines}


def lines() -> list[str]:
    return (ROOT / "constraints.txt").read_text(encoding="utf-8").splitlines()


def pinned() -> dict[str, str]:
    return dict(line.split("==") for line in lines())


def test_every_line_is_a_name_and_a_version_and_nothing_else():
    assert [line for line in lines() if not PIN.fullmatch(line)] == []


def test_no_name_stands_twice_and_the_order_is_that_of_the_alphabet():
    names = [line.split("==")[0] for line in lines()]

    assert names == sorted(set(names))


def test_everything_the_project_names_is_pinned():
    assert named() - pinned().keys() == set()


def test_everything_that_those_need_is_pinned_too():
    """Walk from the project's own list through what is installed here."""
    missing, seen, ahead = set(), set(), named()
    while ahead:
        name = ahead.pop()
        seen.add(name)
        if name not in pinned():
            missing.add(name)
        needs = map(Requirement, metadata.requires(name) or [])
        wanted = {plain(n.name) for n in needs if not n.marker or n.marker.evaluate({"extra": ""})}
        ahead |= wanted - seen

    assert len(seen) > len(named())
    assert missing == set()


def test_a_line_with_a_host_or_a_hash_would_be_found():
    for line in (
        "numpy @ somewhere/numpy.whl",
        "numpy==2.0 --hash=sha256:00",
        "-e .",
        "numpy>=2",
        "",
    ):
        assert not PIN.fullmatch(line)


def imported(folder: str) -> dict[str, str]:
    """Third-party top-level names that a folder's files import, each with one file."""
    own = {"pinfeather", *(path.stem for path in (ROOT / folder).rglob("*.py"))}
    found: dict[str, str] = {}
    for path in sorted((ROOT / folder).rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            names = [alias.name for alias in node.names] if isinstance(node, ast.Import) else []
            if isinstance(node, ast.ImportFrom) and not node.level:
                names = [node.module or ""]
            for name in (n.partition(".")[0] for n in names):
                if name not in sys.stdlib_module_names and name not in own:
                    found.setdefault(name, path.relative_to(ROOT).as_posix())
    return found


@pytest.mark.parametrize(
    ("folder", "extras"),
    [("src", False), ("tests", True), ("benchmarks", True), (".ci", True)],
)
def test_whatever_is_imported_is_named_by_the_project(folder: str, extras: bool):
    """What happens to be installed here, by hand or by another package, is not enough."""
    table = project()
    optional = table["optional-dependencies"]
    lines = [*table["dependencies"]]
    lines += [line for name, more in optional.items() if extras or name != "dev" for line in more]
    declared = {plain(NAME.match(line)[0]) for line in lines} | BROUGHT
    whose = metadata.packages_distributions()

    undeclared = {
        name: where
        for name, where in imported(folder).items()
        if not {plain(d) for d in whose.get(name, [name])} & declared
    }

    assert undeclared == {}
