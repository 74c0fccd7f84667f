"""Pages for when something is not there, or not right."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _


def not_found(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:  # noqa: ARG001
    """Say that there is no such page or record."""
    return render(
        request,
        "pinfeather/trouble.html",
        {"sentence": _("There is nothing at this address.")},
        status=404,
    )


def broken(request: HttpRequest) -> HttpResponse:
    """Say that the program failed, and that nothing written is lost."""
    return render(
        request,
        "pinfeather/trouble.html",
        {"sentence": _("The program made a mistake. What was written before is safe.")},
        status=500,
    )


def sentence(request: HttpRequest, text: str, *, status: int) -> HttpResponse:
    """Say what is wrong in one sentence."""
    return render(request, "pinfeather/trouble.html", {"sentence": text}, status=status)
