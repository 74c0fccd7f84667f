"""Pages for when something is not there, or not right."""

from __future__ import annotations

import sys

from django.db import DatabaseError
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


def stale(request: HttpRequest, reason: str = "") -> HttpResponse:  # noqa: ARG001 - Django's
    """Say that the page has to be opened again before it can send anything."""
    return sentence(
        request,
        _("This page has grown old. Go back, open it again, and send it once more."),
        status=403,
    )


def not_understood(
    request: HttpRequest,
    exception: Exception | None = None,  # noqa: ARG001 - Django's
) -> HttpResponse:
    """Say that a request made no sense."""
    return sentence(request, _("That request cannot be answered."), status=400)


def broken(request: HttpRequest) -> HttpResponse:
    """Say that the program failed, and that nothing written is lost."""
    error = sys.exc_info()[1]
    if isinstance(error, DatabaseError):
        return unreadable(request, error)
    return render(
        request,
        "pinfeather/trouble.html",
        {"sentence": _("The program made a mistake. What was written before is safe.")},
        status=500,
    )


def unreadable(request: HttpRequest, error: DatabaseError) -> HttpResponse:
    """Say that the store does not answer, and where to look."""
    return records(
        request,
        _(
            "The farm's records cannot be read just now ({why}). What was acknowledged before is "
            "on the disk."
        ).format(why=str(error).strip() or type(error).__name__),
    )


def records(request: HttpRequest, text: str) -> HttpResponse:
    """Say what is wrong with the records, and lead to the page that helps."""
    return render(
        request, "pinfeather/trouble.html", {"sentence": text, "records": True}, status=503
    )


def sentence(request: HttpRequest, text: str, *, status: int) -> HttpResponse:
    """Say what is wrong in one sentence."""
    return render(request, "pinfeather/trouble.html", {"sentence": text}, status=status)
