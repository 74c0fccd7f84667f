"""How this screen reads: its language and its units, whatever the farm's own are."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from django.http import HttpRequest, HttpResponse

from pinfeather.actions.farm import UNITS, reading_in

MACHINE_MADE: Final = frozenset({"es"})
"""Languages that a machine translated and no person of the trade has read through."""


class Reader:
    """Middleware: everything on the page is in the units chosen at this screen."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self._get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Answer in the reader's units."""
        with reading_in(units(request)):
            return self._get_response(request)


def units(request: HttpRequest) -> str:
    """Return the units chosen at this screen, empty for the farm's own."""
    chosen = str(request.session.get("units", ""))
    return chosen if chosen in UNITS else ""


def choose_units(request: HttpRequest, chosen: str) -> None:
    """Remember the units of this screen."""
    request.session["units"] = chosen if chosen in UNITS else ""
