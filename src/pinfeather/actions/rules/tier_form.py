"""Which exemption fits: facts from the records, what somebody answers, and what is kept of it."""

from __future__ import annotations

import datetime as dt
import uuid
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final

from pinfeather import clock
from pinfeather.actions.day import days
from pinfeather.actions.day.entry_fields import number_in
from pinfeather.actions.farm import farm
from pinfeather.actions.rules import kept as rules_kept
from pinfeather.errors import InputError, InputFaultsError
from pinfeather.records import journal, models
from pinfeather.records.writing import writing
from pinfeather.rules.model import Profile
from pinfeather.rules.profile import load
from pinfeather.rules.what_changes import WhatIf, what_would_change
from pinfeather.rules.which import FarmFacts, TierAnswer, which_tier
from pinfeather.rules.year import DayAhead, year_ahead
from pinfeather.words import gettext as _
from pinfeather.words import gettext_noop

KIND: Final = "tier answers"
KINDS: Final = ("chicken", "turkey", "duck", "goose")
"""Kinds that are always asked for; others where the records have them."""
_MOST_HEAD: Final = 1_000_000
QUESTIONS: Final = {
    "sells": gettext_noop("Is anything sold, bartered or given to the public?"),
    "only_owners_birds": gettext_noop(
        "Does every bird belong to somebody else, and go back to that household?"
    ),
    "leaves_state": gettext_noop("Does anything leave the state?"),
    "all_own_raised": gettext_noop("Did you raise all the birds yourself?"),
    "own_premises": gettext_noop("Are all slaughtered on your own place, by you?"),
    "other_products": gettext_noop("Do you buy or sell dressed birds of other farms?"),
    "other_poultry": gettext_noop("Do you buy or sell any other poultry, live or dead?"),
    "facility_shared": gettext_noop("Does anybody else slaughter or process poultry in your shop?"),
    "sharing_granted": gettext_noop("If so, is a written grant for it on file?"),
    "direct_only": gettext_noop(
        "Do you deliver everything yourself, to households, restaurants, hotels and boarding "
        "houses only?"
    ),
    "only_slaughter_and_cut": gettext_noop(
        "Do you only slaughter and cut up, without cooking, smoking or marinating?"
    ),
}
HINTS: Final = {
    "all_own_raised": gettext_noop("Chicks bought in to raise are your own raising."),
    "other_poultry": gettext_noop(
        "Read strictly, live pullets you sell count here. Eggs do not. A reading an inspector "
        "may dispute."
    ),
    "leaves_state": gettext_noop("Deliveries and shipments across the state line."),
}


@dataclass(frozen=True, slots=True)
class Told:
    """What the records say by themselves about this calendar year."""

    year: int
    counted: Mapping[str, int]
    planned: Mapping[str, int]
    ahead: tuple[tuple[dt.date, Mapping[str, int]], ...]

    @property
    def birds(self) -> dict[str, int]:
        """Head of the whole year as far as it is known, by kind."""
        return dict(Counter(self.counted) + Counter(self.planned))


@dataclass(frozen=True, slots=True)
class Kept:
    """Answers as they were kept."""

    at: dt.datetime
    who: str
    facts: FarmFacts
    tier: str
    rules: rules_kept.Stamp | None


@dataclass(frozen=True, slots=True)
class TierPage:
    """The answer with all that belongs to it."""

    profile: Profile
    facts: FarmFacts
    answer: TierAnswer
    what_ifs: tuple[WhatIf, ...]
    ahead: tuple[DayAhead, ...]


def told(today: dt.date) -> Told:
    """Return what the records say: head counted so far, and the days planned for this year."""
    rows = models.Day.objects.filter(
        status=models.Day.Status.PLANNED, date__year=today.year, date__gte=today
    ).only("date", "request")
    ahead = []
    for row in rows.order_by("date", "pk"):
        birds = Counter[str]()
        for lot in row.request.get("lots", []):
            birds[str(lot.get("species") or "chicken")] += days.birds_of_lot(lot)
        ahead.append((row.date, dict(birds)))
    planned = Counter[str]()
    for _date, birds_then in ahead:
        planned.update(birds_then)
    return Told(today.year, days.counted_before(today), dict(planned), tuple(ahead))


