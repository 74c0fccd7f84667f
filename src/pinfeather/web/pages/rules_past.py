"""Old verdicts under today's rules, and the rules as they once were."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _

from pinfeather.actions.day import days as day_actions
from pinfeather.actions.rules import changes as past
from pinfeather.actions.rules import kept as rules_kept
from pinfeather.actions.rules.pages import in_rooms
from pinfeather.errors import RecordNotFoundError
from pinfeather.rules.profile import load
from pinfeather.rules.rows import rows_from


def changes(request: HttpRequest) -> HttpResponse:
    """List which past verdicts today's rules would give otherwise."""
    home, _date = day_actions.farm_today()
    return render(
        request,
        "pinfeather/rules_changes.html",
        {"found": past.look(), "profile": load(home.profile), "zone": home.zone},
    )


def kept(request: HttpRequest, fingerprint: str) -> HttpResponse:
    """Show rules as they were when something was judged, and what moved since."""
    text = rules_kept.text_of(fingerprint)
    if text is None:
        raise RecordNotFoundError(_("No rules of that version were ever kept here."))
    return render(
        request,
        "pinfeather/rules_kept.html",
        {
            "name": text.get("name", ""),
            "fingerprint": fingerprint,
            "moved": past.moved(fingerprint),
            "rooms": [
                {"title": room.title, "rows": [{"row": row, "open": False} for row in room.rows]}
                for room in in_rooms(rows_from(text))
            ],
        },
    )
