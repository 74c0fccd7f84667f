"""Changing one number of the rules in force, and taking a change back."""

from __future__ import annotations

import uuid
from typing import Any, Final

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from pinfeather.actions import farm as farms
from pinfeather.actions.rules import own
from pinfeather.errors import InputFaultsError
from pinfeather.rules.limit import STATUSES
from pinfeather.rules.row_words import FLAGS, STATUS_TEXT
from pinfeather.rules.rows import pattern_of
from pinfeather.rules.unit_of import units_of
from pinfeather.web.who import pick, who

_SYMBOLS: Final = {"F": "°F", "C": "°C", "in2": "in²", "USD": "$"}


def change(request: HttpRequest) -> HttpResponse:
    """Show one number with its source, and take the farm's own value for it."""
    home = farms.farm()
    typed: dict[str, Any] = {}
    faults: dict[str, str] = {}
    path = request.POST.get("path") or request.GET.get("path", "")
    row = own.row_at(home.profile, path)
    if request.method == "POST":
        typed = request.POST.dict()
        pick(request, typed.get("who") or who(request))
        try:
            own.change(typed, who=who(request), client_id=typed.get("id", ""))
        except InputFaultsError as error:
            faults = {fault.name: fault.problem for fault in error.faults}
        else:
            messages.success(
                request, _("Changed. It holds from now on, for days planned anew too.")
            )
            return redirect("rules_profile", profile_id=farms.farm().profile)
    base = own.base_of(home.profile)
    flags = FLAGS.get(pattern_of(path))
    return render(
        request,
        "pinfeather/rules_change.html",
        {
            "row": row,
            "typed": {"written": row.written, "unit": row.unit, **typed},
            "faults": faults,
            "units": [
                (unit, _SYMBOLS.get(unit, unit))
                for unit in units_of(path) or ((row.unit,) if row.unit else ())
            ],
            "flags": [("true", _(flags[0])), ("false", _(flags[1]))] if flags else [],
            "statuses": [(code, _(STATUS_TEXT[code])) for code in STATUSES],
            "history": [one for one in own.changes(base) if one.edit.path == path],
            "people": farms.people(),
            "who": who(request),
            "id": typed.get("id") or uuid.uuid4().hex,
            "profile_id": home.profile,
        },
        status=422 if faults else 200,
    )


@require_POST
def undo(request: HttpRequest) -> HttpResponse:
    """Take a change back, by another entry."""
    pick(request, request.POST.get("who") or who(request))
    try:
        own.undo(
            request.POST.get("of", ""), reason=request.POST.get("reason", ""), who=who(request)
        )
    except InputFaultsError as error:
        for fault in error.faults:
            messages.error(request, fault.problem)
    else:
        messages.success(request, _("Taken back. The change stays in the journal."))
    return redirect("rules_profile", profile_id=farms.farm().profile)
