"""What a page may load: only our own files, no inline script."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from django.http import HttpRequest, HttpResponse

POLICY: Final = (
    "default-src 'self'; script-src 'self'; style-src 'self'; img-src 'self' data:; "
    "object-src 'self'; frame-src 'self'; frame-ancestors 'self'; base-uri 'none'; "
    "form-action 'self'"
)


def content_security_policy(
    get_response: Callable[[HttpRequest], HttpResponse],
) -> Callable[[HttpRequest], HttpResponse]:
    """Add the policy to every answer that does not bring a stricter one of its own."""

    def middleware(request: HttpRequest) -> HttpResponse:
        response = get_response(request)
        response.headers.setdefault("Content-Security-Policy", POLICY)
        response.headers["Cross-Origin-Opener-Policy"] = "same-origin"
        return response

    return middleware
