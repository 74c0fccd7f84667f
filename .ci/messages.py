"""Every sentence for people, and what the other languages make of it.

``python .ci/messages.py`` reads all sentences marked for translation out of the code and the
templates, and tells for each language which are missing or left over. ``--write`` brings the
catalogues up to date, keeps every translation that still has its sentence, and compiles them.
"""

# ruff: noqa: INP001, T201 - a script, run by hand; the test loads it
from __future__ import annotations

import io
import os
import sys
import tempfile
import tomllib
from collections.abc import Iterator
from pathlib import Path

from babel.messages import Catalog
from babel.messages.extract import extract
from babel.messages.mofile import write_mo
from babel.messages.pofile import read_po, write_po

ROOT = Path(__file__).resolve().parent.parent
SOURCE = ROOT / "src" / "pinfeather"
KEYWORDS = {
    "_": None,
    "gettext": None,
    "gettext_lazy": None,
    "gettext_noop": None,
    "ngettext": (1, 2),
    "ngettext_lazy": (1, 2),
    "pgettext": ((1, "c"), 2),
    "pgettext_lazy": ((1, "c"), 2),
    "npgettext": ((1, "c"), 2, 3),
}

DATA = {
    "hygiene/data/sanitary_steps.toml": {"what", "how", "often"},
    "hygiene/data/hazards.toml": {"hazard", "why", "control"},
    "hygiene/data/corrective_action.toml": {"ask", "hint"},
    "hygiene/data/water.toml": {"name"},
    "hygiene/data/compost.toml": {"name"},
    "hygiene/data/sanitizers.toml": {"name"},
    "hygiene/data/growth.toml": {"product", "note"},
}
"""What in the packaged data is a sentence for people, by file."""


def sentences() -> Catalog:
    """Return a catalogue of every sentence in the code, templates and data, untranslated."""
    found = Catalog(project="Pinfeather", charset="utf-8")
    for name, keys in DATA.items():
        for text in in_data(tomllib.loads((SOURCE / name).read_text(encoding="utf-8")), keys):
            found.add(text)
    for path in sorted(SOURCE.rglob("*.py")):
        _add(found, path.read_bytes())
    for text in templates():
        _add(found, text.encode())
    return found


def in_data(value: object, keys: set[str]) -> Iterator[str]:
    """Yield the sentences of a data file."""
    if isinstance(value, dict):
        for name, inner in value.items():
            if isinstance(inner, str) and name in keys and inner not in {"", "interval"}:
                yield inner
            else:
                yield from in_data(inner, keys)
    elif isinstance(value, list):
        for inner in value:
            yield from in_data(inner, keys)


def templates() -> Iterator[str]:
    """Turn each template's tags into calls, as a translator's tool reads them."""
    os.environ.setdefault("PINFEATHER_DATA", tempfile.mkdtemp(prefix="pinfeather-messages-"))
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "pinfeather.web.settings")
    import django
    from django.utils.translation.template import templatize

    django.setup()
    for path in sorted(SOURCE.rglob("*.html")):
        lines = templatize(path.read_text(encoding="utf-8"), origin=str(path)).splitlines()
        yield "\n".join(line.lstrip() for line in lines)


def _add(catalogue: Catalog, text: bytes) -> None:
    options = {"encoding": "utf-8"}
    for _line, message, _comments, context in extract(
        "python", io.BytesIO(text), keywords=KEYWORDS, options=options
    ):
        catalogue.add(message, context=context)


def catalogues() -> dict[str, Path]:
    """Return each language's catalogue."""
    return {
        path.parent.parent.name: path
        for path in sorted((SOURCE / "locale").glob("*/LC_MESSAGES/django.po"))
    }


def read(path: Path) -> Catalog:
    """Read a catalogue."""
    with path.open("rb") as file:
        return read_po(file, locale=path.parent.parent.name)


def main() -> int:
    """Compare or write; 1 where something is missing or left over."""
    write = "--write" in sys.argv[1:]
    wanted = sentences()
    wrong = 0
    for language, path in catalogues().items():
        there = read(path)
        if write:
            there.update(wanted, no_fuzzy_matching=True, update_creation_date=False)
            there.obsolete.clear()
            with path.open("wb") as file:
                write_po(file, there, width=0, sort_output=True, ignore_obsolete=True)
            with path.with_suffix(".mo").open("wb") as file:
                write_mo(file, there)
        keys = {(m.context, m.id) for m in wanted if m.id}
        known = {(m.context, m.id) for m in there if m.id and m.string and all(m.string)}
        missing, left_over = keys - known, known - keys
        wrong += len(missing) + len(left_over)
        print(f"{language}: {len(keys)} sentences, {len(missing)} missing, {len(left_over)} left")
        for context, key in sorted(missing, key=str)[:20]:
            print("  missing:", key, context or "")
    return 1 if wrong and not write else 0


if __name__ == "__main__":
    sys.exit(main())
