"""From what somebody wrote to numbers: strictly, with every fault at once."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from typing import Final, cast

from pinfeather import quantity
from pinfeather.actions.calc.model import Calculation, Given, Input, Units
from pinfeather.errors import InputError, InputFaultsError
from pinfeather.units import Dimension
from pinfeather.words import gettext as _

_WHOLE: Final = re.compile(r"\d{1,7}")
_NUMBER: Final = re.compile(r"[+-]?(\d+(\.\d*)?|\.\d+)")


def read(
    calculation: Calculation, written: Mapping[str, str | bytes], *, units: Units = "us"
) -> Given:
    """Read everything a calculator asks for.

    Parameters
    ----------
    calculation : Calculation
        Which one.
    written : mapping
        By input, as written; an input that is missing takes its default.
    units : str
        ``"us"`` or ``"metric"``: which defaults, and how the answer is written.

    Returns
    -------
    Given
        Numbers in SI, words and files.

    Raises
    ------
    InputFaultsError
        With every fault, each under the name of its input.
    """
    found: dict[str, float | int | str | bytes | None] = {}
    faults = [
        InputError(name, written[name], _("This calculator does not ask that."))
        for name in written
        if calculation.input(name) is None
    ]
    for ask in calculation.inputs:
        try:
            found[ask.name] = _one(ask, written.get(ask.name, ask.first(units)))
        except InputError as fault:
            faults.append(fault)
    if faults:
        raise InputFaultsError(faults)
    return Given(units, found)


def _one(ask: Input, written: str | bytes) -> float | int | str | bytes | None:
    if ask.kind == "file":
        data = written.encode() if isinstance(written, str) else written
        if data.strip():
            return data
        if ask.optional:
            return None
        raise InputError(ask.name, "", _("Choose a file, or paste its rows."))
    text = written.decode("utf-8", "replace") if isinstance(written, bytes) else written
    plain = text.strip() if ask.kind == "lines" else " ".join(text.split())
    if not plain and ask.optional:
        return None
    return _value(ask, plain)


def _value(ask: Input, plain: str) -> float | int | str:
    if ask.kind == "choice":
        return _choice(ask, plain)
    if ask.kind in {"text", "lines"}:
        if not plain:
            raise InputError(ask.name, plain, _("Write something here."))
        return plain
    if ask.kind == "integer":
        if not _WHOLE.fullmatch(plain):
            raise InputError(ask.name, plain, _("Write a whole number, such as 12."))
        return int(plain)
    if ask.kind == "number":
        if not _NUMBER.fullmatch(plain) or not math.isfinite(float(plain)):
            raise InputError(ask.name, plain, _("Write a number, such as 25 or 6.5."))
        return float(plain)
    if ask.kind == "percent":
        return _percent(ask, plain)
    return quantity.parse(plain, cast("Dimension", ask.kind), name=ask.name).si


def _choice(ask: Input, plain: str) -> str:
    known = [code for code, _words in ask.options]
    if plain not in known:
        raise InputError(
            ask.name, plain, _("Choose one of: {known}.").format(known=", ".join(known))
        )
    return plain


def _percent(ask: Input, plain: str) -> float:
    number = plain.removesuffix("%").strip()
    if number == plain or not _NUMBER.fullmatch(number):
        raise InputError(ask.name, plain, _("Write it in percent, such as “40 %”."))
    share = float(number) / 100
    if not 0 <= share <= 1:
        raise InputError(ask.name, plain, _("A share lies between 0 and 100 %."))
    return share
