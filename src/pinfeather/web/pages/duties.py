"""Duties: what is due, what was done, and the paper that shows it."""

from __future__ import annotations

from typing import Any, Final

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _

from pinfeather import clock
from pinfeather.actions.day.days import farm_today
from pinfeather.actions.duties import book, view
from pinfeather.actions.duties.calendar import duties_ics
from pinfeather.actions.duties.papers import MOST_BYTES
from pinfeather.actions.farm import people
from pinfeather.errors import InputError, InputFaultsError, RecordNotFoundError
from pinfeather.web.who import pick, who

STATE_WORDS: Final = {
    "overdue": _("overdue"),
    "due": _("due soon"),
    "open": _("never done"),
    "later": "",
}
ACCEPT: Final = "image/jpeg,image/png,image/webp,application/pdf"
_ELSEWHERE: Final = {"thermometer-check": "thermometers"}
"""Duties that are done on a page of their own."""


def duties(request: HttpRequest) -> HttpResponse:
    """Show what is due, overdue first."""
    _home, today = farm_today()
    found = view.duties()
    return render(
        request,
        "pinfeather/duties.html",
        {
            "rows": found,
            "pressing": [one for one in found if one.pressing],
            "off": view.duties(off=True),
            "today": today,
            "states": STATE_WORDS,
        },
    )


def duty(request: HttpRequest, code: str) -> HttpResponse:
    """Show one duty; mark it done, set it otherwise, take a line back."""
    found = view.duty(code)
    typed: dict[str, Any] = {}
    faults: dict[str, str] = {}
    if request.method == "POST":
        typed = request.POST.dict()
        pick(request, str(typed.get("who") or who(request)))
        try:
            _act(request, code, typed)
        except (InputError, InputFaultsError) as error:
            some = error.faults if isinstance(error, InputFaultsError) else (error,)
            faults = {fault.name: fault.problem for fault in some}
            if typed.get("act") == "done" and request.FILES and "proof" not in faults:
                faults["proof"] = _("Choose the photo or paper once more.")
        else:
            return redirect("duties" if typed.get("act") == "done" else request.path)
    _home, today = farm_today()
    return render(
        request,
        "pinfeather/duty.html",
        {
            "one": found,
            "duty": found.standing.duty,
            "today": today,
            "typed": typed,
            "faults": faults,
            "people": people(),
            "who": who(request),
            "accept": ACCEPT,
            "most_mb": MOST_BYTES // 1024**2,
            "state": STATE_WORDS.get(found.state, ""),
            "elsewhere": _ELSEWHERE.get(code, ""),
        },
        status=422 if faults else 200,
    )


def _act(request: HttpRequest, code: str, typed: dict[str, Any]) -> None:
    now, name = clock.now(), who(request)
    act = typed.get("act")
    if act == "done":
        files = [  # never more of one than shows that it is too large
            (one.name or "", bytes(one.read(MOST_BYTES + 1)))
            for one in request.FILES.getlist("proof")
        ]
        if not files and int(request.headers.get("Content-Length") or 0) > MOST_BYTES:
            raise InputError(  # the server has let go of what was too large to look at
                "proof", None, _("That is too much at once. Send the files one by one.")
            )
        book.mark_done(
            code, typed, files=files, who=name, now=now, client_id=str(typed.get("id", ""))
        )
        messages.success(request, _("Written down."))
    elif act == "set":
        book.set_otherwise(code, typed, who=name, now=now, title=view.duty(code).setting.title)
        messages.success(request, _("Saved."))
    elif act == "back":
        reason = str(typed.get("reason_back", ""))
        try:
            book.take_back(str(typed.get("of", "")), reason=reason, who=name, now=now)
        except InputError as fault:
            raise InputError("reason_back", reason, fault.problem) from fault
        messages.success(request, _("Taken back; it stays on record with the reason."))
    else:
        raise RecordNotFoundError(_("There is nothing at this address."))


def new(request: HttpRequest) -> HttpResponse:
    """Add a duty of the farm's own."""
    typed: dict[str, Any] = {}
    faults: dict[str, str] = {}
    if request.method == "POST":
        typed = request.POST.dict()
        pick(request, str(typed.get("who") or who(request)))
        try:
            book.add_own(typed, who=who(request), now=clock.now())
        except InputFaultsError as error:
            faults = {fault.name: fault.problem for fault in error.faults}
        else:
            return redirect("duties")
    return render(
        request,
        "pinfeather/duty_new.html",
        {"typed": typed, "faults": faults, "people": people(), "who": who(request)},
        status=422 if faults else 200,
    )


def ics(request: HttpRequest) -> HttpResponse:  # noqa: ARG001 - a view's signature
    """Give the duties to a calendar."""
    response = HttpResponse(
        duties_ics(stamp=clock.now()), content_type="text/calendar; charset=utf-8"
    )
    response.headers["Content-Disposition"] = 'attachment; filename="duties.ics"'
    return response
