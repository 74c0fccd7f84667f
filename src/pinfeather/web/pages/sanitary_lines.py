"""What was not right: its corrective action; and a line that was wrong."""

from __future__ import annotations

import uuid
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _

from pinfeather.actions import farm as farms
from pinfeather.actions.sanitary import entries
from pinfeather.errors import (
    InputFaultsError,
    RecordConflictError,
    RecordNotFoundError,
)
from pinfeather.hygiene.corrective_action import parts, yardstick_words
from pinfeather.web.who import pick, who


def _line(ident: str) -> entries.Line:
    try:
        return entries.line(ident)
    except RecordNotFoundError as error:
        raise Http404(str(error)) from error


def not_right(request: HttpRequest, ident: str) -> HttpResponse:
    """Fill in a corrective action, or put right one that was filled in."""
    check = _line(ident)
    if check.act != "check" or check.text("result") != entries.NOT_RIGHT or check.struck:
        raise Http404
    old = next(
        (
            one
            for one in entries.lines(on=check.on, acts=("fix",))
            if one.text("of") == ident and not one.struck
        ),
        None,
    )
    typed: dict[str, Any] = dict(old.kept) if old else {"note": check.text("note")}
    faults: dict[str, str] = {}
    general = ""
    if request.method == "POST":
        typed = request.POST.dict()
        name = typed.get("who") or who(request)
        pick(request, name)
        said = {**typed, "of": ident, "what": check.text("what")}
        try:
            if old is None:
                entries.write("fix", said, on=check.on, who=name, client_id=typed.get("id", ""))
            else:
                entries.correct(
                    old.id, said, reason=typed.get("reason", ""), who=name,
                    client_id=typed.get("id", ""),
                )  # fmt: skip
        except InputFaultsError as error:
            faults = {fault.name: fault.problem for fault in error.faults}
        except RecordConflictError as error:
            general = str(error)
        else:
            messages.success(request, _("The corrective action is written down."))
            return redirect("sanitary_day", on=check.on.isoformat())
    fields = [
        {
            "part": part,
            "value": typed.get(part.code, ""),
            "fault": faults.get(part.code, ""),
        }
        for part in parts()
    ]
    return render(
        request,
        "pinfeather/sanitary_fix.html",
        {
            "check": check,
            "old": old,
            "fields": fields,
            "typed": typed,
            "faults": faults,
            "general": general,
            "id": uuid.uuid4().hex,
            "people": farms.people(),
            "who": who(request),
            "yardstick": yardstick_words(),
            "zone": farms.farm().zone,
        },
        status=422 if faults or general else 200,
    )


def wrong_line(request: HttpRequest, ident: str) -> HttpResponse:
    """Strike out a line with a reason; it stays readable."""
    found = _line(ident)
    if found.act not in entries.SHEET_ACTS:
        raise Http404
    faults: dict[str, str] = {}
    typed: dict[str, Any] = {}
    if request.method == "POST":
        typed = request.POST.dict()
        name = typed.get("who") or who(request)
        pick(request, name)
        try:
            entries.strike_out(ident, reason=typed.get("reason", ""), who=name)
        except InputFaultsError as error:
            faults = {fault.name: fault.problem for fault in error.faults}
        except RecordConflictError as error:
            faults = {"reason": str(error)}
        else:
            messages.success(request, _("Struck out. It stays readable."))
            return redirect("sanitary_day", on=found.on.isoformat())
    return render(
        request,
        "pinfeather/sanitary_line.html",
        {
            "line": found,
            "typed": typed,
            "faults": faults,
            "people": farms.people(),
            "who": who(request),
            "zone": farms.farm().zone,
        },
        status=422 if faults else 200,
    )
