"""The rules as plain rows, for pages, documents and commands."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from pinfeather.rules.model import Profile
from pinfeather.rules.rows import ProfileRow, rows_of


@dataclass(frozen=True, slots=True)
class Room:
    """The rows that stand under one heading."""

    title: str
    rows: tuple[ProfileRow, ...]


def profile_rows(profile: Profile | str) -> tuple[ProfileRow, ...]:
    """Return every number and wording of a profile with its source, in the order of its file.

    Raises
    ------
    InputError
        If there is no such profile.
    """
    return rows_of(profile if isinstance(profile, str) else profile.profile_id)


def in_rooms(rows: Iterable[ProfileRow]) -> tuple[Room, ...]:
    """Return rows under their headings."""
    rooms: dict[str, list[ProfileRow]] = {}
    for row in rows:
        rooms.setdefault(row.room, []).append(row)
    return tuple(Room(title, tuple(found)) for title, found in rooms.items())
