"""What a visitor with a code sees: one page and its papers, to be read and nothing else.

The door lets everybody come to this one place; what it shows asks for the code's cookie each time.
"""

from __future__ import annotations

from typing import Final

from django.http import HttpRequest, HttpResponse, HttpResponseNotAllowed
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _

from pinfeather import clock
from pinfeather.actions.inspection import codes, view
from pinfeather.actions.inspection.codes import Code
from pinfeather.errors import InputError, TooOftenError
from pinfeather.web.pages.proofs import served

COOKIE: Final = "visit"
SALT: Final = "pinfeather.visit"
PATH: Final = "/visit/"
_SAFE: Final = frozenset({"GET", "HEAD"})


def _holder(request: HttpRequest) -> Code | None:
    """Return the code this browser's cookie stands for, while it is good."""
    cookie = request.get_signed_cookie(COOKIE, default=None, salt=SALT)
    return codes.holds(cookie, now=clock.now()) if cookie else None


def visit(request: HttpRequest) -> HttpResponse:
    """Ask for the code, or show what the visit is for."""
    code = _holder(request)
    if request.method == "POST":
        return _typed(request)
    if request.method not in _SAFE:
        return HttpResponseNotAllowed(["GET", "POST"])
    if code is None:
        return _ask(request)
    found = view.inspection(now=clock.now())
    return _private(
        render(request, "pinfeather/visit.html", {"found": found, "code": code, "visitor": True})
    )


def _ask(request: HttpRequest, *, fault: str = "", status: int = 200) -> HttpResponse:
    return _private(render(request, "pinfeather/visit_ask.html", {"fault": fault}, status=status))


def _typed(request: HttpRequest) -> HttpResponse:
    now = clock.now()
    try:
        cookie = codes.open_with(
            request.POST.get("code", "")[:40], address=request.META.get("REMOTE_ADDR", ""), now=now
        )
    except TooOftenError as error:
        return _ask(request, fault=str(error), status=429)
    except InputError as error:
        return _ask(request, fault=error.problem, status=403)
    held = codes.holds(cookie, now=now)
    response = redirect("visit")
    response.set_signed_cookie(
        COOKIE,
        cookie,
        salt=SALT,
        max_age=0 if held is None else int((held.until - now).total_seconds()),
        path=PATH,
        httponly=True,
        samesite="Strict",
        secure=request.is_secure(),
    )
    return _private(response)


def record(request: HttpRequest, day_id: int) -> HttpResponse:
    """Give a day's record, without money."""
    code = _reading(request)
    if isinstance(code, HttpResponse):
        return code
    now = clock.now()
    content, date = view.visitors_record(day_id, now=now)
    codes.saw(code, _("record of {date}").format(date=date.isoformat()), now=now)
    response = HttpResponse(content, content_type="application/pdf")
    response.headers["Content-Disposition"] = f'inline; filename="record-{date.isoformat()}.pdf"'
    return _private(response)


def proof(request: HttpRequest, digest: str) -> HttpResponse:
    """Give a paper that hangs on a duty shown on the visit's page."""
    code = _reading(request)
    if isinstance(code, HttpResponse):
        return code
    found = view.visitors_proof(digest)
    codes.saw(code, found.name, now=clock.now())
    return _private(served(digest))


def _reading(request: HttpRequest) -> Code | HttpResponse:
    """Return the visitor's code, or the answer to somebody who has none or wants to change."""
    if request.method not in _SAFE:
        return HttpResponseNotAllowed(["GET"])
    code = _holder(request)
    return _ask(request, status=403) if code is None else code


def _private(response: HttpResponse) -> HttpResponse:
    response.headers["Cache-Control"] = "no-store"
    return response
