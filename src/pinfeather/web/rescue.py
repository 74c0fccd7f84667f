"""While the store cannot be used, every address answers with why, and one page helps."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from django.http import HttpRequest, HttpResponse, JsonResponse

from pinfeather.actions import safe

_OPEN: Final = ("/farm/safe/", "/static/", "/favicon.ico")


class Rescue:
    """Middleware: lets only the page about the records through while they cannot be used."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self._get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Answer, or pass the request on."""
        told = safe.Trouble.sentence
        if not told or request.path.startswith(_OPEN):
            return self._get_response(request)
        if request.path.startswith("/api/"):
            return JsonResponse({"sentence": told}, status=503)
        from pinfeather.web.pages import trouble

        return trouble.records(request, told)
