"""The text of the rules behind each verdict: kept once, named by its fingerprint."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final

from pinfeather import __version__
from pinfeather.records import journal, models
from pinfeather.rules.profile import Profile, data, digest, load, made
from pinfeather.words import gettext as _

KIND: Final = "rules text"
_SHORT: Final = 12


@dataclass(frozen=True, slots=True)
class Stamp:
    """Which rules a verdict was made by."""

    profile: str
    name: str
    digest: str
    program: str

    @property
    def words(self) -> str:
        """The same in one line."""
        return _("{name}, version {version}, Pinfeather {program}").format(
            name=self.name, version=self.digest[:_SHORT], program=self.program
        )


def stamp(profile_id: str) -> dict[str, str]:
    """Return what a verdict keeps about its rules: profile, fingerprint, program version."""
    return {
        "profile": profile_id,
        "name": load(profile_id).name,
        "digest": digest(profile_id),
        "program": __version__,
    }


def keep(profile_id: str, *, at: dt.datetime, who: str = "") -> dict[str, str]:
    """Keep the whole text of a profile in the journal, once, and return the stamp."""
    made_by = stamp(profile_id)
    ident = _ident(made_by["digest"])
    if not models.Entry.objects.filter(client_id=ident).exists():
        payload = {**made_by, "data": data(profile_id)}
        journal.append_from_page(KIND, payload, client_id=ident, who=who, at=at)
    return made_by


def read_stamp(kept: Mapping[str, Any]) -> Stamp | None:
    """Return the stamp of a verdict; None where it was made before stamps were kept."""
    rules = kept.get("rules")
    if not isinstance(rules, Mapping):
        return None
    return Stamp(*(str(rules.get(key, "")) for key in ("profile", "name", "digest", "program")))


def text_of(fingerprint: str) -> Mapping[str, Any] | None:
    """Return the text of rules that were in force once, as it was then."""
    entry = models.Entry.objects.filter(client_id=_ident(fingerprint), kind=KIND).first()
    return None if entry is None else dict(entry.payload["data"])


def profile_of(fingerprint: str) -> Profile | None:
    """Return rules that were in force once, ready to judge by."""
    text = text_of(fingerprint)
    return None if text is None else made(text, profile_id=f"kept-{fingerprint[:_SHORT]}")


def _ident(fingerprint: str) -> str:
    return f"rules{fingerprint[:32]}"
