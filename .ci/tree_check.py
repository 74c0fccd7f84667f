"""Look through every tracked file for what must not stand in the project.

Hosts and addresses, paths of one machine, lock files, fonts, third-party bundles, and words about
how the project came about. Prints what it finds, one line each; exit 1 where it finds anything.

Run: python3 .ci/tree_check.py
"""

# ruff: noqa: INP001, S607, T201 - a script, run by hand and by .ci/run
from __future__ import annotations

import re
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path, PurePosixPath

ROOT = Path(__file__).resolve().parents[1]

# ------------------------------------------------------------------------------ what is looked for
# Brackets such as [s] and [:] keep this file from finding itself.

ADDRESS = re.compile(r"\b[a-z][a-z0-9+.-]*://[\w\[{\\][^\s\"'<>)\]`]*", re.IGNORECASE)
_LABELS = r"(?<![\w./@-])(?:[a-z0-9](?:[a-z0-9-]*[a-z0-9])?\.)+"
_ORDINARY = "com|org|edu|gov|mil"
_SHORT = "net|info|int|io|dev|app|ai|us|uk|eu|de|fr|ca|au|nz|nl|ch|se|no|dk|fi|jp|cn"
_END = r"\b(?![\w(-]|\.\w)"
HOST_IN_CODE = re.compile(rf"{_LABELS}(?:{_ORDINARY}){_END}")
"""In code ``cli.app`` and ``package.net`` are no hosts; only these endings are looked for."""
HOST = re.compile(rf"{_LABELS}(?:{_ORDINARY}|{_SHORT}){_END}", re.IGNORECASE)
CODE = {".py", ".pyi", ".js"}
MACHINE = re.compile(r"(?<![\w.])/(?:work|tmp|home|root|Users)/[\w.-]*")
WORDS = re.compile(r"tran[s]cript|seed [d]ocument|\.\./[s]hared", re.IGNORECASE)

FORBIDDEN_NAMES = {
    "poetry.lock", "uv.lock", "pdm.lock", "Pipfile.lock", "pixi.lock", "package-lock.json",
    "npm-shrinkwrap.json", "yarn.lock", "pnpm-lock.yaml", "bun.lockb", "Cargo.lock",
}  # fmt: skip
FORBIDDEN_ENDINGS = (
    ".min.js", ".min.css", ".bundle.js", ".map", ".lock", ".ttf", ".otf", ".woff", ".woff2", ".eot",
)  # fmt: skip
BUNDLE_BYTES = 200_000
LONGEST_LINE = 5_000

# -------------------------------------------------------------------------- what may stand, and why

ALLOWED: tuple[tuple[re.Pattern[str], str], ...] = (
    (
        re.compile(r"https?[:]//(?:127\\?\.0\\?\.0\\?\.1|localhost|\[::1\])(?![\w.-])"),
        "this computer: the program's own address",
    ),
    (
        re.compile(r"postgresql[:]//USER:PASSWORD@HOST:PORT/NAME$"),
        "the form of a database's address, with words in the place of every part",
    ),
    (
        re.compile(r"https?[:]//\{[\w.]+\}"),
        "an address put together while running, from a host the program was given",
    ),
    (
        re.compile(r"http[:]//www\.w3\.org/(?:2000/svg|1999/xlink|1999/xhtml)\}?$"),
        "the name of an XML vocabulary; nothing is fetched from it",
    ),
    (
        re.compile(r"https[:]//vega\.github\.io/schema/vega-lite/v\d+\.json$"),
        "the name of the chart grammar's version; the converter has it inside",
    ),
    (
        re.compile(r"https[:]//id\.gs1\.org(?:/01/05412345000013\S*)?$"),
        "the canonical form of a code in the GS1 Digital Link standard; data, never fetched",
    ),
    (
        re.compile(r"https?[:]//(?:example\.com|[\w-]+\.(?:test|example)|testserver)(?:[/?].*)?$"),
        "names set aside for examples and tests (RFC 2606); nobody's machine",
    ),
)


def tracked() -> list[str]:
    """Return the tracked files, and new ones that git would not ignore."""
    listed = subprocess.run(
        ["git", "ls-files", "-z", "--cached", "--others", "--exclude-standard"],
        cwd=ROOT,
        check=True,
        capture_output=True,
    ).stdout.decode()
    return sorted({name for name in listed.split("\0") if name and (ROOT / name).is_file()})


def file_faults(name: str, content: bytes) -> Iterator[str]:
    """Say what is wrong with a file as a whole."""
    path = PurePosixPath(name)
    if path.name in FORBIDDEN_NAMES or path.name.endswith(FORBIDDEN_ENDINGS):
        yield f"{name}: a lock file, font or built bundle"
    if path.suffix in {".js", ".css"} and len(content) > BUNDLE_BYTES:
        yield f"{name}: {len(content)} bytes, larger than anything written by hand"


def line_faults(name: str, number: int, line: str) -> Iterator[str]:
    """Say what is wrong with one line of text."""
    at = f"{name}:{number}"
    path = PurePosixPath(name)
    if path.suffix in {".js", ".css"} and len(line) > LONGEST_LINE:
        yield f"{at}: a line of {len(line)} characters, as only a tool writes them"
    for found in ADDRESS.finditer(line):
        if not any(allowed.match(found[0]) for allowed, _why in ALLOWED):
            yield f"{at}: address {found[0]}"
    bare = ADDRESS.sub(" ", line)
    hosts = HOST_IN_CODE if path.suffix in CODE else HOST
    yield from (f"{at}: host {found[0]}" for found in hosts.finditer(bare))
    for found in MACHINE.finditer(bare):
        yield f"{at}: path of one machine {found[0]}"
    for found in WORDS.finditer(line):
        yield f"{at}: the words “{found[0]}”"


def faults(name: str, content: bytes) -> Iterator[str]:
    """Say everything that is wrong with a file."""
    yield from file_faults(name, content)
    if b"\0" in content[:8000]:
        return
    for number, line in enumerate(content.decode("utf-8", "replace").splitlines(), start=1):
        yield from line_faults(name, number, line)


def main() -> int:
    """Look, print, and return the exit code."""
    names = tracked()
    found = [fault for name in names for fault in faults(name, (ROOT / name).read_bytes())]
    for fault in found:
        print(fault)
    print(f"tree check: {len(names)} files, {len(found)} found")
    return 1 if found else 0


if __name__ == "__main__":
    sys.exit(main())
