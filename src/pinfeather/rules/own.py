"""A farm's own profile: a packaged one with some numbers changed, each with its why.

What a change writes into the data is data, like the rest of a profile's text, and not translated: a
profile's fingerprint must not depend on who reads it first.
"""

from __future__ import annotations

import copy
import datetime as dt
import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from pinfeather.errors import InputError
from pinfeather.rules.limit import IN_FORCE, STATUSES, Limit, limit
from pinfeather.rules.profile import Profile, data, made
from pinfeather.rules.rows import OWN_MARK, ProfileRow
from pinfeather.rules.schema import SOURCE_KEYS
from pinfeather.rules.unit_of import unit_fault
from pinfeather.words import gettext as _

CHANGEABLE: Final = frozenset({"number", "words", "whole number", "yes or no"})
"""What can be changed in place; lists and tables need a profile file."""
_STEP: Final = re.compile(r"([^.\[\]]+)(?:\[(\d+)\])?")
_FLAGS: Final = {"true": True, "false": False}


@dataclass(frozen=True, slots=True)
class Edit:
    """One change of a profile.

    Parameters
    ----------
    path : str
        Which number (``"chill.target"``).
    written : str
        The new number, words, or ``"true"`` or ``"false"``.
    unit : str
        Unit of a number; empty otherwise.
    why : str
        Why it was changed.
    source : str
        Where the new value stands, or who said so.
    status : str
        How it is known, one of ``rules.limit.STATUSES``.
    in_force : str
        Date of the text, as a profile file writes it.
    who : str
        Who changed it.
    on : date
        When.
    """

    path: str
    written: str
    unit: str
    why: str
    source: str
    status: str
    in_force: str
    who: str
    on: dt.date


def edited(base_id: str, edits: Sequence[Edit]) -> dict[str, Any]:
    """Return a profile's data with a farm's changes, one after the other.

    Parameters
    ----------
    base_id : str
        The profile below.
    edits : sequence of Edit
        The first one first; a later change of the same number replaces an earlier one.

    Returns
    -------
    dict
        Complete, as :func:`pinfeather.rules.profile.data`. A change whose place is gone from the
        profile below is left out.

    Raises
    ------
    InputError
        If there is no such profile.

    References
    ----------
    Decision record 0018.
    """
    below = data(base_id)
    whole = copy.deepcopy(below)
    for edit in {one.path: one for one in edits}.values():
        if _at(whole, edit.path) is not None:
            _put(whole, edit)
    whole["extends"] = base_id
    whole["name"] = f"{below['name']}, with your own changes"
    return whole


def edit_faults(base_id: str, edits: Sequence[Edit], new: Edit) -> tuple[InputError, ...]:
    """Say what is wrong with a change before it is kept.

    Parameters
    ----------
    base_id : str
        The profile below.
    edits : sequence of Edit
        Changes made before.
    new : Edit
        The one to judge.

    Returns
    -------
    tuple of InputError
        Named ``written``, ``unit``, ``why``, ``source``, ``status``, ``in_force``, ``who`` or
        ``path``; empty where it can be kept.

    References
    ----------
    The schema of a profile file, :mod:`pinfeather.rules.schema`.
    """
    faults = [
        InputError(name, value, sentence)
        for name, value, sentence in (
            ("why", new.why, _("Write why, so that others can follow it later.")),
            ("source", new.source, _("Write where it stands, or who said so.")),
            ("who", new.who, _("Choose who changes it.")),
        )
        if not value.strip()
    ]
    if new.status not in STATUSES:
        faults.append(InputError("status", new.status, _("Choose how sure this is.")))
    if not IN_FORCE.fullmatch(new.in_force):
        sentence = _("Write a year, a month or a day: 2024, 2024-05 or 2024-05-28.")
        faults.append(InputError("in_force", new.in_force, sentence))
    node = _at(edited(base_id, edits), new.path)
    if node is None:
        faults.append(InputError("path", new.path, _("These rules have no such number.")))
        return tuple(faults)
    faults.extend(_value_faults(node, new))
    if not faults:
        try:
            made(edited(base_id, [*edits, new]), profile_id="own")
        except InputError as fault:
            faults.append(InputError(_field(fault.name), fault.value, fault.problem))
    return tuple(faults)


