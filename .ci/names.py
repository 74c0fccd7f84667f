"""The names that carry a unit, as the domain packages use them.

Prints a row for the nomenclature page for each name that the page does not have yet, with the
meaning taken from the docstring it was found in; reword it before it goes in.

Run: python3 .ci/names.py         prints the rows
     python3 .ci/names.py --add   puts them into the page, and takes names off that are gone
"""

# ruff: noqa: INP001, T201 - a script, run by hand; the test loads it
from __future__ import annotations

import ast
import inspect
import re
import sys
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
ROOMS = ("heat", "line", "flock", "hygiene", "packs", "money", "rules", "day", "season")
PAGE = ROOT / "docs" / "nomenclature.md"
UNITS = {
    "kg": "kg", "lb": "lb", "m": "m", "m2": "m²", "m3": "m³", "s": "s", "h": "h", "d": "d",
    "degC": "°C", "F": "°F", "K": "K", "J": "J", "W": "W", "Pa": "Pa", "frac": "1", "ppm": "ppm",
    "mM": "mmol/L", "mg": "mg", "bph": "birds/h", "cv2": "1", "cents": "cents",
}  # fmt: skip
"""Unit suffixes, with the unit each stands for."""
BELOW = UNITS | {
    "mol": "mol", "L": "L", "bird": "bird", "day": "d", "kgK": "kg K", "mK": "m K",
    "m2K": "m² K",
}  # fmt: skip
"""What may stand after ``_per_``."""


def unit(name: str) -> str | None:
    """Return the unit a name's suffix stands for, or None where it has none."""
    if name.startswith("per_"):
        return f"1/{UNITS[name[4:]]}" if name[4:] in UNITS else UNITS.get(name.rsplit("_", 1)[-1])
    above, per, below = name.partition("_per_")
    if not per:
        return UNITS.get(above.rsplit("_", 1)[-1]) if "_" in above else None
    if below not in BELOW:
        return None
    top = {"birds": "birds", "price": "$", "rate": "1"}.get(above) or UNITS.get(
        above.rsplit("_", 1)[-1], "1"
    )
    return f"{top}/({BELOW[below]})" if " " in BELOW[below] else f"{top}/{BELOW[below]}"


def _described(docstring: str | None) -> dict[str, str]:
    """Meaning of each name in a docstring's Parameters section."""
    if not docstring:
        return {}
    text = inspect.cleandoc(docstring)
    match = re.search(
        r"^Parameters\n-+\n(.*?)(?=^[A-Z]\w+\n-+\n|\Z)", text, re.MULTILINE | re.DOTALL
    )
    found: dict[str, str] = {}
    names: list[str] = []
    for line in match[1].splitlines() if match else ():
        if line and not line[0].isspace():
            names = [part.strip() for part in line.split(" : ")[0].split(",")]
        else:
            for name in names:
                found[name] = f"{found.get(name, '')} {line.strip()}".strip()
    return found


def uses() -> Iterator[tuple[str, str, str]]:
    """Yield every public parameter and dataclass field with a unit: name, place, meaning."""
    for room in ROOMS:
        for path in sorted((ROOT / "src" / "pinfeather" / room).glob("*.py")):
            for node in ast.parse(path.read_text(encoding="utf-8")).body:
                if not isinstance(node, ast.FunctionDef | ast.ClassDef) or node.name[0] == "_":
                    continue
                told = _described(ast.get_docstring(node, clean=False))
                for name in _names(node):
                    if name[0] != "_" and unit(name):
                        yield name, f"{room}/{path.stem}.{node.name}", told.get(name, "")


def _names(node: ast.FunctionDef | ast.ClassDef) -> Iterator[str]:
    if isinstance(node, ast.FunctionDef):
        a = node.args
        yield from (arg.arg for arg in (*a.posonlyargs, *a.args, *a.kwonlyargs))
        return
    for line in node.body:
        if isinstance(line, ast.AnnAssign) and isinstance(line.target, ast.Name):
            yield line.target.id


def rows() -> dict[str, tuple[str, str]]:
    """Return unit and meaning of every row of the page."""
    found = {}
    for line in PAGE.read_text(encoding="utf-8").splitlines():
        match = re.fullmatch(r"\| `(\w+)` \| ([^|]+) \| ([^|]+) \|", line)
        if match:
            found[match[1]] = (match[2].strip(), match[3].strip())
    return found


def missing() -> list[str]:
    """Return a row to write for every name the page does not have."""
    have = rows()
    drafts: dict[str, str] = {}
    for name, place, meaning in uses():
        if name not in have and (name not in drafts or not drafts[name]):
            drafts[name] = re.sub(r"\s*\[[^\]]*\]\.?$", "", meaning).rstrip(".") or f"({place})"
    return [f"| `{name}` | {unit(name)} | {drafts[name]} |" for name in sorted(drafts)]


SECTIONS = {
    "s": "Times", "h": "Times", "d": "Times",
    "°C": "Temperatures and differences", "°F": "Temperatures and differences",
    "K": "Temperatures and differences",
    "kg": "Masses and weights", "lb": "Masses and weights",
    "1": "Shares and strengths", "ppm": "Shares and strengths",
    "mmol/L": "Shares and strengths", "mg/L": "Shares and strengths",
    "m": "Lengths, areas, volumes", "m²": "Lengths, areas, volumes",
    "m³": "Lengths, areas, volumes",
    "J": "Heat and power", "W": "Heat and power", "cents": "Money",
}  # fmt: skip


def add(new: list[str]) -> None:
    """Put rows into the page, each into its section and in the order of the alphabet."""
    parts = re.split(r"(?m)^(?=## )", PAGE.read_text(encoding="utf-8"))
    for row in new:
        title = SECTIONS.get(row.split(" | ")[1], "Rates and properties")
        at = next(i for i, part in enumerate(parts) if part.startswith(f"## {title}\n"))
        lines = parts[at].rstrip().splitlines()
        first = next(i for i, line in enumerate(lines) if line.startswith("| `"))
        table = sorted([*lines[first:], row], key=lambda line: line.split("`")[1].lower())
        parts[at] = "\n".join([*lines[:first], *table]) + "\n\n"
    PAGE.write_text("".join(parts).rstrip() + "\n", encoding="utf-8")


def prune() -> None:
    """Take off the page the rows of names that the code no longer uses."""
    gone = rows().keys() - {name for name, _place, _meaning in uses()}
    lines = PAGE.read_text(encoding="utf-8").splitlines()
    kept = [line for line in lines if not any(line.startswith(f"| `{name}` |") for name in gone)]
    PAGE.write_text("\n".join(kept) + "\n", encoding="utf-8")


if __name__ == "__main__":
    left = missing()
    print("\n".join(left))
    if "--add" in sys.argv:
        prune()
        add(left)
        left = []
    sys.exit(1 if left else 0)
