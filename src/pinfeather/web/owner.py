"""What only the owner does asks for the PIN, where one is set; nothing typed is lost."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from typing import Any, Final

from django.db import DatabaseError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _

from pinfeather import clock
from pinfeather.actions import owner
from pinfeather.api.sender import device
from pinfeather.errors import TooOftenError
from pinfeather.web.door import at_the_farm_computer

OWNERS: Final = frozenset(
    {
        "close_day", "correct", "farm", "inspection", "list_brought", "list_look", "phones",
        "remove_name", "restore", "start",
    }
)  # fmt: skip
"""Names of the pages whose changes are the owner's: see ``pinfeather.web.urls``."""
_ANYBODYS: Final = {
    "close_day": frozenset({"answer", "missed"}),
    "list_look": frozenset({"look"}),
}
"""What anybody may send to such a page."""
FIELD: Final = "owner_pin"
OPEN_FOR: Final = dt.timedelta(minutes=10)
_SAFE: Final = frozenset({"GET", "HEAD", "OPTIONS"})


def unlocked(request: HttpRequest, *, now: dt.datetime) -> bool:
    """Tell whether the PIN was given on this screen a few minutes ago."""
    kept = request.session.get("owner")
    if not isinstance(kept, list) or len(kept) != 3:  # noqa: PLR2004 - mark, device, time
        return False
    mark, device_id, until = kept
    return bool(
        mark == owner.generation() and device_id == _device_id(request) and until > now.timestamp()
    )


def _device_id(request: HttpRequest) -> int | None:
    here = device(request)
    return None if here is None else here.id


class OwnerPin:
    """Middleware: asks for the PIN before an owner's change, and keeps what was typed."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self._get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Pass the request on."""
        return self._get_response(request)

    def process_view(
        self, request: HttpRequest, _view: object, _args: object, _kwargs: object
    ) -> HttpResponse | None:
        """Stand before the view; runs after the form's own token was checked."""
        now = clock.now()
        if not _is_the_owners(request) or not _pin_is_set(request) or unlocked(request, now=now):
            return None
        typed = request.POST.get(FIELD)
        if typed is None:
            return _asked(request, status=403)
        try:
            right = owner.check(typed, device_id=_device_id(request), now=now)
        except TooOftenError as error:
            return _asked(request, fault=str(error), status=429)
        if not right:
            return _asked(request, fault=_("That is not the PIN."), status=403)
        until = (now + OPEN_FOR).timestamp()
        request.session["owner"] = [owner.generation(), _device_id(request), until]
        return None


def _pin_is_set(request: HttpRequest) -> bool:
    """Tell whether there is a PIN; a store that cannot be read must not lock out who mends it."""
    try:
        return owner.pin_is_set()
    except DatabaseError:
        if at_the_farm_computer(request):
            return False
        raise


def _is_the_owners(request: HttpRequest) -> bool:
    name = (request.resolver_match.url_name if request.resolver_match else "") or ""
    if request.method in _SAFE or name not in OWNERS:
        return False
    return request.POST.get("act", "") not in _ANYBODYS.get(name, ())


def _asked(request: HttpRequest, *, status: int, fault: str = "") -> HttpResponse:
    kept: list[tuple[str, Any]] = [
        (name, value)
        for name, values in request.POST.lists()
        if name not in {FIELD, "csrfmiddlewaretoken"}
        for value in values
    ]
    return render(
        request,
        "pinfeather/owner_pin.html",
        {"kept": kept, "fault": fault, "files": bool(request.FILES), "action": request.path},
        status=status,
    )
