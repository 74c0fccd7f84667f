"""Write the source pages from the packaged data, the code, and the outside checks.

docs/sources/index.md      each source cited, where, and how it is known
docs/sources/how-sure.md   each number that was not read in its own source
docs/sources/checks.md     what our numbers are compared with

Run: python3 .ci/sources.py           writes the pages
     python3 .ci/sources.py --check   says which are out of date; exit 1 where any is
"""

# ruff: noqa: INP001, T201 - a script, run by hand; the test loads it
from __future__ import annotations

import ast
import re
import sys
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[1]
SOURCE = ROOT / "src" / "pinfeather"
PAGES = ROOT / "docs" / "sources"
ROOMS = ("heat", "line", "flock", "hygiene", "packs", "money", "rules", "day", "season")
READ = "read"
NOT_OURS = {"rules/profiles/template.toml", "records/dictionary.toml"}
"""A form for other places, whose numbers are placeholders, and words for columns: no numbers."""
STATUSES = {
    READ: "we read it in the source itself, or in an official copy",
    "second hand": "somebody reliable quotes it; the source itself was not read",
    "disputable": "read, but the text can be understood otherwise, or sources disagree; the "
    "stricter side is taken",
    "common practice": "how it is usually done; no single source to name",
    "unverified": "known from memory or from a copy that was not checked; to be confirmed",
    "assumed": "nothing published was found; a careful guess to be replaced by your own numbers",
    "computed": "worked out by a separate program, not by this one",
}
_UNSURE = re.compile(
    r"\b(assum(?:ed|ption)|unverified|second hand|disputable|common practice|judgement|guess)\b",
    re.IGNORECASE,
)


@dataclass(frozen=True, slots=True)
class Cited:
    """One place in the packaged data that says how it is known."""

    file: str
    what: str
    source: str
    status: str
    note: str = ""


def cited() -> Iterator[Cited]:
    """Yield everything in the packaged data that has a status, in the order of the files."""
    for path in sorted(SOURCE.rglob("*.toml")):
        name = path.relative_to(SOURCE).as_posix()
        if name in NOT_OURS:
            continue
        data = tomllib.loads(path.read_text(encoding="utf-8"))
        for one in _walk(data, name, ()):
            used = ", ".join(_users(data, one.what.removeprefix("sources › "), ()))
            yield replace(one, note=f"used for {used}") if used else one


def _users(node: Mapping[str, Any], key: str, path: tuple[str, ...]) -> Iterator[str]:
    """Yield the places that name a table of sources by its key."""
    if node.get("source") == key:
        yield " ".join(path)
    for name, value in node.items():
        if isinstance(value, Mapping):
            yield from _users(value, key, (*path, name))


def _walk(node: Any, file: str, path: tuple[str, ...]) -> Iterator[Cited]:  # noqa: ANN401 - TOML
    if isinstance(node, list):
        for index, entry in enumerate(node, start=1):
            yield from _walk(entry, file, (*path, _label(entry, index)))
    elif isinstance(node, Mapping):
        yield from _own(node, file, path)
        for key, value in node.items():
            yield from _walk(value, file, (*path, str(key)))


def _label(entry: Any, index: int) -> str:  # noqa: ANN401 - TOML
    if not isinstance(entry, Mapping):
        return str(index)
    names = ("code", "name", "title", "species", "chemical", "product", "bird", "label", "text")
    words = [str(entry[key]) for key in names if key in entry][:1]
    more = [str(entry[key]) for key in ("kind", "organism") if key in entry and words][:1]
    return " ".join([*words, *more]) or str(index)


def _own(node: Mapping[str, Any], file: str, path: tuple[str, ...]) -> Iterator[Cited]:
    for key, status in node.items():
        if key != "status" and not key.endswith("_status"):
            continue
        part = key.removesuffix("status").removesuffix("_")
        keys = [f"{part}_citation", f"{part}_source"] if part else ["citation", "source"]
        source = next((str(node[k]) for k in keys if k in node), "")
        if part and not source:
            source = str(node.get("citation", node.get("source", "")))
        note = "" if part else str(node.get("note", ""))
        if not source:
            source, note = note, ""
        what = " › ".join([*path, *([part.replace("_", " ")] if part else [])]) or "all of it"
        yield Cited(file, what, source, str(status), note)


@dataclass(frozen=True, slots=True)
class Written:
    """A number written in the program itself that its own comment calls uncertain."""

    module: str
    name: str
    words: str


def written() -> Iterator[Written]:
    """Yield the named numbers of the domain packages whose comment says they are not read."""
    for room in ROOMS:
        for path in sorted((SOURCE / room).glob("*.py")):
            text = path.read_text(encoding="utf-8")
            body = ast.parse(text).body
            for node, after in zip(body, [*body[1:], None], strict=True):
                name = _constant(node)
                words = _comment(text.splitlines(), node, after)
                if name and _UNSURE.search(words):
                    yield Written(f"{room}/{path.stem}", name, words)


def _constant(node: ast.stmt) -> str | None:
    target = node.target if isinstance(node, ast.AnnAssign) else None
    if isinstance(node, ast.Assign):
        target = node.targets[0]
    return target.id if isinstance(target, ast.Name) and target.id.isupper() else None


