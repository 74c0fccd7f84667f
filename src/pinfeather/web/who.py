"""Who is at this screen: picked by a tap, kept in a signed cookie."""

from __future__ import annotations

from django.http import HttpRequest


def who(request: HttpRequest) -> str:
    """Return the name picked at this screen, empty where nobody was picked."""
    return str(request.session.get("who", ""))


def pick(request: HttpRequest, name: str) -> None:
    """Remember who is at this screen."""
    request.session["who"] = name[:40]