def last() -> Kept | None:
    """Return the answers that were kept last."""
    row = models.Entry.objects.filter(kind=KIND).order_by("-seq").first()
    if row is None:
        return None
    facts = facts_from(row.payload["facts"])
    stamp = rules_kept.read_stamp(row.payload)
    return Kept(row.device_time, row.who, facts, str(row.payload["tier"]), stamp)


def facts_from(kept: Mapping[str, Any]) -> FarmFacts:
    """Return facts as they were kept; what was not asked then stays as usual."""
    flags = {name: bool(kept[name]) for name in QUESTIONS if name in kept}
    birds = {str(kind): int(head) for kind, head in kept.get("year_birds", {}).items()}
    return FarmFacts(birds, **flags)


def first_facts(here: Told) -> FarmFacts:
    """Return the facts a form begins with: what was answered last, birds from the records."""
    before = last()
    flags = {name: getattr(before.facts if before else FarmFacts(), name) for name in QUESTIONS}
    birds = {kind: here.birds.get(kind, 0) for kind in (*KINDS, *here.birds)}
    return FarmFacts(birds, **flags)


def read(typed: Mapping[str, str], here: Told) -> FarmFacts:
    """Read what somebody answered.

    Raises
    ------
    InputFaultsError
        With every fault, each beside its field.
    """
    faults, birds = [], {}
    for kind in dict.fromkeys((*KINDS, *here.birds)):
        text = typed.get(f"birds_{kind}", "").strip().replace(",", "")
        try:
            head = number_in(text or 0, f"birds_{kind}", _("Write a whole number of birds."))
        except InputError as fault:
            faults.append(fault)
            continue
        if not 0 <= head <= _MOST_HEAD:
            sentence = _("Between 0 and {n:,} birds.").format(n=_MOST_HEAD)
            faults.append(InputError(f"birds_{kind}", text, sentence))
        birds[kind] = head
    flags = {}
    for name in QUESTIONS:
        word = typed.get(name, "")
        if word not in ("yes", "no"):
            faults.append(InputError(name, word, _("Choose yes or no.")))
        flags[name] = word == "yes"
    if faults:
        raise InputFaultsError(faults)
    return FarmFacts(birds, **flags)


def answered(facts: FarmFacts, here: Told) -> TierPage:
    """Work out which exemption fits, what would change it, and how the planned days fit."""
    home = farm()
    profile = load(home.profile)
    answer = which_tier(profile, facts)
    ahead: tuple[DayAhead, ...] = ()
    tier = answer.tier or home.tier
    if tier in profile.tiers and profile.tiers[tier].allowed:
        ahead = year_ahead(profile, tier, counted=here.counted, days=here.ahead)
    return TierPage(profile, facts, answer, what_would_change(profile, facts), ahead)


def keep(facts: FarmFacts, *, who: str, set_tier: bool, client_id: str = "") -> TierAnswer:
    """Keep the answers with the rules they were judged by; set the farm's exemption where asked.

    Raises
    ------
    InputFaultsError
        If nobody says who, or no exemption fits and the farm's was to be set.
    """
    home, now = farm(), clock.now()
    answer = which_tier(load(home.profile), facts)
    faults = []
    if not who:
        faults.append(InputError("who", who, _("Choose who answers.")))
    if set_tier and answer.tier is None:
        faults.append(InputError("set", "", _("No exemption fits these answers.")))
    if faults:
        raise InputFaultsError(faults)
    flags = {name: getattr(facts, name) for name in QUESTIONS}
    with writing():
        payload = {
            "year": clock.today(home.zone).year,
            "facts": {**flags, "year_birds": dict(facts.year_birds)},
            "tier": answer.tier or "",
            "reasons": list(answer.reasons),
            "blocking": list(answer.blocking),
            "left": answer.headroom.left_after if answer.headroom else None,
            "set": set_tier,
            "rules": rules_kept.keep(home.profile, at=now, who=who),
        }
        ident = client_id if client_id.isalnum() and len(client_id) <= 32 else uuid.uuid4().hex  # noqa: PLR2004 - as long as our own ids
        journal.append_from_page(KIND, payload, client_id=ident, who=who, at=now)
        if set_tier:
            models.Farm.objects.update(tier=answer.tier)
    return answer
