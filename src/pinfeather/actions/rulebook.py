"""The rules a farm can choose from."""

from __future__ import annotations

from pinfeather.errors import InputError
from pinfeather.rules.profile import available, load


def profile_choices() -> list[tuple[str, str]]:
    """Return the profiles as (id, name)."""
    return [(summary.profile_id, summary.name) for summary in available()]


def tier_choices(profile_id: str) -> list[tuple[str, str]]:
    """Return the tiers open under a profile as (code, name)."""
    try:
        profile = load(profile_id)
    except InputError:
        return []
    return [(tier.code, tier.name) for tier in profile.tiers.values() if tier.allowed]
