"""A profile as plain rows: every number and wording with its source, for pages and documents."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any, Final, Literal

from pinfeather.rules.limit import limit
from pinfeather.rules.profile import data, written_in
from pinfeather.rules.row_words import CODES, FLAGS, NAMES, ROOMS, STATUS_TEXT
from pinfeather.rules.schema import SOURCE_KEYS
from pinfeather.words import gettext as _

Kind = Literal["number", "words", "whole number", "yes or no", "list"]
_HIDDEN: Final = frozenset(
    {"extends", "name", "jurisdiction", "note", "open_points", "own", "base"}
)
_CODED: Final = ("tiers", "sanitisers", "yardsticks", "count_weight", "dollars_by_year")
"""Tables whose words are codes of the file's own."""
OWN_MARK: Final = "Your own change"
"""How the citation of a number that the farm changed begins; also looked for where marks show."""


@dataclass(frozen=True, slots=True)
class ProfileRow:
    """One number or wording of a profile.

    Parameters
    ----------
    path : str
        Where it is in the file (``"tiers.producer_1000.cap"``).
    room : str
        Heading it stands under, in words.
    name : str
        What it is, in words.
    value : str
        As published, with its unit.
    written : str
        Number, words, or ``"true"`` and ``"false"``, as the file writes it.
    unit : str
        As published; empty for words.
    citation, status, in_force, note : str
        Its source; ``status`` is one of ``rules.limit.STATUSES``.
    kind : str
        ``"number"``, ``"words"``, ``"whole number"``, ``"yes or no"`` or ``"list"``.
    own : bool
        Whether the farm changed it.
    """

    path: str
    room: str
    name: str
    value: str
    written: str
    unit: str
    citation: str
    status: str
    in_force: str
    note: str
    kind: Kind
    own: bool

    @property
    def status_words(self) -> str:
        """How it is known, in words."""
        return _(STATUS_TEXT.get(self.status, self.status))

    @property
    def in_force_words(self) -> str:
        """Date of the text it was read in, in words."""
        if self.in_force == "undated":
            return _("date not stated in the copy")
        if self.in_force.startswith("until "):
            return _("in force until {date}, withdrawn since").format(
                date=self.in_force.removeprefix("until ")
            )
        return _("text of {date}").format(date=self.in_force)


def rows_of(profile_id: str) -> tuple[ProfileRow, ...]:
    """List every number and wording of a profile.

    Parameters
    ----------
    profile_id : str
        As for :func:`pinfeather.rules.profile.load`.

    Returns
    -------
    tuple of ProfileRow
        Tier by tier, then room by room, in the order of the file.

    Raises
    ------
    InputError
        If there is no such profile.

    References
    ----------
    Each row carries its own citation.
    """
    whole = data(profile_id)
    rows = rows_from(whole)
    below = str(whole.get("extends", ""))
    if not below:
        return rows
    written, base = written_in(profile_id), {row.path: row for row in rows_of(below)}
    return tuple(_inherited(row, base.get(row.path), written) for row in rows)


def _inherited(
    row: ProfileRow, below: ProfileRow | None, written: frozenset[str] | None
) -> ProfileRow:
    """Give a plain word that comes from the profile below the source it has there."""
    if below is None or row.kind in {"number", "words"}:
        return row
    if row.path in written if written is not None else row.written != below.written:
        return row
    return replace(
        row, citation=below.citation, status=below.status, in_force=below.in_force, own=below.own
    )


def rows_from(whole: Mapping[str, Any]) -> tuple[ProfileRow, ...]:
    """List every number and wording of a profile's data, as it was kept.

    Parameters
    ----------
    whole : mapping
        As :func:`pinfeather.rules.profile.data` returns it.

    Returns
    -------
    tuple of ProfileRow
        Tier by tier, then room by room.

    References
    ----------
    Each row carries its own citation.
    """
    found: list[ProfileRow] = []
    note = " ".join(str(whole.get("note", "")).split())
    for code, tier in whole.get("tiers", {}).items():
        room = str(tier.get("name", code))
        if tier.get("allowed", True):
            found.extend(_walk(tier, f"tiers.{code}", _Here(room, {}, {})))
        else:
            found.append(_closed(code, room, note))
    for key, title in ROOMS.items():
        if isinstance(whole.get(key), dict):
            found.extend(_walk(whole[key], key, _Here(_(title), {}, {})))
    return tuple(found)


