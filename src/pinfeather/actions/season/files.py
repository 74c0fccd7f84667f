"""A season as a TOML file: the same mapping as the page's form, out and in."""

from __future__ import annotations

import json
import tomllib
from collections.abc import Mapping
from typing import Any, Final

from pinfeather.actions.season.store import plain
from pinfeather.errors import InputError
from pinfeather.words import gettext as _

MOST_BYTES: Final = 200_000
_LEFT_OUT: Final = ("profile", "tier", "today")
_DELETE: Final = "\x7f"


def toml_text(mapping: Mapping[str, Any]) -> str:
    """Write a season as TOML; the same mapping gives the same text.

    Every value is text, a whole number, or a list of these, as the form and the store keep it.
    """
    lines: list[str] = []
    _table(plain(mapping), "", lines)
    return "\n".join(lines).strip() + "\n"


def mapping_from_toml(raw: bytes) -> dict[str, Any]:
    """Read a season somebody sent as a file.

    Raises
    ------
    InputError
        If it is too large, or is not TOML.
    """
    if len(raw) > MOST_BYTES:
        raise InputError("file", len(raw), _("This file is too large to be a season."))
    try:
        found = tomllib.loads(raw.decode("utf-8-sig"))
    except (tomllib.TOMLDecodeError, UnicodeDecodeError, RecursionError) as error:
        raise InputError(
            "file", "", _("This file is not TOML: {why}.").format(why=error)
        ) from error
    return {name: value for name, value in plain(found).items() if name not in _LEFT_OUT}


def _table(table: Mapping[str, Any], path: str, lines: list[str]) -> None:
    deeper = []
    for name, value in table.items():
        if isinstance(value, Mapping) or _tables(value):
            deeper.append((name, value))
        else:
            lines.append(f"{_key(name)} = {_value(value)}")
    for name, value in deeper:
        full = f"{path}.{_key(name)}" if path else _key(name)
        for one in value if isinstance(value, list) else [value]:
            lines += ["", f"[[{full}]]" if isinstance(value, list) else f"[{full}]"]
            _table(one, full, lines)


def _tables(value: object) -> bool:
    return isinstance(value, list) and bool(value) and all(isinstance(v, Mapping) for v in value)


def _key(name: str) -> str:
    bare = name.isascii() and name.replace("_", "").replace("-", "").isalnum()
    return name if bare else _text(name)


def _value(value: object) -> str:
    if isinstance(value, list):
        return "[" + ", ".join(_value(one) for one in value) + "]"
    if isinstance(value, bool):
        return "true" if value else "false"
    return repr(value) if isinstance(value, int | float) else _text(str(value))


def _text(value: str) -> str:
    """Quote a text; TOML's basic strings escape as JSON does, and DEL besides."""
    return json.dumps(value, ensure_ascii=False).replace(_DELETE, "\\u007f")
