"""Which rules hold, and every number of them with its source."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _

from pinfeather.actions.day import days as day_actions
from pinfeather.actions.rules import choices as rulebook
from pinfeather.actions.rules import own, watch
from pinfeather.actions.rules.pages import in_rooms, profile_rows
from pinfeather.errors import InputError
from pinfeather.rules.count import headroom
from pinfeather.rules.own import changeable
from pinfeather.rules.profile import load
from pinfeather.web.pages.trouble import not_found, sentence


def home(request: HttpRequest) -> HttpResponse:
    """Say which rules and which exemption hold, and what is left under the cap."""
    farm, date = day_actions.farm_today()
    if request.method == "POST" and request.POST.get("profile"):
        try:
            own.use(request.POST["profile"])
        except InputError as error:
            return sentence(request, error.problem, status=422)
        return redirect("rules")
    profile = load(farm.profile)
    tier = profile.tiers.get(farm.tier)
    counted = day_actions.counted_before(date)
    room = None
    if tier is not None and tier.allowed and tier.cap is not None:
        room = headroom(profile, farm.tier, counted=counted, planned={})
    return render(
        request,
        "pinfeather/rules_home.html",
        {
            "profile": profile,
            "tier": tier,
            "room": room,
            "year": date.year,
            "findings": watch.now_findings(farm, date),
            "sales": watch.sale_findings(date)[:5],
            "own": [one for one in own.changes(own.base_of(farm.profile)) if not one.undone]
            if farm.profile.startswith(own.PREFIX)
            else [],
            "others": [one for one in rulebook.profile_choices() if one[0] != farm.profile],
        },
    )


def profile(request: HttpRequest, profile_id: str) -> HttpResponse:
    """List every number and wording of a profile with its source."""
    farm, _date = day_actions.farm_today()
    try:
        found = load(profile_id)
    except InputError as error:
        return not_found(request, error)
    in_force = profile_id == farm.profile
    rows = profile_rows(profile_id)
    rooms = [
        {
            "title": room.title,
            "rows": [{"row": row, "open": in_force and changeable(row)} for row in room.rows],
        }
        for room in in_rooms(rows)
    ]
    return render(
        request,
        "pinfeather/rules_profile.html",
        {
            "profile": found,
            "profile_id": profile_id,
            "in_force": in_force,
            "rooms": rooms,
            "count": len(rows),
            "unsure": sum(1 for row in rows if row.status not in ("read", "")),
            "offices": _("department of agriculture, or of health"),
        },
    )
