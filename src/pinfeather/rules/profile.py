"""Finding and loading a profile: the limits and duties of one jurisdiction."""

from __future__ import annotations

import copy
import functools
import hashlib
import json
import tomllib
from collections.abc import Callable, Iterator, Mapping
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

__all__ = [
    "Limit", "Profile", "ProfileSummary", "Tier", "Wording", "available", "data", "digest", "load",
    "made", "read",
]  # fmt: skip

_TEMPLATE: Final = "template"
_elsewhere: list[Callable[[str], Mapping[str, Any] | None]] = []


def also_from(find: Callable[[str], Mapping[str, Any] | None]) -> None:
    """Say who finds profiles that do not come with the program; called once, when it starts.

    Parameters
    ----------
    find : callable
        From a profile's name in files to its whole data, sources included, or None. The same name
        has to give the same data as long as the program runs: what was found is kept.

    References
    ----------
    Decision record 0018.
    """
    _elsewhere[:] = [find]


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
    return made(_whole(profile_id), profile_id=profile_id)


def data(profile_id: str) -> dict[str, Any]:
    """Return a profile as nested tables, each number and wording with its own source.

    Parameters
    ----------
    profile_id : str
        As listed by :func:`available`, or one that :func:`also_from` finds.

    Returns
    -------
    dict
        A copy, to change as one likes.

    Raises
    ------
    InputError
        If there is no such profile.

    References
    ----------
    Each number carries its own citation.
    """
    return copy.deepcopy(_whole(profile_id))


@functools.cache
def digest(profile_id: str) -> str:
    """Return the fingerprint of everything a profile says.

    Parameters
    ----------
    profile_id : str
        As for :func:`data`.

    Returns
    -------
    str
        Hexadecimal digits; any other number, wording, source or date gives others.

    Raises
    ------
    InputError
        If there is no such profile.

    References
    ----------
    SHA-256 (FIPS 180-4) over the data as JSON with sorted names.
    """
    return digest_of(_whole(profile_id))


def digest_of(whole: Mapping[str, Any]) -> str:
    """Return the fingerprint of a profile's data.

    Parameters
    ----------
    whole : mapping
        As :func:`data` returns it.

    Returns
    -------
    str
        Hexadecimal digits.

    References
    ----------
    SHA-256 (FIPS 180-4) over the data as JSON with sorted names.
    """
    text = json.dumps(whole, sort_keys=True, ensure_ascii=False, separators=(",", ":"))
    return hashlib.sha256(text.encode()).hexdigest()


def written_in(profile_id: str) -> frozenset[str] | None:
    """Return the places that a packaged profile's own file writes, whatever lies below it.

    Parameters
    ----------
    profile_id : str
        As for :func:`data`.

    Returns
    -------
    frozenset of str or None
        Paths; None for a profile that does not come with the program.

    References
    ----------
    Derivation: the file without the profile it extends.
    """
    if profile_id not in _names():
        return None
    return frozenset(_paths(tomllib.loads(_packaged(profile_id)), ""))


def _paths(node: Any, at: str) -> Iterator[str]:  # noqa: ANN401 - TOML
    if isinstance(node, dict):
        for key, value in node.items():
            yield from _paths(value, f"{at}.{key}" if at else key)
    else:
        yield at


@functools.cache
def _whole(profile_id: str) -> dict[str, Any]:
    if profile_id in _names():
        return _layers(_packaged(profile_id), profile_id)
    found = next((found for find in _elsewhere if (found := find(profile_id))), None)
    if found is None:
        raise InputError(
            "profile",
            profile_id,
            _("There are no rules called “{profile}”. Known: {known}.").format(
                profile=profile_id, known=", ".join(_names())
            ),
        )
    return dict(found)


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
    return made(_layers(text, profile_id), profile_id=profile_id)


def made(whole: Mapping[str, Any], *, profile_id: str) -> Profile:
    """Make a profile of its data, held to the same schema as a file.

    Parameters
    ----------
    whole : mapping
        As :func:`data` returns it.
    profile_id : str
        Name to give it.

    Returns
    -------
    Profile
        Read and checked.

    Raises
    ------
    InputError
        As :func:`read`.

    References
    ----------
    Each number carries its own citation.
    """
    profile, faults = _built(whole, profile_id)
    if faults:
        raise faults[0]
    return profile


def faults_of(text: str, *, profile_id: str) -> tuple[InputError, ...]:
    """Say everything that is wrong with a profile file.

    Parameters
    ----------
    text : str
        TOML, like the packaged ``template.toml``.
    profile_id : str
        What the file is called.

    Returns
    -------
    tuple of InputError
        Each with its place in the file and a sentence; empty where the file is good.

    References
    ----------
    TOML 1.0.0 for the file format.
    """
    try:
        whole = _layers(text, profile_id)
    except InputError as fault:
        return (fault,)
    return _built(whole, profile_id)[1]


def _built(whole: Mapping[str, Any], profile_id: str) -> tuple[Profile, tuple[InputError, ...]]:
    table = Table(profile_id, dict(whole))
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
    return profile, tuple(table.faults)


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
