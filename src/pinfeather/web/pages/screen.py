"""The reader's screen: in which language and in which units it reads."""

from __future__ import annotations

from django.conf import settings
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import translation
from django.utils.translation import gettext as _

from pinfeather.actions.farm import farm_as_kept
from pinfeather.web.reader import MACHINE_MADE, choose_units, units


def screen(request: HttpRequest) -> HttpResponse:
    """Choose language and units of the screen one stands at."""
    if request.method == "POST":
        choose_units(request, request.POST.get("units", ""))
        language = request.POST.get("language", "")
        response = redirect("screen")
        if language in dict(settings.LANGUAGES):
            response.set_cookie(
                settings.LANGUAGE_COOKIE_NAME,
                language,
                max_age=settings.LANGUAGE_COOKIE_AGE,
                samesite="Strict",
                secure=request.is_secure(),
                httponly=True,
            )
        with translation.override(language or None):
            messages.success(request, _("Saved for this screen."))
        return response
    own = {"us": _("lb, °F, gal"), "metric": _("kg, °C, L")}
    return render(
        request,
        "pinfeather/screen.html",
        {
            "languages": settings.LANGUAGES,
            "by_machine": MACHINE_MADE,
            "language": translation.get_language(),
            "units": [
                ("", _("as the farm: {units}").format(units=own[farm_as_kept().units])),
                *own.items(),
            ],
            "chosen": units(request),
        },
    )
