"""The inspector's visit on the farm's own screens, and the code that opens a view for them."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from pinfeather import clock
from pinfeather.actions.inspection import codes, view
from pinfeather.errors import InputError
from pinfeather.web.who import who

SPAN_WORDS = (
    ("2 hours", gettext_lazy("2 hours")),
    ("today", gettext_lazy("today, until midnight")),
    ("3 days", gettext_lazy("3 days")),
)
ACT_WORDS = {
    "made": gettext_lazy("code made"),
    "opened": gettext_lazy("opened"),
    "took": gettext_lazy("looked at"),
    "ended": gettext_lazy("ended"),
}


def inspection(request: HttpRequest) -> HttpResponse:
    """Show what the visit asks for; make a code, or end it."""
    now = clock.now()
    code, fault = "", ""
    if request.method == "POST":
        act = request.POST.get("act", "")
        if act == "make":
            try:
                code = codes.make(
                    request.POST.get("span", ""),
                    label=request.POST.get("label", ""),
                    who=who(request),
                    now=now,
                )
            except InputError as error:
                fault = error.problem
        elif act == "end":
            if codes.end(who=who(request), now=now):
                messages.success(request, _("Ended. Nothing can be read with it any more."))
            return redirect("inspection")
    context: dict[str, Any] = {
        "found": view.inspection(now=now),
        "code": code,
        "fault": fault,
        "current": codes.current(now=now),
        "history": [(ACT_WORDS.get(one.act, one.act), one) for one in codes.history()],
        "spans": SPAN_WORDS,
        "address": settings.LAN_URL.rstrip("/") + reverse("visit") if settings.LAN_URL else "",
        "now": now,
    }
    return render(request, "pinfeather/inspection.html", context, status=422 if fault else 200)
