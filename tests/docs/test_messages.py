"""Every sentence for people is in the catalogue of every language, whole and well formed."""

from __future__ import annotations

import importlib.util
import re
import string
import sys
from pathlib import Path
from types import ModuleType

import pytest
from babel.messages import Catalog, Message

ROOT = Path(__file__).resolve().parents[2]
NAMED = re.compile(r"%\((\w+)\)[sd]")
TAG = re.compile(r"</?\w+[^>]*>")


def _script() -> ModuleType:
    spec = importlib.util.spec_from_file_location("messages", ROOT / ".ci" / "messages.py")
    assert spec
    assert spec.loader
    module = importlib.util.module_from_spec(spec)
    sys.modules["messages"] = module
    spec.loader.exec_module(module)
    return module


messages = _script()
LANGUAGES = messages.catalogues()


@pytest.fixture(scope="module")
def wanted() -> Catalog:
    return messages.sentences()


def test_the_walk_finds_the_sentences(wanted: Catalog) -> None:
    found = {message.id for message in wanted}
    assert "Skip to the page" in found  # a template's
    assert "There is no such day." in found  # the code's
    assert len(found) > 5000
    assert LANGUAGES


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_sentence_is_translated_and_none_is_left_over(language: str, wanted: Catalog) -> None:
    there = messages.read(LANGUAGES[language])
    keys = {(m.context, m.id) for m in wanted if m.id}
    known = {(m.context, m.id) for m in there if m.id and m.string and all(m.string)}
    assert sorted(keys - known, key=str) == [], "run .ci/messages.py --write and translate"
    assert sorted(known - keys, key=str) == [], "run .ci/messages.py --write"


def _fields(text: str) -> list[str]:
    try:
        braces = [
            f"{{{name}:{spec}}}"
            for _, name, spec, _ in string.Formatter().parse(text)
            if name is not None
        ]
    except ValueError:
        braces = ["not a pattern"]
    return sorted([*braces, *NAMED.findall(text)])


def _forms(message: Message) -> list[tuple[str, str]]:
    if isinstance(message.id, tuple):
        return [(message.id[min(n, 1)], text) for n, text in enumerate(message.string)]
    return [(message.id, message.string)]


@pytest.mark.parametrize("language", LANGUAGES)
def test_a_translation_keeps_what_the_program_fills_in_and_the_tags(language: str) -> None:
    wrong = []
    for message in messages.read(LANGUAGES[language]):
        if not message.id:
            continue
        for english, text in _forms(message):
            # "one bird" may say its number in words
            missing = set(_fields(english)) ^ set(_fields(text))
            if missing - ({"{n:}", "n"} if isinstance(message.id, tuple) else set()):
                wrong.append((english, text, missing))
            if sorted(TAG.findall(english)) != sorted(TAG.findall(text)):
                wrong.append((english, text, {"tags"}))
            if english[:1].isspace() != text[:1].isspace() or (
                english[-1:].isspace() != text[-1:].isspace()
            ):
                wrong.append((english, text, {"space at the ends"}))
    assert wrong == []
