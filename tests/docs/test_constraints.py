"""What is installed is pinned, by name and version alone."""

from __future__ import annotations

import re
import tomllib
from importlib import metadata
from pathlib import Path

from packaging.requirements import Requirement

ROOT = Path(__file__).parents[2]
PIN = re.compile(r"[a-z0-9]+(?:-[a-z0-9]+)*==[A-Za-z0-9][A-Za-z0-9.+]*")
NAME = re.compile(r"[A-Za-z0-9][A-Za-z0-9._-]*")


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