def _closed(code: str, room: str, note: str) -> ProfileRow:
    words = _("closed here: not allowed by the state, or not read in its own text")
    return ProfileRow(
        f"tiers.{code}.allowed", room, _("This class"), words, "false", "", note, "assumed",
        "undated", "", "yes or no", own=False,
    )  # fmt: skip


@dataclass(frozen=True, slots=True)
class _Here:
    """What holds for everything inside a table: its source, and what its row is called."""

    room: str
    source: Mapping[str, Any]
    words: Mapping[str, str]

    def inside(self, node: Mapping[str, Any]) -> _Here:
        """Return the same with a table's own source where it has one."""
        own = {key: node[key] for key in SOURCE_KEYS if key in node}
        return replace(self, source={**self.source, **own})

    def called(self, **words: str) -> _Here:
        """Return the same with more of the row's names."""
        return replace(self, words={**self.words, **words})


def _walk(node: Mapping[str, Any], path: str, here: _Here) -> Iterator[ProfileRow]:
    """Yield a row for each leaf of a table, each with the nearest source."""
    here = here.inside(node)
    for key, value in node.items():
        plain = not isinstance(value, dict)
        if key in SOURCE_KEYS or key in _HIDDEN or (plain and key in {"label", "allowed"}):
            continue
        called = here.called(key=str(key))
        if path.endswith(".sanitisers"):
            called = called.called(row=str(value.get("name", key)))
        if path.endswith(".yardsticks"):
            called = called.called(table=_(CODES.get(key, key)))
        yield from _leaves(value, f"{path}.{key}", called)


def _leaves(value: Any, at: str, here: _Here) -> Iterator[ProfileRow]:  # noqa: ANN401 - TOML
    if isinstance(value, dict) and "value" not in value and "text" not in value:
        yield from _walk(value, at, here)
    elif isinstance(value, list) and value and isinstance(value[0], dict):
        for number, row in enumerate(value):
            called = here.called(n=str(number + 1))
            if "label" in row:
                called = called.called(row=str(row["label"]))
            yield from _leaves(row, f"{at}[{number}]", called)
    else:
        yield _row(value, at, here.inside(value) if isinstance(value, dict) else here)


def _row(value: Any, at: str, here: _Here) -> ProfileRow:  # noqa: ANN401 - TOML
    pattern = pattern_of(at)
    name = _(NAMES.get(pattern, at.rsplit(".", 1)[-1]))
    shown, written, unit, kind = _spelled(value, pattern)
    citation = str(here.source.get("citation", ""))
    return ProfileRow(
        path=at,
        room=here.room,
        name=name.format_map(_Blank(here.words)),
        value=shown,
        written=written,
        unit=unit,
        citation=citation,
        status=str(here.source.get("status", "")),
        in_force=str(here.source.get("in_force", "")),
        note=str(value.get("note", "")) if isinstance(value, dict) else "",
        kind=kind,
        own=citation.startswith(OWN_MARK),
    )


class _Blank(dict[str, str]):
    """Names of a row; what is missing is left out."""

    def __missing__(self, key: str) -> str:
        return ""


def pattern_of(path: str) -> str:
    """Return a path with ``*`` for the file's own codes and ``[]`` for a row's number.

    Parameters
    ----------
    path : str
        Where something is in a profile file.

    Returns
    -------
    str
        As in ``rules.row_words.NAMES``.

    References
    ----------
    Derivation: string substitution.

    Examples
    --------
    >>> pattern_of("tiers.producer_1000.conditions[2]")
    'tiers.*.conditions[]'
    """
    path = re.sub(r"\[\d+\]", "[]", path)
    return re.sub(rf"(^|\.)({'|'.join(_CODED)})\.\w+", r"\1\2.*", path)


def _spelled(value: Any, pattern: str) -> tuple[str, str, str, Kind]:  # noqa: ANN401 - TOML
    if isinstance(value, dict) and "text" in value:
        return str(value["text"]), str(value["text"]), "", "words"
    if isinstance(value, dict):
        made = limit(value["value"], value["unit"], citation="", status="", in_force="")
        return str(made), f"{made.value:.12g}", made.unit, "number"
    if isinstance(value, bool):
        yes, no = FLAGS.get(pattern, ("yes", "no"))
        return _(yes if value else no), str(value).lower(), "", "yes or no"
    if isinstance(value, int):
        return str(value), str(value), "", "whole number"
    if isinstance(value, list):
        listed = ", ".join(_(CODES.get(one, one)) for one in value) or _("nothing")
        return listed, ", ".join(value), "", "list"
    return _(CODES.get(value, value)), str(value), "", "list"
