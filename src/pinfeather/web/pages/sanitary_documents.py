"""Cleaning on paper."""

from __future__ import annotations

from django.http import Http404, HttpRequest, HttpResponse

from pinfeather import clock
from pinfeather.actions.sanitary import documents
from pinfeather.errors import RecordNotFoundError
from pinfeather.web.pages.sanitary import date_or_404

_PAPERS = {
    "procedures": documents.procedures_pdf,
    "sheet": documents.blank_sheet_pdf,
    "hazards": documents.hazards_pdf,
    "corrective-action": documents.blank_fix_pdf,
}


def _pdf(content: bytes, name: str) -> HttpResponse:
    response = HttpResponse(content, content_type="application/pdf")
    response.headers["Content-Disposition"] = f'inline; filename="{name}.pdf"'
    return response


def paper(request: HttpRequest, name: str) -> HttpResponse:  # noqa: ARG001 - a view's signature
    """Print the procedures, an empty sheet, the hazards or an empty corrective action."""
    if name not in _PAPERS:
        raise Http404
    return _pdf(_PAPERS[name](now=clock.now()), f"cleaning-{name}")


def sheet(request: HttpRequest, on: str) -> HttpResponse:  # noqa: ARG001 - a view's signature
    """Print a day's sheet."""
    date = date_or_404(on)
    try:
        content = documents.sheet_pdf(date, now=clock.now())
    except RecordNotFoundError as error:
        raise Http404(str(error)) from error
    return _pdf(content, f"cleaning-{date.isoformat()}")


def action(request: HttpRequest, ident: str) -> HttpResponse:  # noqa: ARG001 - a view's signature
    """Print a corrective action."""
    try:
        content = documents.fix_pdf(ident, now=clock.now())
    except RecordNotFoundError as error:
        raise Http404(str(error)) from error
    return _pdf(content, "corrective-action")
