"""Documents and files of a day."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse

from pinfeather import clock
from pinfeather.actions import packing


def _pdf(content: bytes, name: str) -> HttpResponse:
    response = HttpResponse(content, content_type="application/pdf")
    response.headers["Content-Disposition"] = f'inline; filename="{name}.pdf"'
    return response


def labels(request: HttpRequest, day_id: int) -> HttpResponse:
    """Print labels, one or all."""
    size = request.GET.get("size", "4x3")
    numbers = [int(n) for n in request.GET.getlist("number") if n.isdigit()]
    known = next((one for one in packing.LABEL_SIZES if one == size), "4x3")
    content = packing.labels(day_id, size=known, numbers=numbers, printed_at=clock.now())
    return _pdf(content, f"labels-{day_id}")


def plan(request: HttpRequest, day_id: int) -> HttpResponse: ...
def record(request: HttpRequest, day_id: int) -> HttpResponse: ...
def todo(request: HttpRequest, day_id: int) -> HttpResponse: ...
def strip(request: HttpRequest, day_id: int) -> HttpResponse: ...
def journal(request: HttpRequest, day_id: int) -> HttpResponse: ...