def _comment(lines: list[str], node: ast.stmt, after: ast.stmt | None) -> str:
    """Join the comment above, the one beside, and the docstring below a constant."""
    above: list[str] = []
    row = node.lineno - 2
    while row >= 0 and lines[row].startswith("#"):
        above.insert(0, lines[row].lstrip("# "))
        row -= 1
    last = lines[(node.end_lineno or node.lineno) - 1]
    beside = re.search(r"#\s*(?!noqa|fmt)(.*)$", last)
    below = ""
    if isinstance(after, ast.Expr) and isinstance(after.value, ast.Constant):
        below = str(after.value.value)
    words = " ".join([*above, beside[1] if beside else "", below])
    return " ".join(words.split())


def _cell(text: str) -> str:
    return " ".join(text.replace("|", "/").replace("``", "`").split()) or "–"


def _table(head: tuple[str, ...], rows: list[tuple[str, ...]]) -> list[str]:
    return [
        f"| {' | '.join(head)} |",
        "|" + "---|" * len(head),
        *(f"| {' | '.join(map(_cell, row))} |" for row in rows),
        "",
    ]


_BY = "<!-- written by .ci/sources.py; change the data, then run it again -->"


_INDEX_WORDS = (
    "Every rule, table and planning number that comes packaged with the program says where "
    "it was found and how it is known. This is the whole list. What was *not* read in its "
    "own source is on the page [How sure are we?](how-sure.md); what our results are "
    "compared with is on [Outside checks](checks.md)."
)
_SURE_WORDS = (
    "Here stands every packaged number and rule that was not read in its own source, and "
    "every number written in the program that its own comment calls uncertain. A plan that "
    "leans on one of them says so beside the number. The words are explained under "
    "[Sources](index.md#what-the-status-words-mean)."
)
_OWN_WORDS = (
    "Your own readings and timings replace the planning numbers. Nothing replaces a law: "
    "ask the office that enforces it."
)
_CHECK_WORDS = (
    "Each file holds inputs and answers that somebody else published, or that a separate "
    "program computed, with a tolerance and its reason. The tests put the inputs through "
    "this program and compare. A value that this program produced itself is never among "
    "them."
)


def index_page() -> str:
    """Write the list of all sources cited in the packaged data."""
    places: dict[tuple[str, str], list[str]] = {}
    for one in cited():
        places.setdefault((one.source, one.status), [])
        if one.file not in places[one.source, one.status]:
            places[one.source, one.status].append(one.file)
    rows = [
        (source, status, ", ".join(f"`{file}`" for file in files))
        for (source, status), files in sorted(places.items(), key=lambda p: p[0][0].casefold())
    ]
    lines = [
        "# Sources",
        "",
        _BY,
        "",
        _INDEX_WORDS,
        "",
        "## What the status words mean",
        "",
        *_table(("word", "meaning"), list(STATUSES.items())),
        "## Sources in the packaged data",
        "",
        *_table(("source", "status", "used in"), rows),
    ]
    return "\n".join(lines).rstrip() + "\n"


def how_sure_page() -> str:
    """Write the list of everything that was not read in its own source."""
    lines = [
        "# How sure are we?",
        "",
        _BY,
        "",
        _SURE_WORDS,
        "",
        _OWN_WORDS,
        "",
    ]
    unsure = [one for one in cited() if one.status != READ]
    for file in dict.fromkeys(one.file for one in unsure):
        lines += [f"## `{file}`", ""]
        lines += _table(
            ("what", "status", "source or reason"),
            [
                (one.what, one.status, "; ".join(filter(None, (one.source, one.note))))
                for one in unsure
                if one.file == file
            ],
        )
    lines += ["## Numbers written in the program", ""]
    lines += _table(
        ("where", "name", "what the comment says"),
        [(f"`{one.module}`", f"`{one.name}`", one.words) for one in written()],
    )
    return "\n".join(lines).rstrip() + "\n"


def checks_page() -> str:
    """Write the list of sources that results are compared with."""
    rows = []
    for path in sorted((ROOT / "tests" / "checks" / "data").glob("*.toml")):
        data = tomllib.loads(path.read_text(encoding="utf-8"))
        by = ", ".join(str(data[k]) for k in ("author", "year", "edition") if data.get(k))
        rows.append(
            (
                f"`{path.stem}`",
                f"{data.get('title', '')}. {by}",
                str(data.get("place", "")),
                str(data.get("status", "")),
                str(len(data.get("rows", ())) or ""),
            )
        )
    lines = [
        "# Outside checks",
        "",
        _BY,
        "",
        _CHECK_WORDS,
        "",
        *_table(("file", "source", "place", "status", "rows"), rows),
    ]
    return "\n".join(lines).rstrip() + "\n"


def pages() -> dict[Path, str]:
    """Return every page as it should be."""
    return {
        PAGES / "index.md": index_page(),
        PAGES / "how-sure.md": how_sure_page(),
        PAGES / "checks.md": checks_page(),
    }


def main() -> int:
    """Write the pages, or with ``--check`` say which are out of date."""
    stale = [
        path
        for path, text in pages().items()
        if not path.exists() or path.read_text(encoding="utf-8") != text
    ]
    if "--check" in sys.argv:
        for path in stale:
            print(f"{path.relative_to(ROOT)} is out of date: run python3 .ci/sources.py")
        return 1 if stale else 0
    for path in stale:
        path.write_text(pages()[path], encoding="utf-8")
        print(f"wrote {path.relative_to(ROOT)}")
    return 0


if __name__ == "__main__":
    sys.exit(main())
