"""A short interview: which exemption fits, why, and what would change it."""

from __future__ import annotations

import uuid
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _

from pinfeather.actions import farm as farms
from pinfeather.actions.day import days as day_actions
from pinfeather.actions.rules import tier_form
from pinfeather.errors import InputFaultsError
from pinfeather.rules.which import FarmFacts
from pinfeather.web.who import pick, who
from pinfeather.web.words import SPECIES


def tier(request: HttpRequest) -> HttpResponse:
    """Ask, answer, and keep the answer."""
    home, date = day_actions.farm_today()
    here = tier_form.told(date)
    facts: FarmFacts | None = tier_form.first_facts(here)
    typed: dict[str, Any] = {}
    faults: dict[str, str] = {}
    if request.method == "POST":
        typed = request.POST.dict()
        act = typed.get("act", "")
        try:
            facts = None
            facts = tier_form.read(typed, here)
            if act in ("keep", "set"):
                pick(request, typed.get("who") or who(request))
                tier_form.keep(
                    facts, who=who(request), set_tier=act == "set", client_id=typed.get("id", "")
                )
                messages.success(request, _("Kept."))
                return redirect("rules" if act == "set" else "rules_tier")
        except InputFaultsError as error:
            faults = {fault.name: fault.problem for fault in error.faults}
    found = None if facts is None else tier_form.answered(facts, here)
    profile = None if found is None else found.profile
    return render(
        request,
        "pinfeather/rules_tier.html",
        {
            "home": home,
            "here": here,
            "page": found,
            "fits": profile.tiers[found.answer.tier]
            if found and profile and found.answer.tier
            else None,
            "now": profile.tiers.get(home.tier) if profile else None,
            "others": _others(found),
            "kinds": _kinds(here, facts, typed=typed, faults=faults),
            "questions": _questions(facts, typed, faults),
            "faults": faults,
            "kept": tier_form.last(),
            "people": farms.people(),
            "who": who(request),
            "id": uuid.uuid4().hex,
        },
        status=422 if faults else 200,
    )


def _others(found: tier_form.TierPage | None) -> list[dict[str, Any]]:
    """Return what would change the answer, in words."""
    if found is None:
        return []
    return [
        {
            "condition": one.condition,
            "then": found.profile.tiers[one.answer.tier].name if one.answer.tier else "",
            "why": one.answer.blocking[:1] if one.answer.tier is None else (),
            "changes": one.changes,
        }
        for one in found.what_ifs
        if one.changes or one.fact == "year_birds"
    ]


def _kinds(
    here: tier_form.Told,
    facts: FarmFacts | None,
    *,
    typed: dict[str, Any],
    faults: dict[str, str],
) -> list[dict[str, Any]]:
    names = dict(SPECIES)
    return [
        {
            "name": f"birds_{kind}",
            "label": names.get(kind, kind),
            "value": typed.get(f"birds_{kind}", facts.year_birds.get(kind, 0) if facts else ""),
            "counted": here.counted.get(kind, 0),
            "planned": here.planned.get(kind, 0),
            "fault": faults.get(f"birds_{kind}", ""),
        }
        for kind in dict.fromkeys((*tier_form.KINDS, *here.birds))
    ]


def _questions(
    facts: FarmFacts | None, typed: dict[str, Any], faults: dict[str, str]
) -> list[dict[str, Any]]:
    return [
        {
            "name": name,
            "words": _(question),
            "hint": _(tier_form.HINTS[name]) if name in tier_form.HINTS else "",
            "value": typed.get(name) or ("" if facts is None else _yes(getattr(facts, name))),
            "fault": faults.get(name, ""),
        }
        for name, question in tier_form.QUESTIONS.items()
    ]


def _yes(fact: bool) -> str:
    return "yes" if fact else "no"
