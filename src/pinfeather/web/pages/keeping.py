"""How long records are kept, and taking a customer's name out on request."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from pinfeather import clock
from pinfeather.actions.farm import farm, people
from pinfeather.actions.keeping import classes, forget
from pinfeather.errors import InputError, RecordConflictError
from pinfeather.web.who import pick, who


def keeping(request: HttpRequest) -> HttpResponse:
    """List what is kept, how much of it, and until when."""
    name = request.GET.get("name", "").strip()
    profile, rows = classes.profile_of(farm()), classes.kept_rows()
    return render(
        request,
        "pinfeather/keeping.html",
        {
            "rows": rows,
            "problem": next((row.problem for row in rows if row.problem), ""),
            "rule": profile.records,
            "profile": profile,
            "guarded": classes.guarded(),
            "name": name,
            "short": len(name) < forget.SHORTEST,
            "found": forget.find(name) if name else (),
            "removed": forget.erasures(),
            "old_backups": forget.backups_with_names(),
            "rotated": forget.when_rotated(),
        },
    )


def remove(request: HttpRequest) -> HttpResponse:
    """Show what removing somebody's data would do; do it."""
    key = request.POST.get("who_is") or request.GET.get("who", "")
    fault = ""
    if request.method == "POST":
        pick(request, request.POST.get("who") or who(request))
        try:
            done = forget.forget(
                key, reason=request.POST.get("reason", ""), who=who(request), now=clock.now()
            )
        except InputError as error:
            fault = error.problem
        except RecordConflictError as error:
            fault = str(error)
        else:
            told = ngettext(
                "Removed. {n} sale lost the name.", "Removed. {n} sales lost the name.", done.sales
            ).format(n=done.sales)
            if not done.wiped:
                told += " " + _("Start the program again to clear the last of it from the disk.")
            messages.success(request, told)
            return redirect("keeping")
    return render(
        request,
        "pinfeather/remove_name.html",
        {
            "found": forget.look(key),
            "key": key,
            "fault": fault,
            "reason": request.POST.get("reason", ""),
            "people": people(),
            "who": who(request),
        },
        status=422 if fault else 200,
    )
