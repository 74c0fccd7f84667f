"""The year on paper, and for other programs."""

from __future__ import annotations

from django.http import Http404, HttpRequest, HttpResponse

from pinfeather import clock
from pinfeather.actions.money.document import year_pdf
from pinfeather.actions.money.view import ledger_csv, ledger_text
from pinfeather.errors import RecordNotFoundError


def _file(content: bytes, kind: str, name: str) -> HttpResponse:
    response = HttpResponse(content, content_type=kind)
    way = "inline" if name.endswith("pdf") else "attachment"
    response.headers["Content-Disposition"] = f'{way}; filename="{name}"'
    return response


def report(request: HttpRequest, year: int) -> HttpResponse:  # noqa: ARG001 - a view's signature
    """Print a year."""
    try:
        content = year_pdf(year, printed_at=clock.now())
    except RecordNotFoundError as error:
        raise Http404(str(error)) from error
    return _file(content, "application/pdf", f"year-{year}.pdf")


def ledger(request: HttpRequest, year: int) -> HttpResponse:
    """Give a year's transactions as rows."""
    try:
        content = ledger_csv(year, us_dates=request.GET.get("dates") == "us")
    except RecordNotFoundError as error:
        raise Http404(str(error)) from error
    return _file(content, "text/csv; charset=utf-8", f"ledger-{year}.csv")


def plain(request: HttpRequest, year: int) -> HttpResponse:  # noqa: ARG001 - a view's signature
    """Give a year's transactions as plain text."""
    try:
        content = ledger_text(year)
    except RecordNotFoundError as error:
        raise Http404(str(error)) from error
    return _file(content, "text/plain; charset=utf-8", f"ledger-{year}.txt")
