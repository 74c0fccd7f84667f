"""Finding and loading a profile: the limits and duties of one jurisdiction."""

from __future__ import annotations

import functools
import tomllib
from importlib import resources
from types import MappingProxyType
from typing import Any, Final

from pinfeather.errors import InputError
from pinfeather.rules import build
from pinfeather.rules.limit import Limit, Wording
from pinfeather.rules.model import Profile, ProfileSummary
from pinfeather.rules.schema import Table, laid_over, sourced
from pinfeather.rules.tier import Tier
from pinfeather.words import gettext as _

__all__ = ["Limit", "Profile", "ProfileSummary", "Tier", "Wording", "available", "load", "read"]

_TEMPLATE: Final = "template"


def available() -> tuple[ProfileSummary, ...]:
    """List the profiles that come with the program.

    Returns
    -------
    tuple of ProfileSummary
        Federal first, then by name.

    References
    ----------
    Derivation: the files of the package.

    Examples
    --------
    >>> available()[0].profile_id
    'us-federal'
    """
    found = [
        ProfileSummary(
            profile_id, data["name"], data["jurisdiction"], " ".join(data["note"].split())
        )
        for profile_id in _names()
        for data in [tomllib.loads(_packaged(profile_id))]
    ]
    return tuple(sorted(found, key=lambda s: (len(s.jurisdiction) > len("US"), s.name)))


@functools.cache
def load(profile_id: str) -> Profile:
    """Load the limits and duties of one jurisdiction.

    Parameters
    ----------
    profile_id : str
        As listed by :func:`available` (``"us-federal"``, ``"us-co"``).

    Returns
    -------
    Profile
        Read and checked.

    Raises
    ------
    InputError
        If there is no such profile, with the known ones.

    References
    ----------
    Each number carries its own citation.

    Examples
    --------
    >>> str(load("us-federal").chill.target)
    '40 °F'
    """
    if profile_id not in _names():
        raise InputError(
            "profile",
            profile_id,
            _("There are no rules called “{profile}”. Known: {known}.").format(
                profile=profile_id, known=", ".join(_names())
            ),
        )
    return read(_packaged(profile_id), profile_id=profile_id)


def read(text: str, *, profile_id: str) -> Profile:
    """Read a profile that somebody wrote, for a place not in the list.

    Parameters
    ----------
    text : str
        TOML, like the packaged ``template.toml``.
    profile_id : str
        Name to give it.

    Returns
    -------
    Profile
        Read and checked.

    Raises
    ------
    InputError
        If it is not TOML, lacks something, has a word no profile knows, or a number without its
        source; the path in the file is the error's name.

    References
    ----------
    TOML 1.0.0 for the file format.
    """
    table = Table(profile_id, _layers(text, profile_id))
    profile = Profile(
        profile_id=profile_id,
        name=table.text("name"),
        jurisdiction=table.text("jurisdiction"),
        note=" ".join(table.text("note").split()),
        open_points=table.texts("open_points"),
        tiers=MappingProxyType(build.tiers(table.table("tiers"))),
        count=build.count(table.table("count")),
        chill=build.chill(table.table("chill")),
        timing=build.timing(table.table("timing")),
        freezing=build.freezing(table.table("freezing")),
        sanitation=build.sanitation(table.table("sanitation")),
        label=build.label(table.table("label")),
        weights=build.weights(table.table("weights")),
        records=build.records(table.table("records")),
        retail=build.retail(table.table("retail")),
    )
    table.text("extends", "")
    table.finish()
    return profile


def template() -> str:
    """Return a commented profile file to start from, for any other place.

    Returns
    -------
    str
        TOML with every word explained.

    References
    ----------
    Derivation: a packaged file.
    """
    return _packaged(_TEMPLATE)


def _layers(text: str, profile_id: str) -> dict[str, Any]:
    try:
        data = sourced(tomllib.loads(text))
    except tomllib.TOMLDecodeError as error:
        raise InputError(
            profile_id, text[:80], _("The profile is not valid TOML: {why}.").format(why=error)
        ) from error
    below = data.get("extends")
    if below is None:
        return data
    if below not in _names():
        raise InputError(
            f"{profile_id}.extends",
            below,
            _("There are no rules called “{profile}”. Known: {known}.").format(
                profile=below, known=", ".join(_names())
            ),
        )
    base = _layers(_packaged(str(below)), str(below))
    base.pop("open_points", None)
    return laid_over(base, data)


def _names() -> tuple[str, ...]:
    folder = resources.files("pinfeather.rules").joinpath("profiles")
    names = (f.name.removesuffix(".toml") for f in folder.iterdir() if f.name.endswith(".toml"))
    return tuple(sorted(name for name in names if name != _TEMPLATE))


def _packaged(profile_id: str) -> str:
    folder = resources.files("pinfeather.rules").joinpath("profiles")
    return folder.joinpath(f"{profile_id}.toml").read_text(encoding="utf-8")
