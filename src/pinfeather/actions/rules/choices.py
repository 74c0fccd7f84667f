"""The rules a farm can choose from."""

from __future__ import annotations

from pinfeather.errors import InputError
from pinfeather.rules.profile import available, load


def packaged_choices() -> list[tuple[str, str]]:
    """Return the profiles that come with the program as (id, name)."""
    return [(summary.profile_id, summary.name) for summary in available()]


def profile_choices() -> list[tuple[str, str]]:
    """Return the profiles as (id, name), the farm's own ones first."""
    from pinfeather.actions.rules.own import own_choices

    return [*own_choices(), *packaged_choices()]


def tier_choices(profile_id: str) -> list[tuple[str, str]]:
    """Return the tiers open under a profile as (code, name)."""
    try:
        profile = load(profile_id)
    except InputError:
        return []
    return [(tier.code, tier.name) for tier in profile.tiers.values() if tier.allowed]