def _value_faults(node: Any, new: Edit) -> list[InputError]:  # noqa: ANN401 - TOML
    """Hold a new value against the kind of thing it replaces."""
    text = new.written.strip()
    if not text:
        return [InputError("written", new.written, _("Write the new value."))]
    if isinstance(node, bool):
        known = text in _FLAGS
        return [] if known else [InputError("written", text, _("Choose one of the two."))]
    if isinstance(node, int):
        return [] if text.isdecimal() else [InputError("written", text, _("A whole number here."))]
    if "text" in node:
        return []
    value = _number(text)
    if value is None:
        return [InputError("written", text, _("Write a plain number, such as 40 or 0.5."))]
    wrong = unit_fault(new.path, new.unit)
    return [InputError("unit", new.unit, wrong)] if wrong else []


def _number(text: str) -> float | None:
    try:
        value = float(text.replace(",", ""))
    except ValueError:
        return None
    return value if math.isfinite(value) else None


def _field(name: str) -> str:
    return "unit" if name.endswith(".unit") else "written"


def make_own(base_id: str, edits: Sequence[Edit], *, profile_id: str) -> Profile:
    """Return the farm's own profile.

    Parameters
    ----------
    base_id : str
        The profile below.
    edits : sequence of Edit
        The farm's changes.
    profile_id : str
        Name to give it.

    Returns
    -------
    Profile
        Held to the schema.

    Raises
    ------
    InputError
        If a change does not fit the schema.

    References
    ----------
    Decision record 0018.
    """
    return made(edited(base_id, edits), profile_id=profile_id)


def marked(edit: Edit) -> str:
    """Return how a change's citation begins wherever it is shown.

    Parameters
    ----------
    edit : Edit
        The change.

    Returns
    -------
    str
        "Your own change", with who and when, and the source.

    References
    ----------
    Derivation: words.
    """
    return f"{OWN_MARK} ({edit.who}, {edit.on.isoformat()}): {edit.source}"


def changeable(row: ProfileRow) -> bool:
    """Tell whether a row can be changed in place.

    Parameters
    ----------
    row : ProfileRow
        A number or wording.

    Returns
    -------
    bool
        Lists, and whole classes that are closed, need a profile file.

    References
    ----------
    Derivation: the kinds that one field can hold.
    """
    return row.kind in CHANGEABLE and not row.path.endswith((".allowed", ".no_cap"))


def _steps(path: str) -> list[str | int]:
    steps: list[str | int] = []
    for part in path.split("."):
        found = _STEP.fullmatch(part)
        if found is None:
            return []
        steps.append(found[1])
        if found[2]:
            steps.append(int(found[2]))
    return steps


def _at(whole: Mapping[str, Any], path: str) -> Any:  # noqa: ANN401 - TOML
    """Return what can be changed at a place; None where there is nothing."""
    here: Any = whole
    for step in _steps(path):
        try:
            here = here[step]
        except (KeyError, IndexError, TypeError):
            return None
    if isinstance(here, int):
        return here
    leaf = isinstance(here, dict) and ("value" in here or "text" in here)
    return here if leaf and here is not whole else None


def _put(whole: dict[str, Any], edit: Edit) -> None:
    """Write a change into the data, its source beside it."""
    *before, last = _steps(edit.path)
    above: Any = whole
    chain = [above]
    for step in before:
        above = above[step]
        chain.append(above)
    source = {"citation": marked(edit), "status": edit.status, "in_force": edit.in_force}
    node = above[last]
    if isinstance(node, dict):
        why = edit.why.strip().rstrip(".")
        note = f"{why}. Before: {_old(node)}, {node.get('citation', '')}."
        value = _number(edit.written)
        above[last] = (
            {"text": edit.written.strip(), **source}
            if "text" in node
            else {"value": _plain(value or 0.0), "unit": edit.unit, "note": note, **source}
        )
        return
    text = edit.written.strip()
    above[last] = _FLAGS[text] if isinstance(node, bool) else int(text)
    for table in reversed(chain):
        if isinstance(table, dict) and all(key in table for key in SOURCE_KEYS):
            _mark(table, edit, source)
            if isinstance(table.get("cap"), dict):  # what a cap means is part of the cap
                _mark(table["cap"], edit, source)
            return


def _mark(table: dict[str, Any], edit: Edit, source: Mapping[str, str]) -> None:
    """Say in a table's own source that something in it is the farm's."""
    own, why = source["citation"].rstrip("."), edit.why.strip().rstrip(".")
    table["citation"] = f"{own}. {why}. The rest: {table['citation']}"
    table["status"] = source["status"]


def _old(node: Mapping[str, Any]) -> str | Limit:
    return (
        limit(node["value"], node["unit"], citation="", status="", in_force="")
        if ("value" in node)
        else str(node.get("text", ""))
    )


def _plain(value: float) -> float:
    return int(value) if value.is_integer() else value
