"""Errors raised on purpose become pages with one sentence."""

from __future__ import annotations

from collections.abc import Callable

from django.db import DatabaseError
from django.http import HttpRequest, HttpResponse

from pinfeather.errors import (
    InputError,
    InputFaultsError,
    PinfeatherError,
    RecordConflictError,
    RecordNotFoundError,
    StoreError,
    TooOftenError,
)
from pinfeather.web.pages import trouble

_STATUS: tuple[tuple[type[PinfeatherError], int], ...] = (
    (RecordNotFoundError, 404),
    (RecordConflictError, 409),
    (TooOftenError, 429),
    (InputError, 422),
    (InputFaultsError, 422),
)


class SentencePages:
    """Middleware: an error of our own is answered with its sentence and the fitting status."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self._get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Pass the request on."""
        return self._get_response(request)

    def process_exception(self, request: HttpRequest, exception: Exception) -> HttpResponse | None:
        """Turn an error of our own into a page; leave all others to Django."""
        if isinstance(exception, StoreError):
            return trouble.records(request, str(exception))
        if isinstance(exception, DatabaseError):
            return trouble.unreadable(request, exception)
        for kind, status in _STATUS:
            if isinstance(exception, kind):
                text = exception.problem if isinstance(exception, InputError) else str(exception)
                return trouble.sentence(request, text, status=status)
        return None
