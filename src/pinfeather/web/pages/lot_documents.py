"""A lot on paper and in the calendar."""

from __future__ import annotations

import re

from django.http import HttpRequest, HttpResponse

from pinfeather import clock
from pinfeather.actions.flock.document import card_pdf, lot_ics, lot_pdf

_SAFE = re.compile(r"[^A-Za-z0-9-]")


def _file(content: bytes, kind: str, name: str) -> HttpResponse:
    response = HttpResponse(content, content_type=kind)
    way = "inline" if name.endswith("pdf") else "attachment"
    response.headers["Content-Disposition"] = f'{way}; filename="{name}"'
    return response


def sheet(request: HttpRequest, code: str) -> HttpResponse:  # noqa: ARG001 - a view's signature
    """Print a lot's sheet."""
    content = lot_pdf(code, printed_at=clock.now())
    return _file(content, "application/pdf", f"lot-{_SAFE.sub('-', code)}.pdf")


def card(request: HttpRequest, code: str) -> HttpResponse:  # noqa: ARG001 - a view's signature
    """Print an empty barn card."""
    content = card_pdf(code, printed_at=clock.now())
    return _file(content, "application/pdf", f"barn-card-{_SAFE.sub('-', code)}.pdf")


def dates(request: HttpRequest, code: str) -> HttpResponse:  # noqa: ARG001 - a view's signature
    """Give a lot's dates to a calendar."""
    content = lot_ics(code, stamp=clock.now())
    return _file(content, "text/calendar; charset=utf-8", f"lot-{_SAFE.sub('-', code)}.ics")
