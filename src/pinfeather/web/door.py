"""Who is let in: the farm computer itself, and phones that were let in on its screen.

The server marks each request with the door it came through (``pinfeather.cli.server``). What comes
from the home network needs the signed cookie of a phone that was let in; without it there is one
page, on which to ask.
"""

from __future__ import annotations

import ipaddress
from collections.abc import Callable
from typing import Final

from django.conf import settings
from django.core.exceptions import DisallowedHost
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils.translation import gettext as _

from pinfeather import clock
from pinfeather.actions import phones
from pinfeather.api.sender import note

DOOR: Final = "pinfeather.door"
HERE: Final = "here"
HOME_NETWORK: Final = "home network"
COOKIE: Final = "device"
SALT: Final = "pinfeather.device"
COOKIE_AGE_S: Final = 60 * 60 * 24 * 400
_OPEN: Final = ("/phones/ask/", "/favicon.ico")
_FARM_COMPUTER: Final = ("/farm/phones/", "/farm/safe/")
"""Who is let in, and backups: on the farm computer's own screen alone."""
_INSTRUMENTS: Final = "/api/devices/"
_VISITORS: Final = "/visit/"
"""Open to come to; what is behind asks for a visitor's code each time."""
_SAFE: Final = frozenset({"GET", "HEAD", "OPTIONS"})


def at_the_farm_computer(request: HttpRequest) -> bool:
    """Tell whether a request comes from the farm computer itself."""
    mark = request.META.get(DOOR)
    if mark is not None:
        return bool(mark == HERE)
    try:
        return ipaddress.ip_address(request.META.get("REMOTE_ADDR", "")).is_loopback
    except ValueError:
        return False


def device_of_cookie(request: HttpRequest) -> phones.DeviceView | None:
    """Return whose cookie this is, whether let in or not."""
    token = request.get_signed_cookie(COOKIE, default=None, salt=SALT)
    if not token:
        return None
    return phones.by_token(token, kind=phones.PHONE, now=clock.now())


def give_cookie(response: HttpResponse, token: str, *, secure: bool) -> None:
    """Hand a phone its token, signed, out of reach of scripts and of other sites."""
    response.set_signed_cookie(
        COOKIE,
        token,
        salt=SALT,
        max_age=COOKIE_AGE_S,
        httponly=True,
        samesite="Strict",
        secure=secure,
    )


class Door:
    """Middleware: lets in the farm computer and its phones, and nobody else."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self._get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Let the request through, or show the one page that is open to everybody."""
        _same_site(request)
        if at_the_farm_computer(request):
            return self._secured(request)
        _address_of_the_lan(request)
        if request.path.startswith(_FARM_COMPUTER):
            return _only_there(request)
        if request.path in _OPEN or request.path.startswith((_INSTRUMENTS, _VISITORS)):
            return self._secured(request)
        found = device_of_cookie(request)
        if found is None or found.status != phones.LET_IN:
            return _turned_away(request)
        note(request, found)
        return self._secured(request)

    def _secured(self, request: HttpRequest) -> HttpResponse:
        response = self._get_response(request)
        if not at_the_farm_computer(request):
            response.headers.setdefault("Cache-Control", "no-store")  # nothing after it was ended
        if request.is_secure():
            for morsel in response.cookies.values():
                morsel["secure"] = True
        return response


def _same_site(request: HttpRequest) -> None:
    """Refuse a change that a browser says another site asked for; Django checks the origin too."""
    site = request.headers.get("Sec-Fetch-Site", "same-origin")
    if request.method not in _SAFE and site not in {"same-origin", "none"}:
        raise DisallowedHost(_("Another site asked for this."))


def _address_of_the_lan(request: HttpRequest) -> None:
    """Refuse a name on the home network: there are only addresses there, so no name can be bent."""
    host = request.get_host().rsplit(":", 1)[0]
    if host not in settings.LAN_ADDRESSES:
        raise DisallowedHost(_("There is no such address here."))


def _turned_away(request: HttpRequest) -> HttpResponse:
    page = reverse("ask")
    if request.path.startswith("/api/"):
        return JsonResponse({"sentence": _("This phone is not let in."), "ask": page}, status=401)
    if request.headers.get("HX-Request"):
        answer = HttpResponse(status=401)
        answer.headers["HX-Redirect"] = page
        return answer
    return redirect(page)


def _only_there(request: HttpRequest) -> HttpResponse:
    from pinfeather.web.pages import trouble

    told = _("This page is for the farm computer's own screen.")
    return trouble.sentence(request, told, status=403)
