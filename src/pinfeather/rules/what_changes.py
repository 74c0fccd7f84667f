"""What would change the answer to "which exemption fits"."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any, Final

from pinfeather.rules.count import weighted
from pinfeather.rules.model import Profile
from pinfeather.rules.which import FarmFacts, TierAnswer, which_tier
from pinfeather.words import gettext as _
from pinfeather.words import gettext_noop, ngettext

FLIPS: Final = {
    "sells": (gettext_noop("you sold or gave birds away"), gettext_noop("you sold nothing")),
    "only_owners_birds": (
        gettext_noop("every bird belonged to somebody else and went back to that household"),
        gettext_noop("not every bird went back to its owner"),
    ),
    "leaves_state": (
        gettext_noop("anything left the state"),
        gettext_noop("nothing left the state"),
    ),
    "all_own_raised": (
        gettext_noop("all birds were your own raising"),
        gettext_noop("you slaughtered birds you did not raise"),
    ),
    "own_premises": (
        gettext_noop("all were slaughtered on your own place"),
        gettext_noop("some were slaughtered elsewhere"),
    ),
    "other_products": (
        gettext_noop("you bought or sold dressed birds of other farms"),
        gettext_noop("you bought and sold no dressed birds of other farms"),
    ),
    "other_poultry": (
        gettext_noop("you bought or sold other poultry, live or dead"),
        gettext_noop("you bought and sold no other poultry"),
    ),
    "facility_shared": (
        gettext_noop("somebody else slaughtered or processed poultry in your shop"),
        gettext_noop("nobody else used your shop for poultry"),
    ),
    "sharing_granted": (
        gettext_noop("a written grant for sharing the shop were on file"),
        gettext_noop("there were no written grant for sharing the shop"),
    ),
    "direct_only": (
        gettext_noop("you delivered everything yourself, to households and dining rooms only"),
        gettext_noop("a shop or a distributor sold some of it"),
    ),
    "only_slaughter_and_cut": (
        gettext_noop("you only slaughtered and cut up"),
        gettext_noop("you cooked, smoked or marinated"),
    ),
}
"""Each fact of a farm, as a condition: when it became true, when it became false."""


@dataclass(frozen=True, slots=True)
class WhatIf:
    """One other fact, and the answer it gives.

    Parameters
    ----------
    fact : str
        Which fact was turned over, or ``"year_birds"``.
    condition : str
        In words, to follow "if".
    answer : TierAnswer
        What would fit then.
    changes : bool
        Whether another tier fits, or none.
    """

    fact: str
    condition: str
    answer: TierAnswer
    changes: bool


def what_would_change(profile: Profile, facts: FarmFacts) -> tuple[WhatIf, ...]:
    """Turn over each fact by itself, and move the count to the next border on each side.

    Parameters
    ----------
    profile : Profile
        The rules in force.
    facts : FarmFacts
        What the farm does this calendar year.

    Returns
    -------
    tuple of WhatIf
        The count first, then the facts; those that change nothing are there, too.

    Raises
    ------
    InputError
        If a kind of bird is unknown.

    References
    ----------
    Derivation: :func:`pinfeather.rules.which.which_tier` asked again for each.
    """
    now = which_tier(profile, facts)
    found = [
        *_counts(profile, facts, now),
        *(
            (name, _(words[bool(getattr(facts, name))]), _turned(facts, name))
            for name, words in FLIPS.items()
        ),
    ]
    return tuple(
        WhatIf(fact, condition, then, changes=then.tier != now.tier)
        for fact, condition, other in found
        for then in [which_tier(profile, other)]
    )


def _turned(facts: FarmFacts, name: str) -> FarmFacts:
    other: dict[str, Any] = {name: not getattr(facts, name)}
    return replace(facts, **other)


def _counts(
    profile: Profile, facts: FarmFacts, now: TierAnswer
) -> Iterator[tuple[str, str, FarmFacts]]:
    """Yield the nearest counts above and below at which a cap is passed or kept."""
    kind = max(facts.year_birds, key=lambda one: facts.year_birds[one], default="chicken")
    head = facts.year_birds.get(kind, 0)
    more: set[int] = set()
    fewer: set[int] = set()
    for tier in profile.tiers.values():
        weight = tier.count_weight.get(kind, 0)
        if tier.most is None or not tier.allowed or weight == 0:
            continue
        left = tier.most - weighted(tier, facts.year_birds, name="year_birds")
        if left >= 0:
            more.add(left // weight + 1)
        elif -(left // weight) <= head:
            fewer.add(-(left // weight))
    if now.tier is not None and profile.tiers[now.tier].cap is None:
        return
    for steps in (sorted(more), sorted(-n for n in fewer)[::-1]):
        moved = [
            (step, replace(facts, year_birds={**facts.year_birds, kind: head + step}))
            for step in steps
        ]
        decisive = [one for one in moved if which_tier(profile, one[1]).tier != now.tier]
        for step, other in (decisive or moved)[:1]:
            yield "year_birds", _told(step, kind, sum(other.year_birds.values())), other


def _told(step: int, kind: str, total: int) -> str:
    if step > 0:
        told = ngettext("you slaughtered one bird more", "you slaughtered {n:,} birds more", step)
    else:
        told = ngettext(
            "you slaughtered one bird fewer", "you slaughtered {n:,} birds fewer", -step
        )
    return _("{told} ({kind}; {total:,} in all)").format(
        told=told.format(n=abs(step)), kind=kind, total=total
    )
