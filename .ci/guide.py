"""Write the guide's page of each calculator from the calculator itself.

docs/guide/each/NAME.md   what it answers, formula, range, a worked example, what to write, sources
docs/guide/calculators.md the list of them, between its two marks
mkdocs.yml                their place in the guide's contents, between its two marks

The worked example is run, and its answer stands on the page as the program gives it.

Run: .venv/bin/python .ci/guide.py           writes the pages
     .venv/bin/python .ci/guide.py --check   says which are out of date; exit 1 where any is
"""

# ruff: noqa: INP001, T201 - a script, run by hand; the test loads it
from __future__ import annotations

import contextlib
import io
import re
import shlex
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

from pinfeather.actions.calc.catalogue import groups
from pinfeather.actions.calc.model import Calculation, Group, Input
from pinfeather.cli.app import app

ROOT = Path(__file__).resolve().parents[1]
PAGES = ROOT / "docs" / "guide" / "each"
LIST = ROOT / "docs" / "guide" / "calculators.md"
CONTENTS = ROOT / "mkdocs.yml"
STATUS = {
    "read": "read in the source",
    "common practice": "common practice, no source",
    "disputable": "a reading an inspector may dispute",
}
LOG = "time,temp (F)\n" + "".join(
    f"2026-06-17 09:{m:02d},{34 + 66 * 0.96**m:.1f}\n" for m in range(0, 60, 5)
)
"""A made-up logger's file, for the calculators that read one."""
_ASKS = {
    "percent": "a share, such as `90 %`",
    "number": "a number",
    "integer": "a whole number",
    "text": "words",
    "lines": "several, one after the other",
    "file": "a file",
}


def pages() -> dict[Path, str]:
    """Return every file this script writes, with what belongs in it."""
    found = {
        PAGES / f"{one.name}.md": page(one) for group in groups() for one in group.calculations
    }
    found[LIST] = between_marks(LIST, ("<!-- list -->", "<!-- end of list -->"), listed())
    found[CONTENTS] = between_marks(
        CONTENTS, ("  # each calculator", "  # end of calculators"), contents()
    )
    return found


def page(one: Calculation) -> str:
    """Write one calculator's page."""
    return "\n".join(
        [
            f"# {one.title}",
            "",
            f"**What it answers.** {one.question}",
            "",
            *care(one),
            "## Worked example",
            "",
            "```console",
            f"pinfeather calc {one.name} {one.example}".rstrip(),
            "```",
            "",
            "```text",
            answer(one).rstrip(),
            "```",
            "",
            *(
                line
                for name, text in files(one)
                for line in (f"where `{name}` is", "", "```text", text.rstrip(), "```", "")
            ),
            "## Formula",
            "",
            one.formula.replace("<", "&lt;"),
            "",
            "## Where it holds",
            "",
            one.valid_range,
            "",
            "## What to write",
            "",
            "| option | what | how | if left out |",
            "|---|---|---|---|",
            *(option(ask) for ask in one.inputs),
            "",
            "## Where it comes from",
            "",
            *(f"- {s.citation} *({STATUS.get(s.status, s.status)})*" for s in one.sources),
            "",
        ]
    )


def care(one: Calculation) -> Iterator[str]:
    """Write what can hurt somebody."""
    if one.cautions:
        yield '!!! warning "Take care"'
        yield from (f"    {caution}" for caution in one.cautions)
        yield ""


def option(ask: Input) -> str:
    """Write one row of the table of options."""
    name = "the file" if ask.kind == "file" and not ask.optional else f"`--{ask.name}`"
    if ask.options:
        how = ", ".join(f"`{code}`" for code, _words in ask.options if code)
    else:
        how = _ASKS.get(ask.kind, f"{ask.kind}, with its unit")
    told = f"{ask.label}. {ask.hint}".strip() if ask.hint else ask.label
    left_out = f"`{ask.default}`" if ask.default else ("" if ask.optional else "must be there")
    if ask.kind in {"file", "lines"} and ask.default:
        left_out = "as in the example"
    return "| " + " | ".join(_cell(text) for text in (name, told, how, left_out)) + " |"


def _cell(text: str) -> str:
    return " ".join(text.replace("|", "\\|").split())


def files(one: Calculation) -> Iterator[tuple[str, str]]:
    """Return the file an example reads: the one its page begins with."""
    words = shlex.split(one.example)
    if words and not words[0].startswith("--"):
        yield from ((words[0], ask.default or LOG) for ask in one.inputs if ask.kind == "file")


def answer(one: Calculation) -> str:
    """Run the example as somebody at the command line would."""
    said = io.StringIO()
    with tempfile.TemporaryDirectory() as folder, contextlib.chdir(folder):
        for name, text in files(one):
            Path(name).parent.mkdir(parents=True, exist_ok=True)
            Path(name).write_text(text, encoding="utf-8")
        with contextlib.redirect_stdout(said), contextlib.suppress(SystemExit):
            app(["calc", one.name, *shlex.split(one.example)])
    text = said.getvalue()
    return re.sub(r"\n(Source|Caution): .*\Z", "\n", text, flags=re.DOTALL)


def listed() -> str:
    """Write the list of all calculators."""
    return "\n".join(line for group in groups() for line in _group(group))


def _group(group: Group) -> Iterator[str]:
    yield from (f"## {group.title}", "", "| | it answers | command |", "|---|---|---|")
    for one in group.calculations:
        link = f"[{one.title}](each/{one.name}.md)"
        yield f"| {link} | {one.question} | `pinfeather calc {one.name}` |"
    yield ""


def contents() -> str:
    """Write the calculators' part of the guide's contents."""
    return "  - Each calculator:\n" + "\n".join(
        f'      - "{one.title}": guide/each/{one.name}.md'
        for group in groups()
        for one in group.calculations
    )


def between_marks(path: Path, marks: tuple[str, str], text: str) -> str:
    """Return a file with everything between two marks replaced."""
    whole = path.read_text(encoding="utf-8")
    before, _mark, rest = whole.partition(marks[0] + "\n")
    _old, _mark, after = rest.partition(marks[1])
    return f"{before}{marks[0]}\n{text}\n{marks[1]}{after}"


def main() -> int:
    """Write or check; 1 where something is out of date."""
    check = "--check" in sys.argv[1:]
    made = pages()
    stale = [
        path
        for path, text in made.items()
        if not path.exists() or path.read_text(encoding="utf-8") != text
    ]
    gone = [path for path in PAGES.glob("*.md") if path not in made]
    for path in (*stale, *gone):
        print("out of date" if check else "wrote", path.relative_to(ROOT))
        if not check and path in made:
            path.parent.mkdir(exist_ok=True)
            path.write_text(made[path], encoding="utf-8")
        elif not check:
            path.unlink()
    return 1 if check and (stale or gone) else 0


if __name__ == "__main__":
    sys.exit(main())
