"""Fields of a journal entry, read strictly: text, whole numbers, birds, amounts."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping
from typing import Any, Final

from pinfeather.errors import InputError
from pinfeather.words import gettext as _

MOST_BIRDS_A_TAP: Final = 200
_DECIMAL: Final = re.compile(r"[0-9]{1,7}(\.[0-9]{1,4})?")
_WHOLE: Final = re.compile(r"[+-]?[0-9]{1,9}")


def text_in(
    payload: Mapping[str, Any], name: str, *, needed: bool = False, longest: int = 400
) -> str:
    """Read plain text; what cannot be seen is left out.

    Raises
    ------
    InputError
        If it is no text, or is needed and missing.
    """
    given = payload.get(name)
    if given is not None and not isinstance(given, str | int | float):
        raise InputError(name, given, _("Write plain text here."))
    text = "" if given is None else str(given)
    value = "".join(letter for letter in text if _writable(letter)).strip()[:longest]
    if needed and not value:
        raise InputError(name, value, _("Write something here."))
    return value


def _writable(letter: str) -> bool:
    """Tell letters, signs and line ends from halves of a letter and unseen controls."""
    return letter in "\n\t" or unicodedata.category(letter) not in {"Cc", "Cs"}


def birds_in(payload: Mapping[str, Any], *, low: int = 1) -> int:
    """Read a number of birds.

    Raises
    ------
    InputError
        If it is no whole number, or more than fits one tap.
    """
    birds = number_in(payload.get("birds", 1), "birds", _("Write a whole number of birds."))
    if not low <= birds <= MOST_BIRDS_A_TAP:
        raise InputError(
            "birds",
            birds,
            _("Between {low} and {high} birds at once.").format(low=low, high=MOST_BIRDS_A_TAP),
        )
    return birds


def number_in(value: object, name: str, sentence: str) -> int:
    """Read a whole number, written or as a number.

    Raises
    ------
    InputError
        With the given sentence.
    """
    if isinstance(value, str) and _WHOLE.fullmatch(value.strip()):
        return int(value)
    if isinstance(value, int) and not isinstance(value, bool):
        return value
    raise InputError(name, value, sentence)


def decimal_in(payload: Mapping[str, Any], name: str, *, needed: bool = False) -> str:
    """Read a weight or an amount of money, kept as it was written.

    Raises
    ------
    InputError
        If it is no plain number.
    """
    value = text_in(payload, name, needed=needed)
    if value and not _DECIMAL.fullmatch(value):
        raise InputError(name, value, _("Write a plain number, such as 4.52."))
    return value
