"""Proofs as they were kept: served so that no browser takes them for a page."""

from __future__ import annotations

import re
from typing import Final

from django.http import HttpRequest, HttpResponse
from django.utils.translation import gettext as _

from pinfeather.actions.duties import papers as proofs
from pinfeather.errors import RecordNotFoundError

_DIGEST: Final = re.compile(r"[0-9a-f]{64}", re.ASCII)
POLICY: Final = (
    "default-src 'none'; sandbox; frame-ancestors 'none'; base-uri 'none'; "
    "img-src 'self'; style-src 'unsafe-inline'"
)
"""Nothing runs and nothing is fetched; the style is the browser's own, which fits a photo in."""


def proof(request: HttpRequest, digest: str) -> HttpResponse:  # noqa: ARG001 - a view's signature
    """Give a proof."""
    return served(digest)


def served(digest: str) -> HttpResponse:
    """Return a proof as an answer: a picture to look at, a paper to save; never a page.

    Raises
    ------
    RecordNotFoundError
        If there is none.
    """
    if not _DIGEST.fullmatch(digest):
        raise RecordNotFoundError(_("There is no such proof."))
    found, raw = proofs.read(digest)
    response = HttpResponse(raw, content_type=proofs.KINDS[found.kind][0])
    way = "inline" if found.is_picture else "attachment"
    response.headers["Content-Disposition"] = f'{way}; filename="{found.file_name}"'
    response.headers["X-Content-Type-Options"] = "nosniff"
    response.headers["Content-Security-Policy"] = POLICY
    response.headers["Cross-Origin-Resource-Policy"] = "same-origin"
    response.headers["Cache-Control"] = "no-store"
    return response
