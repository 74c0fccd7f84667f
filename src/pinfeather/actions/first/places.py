"""States and their clocks: what a farm is asked first, prefilled where the computer knows."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Final

from pinfeather.actions.rules.choices import profile_choices, tier_choices
from pinfeather.clock import zone
from pinfeather.errors import InputError
from pinfeather.words import gettext as _
from pinfeather.words import gettext_noop

_EASTERN: Final = "America/New_York"
_CENTRAL: Final = "America/Chicago"
_MOUNTAIN: Final = "America/Denver"
_ARIZONA: Final = "America/Phoenix"
_PACIFIC: Final = "America/Los_Angeles"
_ALASKA: Final = "America/Anchorage"
_HAWAII: Final = "Pacific/Honolulu"

ZONES: Final[Mapping[str, str]] = {
    _EASTERN: gettext_noop("Eastern"),
    _CENTRAL: gettext_noop("Central"),
    _MOUNTAIN: gettext_noop("Mountain"),
    _ARIZONA: gettext_noop("Arizona, no summer time"),
    _PACIFIC: gettext_noop("Pacific"),
    _ALASKA: gettext_noop("Alaska"),
    _HAWAII: gettext_noop("Hawaii"),
}
"""Clocks a farm can choose from in words; any other stays as the computer has it."""

STATES: Final[Mapping[str, tuple[str, str]]] = {
    "al": ("Alabama", _CENTRAL), "ak": ("Alaska", _ALASKA), "az": ("Arizona", _ARIZONA),
    "ar": ("Arkansas", _CENTRAL), "ca": ("California", _PACIFIC), "co": ("Colorado", _MOUNTAIN),
    "ct": ("Connecticut", _EASTERN), "de": ("Delaware", _EASTERN), "fl": ("Florida", _EASTERN),
    "ga": ("Georgia", _EASTERN), "hi": ("Hawaii", _HAWAII), "id": ("Idaho", _MOUNTAIN),
    "il": ("Illinois", _CENTRAL), "in": ("Indiana", _EASTERN), "ia": ("Iowa", _CENTRAL),
    "ks": ("Kansas", _CENTRAL), "ky": ("Kentucky", _EASTERN), "la": ("Louisiana", _CENTRAL),
    "me": ("Maine", _EASTERN), "md": ("Maryland", _EASTERN), "ma": ("Massachusetts", _EASTERN),
    "mi": ("Michigan", _EASTERN), "mn": ("Minnesota", _CENTRAL), "ms": ("Mississippi", _CENTRAL),
    "mo": ("Missouri", _CENTRAL), "mt": ("Montana", _MOUNTAIN), "ne": ("Nebraska", _CENTRAL),
    "nv": ("Nevada", _PACIFIC), "nh": ("New Hampshire", _EASTERN), "nj": ("New Jersey", _EASTERN),
    "nm": ("New Mexico", _MOUNTAIN), "ny": ("New York", _EASTERN),
    "nc": ("North Carolina", _EASTERN), "nd": ("North Dakota", _CENTRAL), "oh": ("Ohio", _EASTERN),
    "ok": ("Oklahoma", _CENTRAL), "or": ("Oregon", _PACIFIC), "pa": ("Pennsylvania", _EASTERN),
    "ri": ("Rhode Island", _EASTERN), "sc": ("South Carolina", _EASTERN),
    "sd": ("South Dakota", _CENTRAL), "tn": ("Tennessee", _CENTRAL), "tx": ("Texas", _CENTRAL),
    "ut": ("Utah", _MOUNTAIN), "vt": ("Vermont", _EASTERN), "va": ("Virginia", _EASTERN),
    "wa": ("Washington", _PACIFIC), "wv": ("West Virginia", _EASTERN),
    "wi": ("Wisconsin", _CENTRAL), "wy": ("Wyoming", _MOUNTAIN),
}  # fmt: skip
"""The states with the clock of most of their people (after 49 CFR part 71; from memory)."""

ELSEWHERE: Final = "elsewhere"
_SMALLEST: Final = "producer_1000"
_ZONE_FILE: Final = Path("/etc/localtime")


def state_choices() -> list[tuple[str, str]]:
    """Return the states as (code, name), and a last one for everywhere else."""
    known = [(code, name) for code, (name, _zone) in STATES.items()]
    return [("", _("Choose")), *known, (ELSEWHERE, _("Elsewhere"))]


def zone_choices(here: str) -> list[tuple[str, str]]:
    """Return the clocks as (name, words); the computer's own stands among them."""
    known = [(name, _(words)) for name, words in ZONES.items()]
    more = [(here, here.replace("_", " "))] if here and here not in ZONES else []
    return [("", _("the state’s own")), *known, *more]


def host_zone(*, file: Path = _ZONE_FILE) -> str:
    """Return the time zone this computer is set to; empty where it does not say, or says UTC."""
    try:
        name = str(file.resolve(strict=True)).partition("zoneinfo/")[2]
    except OSError:
        return ""
    if "/" not in name or name.startswith(("Etc/", "/")):
        return ""
    try:
        zone(name)
    except InputError:
        return ""
    return name


def rules_of(state: str) -> tuple[str, str]:
    """Return the profile of a state and the smallest exemption under it.

    A state whose rules are not packaged is judged by the federal ones.
    """
    profile = f"us-{state}"
    if profile not in {name for name, _title in profile_choices()}:
        profile = "us-federal"
    tiers = [code for code, _title in tier_choices(profile)]
    return profile, _SMALLEST if _SMALLEST in tiers else tiers[0]


def zone_of(state: str) -> str:
    """Return the clock of most of a state."""
    return STATES[state][1] if state in STATES else _CENTRAL
