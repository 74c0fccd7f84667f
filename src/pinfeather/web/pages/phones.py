"""Phones: asking to be let in, and the farm computer's page that lets them in and ends them."""

from __future__ import annotations

import hashlib
import logging
import re
from typing import Any

import segno
from django.conf import settings
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _

from pinfeather import clock
from pinfeather.actions import owner, phones
from pinfeather.actions.day import days as day_actions
from pinfeather.errors import InputError, RecordNotFoundError, TooOftenError
from pinfeather.web import words
from pinfeather.web.door import (
    at_the_farm_computer,
    device_of_cookie,
    give_cookie,
)

_LOG = logging.getLogger("pinfeather.phones")


def ask(request: HttpRequest) -> HttpResponse:
    """Show the one page that is open to every phone: ask, wait, or hear that it is over."""
    if at_the_farm_computer(request):
        return redirect("phones")
    found = device_of_cookie(request)
    if request.method == "POST" and (
        found is None or found.status in {phones.REFUSED, phones.ENDED}
    ):
        return _asked(request)
    if found is not None and found.status == phones.LET_IN:
        return redirect(_first_page(found.station))
    status = "new" if found is None else found.status
    response = render(request, "pinfeather/ask.html", {"state": status, "device": found})
    if status == phones.WAITING:
        response.headers["Refresh"] = "2"
    return response


def _asked(request: HttpRequest) -> HttpResponse:
    try:
        made, token = phones.ask(
            address=request.META.get("REMOTE_ADDR", ""),
            browser=request.headers.get("User-Agent", ""),
            now=clock.now(),
        )
    except TooOftenError as error:
        return render(
            request, "pinfeather/ask.html", {"state": "new", "fault": str(error)}, status=429
        )
    _LOG.info(_("A phone asks to be let in: %s"), made.words)
    response = redirect("ask")
    give_cookie(response, token, secure=request.is_secure())
    return response


def _first_page(station: str) -> str:
    """Return where a phone starts: at its station while a day runs."""
    running = next((line.id for line in day_actions.open_days() if line.status == "running"), None)
    if running is None:
        return "/"
    return f"/days/{running}/at/{station}/" if station else f"/days/{running}/"


def phones_page(request: HttpRequest) -> HttpResponse:
    """Show who asks, who is let in, the instruments and the owner's PIN."""
    now = clock.now()
    fault: dict[str, Any] = {}
    typed: dict[str, Any] = {}
    token = ""
    if request.method == "POST":
        typed = request.POST.dict()
        try:
            token = _do(request, typed)
        except InputError as error:
            fault = {
                "act": typed.get("act"),
                "device": _number(typed.get("device", "")),
                "problem": error.problem,
            }
        except RecordNotFoundError as error:
            messages.error(request, str(error))
            return redirect("phones")
        else:
            if not token:
                return redirect("phones")
    typed.pop("pin", None)
    return render(
        request,
        "pinfeather/phones.html",
        {
            **_waiting(),
            "now": now,
            "phones": phones.let_in(kind=phones.PHONE),
            "instruments": phones.let_in(kind=phones.INSTRUMENT),
            "url": settings.LAN_URL,
            "code": _code(settings.LAN_URL),
            "pin_set": owner.pin_is_set(),
            "token": token,
            "typed": typed,
            "fault": fault,
        },
        status=422 if fault else 200,
    )


def waiting(request: HttpRequest) -> HttpResponse:
    """Return the list of those who ask, or nothing where it is as it was."""
    context = _waiting()
    if request.GET.get("mark") == context["mark"]:
        return HttpResponse(status=204)
    return render(request, "pinfeather/phones_waiting.html", context)


def _waiting() -> dict[str, Any]:
    asking = phones.waiting(now=clock.now())
    text = " ".join(str(one.id) for one in asking)
    return {
        "asking": asking,
        "stations": words.COUNTED,
        "mark": hashlib.sha256(text.encode()).hexdigest()[:12],
    }


def _do(request: HttpRequest, typed: dict[str, Any]) -> str:
    """Do one thing of the page; return a new instrument's token, to be shown this once."""
    now = clock.now()
    act, device_id = typed.get("act", ""), _number(typed.get("device", ""))
    if act == "approve":
        station = typed.get("station", "")
        station = station if station in dict(words.COUNTED) else ""
        phones.approve(device_id, name=typed.get("name", ""), station=station, now=now)
        messages.success(request, _("Let in."))
    elif act == "refuse":
        phones.refuse(device_id, now=now)
        messages.success(request, _("Refused."))
    elif act == "end":
        phones.end(device_id, now=now)
        messages.success(request, _("Ended."))
    elif act == "instrument":
        return phones.make_instrument(typed.get("name", ""), now=now)
    elif act == "set pin":
        owner.set_pin(typed.get("pin", ""), now=now)
        messages.success(request, _("The PIN is set."))
    elif act == "forget pin":
        owner.forget_pin()
        messages.success(request, _("There is no PIN any more."))
    return ""


def _number(text: str) -> int:
    return int(text) if re.fullmatch(r"[0-9]{1,15}", text, re.ASCII) else 0


def _code(url: str) -> str:
    return segno.make(url, micro=False).svg_data_uri(scale=6, border=4, light="#fff") if url else ""
